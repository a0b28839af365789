//! The pour check as an operation: safety first, then law, then what becomes of the silver.

use super::table::{Apart, PourVerdict, hits, rules_for, silver_effects};
use crate::answer::{Answer, Method, Notes, Severity};
use crate::batch::{Batch, BatchKind, Component};
use crate::bibliography::{SourceStatus, reference};
use crate::fault::{Faults, at_most};
use crate::quantity::Identifier;
use crate::substance::Group;
use crate::waste::classification::{Hazardous, find_codes};
use crate::waste::contents::{Contents, bears_silver, component_g_per_l, implied_groups};
use crate::waste::rule_set::{Authority, RuleSet, RuleSetName};
use crate::waste::storage::{container_findings, storage_danger};
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
    /// More containers that would go in too, or share the place.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub also: Vec<Batch>,
    /// Substances out of their own bottles that would go in too, or share the place, by id.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub substances: Vec<Identifier>,
    /// Rules that apply; default `unspecified`.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub rule_set: Option<RuleSetName>,
}

/// Most containers and substances that one check takes beside the first two.
pub const MOST_BESIDE: usize = 10;

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
    /// Whether all of them may share a place.
    pub share: SharedPlaces,
    /// Each two of them, where more than two were named.
    #[serde(skip_serializing_if = "Vec::is_empty")]
    pub pairs: Vec<PourPair>,
}

/// One pair of a check of more than two.
#[derive(Debug, Clone, PartialEq, Serialize)]
#[cfg_attr(feature = "openapi", derive(utoipa::ToSchema))]
pub struct PourPair {
    /// The two, by the names they were given.
    pub between: Vec<String>,
    /// Whether a person may be hurt.
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

impl PourReason {
    /// What happens, and what to do instead.
    pub(crate) fn in_words(&self) -> String {
        match &self.instead {
            Some(instead) => format!("{} {instead}", self.happens),
            None => self.happens.clone(),
        }
    }
}

/// What the law makes of a mixture.
#[derive(Debug, Clone, PartialEq, Eq, Serialize)]
#[cfg_attr(feature = "openapi", derive(utoipa::ToSchema))]
pub struct LawReason {
    /// In words.
    pub text: String,
    /// What it rests on; null where the rules are not known.
    pub authority: Option<&'static Authority>,
}

/// Whether containers may share a place.
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
    for (i, batch) in request.also.iter().enumerate() {
        faults.extend(batch.faults(&format!("/also/{i}")));
    }
    faults.extend(at_most("/also", request.also.len(), MOST_BESIDE).err());
    faults.extend(at_most("/substances", request.substances.len(), MOST_BESIDE).err());
    Faults::none_of(faults)?;
    let bottles: Vec<Batch> = request.substances.iter().map(bottle).collect();
    let all: Vec<&Batch> = [&request.from, &request.into]
        .into_iter()
        .chain(&request.also)
        .chain(&bottles)
        .collect();
    let result = check_pour_of(&all, rules, &mut notes);
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
    check_pour_of(&[from, into], rules, notes)
}

/// Checks any number of containers against each other: every pair, and every set of three groups that
/// only all of them together bring about. The gravest finding decides.
pub fn check_pour_of(all: &[&Batch], rules: &RuleSet, notes: &mut Notes) -> PourCheck {
    notes.method("/safety", POUR_RULES);
    let contents: Vec<Contents> = all.iter().map(|b| implied_groups(b)).collect();
    let (safety, share) = safety_of(all, &contents, notes);
    if safety.verdict >= PourVerdict::NotKnownToBeSafe
        && let Some(first) = safety.reasons.first()
    {
        notes.warn(
            "/safety",
            Severity::Danger,
            format!("Do not pour. {}", first.happens),
        );
    }
    let mut check = PourCheck {
        law: law_of(all, rules, notes),
        silver: silver_of(all, &contents, notes),
        safety,
        share,
        pairs: Vec::new(),
    };
    if all.len() == 2 {
        return check;
    }
    for (i, (from, held)) in all.iter().zip(&contents).enumerate() {
        let others = all.iter().zip(&contents).skip(i.saturating_add(1));
        for (into, other) in others {
            let (pair, two) = ([*from, *into], [held.clone(), other.clone()]);
            let (safety, share) = safety_of(&pair, &two, notes);
            check.pairs.push(PourPair {
                between: vec![from.id.to_string(), into.id.to_string()],
                safety,
                law: law_of(&pair, rules, notes),
                silver: silver_of(&pair, &two, notes),
                share,
            });
        }
    }
    check
}

