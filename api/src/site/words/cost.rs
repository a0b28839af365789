//! The words of `site::cost`.

pub(in crate::site) const TITLE: &str = "What silver costs";
pub(in crate::site) const LEAD: &str = "How much silver do you use, and what comes back? Below stands what it costs for each plate, each month and each year, at three prices.";
pub(in crate::site) const NO_PRICE: &str =
    "The price of silver is not in this record: without it no cost can be worked out.";
pub(in crate::site) const CANNOT: &str = "This cannot be worked out yet";
pub(in crate::site) const COMES_TO: &str = "What it comes to";
pub(in crate::site) const RECKONED: &str = "Reckoned at";
pub(in crate::site) const SEND: &str = "Keep this, and work it out";
pub(in crate::site) const ASK: &str = "What you use, and what comes back";
pub(in crate::site) const NITRATE: &str = "Silver nitrate";
pub(in crate::site) const CURRENCY: &str = "In which currency?";
pub(in crate::site) const BOTTLE: &str = "What does the bottle cost?";
pub(in crate::site) const BOTTLE_HELP: &str =
    "Carriage included. If you buy it by the metal's price, answer the third question instead.";
pub(in crate::site) const BOTTLE_G: &str = "How much is in it?";
pub(in crate::site) const PREMIUM: &str = "Or: how much above the value of its silver?";
pub(in crate::site) const PURITY: &str = "How pure is it?";
pub(in crate::site) const SPREAD: &str = "How far may the price of silver move, either way?";
pub(in crate::site) const SPREAD_HELP: &str = "Left open, 30 % is taken.";
pub(in crate::site) const BOTH: &str =
    "two prices of one thing: expected what the bottle costs, or how much above its silver";
pub(in crate::site) const FORMAT: &str = "Plates or sheets";
pub(in crate::site) const NAME: &str = "What do you call them?";
pub(in crate::site) const CRAFT: &str = "Which craft?";
pub(in crate::site) const CRAFT_HELP: &str = "Not said, collodion is taken.";
pub(in crate::site) const COUNT: &str = "How many in a month, spoiled ones too?";
pub(in crate::site) const SIZE: &str = "How large?";
pub(in crate::site) const BATH: &str = "A bath that is made up afresh";
pub(in crate::site) const BATH_NAME: &str = "What do you call it?";
pub(in crate::site) const STRENGTH: &str = "How strong?";
pub(in crate::site) const VOLUME: &str = "How much of it?";
pub(in crate::site) const TIMES: &str = "How many times in a year?";
pub(in crate::site) const BATH_BACK: &str = "How much of its silver do you get back?";
pub(in crate::site) const YEARLY: &str = "What does getting it back cost in a year?";
pub(in crate::site) const STREAM: &str = "Where the silver of plates goes";
pub(in crate::site) const STREAM_NAME: &str = "Where? Such as: fixer, drips, run-off";
pub(in crate::site) const SHARE: &str = "How much of the plates' silver goes there?";
pub(in crate::site) const BACK: &str = "How much of that do you get back?";
pub(in crate::site) const REFINER: &str = "The refiner, in a year";
pub(in crate::site) const PAYABLE: &str = "How much of the silver does the refiner pay for?";
pub(in crate::site) const CHARGES: &str = "Charges and freight in a year";
pub(in crate::site) const ONE_MORE_KIND_OF_PLATE: &str = "One more kind of plate or sheet";
pub(in crate::site) const ONE_MORE_BATH: &str = "One more bath";
pub(in crate::site) const ONE_MORE_PLACE: &str = "One more place";
pub(in crate::site) const LOW: &str = "Low";
pub(in crate::site) const NOW: &str = "Now";
pub(in crate::site) const HIGH: &str = "High";
pub(in crate::site) const IN_A_YEAR_AND: &str = " in a year, ";
pub(in crate::site) const IN_A_MONTH: &str = " in a month";
pub(in crate::site) const BOUGHT_IN_A_YEAR: &str = "Silver nitrate bought: ";
pub(in crate::site) const IN_A_YEAR_WITH: &str = " in a year, with ";
pub(in crate::site) const OF_SILVER_AND_GOT_BACK: &str = " of silver. Got back: ";
pub(in crate::site) const A_PLATE_IN: &str = "One plate or sheet, net, in ";
pub(in crate::site) const WHICH: &str = "Which";
pub(in crate::site) const OF_SILVER_NITRATE: &str = " of silver nitrate";
pub(in crate::site) const A_FILLING_IN: &str = "Filling a bath once, net, in ";
pub(in crate::site) const A_MONTH_IN: &str = "A month, net, in ";
pub(in crate::site) const ALL_TWELFTH_OF_YEAR: &str = "All, a twelfth of the year";
pub(in crate::site) const A_YEAR_IN: &str = "A year, in ";
pub(in crate::site) const FOR: &str = "For";
pub(in crate::site) const SILVER_PRICE: &str = "Price of silver, a troy ounce";
pub(in crate::site) const NITRATE_PRICE: &str = "Silver nitrate, 100 g";
pub(in crate::site) const LINE_BOUGHT: &str = "Silver nitrate bought";
pub(in crate::site) const LINE_GOT_BACK: &str = "Less silver got back";
pub(in crate::site) const LINE_CHARGES: &str = "Charges";
pub(in crate::site) const LINE_LEFT: &str = "Left to pay";
pub(in crate::site) const YEAR_UNCERTAINTY: &str =
    "The year's figure has a standard uncertainty of ";
pub(in crate::site) const FROM_SILVER_ALONE: &str = ", from the silver alone.";
pub(in crate::site) const MOST_OF_THAT_DOUBT: &str = "Most of that doubt: ";
pub(in crate::site) const BROUGHT_BACK_IN: &str =
    "What each place brings back in a year, after its own cost, in ";
pub(in crate::site) const WHERE: &str = "Where";
