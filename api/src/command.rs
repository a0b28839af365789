//! The command line: the answers and the problems that HTTP would give, on a terminal.

use crate::config::{BookFlags, LogLevel, Settings};
use crate::contract;
use crate::operation::{Operation, operation, operations};
use crate::problem::{Code, ErrorEntry, Problem};
use crate::rule_sets;
use crate::server::{self, State};
use crate::store::{Access, Role, Store};
use clap::{Parser, Subcommand, ValueEnum};
use std::ffi::OsString;
use std::io::{BufRead, Read as _, Write as _};
use std::path::{Path, PathBuf};
use std::process::ExitCode;

/// Longest input that the command line reads.
const LONGEST_INPUT: u64 = 64 << 20;

/// What every failure exits with.
const FAILED: u8 = 2;

/// Silver, waste and money for photographers who work silver processes.
#[derive(Debug, Parser)]
#[command(name = "spent-silver", version, arg_required_else_help = true)]
struct Line {
    /// How answers and problems are written. Default: text where there is a text, JSON otherwise.
    #[arg(long, global = true, value_name = "FORMAT")]
    format: Option<Format>,

    /// A rule-set file of your own, which requests then name by its id; may be given more than once,
    /// and in the environment separated by commas.
    #[arg(
        long = "rule-set-file",
        global = true,
        env = "SPENT_SILVER_RULE_SET_FILE",
        value_name = "FILE",
        value_delimiter = ','
    )]
    rule_set_files: Vec<PathBuf>,

    /// Where the answer goes; standard output without it.
    #[arg(long, global = true, value_name = "FILE")]
    output: Option<PathBuf>,

    #[command(subcommand)]
    command: Command,
}

#[derive(Debug, Clone, Copy, PartialEq, Eq, ValueEnum)]
enum Format {
    /// For people.
    Text,
    /// For programs: exactly what HTTP answers.
    Json,
    /// A page that prints well, where there is one.
    Html,
    /// A picture, where there is one.
    Svg,
    /// A document to print, where there is one.
    Pdf,
}

#[derive(Debug, Subcommand)]
enum Command {
    /// Works out the whole job for one studio: silver, worth, decisions, law, safety, cost.
    Report {
        /// The studio, as the body of POST /v1/reports; - reads standard input.
        file: PathBuf,
    },
    /// Answers one operation, by its path name.
    Compute {
        /// Name of the operation, such as silver-estimates.
        operation: String,
        /// The request; - reads standard input.
        file: PathBuf,
    },
    /// Serves the JSON API and the silver book.
    Serve(Box<Settings>),
    /// Copies the silver book into a new file, also while it is served.
    Backup {
        /// The new file.
        file: PathBuf,
        #[command(flatten)]
        book: BookFlags,
    },
    /// Holds every balance against the entries, and every document against its fingerprint; fails on
    /// any difference.
    Verify {
        #[command(flatten)]
        book: BookFlags,
    },
    /// Writes the whole silver book to standard output as JSON Lines. Tokens stay behind.
    Export {
        #[command(flatten)]
        book: BookFlags,
    },
    /// Takes an export into the silver book, whole or not at all.
    Import {
        /// The export; - reads standard input.
        file: PathBuf,
        #[command(flatten)]
        book: BookFlags,
    },
    /// Tokens, each of which reaches the book of one studio.
    Token {
        #[command(subcommand)]
        command: TokenCommand,
    },
    /// Prints the contract, OpenAPI 3.1.
    Openapi,
    /// Rule sets: the law as data.
    RuleSet {
        #[command(subcommand)]
        command: RuleSetCommand,
    },
}

#[derive(Debug, Subcommand)]
enum TokenCommand {
    /// Makes a token and shows it, this once.
    Create {
        /// The studio it reaches.
        #[arg(long, value_name = "NAME")]
        studio: String,
        /// What it lets its bearer do.
        #[arg(long, value_name = "ROLE")]
        role: Role,
        /// Whose it is.
        #[arg(long, value_name = "TEXT", default_value = "")]
        label: String,
        #[command(flatten)]
        book: BookFlags,
    },
    /// Lists the tokens, without their secrets.
    List {
        #[command(flatten)]
        book: BookFlags,
    },
    /// Takes a token out of force.
    Revoke {
        /// Its public part, as the list shows it.
        id: String,
        #[command(flatten)]
        book: BookFlags,
    },
}

