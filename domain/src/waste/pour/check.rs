//! The pour check as an operation: safety first, then law, then what becomes of the silver.

use super::table::{Apart, PourVerdict, hits, rules_for, silver_effects};
use crate::answer::{Answer, Method, Notes, Severity};
use crate::batch::Batch;
use crate::bibliography::{SourceStatus, reference};
use crate::fault::Faults;
use crate::substance::Group;
use crate::waste::classification::{Hazardous, find_codes};
use crate::waste::contents::{Contents, bears_silver, implied_groups};
use crate::waste::rule_set::{Authority, RuleSet, RuleSetName};
use crate::waste::storage::storage_danger;
use serde::{Deserialize, Serialize};

/// How a pour check is made.
pub const POUR_RULES: Method = Method {
    name: "pour rules",
    formula: "every hazard group of one liquid against every group of the other, in both directions; the gravest rule that holds decides",
    source: "epa_600_2_80_076",
};

/// Asks whether one container may be poured into another.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[cfg_attr(feature = "openapi", derive(utoipa::ToSchema))]
#[serde(deny_unknown_fields)]
pub struct PourCheckRequest {
    /// What is poured.
    pub from: Batch,
    /// What it is poured into.
    pub into: Batch,
    /// Rules that apply; default `unspecified`.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub rule_set: Option<RuleSetName>,
}

/// May the one go into the other, or share a place with it?
#[derive(Debug, Clone, PartialEq, Serialize)]
#[cfg_attr(feature = "openapi", derive(utoipa::ToSchema))]
pub struct PourCheck {
    /// Whether a person may be hurt. It comes first.
    pub safety: PourSafety,
    /// What the law makes of the mixture.
    pub law: Vec<LawReason>,
    /// What becomes of the silver.
    pub silver: Vec<String>,
    /// Whether the two may share a place.
    pub share: SharedPlaces,
}

/// Whether a person may be hurt.
#[derive(Debug, Clone, PartialEq, Serialize)]
#[cfg_attr(feature = "openapi", derive(utoipa::ToSchema))]
pub struct PourSafety {
    /// In a word.
    pub verdict: PourVerdict,
    /// Why, gravest first.
    pub reasons: Vec<PourReason>,
}

/// One reason with the rule it comes from.
#[derive(Debug, Clone, PartialEq, Eq, Serialize)]
#[cfg_attr(feature = "openapi", derive(utoipa::ToSchema))]
pub struct PourReason {
    /// How grave it is.
    pub verdict: PourVerdict,
    /// Name of the rule.
    pub rule: &'static str,
    /// What meets what, in words.
    pub between: Vec<String>,
    /// What happens.
    pub happens: String,
    /// What to do instead.
    pub instead: Option<String>,
    /// Bibliography key.
    pub source: &'static str,
    /// How well the source was verified.
    pub status: SourceStatus,
}

/// What the law makes of a mixture.
#[derive(Debug, Clone, PartialEq, Eq, Serialize)]
#[cfg_attr(feature = "openapi", derive(utoipa::ToSchema))]
pub struct LawReason {
    /// In words.
    pub text: String,
    /// What it rests on; null where the rules are not known.
    pub authority: Option<Authority>,
}

/// Whether two containers may share a place.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Default)]
#[cfg_attr(feature = "openapi", derive(utoipa::ToSchema))]
pub struct SharedPlaces {
    /// A tray or a bund, and the towel beside it.
    pub tray: PourVerdict,
    /// A sink.
    pub sink: PourVerdict,
    /// A cupboard.
    pub cupboard: PourVerdict,
    /// A vehicle.
    pub vehicle: PourVerdict,
}

impl SharedPlaces {
    fn worsen(&mut self, verdict: PourVerdict, apart: Apart) {
        let (near, far) = match apart {
            Apart::Nothing => (PourVerdict::NoObjectionKnown, PourVerdict::NoObjectionKnown),
            Apart::TrayAndSink => (verdict, verdict.min(PourVerdict::Caution)),
            Apart::Everywhere => (verdict, verdict),
        };
        self.tray = self.tray.max(near);
        self.sink = self.sink.max(near);
        self.cupboard = self.cupboard.max(far);
        self.vehicle = self.vehicle.max(far);
    }
}

