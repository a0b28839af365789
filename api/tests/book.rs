//! The silver book under faults: killed, out of room, damaged, newer, carried elsewhere.
#![expect(
    clippy::unwrap_used,
    clippy::panic,
    clippy::print_stdout,
    reason = "a test fails by panicking"
)]
#![cfg(unix)]

use crate::service::{Service, send, start_on};
use serde_json::{Value, json};
use std::collections::BTreeSet;
use std::path::{Path, PathBuf};
use std::process::{Command, Output};
use std::sync::Mutex;
use std::sync::atomic::{AtomicBool, AtomicU64, Ordering};
use std::time::{Duration, Instant};

const STUDIO: &str = r#"{"id": "studio", "studio": {"name": "An Invented Studio"}}"#;

fn run(arguments: &[&str]) -> Output {
    Command::new(env!("CARGO_BIN_EXE_spent-silver"))
        .args(arguments)
        .env_clear()
        .output()
        .unwrap()
}

fn on(book: &Path, arguments: &[&str]) -> Output {
    let mut all = arguments.to_vec();
    all.extend(["--database", book.to_str().unwrap()]);
    run(&all)
}

fn text(bytes: &[u8]) -> String {
    String::from_utf8_lossy(bytes).into_owned()
}

fn problem(output: &Output) -> Value {
    assert_eq!(output.status.code(), Some(2), "{output:?}");
    serde_json::from_slice(&output.stderr).unwrap_or_else(|_| panic!("{output:?}"))
}

fn quiet(book: &Path) -> Service {
    start_on(
        book.to_str().unwrap(),
        &["--log-level", "off", "--workers", "2"],
    )
}

fn made(reply: Option<(u16, String)>) -> Value {
    let (status, body) = reply.unwrap();
    assert_eq!(status, 201, "{body}");
    serde_json::from_str(&body).unwrap()
}

/// Records the year of the example, with two papers issued from it.
fn record_year(service: &Service) {
    made(service.send("POST", "/v1/studios", "s", STUDIO));
    let year: Value =
        serde_json::from_str(include_str!("../examples/silver-accounts.json")).unwrap();
    for entry in year["entries"].as_array().unwrap() {
        let key = entry["id"].as_str().unwrap();
        made(service.send(
            "POST",
            "/v1/studios/studio/entries",
            key,
            &entry.to_string(),
        ));
    }
    for (key, paper) in [("label", "container_label"), ("record", "waste_record")] {
        let body = json!({"document": {paper: {"batch": "fix-a"}}, "on": "2026-11-01"});
        made(service.send(
            "POST",
            "/v1/studios/studio/documents",
            key,
            &body.to_string(),
        ));
    }
}

fn get(service: &Service, path: &str) -> String {
    let (status, body) = service.send("GET", path, "-", "").unwrap();
    assert_eq!(status, 200, "{body}");
    body
}

fn opened(id: &str) -> String {
    json!({"id": id, "on": "2026-01-05", "recorded_by": "R. Example", "event": {"opened": {"batch": {
        "id": "jug", "kind": "fixer", "volume_l": "4"}}}})
    .to_string()
}

fn water(id: &str) -> String {
    json!({"id": id, "on": "2026-01-06", "recorded_by": "R. Example",
        "event": {"topped_up": {"batch": "jug", "water_l": "0.001"}}})
    .to_string()
}

