//! Ion exchange: for the dilute wash after a fixer, where the silver is a negative complex that a
//! strong base anion resin holds.

use super::draft::{fill_yield, liquor_waste, trouble};
use super::facts::{IonExchangeFacts, ProcessFacts, facts};
use super::plan::{PlanTime, ReagentDose, RecoveryPlan, SecondaryWaste};
use super::situation::{Liquor, SilverRange, Situation, Unfit, short};
use super::text;
use crate::answer::{Method, Notes, Severity};
use crate::batch::BatchKind;
use crate::chemistry::constants::SILVER;
use crate::procedure::{Addition, Step};
use crate::quantity::{Computed, Identifier};
use crate::substance::{Group, substance};
use crate::waste::contents::component_g_per_l;

/// Resin for a wash.
pub(super) const RESIN: Method = Method {
    name: "resin for a wash",
    formula: "charges (mol) = 3 x silver at the upper end (mol), and 2 x the thiosulfate stated beyond the two that each silver holds; resin (L) = charges / 1 mol per litre; two columns of it, each rounded up",
    source: "ion_exchange_recollection",
};

/// Charges of the complex that holds one silver ion between two thiosulfates.
const SILVER_CHARGES: f64 = 3.0;
/// Charges of one thiosulfate.
const THIOSULFATE_CHARGES: f64 = 2.0;

pub(super) fn assess(situation: &Situation<'_>) -> Result<(), Unfit> {
    let f = &facts().ion_exchange;
    let batch = situation.batch;
    let source = f.source.as_str();
    if situation.liquor.has_free_silver() {
        return Err(Unfit::new(
            source,
            "Without thiosulfate the silver is there as a positive ion, and the anion resin holds only what is negative: salt does it. If it is the wash after a fixer, state its thiosulfate.",
        ));
    }
    if situation.liquor == Liquor::FilmDeveloper {
        return Err(Unfit::new(
            "fixer_silver_levels",
            "A film or paper developer is not silver-rich, and its sulfite, bromide and developing agent fill the resin.",
        ));
    }
    if batch.kind != BatchKind::RinseWater {
        let charges = THIOSULFATE_CHARGES * f.fixer_thiosulfate_mol_per_l;
        return Err(Unfit::new(
            source,
            format!(
                "It is for the dilute wash after a fixer. In a fixer the thiosulfate itself fills the resin: at {} mol/L each litre brings {} mol of charges, and a litre of resin holds about {} (unverified).",
                short(f.fixer_thiosulfate_mol_per_l),
                short(charges),
                short(f.capacity_mol_per_l)
            ),
        )
        .with_number(
            "charges of the thiosulfate of a fixer",
            charges,
            Some(f.capacity_mol_per_l / f.least_bed_volumes),
            "mol/L",
        ));
    }
    if batch.states(Group::Ferric) {
        return Err(Unfit::new(
            source,
            "The iron bleach is a negative complex too and takes the resin's place (unverified).",
        ));
    }
    let Some(volume_l) = situation.volume_l else {
        return Err(Unfit::new(
            f.dilute_source.as_str(),
            "It is for dilute washes, and without the volume nobody can say how dilute this is: give volume_l.",
        ));
    };
    if let Some(silver) = situation.highest_silver_g_per_l()
        && silver * 1000.0 > f.most_silver_mg_per_l
    {
        return Err(Unfit::new(
            f.dilute_source.as_str(),
            format!(
                "It may hold {} mg/L silver, and resin is for washes of at most {} mg/L: iron wool or plating first.",
                text::about(silver * 1000.0),
                short(f.most_silver_mg_per_l)
            ),
        )
        .with_number(
            "silver",
            silver * 1000.0,
            Some(f.most_silver_mg_per_l),
            "mg/L",
        ));
    }
    let Some(silver) = situation.silver else {
        return Ok(());
    };
    let beds = f.capacity_mol_per_l * volume_l / charges(situation, silver);
    if beds < f.least_bed_volumes {
        return Err(Unfit::new(
            f.dilute_source.as_str(),
            format!(
                "It holds so much thiosulfate that a litre of resin is full after {} L of it; below {} L it is not a dilute wash, and iron wool is the way.",
                text::about(beds),
                short(f.least_bed_volumes)
            ),
        )
        .with_number(
            "litres for each litre of resin",
            beds,
            Some(f.least_bed_volumes),
            "L",
        ));
    }
    Ok(())
}

