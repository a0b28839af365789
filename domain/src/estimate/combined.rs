//! Several pieces of evidence made into one estimate: rolled forward to today, put together by
//! what was sampled, weighed by their covariance, and cut by what only bounds.

use super::agreement::{agreement, no_mean, warn_of_disagreement};
use super::evidence::{Evidence, Sampled};
use super::finding::Finding;
use super::result::{Agreement, Estimate, EvidenceEstimate, InputShare, Interval};
use crate::answer::{Method, Notes, Severity};
use crate::fault::{Fault, FaultKind, Faults};
use crate::quantity::{Computed, ComputedGrams, ComputedGramsPerLitre, ComputedPercent, Date};
use crate::statistics::{Belief, Combined, Inputs, Uncertain, combine_moved};

pub(super) const PROPAGATION: Method = Method {
    name: "first_order_uncertainty",
    formula: "u(y)^2 = sum of (partial derivative x u(input))^2; 95 % interval from a normal, its largest rectangular part kept rectangular",
    source: "jcgm100",
};

pub(super) const COMBINATION: Method = Method {
    name: "weighted_mean_with_covariance",
    formula: "x = (1' C^-1 x)/(1' C^-1 1), no weight below 0; what readings share and scale by (the volume, a solution) enters C at the combined x, found in turns, so x lies between the least and the greatest reading; chi-square = (x - m)' C^-1 (x - m); beyond 5 % chance u is widened by the Birge ratio sqrt(chi-square/(n - 1)), but for what all readings rest on alike; readings far apart beyond all chance get no figure",
    source: "birge1932",
};

pub(super) const BOUNDS: Method = Method {
    name: "bounds",
    formula: "what only bounds cuts the figure's distribution and never adds to it, and an edge moves with the volume that figure and edge share; alone, it is rectangular between the bounds (u = half-width/sqrt 3)",
    source: "jcgm100",
};

/// Chance below which a figure outside its bounds is a contradiction.
const CANNOT_BE: f64 = 0.001;

/// What a piece of evidence is, for rolling forward.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
enum Role {
    /// A reading of what is there.
    Reading,
    /// A record of what was made.
    Record,
    /// A record of what was added by work.
    Work,
    /// Silver taken out.
    Removal,
}

pub(super) struct Piece {
    kind: &'static str,
    role: Role,
    on: Option<Date>,
    sampled: Sampled,
    finding: Finding,
}

impl Piece {
    pub fn new(evidence: &Evidence, finding: Finding) -> Self {
        let around = evidence.circumstances();
        let role = match evidence {
            Evidence::MakeUp(_) => Role::Record,
            Evidence::Throughput(_) | Evidence::CarryOver(_) => Role::Work,
            Evidence::ElectrolyticDeposit(_) => Role::Removal,
            _ => Role::Reading,
        };
        Self {
            kind: evidence.kind(),
            role,
            on: around.measured_on,
            sampled: around.sampled.unwrap_or(Sampled::Stirred),
            finding,
        }
    }

    fn is_level(&self) -> bool {
        matches!(self.role, Role::Reading | Role::Record)
    }
}

/// Bounds in grams, each as uncertain as what turned it into grams.
#[derive(Debug, Clone)]
pub(super) struct Band {
    index: usize,
    lower: Uncertain,
    upper: Option<Uncertain>,
}

/// A figure: what was read, and what was added or taken out since.
#[derive(Debug)]
pub(super) struct Point {
    pub index: usize,
    reading: Uncertain,
    change: Uncertain,
}

impl Point {
    /// Grams as it stands now.
    pub fn now(&self) -> f64 {
        self.reading.value() + self.change.value()
    }
}

/// What one sampled part (or the whole) amounts to.
#[derive(Debug, Default)]
pub(super) struct Pile {
    pub points: Vec<Point>,
    pub bands: Vec<Band>,
}

impl Pile {
    fn combined(&self) -> Option<Combined> {
        let readings: Vec<Uncertain> = self.points.iter().map(|p| p.reading.clone()).collect();
        let changes: Vec<Uncertain> = self.points.iter().map(|p| p.change.clone()).collect();
        combine_moved(&readings, &changes)
    }
}

