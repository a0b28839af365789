//! The pages that the service shows: its documentation, made from the contract, and one page per
//! problem. They are whole in themselves and fetch nothing.

use crate::book::endpoints;
use crate::contract::contract;
use crate::operation::operations;
use crate::problem::Code;
use crate::resource::resources;
use serde_json::{Map, Value};
use std::fmt::Write as _;
use std::sync::LazyLock;

const STYLE: &str = "\
:root{--paper:#f6f1e6;--ink:#2c2722;--faint:#675d4f;--line:#d9cfbb;--card:#fbf8f0;--accent:#5b4636}\
@media(prefers-color-scheme:dark){:root{--paper:#211e1a;--ink:#e6ddcc;--faint:#a1957f;--line:#3d372f;--card:#29251f;--accent:#d3b792}}\
*{box-sizing:border-box}html{-webkit-text-size-adjust:100%}\
body{margin:0 auto;padding:2rem 1.1rem 5rem;max-width:46rem;background:var(--paper);color:var(--ink);\
font:1.0625rem/1.6 'Iowan Old Style','Palatino Linotype',Palatino,Georgia,serif;overflow-wrap:anywhere}\
h1{font-size:1.9rem;font-weight:400;letter-spacing:.02em;margin:0 0 .2rem}\
h2{font-size:1.3rem;font-weight:400;font-style:italic;margin:3rem 0 .8rem;border-bottom:1px solid var(--line)}\
h3{font-size:1.05rem;margin:1.8rem 0 .3rem}a{color:var(--accent);text-underline-offset:.15em}\
code,pre{font:.86rem/1.5 ui-monospace,'DejaVu Sans Mono',Menlo,monospace}\
pre{background:var(--card);border:1px solid var(--line);border-radius:3px;padding:.8rem;overflow-x:auto;overflow-wrap:normal}\
details{margin:.5rem 0}summary{cursor:pointer;color:var(--accent)}\
dl{margin:.4rem 0 0}dt{margin-top:.55rem}dd{margin:0 0 0 1.1rem;color:var(--faint)}\
.lead,.small{color:var(--faint)}.small{font-size:.9rem}nav a{margin-right:.9rem;white-space:nowrap}\
@media print{body{background:#fff;color:#000;max-width:none}details{display:block}}";

/// The documentation page, made once.
#[must_use]
pub fn documentation() -> &'static str {
    static PAGE: LazyLock<String> = LazyLock::new(build);
    &PAGE
}

/// The page of one problem.
#[must_use]
pub fn problem(code: Code) -> String {
    let mut body = String::new();
    let _ = write!(
        body,
        "<h1>{}</h1><p class=lead><code>{}</code>, status {}</p><p>{}</p><p><a href=\"/docs#problems\">All problems</a></p>",
        Text(code.title()),
        code.name(),
        code.status(),
        Text(code.page())
    );
    page(code.title(), &body)
}

fn page(title: &str, body: &str) -> String {
    format!(
        "<!doctype html><html lang=en><meta charset=utf-8><meta name=viewport content=\"width=device-width,initial-scale=1\"><title>{} - Spent Silver</title><style>{STYLE}</style><body>{body}",
        Text(title)
    )
}

/// Text with what HTML would read as markup escaped.
struct Text<'a>(&'a str);

impl std::fmt::Display for Text<'_> {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        for c in self.0.chars() {
            match c {
                '<' => f.write_str("&lt;")?,
                '>' => f.write_str("&gt;")?,
                '&' => f.write_str("&amp;")?,
                '"' => f.write_str("&quot;")?,
                c => f.write_char(c)?,
            }
        }
        Ok(())
    }
}

fn text<'a>(value: &'a Value, key: &str) -> &'a str {
    value.get(key).and_then(Value::as_str).unwrap_or_default()
}

fn members<'a>(value: &'a Value, pointer: &str) -> Option<&'a Map<String, Value>> {
    value.pointer(pointer)?.as_object()
}

fn build() -> String {
    let document = &contract().document;
    let mut body = String::new();
    body.push_str("<h1>Spent Silver</h1>");
    for paragraph in document
        .pointer("/info/description")
        .and_then(Value::as_str)
        .unwrap_or_default()
        .split("\n\n")
    {
        let _ = write!(body, "<p class=lead>{}</p>", Text(paragraph));
    }
    let tags: Vec<&str> = document
        .get("tags")
        .and_then(Value::as_array)
        .map(|tags| tags.iter().map(|t| text(t, "name")).collect())
        .unwrap_or_default();
    body.push_str("<nav>");
    for tag in &tags {
        let _ = write!(body, "<a href=\"#{0}\">{0}</a>", Text(tag));
    }
    body.push_str(
        "<a href=\"#problems\">Problems</a><a href=\"#shapes\">Shapes</a><a href=\"/openapi.json\">Contract</a></nav>",
    );
    // In the order of the tables, which is that of the job: the contract's own is the alphabet's.
    let posts = operations().iter().map(|o| format!("/v1/{}", o.name));
    let gets = resources().iter().map(|r| r.path.to_owned());
    let kept = endpoints().iter().map(|e| e.path.clone());
    let mut paths: Vec<String> = Vec::new();
    for path in posts.chain(gets).chain(kept) {
        if !paths.contains(&path) {
            paths.push(path);
        }
    }
    for tag in &tags {
        let _ = write!(body, "<h2 id=\"{0}\">{0}</h2>", Text(tag));
        for path in &paths {
            let item = document.get("paths").and_then(|paths| paths.get(path));
            for (method, operation) in item.and_then(Value::as_object).into_iter().flatten() {
                let own = operation.pointer("/tags/0").and_then(Value::as_str);
                if own == Some(*tag) {
                    write_operation(&mut body, path, method, operation);
                }
            }
        }
    }
    body.push_str("<h2 id=problems>Problems</h2><p>Whatever goes wrong is answered with <code>application/problem+json</code>: a code, what happened, and for each error the place and what would be right.</p><dl>");
    for code in Code::ALL {
        let _ = write!(
            body,
            "<dt><a href=\"/problems/{0}\"><code>{0}</code></a> {1}<dd>{2}",
            code.name(),
            code.status(),
            Text(code.title())
        );
    }
    body.push_str("</dl><h2 id=shapes>Shapes</h2>");
    for (name, schema) in members(document, "/components/schemas")
        .into_iter()
        .flatten()
    {
        write_schema(&mut body, name, schema);
    }
    page("Documentation", &body)
}

