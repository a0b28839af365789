//! The sheets for work: their words and questions.

use super::form::{Choices, Field, Kind, choices};
use super::sheet::{Desk, Record};
use super::words::work_sheets as w;
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

/// The question for the container.
pub(super) fn container(desk: &Desk, at: &str) -> Field {
    Field::new("container", at, w::WHICH, Kind::One(desk.containers())).needed()
}

pub(super) fn part(at: &str) -> Field {
    Field::new("part", at, w::HOW_MUCH, Kind::Part)
        .needed()
        .help(w::PART_HELP)
}

pub(super) const WORK: &[Record] = &[
    Record {
        name: "plates",
        title: w::PLATES_OR_PAPER_WERE_SENSITIZED,
        lead: w::SENSITIZED_LEAD,
        event: "processed",
        fields: |desk| {
            vec![
                container(desk, "/event/processed/batch"),
                Field::new(
                    "count",
                    "/event/processed/work/sensitized/plates/0/count",
                    w::HOW_MANY,
                    Kind::Count,
                )
                .needed(),
                Field::new(
                    "size",
                    "/event/processed/work/sensitized/plates/0",
                    w::WHICH_SIZE,
                    Kind::Size,
                )
                .needed(),
            ]
        },
        ..PLAIN
    },
    Record {
        name: "fixed",
        title: w::FILM_PAPER_OR_PLATES_WERE_FIXED,
        lead: w::FIXED_LEAD,
        event: "processed",
        fields: |desk| {
            vec![
                container(desk, "/event/processed/batch"),
                Field::new(
                    "material",
                    "/event/processed/work/fixed/items/0/material",
                    w::WHAT_WAS_FIXED,
                    Kind::One(materials()),
                )
                .needed(),
                Field::new(
                    "count",
                    "/event/processed/work/fixed/items/0/count",
                    w::HOW_MANY,
                    Kind::Count,
                )
                .needed(),
                Field::new(
                    "size",
                    "/event/processed/work/fixed/items/0",
                    w::WHICH_SIZE,
                    Kind::Size,
                )
                .needed(),
            ]
        },
        ..PLAIN
    },
    Record {
        name: "made-up",
        title: w::SILVER_BATH_WAS_MADE_UP,
        lead: w::MADE_UP_LEAD,
        never: &[w::NEVER_WITHOUT_GOGGLES],
        event: "made_up",
        fields: |desk| nitrate(desk, "made_up", Kind::Dissolved("after")),
        ..PLAIN
    },
    Record {
        name: "replenished",
        title: w::SILVER_NITRATE_WAS_ADDED,
        lead: w::ADDED_LEAD,
        never: &[w::NEVER_WITHOUT_GOGGLES],
        event: "replenished",
        fields: |desk| nitrate(desk, "replenished", Kind::Weighed),
        ..PLAIN
    },
    Record {
        name: "water",
        title: w::TOPPED_UP_WITH_WATER,
        lead: w::WATER_LEAD,
        event: "topped_up",
        fields: |desk| {
            vec![
                container(desk, "/event/topped_up/batch"),
                Field::new(
                    "water",
                    "/event/topped_up/water_l",
                    w::HOW_MUCH_WATER,
                    Kind::Volume,
                )
                .needed(),
            ]
        },
        ..PLAIN
    },
    Record {
        name: "poured",
        title: w::POURED_INTO_ANOTHER_CONTAINER,
        lead: w::POURED_LEAD,
        never: &[w::NEVER_POUR_TO_FIND_OUT],
        event: "transferred",
        fields: |desk| {
            vec![
                Field::new(
                    "container",
                    "/event/transferred/from",
                    w::OUT_OF_WHICH,
                    Kind::One(desk.containers()),
                )
                .needed(),
                Field::new(
                    "into",
                    "/event/transferred/into",
                    w::INTO_WHICH,
                    Kind::One(desk.containers()),
                )
                .needed(),
                part("/event/transferred/part"),
                Field::new(
                    "incident",
                    "/event/transferred/incident",
                    w::ONLY_IF_IT_WAS_ACCIDENT,
                    Kind::Line,
                )
                .help(w::INCIDENT_HELP),
            ]
        },
        ..PLAIN
    },
    Record {
        name: "out-of-work",
        title: w::TAKEN_OUT_OF_WORK,
        lead: w::OUT_OF_WORK_LEAD,
        event: "spent",
        fields: |desk| vec![container(desk, "/event/spent/batch")],
        ..PLAIN
    },
    Record {
        name: "treated",
        title: w::TREATED_WHERE_IT_STANDS,
        lead: w::TREATED_LEAD,
        event: "treated",
        fields: |desk| {
            vec![
                container(desk, "/event/treated/batch"),
                Field::new("what", "/event/treated/what", w::WHAT_WAS_DONE, Kind::Line).needed(),
                Field::new(
                    "ph",
                    "/event/treated/ph",
                    w::PH_AFTERWARDS,
                    Kind::Figure(""),
                ),
            ]
        },
        ..PLAIN
    },
    Record {
        name: "product",
        title: w::SILVER_WAS_TAKEN_OUT_AS_SOLID,
        lead: w::PRODUCT_LEAD,
        never: &[w::NEVER_SILVER_AND_AMMONIA],
        event: "product_recovered",
        fields: |desk| {
            vec![
                container(desk, "/event/product_recovered/batch"),
                Field::new(
                    "into",
                    "/event/product_recovered/into",
                    w::INTO_WHICH,
                    Kind::One(desk.containers()),
                )
                .needed(),
                Field::new(
                    "wet",
                    "/event/product_recovered/product/wet_mass_g",
                    w::HOW_MUCH_DOES_IT_WEIGH,
                    Kind::Figure("g"),
                )
                .needed(),
                Field::new(
                    "moisture",
                    "/event/product_recovered/product/moisture_percent",
                    w::HOW_MUCH_OF_THAT_IS_WATER,
                    Kind::Figure("%"),
                ),
                Field::new(
                    "compound",
                    "/event/product_recovered/product/compound",
                    w::WHAT_IS_IT_DRY,
                    Kind::One(choices(&[
                        ("silver_chloride", w::SILVER_CHLORIDE),
                        ("silver_sulfide", w::SILVER_SULFIDE),
                        ("silver_bromide", w::SILVER_BROMIDE),
                        ("silver", w::SILVER_METAL),
                    ])),
                ),
                Field::new(
                    "purity",
                    "/event/product_recovered/product/purity_percent",
                    w::SHARE_OF_DRY_SOLID,
                    Kind::Figure("%"),
                ),
            ]
        },
        ..PLAIN
    },
];

fn nitrate(desk: &Desk, event: &str, how_much: Kind) -> Vec<Field> {
    let at = |member: &str| format!("/event/{event}/{member}");
    let help = match how_much {
        Kind::Dissolved(_) => w::STRENGTH_HELP,
        _ => "",
    };
    vec![
        container(desk, &at("batch")),
        Field::new(
            "nitrate",
            at("silver_nitrate_g"),
            w::HOW_MUCH_SILVER_NITRATE_WENT_IN,
            how_much,
        )
        .help(help)
        .needed(),
        Field::new(
            "purity",
            at("purity_percent"),
            w::HOW_PURE,
            Kind::Figure("%"),
        )
        .help(w::PURITY_HELP),
        Field::new(
            "after",
            at("volume_after_l"),
            w::HOW_MUCH_IS_IN_CONTAINER_NOW,
            Kind::Volume,
        ),
        Field::new(
            "from",
            at("from"),
            w::OUT_OF_CONTAINER_OF_THIS_BOOK,
            Kind::One(desk.containers()),
        )
        .help(w::OUT_OF_HELP),
    ]
}

fn materials() -> Choices {
    material_names()
        .map(|name| (name.to_owned(), name.replace('_', " ")))
        .collect()
}
