//! The pH of the bath, and the doses of acid and bicarbonate that follow from it.

use super::ammonium::Ammonium;
use super::build_up::BroughtIn;
use super::facts::{facts, number};
use super::liquor::{
    Bath, Unreached, acid_to, acidify, ammonia_ceiling, bicarbonate_for_sunning, bicarbonate_path,
    factor_95, made_up, ph_and_spread, with_bicarbonate,
};
use super::request::{BathAcid, BathCareRequest};
use super::result::{
    BathAcidDose, BathBicarbonate, BathMassSpan, BathPathPoint, BathVolumeSpan, PhOrigin,
};
use super::steps::drops;
use crate::batch::Batch;
use crate::chemistry::constants::{ACETIC_ACID, NITRIC_ACID, SILVER_NITRATE, SODIUM_BICARBONATE};
use crate::chemistry::system::{Mixture, System};
use crate::quantity::{
    ComputedFactor, ComputedGrams, ComputedMillilitres, ComputedMoles, ComputedPercentWV,
    ComputedPh,
};
use crate::substance::substance;
use crate::waste::contents::{component_g_per_l, ph_interval};

/// Model error of a dissolved amount as a pH, beside which a ceiling is no longer sure.
const PH_MARGIN: f64 = 0.3;

/// The pH of a bath with its ends, and a litre of the bath at each.
pub(super) struct Acidity {
    pub from: PhOrigin,
    pub ph: f64,
    pub range: (f64, f64),
    /// pH that the stated acid leads to, beside a reading.
    pub stated_ph: Option<(f64, f64)>,
    low: Mixture,
    middle: Mixture,
    high: Mixture,
}

/// What was stated of acids, mol/L.
#[derive(Debug, Clone, Copy, Default)]
struct Stated {
    nitric: Option<f64>,
    acetic: Option<f64>,
    acetate: f64,
    names_acetic: bool,
}

fn stated(batch: &Batch) -> Stated {
    let mut out = Stated::default();
    for part in &batch.composition {
        let mol = substance(&part.substance)
            .and_then(|s| s.molar_mass())
            .zip(component_g_per_l(batch, part))
            .map(|(molar, g)| g / molar);
        match part.substance.as_str() {
            "nitric_acid" | "nitric_acid_dilute" => {
                out.nitric = mol
                    .map(|m| m + out.nitric.unwrap_or_default())
                    .or(out.nitric);
            }
            "acetic_acid" => {
                out.names_acetic = true;
                out.acetic = mol.or(out.acetic);
            }
            "sodium_acetate" => out.acetate += mol.unwrap_or_default(),
            _ => {}
        }
    }
    out
}

/// A litre of the bath without its acid.
pub(super) fn bath(
    batch: &Batch,
    silver: f64,
    ammonium: Ammonium,
    brought: Option<&BroughtIn>,
) -> Bath {
    let acids = stated(batch);
    Bath {
        silver,
        ammonium: match ammonium {
            Ammonium::AtMost(c) => c,
            _ => 0.0,
        },
        potassium: brought.map_or(0.0, |b| b.potassium),
        other_nitrate: brought.map_or(0.0, |b| b.other_nitrate),
        acetic_acid: acids.acetic.unwrap_or_default(),
        acetate: acids.acetate,
    }
}

/// The acid that the bath is kept acid with.
pub(super) fn acid_of(request: &BathCareRequest) -> BathAcid {
    match request.acid {
        Some(acid) => acid,
        None if stated(&request.batch).names_acetic => BathAcid::AceticAcid,
        None => BathAcid::NitricAcid,
    }
}

/// The pH as read, or as the stated acid makes it; `None` where neither is known.
pub(super) fn acidity(
    request: &BathCareRequest,
    bath: &Bath,
) -> Result<Option<Acidity>, Unreached> {
    let acids = stated(&request.batch);
    let plain = bath.mixture();
    let predicted = match (acids.nitric, acids.acetic) {
        (None, None) => None,
        (nitric, _) => {
            let mut m = plain.clone();
            acidify(&mut m, BathAcid::NitricAcid, nitric.unwrap_or_default());
            let (ph, spread) = ph_and_spread(&m)?;
            Some((m, ph, spread))
        }
    };
    let stated_ph = predicted.as_ref().map(|(_, ph, spread)| (*ph, *spread));
    if let (Some(reading), Some(range)) = (&request.batch.ph, ph_interval(&request.batch)) {
        // What the reading asks for beyond what is stated is strong acid where the weak one is known.
        let kind = match (acids.acetic, acid_of(request)) {
            (None, kind) => kind,
            (Some(_), _) => BathAcid::NitricAcid,
        };
        let at = |ph: f64| -> Result<Mixture, Unreached> {
            let mut m = plain.clone();
            let amount = acid_to(&plain, kind, ph)?;
            acidify(&mut m, kind, amount);
            Ok(m)
        };
        return Ok(Some(Acidity {
            from: PhOrigin::Reading,
            ph: reading.as_f64(),
            range,
            stated_ph,
            low: at(range.0)?,
            middle: at(reading.as_f64())?,
            high: at(range.1)?,
        }));
    }
    Ok(predicted.map(|(m, ph, spread)| Acidity {
        from: PhOrigin::StatedAcid,
        ph,
        range: (ph - spread, ph + spread),
        stated_ph,
        low: m.clone(),
        high: m.clone(),
        middle: m,
    }))
}

/// The pH above which ammonia holds silver, where there is enough ammonium for it.
pub(super) fn ceiling(bath: &Bath) -> Option<f64> {
    ammonia_ceiling(bath).ok().flatten()
}

