//! The sheets for readings: their words and questions.

use super::form::{Field, Kind, choices};
use super::sheet::{Desk, Record};
use super::words::reading_sheets as w;
use super::work_sheets::{PLAIN, container};
use spent_silver_domain::document::BenchProcedure;

pub(super) const READINGS: &[Record] = &[
    Record {
        name: "strip",
        title: w::TEST_STRIP,
        lead: w::TEST_STRIP_LEAD,
        steps: &[
            w::STIR_CONTAINER,
            w::COMPARE_IN_DAYLIGHT,
            w::WRITE_BOTH_COLOURS_DOWN,
        ],
        event: "measured",
        fields: |desk| {
            reading(
                desk,
                vec![
                    Field::new(
                        "least",
                        at("test_strip", "at_least_g_per_l"),
                        w::COLOUR_IT_REACHES,
                        Kind::Figure("g/L"),
                    )
                    .needed(),
                    Field::new(
                        "below",
                        at("test_strip", "below_g_per_l"),
                        w::NEXT_COLOUR,
                        Kind::Figure("g/L"),
                    )
                    .help(w::NEXT_COLOUR_HELP),
                    Field::new(
                        "expired",
                        at("test_strip", "strip_expired"),
                        w::IS_STRIP_PAST_ITS_DATE,
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
        title: w::TITRATION_WITH_THIOCYANATE,
        lead: w::TITRATION_LEAD,
        procedure: Some(BenchProcedure::VolhardTitration),
        event: "measured",
        fields: |desk| {
            reading(
                desk,
                vec![
                    Field::new(
                        "sample",
                        at("volhard_titration", "sample_ml"),
                        w::SAMPLE_TAKEN_FROM_CONTAINER,
                        Kind::Figure("mL"),
                    )
                    .needed(),
                    Field::new(
                        "diluted",
                        at("volhard_titration", "diluted_to_ml"),
                        w::FILLED_UP_TO,
                        Kind::Figure("mL"),
                    ),
                    Field::new(
                        "aliquot",
                        at("volhard_titration", "aliquot_ml"),
                        w::TITRATED,
                        Kind::Figure("mL"),
                    ),
                    Field::new(
                        "strength",
                        at("volhard_titration", "thiocyanate_mol_per_l"),
                        w::STRENGTH_OF_THIOCYANATE,
                        Kind::Figure("mol/L"),
                    )
                    .needed(),
                    Field::new(
                        "titre",
                        at("volhard_titration", "titre_ml"),
                        w::THIOCYANATE_USED,
                        Kind::Figure("mL"),
                    )
                    .needed()
                    .help(w::TITRE_HELP),
                    Field::new(
                        "blank",
                        at("volhard_titration", "blank_ml"),
                        w::THIOCYANATE_USED_WITHOUT_SILVER,
                        Kind::Figure("mL"),
                    ),
                    sampled("volhard_titration"),
                ],
            )
        },
        ..PLAIN
    },
    Record {
        name: "weighing",
        title: w::SILVER_CHLORIDE_OF_SAMPLE,
        lead: w::WEIGHING_LEAD,
        procedure: Some(BenchProcedure::ChlorideWeighing),
        event: "measured",
        fields: |desk| {
            reading(
                desk,
                vec![
                    Field::new(
                        "sample",
                        at("chloride_weighing", "sample_ml"),
                        w::SAMPLE_TAKEN_FROM_CONTAINER,
                        Kind::Figure("mL"),
                    )
                    .needed(),
                    Field::new(
                        "chloride",
                        at("chloride_weighing", "dry_silver_chloride_g"),
                        w::DRY_SILVER_CHLORIDE_FROM_IT,
                        Kind::Figure("g"),
                    )
                    .needed(),
                    Field::new(
                        "step",
                        at("chloride_weighing", "scale_resolution_g"),
                        w::SCALE_SHOWS_STEPS_OF,
                        Kind::Line,
                    )
                    .help(w::STEPS_HELP),
                    sampled("chloride_weighing"),
                ],
            )
        },
        ..PLAIN
    },
    Record {
        name: "drop",
        title: w::DROP_OF_SALT_WATER,
        lead: w::DROP_LEAD,
        steps: &[w::SETTLE_CONTAINER, w::LET_ONE_DROP_OF_SALT],
        never: &[w::NEVER_INTO_FIXER],
        event: "measured",
        fields: |desk| {
            reading(
                desk,
                vec![
                    Field::new(
                        "appearance",
                        at("cloud_test", "appearance"),
                        w::WHAT_WAS_SEEN,
                        Kind::One(choices(&[
                            ("clear", w::IT_STAYS_CLEAR),
                            ("haze", w::HAZE_AGAINST_DARK_GROUND),
                            ("cloud", w::MILKY_CLOUD),
                            ("curd", w::WHITE_CURDS),
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
        title: w::LABORATORYS_FIGURE,
        lead: w::BY_ITS_REPORT,
        event: "measured",
        fields: |desk| {
            reading(
                desk,
                vec![
                    Field::new(
                        "figure",
                        at("laboratory_assay", "silver_mg_per_l"),
                        w::SILVER_IN_LIQUID,
                        Kind::Figure("mg/L"),
                    ),
                    Field::new(
                        "solid",
                        at("laboratory_assay", "silver_percent"),
                        w::SILVER_IN_SOLID,
                        Kind::Figure("%"),
                    ),
                    Field::new(
                        "dilution",
                        at("laboratory_assay", "dilution_factor"),
                        w::HOW_OFTEN_THINNED,
                        Kind::Figure("times"),
                    ),
                    Field::new(
                        "limit",
                        at("laboratory_assay", "below_detection_limit"),
                        w::LESS_THAN,
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
        title: w::FIGURE_FROM_SOMEBODY_ELSE,
        lead: w::SOMEBODY_LEAD,
        event: "measured",
        fields: |desk| {
            reading(
                desk,
                vec![
                    Field::new(
                        "silver",
                        at("stated", "silver_g"),
                        w::SILVER_IN_WHOLE_CONTAINER,
                        Kind::Figure("g"),
                    )
                    .needed(),
                    Field::new("source", at("stated", "source"), w::WHO_SAYS_SO, Kind::Line),
                ],
            )
        },
        ..PLAIN
    },
    Record {
        name: "level",
        title: w::VOLUME_OR_PH,
        lead: w::VOLUME_OR_PH_LEAD,
        event: "measured",
        fields: |desk| {
            vec![
                container(desk, "/event/measured/batch"),
                Field::new(
                    "volume",
                    "/event/measured/volume_l",
                    w::HOW_MUCH_IS_IN_IT,
                    Kind::Volume,
                ),
                Field::new("ph", "/event/measured/ph", "pH", Kind::Figure(""))
                    .help(w::COLOUR_BETWEEN_TWO_MARKS_OF_PAPER),
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
        ("stirred", w::WHOLE_STIRRED_UP),
        ("clear_liquor", w::CLEAR_LIQUOR_OVER_SLUDGE),
        ("sludge", w::SLUDGE_ALONE),
    ]);
    Field::new(
        "sampled",
        at(kind, "sampled"),
        w::WHAT_WAS_SAMPLED,
        Kind::One(of),
    )
    .help(w::SAMPLED_HELP)
}

/// A reading of a container: its own questions, and the volume, without which a strength says nothing.
fn reading(desk: &Desk, own: Vec<Field>) -> Vec<Field> {
    let mut all = vec![container(desk, "/event/measured/batch")];
    all.extend(own);
    all.push(
        Field::new(
            "volume",
            "/event/measured/volume_l",
            w::HOW_MUCH_IS_IN_IT_NOW,
            Kind::Volume,
        )
        .help(w::HOW_MUCH_NOW_HELP),
    );
    all
}
