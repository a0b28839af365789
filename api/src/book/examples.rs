//! Example answers for the contract, made by the code that makes the answers.

use super::{ENTRY, STUDIO, page, shipments};
use crate::listing::Page;
use crate::operation::{Operation, operation, operations};
use crate::store::{Access, Deed, IssuedDocument, RecordedEntry, StudioRecord};
use serde::Serialize;
use serde::de::DeserializeOwned;
use serde_json::Value;
use spent_silver_domain::answer::Notes;
use spent_silver_domain::document::{DocumentRequest, draw_up_document};
use spent_silver_domain::ledger::{
    Book, Entry, SilverAccountRequest, account_silver, balance_container, balance_containers, fold,
};
use spent_silver_domain::waste::rule_set::{RuleSet, RuleSetName};

const AT: &str = "2026-11-25T09:30:00.000000Z";

/// The example answer of an endpoint, by its operation id.
pub(super) fn example(id: &str) -> Option<Value> {
    let studio: StudioRecord = read(STUDIO)?;
    let rules = studio.rule_set.map(RuleSetName::rules);
    let recorded = RecordedEntry {
        sequence: 1,
        recorded_at: AT.to_owned(),
        entry: read(ENTRY)?,
    };
    match id {
        "list_studios" => written(&single(studio)),
        "create_studio" | "get_studio" | "replace_studio" => written(&studio),
        "list_deeds" => {
            let access = Access::local("127.0.0.1");
            written(&single(Deed {
                number: 1,
                done_at: AT.to_owned(),
                actor: access.actor,
                address: access.address,
                action: "create studio".to_owned(),
                target: studio.id.to_string(),
            }))
        }
        "list_entries" => written(&single(recorded)),
        "append_entry" => written(&Notes::new().answer(recorded, rules)),
        "get_entry" => written(&recorded),
        "list_batches" => written(&balance_containers(&book(&[recorded.entry])?, rules).ok()?),
        "get_batch" => {
            let book = book(&[recorded.entry])?;
            let name = book.holdings().next()?.0.clone();
            written(&balance_container(&book, &name, rules).ok()??)
        }
        "get_silver_account" => answered(operation("silver-accounts")?),
        "list_studio_clocks" => answered(operation("waste-clocks")?),
        "get_waste_register" => answered(operation("waste-registers")?),
        "list_shipments" | "get_shipment" => {
            let request: SilverAccountRequest = read(operation("silver-accounts")?.example)?;
            let account = account_silver(&request).ok()?;
            if id == "list_shipments" {
                return written(&shipments::listed(account));
            }
            written(&shipments::single(&account, 0)?)
        }
        "list_documents" => written(&single(document()?.summary())),
        "issue_document" | "get_document" => written(&document()?),
        _ => {
            let own = id.strip_suffix("_of_studio")?;
            answered(operations().iter().find(|o| o.id == own)?)
        }
    }
}

/// What an operation answers to its own example.
fn answered(operation: &Operation) -> Option<Value> {
    serde_json::from_slice(&operation.answer(operation.example.as_bytes()).ok()?).ok()
}

fn read<T: DeserializeOwned>(text: &str) -> Option<T> {
    serde_json::from_str(text).ok()
}

fn written<T: Serialize>(value: &T) -> Option<Value> {
    serde_json::to_value(value).ok()
}

fn single<T>(item: T) -> Page<T> {
    page(vec![item], 50, |_| 0)
}

fn book(entries: &[Entry]) -> Option<Book> {
    fold(entries, None, RuleSet::unspecified(), &mut Notes::default()).ok()
}

fn document() -> Option<IssuedDocument> {
    let request: DocumentRequest = read(operation("documents")?.example)?;
    Some(IssuedDocument {
        number: 1,
        issued_at: AT.to_owned(),
        as_of_sequence: 1,
        program_version: env!("CARGO_PKG_VERSION").to_owned(),
        document: draw_up_document(&request).ok()?.result.document,
    })
}
