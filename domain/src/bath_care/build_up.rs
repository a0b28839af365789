//! What plates bring into a bath: halide that takes silver, nitrates that stay, spirits.

use super::IODIZER_BALANCE;
use super::facts::{Cation, facts, number, salt, salt_names};
use super::request::{BathCareRequest, Iodizer, MOST_PLATES, MOST_SALTS};
use super::result::{BathBuildUp, BathSaltLeft};
use crate::answer::Notes;
use crate::chemistry::constants::SILVER_NITRATE;
use crate::fault::{Fault, FaultKind, at_most};
use crate::quantity::{
    ComputedGrams, ComputedGramsPerLitre, ComputedMilligramsPerLitre, ComputedMillilitres,
    ComputedMoles, ComputedPercentVV, ComputedSquareMetres, Plain,
};

/// Molar mass of water, g/mol, from the atomic weights.
const WATER: f64 = 18.015;
/// Molar mass of cadmium, g/mol.
const CADMIUM: f64 = 112.414;

/// What was brought in, for the figures and for the solver.
#[derive(Debug, Clone)]
pub(super) struct BroughtIn {
    pub result: BathBuildUp,
    /// Per litre of bath, mol.
    pub ammonium: f64,
    pub potassium: f64,
    pub other_nitrate: f64,
}

/// Everything that can be wrong with the iodizer and the plates.
pub(super) fn faults(request: &BathCareRequest, at: &str) -> Vec<Fault> {
    let mut faults = Vec::new();
    faults.extend(at_most(format!("{at}/plates"), request.plates.len(), MOST_PLATES).err());
    if let Some(iodizer) = &request.iodizer {
        let list = format!("{at}/iodizer/salts");
        faults.extend(at_most(&list, iodizer.salts.len(), MOST_SALTS).err());
        if iodizer.salts.len() <= MOST_SALTS {
            faults.extend(unknown_salts(iodizer, &list));
        }
        let spirits = [iodizer.alcohol_percent_v_v, iodizer.ether_percent_v_v]
            .iter()
            .flatten()
            .map(|p| p.as_f64())
            .sum::<f64>();
        if spirits > 100.0 {
            faults.push(Fault::new(
                FaultKind::Conflict,
                format!("{at}/iodizer/ether_percent_v_v"),
                format!("alcohol and ether make {spirits} % of the collodion: expected at most 100 % together"),
            ));
        }
    }
    if !request.plates.is_empty() && request.plate_area_m2.is_some() {
        faults.push(Fault::new(
            FaultKind::Conflict,
            format!("{at}/plate_area_m2"),
            "both an area and a list of plates: expected one of them",
        ));
    }
    if request.collodion_ml_per_m2.is_some() && request.iodizer.is_none() {
        faults.push(Fault::missing(
            format!("{at}/iodizer"),
            "the iodizer that the collodion holds",
        ));
    }
    faults
}

fn unknown_salts(iodizer: &Iodizer, list: &str) -> Vec<Fault> {
    iodizer
        .salts
        .iter()
        .enumerate()
        .filter(|(_, s)| salt(&s.substance).is_none())
        .map(|(i, s)| {
            Fault::new(
                FaultKind::Unknown,
                format!("{list}/{i}/substance"),
                format!(
                    "`{}` is no halide of an iodizer known here: expected one of {}",
                    s.substance,
                    salt_names()
                ),
            )
        })
        .collect()
}

/// Whether a salt of the iodizer holds ammonium.
pub(super) fn iodizer_has_ammonium(iodizer: &Iodizer) -> bool {
    iodizer
        .salts
        .iter()
        .any(|s| salt(&s.substance).is_some_and(|row| row.cation == Cation::Ammonium))
}

/// Area sensitized, m2, where it is told.
fn area(request: &BathCareRequest) -> Option<f64> {
    if let Some(area) = &request.plate_area_m2 {
        return Some(area.as_f64());
    }
    if request.plates.is_empty() {
        return None;
    }
    let sizes = request.plates.iter();
    Some(
        sizes
            .map(|p| f64::from(p.count) * p.width_cm.as_f64() * p.height_cm.as_f64() / 10_000.0)
            .sum(),
    )
}

