//! Registers as CSV (RFC 4180), quoted so that a spreadsheet runs no formula from them.

use super::{Answered, CSV, Call, respond};
use crate::problem::Problem;
use crate::store::RecordedEntry;
use actix_web::http::header::{self, HeaderName, HeaderValue};
use serde::Serialize;
use serde_json::Value;
use spent_silver_domain::answer::Answer;
use spent_silver_domain::ledger::{Clock, ContainerBalance, RegisterRow, SilverAccount};

/// How many warnings an answer has that its rows do not show.
const WARNING_COUNT: HeaderName = HeaderName::from_static("x-warning-count");

/// The rows of an answer as CSV. That it has warnings, and where they and the notice stand, is said in
/// the head: their number, and a link to the same in JSON.
pub(super) fn rows_of<T>(call: &Call, answer: &Answer<T>, rows: Vec<u8>) -> Answered {
    let mut response = respond(200, CSV, rows);
    let headers = response.headers_mut();
    headers.insert(WARNING_COUNT, HeaderValue::from(answer.warnings.len()));
    let at = call.req.uri().path_and_query();
    let at = at.map_or_else(|| call.req.path(), |at| at.as_str());
    let link = format!("<{at}>; rel=\"alternate\"; type=\"application/json\"");
    let link = HeaderValue::from_str(&link).map_err(|_| Problem::internal())?;
    headers.insert(header::LINK, link);
    Ok(response)
}

/// A table whose first row names the columns.
struct Table(csv::Writer<Vec<u8>>);

impl Table {
    fn headed(columns: &[&str]) -> Result<Self, Problem> {
        let writer = csv::WriterBuilder::new()
            .terminator(csv::Terminator::CRLF)
            .from_writer(Vec::new());
        let mut table = Self(writer);
        table
            .0
            .write_record(columns)
            .map_err(|_| Problem::internal())?;
        Ok(table)
    }

    fn row(&mut self, cells: &[String]) -> Result<(), Problem> {
        let cells = cells.iter().map(|cell| harmless(cell));
        self.0.write_record(cells).map_err(|_| Problem::internal())
    }

    fn done(self) -> Result<Vec<u8>, Problem> {
        self.0.into_inner().map_err(|_| Problem::internal())
    }
}

/// A cell that a spreadsheet takes as text: what would begin a formula gets an apostrophe before it.
/// A figure stays a figure.
fn harmless(cell: &str) -> String {
    let begins_formula = cell.starts_with(['=', '+', '-', '@', '\t', '\r', '\n']);
    if begins_formula && cell.parse::<f64>().is_err() {
        return format!("'{cell}");
    }
    cell.to_owned()
}

/// A value as a cell: text bare, nothing as nothing, the rest as JSON.
fn cell<T: Serialize>(value: &T) -> String {
    match serde_json::to_value(value) {
        Ok(Value::String(text)) => text,
        Ok(Value::Null) | Err(_) => String::new(),
        Ok(other) => other.to_string(),
    }
}

/// The entries of a book.
pub(super) fn entries(entries: &[RecordedEntry]) -> Result<Vec<u8>, Problem> {
    let mut table = Table::headed(&[
        "sequence",
        "recorded_at",
        "id",
        "on",
        "event",
        "about",
        "recorded_by",
        "supervised_by",
        "note",
        "details",
    ])?;
    for recorded in entries {
        let entry = &recorded.entry;
        let about: Vec<String> = entry
            .event
            .subjects()
            .iter()
            .map(ToString::to_string)
            .collect();
        let bytes = crate::json::to_vec(&entry.event).map_err(|_| Problem::internal())?;
        table.row(&[
            recorded.sequence.to_string(),
            recorded.recorded_at.clone(),
            entry.id.to_string(),
            entry.on.to_string(),
            entry.event.name().to_owned(),
            about.join(" "),
            entry.recorded_by.to_string(),
            cell(&entry.supervised_by),
            cell(&entry.note),
            String::from_utf8(bytes).map_err(|_| Problem::internal())?,
        ])?;
    }
    table.done()
}

