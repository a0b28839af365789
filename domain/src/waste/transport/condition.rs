//! Whether the conditions of a rule hold for a container, each in words.

use super::data::{Bounds, Condition, Ends};
use super::item::Item;
use super::span::{Span, Truth};
use crate::batch::BatchStatus;
use crate::batch::PhysicalForm;
use crate::quantity::{Unit, write_significant};
use crate::waste::contents::Certainty;

/// What one condition came to.
pub(super) struct Found {
    pub truth: Truth,
    /// What is so, or what must be found out where it is open.
    pub text: Option<String>,
    /// What the row wants of it, where it is open.
    pub wanted: Option<String>,
}

impl Found {
    const fn new(truth: Truth, text: Option<String>) -> Self {
        Self {
            truth,
            text,
            wanted: None,
        }
    }

    /// Open: what is to be found out, and what the row wants of it.
    const fn wants(what: String, wanted: String) -> Self {
        Self {
            truth: Truth::Open,
            text: Some(what),
            wanted: Some(wanted),
        }
    }
}

/// What must be found out, and what the row wants of it where that is a figure.
pub(super) struct Open {
    pub what: String,
    pub wanted: Option<String>,
}

/// What the other rules came to, where a rule asks.
#[derive(Clone, Copy)]
pub(super) struct Around {
    /// The surest row of the same table so far.
    pub so_far: Truth,
    pub reportable: Truth,
}

/// All conditions together: the weakest decides, and every open one says what to find out.
pub(super) struct Weighed {
    pub truth: Truth,
    pub findings: Vec<String>,
    pub to_find_out: Vec<Open>,
}

/// Weighs the conditions of a rule.
pub(super) fn weigh(when: &[Condition], item: &Item<'_>, around: Around) -> Weighed {
    let mut out = Weighed {
        truth: Truth::Yes,
        findings: Vec::new(),
        to_find_out: Vec::new(),
    };
    for condition in when {
        let found = find(condition, item, around);
        out.truth = out.truth.min(found.truth);
        match found.truth {
            Truth::No => return out,
            Truth::Open => out.to_find_out.extend(found.text.map(|what| Open {
                what,
                wanted: found.wanted,
            })),
            Truth::Yes => out.findings.extend(found.text),
        }
    }
    out
}

fn find(condition: &Condition, item: &Item<'_>, around: Around) -> Found {
    let plain = |truth| Found::new(truth, None);
    match condition {
        Condition::Form(form) => form_is(*form, item),
        Condition::Kind(kinds) => plain(Truth::of(kinds.contains(&item.batch.kind))),
        Condition::Holds(one) => plain(Truth::of(item.holds(one))),
        Condition::Alone(with) => plain(item.alone(with)),
        Condition::NotAlone(with) => plain(item.alone(with).not()),
        Condition::Share(of) => {
            let (span, names) = item.share(&of.of);
            shares(span, of.ends(), &names, "by mass")
        }
        Condition::HazardShare(of) => {
            let (span, names) = item.hazard_share(&of.hazards);
            if names.is_empty() {
                return plain(Truth::No);
            }
            shares(span, of.ends(), &names, "by mass")
        }
        Condition::Alcohol(bounds) => {
            let names = ["alcohol".to_owned()];
            item.alcohol.map_or_else(
                || {
                    let text = "How much alcohol it holds, in per cent by volume.".to_owned();
                    Found::new(Truth::Open, Some(text))
                },
                |span| shares(span, bounds.ends(), &names, "by volume"),
            )
        }
        Condition::Group(group) => item.contents.source_of(*group).map_or_else(
            || plain(Truth::No),
            |held| {
                let text = match held.certainty {
                    Certainty::Known => format!("It holds {}.", held.group.words()),
                    _ => format!("It is taken to hold {}.", held.group.words()),
                };
                Found::new(Truth::Yes, Some(text))
            },
        ),
        Condition::Lacks(group) => plain(Truth::of(!item.contents.holds(*group))),
        Condition::FlashPoint(bounds) => {
            let flash = item.batch.flash_point_c.as_ref().map(Span::of);
            reading("flash point (closed cup)", flash, bounds)
        }
        Condition::BoilingPoint(bounds) => {
            let boiling = item.batch.boiling_point_c.as_ref().map(Span::of);
            reading("initial boiling point", boiling, bounds)
        }
        Condition::Ph(bounds) => reading("pH", item.ph(), bounds),
        Condition::HazardousWaste(wanted) => {
            let (truth, text) = &item.manifest;
            let truth = if *wanted { *truth } else { truth.not() };
            Found::new(truth, Some(text.clone()))
        }
        Condition::Reportable(wanted) => {
            let truth = if *wanted {
                around.reportable
            } else {
                around.reportable.not()
            };
            let text = "Whether a reportable quantity is in the package.";
            Found::new(truth, (truth == Truth::Open).then(|| text.to_owned()))
        }
        Condition::Spent(wanted) => {
            let spent = match item.batch.status {
                Some(BatchStatus::Spent | BatchStatus::Treated) => Truth::Yes,
                Some(BatchStatus::InUse | BatchStatus::Unused) => Truth::No,
                None if item.batch.waste_since.is_some() => Truth::Yes,
                None => Truth::Open,
            };
            plain(if *wanted { spent } else { spent.not() })
        }
        Condition::Otherwise(_) => plain(around.so_far.not()),
        Condition::Test(what) => Found::new(Truth::Open, Some(what.clone())),
    }
}

