//! Duties, papers, marks and questions that follow from the codes and the category.

use super::Site;
use super::codes::Findings;
use super::result::{
    GeneratorCategory, Hazardous, InspectionDuty, LegalDuty, Premises, Property, Standing,
};
use crate::batch::Batch;
use crate::substance::Group;
use crate::waste::contents::{Contents, holds_silver};
use crate::waste::rule_set::{Authority, DilutionBranch, DutyRule, When};
use std::borrow::Cow;

/// Everything on paper.
pub(super) struct Paperwork {
    pub inspection: Option<InspectionDuty>,
    pub duties: Vec<LegalDuty>,
    pub papers: Vec<LegalDuty>,
    pub marks: Vec<LegalDuty>,
    pub never: Vec<Cow<'static, str>>,
    pub dilution: Option<&'static DilutionBranch>,
    pub questions: Vec<Cow<'static, str>>,
}

pub(super) fn gather(
    (batch, contents): (&Batch, &Contents),
    findings: &Findings,
    hazardous: Hazardous,
    category: &GeneratorCategory,
    site: &Site,
    standing: Standing,
) -> Paperwork {
    let rules = site.rules;
    let bears_silver = holds_silver(batch, contents);
    let acid = contents.holds(Group::Acid);
    let cyanide = findings
        .codes
        .iter()
        .any(|c| c.property == Property::Reactive);
    let when_holds = |when: When| match when {
        When::Always => hazardous != Hazardous::NotIndicated,
        When::SilverRecovery => bears_silver,
        When::Sewer => batch.is_liquid(),
        When::Neutralization => acid && batch.is_liquid(),
    };
    // While the category is unknown the duties of every category that is still possible are told.
    let category_holds = |categories: &[String]| category.may_be_in(categories);
    let stored = !matches!(standing, Standing::AtWork | Standing::Unused)
        && hazardous != Hazardous::NotIndicated;
    let duty = |text: Cow<'static, str>,
                keep_for: Option<&'static str>,
                authority: &'static Authority| LegalDuty {
        text,
        keep_for,
        authority,
    };
    let from_rules = |list: &'static [DutyRule]| {
        list.iter()
            .filter(|d| when_holds(d.when) && category_holds(&d.categories))
            .map(|d| duty(d.text.as_str().into(), None, d.rule))
            .collect::<Vec<_>>()
    };
    let mut duties = from_rules(&rules.duty);
    if let Some(mixing) = rules
        .mixing
        .as_ref()
        .filter(|_| hazardous != Hazardous::NotIndicated)
    {
        duties.push(duty(mixing.text.as_str().into(), None, mixing.rule));
    }
    if let Some(share) = rules.speculative.as_ref().filter(|_| bears_silver) {
        duties.push(duty(
            format!(
                "At least {} % of the silver-bearing stock of 1 January is recovered or sent by 31 December, per kind of material.",
                share.share_percent.decimal()
            )
            .into(),
            None,
            share.rule,
        ));
    }
    let mut never: Vec<Cow<'static, str>> =
        rules.never.iter().map(|n| n.text.as_str().into()).collect();
    if cyanide {
        never.push("No exception for dilution ever covers reactive cyanide.".into());
    }
    never.push("Nothing here is permission to discharge.".into());
    Paperwork {
        inspection: rules
            .inspection
            .iter()
            .filter(|i| stored && category_holds(&i.categories))
            .min_by_key(|i| i.every_day_count)
            .map(|i| InspectionDuty {
                every_day_count: i.every_day_count,
                authority: i.rule,
            }),
        papers: rules
            .paper
            .iter()
            .filter(|p| when_holds(p.when) && category_holds(&p.categories))
            .map(|p| duty(p.text.as_str().into(), Some(&p.keep_for), p.rule))
            .collect(),
        marks: from_rules(&rules.mark),
        duties,
        never,
        dilution: rules.dilution.as_ref().filter(|_| !cyanide),
        questions: questions(site),
    }
}

fn questions(site: &Site) -> Vec<Cow<'static, str>> {
    let mut out: Vec<Cow<'static, str>> = Vec::new();
    let household = site
        .rules
        .household
        .as_ref()
        .map(|h| h.text.as_str().into());
    match site.premises {
        None => out.push(
            "What kind of place this is: state premises; a home, a business and a school can stand under different rules.".into(),
        ),
        Some(Premises::HouseholdHobby | Premises::HomeBusiness) => out.extend(household),
        Some(Premises::School | Premises::College) => {
            out.extend(site.rules.school.as_ref().map(|s| s.text.as_str().into()));
        }
        Some(Premises::Business) => {}
    }
    out.extend(site.rules.confirm.iter().map(|c| c.as_str().into()));
    out
}
