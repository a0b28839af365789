//! What the containers are in law: each finding once, with every container it is about.

use super::{Grouped, Sources};
use crate::render::text::Page;
use spent_silver_domain::answer::Severity;
use spent_silver_domain::report::Report;
use spent_silver_domain::waste::classification::{Classification, Hazardous, Standing};
use spent_silver_domain::waste::contents::Certainty;

pub(super) fn law(page: &mut Page, report: &Report, confirm: &[String], sources: &mut Sources) {
    page.heading("What it is in law");
    let mut standing = Grouped::default();
    let mut codes = Grouped::default();
    let mut clean = Grouped::default();
    let mut find_out = Grouped::default();
    let mut clocks = Grouped::default();
    let mut local = Grouped::default();
    let mut list = Grouped::default();
    let mut sewer = Grouped::default();
    let mut vessel = Grouped::default();
    let mut site = Site::default();
    for batch in &report.batches {
        let c = &batch.classification;
        let id = batch.id.as_str();
        standing.add(id, format!("{} {}", c.standing.text, hazard(c)).trim_end());
        for code in &c.codes {
            let sure = match code.certainty {
                Certainty::Known => "",
                Certainty::Presumed => ", presumed",
                Certainty::ToBeTested => ", to be tested",
            };
            let mark = sources
                .number(&code.authority.source)
                .map_or_else(String::new, |n| format!(" [{n}]"));
            codes.add(id, &format!("{} ({}{sure}){mark}", code.reason, code.code));
        }
        for finding in &c.clean {
            clean.add(id, &format!("{} ({})", finding.reason, finding.code));
        }
        for unknown in &c.unknowns {
            // The list of what to do has said how, for most.
            let how = if page.has_said(&unknown.how) {
                String::new()
            } else {
                format!(" {}", unknown.how)
            };
            find_out.add(
                id,
                &format!(
                    "{}.{how} {}",
                    unknown.what.trim_end_matches('.'),
                    unknown.why
                ),
            );
        }
        if let Some(clock) = &c.clock {
            clocks.add(
                id,
                &format!(
                    "{} days from {}, so until {}. {}",
                    clock.limit_day_count, clock.starts_on, clock.due_on, clock.rule
                ),
            );
        }
        for clock in &c.possible_clocks {
            clocks.add(
                id,
                &format!(
                    "A clock that may run, until {}. {}",
                    clock.due_on, clock.rule
                ),
            );
        }
        if let Some(finding) = &c.local_limit {
            local.add(id, &finding.text);
        }
        for entry in c.waste_list.iter().flat_map(|l| &l.candidates) {
            list.add(
                id,
                &format!("{} {} ({})", entry.code, entry.title, entry.entry.words()),
            );
        }
        for limit in &c.discharge_limits {
            sewer.add(id, &limit.text);
        }
        for finding in &c.container_findings {
            vessel.add(id, &format!("{} {}", finding.happens, finding.instead));
        }
        site.add(c);
    }
    for (heading, grouped) in [
        ("", &standing),
        ("Why:", &codes),
        ("Ruled out:", &clean),
        ("In the list of waste:", &list),
        ("To find out:", &find_out),
        ("How long it may be kept:", &clocks),
        ("Against the limit of the place:", &local),
        ("Against limits to a sewer or a water:", &sewer),
        ("The container:", &vessel),
    ] {
        if grouped.0.is_empty() {
            continue;
        }
        if !heading.is_empty() {
            page.indented(heading, 0);
        }
        grouped.points(page);
    }
    page.gap();
    // The notice at the end asks these.
    site.questions.retain(|q| !confirm.contains(q));
    site.write(page);
}

fn hazard(c: &Classification) -> &'static str {
    match c.hazardous {
        // What is at work or unused is no waste, whatever its codes would be.
        _ if matches!(c.standing.is, Standing::AtWork | Standing::Unused) => "",
        Hazardous::NotIndicated => "Nothing stated points to a hazard that the rules name.",
        Hazardous::ToBeAsked => "Whether it is hazardous is to be asked.",
        Hazardous::ToBeTested => "Whether it is hazardous is to be tested.",
        Hazardous::Presumed => "It is taken as hazardous until shown otherwise.",
        Hazardous::Known => "It is hazardous waste under these rules.",
    }
}

/// Category, duties and papers are the site's: said once.
#[derive(Default)]
struct Site {
    months: Vec<[String; 3]>,
    duties: Vec<String>,
    never: Vec<String>,
    questions: Vec<String>,
}

impl Site {
    fn add(&mut self, c: &Classification) {
        let category =
            [&c.category.month, &c.category.title, &c.category.reason].map(String::clone);
        let put = |list: &mut Vec<String>, text: String| {
            if !list.contains(&text) {
                list.push(text);
            }
        };
        if !self.months.contains(&category) {
            self.months.push(category);
        }
        for duty in c.duties.iter().chain(&c.papers).chain(&c.marks) {
            let kept = duty
                .keep_for
                .as_ref()
                .map_or_else(String::new, |k| format!(" Keep it {k}."));
            put(
                &mut self.duties,
                format!("{}{kept} [{}]", duty.text, duty.authority.clause),
            );
        }
        for line in &c.never {
            put(&mut self.never, line.clone().into_owned());
        }
        for question in &c.questions {
            put(&mut self.questions, question.clone().into_owned());
        }
    }

    fn write(mut self, page: &mut Page) {
        self.months.sort();
        self.months.reverse();
        let mut told = "";
        for [_, title, reason] in &self.months {
            if told != title {
                page.indented(
                    &format!("The site, by mass as it arises and not as it is shipped: {title}."),
                    0,
                );
                told = title;
            }
            page.hanging("•", reason, 0);
        }
        page.gap();
        if !self.duties.is_empty() {
            page.indented("What must be done and written down:", 0);
            page.points(&self.duties);
        }
        if !self.questions.is_empty() {
            page.indented("To ask:", 0);
            page.points(&self.questions);
        }
        if !self.never.is_empty() {
            page.boxed(Severity::Caution, "Never", &self.never);
        }
    }
}
