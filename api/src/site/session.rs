//! Who looks at the pages: a random name in a cookie, the proof that every form carries, and the
//! token that a person logged in with.

use crate::problem::Problem;
use crate::store::{random, sha256};
use actix_web::HttpRequest;
use actix_web::http::header;
use std::collections::HashMap;
use std::sync::{Mutex, MutexGuard, PoisonError};
use std::time::{Duration, Instant};

/// Name of the cookie.
const COOKIE: &str = "spent-silver";
/// How long a login lasts.
const LASTS: Duration = Duration::from_secs(12 * 60 * 60);
/// Most people logged in at once; the one whose time ends first makes room.
const MOST: usize = 10_000;
/// Length of the name in the cookie.
const LENGTH: usize = 64;

/// Logins of this process, and its secret. A login ends with the process.
pub struct Sessions {
    secret: String,
    open: Mutex<HashMap<String, Login>>,
}

struct Login {
    token: String,
    until: Instant,
}

impl Sessions {
    /// No login yet.
    ///
    /// # Errors
    /// The system has no random numbers.
    pub fn new() -> Result<Self, Problem> {
        Ok(Self {
            secret: random(32)?,
            open: Mutex::new(HashMap::new()),
        })
    }

    /// What every form of this visitor carries: nobody else can make it.
    pub(super) fn proof(&self, name: &str) -> String {
        sha256(format!("{}{name}{}", self.secret, self.secret).as_bytes())
    }

    fn logins(&self) -> MutexGuard<'_, HashMap<String, Login>> {
        self.open.lock().unwrap_or_else(PoisonError::into_inner)
    }

    /// Begins a login under a name of its own, which nobody had before.
    pub(super) fn begin(&self, token: &str) -> Result<String, Problem> {
        let name = random(LENGTH / 2)?;
        let now = Instant::now();
        let mut open = self.logins();
        open.retain(|_, login| login.until > now);
        if open.len() >= MOST
            && let Some(first) = open
                .iter()
                .min_by_key(|(_, login)| login.until)
                .map(|(name, _)| name.clone())
        {
            open.remove(&first);
        }
        let token = token.to_owned();
        let until = now.checked_add(LASTS).unwrap_or(now);
        open.insert(name.clone(), Login { token, until });
        Ok(name)
    }

    /// The token that this visitor logged in with, while the login lasts.
    pub(super) fn token(&self, name: &str) -> Option<String> {
        let open = self.logins();
        let login = open.get(name)?;
        (login.until > Instant::now()).then(|| login.token.clone())
    }

    /// Ends a login.
    pub(super) fn end(&self, name: &str) {
        self.logins().remove(name);
    }
}

/// The visitor's name, where the cookie holds one of ours.
pub(super) fn named(req: &HttpRequest) -> Option<String> {
    let pairs = crate::negotiation::header_text(req, &header::COOKIE).split(';');
    let own = pairs.filter_map(|pair| pair.trim().split_once('='));
    let (_, name) = own.into_iter().find(|(known, _)| *known == COOKIE)?;
    let plain = name.len() == LENGTH && name.bytes().all(|b| b.is_ascii_hexdigit());
    plain.then(|| name.to_owned())
}

/// A name for a visitor that has none.
pub(super) fn new_name() -> Result<String, Problem> {
    random(LENGTH / 2)
}

/// The cookie that keeps a name. It goes out with requests of our own pages alone.
pub(super) fn cookie(name: &str, beyond_loopback: bool) -> String {
    let secure = if beyond_loopback { "; Secure" } else { "" };
    format!("{COOKIE}={name}; Path=/; HttpOnly; SameSite=Strict{secure}")
}

/// Whether the browser says that a form comes from elsewhere: by `Sec-Fetch-Site`, which no page can
/// set, or in a browser that has none by `Origin`.
pub(super) fn is_foreign(req: &HttpRequest) -> bool {
    let text = |name: &str| req.headers().get(name).and_then(|v| v.to_str().ok());
    if let Some(site) = text("sec-fetch-site") {
        return site != "same-origin" && site != "none";
    }
    let Some(origin) = text("origin") else {
        return false;
    };
    let host = req
        .uri()
        .authority()
        .map(ToString::to_string)
        .or_else(|| text(header::HOST.as_str()).map(str::to_owned))
        .unwrap_or_default();
    origin
        .split_once("://")
        .is_none_or(|(_, at)| !at.eq_ignore_ascii_case(&host))
}

#[cfg(test)]
mod tests {
    use super::*;
    use actix_web::test::TestRequest;

    #[test]
    fn a_login_is_known_until_it_is_ended_and_its_proof_is_its_own() {
        let sessions = Sessions::new().unwrap();
        let one = sessions.begin("a.b").unwrap();
        let two = sessions.begin("c.d").unwrap();
        assert_eq!(sessions.token(&one).as_deref(), Some("a.b"));
        assert_ne!(sessions.proof(&one), sessions.proof(&two));
        assert_ne!(
            sessions.proof(&one),
            Sessions::new().unwrap().proof(&one),
            "the proof is of this process"
        );
        sessions.end(&one);
        assert_eq!(sessions.token(&one), None);
        assert_eq!(sessions.token(&two).as_deref(), Some("c.d"));
    }

    #[test]
    fn a_form_of_another_page_is_foreign() {
        let foreign = |headers: &[(&str, &str)]| {
            let mut request = TestRequest::post().insert_header(("host", "localhost:4747"));
            for (name, value) in headers {
                request = request.insert_header((*name, *value));
            }
            is_foreign(&request.to_http_request())
        };
        assert!(!foreign(&[]));
        assert!(!foreign(&[("origin", "http://localhost:4747")]));
        assert!(!foreign(&[("sec-fetch-site", "same-origin")]));
        // What a browser sends where an extension keeps it from saying where a form is from (Fetch
        // standard, "serializing a request origin").
        let hushed = [("sec-fetch-site", "same-origin"), ("origin", "null")];
        assert!(!foreign(&hushed));
        for bad in [
            ("origin", "http://localhost:8080"),
            ("origin", "null"),
            ("origin", "https://else.example"),
            ("sec-fetch-site", "cross-site"),
            ("sec-fetch-site", "same-site"),
        ] {
            assert!(foreign(&[bad]), "{bad:?}");
        }
    }
}
