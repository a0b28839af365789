//! A browser without a script, for the tests of the pages: it looks, fills a form in, sends it.

use spent_silver_tests::{App, Reply, spawn_app};
use std::sync::LazyLock;
use std::sync::atomic::{AtomicU64, Ordering};

pub static APP: LazyLock<App> = LazyLock::new(spawn_app);

/// A browser: it keeps its cookie, and sends it.
pub struct Browser<'a> {
    pub app: &'a App,
    pub cookie: String,
    /// What it says of its language; nothing where it is empty.
    pub language: &'a str,
}

pub fn encoded(pairs: &[(&str, &str)]) -> String {
    let escape = |text: &str| -> String {
        text.bytes()
            .map(|b| match b {
                b'a'..=b'z' | b'A'..=b'Z' | b'0'..=b'9' | b'-' | b'_' | b'.' => {
                    char::from(b).to_string()
                }
                b => format!("%{b:02X}"),
            })
            .collect()
    };
    pairs
        .iter()
        .map(|(name, value)| format!("{}={}", escape(name), escape(value)))
        .collect::<Vec<_>>()
        .join("&")
}

/// The value of the hidden field of that name, in the form that goes to `action`.
pub fn hidden(page: &str, name: &str) -> String {
    let mark = format!("name=\"{name}\" value=\"");
    // The last form of a page may be that which logs out.
    let at = page
        .find(&mark)
        .unwrap_or_else(|| panic!("no {name} in {page}"));
    page[at + mark.len()..]
        .split('"')
        .next()
        .unwrap()
        .to_owned()
}

impl<'a> Browser<'a> {
    pub fn new(app: &'a App) -> Self {
        Self {
            app,
            cookie: String::new(),
            language: "",
        }
    }

    /// A browser of somebody who reads that language.
    pub fn speaking(app: &'a App, language: &'a str) -> Self {
        Self {
            language,
            ..Self::new(app)
        }
    }

    fn languages(&self) -> Option<(&'static str, &'a str)> {
        Some(("accept-language", self.language)).filter(|(_, of)| !of.is_empty())
    }

    pub fn keep(&mut self, reply: &Reply) {
        let set = reply.header("set-cookie");
        if !set.is_empty() {
            self.cookie = set.split(';').next().unwrap().to_owned();
        }
    }

    pub fn get(&mut self, path: &str) -> Reply {
        let cookie = self.cookie.clone();
        let mut headers = vec![("cookie", cookie.as_str())];
        headers.extend(self.languages());
        let reply = self.app.request("GET", path, &headers, b"");
        self.keep(&reply);
        reply
    }

    /// Looks at a page that must be there and be whole.
    pub fn page(&mut self, path: &str) -> String {
        let reply = self.get(path);
        assert_eq!(reply.status, 200, "{path}: {}", reply.text());
        checked(path, &reply)
    }

    pub fn post(&mut self, path: &str, pairs: &[(&str, &str)], more: &[(&str, &str)]) -> Reply {
        let cookie = self.cookie.clone();
        let mut headers = vec![
            ("cookie", cookie.as_str()),
            ("content-type", "application/x-www-form-urlencoded"),
        ];
        headers.extend(self.languages());
        headers.extend_from_slice(more);
        let reply = self
            .app
            .request("POST", path, &headers, encoded(pairs).as_bytes());
        self.keep(&reply);
        reply
    }

    /// Opens the page of a form, fills the form in and sends it.
    pub fn send(&mut self, path: &str, pairs: &[(&str, &str)]) -> Reply {
        let page = self.page(path);
        let (proof, once) = (hidden(&page, "proof"), hidden(&page, "once"));
        let mut all = vec![("proof", proof.as_str()), ("once", once.as_str())];
        all.extend_from_slice(pairs);
        self.post(path, &all, &[])
    }

    /// As [`Self::send`], and it must be written down.
    pub fn write(&mut self, path: &str, pairs: &[(&str, &str)]) -> String {
        let reply = self.send(path, pairs);
        assert_eq!(reply.status, 201, "{path}: {}", reply.text());
        checked(path, &reply)
    }
}

/// Every tag of that name, as it is written.
pub fn tags<'p>(page: &'p str, name: &str) -> Vec<&'p str> {
    page.match_indices(&format!("<{name}"))
        .map(|(at, _)| &page[at..])
        .filter(|rest| rest[name.len() + 1..].starts_with([' ', '>']))
        .map(|rest| &rest[..=rest.find('>').unwrap()])
        .collect()
}

