//! The program as a service, for tests that start, ask and kill it.
#![expect(
    clippy::unwrap_used,
    clippy::panic,
    reason = "a test fails by panicking"
)]
#![cfg(unix)]

use std::io::{BufRead as _, BufReader, Read as _, Write as _};
use std::net::TcpStream;
use std::process::{Child, Command, Stdio};
use std::time::{Duration, Instant};
use tempfile::TempDir;

/// A service as a process; it is killed when dropped.
pub struct Service {
    child: Child,
    /// Where it listens.
    pub address: String,
    /// Where its book is, if it is its own.
    _folder: Option<TempDir>,
}

/// Starts a service with a book of its own.
pub fn start(arguments: &[&str]) -> Service {
    let folder = tempfile::tempdir().unwrap();
    let book = folder.path().join("book.sqlite3");
    let mut service = start_on(book.to_str().unwrap(), arguments);
    service._folder = Some(folder);
    service
}

/// Starts a service on this book.
pub fn start_on(book: &str, arguments: &[&str]) -> Service {
    let mut child = Command::new(env!("CARGO_BIN_EXE_spent-silver"))
        .args(["serve", "--database", book])
        .args(arguments)
        .env_clear()
        .env("SPENT_SILVER_LISTEN", "127.0.0.1:0")
        .stdout(Stdio::piped())
        .stderr(Stdio::piped())
        .spawn()
        .unwrap();
    let mut line = String::new();
    BufReader::new(child.stdout.as_mut().unwrap())
        .read_line(&mut line)
        .unwrap();
    let address = line
        .strip_prefix("listening on http://")
        .unwrap_or_else(|| panic!("{line}"))
        .trim_end()
        .to_owned();
    Service {
        child,
        address,
        _folder: None,
    }
}

impl Service {
    /// A connection to it.
    pub fn connect(&self) -> TcpStream {
        let stream = TcpStream::connect(&self.address).unwrap();
        stream
            .set_read_timeout(Some(Duration::from_secs(20)))
            .unwrap();
        stream
    }

    /// Sends it a signal.
    pub fn signal(&self, name: &str) {
        let sent = Command::new("kill")
            .args([name, &self.child.id().to_string()])
            .status()
            .unwrap();
        assert!(sent.success());
    }

    /// Waits for the end; what it exited with and what it logged.
    pub fn end(&mut self) -> (Option<i32>, String) {
        let started = Instant::now();
        while self.child.try_wait().unwrap().is_none() {
            assert!(
                started.elapsed() < Duration::from_secs(20),
                "it does not end"
            );
            std::thread::sleep(Duration::from_millis(10));
        }
        let mut log = String::new();
        let mut err = self.child.stderr.take().unwrap();
        err.read_to_string(&mut log).unwrap();
        (self.child.wait().unwrap().code(), log)
    }
}

impl Service {
    /// Sends a request with JSON; `None` where the service went away before it answered.
    pub fn send(&self, method: &str, path: &str, key: &str, body: &str) -> Option<(u16, String)> {
        send(&self.address, method, path, key, body)
    }
}

/// See [`Service::send`].
pub fn send(
    address: &str,
    method: &str,
    path: &str,
    key: &str,
    body: &str,
) -> Option<(u16, String)> {
    let mut stream = TcpStream::connect(address).ok()?;
    stream
        .set_read_timeout(Some(Duration::from_secs(20)))
        .ok()?;
    let request = format!(
        "{method} {path} HTTP/1.1\r\nhost: localhost\r\nconnection: close\r\ncontent-type: application/json\r\nidempotency-key: {key}\r\ncontent-length: {}\r\n\r\n{body}",
        body.len()
    );
    stream.write_all(request.as_bytes()).ok()?;
    let mut answer = String::new();
    stream.read_to_string(&mut answer).ok()?;
    let status = answer.get(9..12)?.parse().ok()?;
    let (head, body) = answer.split_once("\r\n\r\n")?;
    // An answer that was cut off is none.
    let length: usize = head
        .lines()
        .find_map(|l| l.strip_prefix("content-length: "))?
        .parse()
        .ok()?;
    (body.len() == length).then(|| (status, body.to_owned()))
}

impl Drop for Service {
    fn drop(&mut self) {
        let _ = self.child.kill();
        let _ = self.child.wait();
    }
}
