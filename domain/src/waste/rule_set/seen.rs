//! One rule under examination: what a rule of its kind needs, or the fault where it lacks it.

use super::rule::{Comparison, Rule, RuleUnit};
use crate::fault::{Fault, FaultKind};
use crate::quantity::{Day, Quantity, Unit};

/// A rule with its place in the file, for faults.
pub(super) struct Seen<'a> {
    pub rule: &'a Rule,
    pub at: &'a str,
    pub faults: Vec<Fault>,
}

impl Seen<'_> {
    pub fn missing(&mut self, member: &str, needed: &str) {
        self.faults
            .push(Fault::missing(format!("{}/{member}", self.at), needed));
    }

    /// The value in the one unit this kind of rule is written in.
    pub fn value<U: Unit>(&mut self, unit: RuleUnit, written: &str) -> Option<Quantity<U>> {
        match self.rule.unit {
            None => self.missing("unit", written),
            Some(found) if found != unit => self.faults.push(Fault::new(
                FaultKind::Conflict,
                format!("{}/unit", self.at),
                format!("not the unit of such a rule: expected {written}"),
            )),
            Some(_) => {}
        }
        let Some(text) = &self.rule.value else {
            self.missing("value", "a decimal number in quotes, such as \"0.7\"");
            return None;
        };
        match Quantity::parse(text) {
            Ok(value) => Some(value),
            Err(words) => {
                self.faults.push(Fault::new(
                    FaultKind::OutOfRange,
                    format!("{}/value", self.at),
                    words,
                ));
                None
            }
        }
    }

    /// The value as a count of whole days.
    pub fn days(&mut self) -> Option<i64> {
        let days = self.value::<Day>(RuleUnit::Days, "d")?.decimal();
        let whole = i64::try_from(days)
            .ok()
            .filter(|d| *d > 0 && days.fract().is_zero());
        if whole.is_none() {
            self.faults.push(Fault::out_of_range(
                format!("{}/value", self.at),
                days,
                "a whole number of days, 1 or more",
            ));
        }
        whole
    }

    pub fn compared(&mut self, allowed: &[Comparison], written: &str) -> Option<Comparison> {
        match self.rule.comparison {
            Some(found) if allowed.contains(&found) => return Some(found),
            None => self.missing("comparison", written),
            Some(_) => self.faults.push(Fault::new(
                FaultKind::Conflict,
                format!("{}/comparison", self.at),
                format!("not a comparison of such a rule: expected {written}"),
            )),
        }
        None
    }

    pub fn text(&mut self, member: &str, found: Option<&String>, needed: &str) -> Option<String> {
        if found.is_none() {
            self.missing(member, needed);
        }
        found.cloned()
    }

    pub fn words(&mut self) -> Option<String> {
        self.text("text", self.rule.text.as_ref(), "the rule, in words")
    }

    pub fn code(&mut self) -> Option<String> {
        self.text(
            "code",
            self.rule.code.as_ref(),
            "the code a waste bears by it",
        )
    }

    pub fn element(&mut self) -> Option<String> {
        self.text(
            "element",
            self.rule.element.as_ref(),
            "an element, such as silver",
        )
    }

    pub fn category(&mut self) -> Option<String> {
        let first = self.rule.categories.first();
        self.text("categories", first, "the category it holds for")
    }

    pub fn some<T>(&mut self, member: &str, list: &[T], needed: &str) {
        if list.is_empty() {
            self.missing(member, needed);
        }
    }
}
