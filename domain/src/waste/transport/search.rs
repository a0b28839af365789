//! The search of the tables for one container: rows that fit or stay open, and what no row answers.

use super::condition::{Around, Open, Weighed, weigh};
use super::data::{CandidateRule, Condition, TransportTable, rules, status_of};
use super::item::{Item, name_of};
use super::quantities::limited;
use super::result::{Fit, TransportCandidate, TransportMark, TransportVerdict};
use super::span::Truth;
use crate::batch::BatchStatus;
use crate::substance::{TransportEntry, transport_entries, transport_numbers};

/// What was found for one container.
#[derive(Default)]
pub(super) struct Search {
    pub candidates: Vec<TransportCandidate>,
    asked: Vec<Asked>,
    /// Why no entry applies to a part of it.
    cleared: Vec<(&'static str, &'static str)>,
    accounted: Vec<String>,
}

/// One thing to find out, with what each row wants of it.
struct Asked {
    what: String,
    /// What is wanted, and the rows that want it.
    wanted: Vec<(String, Vec<String>)>,
}

impl Asked {
    fn in_words(&self) -> String {
        if self.wanted.is_empty() {
            return self.what.clone();
        }
        let wanted: Vec<String> = self
            .wanted
            .iter()
            .map(|(wanted, rows)| format!("{wanted} for {}", rows.join(" or ")))
            .collect();
        format!("{}: {}.", self.what, wanted.join("; "))
    }
}

impl Search {
    pub fn ask(&mut self, what: impl Into<String>) {
        self.asked(what.into());
    }

    fn asked(&mut self, what: String) -> &mut Asked {
        let known = self.asked.iter().position(|a| a.what == what);
        let place = known.unwrap_or(self.asked.len());
        if known.is_none() {
            let wanted = Vec::new();
            self.asked.push(Asked { what, wanted });
        }
        &mut self.asked[place]
    }

    /// Asks what a row wants to know.
    fn ask_for(&mut self, open: Open, row: &str) {
        let asked = self.asked(open.what);
        let Some(wanted) = open.wanted else {
            return;
        };
        match asked.wanted.iter_mut().find(|(w, _)| *w == wanted) {
            Some((_, rows)) if rows.iter().any(|r| r == row) => {}
            Some((_, rows)) => rows.push(row.to_owned()),
            None => asked.wanted.push((wanted, vec![row.to_owned()])),
        }
    }

    /// What is not known, in words: each thing once, with the rows that ask for it.
    pub fn to_find_out(&self) -> Vec<String> {
        self.asked.iter().map(Asked::in_words).collect()
    }

    pub fn rows(&mut self, item: &Item<'_>, table: TransportTable, around: &mut Around) {
        for rule in &rules().candidate {
            if rule.table.is_some_and(|t| t != table) {
                continue;
            }
            let mut weighed = weigh(&rule.when, item, *around);
            if weighed.truth == Truth::No {
                continue;
            }
            around.so_far = around.so_far.max(weighed.truth);
            let row = [rule.number.as_str(), &rule.packing_groups.join("/")].join(" ");
            for open in weighed.to_find_out.drain(..) {
                self.ask_for(open, row.trim_end());
            }
            self.accounted.extend(named_by(rule, item));
            for row in rows_of(rule, table) {
                self.candidates
                    .push(candidate(rule, row, table, &weighed, item));
            }
        }
        for rule in &rules().cleared {
            if rule.table.is_some_and(|t| t != table) {
                continue;
            }
            let weighed = weigh(&rule.when, item, *around);
            if weighed.truth == Truth::Yes {
                self.cleared.push((&rule.why, &rule.source));
                self.accounted.extend(rule.substances.iter().cloned());
            }
        }
    }

    /// Asks about what no rule and no table accounts for.
    pub fn strangers(&mut self, item: &Item<'_>, tables: &[TransportTable], around: Around) {
        for rule in &rules().open {
            let weighed = weigh(&rule.when, item, around);
            // A pH that nobody read asks nothing here; one that reaches over the end does.
            let near = weighed.truth == Truth::Open && item.batch.ph.is_some();
            if weighed.truth == Truth::Yes || near {
                self.ask(rule.ask.clone());
            }
        }
        for name in item.contents.unknown() {
            self.ask(format!("What `{name}` is: it is not a substance we know."));
        }
        if item.batch.composition.is_empty() {
            self.ask("What is dissolved or contained in it, with amounts: nothing was stated.");
        }
        for (part, _) in &item.parts {
            // Without a hazard class and without a row there is nothing to account for.
            let harmless = part.classes.is_some_and(|c| c.classes.is_empty())
                && transport_numbers(&part.id).is_empty();
            if !harmless && !self.accounted.contains(&part.id) {
                self.ask(format!(
                    "How {} is classed: no row that was read answers for it here; see section 14 of its safety data sheet.",
                    name_of(&part.id)
                ));
            }
        }
        let two = tables.len() > 1;
        if two {
            self.ask("Under which rules it travels: name a rule set.");
        }
        if item.batch.status == Some(BatchStatus::Treated) {
            self.ask("What is left in it after treatment: by a laboratory.");
        }
    }

