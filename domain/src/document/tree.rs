//! The typed tree that every paper is made of.
//!
//! A renderer walks it and drops nothing: [`Document::texts`] lists every piece of text a rendering
//! must show, and the tests hold each renderer to it.

use super::chart::Chart;
use super::label::Desk;
use super::pictogram::Pictogram;
use super::seal;
use crate::answer::{Notice, Severity};
use crate::quantity::Date;
use serde::{Deserialize, Serialize};

/// One piece of paper.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[cfg_attr(feature = "openapi", derive(utoipa::ToSchema))]
pub struct Document {
    /// What it is.
    pub kind: DocumentKind,
    /// Its heading.
    pub title: String,
    /// The container, lot or job it belongs to.
    pub id: Option<String>,
    /// The name it is filed under: kind, container and day.
    pub record_id: String,
    /// SHA-256 of this document's canonical JSON (RFC 8785) with this member left out, in
    /// hexadecimal; null until the document is whole.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub sha256: Option<String>,
    /// The sheet it is set for.
    pub paper_size: PaperSize,
    /// The day it was drawn up.
    pub dated_on: Date,
    /// Its parts, in reading order.
    pub sections: Vec<Section>,
    /// Local rules and licensed practice come first.
    pub notice: Notice,
}

/// What a document is for.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, Serialize, Deserialize)]
#[cfg_attr(feature = "openapi", derive(utoipa::ToSchema))]
#[serde(rename_all = "snake_case")]
pub enum DocumentKind {
    /// Goes on a container.
    ContainerLabel,
    /// Is kept with the papers.
    WasteRecord,
    /// Is worked through at the bench.
    Worksheet,
    /// What was known of a waste, what was decided, and why.
    ClassificationRecord,
    /// Goes with a shipment to a refiner.
    RecoveryShipmentSheet,
    /// Is ticked before the lorry comes.
    CollectionChecklist,
    /// Goes with a sample to a laboratory.
    LaboratorySampleSheet,
    /// What went into the containers, and when.
    AccumulationLog,
    /// What was seen when the containers were looked at.
    InspectionLog,
    /// What a refiner paid against what was expected.
    SettlementSheet,
    /// Silver in and out, with a balance.
    PreciousMetalAccount,
    /// What was spilled and what was done.
    SpillRecord,
    /// Hangs by the telephone.
    EmergencyPosting,
    /// Hangs at the bench: do, and never do.
    WallSheet,
}

/// The sheet a document is set for.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, Serialize, Deserialize)]
#[cfg_attr(feature = "openapi", derive(utoipa::ToSchema))]
#[serde(rename_all = "snake_case")]
pub enum PaperSize {
    /// 210 by 297 mm.
    A4,
    /// 8.5 by 11 inches.
    UsLetter,
    /// 148 by 105 mm: labels, always.
    A6,
}

/// One part of a document.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[cfg_attr(feature = "openapi", derive(utoipa::ToSchema))]
pub struct Section {
    /// Its heading, if it has one.
    pub heading: Option<String>,
    /// What it holds.
    pub blocks: Vec<Block>,
}

/// One block of a section.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[cfg_attr(feature = "openapi", derive(utoipa::ToSchema))]
#[serde(rename_all = "snake_case")]
pub enum Block {
    /// Words that must be read across a room.
    Banner {
        /// The words.
        text: String,
    },
    /// Running text.
    Paragraph {
        /// The text.
        text: String,
    },
    /// Names with their values.
    Fields {
        /// The lines.
        fields: Vec<FieldLine>,
    },
    /// A table.
    Table {
        /// The columns.
        columns: Vec<Column>,
        /// The rows; each has one cell for each column.
        rows: Vec<Vec<String>>,
        /// A last row that sums up.
        total: Option<Vec<String>>,
    },
    /// A list of points.
    Points {
        /// The points.
        points: Vec<String>,
    },
    /// Numbered steps.
    Steps {
        /// The steps.
        steps: Vec<StepLine>,
        /// Whether each has a box to tick.
        tick: bool,
    },
    /// A warning in a box.
    Warning {
        /// How grave it is.
        severity: Severity,
        /// Signal word or heading, such as "Danger".
        signal: String,
        /// What it says.
        lines: Vec<String>,
    },
    /// Boxes to tick.
    Checks {
        /// What each box stands for.
        checks: Vec<String>,
    },
    /// A picture of figures; a rendering without pictures shows a table of them.
    Chart {
        /// What it shows.
        chart: Box<Chart>,
    },
    /// Hazard pictograms; a rendering without pictures shows their names.
    Pictograms {
        /// What they show.
        pictograms: Vec<Pictogram>,
    },
    /// Lines to fill in by hand.
    Blanks {
        /// What goes on each line.
        blanks: Vec<String>,
    },
}

/// A name and its value.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
#[cfg_attr(feature = "openapi", derive(utoipa::ToSchema))]
pub struct FieldLine {
    /// The name.
    pub label: String,
    /// The value; null is a line to fill in by hand.
    pub value: Option<String>,
}

/// A column of a table.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
#[cfg_attr(feature = "openapi", derive(utoipa::ToSchema))]
pub struct Column {
    /// Its heading.
    pub heading: String,
    /// Where its text stands.
    pub align: Align,
}

