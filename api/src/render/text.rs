//! Text for a terminal: 80 columns, wrapped by what is seen, and a small kit to set a page with.

use super::{by_number, turns};
use spent_silver_domain::answer::{Notice, Severity};
use spent_silver_domain::document::{Align, Block, Chart, Column, Document, FieldLine, StepLine};
use unicode_width::{UnicodeWidthChar as _, UnicodeWidthStr as _};

/// Columns of a page.
pub const WIDTH: usize = 80;
/// Spaces between the columns of a table.
const GUTTER: usize = 2;
/// A line to fill in by hand.
const BLANK: &str = "______________________________";

/// Columns that `text` takes on a terminal.
#[must_use]
pub fn width_of(text: &str) -> usize {
    text.width()
}

/// Text without what a terminal would obey: control characters and marks that turn the direction
/// of reading.
fn tame(text: &str) -> String {
    let mut out = String::with_capacity(text.len());
    for letter in text.chars() {
        match letter {
            c if c.is_control() => out.push(' '),
            c if turns(c) => out.push_str(&by_number(c)),
            c => out.push(c),
        }
    }
    out
}

/// Wraps text at spaces to lines of at most `width` columns; a word that is longer is broken.
/// Empty text gives one empty line.
#[must_use]
pub fn wrap(text: &str, width: usize) -> Vec<String> {
    let width = width.max(1);
    let text = tame(text);
    let mut lines = Vec::new();
    let mut line = String::new();
    for word in text.split_whitespace() {
        let needed = word.width().saturating_add(usize::from(!line.is_empty()));
        if line.width().saturating_add(needed) <= width {
            if !line.is_empty() {
                line.push(' ');
            }
            line.push_str(word);
            continue;
        }
        if !line.is_empty() {
            lines.push(std::mem::take(&mut line));
        }
        for letter in word.chars() {
            let next = line.width().saturating_add(letter.width().unwrap_or(0));
            if next > width && !line.is_empty() {
                lines.push(std::mem::take(&mut line));
            }
            line.push(letter);
        }
    }
    if !line.is_empty() || lines.is_empty() {
        lines.push(line);
    }
    lines
}

fn padded(text: &str, width: usize, align: Align) -> String {
    let space = " ".repeat(width.saturating_sub(text.width()));
    match align {
        Align::Left => format!("{text}{space}"),
        Align::Right => format!("{space}{text}"),
    }
}

/// One entry of a ranked list of what to do.
#[derive(Debug, Clone, Copy)]
pub struct Task<'a> {
    /// When, such as "today" or a date; empty when any day will do.
    pub when: &'a str,
    /// What to do.
    pub what: &'a str,
    /// Why, or what it brings; may be empty.
    pub why: &'a str,
}

/// A page being set.
#[derive(Debug, Clone)]
pub struct Page {
    out: String,
    width: usize,
    heard: String,
}

impl Default for Page {
    fn default() -> Self {
        Self::new()
    }
}

impl Page {
    /// An empty page of [`WIDTH`] columns.
    #[must_use]
    pub const fn new() -> Self {
        Self {
            out: String::new(),
            width: WIDTH,
            heard: String::new(),
        }
    }

    /// Counts `text` as said, where a table or a field says the same.
    pub fn hear(&mut self, text: &str) {
        self.heard
            .extend(tame(text).split_whitespace().flat_map(|w| [w, " "]));
        self.heard.push('\n');
    }

    /// Whether running text, a list or a box of this page has said `text` already, word for word.
    #[must_use]
    pub fn has_said(&self, text: &str) -> bool {
        let words: Vec<String> = tame(text).split_whitespace().map(str::to_owned).collect();
        self.heard.contains(&words.join(" "))
    }

    /// The page: no line ends in spaces, and the last one ends.
    #[must_use]
    pub fn finish(self) -> String {
        let mut out = self.out.trim_end().to_owned();
        out.push('\n');
        out
    }

    fn line(&mut self, text: &str) {
        self.out.push_str(text.trim_end());
        self.out.push('\n');
    }

    /// One empty line, never two.
    pub fn gap(&mut self) {
        if !self.out.is_empty() && !self.out.ends_with("\n\n") {
            self.out.push('\n');
        }
    }