#[derive(Debug, Subcommand)]
enum RuleSetCommand {
    /// Checks a rule-set file of your own and names every fault in it.
    Check {
        /// The file, TOML; - reads standard input.
        file: PathBuf,
    },
}

/// Runs the program with these arguments.
#[must_use]
pub fn run(arguments: impl IntoIterator<Item = OsString>) -> ExitCode {
    let arguments: Vec<OsString> = arguments.into_iter().collect();
    let line = match Line::try_parse_from(&arguments) {
        Ok(line) => line,
        Err(error) if !error.use_stderr() => {
            let _ = error.print();
            return ExitCode::SUCCESS;
        }
        Err(error) => {
            if asks_for_json(&arguments) {
                let words = error.to_string();
                let detail = words.lines().next().unwrap_or_default();
                let detail = detail.strip_prefix("error: ").unwrap_or(detail);
                complain(
                    &Problem::new(Code::InvalidArgument, detail),
                    Some(Format::Json),
                );
            } else {
                let _ = error.print();
            }
            return ExitCode::from(FAILED);
        }
    };
    // What failed inside is logged beside the problem; with JSON there is the problem and nothing else.
    let serves = matches!(line.command, Command::Serve(_));
    if !serves && line.format != Some(Format::Json) {
        server::start_log(LogLevel::Error);
    }
    let done = rule_sets::load(&line.rule_set_files).and_then(|()| carry_out(&line));
    match done {
        Ok(()) => ExitCode::SUCCESS,
        Err(problem) => {
            complain(&problem, line.format);
            ExitCode::from(FAILED)
        }
    }
}

fn carry_out(line: &Line) -> Result<(), Problem> {
    match &line.command {
        Command::Report { file } => compute("reports", file, line),
        Command::Compute { operation, file } => compute(operation, file, line),
        Command::Serve(settings) => serve(settings),
        Command::Backup { file, book } => {
            with_book(book, |store| async move { store.backup(file).await })
        }
        Command::Verify { book } => with_book(book, |store| verify(store, line)),
        Command::Export { book } => with_book(book, |store| export(store, line)),
        Command::Import { file, book } => import(file, book, line),
        Command::Token { command } => token(command, line),
        Command::Openapi => deliver(contract::contract_text().as_bytes(), line),
        Command::RuleSet {
            command: RuleSetCommand::Check { file },
        } => deliver(
            &rule_sets::checked(file, line.format == Some(Format::Json))?,
            line,
        ),
    }
}

fn asks_for_json(arguments: &[OsString]) -> bool {
    arguments.iter().any(|a| a == "--format=json")
        || arguments
            .windows(2)
            .any(|pair| matches!(pair, [flag, value] if flag == "--format" && value == "json"))
}

fn complain(problem: &Problem, format: Option<Format>) {
    let mut err = std::io::stderr().lock();
    if format == Some(Format::Json) {
        let _ = err.write_all(&problem.to_json(None));
        let _ = err.write_all(b"\n");
    } else {
        let _ = err.write_all(problem.to_text().as_bytes());
    }
}

fn print(bytes: &[u8]) -> Result<(), Problem> {
    let mut out = std::io::stdout().lock();
    let done = out.write_all(bytes).and_then(|()| out.flush());
    match done {
        // A reader that went away has what it wanted.
        Err(e) if e.kind() != std::io::ErrorKind::BrokenPipe => Err(Problem::new(
            Code::Internal,
            format!("The answer cannot be written: {e}."),
        )),
        _ => Ok(()),
    }
}

/// Writes an answer to the file asked for, or to standard output.
fn deliver(bytes: &[u8], line: &Line) -> Result<(), Problem> {
    let Some(file) = &line.output else {
        return print(bytes);
    };
    std::fs::write(file, bytes).map_err(|e| {
        Problem::new(
            Code::UnwritableFile,
            format!("{} cannot be written: {e}.", file.display()),
        )
    })
}

