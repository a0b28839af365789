//! Whether a refiner takes a lot at all. What cannot be judged becomes a condition, never a yes.

use super::lot::{Bulk, PreparedLot};
use super::terms::{Acceptance, Constituent};
use crate::answer::Notes;
use crate::batch::LotForm;
use crate::batch::{Batch, Component, Craft};
use crate::quantity::write_decimal;
use crate::substance::{Group, Substance, substance};
use rust_decimal::Decimal;
use rust_decimal::prelude::ToPrimitive as _;
use serde::Serialize;

/// The rule that a lot meets or does not meet.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, Serialize)]
#[cfg_attr(feature = "openapi", derive(utoipa::ToSchema))]
#[serde(rename_all = "snake_case")]
pub enum AcceptanceRule {
    /// Forms taken.
    Form,
    /// Least mass.
    MinimumMass,
    /// Greatest mass.
    MaximumMass,
    /// Moisture.
    Moisture,
    /// Free liquid.
    FreeLiquid,
    /// A constituent refused whatever its amount.
    RefusedConstituent,
    /// A constituent taken up to a limit.
    ConstituentLimit,
    /// A sample approved beforehand.
    ApprovalSample,
}

/// Why a lot is not accepted, or what must be settled before it is sent.
#[derive(Debug, Clone, PartialEq, Eq, Serialize)]
#[cfg_attr(feature = "openapi", derive(utoipa::ToSchema))]
pub struct AcceptanceReason {
    /// The rule.
    pub rule: AcceptanceRule,
    /// The reason, with its figures.
    pub text: String,
}

/// What acceptance found.
#[derive(Debug, Clone, Default, PartialEq, Eq)]
pub(crate) struct Judged {
    /// Reasons for which the lot is refused.
    pub refused: Vec<AcceptanceReason>,
    /// What must be settled before it is sent.
    pub conditions: Vec<AcceptanceReason>,
}

impl Judged {
    fn refuse(&mut self, rule: AcceptanceRule, text: String) {
        self.refused.push(AcceptanceReason { rule, text });
    }

    fn ask(&mut self, rule: AcceptanceRule, text: String) {
        self.conditions.push(AcceptanceReason { rule, text });
    }
}

const USUALLY_REFUSED: &[Constituent] = &[
    Constituent::Cyanide,
    Constituent::Mercury,
    Constituent::Ammonia,
];

/// Judges a lot against what the refiner takes.
pub(crate) fn judge(
    lot: &PreparedLot<'_>,
    bulks: &[Bulk],
    mass_kg: Option<Decimal>,
    acceptance: &Acceptance,
    acceptance_at: &str,
    notes: &mut Notes,
) -> Judged {
    let mut judged = Judged::default();
    form(lot.form, acceptance, &mut judged);
    mass(mass_kg, acceptance, &mut judged);
    wetness(lot, acceptance, &mut judged);
    refused_constituents(lot, acceptance, acceptance_at, &mut judged, notes);
    limits(lot, bulks, mass_kg, acceptance, &mut judged);
    if acceptance.approval_sample_needed == Some(true) && lot.sample_approved != Some(true) {
        judged.ask(
            AcceptanceRule::ApprovalSample,
            "The refiner wants to approve a sample first: send one and wait for the answer."
                .to_owned(),
        );
    }
    judged
}

/// Judges a product that is still to be made: form and mass; its constituents are asked about.
pub(crate) fn judge_product(
    product: LotForm,
    mass_kg: Option<Decimal>,
    acceptance: &Acceptance,
) -> Judged {
    let mut judged = Judged::default();
    form(product, acceptance, &mut judged);
    mass(mass_kg, acceptance, &mut judged);
    for limit in &acceptance.limits {
        judged.ask(
            AcceptanceRule::ConstituentLimit,
            format!(
                "The refiner limits {} in the product: have it analysed.",
                limit.constituent.words()
            ),
        );
    }
    judged
}

fn form(form: LotForm, acceptance: &Acceptance, judged: &mut Judged) {
    if let Some(forms) = &acceptance.forms
        && !forms.contains(&form)
    {
        let taken: Vec<&str> = forms.iter().map(|f| f.words()).collect();
        judged.refuse(
            AcceptanceRule::Form,
            format!(
                "The refiner does not take {}: only {}.",
                form.words(),
                taken.join(", ")
            ),
        );
    }
}

