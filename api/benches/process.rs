//! The program as a process: how soon it answers, and how much memory it keeps after many requests.
#![expect(clippy::print_stdout, reason = "a bench prints what it found")]
#![expect(
    clippy::unwrap_used,
    reason = "a bench that fails has nothing to print"
)]

use std::io::{BufRead as _, BufReader, Read as _, Write as _};
use std::net::TcpStream;
use std::process::{Child, Command, Stdio};
use std::time::{Duration, Instant};

struct Service {
    child: Child,
    address: String,
}

impl Drop for Service {
    fn drop(&mut self) {
        let _ = self.child.kill();
        let _ = self.child.wait();
    }
}

/// How long a service takes from its start to its first answer at that path.
fn first_answer(path: &str) -> Duration {
    let started = Instant::now();
    let service = start();
    let mut stream = TcpStream::connect(&service.address).unwrap();
    let request = format!(
        "GET {path} HTTP/1.1\r\nhost: {}\r\nconnection: close\r\n\r\n",
        service.address
    );
    stream.write_all(request.as_bytes()).unwrap();
    let mut answer = String::new();
    stream.read_to_string(&mut answer).unwrap();
    assert!(answer.starts_with("HTTP/1.1 200"), "{answer}");
    started.elapsed()
}

fn main() {
    let full = std::env::args().any(|a| a == "--bench");
    let (starts, requests) = if full { (11, 10_000) } else { (1, 20) };
    for (path, words) in [("/readyz", "ready"), ("/", "its first page")] {
        let mut times: Vec<Duration> = (0..starts).map(|_| first_answer(path)).collect();
        times.sort();
        println!(
            "start to {words}: {:.1} ms, median of {starts}",
            times[starts / 2].as_secs_f64() * 1e3
        );
    }
    let service = start();
    let body = include_str!("../examples/silver-estimates.json");
    let request = format!(
        "POST /v1/silver-estimates HTTP/1.1\r\nhost: localhost\r\ncontent-type: application/json\r\ncontent-length: {}\r\n\r\n{body}",
        body.len()
    );
    let mut out = TcpStream::connect(&service.address).unwrap();
    let mut answers = BufReader::new(out.try_clone().unwrap());
    for _ in 0..requests {
        out.write_all(request.as_bytes()).unwrap();
        let mut length = 0;
        loop {
            let mut line = String::new();
            answers.read_line(&mut line).unwrap();
            if let Some(value) = line.strip_prefix("content-length: ") {
                length = value.trim().parse().unwrap();
            }
            if line == "\r\n" {
                break;
            }
        }
        let mut body = vec![0; length];
        answers.read_exact(&mut body).unwrap();
    }
    let status = std::fs::read_to_string(format!("/proc/{}/status", service.child.id()));
    let resident = status.ok().and_then(|s| {
        let line = s.lines().find(|l| l.starts_with("VmRSS:"))?.to_owned();
        line.split_whitespace().nth(1)?.parse::<f64>().ok()
    });
    match resident {
        Some(kib) => println!(
            "resident after {requests} requests: {:.1} MiB",
            kib / 1024.0
        ),
        None => println!("resident memory: this system does not say"),
    }
}

fn start() -> Service {
    let mut child = Command::new(env!("CARGO_BIN_EXE_spent-silver"))
        .args(["serve", "--listen", "127.0.0.1:0", "--log-level", "error"])
        .env_clear()
        .stdout(Stdio::piped())
        .spawn()
        .unwrap();
    let mut line = String::new();
    BufReader::new(child.stdout.as_mut().unwrap())
        .read_line(&mut line)
        .unwrap();
    let address = line.trim().replace("listening on http://", "");
    Service { child, address }
}