fn compute(name: &str, file: &Path, line: &Line) -> Result<(), Problem> {
    let operation = operation(name).ok_or_else(|| {
        let names: Vec<&str> = operations().iter().map(|o| o.name).collect();
        Problem::new(
            Code::NotFound,
            format!(
                "There is no operation `{name}`: expected one of {}.",
                names.join(", ")
            ),
        )
    })?;
    let body = read_input(file)?;
    deliver(&written(operation, &body, line.format)?, line)
}

/// The answer in the form asked for.
fn written(operation: &Operation, body: &[u8], format: Option<Format>) -> Result<Vec<u8>, Problem> {
    let wanted = match format {
        None | Some(Format::Text) => "text",
        Some(Format::Html) => "html",
        Some(Format::Svg) => "svg",
        Some(Format::Pdf) => "pdf",
        Some(Format::Json) => "json",
    };
    let rendering = operation.renderings.iter().find(|r| r.format == wanted);
    if rendering.is_none() && matches!(wanted, "html" | "svg" | "pdf") {
        let mut offered = vec!["text", "json"];
        offered.extend(
            operation
                .renderings
                .iter()
                .map(|r| r.format)
                .filter(|f| *f != "text"),
        );
        return Err(Problem::new(
            Code::NotAcceptable,
            format!(
                "{} is not written as {wanted}: expected --format {}.",
                operation.name,
                offered.join(", ")
            ),
        ));
    }
    if let Some(rendering) = rendering {
        return (rendering.render)(body, &[]);
    }
    let mut json = operation.answer(body)?;
    if format == Some(Format::Json) {
        json.push(b'\n');
        return Ok(json);
    }
    let answer: serde_json::Value =
        serde_json::from_slice(&json).map_err(|_| Problem::internal())?;
    let mut text = serde_json::to_string_pretty(&answer).map_err(|_| Problem::internal())?;
    if !text.ends_with('\n') {
        text.push('\n');
    }
    Ok(text.into_bytes())
}

pub(crate) fn read_input(file: &Path) -> Result<Vec<u8>, Problem> {
    let unreadable = |e: std::io::Error| {
        Problem::new(
            Code::UnreadableFile,
            format!("{} cannot be read: {e}.", file.display()),
        )
    };
    let mut body = Vec::new();
    let taken = if file.as_os_str() == "-" {
        std::io::stdin()
            .lock()
            .take(LONGEST_INPUT + 1)
            .read_to_end(&mut body)
    } else {
        std::fs::File::open(file)
            .map_err(unreadable)?
            .take(LONGEST_INPUT + 1)
            .read_to_end(&mut body)
    }
    .map_err(unreadable)?;
    if taken as u64 > LONGEST_INPUT {
        return Err(Problem::new(
            Code::BodyTooLarge,
            format!("{} is longer than {LONGEST_INPUT} bytes.", file.display()),
        ));
    }
    Ok(body)
}

/// Runs work on the book, which must be there.
fn with_book<F: Future<Output = Result<(), Problem>>>(
    flags: &BookFlags,
    work: impl FnOnce(Store) -> F,
) -> Result<(), Problem> {
    let location = flags.location()?;
    actix_web::rt::System::new().block_on(async {
        let store = Store::open_existing(&location).await?;
        let done = work(store.clone()).await;
        store.close().await;
        done
    })
}

async fn verify(store: Store, line: &Line) -> Result<(), Problem> {
    let found = store.verify().await?;
    if found.is_empty() {
        return deliver(
            b"The book is whole: every balance and every document is what it should be.\n",
            line,
        );
    }
    let errors = found.into_iter().map(|difference| {
        let place = format!("{} {}", difference.studio, difference.place);
        ErrorEntry::parameter("differs", place, difference.detail)
    });
    Err(Problem {
        errors: errors.collect(),
        ..Problem::new(
            Code::BookDiffers,
            "The book is not what its entries come to.",
        )
    })
}

