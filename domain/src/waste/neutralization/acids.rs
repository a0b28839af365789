//! Which acids a liquid holds, and how much of each.

use super::FROM_PH;
use super::acid_base::{AcidData, Liquor, data, single_ion_coefficient};
use super::blocks::refusal;
use crate::answer::Notes;
use crate::batch::{Batch, Component};
use crate::estimate::{Spread, batch_input};
use crate::fault::Fault;
use crate::procedure::Refusal;
use crate::statistics::{Inputs, Uncertain};
use crate::substance::{Group, substance};
use crate::waste::contents::ph_interval;

/// The acids of a liquid with how sure their concentrations are.
pub(super) struct Acids {
    pub list: Vec<(Uncertain, &'static AcidData)>,
    /// Where the only acid was read from its pH: the range of its concentration.
    pub from_ph: Option<(f64, f64)>,
}

impl Acids {
    pub fn liquor(&self) -> Liquor {
        Liquor {
            acids: self.list.iter().map(|(c, a)| (c.value(), *a)).collect(),
        }
    }
}

/// Groups that neither take up base nor set anything free with a carbonate.
const IDLE: &[Group] = &[
    Group::Acid,
    Group::StrongAcid,
    Group::OxidizingAcid,
    Group::HydrochloricAcid,
    Group::Nitrate,
    Group::Chloride,
    Group::Halide,
    Group::Alcohol,
    Group::Ether,
    Group::OrganicMatter,
    Group::Inert,
    Group::Ammonium,
];

/// The acids that the composition states; a refusal where an amount is needed and not known.
pub(super) fn acids_of(
    batch: &Batch,
    at: &str,
    inputs: &mut Inputs,
    notes: &mut Notes,
) -> Result<Result<Acids, Refusal>, Fault> {
    let ask = |reason: String| {
        Ok(Err(refusal(
            reason,
            &["Never dose by guess."],
            &[
                "State each acid in the composition with its amount: from the recipe, the bottle or a titration.",
                "Or send the liquid for collection as it is.",
            ],
        )))
    };
    let mut list = Vec::new();
    let mut unmeasured: Vec<&'static AcidData> = Vec::new();
    for (i, part) in batch.composition.iter().enumerate() {
        let id = part.substance.as_str();
        match data().acid.iter().find(|a| a.substance == id) {
            Some(acid) => {
                match amount(batch, part, &format!("{at}/composition/{i}"), inputs, notes)? {
                    Some(c) => list.push((c, acid)),
                    None => unmeasured.push(acid),
                }
            }
            None if substance(&part.substance).is_some_and(|s| {
                s.groups.iter().all(|g| IDLE.contains(g)) && !s.is(Group::Acid)
            }) => {}
            None => {
                return ask(format!(
                    "`{id}` may take up base, and no dose is worked out for it here."
                ));
            }
        }
    }
    match (unmeasured.as_slice(), list.is_empty()) {
        ([], false) => Ok(Ok(Acids {
            list,
            from_ph: None,
        })),
        ([], true) => ask(
            "No acid is named. The pH alone gives no dose: acetic acid or sulfite may hold far more acid than the pH shows."
                .to_owned(),
        ),
        ([only], true) if only.pk.is_empty() => {
            let (Some(reading), Some((low, high))) = (&batch.ph, ph_interval(batch)) else {
                return ask(format!(
                    "The amount of {} is not stated, and no pH was read.",
                    only.substance
                ));
            };
            notes.method("/base_g", FROM_PH);
            let ph = batch_input(
                at,
                inputs,
                notes,
                "ph",
                reading,
                Spread::HalfWidth(0.5),
                "read from pH paper",
            )?;
            let c = 10f64.powf(-ph.value());
            let most = 10f64.powf(-low);
            let activity = single_ion_coefficient(most);
            Ok(Ok(Acids {
                list: vec![(ph.mapped(c, -c * std::f64::consts::LN_10), only)],
                from_ph: Some((10f64.powf(-high) / c, most / activity / c)),
            }))
        }
        ([weak, ..], _) => ask(format!(
            "The amount of {} is not stated, and the pH alone does not show it: a weak acid, or a second acid, holds more than the pH says.",
            weak.substance
        )),
    }
}

/// Moles per litre of one component, where an amount is stated.
fn amount(
    batch: &Batch,
    part: &Component,
    at: &str,
    inputs: &mut Inputs,
    notes: &mut Notes,
) -> Result<Option<Uncertain>, Fault> {
    const BARE: Spread = Spread::Relative(5.0);
    const WORDS: &str = "taken as a recipe's figure";
    let molar = substance(&part.substance).and_then(|s| s.molar_mass());
    if let Some(c) = &part.mol_per_l {
        return batch_input(at, inputs, notes, "mol_per_l", c, BARE, WORDS).map(Some);
    }
    let Some(molar) = molar else { return Ok(None) };
    if let Some(c) = &part.g_per_l {
        let c = batch_input(at, inputs, notes, "g_per_l", c, BARE, WORDS)?;
        return Ok(Some(c.scaled(1.0 / molar)));
    }
    let Some(percent) = &part.percent_w_w else {
        return Ok(None);
    };
    let c = batch_input(at, inputs, notes, "percent_w_w", percent, BARE, WORDS)?;
    let density = batch.density_g_per_ml.map_or(1.0, |d| d.as_f64());
    Ok(Some(c.scaled(10.0 * density / molar)))
}
