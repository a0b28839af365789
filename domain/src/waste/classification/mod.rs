//! What a batch is in law: codes with their reasons, what must be tested, the site's category, the
//! clock, duties and papers. Nothing unknown is taken for the better.

mod category;
mod codes;
mod hazard;
mod hazard_class;
mod ignitable;
mod list;
mod mixture;
mod paperwork;
mod result;
mod silver;

pub use result::{
    Classification, ClassificationRequest, CleanFinding, DischargeLimitFinding, Figure,
    GeneratorCategory, HazardCode, Hazardous, InspectionDuty, LegalDuty, ListCandidate,
    LocalLimitFinding, LocalSilverLimit, LocalVerdict, MaterialFinding, Premises, Property,
    Standing, ToTest, TreatmentFinding, TreatmentVerdict, WasteListFinding, WasteStanding,
};

pub(crate) use codes::{Findings, find_codes};
pub(crate) use hazard::{Part, parts_of};
pub(crate) use ignitable::{FLAMMABLE_LIQUID, alcohol_percent};

use super::contents::{Certainty, Contents, holds_silver, implied_groups};
use super::rule_set::RuleSet;
use super::storage::{ContainerFinding, StorageDanger, container_findings_of, danger_of};
use crate::answer::{Answer, Method, Notes, Severity};
use crate::batch::{Batch, BatchKind, BatchStatus};
use crate::estimate::{Estimate, estimate_batch};
use crate::fault::{Fault, FaultKind, Faults};
use crate::quantity::{Date, Kilograms, Kilometres};
use codes::codes_of;
use std::sync::Arc;

/// A total in a solid against a limit on its extract.
pub const TOTALS_SCREEN: Method = Method {
    name: "totals screen",
    formula: "greatest possible extract in mg/L = total in mg/kg / 20; below the limit the leaching test need not be run, at or above it nothing is shown",
    source: "epa_method_1311",
};

/// A liquid with hardly any solids is its own extract.
pub const LIQUID_IS_EXTRACT: Method = Method {
    name: "liquid as its own extract",
    formula: "a liquid with less than 0.5 % filterable solids: its filtered concentration in mg/L is compared with the limit; equal counts as over",
    source: "cfr40_261_24",
};

/// Hazard properties from the shares of substances.
pub const HAZARD_BY_CALCULATION: Method = Method {
    name: "hazard properties by calculation",
    formula: "per property: the sum of weight x share in % by mass over the substances with the named hazards, each left out below its cut-off, against the limit; equal counts as over; M-factors are not used; where HP 8 is found HP 4 is not asked",
    source: "wfd_annex_iii",
};

/// Category from the month's mass.
pub const MONTHLY_MASS: Method = Method {
    name: "generator category",
    formula: "kilograms of hazardous and of acute waste that arise on one site in one calendar month, against the table; mass, not volume, and what arises, not what is shipped",
    source: "cfr40_262_13",
};

/// The site and the day: what a classification needs besides the batch.
#[derive(Debug, Clone, PartialEq)]
pub struct Site {
    /// The rules that apply.
    pub rules: &'static RuleSet,
    /// Today.
    pub on: Date,
    /// What kind of place it is.
    pub premises: Option<Premises>,
    /// Other hazardous waste that arises on the site in the month; unknown is not zero.
    pub other_hazardous_waste_kg: Option<Kilograms>,
    /// Other acute hazardous waste that arises on the site in the month; unknown is not zero.
    pub other_acute_waste_kg: Option<Kilograms>,
    /// How far the waste must travel.
    pub haul_distance_km: Option<Kilometres>,
    /// A silver limit of the place.
    pub local_silver_limit: Option<LocalSilverLimit>,
    /// What each container of the site adds to its month, where they are classified together;
    /// empty: the batch at hand is the only one known.
    pub shares: Arc<[MonthlyShare]>,
}

impl Site {
    /// A site of which nothing is known but the rules and the day.
    #[must_use]
    pub fn of_nobody(rules: &'static RuleSet, on: Date) -> Self {
        Self {
            rules,
            on,
            premises: None,
            other_hazardous_waste_kg: None,
            other_acute_waste_kg: None,
            haul_distance_km: None,
            local_silver_limit: None,
            shares: Arc::default(),
        }
    }
}

