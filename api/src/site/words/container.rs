//! The words of `site::container`.

pub(in crate::site) const SILVER: &str = "Silver in it";
pub(in crate::site) const WORTH: &str = "Is it worth sending?";
pub(in crate::site) const LAW: &str = "What it is in law";
pub(in crate::site) const RECOVERY: &str = "Getting the silver out";
pub(in crate::site) const NEUTRAL: &str = "Making it neutral";
pub(in crate::site) const ENTRIES: &str = "What was written down";
pub(in crate::site) const DO: &str = "Do something with it";
pub(in crate::site) const EMPTY: &str = "Nothing is in it.";
pub(in crate::site) const CLOSED: &str = "It is out of the book since";
pub(in crate::site) const TO_DO: &str = "What to do, the most urgent first";
pub(in crate::site) const TEST_STRIP: &str = "A test strip";
pub(in crate::site) const TITRATION: &str = "A titration";
pub(in crate::site) const VOLUME_OR_PH: &str = "Volume or pH";
pub(in crate::site) const PLATES_WERE_SENSITIZED: &str = "Plates were sensitized";
pub(in crate::site) const FILM_OR_PAPER_WAS_FIXED: &str = "Film or paper was fixed";
pub(in crate::site) const TOPPED_UP: &str = "Topped up";
pub(in crate::site) const POURED_INTO_ANOTHER: &str = "Poured into another";
pub(in crate::site) const TAKEN_OUT_OF_WORK: &str = "Taken out of work";
pub(in crate::site) const COLLECTED: &str = "Collected";
pub(in crate::site) const SPILLED: &str = "Spilled";
pub(in crate::site) const SINCE: &str = " since ";
pub(in crate::site) const BY: &str = ", by ";
pub(in crate::site) const THIS_WAS_WRONG: &str = "This was wrong";
pub(in crate::site) const PRINT_ITS_LABEL_OR_RECORD: &str = "Print its label or record";
pub(in crate::site) const MAY_THIS_GO_INTO_THAT: &str = "May this go into that?";
pub(in crate::site) const RECORD_SOMETHING_ELSE: &str = "Record something else";
pub(in crate::site) const LOT: &str = "Lot ";
pub(in crate::site) const ACCOUNT_DAYS_AND_PICTURE: &str =
    ": the account, the days and the picture";
pub(in crate::site) const IN_IT: &str = "In it: ";
