//! The pour rules, the acts that are blocked, and what mixing does to the silver, read from data.

use crate::batch::BatchKind;
use crate::quantity::{GramsPerLitre, Ph};
use crate::substance::Group;
use crate::waste::contents::{Contents, bit};
use serde::{Deserialize, Serialize};
use std::sync::LazyLock;

/// What is known of putting two things together, least grave first.
#[derive(
    Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, Serialize, Deserialize, Default,
)]
#[cfg_attr(feature = "openapi", derive(utoipa::ToSchema))]
#[serde(rename_all = "snake_case")]
pub enum PourVerdict {
    /// Nothing is known against it. This is not a permission.
    #[default]
    NoObjectionKnown,
    /// It is done, with care.
    Caution,
    /// A substance is unknown to us: not known to be safe.
    NotKnownToBeSafe,
    /// Never.
    Blocked,
}

/// How far two things are kept from each other.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
pub enum Apart {
    /// No distance is asked for.
    Nothing,
    /// No shared tray or sink.
    TrayAndSink,
    /// No shared tray, sink, bund, cupboard, towel or vehicle.
    Everywhere,
}

/// Something a person may do with a liquid besides pouring.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
pub enum Act {
    /// Keep it overnight or longer.
    Keep,
    /// Dry it.
    Dry,
    /// Heat, boil or evaporate it.
    Heat,
    /// Shut it up tight.
    Seal,
    /// Pass a current through it.
    Electrolyse,
    /// Recover silver from it here.
    Recover,
    /// Titrate it.
    Titrate,
    /// Neutralize it.
    Neutralize,
}

impl Act {
    /// The act as a person says it.
    #[must_use]
    pub const fn words(self) -> &'static str {
        match self {
            Self::Keep => "keep it",
            Self::Dry => "dry it",
            Self::Heat => "heat or boil it",
            Self::Seal => "shut it tight",
            Self::Electrolyse => "pass a current through it",
            Self::Recover => "recover silver from it here",
            Self::Titrate => "titrate it",
            Self::Neutralize => "neutralize it",
        }
    }
}

/// One pour rule.
#[derive(Debug, Clone, PartialEq, Eq, Deserialize)]
#[serde(deny_unknown_fields)]
pub(crate) struct Rule {
    pub id: String,
    pub verdict: PourVerdict,
    #[serde(default)]
    a: Vec<Group>,
    #[serde(default)]
    b: Vec<Group>,
    #[serde(default)]
    sets: Vec<Vec<Group>>,
    pub happens: String,
    #[serde(default)]
    pub instead: Option<String>,
    pub apart: Apart,
    pub source: String,
}

/// One rule about an act.
#[derive(Debug, Clone, PartialEq, Eq, Deserialize)]
#[serde(deny_unknown_fields)]
pub(crate) struct ActRule {
    pub id: String,
    pub acts: Vec<Act>,
    sets: Vec<Vec<Group>>,
    #[serde(default)]
    unless: Vec<Group>,
    pub happens: String,
    pub never: Vec<String>,
    pub instead: Vec<String>,
    pub source: String,
}

impl ActRule {
    /// Whether the rule is about this act, the liquid holds every group of one of its sets, and
    /// none of those that lift the rule.
    pub fn holds(&self, act: Act, contents: &Contents) -> bool {
        self.acts.contains(&act)
            && !self.unless.iter().any(|g| contents.holds(*g))
            && self
                .sets
                .iter()
                .any(|set| set.iter().all(|g| contents.holds(*g)))
    }
}

#[derive(Debug, Clone, PartialEq, Eq, Deserialize)]
#[serde(deny_unknown_fields)]
struct SilverRule {
    a: Vec<BatchKind>,
    b: Vec<BatchKind>,
    effect: String,
    source: String,
}

/// Up to where acid in a working bath counts as dilute.
#[derive(Debug, Clone, PartialEq, Eq, Deserialize)]
#[serde(deny_unknown_fields)]
pub(crate) struct WorkingBath {
    #[serde(deserialize_with = "crate::data::exact")]
    pub acid_most_g_per_l: GramsPerLitre,
    #[serde(deserialize_with = "crate::data::exact")]
    pub alcohol_and_ether_most_g_per_l: GramsPerLitre,
    pub source: String,
}

/// Below how much in its liquid an oxidizer sets nothing on fire, and what burns does not catch it.
#[derive(Debug, Clone, PartialEq, Eq, Deserialize)]
#[serde(deny_unknown_fields)]
pub(crate) struct DiluteMarks {
    #[serde(deserialize_with = "crate::data::exact")]
    pub oxidizer_below_g_per_l: GramsPerLitre,
    #[serde(deserialize_with = "crate::data::exact")]
    pub peroxide_below_g_per_l: GramsPerLitre,
    #[serde(deserialize_with = "crate::data::exact")]
    pub nitrate_below_g_per_l: GramsPerLitre,
    #[serde(deserialize_with = "crate::data::exact")]
    pub fuel_below_g_per_l: GramsPerLitre,
    pub source: String,
}

