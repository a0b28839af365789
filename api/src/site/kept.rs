//! Parts of a studio's record that a page edits: what it asks is taken out, what was answered is put in,
//! and the rest stays as it is.

use super::Visit;
use super::form::{Field, Form, Kind, take};
use super::language::f;
use super::measure;
use crate::book::now;
use crate::contract;
use crate::problem::Problem;
use crate::reader;
use crate::store::{StoredStudio, StudioRecord};
use serde_json::Value;

/// A studio's record as the JSON that it is kept as.
pub(super) fn written(studio: &StoredStudio) -> Result<Value, Problem> {
    serde_json::to_value(&studio.record).map_err(|_| Problem::internal())
}

/// Puts a record that a form made in the place of the one that the form was filled from.
pub(super) async fn keep(visit: &Visit, form: &Form, record: &Value) -> Result<(), Problem> {
    let record: StudioRecord = reader::read(record.to_string().as_bytes(), contract::members())?;
    // A version that is none of ours is no longer the current one.
    let seen = form.get("version").parse().unwrap_or(0);
    let store = visit.store()?;
    store
        .replace_studio(&record, seen, &visit.access, now())
        .await?;
    Ok(())
}

/// What a record says to these questions, as they are answered in a form.
pub(super) fn filled(fields: &[Field], record: &Value) -> Form {
    let mut form = Form::default();
    for field in fields {
        let shown = |at: &str| record.pointer(at).and_then(measure::shown);
        match &field.kind {
            Kind::Any(..) => {
                let several = record.pointer(&field.at).and_then(Value::as_array);
                for one in several.into_iter().flatten().filter_map(Value::as_str) {
                    form = form.with(&field.name, one);
                }
            }
            Kind::Size => {
                let side = |side: &str| shown(&format!("{}/{side}_cm", field.at));
                let (width, height) = (side("width"), side("height"));
                let named = measure::SIZES.iter().find(|s| {
                    width.as_deref() == Some(s.width_cm) && height.as_deref() == Some(s.height_cm)
                });
                form = match named {
                    Some(size) => form.with(&field.name, size.name),
                    None => form
                        .with(&field.of("width"), f(width.unwrap_or_default()))
                        .with(&field.of("height"), f(height.unwrap_or_default())),
                };
            }
            // In the unit of the book, which stands first among those to choose.
            Kind::Volume | Kind::Percent => {
                let held = shown(&field.at).unwrap_or_default();
                form = form.with(&field.name, f(held));
            }
            _ => {
                // The same answer may stand in several places: the first that has it.
                let places = std::iter::once(&field.at).chain(&field.also);
                let found = places.into_iter().find_map(|at| shown(at));
                let found = found.unwrap_or_default();
                let figure = matches!(field.kind, Kind::Figure(_) | Kind::Exact(_));
                form = form.with(&field.name, if figure { f(found) } else { found });
            }
        }
    }
    form
}

/// Takes out of a record what these questions ask: what they leave open is gone, and what they do not
/// ask stays.
pub(super) fn take_asked(fields: &[Field], record: &mut Value) {
    for field in fields {
        match field.kind {
            Kind::Size => {
                for side in ["width", "height"] {
                    take(record, &format!("{}/{side}_cm", field.at));
                }
            }
            _ => take(record, &field.at),
        }
    }
}

/// Takes out every object below a place that holds nothing any more.
pub(super) fn prune(of: &mut Value) {
    let Some(members) = of.as_object_mut() else {
        return;
    };
    for value in members.values_mut() {
        prune(value);
    }
    members.retain(|_, value| value.as_object().is_none_or(|m| !m.is_empty()));
}
