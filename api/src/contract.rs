//! The contract: OpenAPI 3.1, made from the tables of operations and resources.

mod stored;

use crate::book::{Body, Shape, endpoints};
use crate::described::Described;
use crate::operation::{Operation, operations};
use crate::problem::{Code, ProblemDocument};
use crate::reader::Members;
use crate::resource::{Parameter, Resource, resources};
use serde_json::Value;
use std::collections::{BTreeMap, BTreeSet};
use std::fmt::Write as _;
use std::sync::LazyLock;
use utoipa::openapi::path::{OperationBuilder, ParameterBuilder, ParameterIn, PathItemBuilder};
use utoipa::openapi::request_body::RequestBodyBuilder;
use utoipa::openapi::schema::{ComponentsBuilder, ObjectBuilder, SchemaType, Type};
use utoipa::openapi::security::{HttpAuthScheme, HttpBuilder, SecurityRequirement, SecurityScheme};
use utoipa::openapi::tag::TagBuilder;
use utoipa::openapi::{
    ContentBuilder, HttpMethod, InfoBuilder, OpenApi, OpenApiBuilder, PathsBuilder, Ref, RefOr,
    Required, ResponseBuilder, Schema,
};

const DESCRIPTION: &str = "\
How much silver each container of a studio holds and how surely, what it is worth after all charges, \
what to do with it and when, what the waste is in law, how to make it safe, and what silver costs.

Every quantity is written as a string in the unit that ends its member's name, and read as a number or \
a string; no digit is lost. Every answer carries the formulas used with their sources, each default \
assumed, warnings, and a notice: local waste rules, the facility's permit and licensed practice come first.

The contract is additive: answers may gain members, and choices in answers may gain values. \
Requests refuse members they do not know.";

/// The contract and what is wrong with it.
pub struct Contract {
    /// The document.
    pub document: Value,
    /// Names that two different schemas claim; a test holds this empty.
    pub collisions: Vec<String>,
}

/// The contract, made once.
#[must_use]
pub fn contract() -> &'static Contract {
    static CONTRACT: LazyLock<Contract> = LazyLock::new(build);
    &CONTRACT
}

/// The contract as the text that is kept, served and printed.
#[must_use]
pub fn contract_text() -> &'static str {
    static TEXT: LazyLock<String> = LazyLock::new(|| {
        let mut text = serde_json::to_string_pretty(&contract().document).unwrap_or_default();
        text.push('\n');
        text
    });
    &TEXT
}

/// Every operation on a line: method, path, operation id.
#[must_use]
pub fn operation_list() -> String {
    let mut rows: Vec<(String, &str, &str)> = operations()
        .iter()
        .map(|o| (format!("/v1/{}", o.name), "POST", o.id))
        .chain(resources().iter().map(|r| (r.path.to_owned(), "GET", r.id)))
        .chain(
            endpoints()
                .iter()
                .map(|e| (e.path.clone(), e.method, e.id.as_str())),
        )
        .collect();
    rows.sort();
    let width = rows.iter().map(|(path, ..)| path.len()).max().unwrap_or(0);
    let mut text = String::new();
    for (path, method, id) in rows {
        let _ = writeln!(text, "{method:<5} {path:<width$} {id}");
    }
    text
}

/// What the members of all requests may hold: the reader takes an array or an object nowhere else.
/// Kept beside the contract, because making every schema takes longer than the rest of a start.
#[must_use]
pub fn members() -> &'static Members {
    static MEMBERS: LazyLock<Members> = LazyLock::new(|| {
        let mut members = Members::default();
        for line in include_str!("../../openapi/request_members.txt").lines() {
            match line.split_once(' ') {
                Some(("list", name)) => members.lists.insert(name.to_owned()),
                Some(("object", name)) => members.objects.insert(name.to_owned()),
                _ => false,
            };
        }
        members
    });
    &MEMBERS
}

/// The text that [`members`] reads, made from the schemas; a test holds the two equal.
#[must_use]
pub fn members_text() -> String {
    let schemas = request_schemas();
    let names = |holds: Holds| {
        members_among(&schemas, holds)
            .into_iter()
            .map(|(_, member)| member)
    };
    let lists: BTreeSet<String> = names(Holds::Value("array")).collect();
    let objects: BTreeSet<String> = names(Holds::Value("object"))
        .chain(names(Holds::Items("object")))
        .collect();
    let lists = lists.iter().map(|name| format!("list {name}\n"));
    let objects = objects.iter().map(|name| format!("object {name}\n"));
    lists.chain(objects).collect()
}

