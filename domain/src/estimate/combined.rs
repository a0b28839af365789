//! Several pieces of evidence made into one estimate: rolled forward to today, put together by
//! what was sampled, weighed by their covariance, and cut by what only bounds.

use super::evidence::{Evidence, Sampled};
use super::finding::Finding;
use super::result::{Agreement, Estimate, EvidenceEstimate, InputShare, Interval};
use crate::answer::{Method, Notes, Severity};
use crate::fault::{Fault, FaultKind, Faults};
use crate::quantity::{
    Computed, ComputedFactor, ComputedGrams, ComputedGramsPerLitre, ComputedPercent, Date,
};
use crate::statistics::{Belief, Combined, Inputs, Uncertain, combine};

pub(super) const PROPAGATION: Method = Method {
    name: "first_order_uncertainty",
    formula: "u(y)^2 = sum of (partial derivative x u(input))^2; 95 % interval from a normal, its largest rectangular part kept rectangular",
    source: "jcgm100",
};

pub(super) const COMBINATION: Method = Method {
    name: "weighted_mean_with_covariance",
    formula: "x = (1' C^-1 x)/(1' C^-1 1); chi-square = (x - m)' C^-1 (x - m); beyond 5 % chance u is widened by the Birge ratio sqrt(chi-square/(n - 1))",
    source: "birge1932",
};

pub(super) const BOUNDS: Method = Method {
    name: "bounds",
    formula: "what only bounds cuts the figure's distribution and never adds to it; alone, it is rectangular between the bounds (u = half-width/sqrt 3)",
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

/// Bounds in grams, with the spread of what turned them into grams.
#[derive(Debug, Clone, Copy)]
struct Band {
    index: usize,
    lower: f64,
    upper: Option<f64>,
    spread: f64,
}

/// What one sampled part (or the whole) amounts to.
#[derive(Debug, Default)]
struct Pile {
    points: Vec<(usize, Uncertain)>,
    bands: Vec<Band>,
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
    let whole = put_together(piles, notes);
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
                pile.points.push((index, now));
            }
            Finding::Bounds {
                lower,
                upper,
                scale,
            } => {
                let v = scale.value();
                let middle = upper.map_or(*lower, |u| 0.5 * (lower + u));
                let spread =
                    ((middle * scale.standard_uncertainty()).powi(2) + change.variance()).sqrt();
                pile.bands.push(Band {
                    index,
                    lower: (lower * v + change.value()).max(0.0),
                    upper: upper.map(|u| (u * v + change.value()).max(0.0)),
                    spread,
                });
            }
            Finding::Removed(_) => {}
        }
    }
    Ok(piles)
}

/// Clear liquor and sludge add up to the whole; one of them alone says nothing of the other.
fn put_together(piles: [Pile; 3], notes: &mut Notes) -> Pile {
    let [mut whole, clear, sludge] = piles;
    let mean = |pile: &Pile| {
        let points: Vec<Uncertain> = pile.points.iter().map(|(_, p)| p.clone()).collect();
        combine(&points).map(|c| {
            if c.widening > 1.0 {
                widened(&c)
            } else {
                c.mean
            }
        })
    };
    let empty = |pile: &Pile| pile.points.is_empty() && pile.bands.is_empty();
    match (mean(&clear), mean(&sludge)) {
        (Some(a), Some(b)) => {
            let index = clear.points.first().map_or(0, |(i, _)| *i);
            whole.points.push((index, a.plus(&b)));
            return whole;
        }
        _ if empty(&clear) && empty(&sludge) => return whole,
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
            return if clear.points.is_empty() {
                sludge
            } else {
                clear
            };
        };
        notes.warn(
            "/silver_g",
            Severity::Caution,
            format!("This is the silver of the {says} alone; it says nothing of the {not}."),
        );
        return part;
    }
    notes.warn(
        "/by_evidence",
        Severity::Note,
        "A reading of a part alone (clear liquor or sludge) was not weighed with readings of the whole.",
    );
    whole
}

/// The mean of a pile that disagrees, its parts widened.
fn widened(c: &Combined) -> Uncertain {
    let mean = Uncertain::exact(c.mean.value());
    mean.plus(&c.mean.minus(&mean).scaled(c.widening))
}

