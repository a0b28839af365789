//! The words of `site::worth`.

use std::fmt::Display;

pub(in crate::site) const TITLE: &str = "Is it worth sending?";
pub(in crate::site) const LEAD: &str = "Containers that go to the refiner together make a lot: what is charged once is shared between them.";
pub(in crate::site) const NO_PRICE: &str = "The price of silver is not in this record.";
pub(in crate::site) const NO_TERMS: &str =
    "A refiner's terms are not in this record: what it takes, pays and charges.";
pub(in crate::site) const NO_SILVER: &str = "No container in this book is known to bear silver.";
pub(in crate::site) const TOO_MANY: &str = "There are more containers than one report works through. The JSON service values lots that name their containers.";
pub(in crate::site) const AT_LENGTH: &str = "The account, the days and the picture";
pub(in crate::site) const ALL: &str = "All lots";
pub(in crate::site) const RECKONED: &str = "Reckoned at";
pub(in crate::site) const NO_DAY: &str = "on a day that the record does not say";
pub(in crate::site) const ACT: &str = "Act today: money is not asked.";
pub(in crate::site) const ON: &str = "on ";
pub(in crate::site) const THERE_IS_NO_SUCH_LOT: &str = "There is no such lot in this studio now.";
pub(in crate::site) const LOT: &str = "Lot ";
pub(in crate::site) const WHAT_IT_RESTS_ON: &str = "What it rests on";
pub(in crate::site) const NOT_LATER_THAN: &str = "Not later than ";
pub(in crate::site) const OF: &str = " of ";
pub(in crate::site) const REFINER_DOES_NOT_TAKE_IT_AS_IT_IS: &str =
    "The refiner does not take it as it is.";
pub(in crate::site) const WHAT_IT_IS_WORTH_IS_NOT_KNOWN: &str = "What it is worth is not known.";

pub(in crate::site) fn pays_from(silver: impl Display) -> String {
    format!(" It would pay from {silver}.")
}

pub(in crate::site) fn costs(currency: impl Display, cost: impl Display) -> String {
    format!("Sent now it costs {currency} {cost} more than it brings.")
}

pub(in crate::site) fn nets(currency: impl Display, net: impl Display) -> String {
    format!("Sent now it nets {currency} {net}.")
}

pub(in crate::site) fn share_nets(
    lot: impl Display,
    currency: impl Display,
    net: impl Display,
) -> String {
    format!("Sent now with lot {lot} its share nets {currency} {net}.")
}

pub(in crate::site) fn with_advice(worth: impl Display, advice: impl Display) -> String {
    format!("{worth} Advice: {advice}.")
}
