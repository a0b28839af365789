//! Reads a request body into a domain type, or says exactly where and why not.
//!
//! The way of success is one scan of the bytes and one parse. Only a body that fails is read again,
//! for the pointer and the words.

use crate::json::{framing, marked};
use crate::problem::{Code, ErrorEntry, Problem};
use serde::de::{
    DeserializeOwned, DeserializeSeed, Deserializer, Error as _, IgnoredAny, MapAccess, SeqAccess,
    Visitor,
};
use serde_path_to_error::Segment;
use spent_silver_domain::quantity::split_sub_problem;
use std::collections::HashSet;
use std::fmt::Write as _;

/// Objects and lists may stand inside each other this deep.
pub const DEEPEST: usize = 32;

/// What members may hold, by name over all requests: derived types take more than the contract says.
#[derive(Debug, Default)]
pub struct Members {
    /// Members whose value may be an array. A derived struct would also take one, by position.
    pub lists: HashSet<String>,
    /// Members whose value, or each item of whose array, may be an object. A derived choice would
    /// also take one: the choice as its only member, with null for its value.
    pub objects: HashSet<String>,
}

/// Reads one value from the bytes of a body.
///
/// # Errors
/// 400 for what is not JSON, too deep or doubled; 422 with a pointer for the rest.
pub fn read<T: DeserializeOwned>(bytes: &[u8], members: &Members) -> Result<T, Problem> {
    let text = std::str::from_utf8(bytes).map_err(|e| {
        Problem::new(
            Code::NotJson,
            format!("Not UTF-8 after byte {}.", e.valid_up_to()),
        )
    })?;
    let shape = scan(text, &members.lists);
    if shape == Shape::Good
        && let Ok(value) = serde_json::from_str(text)
        && !(text.contains("null") && holds_choice_as_object(text, members))
    {
        return Ok(value);
    }
    Err(explain::<T>(text, shape, members))
}

/// What one pass over the bytes can tell. For text that is not JSON it tells nothing.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
enum Shape {
    Good,
    TooDeep,
    ArrayForObject,
}

fn scan(text: &str, lists: &HashSet<String>) -> Shape {
    let bytes = text.as_bytes();
    let mut depth = 0usize;
    // Where the inside of the last string stands.
    let mut string = 0..0;
    let mut at = 0;
    loop {
        // What is neither a string nor a frame says nothing here, eight bytes at a time.
        while let Some(eight) = bytes.get(at..).and_then(<[u8]>::first_chunk::<8>) {
            let clear = framing(u64::from_le_bytes(*eight)).trailing_zeros() as usize / 8;
            at += clear;
            if clear < 8 {
                break;
            }
        }
        let Some(byte) = bytes.get(at) else {
            break;
        };
        match byte {
            b'"' => {
                string = at + 1..end_of_string(bytes, at + 1);
                at = string.end;
            }
            b'{' | b'[' => {
                depth += 1;
                if depth > DEEPEST {
                    return Shape::TooDeep;
                }
                if *byte == b'[' {
                    let between = text.get(string.end + 1..at).unwrap_or_default();
                    let name = text.get(string.clone()).unwrap_or_default();
                    let is_value = between.trim_matches([' ', '\t', '\n', '\r']) == ":";
                    if !is_value || !is_list(name, lists) {
                        return Shape::ArrayForObject;
                    }
                }
            }
            b'}' | b']' => depth = depth.saturating_sub(1),
            _ => {}
        }
        at += 1;
    }
    Shape::Good
}

/// Where the quote stands that ends the string whose inside begins at `at`; the end of the bytes
/// where there is none. Looks at eight bytes at a time.
fn end_of_string(bytes: &[u8], mut at: usize) -> usize {
    loop {
        if let Some(eight) = bytes.get(at..).and_then(<[u8]>::first_chunk::<8>) {
            let clear = marked(u64::from_le_bytes(*eight)).trailing_zeros() as usize / 8;
            at += clear;
            if clear == 8 {
                continue;
            }
        }
        match bytes.get(at) {
            Some(b'"') => return at,
            Some(b'\\') => at += 2,
            Some(_) => at += 1,
            None => return bytes.len(),
        }
    }
}

/// Whether the member named by the inside of a JSON string may hold a list.
fn is_list(raw: &str, lists: &HashSet<String>) -> bool {
    if raw.contains('\\') {
        return serde_json::from_str::<String>(&format!("\"{raw}\""))
            .is_ok_and(|name| lists.contains(&name));
    }
    lists.contains(raw)
}

