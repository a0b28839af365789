//! The sheets for work: their words and questions.

use super::form::{Choices, Field, Kind, choices};
use super::sheet::{Desk, Record};
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

pub(super) const WHICH: &str = "Which container?";
const HOW_MUCH: &str = "How much?";

/// The question for the container.
pub(super) fn container(desk: &Desk, at: &str) -> Field {
    Field::new("container", at, WHICH, Kind::One(desk.containers())).needed()
}

pub(super) fn part(at: &str) -> Field {
    Field::new("part", at, HOW_MUCH, Kind::Part)
        .needed()
        .help("All of it, or a figure with its unit. A jug mark is taken as good to 5 %.")
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
        fields: |desk| nitrate(desk, "made_up", Kind::Dissolved("after")),
        ..PLAIN
    },
    Record {
        name: "replenished",
        title: "Silver nitrate was added",
        lead: "Silver nitrate went into a bath that was there.",
        never: &["Never without goggles: silver nitrate blinds. Have an eye rinse at hand."],
        event: "replenished",
        fields: |desk| nitrate(desk, "replenished", Kind::Weighed),
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

fn nitrate(desk: &Desk, event: &str, how_much: Kind) -> Vec<Field> {
    let at = |member: &str| format!("/event/{event}/{member}");
    vec![
        container(desk, &at("batch")),
        Field::new(
            "nitrate",
            at("silver_nitrate_g"),
            "How much silver nitrate went in?",
            how_much,
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
