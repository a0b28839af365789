//! One substance in a batch.

use crate::quantity::{
    Identifier, MeasuredGramsPerLitre, MeasuredMolesPerLitre, MeasuredPercentWW,
};
use serde::{Deserialize, Serialize};

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
