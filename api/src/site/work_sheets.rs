//! The sheets for containers and work: their words and questions.

use super::form::{Choices, Field, Kind, choices};
use super::home::crafts;
use super::sheet::{Desk, Record};
use spent_silver_domain::batch::BatchKind;
use spent_silver_domain::estimate::material_names;

/// A sheet without steps and warnings of its own.
pub(super) const PLAIN: Record = Record {
    name: "",
    title: "",
    lead: "",
    steps: &[],
    never: &[],
    procedure: None,
    event: "",
    fields: |_| Vec::new(),
};

const WHICH: &str = "Which container?";
const HOW_MUCH: &str = "How much?";

/// The question for the container.
pub(super) fn container(desk: &Desk, at: &str) -> Field {
    Field::new("container", at, WHICH, Kind::One(desk.containers())).needed()
}

fn part(at: &str) -> Field {
    Field::new("part", at, HOW_MUCH, Kind::Part)
        .needed()
        .help("All of it, or a figure with its unit. A jug mark is taken as good to 5 %.")
}

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
    ("acetic_acid", "acetic acid"),
    ("sulfuric_acid_dilute", "sulfuric acid, dilute"),
    ("iron_ii_sulfate", "iron sulfate developer"),
    ("ethanol", "alcohol"),
    ("diethyl_ether", "ether"),
    ("sodium_sulfide", "sodium sulfide"),
    ("sodium_selenite", "selenium toner"),
    ("gold_chloride", "gold chloride"),
    ("mercuric_chloride", "mercury chloride"),
    ("potassium_dichromate", "dichromate"),
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