async fn export(store: Store, line: &Line) -> Result<(), Problem> {
    match &line.output {
        None => {
            let mut out = std::io::BufWriter::new(std::io::stdout());
            store.export(&mut out).await
        }
        Some(file) => {
            let unwritable = |e: std::io::Error| {
                Problem::new(
                    Code::UnwritableFile,
                    format!("{} cannot be written: {e}.", file.display()),
                )
            };
            let file = std::fs::File::create(file).map_err(unwritable)?;
            let mut out = std::io::BufWriter::new(file);
            store.export(&mut out).await
        }
    }
}

fn import(file: &Path, flags: &BookFlags, line: &Line) -> Result<(), Problem> {
    let lines: Box<dyn BufRead> = if file.as_os_str() == "-" {
        Box::new(std::io::stdin().lock())
    } else {
        let opened = std::fs::File::open(file).map_err(|e| {
            Problem::new(
                Code::UnreadableFile,
                format!("{} cannot be read: {e}.", file.display()),
            )
        })?;
        Box::new(std::io::BufReader::new(opened))
    };
    let location = flags.location()?;
    let imported = actix_web::rt::System::new().block_on(async {
        let store = Store::open(&location).await?;
        let done = store.import(lines).await;
        store.close().await;
        done
    })?;
    let words = format!(
        "Taken in: studios {}, entries {}, documents {}.\n",
        imported.studios, imported.entries, imported.documents
    );
    deliver(words.as_bytes(), line)
}

fn token(command: &TokenCommand, line: &Line) -> Result<(), Problem> {
    let access = Access::local("command line");
    let now = jiff::Timestamp::now();
    match command {
        TokenCommand::Create {
            studio,
            role,
            label,
            book,
        } => with_book(book, |store| async move {
            let token = store
                .create_token(studio, *role, label, &access, now)
                .await?;
            deliver(format!("{}\n", token.text).as_bytes(), line)
        }),
        TokenCommand::List { book } => with_book(book, |store| async move {
            let tokens = store.tokens().await?;
            let mut text =
                serde_json::to_string_pretty(&tokens).map_err(|_| Problem::internal())?;
            text.push('\n');
            deliver(text.as_bytes(), line)
        }),
        TokenCommand::Revoke { id, book } => with_book(book, |store| async move {
            store.revoke_token(id, &access, now).await
        }),
    }
}

fn serve(settings: &Settings) -> Result<(), Problem> {
    server::start_log(settings.log_level);
    actix_web::rt::System::new().block_on(async {
        // Whoever reads that we listen may tell us to stop at once.
        let stop = stop_signals()?;
        let state = State::new(settings.clone()).await?;
        let bound = server::bind(state)?;
        print(format!("listening on http://{}\n", bound.address).as_bytes())?;
        let handle = bound.server.handle();
        let watch = actix_web::rt::spawn(async move {
            stop.await;
            handle.stop(true).await;
        });
        let ended = bound.server.await;
        watch.abort();
        ended.map_err(|e| Problem::new(Code::Internal, format!("The service ended: {e}.")))
    })
}

/// Takes over the terminal's interrupt and the system's request to end; ready when either comes.
#[cfg(unix)]
fn stop_signals() -> Result<impl Future<Output = ()>, Problem> {
    use tokio::signal::unix::{SignalKind, signal};
    let listen = |kind| {
        signal(kind).map_err(|e| {
            Problem::new(
                Code::Internal,
                format!("Signals cannot be listened to: {e}."),
            )
        })
    };
    let mut interrupt = listen(SignalKind::interrupt())?;
    let mut terminate = listen(SignalKind::terminate())?;
    Ok(async move {
        tokio::select! {
            _ = interrupt.recv() => {}
            _ = terminate.recv() => {}
        }
    })
}

/// Ready when the terminal interrupts.
#[cfg(not(unix))]
fn stop_signals() -> Result<impl Future<Output = ()>, Problem> {
    Ok(async {
        let _ = tokio::signal::ctrl_c().await;
    })
}