#[test]
fn whatever_was_acknowledged_survives_two_hundred_kills() {
    const KILLS: usize = 200;
    let folder = tempfile::tempdir().unwrap();
    let book = folder.path().join("book.sqlite3");
    let service = quiet(&book);
    made(service.send("POST", "/v1/studios", "s", STUDIO));
    made(service.send("POST", "/v1/studios/studio/entries", "o", &opened("o")));
    drop(service);
    let next = AtomicU64::new(0);
    let acknowledged: Mutex<BTreeSet<String>> = Mutex::default();
    let unsure: Mutex<Vec<String>> = Mutex::default();
    for kill in 0..KILLS {
        let mut service = quiet(&book);
        let stop = AtomicBool::new(false);
        let address = service.address.clone();
        let before = acknowledged.lock().unwrap().len();
        std::thread::scope(|scope| {
            for _ in 0..4 {
                scope.spawn(|| {
                    while !stop.load(Ordering::Relaxed) {
                        // What nobody acknowledged before the last kill is sent again, under its key.
                        let again = unsure.lock().unwrap().pop();
                        let id = again.unwrap_or_else(|| {
                            format!("w{}", next.fetch_add(1, Ordering::Relaxed))
                        });
                        match send(
                            &address,
                            "POST",
                            "/v1/studios/studio/entries",
                            &id,
                            &water(&id),
                        ) {
                            Some((201, _)) => {
                                acknowledged.lock().unwrap().insert(id);
                            }
                            Some((503, _)) | None => unsure.lock().unwrap().push(id),
                            Some((status, body)) => panic!("{status}: {body}"),
                        }
                    }
                });
            }
            // Killed while they write: at some moment after one more was acknowledged.
            let began = Instant::now();
            while acknowledged.lock().unwrap().len() == before {
                assert!(
                    began.elapsed() < Duration::from_secs(30),
                    "nothing is acknowledged"
                );
                std::thread::sleep(Duration::from_millis(1));
            }
            std::thread::sleep(Duration::from_millis((kill as u64 * 7) % 20));
            service.signal("-KILL");
            service.end();
            stop.store(true, Ordering::Relaxed);
        });
    }
    let exported = on(&book, &["export"]);
    assert!(exported.status.success(), "{exported:?}");
    let (mut ids, mut sequences) = (Vec::new(), Vec::new());
    for line in text(&exported.stdout).lines() {
        let line: Value = serde_json::from_str(line).unwrap();
        if let Some(recorded) = line.get("entry") {
            ids.push(recorded["entry"]["id"].as_str().unwrap().to_owned());
            sequences.push(recorded["sequence"].as_u64().unwrap());
        }
    }
    let kept: BTreeSet<String> = ids.iter().cloned().collect();
    assert_eq!(kept.len(), ids.len(), "none is there twice");
    let last = u64::try_from(ids.len()).unwrap();
    assert_eq!(sequences, (1..=last).collect::<Vec<u64>>());
    let acknowledged = acknowledged.into_inner().unwrap();
    let lost: Vec<&String> = acknowledged.difference(&kept).collect();
    assert!(lost.is_empty(), "acknowledged and lost: {lost:?}");
    assert!(acknowledged.len() >= KILLS);
    println!(
        "{KILLS} kills: {} acknowledged, all kept; {} in the book, none twice",
        acknowledged.len(),
        ids.len()
    );
    let verified = on(&book, &["verify"]);
    assert!(verified.status.success(), "{}", text(&verified.stderr));
}

#[test]
fn an_export_taken_in_elsewhere_gives_the_same_book() {
    let folder = tempfile::tempdir().unwrap();
    let (book, other, copy) = (
        folder.path().join("book.sqlite3"),
        folder.path().join("other.sqlite3"),
        folder.path().join("copy.sqlite3"),
    );
    let service = quiet(&book);
    record_year(&service);
    // While it is served.
    let saved = on(&book, &["backup", copy.to_str().unwrap()]);
    assert!(saved.status.success(), "{saved:?}");
    let exported = on(&book, &["export"]);
    assert!(exported.status.success(), "{exported:?}");
    let file = folder.path().join("book.jsonl");
    std::fs::write(&file, &exported.stdout).unwrap();
    let imported = on(&other, &["import", file.to_str().unwrap()]);
    assert_eq!(
        text(&imported.stdout),
        "Taken in: studios 1, entries 24, documents 2.\n",
        "{imported:?}"
    );
    for elsewhere in [&other, &copy] {
        let second = quiet(elsewhere);
        for path in [
            "batches",
            "batches?on=2026-05-01",
            "silver-account?from=2026-01-01&until=2026-12-31",
            "entries?limit=200",
            "documents/1",
            "documents/2",
            "deeds",
        ] {
            let path = format!("/v1/studios/studio/{path}");
            assert_eq!(get(&second, &path), get(&service, &path), "{path}");
        }
        drop(second);
        let again = on(elsewhere, &["export"]);
        assert_eq!(
            again.stdout, exported.stdout,
            "the same book is the same text"
        );
        let verified = on(elsewhere, &["verify"]);
        assert!(verified.status.success(), "{}", text(&verified.stderr));
    }
    // A second time, the studio is there already; nothing is half taken in.
    let twice = on(
        &other,
        &["--format", "json", "import", file.to_str().unwrap()],
    );
    assert!(
        problem(&twice)["detail"]
            .as_str()
            .unwrap()
            .starts_with("line 1: studio `studio`")
    );
    let overwritten = on(
        &book,
        &["--format", "json", "backup", copy.to_str().unwrap()],
    );
    assert_eq!(problem(&overwritten)["code"], "unwritable_file");
}

