//! The report on a studio as text: first what to do, then the reasons, then the steps.

use super::budget::write_budget;
use super::text::{Page, Task};
use spent_silver_domain::answer::{Answer, Assumption, Severity, Warning};
use spent_silver_domain::bibliography::reference;
use spent_silver_domain::decision::Decision;
use spent_silver_domain::document::{
    Column, StepLine, figure, interval_in_words, silver_in_words, step_line,
};
use spent_silver_domain::estimate::Agreement;
use spent_silver_domain::quantity::{Computed, Unit, rounded_with_uncertainty, write_significant};
use spent_silver_domain::recovery::{PlanEntry, RecoveryPlan};
use spent_silver_domain::report::{BatchReport, LotReport, Report, Totals, Urgency};
use spent_silver_domain::valuation::{Settlement, ValuationOutcome};
use spent_silver_domain::waste::classification::{Classification, Hazardous};
use spent_silver_domain::waste::contents::Certainty;
use spent_silver_domain::waste::neutralization::NeutralizationPlan;

/// The report as text of 80 columns. Every warning and the notice are on it.
#[must_use]
pub fn report(answer: &Answer<Report>) -> String {
    let report = &answer.result;
    let mut page = Page::new();
    page.title(
        &format!("{}: silver and waste", report.studio),
        &report.on.to_string(),
    );
    opening(&mut page, &report.totals);
    for batch in &report.batches {
        if let Some(danger) = &batch.danger {
            let mut lines = vec![danger.reason.clone()];
            lines.extend(danger.act.iter().cloned());
            lines.extend(danger.never.iter().map(|n| format!("Never: {n}")));
            page.boxed(Severity::Danger, &format!("Danger: {}", batch.id), &lines);
        }
    }
    to_do(&mut page, report);
    containers(&mut page, report);
    apart(&mut page, report);
    lots(&mut page, report);
    law(&mut page, report);
    how_to(&mut page, report);
    if let Some(budget) = &report.budget {
        page.heading("What silver costs");
        write_budget(&mut page, budget);
    }
    warnings(&mut page, report, &answer.warnings);
    assumptions(&mut page, &answer.assumptions);
    sources(&mut page, &answer.references);
    page.notice(&answer.notice);
    page.finish()
}

fn short<U: Unit>(of: Computed<U>, digits: usize) -> String {
    write_significant(of.get(), digits)
}

fn plural(count: usize, one: &str, many: &str) -> String {
    if count == 1 {
        format!("1 {one}")
    } else {
        format!("{count} {many}")
    }
}

fn opening(page: &mut Page, totals: &Totals) {
    let u = totals.standard_uncertainty_g.get();
    let end = |x: f64| rounded_with_uncertainty(x, u).0;
    let upper = totals
        .interval_95_g
        .upper
        .map_or_else(String::new, |x| end(x.get()));
    let mut text = format!(
        "{} of {} hold {} of silver that is known: {} to {upper} g, 95 times in 100, or about {} troy ounces.",
        totals.measured_count,
        plural(totals.container_count, "container", "containers"),
        figure(totals.silver_g.get(), u, "g"),
        end(totals.interval_95_g.lower.get()),
        short(totals.silver_ozt, 3),
    );
    if let (Some(currency), Some(value)) = (totals.currency, totals.metal_value) {
        text.push_str(&format!(
            " At the metal's price that is {currency} {value}, before anyone's charges."
        ));
    }
    if let (Some(currency), Some(net)) = (totals.currency, totals.net_as_decided) {
        text.push_str(&format!(
            " Done as advised below, what has a figure comes to {currency} {net}."
        ));
    }
    if totals.lots_without_figure_count > 0 {
        text.push_str(&format!(
            " For {} no sum can be given yet.",
            plural(totals.lots_without_figure_count, "lot", "lots")
        ));
    }
    page.gap();
    page.paragraph(&text);
}

fn to_do(page: &mut Page, report: &Report) {
    page.heading("What to do, the most urgent first");
    let whens: Vec<String> = report
        .to_do
        .iter()
        .map(|t| match (t.urgency, t.by_on) {
            (Urgency::Today, _) => "TODAY".to_owned(),
            (_, Some(day)) => format!("by {day}"),
            (Urgency::Soon, None) => "soon".to_owned(),
            (_, None) => "in time".to_owned(),
        })
        .collect();
    let tasks: Vec<Task<'_>> = report
        .to_do
        .iter()
        .zip(&whens)
        .map(|(t, when)| Task {
            when,
            what: &t.what,
            why: &t.why,
        })
        .collect();
    page.tasks(&tasks);
}

