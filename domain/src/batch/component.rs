//! One substance in a batch.

use crate::fault::{Fault, FaultKind};
use crate::quantity::{
    Identifier, MeasuredGramsPerLitre, MeasuredMolesPerLitre, MeasuredPercentWW,
};
use serde::{Deserialize, Serialize};
use std::fmt;

/// One dissolved or contained substance. At most one of the three amounts may be given.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[cfg_attr(feature = "openapi", derive(utoipa::ToSchema))]
#[serde(deny_unknown_fields)]
pub struct Component {
    /// Id of the substance; one we do not know is "not known to be safe".
    pub substance: Identifier,
    /// Grams per litre.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub g_per_l: Option<MeasuredGramsPerLitre>,
    /// Moles per litre.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub mol_per_l: Option<MeasuredMolesPerLitre>,
    /// Percent by mass.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub percent_w_w: Option<MeasuredPercentWW>,
}

impl Component {
    /// A substance of which no amount is known.
    #[must_use]
    pub const fn named(substance: Identifier) -> Self {
        Self {
            substance,
            g_per_l: None,
            mol_per_l: None,
            percent_w_w: None,
        }
    }
}

/// Most substances one composition may list.
pub const MOST_COMPONENTS: usize = 50;

/// What is wrong with a composition: two amounts for one substance, and too many substances. `at` is the
/// place of what it belongs to.
pub(super) fn composition_faults(composition: &[Component], at: impl fmt::Display) -> Vec<Fault> {
    let mut faults = Vec::new();
    for (i, part) in composition.iter().enumerate() {
        let given = [
            part.g_per_l.is_some(),
            part.mol_per_l.is_some(),
            part.percent_w_w.is_some(),
        ];
        if given.iter().filter(|g| **g).count() > 1 {
            faults.push(Fault::new(
                FaultKind::Conflict,
                format!("{at}/composition/{i}"),
                "two amounts for one substance: expected one of g_per_l, mol_per_l, percent_w_w, or none",
            ));
        }
    }
    if composition.len() > MOST_COMPONENTS {
        faults.push(Fault::new(
            FaultKind::TooMany,
            format!("{at}/composition"),
            format!(
                "{} substances: expected at most {MOST_COMPONENTS}",
                composition.len()
            ),
        ));
    }
    faults
}
