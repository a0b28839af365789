//! Baths for which no care is planned, and why.

use super::ammonium::Ammonium;
use crate::batch::{Batch, BatchKind, BatchStatus};
use crate::procedure::Refusal;
use crate::substance::Group;
use crate::waste::contents::{implied_groups, ph_interval};
use crate::waste::pour::{Act, call, check_act};

/// pH above which a silver nitrate bath has had something alkaline put into it.
const NEUTRAL: f64 = 7.0;

/// What has no place in a silver nitrate bath at work.
const FOREIGN: &[Group] = &[
    Group::Cyanide,
    Group::CyanideTraces,
    Group::Thiosulfate,
    Group::Sulfite,
    Group::Sulfide,
    Group::Thiocyanate,
    Group::Thiourea,
    Group::Mercaptan,
    Group::Ammonia,
    Group::Caustic,
    Group::HydrochloricAcid,
    Group::Ferricyanide,
    Group::Chromate,
    Group::Hypochlorite,
    Group::Peroxide,
    Group::Permanganate,
    Group::Persulfate,
    Group::IronTwo,
    Group::Ferric,
    Group::DevelopingAgent,
    Group::StrongReducer,
    Group::Aldehyde,
    Group::ReactiveMetal,
    Group::CopperMetal,
    Group::Nitrocellulose,
    Group::OxalateOrTartrate,
    Group::AcetylideOrAzide,
    Group::Azide,
    Group::Mercury,
    Group::Lead,
    Group::Selenium,
    Group::Gold,
    Group::ToxicMetal,
];

/// The refusal that takes the plan's place, from what is stated alone.
pub(super) fn refused(batch: &Batch) -> Option<Refusal> {
    if let Err(refusal) = check_act(batch, Act::Keep) {
        return Some(refusal);
    }
    let words = batch.kind.words();
    if batch.kind != BatchKind::SensitizingBath {
        return Some(Refusal {
            reason: format!(
                "This is {words}, not a silver nitrate bath: bath care holds for a bath alone."
            ),
            never: vec![format!(
                "Never treat {words} as a bath that can be restored."
            )],
            instead: vec!["For its silver, ask for a recovery plan.".to_owned()],
            call: Vec::new(),
        });
    }
    if let Some(refusal) = foreign(batch) {
        return Some(refusal);
    }
    if matches!(
        batch.status,
        Some(BatchStatus::Spent | BatchStatus::Treated)
    ) {
        return Some(Refusal {
            reason: "This bath is marked as spent or treated: it is waste or on its way to recovery, and care is for a bath at work.".to_owned(),
            never: vec!["Never mark a bath as waste one day and as at work the next without asking your waste authority.".to_owned()],
            instead: vec![
                "For its silver, ask for a recovery plan.".to_owned(),
                "If it is your working bath after all, give its status as in_use.".to_owned(),
            ],
            call: Vec::new(),
        });
    }
    None
}

fn foreign(batch: &Batch) -> Option<Refusal> {
    let contents = implied_groups(batch);
    if let Some(name) = contents.unknown().first() {
        return Some(Refusal {
            reason: format!(
                "`{name}` is not a substance we know: nothing added to this bath is known to be safe."
            ),
            never: vec!["Never add anything to a bath of unknown contents.".to_owned()],
            instead: vec![
                "Find out what it is and state it, or have the bath collected as it is.".to_owned(),
            ],
            call: call(),
        });
    }
    let held = FOREIGN.iter().find_map(|g| contents.source_of(*g))?;
    let mut never = vec!["Never add acid, bicarbonate or silver nitrate to it.".to_owned()];
    let mut instead = Vec::new();
    match held.group {
        Group::Cyanide | Group::CyanideTraces => {
            never.push(
                "Never let acid near it: hydrogen cyanide, a poison gas, comes off at once."
                    .to_owned(),
            );
            instead.push(
                "Keep it closed, alkaline and apart, and give it to a licensed contractor."
                    .to_owned(),
            );
        }
        Group::Thiosulfate | Group::Sulfite => {
            instead.push("A bath with fixer in it cannot be restored: keep it with the fixer waste and ask for a recovery plan.".to_owned());
        }
        _ => instead.push("Keep it by itself, labelled, and ask a licensed contractor.".to_owned()),
    }
    Some(Refusal {
        reason: format!(
            "This bath holds {} ({}), which has no place in a silver nitrate bath at work.",
            held.group.words(),
            held.from
        ),
        never,
        instead,
        call: call(),
    })
}

/// The refusal of a bath that reads alkaline and may hold ammonium: something alkaline went in, and
/// if it was ammonia, or met ammonium, the bath makes fulminating silver.
pub(super) fn alkaline(batch: &Batch, ammonium: Ammonium) -> Option<Refusal> {
    let (_, high) = ph_interval(batch)?;
    if high <= NEUTRAL || ammonium == Ammonium::Absent {
        return None;
    }
    Some(Refusal {
        reason: format!(
            "The pH may be as high as {high:.1}, and ammonium in this bath is not ruled out. Plain silver nitrate is acid: something alkaline went in, and silver with ammonia makes fulminating silver as it stands."
        ),
        never: vec![
            "Never add ammonia, bicarbonate or lye to it.".to_owned(),
            "Never keep, dry, warm, bottle or shut up a silver bath that may hold ammonia.".to_owned(),
            "Never scrape or rinse a crust that has already dried: leave the room and call the fire service.".to_owned(),
        ],
        instead: vec![
            "If it smells of ammonia or you do not know what went in, today: goggles on, pour it slowly into plenty of cold salt water with stirring, and keep the silver chloride wet.".to_owned(),
            "If you know that no ammonia and no ammonium ever went in, say so with ammonium_free, and read the pH again with fresh paper.".to_owned(),
        ],
        call: call(),
    })
}