/// Answers `POST /v1/waste-classifications`: what a batch is under a rule set.
///
/// Silver exactly at 5.0 mg/L is at the limit and counts as over (40 CFR 261.24); a figure below it
/// counts only when a laboratory assay gave it. Masses are kilograms in a calendar month.
///
/// # Errors
/// Every fault found in the batch and its evidence; a date later than `on`.
///
/// ```
/// use spent_silver_domain::waste::classification::{ClassificationRequest, classify_waste};
/// let request: ClassificationRequest = serde_json::from_str(r#"{"batch": {"id": "jug", "kind": "fixer",
///   "craft": "film_and_paper", "status": "spent", "waste_since": "2026-11-02", "volume_l": "5",
///   "density_g_per_ml": "1.09", "evidence": [{"laboratory_assay": {"silver_mg_per_l": "5000"}}]},
///   "on": "2026-11-25", "other_hazardous_waste_kg": "0", "other_acute_waste_kg": "0",
///   "rule_set": "us-federal"}"#).unwrap();
/// let answer = classify_waste(&request).unwrap();
/// assert_eq!(answer.result.codes[0].code, "D011");
/// // 5 L at 1.09 kg/L: 5.45 kg in the month, far below 100 kg.
/// assert_eq!(answer.result.category.id.as_deref(), Some("very_small"));
/// ```
pub fn classify_waste(request: &ClassificationRequest) -> Result<Answer<Classification>, Faults> {
    let mut notes = Notes::new();
    let site = request.site();
    let estimate = if request.batch.evidence.is_empty() {
        None
    } else {
        Some(notes.as_a_whole(|notes| estimate_batch(&request.batch, "/batch", notes))?)
    };
    let result = classify_batch(
        &request.batch,
        estimate.as_ref(),
        &site,
        "/batch",
        &mut notes,
    )?;
    Ok(notes.answer(result, request.rule_set.map(|r| r.rules())))
}

/// Classifies one batch; `at` is the batch's own place in the request, for faults. The estimate is
/// the one made from the batch's evidence, where there is any.
///
/// # Errors
/// Faults of the batch, and a date later than the site's `on`.
pub fn classify_batch(
    batch: &Batch,
    estimate: Option<&Estimate>,
    site: &Site,
    at: &str,
    notes: &mut Notes,
) -> Result<Classification, Faults> {
    let contents = implied_groups(batch);
    let examined = Examined::new(batch, &contents, estimate, site, at, notes.aside(""));
    classify_examined(batch, estimate, examined, site, at, notes)
}

/// What a batch is by itself, before the month of its site is known.
pub(crate) struct Examined<'a> {
    contents: &'a Contents,
    /// Why keeping it is a danger.
    pub danger: Option<StorageDanger>,
    /// None under a rule set that sets no limit at all.
    findings: Option<Findings>,
    mass_kg: Result<Option<f64>, Faults>,
    /// What was noted for the findings, and for the mass.
    notes: [Notes; 2],
}

impl<'a> Examined<'a> {
    /// Finds the codes of a batch and its mass; what there is to note goes into copies of `aside`.
    pub(crate) fn new(
        batch: &Batch,
        contents: &'a Contents,
        estimate: Option<&Estimate>,
        site: &Site,
        at: &str,
        aside: Notes,
    ) -> Self {
        let [mut for_findings, mut for_mass] = [aside.clone(), aside];
        Self {
            findings: codes_of(batch, contents, estimate, site.rules, at, &mut for_findings),
            mass_kg: category::batch_mass_kg(batch, at, &mut for_mass),
            contents,
            danger: danger_of(batch, contents),
            notes: [for_findings, for_mass],
        }
    }

    /// Whether the batch must be taken to hold silver.
    pub(crate) fn bears_silver(&self, batch: &Batch) -> bool {
        holds_silver(batch, self.contents)
    }

    /// What the batch adds to the month in which it became waste.
    pub(crate) fn share(&self, batch: &Batch, site: &Site) -> MonthlyShare {
        let mass_kg = self.mass_kg.as_ref().ok().copied().flatten();
        let standing = standing_of(batch).is;
        category::share_of(batch, self.findings.as_ref(), mass_kg, site, standing)
    }
}