/// Whether bicarbonate may go into the bath, by its ammonium.
pub(super) fn bicarbonate_allowed(
    ammonium: Ammonium,
    ceiling: Option<f64>,
    dose: Option<&BathBicarbonate>,
) -> bool {
    match (ammonium, ceiling) {
        (Ammonium::NotKnown, _) => false,
        (Ammonium::Absent, _) | (Ammonium::AtMost(_), None) => true,
        (Ammonium::AtMost(_), Some(ceiling)) => {
            dose.is_some_and(|d| d.end_ph.get() + PH_MARGIN < ceiling)
        }
    }
}

/// The bicarbonate for sunning the whole bath.
pub(super) fn bicarbonate(
    acidity: &Acidity,
    volume_l: f64,
) -> Result<Option<BathBicarbonate>, Unreached> {
    let Some(dose) = bicarbonate_for_sunning(&acidity.middle)? else {
        return Ok(None);
    };
    let grams = |mol: f64| mol * volume_l * SODIUM_BICARBONATE;
    let at = |m: &Mixture| -> Result<f64, Unreached> {
        Ok(bicarbonate_for_sunning(m)?.map_or(0.0, |d| grams(d.mol)))
    };
    // A thousandth of a mole past the end tells what more would take.
    const PAST: f64 = 1e-3;
    let mut doses: Vec<f64> = (0..=5).map(|i| dose.mol * f64::from(i) / 5.0).collect();
    doses.extend([dose.mol + 0.5 * PAST, dose.mol + PAST]);
    let path = bicarbonate_path(&acidity.middle, &doses)?;
    let taken = path.last().map_or(0.0, |(_, _, silver)| *silver);
    let at_end = path.get(5).map_or(0.0, |(_, _, silver)| *silver);
    let percent = number(&facts().bicarbonate_percent_w_v);
    Ok(Some(BathBicarbonate {
        bicarbonate_g: ComputedGrams::of(grams(dose.mol)),
        range_g: BathMassSpan {
            lower: ComputedGrams::of(at(&acidity.high)?),
            upper: Some(ComputedGrams::of(at(&acidity.low)?)),
        },
        solution_ml: ComputedMillilitres::of(100.0 * grams(dose.mol) / percent),
        solution_percent_w_v: ComputedPercentWV::of(percent),
        end_ph: ComputedPh::of(dose.end_ph),
        stopped_by_silver_carbonate: dose.stopped,
        silver_nitrate_lost_per_gram_more_g: ComputedGrams::of(
            (taken - at_end) * SILVER_NITRATE / (PAST * SODIUM_BICARBONATE),
        ),
        path: path
            .iter()
            .map(|(mol, ph, silver)| BathPathPoint {
                added_g: ComputedGrams::of(grams(*mol)),
                ph: ComputedPh::of(*ph),
                silver_nitrate_lost_g: ComputedGrams::of(silver * volume_l * SILVER_NITRATE),
            })
            .collect(),
    }))
}

/// What the bath is made up to before the acid goes in.
#[derive(Debug, Clone, Copy)]
pub(super) struct MadeUp {
    pub volume_l: f64,
    pub full_volume_l: f64,
    pub silver_nitrate_mol: f64,
}

/// The acid that brings the bath to a pH after it was sunned and made up; `None` where it is there.
pub(super) fn acid_dose(
    acidity: &Acidity,
    sunned: Option<&BathBicarbonate>,
    made: MadeUp,
    acid: BathAcid,
    percent_w_v: f64,
    target_ph: f64,
) -> Result<Option<BathAcidDose>, Unreached> {
    let after = |m: &Mixture| {
        let sunned = match sunned {
            Some(dose) => {
                let mol = dose.bicarbonate_g.get() / (SODIUM_BICARBONATE * made.volume_l);
                with_bicarbonate(&acidity.middle, mol)
            }
            None => m.clone(),
        };
        made_up(
            &sunned,
            made.volume_l / made.full_volume_l,
            made.silver_nitrate_mol / made.full_volume_l,
        )
    };
    let molar = match acid {
        BathAcid::NitricAcid => NITRIC_ACID,
        BathAcid::AceticAcid => ACETIC_ACID,
    };
    let ml = |mol_per_l: f64| mol_per_l.max(0.0) * made.full_volume_l * molar * 100.0 / percent_w_v;
    let middle = after(&acidity.middle);
    let dose = acid_to(&middle, acid, target_ph)?;
    if ml(dose) < 0.5 * number(&facts().drop_ml) {
        return Ok(None);
    }
    let mut reached = middle.clone();
    acidify(&mut reached, acid, dose);
    let factor = System::at_25_c()
        .solve(&reached)
        .map(|answer| factor_95(&reached, &answer))?;
    let (least, most) = (
        acid_to(&after(&acidity.low), acid, target_ph)?,
        acid_to(&after(&acidity.high), acid, target_ph)?,
    );
    Ok(Some(BathAcidDose {
        acid,
        acid_percent_w_v: ComputedPercentWV::of(percent_w_v),
        target_ph: ComputedPh::of(target_ph),
        acid_mol: ComputedMoles::of(dose * made.full_volume_l),
        volume_ml: ComputedMillilitres::of(ml(dose)),
        range_ml: BathVolumeSpan {
            lower: ComputedMillilitres::of(ml(least) / factor),
            upper: ComputedMillilitres::of(ml(most) * factor),
        },
        drop_count: drops(ml(dose)),
        factor_95: ComputedFactor::of(factor),
    }))
}
