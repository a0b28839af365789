//! Helpers that the black-box tests share: a service of their own, and a client that sends any bytes.

pub mod published;

use serde::Deserialize;
use serde_json::Value;
use spent_silver::config::{BookFlags, Settings};
use spent_silver::operation::{Operation, operation, operations};
use spent_silver::server::{self, State};
use std::io::{Read as _, Write as _};
use std::net::{SocketAddr, TcpStream};
use std::sync::atomic::{AtomicUsize, Ordering};
use std::sync::mpsc;
use std::thread::JoinHandle;
use std::time::Duration;

/// The example of every operation, and the requests that touch what the examples do not.
///
/// # Panics
/// When one is not JSON, or names no operation.
#[must_use]
pub fn requests() -> Vec<(&'static Operation, Value)> {
    #[derive(Deserialize)]
    struct More {
        operation: String,
        body: Value,
    }
    let more: Vec<More> = serde_json::from_str(include_str!("../data/more_requests.json")).unwrap();
    let examples = operations()
        .iter()
        .map(|o| (o, serde_json::from_str(o.example).unwrap()));
    examples
        .chain(
            more.into_iter()
                .map(|m| (operation(&m.operation).unwrap(), m.body)),
        )
        .chain(demo_documents())
        .collect()
}

/// The papers of the demo.
fn demo_documents() -> impl Iterator<Item = (&'static Operation, Value)> {
    let folder = concat!(env!("CARGO_MANIFEST_DIR"), "/../demo");
    let mut files: Vec<_> = std::fs::read_dir(folder)
        .unwrap()
        .map(|entry| entry.unwrap().path())
        .filter(|path| {
            let name = path.file_name().unwrap().to_string_lossy();
            name.starts_with("document-") && name.ends_with(".json")
        })
        .collect();
    files.sort();
    files.into_iter().map(|path| {
        let text = std::fs::read_to_string(path).unwrap();
        (
            operation("documents").unwrap(),
            serde_json::from_str(&text).unwrap(),
        )
    })
}

/// A service on a free port of loopback; it stops when dropped.
pub struct App {
    /// Where it listens.
    pub address: SocketAddr,
    handle: Option<actix_web::dev::ServerHandle>,
    thread: Option<JoinHandle<()>>,
    /// The book's own, gone with the service.
    _folder: tempfile::TempDir,
    /// Another service on the same book, which takes every second request.
    beside: Option<Box<App>>,
    sent: AtomicUsize,
}

/// An answer as it came.
#[derive(Debug)]
pub struct Reply {
    /// HTTP status.
    pub status: u16,
    /// Headers, names in small letters.
    pub headers: Vec<(String, String)>,
    /// The body.
    pub body: Vec<u8>,
}

/// Starts a service with the usual settings.
///
/// # Panics
/// When it cannot be started.
#[must_use]
pub fn spawn_app() -> App {
    spawn_app_with(|_| {}, |_| {})
}

/// Starts a service with settings that `change` and a state that `adjust` may change.
///
/// # Panics
/// When it cannot be started.
#[must_use]
pub fn spawn_app_with(
    adjust: impl FnOnce(&mut State) + Send + 'static,
    change: impl FnOnce(&mut Settings),
) -> App {
    let folder = tempfile::tempdir().unwrap();
    let book = folder.path().join("book.sqlite3");
    let mut settings = Settings {
        listen: SocketAddr::from(([127, 0, 0, 1], 0)),
        workers: Some(2),
        shutdown_seconds: 1,
        book: BookFlags {
            database: Some(book.to_string_lossy().into_owned()),
        },
        ..Settings::default()
    };
    change(&mut settings);
    let (tell, told) = mpsc::channel();
    let thread = std::thread::spawn(move || {
        actix_web::rt::System::new().block_on(async move {
            let bound = State::new(settings).await.and_then(|mut state| {
                adjust(&mut state);
                server::bind(state)
            });
            match bound {
                Ok(bound) => {
                    let _ = tell.send(Ok((bound.address, bound.server.handle())));
                    let _ = bound.server.await;
                }
                Err(problem) => {
                    let _ = tell.send(Err(problem));
                }
            }
        });
    });
    match told.recv() {
        Ok(Ok((address, handle))) => App {
            address,
            handle: Some(handle),
            thread: Some(thread),
            _folder: folder,
            beside: None,
            sent: AtomicUsize::new(0),
        },
        other => panic!("the service did not start: {:?}", other.map(|r| r.err())),
    }
}

impl Drop for App {
    fn drop(&mut self) {
        if let Some(handle) = self.handle.take() {
            // The stop is sent at once; the thread below ends when the service has.
            drop(handle.stop(false));
        }
        if let Some(thread) = self.thread.take() {
            let _ = thread.join();
        }
    }
}

impl App {
    /// This service, and another on the same book that takes every second request.
    #[must_use]
    pub fn beside(mut self, other: Self) -> Self {
        self.beside = Some(Box::new(other));
        self
    }

    /// Gets a path.
    #[must_use]
    pub fn get(&self, path: &str) -> Reply {
        self.request("GET", path, &[], b"")
    }

