//! Which hazard pictograms a container carries. What they look like is the renderers' matter.

use super::facts;
use serde::{Deserialize, Serialize};

/// A hazard pictogram of the globally harmonized system.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, Serialize, Deserialize)]
#[cfg_attr(feature = "openapi", derive(utoipa::ToSchema))]
#[serde(rename_all = "snake_case")]
pub enum Pictogram {
    /// May explode.
    ExplodingBomb,
    /// Burns.
    Flame,
    /// Makes other things burn.
    FlameOverCircle,
    /// Eats skin, eyes or metal.
    Corrosion,
    /// Kills or poisons at once.
    SkullAndCrossbones,
    /// Harms, irritates or sensitizes skin.
    ExclamationMark,
    /// Harms over time.
    HealthHazard,
    /// Kills water life.
    Environment,
}

impl Pictogram {
    /// Every pictogram, in the order of a label.
    pub const ALL: [Self; 8] = [
        Self::ExplodingBomb,
        Self::Flame,
        Self::FlameOverCircle,
        Self::Corrosion,
        Self::SkullAndCrossbones,
        Self::ExclamationMark,
        Self::HealthHazard,
        Self::Environment,
    ];

    /// What it shows, in words.
    #[must_use]
    pub const fn words(self) -> &'static str {
        match self {
            Self::ExplodingBomb => "explosive",
            Self::Flame => "flammable",
            Self::FlameOverCircle => "oxidizing",
            Self::Corrosion => "corrosive",
            Self::SkullAndCrossbones => "poison",
            Self::ExclamationMark => "harmful",
            Self::HealthHazard => "health hazard",
            Self::Environment => "harms water life",
        }
    }
}

/// The pictograms of these hazard statements, in the order of a label. Where the skull stands, the
/// exclamation mark does not (CLP, Article 26(1)(b), unverified).
#[must_use]
pub fn pictograms_of(codes: &[&str]) -> Vec<Pictogram> {
    let mut out: Vec<Pictogram> = codes
        .iter()
        .filter_map(|code| facts::statement(code)?.pictogram)
        .collect();
    out.sort_unstable();
    out.dedup();
    if out.contains(&Pictogram::SkullAndCrossbones) {
        out.retain(|p| *p != Pictogram::ExclamationMark);
    }
    out
}
