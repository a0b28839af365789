//! Logging in with a token, and out.

use super::form::Form;
use super::layout::Page;
use super::words::login as w;
use super::{Shown, Visit, see_other, session, set_cookie};
use crate::server::access_of;
use maud::html;

pub(super) async fn show(visit: Visit) -> Shown {
    Ok(page(&visit, 200, false))
}

fn page(visit: &Visit, status: u16, wrong: bool) -> actix_web::HttpResponse {
    let body = html! {
        p { (w::LEAD) }
        form method="post" action="/login" {
            input type="hidden" name="proof" value=(visit.proof);
            div class=(if wrong { "field wrong" } else { "field" }) {
                label for="token" { (w::LABEL) }
                @if wrong { p.error #token_wrong { (w::WRONG) } }
                input type="password" id="token" name="token" autocomplete="current-password"
                    aria-describedby=[wrong.then_some("token_wrong")]
                    aria-invalid=[wrong.then_some("true")];
            }
            p { button type="submit" { (w::SEND) } }
        }
        p.small { (w::LASTS) }
    };
    Page {
        status,
        title: w::TITLE,
        studio: None,
        notice: None,
        body,
    }
    .shown(visit)
}

pub(super) async fn begin(visit: Visit, form: Form) -> Shown {
    let state = visit.state()?;
    let token = form.get("token");
    let address = visit.access.address.clone();
    let access = match token {
        "" => None,
        token => access_of(state, Some(token), address).await?,
    };
    if access.is_none() {
        state.limits.stranger(&visit.access.address)?;
        return Ok(page(&visit, 422, true));
    }
    let name = state.sessions.begin(token)?;
    let mut response = see_other("/");
    let beyond = !state.settings.listen.ip().is_loopback();
    set_cookie(&mut response, &name, beyond);
    Ok(response)
}

pub(super) async fn end(visit: Visit, _: Form) -> Shown {
    let state = visit.state()?;
    state.sessions.end(&visit.name);
    let mut response = see_other("/login");
    let beyond = !state.settings.listen.ip().is_loopback();
    set_cookie(&mut response, &session::new_name()?, beyond);
    Ok(response)
}
