//! The compatibility table: every two substances we know, with outcome, reason, source and status.

use super::check::PourReason;
use super::table::{PourVerdict, hits, rules_for};
use crate::bibliography::{SourceStatus, reference};
use crate::substance::{Departure, Substance, chart_codes, chart_departure};
use serde::Serialize;

/// What is known of two substances together.
#[derive(Debug, Clone, PartialEq, Eq, Serialize)]
#[cfg_attr(feature = "openapi", derive(utoipa::ToSchema))]
pub struct Compatibility {
    /// Compatible as far as known, caution, not known to be safe, or incompatible (blocked).
    pub outcome: PourVerdict,
    /// Every rule that holds, gravest first.
    pub reasons: Vec<PourReason>,
    /// What the published chart prints for the groups of the two; empty is not a statement of safety.
    pub chart: Vec<&'static str>,
    /// Where the outcome is milder than the chart, and why.
    pub departure: Option<Departure>,
}

/// The entry of the compatibility table for two substances; the same whichever is named first.
///
/// ```
/// use spent_silver_domain::quantity::Identifier;
/// use spent_silver_domain::substance::substance;
/// use spent_silver_domain::waste::pour::{PourVerdict, compatibility};
/// let find = |id: &str| substance(&Identifier::new(id).unwrap()).unwrap();
/// let entry = compatibility(find("acetic_acid"), find("sodium_thiosulfate"));
/// assert_eq!(entry.outcome, PourVerdict::Blocked);
/// assert_eq!(entry.reasons[0].rule, "acid_into_fixer");
/// ```
#[must_use]
pub fn compatibility(a: &Substance, b: &Substance) -> Compatibility {
    // One order, so that a reason names the same two groups whichever is asked first.
    let (a, b) = if a.id <= b.id { (a, b) } else { (b, a) };
    let mut reasons: Vec<PourReason> = hits(&a.groups, &b.groups, PourVerdict::default())
        .into_iter()
        .map(|hit| {
            let (source, status) = reference(&hit.rule.source)
                .map_or(("house_rule", SourceStatus::CommonPractice), |r| {
                    (r.key.as_str(), r.status)
                });
            let mut between: Vec<String> =
                hit.between.iter().map(|g| g.words().to_owned()).collect();
            between.sort_unstable();
            PourReason {
                verdict: hit.rule.verdict,
                rule: &hit.rule.id,
                between,
                happens: hit.rule.happens.clone(),
                instead: hit.rule.instead.clone(),
                source,
                status,
            }
        })
        .collect();
    reasons.sort_by(|x, y| y.verdict.cmp(&x.verdict).then_with(|| x.rule.cmp(y.rule)));
    let unnamed = a
        .groups
        .iter()
        .any(|x| b.groups.iter().any(|y| rules_for(*x, *y).is_empty()));
    let gravest = reasons.first().map(|r| r.verdict).unwrap_or_default();
    Compatibility {
        outcome: if unnamed {
            gravest.max(PourVerdict::NotKnownToBeSafe)
        } else {
            gravest
        },
        reasons,
        chart: chart_codes(&a.id, &b.id),
        departure: chart_departure(&a.id, &b.id).cloned(),
    }
}
