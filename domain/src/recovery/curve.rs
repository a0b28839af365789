//! What a dose of a reagent leaves of the silver, point by point.

use super::floor::{milligrams, unsolved};
use super::text;
use crate::answer::Method;
use crate::chemistry::dosing::{DosePoint, dose_curve, least_silver};
use crate::chemistry::reagent::Reagent;
use crate::chemistry::system::{Mixture, System};
use crate::quantity::{ComputedGrams, ComputedMilligramsPerLitre, ComputedPh, Identifier};
use serde::Serialize;

/// How a dose curve is found.
pub(super) const CURVE: Method = Method {
    name: "dose curve",
    formula: "the liquor with the silver as estimated, solved at 25 °C for each dose and the water it is dissolved in; the least by golden section; mg per kg of water stands for mg/L",
    source: "equilibrium_judgement",
};

/// Silver left in solution against the dose of a reagent, at equilibrium.
///
/// The silver is taken as estimated. It shows the shape (too little, enough, too much), not what a
/// jug reaches: silver that has not settled comes on top, and no limit may rest on it.
#[derive(Debug, Clone, PartialEq, Serialize)]
#[cfg_attr(feature = "openapi", derive(utoipa::ToSchema))]
pub struct DoseCurve {
    /// Id of the reagent.
    pub reagent: Identifier,
    /// The curve, the smallest dose first.
    pub points: Vec<DoseCurvePoint>,
    /// The dose that would leave the least.
    pub least: DoseCurvePoint,
    /// The dose of the plan, which covers the silver at the upper end of its interval.
    pub advised: DoseCurvePoint,
    /// The dose, beyond the least, at which the residual has doubled from the least: the gain is
    /// spent, although little may dissolve yet. Null where it never doubles.
    pub doubled_at_g: Option<ComputedGrams>,
    /// The dose up to which the residual stays within twice that of the advised dose (or of the
    /// least, where that is the larger dose): more than this does harm. Null where no dose reaches it.
    pub safe_up_to_g: Option<ComputedGrams>,
    /// What the curve says, in a sentence or two.
    pub text: String,
}

/// One point of a dose curve.
#[derive(Debug, Clone, Copy, PartialEq, Serialize)]
#[cfg_attr(feature = "openapi", derive(utoipa::ToSchema))]
pub struct DoseCurvePoint {
    /// Reagent added.
    pub added_g: ComputedGrams,
    /// Silver left in solution.
    pub residual_silver_mg_per_l: ComputedMilligramsPerLitre,
    /// pH then.
    pub ph: ComputedPh,
}

/// A reagent as it goes into a liquor.
pub(super) struct Dosing<'a> {
    /// Id of the substance.
    pub substance: &'a Identifier,
    /// The substance with the water it is dissolved in.
    pub reagent: &'a Reagent,
    /// Grams of the substance, without that water, in a mole.
    pub grams_per_mol: f64,
    /// What the silver as estimated takes, atom for atom, mol.
    pub stoichiometric_mol: f64,
    /// The dose of the plan, mol.
    pub advised_mol: f64,
}

/// Points below the stoichiometric dose, as shares of it: the fall is steep near its end.
const BELOW: [f64; 11] = [
    0.5, 0.6, 0.7, 0.8, 0.87, 0.92, 0.95, 0.97, 0.985, 0.995, 1.0,
];
/// Points beyond it, each the same number of times farther from it than the one before.
const BEYOND: u8 = 30;
/// Most of a reagent beyond the stoichiometric dose that is looked at, mol per kg of water.
const MOST_EXCESS: f64 = 1.0;