/// Answers `POST /v1/pour-checks`: may this go into that?
///
/// # Errors
/// Every fault of the two batches.
pub fn check_pour(request: &PourCheckRequest) -> Result<Answer<PourCheck>, Faults> {
    let mut notes = Notes::new();
    let rules = request
        .rule_set
        .map_or_else(RuleSet::unspecified, RuleSetName::rules);
    let mut faults = request.from.faults("/from");
    faults.extend(request.into.faults("/into"));
    Faults::none_of(faults)?;
    let result = check_pour_between(&request.from, &request.into, rules, &mut notes);
    Ok(notes.answer(result, request.rule_set.map(|r| r.rules())))
}

/// Checks one batch against another; whichever is poured, the answer is the same.
///
/// ```
/// use spent_silver_domain::answer::Notes;
/// use spent_silver_domain::batch::{Batch, BatchKind};
/// use spent_silver_domain::quantity::Identifier;
/// use spent_silver_domain::waste::pour::{PourVerdict, check_pour_between};
/// use spent_silver_domain::waste::rule_set::RuleSet;
/// let jug = |kind| Batch::named(Identifier::new("jug").unwrap(), kind);
/// let check = check_pour_between(&jug(BatchKind::StopBath), &jug(BatchKind::CyanideFixer),
///                                RuleSet::unspecified(), &mut Notes::new());
/// assert_eq!(check.safety.verdict, PourVerdict::Blocked);
/// assert_eq!(check.share.vehicle, PourVerdict::Blocked);
/// ```
pub fn check_pour_between(
    from: &Batch,
    into: &Batch,
    rules: &RuleSet,
    notes: &mut Notes,
) -> PourCheck {
    notes.method("/safety", POUR_RULES);
    let (a, b) = (implied_groups(from), implied_groups(into));
    let (safety, share) = safety_of(from, into, &a, &b, notes);
    if safety.verdict >= PourVerdict::NotKnownToBeSafe
        && let Some(first) = safety.reasons.first()
    {
        notes.warn(
            "/safety",
            Severity::Danger,
            format!("Do not pour. {}", first.happens),
        );
    }
    PourCheck {
        law: law_of(from, into, rules, notes),
        silver: silver_of(from, into, notes),
        safety,
        share,
    }
}

fn list(contents: &Contents) -> Vec<Group> {
    contents.held().iter().map(|h| h.group).collect()
}

fn reason(
    verdict: PourVerdict,
    rule: &'static str,
    between: Vec<String>,
    happens: &str,
    instead: Option<String>,
    source: &str,
    notes: &mut Notes,
) -> PourReason {
    let (source, status) = reference(source)
        .map_or(("house_rule", SourceStatus::CommonPractice), |r| {
            (r.key.as_str(), r.status)
        });
    notes.cite(source);
    PourReason {
        verdict,
        rule,
        between,
        happens: happens.to_owned(),
        instead,
        source,
        status,
    }
}

