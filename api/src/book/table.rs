//! The endpoints of the book, one row each.

use super::shipments::{self, ShipmentList, StoredShipment};
use super::{
    Answering, Answers, Body, CALENDAR, CSV, Call, Endpoint, JSON, PAPERS, Shape, TEXT, calculate,
    handlers, papers, registers, studios,
};
use crate::described::Described;
use crate::listing::Page;
use crate::operation::operations;
use crate::resource::Parameter;
use crate::store::{Deed, IssuedDocument, IssuedSummary, RecordedEntry, Role, StudioRecord};
use spent_silver_domain::ledger::{
    Clocks, ContainerBalance, ContainerBalances, Entry, SilverAccount, WasteRegister,
};

const AS_OF: &[Parameter] = &[
    Parameter {
        name: "on",
        integer: false,
        description: "The day at whose end, YYYY-MM-DD. Default: as it stands.",
    },
    Parameter {
        name: "recorded_until",
        integer: false,
        description: "Only what was recorded by that instant, RFC 3339. Default: everything.",
    },
];
const PAGING: &[Parameter] = &[LIMIT, CURSOR];
const LIMIT: Parameter = Parameter {
    name: "limit",
    integer: true,
    description: "Most entries in the answer, 1 to 200. Default 50.",
};
const CURSOR: Parameter = Parameter {
    name: "cursor",
    integer: false,
    description: "Where to go on: `next_cursor` of the answer before.",
};
const ENTRIES: &[Parameter] = &[
    LIMIT,
    CURSOR,
    Parameter {
        name: "batch",
        integer: false,
        description: "Only entries about this container.",
    },
    Parameter {
        name: "shipment",
        integer: false,
        description: "Only entries about this shipment.",
    },
];
const ON: &[Parameter] = &[Parameter {
    name: "on",
    integer: false,
    description: "The day it is taken to be, YYYY-MM-DD. Default: today, in the studio's time zone.",
}];
const PERIOD: &[Parameter] = &[
    Parameter {
        name: "from",
        integer: false,
        description: "First day, YYYY-MM-DD.",
    },
    Parameter {
        name: "until",
        integer: false,
        description: "Last day, YYYY-MM-DD.",
    },
];

/// Builds the handler of an endpoint from an asynchronous function.
macro_rules! by {
    ($function:path) => {
        Box::new(|call| Box::pin($function(call)))
    };
}

pub(super) fn get(
    path: &str,
    id: &str,
    summary: &str,
    handler: Box<dyn Fn(Call) -> Answering + Send + Sync>,
) -> Endpoint {
    Endpoint {
        method: "GET",
        path: path.to_owned(),
        id: id.to_owned(),
        tag: "Book",
        summary: summary.to_owned(),
        role: Role::Reader,
        request: None,
        status: 200,
        answer: None,
        media_types: vec![JSON],
        query: &[],
        keyed: false,
        replaces: false,
        handler,
    }
}

fn own<T: utoipa::ToSchema>(example: &str) -> Option<Body> {
    Some(Body {
        schema: T::name().into_owned(),
        shape: Shape::Own(Described::by::<T>()),
        example: example.to_owned(),
    })
}

pub(super) const STUDIO: &str = include_str!("../../examples/book/studio.json");
pub(super) const ENTRY: &str = include_str!("../../examples/book/entry.json");