fn conclude(
    whole: &Pile,
    by_evidence: Vec<EvidenceEstimate>,
    volume: Option<&Uncertain>,
    inputs: &Inputs,
    at: &str,
    notes: &mut Notes,
) -> Result<Estimate, Faults> {
    let lower = whole.bands.iter().map(|b| b.lower).fold(0.0, f64::max);
    let upper = whole
        .bands
        .iter()
        .filter_map(|b| b.upper)
        .min_by(f64::total_cmp);
    let blur = whole.bands.iter().map(|b| b.spread).fold(0.0, f64::max);
    if !whole.bands.is_empty() {
        notes.method("/interval_95_g", BOUNDS);
    }
    if let Some(upper) = upper
        && lower > upper + 2.0 * blur
    {
        let reason = format!(
            "bounds exclude each other: one asks for at least {lower:.4} g, another for at most {upper:.4} g"
        );
        return Ok(contradiction(by_evidence, reason, notes));
    }
    let points: Vec<Uncertain> = whole.points.iter().map(|(_, p)| p.clone()).collect();
    let Some(combined) = combine(&points) else {
        return Ok(bounded_only(lower, upper, blur, by_evidence, volume));
    };
    if points.len() > 1 {
        notes.method("/silver_g", COMBINATION);
    }
    if combined.contradiction {
        let reason = "two figures stated as exact differ".to_owned();
        return Ok(contradiction(by_evidence, reason, notes));
    }
    let belief = inputs.belief(&combined.mean, combined.widening);
    let reach = |x: f64, sign: f64| x + sign * 2.0 * blur;
    let possible = belief.within(
        reach(lower, -1.0),
        upper.map_or(f64::INFINITY, |u| reach(u, 1.0)),
    );
    if !whole.bands.is_empty() && possible.mass() < CANNOT_BE {
        let (low, high) = belief.interval_95();
        let bounds = upper.map_or_else(
            || format!("at least {lower:.4} g"),
            |u| format!("{lower:.4} to {u:.4} g"),
        );
        let culprits: Vec<String> = whole
            .bands
            .iter()
            .filter(|b| high < b.lower || b.upper.is_some_and(|u| low > u))
            .map(|b| format!("{at}/{}", b.index))
            .collect();
        let reason = format!(
            "the readings point to {low:.4} to {high:.4} g, but the bounds allow only {bounds} ({})",
            culprits.join(", ")
        );
        return Ok(contradiction(by_evidence, reason, notes));
    }
    // Silver cannot be negative: that shapes the interval. The figure itself stays the formula's,
    // unless bounds cut into it.
    let natural = belief.within(0.0, f64::INFINITY);
    let cut = natural.within(lower, upper.unwrap_or(f64::INFINITY));
    let bites = !whole.bands.is_empty() && cut.mass() < natural.mass() * (1.0 - CANNOT_BE);
    let (value, u) = if bites || combined.mean.value() < 0.0 {
        cut.moments()
    } else {
        (
            combined.mean.value(),
            combined.mean.standard_uncertainty() * combined.widening,
        )
    };
    let (low, high) = cut.interval_95();
    let agreement = agreement(&combined, whole, &by_evidence);
    if let Agreement::Widened { odd_one_out, .. } = &agreement {
        let who = odd_one_out
            .and_then(|i| {
                by_evidence
                    .get(i)
                    .map(|e| format!("; number {} ({}) stands out", i.saturating_add(1), e.kind))
            })
            .unwrap_or_default();
        notes.warn(
            "/agreement",
            Severity::Note,
            format!("The readings disagree beyond chance, so the uncertainty was widened{who}. Measure again before money depends on it."),
        );
    }
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
    lower: f64,
    upper: Option<f64>,
    blur: f64,
    by_evidence: Vec<EvidenceEstimate>,
    volume: Option<&Uncertain>,
) -> Estimate {
    let Some(upper) = upper else {
        return Estimate {
            interval_95_g: Some(Interval {
                lower: Computed::of(lower),
                upper: None,
            }),
            ..Estimate::unknown(by_evidence, Agreement::WithinBounds {})
        };
    };
    let middle = 0.5 * (lower + upper);
    let half = (0.5 * (upper - lower)).max(0.0);
    let belief = Belief::new(middle, blur, half).within(0.0, f64::INFINITY);
    let (low, high) = belief.interval_95();
    Estimate {
        silver_g: Some(Computed::of(middle)),
        standard_uncertainty_g: Some(Computed::of((half * half / 3.0 + blur * blur).sqrt())),
        interval_95_g: Some(Interval {
            lower: Computed::of(low),
            upper: Some(Computed::of(high)),
        }),
        silver_g_per_l: per_litre(middle, volume),
        by_evidence,
        agreement: Agreement::WithinBounds {},
    }
}

fn agreement(c: &Combined, whole: &Pile, by_evidence: &[EvidenceEstimate]) -> Agreement {
    if whole.points.len() < 2 {
        return if whole.bands.is_empty() || by_evidence.len() < 2 {
            Agreement::Single {}
        } else {
            Agreement::WithinBounds {}
        };
    }
    let chi_square = ComputedFactor::of(c.chi_square);
    let chance_percent = ComputedPercent::of(100.0 * c.chance);
    let birge_ratio = ComputedFactor::of(c.birge_ratio);
    if c.widening > 1.0 {
        let odd_one_out = c
            .odd_one_out
            .and_then(|i| whole.points.get(i))
            .map(|(index, _)| *index);
        Agreement::Widened {
            chi_square,
            chance_percent,
            birge_ratio,
            odd_one_out,
        }
    } else {
        Agreement::Consistent {
            chi_square,
            chance_percent,
            birge_ratio,
        }
    }
}
