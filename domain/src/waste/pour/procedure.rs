//! Whether a procedure may be given to a person at all.

use super::table::{Act, ActRule, PourVerdict, act_rules, call, hits};
use crate::batch::Batch;
use crate::procedure::{Refusal, Step};
use crate::substance::Group;
use crate::waste::contents::{Contents, implied_groups};

/// Checks every addition of a procedure against the batch, and against what earlier steps and the
/// same step added. A blocked addition, and one that is not known to be safe, refuses the whole.
///
/// # Errors
/// The refusal that takes the plan's place.
pub fn check_procedure(batch: &Batch, steps: &[Step]) -> Result<(), Refusal> {
    check_procedure_on(batch, implied_groups(batch), steps)
}

/// The same on a batch whose contents are known already.
pub(crate) fn check_procedure_on(
    batch: &Batch,
    contents: Contents,
    steps: &[Step],
) -> Result<(), Refusal> {
    let mut so_far = contents;
    for addition in steps.iter().flat_map(|s| &s.adds) {
        let poured = Contents::of_substance(&addition.substance);
        refuse_pour(batch, &poured, &so_far)?;
        so_far.merge(&poured);
    }
    Ok(())
}

fn groups(contents: &Contents) -> Vec<Group> {
    contents.held().iter().map(|h| h.group).collect()
}

fn refuse_pour(batch: &Batch, poured: &Contents, into: &Contents) -> Result<(), Refusal> {
    let name = poured
        .held()
        .first()
        .map(|h| h.from.as_ref())
        .or_else(|| poured.unknown().first().map(String::as_str))
        .unwrap_or("this");
    let words = batch.kind.words();
    if let Some(unknown) = poured.unknown().iter().chain(into.unknown()).next() {
        return Err(Refusal {
            reason: format!(
                "`{unknown}` is not a substance we know: adding {name} to this {words} is not known to be safe."
            ),
            never: vec![format!("Never add anything to a {words} of unknown contents.")],
            instead: vec![
                "Find out what it holds and state it in the composition, or send it for collection as it is."
                    .to_owned(),
            ],
            call: call(),
        });
    }
    let least = PourVerdict::NotKnownToBeSafe;
    let hit = hits(&groups(poured), &groups(into), least)
        .into_iter()
        .max_by_key(|h| (h.rule.verdict, h.rule.apart));
    let Some(hit) = hit else {
        return Ok(());
    };
    let found = hit
        .between
        .iter()
        .filter_map(|g| into.source_of(*g))
        .find(|h| hit.between.contains(&h.group));
    let holder = found.map_or_else(
        || words.to_owned(),
        |h| format!("{words} with {} ({})", h.group.words(), h.from),
    );
    Err(Refusal {
        reason: format!("{name} into {holder}: {}", hit.rule.happens),
        never: vec![format!("Never add {name} to this {words}.")],
        instead: hit.rule.instead.iter().cloned().collect(),
        call: call(),
    })
}

/// Whether an act may be done with a batch: keeping, drying, heating, shutting up, passing a
/// current, recovering, titrating, neutralizing.
///
/// # Errors
/// The refusal, with what to do instead; of several, every one is told.
pub fn check_act(batch: &Batch, act: Act) -> Result<(), Refusal> {
    check_act_on(batch, &implied_groups(batch), act)
}

/// The rules that object; where the thing is not even to be kept, only those that say so, since the
/// others say how to keep it.
fn objecting(contents: &Contents, act: Act) -> impl Iterator<Item = &'static ActRule> {
    let objects = move |r: &&ActRule| r.holds(act, contents);
    let is_danger = move |r: &&ActRule| r.holds(Act::Keep, contents);
    let danger = act_rules().iter().filter(objects).any(|r| is_danger(&r));
    act_rules()
        .iter()
        .filter(objects)
        .filter(move |r| !danger || is_danger(r))
}

/// Why an act may not be done with a batch, as [`check_act`] says it; none where it may.
pub(crate) fn objection_to(batch: &Batch, contents: &Contents, act: Act) -> Option<String> {
    let mut happens = objecting(contents, act).map(|rule| rule.happens.as_str());
    let first = happens.next()?;
    let mut reason = format!("This {}: {first}", batch.kind.words());
    for more in happens {
        reason.push(' ');
        reason.push_str(more);
    }
    Some(reason)
}

/// The same of a batch whose contents are known already.
pub(crate) fn check_act_on(batch: &Batch, contents: &Contents, act: Act) -> Result<(), Refusal> {
    let words = batch.kind.words();
    let mut refusal: Option<Refusal> = None;
    for rule in objecting(contents, act) {
        match &mut refusal {
            None => {
                refusal = Some(Refusal {
                    reason: format!("This {words}: {}", rule.happens),
                    never: rule.never.clone(),
                    instead: rule.instead.clone(),
                    call: call(),
                });
            }
            Some(first) => {
                first.reason.push(' ');
                first.reason.push_str(&rule.happens);
                first.never.extend(rule.never.iter().cloned());
                first.instead.extend(rule.instead.iter().cloned());
            }
        }
    }
    refusal.map_or(Ok(()), Err)
}