/// Whether an object stands in the place of a choice, in a body that reads well otherwise.
fn holds_choice_as_object(text: &str, members: &Members) -> bool {
    let (walk, _) = walk(text, members);
    walk.object.is_some()
}

fn walk<'a>(text: &str, members: &'a Members) -> (Walk<'a>, serde_json::Result<()>) {
    let mut walk = Walk {
        members,
        path: String::new(),
        doubled: None,
        array: None,
        object: None,
    };
    let mut reader = serde_json::Deserializer::from_str(text);
    let root = Place {
        walk: &mut walk,
        list_allowed: false,
        object_allowed: true,
    };
    let walked = root.deserialize(&mut reader).and_then(|()| reader.end());
    (walk, walked)
}

/// Finds out what is wrong with a body that could not be read.
fn explain<T: DeserializeOwned>(text: &str, shape: Shape, members: &Members) -> Problem {
    if shape == Shape::TooDeep {
        return Problem::new(
            Code::TooDeep,
            format!("Nested more than {DEEPEST} levels deep."),
        );
    }
    let (walk, walked) = walk(text, members);
    if let Some(pointer) = walk.doubled {
        let detail = "this member occurs twice in one object: keep one";
        return Problem::new(Code::DuplicateMember, format!("{pointer}: {detail}"))
            .with(ErrorEntry::at("duplicate_member", pointer, detail));
    }
    // The walk may also stop at a number beyond a double, which is JSON all the same.
    if walked.is_err()
        && let Err(error) = serde_json::from_str::<IgnoredAny>(text)
    {
        return Problem::new(Code::NotJson, not_json(&error));
    }
    if let Some(pointer) = walk.array {
        return Problem::input(
            "wrong_type",
            pointer,
            "an array is not accepted here: expected an object or a single value",
        );
    }
    let mut reader = serde_json::Deserializer::from_str(text);
    match serde_path_to_error::deserialize::<_, T>(&mut reader) {
        Ok(_) => match walk.object {
            Some(pointer) => Problem::input(
                "wrong_type",
                pointer,
                "an object is not accepted here: expected the choice itself, as a string",
            ),
            // The body reads well the second time: nothing it holds can explain that.
            None => Problem::internal(),
        },
        Err(error) => shape_problem(text, error.path(), &error.inner().to_string()),
    }
}

fn not_json(error: &serde_json::Error) -> String {
    if error.is_eof() && error.line() <= 1 && error.column() == 0 {
        return "The body is empty.".to_owned();
    }
    format!(
        "Reading stopped at line {}, column {}: {}.",
        error.line(),
        error.column(),
        without_position(&error.to_string())
    )
}

/// serde_json's message without the line and column it appends.
fn without_position(message: &str) -> &str {
    message
        .rfind(" at line ")
        .filter(|at| {
            message.get(at + 9..).is_some_and(|rest| {
                rest.bytes()
                    .all(|b| b.is_ascii_digit() || b" column".contains(&b))
            })
        })
        .and_then(|at| message.get(..at))
        .unwrap_or(message)
}

fn push_token(pointer: &mut String, name: &str) {
    pointer.push('/');
    for c in name.chars() {
        match c {
            '~' => pointer.push_str("~0"),
            '/' => pointer.push_str("~1"),
            c => pointer.push(c),
        }
    }
}