pub fn attribute<'t>(tag: &'t str, name: &str) -> Option<&'t str> {
    let mark = format!(" {name}=\"");
    let at = tag.find(&mark)?;
    tag[at + mark.len()..].split('"').next()
}

/// What holds of every page.
pub fn checked(path: &str, reply: &Reply) -> String {
    let page = reply.text();
    assert_eq!(
        reply.header("content-type"),
        "text/html; charset=utf-8",
        "{path}"
    );
    let policy = reply.header("content-security-policy");
    assert!(policy.contains("default-src 'none'"), "{path}: {policy}");
    assert!(policy.contains("form-action 'self'"), "{path}: {policy}");
    assert!(!policy.contains("unsafe"), "{path}: {policy}");
    assert!(page.len() < 60_000, "{path}: {} bytes", page.len());
    assert_eq!(tags(&page, "h1").len(), 1, "{path}");
    assert_eq!(
        tags(&page, "link").len(),
        1,
        "{path}: one request for style"
    );
    assert!(page.contains("<html lang=\"en\">"), "{path}");
    // One script, of our own, that nothing waits for.
    let scripts = tags(&page, "script");
    assert_eq!(scripts.len(), 1, "{path}: one request for a script");
    assert!(attribute(scripts[0], "src").is_some_and(|s| s.starts_with("/forms-")));
    assert!(page.contains(" defer></script>"), "{path}");
    assert!(!page.contains(" style="), "{path}");
    assert!(page.contains("Local rules come first"), "{path}");
    for stops in [".. ", "..<"] {
        assert!(!page.contains(stops), "{path}: {stops}");
    }
    let mut ids: Vec<&str> = Vec::new();
    let labelled: Vec<&str> = tags(&page, "label")
        .iter()
        .filter_map(|l| attribute(l, "for"))
        .collect();
    for kind in ["input", "select"] {
        for tag in tags(&page, kind) {
            let kind = attribute(tag, "type").unwrap_or_default();
            if kind == "hidden" || kind == "checkbox" {
                // A box stands inside its label.
                continue;
            }
            let id = attribute(tag, "id").unwrap_or_else(|| panic!("{path}: {tag}"));
            assert!(labelled.contains(&id), "{path}: {tag}");
            for of in attribute(tag, "aria-describedby")
                .into_iter()
                .flat_map(str::split_whitespace)
            {
                assert!(page.contains(&format!("id=\"{of}\"")), "{path}: {of}");
            }
        }
    }
    for (at, _) in page.match_indices(" id=\"") {
        let id = page[at + 5..].split('"').next().unwrap();
        assert!(!ids.contains(&id), "{path}: two of id {id}");
        ids.push(id);
    }
    page
}

pub fn fresh(stem: &str) -> String {
    static NEXT: AtomicU64 = AtomicU64::new(1);
    format!("{stem}-{}", NEXT.fetch_add(1, Ordering::Relaxed))
}

/// A studio of its own, by its path.
pub fn studio(browser: &mut Browser<'_>) -> String {
    let name = fresh("studio");
    let reply = browser.send(
        "/",
        &[
            ("title", "An Invented Studio"),
            ("id", &name),
            ("crafts", "collodion"),
            ("crafts", "film_and_paper"),
            ("premises", "home_business"),
            ("rule_set", "eu"),
            ("responsible", "R. Example"),
        ],
    );
    assert_eq!(reply.status, 303, "{}", reply.text());
    assert_eq!(reply.header("location"), format!("/studios/{name}"));
    format!("/studios/{name}")
}

pub const FIXER: &[(&str, &str)] = &[
    ("kind", "fixer"),
    ("much", "1"),
    ("much_unit", "us_gal"),
    ("status", "spent"),
    ("waste_since", "2026-03-01"),
    ("craft", "film_and_paper"),
    ("contents", "sodium_thiosulfate"),
    ("on", "2026-03-01"),
    ("by", "R. Example"),
];

pub fn fixer(browser: &mut Browser<'_>, studio: &str, name: &str) -> String {
    let mut pairs = vec![("id", name)];
    pairs.extend_from_slice(FIXER);
    browser.write(&format!("{studio}/record/container"), &pairs)
}