fn write_operation(body: &mut String, path: &str, method: &str, operation: &Value) {
    let _ = write!(
        body,
        "<h3 id=\"{}\">{}</h3><p><code>{} {}</code></p>",
        Text(text(operation, "operationId")),
        Text(text(operation, "summary")),
        method.to_uppercase(),
        Text(path)
    );
    if let Some(parameters) = operation.get("parameters").and_then(Value::as_array) {
        body.push_str("<dl>");
        for parameter in parameters {
            let _ = write!(
                body,
                "<dt><code>{}</code><dd>{}",
                Text(text(parameter, "name")),
                Text(text(parameter, "description"))
            );
        }
        body.push_str("</dl>");
    }
    let request = operation.pointer("/requestBody/content/application~1json");
    let answer = operation.pointer("/responses/200/content/application~1json");
    for (label, content) in [("Request", request), ("Answer", answer)] {
        let Some(content) = content else { continue };
        let _ = write!(
            body,
            "<p class=small>{label}: {}</p>",
            type_of(content.get("schema").unwrap_or(&Value::Null))
        );
        if let Some(example) = content.get("example") {
            let example = serde_json::to_string_pretty(example).unwrap_or_default();
            let _ = write!(
                body,
                "<details><summary>An example</summary><pre>{}</pre></details>",
                Text(&example)
            );
        }
    }
}

fn write_schema(body: &mut String, name: &str, schema: &Value) {
    let _ = write!(
        body,
        "<h3 id=\"shape-{0}\">{0}</h3><p class=small>{1}</p>",
        Text(name),
        Text(text(schema, "description"))
    );
    if let Some(choices) = schema.get("enum").and_then(Value::as_array) {
        let words: Vec<String> = choices
            .iter()
            .filter_map(Value::as_str)
            .map(|c| format!("<code>{}</code>", Text(c)))
            .collect();
        let _ = write!(body, "<p class=small>One of {}.</p>", words.join(", "));
    }
    write_members(body, schema);
    for variant in schema
        .get("oneOf")
        .and_then(Value::as_array)
        .into_iter()
        .flatten()
    {
        let _ = write!(body, "<p class=small>or {}</p>", type_of(variant));
        write_members(body, variant);
    }
}

fn write_members(body: &mut String, schema: &Value) {
    let Some(properties) = members(schema, "/properties") else {
        return;
    };
    let required: Vec<&str> = schema
        .get("required")
        .and_then(Value::as_array)
        .map(|r| r.iter().filter_map(Value::as_str).collect())
        .unwrap_or_default();
    body.push_str("<dl>");
    for (name, property) in properties {
        let optional = if required.contains(&name.as_str()) {
            ""
        } else {
            ", optional"
        };
        let _ = write!(
            body,
            "<dt><code>{}</code> <span class=small>{}{optional}</span><dd>{}",
            Text(name),
            type_of(property),
            Text(text(property, "description"))
        );
        if members(property, "/properties").is_some() {
            write_members(body, property);
        }
    }
    body.push_str("</dl>");
}

/// The type of a schema in a word or two, as HTML.
fn type_of(schema: &Value) -> String {
    if let Some(reference) = schema.get("$ref").and_then(Value::as_str) {
        let name = reference.rsplit('/').next().unwrap_or_default();
        return format!("<a href=\"#shape-{0}\">{0}</a>", Text(name));
    }
    if let Some(items) = schema.get("items") {
        return format!("list of {}", type_of(items));
    }
    for key in ["oneOf", "anyOf", "allOf"] {
        if let Some(parts) = schema.get(key).and_then(Value::as_array) {
            let words: Vec<String> = parts.iter().map(type_of).collect();
            return words.join(" or ");
        }
    }
    if let Some([Value::String(one)]) = schema
        .get("enum")
        .and_then(Value::as_array)
        .map(Vec::as_slice)
    {
        return format!("<code>{}</code>", Text(one));
    }
    match schema.get("type") {
        Some(Value::String(one)) => one.clone(),
        Some(Value::Array(several)) => several
            .iter()
            .filter_map(Value::as_str)
            .collect::<Vec<_>>()
            .join(" or "),
        _ => "anything".to_owned(),
    }
}
