//! How it is done: the plans, each way of recovery once for all its containers.
//!
//! Steps that say the same but for their figures are one step; a figure that differs becomes a
//! letter, and under the step stands what it is for each container. A caution that stands at every
//! step of a container is said once, at the head.

use super::{Grouped, Sources, names, short};
use crate::render::text::Page;
use spent_silver_domain::answer::Severity;
use spent_silver_domain::decision::{Decision, LotAction};
use spent_silver_domain::document::{Column, StepLine, step_line};
use spent_silver_domain::procedure::{Refusal, Step};
use spent_silver_domain::quantity::{Identifier, write_significant};
use spent_silver_domain::recovery::{PlanEntry, RecoveryPlan};
use spent_silver_domain::report::Report;
use spent_silver_domain::waste::neutralization::NeutralizationPlan;

/// A container's name and its plan.
type Of<'a, P> = (&'a Identifier, &'a P);

pub(super) fn how_to(page: &mut Page, report: &Report, sources: &mut Sources) {
    let mut ways: Vec<Vec<Of<'_, RecoveryPlan>>> = Vec::new();
    let mut bases: Vec<Vec<Of<'_, NeutralizationPlan>>> = Vec::new();
    let mut refusals: Vec<(&Refusal, String, Vec<&Identifier>)> = Vec::new();
    let mut first = Grouped::default();
    let mut refuse = |refusal, heading: String, id| match refusals
        .iter_mut()
        .find(|r| r.0 == refusal && r.1 == heading)
    {
        Some(known) => known.2.push(id),
        None => refusals.push((refusal, heading, vec![id])),
    };
    for batch in &report.batches {
        let id = &batch.id;
        if let Some(plans) = &batch.recovery {
            if let Some(plan) = plans.recommended.and_then(|p| plans.plan(p)) {
                match ways.iter_mut().find(|w| same_way(w, plan)) {
                    Some(way) => way.push((id, plan)),
                    None => ways.push(vec![(id, plan)]),
                }
            } else if let Some(refusal) = &plans.refusal {
                refuse(refusal, "no recovery here".to_owned(), id);
            } else if let Some(why) = &plans.measure_first {
                first.add(id.as_str(), why);
            }
            for entry in &plans.plans {
                if let PlanEntry::Refused(r) = entry {
                    refuse(&r.refusal, "a way that is closed".to_owned(), id);
                }
            }
        }
        if let Some(plan) = &batch.neutralization {
            match &plan.refusal {
                Some(refusal) => refuse(refusal, "not to be made neutral as it is".to_owned(), id),
                None => match bases
                    .iter_mut()
                    .find(|b| b.iter().all(|(_, p)| p.base == plan.base))
                {
                    Some(base) => base.push((id, plan)),
                    None => bases.push(vec![(id, plan)]),
                },
            }
        }
    }
    if !refusals.is_empty() {
        page.heading("What is not to be done here");
    }
    for (refusal, heading, of) in &refusals {
        let of: Vec<&str> = of.iter().map(|id| id.as_str()).collect();
        refused(page, &format!("{}: {heading}", of.join(", ")), refusal);
    }
    if !first.0.is_empty() {
        page.heading("To be measured first");
        first.points(page);
        page.gap();
    }
    for way in &ways {
        recovery(page, report, way, sources);
    }
    for base in &bases {
        neutralizing(page, base);
    }
    page.gap();
    page.paragraph("To print a label, a waste record or a worksheet for the bench: `spent-silver compute documents REQUEST --format text` (or html).");
}