/// Turns serde's path and words into a pointer and ours.
fn shape_problem(text: &str, path: &serde_path_to_error::Path, message: &str) -> Problem {
    let mut pointer = String::new();
    let mut last = "";
    for segment in path {
        last = "";
        match segment {
            Segment::Seq { index } => {
                let _ = write!(pointer, "/{index}");
            }
            Segment::Map { key } | Segment::Enum { variant: key } => {
                push_token(&mut pointer, key);
                last = key;
            }
            Segment::Unknown => {}
        }
    }
    let mut message = without_position(message);
    if let Some((member, detail)) = split_sub_problem(message) {
        pointer.push('/');
        pointer.push_str(member);
        message = detail;
    }
    if let Some((name, rest)) = quoted_after(message, "missing field ") {
        push_token(&mut pointer, name);
        let detail = match rest.strip_prefix(": ") {
            Some(expected) => format!("missing: {expected}"),
            None => format!("missing: expected the member `{name}`"),
        };
        return Problem::input("missing", pointer, detail);
    }
    if let Some((name, rest)) = quoted_after(message, "unknown field ") {
        if last != name {
            push_token(&mut pointer, name);
        }
        let members = names_in(rest);
        let mut detail = format!("`{}` is not a member here", shortened(name));
        match nearest(name, &members) {
            Some(near) => {
                let _ = write!(detail, ": did you mean `{near}`? Expected one of ");
            }
            None if members.is_empty() => detail.push_str(": expected none"),
            None => detail.push_str(": expected one of "),
        }
        detail.push_str(&members.join(", "));
        return Problem::input("unknown_member", pointer, detail);
    }
    if let Some((name, rest)) = quoted_after(message, "unknown variant ") {
        let variants = names_in(rest);
        // A tag is a member of its object, a plain choice is the value itself.
        if last != name && is_object_with(text, &pointer, name) {
            push_token(&mut pointer, name);
        }
        let near = nearest(name, &variants)
            .map(|n| format!(" did you mean `{n}`?"))
            .unwrap_or_default();
        return Problem::input(
            "unknown",
            pointer,
            format!(
                "`{}` is not one of the choices:{near} expected one of {}",
                shortened(name),
                variants.join(", ")
            ),
        );
    }
    if message.starts_with("invalid type: ") || message.starts_with("invalid length ") {
        let detail = message.replacen("invalid type: ", "", 1);
        return Problem::input("wrong_type", pointer, plain_types(&detail));
    }
    if message.starts_with("expected value") {
        let detail = match second_member(text, &pointer) {
            Some(second) => {
                push_token(&mut pointer, &second);
                "one member too many: expected an object with exactly one, which names the choice"
            }
            None => {
                "null or a number: expected the name of a choice, or an object with exactly one member, which names it"
            }
        };
        return Problem::input("wrong_type", pointer, detail);
    }
    Problem::input("invalid_value", pointer, message)
}

/// serde's type words as a person says them: "null, expected struct Batch".
fn plain_types(detail: &str) -> String {
    let Some((found, expected)) = detail.rsplit_once(", expected ") else {
        return detail.to_owned();
    };
    let expected = match expected.split_once(' ') {
        Some(("struct", _)) => "an object".to_owned(),
        Some(("enum", _)) => "the name of a choice, or an object with one member".to_owned(),
        _ if expected.starts_with("struct variant") => "an object".to_owned(),
        _ if expected == "map" => "an object".to_owned(),
        _ if expected == "unit" => "the choice itself, as a string".to_owned(),
        _ if expected.contains("sequence") => "a list".to_owned(),
        _ => expected.to_owned(),
    };
    let found = match found {
        "map" => "an object",
        "sequence" => "a list",
        other => other,
    };
    format!("{found} is not accepted: expected {expected}")
}

/// The name in backquotes that follows `start`, and what comes after it.
fn quoted_after<'a>(message: &'a str, start: &str) -> Option<(&'a str, &'a str)> {
    message
        .strip_prefix(start)?
        .strip_prefix('`')?
        .split_once("`, expected ")
        .or_else(|| {
            message
                .strip_prefix(start)?
                .strip_prefix('`')?
                .split_once("`, there ")
        })
        .or_else(|| {
            message
                .strip_prefix(start)?
                .strip_prefix('`')?
                .rsplit_once('`')
        })
}

/// Every name that stands in backquotes.
fn names_in(text: &str) -> Vec<&str> {
    text.split('`').skip(1).step_by(2).collect()
}

fn shortened(name: &str) -> String {
    const LONGEST: usize = 60;
    if name.chars().count() <= LONGEST {
        return name.to_owned();
    }
    name.chars().take(LONGEST).chain("...".chars()).collect()
}

/// The member that was probably meant: the same stem with another unit, or a slip of the pen.
fn nearest<'a>(name: &str, members: &[&'a str]) -> Option<&'a str> {
    let name: String = name.chars().take(64).collect();
    members
        .iter()
        .map(|m| (distance(&name, m), shared_stem(&name, m), *m))
        .filter(|(distance, stem, member)| *distance <= 1 + member.len() / 5 || *stem > 0)
        .min_by_key(|(distance, stem, _)| (usize::MAX - stem, *distance))
        .map(|(_, _, member)| member)
}