/// Where the text of a column stands.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, Serialize, Deserialize)]
#[cfg_attr(feature = "openapi", derive(utoipa::ToSchema))]
#[serde(rename_all = "snake_case")]
pub enum Align {
    /// At the left: words.
    Left,
    /// At the right: figures.
    Right,
}

/// A numbered step.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
#[cfg_attr(feature = "openapi", derive(utoipa::ToSchema))]
pub struct StepLine {
    /// What to do.
    pub action: String,
    /// What goes in, with its amount.
    pub adds: Vec<String>,
    /// What to mind.
    pub cautions: Vec<String>,
    /// How to see that it is done.
    pub check: Option<String>,
}

impl Section {
    /// A section under a heading.
    pub fn headed(heading: impl Into<String>, blocks: Vec<Block>) -> Self {
        Self {
            heading: Some(heading.into()),
            blocks,
        }
    }

    /// A section without a heading.
    #[must_use]
    pub const fn plain(blocks: Vec<Block>) -> Self {
        Self {
            heading: None,
            blocks,
        }
    }
}

impl Block {
    /// Running text.
    pub fn paragraph(text: impl Into<String>) -> Self {
        Self::Paragraph { text: text.into() }
    }

    /// A warning in a box.
    pub fn warning(severity: Severity, signal: impl Into<String>, lines: Vec<String>) -> Self {
        Self::Warning {
            severity,
            signal: signal.into(),
            lines,
        }
    }

    fn texts<'a>(&'a self, out: &mut Vec<&'a str>) {
        match self {
            Self::Banner { text } | Self::Paragraph { text } => out.push(text),
            Self::Fields { fields } => {
                for field in fields {
                    out.push(&field.label);
                    out.extend(field.value.as_deref());
                }
            }
            Self::Table {
                columns,
                rows,
                total,
            } => {
                out.extend(columns.iter().map(|c| c.heading.as_str()));
                out.extend(rows.iter().flatten().map(String::as_str));
                out.extend(total.iter().flatten().map(String::as_str));
            }
            Self::Points { points: items }
            | Self::Checks { checks: items }
            | Self::Blanks { blanks: items } => out.extend(items.iter().map(String::as_str)),
            Self::Steps { steps, .. } => {
                for step in steps {
                    out.push(&step.action);
                    out.extend(step.adds.iter().map(String::as_str));
                    out.extend(step.cautions.iter().map(String::as_str));
                    out.extend(step.check.as_deref());
                }
            }
            Self::Chart { chart } => chart.texts(out),
            Self::Pictograms { pictograms } => out.extend(pictograms.iter().map(|p| p.words())),
            Self::Warning { signal, lines, .. } => {
                out.push(signal);
                out.extend(lines.iter().map(String::as_str));
            }
        }
    }
}

impl FieldLine {
    /// A name with its value.
    pub fn new(label: impl Into<String>, value: impl Into<String>) -> Self {
        Self {
            label: label.into(),
            value: Some(value.into()),
        }
    }

    /// A name with its value, or with a line to fill in.
    pub fn or_blank(label: impl Into<String>, value: Option<impl Into<String>>) -> Self {
        Self {
            label: label.into(),
            value: value.map(Into::into),
        }
    }
}

impl Column {
    /// A column of words.
    pub fn words(heading: impl Into<String>) -> Self {
        Self {
            heading: heading.into(),
            align: Align::Left,
        }
    }

    /// A column of figures.
    pub fn figures(heading: impl Into<String>) -> Self {
        Self {
            heading: heading.into(),
            align: Align::Right,
        }
    }
}

impl Document {
    /// A document of these sections, not yet sealed. `id` is the container, lot or place it is about.
    #[must_use]
    pub fn new(
        kind: DocumentKind,
        title: impl Into<String>,
        id: Option<String>,
        sections: Vec<Section>,
        desk: Desk<'_>,
    ) -> Self {
        Self {
            kind,
            title: title.into(),
            record_id: seal::record_id(kind, id.as_deref(), desk.on),
            id,
            sha256: None,
            paper_size: if kind == DocumentKind::ContainerLabel {
                PaperSize::A6
            } else {
                desk.paper_size
            },
            dated_on: desk.on,
            sections,
            notice: desk.rules.notice(),
        }
    }

    /// Every piece of text a rendering must show, in reading order; the notice comes last.
    #[must_use]
    pub fn texts(&self) -> Vec<&str> {
        let mut out = vec![self.title.as_str()];
        out.extend(self.id.as_deref());
        out.push(&self.record_id);
        out.extend(self.sha256.as_deref());
        for section in &self.sections {
            out.extend(section.heading.as_deref());
            for block in &section.blocks {
                block.texts(&mut out);
            }
        }
        out.push(&self.notice.rule_set);
        out.push(&self.notice.edition);
        out.push(&self.notice.text);
        out.extend(self.notice.confirm.iter().map(String::as_str));
        out.retain(|t| !t.is_empty());
        out
    }

    /// Every warning box, in reading order.
    pub fn warnings(&self) -> impl Iterator<Item = (Severity, &str, &[String])> {
        self.sections
            .iter()
            .flat_map(|s| &s.blocks)
            .filter_map(|b| match b {
                Block::Warning {
                    severity,
                    signal,
                    lines,
                } => Some((*severity, signal.as_str(), lines.as_slice())),
                _ => None,
            })
    }
}
