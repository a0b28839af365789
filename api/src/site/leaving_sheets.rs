//! The sheets for what leaves and what went wrong: their words and questions.

use super::form::{Field, Kind};
use super::sheet::Record;
use super::words::leaving_sheets as w;
use super::words::work_sheets::WHICH;
use super::work_sheets::{PLAIN, container, part};

pub(super) const LEAVING: &[Record] = &[
    Record {
        name: "collected",
        title: w::HAULIER_COLLECTED,
        lead: w::KEEP_NOTE_YOU_WERE_GIVEN,
        event: "collected",
        fields: |desk| {
            vec![
                container(desk, "/event/collected/batch"),
                part("/event/collected/part"),
                Field::new(
                    "haulier",
                    "/event/collected/haulier",
                    w::WHO_TOOK_IT,
                    Kind::Line,
                )
                .needed(),
                Field::new(
                    "consignment",
                    "/event/collected/consignment",
                    w::NUMBER_OF_NOTE,
                    Kind::Line,
                ),
            ]
        },
        ..PLAIN
    },
    Record {
        name: "discharged",
        title: w::DISCHARGED_UNDER_PERMIT,
        lead: w::DISCHARGED_LEAD,
        steps: &[w::HAVE_THE_PERMIT, w::HAVE_IT_TESTED, w::KEEP_THE_REPORT],
        never: &[
            w::NEVER_WITHOUT_AUTHORITYS_PERMISSION,
            w::NEVER_THIN_WASTE_TO_COME_BELOW_LIMIT,
            w::NEVER_POISONS,
        ],
        event: "discharged",
        fields: |desk| {
            vec![
                container(desk, "/event/discharged/batch"),
                part("/event/discharged/part"),
                Field::new(
                    "permit",
                    "/event/discharged/permit",
                    w::WHICH_PERMIT,
                    Kind::Line,
                )
                .help(w::PERMIT_HELP)
                .needed(),
            ]
        },
        ..PLAIN
    },
    Record {
        name: "shipped",
        title: w::SENT_TO_REFINER,
        lead: w::SEVERAL_CONTAINERS_MAY_GO_IN_ONE_SHIPMENT,
        event: "shipped",
        fields: |desk| {
            vec![
                container(desk, "/event/shipped/batch"),
                part("/event/shipped/part"),
                Field::new(
                    "shipment",
                    "/event/shipped/shipment",
                    w::NAME_OF_SHIPMENT,
                    Kind::Line,
                )
                .help(w::SHIPMENT_HELP)
                .needed(),
            ]
        },
        ..PLAIN
    },
    Record {
        name: "settled",
        title: w::REFINER_SETTLED,
        lead: w::WHAT_REFINER_FOUND,
        event: "settled",
        fields: |desk| {
            vec![
                Field::new(
                    "shipment",
                    "/event/settled/shipment",
                    w::WHICH_SHIPMENT,
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
                    w::HOW_MUCH_SILVER,
                    Kind::Figure("g"),
                )
                .needed(),
            ]
        },
        ..PLAIN
    },
    Record {
        name: "spilled",
        title: w::SOMETHING_WAS_SPILLED,
        lead: w::FIRST_PEOPLE,
        steps: &[
            w::AWAY_FROM_FUMES,
            w::STOP_IT_BEFORE_IT_REACHES_DRAIN,
            w::IF_IT_REACHED_DRAIN,
        ],
        never: &[w::NEVER_CLEANERS],
        procedure: None,
        event: "spilled",
        fields: |desk| {
            vec![
                container(desk, "/event/spilled/batch"),
                part("/event/spilled/part"),
                Field::new("what", "/event/spilled/what", w::WHAT_HAPPENED, Kind::Line).needed(),
            ]
        },
    },
    Record {
        name: "inspected",
        title: w::LOOKED_OVER,
        lead: w::LOOKED_OVER_LEAD,
        event: "inspected",
        fields: |desk| {
            let mut which = desk.containers();
            which.insert(0, (String::new(), w::WHOLE_PLACE.to_owned()));
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
                    w::WHAT_WAS_FOUND,
                    Kind::Line,
                )
                .needed(),
            ]
        },
        ..PLAIN
    },
    Record {
        name: "closed",
        title: w::TAKE_CONTAINER_OUT_OF_BOOK,
        lead: w::OUT_OF_BOOK_LEAD,
        event: "closed",
        fields: |desk| {
            vec![
                container(desk, "/event/closed/batch"),
                Field::new(
                    "written_off",
                    "/event/closed/written_off",
                    w::IF_ANYTHING_IS_LEFT_IN_IT,
                    Kind::Line,
                ),
            ]
        },
        ..PLAIN
    },
    Record {
        name: "wrong",
        title: w::ENTRY_WAS_WRONG,
        lead: w::WRONG_LEAD,
        event: "reversed",
        fields: |desk| {
            vec![
                Field::new(
                    "entry",
                    "/event/reversed/entry",
                    w::WHICH_ENTRY,
                    Kind::One(desk.entries.clone()),
                )
                .needed(),
                Field::new(
                    "reason",
                    "/event/reversed/reason",
                    w::WHAT_WAS_WRONG_WITH_IT,
                    Kind::Line,
                )
                .needed(),
            ]
        },
        ..PLAIN
    },
];
