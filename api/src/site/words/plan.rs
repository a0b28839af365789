//! The words of `site::plan`.

use std::fmt::Display;

pub(in crate::site) const NOT_KNOWN: &str = "not known: measure it";
pub(in crate::site) const DO_TODAY: &str = "Do this today";
pub(in crate::site) const NEVER: &str = "Never";
pub(in crate::site) const INSTEAD: &str = "Do this instead";
pub(in crate::site) const CALL: &str = "Call";
pub(in crate::site) const IT_RESTS_ON_ONE_READING: &str =
    "It rests on one reading: nothing checks it.";
pub(in crate::site) const ONLY_BOUNDS: &str =
    "What was read only bounds it, or one figure lies within bounds.";
pub(in crate::site) const NINETY_FIVE_IN_100: &str = "95 times in 100 it is ";
pub(in crate::site) const WHERE_IT_COMES_FROM: &str = "Where it comes from";
pub(in crate::site) const READING: &str = "Reading";
pub(in crate::site) const SILVER: &str = "Silver";
pub(in crate::site) const MOST_OF_ITS_DOUBT: &str = "Most of its doubt";
pub(in crate::site) const TO: &str = " to ";
pub(in crate::site) const MORE: &str = "more";
pub(in crate::site) const NO_FIGURE: &str = "no figure";
pub(in crate::site) const NOT_HAZARDOUS: &str =
    "Nothing points to a hazardous waste; your state may still list it.";
pub(in crate::site) const HAZARD_MUST_BE_ASKED: &str = "Whether it is hazardous must be asked.";
pub(in crate::site) const A_TEST_DECIDES: &str =
    "A test decides whether it is hazardous; until then handle it as if it were.";
pub(in crate::site) const TAKEN_TO_BE_HAZARDOUS: &str =
    "It is taken to be hazardous until shown otherwise.";
pub(in crate::site) const IT_IS_HAZARDOUS: &str = "It is hazardous.";
pub(in crate::site) const DO: &str = "Do";
pub(in crate::site) const MARKS_ON_CONTAINER: &str = "Marks on the container";
pub(in crate::site) const ASK: &str = "Ask";
pub(in crate::site) const WHEN_IT_IS_GIVEN_UP: &str = "When it is given up: ";
pub(in crate::site) const CODES: &str = "Codes: ";
pub(in crate::site) const IT_MUST_HAVE_LEFT_BY: &str = "It must have left by ";
pub(in crate::site) const IT_MAY_HAVE_TO_LEAVE_BY: &str = "It may have to leave by ";
pub(in crate::site) const WAYS_CLOSED: &str = "Ways that do not go here, and why (";
pub(in crate::site) const WHAT_CAN_HURT: &str = "What can hurt";
pub(in crate::site) const END: &str = "The end: ";
pub(in crate::site) const IN_PRACTICE: &str = "In practice ";
pub(in crate::site) const STAY_IN_THE_LIQUOR: &str = " mg/L of silver stay in the liquor. ";
pub(in crate::site) const TEST_THE_LIQUOR: &str =
    "The liquor is to be tested by a laboratory: nothing here allows a discharge.";
pub(in crate::site) const WHAT_IS_LEFT_TO_DEAL_WITH: &str = "What is left to deal with";
pub(in crate::site) const IF_IT_GOES_WRONG: &str = "If it goes wrong";
pub(in crate::site) const ABOUT: &str = "About ";
pub(in crate::site) const OF_SODIUM_BICARBONATE: &str = " of sodium bicarbonate";
pub(in crate::site) const NINETY_FIVE_IN_100_BETWEEN: &str = ", 95 times in 100 between ";
pub(in crate::site) const AND: &str = " and ";
pub(in crate::site) const TODAY: &str = "Today. ";
pub(in crate::site) const BY: &str = "By ";
pub(in crate::site) const SOON: &str = "Soon. ";

pub(in crate::site) fn agree(chance_percent: impl Display) -> String {
    format!("The readings agree within chance ({chance_percent} %).")
}

pub(in crate::site) fn widened(times: impl Display) -> String {
    format!("The readings disagree more than chance allows: the margin was widened {times} times.")
}

pub(in crate::site) fn cannot_all_be_true(reason: impl Display) -> String {
    format!("The readings cannot all be true: {reason}")
}
