//! The sheets of the book: what can be written down, each with its questions.

use super::form::{Choices, Field, Kind};
use super::words::sheet as w;
use super::{container_sheet, leaving_sheets, reading_sheets, work_sheets};
use crate::store::StoredStudio;
use spent_silver_domain::batch::{Batch, Craft};
use spent_silver_domain::document::BenchProcedure;
use spent_silver_domain::quantity::Date;

/// What can be written down.
pub(super) struct Record {
    /// Its name in addresses.
    pub name: &'static str,
    pub title: &'static str,
    /// What it is for, in a line.
    pub lead: &'static str,
    /// How it is done, step by step.
    pub steps: &'static [&'static str],
    /// What never to do.
    pub never: &'static [&'static str],
    /// The procedure at the bench that gives it, as the worksheet has it.
    pub procedure: Option<BenchProcedure>,
    /// Its event in the book.
    pub event: &'static str,
    /// Its questions, besides the day and the person.
    pub fields: fn(&Desk) -> Vec<Field>,
}

/// Sheets that belong together.
pub(super) struct Chapter {
    pub title: &'static str,
    pub records: &'static [Record],
}

/// Every sheet, in the order of the work.
pub(super) const CHAPTERS: &[Chapter] = &[
    Chapter {
        title: w::NEW_CONTAINER,
        records: container_sheet::CONTAINERS,
    },
    Chapter {
        title: w::WORK_THAT_WAS_DONE,
        records: work_sheets::WORK,
    },
    Chapter {
        title: w::READING_OF_SILVER,
        records: reading_sheets::READINGS,
    },
    Chapter {
        title: w::SOMETHING_LEFT,
        records: leaving_sheets::LEAVING,
    },
];

/// The sheet of that name.
pub(super) fn named(name: &str) -> Option<&'static Record> {
    let all = CHAPTERS.iter().flat_map(|c| c.records);
    all.into_iter().find(|r| r.name == name)
}

/// What a sheet may ask about.
pub(super) struct Desk {
    pub studio: StoredStudio,
    pub today: Date,
    /// Containers that are in the book.
    pub containers: Vec<Batch>,
    /// Shipments that were sent.
    pub shipments: Vec<String>,
    /// The last entries: name and words.
    pub entries: Choices,
}

/// Containers that a list to choose from says the kind of: a page with more would be long to fetch.
pub(super) const MOST_DESCRIBED: usize = 300;

impl Desk {
    /// The containers to choose from; where they are very many, by their names alone.
    pub(super) fn containers(&self) -> Choices {
        let few = self.containers.len() <= MOST_DESCRIBED;
        self.containers
            .iter()
            .map(|b| match few {
                true => (b.id.to_string(), format!("{} ({})", b.id, b.kind.words())),
                false => (b.id.to_string(), b.id.to_string()),
            })
            .collect()
    }

    /// The craft that an unanswered question stands for: where collodion is made, that, because then a
    /// fixer nobody can name counts as cyanide.
    pub(super) fn craft(&self) -> &'static str {
        let crafts = &self.studio.record.studio.crafts;
        let first = if crafts.contains(&Craft::Collodion) {
            Some(&Craft::Collodion)
        } else {
            crafts.first()
        };
        match first {
            Some(Craft::Collodion) => "collodion",
            Some(Craft::SaltedPaper) => "salted_paper",
            Some(Craft::AlbumenPaper) => "albumen_paper",
            Some(Craft::FilmAndPaper) => "film_and_paper",
            None => "",
        }
    }
}

impl Record {
    /// Every question of this sheet.
    pub(super) fn all_fields(&self, desk: &Desk) -> Vec<Field> {
        let mut all = (self.fields)(desk);
        let person = desk.studio.record.details.as_ref();
        let person = person.and_then(|d| d.responsible.as_ref());
        all.push(
            Field::new("on", "/on", w::ON, Kind::Day)
                .needed()
                .first(desk.today.to_string()),
        );
        all.push(
            Field::new("by", "/recorded_by", w::BY, Kind::Line)
                .needed()
                .first(person.map_or_else(String::new, ToString::to_string)),
        );
        all.push(Field::new("note", "/note", w::NOTE, Kind::Line));
        all
    }
}