fn mass(mass_kg: Option<Decimal>, acceptance: &Acceptance, judged: &mut Judged) {
    let least = acceptance.minimum_mass_kg.map(|m| m.decimal());
    let most = acceptance.maximum_mass_kg.map(|m| m.decimal());
    let Some(mass) = mass_kg else {
        if least.is_some() || most.is_some() {
            judged.ask(
                AcceptanceRule::MinimumMass,
                "Weigh the lot: the refiner sets a mass, and this one is not known.".to_owned(),
            );
        }
        return;
    };
    let kg = |d: Decimal| write_decimal(d.round_dp(3));
    if let Some(least) = least
        && mass < least
    {
        judged.refuse(
            AcceptanceRule::MinimumMass,
            format!(
                "The lot is {} kg; the refiner takes {} kg or more.",
                kg(mass),
                kg(least)
            ),
        );
    }
    if let Some(most) = most
        && mass > most
    {
        judged.refuse(
            AcceptanceRule::MaximumMass,
            format!(
                "The lot is {} kg; the refiner takes {} kg or less.",
                kg(mass),
                kg(most)
            ),
        );
    }
}

fn wetness(lot: &PreparedLot<'_>, acceptance: &Acceptance, judged: &mut Judged) {
    // A solution is all liquid: only the list of forms speaks about it.
    if lot.form == LotForm::Solution {
        return;
    }
    if let Some(most) = acceptance.maximum_moisture_percent {
        match lot.moisture_percent {
            Some(have) if have > most => judged.refuse(
                AcceptanceRule::Moisture,
                format!(
                    "Moisture is {} %; the refiner takes {} % or less.",
                    write_decimal(have.decimal()),
                    write_decimal(most.decimal())
                ),
            ),
            Some(_) => {}
            None => judged.ask(
                AcceptanceRule::Moisture,
                format!(
                    "Moisture is not stated; the refiner takes {} % or less. Ask how it should arrive before drying anything.",
                    write_decimal(most.decimal())
                ),
            ),
        }
    }
    if acceptance.free_liquid_allowed == Some(false) {
        match lot.free_liquid {
            Some(true) => judged.refuse(
                AcceptanceRule::FreeLiquid,
                "The lot stands in free liquid, which the refiner does not take: decant and drain it first."
                    .to_owned(),
            ),
            Some(false) => {}
            None => judged.ask(
                AcceptanceRule::FreeLiquid,
                "The refiner takes no free liquid: decant and drain the lot before packing.".to_owned(),
            ),
        }
    }
}

fn holders<'a>(lot: &PreparedLot<'a>, constituent: Constituent) -> Vec<&'a Batch> {
    lot.batches
        .iter()
        .filter(|b| b.holds(constituent))
        .map(|b| b.batch)
        .collect()
}

fn names(batches: &[&Batch]) -> String {
    let names: Vec<&str> = batches.iter().map(|b| b.id.as_str()).collect();
    names.join(", ")
}

fn refused_constituents(
    lot: &PreparedLot<'_>,
    acceptance: &Acceptance,
    acceptance_at: &str,
    judged: &mut Judged,
    notes: &mut Notes,
) {
    let refused = acceptance.refused.as_deref().unwrap_or_else(|| {
        notes.assume(
            "/outcome",
            format!("{acceptance_at}/refused"),
            "haulier_practice",
            "The refiner is taken to refuse cyanide, mercury and ammonia (common practice, no source).",
        );
        USUALLY_REFUSED
    });
    // Cyanide has one answer whatever the terms say.
    let cyanide = (!refused.contains(&Constituent::Cyanide)).then_some(&Constituent::Cyanide);
    for constituent in refused.iter().chain(cyanide) {
        let found = holders(lot, *constituent);
        if found.is_empty() {
            continue;
        }
        let text = if *constituent == Constituent::Cyanide {
            format!(
                "Cyanide in {} (a fixer of unstated type in a collodion studio counts as cyanide): keep it closed, alkaline and apart; a licensed contractor takes it.",
                names(&found)
            )
        } else {
            format!(
                "The refiner refuses {}, which is in {}.",
                constituent.words(),
                names(&found)
            )
        };
        judged.refuse(AcceptanceRule::RefusedConstituent, text);
    }
}

