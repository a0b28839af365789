//! The site's category in the month, and the clock that follows from it.

use super::codes::Findings;
use super::result::{GeneratorCategory, Hazardous, Standing, ToTest};
use super::{CountedAs, MONTHLY_MASS, MonthlyShare, Site};
use crate::answer::{Notes, Severity};
use crate::batch::{Batch, BatchKind};
use crate::estimate::{mass_of, volume_of};
use crate::fault::Faults;
use crate::quantity::{Date, Kilograms, Plain};
use crate::statistics::Inputs;
use crate::waste::rule_set::{Authority, CategoryRule, ClockRule, ClockStart, RuleSet};
use crate::waste::storage::StorageClock;

/// Density taken for counting a liquid's mass where none is stated: the upper side, so that the
/// mass is not undercounted.
const HEAVY_LIQUID_G_PER_ML: f64 = 1.1;

/// Mass of the batch for the month's count, kilograms. A volume without a density is taken heavy.
pub(super) fn batch_mass_kg(
    batch: &Batch,
    at: &str,
    notes: &mut Notes,
) -> Result<Option<f64>, Faults> {
    let mut inputs = Inputs::default();
    if let Some(mass) = mass_of(batch, at, &mut inputs, notes)? {
        return Ok(Some(mass.value() / 1000.0));
    }
    let Some(volume) = volume_of(batch, at, &mut inputs, notes)? else {
        return Ok(None);
    };
    notes.assume(
        "/category",
        format!("{at}/density_g_per_ml"),
        "common_practice",
        "Waste is counted by mass. Without a density the liquid is taken at 1.1 kg/L, which is heavy for a bath or fixer (common practice, no source).",
    );
    Ok(Some(volume.value() * HEAVY_LIQUID_G_PER_ML))
}

/// The calendar month of a date, `YYYY-MM`.
pub(super) fn month_of(date: Date) -> String {
    let mut month = date.to_string();
    month.truncate(7);
    month
}

/// Kilograms in a month: what is sure, and what is possible (`None`: unbounded).
struct Range {
    least: f64,
    most: Option<f64>,
}

struct Month {
    hazardous: Range,
    acute: Range,
    acute_residue: Range,
}

impl Month {
    /// What is sure, in words; the residue of an acute spill only where there is some.
    fn at_least(&self) -> String {
        let acute = if self.acute.least > 0.0 {
            format!("{} kg of acute waste", Plain::places(self.acute.least, 3))
        } else {
            "no acute waste".to_owned()
        };
        let hazardous = Plain::places(self.hazardous.least, 2);
        if self.acute_residue.least > 0.0 {
            format!(
                "{hazardous} kg of hazardous waste, {acute} and {} kg of the residue of an acute spill",
                Plain::places(self.acute_residue.least, 2)
            )
        } else {
            format!("{hazardous} kg of hazardous and {acute}")
        }
    }

    /// The most that open questions leave possible, where that is more than what is sure.
    fn in_doubt(&self) -> String {
        let more: Vec<String> = [
            (&self.hazardous, 2, "hazardous"),
            (&self.acute, 3, "acute"),
            (&self.acute_residue, 2, "of the residue of an acute spill"),
        ]
        .into_iter()
        .filter_map(|(range, places, what)| {
            let most = range.most.filter(|most| most - range.least >= 0.005)?;
            Some(format!("{} kg {what}", Plain::places(most, places)))
        })
        .collect();
        if more.is_empty() {
            String::new()
        } else {
            format!(", up to {} while tests are open", more.join(" and "))
        }
    }
}

/// What one batch adds to the month in which it became waste.
pub(super) fn share_of(
    batch: &Batch,
    findings: Option<&Findings>,
    mass_kg: Option<f64>,
    site: &Site,
    standing: Standing,
) -> MonthlyShare {
    let hazardous = findings.map_or(Hazardous::NotIndicated, Findings::hazardous);
    let given_up = !matches!(standing, Standing::AtWork | Standing::Unused);
    let acute = findings.is_some_and(|f| f.codes.iter().any(|c| c.acute));
    let if_acute = if batch.kind == BatchKind::SpillResidue {
        CountedAs::AcuteResidue
    } else {
        CountedAs::Acute
    };
    let may_be_acute = findings.is_some_and(|f| f.may_be_acute);
    MonthlyShare {
        month: month_of(batch.waste_since.unwrap_or(site.on)),
        count: if acute {
            if_acute
        } else {
            CountedAs::Hazardous
        },
        may_count: (may_be_acute && !acute).then_some(if_acute),
        sure: hazardous >= Hazardous::Presumed && standing == Standing::Waste,
        possible: given_up && hazardous != Hazardous::NotIndicated,
        mass_kg,
    }
}

