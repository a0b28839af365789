//! How the contract describes what the silver book answers.

use super::{optional_token, problem_response, problems_of, query_parameter, text_content};
use crate::book::Endpoint;
use crate::operation::operation;
use serde_json::{Map, Value};
use utoipa::openapi::path::{OperationBuilder, ParameterBuilder, ParameterIn};
use utoipa::openapi::request_body::RequestBodyBuilder;
use utoipa::openapi::schema::{ObjectBuilder, SchemaType, Type};
use utoipa::openapi::{ContentBuilder, Ref, Required, ResponseBuilder};

/// The schema of an operation's request from the book: without the members that the book gives, and
/// with the name of a container wherever a container may stand.
pub(super) fn filled(
    schemas: &Map<String, Value>,
    name: &str,
    given: &[&str],
    known: &[&str],
) -> Value {
    let own = operation(name).and_then(|o| schemas.get(&o.request.name()));
    let mut schema = own.cloned().unwrap_or_default();
    if let Some(Value::Object(properties)) = schema.get_mut("properties") {
        properties.retain(|name, _| !given.contains(&name.as_str()));
        properties
            .values_mut()
            .for_each(|p| allow_names(p, schemas));
    }
    if let Some(Value::Array(required)) = schema.get_mut("required") {
        required.retain(|r| {
            r.as_str()
                .is_some_and(|r| !given.contains(&r) && !known.contains(&r))
        });
    }
    schema
}

/// Lets a name stand where a container may. What holds containers further down is written out, so
/// that the operation's own schema stays as it is.
fn allow_names(schema: &mut Value, schemas: &Map<String, Value>) {
    const CONTAINER: &str = "#/components/schemas/Batch";
    let reference = schema
        .get("$ref")
        .and_then(Value::as_str)
        .map(str::to_owned);
    match reference.as_deref() {
        Some(CONTAINER) => {
            let container = schema.clone();
            let name = serde_json::json!({"type": "string", "description": "Name of a container in the book."});
            *schema = serde_json::json!({"anyOf": [container, name]});
        }
        Some(other) => {
            let holder = other.rsplit('/').next().and_then(|name| schemas.get(name));
            if let Some(holder) = holder.filter(|h| speaks_of(h, CONTAINER, schemas, 0)) {
                *schema = holder.clone();
                allow_names(schema, schemas);
            }
        }
        None => match schema {
            Value::Object(map) => map.values_mut().for_each(|v| allow_names(v, schemas)),
            Value::Array(items) => items.iter_mut().for_each(|v| allow_names(v, schemas)),
            _ => {}
        },
    }
}

/// Whether a schema refers to another, however far down.
fn speaks_of(schema: &Value, target: &str, schemas: &Map<String, Value>, depth: usize) -> bool {
    match schema {
        _ if depth > 32 => false,
        Value::Object(map) => map.iter().any(|(key, value)| match value.as_str() {
            Some(reference) if key == "$ref" => {
                let name = reference.rsplit('/').next().unwrap_or_default();
                reference == target
                    || schemas
                        .get(name)
                        .is_some_and(|s| speaks_of(s, target, schemas, depth + 1))
            }
            _ => speaks_of(value, target, schemas, depth + 1),
        }),
        Value::Array(items) => items
            .iter()
            .any(|v| speaks_of(v, target, schemas, depth + 1)),
        _ => false,
    }
}

/// The endpoint as an operation of the contract.
pub(super) fn describe(endpoint: &Endpoint) -> OperationBuilder {
    let mut ok = ResponseBuilder::new().description("The answer.");
    for media_type in &endpoint.media_types {
        let content = match &endpoint.answer {
            Some(answers) if *media_type == "application/json" => ContentBuilder::new()
                .schema(Some(Ref::from_schema_name(answers.name.as_str())))
                .example(endpoint.example())
                .build(),
            _ => text_content(),
        };
        ok = ok.content(*media_type, content);
    }
    let mut builder = OperationBuilder::new()
        .tag(endpoint.tag)
        .operation_id(Some(endpoint.id.as_str()))
        .summary(Some(endpoint.summary.as_str()))
        .securities(Some(optional_token()))
        .response(endpoint.status.to_string(), ok.build());
    if let Some(body) = &endpoint.request {
        let example: Value = serde_json::from_str(&body.example).unwrap_or_default();
        builder = builder.request_body(Some(
            RequestBodyBuilder::new()
                .required(Some(Required::True))
                .content(
                    "application/json",
                    ContentBuilder::new()
                        .schema(Some(Ref::from_schema_name(body.schema.as_str())))
                        .example(Some(example))
                        .build(),
                )
                .build(),
        ));
    }
    let plain = |name: &str, place, required, words: &str| {
        ParameterBuilder::new()
            .name(name)
            .parameter_in(place)
            .required(required)
            .description(Some(words))
            .schema(Some(
                ObjectBuilder::new().schema_type(SchemaType::Type(Type::String)),
            ))
            .build()
    };
    for segment in endpoint.path.split('/') {
        if let Some(name) = segment.strip_prefix('{').and_then(|s| s.strip_suffix('}')) {
            let words = format!("Name of the {name}.");
            builder = builder.parameter(plain(name, ParameterIn::Path, Required::True, &words));
        }
    }
    for parameter in endpoint.query {
        builder = builder.parameter(query_parameter(parameter));
    }
    if endpoint.keyed {
        builder = builder.parameter(plain(
            "Idempotency-Key",
            ParameterIn::Header,
            Required::True,
            "New for each new request; the same request under the same key is done once, and answered alike. As in the IETF draft on this header.",
        ));
    }
    if endpoint.replaces {
        builder = builder.parameter(plain(
            "If-Match",
            ParameterIn::Header,
            Required::True,
            "The `ETag` that reading it gave.",
        ));
    }
    for (status, codes) in problems_of(&endpoint.problems()) {
        builder = builder.response(status.to_string(), problem_response(&codes));
    }
    builder
}