/// What a reading of pH says of a liquid, whatever was stated of it.
#[derive(Debug, Clone, PartialEq, Eq, Deserialize)]
#[serde(deny_unknown_fields)]
pub(crate) struct PhMarks {
    /// An interval that reaches below this is an acid's.
    #[serde(deserialize_with = "crate::data::exact")]
    pub acid_below: Ph,
    /// A fixer is acid in itself: only below this it holds more.
    #[serde(deserialize_with = "crate::data::exact")]
    pub fixer_acid_below: Ph,
    /// From here it is lye.
    #[serde(deserialize_with = "crate::data::exact")]
    pub lye_from: Ph,
    /// Below this cyanide leaves as gas.
    #[serde(deserialize_with = "crate::data::exact")]
    pub cyanide_goes_below: Ph,
    /// From here on silver stays dissolved only with ammonia.
    #[serde(deserialize_with = "crate::data::exact")]
    pub silver_alone_below: Ph,
    pub source: String,
}

#[derive(Debug, Deserialize)]
#[serde(deny_unknown_fields)]
struct File {
    call: Vec<String>,
    working_bath: WorkingBath,
    dilute: DiluteMarks,
    ph: PhMarks,
    rule: Vec<Rule>,
    act: Vec<ActRule>,
    silver: Vec<SilverRule>,
}

static FILE: LazyLock<File> =
    LazyLock::new(|| crate::data::parse(include_str!("../../../data/pour_rules.toml")));

/// Every rule once per pair, for a look-up that does not walk the file.
static PAIRS: LazyLock<Vec<Vec<&'static Rule>>> = LazyLock::new(|| {
    let mut pairs = vec![Vec::new(); Group::ALL.len().pow(2)];
    let mut put = |a: Group, b: Group, rule: &'static Rule| {
        for (x, y) in [(a, b), (b, a)] {
            if let Some(cell) = cell(x, y).and_then(|i| pairs.get_mut(i))
                && !cell.iter().any(|r: &&Rule| r.id == rule.id)
            {
                cell.push(rule);
            }
        }
    };
    for rule in &FILE.rule {
        for a in &rule.a {
            for b in &rule.b {
                put(*a, *b, rule);
            }
        }
        for set in &rule.sets {
            if let [a, b] = set.as_slice() {
                put(*a, *b, rule);
            }
        }
    }
    pairs
});

static TRIPLES: LazyLock<Vec<(&'static [Group], &'static Rule)>> = LazyLock::new(|| {
    FILE.rule
        .iter()
        .flat_map(|rule| rule.sets.iter().map(move |set| (set.as_slice(), rule)))
        .filter(|(set, _)| set.len() > 2)
        .collect()
});

/// Of each group, the groups that a rule about the two blocks, a bit for each.
static BLOCKED: LazyLock<Vec<u64>> = LazyLock::new(|| {
    let blocked = |a: Group, b: Group| {
        rules_for(a, b)
            .iter()
            .any(|rule| rule.verdict == PourVerdict::Blocked)
    };
    Group::ALL
        .iter()
        .map(|a| bits(Group::ALL.iter().filter(|b| blocked(*a, **b))))
        .collect()
});

/// A bit for each group.
fn bits<'a>(groups: impl IntoIterator<Item = &'a Group>) -> u64 {
    groups.into_iter().fold(0, |bits, group| bits | bit(*group))
}

/// Whether two sides together have all of a set and each brings a part.
fn completes(set: &[Group], one: u64, other: u64) -> bool {
    let set = bits(set);
    set & !(one | other) == 0 && set & one != 0 && set & other != 0
}

fn cell(a: Group, b: Group) -> Option<usize> {
    (a as usize)
        .checked_mul(Group::ALL.len())?
        .checked_add(b as usize)
}

/// The threshold up to which acid in a working bath is dilute.
pub(crate) fn working_bath() -> &'static WorkingBath {
    &FILE.working_bath
}

/// Below how much an oxidizer and what burns are dilute.
pub(crate) fn dilute_marks() -> &'static DiluteMarks {
    &FILE.dilute
}

/// What a reading of pH says.
pub(crate) fn ph_marks() -> &'static PhMarks {
    &FILE.ph
}

/// Who to call.
pub(crate) fn call() -> Vec<String> {
    FILE.call.clone()
}

/// Every rule about acts.
pub(crate) fn act_rules() -> &'static [ActRule] {
    &FILE.act
}

/// The rules that name a pair of groups.
pub(super) fn rules_for(a: Group, b: Group) -> &'static [&'static Rule] {
    cell(a, b)
        .and_then(|i| PAIRS.get(i))
        .map_or(&[], Vec::as_slice)
}

