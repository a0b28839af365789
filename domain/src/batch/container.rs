//! The vessel that a batch stands in.

use crate::fault::{Fault, FaultKind};
use crate::quantity::{Litres, Percent, Text};
use serde::{Deserialize, Serialize};
use std::fmt;

/// What a vessel is made of.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, Serialize, Deserialize)]
#[cfg_attr(feature = "openapi", derive(utoipa::ToSchema))]
#[serde(rename_all = "snake_case")]
pub enum VesselMaterial {
    /// Glass.
    Glass,
    /// Polyethylene.
    Polyethylene,
    /// Polypropylene.
    Polypropylene,
    /// Polyvinyl chloride.
    Pvc,
    /// Plain or coated steel.
    Steel,
    /// Stainless steel.
    StainlessSteel,
    /// Aluminium.
    Aluminium,
    /// Something else.
    Other,
}

impl VesselMaterial {
    /// The material in words.
    #[must_use]
    pub const fn words(self) -> &'static str {
        match self {
            Self::Glass => "glass",
            Self::Polyethylene => "polyethylene",
            Self::Polypropylene => "polypropylene",
            Self::Pvc => "PVC",
            Self::Steel => "steel",
            Self::StainlessSteel => "stainless steel",
            Self::Aluminium => "aluminium",
            Self::Other => "another material",
        }
    }
}

/// The vessel. Its masses, full and empty, stand at the batch.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[cfg_attr(feature = "openapi", derive(utoipa::ToSchema))]
#[serde(deny_unknown_fields)]
pub struct Container {
    /// What it is, such as "5 L polyethylene jug".
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub description: Option<Text>,
    /// What it holds when full.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub capacity_l: Option<Litres>,
    /// Whether its cap vents.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub vented: Option<bool>,
    /// What it is made of.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub material: Option<VesselMaterial>,
    /// How full it is.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub fill_percent: Option<Percent>,
    /// Whether it stands in a second vessel that would hold all of it.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub secondary_containment: Option<bool>,
    /// Whether the label of what was in it before is off.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub old_label_removed: Option<bool>,
    /// Where it stands.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub place: Option<Text>,
}

impl Container {
    /// Bad values: no capacity, a fill that its own volume denies.
    /// Whether so much goes into it; two jug marks of 5 % may stand between them.
    #[must_use]
    pub(crate) fn has_room_for(&self, volume_l: f64) -> bool {
        self.capacity_l.is_none_or(|capacity| {
            volume_l <= capacity.as_f64() * (1.0 + FILL_MAY_DIFFER_PERCENT / 100.0)
        })
    }

    pub(super) fn faults(&self, volume_l: Option<f64>, at: impl fmt::Display) -> Vec<Fault> {
        let mut faults = Vec::new();
        let capacity = self.capacity_l.map(|c| c.as_f64());
        if capacity == Some(0.0) {
            faults.push(Fault::out_of_range(
                format!("{at}/capacity_l"),
                0,
                "more than 0 L",
            ));
        }
        if let Some(volume) = volume_l.filter(|v| capacity != Some(0.0) && !self.has_room_for(*v)) {
            faults.push(Fault::new(
                FaultKind::Conflict,
                format!("{at}/capacity_l"),
                format!("{volume} L in it: expected a capacity_l that holds so much"),
            ));
            return faults;
        }
        let Some(fill) = self.fill_percent else {
            return faults;
        };
        if let (Some(capacity), Some(volume)) = (capacity, volume_l)
            && capacity > 0.0
            && (volume / capacity * 100.0 - fill.as_f64()).abs() > FILL_MAY_DIFFER_PERCENT
        {
            faults.push(Fault::new(
                FaultKind::Conflict,
                format!("{at}/fill_percent"),
                format!(
                    "{} % full, but volume_l and capacity_l say {:.0} %: expected them to agree within {FILL_MAY_DIFFER_PERCENT} points",
                    fill.decimal(),
                    volume / capacity * 100.0
                ),
            ));
        }
        faults
    }
}

/// How far a stated fill may stand from what volume and capacity say: two jug marks of 5 % each.
const FILL_MAY_DIFFER_PERCENT: f64 = 10.0;