pub(super) fn table() -> Vec<Endpoint> {
    let mut rows = vec![
        Endpoint {
            answer: Answers::plain::<Page<StudioRecord>>(),
            query: PAGING,
            ..get(
                "/v1/studios",
                "list_studios",
                "The studios whose book is kept here",
                by!(studios::list),
            )
        },
        Endpoint {
            method: "POST",
            role: Role::Owner,
            request: own::<StudioRecord>(STUDIO),
            status: 201,
            answer: Answers::plain::<StudioRecord>(),
            keyed: true,
            ..get(
                "/v1/studios",
                "create_studio",
                "Begin the book of a studio",
                by!(studios::create),
            )
        },
        Endpoint {
            answer: Answers::plain::<StudioRecord>(),
            ..get(
                "/v1/studios/{studio}",
                "get_studio",
                "A studio's record",
                by!(studios::read),
            )
        },
        Endpoint {
            method: "PUT",
            role: Role::Owner,
            request: own::<StudioRecord>(STUDIO),
            answer: Answers::plain::<StudioRecord>(),
            replaces: true,
            ..get(
                "/v1/studios/{studio}",
                "replace_studio",
                "Replace a studio's record",
                by!(studios::replace),
            )
        },
        Endpoint {
            answer: Answers::plain::<Page<Deed>>(),
            query: PAGING,
            role: Role::Owner,
            ..get(
                "/v1/studios/{studio}/deeds",
                "list_deeds",
                "Who did what, when and from where",
                by!(studios::deeds),
            )
        },
        Endpoint {
            answer: Answers::plain::<Page<RecordedEntry>>(),
            query: ENTRIES,
            media_types: vec![JSON, CSV],
            ..get(
                "/v1/studios/{studio}/entries",
                "list_entries",
                "The entries, in the order recorded",
                by!(handlers::entries),
            )
        },
        Endpoint {
            method: "POST",
            role: Role::Writer,
            request: own::<Entry>(ENTRY),
            status: 201,
            answer: Answers::enveloped::<RecordedEntry>(),
            keyed: true,
            ..get(
                "/v1/studios/{studio}/entries",
                "append_entry",
                "Append an entry; it is never edited or removed",
                by!(handlers::append),
            )
        },
        Endpoint {
            answer: Answers::plain::<RecordedEntry>(),
            ..get(
                "/v1/studios/{studio}/entries/{entry}",
                "get_entry",
                "One entry",
                by!(handlers::entry),
            )
        },
        Endpoint {
            answer: Answers::enveloped::<ContainerBalances>(),
            query: AS_OF,
            media_types: vec![JSON, CSV],
            ..get(
                "/v1/studios/{studio}/batches",
                "list_batches",
                "What every container holds, as it stands or on a day",
                by!(handlers::batches),
            )
        },
        Endpoint {
            answer: Answers::enveloped::<ContainerBalance>(),
            query: AS_OF,
            ..get(
                "/v1/studios/{studio}/batches/{batch}",
                "get_batch",
                "What one container holds, as it stands or on a day",
                by!(handlers::batch),
            )
        },
        Endpoint {
            answer: Answers::enveloped::<SilverAccount>(),
            query: PERIOD,
            media_types: vec![JSON, TEXT, CSV],
            ..get(
                "/v1/studios/{studio}/silver-account",
                "get_silver_account",
                "Where the silver of a period came from and went, and whether readings and records agree",
                by!(handlers::account),
            )
        },
        Endpoint {
            answer: Answers::enveloped::<Clocks>(),
            query: ON,
            media_types: vec![JSON, CSV],
            ..get(
                "/v1/studios/{studio}/clocks",
                "list_studio_clocks",
                "What falls due and when: storage limits, inspections, statements, the year's account",
                by!(registers::clocks),
            )
        },
        Endpoint {
            media_types: vec![CALENDAR],
            ..get(
                "/v1/studios/{studio}/calendar.ics",
                "get_calendar",
                "What falls due, as a calendar that others subscribe to (RFC 5545)",
                by!(registers::calendar),
            )
        },
        Endpoint {
            answer: Answers::enveloped::<WasteRegister>(),
            query: PERIOD,
            media_types: vec![JSON, TEXT, CSV],
            ..get(
                "/v1/studios/{studio}/waste-register",
                "get_waste_register",
                "Every event of a period that an inspector asks for",
                by!(registers::register),
            )
        },
        Endpoint {
            answer: Answers::plain::<ShipmentList>(),
            ..get(
                "/v1/studios/{studio}/shipments",
                "list_shipments",
                "Every shipment: what was sent, and what the refiner found",
                by!(shipments::shipments),
            )
        },
        Endpoint {
            answer: Answers::plain::<StoredShipment>(),
            ..get(
                "/v1/studios/{studio}/shipments/{shipment}",
                "get_shipment",
                "One shipment: what was sent, and what the refiner found",
                by!(shipments::shipment),
            )
        },
        Endpoint {
            answer: Answers::plain::<Page<IssuedSummary>>(),
            query: PAGING,
            ..get(
                "/v1/studios/{studio}/documents",
                "list_documents",
                "The documents that were issued",
                by!(papers::list),
            )
        },
        Endpoint {
            method: "POST",
            role: Role::Writer,
            request: Some(papers::body()),
            status: 201,
            answer: Answers::plain::<IssuedDocument>(),
            keyed: true,
            ..get(
                "/v1/studios/{studio}/documents",
                "issue_document",
                "Draw up a document from the book, number it and keep it",
                by!(papers::issue),
            )
        },
        Endpoint {
            answer: Answers::plain::<IssuedDocument>(),
            media_types: PAPERS.to_vec(),
            ..get(
                "/v1/studios/{studio}/documents/{document}",
                "get_document",
                "A document, as it was issued",
                by!(papers::read),
            )
        },
    ];
    for operation in operations() {
        for place in operation.places {
            rows.extend(calculate::endpoint(operation, *place));
        }
    }
    rows
}
