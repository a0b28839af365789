//! Silver by thiocyanate, iron alum as indicator.

use super::bench::{Bench, Spread};
use super::evidence::VolhardTitration;
use super::finding::Finding;
use super::sense::drawn_from;
use crate::answer::Method;
use crate::batch::BatchKind;
use crate::chemistry::constants::SILVER;
use crate::fault::{Fault, FaultKind};
use crate::quantity::MeasuredMillilitres;
use crate::statistics::Uncertain;
use crate::substance::Group;

pub(super) const VOLHARD: Method = Method {
    name: "volhard_titration",
    formula: "c(Ag) = (V titre - V blank) x c(SCN) x M(Ag) x V diluted / (V aliquot x V sample), g/L; m(Ag) = c x V batch",
    source: "harvey2009",
};

pub(super) fn estimate(bench: &mut Bench<'_>, e: &VolhardTitration) -> Result<Finding, Fault> {
    refuse_where_silver_is_held(bench)?;
    let about = bench.about.clone();
    bench.notes.method(&about, VOLHARD);
    drawn_from(bench, "sample_ml", &e.sample_ml)?;
    let sample = bench.positive("sample_ml", &e.sample_ml, Spread::Relative(1.0))?;
    let strength = bench.positive(
        "thiocyanate_mol_per_l",
        &e.thiocyanate_mol_per_l,
        Spread::Relative(1.0),
    )?;
    let used = net_titre(bench, &e.titre_ml, e.blank_ml.as_ref())?;
    let per_sample = used.times(&strength).scaled(SILVER).over(&sample);
    let concentration = match dilution(
        bench,
        e.diluted_to_ml.as_ref(),
        e.aliquot_ml.as_ref(),
        &e.sample_ml,
    )? {
        Some(factor) => per_sample.times(&factor),
        None => per_sample,
    };
    let volume = bench.volume()?;
    Ok(Finding::Point(concentration.times(&volume)))
}

/// Thiosulfate and cyanide hold silver more firmly than thiocyanate; iron(II) reduces it in the flask.
fn refuse_where_silver_is_held(bench: &Bench<'_>) -> Result<(), Fault> {
    let batch = bench.batch;
    if batch.counts_as_cyanide() {
        return Err(bench.refuse(
            "a cyanide liquid",
            "cyanide holds the silver, and the acid of the titration would set hydrogen cyanide free. Never acidify it",
        ));
    }
    if batch.holds_thiosulfate() {
        return Err(bench.refuse(
            "a thiosulfate liquid",
            "thiosulfate holds the silver, and the acid breaks it down into sulfur and sulfur dioxide. Use a test strip, the throughput or a laboratory assay",
        ));
    }
    if batch.kind == BatchKind::Developer || batch.states(Group::IronTwo) {
        return Err(bench.refuse(
            "an iron developer",
            "iron(II) reduces the silver to metal before it can be titrated. Let the silver settle and weigh it, or ask for a laboratory assay",
        ));
    }
    if batch.is_ammoniacal_silver() {
        return Err(bench.refuse(
            "ammoniacal silver",
            "it is not kept long enough to be titrated: pour it into excess salt water today",
        ));
    }
    Ok(())
}

/// Titre less blank, which must leave something.
pub(super) fn net_titre(
    bench: &mut Bench<'_>,
    titre: &MeasuredMillilitres,
    blank: Option<&MeasuredMillilitres>,
) -> Result<Uncertain, Fault> {
    if let Some(blank) = blank
        && blank.decimal() >= titre.decimal()
    {
        return Err(Fault::new(
            FaultKind::Conflict,
            bench.pointer("blank_ml"),
            format!(
                "{} mL is not below the titre: expected less than titre_ml",
                blank.decimal()
            ),
        ));
    }
    let titre = bench.positive("titre_ml", titre, Spread::Absolute(0.05))?;
    let blank = match blank {
        Some(blank) => bench.take("blank_ml", blank, Spread::Absolute(0.03))?,
        None => bench.default(
            "blank_ml",
            0.0,
            Spread::Absolute(0.03),
            "common_practice",
            "No blank was titrated: taken as 0 with 0.03 mL (common practice, no source).",
        )?,
    };
    Ok(titre.minus(&blank))
}

/// V diluted / V aliquot; both or neither.
fn dilution(
    bench: &mut Bench<'_>,
    diluted: Option<&MeasuredMillilitres>,
    aliquot: Option<&MeasuredMillilitres>,
    sample: &MeasuredMillilitres,
) -> Result<Option<Uncertain>, Fault> {
    match (diluted, aliquot) {
        (None, None) => Ok(None),
        (Some(_), None) => Err(Fault::missing(
            bench.pointer("aliquot_ml"),
            "the part of the dilution that was titrated",
        )),
        (None, Some(_)) => Err(Fault::missing(
            bench.pointer("diluted_to_ml"),
            "the volume the sample was diluted to",
        )),
        (Some(diluted), Some(aliquot)) => {
            if aliquot.decimal() > diluted.decimal() {
                return Err(Fault::new(
                    FaultKind::Conflict,
                    bench.pointer("aliquot_ml"),
                    format!(
                        "{} mL is more than the {} mL it was taken from: expected at most diluted_to_ml",
                        aliquot.decimal(),
                        diluted.decimal()
                    ),
                ));
            }
            if diluted.decimal() < sample.decimal() {
                return Err(Fault::new(
                    FaultKind::Conflict,
                    bench.pointer("diluted_to_ml"),
                    format!(
                        "{} mL is less than the sample: expected at least sample_ml",
                        diluted.decimal()
                    ),
                ));
            }
            let diluted = bench.positive("diluted_to_ml", diluted, Spread::Relative(0.5))?;
            let aliquot = bench.positive("aliquot_ml", aliquot, Spread::Relative(0.5))?;
            Ok(Some(diluted.over(&aliquot)))
        }
    }
}
