//! Silver by a known amount of chloride, the silver liquid in the burette (Mohr).

use super::bench::{Bench, Spread};
use super::evidence::{ChlorideTitration, EndPoint};
use super::finding::Finding;
use super::sense::drawn_from;
use super::volhard_titration::net_titre;
use crate::answer::{Method, Severity};
use crate::batch::BatchKind;
use crate::chemistry::constants::{SILVER, SODIUM_CHLORIDE};
use crate::fault::{Fault, FaultKind};
use crate::statistics::Uncertain;
use crate::substance::Group;

pub(super) const CHLORIDE_TITRATION: Method = Method {
    name: "chloride_titration",
    formula: "c(Ag) = n(Cl) x M(Ag) / (V titre - V blank) x V diluted / V bath, g/L, with n(Cl) = V x c or m(NaCl)/M(NaCl)",
    source: "harvey2009",
};

pub(super) fn estimate(bench: &mut Bench<'_>, e: &ChlorideTitration) -> Result<Finding, Fault> {
    refuse_where_it_fails(bench)?;
    check_flask(bench, e)?;
    let about = bench.about.clone();
    bench.notes.method(&about, CHLORIDE_TITRATION);
    match &e.bath_ml {
        Some(bath) => drawn_from(bench, "bath_ml", bath)?,
        None => drawn_from(bench, "titre_ml", &e.titre_ml)?,
    }
    let chloride = chloride_mmol(bench, e)?;
    let used = net_titre(bench, &e.titre_ml, e.blank_ml.as_ref())?;
    let burette = chloride.over(&used).scaled(SILVER);
    let concentration = match (&e.bath_ml, &e.diluted_to_ml) {
        (None, None) => burette,
        (None, Some(_)) => {
            return Err(Fault::missing(
                bench.pointer("bath_ml"),
                "the bath taken for the dilution",
            ));
        }
        (Some(_), None) => {
            return Err(Fault::missing(
                bench.pointer("diluted_to_ml"),
                "the volume the bath was diluted to",
            ));
        }
        (Some(bath), Some(diluted)) => {
            if diluted.decimal() < bath.decimal() {
                return Err(Fault::new(
                    FaultKind::Conflict,
                    bench.pointer("diluted_to_ml"),
                    format!(
                        "{} mL is less than bath_ml: expected at least as much",
                        diluted.decimal()
                    ),
                ));
            }
            let bath = bench.positive("bath_ml", bath, Spread::Relative(1.0))?;
            let diluted = bench.positive("diluted_to_ml", diluted, Spread::Relative(0.5))?;
            burette.times(&diluted).over(&bath)
        }
    };
    let volume = bench.volume()?;
    Ok(Finding::Point(concentration.times(&volume)))
}

fn refuse_where_it_fails(bench: &Bench<'_>) -> Result<(), Fault> {
    let batch = bench.batch;
    if batch.counts_as_cyanide() {
        return Err(bench.refuse(
            "a cyanide liquid",
            "cyanide holds the silver. Keep it closed, alkaline and apart",
        ));
    }
    if batch.holds_thiosulfate() {
        return Err(bench.refuse(
            "a thiosulfate liquid",
            "thiosulfate dissolves silver chloride, so no end point comes",
        ));
    }
    if batch.kind == BatchKind::Developer || batch.states(Group::IronTwo) {
        return Err(bench.refuse("an iron developer", "iron(II) reduces the silver to metal"));
    }
    if batch.is_ammoniacal_silver() {
        return Err(bench.refuse(
            "ammoniacal silver",
            "it is not kept long enough to be titrated: pour it into excess salt water today",
        ));
    }
    Ok(())
}

/// Chromate works from pH 7 to 10, and to about 7.2 where ammonium is present (ammonia would hold
/// silver). From memory, unverified.
fn check_flask(bench: &mut Bench<'_>, e: &ChlorideTitration) -> Result<(), Fault> {
    let about = bench.about.clone();
    let end = e.end_point.unwrap_or_else(|| {
        let pointer = bench.pointer("end_point");
        bench.notes.assume(
            &about,
            &pointer,
            "common_practice",
            "End point not stated: taken as chromate (Mohr).",
        );
        EndPoint::Chromate
    });
    if end == EndPoint::Clear {
        return Ok(());
    }
    bench.notes.warn(
        &about,
        Severity::Caution,
        "Chromate is toxic, and what is left in the flask is a chromium waste: collect it in its own jug, no drain. The clear end point needs no chromate: add until the liquor clears on shaking and one more drop makes no cloud.",
    );
    let ammonium = bench.batch.states(Group::Ammonium) || bench.batch.states(Group::Ammonia);
    let most = if ammonium { 7.2 } else { 10.0 };
    match &e.flask_ph {
        Some(ph) => {
            let value = ph.as_f64();
            if !(7.0..=most).contains(&value) {
                let expected = if ammonium {
                    "7 to about 7.2, because ammonium is present"
                } else {
                    "7 to 10: below, chromate shows too late; above, silver oxide falls"
                };
                return Err(Fault::out_of_range(
                    bench.pointer("flask_ph"),
                    ph.decimal(),
                    expected,
                ));
            }
        }
        None => {
            let pointer = bench.pointer("flask_ph");
            bench.notes.assume(
                &about,
                &pointer,
                "common_practice",
                format!("pH in the flask not stated: taken as between 7 and {most}, where chromate works (from memory, unverified)."),
            );
        }
    }
    Ok(())
}

/// Chloride in the flask, millimoles.
fn chloride_mmol(bench: &mut Bench<'_>, e: &ChlorideTitration) -> Result<Uncertain, Fault> {
    match (&e.chloride_ml, &e.chloride_mol_per_l, &e.sodium_chloride_g) {
        (Some(volume), Some(strength), None) => {
            let volume = bench.positive("chloride_ml", volume, Spread::Relative(0.5))?;
            let strength = bench.positive("chloride_mol_per_l", strength, Spread::Relative(1.0))?;
            Ok(volume.times(&strength))
        }
        (None, None, Some(mass)) => {
            if mass.as_f64() <= 0.0 {
                return Err(Fault::out_of_range(
                    bench.pointer("sodium_chloride_g"),
                    mass.decimal(),
                    "more than 0 g",
                ));
            }
            let mass = bench.weigh("sodium_chloride_g", mass, e.scale_resolution_g)?;
            Ok(mass.scaled(1000.0 / SODIUM_CHLORIDE))
        }
        (None, None, None) => Err(Fault::missing(
            bench.pointer("chloride_ml"),
            "chloride_ml with chloride_mol_per_l, or sodium_chloride_g",
        )),
        (Some(_), None, _) => Err(Fault::missing(
            bench.pointer("chloride_mol_per_l"),
            "the strength of the chloride solution beside chloride_ml",
        )),
        (None, Some(_), _) => Err(Fault::missing(
            bench.pointer("chloride_ml"),
            "the volume of chloride solution beside chloride_mol_per_l",
        )),
        (Some(_), Some(_), Some(_)) => Err(Fault::new(
            FaultKind::Conflict,
            bench.pointer("sodium_chloride_g"),
            "both a solution and dry salt: expected one of them",
        )),
    }
}
