//! What the silver book costs against the same driver doing the least that could be done: ratios of one
//! run, in turn, so that both see the same machine.
//!
//! `cargo bench -p spent-silver --no-default-features --bench book` takes ledgers of ten and a hundred
//! thousand entries; `-- --full` a million as well, which takes minutes.
#![allow(
    clippy::unwrap_used,
    clippy::print_stdout,
    clippy::arithmetic_side_effects,
    reason = "a bench prints, and fails by panicking"
)]

use jiff::Timestamp;
use spent_silver::store::{Access, Location, Recording, Reply, Store};
use spent_silver_domain::ledger::{Entry, Subject};
use spent_silver_domain::waste::rule_set::RuleSet;
use sqlx::any::{AnyConnectOptions, AnyPoolOptions};
use sqlx::{AnyPool, Executor as _};
use std::fmt::Write as _;
use std::io::BufReader;
use std::path::Path;
use std::str::FromStr as _;
use std::time::{Duration, Instant};

/// Entries about one container.
const EACH: usize = 100;

fn main() {
    let full = std::env::args().any(|a| a == "--full");
    let folder = tempfile::tempdir().unwrap();
    actix_web::rt::System::new().block_on(async {
        appending(folder.path()).await;
        for entries in [10_000, 100_000, 1_000_000] {
            if entries <= 100_000 || full {
                ledger(folder.path(), entries).await;
            }
        }
    });
}

async fn bare(file: &Path) -> AnyPool {
    sqlx::any::install_default_drivers();
    let url = format!("sqlite://{}?mode=rwc", file.display());
    let pool = AnyPoolOptions::new()
        .max_connections(1)
        .after_connect(|c, _| {
            Box::pin(async move {
                c.execute("PRAGMA journal_mode = WAL; PRAGMA synchronous = FULL; PRAGMA foreign_keys = ON")
                    .await?;
                Ok(())
            })
        })
        .connect_with(AnyConnectOptions::from_str(&url).unwrap())
        .await
        .unwrap();
    pool.execute("CREATE TABLE IF NOT EXISTS entries (studio TEXT NOT NULL, sequence BIGINT NOT NULL, id TEXT NOT NULL, recorded_at TEXT NOT NULL, body TEXT NOT NULL, PRIMARY KEY (studio, sequence), UNIQUE (studio, id)); CREATE TABLE IF NOT EXISTS entry_subjects (studio TEXT NOT NULL, subject TEXT NOT NULL, sequence BIGINT NOT NULL, PRIMARY KEY (studio, subject, sequence))")
        .await
        .unwrap();
    pool
}

async fn insert(
    connection: impl sqlx::Executor<'_, Database = sqlx::Any>,
    sequence: i64,
    body: &str,
) {
    sqlx::query(
        "INSERT INTO entries (studio, sequence, id, recorded_at, body) VALUES ($1, $2, $3, $4, $5)",
    )
    .bind("studio")
    .bind(sequence)
    .bind(format!("w{sequence}"))
    .bind("2026-06-01T12:00:01.000000Z")
    .bind(body)
    .execute(connection)
    .await
    .unwrap();
}

fn opened(id: &str, jug: usize) -> String {
    format!(
        r#"{{"id":"{id}","on":"2026-01-05","event":{{"opened":{{"batch":{{"id":"jug{jug}","kind":"fixer","volume_l":"4","evidence":[{{"stated":{{"silver_g":{{"value":"12","standard_uncertainty":"0.4"}}}}}}]}}}}}},"recorded_by":"R."}}"#
    )
}

fn water(id: &str, jug: usize) -> String {
    format!(
        r#"{{"id":"{id}","on":"2026-01-06","event":{{"topped_up":{{"batch":"jug{jug}","water_l":{{"value":"0.001","standard_uncertainty":"0"}}}}}},"recorded_by":"R."}}"#
    )
}

async fn store(file: &Path) -> Store {
    Store::open(&Location::parse(file.to_str().unwrap()).unwrap())
        .await
        .unwrap()
}

async fn append(store: &Store, id: &str, entry: &str) {
    let access = Access::local("bench");
    let recording = Recording {
        studio: "studio",
        entry: &serde_json::from_str::<Entry>(entry).unwrap(),
        key: id,
        payload: entry.as_bytes(),
        access: &access,
        now: Timestamp::now(),
        rules: RuleSet::unspecified(),
    };
    store
        .append(&recording, |_, _| {
            Ok(Reply {
                location: String::new(),
                body: String::new(),
            })
        })
        .await
        .unwrap();
}