fn form_is(form: PhysicalForm, item: &Item<'_>) -> Found {
    match item.form {
        Some(known) => Found::new(Truth::of(known == form), None),
        None => {
            let text = "Whether it travels as a liquid or as a solid, and whether free liquid stands over a solid: state its form.";
            Found::new(Truth::Open, Some(text.to_owned()))
        }
    }
}

/// An interval as a person reads it, to three digits.
fn in_words(span: Span) -> String {
    let digits = |x: f64| write_significant(x, 3);
    if span.low == span.high {
        digits(span.low)
    } else {
        format!("{} to {}", digits(span.low), digits(span.high))
    }
}

/// The ends of a rule in words.
fn ends_in_words(ends: Ends) -> String {
    let mut words = Vec::new();
    for (end, before) in [
        (ends.above, "above"),
        (ends.from, "at or above"),
        (ends.below, "below"),
        (ends.up_to, "not above"),
    ] {
        if let Some(end) = end {
            words.push(format!("{before} {}", write_significant(end, 4)));
        }
    }
    words.join(" and ")
}

fn shares(span: Span, ends: Ends, names: &[String], by: &str) -> Found {
    let truth = span.keeps(ends);
    if names.is_empty() {
        return Found::new(truth, None);
    }
    let names = names.join(", ");
    let wanted = ends_in_words(ends);
    if truth == Truth::Open {
        let what = format!("How much {names} it holds, per cent {by}");
        return Found::wants(what, format!("{wanted} %"));
    }
    let text = format!("{names}: {} % {by}, {wanted} %.", in_words(span));
    Found::new(truth, Some(text))
}

fn reading<U: Unit>(what: &str, known: Option<Span>, bounds: &Bounds<U>) -> Found {
    let ends = bounds.ends();
    let wanted = ends_in_words(ends);
    let unit = if U::SYMBOL == "pH" { "" } else { U::SYMBOL };
    let space = if unit.is_empty() { "" } else { " " };
    let Some(span) = known else {
        return Found::wants(format!("Its {what}"), format!("{wanted}{space}{unit}"));
    };
    let truth = span.keeps(ends);
    let read = in_words(span);
    if truth == Truth::Open {
        let what = format!("Its {what}, read as {read}{space}{unit}");
        return Found::wants(what, format!("{wanted}{space}{unit}"));
    }
    let text = format!("Its {what} is {read}{space}{unit}, {wanted}.");
    Found::new(truth, Some(text))
}
