//! The sheet for a new container: its words and questions.

use super::form::{Choices, Field, Kind, choices};
use super::home::crafts;
use super::sheet::{Desk, Record};
use super::words::container_sheet as w;
use super::work_sheets::PLAIN;
use spent_silver_domain::batch::BatchKind;

pub(super) const CONTAINERS: &[Record] = &[Record {
    name: "container",
    title: w::ADD_CONTAINER,
    lead: w::ONE_SHEET_FOR_EACH_JUG,
    event: "opened",
    fields: opened,
    ..PLAIN
}];

/// The kinds of content, in the order of a darkroom.
const KINDS: &[(&str, BatchKind)] = &[
    ("sensitizing_bath", BatchKind::SensitizingBath),
    ("fixer", BatchKind::Fixer),
    ("cyanide_fixer", BatchKind::CyanideFixer),
    ("bleach_fix", BatchKind::BleachFix),
    ("developer", BatchKind::Developer),
    ("stop_bath", BatchKind::StopBath),
    ("rinse_water", BatchKind::RinseWater),
    ("drip", BatchKind::Drip),
    ("toner", BatchKind::Toner),
    ("intensifier_or_reducer", BatchKind::IntensifierOrReducer),
    ("ammoniacal_silver", BatchKind::AmmoniacalSilver),
    ("collodion_or_solvent", BatchKind::CollodionOrSolvent),
    ("sludge", BatchKind::Sludge),
    ("wipes_and_filters", BatchKind::WipesAndFilters),
    ("film_and_paper", BatchKind::FilmAndPaper),
    ("glass_plates", BatchKind::GlassPlates),
    ("spent_cartridge", BatchKind::SpentCartridge),
    ("spill_residue", BatchKind::SpillResidue),
    ("unused_chemical", BatchKind::UnusedChemical),
];

/// What is worth telling of a content, in the words of the shelf.
const CONTENTS: &[(&str, &str)] = &[
    ("sodium_thiosulfate", w::SODIUM_THIOSULFATE),
    ("ammonium_thiosulfate", w::AMMONIUM_THIOSULFATE),
    ("potassium_cyanide", w::POTASSIUM_CYANIDE),
    ("silver_nitrate", w::SILVER_NITRATE),
    ("ammonia", w::AMMONIA),
    ("sodium_hydroxide", w::CAUSTIC_SODA),
    ("nitric_acid_dilute", w::DILUTE_NITRIC_ACID),
    ("nitric_acid", w::STRONG_NITRIC_ACID),
    ("hydrochloric_acid", w::HYDROCHLORIC_ACID),
    ("acetic_acid", w::ACETIC_ACID),
    ("sulfuric_acid_dilute", w::DILUTE_SULFURIC_ACID),
    ("citric_acid", w::CITRIC_ACID),
    ("oxalic_acid", w::OXALIC_ACID),
    ("potassium_oxalate", w::POTASSIUM_OXALATE),
    ("tartaric_acid", w::TARTARIC_ACID),
    ("iron_ii_sulfate", w::IRON_SULFATE_DEVELOPER),
    ("hydroquinone", w::HYDROQUINONE_DEVELOPER),
    ("sodium_sulfite", w::SODIUM_SULFITE),
    ("sodium_metabisulfite", w::SODIUM_METABISULFITE),
    ("sodium_carbonate", w::WASHING_SODA),
    ("sodium_chloride", w::TABLE_SALT),
    ("potassium_bromide", w::POTASSIUM_BROMIDE),
    ("ammonium_bromide", w::AMMONIUM_BROMIDE),
    ("cadmium_bromide", w::CADMIUM_BROMIDE),
    ("cadmium_iodide", w::CADMIUM_IODIDE),
    ("ethanol", w::ALCOHOL),
    ("diethyl_ether", w::ETHER),
    ("sodium_sulfide", w::SODIUM_SULFIDE),
    ("sodium_selenite", w::SELENIUM_TONER),
    ("gold_chloride", w::GOLD_CHLORIDE),
    ("mercuric_chloride", w::MERCURY_CHLORIDE),
    ("potassium_dichromate", w::DICHROMATE),
    ("potassium_permanganate", w::PERMANGANATE),
    ("sodium_hypochlorite", w::HOUSEHOLD_BLEACH),
    ("hydrogen_peroxide", w::PEROXIDE),
    ("formaldehyde", w::FORMALDEHYDE),
    ("copper_sulfate", w::COPPER_SULFATE),
    ("potassium_ferricyanide", w::FERRICYANIDE),
    ("lead_nitrate", w::LEAD_NITRATE),
];

