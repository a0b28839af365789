//! What was sent to refiners: taken out of the silver account, with what the account says besides.

use super::handlers::account_of;
use super::{Answered, Call, json, now};
use crate::problem::{Code, Problem};
use serde::Serialize;
use spent_silver_domain::answer::{Answer, Assumption, Notice, Warning};
use spent_silver_domain::ledger::{ShipmentBalance, SilverAccount};
use spent_silver_domain::quantity::{ComputedFactor, ComputedGrams, Date, Identifier};
use utoipa::ToSchema;

/// Where the shipments stand in an account.
const IN_ACCOUNT: &str = "/shipments/";

/// Every shipment of a book.
#[derive(Debug, Serialize, ToSchema)]
pub struct ShipmentList {
    /// The shipments.
    pub items: Vec<ShipmentBalance>,
    /// Null: this list has one page.
    pub next_cursor: Option<String>,
    /// Each default used.
    pub assumptions: Vec<Assumption>,
    /// What the reader must know before acting.
    pub warnings: Vec<Warning>,
    /// Local rules and licensed practice come first.
    pub notice: Notice,
}

/// One shipment of a book.
#[derive(Debug, Serialize, ToSchema)]
pub struct StoredShipment {
    /// The shipment.
    pub shipment: Identifier,
    /// Silver sent, by the book; null where it was unknown.
    pub sent_g: Option<ComputedGrams>,
    /// Standard uncertainty of `sent_g`.
    pub sent_standard_uncertainty_g: Option<ComputedGrams>,
    /// Silver the refiner found; null while it is not settled.
    pub settled_g: Option<ComputedGrams>,
    /// Standard uncertainty of `settled_g`.
    pub settled_standard_uncertainty_g: Option<ComputedGrams>,
    /// What the refiner found more than was sent, over the uncertainty of both.
    pub standardized_difference: Option<ComputedFactor>,
    /// Each default used.
    pub assumptions: Vec<Assumption>,
    /// What the reader must know before acting.
    pub warnings: Vec<Warning>,
    /// Local rules and licensed practice come first.
    pub notice: Notice,
}

/// A pointer into an account as one into a list of its shipments; what is about something else there is
/// about the whole here.
fn in_list(about: &str) -> String {
    match about.strip_prefix(IN_ACCOUNT) {
        Some(rest) => format!("/items/{rest}"),
        None => String::new(),
    }
}

/// The same into one shipment; none where it is about another.
fn in_one(about: &str, place: usize) -> Option<String> {
    let Some(rest) = about.strip_prefix(IN_ACCOUNT) else {
        return Some(String::new());
    };
    let own = rest.strip_prefix(&place.to_string())?;
    (own.is_empty() || own.starts_with('/')).then(|| own.to_owned())
}

/// The list in an account.
pub(super) fn listed(account: Answer<SilverAccount>) -> ShipmentList {
    let mut list = ShipmentList {
        items: account.result.shipments,
        next_cursor: None,
        assumptions: account.assumptions,
        warnings: account.warnings,
        notice: account.notice,
    };
    for one in &mut list.assumptions {
        one.about = in_list(&one.about);
    }
    for one in &mut list.warnings {
        one.about = in_list(&one.about);
    }
    list
}

/// The shipment in that place of an account.
pub(super) fn single(account: &Answer<SilverAccount>, place: usize) -> Option<StoredShipment> {
    let of = account.result.shipments.get(place)?;
    let assumed = account.assumptions.iter();
    let said = account.warnings.iter();
    Some(StoredShipment {
        shipment: of.shipment.clone(),
        sent_g: of.sent_g,
        sent_standard_uncertainty_g: of.sent_standard_uncertainty_g,
        settled_g: of.settled_g,
        settled_standard_uncertainty_g: of.settled_standard_uncertainty_g,
        standardized_difference: of.standardized_difference,
        assumptions: assumed
            .filter_map(|one| {
                let about = in_one(&one.about, place)?;
                Some(Assumption {
                    about,
                    ..one.clone()
                })
            })
            .collect(),
        warnings: said
            .filter_map(|one| {
                let about = in_one(&one.about, place)?;
                Some(Warning {
                    about,
                    ..one.clone()
                })
            })
            .collect(),
        notice: account.notice.clone(),
    })
}

/// The account from the first day to today.
async fn whole_account(call: &Call) -> Result<Answer<SilverAccount>, Problem> {
    let studio = call.store()?.studio(call.studio()).await?;
    let first = Date::parse("1900-01-01").map_err(|_| Problem::internal())?;
    let today = studio.record.day(now());
    account_of(call.store()?, &studio, first, today).await
}

pub(super) async fn shipments(call: Call) -> Answered {
    json(&listed(whole_account(&call).await?))
}

pub(super) async fn shipment(call: Call) -> Answered {
    json(&shipment_of(&call).await?)
}

/// The shipment that the path names.
pub(super) async fn shipment_of(call: &Call) -> Result<StoredShipment, Problem> {
    let name = call.segment("shipment");
    let account = whole_account(call).await?;
    let all = &account.result.shipments;
    let place = all.iter().position(|s| s.shipment.as_str() == name);
    place
        .and_then(|place| single(&account, place))
        .ok_or_else(|| {
            let name: String = name.chars().take(64).collect();
            Problem::new(
                Code::NotFound,
                format!("There is no shipment `{name}` in this book."),
            )
        })
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_pointer_into_an_account_leads_to_the_same_shipment() {
        assert_eq!(in_list("/shipments/1/sent_g"), "/items/1/sent_g");
        assert_eq!(in_list("/lines/0"), "");
        assert_eq!(in_one("/shipments/1/sent_g", 1).as_deref(), Some("/sent_g"));
        assert_eq!(in_one("/shipments/1", 1).as_deref(), Some(""));
        assert_eq!(in_one("/shipments/11/sent_g", 1), None);
        assert_eq!(in_one("/reconciliation", 1).as_deref(), Some(""));
    }
}
