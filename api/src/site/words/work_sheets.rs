//! The words of `site::work_sheets`.

pub(in crate::site) const HOW_MUCH: &str = "How much?";
pub(in crate::site) const PART_HELP: &str =
    "All of it, or a figure with its unit. A jug mark is taken as good to 5 %.";
pub(in crate::site) const PLATES_OR_PAPER_WERE_SENSITIZED: &str = "Plates or paper were sensitized";
pub(in crate::site) const SENSITIZED_LEAD: &str = "They took silver nitrate out of the bath. What each takes along is a usual figure, with a wide margin.";
pub(in crate::site) const HOW_MANY: &str = "How many?";
pub(in crate::site) const WHICH_SIZE: &str = "Which size?";
pub(in crate::site) const FILM_PAPER_OR_PLATES_WERE_FIXED: &str =
    "Film, paper or plates were fixed";
pub(in crate::site) const FIXED_LEAD: &str = "They left silver in the fixer.";
pub(in crate::site) const WHAT_WAS_FIXED: &str = "What was fixed?";
pub(in crate::site) const SILVER_BATH_WAS_MADE_UP: &str = "A silver bath was made up";
pub(in crate::site) const MADE_UP_LEAD: &str = "Silver nitrate went into an empty container.";
pub(in crate::site) const NEVER_WITHOUT_GOGGLES: &str =
    "Never without goggles: silver nitrate blinds. Have an eye rinse at hand.";
pub(in crate::site) const SILVER_NITRATE_WAS_ADDED: &str = "Silver nitrate was added";
pub(in crate::site) const ADDED_LEAD: &str = "Silver nitrate went into a bath that was there.";
pub(in crate::site) const TOPPED_UP_WITH_WATER: &str = "Topped up with water";
pub(in crate::site) const WATER_LEAD: &str =
    "Water makes it more, not less: no law lets dilution change what a waste is.";
pub(in crate::site) const HOW_MUCH_WATER: &str = "How much water?";
pub(in crate::site) const POURED_INTO_ANOTHER_CONTAINER: &str = "Poured into another container";
pub(in crate::site) const POURED_LEAD: &str = "Ask first: the book refuses what must not meet.";
pub(in crate::site) const NEVER_POUR_TO_FIND_OUT: &str =
    "Never pour to find out. Look at “May this go into that?” first.";
pub(in crate::site) const OUT_OF_WHICH: &str = "Out of which?";
pub(in crate::site) const INTO_WHICH: &str = "Into which?";
pub(in crate::site) const ONLY_IF_IT_WAS_ACCIDENT: &str =
    "Only if it was an accident: what happened, and what was done?";
pub(in crate::site) const INCIDENT_HELP: &str =
    "A dangerous mixture is taken into the book in no other way.";
pub(in crate::site) const TAKEN_OUT_OF_WORK: &str = "Taken out of work";
pub(in crate::site) const OUT_OF_WORK_LEAD: &str = "From this day it is spent: waste, or a material on its way to recovery. Where the rules set a clock, it starts.";
pub(in crate::site) const TREATED_WHERE_IT_STANDS: &str = "Treated where it stands";
pub(in crate::site) const TREATED_LEAD: &str = "Made neutral, or settled: its silver stays in it.";
pub(in crate::site) const WHAT_WAS_DONE: &str = "What was done?";
pub(in crate::site) const PH_AFTERWARDS: &str = "pH afterwards, if it was read";
pub(in crate::site) const SILVER_WAS_TAKEN_OUT_AS_SOLID: &str = "Silver was taken out as a solid";
pub(in crate::site) const PRODUCT_LEAD: &str =
    "Chloride, sludge or metal out of one container, into another that stands in the book.";
pub(in crate::site) const NEVER_SILVER_AND_AMMONIA: &str =
    "Never dry, heat or store anything that silver and ammonia made: it explodes.";
pub(in crate::site) const HOW_MUCH_DOES_IT_WEIGH: &str = "How much does it weigh, wet?";
pub(in crate::site) const HOW_MUCH_OF_THAT_IS_WATER: &str = "How much of that is water?";
pub(in crate::site) const WHAT_IS_IT_DRY: &str = "What is it, dry?";
pub(in crate::site) const SILVER_CHLORIDE: &str = "silver chloride";
pub(in crate::site) const SILVER_SULFIDE: &str = "silver sulfide";
pub(in crate::site) const SILVER_BROMIDE: &str = "silver bromide";
pub(in crate::site) const SILVER_METAL: &str = "silver metal";
pub(in crate::site) const SHARE_OF_DRY_SOLID: &str = "How much of the dry solid is that?";
pub(in crate::site) const HOW_MUCH_SILVER_NITRATE_WENT_IN: &str =
    "How much silver nitrate went in?";
pub(in crate::site) const HOW_PURE: &str = "How pure, by its bottle?";
pub(in crate::site) const PURITY_HELP: &str = "Left open: 99 to 100 %.";
pub(in crate::site) const HOW_MUCH_IS_IN_CONTAINER_NOW: &str = "How much is in the container now?";
pub(in crate::site) const OUT_OF_CONTAINER_OF_THIS_BOOK: &str = "Out of a container of this book?";
pub(in crate::site) const OUT_OF_HELP: &str = "Left open, it counts as bought that day.";
pub(in crate::site) const WHICH: &str = "Which container?";
pub(in crate::site) const STRENGTH_HELP: &str = "Grams, or a strength: then say how much liquid there is, below. A bare strength is taken as good to 2 %, a bare volume to 5 %. You may say better: 90 ± 1.";