fn opened(desk: &Desk) -> Vec<Field> {
    let kinds: Choices = KINDS
        .iter()
        .map(|(name, kind)| ((*name).to_owned(), kind.words().to_owned()))
        .collect();
    let at = |member: &str| format!("/event/opened/batch/{member}");
    let mut craft = Field::new(
        "craft",
        at("craft"),
        w::WHICH_PROCESS_DOES_IT_SERVE,
        Kind::One(crafts()),
    )
    .help(w::PROCESS_HELP);
    if desk.craft() == "collodion" {
        // The safe side: an unanswered question stands for collodion there.
        if let Kind::One(of) = &mut craft.kind {
            of.push((String::new(), w::DONT_KNOW_THE_PROCESS.to_owned()));
        }
    }
    vec![
        Field::new("id", at("id"), w::WHAT_NAME_STANDS_ON_IT, Kind::Line)
            .help(w::NAME_HELP)
            .needed(),
        Field::new("kind", at("kind"), w::WHAT_IS_IN_IT, Kind::One(kinds)).needed(),
        Field::new(
            "much",
            "/event/opened/batch",
            w::HOW_MUCH_IS_IN_IT,
            Kind::Amount,
        )
        .help(w::HOW_MUCH_HELP),
        Field::new(
            "status",
            at("status"),
            w::IS_IT_AT_WORK,
            Kind::One(choices(&[
                ("in_use", w::AT_WORK),
                ("spent", w::DONE_WITH),
                ("unused", w::NEVER_USED),
                ("treated", w::TREATED_OR_SILVER_IS_OUT),
            ])),
        )
        .help(w::STATUS_HELP),
        Field::new(
            "waste_since",
            at("waste_since"),
            w::IF_IT_IS_DONE_WITH,
            Kind::Day,
        ),
        Field::new("made_on", at("made_on"), w::WHEN_WAS_IT_MADE, Kind::Day),
        craft.first(desk.craft()),
        Field::new(
            "contents",
            at("composition"),
            w::WHAT_WENT_INTO_IT,
            Kind::Any(choices(CONTENTS), Some("substance")),
        )
        .help(w::CONTENTS_HELP),
        Field::new(
            "vinegar",
            at("composition"),
            w::IF_IT_HOLDS_ACETIC_ACID,
            Kind::Strength("acetic_acid"),
        )
        .help(w::ACETIC_ACID_HELP),
        Field::new("ph", at("ph"), w::PH_IF_IT_WAS_READ, Kind::Figure("")).help(w::PH_HELP),
        Field::new(
            "vented",
            at("container/vented"),
            w::DOES_ITS_CAP_LET_GAS_OUT,
            Kind::YesNo,
        ),
        Field::new(
            "origin",
            "/event/opened/origin",
            w::WHERE_DID_ITS_SILVER_COME_FROM,
            Kind::One(choices(&[
                ("on_hand", w::IT_WAS_HERE_ALREADY),
                ("bought", w::IT_WAS_BOUGHT),
                ("received", w::FROM_SOMEBODY_ELSE),
            ])),
        ),
    ]
}

#[cfg(test)]
mod tests {
    use super::*;
    use serde_json::json;
    use spent_silver_domain::quantity::Identifier;
    use spent_silver_domain::substance::substance;

    #[test]
    fn every_kind_and_content_of_the_sheet_is_one_that_the_book_knows() {
        for (name, kind) in KINDS {
            assert_eq!(serde_json::to_value(kind).unwrap(), json!(name));
        }
        for (id, _) in CONTENTS {
            assert!(substance(&Identifier::new(id).unwrap()).is_some(), "{id}");
        }
    }
}
