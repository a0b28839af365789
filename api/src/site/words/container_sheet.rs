//! The words of `site::container_sheet`.
pub(in crate::site) const ADD_CONTAINER: &str = "Add a container";
pub(in crate::site) const ONE_SHEET_FOR_EACH_JUG: &str =
    "One sheet for each jug, tank, bucket or bottle. Leave what you do not know.";
pub(in crate::site) const SODIUM_THIOSULFATE: &str = "sodium thiosulfate (plain hypo)";
pub(in crate::site) const AMMONIUM_THIOSULFATE: &str = "ammonium thiosulfate (rapid fixer)";
pub(in crate::site) const POTASSIUM_CYANIDE: &str = "potassium cyanide";
pub(in crate::site) const SILVER_NITRATE: &str = "silver nitrate";
pub(in crate::site) const AMMONIA: &str = "ammonia";
pub(in crate::site) const CAUSTIC_SODA: &str = "caustic soda";
pub(in crate::site) const DILUTE_NITRIC_ACID: &str = "nitric acid, dilute";
pub(in crate::site) const STRONG_NITRIC_ACID: &str = "nitric acid, strong";
pub(in crate::site) const HYDROCHLORIC_ACID: &str = "hydrochloric (muriatic) acid";
pub(in crate::site) const ACETIC_ACID: &str = "acetic acid";
pub(in crate::site) const DILUTE_SULFURIC_ACID: &str = "sulfuric acid, dilute";
pub(in crate::site) const CITRIC_ACID: &str = "citric acid";
pub(in crate::site) const OXALIC_ACID: &str = "oxalic acid";
pub(in crate::site) const POTASSIUM_OXALATE: &str = "potassium oxalate";
pub(in crate::site) const TARTARIC_ACID: &str = "tartaric acid";
pub(in crate::site) const IRON_SULFATE_DEVELOPER: &str = "iron sulfate developer";
pub(in crate::site) const HYDROQUINONE_DEVELOPER: &str = "hydroquinone developer";
pub(in crate::site) const SODIUM_SULFITE: &str = "sodium sulfite";
pub(in crate::site) const SODIUM_METABISULFITE: &str = "sodium metabisulfite";
pub(in crate::site) const WASHING_SODA: &str = "washing soda";
pub(in crate::site) const TABLE_SALT: &str = "table salt";
pub(in crate::site) const POTASSIUM_BROMIDE: &str = "potassium bromide";
pub(in crate::site) const AMMONIUM_BROMIDE: &str = "ammonium bromide";
pub(in crate::site) const CADMIUM_BROMIDE: &str = "cadmium bromide";
pub(in crate::site) const CADMIUM_IODIDE: &str = "cadmium iodide";
pub(in crate::site) const ALCOHOL: &str = "alcohol";
pub(in crate::site) const ETHER: &str = "ether";
pub(in crate::site) const SODIUM_SULFIDE: &str = "sodium sulfide";
pub(in crate::site) const SELENIUM_TONER: &str = "selenium toner";
pub(in crate::site) const GOLD_CHLORIDE: &str = "gold chloride";
pub(in crate::site) const MERCURY_CHLORIDE: &str = "mercury chloride";
pub(in crate::site) const DICHROMATE: &str = "dichromate";
pub(in crate::site) const PERMANGANATE: &str = "permanganate";
pub(in crate::site) const HOUSEHOLD_BLEACH: &str = "household bleach";
pub(in crate::site) const PEROXIDE: &str = "peroxide";
pub(in crate::site) const FORMALDEHYDE: &str = "formaldehyde (formalin)";
pub(in crate::site) const COPPER_SULFATE: &str = "copper sulfate";
pub(in crate::site) const FERRICYANIDE: &str = "ferricyanide";
pub(in crate::site) const LEAD_NITRATE: &str = "lead nitrate";
pub(in crate::site) const WHICH_PROCESS_DOES_IT_SERVE: &str = "Which process does it serve?";
pub(in crate::site) const PROCESS_HELP: &str =
    "Where collodion is made, a fixer nobody can name counts as cyanide.";
pub(in crate::site) const DONT_KNOW_THE_PROCESS: &str = "don't know: counts as collodion here";
pub(in crate::site) const WHAT_NAME_STANDS_ON_IT: &str = "What name stands on it?";
pub(in crate::site) const NAME_HELP: &str =
    "Letters, digits, - and _, without spaces: fixer-2. Write it on the container too.";
pub(in crate::site) const WHAT_IS_IN_IT: &str = "What is in it?";
pub(in crate::site) const HOW_MUCH_IS_IN_IT: &str = "How much is in it?";
pub(in crate::site) const HOW_MUCH_HELP: &str =
    "Leave it open for an empty container. A jug mark is taken as good to 5 %.";
pub(in crate::site) const IS_IT_AT_WORK: &str = "Is it at work, or done with?";
pub(in crate::site) const AT_WORK: &str = "at work";
pub(in crate::site) const DONE_WITH: &str = "done with: waste, or on its way to recovery";
pub(in crate::site) const NEVER_USED: &str = "never used";
pub(in crate::site) const TREATED_OR_SILVER_IS_OUT: &str = "treated, or the silver is out";
pub(in crate::site) const STATUS_HELP: &str =
    "A bath at work is not waste. The clock of the law starts when it is done with.";
pub(in crate::site) const IF_IT_IS_DONE_WITH: &str = "If it is done with: since which day?";
pub(in crate::site) const WHEN_WAS_IT_MADE: &str = "When was it made?";
pub(in crate::site) const WHAT_WENT_INTO_IT: &str = "What went into it?";
pub(in crate::site) const CONTENTS_HELP: &str =
    "Tick what is certain. What is in it decides what it may never meet.";
pub(in crate::site) const IF_IT_HOLDS_ACETIC_ACID: &str =
    "If it holds acetic acid, as a stop bath does: how much?";
pub(in crate::site) const ACETIC_ACID_HELP: &str = "16 mL of glacial acetic acid made up to a litre are 17 g/L. Without it no dose of soda can be worked out.";
pub(in crate::site) const PH_IF_IT_WAS_READ: &str = "pH, if it was read";
pub(in crate::site) const PH_HELP: &str = "A colour between two marks of the paper: 4.5 ± 0.5";
pub(in crate::site) const DOES_ITS_CAP_LET_GAS_OUT: &str = "Does its cap let gas out?";
pub(in crate::site) const WHERE_DID_ITS_SILVER_COME_FROM: &str = "Where did its silver come from?";
pub(in crate::site) const IT_WAS_HERE_ALREADY: &str = "it was here already";
pub(in crate::site) const IT_WAS_BOUGHT: &str = "it was bought";
pub(in crate::site) const FROM_SOMEBODY_ELSE: &str = "from somebody else";
