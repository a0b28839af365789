//! The entries of the list of wastes that fit a container, and what may be done with it here.

use super::Site;
use super::codes::Findings;
use super::result::{
    Hazardous, ListCandidate, MaterialFinding, Property, Standing, ToTest, TreatmentFinding,
    TreatmentVerdict, WasteListFinding,
};
use crate::batch::{Batch, BatchKind, BatchStatus};
use crate::quantity::Litres;
use crate::waste::contents::Certainty;
use crate::waste::rule_set::{ListEntry, MaterialKind, RuleSet};

/// The entries that fit; a single one that is hazardous by its words also becomes a code.
pub(super) fn find(
    batch: &Batch,
    rules: &RuleSet,
    found: &mut Findings,
) -> Option<WasteListFinding> {
    if rules.list.is_empty() {
        return None;
    }
    let candidates: Vec<&crate::waste::rule_set::ListRule> = rules
        .list
        .iter()
        .filter(|l| {
            l.kinds.contains(&batch.kind)
                && (l.statuses.is_empty()
                    || l.statuses
                        .contains(&batch.status.unwrap_or(BatchStatus::Spent)))
        })
        .collect();
    let choice = rules
        .list_choice
        .iter()
        .find(|c| candidates.len() != 1 && c.kinds.contains(&batch.kind));
    // Where every entry that fits is hazardous by its words, so is the waste, whichever is chosen.
    let settled =
        !candidates.is_empty() && candidates.iter().all(|c| c.entry == ListEntry::Hazardous);
    if settled {
        for entry in &candidates {
            found.code(
                &entry.code,
                Property::Listed,
                if candidates.len() == 1 {
                    Certainty::Known
                } else {
                    Certainty::Presumed
                },
                format!(
                    "The list of waste: {}; hazardous by its entry.",
                    entry.title
                ),
                None,
                entry.rule,
            );
        }
    }
    if candidates.len() != 1 {
        // Of an entry with a twin the properties decide; one that is hazardous by its words decides itself.
        let decides = candidates.iter().any(|c| c.entry == ListEntry::Hazardous);
        let questions = if decides {
            &mut found.to_test
        } else {
            &mut found.to_ask
        };
        questions.push(ToTest {
            what: "Which entry of the list of waste it is".to_owned(),
            how: "Ask the authority or the contractor.".to_owned(),
            why: "No one entry fits it alone.".to_owned(),
        });
    }
    Some(WasteListFinding {
        candidates: candidates
            .iter()
            .map(|c| ListCandidate {
                code: c.code.clone(),
                title: c.title.clone(),
                entry: c.entry,
                authority: c.rule,
            })
            .collect(),
        choice: choice.map(|c| c.text.clone()),
        choice_authority: choice.map(|c| c.rule),
    })
}

/// That a container holds more than a treatment may be of at a time, where its least volume does.
fn over(batch: &Batch, most: Litres) -> Option<String> {
    let volume = batch.volume_l.as_ref()?;
    let least = volume.as_f64() - volume.half_width_95().unwrap_or(0.0);
    (least > most.as_f64()).then(|| {
        format!(
            "It does not fit this container as it is: {} L are more than {} L at a time.",
            volume.decimal(),
            most.decimal()
        )
    })
}

/// What each treatment rule says of this container. Only "no" is ever certain.
pub(super) fn treatments(
    batch: &Batch,
    site: &Site,
    findings: &Findings,
    hazardous: Hazardous,
) -> Vec<TreatmentFinding> {
    if hazardous == Hazardous::NotIndicated {
        return Vec::new();
    }
    site.rules
        .treatment
        .iter()
        .map(|rule| {
            let other = rule
                .only_property
                .and_then(|p| findings.codes.iter().find(|c| c.property != p));
            let off_list = !rule.only_codes.is_empty()
                && !findings.list.as_ref().is_some_and(|l| {
                    l.candidates
                        .iter()
                        .any(|c| rule.only_codes.contains(&c.code))
                });
            let off_limit = rule.at_most_l.and_then(|most| over(batch, most));
            let does_not_fit = if let Some(code) = other {
                Some(format!("It does not fit this container: {}.", code.code))
            } else if off_list {
                Some(format!(
                    "It does not fit this container: it names only {}.",
                    rule.only_codes.join(", ")
                ))
            } else {
                off_limit
            };
            let verdict = match (&does_not_fit, rule.allowed) {
                (Some(_), _) | (None, Some(false)) => TreatmentVerdict::DoesNotFit,
                // A waste of which no property is known yet has not that one alone.
                (None, Some(true))
                    if rule.only_property.is_none() || !findings.codes.is_empty() =>
                {
                    TreatmentVerdict::OnItsCondition
                }
                (None, _) => TreatmentVerdict::Ask,
            };
            TreatmentFinding {
                what: &rule.name,
                verdict,
                text: does_not_fit.map_or(rule.text.as_str().into(), |why| {
                    [rule.text.as_str(), why.as_str()].join(" ").into()
                }),
                authority: rule.rule,
            }
        })
        .collect()
}

/// What the law takes the material for when something is reclaimed from it.
pub(super) fn material(
    batch: &Batch,
    standing: Standing,
    rules: &'static RuleSet,
) -> Option<MaterialFinding> {
    let kind = match (batch.kind, batch.status) {
        (BatchKind::UnusedChemical, _) | (_, Some(BatchStatus::Unused)) => {
            MaterialKind::UnusedProduct
        }
        (BatchKind::Sludge | BatchKind::SpentCartridge, _) => MaterialKind::Sludge,
        (BatchKind::Drip, _) => MaterialKind::ByProduct,
        _ if standing == Standing::AtWork => return None,
        _ => MaterialKind::SpentMaterial,
    };
    let rule = rules.material.iter().find(|m| m.kind == kind)?;
    Some(MaterialFinding {
        kind,
        text: &rule.text,
        authority: rule.rule,
    })
}