    pub fn verdict(&self) -> (TransportVerdict, String) {
        if !self.asked.is_empty() {
            let rows = match self.candidates.len() {
                0 => "no row that was read can be named".to_owned(),
                1 => "one row may apply".to_owned(),
                n => format!("{n} rows may apply"),
            };
            let count = match self.asked.len() {
                1 => "1 thing is".to_owned(),
                n => format!("{n} things are"),
            };
            return (
                TransportVerdict::ToBeClassified,
                format!("{count} not known, and {rows}."),
            );
        }
        if !self.candidates.is_empty() {
            return (
                TransportVerdict::Candidates,
                "What was stated leads to what is listed; a competent person classifies."
                    .to_owned(),
            );
        }
        let mut reasons: Vec<&str> = self.cleared.iter().map(|c| c.0).collect();
        reasons.dedup();
        if reasons.is_empty() {
            reasons.push(
                "Nothing that was stated has a hazard class or a row in the tables that were read.",
            );
        }
        (
            TransportVerdict::NotRegulatedAsFarAsKnown,
            format!("{} A competent person confirms it.", reasons.join(" ")),
        )
    }

    pub fn sources(&self) -> impl Iterator<Item = &str> {
        let rows = self
            .candidates
            .iter()
            .flat_map(|c| [c.row_source.as_str(), c.rule_source]);
        rows.chain(self.cleared.iter().map(|c| c.1))
    }
}

/// The substances that a rule speaks of.
fn named_by(rule: &CandidateRule, item: &Item<'_>) -> Vec<String> {
    let mut names = Vec::new();
    for condition in &rule.when {
        match condition {
            Condition::Holds(ids) | Condition::Alone(ids) => names.extend(ids.iter().cloned()),
            Condition::HazardShare(of) => {
                names.extend(
                    item.parts
                        .iter()
                        .filter(|(p, _)| {
                            p.classes.is_some_and(|c| {
                                c.classes.iter().any(|k| of.hazards.contains(&k.hazard))
                            })
                        })
                        .map(|(p, _)| p.id.clone()),
                );
            }
            Condition::Group(group) => names.extend(
                item.batch
                    .known_substances()
                    .filter(|s| s.is(*group))
                    .map(|s| s.id.clone()),
            ),
            _ => {}
        }
    }
    names
}

fn rows_of(
    rule: &CandidateRule,
    table: TransportTable,
) -> impl Iterator<Item = &'static TransportEntry> + '_ {
    transport_entries().iter().filter(move |row| {
        row.table == table.id()
            && row.number == rule.number
            && (rule.packing_groups.is_empty()
                || row
                    .packing_group
                    .as_ref()
                    .is_some_and(|g| rule.packing_groups.contains(g)))
            && rule
                .row
                .as_ref()
                .is_none_or(|words| row.name.contains(words))
            && !rule
                .not_row
                .as_ref()
                .is_some_and(|words| row.name.contains(words))
    })
}

fn candidate(
    rule: &'static CandidateRule,
    row: &TransportEntry,
    table: TransportTable,
    weighed: &Weighed,
    item: &Item<'_>,
) -> TransportCandidate {
    TransportCandidate {
        rule: rule.id.as_str(),
        fit: if weighed.truth == Truth::Yes {
            Fit::Fits
        } else {
            Fit::Open
        },
        number: row.number.clone(),
        table,
        proper_shipping_name: row.name.clone(),
        class: row.class.clone(),
        subsidiary: row.subsidiary.clone(),
        packing_group: row.packing_group.clone(),
        limited_quantity: limited(row, item),
        reason: rule.why.clone(),
        findings: weighed.findings.clone(),
        changes: rule.changes.as_str(),
        row_source: row.source.clone(),
        row_edition: row.edition.clone(),
        row_status: row.status,
        rule_source: rule.source.as_str(),
        rule_status: status_of(&rule.source),
    }
}

/// The marks that a package of this may need; none where nothing may apply.
pub(super) fn marks(
    item: &Item<'_>,
    tables: &[TransportTable],
    around: Around,
    found: &Search,
) -> Vec<TransportMark> {
    if found.candidates.is_empty() {
        return Vec::new();
    }
    let surest = found.candidates.iter().map(|c| c.fit).min();
    rules()
        .mark
        .iter()
        .filter(|m| m.table.is_none_or(|t| tables.contains(&t)))
        .filter_map(|mark| {
            let fit = match weigh(&mark.when, item, around).truth {
                Truth::No => return None,
                Truth::Yes => surest.unwrap_or(Fit::Open),
                Truth::Open => Fit::Open,
            };
            Some(TransportMark {
                text: mark.text.as_str(),
                fit,
                source: mark.source.as_str(),
                status: status_of(&mark.source),
            })
        })
        .collect()
}

/// Rules that select no row in a table they are for; a test holds that there is none.
#[must_use]
pub fn rules_without_row() -> Vec<(&'static str, TransportTable)> {
    let mut out = Vec::new();
    for rule in &rules().candidate {
        for table in [TransportTable::Us, TransportTable::Adr] {
            if rule.table.is_none_or(|t| t == table) && rows_of(rule, table).next().is_none() {
                out.push((rule.id.as_str(), table));
            }
        }
    }
    out
}