/// Classifies a batch that was examined, as [`classify_batch`] does.
///
/// # Errors
/// Faults of the batch, and a date later than the site's `on`.
pub(crate) fn classify_examined(
    batch: &Batch,
    estimate: Option<&Estimate>,
    examined: Examined<'_>,
    site: &Site,
    at: &str,
    notes: &mut Notes,
) -> Result<Classification, Faults> {
    let mut faults = batch.faults(at);
    for (date, field) in [
        (batch.waste_since, "waste_since"),
        (batch.limit_exceeded_on, "limit_exceeded_on"),
    ] {
        if let Some(date) = date.filter(|d| *d > site.on) {
            faults.push(Fault::new(
                FaultKind::DateOrder,
                format!("{at}/{field}"),
                format!("{date} is after {}: expected a day up to today", site.on),
            ));
        }
    }
    Faults::none_of(faults)?;
    let Examined {
        contents,
        danger,
        findings,
        mass_kg,
        notes: [for_findings, for_mass],
    } = examined;
    if let Some(danger) = danger {
        notes.warn("", Severity::Danger, danger.warning());
    }
    let standing = standing_of(batch);
    notes.take_in(for_findings);
    let Some(findings) = findings else {
        return Ok(ask_everything((batch, contents), site, standing, notes));
    };
    let material = list::material(batch, standing.is, site.rules);
    let hazardous = findings.hazardous();
    notes.take_in(for_mass);
    let mass_kg = mass_kg?;
    let category = category::site_category(batch, &findings, hazardous, mass_kg, site, standing.is);
    let clocks = category::clocks(batch, &findings, &category, site, standing.is, notes);
    let paperwork = paperwork::gather(
        (batch, contents),
        &findings,
        hazardous,
        &category,
        site,
        standing.is,
    );
    for code in &findings.codes {
        notes.cite(source_key(&code.authority.source));
    }
    let treatments = list::treatments(batch, site, &findings, hazardous);
    let mut unknowns = findings.to_test;
    unknowns.extend(findings.to_ask);
    unknowns.extend(clocks.missing);
    unknowns.extend(category.needs.iter().cloned());
    Ok(Classification {
        local_limit: silver::local_limit(batch, estimate, site),
        treatments,
        discharge_limits: silver::discharge_limits(batch, estimate, site),
        container_findings: container(batch, contents, notes),
        waste_list: findings.list,
        material,
        standing,
        hazardous,
        codes: findings.codes,
        clean: findings.clean,
        unknowns,
        category,
        clock: clocks.clock,
        possible_clocks: clocks.possible,
        inspection: paperwork.inspection,
        duties: paperwork.duties,
        papers: paperwork.papers,
        marks: paperwork.marks,
        never: paperwork.never,
        dilution: paperwork.dilution,
        questions: paperwork.questions,
    })
}

/// Among what the mass of a waste is counted.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum CountedAs {
    /// Hazardous waste.
    Hazardous,
    /// Acute hazardous waste.
    Acute,
    /// The residue of an acute one that was spilt.
    AcuteResidue,
}

/// What one batch adds to its site's waste of a calendar month.
#[derive(Debug, Clone, PartialEq)]
pub struct MonthlyShare {
    /// The month, `YYYY-MM`.
    pub month: String,
    /// Among what it counts.
    pub count: CountedAs,
    /// Among what it may count instead, because nobody knows what it is.
    pub may_count: Option<CountedAs>,
    /// Whether it is given up and known or presumed hazardous.
    pub sure: bool,
    /// Whether it may count: given up, or nobody has said, and not shown to be without hazard.
    pub possible: bool,
    /// Its mass, where that is known.
    pub mass_kg: Option<f64>,
}

/// What a batch adds to the month in which it became waste. Containers of one site are counted
/// together through [`Site::shares`]. Faults of the batch are left to its own classification.
#[must_use]
pub fn monthly_share(
    batch: &Batch,
    estimate: Option<&Estimate>,
    site: &Site,
    at: &str,
) -> MonthlyShare {
    let contents = implied_groups(batch);
    Examined::new(batch, &contents, estimate, site, at, Notes::default()).share(batch, site)
}

