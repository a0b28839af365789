//! HTML that prints well on A4 and Letter: one self-contained page, nothing fetched, everything escaped.

use super::{by_number, chart, pictogram, qr, turns};
use spent_silver_domain::answer::Severity;
use spent_silver_domain::document::{
    Align, Block, Column, Document, DocumentKind, PaperSize, StepLine,
};
use std::fmt::Write as _;

const STYLE: &str = include_str!("document.css");

/// How what stands in a block is set: its text, made HTML, and the figures in it.
#[derive(Clone, Copy)]
pub(crate) struct Setting {
    pub text: fn(&str) -> String,
    pub figure: fn(&str) -> String,
}

/// A paper is a record: days and figures stay as they were written.
const PAPER: Setting = Setting {
    text: escape,
    figure: str::to_owned,
};

/// Text with every character that HTML would read as its own written out.
#[must_use]
pub fn escape(text: &str) -> String {
    let mut out = String::with_capacity(text.len());
    for letter in text.chars() {
        match letter {
            '&' => out.push_str("&amp;"),
            '<' => out.push_str("&lt;"),
            '>' => out.push_str("&gt;"),
            '"' => out.push_str("&quot;"),
            '\'' => out.push_str("&#39;"),
            c if turns(c) => out.push_str(&by_number(c)),
            _ => out.push(letter),
        }
    }
    out
}

/// A document as one HTML page.
#[must_use]
pub fn document(document: &Document) -> String {
    let title = escape(&document.title);
    let kind = match document.kind {
        DocumentKind::ContainerLabel => "label",
        DocumentKind::EmergencyPosting | DocumentKind::WallSheet => "posted",
        _ => "sheet",
    };
    let size = match document.paper_size {
        PaperSize::A4 => "A4",
        PaperSize::UsLetter => "letter",
        PaperSize::A6 => "148mm 105mm; margin: 4mm",
    };
    let mut out = String::new();
    let _ = write!(
        out,
        "<!DOCTYPE html>\n<html lang=\"en\">\n<head>\n<meta charset=\"utf-8\">\n\
         <meta name=\"viewport\" content=\"width=device-width, initial-scale=1\">\n\
         <meta http-equiv=\"Content-Security-Policy\" content=\"default-src 'none'; style-src 'unsafe-inline'\">\n\
         <title>{title}</title>\n<style>\n{STYLE}@page {{ size: {size}; }}\n</style>\n</head>\n<body>\n<main class=\"{kind}\">\n"
    );
    out.push_str("<header>\n");
    let _ = writeln!(out, "<h1>{title}</h1>");
    out.push_str("<p class=\"stamp\">");
    if let Some(id) = &document.id {
        let _ = write!(out, "<span class=\"id\">{}</span> ", escape(id));
    }
    let _ = writeln!(out, "<time>{}</time></p>", document.dated_on);
    if let Some(code) = qr::svg(&document.code()) {
        let _ = writeln!(out, "{}", inline(&code));
    }
    out.push_str("</header>\n");
    write_sections(&mut out, document, PAPER);
    let notice = &document.notice;
    let _ = writeln!(
        out,
        "<footer>\n<h2>Local rules come first</h2>\n<p>{}</p>",
        escape(&notice.text)
    );
    write_list(&mut out, "ul", "", &notice.confirm, PAPER);
    let _ = write!(
        out,
        "<p class=\"rules\">Rules: {} (edition: {}).</p>\n<p class=\"rules\">Record {}<br>SHA-256 {}</p>\n</footer>\n</main>\n</body>\n</html>\n",
        escape(&notice.rule_set),
        escape(&notice.edition),
        escape(&document.record_id),
        document.sha256.as_deref().unwrap_or("none")
    );
    out
}

/// What a document says, without its head and its foot, to stand in another page.
pub(crate) fn sections(document: &Document, set: Setting) -> String {
    let mut out = String::new();
    write_sections(&mut out, document, set);
    out
}

/// One block, to stand in another page.
pub(crate) fn block(block: &Block, set: Setting) -> String {
    let mut out = String::new();
    write_block(&mut out, block, set);
    out
}

fn write_sections(out: &mut String, document: &Document, set: Setting) {
    for section in &document.sections {
        out.push_str("<section>\n");
        if let Some(heading) = &section.heading {
            let _ = writeln!(out, "<h2>{}</h2>", (set.text)(heading));
        }
        for block in &section.blocks {
            write_block(out, block, set);
        }
        out.push_str("</section>\n");
    }
}

fn write_list(out: &mut String, tag: &str, class: &str, items: &[String], set: Setting) {
    if items.is_empty() {
        return;
    }
    let class = if class.is_empty() {
        String::new()
    } else {
        format!(" class=\"{class}\"")
    };
    let _ = writeln!(out, "<{tag}{class}>");
    for item in items {
        let _ = writeln!(out, "<li>{}</li>", (set.text)(item));
    }
    let _ = writeln!(out, "</{tag}>");
}

/// A picture as it stands in a page: it needs no namespace there, and the page names no address.
fn inline(svg: &str) -> String {
    svg.replace(" xmlns=\"http://www.w3.org/2000/svg\"", "")
}

