//! PDF: the tree as data for one fixed template, set with embedded fonts.
//!
//! Nothing of the machinery is made before the first document is asked for. What a person typed
//! reaches the template as strings and is never read as markup. No clock, no network, no file: the
//! same document gives the same bytes.

use super::fit::{Letters, Sheet};
use super::{by_number, chart, pictogram, qr, turns};
use crate::problem::Problem;
use serde_json::{Value, json};
use spent_silver_domain::document::{Block, Document, DocumentKind};
use std::panic::{AssertUnwindSafe, catch_unwind};
use std::sync::OnceLock;
use typst::diag::{FileError, FileResult, SourceDiagnostic};
use typst::foundations::{Bytes, Datetime, Label, Smart};
use typst::layout::{PagedDocument, Position};
use typst::syntax::{FileId, Source, VirtualPath};
use typst::text::{Font, FontBook};
use typst::utils::{LazyHash, PicoStr};
use typst::{Library, LibraryExt as _, World};
use typst_pdf::{PdfOptions, PdfStandard, PdfStandards, Timestamp};

/// The template and the files it imports: a name, and what stands in it.
const TEMPLATES: [(&str, &str); 2] = [
    ("document.typ", include_str!("document.typ")),
    ("pieces.typ", include_str!("pieces.typ")),
];
/// How many documents a remembered piece of layout may go unused before it is forgotten.
const MOST_UNUSED: usize = 2;

/// What every document shares.
struct Press {
    library: LazyHash<Library>,
    book: LazyHash<FontBook>,
    fonts: Vec<Font>,
    /// The first is what a document is made from.
    templates: [Source; TEMPLATES.len()],
    data: FileId,
}

static PRESS: OnceLock<Press> = OnceLock::new();

/// Whether the press stands: fonts read, library made. It does not before the first PDF.
#[must_use]
pub fn press_is_made() -> bool {
    PRESS.get().is_some()
}

fn file(name: &str) -> FileId {
    FileId::new(None, VirtualPath::new(name))
}

fn make_press() -> Press {
    let fonts: Vec<Font> = typst_assets::fonts()
        .flat_map(|file| Font::iter(Bytes::new(file)))
        .collect();
    Press {
        library: LazyHash::new(Library::default()),
        book: LazyHash::new(FontBook::from_fonts(&fonts)),
        fonts,
        templates: TEMPLATES.map(|(name, text)| Source::new(file(name), text.to_owned())),
        data: file("document.json"),
    }
}

/// One document on the press.
struct Job {
    press: &'static Press,
    data: Bytes,
}

impl World for Job {
    fn library(&self) -> &LazyHash<Library> {
        &self.press.library
    }

    fn book(&self) -> &LazyHash<FontBook> {
        &self.press.book
    }

    fn main(&self) -> FileId {
        let [first, ..] = &self.press.templates;
        first.id()
    }

    fn source(&self, id: FileId) -> FileResult<Source> {
        let asked = self.press.templates.iter().find(|t| t.id() == id);
        asked.cloned().ok_or(FileError::AccessDenied)
    }

    fn file(&self, id: FileId) -> FileResult<Bytes> {
        if id == self.press.data {
            Ok(self.data.clone())
        } else {
            Err(FileError::AccessDenied)
        }
    }

    fn font(&self, index: usize) -> Option<Font> {
        self.press.fonts.get(index).cloned()
    }

    fn today(&self, _offset: Option<i64>) -> Option<Datetime> {
        None
    }
}

/// Forgets what was remembered for documents long done, however this one ends.
struct Tidy;

impl Drop for Tidy {
    fn drop(&mut self) {
        comemo::evict(MOST_UNUSED);
    }
}

/// A document as PDF/A-2a, tagged, dated by the document.
///
/// # Errors
/// An internal problem where the typesetter fails; the log says why.
pub fn document(document: &Document) -> Result<Vec<u8>, Problem> {
    let _tidy = Tidy;
    catch_unwind(AssertUnwindSafe(|| set(document)))
        .unwrap_or_else(|_| Err("the typesetter panicked".to_owned()))
        .map_err(|why| {
            tracing::error!(record = document.record_id, why, "a PDF failed");
            Problem::internal()
        })
}

fn set(document: &Document) -> Result<Vec<u8>, String> {
    let press = PRESS.get_or_init(make_press);
    let sheet = Sheet::of(document);
    let mut data = data(document, sheet, press);
    let many: usize = ["sections", "notice"].iter().map(|p| count(&data[p])).sum();
    let mut lay_out = |letter: Option<f64>, numbered: bool| {
        data["letter"] = json!(letter);
        data["numbered"] = json!(numbered);
        laid_out(press, &data)
    };
    // How many pages there are is not known before all are laid out, and then they are laid out once
    // more: a label, which seldom has two, is spared that.
    let numbered = document.kind != DocumentKind::ContainerLabel;
    let (letter, pages) = match Letters::of(document.kind) {
        None => (None, lay_out(None, numbered)?),
        Some(letters) => letters.fitted(sheet, many, |size| {
            let pages = lay_out(Some(size), numbered)?;
            let end = end_of(&pages).ok_or("the end is nowhere")?;
            let filled = sheet.pages_to(end.page.get(), end.point.y.to_pt());
            Ok::<_, String>(((Some(size), pages), filled))
        })?,
    };
    let pages = if numbered || pages.pages.len() == 1 {
        pages
    } else {
        lay_out(letter, true)?
    };
    let date = date_of(document).ok_or("the date is not one")?;
    let options = PdfOptions {
        ident: Smart::Custom(&document.record_id),
        timestamp: Some(Timestamp::new_utc(date)),
        page_ranges: None,
        standards: PdfStandards::new(&[PdfStandard::A_2a]).map_err(|e| e.to_string())?,
        tagged: true,
    };
    typst_pdf::pdf(&pages, &options).map_err(|e| said(&e))
}

