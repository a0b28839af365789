//! Rule-set files of the operator's own: read when the program starts, or only checked.

use crate::command::read_input;
use crate::problem::{Code, Problem};
use serde_json::json;
use spent_silver_domain::waste::rule_set::RuleSet;
use std::path::{Path, PathBuf};

/// Reads every file and makes its rule set one that requests can name. A file may extend one that
/// stands before it.
pub(crate) fn load(files: &[PathBuf]) -> Result<(), Problem> {
    if files.is_empty() {
        return Ok(());
    }
    let mut known: Vec<RuleSet> = RuleSet::all().cloned().collect();
    let shipped = known.len();
    for file in files {
        let set = read(file, &known)?;
        known.push(set);
    }
    if RuleSet::add(known.split_off(shipped)) {
        Ok(())
    } else {
        Err(Problem::internal())
    }
}

/// What the check of a file that has no fault prints.
pub(crate) fn checked(file: &Path, as_json: bool) -> Result<Vec<u8>, Problem> {
    let known: Vec<RuleSet> = RuleSet::all().cloned().collect();
    let set = read(file, &known)?;
    let mut text = if as_json {
        json!({"rule_set": set.id, "extends": set.extends, "rule_count": set.rules.len()})
            .to_string()
    } else {
        let base = set
            .extends
            .as_ref()
            .map_or_else(String::new, |b| format!(", extends `{b}`"));
        format!("`{}`{base}: {} rules, no fault.", set.id, set.rules.len())
    };
    text.push('\n');
    Ok(text.into_bytes())
}

fn read(file: &Path, known: &[RuleSet]) -> Result<RuleSet, Problem> {
    let bytes = read_input(file)?;
    let text = std::str::from_utf8(&bytes).map_err(|_| {
        Problem::new(
            Code::UnreadableFile,
            format!("{} is not UTF-8 text.", file.display()),
        )
    })?;
    RuleSet::read(text, known).map_err(|faults| {
        let count = faults.list().len();
        let mut problem = Problem::from(faults);
        problem.detail = format!(
            "{} is not a rule set ({count} {}): {}",
            file.display(),
            if count == 1 { "fault" } else { "faults" },
            problem.detail
        );
        problem
    })
}