pub(super) fn combine_pieces(
    pieces: &[Piece],
    volume: Option<&Uncertain>,
    inputs: &Inputs,
    at: &str,
    notes: &mut Notes,
) -> Result<Estimate, Faults> {
    notes.method("", PROPAGATION);
    let by_evidence: Vec<EvidenceEstimate> = pieces.iter().map(|p| by_itself(p, inputs)).collect();
    let piles = sort_into_piles(pieces, at, notes)?;
    let whole = match put_together(piles, &by_evidence, notes) {
        Ok(whole) => whole,
        Err(reason) => return Ok(contradiction(by_evidence, reason, notes)),
    };
    if whole.points.is_empty() && whole.bands.is_empty() {
        return Err(Fault::missing(
            at,
            "a reading or record of what was there: what was taken out does not tell what is left",
        )
        .into());
    }
    conclude(&whole, by_evidence, volume, inputs, at, notes)
}

fn by_itself(piece: &Piece, inputs: &Inputs) -> EvidenceEstimate {
    let shares = |of: &Uncertain| {
        inputs
            .contributions(of)
            .into_iter()
            .map(|c| InputShare {
                input: c.input,
                share_percent: ComputedPercent::of(100.0 * c.share),
            })
            .collect()
    };
    let (silver, bounds, contributions) = match &piece.finding {
        Finding::Point(x) | Finding::Removed(x) => (Some(x), None, shares(x)),
        Finding::Bounds {
            lower,
            upper,
            scale,
        } => {
            let v = scale.value();
            let bounds = Interval {
                lower: ComputedGrams::of(lower * v),
                upper: upper.map(|u| ComputedGrams::of(u * v)),
            };
            (None, Some(bounds), Vec::new())
        }
    };
    EvidenceEstimate {
        kind: piece.kind,
        silver_g: silver.map(|x| Computed::of(x.value())),
        standard_uncertainty_g: silver.map(|x| Computed::of(x.standard_uncertainty())),
        bounds_g: bounds,
        contributions,
    }
}

/// Rolls each level forward by the work done and the silver taken out since, and sorts the results
/// by what was sampled: whole, clear liquor, sludge.
fn sort_into_piles(pieces: &[Piece], at: &str, notes: &mut Notes) -> Result<[Pile; 3], Faults> {
    let since = |change: &Piece, level: &Piece| match (change.on, level.on) {
        (Some(c), Some(l)) => Some(c > l),
        _ => None,
    };
    let follows_a_reading = |work: &Piece| {
        pieces
            .iter()
            .any(|l| l.is_level() && since(work, l) == Some(true))
    };
    let mut piles: [Pile; 3] = Default::default();
    for (index, piece) in pieces.iter().enumerate() {
        let stands_alone = piece.role == Role::Work && !follows_a_reading(piece);
        if !piece.is_level() && !stands_alone {
            continue;
        }
        let mut change = Uncertain::exact(0.0);
        for (other_index, other) in pieces.iter().enumerate() {
            let amount = match (&other.finding, other.role) {
                (Finding::Removed(x), Role::Removal) => x.scaled(-1.0),
                (Finding::Point(x), Role::Work) if piece.is_level() => x.clone(),
                _ => continue,
            };
            let counts = match (other.role, piece.role) {
                // A record knows nothing of what was plated out; it always comes off.
                (Role::Removal, Role::Record | Role::Work) => true,
                _ => match since(other, piece) {
                    Some(later) => later,
                    None => {
                        if other.role == Role::Removal {
                            notes.assume(
                                &format!("/by_evidence/{index}"),
                                format!("{at}/{index}/{}/measured_on", piece.kind),
                                "house_rule",
                                format!("No dates to order it and the deposit at {other_index}: the reading counts as taken after the silver was plated out."),
                            );
                        }
                        false
                    }
                },
            };
            if counts {
                change = change.plus(&amount);
            }
        }
        let pile = match piece.sampled {
            Sampled::Stirred => &mut piles[0],
            Sampled::ClearLiquor => &mut piles[1],
            Sampled::Sludge => &mut piles[2],
        };
        match &piece.finding {
            Finding::Point(x) => {
                let now = x.plus(&change);
                if now.value() < -2.0 * now.standard_uncertainty() - 1e-9 {
                    return Err(Fault::new(
                        FaultKind::Conflict,
                        format!("{at}/{index}"),
                        format!(
                            "more silver was taken out than this leaves: {:.3} g would remain",
                            now.value()
                        ),
                    )
                    .into());
                }
                pile.points.push(Point {
                    index,
                    reading: x.clone(),
                    change,
                });
            }
            Finding::Bounds {
                lower,
                upper,
                scale,
            } => {
                let edge = |bound: f64| {
                    let grams = scale.scaled(bound).plus(&change);
                    if grams.value() > 0.0 {
                        grams
                    } else {
                        Uncertain::exact(0.0)
                    }
                };
                pile.bands.push(Band {
                    index,
                    lower: edge(*lower),
                    upper: upper.map(edge),
                });
            }
            Finding::Removed(_) => {}
        }
    }
    Ok(piles)
}

