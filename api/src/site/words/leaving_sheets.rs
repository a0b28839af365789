//! The words of `site::leaving_sheets`.
pub(in crate::site) const HAULIER_COLLECTED: &str = "A haulier collected";
pub(in crate::site) const KEEP_NOTE_YOU_WERE_GIVEN: &str =
    "Keep the note you were given: the law asks for it.";
pub(in crate::site) const WHO_TOOK_IT: &str = "Who took it?";
pub(in crate::site) const NUMBER_OF_NOTE: &str = "Number of the note";
pub(in crate::site) const DISCHARGED_UNDER_PERMIT: &str = "Discharged under a permit";
pub(in crate::site) const DISCHARGED_LEAD: &str = "Only where the sewer or water authority has allowed it in writing, for this liquid and this amount. This book never says that a discharge is allowed.";
pub(in crate::site) const HAVE_THE_PERMIT: &str =
    "Have the permit, or the authority's letter, in your hand: it names what, how much and how.";
pub(in crate::site) const HAVE_IT_TESTED: &str = "After any recovery have the liquor tested by a laboratory. No strip, copper strip or cloud shows silver below 5 mg/L.";
pub(in crate::site) const KEEP_THE_REPORT: &str =
    "Keep the laboratory's report and this entry with the permit.";
pub(in crate::site) const NEVER_WITHOUT_AUTHORITYS_PERMISSION: &str =
    "Never without the authority's permission.";
pub(in crate::site) const NEVER_THIN_WASTE_TO_COME_BELOW_LIMIT: &str =
    "Never thin a waste to come below a limit: that makes no “no” a “yes”.";
pub(in crate::site) const NEVER_POISONS: &str = "Never cyanide, mercury, chromate, selenium, ammonia with silver, or a liquid that nobody can name.";
pub(in crate::site) const WHICH_PERMIT: &str = "Which permit, or whose written word, allows it?";
pub(in crate::site) const PERMIT_HELP: &str = "Its number, its date, and who gave it.";
pub(in crate::site) const SENT_TO_REFINER: &str = "Sent to a refiner";
pub(in crate::site) const SEVERAL_CONTAINERS_MAY_GO_IN_ONE_SHIPMENT: &str =
    "Several containers may go in one shipment: give each the same name.";
pub(in crate::site) const NAME_OF_SHIPMENT: &str = "Name of the shipment";
pub(in crate::site) const SHIPMENT_HELP: &str =
    "Letters, digits, - and _, without spaces: refiner-2026-1";
pub(in crate::site) const REFINER_SETTLED: &str = "The refiner settled";
pub(in crate::site) const WHAT_REFINER_FOUND: &str = "What the refiner found, by the statement. Whether it agrees with what was sent stands under “The refiner's statement” then.";
pub(in crate::site) const WHICH_SHIPMENT: &str = "Which shipment?";
pub(in crate::site) const HOW_MUCH_SILVER: &str = "How much silver?";
pub(in crate::site) const SOMETHING_WAS_SPILLED: &str = "Something was spilled";
pub(in crate::site) const FIRST_PEOPLE: &str = "First people, then the drain, then this book.";
pub(in crate::site) const AWAY_FROM_FUMES: &str = "Away from fumes. Goggles and gloves on.";
pub(in crate::site) const STOP_IT_BEFORE_IT_REACHES_DRAIN: &str =
    "Stop it before it reaches a drain. Cover it with absorbent.";
pub(in crate::site) const IF_IT_REACHED_DRAIN: &str = "If it reached a drain, a person was hurt, or you do not know what it is: call the numbers on your emergency sheet now.";
pub(in crate::site) const NEVER_CLEANERS: &str =
    "Never acid, bleach or any cleaner onto a spill that you do not know.";
pub(in crate::site) const WHAT_HAPPENED: &str = "What happened, and what was done?";
pub(in crate::site) const LOOKED_OVER: &str = "Looked over";
pub(in crate::site) const LOOKED_OVER_LEAD: &str =
    "Leaks, labels, caps, trays: one container, or the whole place.";
pub(in crate::site) const WHOLE_PLACE: &str = "the whole place";
pub(in crate::site) const WHAT_WAS_FOUND: &str = "What was found?";
pub(in crate::site) const TAKE_CONTAINER_OUT_OF_BOOK: &str = "Take a container out of the book";
pub(in crate::site) const OUT_OF_BOOK_LEAD: &str = "It is empty, rinsed or gone. Its entries stay.";
pub(in crate::site) const IF_ANYTHING_IS_LEFT_IN_IT: &str =
    "If anything is left in it: why does that count as lost?";
pub(in crate::site) const ENTRY_WAS_WRONG: &str = "An entry was wrong";
pub(in crate::site) const WRONG_LEAD: &str =
    "Nothing is rubbed out: the wrong entry stays, struck through by this one, and counts no more.";
pub(in crate::site) const WHICH_ENTRY: &str = "Which entry?";
pub(in crate::site) const WHAT_WAS_WRONG_WITH_IT: &str = "What was wrong with it?";