/// The year of the demo, as it ships: its account names the titration that was misread.
#[test]
fn the_demos_year_is_taken_in_and_its_gross_error_is_named() {
    let folder = tempfile::tempdir().unwrap();
    let book = folder.path().join("book.sqlite3");
    let year = concat!(env!("CARGO_MANIFEST_DIR"), "/../demo/year.jsonl");
    let imported = on(&book, &["import", year]);
    assert_eq!(
        text(&imported.stdout),
        "Taken in: studios 1, entries 24, documents 2.\n",
        "{imported:?}"
    );
    assert!(on(&book, &["verify"]).status.success());
    assert_eq!(
        on(&book, &["export"]).stdout,
        std::fs::read(year).unwrap(),
        "the file is the export of what it holds"
    );
    let service = quiet(&book);
    let account = get(
        &service,
        "/v1/studios/lantern-yard-studio/silver-account?from=2026-01-01&until=2026-12-31",
    );
    let account: Value = serde_json::from_str(&account).unwrap();
    let suspects = &account["result"]["reconciliation"]["suspects"];
    assert_eq!(suspects.as_array().unwrap().len(), 1, "{suspects}");
    assert_eq!(suspects[0]["entry"], "26-011");
}

#[test]
fn an_import_that_cannot_be_names_its_line_and_leaves_nothing() {
    let folder = tempfile::tempdir().unwrap();
    let studio = r#"{"studio":{"record":{"id":"s","studio":{"name":"A."}},"version":1,"created_at":"2026-01-01T00:00:00.000000Z","last_recorded_at":"2026-01-01T00:00:00.000000Z"}}"#;
    let entry = |sequence: u64, id: &str| {
        let entry: Value = serde_json::from_str(&opened(id)).unwrap();
        json!({"entry": {"sequence": sequence, "recorded_at": "2026-01-05T00:00:00.000000Z", "entry": entry}}).to_string()
    };
    for (lines, says) in [
        ("{".to_owned(), "line 1: "),
        (entry(1, "a"), "line 1: expected a studio first"),
        (
            format!("{studio}\n{}", entry(2, "a")),
            "line 2: number 2: expected 1",
        ),
        (
            format!("{studio}\n{}\n{}", entry(1, "a"), entry(2, "b")),
            "line 3: ",
        ),
        (
            format!("{studio}\n\n{{\"novelty\":1}}"),
            "line 3: unknown variant `novelty`",
        ),
    ] {
        let (file, book) = (folder.path().join("lines"), folder.path().join("book"));
        std::fs::write(&file, &lines).unwrap();
        let refused = on(
            &book,
            &["--format", "json", "import", file.to_str().unwrap()],
        );
        let detail = problem(&refused)["detail"].to_string();
        assert!(detail.contains(says), "{detail}");
        assert!(on(&book, &["export"]).stdout.is_empty());
    }
}

/// Changes the file by other means than the program.
fn tamper(book: &Path, statement: &'static str) {
    let url = format!("sqlite://{}", book.display());
    actix_web::rt::System::new().block_on(async {
        use sqlx::Connection as _;
        let mut connection = sqlx::SqliteConnection::connect(&url).await.unwrap();
        sqlx::query(statement)
            .execute(&mut connection)
            .await
            .unwrap();
        connection.close().await.unwrap();
    });
}

