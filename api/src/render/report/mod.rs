//! The report on a studio as text: first what to do, then the reasons, then the steps.
//!
//! The JSON keeps everything; the text says each thing once. What several containers share is
//! printed once with their names, and what a page has said already is not said again. No warning
//! is dropped: a danger stands in the first screen and beside what it concerns.

mod law;
mod money;
mod plans;

use super::budget::write_budget;
use super::text::{Page, Task, width_of};
use spent_silver_domain::answer::{Answer, Assumption, Severity, Warning};
use spent_silver_domain::bibliography::{Reference, SourceStatus, reference};
use spent_silver_domain::decision::LotAction;
use spent_silver_domain::document::{
    Column, FieldLine, figure, interval_in_words, silver_in_words,
};
use spent_silver_domain::estimate::Agreement;
use spent_silver_domain::quantity::{
    Computed, Date, Identifier, Unit, rounded_with_uncertainty, write_significant,
};
use spent_silver_domain::report::{BatchReport, Report, Totals, Urgency};

/// The report as text of 80 columns. Every warning and the notice are on it.
#[must_use]
pub fn report(answer: &Answer<Report>) -> String {
    let report = &answer.result;
    let mut sources = Sources::default();
    let mut page = Page::new();
    page.title(
        &format!("{}: silver and waste", report.studio),
        &report.on.to_string(),
    );
    opening(&mut page, report);
    dangers(&mut page, report, &answer.warnings);
    to_do(&mut page, report);
    containers(&mut page, report);
    apart(&mut page, report);
    money::lots(&mut page, report);
    law::law(&mut page, report, &answer.notice.confirm, &mut sources);
    plans::how_to(&mut page, report, &mut sources);
    if let Some(budget) = &report.budget {
        page.heading("What silver costs");
        write_budget(&mut page, budget);
    }
    mind(&mut page, report, &answer.warnings);
    assumptions(&mut page, &answer.assumptions, &mut sources);
    sources.write(&mut page, answer.references.len());
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

fn names(of: &[Identifier]) -> String {
    of.iter()
        .map(Identifier::as_str)
        .collect::<Vec<_>>()
        .join(", ")
}

/// Texts with everyone they are about, in the order of their first appearance.
#[derive(Default)]
struct Grouped(Vec<(Vec<String>, String)>);

impl Grouped {
    fn add(&mut self, who: &str, text: &str) {
        match self.0.iter_mut().find(|g| g.1 == text) {
            Some(group) if group.0.iter().any(|w| w == who) => {}
            Some(group) => group.0.push(who.to_owned()),
            None => self.0.push((vec![who.to_owned()], text.to_owned())),
        }
    }

    fn lines(&self) -> Vec<String> {
        self.0
            .iter()
            .map(|(who, text)| format!("{}: {text}", who.join(", ")))
            .collect()
    }

    fn points(&self, page: &mut Page) {
        for line in self.lines() {
            page.hanging("•", &line, 0);
        }
    }
}

/// In a few lines: how much, what it is worth, the danger, and the next date.
fn opening(page: &mut Page, report: &Report) {
    let totals = &report.totals;
    let mut fields = vec![FieldLine::new("Silver", silver_known(totals))];
    if let (Some(currency), Some(value)) = (totals.currency, totals.metal_value) {
        fields.push(FieldLine::new(
            "As metal",
            format!("{currency} {value}, before anyone's charges"),
        ));
        let unknown = totals.lots_without_figure_count;
        let besides = if unknown == 0 {
            String::new()
        } else {
            format!(
                "; for {} no sum can be given yet",
                plural(unknown, "lot", "lots")
            )
        };
        fields.push(FieldLine::new(
            "After charges",
            totals.net_as_decided.map_or_else(
                || format!("not known{besides}"),
                |net| {
                    let kept = totals.kept_by_restoring.map_or_else(String::new, |kept| {
                        format!("; {currency} {kept} of it is silver nitrate not bought again")
                    });
                    format!("{currency} {net}, done as advised below{kept}{besides}")
                },
            ),
        ));
    }
    let endangered: Vec<String> = report
        .batches
        .iter()
        .filter(|b| b.danger.is_some())
        .map(|b| format!("{} ({})", b.id, b.kind.words()))
        .collect();
    if !endangered.is_empty() {
        fields.push(FieldLine::new(
            "Danger",
            format!("{}: make it safe today", endangered.join(", ")),
        ));
    }
    fields.push(FieldLine::new(
        "Next date",
        next_date(report).map_or_else(
            || "none follows from what was stated".to_owned(),
            |(day, what)| format!("{day}: {what}"),
        ),
    ));
    page.gap();
    page.fields(&fields);
}

fn silver_known(totals: &Totals) -> String {
    let containers = plural(totals.container_count, "container", "containers");
    if totals.measured_count == 0 {
        return format!("not known: none of {containers} has a reading that gives a figure");
    }
    let u = totals.standard_uncertainty_g.get();
    let end = |x: f64| rounded_with_uncertainty(x, u).0;
    let upper = totals
        .interval_95_g
        .upper
        .map_or_else(|| "more".to_owned(), |x| end(x.get()));
    format!(
        "{} in {} of {containers}: {} to {upper} g, 95 times in 100; about {} troy ounces",
        figure(totals.silver_g.get(), u, "g"),
        totals.measured_count,
        end(totals.interval_95_g.lower.get()),
        short(totals.silver_ozt, 3),
    )
}

/// The first day after today on which something is due.
fn next_date(report: &Report) -> Option<(Date, String)> {
    let mut days = Vec::new();
    for lot in &report.lots {
        let who = names(&lot.batches);
        let decision = &lot.decision;
        let latest = decision.latest.as_ref().map(|l| l.on);
        match decision.verdict {
            LotAction::Hold => days.extend(
                decision
                    .look_again_on
                    .map(|d| (d, format!("look again at {who}"))),
            ),
            LotAction::HaulAway => days.extend(
                decision
                    .call_by_on
                    .or(latest)
                    .map(|d| (d, format!("call the haulier about {who} by then"))),
            ),
            _ => days.extend(latest.map(|d| (d, format!("the latest day for {who}")))),
        }
    }
    for batch in &report.batches {
        days.extend(
            batch
                .classification
                .clock
                .as_ref()
                .map(|c| (c.due_on, format!("{} must have left", batch.id))),
        );
    }
    days.into_iter().filter(|d| d.0 > report.on).min()
}

/// What a pointer into the result is about, in the reader's own names.
fn subject(report: &Report, about: &str) -> Vec<String> {
    let mut parts = about.split('/').skip(1);
    let list = parts.next();
    let index = parts.next().and_then(|i| i.parse::<usize>().ok());
    match (list, index) {
        (Some("batches"), Some(i)) => report.batches.get(i).map(|b| vec![b.id.to_string()]),
        (Some("lots"), Some(i)) => report
            .lots
            .get(i)
            .map(|l| l.batches.iter().map(Identifier::to_string).collect()),
        _ => None,
    }
    .unwrap_or_else(|| vec!["all".to_owned()])
}

fn grouped_warnings<'a>(report: &Report, warnings: impl Iterator<Item = &'a Warning>) -> Grouped {
    let mut grouped = Grouped::default();
    for warning in warnings {
        for who in subject(report, &warning.about) {
            grouped.add(&who, &warning.text);
        }
    }
    grouped
}