impl Dosing<'_> {
    fn point(&self, point: &DosePoint) -> DoseCurvePoint {
        DoseCurvePoint {
            added_g: ComputedGrams::of(point.dose_mol * self.grams_per_mol),
            residual_silver_mg_per_l: ComputedMilligramsPerLitre::of(
                point.residual_silver_mg_per_kg,
            ),
            ph: ComputedPh::of(point.ph),
        }
    }

    fn at(&self, liquor: &Mixture, dose_mol: f64) -> Result<DosePoint, String> {
        dose_curve(System::at_25_c(), liquor, self.reagent, &[dose_mol])
            .map_err(unsolved)?
            .pop()
            .ok_or_else(|| "No dose was given.".to_owned())
    }

    /// The dose above `from` at which the residual is twice that of `from`, up to `most_mol`.
    fn doubled(
        &self,
        liquor: &Mixture,
        from: &DosePoint,
        most_mol: f64,
    ) -> Result<Option<f64>, String> {
        let limit = 2.0 * from.residual_silver_mg_per_kg;
        let (mut low, mut high) = (from.dose_mol, most_mol);
        if high <= low || self.at(liquor, high)?.residual_silver_mg_per_kg < limit {
            return Ok(None);
        }
        // A scale shows no more than four digits.
        while high - low > 1e-5 * high {
            let middle = 0.5 * (low + high);
            if self.at(liquor, middle)?.residual_silver_mg_per_kg < limit {
                low = middle;
            } else {
                high = middle;
            }
        }
        Ok(Some(low))
    }

    /// The curve of this reagent in a liquor.
    ///
    /// # Errors
    /// Why there is none, in words.
    pub fn curve(&self, liquor: &Mixture) -> Result<DoseCurve, String> {
        let exact = self.stoichiometric_mol;
        let most = exact + MOST_EXCESS * liquor.water_kg;
        let least = least_silver(System::at_25_c(), liquor, self.reagent, 0.9 * exact, most)
            .map_err(unsolved)?;
        let advised = self.at(liquor, self.advised_mol)?;
        let doubled = self.doubled(liquor, &least, most)?;
        let later = if advised.dose_mol > least.dose_mol {
            &advised
        } else {
            &least
        };
        let safe = self.doubled(liquor, later, most)?;

        // From well inside the least excess to where the residual is clearly worse.
        let excess_of = |dose: f64| (dose - exact).max(1e-4 * exact.max(1e-6));
        let first = 0.03 * excess_of(least.dose_mol);
        let last = (3.0 * excess_of(later.dose_mol))
            .max(1.5 * safe.map_or(0.0, excess_of))
            .max(10.0 * first)
            .min(MOST_EXCESS * liquor.water_kg);
        let ratio = (last / first).powf(1.0 / f64::from(BEYOND - 1));
        let doses: Vec<f64> = BELOW
            .iter()
            .map(|share| share * exact)
            .chain((0..BEYOND).map(|i| exact + first * ratio.powi(i32::from(i))))
            .collect();
        let points = dose_curve(System::at_25_c(), liquor, self.reagent, &doses)
            .map_err(unsolved)?
            .iter()
            .map(|p| self.point(p))
            .collect();
        let grams = |mol: f64| mol * self.grams_per_mol;
        Ok(DoseCurve {
            reagent: self.substance.clone(),
            points,
            least: self.point(&least),
            advised: self.point(&advised),
            doubled_at_g: doubled.map(|d| ComputedGrams::of(grams(d))),
            safe_up_to_g: safe.map(|d| ComputedGrams::of(grams(d))),
            text: self.text(&least, &advised, safe.map(grams)),
        })
    }

    fn text(&self, least: &DosePoint, advised: &DosePoint, safe_g: Option<f64>) -> String {
        let grams = |p: &DosePoint| text::three(p.dose_mol * self.grams_per_mol);
        let beyond = safe_g.map_or_else(String::new, |g| {
            format!(
                " From about {} g on it would be twice that: too much takes silver back into solution.",
                text::three(g)
            )
        });
        format!(
            "If the silver is as estimated, {} g would leave the least by the equilibrium, {}; the {} g of the plan would leave {} and are enough for the upper end of the silver too.{beyond} Fines that have not settled come on top of every figure of the curve, and no limit may rest on it.",
            grams(least),
            milligrams(least.residual_silver_mg_per_kg),
            grams(advised),
            milligrams(advised.residual_silver_mg_per_kg),
        )
    }
}