/// The site's month from everything known to arise in it. What only may be hazardous waste counts
/// towards the most and not towards the least.
fn month_of_site(month: &str, shares: &[MonthlyShare], site: &Site) -> Month {
    let range = |others: Option<f64>, count: CountedAs| {
        let mut range = Range {
            least: others.unwrap_or(0.0),
            most: others,
        };
        for share in shares
            .iter()
            .filter(|s| s.month == month && (s.count == count || s.may_count == Some(count)))
        {
            if share.sure && share.count == count {
                range.least += share.mass_kg.unwrap_or(0.0);
            }
            if share.possible {
                range.most = range.most.zip(share.mass_kg).map(|(sum, kg)| sum + kg);
            }
        }
        range
    };
    let other = |kg: Option<Kilograms>| kg.map(|k| k.as_f64());
    Month {
        hazardous: range(other(site.other_hazardous_waste_kg), CountedAs::Hazardous),
        acute: range(other(site.other_acute_waste_kg), CountedAs::Acute),
        acute_residue: range(Some(0.0), CountedAs::AcuteResidue),
    }
}

fn applies(
    rule: &CategoryRule,
    hazardous: Option<f64>,
    acute: Option<f64>,
    residue: Option<f64>,
) -> bool {
    let above = |limit: Option<Kilograms>, kg: Option<f64>| {
        limit.is_some_and(|l| kg.is_none_or(|kg| kg > l.as_f64()))
    };
    let at_or_above = |limit: Option<Kilograms>, kg: Option<f64>| {
        limit.is_some_and(|l| kg.is_none_or(|kg| kg >= l.as_f64()))
    };
    let last = rule.acute_above_kg.is_none()
        && rule.acute_residue_above_kg.is_none()
        && rule.hazardous_above_kg.is_none()
        && rule.hazardous_at_or_above_kg.is_none();
    last || above(rule.acute_above_kg, acute)
        || above(rule.acute_residue_above_kg, residue)
        || above(rule.hazardous_above_kg, hazardous)
        || at_or_above(rule.hazardous_at_or_above_kg, hazardous)
}

fn index_for(
    rules: &RuleSet,
    hazardous: Option<f64>,
    acute: Option<f64>,
    residue: Option<f64>,
) -> Option<usize> {
    rules
        .category
        .iter()
        .position(|c| applies(c, hazardous, acute, residue))
}

/// The category of the site in the month in which the batch became waste. What is unknown leaves
/// it unknown, unless every possibility lands in the same category.
pub(super) fn site_category(
    batch: &Batch,
    findings: &Findings,
    hazardous: Hazardous,
    mass_kg: Option<f64>,
    site: &Site,
    standing: Standing,
) -> GeneratorCategory {
    let own = share_of(batch, Some(findings), mass_kg, site, standing);
    let shares = if site.shares.is_empty() {
        std::slice::from_ref(&own)
    } else {
        &site.shares
    };
    let kg = month_of_site(&own.month, shares, site);
    let month = own.month;
    let rules = site.rules;
    let most = index_for(
        rules,
        kg.hazardous.most,
        kg.acute.most,
        kg.acute_residue.most,
    );
    let least = index_for(
        rules,
        Some(kg.hazardous.least),
        Some(kg.acute.least),
        Some(kg.acute_residue.least),
    );
    let (Some(most), Some(least)) = (most, least) else {
        return unknown(
            month,
            Vec::new(),
            "This rule set names no categories.",
            Vec::new(),
        );
    };
    if let Some(rule) = rules.category.get(most).filter(|_| most == least) {
        return GeneratorCategory {
            id: Some(rule.id.clone()),
            title: rule.title.clone(),
            reason: format!("In {month} at least {}{}.", kg.at_least(), kg.in_doubt()),
            month,
            possible: Vec::new(),
            needs: Vec::new(),
            authority: Some(rule.rule),
        };
    }
    let possible = rules
        .category
        .iter()
        .take(least.saturating_add(1))
        .skip(most)
        .map(|c| c.id.clone())
        .collect();
    unknown(
        month,
        possible,
        "The month's mass is not known well enough. Unknown is never taken for the smallest.",
        needs(batch, mass_kg, site, hazardous),
    )
}

fn unknown(
    month: String,
    possible: Vec<String>,
    reason: &str,
    needs: Vec<ToTest>,
) -> GeneratorCategory {
    GeneratorCategory {
        id: None,
        title: "category unknown".to_owned(),
        reason: reason.to_owned(),
        month,
        possible,
        needs,
        authority: None,
    }
}