/// Clear liquor and sludge add up to the whole; one of them alone says nothing of the other.
///
/// The error is why the figures of one part contradict each other.
fn put_together(
    piles: [Pile; 3],
    by_evidence: &[EvidenceEstimate],
    notes: &mut Notes,
) -> Result<Pile, String> {
    let [mut whole, clear, sludge] = piles;
    let mean = |pile: &Pile| -> Result<Option<Uncertain>, String> {
        let Some(c) = pile.combined() else {
            return Ok(None);
        };
        match no_mean(&c, pile, by_evidence) {
            Some(reason) => Err(reason),
            None => Ok(Some(c.widened())),
        }
    };
    let empty = |pile: &Pile| pile.points.is_empty() && pile.bands.is_empty();
    match (mean(&clear)?, mean(&sludge)?) {
        (Some(a), Some(b)) => {
            whole.points.push(Point {
                index: clear.points.first().map_or(0, |p| p.index),
                reading: a.plus(&b),
                change: Uncertain::exact(0.0),
            });
            return Ok(whole);
        }
        _ if empty(&clear) && empty(&sludge) => return Ok(whole),
        _ => {}
    }
    if empty(&whole) {
        let (part, says, not) = if empty(&sludge) {
            (clear, "clear liquor", "sludge below it")
        } else if empty(&clear) {
            (sludge, "sludge", "liquor above it")
        } else {
            // Points for one and bounds for the other: the figure stands for its own part only.
            notes.warn("/silver_g", Severity::Caution, "The clear liquor and the sludge could not be added up, because one of them is only bounded: the figure is for the other alone.");
            return Ok(if clear.points.is_empty() {
                sludge
            } else {
                clear
            });
        };
        notes.warn(
            "/silver_g",
            Severity::Caution,
            format!("This is the silver of the {says} alone; it says nothing of the {not}."),
        );
        return Ok(part);
    }
    notes.warn(
        "/by_evidence",
        Severity::Note,
        "A reading of a part alone (clear liquor or sludge) was not weighed with readings of the whole.",
    );
    Ok(whole)
}