/// A substance in its own bottle.
pub(crate) fn bottle(id: &Identifier) -> Batch {
    let mut batch = Batch::named(id.clone(), BatchKind::UnusedChemical);
    batch.composition.push(Component::named(id.clone()));
    batch
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
    all: &[&Batch],
    contents: &[Contents],
    notes: &mut Notes,
) -> (PourSafety, SharedPlaces) {
    let mut reasons: Vec<PourReason> = Vec::new();
    let mut share = SharedPlaces::default();
    let mut nameless = false;
    let mut so_far = Contents::default();
    for (i, next) in contents.iter().enumerate() {
        if i > 0 {
            nameless |= meet(&so_far, next, &mut reasons, &mut share, notes);
        }
        so_far.merge(next);
    }
    for name in so_far.unknown() {
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
    for batch in all {
        if let Some(danger) = storage_danger(batch) {
            // What must not be kept shares no place with anything.
            share.worsen(PourVerdict::Blocked, Apart::Everywhere);
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
    for batch in all {
        for finding in container_findings(batch) {
            reasons.push(reason(
                PourVerdict::Caution,
                finding.check,
                vec![batch.id.to_string()],
                &finding.happens,
                Some(finding.instead),
                finding.source,
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

/// The rules that hold when one joins what is there; whether a pair of groups has no rule.
fn meet(
    a: &Contents,
    b: &Contents,
    reasons: &mut Vec<PourReason>,
    share: &mut SharedPlaces,
    notes: &mut Notes,
) -> bool {
    let place = |side: &Contents, other: &Contents, g: Group| {
        side.source_of(g)
            .or_else(|| other.source_of(g))
            .map_or_else(
                || g.words().to_owned(),
                |h| format!("{} ({})", g.words(), h.from),
            )
    };
    let (ga, gb) = (list(a), list(b));
    for hit in hits(&ga, &gb, PourVerdict::default()) {
        share.worsen(hit.rule.verdict, hit.rule.apart);
        let plain =
            hit.rule.verdict == PourVerdict::NoObjectionKnown && hit.rule.id.starts_with("plain_");
        if plain || reasons.iter().any(|r| r.rule == hit.rule.id) {
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
    ga.iter()
        .any(|x| gb.iter().any(|y| rules_for(*x, *y).is_empty()))
}

/// What the law makes of all of them together.
fn law_of(all: &[&Batch], rules: &RuleSet, notes: &mut Notes) -> Vec<LawReason> {
    let mut aside = Notes::default();
    let found: Option<Vec<_>> = all
        .iter()
        .map(|b| find_codes(b, None, rules, "", &mut aside))
        .collect();
    let (Some(found), Some(mixing)) = (found, &rules.mixing) else {
        return vec![LawReason {
            text: "No rules were named. Ask your waste authority before you mix two wastes: in most places a mixture counts as the more regulated part, and thinning never helps.".to_owned(),
            authority: None,
        }];
    };
    notes.cite(reference(&mixing.rule.source).map_or("house_rule", |r| r.key.as_str()));
    let mut out = vec![LawReason {
        text: mixing.text.clone(),
        authority: Some(mixing.rule),
    }];
    let harmless = found
        .iter()
        .filter(|f| f.hazardous() == Hazardous::NotIndicated)
        .count();
    if harmless > 0 && harmless < found.len() {
        let text = if found.len() == 2 {
            "One of them points to hazardous waste and the other does not"
        } else {
            "Some of them point to hazardous waste and others do not"
        };
        out.push(LawReason {
            text: format!("{text}: mixed, all of it counts, by its whole mass."),
            authority: Some(mixing.rule),
        });
    }
    let mut codes: Vec<&str> = found
        .iter()
        .flat_map(|f| &f.codes)
        .map(|c| c.code.as_str())
        .collect();
    codes.sort_unstable();
    codes.dedup();
    if !codes.is_empty() {
        out.push(LawReason {
            text: format!(
                "The mixture would have to answer for every code of {}, known or to be tested: {}.",
                if all.len() == 2 { "both" } else { "them" },
                codes.join(", ")
            ),
            authority: Some(mixing.rule),
        });
    }
    out.extend(rules.never.iter().map(|n| LawReason {
        text: n.text.clone(),
        authority: Some(n.rule),
    }));
    out
}

/// Silver nitrate in g/L and litres, where both are stated; nothing where no silver nitrate is stated.
fn strength(batch: &Batch) -> Option<(f64, f64)> {
    let volume = batch.volume_l.as_ref()?.as_f64();
    let part = batch
        .composition
        .iter()
        .find(|c| c.substance.as_str() == "silver_nitrate");
    let c = match part {
        Some(part) => component_g_per_l(batch, part)?,
        None if bears_silver(batch) => return None,
        None => 0.0,
    };
    Some((c, volume))
}

/// What becomes of the silver of all of them together.
fn silver_of(all: &[&Batch], contents: &[Contents], notes: &mut Notes) -> Vec<String> {
    let mut out: Vec<String> = Vec::new();
    for (i, from) in all.iter().enumerate() {
        for into in all.iter().skip(i.saturating_add(1)) {
            for (effect, source) in silver_effects(from.kind, into.kind) {
                if let Some(r) = reference(source) {
                    notes.cite(&r.key);
                }
                if !out.iter().any(|o| o == effect) {
                    out.push(effect.to_owned());
                }
            }
        }
    }
    let with_cadmium = contents.iter().filter(|c| c.holds(Group::Cadmium)).count();
    if with_cadmium > 0 && with_cadmium < contents.len() {
        out.push("Cadmium spreads to all of it: the whole jug may become a cadmium waste, and refiners refuse or surcharge it.".to_owned());
    }
    if let Some(known) = all.iter().map(|b| strength(b)).collect::<Option<Vec<_>>>() {
        let strongest = known.iter().map(|(c, _)| *c).fold(0.0, f64::max);
        let mixed = known.iter().map(|(c, v)| c * v).sum::<f64>()
            / known.iter().map(|(_, v)| v).sum::<f64>();
        if mixed.is_finite() && mixed < strongest {
            out.push(format!(
                "Strength falls: {strongest:.0} g/L of silver nitrate becomes about {mixed:.0} g/L in all of it (volumes added).",
            ));
        }
    }
    if out.is_empty() {
        let with_silver = all.iter().filter(|b| bears_silver(b)).count();
        let first = all.first().map(|b| b.kind);
        let one_kind = all.iter().all(|b| Some(b.kind) == first);
        let (two, every) = (all.len() == 2, with_silver == all.len());
        out.push(
            match (with_silver, every && one_kind) {
                (0, _) if two => "Neither points to silver.",
                (0, _) => "None of them points to silver.",
                (_, true) if two => "Both are of one kind: the same way of recovery serves both.",
                (_, true) => "All are of one kind: the same way of recovery serves all.",
                _ => "Silver is thinned or mixed: one way of recovery must then serve all of it.",
            }
            .to_owned(),
        );
    }
    out
}
