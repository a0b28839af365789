//! The sheet for a new container: its words and questions.

use super::form::{Choices, Field, Kind, choices};
use super::home::crafts;
use super::sheet::{Desk, Record};
use super::work_sheets::PLAIN;
use spent_silver_domain::batch::BatchKind;

pub(super) const CONTAINERS: &[Record] = &[Record {
    name: "container",
    title: "Add a container",
    lead: "One sheet for each jug, tank, bucket or bottle. Leave what you do not know.",
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
    ("sodium_thiosulfate", "sodium thiosulfate (plain hypo)"),
    ("ammonium_thiosulfate", "ammonium thiosulfate (rapid fixer)"),
    ("potassium_cyanide", "potassium cyanide"),
    ("silver_nitrate", "silver nitrate"),
    ("ammonia", "ammonia"),
    ("sodium_hydroxide", "caustic soda"),
    ("nitric_acid_dilute", "nitric acid, dilute"),
    ("nitric_acid", "nitric acid, strong"),
    ("hydrochloric_acid", "hydrochloric (muriatic) acid"),
    ("acetic_acid", "acetic acid"),
    ("sulfuric_acid_dilute", "sulfuric acid, dilute"),
    ("citric_acid", "citric acid"),
    ("oxalic_acid", "oxalic acid"),
    ("potassium_oxalate", "potassium oxalate"),
    ("tartaric_acid", "tartaric acid"),
    ("iron_ii_sulfate", "iron sulfate developer"),
    ("hydroquinone", "hydroquinone developer"),
    ("sodium_sulfite", "sodium sulfite"),
    ("sodium_metabisulfite", "sodium metabisulfite"),
    ("sodium_carbonate", "washing soda"),
    ("sodium_chloride", "table salt"),
    ("potassium_bromide", "potassium bromide"),
    ("ammonium_bromide", "ammonium bromide"),
    ("cadmium_bromide", "cadmium bromide"),
    ("cadmium_iodide", "cadmium iodide"),
    ("ethanol", "alcohol"),
    ("diethyl_ether", "ether"),
    ("sodium_sulfide", "sodium sulfide"),
    ("sodium_selenite", "selenium toner"),
    ("gold_chloride", "gold chloride"),
    ("mercuric_chloride", "mercury chloride"),
    ("potassium_dichromate", "dichromate"),
    ("potassium_permanganate", "permanganate"),
    ("sodium_hypochlorite", "household bleach"),
    ("hydrogen_peroxide", "peroxide"),
    ("formaldehyde", "formaldehyde (formalin)"),
    ("copper_sulfate", "copper sulfate"),
    ("potassium_ferricyanide", "ferricyanide"),
    ("lead_nitrate", "lead nitrate"),
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
        "Which process does it serve?",
        Kind::One(crafts()),
    )
    .help("Where collodion is made, a fixer nobody can name counts as cyanide.");
    if desk.craft() == "collodion" {
        // The safe side: an unanswered question stands for collodion there.
        if let Kind::One(of) = &mut craft.kind {
            of.push((
                String::new(),
                "don't know: counts as collodion here".to_owned(),
            ));
        }
    }
    vec![
        Field::new("id", at("id"), "What name stands on it?", Kind::Line)
            .help(
                "Letters, digits, - and _, without spaces: fixer-2. Write it on the container too.",
            )
            .needed(),
        Field::new("kind", at("kind"), "What is in it?", Kind::One(kinds)).needed(),
        Field::new(
            "much",
            "/event/opened/batch",
            "How much is in it?",
            Kind::Amount,
        )
        .help("Leave it open for an empty container. A jug mark is taken as good to 5 %."),
        Field::new(
            "status",
            at("status"),
            "Is it at work, or done with?",
            Kind::One(choices(&[
                ("in_use", "at work"),
                ("spent", "done with: waste, or on its way to recovery"),
                ("unused", "never used"),
                ("treated", "treated, or the silver is out"),
            ])),
        )
        .help("A bath at work is not waste. The clock of the law starts when it is done with."),
        Field::new(
            "waste_since",
            at("waste_since"),
            "If it is done with: since which day?",
            Kind::Day,
        ),
        Field::new("made_on", at("made_on"), "When was it made?", Kind::Day),
        craft.first(desk.craft()),
        Field::new(
            "contents",
            at("composition"),
            "What went into it?",
            Kind::Any(choices(CONTENTS), Some("substance")),
        )
        .help("Tick what is certain. What is in it decides what it may never meet."),
        Field::new(
            "vinegar",
            at("composition"),
            "If it holds acetic acid, as a stop bath does: how much?",
            Kind::Strength("acetic_acid"),
        )
        .help("16 mL of glacial acetic acid made up to a litre are 17 g/L. Without it no dose of soda can be worked out."),
        Field::new("ph", at("ph"), "pH, if it was read", Kind::Figure(""))
            .help("A colour between two marks of the paper: 4.5 ± 0.5"),
        Field::new(
            "vented",
            at("container/vented"),
            "Does its cap let gas out?",
            Kind::YesNo,
        ),
        Field::new(
            "origin",
            "/event/opened/origin",
            "Where did its silver come from?",
            Kind::One(choices(&[
                ("on_hand", "it was here already"),
                ("bought", "it was bought"),
                ("received", "from somebody else"),
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