/// Thiosulfate stated with an amount, mol.
fn thiosulfate_mol(situation: &Situation<'_>) -> Option<f64> {
    let volume_l = situation.volume_l?;
    situation
        .batch
        .composition
        .iter()
        .filter_map(|part| {
            let known = substance(&part.substance).filter(|s| s.is(Group::Thiosulfate))?;
            Some(component_g_per_l(situation.batch, part)? / known.molar_mass()?)
        })
        .reduce(|a, b| a + b)
        .map(|mol_per_l| mol_per_l * volume_l)
}

/// Charges that go on to the resin, mol.
fn charges(situation: &Situation<'_>, silver: SilverRange) -> f64 {
    let silver_mol = silver.upper_g / SILVER;
    let free = thiosulfate_mol(situation).map_or(0.0, |t| (t - 2.0 * silver_mol).max(0.0));
    SILVER_CHARGES * silver_mol + THIOSULFATE_CHARGES * free
}

pub(super) fn plan(
    situation: &Situation<'_>,
    silver: SilverRange,
    mut plan: RecoveryPlan,
    process: &'static ProcessFacts,
    notes: &mut Notes,
) -> RecoveryPlan {
    let (Some(volume_l), Some(reagent)) = (situation.volume_l, process.reagent.as_ref()) else {
        return plan;
    };
    let f = &facts().ion_exchange;
    notes.method("/plan/reagents", RESIN);
    notes.cite(f.source.as_str());
    notes.cite("replacement_series_rule");
    fill_yield(&mut plan, situation, silver, process, 1.0, notes);
    if thiosulfate_mol(situation).is_none() {
        notes.assume(
            "/plan/reagents",
            format!("{}/composition", situation.at),
            f.source.as_str(),
            "How much thiosulfate the wash holds was not stated: the resin is the least that the silver alone takes, and the thiosulfate may take several times as much.",
        );
    }
    let stoichiometric_l = charges(situation, silver) / f.capacity_mol_per_l;
    let column_ml = text::pourable_ml(stoichiometric_l * 1000.0);
    let columns_g = column_ml * reagent.dose_factor * f.resin_kg_per_l;
    plan.reagents.push(ReagentDose {
        substance: reagent.substance.clone(),
        stoichiometric_g: Computed::of(stoichiometric_l * 1000.0 * f.resin_kg_per_l),
        dose_factor: Computed::of(reagent.dose_factor),
        factor_source: reagent.source.as_str(),
        mass_g: Computed::of(columns_g),
        solution_ml: None,
        first_portion_g: None,
        excess_mol_per_l: None,
        highest_excess_mol_per_l: None,
    });
    set_product(&mut plan, columns_g / reagent.dose_factor);
    plan.time = Some(time(volume_l, column_ml / 1000.0, f));
    plan.steps = steps(&reagent.substance, column_ml, columns_g, f);
    plan.end_test = Some(
        "A laboratory's figure for what comes out of the first column, before half of the wash is through and again at its end. No strip, copper or cloud test can see the resin give way: they show nothing below 0.5 g/L, and the wash itself holds less."
            .to_owned(),
    );
    plan.secondary_waste = vec![
        liquor_waste("desilvered wash"),
        SecondaryWaste {
            what: "the second column's resin".into(),
            mass_g: Some(Computed::of(columns_g / reagent.dose_factor)),
            text: "It takes the first place with the next wash, beside a fresh one. If no refiner takes a spent resin it is a waste that holds silver, whatever the wash was.".into(),
        },
    ];
    plan.troubles = vec![
        trouble(
            "The flow slows or the top of the bed turns to mud",
            "Dirt or gelatin: stop, filter the wash, loosen the top of the bed with a rod.",
        ),
        trouble(
            "The laboratory finds silver behind the first column",
            "It is full. Take it out of the line, move the second to its place and put fresh resin behind it.",
        ),
        trouble(
            "A choking, sharp smell",
            "Acid has got to the thiosulfate on the resin: sulfur dioxide. Air the place, stay upwind, add nothing.",
        ),
    ];
    notes.warn(
        "/plan/reagents",
        Severity::Caution,
        "Capacity is from memory and no breakthrough figure was found: chloride, sulfate, sulfite, iron, gelatin and oxidizers all spoil the resin sooner. Go by the laboratory, not by the litres.",
    );
    plan
}