    /// The heading of the page, with something short at its right, over a double rule.
    pub fn title(&mut self, text: &str, right: &str) {
        let room = self
            .width
            .saturating_sub(right.width())
            .saturating_sub(usize::from(!right.is_empty()).saturating_mul(GUTTER));
        let lines = wrap(text, room.max(20));
        for (i, line) in lines.iter().enumerate() {
            if i == 0 && !right.is_empty() {
                let space = self
                    .width
                    .saturating_sub(line.width())
                    .saturating_sub(right.width());
                self.line(&format!("{line}{}{}", " ".repeat(space), tame(right)));
            } else {
                self.line(line);
            }
        }
        self.line(&"═".repeat(self.width));
    }

    /// A heading over a rule.
    pub fn heading(&mut self, text: &str) {
        self.gap();
        for line in wrap(text, self.width) {
            self.line(&line);
        }
        self.line(&"─".repeat(self.width));
    }

    /// Running text.
    pub fn paragraph(&mut self, text: &str) {
        self.indented(text, 0);
        self.gap();
    }

    /// Running text, moved in by `indent` columns, without an empty line after it.
    pub fn indented(&mut self, text: &str, indent: usize) {
        self.hear(text);
        let margin = " ".repeat(indent);
        for line in wrap(text, self.width.saturating_sub(indent)) {
            self.line(&format!("{margin}{line}"));
        }
    }

    /// Text after a mark such as "•" or "1.": later lines hang below the first word.
    pub fn hanging(&mut self, mark: &str, text: &str, indent: usize) {
        self.hear(text);
        let hang = indent.saturating_add(mark.width()).saturating_add(1);
        for (i, line) in wrap(text, self.width.saturating_sub(hang))
            .iter()
            .enumerate()
        {
            if i == 0 {
                self.line(&format!("{}{mark} {line}", " ".repeat(indent)));
            } else {
                self.line(&format!("{}{line}", " ".repeat(hang)));
            }
        }
    }

    /// A list of points.
    pub fn points<S: AsRef<str>>(&mut self, points: &[S]) {
        for point in points {
            self.hanging("•", point.as_ref(), 0);
        }
        self.gap();
    }

    /// Names with their values in two columns; a missing value is a line to fill in.
    pub fn fields(&mut self, fields: &[FieldLine]) {
        const WIDEST: usize = 24;
        let names = fields
            .iter()
            .map(|f| f.label.width())
            .max()
            .unwrap_or(0)
            .min(WIDEST);
        let room = self.width.saturating_sub(names).saturating_sub(GUTTER);
        for field in fields {
            let labels = wrap(&field.label, names.max(1));
            let values = wrap(field.value.as_deref().unwrap_or(BLANK), room);
            for i in 0..labels.len().max(values.len()) {
                let label = labels.get(i).map_or("", String::as_str);
                let value = values.get(i).map_or("", String::as_str);
                self.line(&format!(
                    "{}{}{value}",
                    padded(label, names, Align::Left),
                    " ".repeat(GUTTER)
                ));
            }
        }
        self.gap();
    }

    /// A table: words at the left, figures and money at the right; a column of words gives way
    /// and wraps when the page is too narrow.
    pub fn table(&mut self, columns: &[Column], rows: &[Vec<String>], total: Option<&[String]>) {
        let cell = |row: &[String], i: usize| row.get(i).map_or("", String::as_str).to_owned();
        let all = || rows.iter().map(Vec::as_slice).chain(total);
        let mut widths: Vec<usize> = columns
            .iter()
            .enumerate()
            .map(|(i, c)| {
                let heading = c.heading.width();
                all()
                    .map(|row| cell(row, i).width())
                    .max()
                    .unwrap_or(0)
                    .max(heading)
            })
            .collect();
        self.fit(&mut widths);
        let headings: Vec<String> = columns.iter().map(|c| c.heading.clone()).collect();
        self.row(columns, &widths, &headings);
        let whole = widths
            .iter()
            .sum::<usize>()
            .saturating_add(GUTTER.saturating_mul(widths.len().saturating_sub(1)));
        self.line(&"─".repeat(whole));
        for row in rows {
            self.row(columns, &widths, row);
        }
        if let Some(total) = total {
            self.line(&"─".repeat(whole));
            self.row(columns, &widths, total);
        }
        self.gap();
    }

