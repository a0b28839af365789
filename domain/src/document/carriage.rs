//! What a sheet that travels says of dangerous goods: the gate first, then candidates.

use super::label::Desk;
use super::request::TravelSheet;
use super::sheets::Known;
use super::tree::{Block, Column};
use crate::answer::{Notes, Severity};
use crate::fault::Faults;
use crate::waste::transport::{
    Fit, Gate, Load, Reached, TransportCandidate, TransportCandidates, TransportItem,
    TransportMark, candidates_for,
};

/// The gate and the candidates of the containers that leave.
///
/// # Errors
/// A generator category that the rule set does not name.
pub(super) fn carriage(
    of: &TravelSheet,
    goes: &Known<'_>,
    at: &str,
    desk: Desk<'_>,
    notes: &mut Notes,
) -> Result<TransportCandidates, Faults> {
    let load = Load {
        known: goes,
        gate: of.gate.as_ref(),
        on: desk.on,
        rules: desk.rules,
        batches_at: &format!("{at}/batches"),
        gate_at: &format!("{at}/gate"),
    };
    notes.as_a_whole(|notes| candidates_for(&load, notes))
}

/// The questions of the gate with their answers.
pub(super) fn gate_blocks(gate: &Gate) -> Vec<Block> {
    let rows = gate
        .questions
        .iter()
        .map(|q| {
            vec![
                q.question.clone(),
                q.answer.words().to_owned(),
                format!("{} ({})", q.text, q.status.words()),
            ]
        })
        .collect();
    let text = gate.text.to_owned();
    vec![
        if gate.passed_as_stated {
            Block::paragraph(text)
        } else {
            Block::warning(Severity::Caution, "Not yet", vec![text])
        },
        Block::Table {
            columns: vec![
                Column::words("Question"),
                Column::words("Answer"),
                Column::words("Why, or what to do"),
            ],
            rows,
            total: None,
        },
    ]
}

/// The candidates of every container.
pub(super) fn candidate_blocks(of: &TransportCandidates) -> Vec<Block> {
    let mut blocks = vec![Block::paragraph(of.standing)];
    for item in &of.items {
        blocks.push(Block::paragraph(format!(
            "{}: {}. {}",
            item.id,
            item.verdict.words(),
            item.reason
        )));
        if !item.candidates.is_empty() {
            blocks.push(table(item));
        }
        blocks.push(Block::Points {
            points: points(item),
        });
    }
    blocks.push(Block::Points {
        points: marks(&of.items),
    });
    blocks.retain(|b| !matches!(b, Block::Points { points } if points.is_empty()));
    blocks
}

/// One row for each number, its packing groups together.
fn table(item: &TransportItem) -> Block {
    let mut groups: Vec<Vec<&TransportCandidate>> = Vec::new();
    for candidate in &item.candidates {
        let same = |g: &&mut Vec<&TransportCandidate>| {
            g.iter().any(|c| {
                c.number == candidate.number
                    && c.table == candidate.table
                    && c.class == candidate.class
            })
        };
        match groups.iter_mut().find(same) {
            Some(group) => group.push(candidate),
            None => groups.push(vec![candidate]),
        }
    }
    Block::Table {
        columns: vec![
            Column::words("Number, proper shipping name"),
            Column::words("Class, packing group"),
            Column::words("Limited quantity"),
            Column::words("How far it holds"),
        ],
        rows: groups.iter().map(|g| row(g)).collect(),
        total: None,
    }
}

fn row(group: &[&TransportCandidate]) -> Vec<String> {
    let joined = |cell: &dyn Fn(&TransportCandidate) -> String| {
        let mut words: Vec<String> = Vec::new();
        for candidate in group {
            let word = cell(candidate);
            if !word.is_empty() && !words.contains(&word) {
                words.push(word);
            }
        }
        words.join(" or ")
    };
    let class = joined(&|c| {
        let mut class = c.class.clone();
        for more in &c.subsidiary {
            class.push_str(&format!(" ({more})"));
        }
        class
    });
    let packing = joined(&|c| c.packing_group.clone().unwrap_or_default());
    let fits = group.iter().any(|c| c.fit == Fit::Fits);
    let standing = joined(&|c| {
        format!(
            "row {}, choice {}",
            c.row_status.words(),
            c.rule_status.words()
        )
    });
    vec![
        format!(
            "{} {}",
            joined(&|c| c.number.clone()),
            joined(&|c| c.proper_shipping_name.clone())
        ),
        if packing.is_empty() {
            class
        } else {
            format!("{class}, {packing}")
        },
        joined(&|c| c.limited_quantity.printed.clone()),
        format!("{}: {standing}", if fits { "fits" } else { "open" }),
    ]
}

fn points(item: &TransportItem) -> Vec<String> {
    let mut points: Vec<String> = Vec::new();
    let mut put = |point: String| {
        if !points.contains(&point) {
            points.push(point);
        }
    };
    for candidate in item.candidates.iter().filter(|c| c.fit == Fit::Fits) {
        put(format!(
            "{}: {} It would change with: {}",
            candidate.number, candidate.reason, candidate.changes
        ));
    }
    for what in &item.to_find_out {
        put(format!("To find out: {what}"));
    }
    for r in item
        .reportable
        .iter()
        .filter(|r| r.reached != Reached::NotReached)
    {
        let words = match r.reached {
            Reached::Reached => "reached",
            _ => "open",
        };
        put(format!(
            "Reportable quantity, {}: {words}. {} ({})",
            r.name,
            r.text,
            r.status.words()
        ));
    }
    points
}

/// Each mark once, with the containers it is for.
fn marks(items: &[TransportItem]) -> Vec<String> {
    let mut seen: Vec<(&TransportMark, Vec<&str>)> = Vec::new();
    for item in items {
        for mark in &item.marks {
            match seen.iter_mut().find(|(m, _)| m.text == mark.text) {
                Some((_, names)) => names.push(&item.id),
                None => seen.push((mark, vec![&item.id])),
            }
        }
    }
    seen.iter()
        .map(|(mark, names)| {
            format!(
                "Mark on {}: {} ({})",
                names.join(", "),
                mark.text,
                mark.status.words()
            )
        })
        .collect()
}