/// Length of the common stem when both names are that stem and a unit.
fn shared_stem(a: &str, b: &str) -> usize {
    let common = a
        .split('_')
        .zip(b.split('_'))
        .take_while(|(x, y)| x == y)
        .map(|(x, _)| x.len())
        .sum::<usize>();
    if common >= 4 { common } else { 0 }
}

/// Edits that turn one word into the other.
fn distance(a: &str, b: &str) -> usize {
    let b: Vec<char> = b.chars().collect();
    let mut row: Vec<usize> = (0..=b.len()).collect();
    for (i, x) in a.chars().enumerate() {
        let mut corner = i;
        let mut left = i + 1;
        for (cell, y) in row.iter_mut().skip(1).zip(&b) {
            let here = (*cell + 1).min(left + 1).min(corner + usize::from(x != *y));
            corner = *cell;
            *cell = here;
            left = here;
        }
        if let Some(first) = row.first_mut() {
            *first = i + 1;
        }
    }
    row.last().copied().unwrap_or(usize::MAX)
}

fn second_member(text: &str, pointer: &str) -> Option<String> {
    let value: serde_json::Value = serde_json::from_str(text).ok()?;
    value.pointer(pointer)?.as_object()?.keys().nth(1).cloned()
}

fn is_object_with(text: &str, pointer: &str, name: &str) -> bool {
    serde_json::from_str::<serde_json::Value>(text)
        .ok()
        .and_then(|v| v.pointer(pointer)?.as_object()?.get(name).map(|_| ()))
        .is_some()
}

/// Walks any JSON and notes the first doubled member, misplaced array and misplaced object.
struct Walk<'a> {
    members: &'a Members,
    path: String,
    doubled: Option<String>,
    array: Option<String>,
    object: Option<String>,
}

struct Place<'w, 'a> {
    walk: &'w mut Walk<'a>,
    list_allowed: bool,
    object_allowed: bool,
}

impl<'de> DeserializeSeed<'de> for Place<'_, '_> {
    type Value = ();

    fn deserialize<D: Deserializer<'de>>(self, deserializer: D) -> Result<(), D::Error> {
        deserializer.deserialize_any(self)
    }
}

impl<'de> Visitor<'de> for Place<'_, '_> {
    type Value = ();

    fn expecting(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        f.write_str("JSON")
    }

    fn visit_bool<E>(self, _: bool) -> Result<(), E> {
        Ok(())
    }
    fn visit_i64<E>(self, _: i64) -> Result<(), E> {
        Ok(())
    }
    fn visit_u64<E>(self, _: u64) -> Result<(), E> {
        Ok(())
    }
    fn visit_f64<E>(self, _: f64) -> Result<(), E> {
        Ok(())
    }
    fn visit_str<E>(self, _: &str) -> Result<(), E> {
        Ok(())
    }
    fn visit_unit<E>(self) -> Result<(), E> {
        Ok(())
    }

    fn visit_seq<A: SeqAccess<'de>>(self, mut seq: A) -> Result<(), A::Error> {
        if !self.list_allowed && self.walk.array.is_none() {
            self.walk.array = Some(self.walk.path.clone());
        }
        let length = self.walk.path.len();
        for index in 0usize.. {
            let _ = write!(self.walk.path, "/{index}");
            let item = seq.next_element_seed(Place {
                walk: self.walk,
                list_allowed: false,
                object_allowed: self.object_allowed,
            })?;
            self.walk.path.truncate(length);
            if item.is_none() {
                break;
            }
        }
        Ok(())
    }

    fn visit_map<A: MapAccess<'de>>(self, mut map: A) -> Result<(), A::Error> {
        if !self.object_allowed && self.walk.object.is_none() {
            self.walk.object = Some(self.walk.path.clone());
        }
        let length = self.walk.path.len();
        let mut seen = HashSet::new();
        while let Some(name) = map.next_key::<String>()? {
            push_token(&mut self.walk.path, &name);
            let list_allowed = self.walk.members.lists.contains(&name);
            let object_allowed = self.walk.members.objects.contains(&name);
            if !seen.insert(name) {
                self.walk.doubled = Some(self.walk.path.clone());
                map.next_value::<IgnoredAny>()?;
                return Err(A::Error::custom("a member occurs twice"));
            }
            map.next_value_seed(Place {
                walk: self.walk,
                list_allowed,
                object_allowed,
            })?;
            self.walk.path.truncate(length);
        }
        Ok(())
    }
}

#[cfg(test)]
mod tests;
