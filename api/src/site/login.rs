//! Logging in with a token, and out.

use super::form::Form;
use super::layout::Page;
use super::{Shown, Visit, see_other, session, set_cookie};
use crate::server::access_of;
use maud::html;

const TITLE: &str = "Log in";
const LEAD: &str = "This book can be reached over a network, so it asks who you are. The person who runs it made you a token: a long word with a dot in it.";
const LABEL: &str = "Your token";
const SEND: &str = "Log in";
const WRONG: &str =
    "No token like that is in force. Look whether all of it was pasted, or ask for a new one.";
const LASTS: &str =
    "You stay logged in for twelve hours, or until you log out. The token is kept in no file here.";

pub(super) async fn show(visit: Visit) -> Shown {
    Ok(page(&visit, 200, false))
}

fn page(visit: &Visit, status: u16, wrong: bool) -> actix_web::HttpResponse {
    let body = html! {
        p { (LEAD) }
        form method="post" action="/login" {
            input type="hidden" name="proof" value=(visit.proof);
            div class=(if wrong { "field wrong" } else { "field" }) {
                label for="token" { (LABEL) }
                @if wrong { p.error #token_wrong { (WRONG) } }
                input type="password" id="token" name="token" autocomplete="current-password"
                    aria-describedby=[wrong.then_some("token_wrong")]
                    aria-invalid=[wrong.then_some("true")];
            }
            p { button type="submit" { (SEND) } }
        }
        p.small { (LASTS) }
    };
    Page {
        status,
        title: TITLE,
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