fn limits(
    lot: &PreparedLot<'_>,
    bulks: &[Bulk],
    mass_kg: Option<Decimal>,
    acceptance: &Acceptance,
    judged: &mut Judged,
) {
    for limit in &acceptance.limits {
        let what = limit.constituent.words();
        let most = write_decimal(limit.most_percent.decimal());
        let found = holders(lot, limit.constituent);
        if found.is_empty() {
            if let Some(text) = suspected(lot, limit.constituent) {
                judged.ask(
                    AcceptanceRule::ConstituentLimit,
                    format!("{text} The refiner refuses more than {most} % of it."),
                );
            }
            continue;
        }
        let content = mass_kg
            .and_then(|m| m.to_f64())
            .filter(|m| *m > 0.0)
            .zip(content_kg(lot, bulks, limit.constituent));
        match content {
            Some((mass, content)) => {
                let percent = 100.0 * content / mass;
                if percent > limit.most_percent.as_f64() {
                    judged.refuse(
                        AcceptanceRule::ConstituentLimit,
                        format!(
                            "The lot holds {percent:.3} % of {what}; the refiner refuses more than {most} %."
                        ),
                    );
                }
            }
            None => judged.ask(
                AcceptanceRule::ConstituentLimit,
                format!(
                    "How much {what} is in {} is not stated, or the mass is not known; the refiner refuses more than {most} %. Have it analysed.",
                    names(&found)
                ),
            ),
        }
    }
}

/// Why a constituent that nobody stated may be there all the same.
pub(crate) fn suspected(lot: &PreparedLot<'_>, constituent: Constituent) -> Option<String> {
    let collodion = lot
        .batches
        .iter()
        .any(|b| b.batch.craft == Some(Craft::Collodion));
    (constituent == Constituent::Cadmium && collodion).then(|| {
        "Cadmium is not stated, but many collodion iodizers carry it into the bath: ask your supplier or have it analysed."
            .to_owned()
    })
}

/// Mass of the element in the lot; `None` as soon as one holder's amount is not known.
fn content_kg(lot: &PreparedLot<'_>, bulks: &[Bulk], constituent: Constituent) -> Option<f64> {
    let mut sum = 0.0;
    for (part, bulk) in lot.batches.iter().zip(bulks) {
        for component in &part.batch.composition {
            let Some(known) = substance(&component.substance) else {
                continue;
            };
            if known.is(group(constituent)) {
                sum += component_kg(component, known, bulk)? * element_share(known, constituent);
            }
        }
    }
    Some(sum)
}

const fn group(constituent: Constituent) -> Group {
    match constituent {
        Constituent::Cyanide => Group::Cyanide,
        Constituent::Mercury => Group::Mercury,
        Constituent::Ammonia => Group::Ammonia,
        Constituent::Cadmium => Group::Cadmium,
        Constituent::Selenium => Group::Selenium,
        Constituent::Lead => Group::Lead,
        Constituent::Chromate => Group::Chromate,
    }
}

fn component_kg(component: &Component, known: &Substance, bulk: &Bulk) -> Option<f64> {
    let per_litre = match (&component.g_per_l, &component.mol_per_l) {
        (Some(g), _) => Some(g.as_f64()),
        (None, Some(mol)) => Some(mol.as_f64() * known.molar_mass()?),
        (None, None) => None,
    };
    if let Some(grams) = per_litre {
        return Some(grams * bulk.volume_l?.to_f64()? / 1000.0);
    }
    let percent = component.percent_w_w.as_ref()?.as_f64();
    Some(percent / 100.0 * bulk.mass_kg?.to_f64()?)
}

/// Share of the element in a compound of one atom of it; the whole mass where the molar mass is
/// not known, which errs on the side of the limit.
fn element_share(known: &Substance, constituent: Constituent) -> f64 {
    let (symbol, atomic) = match constituent {
        Constituent::Cadmium => ("Cd", 112.414),
        Constituent::Selenium => ("Se", 78.971),
        Constituent::Lead => ("Pb", 207.2),
        Constituent::Mercury => ("Hg", 200.592),
        _ => return 1.0,
    };
    let one_atom = known.formula.as_ref().is_some_and(|f| {
        f.split_once(symbol)
            .is_some_and(|(_, rest)| !rest.starts_with(|c: char| c.is_ascii_digit() && c != '1'))
    });
    match known.molar_mass() {
        Some(molar) if one_atom && molar >= atomic => atomic / molar,
        _ => 1.0,
    }
}
