//! What a mixture answers for: the codes of the wastes that went into it.

use super::codes::{Findings, find_codes};
use super::result::{HazardCode, Property};
use crate::answer::Notes;
use crate::batch::{Batch, MixedIn};
use crate::estimate::estimate_batch;
use crate::waste::contents::Certainty;
use crate::waste::rule_set::RuleSet;

/// Adds the codes that what went in bore, known or presumed, where the mixture does not bear them itself.
///
/// Mixing and thinning take no code off (40 CFR 268.3; Directive 2008/98/EC, Article 18). What a laboratory
/// or a reading of the mixture rules out is not asserted again, but asked (40 CFR 261.3(d)(1)); what is
/// listed by name stays listed (40 CFR 261.3(a)(2)(iv)).
pub(super) fn find(batch: &Batch, rules: &RuleSet, found: &mut Findings) {
    for one in &batch.mixed_in {
        for code in codes_before(one, rules) {
            answer_for(batch, one, code, rules, found);
        }
    }
}

/// The codes of what went in, as it was.
fn codes_before(one: &MixedIn, rules: &RuleSet) -> Vec<HazardCode> {
    let mut aside = Notes::default();
    let before = one.as_batch();
    let estimate = (!before.evidence.is_empty())
        .then(|| estimate_batch(&before, "", &mut aside).ok())
        .flatten();
    find_codes(&before, estimate.as_ref(), rules, "", &mut aside)
        .map_or_else(Vec::new, |found| found.codes)
}

fn answer_for(
    batch: &Batch,
    one: &MixedIn,
    code: HazardCode,
    rules: &RuleSet,
    found: &mut Findings,
) {
    let borne = |c: &HazardCode| c.code == code.code && c.certainty >= Certainty::Presumed;
    if code.certainty < Certainty::Presumed || found.codes.iter().any(borne) {
        return;
    }
    let what = if one.from == batch.id {
        format!("What stood in it on {}", one.on)
    } else {
        format!("`{}`, which went into it on {},", one.from, one.on)
    };
    let clause = rules
        .mixing
        .as_ref()
        .map_or_else(String::new, |m| format!(" ({})", m.rule.clause));
    let listed = code.property == Property::Listed;
    if !listed && found.clean.iter().any(|c| c.code == code.code) {
        found.test(
            format!("Whether the mixture may go without {}", code.code),
            "Ask the waste authority, with the reading of the mixture and the day of mixing.",
            format!(
                "{what} bore it ({}). A waste is judged where it arises, and thinning it to lose a code is forbidden{clause}.",
                code.certainty.words()
            ),
        );
        return;
    }
    let reason = if listed {
        format!("{what} bore it: what is listed by name stays listed in a mixture{clause}.")
    } else {
        format!(
            "{what} bore it ({}): mixing and thinning take no code off{clause}. Only a reading of the mixture, and the authority, may.",
            code.certainty.words()
        )
    };
    found.codes.retain(|c| c.code != code.code);
    found.codes.push(HazardCode {
        certainty: Certainty::Presumed,
        reason,
        figure: None,
        ..code
    });
}