/// One rule that holds between two liquids, with the groups that bring it about.
pub(super) struct Hit {
    pub rule: &'static Rule,
    pub between: Vec<Group>,
}

/// Every rule no milder than `least` that holds when groups of `from` meet groups of `into`.
///
/// A pair holds across the two sides. A set of three holds when together they have all of it and
/// each side brings a part.
pub(super) fn hits(from: &[Group], into: &[Group], least: PourVerdict) -> Vec<Hit> {
    let mut out: Vec<Hit> = Vec::new();
    let mut put = |rule: &'static Rule, between: &[Group]| {
        if rule.verdict >= least && !out.iter().any(|h| std::ptr::eq(h.rule, rule)) {
            out.push(Hit {
                rule,
                between: between.to_vec(),
            });
        }
    };
    for a in from {
        for b in into {
            for rule in rules_for(*a, *b) {
                put(rule, &[*a, *b]);
            }
        }
    }
    let (one, other) = (bits(from), bits(into));
    for (set, rule) in TRIPLES.iter() {
        if completes(set, one, other) {
            put(rule, set);
        }
    }
    out
}

/// The gravest verdict when these groups meet those. A pair that no rule names is not known to be
/// safe; a test holds that there is none.
///
/// ```
/// use spent_silver_domain::substance::Group;
/// use spent_silver_domain::waste::pour::{PourVerdict, verdict_of};
/// // Stop bath into a cyanide fixer: hydrogen cyanide.
/// assert_eq!(verdict_of(&[Group::Acid], &[Group::Cyanide]), PourVerdict::Blocked);
/// // Salt water into a bath: silver chloride falls out, nothing else.
/// assert_eq!(verdict_of(&[Group::Chloride], &[Group::Silver]), PourVerdict::NoObjectionKnown);
/// ```
#[must_use]
pub fn verdict_of(from: &[Group], into: &[Group]) -> PourVerdict {
    let unnamed = from
        .iter()
        .any(|a| into.iter().any(|b| rules_for(*a, *b).is_empty()));
    let gravest = hits(from, into, PourVerdict::default())
        .iter()
        .map(|h| h.rule.verdict)
        .max()
        .unwrap_or_default();
    if unnamed {
        gravest.max(PourVerdict::NotKnownToBeSafe)
    } else {
        gravest
    }
}

/// Why two contents must not meet.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Objection {
    /// What would happen.
    pub happens: &'static str,
    /// Key in the bibliography.
    pub source: &'static str,
    /// Whether even one cupboard or vehicle is too close.
    pub apart_everywhere: bool,
}

/// The objection to bringing these groups together, where a rule blocks it; the one that asks for
/// the most distance, so that a reader of many pairs sees the worst.
#[must_use]
pub fn objection(a: &[Group], b: &[Group]) -> Option<Objection> {
    let blocked = |rule: &&'static Rule| rule.verdict == PourVerdict::Blocked;
    let (one, other) = (bits(a), bits(b));
    let pairs = a
        .iter()
        .filter(|x| {
            let with = BLOCKED.get(**x as usize).copied().unwrap_or_default();
            with & other != 0
        })
        .flat_map(|x| b.iter().flat_map(|y| rules_for(*x, *y).iter().copied()))
        .filter(blocked);
    let sets = TRIPLES
        .iter()
        .filter(|(set, _)| completes(set, one, other))
        .map(|(_, rule)| *rule)
        .filter(blocked);
    let mut worst: Option<&'static Rule> = None;
    for rule in pairs.chain(sets) {
        if worst.is_none_or(|w| w.apart != Apart::Everywhere && rule.apart == Apart::Everywhere) {
            worst = Some(rule);
        }
    }
    worst.map(|rule| Objection {
        happens: &rule.happens,
        source: &rule.source,
        apart_everywhere: rule.apart == Apart::Everywhere,
    })
}

/// What mixing these kinds does to the silver, with the source.
pub(crate) fn silver_effects(
    a: BatchKind,
    b: BatchKind,
) -> impl Iterator<Item = (&'static str, &'static str)> {
    FILE.silver
        .iter()
        .filter(move |r| {
            (r.a.contains(&a) && r.b.contains(&b)) || (r.a.contains(&b) && r.b.contains(&a))
        })
        .map(|r| (r.effect.as_str(), r.source.as_str()))
}

/// Every bibliography key that the file uses.
#[must_use]
pub fn sources() -> Vec<&'static str> {
    let rules = FILE.rule.iter().map(|r| r.source.as_str());
    let acts = FILE.act.iter().map(|r| r.source.as_str());
    let silver = FILE.silver.iter().map(|r| r.source.as_str());
    rules
        .chain(acts)
        .chain(silver)
        .chain([
            FILE.working_bath.source.as_str(),
            FILE.dilute.source.as_str(),
            FILE.ph.source.as_str(),
        ])
        .collect()
}
