//! The words of `site::reading_sheets`.
pub(in crate::site) const TEST_STRIP: &str = "A test strip";
pub(in crate::site) const TEST_STRIP_LEAD: &str = "Two neighbouring colours of the strip's scale: the one it reaches, and the next, which it does not.";
pub(in crate::site) const STIR_CONTAINER: &str =
    "Stir the container. Dip the strip as its maker says.";
pub(in crate::site) const COMPARE_IN_DAYLIGHT: &str =
    "Compare in daylight, after the time the maker gives.";
pub(in crate::site) const WRITE_BOTH_COLOURS_DOWN: &str =
    "Write both colours down. No strip shows silver below 5 mg/L.";
pub(in crate::site) const COLOUR_IT_REACHES: &str = "The colour it reaches";
pub(in crate::site) const NEXT_COLOUR: &str = "The next colour, which it does not reach";
pub(in crate::site) const NEXT_COLOUR_HELP: &str = "Leave it open where it is off the scale.";
pub(in crate::site) const IS_STRIP_PAST_ITS_DATE: &str = "Is the strip past its date?";
pub(in crate::site) const TITRATION_WITH_THIOCYANATE: &str = "A titration with thiocyanate";
pub(in crate::site) const TITRATION_LEAD: &str = "The surest figure there is without a laboratory: a burette, thiocyanate of known strength, and three titres that agree.";
pub(in crate::site) const SAMPLE_TAKEN_FROM_CONTAINER: &str = "Sample taken from the container";
pub(in crate::site) const FILLED_UP_TO: &str = "Filled up to";
pub(in crate::site) const TITRATED: &str = "Of that, titrated";
pub(in crate::site) const STRENGTH_OF_THIOCYANATE: &str = "Strength of the thiocyanate";
pub(in crate::site) const THIOCYANATE_USED: &str = "Thiocyanate used";
pub(in crate::site) const TITRE_HELP: &str =
    "The mean of the titres that agree. You may say how far off it can be: 22.86 ± 0.05";
pub(in crate::site) const THIOCYANATE_USED_WITHOUT_SILVER: &str = "Thiocyanate used without silver";
pub(in crate::site) const SILVER_CHLORIDE_OF_SAMPLE: &str = "Silver chloride of a sample, weighed";
pub(in crate::site) const WEIGHING_LEAD: &str = "A scale, salt, a coffee filter and a day to dry.";
pub(in crate::site) const DRY_SILVER_CHLORIDE_FROM_IT: &str = "Dry silver chloride from it";
pub(in crate::site) const SCALE_SHOWS_STEPS_OF: &str = "The scale shows steps of";
pub(in crate::site) const STEPS_HELP: &str = "In grams, such as 0.01.";
pub(in crate::site) const DROP_OF_SALT_WATER: &str = "A drop of salt water";
pub(in crate::site) const DROP_LEAD: &str =
    "Tells a bath with silver from one without, and no more. Clear does not mean free of silver.";
pub(in crate::site) const SETTLE_CONTAINER: &str =
    "Settle the container, and decant a little into a clear glass.";
pub(in crate::site) const LET_ONE_DROP_OF_SALT: &str =
    "Let one drop of salt water fall in, against a dark ground.";
pub(in crate::site) const NEVER_INTO_FIXER: &str =
    "Never into fixer: thiosulfate holds the silver, and a clear drop says nothing there.";
pub(in crate::site) const WHAT_WAS_SEEN: &str = "What was seen?";
pub(in crate::site) const IT_STAYS_CLEAR: &str = "it stays clear";
pub(in crate::site) const HAZE_AGAINST_DARK_GROUND: &str = "a haze against a dark ground";
pub(in crate::site) const MILKY_CLOUD: &str = "a milky cloud";
pub(in crate::site) const WHITE_CURDS: &str = "white curds";
pub(in crate::site) const LABORATORYS_FIGURE: &str = "A laboratory's figure";
pub(in crate::site) const BY_ITS_REPORT: &str = "By its report.";
pub(in crate::site) const SILVER_IN_LIQUID: &str = "Silver in a liquid";
pub(in crate::site) const SILVER_IN_SOLID: &str = "Silver in a solid";
pub(in crate::site) const HOW_OFTEN_THINNED: &str = "How many times was the sample thinned before?";
pub(in crate::site) const LESS_THAN: &str = "Does the report say “less than”?";
pub(in crate::site) const FIGURE_FROM_SOMEBODY_ELSE: &str = "A figure from somebody else";
pub(in crate::site) const SOMEBODY_LEAD: &str =
    "A label, an old notebook, a seller: better than nothing, and kept with its source.";
pub(in crate::site) const SILVER_IN_WHOLE_CONTAINER: &str = "Silver in the whole container";
pub(in crate::site) const WHO_SAYS_SO: &str = "Who says so?";
pub(in crate::site) const VOLUME_OR_PH: &str = "Volume or pH";
pub(in crate::site) const VOLUME_OR_PH_LEAD: &str = "What the jug mark or the pH paper says now.";
pub(in crate::site) const HOW_MUCH_IS_IN_IT: &str = "How much is in it?";
pub(in crate::site) const COLOUR_BETWEEN_TWO_MARKS_OF_PAPER: &str =
    "A colour between two marks of the paper: 4.5 ± 0.5";
pub(in crate::site) const WHOLE_STIRRED_UP: &str = "the whole, stirred up";
pub(in crate::site) const CLEAR_LIQUOR_OVER_SLUDGE: &str = "the clear liquor over a sludge";
pub(in crate::site) const SLUDGE_ALONE: &str = "the sludge alone";
pub(in crate::site) const WHAT_WAS_SAMPLED: &str = "What was sampled?";
pub(in crate::site) const SAMPLED_HELP: &str =
    "A clear liquor says nothing of the sludge below it.";
pub(in crate::site) const HOW_MUCH_IS_IN_IT_NOW: &str = "How much is in it now?";
pub(in crate::site) const HOW_MUCH_NOW_HELP: &str = "Left open, the book takes what it has.";
