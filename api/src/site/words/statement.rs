//! The words of `site::statement`.

pub(in crate::site) const TITLE: &str = "The refiner's statement";
pub(in crate::site) const LEAD: &str =
    "Does what the refiner found agree with what you sent? Choose a shipment.";
pub(in crate::site) const NONE: &str = "Nothing was sent to a refiner by this book.";
pub(in crate::site) const SENT_UNKNOWN: &str = "How much silver was in this shipment is not known: a container went into it unread. So nothing here can check the refiner.";
pub(in crate::site) const ASK: &str = "What the statement says";
pub(in crate::site) const SEND: &str = "Check it";
pub(in crate::site) const ANOTHER: &str = "Another shipment";
pub(in crate::site) const ASK_FOR: &str = "Ask the refiner for";
pub(in crate::site) const MONEY: &str = "The money";
pub(in crate::site) const NOT_SAID: &str = "not said";
pub(in crate::site) const REPORTED: &str = "How much silver does the refiner report?";
pub(in crate::site) const PRICE: &str = "At which price of silver did it settle?";
pub(in crate::site) const NET: &str = "What did it pay out?";
pub(in crate::site) const BILLED: &str = "Or: what did it bill you?";
pub(in crate::site) const GROSS: &str = "What does it say the silver is worth, before charges?";
pub(in crate::site) const OWN: &str = "Your assay of the dry material";
pub(in crate::site) const THEIRS: &str = "The refiner's assay";
pub(in crate::site) const UMPIRE: &str = "The umpire's assay, if there was one";
pub(in crate::site) const SPLIT: &str = "The splitting limit of your terms";
pub(in crate::site) const SPLIT_HELP: &str = "How far the two assays may lie apart before an umpire is asked. Left open, 0.20 points of silver are taken.";
pub(in crate::site) const DRY: &str = "Mass after drying";
pub(in crate::site) const MASS: &str = "Mass as received";
pub(in crate::site) const VOLUME: &str = "Volume as received";
pub(in crate::site) const COUNT: &str = "How many containers were received?";
pub(in crate::site) const ASSAYS: &str = "Assays that you exchanged";
pub(in crate::site) const RECEIVED: &str = "The lot as it was received";
pub(in crate::site) const STATEMENT: &str = "The statement";
pub(in crate::site) const LINES: &str = "What it took off, line by line";
pub(in crate::site) const LINES_HELP: &str = "Leave all of these open to check the net alone. Once one is filled in, what is left open counts as not taken off.";
pub(in crate::site) const SHARE_NOT_PAID_FOR: &str =
    "The share of the silver that it does not pay for";
pub(in crate::site) const SILVER_TAKEN_OFF_BEFORE_THAT_SHARE: &str =
    "Silver taken off before that share";
pub(in crate::site) const BELOW_LEAST_PAID_FOR: &str = "Silver below the least that it pays for";
pub(in crate::site) const TREATMENT_FOR_LOT: &str = "Treatment, for the lot";
pub(in crate::site) const TREATMENT_BY_KILOGRAM: &str = "Treatment, by the kilogram";
pub(in crate::site) const TREATMENT_BY_LITRE: &str = "Treatment, by the litre";
pub(in crate::site) const TREATMENT_BY_TROY_OUNCE: &str = "Treatment, by the troy ounce";
pub(in crate::site) const REFINING: &str = "Refining";
pub(in crate::site) const MISSING_TO_LEAST_CHARGE: &str = "What was missing to its least charge";
pub(in crate::site) const ASSAY: &str = "Assay";
pub(in crate::site) const SURCHARGES_TOGETHER: &str = "Surcharges, together";
pub(in crate::site) const FREIGHT: &str = "Freight";
pub(in crate::site) const FREIGHT_OF_EMPTIES_BACK: &str = "Freight of the empties back";
pub(in crate::site) const PERCENT_OF_SILVER: &str = "% of silver";
pub(in crate::site) const POINTS_OF_SILVER: &str = "points of silver";
pub(in crate::site) const THERE_IS_NO_SUCH_SHIPMENT: &str =
    "There is no such shipment in this book.";
pub(in crate::site) const WAS_SENT: &str = "sent: ";
pub(in crate::site) const NOT_KNOWN: &str = "not known";
pub(in crate::site) const SHIPMENT: &str = "Shipment ";
pub(in crate::site) const OF_SILVER_SENT: &str = " of silver sent, by this book.";
pub(in crate::site) const IT_AGREES: &str = "It agrees.";
pub(in crate::site) const SILVER_AGREES_NO_MONEY: &str =
    "The silver agrees. The money of the statement was not given, so none was compared.";
pub(in crate::site) const KNOWN_TOO_POORLY: &str = "Nothing disagrees, but the silver that was sent is known too poorly to check the refiner with.";
pub(in crate::site) const MONEY_DISAGREES: &str =
    "The silver agrees; the money is not what the terms say.";
pub(in crate::site) const SILVER_DIFFERS: &str = "The silver differs by more than chance allows. Ask for the umpire's assay while your sample is kept.";
pub(in crate::site) const UMPIRES_ASSAY_SETTLES: &str =
    "The umpire's assay settles, and the statement is not by it.";
pub(in crate::site) const ASSAYS_LIE_TOO_FAR_APART: &str =
    "The assays lie too far apart: ask for the umpire's assay.";
pub(in crate::site) const SILVER: &str = "The silver";
pub(in crate::site) const LINE_SENT: &str = "Sent";
pub(in crate::site) const LINE_REPORTED: &str = "Reported";
pub(in crate::site) const LINE_DIFFERENCE: &str = "Reported less sent";
pub(in crate::site) const WORTH_BEFORE_ANY_CHARGE: &str = "Worth, before any charge";
pub(in crate::site) const ASSAYS_LIE: &str = "The assays lie ";
pub(in crate::site) const POINTS_APART: &str = " points apart; the splitting limit is ";
pub(in crate::site) const WHAT_SETTLES: &str = "What settles: ";
pub(in crate::site) const UMPIRE_IS_PAID_BY: &str = "By common practice the umpire is paid by ";
pub(in crate::site) const REFINER: &str = "the refiner";
pub(in crate::site) const FOR_SILVER_REPORTED: &str = "For the silver reported, in ";
pub(in crate::site) const FOR: &str = "For";
pub(in crate::site) const BY_TERMS: &str = "By the terms";
pub(in crate::site) const STATED: &str = "Stated";
pub(in crate::site) const STATED_LESS_TERMS: &str = "Stated less terms";
pub(in crate::site) const ITS_SILVER_AT_METALS_PRICE: &str = "Its silver at the metal's price";
pub(in crate::site) const LESS: &str = "Less: ";
pub(in crate::site) const LEFT_FOR_YOU: &str = "Left for you";
pub(in crate::site) const LINES_AND_NET_ARE: &str = "The statement's own lines and its net are ";
pub(in crate::site) const APART: &str = " apart.";
pub(in crate::site) const ROUNDING_MAKES_UP_TO: &str = "Rounding each line may make up to ";
pub(in crate::site) const OF_DIFFERENCE: &str = " of the difference.";
pub(in crate::site) const TERMS_WOULD_LEAVE: &str =
    "For the silver that was sent the terms would leave ";
pub(in crate::site) const NO_TERMS: &str = "The refiner's terms or the price of silver are not in this record: the money cannot be checked without them.";