pub(super) const WORK: &[Record] = &[
    Record {
        name: "plates",
        title: "Plates or paper were sensitized",
        lead: "They took silver nitrate out of the bath. What each takes along is a usual figure, with a wide margin.",
        event: "processed",
        fields: |desk| {
            vec![
                container(desk, "/event/processed/batch"),
                Field::new(
                    "count",
                    "/event/processed/work/sensitized/plates/0/count",
                    "How many?",
                    Kind::Count,
                )
                .needed(),
                Field::new(
                    "size",
                    "/event/processed/work/sensitized/plates/0",
                    "Which size?",
                    Kind::Size,
                )
                .needed(),
            ]
        },
        ..PLAIN
    },
    Record {
        name: "fixed",
        title: "Film, paper or plates were fixed",
        lead: "They left silver in the fixer.",
        event: "processed",
        fields: |desk| {
            vec![
                container(desk, "/event/processed/batch"),
                Field::new(
                    "material",
                    "/event/processed/work/fixed/items/0/material",
                    "What was fixed?",
                    Kind::One(materials()),
                )
                .needed(),
                Field::new(
                    "count",
                    "/event/processed/work/fixed/items/0/count",
                    "How many?",
                    Kind::Count,
                )
                .needed(),
                Field::new(
                    "size",
                    "/event/processed/work/fixed/items/0",
                    "Which size?",
                    Kind::Size,
                )
                .needed(),
            ]
        },
        ..PLAIN
    },
    Record {
        name: "made-up",
        title: "A silver bath was made up",
        lead: "Silver nitrate went into an empty container.",
        never: &["Never without goggles: silver nitrate blinds. Have an eye rinse at hand."],
        event: "made_up",
        fields: |desk| nitrate(desk, "made_up"),
        ..PLAIN
    },
    Record {
        name: "replenished",
        title: "Silver nitrate was added",
        lead: "Silver nitrate went into a bath that was there.",
        never: &["Never without goggles: silver nitrate blinds. Have an eye rinse at hand."],
        event: "replenished",
        fields: |desk| nitrate(desk, "replenished"),
        ..PLAIN
    },
    Record {
        name: "water",
        title: "Topped up with water",
        lead: "Water makes it more, not less: no law lets dilution change what a waste is.",
        event: "topped_up",
        fields: |desk| {
            vec![
                container(desk, "/event/topped_up/batch"),
                Field::new(
                    "water",
                    "/event/topped_up/water_l",
                    "How much water?",
                    Kind::Volume,
                )
                .needed(),
            ]
        },
        ..PLAIN
    },
    Record {
        name: "poured",
        title: "Poured into another container",
        lead: "Ask first: the book refuses what must not meet.",
        never: &["Never pour to find out. Look at “May this go into that?” first."],
        event: "transferred",
        fields: |desk| {
            vec![
                Field::new(
                    "container",
                    "/event/transferred/from",
                    "Out of which?",
                    Kind::One(desk.containers()),
                )
                .needed(),
                Field::new(
                    "into",
                    "/event/transferred/into",
                    "Into which?",
                    Kind::One(desk.containers()),
                )
                .needed(),
                part("/event/transferred/part"),
                Field::new(
                    "incident",
                    "/event/transferred/incident",
                    "Only if it was an accident: what happened, and what was done?",
                    Kind::Line,
                )
                .help("A dangerous mixture is taken into the book in no other way."),
            ]
        },
        ..PLAIN
    },
    Record {
        name: "out-of-work",
        title: "Taken out of work",
        lead: "From this day it is spent: waste, or a material on its way to recovery. Where the rules set a clock, it starts.",
        event: "spent",
        fields: |desk| vec![container(desk, "/event/spent/batch")],
        ..PLAIN
    },
    Record {
        name: "treated",
        title: "Treated where it stands",
        lead: "Made neutral, or settled: its silver stays in it.",
        event: "treated",
        fields: |desk| {
            vec![
                container(desk, "/event/treated/batch"),
                Field::new("what", "/event/treated/what", "What was done?", Kind::Line).needed(),
                Field::new(
                    "ph",
                    "/event/treated/ph",
                    "pH afterwards, if it was read",
                    Kind::Figure(""),
                ),
            ]
        },
        ..PLAIN
    },
    Record {
        name: "product",
        title: "Silver was taken out as a solid",
        lead: "Chloride, sludge or metal out of one container, into another that stands in the book.",
        never: &["Never dry, heat or store anything that silver and ammonia made: it explodes."],
        event: "product_recovered",
        fields: |desk| {
            vec![
                container(desk, "/event/product_recovered/batch"),
                Field::new(
                    "into",
                    "/event/product_recovered/into",
                    "Into which?",
                    Kind::One(desk.containers()),
                )
                .needed(),
                Field::new(
                    "wet",
                    "/event/product_recovered/product/wet_mass_g",
                    "How much does it weigh, wet?",
                    Kind::Figure("g"),
                )
                .needed(),
                Field::new(
                    "moisture",
                    "/event/product_recovered/product/moisture_percent",
                    "How much of that is water?",
                    Kind::Figure("%"),
                ),
                Field::new(
                    "compound",
                    "/event/product_recovered/product/compound",
                    "What is it, dry?",
                    Kind::One(choices(&[
                        ("silver_chloride", "silver chloride"),
                        ("silver_sulfide", "silver sulfide"),
                        ("silver_bromide", "silver bromide"),
                        ("silver", "silver metal"),
                    ])),
                ),
                Field::new(
                    "purity",
                    "/event/product_recovered/product/purity_percent",
                    "How much of the dry solid is that?",
                    Kind::Figure("%"),
                ),
            ]
        },
        ..PLAIN
    },
];

fn nitrate(desk: &Desk, event: &str) -> Vec<Field> {
    let at = |member: &str| format!("/event/{event}/{member}");
    vec![
        container(desk, &at("batch")),
        Field::new(
            "nitrate",
            at("silver_nitrate_g"),
            "How much silver nitrate was weighed in?",
            Kind::Figure("g"),
        )
        .needed(),
        Field::new(
            "purity",
            at("purity_percent"),
            "How pure, by its bottle?",
            Kind::Figure("%"),
        )
        .help("Left open: 99 to 100 %."),
        Field::new(
            "after",
            at("volume_after_l"),
            "How much is in the container now?",
            Kind::Volume,
        ),
        Field::new(
            "from",
            at("from"),
            "Out of a container of this book?",
            Kind::One(desk.containers()),
        )
        .help("Left open, it counts as bought that day."),
    ]
}

fn materials() -> Choices {
    material_names()
        .map(|name| (name.to_owned(), name.replace('_', " ")))
        .collect()
}

