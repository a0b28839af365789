//! The sheets for what leaves and what went wrong: their words and questions.

use super::form::{Field, Kind};
use super::sheet::Record;
use super::work_sheets::{PLAIN, WHICH, container, part};

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
        name: "discharged",
        title: "Discharged under a permit",
        lead: "Only where the sewer or water authority has allowed it in writing, for this liquid and this amount. This book never says that a discharge is allowed.",
        steps: &[
            "Have the permit, or the authority's letter, in your hand: it names what, how much and how.",
            "After any recovery have the liquor tested by a laboratory. No strip, copper strip or cloud shows silver below 5 mg/L.",
            "Keep the laboratory's report and this entry with the permit.",
        ],
        never: &[
            "Never without the authority's permission.",
            "Never thin a waste to come below a limit: that makes no “no” a “yes”.",
            "Never cyanide, mercury, chromate, selenium, ammonia with silver, or a liquid that nobody can name.",
        ],
        event: "discharged",
        fields: |desk| {
            vec![
                container(desk, "/event/discharged/batch"),
                part("/event/discharged/part"),
                Field::new(
                    "permit",
                    "/event/discharged/permit",
                    "Which permit, or whose written word, allows it?",
                    Kind::Line,
                )
                .help("Its number, its date, and who gave it.")
                .needed(),
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
        lead: "What the refiner found, by the statement. Whether it agrees with what was sent stands under “The refiner's statement” then.",
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