fn conclude(
    whole: &Pile,
    by_evidence: Vec<EvidenceEstimate>,
    volume: Option<&Uncertain>,
    inputs: &Inputs,
    at: &str,
    notes: &mut Notes,
) -> Result<Estimate, Faults> {
    let by_value = |a: &&Uncertain, b: &&Uncertain| a.value().total_cmp(&b.value());
    let lower = whole.bands.iter().map(|b| &b.lower).max_by(by_value);
    let lower = lower.filter(|l| l.value() > 0.0);
    let upper = whole.bands.iter().filter_map(|b| b.upper.as_ref());
    let upper = upper.min_by(by_value);
    if !whole.bands.is_empty() {
        notes.method("/interval_95_g", BOUNDS);
    }
    if let (Some(lower), Some(upper)) = (lower, upper)
        && inputs.belief(&upper.minus(lower), 1.0).below(0.0) > 1.0 - CANNOT_BE
    {
        let reason = format!(
            "bounds exclude each other: one asks for at least {:.4} g, another for at most {:.4} g",
            lower.value(),
            upper.value()
        );
        return Ok(contradiction(by_evidence, reason, notes));
    }
    let Some(combined) = whole.combined() else {
        return Ok(bounded_only(lower, upper, by_evidence, volume));
    };
    if whole.points.len() > 1 {
        notes.method("/silver_g", COMBINATION);
    }
    if let Some(reason) = no_mean(&combined, whole, &by_evidence) {
        return Ok(contradiction(by_evidence, reason, notes));
    }
    let mean = combined.widened();
    let belief = inputs.belief(&mean, 1.0);
    let limited = inputs.limited(&mean, lower, upper);
    if !whole.bands.is_empty() && limited.chance() < CANNOT_BE {
        let (low, high) = belief.interval_95();
        let least = lower.map_or(0.0, Uncertain::value);
        let bounds = upper.map_or_else(
            || format!("at least {least:.4} g"),
            |u| format!("{least:.4} to {:.4} g", u.value()),
        );
        let culprits: Vec<String> = whole
            .bands
            .iter()
            .filter(|b| {
                inputs
                    .limited(&mean, Some(&b.lower), b.upper.as_ref())
                    .chance()
                    < CANNOT_BE
            })
            .map(|b| format!("{at}/{}", b.index))
            .collect();
        let reason = format!(
            "the readings point to {low:.4} to {high:.4} g, but the bounds allow only {bounds} ({})",
            culprits.join(", ")
        );
        return Ok(contradiction(by_evidence, reason, notes));
    }
    if mean.value() < 0.0 {
        notes.warn(
            "/silver_g",
            Severity::Caution,
            format!(
                "By the records more went out than came in ({:.1} g are missing): something was not written down. The figure is what their uncertainty leaves above nothing; measure before anything rests on it.",
                -mean.value()
            ),
        );
    }
    // Silver cannot be negative: that shapes the interval. The figure itself stays the formula's,
    // unless bounds cut into it.
    let bites = !whole.bands.is_empty() && limited.chance() < 1.0 - CANNOT_BE;
    let (value, u, (low, high)) = if bites || mean.value() < 0.0 {
        limited.summary()
    } else {
        let natural = belief.within(0.0, f64::INFINITY);
        (
            mean.value(),
            mean.standard_uncertainty(),
            natural.interval_95(),
        )
    };
    let agreement = agreement(&combined, whole, &by_evidence);
    warn_of_disagreement(&agreement, &combined, &by_evidence, notes);
    Ok(Estimate {
        silver_g: Some(ComputedGrams::of(value)),
        standard_uncertainty_g: Some(ComputedGrams::of(u)),
        interval_95_g: Some(Interval {
            lower: Computed::of(low.max(0.0)),
            upper: Some(Computed::of(high)),
        }),
        silver_g_per_l: per_litre(value, volume),
        by_evidence,
        agreement,
    })
}

fn per_litre(grams: f64, volume: Option<&Uncertain>) -> Option<ComputedGramsPerLitre> {
    let litres = volume?.value();
    (litres > 0.0).then(|| Computed::of(grams / litres))
}

fn contradiction(
    by_evidence: Vec<EvidenceEstimate>,
    reason: String,
    notes: &mut Notes,
) -> Estimate {
    notes.warn(
        "/silver_g",
        Severity::Caution,
        format!("The evidence contradicts itself: {reason}. No figure is given; measure again."),
    );
    Estimate::unknown(by_evidence, Agreement::Contradiction { reason })
}

fn bounded_only(
    lower: Option<&Uncertain>,
    upper: Option<&Uncertain>,
    by_evidence: Vec<EvidenceEstimate>,
    volume: Option<&Uncertain>,
) -> Estimate {
    let least = lower.map_or(0.0, Uncertain::value);
    let Some(upper) = upper else {
        return Estimate {
            interval_95_g: Some(Interval {
                lower: Computed::of(least),
                upper: None,
            }),
            ..Estimate::unknown(by_evidence, Agreement::WithinBounds {})
        };
    };
    let half = (0.5 * (upper.value() - least)).max(0.0);
    let middle = lower
        .map_or_else(|| upper.clone(), |l| l.plus(upper))
        .scaled(0.5);
    let spread = middle.standard_uncertainty();
    let belief = Belief::new(middle.value(), spread, half).within(0.0, f64::INFINITY);
    let (low, high) = belief.interval_95();
    Estimate {
        silver_g: Some(Computed::of(middle.value())),
        standard_uncertainty_g: Some(Computed::of((half * half / 3.0 + spread * spread).sqrt())),
        interval_95_g: Some(Interval {
            lower: Computed::of(low),
            upper: Some(Computed::of(high)),
        }),
        silver_g_per_l: per_litre(middle.value(), volume),
        by_evidence,
        agreement: Agreement::WithinBounds {},
    }
}