/// Every danger, in the first screen.
fn dangers(page: &mut Page, report: &Report, warnings: &[Warning]) {
    let endangered = |about: &str| {
        report
            .batches
            .iter()
            .enumerate()
            .any(|(i, b)| b.danger.is_some() && about.starts_with(&format!("/batches/{i}/")))
    };
    let mut found: Vec<&Warning> = warnings
        .iter()
        .filter(|w| w.severity == Severity::Danger)
        .collect();
    // What a plan brings with it concerns those who take it: it comes last.
    found.sort_by_key(|w| (!endangered(&w.about), w.about.contains("/plans/")));
    let lines = grouped_warnings(report, found.into_iter()).lines();
    if !lines.is_empty() {
        page.boxed(Severity::Danger, "Danger", &lines);
        for warning in warnings.iter().filter(|w| w.severity == Severity::Danger) {
            page.hear(&warning.text);
        }
    }
}

fn to_do(page: &mut Page, report: &Report) {
    page.heading("What to do, the most urgent first");
    let whens: Vec<String> = report
        .to_do
        .iter()
        .map(|t| match (t.urgency, t.by_on) {
            (Urgency::Today, _) => "TODAY".to_owned(),
            (Urgency::Dated, Some(day)) => format!("by {day}"),
            (Urgency::Soon, _) => "soon".to_owned(),
            _ => "in time".to_owned(),
        })
        .collect();
    let tasks: Vec<Task<'_>> = report
        .to_do
        .iter()
        .zip(&whens)
        .map(|(t, when)| Task {
            when,
            what: &t.what,
            why: if page.has_said(&t.why) { "" } else { &t.why },
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
    if estimate.by_evidence.iter().all(|e| e.kind == "stated") {
        // What holds cyanide is not opened for a reading.
        let advice = if batch.recovery.as_ref().is_some_and(|r| r.refusal.is_some()) {
            "and it is not to be opened for one"
        } else {
            "take one"
        };
        return Some(format!(
            "{}: no reading yet, only your word: {advice}.",
            batch.id
        ));
    }
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
        .filter(|e| e.kind != "stated")
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
    let mut groups: Vec<(&str, bool, Vec<[&str; 2]>)> = Vec::new();
    for pair in &report.keep_apart {
        let [a, b] = &pair.batches;
        let pair_of = [a.as_str(), b.as_str()];
        match groups
            .iter_mut()
            .find(|g| g.0 == pair.happens && g.1 == pair.apart_everywhere)
        {
            Some(group) => group.2.push(pair_of),
            None => groups.push((&pair.happens, pair.apart_everywhere, vec![pair_of])),
        }
    }
    for (happens, everywhere, pairs) in groups {
        let place = if everywhere {
            " Not even one tray, sink, cupboard or vehicle."
        } else {
            " Not one into the other."
        };
        page.hanging(
            "•",
            &format!("{}: {happens}{place}", pairs_in_words(&pairs)),
            0,
        );
    }
    page.gap();
}

/// Pairs in few words: where everything on one side meets everything on the other, the two sides.
fn pairs_in_words(pairs: &[[&str; 2]]) -> String {
    let neighbours = |of: &str| -> Vec<&str> {
        pairs
            .iter()
            .filter_map(|[a, b]| match (*a == of, *b == of) {
                (true, _) => Some(*b),
                (_, true) => Some(*a),
                _ => None,
            })
            .collect()
    };
    let Some([first, _]) = pairs.first() else {
        return String::new();
    };
    let right = neighbours(first);
    let mut left: Vec<&str> = Vec::new();
    for name in pairs.iter().flatten() {
        if !left.contains(name) && !right.contains(name) {
            left.push(name);
        }
    }
    let whole = left.iter().all(|l| {
        let theirs = neighbours(l);
        theirs.len() == right.len() && right.iter().all(|r| theirs.contains(r))
    });
    if pairs.len() > 1 && whole && pairs.len() == left.len().saturating_mul(right.len()) {
        return format!("{} with {}", left.join(", "), right.join(", "));
    }
    pairs
        .iter()
        .map(|[a, b]| format!("{a} with {b}"))
        .collect::<Vec<_>>()
        .join("; ")
}

/// The warnings that nothing above has said.
fn mind(page: &mut Page, report: &Report, warnings: &[Warning]) {
    let unsaid: Vec<&Warning> = warnings
        .iter()
        .filter(|w| !page.has_said(&w.text))
        .collect();
    if unsaid.is_empty() {
        return;
    }
    page.heading("Mind");
    page.warned(|severity| {
        let of = unsaid.iter().copied().filter(|w| w.severity == severity);
        grouped_warnings(report, of).lines()
    });
}

/// What was assumed, by its source. Bare readings take a default uncertainty each: they are counted.
pub(super) fn assumptions(page: &mut Page, assumptions: &[Assumption], sources: &mut Sources) {
    if assumptions.is_empty() {
        return;
    }
    page.heading("Taken for granted where nothing was said");
    let is_bare = |a: &&Assumption| a.text.contains("stands bare");
    let bare = assumptions.iter().filter(is_bare).count();
    let mut by_source: Vec<(&str, Vec<&str>)> = Vec::new();
    for assumption in assumptions.iter().filter(|a| !is_bare(a)) {
        match by_source.iter_mut().find(|s| s.0 == assumption.source) {
            Some(known) if known.1.contains(&assumption.text.as_ref()) => {}
            Some(known) => known.1.push(&assumption.text),
            None => by_source.push((assumption.source, vec![&assumption.text])),
        }
    }
    for (source, texts) in by_source {
        let mark = sources
            .number(source)
            .map_or_else(String::new, |n| format!(" [{n}]"));
        for few in texts.chunks(4) {
            page.hanging("•", &format!("{}{mark}", few.join(" ")), 0);
        }
    }
    page.gap();
    if bare > 0 {
        page.paragraph(&format!(
            "Besides, {} no uncertainty of their own and took the usual one of their kind; the JSON answer lists each.",
            plural(bare, "reading gave", "readings gave")
        ));
    }
}

/// The sources that the page refers to, numbered as they come.
#[derive(Default)]
pub(super) struct Sources(Vec<&'static Reference>);

impl Sources {
    /// The number of a source; a new one goes to the end of the list. What has no outside source
    /// says so in its own words.
    fn number(&mut self, key: &str) -> Option<usize> {
        let source = reference(key).filter(|r| r.status != SourceStatus::CommonPractice)?;
        let place = self.0.iter().position(|r| r.key == source.key);
        let place = place.unwrap_or_else(|| {
            self.0.push(source);
            self.0.len().saturating_sub(1)
        });
        Some(place.saturating_add(1))
    }

    pub(super) fn write(&self, page: &mut Page, of_all: usize) {
        page.heading("Where the figures come from");
        for (i, source) in self.0.iter().enumerate() {
            let number = i.saturating_add(1);
            let mark = format!("{:>4}", format!("[{number}]"));
            let status = format!(" ({})", source.status.words());
            let room = super::text::WIDTH
                .saturating_sub(width_of(&mark))
                .saturating_sub(width_of(&status))
                .saturating_sub(1);
            page.hanging(
                &mark,
                &format!("{}{status}", cut(&source.citation, room)),
                0,
            );
        }
        page.gap();
        let rest = of_all.saturating_sub(self.0.len());
        if rest > 0 {
            let these = if self.0.is_empty() {
                String::new()
            } else {
                "Each is cut to a line. ".to_owned()
            };
            let more = if self.0.is_empty() { "" } else { " more" };
            page.paragraph(&format!(
                "{these}{rest}{more} stand behind the methods; the JSON answer names every one, and `GET /v1/references` has them in full."
            ));
        }
    }
}

/// The text up to the last word that fits, with an ellipsis where something is left out.
fn cut(text: &str, width: usize) -> String {
    if width_of(text) <= width {
        return text.to_owned();
    }
    let mut out = String::new();
    for word in text.split_whitespace() {
        let needed = width_of(&out)
            .saturating_add(width_of(word))
            .saturating_add(2);
        if needed > width {
            break;
        }
        if !out.is_empty() {
            out.push(' ');
        }
        out.push_str(word);
    }
    format!("{}…", out.trim_end_matches([',', ';', ':', '(']))
}
