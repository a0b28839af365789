//! The worksheet of a procedure, to be worked through at the bench with a pencil.

use super::label::Desk;
use super::tree::{Block, Document, DocumentKind, Section, StepLine};
use crate::answer::Severity;
use crate::procedure::{Addition, Refusal, Step};
use crate::quantity::write_significant;
use crate::substance::substance;

/// The steps of a plan, or the refusal that stands in its place.
#[derive(Debug, Clone, Copy)]
pub enum Procedure<'a> {
    /// Steps to carry out.
    Steps(&'a [Step]),
    /// No steps, and why.
    Refused(&'a Refusal),
}

/// Draws up the worksheet of a procedure for the container `id`. `first` is what to have ready or
/// to check before the first step.
///
/// Amounts to weigh or measure are printed to three significant digits, which is what a kitchen
/// scale and a jug can follow.
#[must_use]
pub fn worksheet(
    title: &str,
    id: &str,
    first: &[String],
    procedure: Procedure<'_>,
    desk: Desk<'_>,
) -> Document {
    let afterwards = [
        "What I saw",
        "pH at the end",
        "Mass of what was recovered",
        "Done by, and the date",
    ];
    sheet(title, id, first, procedure, &afterwards, desk)
}

/// A worksheet with lines of its own to fill in at the end.
pub(super) fn sheet(
    title: &str,
    id: &str,
    first: &[String],
    procedure: Procedure<'_>,
    afterwards: &[&str],
    desk: Desk<'_>,
) -> Document {
    let sections = match procedure {
        Procedure::Steps(steps) => {
            let mut sections = Vec::new();
            if !first.is_empty() {
                sections.push(Section::headed(
                    "Before you start",
                    vec![Block::Checks {
                        checks: first.to_vec(),
                    }],
                ));
            }
            sections.push(Section::headed(
                "Steps",
                vec![Block::Steps {
                    steps: steps.iter().map(step_line).collect(),
                    tick: true,
                }],
            ));
            sections.push(Section::headed(
                "Afterwards",
                vec![Block::Blanks {
                    blanks: afterwards.iter().map(|b| (*b).to_owned()).collect(),
                }],
            ));
            sections
        }
        Procedure::Refused(refusal) => {
            let mut sections = vec![Section::plain(vec![
                Block::warning(
                    Severity::Danger,
                    "No plan is given",
                    vec![refusal.reason.clone()],
                ),
                Block::warning(Severity::Danger, "Never", refusal.never.clone()),
            ])];
            for (heading, points) in [
                ("Do this instead", &refusal.instead),
                ("Call", &refusal.call),
            ] {
                if !points.is_empty() {
                    sections.push(Section::headed(
                        heading,
                        vec![Block::Points {
                            points: points.clone(),
                        }],
                    ));
                }
            }
            sections
        }
    };
    let id = Some(id.to_owned());
    Document::new(DocumentKind::Worksheet, title, id, sections, desk)
}

/// A step as a line of paper, its amounts to three digits: what a kitchen scale and a jug can follow.
#[must_use]
pub fn step_line(step: &Step) -> StepLine {
    StepLine {
        action: step.action.to_string(),
        adds: step.adds.iter().map(addition).collect(),
        cautions: step.cautions.iter().map(ToString::to_string).collect(),
        check: step.check.as_ref().map(ToString::to_string),
    }
}

fn addition(of: &Addition) -> String {
    let name =
        substance(&of.substance).map_or_else(|| of.substance.to_string(), |s| s.name.clone());
    match (of.mass_g, of.volume_ml) {
        (Some(mass), _) => format!("{name}: {} g", write_significant(mass.get(), 3)),
        (None, Some(volume)) => format!("{name}: {} mL", write_significant(volume.get(), 3)),
        (None, None) => name,
    }
}
