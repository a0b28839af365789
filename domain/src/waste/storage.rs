//! How long a batch may be kept, and when keeping it is itself a danger.

use super::contents::{Contents, implied_groups};
use super::pour::{Act, act_rules};
use crate::batch::{Batch, VesselMaterial};
use crate::bibliography::SourceStatus;
use crate::quantity::{Date, Percent};
use crate::substance::Group;
use serde::{Deserialize, Serialize};
use std::sync::LazyLock;

/// The day by which a batch must have left, and the rule that sets it.
#[derive(Debug, Clone, PartialEq, Eq, Serialize)]
#[cfg_attr(feature = "openapi", derive(utoipa::ToSchema))]
pub struct StorageClock {
    /// The day the clock started.
    pub starts_on: Date,
    /// Days allowed.
    pub limit_day_count: i64,
    /// The latest day.
    pub due_on: Date,
    /// The rule, with its clause.
    pub rule: String,
    /// Name of the rule in its rule set.
    pub rule_id: String,
    /// Clause of the text.
    pub clause: String,
    /// How well the rule was verified.
    pub status: SourceStatus,
    /// Key in the bibliography.
    pub source: String,
}

/// Keeping this batch is dangerous: what to do today. Economics are not consulted.
#[derive(Debug, Clone, PartialEq, Eq, Serialize)]
#[cfg_attr(feature = "openapi", derive(utoipa::ToSchema))]
pub struct StorageDanger {
    /// Why it cannot wait.
    pub reason: String,
    /// What to do today.
    pub act: Vec<String>,
    /// What never to do.
    pub never: Vec<String>,
    /// Keys in the bibliography.
    pub sources: Vec<String>,
}

impl StorageDanger {
    /// The warning that goes wherever this batch is spoken of, in the same words everywhere.
    #[must_use]
    pub fn warning(&self) -> String {
        format!("Keeping this is itself a danger. {}", self.reason)
    }
}

/// Whether storage of this batch is itself a danger, and what to do today.
///
/// Ammoniacal silver, explosive silver salts, strong acid with alcohol or ether, and acid with
/// alcohol or ether in a container that cannot vent. What matters is what the container holds;
/// whether it is still at work or has some worth is not asked.
#[must_use]
pub fn storage_danger(batch: &Batch) -> Option<StorageDanger> {
    danger_of(batch, &implied_groups(batch))
}

/// The same of a batch whose contents are known already.
pub(crate) fn danger_of(batch: &Batch, contents: &Contents) -> Option<StorageDanger> {
    let shut = batch
        .container
        .as_ref()
        .is_some_and(|c| c.vented == Some(false));
    let mut danger: Option<StorageDanger> = None;
    for rule in act_rules() {
        let kept = rule.holds(Act::Keep, contents);
        let sealed = shut && rule.holds(Act::Seal, contents);
        if !kept && !sealed {
            continue;
        }
        let danger = danger.get_or_insert_with(|| StorageDanger {
            reason: String::new(),
            act: Vec::new(),
            never: Vec::new(),
            sources: Vec::new(),
        });
        if !danger.reason.is_empty() {
            danger.reason.push(' ');
        }
        danger.reason.push_str(&rule.happens);
        danger.act.extend(rule.instead.iter().cloned());
        danger.never.extend(rule.never.iter().cloned());
        if !danger.sources.contains(&rule.source) {
            danger.sources.push(rule.source.clone());
        }
    }
    danger
}

/// Whether it makes gas as it stands, so that it must not be shut tight.
pub(crate) fn must_vent(batch: &Batch) -> bool {
    makes_gas(&implied_groups(batch))
}

fn makes_gas(contents: &Contents) -> bool {
    act_rules().iter().any(|r| r.holds(Act::Seal, contents))
}

/// Something about a container that is not as it should be.
#[derive(Debug, Clone, PartialEq, Eq, Serialize)]
#[cfg_attr(feature = "openapi", derive(utoipa::ToSchema))]
pub struct ContainerFinding {
    /// Name of the check.
    pub check: &'static str,
    /// What is wrong.
    pub happens: String,
    /// What to do.
    pub instead: String,
    /// Bibliography key.
    pub source: &'static str,
    /// Whether a label says it: what its other words do not say already.
    #[serde(skip)]
    pub on_label: bool,
}

