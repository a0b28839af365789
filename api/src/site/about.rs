//! What a studio says of itself, to be put right when it changes.

use super::control::{Sheet, sheet};
use super::form::{self, Field, Form, Kind, Trouble};
use super::home::about_fields;
use super::kept::{filled, keep, take_asked, written};
use super::layout::Page;
use super::words::about as w;
use super::{Shown, Visit, see_other};
use crate::problem::Problem;
use crate::store::StoredStudio;
use actix_web::HttpResponse;
use maud::html;

fn fields() -> Vec<Field> {
    let mut all = about_fields();
    all.extend([
        Field::new("address", "/details/address", w::ADDRESS, Kind::Line),
        Field::new("site_number", "/details/site_number", w::NUMBER, Kind::Line),
        Field::new(
            "other",
            "/studio/other_hazardous_waste_kg",
            w::OTHER,
            Kind::Figure("kg"),
        )
        .help(w::OTHER_HELP),
        Field::new(
            "acute",
            "/studio/other_acute_waste_kg",
            w::ACUTE,
            Kind::Figure("kg"),
        )
        .help(w::ACUTE_HELP),
        Field::new(
            "distance",
            "/studio/haul_distance_km",
            w::DISTANCE,
            Kind::Figure("km"),
        )
        .help(w::DISTANCE_HELP),
    ]);
    all
}

pub(super) async fn show(visit: Visit) -> Shown {
    let studio = visit.studio().await?;
    let record = written(&studio)?;
    let form = filled(&fields(), &record).with("version", studio.version.to_string());
    page(&visit, &studio, &form, &[], 200)
}

fn page(
    visit: &Visit,
    studio: &StoredStudio,
    form: &Form,
    troubles: &[Trouble],
    status: u16,
) -> Shown {
    let fields = fields();
    let whole = Sheet {
        action: format!("/studios/{}/about", studio.record.id),
        fields: &fields,
        hidden: vec![("version", form.get("version").to_owned())],
        send: w::SEND,
    };
    let body = html! {
        p { a href={ "/studios/" (studio.record.id) "/terms" } { (super::words::terms::TITLE) } }
        (sheet(&whole, form, troubles, visit)?)
    };
    Ok(Page {
        status,
        title: w::TITLE,
        studio: Some(studio),
        notice: None,
        body,
    }
    .shown(visit))
}

pub(super) async fn replace(visit: Visit, form: Form) -> Shown {
    let studio = visit.studio().await?;
    match replaced(&visit, &studio, &form).await {
        Ok(response) => Ok(response),
        Err(problem) if problem.code.status() < 500 => {
            let troubles = form::troubles(&problem, &fields(), &form);
            page(&visit, &studio, &form, &troubles, problem.code.status())
        }
        Err(problem) => Err(problem),
    }
}

async fn replaced(
    visit: &Visit,
    studio: &StoredStudio,
    form: &Form,
) -> Result<HttpResponse, Problem> {
    let fields = fields();
    // What this page does not ask stays as it is; what it asks and is left open is gone.
    let mut record = written(studio)?;
    take_asked(&fields, &mut record);
    let record = form::request(&fields, form, record).body;
    keep(visit, form, &record).await?;
    Ok(see_other(&format!("/studios/{}", studio.record.id)))
}
