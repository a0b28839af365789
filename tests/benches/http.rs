//! Loads an echo and the operations in turn, on one service in one run, and prints the ratios.
//!
//! The echo takes the same body through the same door (host, token, request id, body limit) and
//! answers as many bytes as the operation does, under the same headers. It leaves out what an
//! operation is: choosing by media type, reading, computing and writing. The ratio of the two
//! throughputs is what that costs. By processor time it is the ratio of what the two took of the
//! processors, which other work on the machine disturbs less. The clients run in the same process,
//! and take from both sides alike. No log is started, so that neither side writes lines.
//!
//! The pages stand beside the calls that they rest on, in a studio with a thousand containers.
//!
//! `cargo bench --bench http` runs it over every operation and the pages, `cargo bench --bench http --
//! reports pages` over those named; as a test it runs a short round, which only shows that it works.

use actix_web::{HttpResponse, web};
use spent_silver::config::{BookFlags, Settings};
use spent_silver::operation::{Operation, operations};
use spent_silver::server::{State, bind_with};
use std::io::{BufRead as _, BufReader, Read as _, Write as _};
use std::net::{SocketAddr, TcpStream};
use std::sync::mpsc;
use std::time::{Duration, Instant};

const CONNECTIONS: usize = 8;
/// Many and short, so that a busy machine is as busy for the one as for the other.
const ROUNDS: usize = 61;

fn main() {
    let full = std::env::args().any(|a| a == "--bench");
    let (rounds, requests) = if full { (ROUNDS, 1_600) } else { (1, 80) };
    let address = start();
    println!("{CONNECTIONS} connections, {requests} requests a round, {rounds} rounds, median");
    let named: Vec<String> = std::env::args()
        .skip(1)
        .filter(|a| !a.starts_with('-'))
        .collect();
    for operation in operations()
        .iter()
        .filter(|o| named.is_empty() || named.iter().any(|n| n == o.name))
    {
        let body = operation.example;
        let own_path = format!("/v1/{}", operation.name);
        let length = answer_length(operation);
        let echo_path = format!("/echo/{}", operation.name);
        // One round of each to warm up, then in turn, so that both see the same machine.
        load(address, &echo_path, body, requests, length);
        load(address, &own_path, body, requests, length);
        let mut spent = [0, 0];
        let mut pairs: Vec<(f64, f64)> = (0..rounds)
            .map(|_| {
                let before = processor_ticks();
                let echo = load(address, &echo_path, body, requests, length);
                let between = processor_ticks();
                let own = load(address, &own_path, body, requests, length);
                spent[0] += between - before;
                spent[1] += processor_ticks() - between;
                (echo, own)
            })
            .collect();
        let cpu = cpu_per_call(operation, if full { 5_000 } else { 10 });
        pairs.sort_by(|a, b| (a.1 / a.0).total_cmp(&(b.1 / b.0)));
        let (echo, own) = pairs[rounds / 2];
        println!(
            "{:<24} echo {echo:>8.0}/s  own {own:>8.0}/s  ratio {:.2}, by processor time {:.2}  (answer {length} bytes, {:.1} us of one core without HTTP)",
            operation.name,
            own / echo,
            spent[0] as f64 / spent[1] as f64,
            cpu.as_secs_f64() * 1e6,
        );
    }
    if named.is_empty() || named.iter().any(|n| n == "pages") {
        pages(
            address,
            if full { 1_000 } else { 3 },
            if full { 15 } else { 1 },
        );
    }
}

/// Pages of a studio with so many containers, each beside the call that it rests on, one request after
/// the other.
fn pages(address: SocketAddr, containers: usize, rounds: usize) {
    let post = |path: &str, key: &str, body: &str| {
        let request = format!(
            "POST {path} HTTP/1.1\r\nhost: {address}\r\nconnection: close\r\ncontent-type: application/json\r\nidempotency-key: {key}\r\ncontent-length: {}\r\n\r\n{body}",
            body.len()
        );
        let reply = once(address, &request);
        assert!(reply.starts_with("HTTP/1.1 201"), "{reply}");
    };
    post(
        "/v1/studios",
        "studio",
        r#"{"id": "bench", "studio": {"name": "Bench", "crafts": ["film_and_paper"]}, "rule_set": "us-federal"}"#,
    );
    for i in 0..containers {
        post(
            "/v1/studios/bench/entries",
            &i.to_string(),
            &format!(
                r#"{{"id": "e-{i}", "on": "2026-01-05", "recorded_by": "R. Example", "event": {{"opened": {{"batch":
                {{"id": "jug-{i}", "kind": "fixer", "status": "spent", "craft": "film_and_paper", "volume_l": "4", "waste_since": "2026-01-05",
                "composition": [{{"substance": "sodium_thiosulfate", "g_per_l": "150"}}],
                "evidence": [{{"stated": {{"silver_g": {{"value": "12.0", "standard_uncertainty": "0.4"}}}}}}]}}}}}}}}"#
            ),
        );
    }
    println!("{containers} containers, one connection, {rounds} rounds, median");
    for (page, call) in [
        ("/", "/v1/studios"),
        ("/studios/bench", "/v1/studios/bench/batches"),
        (
            "/studios/bench/containers/jug-1",
            "/v1/studios/bench/batches/jug-1",
        ),
        ("/studios/bench/record/water", "/v1/studios/bench/batches"),
        ("/studios/bench/due", "/v1/studios/bench/clocks"),
    ] {
        let [page_ms, call_ms] = [page, call].map(|path| {
            let mut times: Vec<Duration> = (0..=rounds)
                .map(|_| {
                    let started = Instant::now();
                    let reply = once(
                        address,
                        &format!(
                            "GET {path} HTTP/1.1\r\nhost: {address}\r\nconnection: close\r\n\r\n"
                        ),
                    );
                    assert!(reply.starts_with("HTTP/1.1 200"), "{path}: {reply}");
                    started.elapsed()
                })
                .collect();
            times.sort();
            times[rounds / 2].as_secs_f64() * 1e3
        });
        println!(
            "{page:<34} {page_ms:>6.1} ms  {call:<34} {call_ms:>6.1} ms  ratio {:.2}",
            page_ms / call_ms
        );
    }
}