#[derive(Debug, Deserialize)]
#[serde(deny_unknown_fields)]
struct HeadSpaceRule {
    #[serde(deserialize_with = "crate::data::exact")]
    fill_most_percent: Percent,
    happens: String,
    instead: String,
    source: String,
}

#[derive(Debug, Deserialize)]
#[serde(deny_unknown_fields)]
struct ContainerRule {
    happens: String,
    instead: String,
    source: String,
}

#[derive(Debug, Deserialize)]
#[serde(deny_unknown_fields)]
struct Unfit {
    materials: Vec<VesselMaterial>,
    groups: Vec<Group>,
    happens: String,
    instead: String,
    source: String,
}

#[derive(Debug, Deserialize)]
#[serde(deny_unknown_fields)]
struct ContainerRules {
    cyanide_instead: String,
    head_space: HeadSpaceRule,
    vent: ContainerRule,
    old_label: ContainerRule,
    bund: ContainerRule,
    unfit: Vec<Unfit>,
}

static CONTAINER_RULES: LazyLock<ContainerRules> =
    LazyLock::new(|| crate::data::parse(include_str!("../../data/container_rules.toml")));

/// What is wrong with a batch's container: no head space, a material that its contents attack, gas
/// without a vent that is known, an old label, no second vessel. What was not stated is not judged,
/// but for the vent where gas can form.
///
/// What must not be kept has none: nobody is to open or refill it, and [`storage_danger`] says what to
/// do. A bottle that must not be shut has its own all the same. Cyanide is never to be opened or poured
/// over for the sake of its container.
#[must_use]
pub fn container_findings(batch: &Batch) -> Vec<ContainerFinding> {
    container_findings_of(batch, &implied_groups(batch))
}

/// The same of a batch whose contents are known already.
pub(crate) fn container_findings_of(batch: &Batch, contents: &Contents) -> Vec<ContainerFinding> {
    let Some(vessel) = &batch.container else {
        return Vec::new();
    };
    if act_rules().iter().any(|r| r.holds(Act::Keep, contents)) {
        return Vec::new();
    }
    let cyanide = batch.counts_as_cyanide();
    let rules = &*CONTAINER_RULES;
    let mut out = Vec::new();
    let mut put = |check, happens: String, instead: &str, source: &'static str| {
        out.push(ContainerFinding {
            check,
            happens,
            instead: if cyanide
                && matches!(
                    check,
                    "container_head_space" | "container_material" | "container_vent"
                ) {
                rules.cyanide_instead.clone()
            } else {
                instead.to_owned()
            },
            source,
            // Every label says that it stands in a tray.
            on_label: check != "container_bund",
        });
    };
    let measured = vessel
        .capacity_l
        .zip(batch.volume_l.as_ref())
        .map(|(c, v)| v.as_f64() / c.as_f64() * 100.0);
    let fill = vessel.fill_percent.map(|f| f.as_f64()).or(measured);
    let head = &rules.head_space;
    if batch.kind.is_liquid() && fill.is_some_and(|f| f > head.fill_most_percent.as_f64()) {
        put(
            "container_head_space",
            head.happens.clone(),
            &head.instead,
            &head.source,
        );
    }
    if let Some(material) = vessel.material {
        for unfit in rules
            .unfit
            .iter()
            .filter(|u| u.materials.contains(&material))
        {
            if let Some(held) = unfit.groups.iter().find_map(|g| contents.source_of(*g)) {
                let happens = format!(
                    "{} in {}: {}",
                    held.group.words(),
                    material.words(),
                    unfit.happens
                );
                put("container_material", happens, &unfit.instead, &unfit.source);
            }
        }
    }
    if vessel.vented.is_none() && makes_gas(contents) {
        put(
            "container_vent",
            rules.vent.happens.clone(),
            &rules.vent.instead,
            &rules.vent.source,
        );
    }
    if vessel.old_label_removed == Some(false) {
        let rule = &rules.old_label;
        put(
            "container_old_label",
            rule.happens.clone(),
            &rule.instead,
            &rule.source,
        );
    }
    if vessel.secondary_containment == Some(false) {
        put(
            "container_bund",
            rules.bund.happens.clone(),
            &rules.bund.instead,
            &rules.bund.source,
        );
    }
    out
}
