//! Reads the text of a rule-set file and finds every fault in it, each with its pointer.

use super::rule::{ListEntry, Rule, RuleQuantity};
use crate::fault::{Fault, FaultKind};
use crate::quantity::{Kilometres, parse_number};
use serde::Deserialize;
use serde::de::value::{Error, StrDeserializer};
use std::collections::BTreeSet;
use toml::{Table, Value};

/// One table of the file, of which every member must be read.
pub(super) struct Reader<'a> {
    table: &'a Table,
    at: String,
    known: BTreeSet<&'static str>,
}

impl<'a> Reader<'a> {
    pub fn new(table: &'a Table, at: impl Into<String>) -> Self {
        Self {
            table,
            at: at.into(),
            known: BTreeSet::new(),
        }
    }

    fn member(&mut self, name: &'static str) -> Option<&'a Value> {
        self.known.insert(name);
        self.table.get(name)
    }

    fn pointer(&self, name: &str) -> String {
        format!("{}/{name}", self.at)
    }

    fn wrong(&self, name: &str, value: &Value, expected: &str, faults: &mut Vec<Fault>) {
        faults.push(Fault::new(
            FaultKind::OutOfRange,
            self.pointer(name),
            format!("{value}: expected {expected}"),
        ));
    }

    /// A text that is not empty.
    pub fn text(&mut self, name: &'static str, faults: &mut Vec<Fault>) -> Option<String> {
        let value = self.member(name)?;
        match value.as_str().map(str::trim) {
            Some(text) if !text.is_empty() => Some(text.to_owned()),
            _ => {
                self.wrong(name, value, "a text that is not empty", faults);
                None
            }
        }
    }

    /// A text that must be there; empty where it is not, with the fault.
    pub fn needed(
        &mut self,
        name: &'static str,
        what: &str,
        faults: &mut Vec<Fault>,
    ) -> Option<String> {
        if !self.table.contains_key(name) {
            self.known.insert(name);
            faults.push(Fault::missing(self.pointer(name), what));
            return None;
        }
        self.text(name, faults)
    }

    /// A list of texts; empty where it is absent.
    pub fn texts(&mut self, name: &'static str, faults: &mut Vec<Fault>) -> Vec<String> {
        let Some(value) = self.member(name) else {
            return Vec::new();
        };
        let list = value.as_array().map(|list| {
            list.iter()
                .filter_map(|v| v.as_str().map(str::to_owned))
                .collect::<Vec<_>>()
        });
        match list {
            Some(texts) if value.as_array().is_some_and(|l| l.len() == texts.len()) => texts,
            _ => {
                self.wrong(name, value, "a list of texts", faults);
                Vec::new()
            }
        }
    }

    /// A word of a closed set.
    fn choice<T: for<'de> Deserialize<'de>>(
        &mut self,
        name: &'static str,
        faults: &mut Vec<Fault>,
    ) -> Option<T> {
        let word = self.text(name, faults)?;
        let pointer = self.pointer(name);
        parsed(&word, pointer, faults)
    }

    fn choices<T: for<'de> Deserialize<'de>>(
        &mut self,
        name: &'static str,
        faults: &mut Vec<Fault>,
    ) -> Vec<T> {
        let words = self.texts(name, faults);
        let at = self.pointer(name);
        words
            .iter()
            .enumerate()
            .filter_map(|(i, word)| parsed(word, format!("{at}/{i}"), faults))
            .collect()
    }

    fn yes_or_no(&mut self, name: &'static str, faults: &mut Vec<Fault>) -> Option<bool> {
        let value = self.member(name)?;
        if value.as_bool().is_none() {
            self.wrong(name, value, "true or false", faults);
        }
        value.as_bool()
    }

    /// A plain decimal, as a text or a number of the file.
    fn decimal(&mut self, name: &'static str, faults: &mut Vec<Fault>) -> Option<String> {
        let value = self.member(name)?;
        let text = match value {
            Value::String(text) => text.clone(),
            Value::Integer(whole) => whole.to_string(),
            _ => String::new(),
        };
        match parse_number(&text) {
            Ok(_) => Some(text),
            Err(_) => {
                self.wrong(
                    name,
                    value,
                    "a decimal number in quotes, such as \"0.7\"",
                    faults,
                );
                None
            }
        }
    }

    fn weights(&mut self, faults: &mut Vec<Fault>) -> Vec<u32> {
        let Some(value) = self.member("weights") else {
            return Vec::new();
        };
        let list: Option<Vec<u32>> = value.as_array().and_then(|list| {
            list.iter()
                .map(|v| v.as_integer().and_then(|n| u32::try_from(n).ok()))
                .collect()
        });
        if list.is_none() {
            self.wrong("weights", value, "a list of whole numbers", faults);
        }
        list.unwrap_or_default()
    }

    /// Every member that nobody asked for is a fault.
    pub fn end(self, faults: &mut Vec<Fault>) {
        for name in self.table.keys() {
            if !self.known.contains(name.as_str()) {
                let known: Vec<&str> = self.known.iter().copied().collect();
                faults.push(Fault::new(
                    FaultKind::Unknown,
                    format!("{}/{}", self.at, name.replace('~', "~0").replace('/', "~1")),
                    format!("not a member: expected one of {}", known.join(", ")),
                ));
            }
        }
    }
}

fn kilometres(text: &str, at: &str, faults: &mut Vec<Fault>) -> Option<Kilometres> {
    Kilometres::parse(text)
        .map_err(|words| {
            let pointer = format!("{at}/haul_more_than_km");
            faults.push(Fault::new(FaultKind::OutOfRange, pointer, words));
        })
        .ok()
}

fn parsed<T: for<'de> Deserialize<'de>>(
    word: &str,
    pointer: String,
    faults: &mut Vec<Fault>,
) -> Option<T> {
    let read: Result<T, Error> = T::deserialize(StrDeserializer::new(word));
    match read {
        Ok(value) => Some(value),
        Err(error) => {
            let words = error.to_string().replace("unknown variant ", "");
            faults.push(Fault::new(FaultKind::Unknown, pointer, words));
            None
        }
    }
}

/// One `[[rule]]`, or nothing where a member without which it is no rule is missing or wrong.
pub(super) fn read_rule(table: &Table, at: &str, faults: &mut Vec<Fault>) -> Option<Rule> {
    let mut r = Reader::new(table, at);
    let id = r.needed("id", "a name that no other rule of the file has", faults);
    let quantity: Option<RuleQuantity> = match table.get("quantity") {
        Some(_) => r.choice("quantity", faults),
        None => {
            r.needed(
                "quantity",
                "what the rule limits, such as discharge_limit",
                faults,
            );
            None
        }
    };
    let applies_to = r.needed("applies_to", "what the rule applies to, in words", faults);
    let clause = r.needed(
        "clause",
        "the clause, or the number and date of the permit",
        faults,
    );
    let source = r.needed("source", "where the text is", faults);
    let edition = r.needed(
        "edition",
        "the edition or date of the text you read",
        faults,
    );
    let status = match table.get("status") {
        Some(_) => r.choice("status", faults),
        None => {
            r.needed(
                "status",
                "read_primary, read_secondary or unverified",
                faults,
            );
            None
        }
    };
    let comparison = r.choice("comparison", faults);
    let value = r.decimal("value", faults);
    let unit = r.choice("unit", faults);
    let entry: Option<ListEntry> = r.choice("entry", faults);
    let rest = Rule {
        id: id.unwrap_or_default(),
        quantity: quantity.unwrap_or(RuleQuantity::Never),
        applies_to: applies_to.unwrap_or_default(),
        comparison,
        value,
        unit,
        text: r.text("text", faults),
        code: r.text("code", faults),
        element: r.text("element", faults),
        substance: r.text("substance", faults),
        hazards: r.texts("hazards", faults),
        weights: r.weights(faults),
        categories: r.texts("categories", faults),
        kinds: r.choices("kinds", faults),
        statuses: r.choices("statuses", faults),
        entry,
        when: r.choice("when", faults),
        words: r.text("words", faults),
        keep_for: r.text("keep_for", faults),
        starts: r.choice("starts", faults),
        trigger: r.text("trigger", faults),
        acute: r.yes_or_no("acute", faults),
        haul_more_than_km: r
            .decimal("haul_more_than_km", faults)
            .and_then(|km| kilometres(&km, at, faults)),
        indicative: r.yes_or_no("indicative", faults),
        allowed: r.yes_or_no("allowed", faults),
        only_property: r.choice("only_property", faults),
        only_codes: r.texts("only_codes", faults),
        material: r.choice("material", faults),
        sampling_point: r.text("sampling_point", faults),
        averaging: r.text("averaging", faults),
        dilution_allowed: r.yes_or_no("dilution_allowed", faults),
        clause: clause.unwrap_or_default(),
        source: source.unwrap_or_default(),
        edition: edition.unwrap_or_default(),
        status: status.unwrap_or(crate::bibliography::SourceStatus::Unverified),
    };
    r.end(faults);
    // A rule with a fault is still looked at for more faults, but never used: the file is refused.
    quantity.map(|_| rest)
}

/// Every `[[rule]]` of the file with its pointer.
pub(super) fn rules_of(file: &mut Reader<'_>, faults: &mut Vec<Fault>) -> Vec<(Rule, String)> {
    let Some(value) = file.member("rule") else {
        return Vec::new();
    };
    let Some(list) = value.as_array() else {
        file.wrong("rule", value, "rules, each under [[rule]]", faults);
        return Vec::new();
    };
    let mut out = Vec::new();
    for (i, entry) in list.iter().enumerate() {
        let at = format!("/rule/{i}");
        match entry.as_table() {
            Some(rule) => out.extend(read_rule(rule, &at, faults).map(|r| (r, at))),
            None => file.wrong("rule", entry, "rules, each under [[rule]]", faults),
        }
    }
    out
}
