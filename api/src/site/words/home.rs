//! The words of `site::home`.

pub(in crate::site) const WELCOME: &str = "Your silver, and what is left of it";
pub(in crate::site) const BEGIN: &str = "Begin a studio";
pub(in crate::site) const SEND: &str = "Begin the book";
pub(in crate::site) const STUDIOS: &str = "Studios";
pub(in crate::site) const NAME: &str = "What is the studio called?";
pub(in crate::site) const PLACE: &str = "A short name for it in addresses";
pub(in crate::site) const PLACE_HELP: &str =
    "Letters, digits, - and _, without spaces: my-studio. It never changes.";
pub(in crate::site) const CRAFTS: &str = "What do you make?";
pub(in crate::site) const CRAFTS_HELP: &str =
    "Where collodion is made, a fixer nobody can name counts as cyanide until shown otherwise.";
pub(in crate::site) const PREMISES: &str = "What kind of place is it?";
pub(in crate::site) const PREMISES_HELP: &str = "The law asks: a hobby at home is often treated otherwise than a business. Left open, nothing is taken for granted.";
pub(in crate::site) const RULES: &str = "Whose rules apply?";
pub(in crate::site) const RULES_HELP: &str =
    "The nearest that is listed. Your state, district or town may be stricter, and comes first.";
pub(in crate::site) const ZONE: &str = "Time zone";
pub(in crate::site) const ZONE_HELP: &str = "Such as Europe/Berlin, America/Chicago or Asia/Tokyo: it says which day it is there. Left open, it is UTC.";
pub(in crate::site) const PERSON: &str = "Who answers for the waste?";
pub(in crate::site) const PERSON_HELP: &str =
    "It stands on labels and records, and as the writer of new entries.";
pub(in crate::site) const PHONE: &str = "Which telephone is answered when something leaks?";
pub(in crate::site) const IT_KNOWS: &str =
    "This book knows how much silver is in each of your containers, and how surely.";
pub(in crate::site) const IT_SAYS: &str = "It says what each one is in law, what you may pour into what, what to do next and what never to do, and it prints the labels and records.";
pub(in crate::site) const IT_KEEPS: &str = "Nothing leaves this machine, and where you do not know an answer, leave it: the book then takes the safe side and says so.";
pub(in crate::site) const HOBBY_AT_HOME: &str = "a hobby at home";
pub(in crate::site) const BUSINESS_AT_HOME: &str = "a business at home";
pub(in crate::site) const BUSINESS: &str = "a business";
pub(in crate::site) const SCHOOL: &str = "a school";
pub(in crate::site) const COLLEGE_OR_UNIVERSITY: &str = "a college or university";
pub(in crate::site) const COLLODION_PLATES: &str = "collodion plates";
pub(in crate::site) const SALTED_PAPER: &str = "salted paper";
pub(in crate::site) const ALBUMEN_PAPER: &str = "albumen paper";
pub(in crate::site) const FILM_AND_GELATIN_PAPER: &str = "film and gelatin paper";
