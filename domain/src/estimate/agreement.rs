//! Whether several figures agree, and when they are too far apart for a mean.

use super::combined::Pile;
use super::facts::{facts, number};
use super::result::{Agreement, EvidenceEstimate};
use crate::answer::{Notes, Severity};
use crate::quantity::{ComputedFactor, ComputedPercent, Plain};
use crate::statistics::Combined;

/// Why the figures of a pile have no mean: two exact ones differ, or they lie so far apart that
/// neither chance nor a misread burette explains it (the bounds stand in the data file).
pub(super) fn no_mean(
    c: &Combined,
    pile: &Pile,
    by_evidence: &[EvidenceEstimate],
) -> Option<String> {
    if c.contradiction {
        return Some("two figures stated as exact differ".to_owned());
    }
    let mut points: Vec<(usize, f64)> = pile.points.iter().map(|p| (p.index, p.now())).collect();
    points.sort_by(|a, b| a.1.total_cmp(&b.1));
    let ((low, least), (high, greatest)) = (*points.first()?, *points.last()?);
    let facts = facts();
    let apart = greatest > least.max(0.0) * number(&facts.no_mean_beyond_ratio);
    if c.chance >= number(&facts.no_mean_below_chance) || !apart {
        return None;
    }
    let name = |index: usize| {
        let kind = by_evidence.get(index).map_or("", |e| e.kind);
        format!("number {} ({kind})", index.saturating_add(1))
    };
    let grams = |x: f64| Plain::significant(x, 4).as_str().to_owned();
    let odd = odd_one_out(c, pile)
        .map(|index| format!("; {} stands out", name(index)))
        .unwrap_or_default();
    Some(format!(
        "{} gives {} g and {} gives {} g, too far apart for a mean{odd}: look at the units, the dilution, the sample, the strength of the solution, and which container it was",
        name(low),
        grams(least),
        name(high),
        grams(greatest),
    ))
}

/// How well the figures agree, as the answer says it.
pub(super) fn agreement(c: &Combined, pile: &Pile, by_evidence: &[EvidenceEstimate]) -> Agreement {
    if pile.points.len() < 2 {
        return if pile.bands.is_empty() || by_evidence.len() < 2 {
            Agreement::Single {}
        } else {
            Agreement::WithinBounds {}
        };
    }
    let chi_square = ComputedFactor::of(c.chi_square);
    let chance_percent = ComputedPercent::of(100.0 * c.chance);
    let birge_ratio = ComputedFactor::of(c.birge_ratio);
    if c.widening > 1.0 {
        Agreement::Widened {
            chi_square,
            chance_percent,
            birge_ratio,
            odd_one_out: odd_one_out(c, pile),
        }
    } else {
        Agreement::Consistent {
            chi_square,
            chance_percent,
            birge_ratio,
        }
    }
}

/// Warns where figures disagree beyond chance.
pub(super) fn warn_of_disagreement(
    agreement: &Agreement,
    c: &Combined,
    by_evidence: &[EvidenceEstimate],
    notes: &mut Notes,
) {
    let Agreement::Widened { odd_one_out, .. } = agreement else {
        return;
    };
    let who = odd_one_out
        .and_then(|i| {
            by_evidence
                .get(i)
                .map(|e| format!("; number {} ({}) stands out", i.saturating_add(1), e.kind))
        })
        .unwrap_or_default();
    let so = if c.mean.variance() > 0.0 {
        "so the uncertainty was widened"
    } else {
        "but one is stated as exact and was believed"
    };
    notes.warn(
        "/agreement",
        Severity::Note,
        format!("The readings disagree beyond chance, {so}{who}. Measure again before money depends on it."),
    );
}

/// Index in the request of the one that stands out.
fn odd_one_out(c: &Combined, pile: &Pile) -> Option<usize> {
    c.odd_one_out
        .and_then(|i| pile.points.get(i))
        .map(|p| p.index)
}