/// Why the typesetter would not.
fn said(errors: &[SourceDiagnostic]) -> String {
    let words: Vec<&str> = errors.iter().map(|e| e.message.as_str()).collect();
    words.join("; ")
}

fn laid_out(press: &'static Press, data: &Value) -> Result<PagedDocument, String> {
    let data = serde_json::to_vec(data).map_err(|e| e.to_string())?;
    let job = Job {
        press,
        data: Bytes::new(data),
    };
    typst::compile(&job).output.map_err(|e| said(&e))
}

/// Where the last of a paper stands.
fn end_of(pages: &PagedDocument) -> Option<Position> {
    let end = Label::new(PicoStr::constant("end"))?;
    let mark = pages.introspector.query_label(end).ok()?;
    Some(pages.introspector.position(mark.location()?))
}

fn date_of(document: &Document) -> Option<Datetime> {
    let [year, month, day] = date_parts(document);
    Datetime::from_ymd_hms(
        year,
        u8::try_from(month).ok()?,
        u8::try_from(day).ok()?,
        0,
        0,
        0,
    )
}

fn date_parts(document: &Document) -> [i32; 3] {
    let mut parts = [0; 3];
    let text = document.dated_on.to_string();
    for (slot, part) in parts.iter_mut().zip(text.split('-')) {
        *slot = part.parse().unwrap_or_default();
    }
    parts
}

/// The tree with its pictures drawn and its text in letters that the fonts have.
fn data(document: &Document, sheet: Sheet, press: &Press) -> Value {
    let mut data = serde_json::to_value(document).unwrap_or_default();
    for (section, shown) in document.sections.iter().zip(list(&mut data, "sections")) {
        for (block, shown) in section.blocks.iter().zip(list(shown, "blocks")) {
            match block {
                Block::Chart { chart } => {
                    let (columns, rows) = chart.table();
                    *shown = json!({"chart": {
                        "title": chart.title, "caption": chart.caption,
                        "columns": columns, "rows": rows, "svg": chart::svg(chart, str::to_owned),
                    }});
                }
                Block::Pictograms { pictograms } => {
                    let drawn: Vec<Value> = pictograms
                        .iter()
                        .map(|p| json!({"words": p.words(), "svg": pictogram::svg(*p)}))
                        .collect();
                    *shown = json!({"pictograms": {"pictograms": drawn}});
                }
                _ => {}
            }
        }
    }
    if let Value::Object(members) = &mut data {
        members.insert("date".to_owned(), json!(date_parts(document)));
        members.insert("sheet".to_owned(), json!(sheet));
        let code = qr::svg(&document.code());
        members.insert("qr".to_owned(), json!(code));
    }
    set_in_letters(&mut data, press);
    data
}

fn list<'a>(value: &'a mut Value, name: &str) -> impl Iterator<Item = &'a mut Value> {
    value
        .get_mut(name)
        .and_then(Value::as_array_mut)
        .into_iter()
        .flatten()
}

/// About how many letters there are to set.
fn count(of: &Value) -> usize {
    match of {
        Value::String(text) => text.len(),
        Value::Array(items) => items.iter().map(count).sum(),
        Value::Object(members) => members.values().map(count).sum(),
        _ => 0,
    }
}

fn set_in_letters(value: &mut Value, press: &Press) {
    match value {
        Value::String(text) if !text.chars().all(|c| shown(c, press)) => {
            *text = text
                .chars()
                .map(|c| match c {
                    c if shown(c, press) => c.to_string(),
                    c if c.is_whitespace() => " ".to_owned(),
                    c => by_number(c),
                })
                .collect();
        }
        Value::Array(items) => items.iter_mut().for_each(|v| set_in_letters(v, press)),
        Value::Object(members) => members.values_mut().for_each(|v| set_in_letters(v, press)),
        _ => {}
    }
}

/// Whether a letter can be set as it is. Controls and marks that turn the direction of reading are
/// shown by their number, and so is a letter that no embedded font has.
fn shown(letter: char, press: &Press) -> bool {
    let shows_nothing = matches!(letter, '\u{200b}'..='\u{200d}' | '\u{2060}'..='\u{206f}'
        | '\u{ad}' | '\u{e000}'..='\u{f8ff}');
    if letter.is_control() || shows_nothing || turns(letter) {
        return false;
    }
    letter.is_ascii()
        || press
            .fonts
            .iter()
            .any(|f| f.info().coverage.contains(u32::from(letter)))
}