/// What a member may hold, by JSON type.
#[derive(Debug, Clone, Copy)]
pub enum Holds {
    /// A value of that type.
    Value(&'static str),
    /// An array with items of that type.
    Items(&'static str),
}

/// Members of requests that may hold that, each with the schema it stands in.
#[must_use]
pub fn members_by_type(wanted: Holds) -> BTreeSet<(String, String)> {
    members_among(&request_schemas(), wanted)
}

/// Every type that describes a request.
fn requests() -> impl Iterator<Item = &'static Described> {
    let own = endpoints()
        .iter()
        .filter_map(|e| match &e.request.as_ref()?.shape {
            Shape::Own(described) => Some(described),
            Shape::Filled { .. } => None,
        });
    operations().iter().map(|o| &o.request).chain(own)
}

/// Every schema that requests are made of, each once.
fn request_schemas() -> BTreeMap<String, Value> {
    let mut all = BTreeMap::new();
    for request in requests() {
        all.entry(request.name())
            .or_insert_with(|| to_value(&request.schema()));
        for (name, schema) in request.parts() {
            all.entry(name).or_insert_with(|| to_value(&schema));
        }
    }
    all
}

fn members_among(all: &BTreeMap<String, Value>, wanted: Holds) -> BTreeSet<(String, String)> {
    let mut found = BTreeSet::new();
    for (name, schema) in all {
        collect_members(schema, wanted, name, all, &mut found);
    }
    found
}

fn to_value(schema: &RefOr<Schema>) -> Value {
    serde_json::to_value(schema).unwrap_or_default()
}

fn collect_members(
    schema: &Value,
    wanted: Holds,
    owner: &str,
    all: &BTreeMap<String, Value>,
    found: &mut BTreeSet<(String, String)>,
) {
    match schema {
        Value::Object(map) => {
            if let Some(Value::Object(properties)) = map.get("properties") {
                for (name, property) in properties {
                    if may_be(property, wanted, all, 0) {
                        found.insert((owner.to_owned(), name.clone()));
                    }
                }
            }
            for part in map.values() {
                collect_members(part, wanted, owner, all, found);
            }
        }
        Value::Array(items) => {
            for item in items {
                collect_members(item, wanted, owner, all, found);
            }
        }
        _ => {}
    }
}

/// Whether a schema allows that.
fn may_be(schema: &Value, wanted: Holds, all: &BTreeMap<String, Value>, depth: usize) -> bool {
    if depth > 32 {
        return false;
    }
    if let Some(Value::String(reference)) = schema.get("$ref") {
        let name = reference.rsplit('/').next().unwrap_or_default();
        return all
            .get(name)
            .is_some_and(|s| may_be(s, wanted, all, depth + 1));
    }
    let own = match (wanted, schema.get("type")) {
        (Holds::Value(wanted), Some(Value::String(one))) => one == wanted,
        (Holds::Value(wanted), Some(Value::Array(several))) => several.iter().any(|t| t == wanted),
        (Holds::Items(wanted), _) => schema
            .get("items")
            .is_some_and(|items| may_be(items, Holds::Value(wanted), all, depth + 1)),
        _ => false,
    };
    own || ["oneOf", "anyOf", "allOf"].iter().any(|key| {
        schema
            .get(key)
            .and_then(Value::as_array)
            .is_some_and(|parts| parts.iter().any(|p| may_be(p, wanted, all, depth + 1)))
    })
}

/// Collects schemas by name and notes where two different ones claim the same name.
#[derive(Default)]
struct Schemas {
    by_name: BTreeMap<String, RefOr<Schema>>,
    collisions: Vec<String>,
}

impl Schemas {
    fn add(&mut self, name: String, schema: RefOr<Schema>) {
        match self.by_name.get(&name) {
            Some(known) if *known != schema => self.collisions.push(name),
            Some(_) => {}
            None => {
                self.by_name.insert(name, schema);
            }
        }
    }

