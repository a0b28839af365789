//! The service as a process: it starts, says where it listens, logs, and ends when told.
#![expect(clippy::unwrap_used, reason = "a test fails by panicking")]
#![cfg(unix)]

use crate::service::start;
use serde_json::Value;
use std::io::{Read as _, Write as _};
use std::net::TcpStream;
use std::process::Command;
use std::time::Duration;

fn answer(mut stream: TcpStream) -> String {
    let mut text = String::new();
    stream.read_to_string(&mut text).unwrap();
    text
}

const READY: &[u8] = b"GET /readyz HTTP/1.1\r\nhost: localhost\r\nconnection: close\r\nx-request-id: probe-1\r\n\r\n";

#[test]
fn it_listens_answers_logs_and_ends_on_terminate_and_interrupt() {
    for signal in ["-TERM", "-INT"] {
        let mut service = start(&[]);
        let mut stream = service.connect();
        stream.write_all(READY).unwrap();
        assert!(answer(stream).starts_with("HTTP/1.1 200 OK"));
        service.signal(signal);
        let (code, log) = service.end();
        assert_eq!(code, Some(0), "{signal}");
        let lines: Vec<Value> = log
            .lines()
            .map(|line| serde_json::from_str(line).unwrap_or_else(|_| panic!("{line}")))
            .collect();
        let probe = lines
            .iter()
            .find(|line| line["request_id"] == "probe-1")
            .expect("the request is in the log");
        assert_eq!(probe["path"], "/readyz");
        assert_eq!(probe["status"], 200);
    }
}

#[test]
fn a_request_that_has_begun_is_answered_before_the_end() {
    let mut service = start(&["--log-level", "off"]);
    let body = include_str!("../examples/silver-estimates.json");
    let mut stream = service.connect();
    let head = format!(
        "POST /v1/silver-estimates HTTP/1.1\r\nhost: localhost\r\nconnection: close\r\ncontent-type: application/json\r\ncontent-length: {}\r\n\r\n",
        body.len()
    );
    let (first, rest) = body.split_at(body.len() / 2);
    stream.write_all(head.as_bytes()).unwrap();
    stream.write_all(first.as_bytes()).unwrap();
    // The worker has the request once another connection on it is answered.
    for _ in 0..4 {
        let mut probe = service.connect();
        probe.write_all(READY).unwrap();
        assert!(answer(probe).starts_with("HTTP/1.1 200 OK"));
    }
    service.signal("-TERM");
    std::thread::sleep(Duration::from_millis(200));
    assert!(
        TcpStream::connect(&service.address).is_err(),
        "it still takes connections"
    );
    stream.write_all(rest.as_bytes()).unwrap();
    let answered = answer(stream);
    assert!(answered.starts_with("HTTP/1.1 200 OK"), "{answered}");
    let (code, log) = service.end();
    assert_eq!(code, Some(0));
    assert_eq!(log, "");
}

#[test]
fn a_client_that_never_finishes_does_not_hold_the_end() {
    let mut service = start(&["--shutdown-seconds", "1"]);
    let mut stream = service.connect();
    stream
        .write_all(b"POST /v1/silver-estimates HTTP/1.1\r\nhost: localhost\r\ncontent-type: application/json\r\ncontent-length: 100\r\n\r\n{")
        .unwrap();
    let mut probe = service.connect();
    probe.write_all(READY).unwrap();
    assert!(answer(probe).starts_with("HTTP/1.1 200 OK"));
    service.signal("-TERM");
    let (code, _) = service.end();
    assert_eq!(code, Some(0));
}

#[test]
fn a_port_that_is_taken_is_said_so() {
    let service = start(&[]);
    let output = Command::new(env!("CARGO_BIN_EXE_spent-silver"))
        .args(["--format", "json", "serve", "--listen", &service.address])
        .env_clear()
        .output()
        .unwrap();
    assert_eq!(output.status.code(), Some(2));
    let problem: Value = serde_json::from_slice(&output.stderr).unwrap();
    assert_eq!(problem["code"], "invalid_argument");
}