/// What containers hold.
pub(super) fn containers(containers: &[ContainerBalance]) -> Result<Vec<u8>, Problem> {
    let mut table = Table::headed(&[
        "batch",
        "kind",
        "status",
        "volume_l",
        "mass_kg",
        "empty",
        "silver_g",
        "standard_uncertainty_g",
        "opened_on",
        "closed_on",
        "waste_since",
    ])?;
    for balance in containers {
        let batch = &balance.batch;
        table.row(&[
            batch.id.to_string(),
            cell(&batch.kind),
            cell(&batch.status),
            batch
                .volume_l
                .map_or_else(String::new, |v| v.decimal().to_string()),
            batch
                .mass_kg
                .map_or_else(String::new, |v| v.decimal().to_string()),
            balance.empty.to_string(),
            cell(&balance.silver_g),
            cell(&balance.standard_uncertainty_g),
            balance.opened_on.to_string(),
            cell(&balance.closed_on),
            cell(&batch.waste_since),
        ])?;
    }
    table.done()
}

/// The lines of an account.
pub(super) fn account(account: &SilverAccount) -> Result<Vec<u8>, Problem> {
    let mut table = Table::headed(&[
        "from",
        "until",
        "what",
        "silver_g",
        "standard_uncertainty_g",
        "unknown_count",
    ])?;
    for line in &account.lines {
        table.row(&[
            account.from.to_string(),
            account.until.to_string(),
            cell(&line.what),
            cell(&line.silver_g),
            cell(&line.standard_uncertainty_g),
            line.unknown_count.to_string(),
        ])?;
    }
    table.done()
}

/// What falls due.
pub(super) fn clocks(clocks: &[Clock]) -> Result<Vec<u8>, Problem> {
    let mut table = Table::headed(&[
        "id",
        "what",
        "container",
        "shipment",
        "starts_on",
        "due_on",
        "days_left_count",
        "text",
        "clause",
        "source",
        "status",
    ])?;
    for clock in clocks {
        table.row(&[
            clock.id.clone(),
            cell(&clock.what),
            cell(&clock.container),
            cell(&clock.shipment),
            cell(&clock.starts_on),
            clock.due_on.to_string(),
            clock.days_left_count.to_string(),
            clock.text.clone(),
            cell(&clock.clause),
            clock.source.clone(),
            cell(&clock.status),
        ])?;
    }
    table.done()
}

/// What an inspector asks for.
pub(super) fn register(rows: &[RegisterRow]) -> Result<Vec<u8>, Problem> {
    let mut table = Table::headed(&[
        "entry",
        "on",
        "what",
        "container",
        "kind",
        "status",
        "waste_since",
        "text",
        "volume_l",
        "mass_kg",
        "silver_g",
        "standard_uncertainty_g",
        "to",
        "consignment",
        "recorded_by",
        "supervised_by",
        "note",
        "reversed_by",
        "reversed_on",
        "reversal_reason",
    ])?;
    for row in rows {
        table.row(&[
            row.entry.to_string(),
            row.on.to_string(),
            cell(&row.what),
            cell(&row.container),
            cell(&row.kind),
            cell(&row.status),
            cell(&row.waste_since),
            row.text.clone(),
            cell(&row.volume_l),
            cell(&row.mass_kg),
            cell(&row.silver_g),
            cell(&row.standard_uncertainty_g),
            cell(&row.to),
            cell(&row.consignment),
            row.recorded_by.to_string(),
            cell(&row.supervised_by),
            cell(&row.note),
            cell(&row.reversed_by),
            cell(&row.reversed_on),
            cell(&row.reversal_reason),
        ])?;
    }
    table.done()
}

#[cfg(test)]
mod tests {
    use super::{Table, harmless};

    #[test]
    fn what_begins_a_formula_is_text_and_a_figure_stays_one() {
        assert_eq!(harmless("=HYPERLINK(\"x\")"), "'=HYPERLINK(\"x\")");
        assert_eq!(harmless("+49 30 1234"), "'+49 30 1234");
        assert_eq!(harmless("@sum"), "'@sum");
        assert_eq!(harmless("-0.32"), "-0.32");
        assert_eq!(harmless("jug 3"), "jug 3");
    }

    #[test]
    fn a_cell_with_a_comma_or_a_quotation_mark_reads_back_as_it_was() {
        let mut table = Table::headed(&["a", "b"]).unwrap();
        let cells = ["two, \"three\"\nfour".to_owned(), String::new()];
        table.row(&cells).unwrap();
        let bytes = table.done().unwrap();
        let mut reader = csv::Reader::from_reader(bytes.as_slice());
        let row = reader.records().next().unwrap().unwrap();
        assert_eq!((&row[0], &row[1]), (cells[0].as_str(), ""));
    }
}