fn containers(page: &mut Page, report: &Report) {
    page.heading("How much silver, and how surely");
    let rows: Vec<Vec<String>> = report
        .batches
        .iter()
        .map(|b| {
            let (silver, range) = match &b.estimate {
                Some(estimate) => (
                    silver_in_words(estimate),
                    interval_in_words(estimate).unwrap_or_else(|| "not bounded above".to_owned()),
                ),
                None => ("not measured".to_owned(), String::new()),
            };
            let strength = b
                .estimate
                .as_ref()
                .and_then(|e| e.silver_g_per_l)
                .map_or_else(String::new, |c| short(c, 2));
            vec![
                b.id.to_string(),
                b.kind.words().to_owned(),
                silver,
                range,
                strength,
            ]
        })
        .collect();
    page.table(
        &[
            Column::words("Container"),
            Column::words("Holds"),
            Column::figures("Silver"),
            Column::figures("95 in 100"),
            Column::figures("g/L"),
        ],
        &rows,
        None,
    );
    for batch in &report.batches {
        if let Some(text) = why_so_sure(batch) {
            page.hanging("•", &text, 0);
        }
    }
    page.gap();
}

/// What the figure rests on, and what would make it surer.
fn why_so_sure(batch: &BatchReport) -> Option<String> {
    let estimate = batch.estimate.as_ref()?;
    let kinds: Vec<String> = estimate
        .by_evidence
        .iter()
        .map(|e| e.kind.replace('_', " "))
        .collect();
    let mut text = format!("{}: from {}", batch.id, kinds.join(" and "));
    match &estimate.agreement {
        Agreement::Consistent { .. } => text.push_str(", which agree within chance"),
        Agreement::Widened { birge_ratio, .. } => text.push_str(&format!(
            ", which disagree beyond chance, so the uncertainty is widened {} times",
            short(*birge_ratio, 2)
        )),
        Agreement::Contradiction { reason } => {
            text.push_str(&format!(", which contradict: {reason}"))
        }
        Agreement::Single {} | Agreement::WithinBounds {} => {}
    }
    let weakest = estimate
        .by_evidence
        .iter()
        .filter_map(|e| e.contributions.first())
        .max_by(|a, b| a.share_percent.get().total_cmp(&b.share_percent.get()));
    if let Some(part) = weakest.filter(|p| p.share_percent.get() >= 50.0) {
        text.push_str(&format!(
            ". Most of the doubt ({} %) is in {}: measure that better first",
            short(part.share_percent, 2),
            spoken(&part.input)
        ));
    }
    text.push('.');
    Some(text)
}

/// A member of a request as a person would say it.
fn spoken(input: &str) -> String {
    let last = input.rsplit('/').next().unwrap_or(input);
    let unit = spent_silver_domain::quantity::UNITS
        .iter()
        .filter(|u| last.ends_with(&format!("_{}", u.suffix)))
        .max_by_key(|u| u.suffix.len());
    let bare = unit.map_or(last, |u| {
        last.strip_suffix(u.suffix)
            .map_or(last, |s| s.trim_end_matches('_'))
    });
    format!("the {}", bare.replace('_', " "))
}

fn apart(page: &mut Page, report: &Report) {
    if report.keep_apart.is_empty() {
        return;
    }
    page.heading("What must never meet");
    let mut groups: Vec<(&str, bool, Vec<String>)> = Vec::new();
    for pair in &report.keep_apart {
        let [a, b] = &pair.batches;
        let name = format!("{a} and {b}");
        match groups
            .iter_mut()
            .find(|g| g.0 == pair.happens && g.1 == pair.apart_everywhere)
        {
            Some(group) => group.2.push(name),
            None => groups.push((&pair.happens, pair.apart_everywhere, vec![name])),
        }
    }
    for (happens, everywhere, pairs) in groups {
        let place = if everywhere {
            " Not even one tray, sink, cupboard or vehicle."
        } else {
            " Not one into the other."
        };
        page.hanging("•", &format!("{}: {happens}{place}", pairs.join("; ")), 0);
    }
    page.gap();
}