    fn add_all(&mut self, described: &Described, name: String) {
        self.add(name, described.schema());
        for (name, schema) in described.parts() {
            self.add(name, schema);
        }
    }
}

fn answer_name(operation: &Operation) -> String {
    format!("{}Answer", operation.result.name())
}

fn build() -> Contract {
    let mut schemas = Schemas::default();
    let mut paths = PathsBuilder::new();
    let mut tags: Vec<&str> = Vec::new();
    schemas.add_all(
        &Described::by::<ProblemDocument<'_>>(),
        "Problem".to_owned(),
    );
    for operation in operations() {
        schemas.add_all(&operation.request, operation.request.name());
        schemas.add(operation.result.name(), operation.result.schema());
        schemas.add_all(&operation.answer, answer_name(operation));
        if !tags.contains(&operation.tag) {
            tags.push(operation.tag);
        }
        paths = paths.path(
            format!("/v1/{}", operation.name),
            PathItemBuilder::new()
                .operation(HttpMethod::Post, describe_operation(operation))
                .build(),
        );
    }
    for resource in resources() {
        if let Some(described) = &resource.schema {
            schemas.add_all(described, described.name());
        }
        if !tags.contains(&resource.tag) {
            tags.push(resource.tag);
        }
        paths = paths.path(
            resource.path,
            PathItemBuilder::new()
                .operation(HttpMethod::Get, describe_resource(resource))
                .build(),
        );
    }
    for endpoint in endpoints() {
        if let Some(Body {
            shape: Shape::Own(described),
            ..
        }) = &endpoint.request
        {
            schemas.add_all(described, described.name());
        }
        if let Some(answers) = &endpoint.answer {
            if let Some(result) = &answers.result {
                schemas.add(result.name(), result.schema());
            }
            schemas.add_all(&answers.whole, answers.name.clone());
        }
        if !tags.contains(&endpoint.tag) {
            tags.push(endpoint.tag);
        }
        let method = match endpoint.method {
            "POST" => HttpMethod::Post,
            "PUT" => HttpMethod::Put,
            _ => HttpMethod::Get,
        };
        paths = paths.path(
            endpoint.path.clone(),
            PathItemBuilder::new()
                .operation(method, stored::describe(endpoint))
                .build(),
        );
    }
    let components = ComponentsBuilder::new()
        .schemas_from_iter(schemas.by_name)
        .security_scheme(
            "token",
            SecurityScheme::Http(
                HttpBuilder::new()
                    .scheme(HttpAuthScheme::Bearer)
                    .description(Some(
                        "Needed where the operator has set a token; always set where the service listens beyond loopback.",
                    ))
                    .build(),
            ),
        )
        .build();
    let openapi: OpenApi = OpenApiBuilder::new()
        .info(
            InfoBuilder::new()
                .title("Spent Silver")
                .version(env!("CARGO_PKG_VERSION"))
                .description(Some(DESCRIPTION))
                .build(),
        )
        .paths(paths.build())
        .components(Some(components))
        .tags(Some(
            tags.into_iter()
                .map(|tag| TagBuilder::new().name(tag).build()),
        ))
        .build();
    let mut document = serde_json::to_value(&openapi).unwrap_or_default();
    for request in requests() {
        let names = request.parts().into_iter().map(|(name, _)| name);
        for name in names.chain([request.name()]) {
            if let Some(schema) = document
                .pointer_mut("/components/schemas")
                .and_then(|schemas| schemas.get_mut(name))
            {
                close(schema);
            }
        }
    }
    for endpoint in endpoints() {
        if let Some(body) = &endpoint.request
            && let Shape::Filled {
                operation,
                given,
                known,
            } = &body.shape
            && let Some(schemas) = document
                .pointer_mut("/components/schemas")
                .and_then(Value::as_object_mut)
        {
            let schema = stored::filled(schemas, operation, given, known);
            schemas.insert(body.schema.clone(), schema);
        }
    }
    Contract {
        document,
        collisions: schemas.collisions,
    }
}

/// Says of every object of a request what the reader holds it to: no other members. The derived
/// schema says so of structs, but not of the object around a choice.
fn close(schema: &mut Value) {
    match schema {
        Value::Object(map) => {
            if map.contains_key("properties") && !map.contains_key("additionalProperties") {
                map.insert("additionalProperties".to_owned(), Value::Bool(false));
            }
            map.values_mut().for_each(close);
        }
        Value::Array(items) => items.iter_mut().for_each(close),
        _ => {}
    }
}

fn describe_operation(operation: &Operation) -> OperationBuilder {
    let request: Value = serde_json::from_str(operation.example).unwrap_or_default();
    let response = operation
        .answer(operation.example.as_bytes())
        .ok()
        .and_then(|bytes| serde_json::from_slice(&bytes).ok());
    let mut ok = ResponseBuilder::new().description("The answer.").content(
        "application/json",
        ContentBuilder::new()
            .schema(Some(Ref::from_schema_name(answer_name(operation))))
            .example(response)
            .build(),
    );
    for rendering in &operation.renderings {
        ok = ok.content(rendering.media_type, text_content());
    }
    let mut builder = OperationBuilder::new()
        .tag(operation.tag)
        .operation_id(Some(operation.id))
        .summary(Some(operation.summary))
        .request_body(Some(
            RequestBodyBuilder::new()
                .required(Some(Required::True))
                .content(
                    "application/json",
                    ContentBuilder::new()
                        .schema(Some(Ref::from_schema_name(operation.request.name())))
                        .example(Some(request))
                        .build(),
                )
                .build(),
        ))
        .securities(Some(optional_token()))
        .response("200", ok.build());
    for (status, codes) in problems_of(&[
        Code::NotJson,
        Code::TooDeep,
        Code::DuplicateMember,
        Code::Unauthorized,
        Code::HostRefused,
        Code::NotAcceptable,
        Code::BodyTooLarge,
        Code::UnsupportedMediaType,
        Code::InvalidInput,
        Code::Internal,
    ]) {
        builder = builder.response(status.to_string(), problem_response(&codes));
    }
    builder
}

fn query_parameter(parameter: &Parameter) -> utoipa::openapi::path::Parameter {
    let type_ = if parameter.integer {
        Type::Integer
    } else {
        Type::String
    };
    ParameterBuilder::new()
        .name(parameter.name)
        .parameter_in(ParameterIn::Query)
        .required(Required::False)
        .description(Some(parameter.description))
        .schema(Some(
            ObjectBuilder::new().schema_type(SchemaType::Type(type_)),
        ))
        .build()
}

fn describe_resource(resource: &Resource) -> OperationBuilder {
    let content = match (&resource.schema, resource.media_type) {
        (Some(described), _) => ContentBuilder::new()
            .schema(Some(Ref::from_schema_name(described.name())))
            .example(resource.example.and_then(|example| example()))
            .build(),
        (None, "application/json") => ContentBuilder::new()
            .schema(Some(
                ObjectBuilder::new().schema_type(SchemaType::Type(Type::Object)),
            ))
            .build(),
        (None, _) => text_content(),
    };
    let mut builder = OperationBuilder::new()
        .tag(resource.tag)
        .operation_id(Some(resource.id))
        .summary(Some(resource.summary))
        .response(
            "200",
            ResponseBuilder::new()
                .description("The answer.")
                .content(resource.media_type, content)
                .build(),
        );
    if resource.path.starts_with("/v1/") {
        builder = builder.securities(Some(optional_token()));
    }
    for parameter in resource.parameters {
        let in_path = resource.path.contains(&format!("{{{}}}", parameter.name));
        let mut described = query_parameter(parameter);
        if in_path {
            described.parameter_in = ParameterIn::Path;
            described.required = Required::True;
        }
        builder = builder.parameter(described);
    }
    for (status, codes) in problems_of(resource.problems) {
        builder = builder.response(status.to_string(), problem_response(&codes));
    }
    builder
}

/// With the token or without it: which of the two, the operator decides.
fn optional_token() -> [SecurityRequirement; 2] {
    [
        SecurityRequirement::default(),
        SecurityRequirement::new("token", Vec::<String>::new()),
    ]
}

fn text_content() -> utoipa::openapi::Content {
    ContentBuilder::new()
        .schema(Some(
            ObjectBuilder::new().schema_type(SchemaType::Type(Type::String)),
        ))
        .build()
}

fn problems_of(codes: &[Code]) -> BTreeMap<u16, Vec<Code>> {
    let mut by_status: BTreeMap<u16, Vec<Code>> = BTreeMap::new();
    for code in codes {
        by_status.entry(code.status()).or_default().push(*code);
    }
    by_status
}

fn problem_response(codes: &[Code]) -> utoipa::openapi::Response {
    let words: Vec<String> = codes
        .iter()
        .map(|c| format!("`{}`: {}.", c.name(), c.title()))
        .collect();
    let example = codes.first().map(|code| {
        let problem = crate::problem::Problem::new(*code, code.page());
        serde_json::to_value(problem.document(Some("5f2c9a1b7d3e4c60"))).unwrap_or_default()
    });
    ResponseBuilder::new()
        .description(words.join(" "))
        .content(
            "application/problem+json",
            ContentBuilder::new()
                .schema(Some(Ref::from_schema_name("Problem")))
                .example(example)
                .build(),
        )
        .build()
}