/// The mass balance of the iodizer over the area told: halide takes silver one for one, and its
/// cation stays as nitrate. `None` without an iodizer and an area.
pub(super) fn brought_in(
    request: &BathCareRequest,
    at: &str,
    volume_l: f64,
    notes: &mut Notes,
) -> Option<BroughtIn> {
    let iodizer = request.iodizer.as_ref()?;
    let area_m2 = area(request)?;
    notes.method("/build_up", IODIZER_BALANCE);
    let per_area = match &request.collodion_ml_per_m2 {
        Some(given) => given.as_f64(),
        None => {
            let figure = &facts().collodion_ml_per_m2;
            notes.assume(
                "/build_up",
                format!("{at}/collodion_ml_per_m2"),
                &figure.source,
                format!(
                    "Collodion that stays on a plate: {}. Measure it: weigh a plate before and after it is coated.",
                    figure.words()
                ),
            );
            number(figure)
        }
    };
    notes.assume(
        "/build_up",
        format!("{at}/plate_area_m2"),
        "house_rule",
        "Everything that the plates brought is taken to have stayed in the bath: what they carried out again, and what went off into the air, makes it less.",
    );
    let litres = area_m2 * per_area / 1000.0;
    let mut out = BroughtIn {
        result: BathBuildUp {
            area_m2: ComputedSquareMetres::of(area_m2),
            collodion_ml: ComputedMillilitres::of(litres * 1000.0),
            halide_mol: ComputedMoles::of(0.0),
            silver_nitrate_consumed_g: ComputedGrams::of(0.0),
            salts: Vec::new(),
            nitrates_g_per_l: ComputedGramsPerLitre::of(0.0),
            cadmium_mg_per_l: ComputedMilligramsPerLitre::of(0.0),
            alcohol_percent_v_v: spirits(iodizer, litres, volume_l),
        },
        ammonium: 0.0,
        potassium: 0.0,
        other_nitrate: 0.0,
    };
    let (mut halide, mut nitrates, mut cadmium) = (0.0, 0.0, 0.0);
    for part in &iodizer.salts {
        let Some(row) = salt(&part.substance) else {
            continue;
        };
        let molar = row.formula.molar_mass_g_per_mol()
            + WATER * f64::from(part.water_count.unwrap_or_default());
        if part.water_count.is_none() && row.cation == Cation::Cadmium {
            notes.assume(
                "/build_up/salts",
                format!("{at}/iodizer/salts"),
                "house_rule",
                format!(
                    "{} is taken as weighed without water of crystallization; cadmium bromide is often sold with four of water.",
                    row.formula
                ),
            );
        }
        let mol = part.g_per_l.as_f64() * litres / molar;
        let left = mol * row.leaves.molar_mass_g_per_mol();
        let ions = mol * f64::from(row.ions);
        halide += ions;
        nitrates += left;
        match row.cation {
            Cation::Ammonium => out.ammonium += ions / volume_l,
            Cation::Potassium => out.potassium += ions / volume_l,
            Cation::Cadmium => {
                cadmium += mol * CADMIUM;
                out.other_nitrate += ions / volume_l;
            }
            Cation::Other => out.other_nitrate += ions / volume_l,
        }
        out.result.salts.push(BathSaltLeft {
            substance: part.substance.clone(),
            brought_mol: ComputedMoles::of(mol),
            leaves: row.leaves.to_string(),
            left_g: ComputedGrams::of(left),
        });
    }
    out.result.halide_mol = ComputedMoles::of(halide);
    out.result.silver_nitrate_consumed_g = ComputedGrams::of(halide * SILVER_NITRATE);
    out.result.nitrates_g_per_l = ComputedGramsPerLitre::of(nitrates / volume_l);
    out.result.cadmium_mg_per_l = ComputedMilligramsPerLitre::of(1000.0 * cadmium / volume_l);
    Some(out)
}

/// Alcohol and ether of the collodion in the bath, percent by volume, if none of it went off.
fn spirits(iodizer: &Iodizer, litres: f64, volume_l: f64) -> Option<ComputedPercentVV> {
    let share = match (iodizer.alcohol_percent_v_v, iodizer.ether_percent_v_v) {
        (None, None) => return None,
        (a, e) => a.map_or(0.0, |p| p.as_f64()) + e.map_or(0.0, |p| p.as_f64()),
    };
    Some(ComputedPercentVV::of(share * litres / (volume_l + litres)))
}

/// A figure for a sentence: three digits.
pub(super) fn figure(value: f64) -> Plain {
    Plain::significant(value, 3)
}