fn safety_of(
    from: &Batch,
    into: &Batch,
    a: &Contents,
    b: &Contents,
    notes: &mut Notes,
) -> (PourSafety, SharedPlaces) {
    let mut reasons = Vec::new();
    let mut share = SharedPlaces::default();
    let place = |side: &Contents, other: &Contents, g: Group| {
        side.source_of(g)
            .or_else(|| other.source_of(g))
            .map_or_else(
                || g.words().to_owned(),
                |h| format!("{} ({})", g.words(), h.from),
            )
    };
    let (ga, gb) = (list(a), list(b));
    for hit in hits(&ga, &gb) {
        share.worsen(hit.rule.verdict, hit.rule.apart);
        if hit.rule.verdict == PourVerdict::NoObjectionKnown && hit.rule.id.starts_with("plain_") {
            continue;
        }
        let between = match hit.between.as_slice() {
            [x, y] => vec![place(a, b, *x), place(b, a, *y)],
            more => more.iter().map(|g| place(a, b, *g)).collect(),
        };
        reasons.push(reason(
            hit.rule.verdict,
            &hit.rule.id,
            between,
            &hit.rule.happens,
            hit.rule.instead.clone(),
            &hit.rule.source,
            notes,
        ));
    }
    let nameless = ga
        .iter()
        .any(|x| gb.iter().any(|y| rules_for(*x, *y).is_empty()));
    for name in a.unknown().iter().chain(b.unknown()) {
        share.worsen(PourVerdict::NotKnownToBeSafe, Apart::Everywhere);
        reasons.push(reason(
            PourVerdict::NotKnownToBeSafe,
            "unknown_substance",
            vec![name.clone()],
            &format!("`{name}` is not a substance we know: the pour is not known to be safe."),
            Some("Find out what it is and state it, or keep it by itself.".to_owned()),
            "house_rule",
            notes,
        ));
    }
    if nameless {
        share.worsen(PourVerdict::NotKnownToBeSafe, Apart::Everywhere);
    }
    for batch in [from, into] {
        if let Some(danger) = storage_danger(batch) {
            reasons.push(reason(
                PourVerdict::Caution,
                "act_today",
                vec![batch.kind.words().to_owned()],
                &danger.reason,
                danger.act.first().cloned(),
                "house_rule",
                notes,
            ));
        }
    }
    reasons.sort_by_key(|r| std::cmp::Reverse(r.verdict));
    let gravest = reasons.first().map(|r| r.verdict).unwrap_or_default();
    let verdict = if nameless {
        gravest.max(PourVerdict::NotKnownToBeSafe)
    } else {
        gravest
    };
    (PourSafety { verdict, reasons }, share)
}

fn law_of(from: &Batch, into: &Batch, rules: &RuleSet, notes: &mut Notes) -> Vec<LawReason> {
    let mut aside = Notes::default();
    let one = find_codes(from, None, rules, &mut aside);
    let other = find_codes(into, None, rules, &mut aside);
    let (Some(one), Some(other), Some(mixing)) = (one, other, &rules.mixing) else {
        return vec![LawReason {
            text: "No rules were named. Ask your waste authority before you mix two wastes: in most places a mixture counts as the more regulated part, and thinning never helps.".to_owned(),
            authority: None,
        }];
    };
    notes.cite(reference(&mixing.rule.source).map_or("house_rule", |r| r.key.as_str()));
    let mut out = vec![LawReason {
        text: mixing.text.clone(),
        authority: Some(mixing.rule.clone()),
    }];
    let (x, y) = (one.hazardous(), other.hazardous());
    let differ = (x == Hazardous::NotIndicated) != (y == Hazardous::NotIndicated);
    if differ {
        out.push(LawReason {
            text: "One of them points to hazardous waste and the other does not: mixed, all of it counts, by its whole mass.".to_owned(),
            authority: Some(mixing.rule.clone()),
        });
    }
    let mut codes: Vec<&str> = one
        .codes
        .iter()
        .chain(&other.codes)
        .map(|c| c.code.as_str())
        .collect();
    codes.sort_unstable();
    codes.dedup();
    if !codes.is_empty() {
        out.push(LawReason {
            text: format!(
                "The mixture would have to answer for every code of both, known or to be tested: {}.",
                codes.join(", ")
            ),
            authority: Some(mixing.rule.clone()),
        });
    }
    out.extend(rules.never.iter().map(|n| LawReason {
        text: n.text.clone(),
        authority: Some(n.rule.clone()),
    }));
    out
}

fn silver_of(from: &Batch, into: &Batch, notes: &mut Notes) -> Vec<String> {
    let mut out = Vec::new();
    for (effect, source) in silver_effects(from.kind, into.kind) {
        if let Some(r) = reference(source) {
            notes.cite(&r.key);
        }
        out.push(effect.to_owned());
    }
    let (a, b) = (bears_silver(from), bears_silver(into));
    if out.is_empty() {
        out.push(
            match (a, b) {
                (true, true) if from.kind == into.kind => {
                    "Both are of one kind: the same way of recovery serves both."
                }
                (false, false) => "Neither points to silver.",
                _ => "Silver is thinned or mixed: one way of recovery must then serve all of it.",
            }
            .to_owned(),
        );
    }
    out
}