fn set_product(plan: &mut RecoveryPlan, resin_g: f64) {
    plan.product.dry_g = None;
    plan.product.wet_g = Some(Computed::of(resin_g));
    "Offer the drained resin of the first column to the refiner, who burns it: ask first, for not every one takes resin. It is not burnt or dried here, and not regenerated: acid on it frees sulfur dioxide."
        .clone_into(&mut plan.product.next);
}

fn time(volume_l: f64, column_l: f64, f: &IonExchangeFacts) -> PlanTime {
    PlanTime {
        expected_h: None,
        least_h: Computed::of(volume_l / (f.fast_bed_volumes_per_h * column_l)),
        most_h: Computed::of(volume_l / (f.slow_bed_volumes_per_h * column_l)),
        text: format!(
            "At {} to {} times a column's resin an hour (unverified).",
            short(f.slow_bed_volumes_per_h),
            short(f.fast_bed_volumes_per_h)
        ),
    }
}

fn steps(
    substance: &Identifier,
    column_ml: f64,
    columns_g: f64,
    f: &IonExchangeFacts,
) -> Vec<Step> {
    let slow = f.slow_bed_volumes_per_h * column_ml / 1000.0;
    let fast = f.fast_bed_volumes_per_h * column_ml / 1000.0;
    let mut steps = vec![
        Step::new("Be sure that it is the wash after a hypo fixer and not after cyanide, and pour it through a coffee filter.")
            .caution("If you are not sure, treat it as cyanide: keep it closed and alkaline, add nothing, call a licensed contractor.")
            .done_when("It is clear: mud and gelatin clog the resin."),
        Step::new(format!(
            "Fill two columns with {} of strong base anion resin each, in the chloride form, under water and without bubbles, and rinse them with clean water. Set them in series.",
            text::volume(column_ml)
        ))
        .caution("Dry resin swells and bursts a full column: fill it wet.")
        .done_when("The rinse runs clear."),
        Step::new(format!(
            "Run the wash through slowly, {} L an hour, and never faster than {} L. Keep the resin under water.",
            text::about(slow),
            text::about(fast)
        ))
        .adding(Addition {
            substance: substance.clone(),
            mass_g: Some(Computed::of(columns_g)),
            volume_ml: None,
        })
        .caution("No bleach, peroxide or other oxidizer: it eats the resin."),
        Step::new("Take a sample between the columns before half of the wash is through and one at its end, and send both to a laboratory. Write down the litres.")
            .done_when("The laboratory finds less than 1 mg/L behind the first column. If it finds more, the first is full."),
        Step::new("Collect what has come through in a jug with a vented cap. Label it: desilvered wash, to be tested by a laboratory, with the date.")
            .caution(text::LIQUOR),
        Step::new("When the first column is full, drain it and keep its resin damp in a closed tub. Label it: spent resin with silver thiosulfate, the litres that went through, the date, the weight. The second column takes its place, with fresh resin behind it.")
            .caution("Never burn, dry or regenerate it here.")
            .done_when("It is weighed and in the silver book."),
    ];
    text::caution_all(&mut steps, text::NEVER_ACID);
    steps
}
