//! The words of `site::lot`.

pub(in crate::site) const ADVICE: &str = "What to do";
pub(in crate::site) const DAYS: &str = "When";
pub(in crate::site) const ACCOUNT: &str = "What sending it comes to";
pub(in crate::site) const BEFORE: &str = "Before it is sent";
pub(in crate::site) const NOT_TAKEN: &str = "The refiner does not take it as it is";
pub(in crate::site) const UNKNOWN: &str = "What it is worth is not known";
pub(in crate::site) const WAYS: &str = "Every way out";
pub(in crate::site) const PICTURES: &str = "When it would pay";
pub(in crate::site) const CHANGES: &str = "What would change the advice";
pub(in crate::site) const SHARES: &str = "What of it belongs to each container";
pub(in crate::site) const HAULAGE: &str = "What a collection would cost";
pub(in crate::site) const RESTORE: &str = "How the bath is restored";
pub(in crate::site) const NEVER: &str = "Never";
pub(in crate::site) const NO_DAY: &str = "No rule known here sets a latest day for it. That is no permission to keep it: ask your authority.";
pub(in crate::site) const SILVER_IN_IT: &str = "Silver in it";
pub(in crate::site) const NINETY_FIVE_IN_100: &str = "; 95 times in 100 it is ";
pub(in crate::site) const BETWEEN: &str = "between ";
pub(in crate::site) const AND: &str = " and ";
pub(in crate::site) const G_OR_MORE: &str = " g or more.";
pub(in crate::site) const CHANCE: &str =
    "The chance that sending it now brings more than it costs: ";
pub(in crate::site) const CONTAINERS: &str = "Containers: ";
pub(in crate::site) const HARDLY_ANY_CHANCE: &str = "less than 0.1 %";
pub(in crate::site) const HARDLY_A_DOUBT: &str = "more than 99.9 %";
pub(in crate::site) const NOT_LATER_THAN: &str = "Not later than ";
pub(in crate::site) const CALL_HAULIER_BY: &str = "Call the haulier by ";
pub(in crate::site) const LOOK_AT_IT_AGAIN_ON: &str = "Look at it again on ";
pub(in crate::site) const IT_FILLS_AND_PAYS_FROM: &str = "At the rate it fills it pays from ";
pub(in crate::site) const IN_THE_LONG_RUN_EVERY: &str =
    "In the long run sending costs least every ";
pub(in crate::site) const MONTHS_WITH: &str = " months, with ";
pub(in crate::site) const EACH_TIME: &str = " each time.";
pub(in crate::site) const IF_IT_WENT_NOW_IN: &str = "If it went now, in ";
pub(in crate::site) const FOR: &str = "For";
pub(in crate::site) const AMOUNT: &str = "Amount";
pub(in crate::site) const ITS_SILVER_AT_METALS_PRICE: &str = "Its silver at the metal's price";
pub(in crate::site) const LEFT_FOR_YOU: &str = "Left for you";
pub(in crate::site) const SETTLED_ABOUT: &str = "Sent today, it is settled about ";
pub(in crate::site) const FREIGHT_NOT_COUNTED: &str = ", freight not counted.";
pub(in crate::site) const COMMA_IN: &str = ", in ";
pub(in crate::site) const CONTAINER: &str = "Container";
pub(in crate::site) const SILVER: &str = "Silver";
pub(in crate::site) const NET: &str = "Net";
pub(in crate::site) const AT_THIS_PRICE_FROM: &str = "At this price: from ";
pub(in crate::site) const OF_SILVER_IN_LOT: &str = " of silver in the lot.";
pub(in crate::site) const NO_SILVER_IS_ENOUGH: &str =
    "At this price no amount of silver is enough.";
pub(in crate::site) const WITH_THIS_SILVER_FROM: &str = "With this silver: from ";
pub(in crate::site) const NO_PRICE_IS_ENOUGH: &str =
    "With this silver no price is enough: the refiner pays for none of it.";
pub(in crate::site) const IN_MONEY: &str = "In ";
pub(in crate::site) const WHAT: &str = "What";
pub(in crate::site) const BRINGS: &str = "Brings";
pub(in crate::site) const NOT_OPEN: &str = "not open";
pub(in crate::site) const NOT_KNOWN: &str = "not known";
pub(in crate::site) const ALL_OF_IT: &str = "All of it";
pub(in crate::site) const CALL: &str = "Call ";
pub(in crate::site) const DAYS_BEFORE: &str = " days before.";