fn same_way(known: &[Of<'_, RecoveryPlan>], plan: &RecoveryPlan) -> bool {
    known.iter().all(|(_, k)| k.process == plan.process)
}

fn refused(page: &mut Page, signal: &str, refusal: &Refusal) {
    let mut lines = vec![refusal.reason.clone()];
    lines.extend(refusal.never.iter().cloned());
    page.boxed(Severity::Danger, signal, &lines);
    page.points(&refusal.instead);
    let call = refusal.call.join(" ");
    if !call.is_empty() && !page.has_said(&call) {
        page.hanging("Call:", &call, 0);
    }
}

fn recovery(page: &mut Page, report: &Report, way: &[Of<'_, RecoveryPlan>], sources: &mut Sources) {
    let Some((_, first)) = way.first() else {
        return;
    };
    let ids: Vec<Identifier> = way.iter().map(|(id, _)| (*id).clone()).collect();
    page.heading(&format!(
        "Getting the silver out of {}: {}",
        names(&ids),
        first.title
    ));
    let wanted = not_advised(page, report, &ids);
    let rows: Vec<Vec<String>> = way
        .iter()
        .filter_map(|(id, plan)| {
            let out = plan.silver_recovered.as_ref()?;
            Some(vec![
                id.to_string(),
                format!("{} g", short(out.expected_g, 3)),
                format!("{} to {} g", short(out.lower_g, 3), short(out.upper_g, 3)),
                format!("{} %", short(out.expected_percent, 3)),
            ])
        })
        .collect();
    if !rows.is_empty() {
        page.table(
            &[
                Column::words("Container"),
                Column::figures("Silver to be had"),
                Column::figures("Range"),
                Column::figures("Of what is there"),
            ],
            &rows,
            None,
        );
    }
    let mut head = Notices::new(way.len());
    let mut danger = Notices::new(way.len());
    let mut trouble = Notices::new(way.len());
    let mut left = Notices::new(way.len());
    for (id, plan) in way {
        if let Some(residual) = &plan.practical_residual {
            let mark = sources
                .number(residual.source)
                .map_or_else(String::new, |n| format!(" [{n}]"));
            head.add(
                id,
                &format!(
                    "What stays in the liquor in practice: {} to {} mg/L. {}{mark}",
                    short(residual.low_mg_per_l, 3),
                    short(residual.high_mg_per_l, 4),
                    residual.text
                ),
            );
        }
        if let Some(floor) = &plan.equilibrium_floor {
            head.add(
                id,
                &format!(
                    "By the equilibrium alone {} mg/L would stay, within a factor of {} either way: what chemistry allows at best. The practical figure is the one that counts.",
                    floor_in_words(floor.residual_mg_per_l.get()),
                    short(floor.factor_95, 2)
                ),
            );
        }
        if let Some(time) = &plan.time {
            head.add(id, &time.text);
        }
        for hazard in &plan.hazards {
            danger.add(id, hazard);
        }
        for t in &plan.troubles {
            trouble.add(id, &format!("{}: {}", t.sign, t.response));
        }
        for waste in &plan.secondary_waste {
            left.add(id, &format!("{}. {}", waste.what, waste.text));
        }
        left.add(id, &plan.product.next);
    }
    danger.write(page, "!");
    if wanted {
        head.write(page, "•");
    }
    page.gap();
    if !wanted {
        page.paragraph("Recovering it here leaves you less than another way out that is open today. Should you want to all the same, `spent-silver compute recovery-plans` gives the steps with their cautions.");
        return;
    }
    let steps: Vec<(&Identifier, &[Step])> = way
        .iter()
        .map(|(id, plan)| (*id, plan.steps.as_slice()))
        .collect();
    write_steps(page, &steps);
    page.gap();
    page.indented("If it goes wrong:", 0);
    trouble.write(page, "•");
    page.gap();
    page.indented("What is left over, and what becomes of it:", 0);
    left.write(page, "•");
    page.gap();
}

/// A floor below what anyone can measure is not printed to the last zero.
fn floor_in_words(mg_per_l: f64) -> String {
    const MEASURABLE: f64 = 0.001;
    if mg_per_l < MEASURABLE {
        "less than 0.001".to_owned()
    } else {
        write_significant(mg_per_l, 2)
    }
}

/// Says where the advice of today is another one: the steps are for the day it is wanted. Returns
/// whether they are wanted at all: not where, for every container, sending it as it is or having it
/// hauled away leaves more.
fn not_advised(page: &mut Page, report: &Report, ids: &[Identifier]) -> bool {
    let mut advised = Grouped::default();
    let mut wanted = false;
    for id in ids {
        let lot = report.lots.iter().find(|l| l.batches.contains(id));
        wanted |= lot.is_none_or(|l| !another_way_leaves_more(&l.decision));
        if let Some(lot) = lot.filter(|l| l.decision.verdict != LotAction::RecoverHere) {
            advised.add(id.as_str(), lot.decision.verdict.words());
        }
    }
    if !advised.0.is_empty() {
        page.paragraph(&format!(
            "The advice of today is another ({}); the steps are for the day you choose to.",
            advised.lines().join("; ")
        ));
    }
    wanted
}

fn another_way_leaves_more(decision: &Decision) -> bool {
    let best = |actions: &[LotAction]| {
        decision
            .alternatives
            .iter()
            .filter(|a| a.possible && actions.contains(&a.action))
            .filter_map(|a| a.net)
            .max()
    };
    let others = best(&[LotAction::Send, LotAction::HaulAway]);
    let here = best(&[LotAction::RecoverHere]);
    decision.verdict != LotAction::RecoverHere && here.is_some() && others > here
}

fn neutralizing(page: &mut Page, of: &[Of<'_, NeutralizationPlan>]) {
    let ids: Vec<Identifier> = of.iter().map(|(id, _)| (*id).clone()).collect();
    page.heading(&format!("Making {} neutral", names(&ids)));
    let mut head = Notices::new(of.len());
    for (id, plan) in of {
        if let (Some(base_g), Some(range), Some(target), Some(gas)) = (
            plan.base_g,
            plan.base_95_g,
            plan.target_ph,
            plan.carbon_dioxide_released_l,
        ) {
            head.add(
                id,
                &format!(
                    "About {} g of {} ({} to {} g, 95 times in 100) brings it to pH {}; about {} L of carbon dioxide comes off. {}",
                    short(base_g, 3),
                    plan.base.words(),
                    short(range.lower, 3),
                    short(range.upper, 3),
                    short(target, 2),
                    short(gas, 2),
                    plan.order.as_deref().unwrap_or_default()
                ),
            );
        }
    }
    head.write(page, "•");
    page.gap();
    for (id, plan) in of {
        let path: Vec<String> = plan
            .ph_path
            .iter()
            .map(|point| format!("{} g pH {}", short(point.added_g, 3), short(point.ph, 2)))
            .collect();
        if !path.is_empty() {
            page.paragraph(&format!(
                "To expect in {id} as it goes in: {}.",
                path.join(", ")
            ));
        }
    }
    let steps: Vec<(&Identifier, &[Step])> = of
        .iter()
        .map(|(id, plan)| (*id, plan.steps.as_slice()))
        .collect();
    write_steps(page, &steps);
}

/// Short texts about some of the containers of one plan, each printed once.
struct Notices {
    of_all: usize,
    grouped: Grouped,
}

impl Notices {
    fn new(of_all: usize) -> Self {
        Self {
            of_all,
            grouped: Grouped::default(),
        }
    }

    fn add(&mut self, id: &Identifier, text: &str) {
        self.grouped.add(id.as_str(), text);
    }

    /// Texts that differ in their figures alone are one, each figure with its container.
    fn write(&self, page: &mut Page, mark: &str) {
        for (who, text) in self.grouped.merged() {
            let text = if who.len() < self.of_all {
                format!("{}: {text}", who.join(", "))
            } else {
                text
            };
            page.hanging(mark, &text, 0);
        }
    }
}

/// A text with its figures taken out, to see what says the same but for them.
#[derive(Clone)]
struct Template {
    words: String,
    figures: Vec<String>,
}

/// Stands for a figure; no text for people holds it.
const FIGURE: char = '\u{1}';

impl Template {
    fn of(text: &str) -> Self {
        let letters: Vec<char> = text.chars().filter(|c| *c != FIGURE).collect();
        let (mut words, mut figures) = (String::new(), Vec::new());
        let mut i = 0;
        while let Some(letter) = letters.get(i).copied() {
            let before = i.checked_sub(1).and_then(|b| letters.get(b));
            // A digit in a word, such as a code, is no figure.
            if !letter.is_ascii_digit() || before.is_some_and(|b| b.is_alphanumeric()) {
                words.push(letter);
                i = i.saturating_add(1);
                continue;
            }
            let mut figure = String::new();
            while let Some(next) = letters.get(i).copied() {
                let goes_on = letters
                    .get(i.saturating_add(1))
                    .is_some_and(char::is_ascii_digit);
                if !(next.is_ascii_digit() || matches!(next, '.' | ',') && goes_on) {
                    break;
                }
                figure.push(next);
                i = i.saturating_add(1);
            }
            words.push(FIGURE);
            figures.push(figure);
        }
        Self { words, figures }
    }
}

/// A text of several containers: the same words, each with its own figures.
struct Shared {
    words: String,
    of: Vec<(String, Vec<String>)>,
}

impl Shared {
    /// The text with every figure that is the same for all; `differing` writes the others.
    fn fill(&self, mut differing: impl FnMut(&[(&str, &str)]) -> String) -> String {
        let mut out = String::new();
        let mut place = 0_usize;
        for letter in self.words.chars() {
            if letter != FIGURE {
                out.push(letter);
                continue;
            }
            let figures: Vec<(&str, &str)> = self
                .of
                .iter()
                .map(|(id, f)| (id.as_str(), f.get(place).map_or("", String::as_str)))
                .collect();
            match figures.split_first() {
                Some((first, rest)) if rest.iter().all(|r| r.1 == first.1) => out.push_str(first.1),
                _ => out.push_str(&differing(&figures)),
            }
            place = place.saturating_add(1);
        }
        out
    }
}

impl Grouped {
    /// Texts that differ in their figures alone are one, each figure with its container.
    pub(super) fn merged(&self) -> Vec<(Vec<String>, String)> {
        let mut shared = Vec::new();
        for (who, text) in &self.0 {
            share(&mut shared, who.join(", "), text);
        }
        shared
            .iter()
            .map(|s| {
                let text = s.fill(|figures| {
                    let each: Vec<String> =
                        figures.iter().map(|(id, x)| format!("{id} {x}")).collect();
                    format!("[{}]", each.join(", "))
                });
                let who = s.of.iter().flat_map(|(who, _)| who.split(", "));
                (who.map(str::to_owned).collect(), text)
            })
            .collect()
    }

    /// The merged texts as points.
    pub(super) fn merged_points(&self, page: &mut Page) {
        for (who, text) in self.merged() {
            page.hanging("•", &format!("{}: {text}", who.join(", ")), 0);
        }
    }
}

/// Adds a container's text to those that say the same.
fn share(list: &mut Vec<Shared>, id: String, text: &str) {
    let Template { words, figures } = Template::of(text);
    match list
        .iter_mut()
        .find(|s| s.words == words && s.of.iter().all(|(known, _)| *known != id))
    {
        Some(shared) => shared.of.push((id, figures)),
        None => list.push(Shared {
            words,
            of: vec![(id, figures)],
        }),
    }
}

fn letter_at(place: usize) -> char {
    u8::try_from(place)
        .ok()
        .and_then(|n| b'a'.checked_add(n))
        .map_or('?', char::from)
}

/// The letters of one step: what each stands for, container by container.
#[derive(Default)]
struct Letters(Vec<Vec<String>>);

impl Letters {
    fn letter(&mut self, of: &[(&str, &str)]) -> char {
        let meaning: Vec<String> = of.iter().map(|(id, x)| format!("{id} {x}")).collect();
        let place = self.0.iter().position(|known| *known == meaning);
        let place = place.unwrap_or_else(|| {
            self.0.push(meaning);
            self.0.len().saturating_sub(1)
        });
        letter_at(place)
    }

    fn write(&self, page: &mut Page, indent: usize) {
        let told: Vec<String> = self
            .0
            .iter()
            .enumerate()
            .map(|(place, meaning)| format!("[{}] {}", letter_at(place), meaning.join(", ")))
            .collect();
        if !told.is_empty() {
            page.hanging("=", &told.join("; "), indent);
        }
    }
}

/// One step of the joined procedure, with the containers that take it.
struct Joined<'a> {
    key: String,
    of: Vec<(&'a Identifier, StepLine)>,
}

fn key_of(step: &StepLine) -> String {
    let mut texts = vec![step.action.as_str()];
    texts.extend(step.adds.iter().map(String::as_str));
    texts.extend(step.check.as_deref());
    Template::of(&texts.join("\n")).words
}

/// Joins the procedures: steps that say the same but for their figures are one. The order of every
/// container's own steps is kept.
fn join<'a>(procedures: &[(&'a Identifier, Vec<StepLine>)]) -> Vec<Joined<'a>> {
    let mut joined: Vec<Joined<'a>> = Vec::new();
    for (id, steps) in procedures {
        let mut from = 0_usize;
        for step in steps {
            let key = key_of(step);
            let place = joined
                .iter()
                .enumerate()
                .skip(from)
                .find(|(_, j)| j.key == key)
                .map(|(i, _)| i);
            let place = place.unwrap_or_else(|| {
                joined.insert(
                    from,
                    Joined {
                        key,
                        of: Vec::new(),
                    },
                );
                from
            });
            if let Some(known) = joined.get_mut(place) {
                known.of.push((id, step.clone()));
            }
            from = place.saturating_add(1);
        }
    }
    joined
}