#[test]
fn what_was_changed_by_other_means_is_found() {
    let folder = tempfile::tempdir().unwrap();
    let clean = folder.path().join("book.sqlite3");
    let service = quiet(&clean);
    record_year(&service);
    drop(service);
    let cases: [(&'static str, &str); 4] = [
        (
            "UPDATE states SET state = replace(state, '\"empty\":false', '\"empty\":true') WHERE subject = 'container/fix-a'",
            "container/fix-a",
        ),
        (
            "DELETE FROM states WHERE subject = 'container/bath-1'",
            "container/bath-1",
        ),
        (
            "UPDATE documents SET body = replace(body, 'fix-a', 'fix-b') WHERE number = 2",
            "document 2",
        ),
        ("UPDATE studios SET last_sequence = 30", "entries"),
    ];
    for (i, (statement, place)) in cases.into_iter().enumerate() {
        let book = folder.path().join(format!("{i}.sqlite3"));
        let saved = on(&clean, &["backup", book.to_str().unwrap()]);
        assert!(saved.status.success(), "{saved:?}");
        tamper(&book, statement);
        let found = on(&book, &["--format", "json", "verify"]);
        let problem = problem(&found);
        assert_eq!(problem["code"], "book_differs");
        assert_eq!(
            problem["errors"][0]["parameter"],
            format!("studio {place}"),
            "{problem}"
        );
        assert_eq!(problem["errors"].as_array().unwrap().len(), 1, "{problem}");
    }
}

#[test]
fn a_book_of_an_older_schema_is_brought_up_to_date_with_all_that_is_in_it() {
    let folder = tempfile::tempdir().unwrap();
    let book = folder.path().join("book.sqlite3");
    let service = quiet(&book);
    record_year(&service);
    drop(service);
    let (before, after) = (folder.path().join("before"), folder.path().join("after"));
    let export = |to: &Path| {
        let output = on(&book, &["export"]);
        assert!(output.status.success(), "{output:?}");
        std::fs::write(to, &output.stdout).unwrap();
    };
    export(&before);
    // As the first schema kept them: with a row number beside their key.
    tamper(
        &book,
        "CREATE TABLE a AS SELECT * FROM deeds; DROP TABLE deeds; ALTER TABLE a RENAME TO deeds; \
         CREATE TABLE b AS SELECT * FROM entry_subjects; DROP TABLE entry_subjects; ALTER TABLE b RENAME TO entry_subjects; \
         DELETE FROM _sqlx_migrations WHERE version = 2",
    );
    assert_eq!(kept_by_key(&book), 0);
    export(&after);
    assert_eq!(kept_by_key(&book), 2);
    assert!(std::fs::read(&before).unwrap() == std::fs::read(&after).unwrap());
    assert!(on(&book, &["verify"]).status.success());
}

/// How many tables stand in the order of their keys, without a row number (sqlite.org/withoutrowid.html).
fn kept_by_key(book: &Path) -> i64 {
    let url = format!("sqlite://{}", book.display());
    actix_web::rt::System::new().block_on(async {
        use sqlx::Connection as _;
        let mut connection = sqlx::SqliteConnection::connect(&url).await.unwrap();
        let count = sqlx::query_scalar("SELECT count(*) FROM pragma_table_list WHERE schema = 'main' AND type = 'table' AND wr = 1")
            .fetch_one(&mut connection)
            .await
            .unwrap();
        connection.close().await.unwrap();
        count
    })
}

#[test]
fn a_book_that_is_newer_damaged_or_none_is_left_alone() {
    let folder = tempfile::tempdir().unwrap();
    let book = folder.path().join("book.sqlite3");
    let service = quiet(&book);
    record_year(&service);
    drop(service);
    let refused = |file: &Path| {
        let before = std::fs::read(file).unwrap();
        let output = on(
            file,
            &[
                "--format",
                "json",
                "serve",
                "--listen",
                "127.0.0.1:0",
                "--log-level",
                "off",
            ],
        );
        assert!(std::fs::read(file).unwrap() == before, "it was touched");
        problem(&output)
    };
    // Another kind of file.
    let note = folder.path().join("note");
    std::fs::write(&note, "Not a book, but long enough to look at. ".repeat(40)).unwrap();
    assert_eq!(refused(&note)["code"], "store_unavailable");
    // Cut off in the middle.
    let cut = folder.path().join("cut.sqlite3");
    assert!(
        on(&book, &["backup", cut.to_str().unwrap()])
            .status
            .success()
    );
    let bytes = std::fs::read(&cut).unwrap();
    std::fs::write(&cut, &bytes[..bytes.len() / 2]).unwrap();
    let damaged = on(&cut, &["--format", "json", "verify"]);
    assert_eq!(problem(&damaged)["code"], "store_unavailable");
    // From a program that is yet to come.
    let newer = folder.path().join("newer.sqlite3");
    assert!(
        on(&book, &["backup", newer.to_str().unwrap()])
            .status
            .success()
    );
    tamper(
        &newer,
        "INSERT INTO _sqlx_migrations (version, description, success, checksum, execution_time) VALUES (9999, 'later', 1, x'00', 0)",
    );
    assert_eq!(refused(&newer)["code"], "store_too_new");
    // A book that is not there is not made by looking at it.
    let none = folder.path().join("none.sqlite3");
    let missing = on(&none, &["--format", "json", "verify"]);
    assert_eq!(problem(&missing)["code"], "unreadable_file");
    assert!(!none.exists());
    let scheme = run(&[
        "--format",
        "json",
        "verify",
        "--database",
        "mysql://here/book",
    ]);
    assert_eq!(problem(&scheme)["code"], "invalid_argument");
    let nobody = run(&[
        "--format",
        "json",
        "verify",
        "--database",
        "postgres://nobody@127.0.0.1:1/none",
    ]);
    assert_eq!(problem(&nobody)["code"], "store_unavailable");
}

/// A disk that is taken off when the test ends, however it ends.
struct Mounted(PathBuf);

impl Drop for Mounted {
    fn drop(&mut self) {
        let _ = Command::new("umount").arg("--lazy").arg(&self.0).status();
    }
}

#[test]
#[ignore = "needs root, to mount a small disk"]
fn a_full_disk_is_said_and_nothing_is_half_written() {
    let folder = tempfile::tempdir().unwrap();
    let disk = folder.path().join("disk");
    std::fs::create_dir(&disk).unwrap();
    let mounted = Command::new("mount")
        .args(["-t", "tmpfs", "-o", "size=700k", "tmpfs"])
        .arg(&disk)
        .status()
        .unwrap();
    assert!(mounted.success());
    let _mounted = Mounted(disk.clone());
    let book = disk.join("book.sqlite3");
    let service = quiet(&book);
    made(service.send("POST", "/v1/studios", "s", STUDIO));
    made(service.send("POST", "/v1/studios/studio/entries", "o", &opened("o")));
    let (mut kept, mut full) = (1, 0);
    for i in 0..3000 {
        let id = format!("w{i}");
        let (status, body) = service
            .send("POST", "/v1/studios/studio/entries", &id, &water(&id))
            .unwrap();
        if status == 201 {
            kept += 1;
            continue;
        }
        assert_eq!(status, 503, "{body}");
        assert!(body.contains("no room left"), "{body}");
        full += 1;
        if full == 5 {
            break;
        }
    }
    assert_eq!(full, 5, "the disk never ran full");
    // It still reads, and holds what it acknowledged.
    let page = get(
        &service,
        &format!("/v1/studios/studio/entries?limit=1&cursor=n{:x}", kept - 1),
    );
    let page: Value = serde_json::from_str(&page).unwrap();
    assert_eq!(page["items"].as_array().unwrap().len(), 1);
    assert_eq!(page["next_cursor"], Value::Null);
    drop(service);
    let larger = Command::new("mount")
        .args(["-o", "remount,size=9m"])
        .arg(&disk)
        .status()
        .unwrap();
    assert!(larger.success());
    let verified = on(&book, &["verify"]);
    let service = quiet(&book);
    made(service.send(
        "POST",
        "/v1/studios/studio/entries",
        "later",
        &water("later"),
    ));
    drop(service);
    assert!(verified.status.success(), "{}", text(&verified.stderr));
    println!("{kept} entries kept, five refused for want of room");
}

#[test]
fn a_token_reaches_one_studio_by_its_role_until_it_is_revoked() {
    let folder = tempfile::tempdir().unwrap();
    let book = folder.path().join("book.sqlite3");
    let service = quiet(&book);
    record_year(&service);
    made(service.send(
        "POST",
        "/v1/studios",
        "b",
        r#"{"id": "other", "studio": {"name": "Another Invented Studio"}}"#,
    ));
    let token = |studio: &str, role: &str| {
        let made = on(
            &book,
            &[
                "token", "create", "--studio", studio, "--role", role, "--label", "a laptop",
            ],
        );
        assert!(made.status.success(), "{made:?}");
        text(&made.stdout).trim().to_owned()
    };
    let (reader, writer, owner) = (
        token("studio", "reader"),
        token("studio", "writer"),
        token("studio", "owner"),
    );
    let ask = |token: &str, method: &str, path: &str, body: &str| {
        // The key carries the header that follows it: one more line of the request's head.
        let key = format!(
            "k{}\r\nauthorization: Bearer {token}",
            path.len() + body.len()
        );
        service.send(method, path, &key, body).unwrap()
    };
    let entries = "/v1/studios/studio/entries";
    for token in [&reader, &writer, &owner] {
        assert_eq!(ask(token, "GET", entries, "").0, 200);
        assert_eq!(
            ask(
                token,
                "POST",
                "/v1/silver-estimates",
                include_str!("../examples/silver-estimates.json")
            )
            .0,
            200
        );
        // Another studio is not there, whatever is asked of it; the two cannot be told apart.
        for path in [
            "/v1/studios/other",
            "/v1/studios/other/entries",
            "/v1/studios/nowhere",
        ] {
            let (status, body) = ask(token, "GET", path, "");
            assert_eq!(status, 404, "{path}");
            assert!(body.contains("There is no studio `"), "{body}");
        }
        let (_, list) = ask(token, "GET", "/v1/studios", "");
        assert!(
            list.contains("\"studio\"") && !list.contains("\"other\""),
            "{list}"
        );
        assert_eq!(ask(token, "POST", "/v1/studios", STUDIO).0, 403);
    }
    let one = water("w")
        .replace("jug", "fix-a")
        .replace("2026-01-06", "2026-11-06");
    assert_eq!(ask(&reader, "POST", entries, &one).0, 403);
    assert_eq!(ask(&writer, "POST", entries, &one).0, 201);
    assert_eq!(ask(&writer, "GET", "/v1/studios/studio/deeds", "").0, 403);
    let (status, deeds) = ask(&owner, "GET", "/v1/studios/studio/deeds?limit=200", "");
    assert_eq!(status, 200);
    let public = writer.split('.').next().unwrap();
    assert!(deeds.contains(&format!("token {public}")), "{deeds}");
    let secret = writer.split('.').nth(1).unwrap();
    assert!(!deeds.contains(secret));
    let listed = text(&on(&book, &["token", "list"]).stdout);
    assert!(listed.contains(public) && listed.contains("a laptop") && !listed.contains(secret));
    let bytes = std::fs::read(&book).unwrap();
    assert!(
        !bytes.windows(secret.len()).any(|w| w == secret.as_bytes()),
        "the secret is in the file"
    );
    assert!(on(&book, &["token", "revoke", public]).status.success());
    assert_eq!(ask(&writer, "GET", entries, "").0, 401);
    let twice = on(&book, &["--format", "json", "token", "revoke", public]);
    assert_eq!(problem(&twice)["code"], "not_found");
    for wrong in [
        format!("{reader}x"),
        reader.replace('.', ""),
        format!(".{}", reader.len()),
        "a.b".to_owned(),
    ] {
        assert_eq!(ask(&wrong, "GET", entries, "").0, 401, "{wrong}");
    }
    let nobody = on(
        &book,
        &[
            "--format", "json", "token", "create", "--studio", "nowhere", "--role", "reader",
        ],
    );
    assert_eq!(problem(&nobody)["code"], "not_found");
    // With a token in the book, a service may listen beyond loopback, and asks everybody for one.
    let open = start_on(
        book.to_str().unwrap(),
        &["--log-level", "off", "--listen", "0.0.0.0:0"],
    );
    let port = open.address.rsplit(':').next().unwrap();
    let here = format!("127.0.0.1:{port}");
    assert_eq!(send(&here, "GET", entries, "k", "").unwrap().0, 401);
    let key = format!("k\r\nauthorization: Bearer {reader}");
    assert_eq!(send(&here, "GET", entries, &key, "").unwrap().0, 200);
}

#[test]
fn who_asks_too_often_waits_and_keeps_nobody_else_waiting() {
    let folder = tempfile::tempdir().unwrap();
    let book = folder.path().join("book.sqlite3");
    let service = quiet(&book);
    record_year(&service);
    drop(service);
    let made = on(
        &book,
        &["token", "create", "--studio", "studio", "--role", "reader"],
    );
    let token = text(&made.stdout).trim().to_owned();
    let service = start_on(
        book.to_str().unwrap(),
        &[
            "--log-level",
            "off",
            "--api-token",
            "a token of good length",
            "--requests-per-minute",
            "5",
        ],
    );
    let ask = |token: &str| {
        let key = format!("k\r\nauthorization: Bearer {token}");
        service.send("GET", "/v1/studios", &key, "").unwrap().0
    };
    let own: Vec<u16> = (0..7).map(|_| ask(&token)).collect();
    assert_eq!(own, [200, 200, 200, 200, 200, 429, 429]);
    assert_eq!(ask("a token of good length"), 200);
    // Trying tokens is cut short as well.
    let tried: Vec<u16> = (0..25).map(|i| ask(&format!("{i}.x"))).collect();
    assert_eq!(tried[..20], [401; 20]);
    assert_eq!(tried[24], 429);
}
