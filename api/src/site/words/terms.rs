//! The words of `site::terms`.

pub(in crate::site) const LEAD: &str = "Ask the refiner and the haulier for their terms, and put the figures in here. What you do not know, leave open: nothing is made up for it.";
pub(in crate::site) const WHOLE: &str = "A part that is left open altogether is not kept: then there is no refiner, or no haulier, in this record.";
pub(in crate::site) const FEED: &str =
    "Where no price stands here, this service asks for it elsewhere. It was last";
pub(in crate::site) const BESIDES: &str =
    "The record says more than these questions ask. It stays as it is:";
pub(in crate::site) const SEND: &str = "Keep this";
pub(in crate::site) const SILVER: &str = "What silver costs";
pub(in crate::site) const CURRENCY: &str = "In which currency?";
pub(in crate::site) const CURRENCY_HELP: &str = "Three letters: USD, EUR, GBP. Every amount here and under “What silver costs” is in it. When you change it, change the amounts too: nothing is converted.";
pub(in crate::site) const PRICE: &str = "Price of silver";
pub(in crate::site) const PER: &str = "For how much silver?";
pub(in crate::site) const AS_OF: &str = "On which day was that true?";
pub(in crate::site) const SOURCE: &str = "Where is it from?";
pub(in crate::site) const REFINER: &str = "The refiner";
pub(in crate::site) const REFINER_NAME: &str = "What do you call the refiner?";
pub(in crate::site) const PAYABLE: &str = "How much of the silver does the refiner pay for?";
pub(in crate::site) const PAYABLE_HELP: &str = "Needed to work anything out. Such as 90.";
pub(in crate::site) const FORMS: &str = "What does the refiner take?";
pub(in crate::site) const FORMS_HELP: &str = "Tick none if it takes anything, or you do not know.";
pub(in crate::site) const LEAST_MASS: &str = "Least mass of a lot";
pub(in crate::site) const SAMPLE: &str = "Does it want a sample first?";
pub(in crate::site) const REFUSED: &str = "What does it refuse?";
pub(in crate::site) const REFUSED_HELP: &str =
    "Tick none if you do not know: then cyanide, mercury and ammonia count as refused.";
pub(in crate::site) const TREATMENT: &str = "Treatment, for each lot";
pub(in crate::site) const REFINING: &str = "Refining, for each troy ounce that is paid for";
pub(in crate::site) const ASSAY: &str = "Assay, for each lot";
pub(in crate::site) const LEAST_CHARGE: &str = "Least that treatment and refining cost for a lot";
pub(in crate::site) const LEAST_SILVER: &str = "Least silver that is paid for";
pub(in crate::site) const FREIGHT: &str = "Freight to the refiner";
pub(in crate::site) const DAYS: &str = "How many days until it pays?";
pub(in crate::site) const HAULIER: &str = "The haulier";
pub(in crate::site) const HAULIER_HELP: &str = "Who takes away what no refiner wants.";
pub(in crate::site) const HAULIER_NAME: &str = "What do you call the haulier?";
pub(in crate::site) const CALL_OUT: &str = "For coming at all";
pub(in crate::site) const PER_CONTAINER: &str = "For each container";
pub(in crate::site) const PER_KILOGRAM: &str = "For each kilogram";
pub(in crate::site) const MINIMUM: &str = "Least that a collection costs";
pub(in crate::site) const NOTICE: &str = "How many days before must you call?";
pub(in crate::site) const TROY_OUNCE: &str = "a troy ounce (31.1 g)";
pub(in crate::site) const GRAM: &str = "a gram";
pub(in crate::site) const KILOGRAM: &str = "a kilogram";
pub(in crate::site) const TROY_OUNCES: &str = "troy ounces";
pub(in crate::site) const LONE_CURRENCY: &str =
    "a currency is not kept by itself: expected a price, a refiner's terms or a haulier's";
pub(in crate::site) const TITLE: &str = "Prices and terms";