/// The key as the bibliography holds it, which lives as long as the program.
pub(crate) fn source_key(key: &str) -> &'static str {
    crate::bibliography::reference(key).map_or("own_rule_set", |r| r.key.as_str())
}

/// What is wrong with the container, with its sources cited.
fn container(batch: &Batch, contents: &Contents, notes: &mut Notes) -> Vec<ContainerFinding> {
    let found = container_findings_of(batch, contents);
    for finding in &found {
        notes.cite(finding.source);
    }
    found
}

/// Under a rule set without thresholds nothing is asserted and everything is asked.
fn ask_everything(
    (batch, contents): (&Batch, &Contents),
    site: &Site,
    standing: WasteStanding,
    notes: &mut Notes,
) -> Classification {
    Classification {
        standing,
        hazardous: Hazardous::ToBeAsked,
        codes: Vec::new(),
        clean: Vec::new(),
        unknowns: site
            .rules
            .ask
            .iter()
            .map(|what| ToTest {
                what: what.clone(),
                how: "Ask your waste authority.".to_owned(),
                why: "No rules were named, so nothing is assumed.".to_owned(),
            })
            .collect(),
        category: GeneratorCategory {
            id: None,
            title: "category unknown".to_owned(),
            reason: "No rules were named, so no category can be.".to_owned(),
            month: category::month_of(site.on),
            possible: Vec::new(),
            needs: Vec::new(),
            authority: None,
        },
        clock: None,
        possible_clocks: Vec::new(),
        inspection: None,
        duties: Vec::new(),
        papers: Vec::new(),
        marks: Vec::new(),
        never: vec![
            "Dilution never turns a \"no\" into a \"yes\".".into(),
            "Nothing here is permission to discharge.".into(),
        ],
        dilution: None,
        questions: site
            .rules
            .confirm
            .iter()
            .map(|c| c.as_str().into())
            .collect(),
        local_limit: None,
        waste_list: None,
        material: None,
        treatments: Vec::new(),
        discharge_limits: Vec::new(),
        container_findings: container(batch, contents, notes),
    }
}

/// Whether a batch is waste at all.
#[must_use]
pub fn standing_of(batch: &Batch) -> WasteStanding {
    let always_waste = matches!(
        batch.kind,
        BatchKind::SpillResidue | BatchKind::WipesAndFilters | BatchKind::SpentCartridge
    );
    let (is, text) = match batch.status {
        Some(BatchStatus::InUse) => (
            Standing::AtWork,
            "It is at work: a working bath is not waste. The codes say what it would be on the day it is given up.",
        ),
        Some(BatchStatus::Unused) => (
            Standing::Unused,
            "It was never used: it becomes waste on the day someone decides to throw it away.",
        ),
        Some(BatchStatus::Spent) => (
            Standing::Waste,
            "It is done with: waste, or a material on its way to recovery.",
        ),
        Some(BatchStatus::Treated) => (
            Standing::Waste,
            "It has been treated: what is left is to be tested by a laboratory before anything else is said of it.",
        ),
        None if batch.waste_since.is_some() || always_waste => (
            Standing::Waste,
            "It has been given up: waste, or a material on its way to recovery.",
        ),
        None => (
            Standing::ToBeAsked,
            "Nobody has said whether it is still at work: state its status. Until then it is looked at as waste.",
        ),
    };
    WasteStanding {
        is,
        text: text.to_owned(),
    }
}

impl HazardCode {
    /// The code, with how sure it is where it is not known.
    #[must_use]
    pub fn with_certainty(&self) -> String {
        match self.certainty {
            Certainty::Known => self.code.clone(),
            Certainty::Presumed => format!("{} (presumed)", self.code),
            Certainty::ToBeTested => format!("{} (to be tested)", self.code),
        }
    }
}

impl Certainty {
    /// How sure a code is, as a person reads it.
    #[must_use]
    pub const fn words(self) -> &'static str {
        match self {
            Self::Known => "known",
            Self::Presumed => "presumed until shown otherwise",
            Self::ToBeTested => "to be tested",
        }
    }
}