fn lots(page: &mut Page, report: &Report) {
    if report.lots.is_empty() {
        return;
    }
    page.heading("What it is worth, and what to do with it");
    let money = |x: Option<spent_silver_domain::quantity::SignedAmount>| {
        x.map_or_else(|| "not known".to_owned(), |n| n.to_string())
    };
    let rows: Vec<Vec<String>> = report
        .lots
        .iter()
        .map(|l| {
            let sent = match &l.valuation.outcome {
                ValuationOutcome::Accepted(s) => s.net.to_string(),
                ValuationOutcome::NotAccepted { .. } => "not taken".to_owned(),
                ValuationOutcome::ValueUnknown { .. } => "not known".to_owned(),
            };
            vec![
                l.id.to_string(),
                l.decision.verdict.words().to_owned(),
                sent,
                money(l.decision.alternatives.first().and_then(|a| a.net)),
            ]
        })
        .collect();
    let currency = report.totals.currency.map_or("", |c| c.code());
    page.table(
        &[
            Column::words("Lot"),
            Column::words("Advice"),
            Column::figures(format!("Sent now, {currency}")),
            Column::figures("As advised"),
        ],
        &rows,
        None,
    );
    for lot in &report.lots {
        one_lot(page, lot);
    }
}

fn one_lot(page: &mut Page, lot: &LotReport) {
    let decision = &lot.decision;
    let names: Vec<&str> = lot.batches.iter().map(|b| b.as_str()).collect();
    page.indented(
        &format!(
            "{} ({}): {}.",
            lot.id,
            names.join(", "),
            decision.verdict.words()
        ),
        0,
    );
    page.indented(&decision.reason, 2);
    page.gap();
    if let ValuationOutcome::Accepted(settlement) = &lot.valuation.outcome {
        account(page, settlement, decision.currency.code());
    }
    if let ValuationOutcome::NotAccepted { reasons } = &lot.valuation.outcome {
        for reason in reasons {
            page.hanging("•", &reason.text, 2);
        }
    }
    others(page, decision);
    for (label, points) in [("Do", &decision.act), ("Never", &decision.never)] {
        for point in points {
            page.hanging(&format!("{label}:"), point, 2);
        }
    }
    if let Some(latest) = &decision.latest {
        page.hanging("Latest:", &format!("{}. {}", latest.on, latest.text), 2);
    }
    if let Some(chance) = decision.chance_of_gain_percent {
        page.hanging(
            "Chance:",
            &format!(
                "{} % that sending now brings more than it costs.",
                short(chance, 2)
            ),
            2,
        );
    }
    for change in &decision.what_would_change {
        page.hanging("Would change it:", change, 2);
    }
    page.gap();
}

fn account(page: &mut Page, settlement: &Settlement, currency: &str) {
    let mut rows = vec![vec![
        "  Silver at the metal's price".to_owned(),
        String::new(),
        settlement.gross_value.to_string(),
    ]];
    for line in &settlement.deductions {
        rows.push(vec![
            format!("  {}", line.label),
            line.basis.clone(),
            line.amount.to_string(),
        ]);
    }
    page.table(
        &[
            Column::words("  Sent now"),
            Column::words("How"),
            Column::figures(currency),
        ],
        &rows,
        Some(&[
            "  Net".to_owned(),
            String::new(),
            settlement.net.to_string(),
        ]),
    );
}

fn others(page: &mut Page, decision: &Decision) {
    for other in decision.alternatives.iter().skip(1) {
        let name = other
            .name
            .as_ref()
            .map_or_else(String::new, |n| format!(" ({n})"));
        let net = other.net.map_or_else(
            || "no figure".to_owned(),
            |n| format!("{} {n}", decision.currency),
        );
        let open = if other.possible {
            net
        } else {
            "not open".to_owned()
        };
        page.hanging(
            "Or",
            &format!("{}{name}: {open}. {}", other.action.words(), other.reason),
            2,
        );
    }
}

fn law(page: &mut Page, report: &Report) {
    page.heading("What it is in law");
    for batch in &report.batches {
        let c = &batch.classification;
        page.indented(
            &format!("{}: {} {}", batch.id, c.standing.text, hazard(c)),
            0,
        );
        for code in &c.codes {
            let sure = match code.certainty {
                Certainty::Known => "",
                Certainty::Presumed => " (presumed)",
                Certainty::ToBeTested => " (to be tested)",
            };
            page.hanging(&format!("{}{sure}:", code.code), &code.reason, 2);
        }
        for unknown in &c.unknowns {
            page.hanging(
                "To find out:",
                &format!("{}. {} {}", unknown.what, unknown.how, unknown.why),
                2,
            );
        }
        if let Some(clock) = &c.clock {
            page.hanging(
                "Clock:",
                &format!(
                    "{} days from {}, so until {}. {}",
                    clock.limit_day_count, clock.starts_on, clock.due_on, clock.rule
                ),
                2,
            );
        }
        for clock in &c.possible_clocks {
            page.hanging(
                "A clock that may run:",
                &format!("until {}. {}", clock.due_on, clock.rule),
                2,
            );
        }
        page.gap();
    }
    together(page, report);
}