/// The cautions that stand at every step of a procedure, by count alone.
fn all_through(steps: &[StepLine]) -> Vec<String> {
    let Some((first, rest)) = steps.split_first() else {
        return Vec::new();
    };
    if rest.is_empty() {
        return Vec::new();
    }
    first
        .cautions
        .iter()
        .filter(|c| rest.iter().all(|s| s.cautions.contains(c)))
        .cloned()
        .collect()
}

/// Numbered steps of one or several containers; each item is a name and its steps.
pub(super) fn write_steps(page: &mut Page, procedures: &[(&Identifier, &[Step])]) {
    let mut own: Vec<(&Identifier, Vec<StepLine>)> = Vec::new();
    let mut throughout = Notices::new(procedures.len());
    for (id, steps) in procedures {
        let mut lines: Vec<StepLine> = steps.iter().map(step_line).collect();
        let always = all_through(&lines);
        for caution in &always {
            throughout.add(id, caution);
        }
        for line in &mut lines {
            line.cautions.retain(|c| !always.contains(c));
        }
        own.push((id, lines));
    }
    if !throughout.grouped.0.is_empty() {
        page.indented("All through:", 0);
        throughout.write(page, "!");
        page.gap();
    }
    for (i, step) in join(&own).iter().enumerate() {
        write_step(page, i.saturating_add(1), step, procedures.len());
    }
}