/// An entry, on the disk when it is acknowledged, against the bare row, as durable.
async fn appending(folder: &Path) {
    let own = store(&folder.join("append.sqlite3")).await;
    let record = serde_json::from_str(r#"{"id": "studio", "studio": {"name": "A."}}"#).unwrap();
    let access = Access::local("bench");
    own.create_studio(&record, &access, ("s", b"s"), Timestamp::now())
        .await
        .unwrap();
    append(&own, "o", &opened("o", 0)).await;
    let floor = bare(&folder.join("floor.sqlite3")).await;
    let (mut ours, mut theirs) = (Duration::ZERO, Duration::ZERO);
    for i in 0..1_000_i64 {
        let id = format!("w{i}");
        let entry = water(&id, 0);
        let started = Instant::now();
        append(&own, &id, &entry).await;
        ours += started.elapsed();
        let started = Instant::now();
        insert(&floor, i, &entry).await;
        theirs += started.elapsed();
    }
    println!(
        "append, durable: {:.2} of the rate of the bare row",
        theirs.as_secs_f64() / ours.as_secs_f64()
    );
}

/// Lines of an export of one studio: every jug opened, then topped up in turn.
fn lines(entries: usize) -> String {
    let mut text = String::from(
        r#"{"studio":{"record":{"id":"studio","studio":{"name":"A."}},"version":1,"created_at":"2026-01-01T00:00:00.000000Z","last_recorded_at":"2026-06-01T12:00:01.000000Z"}}"#,
    );
    text.push('\n');
    let jugs = entries / EACH;
    for i in 0..entries {
        let id = format!("w{}", i + 1);
        let entry = if i < jugs {
            opened(&id, i)
        } else {
            water(&id, i % jugs)
        };
        let _ = writeln!(
            text,
            r#"{{"entry":{{"sequence":{},"recorded_at":"2026-06-01T12:00:01.000000Z","entry":{entry}}}}}"#,
            i + 1
        );
    }
    text
}

fn resident_mib() -> f64 {
    let pages: f64 = std::fs::read_to_string("/proc/self/statm")
        .ok()
        .and_then(|text| text.split(' ').nth(1)?.parse().ok())
        .unwrap_or(0.0);
    pages * 4096.0 / f64::from(1 << 20)
}

async fn ledger(folder: &Path, entries: usize) {
    let file = folder.join("lines.jsonl");
    std::fs::write(&file, lines(entries)).unwrap();
    // The same rows by the same driver, in one change.
    let floor = bare(&folder.join(format!("floor{entries}.sqlite3"))).await;
    let started = Instant::now();
    let mut change = floor.begin().await.unwrap();
    let jugs = entries / EACH;
    for i in 0..entries {
        let id = format!("w{}", i + 1);
        let body = if i < jugs {
            opened(&id, i)
        } else {
            water(&id, i % jugs)
        };
        insert(&mut *change, i64::try_from(i + 1).unwrap(), &body).await;
        sqlx::query("INSERT INTO entry_subjects (studio, subject, sequence) VALUES ($1, $2, $3)")
            .bind("studio")
            .bind(format!("container/jug{}", i % jugs))
            .bind(i64::try_from(i + 1).unwrap())
            .execute(&mut *change)
            .await
            .unwrap();
    }
    change.commit().await.unwrap();
    let theirs = started.elapsed();

    let own = store(&folder.join(format!("own{entries}.sqlite3"))).await;
    let before = resident_mib();
    let started = Instant::now();
    let reader = BufReader::new(std::fs::File::open(&file).unwrap());
    own.import(reader).await.unwrap();
    let ours = started.elapsed();
    let after = resident_mib();
    println!(
        "{entries:>8} entries: import takes {:.2} times the same rows; memory {before:.0} to {after:.0} MiB",
        ours.as_secs_f64() / theirs.as_secs_f64()
    );

    let subject: Subject = format!("container/jug{}", jugs / 2).parse().unwrap();
    let pool = bare_reader(&folder.join(format!("own{entries}.sqlite3"))).await;
    let (mut read, mut row) = (Duration::ZERO, Duration::ZERO);
    for _ in 0..2_000 {
        let started = Instant::now();
        let book = own.standing("studio", Some(&subject)).await.unwrap();
        assert!(book.holdings().next().is_some());
        read += started.elapsed();
        let started = Instant::now();
        let found =
            sqlx::query("SELECT subject, state FROM states WHERE studio = $1 AND subject = $2")
                .bind("studio")
                .bind(subject.to_string())
                .fetch_all(&pool)
                .await
                .unwrap();
        assert_eq!(found.len(), 1);
        row += started.elapsed();
    }
    println!(
        "{entries:>8} entries: the balance of a container with {EACH} of them takes {:.2} times the bare row ({:.0} us)",
        read.as_secs_f64() / row.as_secs_f64(),
        read.as_secs_f64() / 2_000.0 * 1e6
    );
    let before = resident_mib();
    let started = Instant::now();
    own.export(&mut std::io::sink()).await.unwrap();
    println!(
        "{entries:>8} entries: export {:.1} us an entry; memory {before:.0} to {:.0} MiB",
        started.elapsed().as_secs_f64() * 1e6 / f64::from(u32::try_from(entries).unwrap()),
        resident_mib()
    );
}

async fn bare_reader(file: &Path) -> AnyPool {
    let url = format!("sqlite://{}?mode=rw", file.display());
    AnyPoolOptions::new()
        .max_connections(8)
        .connect_with(AnyConnectOptions::from_str(&url).unwrap())
        .await
        .unwrap()
}