/// One request on a connection of its own, and all that comes back.
fn once(address: SocketAddr, request: &str) -> String {
    let mut stream = TcpStream::connect(address).unwrap();
    stream.write_all(request.as_bytes()).unwrap();
    let mut reply = Vec::new();
    stream.read_to_end(&mut reply).unwrap();
    String::from_utf8_lossy(&reply).into_owned()
}

/// One service with the usual settings, and the echo beside our own paths.
fn start() -> SocketAddr {
    let folder = tempfile::tempdir().unwrap();
    let book = folder.path().join("book.sqlite3");
    let settings = Settings {
        listen: SocketAddr::from(([127, 0, 0, 1], 0)),
        book: BookFlags {
            database: Some(book.to_string_lossy().into_owned()),
        },
        ..Settings::default()
    };
    let (tell, told) = mpsc::channel();
    std::thread::spawn(move || {
        actix_web::rt::System::new().block_on(async move {
            let state = State::new(settings).await.unwrap();
            let bound = bind_with(state, echoes).unwrap();
            tell.send(bound.address).unwrap();
            let _folder = folder;
            bound.server.await.unwrap();
        });
    });
    told.recv().unwrap()
}

/// One echo for each operation, at a path as plain as the operation's own.
fn echoes(config: &mut web::ServiceConfig) {
    for operation in operations() {
        let length = answer_length(operation);
        let path = format!("/echo/{}", operation.name);
        let route = web::post().to(move |body| echo(length, body));
        config.service(web::resource(path).route(route));
    }
}

/// Takes the body and answers `length` bytes of it.
async fn echo(length: usize, body: web::Bytes) -> HttpResponse {
    let mut answer = Vec::with_capacity(length);
    while answer.len() < length {
        let part = body.len().min(length - answer.len());
        answer.extend_from_slice(&body[..part]);
    }
    HttpResponse::Ok()
        .content_type("application/json")
        .insert_header(("cache-control", "no-store"))
        .body(answer)
}

fn answer_length(operation: &Operation) -> usize {
    operation
        .answer(operation.example.as_bytes())
        .unwrap()
        .len()
}

/// Processor time of this process so far, clients and service, in ticks; nothing where the system
/// does not say.
fn processor_ticks() -> u64 {
    let stat = std::fs::read_to_string("/proc/self/stat").unwrap_or_default();
    // The fields after the name in brackets: user and system time are the 12th and 13th.
    let fields = stat.rsplit_once(')').map_or("", |(_, rest)| rest);
    let times = fields.split_whitespace().skip(11).take(2);
    times.filter_map(|t| t.parse::<u64>().ok()).sum()
}

fn cpu_per_call(operation: &Operation, calls: u32) -> Duration {
    let started = Instant::now();
    for _ in 0..calls {
        std::hint::black_box(operation.answer(operation.example.as_bytes()).unwrap());
    }
    started.elapsed() / calls
}

/// Sends so many requests over all connections; answers per second.
fn load(address: SocketAddr, path: &str, body: &str, requests: usize, length: usize) -> f64 {
    let request = format!(
        "POST {path} HTTP/1.1\r\nhost: {address}\r\ncontent-type: application/json\r\ncontent-length: {}\r\n\r\n{body}",
        body.len()
    );
    let each = requests / CONNECTIONS;
    let started = Instant::now();
    std::thread::scope(|scope| {
        for _ in 0..CONNECTIONS {
            scope.spawn(|| drive(address, request.as_bytes(), each, length));
        }
    });
    (each * CONNECTIONS) as f64 / started.elapsed().as_secs_f64()
}

fn drive(address: SocketAddr, request: &[u8], requests: usize, length: usize) {
    let mut out = TcpStream::connect(address).unwrap();
    out.set_nodelay(true).unwrap();
    let mut answers = BufReader::with_capacity(64 * 1024, out.try_clone().unwrap());
    let mut line = String::new();
    let mut body = vec![0; length];
    for _ in 0..requests {
        out.write_all(request).unwrap();
        let mut first = true;
        loop {
            line.clear();
            answers.read_line(&mut line).unwrap();
            if first && !line.starts_with("HTTP/1.1 200") {
                panic!("{line}");
            }
            first = false;
            if line == "\r\n" {
                break;
            }
        }
        answers.read_exact(&mut body).unwrap();
    }
}