fn write_step(page: &mut Page, number: usize, step: &Joined<'_>, of_all: usize) {
    let mark = format!("[ ] {number}.");
    let indent = mark.chars().count().saturating_add(1);
    let mut letters = Letters::default();
    let fill = |letters: &mut Letters, of: &dyn Fn(&StepLine) -> Vec<String>| {
        let mut shared = Vec::new();
        for (id, line) in &step.of {
            for text in of(line) {
                share(&mut shared, id.to_string(), &text);
            }
        }
        shared
            .iter()
            .map(|s| {
                let text = s.fill(|figures| format!("[{}]", letters.letter(figures)));
                if s.of.len() < step.of.len() {
                    let who: Vec<&str> = s.of.iter().map(|(id, _)| id.as_str()).collect();
                    format!("{}: {text}", who.join(", "))
                } else {
                    text
                }
            })
            .collect::<Vec<String>>()
    };
    let actions = fill(&mut letters, &|l| vec![l.action.clone()]);
    let adds = fill(&mut letters, &|l| l.adds.clone());
    let cautions = fill(&mut letters, &|l| l.cautions.clone());
    let checks = fill(&mut letters, &|l| l.check.iter().cloned().collect());
    let only = if step.of.len() < of_all {
        let who: Vec<&str> = step.of.iter().map(|(id, _)| id.as_str()).collect();
        format!("Only {}: ", who.join(", "))
    } else {
        String::new()
    };
    page.hanging(&mark, &format!("{only}{}", actions.join(" ")), 0);
    for (mark, texts) in [("+", adds), ("!", cautions)] {
        for text in texts {
            page.hanging(mark, &text, indent);
        }
    }
    for text in checks {
        page.hanging("✓", &format!("Done when: {text}"), indent);
    }
    letters.write(page, indent);
}