    /// Takes columns from the widest until all of them fit.
    fn fit(&self, widths: &mut [usize]) {
        let gutters = GUTTER.saturating_mul(widths.len().saturating_sub(1));
        let room = self.width.saturating_sub(gutters);
        while widths.iter().sum::<usize>() > room {
            match widths.iter_mut().max() {
                Some(widest) if *widest > 1 => *widest = widest.saturating_sub(1),
                _ => break,
            }
        }
    }

    fn row(&mut self, columns: &[Column], widths: &[usize], row: &[String]) {
        let cells: Vec<Vec<String>> = widths
            .iter()
            .enumerate()
            .map(|(i, width)| wrap(row.get(i).map_or("", String::as_str), *width))
            .collect();
        let height = cells.iter().map(Vec::len).max().unwrap_or(0);
        for i in 0..height {
            let line: Vec<String> = columns
                .iter()
                .zip(widths)
                .zip(&cells)
                .map(|((column, width), cell)| {
                    padded(cell.get(i).map_or("", String::as_str), *width, column.align)
                })
                .collect();
            self.line(&line.join(&" ".repeat(GUTTER)));
        }
    }

    /// Warnings, the gravest first, a box for each severity that has any.
    pub fn warned<S: AsRef<str>>(&mut self, lines_of: impl Fn(Severity) -> Vec<S>) {
        for (severity, signal) in [
            (Severity::Danger, "Danger"),
            (Severity::Caution, "Caution"),
            (Severity::Note, "Note"),
        ] {
            let lines = lines_of(severity);
            if !lines.is_empty() {
                self.boxed(severity, signal, &lines);
            }
        }
    }

    /// A warning in a box; the box of a danger has double walls.
    pub fn boxed<S: AsRef<str>>(&mut self, severity: Severity, signal: &str, lines: &[S]) {
        let walls = match severity {
            Severity::Danger => ["╔", "═", "╗", "║", "╚", "╝"],
            Severity::Caution => ["┏", "━", "┓", "┃", "┗", "┛"],
            Severity::Note => ["┌", "─", "┐", "│", "└", "┘"],
        };
        let [top_left, flat, top_right, side, low_left, low_right] = walls;
        let inner = self.width.saturating_sub(4);
        let signal = tame(signal).to_uppercase();
        self.gap();
        self.line(&format!(
            "{top_left}{flat} {signal} {}{top_right}",
            flat.repeat(self.width.saturating_sub(signal.width().saturating_add(5)))
        ));
        for text in lines {
            self.hear(text.as_ref());
            let wrapped = wrap(text.as_ref(), inner.saturating_sub(2));
            for (i, line) in wrapped.iter().enumerate() {
                let mark = if i == 0 && lines.len() > 1 {
                    "• "
                } else if lines.len() > 1 {
                    "  "
                } else {
                    ""
                };
                let line = padded(&format!("{mark}{line}"), inner, Align::Left);
                self.line(&format!("{side} {line} {side}"));
            }
        }
        self.line(&format!(
            "{low_left}{}{low_right}",
            flat.repeat(self.width.saturating_sub(2))
        ));
        self.gap();
    }