pub(super) const LEAVING: &[Record] = &[
    Record {
        name: "collected",
        title: "A haulier collected",
        lead: "Keep the note you were given: the law asks for it.",
        event: "collected",
        fields: |desk| {
            vec![
                container(desk, "/event/collected/batch"),
                part("/event/collected/part"),
                Field::new(
                    "haulier",
                    "/event/collected/haulier",
                    "Who took it?",
                    Kind::Line,
                )
                .needed(),
                Field::new(
                    "consignment",
                    "/event/collected/consignment",
                    "Number of the note",
                    Kind::Line,
                ),
            ]
        },
        ..PLAIN
    },
    Record {
        name: "shipped",
        title: "Sent to a refiner",
        lead: "Several containers may go in one shipment: give each the same name.",
        event: "shipped",
        fields: |desk| {
            vec![
                container(desk, "/event/shipped/batch"),
                part("/event/shipped/part"),
                Field::new(
                    "shipment",
                    "/event/shipped/shipment",
                    "Name of the shipment",
                    Kind::Line,
                )
                .help("Letters, digits, - and _, without spaces: refiner-2026-1")
                .needed(),
            ]
        },
        ..PLAIN
    },
    Record {
        name: "settled",
        title: "The refiner settled",
        lead: "What the refiner found, by the statement.",
        event: "settled",
        fields: |desk| {
            vec![
                Field::new(
                    "shipment",
                    "/event/settled/shipment",
                    "Which shipment?",
                    Kind::One(
                        desk.shipments
                            .iter()
                            .map(|s| (s.clone(), s.clone()))
                            .collect(),
                    ),
                )
                .needed(),
                Field::new(
                    "silver",
                    "/event/settled/silver_g",
                    "How much silver?",
                    Kind::Figure("g"),
                )
                .needed(),
            ]
        },
        ..PLAIN
    },
    Record {
        name: "spilled",
        title: "Something was spilled",
        lead: "First people, then the drain, then this book.",
        steps: &[
            "Away from fumes. Goggles and gloves on.",
            "Stop it before it reaches a drain. Cover it with absorbent.",
            "If it reached a drain, a person was hurt, or you do not know what it is: call the numbers on your emergency sheet now.",
        ],
        never: &["Never acid, bleach or any cleaner onto a spill that you do not know."],
        procedure: None,
        event: "spilled",
        fields: |desk| {
            vec![
                container(desk, "/event/spilled/batch"),
                part("/event/spilled/part"),
                Field::new(
                    "what",
                    "/event/spilled/what",
                    "What happened, and what was done?",
                    Kind::Line,
                )
                .needed(),
            ]
        },
    },
    Record {
        name: "inspected",
        title: "Looked over",
        lead: "Leaks, labels, caps, trays: one container, or the whole place.",
        event: "inspected",
        fields: |desk| {
            let mut which = desk.containers();
            which.insert(0, (String::new(), "the whole place".to_owned()));
            vec![
                Field::new(
                    "container",
                    "/event/inspected/batch",
                    WHICH,
                    Kind::One(which),
                ),
                Field::new(
                    "found",
                    "/event/inspected/found",
                    "What was found?",
                    Kind::Line,
                )
                .needed(),
            ]
        },
        ..PLAIN
    },
    Record {
        name: "closed",
        title: "Take a container out of the book",
        lead: "It is empty, rinsed or gone. Its entries stay.",
        event: "closed",
        fields: |desk| {
            vec![
                container(desk, "/event/closed/batch"),
                Field::new(
                    "written_off",
                    "/event/closed/written_off",
                    "If anything is left in it: why does that count as lost?",
                    Kind::Line,
                ),
            ]
        },
        ..PLAIN
    },
    Record {
        name: "wrong",
        title: "An entry was wrong",
        lead: "Nothing is rubbed out: the wrong entry stays, struck through by this one, and counts no more.",
        event: "reversed",
        fields: |desk| {
            vec![
                Field::new(
                    "entry",
                    "/event/reversed/entry",
                    "Which entry?",
                    Kind::One(desk.entries.clone()),
                )
                .needed(),
                Field::new(
                    "reason",
                    "/event/reversed/reason",
                    "What was wrong with it?",
                    Kind::Line,
                )
                .needed(),
            ]
        },
        ..PLAIN
    },
];

#[cfg(test)]
mod tests {
    #![expect(clippy::unwrap_used, reason = "a test fails by panicking")]
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
