//! The sheets for readings: their words and questions.

use super::form::{Field, Kind, choices};
use super::sheet::{Desk, Record};
use super::work_sheets::{PLAIN, container};
use spent_silver_domain::document::BenchProcedure;

pub(super) const READINGS: &[Record] = &[
    Record {
        name: "strip",
        title: "A test strip",
        lead: "Two neighbouring colours of the strip's scale: the one it reaches, and the next, which it does not.",
        steps: &[
            "Stir the container. Dip the strip as its maker says.",
            "Compare in daylight, after the time the maker gives.",
            "Write both colours down. No strip shows silver below 5 mg/L.",
        ],
        event: "measured",
        fields: |desk| {
            reading(
                desk,
                vec![
                    Field::new(
                        "least",
                        at("test_strip", "at_least_g_per_l"),
                        "The colour it reaches",
                        Kind::Figure("g/L"),
                    )
                    .needed(),
                    Field::new(
                        "below",
                        at("test_strip", "below_g_per_l"),
                        "The next colour, which it does not reach",
                        Kind::Figure("g/L"),
                    )
                    .help("Leave it open where it is off the scale."),
                    Field::new(
                        "expired",
                        at("test_strip", "strip_expired"),
                        "Is the strip past its date?",
                        Kind::YesNo,
                    ),
                    sampled("test_strip"),
                ],
            )
        },
        ..PLAIN
    },
    Record {
        name: "titration",
        title: "A titration with thiocyanate",
        lead: "The surest figure there is without a laboratory: a burette, thiocyanate of known strength, and three titres that agree.",
        procedure: Some(BenchProcedure::VolhardTitration),
        event: "measured",
        fields: |desk| {
            reading(desk, vec![
            Field::new("sample", at("volhard_titration", "sample_ml"), "Sample taken from the container", Kind::Figure("mL")).needed(),
            Field::new("diluted", at("volhard_titration", "diluted_to_ml"), "Filled up to", Kind::Figure("mL")),
            Field::new("aliquot", at("volhard_titration", "aliquot_ml"), "Of that, titrated", Kind::Figure("mL")),
            Field::new("strength", at("volhard_titration", "thiocyanate_mol_per_l"), "Strength of the thiocyanate", Kind::Figure("mol/L")).needed(),
            Field::new("titre", at("volhard_titration", "titre_ml"), "Thiocyanate used", Kind::Figure("mL")).needed()
                .help("The mean of the titres that agree. You may say how far off it can be: 22.86 ± 0.05"),
            Field::new("blank", at("volhard_titration", "blank_ml"), "Thiocyanate used without silver", Kind::Figure("mL")),
            sampled("volhard_titration"),
        ])
        },
        ..PLAIN
    },
    Record {
        name: "weighing",
        title: "Silver chloride of a sample, weighed",
        lead: "A scale, salt, a coffee filter and a day to dry.",
        procedure: Some(BenchProcedure::ChlorideWeighing),
        event: "measured",
        fields: |desk| {
            reading(
                desk,
                vec![
                    Field::new(
                        "sample",
                        at("chloride_weighing", "sample_ml"),
                        "Sample taken from the container",
                        Kind::Figure("mL"),
                    )
                    .needed(),
                    Field::new(
                        "chloride",
                        at("chloride_weighing", "dry_silver_chloride_g"),
                        "Dry silver chloride from it",
                        Kind::Figure("g"),
                    )
                    .needed(),
                    Field::new(
                        "step",
                        at("chloride_weighing", "scale_resolution_g"),
                        "The scale shows steps of",
                        Kind::Line,
                    )
                    .help("In grams, such as 0.01."),
                    sampled("chloride_weighing"),
                ],
            )
        },
        ..PLAIN
    },
    Record {
        name: "drop",
        title: "A drop of salt water",
        lead: "Tells a bath with silver from one without, and no more. Clear does not mean free of silver.",
        steps: &[
            "Settle the container, and decant a little into a clear glass.",
            "Let one drop of salt water fall in, against a dark ground.",
        ],
        never: &[
            "Never into fixer: thiosulfate holds the silver, and a clear drop says nothing there.",
        ],
        event: "measured",
        fields: |desk| {
            reading(
                desk,
                vec![
                    Field::new(
                        "appearance",
                        at("cloud_test", "appearance"),
                        "What was seen?",
                        Kind::One(choices(&[
                            ("clear", "it stays clear"),
                            ("haze", "a haze against a dark ground"),
                            ("cloud", "a milky cloud"),
                            ("curd", "white curds"),
                        ])),
                    )
                    .needed(),
                    sampled("cloud_test"),
                ],
            )
        },
        ..PLAIN
    },
    Record {
        name: "laboratory",
        title: "A laboratory's figure",
        lead: "By its report.",
        event: "measured",
        fields: |desk| {
            reading(
                desk,
                vec![
                    Field::new(
                        "figure",
                        at("laboratory_assay", "silver_mg_per_l"),
                        "Silver in a liquid",
                        Kind::Figure("mg/L"),
                    ),
                    Field::new(
                        "solid",
                        at("laboratory_assay", "silver_percent"),
                        "Silver in a solid",
                        Kind::Figure("%"),
                    ),
                    Field::new(
                        "dilution",
                        at("laboratory_assay", "dilution_factor"),
                        "How many times was the sample thinned before?",
                        Kind::Figure("times"),
                    ),
                    Field::new(
                        "limit",
                        at("laboratory_assay", "below_detection_limit"),
                        "Does the report say “less than”?",
                        Kind::YesNo,
                    ),
                    sampled("laboratory_assay"),
                ],
            )
        },
        ..PLAIN
    },
    Record {
        name: "stated",
        title: "A figure from somebody else",
        lead: "A label, an old notebook, a seller: better than nothing, and kept with its source.",
        event: "measured",
        fields: |desk| {
            reading(
                desk,
                vec![
                    Field::new(
                        "silver",
                        at("stated", "silver_g"),
                        "Silver in the whole container",
                        Kind::Figure("g"),
                    )
                    .needed(),
                    Field::new("source", at("stated", "source"), "Who says so?", Kind::Line),
                ],
            )
        },
        ..PLAIN
    },
    Record {
        name: "level",
        title: "Volume or pH",
        lead: "What the jug mark or the pH paper says now.",
        event: "measured",
        fields: |desk| {
            vec![
                container(desk, "/event/measured/batch"),
                Field::new(
                    "volume",
                    "/event/measured/volume_l",
                    "How much is in it?",
                    Kind::Volume,
                ),
                Field::new("ph", "/event/measured/ph", "pH", Kind::Figure(""))
                    .help("A colour between two marks of the paper: 4.5 ± 0.5"),
            ]
        },
        ..PLAIN
    },
];

fn at(kind: &str, member: &str) -> String {
    format!("/event/measured/reading/{kind}/{member}")
}

fn sampled(kind: &str) -> Field {
    let of = choices(&[
        ("stirred", "the whole, stirred up"),
        ("clear_liquor", "the clear liquor over a sludge"),
        ("sludge", "the sludge alone"),
    ]);
    Field::new(
        "sampled",
        at(kind, "sampled"),
        "What was sampled?",
        Kind::One(of),
    )
    .help("A clear liquor says nothing of the sludge below it.")
}

/// A reading of a container: its own questions, and the volume, without which a strength says nothing.
fn reading(desk: &Desk, own: Vec<Field>) -> Vec<Field> {
    let mut all = vec![container(desk, "/event/measured/batch")];
    all.extend(own);
    all.push(
        Field::new(
            "volume",
            "/event/measured/volume_l",
            "How much is in it now?",
            Kind::Volume,
        )
        .help("Left open, the book takes what it has."),
    );
    all
}