fn needs(batch: &Batch, mass_kg: Option<f64>, site: &Site, hazardous: Hazardous) -> Vec<ToTest> {
    let mut out = Vec::new();
    let mut need = |what: &str, how: &str| {
        out.push(ToTest {
            what: what.to_owned(),
            how: how.to_owned(),
            why: "It decides the site's category in the month.".to_owned(),
        });
    };
    if site.other_hazardous_waste_kg.is_none() {
        need(
            "Other hazardous waste of the site in the month",
            "Add up what arose in the calendar month and state other_hazardous_waste_kg; nothing is 0.",
        );
    }
    if site.other_acute_waste_kg.is_none() {
        need(
            "Other acute hazardous waste of the site in the month",
            "Add up what arose in the calendar month and state other_acute_waste_kg; nothing is 0.",
        );
    }
    if mass_kg.is_none() {
        need(
            "The mass of this container",
            "Weigh it full and empty, or state volume and density.",
        );
    }
    if hazardous == Hazardous::ToBeTested {
        need(
            "Whether this container is hazardous waste",
            "The tests listed here.",
        );
    }
    if batch.status.is_none() && batch.waste_since.is_none() {
        need("Whether it is still at work", "State its status.");
    }
    out
}

/// What was found about clocks.
pub(super) struct Clocks {
    pub clock: Option<StorageClock>,
    pub possible: Vec<StorageClock>,
    pub missing: Vec<ToTest>,
}

/// The clock of the known category, or every clock that may be running.
pub(super) fn clocks(
    batch: &Batch,
    findings: &Findings,
    category: &GeneratorCategory,
    site: &Site,
    standing: Standing,
    notes: &mut Notes,
) -> Clocks {
    notes.method("/category", MONTHLY_MASS);
    let mut out = Clocks {
        clock: None,
        possible: Vec::new(),
        missing: Vec::new(),
    };
    if matches!(standing, Standing::AtWork | Standing::Unused)
        || findings.hazardous() == Hazardous::NotIndicated
    {
        return out;
    }
    let acute = findings.codes.iter().any(|c| c.acute);
    let in_force = |c: &&ClockRule| {
        category.id.as_ref().map_or_else(
            || category.possible.contains(&c.category),
            |id| *id == c.category,
        ) && (!c.acute || acute)
    };
    let mut running: Vec<StorageClock> = Vec::new();
    for rule in site.rules.clock.iter().filter(in_force) {
        let start = match rule.starts {
            ClockStart::WasteSince => batch.waste_since,
            ClockStart::LimitExceededOn => batch.limit_exceeded_on,
        };
        match start {
            Some(start) => running.push(clock_from(rule, start, site, notes)),
            None if rule.starts == ClockStart::WasteSince && out.missing.is_empty() => {
                out.missing.push(ToTest {
                    what: "The day it became waste".to_owned(),
                    how: "State waste_since.".to_owned(),
                    why: "The storage clock starts on that day.".to_owned(),
                });
            }
            None => {}
        }
    }
    running.sort_by_key(|c| c.due_on);
    if category.id.is_some() {
        out.clock = running.into_iter().next();
    } else {
        out.possible = running;
    }
    let known = out.clock.is_some();
    let about = if known { "/clock" } else { "/possible_clocks" };
    for clock in out.clock.iter().chain(&out.possible) {
        if clock.due_on < site.on {
            let had = if known {
                "should have left"
            } else {
                "may have had to leave"
            };
            let text = format!(
                "It {had} by {}: call the waste contractor, and ask the authority what to do about the days gone by.",
                clock.due_on
            );
            notes.warn(about, Severity::Caution, text);
        }
    }
    out
}

fn clock_from(rule: &ClockRule, start: Date, site: &Site, notes: &mut Notes) -> StorageClock {
    let far = rule.haul_more_than_km.and_then(|km| {
        let distance = site.haul_distance_km?;
        let days = rule.far_limit_day_count?;
        (distance.as_f64() > km.as_f64()).then_some(days)
    });
    if far.is_none() && rule.haul_more_than_km.is_some() && site.haul_distance_km.is_none() {
        notes.assume(
            "/clock",
            "/haul_distance_km",
            "house_rule",
            "No haul distance was given: the shorter time is used.",
        );
    }
    let days = far.unwrap_or(rule.limit_day_count);
    let authority: &Authority = match (&rule.far_rule, far) {
        (Some(far_rule), Some(_)) => far_rule,
        _ => rule.rule,
    };
    let trigger = rule
        .trigger
        .as_ref()
        .map_or_else(String::new, |t| format!(", because of {t}"));
    let who = site
        .rules
        .category
        .iter()
        .find(|c| c.id == rule.category)
        .map_or(rule.category.as_str(), |c| c.title.as_str());
    notes.cite(super::source_key(&authority.source));
    StorageClock {
        starts_on: start,
        limit_day_count: days,
        due_on: start.plus_days(days),
        rule: format!(
            "A {who} keeps it no more than {days} days{trigger} ({}, {}).",
            authority.clause,
            authority.status.words()
        ),
        rule_id: authority.id.clone(),
        clause: authority.clause.clone(),
        status: authority.status,
        source: authority.source.clone(),
    }
}