fn hazard(c: &Classification) -> &'static str {
    match c.hazardous {
        Hazardous::NotIndicated => "Nothing stated points to a hazard that the rules name.",
        Hazardous::ToBeAsked => "Whether it is hazardous is to be asked.",
        Hazardous::ToBeTested => "Whether it is hazardous is to be tested.",
        Hazardous::Presumed => "It is taken as hazardous until shown otherwise.",
        Hazardous::Known => "It is hazardous waste under these rules.",
    }
}

/// Category, duties and papers are the site's: said once.
fn together(page: &mut Page, report: &Report) {
    let mut titles: Vec<String> = Vec::new();
    let mut duties: Vec<String> = Vec::new();
    let mut never: Vec<String> = Vec::new();
    for batch in &report.batches {
        let c = &batch.classification;
        let category = format!(
            "{} ({}): {}",
            c.category.title, c.category.month, c.category.reason
        );
        if !titles.contains(&category) {
            titles.push(category);
        }
        for duty in c.duties.iter().chain(&c.papers).chain(&c.marks) {
            let kept = duty
                .keep_for
                .as_ref()
                .map_or_else(String::new, |k| format!(" Keep it {k}."));
            let text = format!("{}{kept} [{}]", duty.text, duty.authority.clause);
            if !duties.contains(&text) {
                duties.push(text);
            }
        }
        for line in &c.never {
            if !never.contains(line) {
                never.push(line.clone());
            }
        }
    }
    page.indented("The site's category:", 0);
    page.points(&titles);
    if !duties.is_empty() {
        page.indented("What must be done and written down:", 0);
        page.points(&duties);
    }
    if !never.is_empty() {
        page.boxed(Severity::Caution, "Never", &never);
    }
}

fn how_to(page: &mut Page, report: &Report) {
    for batch in &report.batches {
        if let Some(plans) = &batch.recovery {
            let chosen = plans.recommended.and_then(|p| plans.plan(p));
            if let Some(plan) = chosen {
                recovery(page, batch, plan);
            } else if let Some(refusal) = &plans.refusal {
                page.heading(&format!("{}: no recovery here", batch.id));
                refused(page, refusal);
            } else if let Some(why) = &plans.measure_first {
                page.heading(&format!("{}: measure first", batch.id));
                page.paragraph(why);
            }
            for entry in &plans.plans {
                if let PlanEntry::Refused(r) = entry {
                    page.heading(&format!("{}: a way that is closed", batch.id));
                    refused(page, &r.refusal);
                }
            }
        }
        if let Some(plan) = &batch.neutralization {
            neutralization(page, batch, plan);
        }
    }
}

fn neutralization(page: &mut Page, batch: &BatchReport, plan: &NeutralizationPlan) {
    if let Some(refusal) = &plan.refusal {
        page.heading(&format!("{}: not to be made neutral as it is", batch.id));
        refused(page, refusal);
    }
    if let (Some(base_g), Some(range), Some(target), Some(gas)) = (
        plan.base_g,
        plan.base_95_g,
        plan.target_ph,
        plan.carbon_dioxide_released_l,
    ) {
        page.heading(&format!("{}: making it neutral", batch.id));
        page.paragraph(&format!(
            "About {} g of {} ({} to {} g, 95 times in 100) brings it to pH {}; about {} L of carbon dioxide comes off. {}",
            short(base_g, 3),
            plan.base.words(),
            short(range.lower, 3),
            short(range.upper, 3),
            short(target, 2),
            short(gas, 2),
            plan.order.as_deref().unwrap_or_default()
        ));
        let path: Vec<Vec<String>> = plan
            .ph_path
            .iter()
            .map(|point| vec![short(point.added_g, 3), short(point.ph, 2)])
            .collect();
        page.table(
            &[
                Column::figures("Added so far, g"),
                Column::figures("pH to expect"),
            ],
            &path,
            None,
        );
        let steps: Vec<StepLine> = plan.steps.iter().map(step_line).collect();
        page.steps(&steps, true);
    }
}