fn write_block(out: &mut String, block: &Block, set: Setting) {
    match block {
        Block::Banner { text } => {
            let _ = writeln!(out, "<p class=\"banner\">{}</p>", (set.text)(text));
        }
        Block::Paragraph { text } => {
            let _ = writeln!(out, "<p>{}</p>", (set.text)(text));
        }
        Block::Fields { fields } => {
            out.push_str("<table class=\"fields\">\n");
            for field in fields {
                let value = field.value.as_deref().map_or_else(
                    || "<td class=\"blank\"></td>".to_owned(),
                    |v| format!("<td>{}</td>", (set.text)(v)),
                );
                let _ = writeln!(
                    out,
                    "<tr><th scope=\"row\">{}</th>{value}</tr>",
                    (set.text)(&field.label)
                );
            }
            out.push_str("</table>\n");
        }
        Block::Table {
            columns,
            rows,
            total,
        } => write_table(out, columns, rows, total.as_deref(), set),
        Block::Points { points } => write_list(out, "ul", "", points, set),
        Block::Steps { steps, tick } => write_steps(out, steps, *tick, set),
        Block::Warning {
            severity,
            signal,
            lines,
        } => {
            let class = match severity {
                Severity::Danger => "danger",
                Severity::Caution => "caution",
                Severity::Note => "note",
            };
            let _ = writeln!(
                out,
                "<aside class=\"warning {class}\">\n<h3>{}</h3>",
                (set.text)(signal)
            );
            write_list(out, "ul", "", lines, set);
            out.push_str("</aside>\n");
        }
        Block::Checks { checks } => write_list(out, "ul", "ticks", checks, set),
        Block::Chart { chart } => {
            let (columns, rows) = chart.table();
            let _ = writeln!(
                out,
                "<figure>\n<h3>{}</h3>\n{}<figcaption>{}</figcaption>",
                (set.text)(&chart.title),
                inline(&chart::svg(chart, set.figure)),
                (set.text)(&chart.caption)
            );
            write_table(out, &columns, &rows, None, set);
            out.push_str("</figure>\n");
        }
        Block::Pictograms { pictograms } => {
            out.push_str("<ul class=\"pictograms\">\n");
            for of in pictograms {
                let _ = writeln!(
                    out,
                    "<li>{}<br>{}</li>",
                    inline(&pictogram::svg(*of)),
                    of.words()
                );
            }
            out.push_str("</ul>\n");
        }
        Block::Blanks { blanks } => {
            out.push_str("<table class=\"fields blanks\">\n");
            for blank in blanks {
                let _ = writeln!(
                    out,
                    "<tr><th scope=\"row\">{}</th><td class=\"blank\"></td></tr>",
                    (set.text)(blank)
                );
            }
            out.push_str("</table>\n");
        }
    }
}

fn write_table(
    out: &mut String,
    columns: &[Column],
    rows: &[Vec<String>],
    total: Option<&[String]>,
    set: Setting,
) {
    let aligns: Vec<&str> = columns
        .iter()
        .map(|c| match c.align {
            Align::Left => "",
            Align::Right => " class=\"figure\"",
        })
        .collect();
    out.push_str("<table class=\"rows\">\n<thead><tr>");
    for (column, align) in columns.iter().zip(&aligns) {
        let heading = (set.text)(&column.heading);
        // A column without a name has no heading: an empty one is read out as nothing.
        let _ = match heading.as_str() {
            "" => write!(out, "<td{align}></td>"),
            heading => write!(out, "<th scope=\"col\"{align}>{heading}</th>"),
        };
    }
    out.push_str("</tr></thead>\n<tbody>\n");
    for row in rows {
        write_row(out, &aligns, row, set);
    }
    out.push_str("</tbody>\n");
    if let Some(total) = total {
        out.push_str("<tfoot>\n");
        write_row(out, &aligns, total, set);
        out.push_str("</tfoot>\n");
    }
    out.push_str("</table>\n");
}

fn write_row(out: &mut String, aligns: &[&str], row: &[String], set: Setting) {
    out.push_str("<tr>");
    for (cell, align) in row.iter().zip(aligns) {
        // What stands to the right is a figure.
        let cell = match *align {
            "" => (set.text)(cell),
            _ => escape(&(set.figure)(cell)),
        };
        let _ = write!(out, "<td{align}>{cell}</td>");
    }
    out.push_str("</tr>\n");
}

fn write_steps(out: &mut String, steps: &[StepLine], tick: bool, set: Setting) {
    let class = if tick { " class=\"ticks\"" } else { "" };
    let _ = writeln!(out, "<ol{class}>");
    for (i, step) in steps.iter().enumerate() {
        let _ = writeln!(out, "<li><p>{}</p>", (set.text)(&step.action));
        write_list(out, "ul", "adds", &step.adds, set);
        // A caution said in an earlier step is said again, but not as loud as a new one.
        let before = steps.iter().take(i).flat_map(|s| &s.cautions);
        let before: Vec<&String> = before.collect();
        let (again, new): (Vec<String>, Vec<String>) = step
            .cautions
            .iter()
            .cloned()
            .partition(|c| before.contains(&c));
        write_list(out, "ul", "mind", &new, set);
        write_list(out, "ul", "mind again", &again, set);
        if let Some(check) = &step.check {
            let _ = writeln!(
                out,
                "<p class=\"done\"><b>Done when:</b> {}</p>",
                (set.text)(check)
            );
        }
        out.push_str("</li>\n");
    }
    out.push_str("</ol>\n");
}