    /// A ranked list of what to do, with dates in a column of their own.
    pub fn tasks(&mut self, tasks: &[Task<'_>]) {
        let dates = tasks.iter().map(|t| t.when.width()).max().unwrap_or(0);
        let ranks = tasks.len().to_string().len().saturating_add(1);
        let indent = ranks
            .saturating_add(dates)
            .saturating_add(GUTTER.saturating_mul(2));
        for (i, task) in tasks.iter().enumerate() {
            let rank = padded(&format!("{}.", i.saturating_add(1)), ranks, Align::Right);
            let when = padded(&tame(task.when), dates, Align::Left);
            let gutter = " ".repeat(GUTTER);
            self.hear(task.what);
            let lines = wrap(task.what, self.width.saturating_sub(indent));
            for (j, line) in lines.iter().enumerate() {
                if j == 0 {
                    self.line(&format!("{rank}{gutter}{when}{gutter}{line}"));
                } else {
                    self.line(&format!("{}{line}", " ".repeat(indent)));
                }
            }
            if !task.why.is_empty() {
                self.indented(task.why, indent);
            }
        }
        self.gap();
    }

    /// Boxes to tick.
    pub fn checks<S: AsRef<str>>(&mut self, checks: &[S]) {
        for check in checks {
            self.hanging("[ ]", check.as_ref(), 0);
        }
        self.gap();
    }

    /// Lines to fill in by hand.
    pub fn blanks<S: AsRef<str>>(&mut self, blanks: &[S]) {
        let names = blanks.iter().map(|b| b.as_ref().width()).max().unwrap_or(0);
        let names = names.min(self.width / 2);
        let room = self.width.saturating_sub(names).saturating_sub(GUTTER);
        for blank in blanks {
            self.gap();
            let lines = wrap(blank.as_ref(), names.max(1));
            for (i, line) in lines.iter().enumerate() {
                let rule = if i.saturating_add(1) == lines.len() {
                    "_".repeat(room)
                } else {
                    String::new()
                };
                self.line(&format!(
                    "{}{}{rule}",
                    padded(line, names, Align::Left),
                    " ".repeat(GUTTER)
                ));
            }
        }
        self.gap();
    }

    /// Numbered steps: what goes in, what to mind and how to see that it is done stand with each.
    pub fn steps(&mut self, steps: &[StepLine], tick: bool) {
        for (i, step) in steps.iter().enumerate() {
            let number = i.saturating_add(1);
            let mark = if tick {
                format!("[ ] {number}.")
            } else {
                format!("{number}.")
            };
            let indent = mark.width().saturating_add(1);
            self.hanging(&mark, &step.action, 0);
            for add in &step.adds {
                self.hanging("+", add, indent);
            }
            for caution in &step.cautions {
                self.hanging("!", caution, indent);
            }
            if let Some(check) = &step.check {
                self.hanging("Done when:", check, indent);
            }
            self.gap();
        }
    }

    /// Local rules and licensed practice come first: the end of every page.
    pub fn notice(&mut self, notice: &Notice) {
        self.heading("Local rules come first");
        self.paragraph(&notice.text);
        self.points(&notice.confirm);
        self.paragraph(&format!(
            "Rules: {} (edition: {}).",
            notice.rule_set, notice.edition
        ));
    }

    fn block(&mut self, block: &Block) {
        match block {
            Block::Banner { text } => {
                self.gap();
                let text = tame(text);
                let space = self.width.saturating_sub(text.width()) / 2;
                self.line(&format!("{}{text}", " ".repeat(space)));
                self.gap();
            }
            Block::Paragraph { text } => self.paragraph(text),
            Block::Fields { fields } => self.fields(fields),
            Block::Table {
                columns,
                rows,
                total,
            } => self.table(columns, rows, total.as_deref()),
            Block::Points { points } => self.points(points),
            Block::Steps { steps, tick } => self.steps(steps, *tick),
            Block::Warning {
                severity,
                signal,
                lines,
            } => self.boxed(*severity, signal, lines),
            Block::Checks { checks } => self.checks(checks),
            Block::Chart { chart } => self.chart(chart),
            Block::Pictograms { pictograms } => {
                let words: Vec<&str> = pictograms.iter().map(|p| p.words()).collect();
                self.paragraph(&format!("Pictograms: {}.", words.join(", ")));
            }
            Block::Blanks { blanks } => self.blanks(blanks),
        }
    }

    /// A chart as the table of its figures.
    fn chart(&mut self, chart: &Chart) {
        let (columns, rows) = chart.table();
        self.paragraph(&chart.title);
        self.table(&columns, &rows, None);
        self.paragraph(&chart.caption);
    }
}

/// A document as text of 80 columns.
#[must_use]
pub fn document(document: &Document) -> String {
    const LONGEST_RIGHT: usize = 40;
    let mut page = Page::new();
    let date = document.dated_on.to_string();
    let id = tame(document.id.as_deref().unwrap_or_default());
    let right = format!("{id}  {date}");
    if id.is_empty() || right.width() > LONGEST_RIGHT {
        page.title(&document.title, &date);
        if !id.is_empty() {
            page.indented(&id, 0);
        }
    } else {
        page.title(&document.title, &right);
    }
    page.gap();
    for section in &document.sections {
        if let Some(heading) = &section.heading {
            page.heading(heading);
        }
        for block in &section.blocks {
            page.block(block);
        }
    }
    page.notice(&document.notice);
    page.paragraph(&format!("Record: {}", document.record_id));
    if let Some(hash) = &document.sha256 {
        page.paragraph(&format!("SHA-256: {hash}"));
    }
    page.finish()
}