fn recovery(page: &mut Page, batch: &BatchReport, plan: &RecoveryPlan) {
    page.heading(&format!(
        "{}: getting the silver out ({})",
        batch.id, plan.title
    ));
    if let Some(out) = &plan.silver_recovered {
        page.paragraph(&format!(
            "About {} g of silver is to be had ({} to {} g), {} % of what is there.",
            short(out.expected_g, 3),
            short(out.lower_g, 3),
            short(out.upper_g, 3),
            short(out.expected_percent, 3)
        ));
    }
    if let Some(left) = &plan.practical_residual {
        page.paragraph(&format!(
            "What stays in the liquor in practice: {} to {} mg/L. {}",
            short(left.low_mg_per_l, 3),
            short(left.high_mg_per_l, 4),
            left.text
        ));
    }
    page.points(&plan.hazards);
    let steps: Vec<StepLine> = plan.steps.iter().map(step_line).collect();
    page.steps(&steps, true);
    for trouble in &plan.troubles {
        page.hanging("If", &format!("{} {}", trouble.sign, trouble.response), 0);
    }
    for waste in &plan.secondary_waste {
        page.hanging("Left over:", &format!("{}. {}", waste.what, waste.text), 0);
    }
    page.gap();
}

fn refused(page: &mut Page, refusal: &spent_silver_domain::procedure::Refusal) {
    let mut lines = vec![refusal.reason.clone()];
    lines.extend(refusal.never.iter().map(|n| format!("Never: {n}")));
    page.boxed(Severity::Danger, "No plan is given", &lines);
    page.points(&refusal.instead);
    page.points(&refusal.call);
}

/// What a pointer into the result is about, in the reader's own names.
fn subject(report: &Report, about: &str) -> String {
    let mut parts = about.split('/').skip(1);
    let list = parts.next();
    let index = parts.next().and_then(|i| i.parse::<usize>().ok());
    match (list, index) {
        (Some("batches"), Some(i)) => report.batches.get(i).map(|b| b.id.to_string()),
        (Some("lots"), Some(i)) => report.lots.get(i).map(|l| l.id.to_string()),
        _ => None,
    }
    .unwrap_or_else(|| "all".to_owned())
}

fn warnings(page: &mut Page, report: &Report, warnings: &[Warning]) {
    if warnings.is_empty() {
        return;
    }
    page.heading("Mind");
    for severity in [Severity::Danger, Severity::Caution, Severity::Note] {
        let mut grouped: Vec<(&str, Vec<String>)> = Vec::new();
        for warning in warnings.iter().filter(|w| w.severity == severity) {
            let who = subject(report, &warning.about);
            match grouped.iter_mut().find(|g| g.0 == warning.text) {
                Some(group) if group.1.contains(&who) => {}
                Some(group) => group.1.push(who),
                None => grouped.push((&warning.text, vec![who])),
            }
        }
        let lines: Vec<String> = grouped
            .into_iter()
            .map(|(text, who)| format!("{}: {text}", who.join(", ")))
            .collect();
        if lines.is_empty() {
            continue;
        }
        let signal = match severity {
            Severity::Danger => "Danger",
            Severity::Caution => "Caution",
            Severity::Note => "Note",
        };
        page.boxed(severity, signal, &lines);
    }
}

/// Bare readings take a default uncertainty each: they are counted, and the rest is said.
fn assumptions(page: &mut Page, assumptions: &[Assumption]) {
    if assumptions.is_empty() {
        return;
    }
    page.heading("Taken for granted where nothing was said");
    let bare = assumptions
        .iter()
        .filter(|a| a.text.contains("stands bare"))
        .count();
    let mut said: Vec<&str> = Vec::new();
    for assumption in assumptions
        .iter()
        .filter(|a| !a.text.contains("stands bare"))
    {
        if !said.contains(&assumption.text.as_ref()) {
            said.push(&assumption.text);
        }
    }
    page.points(&said);
    if bare > 0 {
        page.paragraph(&format!(
            "Besides, {} no uncertainty of their own and took the usual one of their kind; the JSON answer lists each.",
            plural(bare, "reading gave", "readings gave")
        ));
    }
}

fn sources(page: &mut Page, keys: &[&'static str]) {
    page.heading("Where the figures come from");
    let lines: Vec<String> = keys
        .iter()
        .filter_map(|key| reference(key))
        .map(|r| format!("{} ({})", r.citation, r.status.words()))
        .collect();
    page.points(&lines);
}