    /// Posts JSON.
    #[must_use]
    pub fn post(&self, path: &str, body: impl AsRef<[u8]>) -> Reply {
        self.request(
            "POST",
            path,
            &[("content-type", "application/json")],
            body.as_ref(),
        )
    }

    /// Sends a request with these headers; Host and Content-Length are added where they are missing.
    ///
    /// # Panics
    /// When the connection fails.
    #[must_use]
    pub fn request(
        &self,
        method: &str,
        path: &str,
        headers: &[(&str, &str)],
        body: &[u8],
    ) -> Reply {
        if let Some(other) = &self.beside
            && self.sent.fetch_add(1, Ordering::Relaxed) % 2 == 1
        {
            return other.request(method, path, headers, body);
        }
        let mut head = format!("{method} {path} HTTP/1.1\r\nconnection: close\r\n");
        if !headers.iter().any(|(name, _)| *name == "host") {
            head.push_str(&format!("host: {}\r\n", self.address));
        }
        if !body.is_empty() || matches!(method, "POST" | "PUT") {
            head.push_str(&format!("content-length: {}\r\n", body.len()));
        }
        for (name, value) in headers {
            head.push_str(&format!("{name}: {value}\r\n"));
        }
        head.push_str("\r\n");
        let mut bytes = head.into_bytes();
        bytes.extend_from_slice(body);
        self.send(&bytes)
    }

    /// Sends bytes and reads until the service closes.
    ///
    /// # Panics
    /// When the connection fails or the answer is not HTTP.
    #[must_use]
    pub fn send(&self, bytes: &[u8]) -> Reply {
        let mut stream = match TcpStream::connect(self.address) {
            Ok(stream) => stream,
            Err(error) => panic!("no connection: {error}"),
        };
        let _ = stream.set_read_timeout(Some(Duration::from_secs(30)));
        // The service may answer, and stop reading, before it has read all.
        let _ = stream.write_all(bytes);
        let mut answer = Vec::new();
        let _ = stream.read_to_end(&mut answer);
        match Reply::parse(&answer) {
            Some(reply) => reply,
            None => panic!("not HTTP: {}", String::from_utf8_lossy(&answer)),
        }
    }
}

impl Reply {
    fn parse(bytes: &[u8]) -> Option<Self> {
        let end = bytes.windows(4).position(|w| w == b"\r\n\r\n")?;
        let head = std::str::from_utf8(bytes.get(..end)?).ok()?;
        let mut lines = head.split("\r\n");
        let status = lines.next()?.split(' ').nth(1)?.parse().ok()?;
        let headers = lines
            .filter_map(|line| line.split_once(':'))
            .map(|(name, value)| (name.to_ascii_lowercase(), value.trim().to_owned()))
            .collect();
        Some(Self {
            status,
            headers,
            body: bytes.get(end + 4..)?.to_vec(),
        })
    }

    /// The header of that name, in small letters; empty when absent.
    #[must_use]
    pub fn header(&self, name: &str) -> &str {
        self.headers
            .iter()
            .find(|(n, _)| n == name)
            .map_or("", |(_, value)| value)
    }

    /// The body as JSON; null when it is not.
    #[must_use]
    pub fn json(&self) -> Value {
        serde_json::from_slice(&self.body).unwrap_or_default()
    }

    /// The body as text.
    #[must_use]
    pub fn text(&self) -> String {
        String::from_utf8_lossy(&self.body).into_owned()
    }

    /// Checks that this is a whole problem document and returns it.
    ///
    /// # Panics
    /// When it is not.
    #[must_use]
    pub fn problem(&self) -> Value {
        let problem = self.json();
        assert_eq!(
            self.header("content-type"),
            "application/problem+json",
            "{}",
            self.text()
        );
        assert_eq!(problem["status"], self.status, "{problem}");
        let code = problem["code"].as_str().unwrap_or_default();
        assert_eq!(problem["type"], format!("/problems/{code}"), "{problem}");
        assert_eq!(
            problem["request_id"],
            self.header("x-request-id"),
            "{problem}"
        );
        for member in ["title", "detail"] {
            assert!(
                problem[member].as_str().is_some_and(|t| !t.is_empty()),
                "{problem}"
            );
        }
        problem
    }

    /// Pointers and parameters that the problem names.
    #[must_use]
    pub fn places(&self) -> Vec<String> {
        self.problem()["errors"]
            .as_array()
            .into_iter()
            .flatten()
            .filter_map(|e| e["pointer"].as_str().or(e["parameter"].as_str()))
            .map(str::to_owned)
            .collect()
    }
}

/// Every place in a JSON value, as pointers, the whole included.
#[must_use]
pub fn pointers(value: &Value) -> Vec<String> {
    fn walk(value: &Value, at: &str, found: &mut Vec<String>) {
        found.push(at.to_owned());
        match value {
            Value::Object(map) => {
                for (name, item) in map {
                    let name = name.replace('~', "~0").replace('/', "~1");
                    walk(item, &format!("{at}/{name}"), found);
                }
            }
            Value::Array(items) => {
                for (index, item) in items.iter().enumerate() {
                    walk(item, &format!("{at}/{index}"), found);
                }
            }
            _ => {}
        }
    }
    let mut found = Vec::new();
    walk(value, "", &mut found);
    found
}
