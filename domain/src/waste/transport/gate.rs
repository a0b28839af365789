//! Who may offer anything for carriage. What nobody answered is a no.

use super::data::{GateRule, GateSubject, TransportTable, rules, status_of};
use super::request::{Carriage, ShippingGate};
use super::result::{Gate, GateAnswer, GateFinding};
use crate::fault::{Fault, FaultKind};
use crate::quantity::Date;
use crate::waste::rule_set::RuleSet;

/// What the gate says where a question is open.
const SHUT: &str =
    "Nothing may be offered for carriage until every question answered with no is settled.";
const OPEN: &str =
    "Every question was answered with yes. That is what was stated; nobody here has checked it.";

/// A category that the rule set does not name.
pub(super) fn faults(gate: &ShippingGate, rules: &RuleSet, at: &str) -> Vec<Fault> {
    let Some(category) = &gate.generator_category else {
        return Vec::new();
    };
    let known: Vec<&str> = rules.category.iter().map(|c| c.id.as_str()).collect();
    if known.contains(&category.as_str()) {
        return Vec::new();
    }
    let expected = if known.is_empty() {
        format!("none, because `{}` names no categories", rules.id)
    } else {
        format!("one of {}", known.join(", "))
    };
    vec![Fault::new(
        FaultKind::Unknown,
        format!("{at}/generator_category"),
        format!("`{category}` is not a category of this rule set: expected {expected}"),
    )]
}

/// Asks every question that these tables ask.
pub(super) fn ask(stated: Option<&ShippingGate>, on: Date, tables: &[TransportTable]) -> Gate {
    let nothing = ShippingGate::default();
    let stated = stated.unwrap_or(&nothing);
    let questions: Vec<GateFinding> = rules()
        .question
        .iter()
        .filter(|q| q.table.is_none_or(|t| tables.contains(&t)))
        .map(|q| finding(q, stated, on))
        .collect();
    let passed = questions
        .iter()
        .all(|q| matches!(q.answer, GateAnswer::Yes | GateAnswer::NotAsked));
    Gate {
        passed_as_stated: passed,
        text: if passed { OPEN } else { SHUT },
        questions,
    }
}

fn finding(rule: &'static GateRule, stated: &ShippingGate, on: Date) -> GateFinding {
    let (answer, text) = answer(rule, stated, on);
    GateFinding {
        about: rule.id,
        question: rule.ask.clone(),
        answer,
        text,
        source: rule.source.as_str(),
        status: status_of(&rule.source),
    }
}

const fn said(answer: Option<bool>) -> GateAnswer {
    match answer {
        Some(true) => GateAnswer::Yes,
        Some(false) => GateAnswer::No,
        None => GateAnswer::NoUntilConfirmed,
    }
}

fn given(is: bool) -> GateAnswer {
    if is {
        GateAnswer::Yes
    } else {
        GateAnswer::NoUntilConfirmed
    }
}

fn answer(rule: &GateRule, stated: &ShippingGate, on: Date) -> (GateAnswer, String) {
    let own = match rule.id {
        GateSubject::Training => match stated.training_valid_until {
            Some(until) if until < on => {
                return (
                    GateAnswer::No,
                    format!("It was valid until {until}. {}", rule.no),
                );
            }
            until => given(until.is_some()),
        },
        GateSubject::Classified => given(stated.classified_by.is_some()),
        GateSubject::Packaging => said(stated.packaging_approved),
        GateSubject::Carrier => said(stated.carrier_accepts),
        GateSubject::PostAndParcel => return post_and_parcel(rule, stated),
        GateSubject::Receiver => said(stated.receiver_accepts),
        GateSubject::EmergencyTelephone => said(stated.telephone_answered),
        GateSubject::Category => given(stated.generator_category.is_some()),
        GateSubject::IdentificationNumber => {
            let smallest = stated
                .generator_category
                .as_ref()
                .is_some_and(|c| c.as_str() == "very_small");
            if let (None, true, Some(text)) =
                (&stated.identification_number, smallest, &rule.smallest)
            {
                return (GateAnswer::NotAsked, text.clone());
            }
            given(stated.identification_number.is_some())
        }
        GateSubject::RegisteredCarrier => said(stated.carrier_registered),
    };
    let text = match own {
        GateAnswer::Yes => "Stated so; not checked here.".to_owned(),
        _ => rule.no.clone(),
    };
    (own, text)
}

/// Post and parcel are a no until the service has confirmed; one's own vehicle is a question of its
/// own.
fn post_and_parcel(rule: &GateRule, stated: &ShippingGate) -> (GateAnswer, String) {
    match stated.carried_by {
        Some(Carriage::Carrier) => (
            GateAnswer::NotAsked,
            "A carrier or contractor takes it.".to_owned(),
        ),
        Some(Carriage::OwnVehicle) => (
            GateAnswer::NoUntilConfirmed,
            "Ask the authority whether the studio may carry this itself, and with what papers."
                .to_owned(),
        ),
        Some(Carriage::Parcel | Carriage::Post) => match stated.carrier_accepts {
            Some(true) => (
                GateAnswer::Yes,
                "The service is said to have agreed in writing; keep the letter with this sheet."
                    .to_owned(),
            ),
            Some(false) => (GateAnswer::No, rule.no.clone()),
            None => (GateAnswer::NoUntilConfirmed, rule.no.clone()),
        },
        None => (GateAnswer::NoUntilConfirmed, rule.no.clone()),
    }
}
