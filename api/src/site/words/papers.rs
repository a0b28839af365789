//! The words of `site::papers`.

use std::fmt::Display;

pub(in crate::site) const TITLE: &str = "Print a paper";
pub(in crate::site) const SEND: &str = "Draw it up";
pub(in crate::site) const DONE: &str = "Drawn up and kept";
pub(in crate::site) const KEPT: &str = "Papers drawn up before";
pub(in crate::site) const KEPT_WORDS: &str = "A paper stays as it was drawn up: what is written down later changes a new one, never an old one.";
pub(in crate::site) const WHICH: &str = "Which paper?";
pub(in crate::site) const FOR: &str = "For which containers?";
pub(in crate::site) const FOR_HELP: &str = "A label, a record, a worksheet and a sample sheet are drawn up for each; the others list all that are ticked.";
pub(in crate::site) const ON: &str = "Dated";
pub(in crate::site) const SIZE: &str = "On which paper?";
pub(in crate::site) const PROCEDURE: &str = "For a worksheet: of what?";
pub(in crate::site) const CARRIER: &str = "Who takes it away?";
pub(in crate::site) const DESTINATION: &str = "Where does it go?";
pub(in crate::site) const PLACE: &str = "Where do they stand?";
pub(in crate::site) const LABORATORY: &str = "Which laboratory?";
pub(in crate::site) const LOT: &str = "What do you call the lot?";
pub(in crate::site) const SAMPLE: &str = "Did the refiner approve a sample?";
pub(in crate::site) const FROM: &str = "From the first day";
pub(in crate::site) const UNTIL: &str = "To the last day";
pub(in crate::site) const FOUND: &str =
    "containers at the end: what readings show of the silver that was not known";
pub(in crate::site) const UNKNOWN: &str = "silver not known, counted as nothing";
pub(in crate::site) const OTHER: &str = "Another paper";
pub(in crate::site) const LABEL_FOR_CONTAINER: &str = "a label for the container";
pub(in crate::site) const WASTE_RECORD: &str = "a waste record";
pub(in crate::site) const WHAT_IT_IS_IN_LAW: &str = "what it is in law, and why";
pub(in crate::site) const WORKSHEET_FOR_BENCH: &str = "a worksheet for the bench";
pub(in crate::site) const SAMPLE_SHEET: &str = "a sheet for a sample to a laboratory";
pub(in crate::site) const LOG_OF_WHAT_GOES_IN: &str = "a log of what goes in";
pub(in crate::site) const LOG_OF_LOOKING_THEM_OVER: &str = "a log of looking them over";
pub(in crate::site) const CHECKLIST_BEFORE_COLLECTION: &str = "a checklist before collection";
pub(in crate::site) const SHIPMENT_SHEET: &str = "a sheet for a shipment to a refiner";
pub(in crate::site) const SILVER_OF_A_PERIOD: &str =
    "the silver of a period: what there was, what came, what went";
pub(in crate::site) const WHAT_A_LOT_SHOULD_BRING: &str =
    "what a lot should bring, to hold a refiner's statement against";
pub(in crate::site) const SPILL_RECORD: &str = "a spill record";
pub(in crate::site) const WHAT_HANGS_BY_TELEPHONE: &str = "what hangs by the telephone";
pub(in crate::site) const WHAT_HANGS_AT_THE_BENCH: &str =
    "what hangs at the bench: do, and never do";
pub(in crate::site) const US_LETTER: &str = "US Letter";
pub(in crate::site) const LABEL_IS_A6_ALWAYS: &str = "A label is A6 always.";
pub(in crate::site) const TITRATING_WITH_THIOCYANATE: &str = "titrating with thiocyanate";
pub(in crate::site) const WEIGHING_SILVER_CHLORIDE: &str = "weighing silver chloride";
pub(in crate::site) const GETTING_SILVER_OUT: &str = "getting the silver out";
pub(in crate::site) const MAKING_IT_NEUTRAL: &str = "making it neutral";
pub(in crate::site) const NUMBER: &str = "No. ";
pub(in crate::site) const LOOK_AND_PRINT: &str = "Look, and print";
pub(in crate::site) const A_NUMBER: &str = " No. ";
pub(in crate::site) const PDF: &str = "PDF";
pub(in crate::site) const OF_NO: &str = " of No. ";
pub(in crate::site) const TEXT: &str = "Text";
pub(in crate::site) const PRINT_ANOTHER: &str = "Print another";
pub(in crate::site) const THERE_IS_NO_SUCH_PAPER: &str = "There is no such paper in this book.";

pub(in crate::site) fn unknown_at_start(count: impl Display) -> String {
    format!("{count} containers at the start: {UNKNOWN}")
}

pub(in crate::site) fn of_unknown(what: impl Display) -> String {
    format!("{what}: {UNKNOWN}")
}
