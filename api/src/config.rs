//! Configuration of the service: one table of flags and environment variables, which `--help` prints.

use crate::problem::{Code, ErrorEntry, Problem};
use crate::store::Location;
use clap::{Args, ValueEnum};
use spent_silver_domain::quantity::{Currency, PriceUnit, Text};
use std::net::{Ipv4Addr, SocketAddr, SocketAddrV4};
use std::num::NonZeroU32;
use std::path::PathBuf;
use std::time::Duration;

/// Shortest API token we take.
const SHORTEST_TOKEN: usize = 16;

const LISTEN: SocketAddr = SocketAddr::V4(SocketAddrV4::new(Ipv4Addr::LOCALHOST, 4747));
const BODY_LIMIT_BYTES: usize = 4 << 20;
const SHUTDOWN_SECONDS: u64 = 10;
const REFRESH_SECONDS: u64 = 900;

/// How the service is set up.
#[derive(Debug, Clone, Args)]
pub struct Settings {
    /// Address to listen on; port 0 picks a free one. Beyond loopback an API token is required.
    #[arg(long, env = "SPENT_SILVER_LISTEN", value_name = "ADDRESS", default_value_t = LISTEN)]
    pub listen: SocketAddr,

    /// The silver book.
    #[command(flatten)]
    pub book: BookFlags,

    /// Token of the operator that requests to /v1 must carry as `Authorization: Bearer TOKEN`; at least 16 characters.
    #[arg(
        long,
        env = "SPENT_SILVER_API_TOKEN",
        value_name = "TOKEN",
        hide_env_values = true
    )]
    pub api_token: Option<Secret>,

    /// Requests to /v1 answered in a minute for one token or address; without it, 600 where a token is asked
    /// for, and any number elsewhere.
    #[arg(long, env = "SPENT_SILVER_REQUESTS_PER_MINUTE", value_name = "COUNT")]
    pub requests_per_minute: Option<NonZeroU32>,

    /// Host names answered besides the loopback ones, separated by commas; needed behind a proxy.
    #[arg(
        long,
        env = "SPENT_SILVER_ALLOWED_HOSTS",
        value_name = "NAMES",
        value_delimiter = ','
    )]
    pub allowed_hosts: Vec<String>,

    /// Longest request body.
    #[arg(long, env = "SPENT_SILVER_BODY_LIMIT_BYTES", value_name = "BYTES", default_value_t = BODY_LIMIT_BYTES)]
    pub body_limit_bytes: usize,

    /// Worker threads; as many as there are processors when absent.
    #[arg(long, env = "SPENT_SILVER_WORKERS", value_name = "COUNT")]
    pub workers: Option<usize>,

    /// Time that running requests get to end when the service is told to stop.
    #[arg(long, env = "SPENT_SILVER_SHUTDOWN_SECONDS", value_name = "SECONDS", default_value_t = SHUTDOWN_SECONDS)]
    pub shutdown_seconds: u64,

    /// Least grave event that is logged, as JSON lines on standard error.
    #[arg(
        long,
        env = "SPENT_SILVER_LOG_LEVEL",
        value_name = "LEVEL",
        default_value = "info"
    )]
    pub log_level: LogLevel,

    /// The price feed.
    #[command(flatten)]
    pub price: PriceFlags,
}

/// Where the silver book is kept.
#[derive(Debug, Clone, Default, Args)]
pub struct BookFlags {
    /// The silver book: path of a SQLite file, or a postgres:// URL. Default: `spent-silver/book.sqlite3` in
    /// the folder where this system keeps the data of programs.
    #[arg(
        long,
        env = "SPENT_SILVER_DATABASE",
        value_name = "PATH_OR_URL",
        hide_env_values = true
    )]
    pub database: Option<String>,
}

impl BookFlags {
    /// Where the book is.
    ///
    /// # Errors
    /// What is given is neither a path nor a URL of PostgreSQL, or nothing is given and the system does
    /// not say where programs keep their data.
    pub fn location(&self) -> Result<Location, Problem> {
        match &self.database {
            Some(text) => Location::parse(text),
            None => usual_folder()
                .map(|folder| folder.join("spent-silver").join("book.sqlite3"))
                .and_then(|path| Some(Location::parse(path.to_str()?)))
                .unwrap_or_else(|| {
                    Err(refused(
                        "database",
                        "this system does not say where programs keep their data: expected a path"
                            .to_owned(),
                    ))
                }),
        }
    }
}

/// Where this system keeps the data of programs: `XDG_DATA_HOME` of the XDG base directories, or what
/// stands for it.
fn usual_folder() -> Option<PathBuf> {
    let named = |name: &str| {
        std::env::var_os(name)
            .map(PathBuf::from)
            .filter(|p| p.is_absolute())
    };
    if cfg!(windows) {
        return named("LOCALAPPDATA");
    }
    let home = || std::env::home_dir().filter(|p| p.is_absolute());
    if cfg!(target_os = "macos") {
        return Some(home()?.join("Library").join("Application Support"));
    }
    named("XDG_DATA_HOME").or_else(|| Some(home()?.join(".local").join("share")))
}

/// Least grave event that is logged.
#[derive(Debug, Clone, Copy, PartialEq, Eq, ValueEnum)]
pub enum LogLevel {
    /// Nothing.
    Off,
    /// Faults of the service.
    Error,
    /// What an operator should look at.
    Warn,
    /// One line for each request.
    Info,
    /// Everything.
    Debug,
}

/// Where the metal price comes from, if from anywhere. No request can change this.
#[derive(Debug, Clone, Default, Args)]
pub struct PriceFlags {
    /// Address of a JSON document that holds the price of silver; with it, pointer, unit and currency are required.
    #[arg(long, env = "SPENT_SILVER_PRICE_URL", value_name = "URL")]
    pub price_url: Option<String>,

    /// JSON Pointer to the price in that document, such as `/silver/price`.
    #[arg(long, env = "SPENT_SILVER_PRICE_POINTER", value_name = "POINTER")]
    pub price_pointer: Option<String>,

    /// What the price is for.
    #[arg(long, env = "SPENT_SILVER_PRICE_PER", value_name = "UNIT")]
    pub price_per: Option<PricePer>,

    /// Currency of the price, an ISO 4217 code.
    #[arg(long, env = "SPENT_SILVER_PRICE_CURRENCY", value_name = "CODE")]
    pub price_currency: Option<String>,

    /// What answers call the source.
    #[arg(long, env = "SPENT_SILVER_PRICE_SOURCE", value_name = "TEXT")]
    pub price_source: Option<String>,

    /// How long a price is good before the feed is asked again.
    #[arg(long, env = "SPENT_SILVER_PRICE_REFRESH_SECONDS", value_name = "SECONDS", default_value_t = REFRESH_SECONDS)]
    pub price_refresh_seconds: u64,
}

/// What the price of the feed is for.
#[derive(Debug, Clone, Copy, PartialEq, Eq, ValueEnum)]
#[value(rename_all = "snake_case")]
pub enum PricePer {
    /// A troy ounce of 31.1034768 g.
    TroyOunce,
    /// A gram.
    Gram,
    /// A kilogram.
    Kilogram,
}

impl From<PricePer> for PriceUnit {
    fn from(per: PricePer) -> Self {
        match per {
            PricePer::TroyOunce => Self::TroyOunce,
            PricePer::Gram => Self::Gram,
            PricePer::Kilogram => Self::Kilogram,
        }
    }
}

/// Text that never shows itself in a log or a message.
#[derive(Clone, PartialEq, Eq)]
pub struct Secret(String);

impl Secret {
    /// Compares in a time that does not tell how much of `candidate` is right.
    #[must_use]
    pub fn matches(&self, candidate: &[u8]) -> bool {
        let own = self.0.as_bytes();
        let mut difference = u8::from(own.len() != candidate.len());
        for (i, byte) in own.iter().enumerate() {
            difference |= byte ^ candidate.get(i).copied().unwrap_or_default();
        }
        std::hint::black_box(difference) == 0
    }
}

impl From<String> for Secret {
    fn from(text: String) -> Self {
        Self(text)
    }
}

impl std::str::FromStr for Secret {
    type Err = std::convert::Infallible;

    fn from_str(text: &str) -> Result<Self, Self::Err> {
        Ok(Self(text.to_owned()))
    }
}

impl std::fmt::Debug for Secret {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        f.write_str("(secret)")
    }
}

/// The price feed as the operator configured it.
#[derive(Debug, Clone)]
pub struct PriceSettings {
    /// The document's address.
    pub url: reqwest::Url,
    /// JSON Pointer to the price.
    pub pointer: String,
    /// What the price is for.
    pub per: PriceUnit,
    /// Its currency.
    pub currency: Currency,
    /// What answers call the source.
    pub source: Text,
    /// How long a price is good.
    pub refresh: Duration,
    /// Time to connect.
    pub connect_timeout: Duration,
    /// Time for the whole, retries included.
    pub total_timeout: Duration,
    /// Longest document.
    pub size_limit: usize,
    /// Wait before the first retry; each further one waits three times as long.
    pub first_wait: Duration,
}

impl PriceSettings {
    /// Settings with the usual times and limits.
    #[must_use]
    pub fn new(
        url: reqwest::Url,
        pointer: String,
        per: PriceUnit,
        currency: Currency,
        source: Text,
    ) -> Self {
        Self {
            url,
            pointer,
            per,
            currency,
            source,
            refresh: Duration::from_secs(REFRESH_SECONDS),
            connect_timeout: Duration::from_secs(2),
            total_timeout: Duration::from_secs(5),
            size_limit: 256 * 1024,
            first_wait: Duration::from_millis(100),
        }
    }
}

fn refused(argument: &str, detail: String) -> Problem {
    Problem::new(Code::InvalidArgument, format!("--{argument}: {detail}")).with(
        ErrorEntry::parameter("invalid_argument", format!("--{argument}"), detail),
    )
}

/// The settings without any flag or environment variable.
impl Default for Settings {
    fn default() -> Self {
        Self {
            listen: LISTEN,
            book: BookFlags::default(),
            api_token: None,
            requests_per_minute: None,
            allowed_hosts: Vec::new(),
            body_limit_bytes: BODY_LIMIT_BYTES,
            workers: None,
            shutdown_seconds: SHUTDOWN_SECONDS,
            log_level: LogLevel::Info,
            price: PriceFlags {
                price_refresh_seconds: REFRESH_SECONDS,
                ..PriceFlags::default()
            },
        }
    }
}

impl Settings {
    /// Whether requests to /v1 must carry a token: beyond loopback always.
    #[must_use]
    pub const fn asks_for_token(&self) -> bool {
        self.api_token.is_some() || !self.listen.ip().is_loopback()
    }

    /// The problem of a service that others can reach and that has no token to ask for.
    #[must_use]
    pub fn unguarded(&self) -> Problem {
        refused(
            "api-token",
            format!(
                "{} can be reached from other machines: expected an API token, a token in the book (spent-silver token create), or an address on loopback such as 127.0.0.1:4747",
                self.listen
            ),
        )
    }

    /// Checks what no single flag can.
    ///
    /// # Errors
    /// Names the flag and says what would be right.
    pub fn check(&self) -> Result<Option<PriceSettings>, Problem> {
        if let Some(token) = &self.api_token
            && token.0.len() < SHORTEST_TOKEN
        {
            return Err(refused(
                "api-token",
                format!("the token is too short: expected at least {SHORTEST_TOKEN} characters"),
            ));
        }
        if self.body_limit_bytes == 0 || self.body_limit_bytes > 64 << 20 {
            return Err(refused(
                "body-limit-bytes",
                format!(
                    "{} is out of range: expected 1 to 67108864",
                    self.body_limit_bytes
                ),
            ));
        }
        if self.workers.is_some_and(|w| w == 0 || w > 1024) {
            return Err(refused("workers", "expected 1 to 1024".to_owned()));
        }
        self.price.check()
    }
}

impl PriceFlags {
    fn check(&self) -> Result<Option<PriceSettings>, Problem> {
        let Some(url) = &self.price_url else {
            let stray = [
                ("price-pointer", self.price_pointer.is_some()),
                ("price-per", self.price_per.is_some()),
                ("price-currency", self.price_currency.is_some()),
                ("price-source", self.price_source.is_some()),
            ];
            return match stray.iter().find(|(_, given)| *given) {
                Some((flag, _)) => Err(refused(
                    flag,
                    "there is no price feed without an address: expected --price-url too"
                        .to_owned(),
                )),
                None => Ok(None),
            };
        };
        let url = reqwest::Url::parse(url)
            .ok()
            .filter(|u| matches!(u.scheme(), "http" | "https") && u.has_host())
            .ok_or_else(|| refused("price-url", "expected an http or https address".to_owned()))?;
        let needed = |flag: &str, what: &str| refused(flag, format!("missing: expected {what}"));
        let pointer = self
            .price_pointer
            .clone()
            .ok_or_else(|| needed("price-pointer", "the JSON Pointer to the price"))?;
        if !pointer.is_empty() && !pointer.starts_with('/') {
            return Err(refused(
                "price-pointer",
                format!("`{pointer}` is not a JSON Pointer: expected one such as /silver/price"),
            ));
        }
        let per = self
            .price_per
            .ok_or_else(|| needed("price-per", "troy_ounce, gram or kilogram"))?;
        let currency = self
            .price_currency
            .as_deref()
            .ok_or_else(|| needed("price-currency", "an ISO 4217 code"))?;
        let currency = Currency::parse(currency).map_err(|e| refused("price-currency", e))?;
        let source = Text::new(self.price_source.as_deref().unwrap_or("price feed"))
            .map_err(|e| refused("price-source", e))?;
        if self.price_refresh_seconds == 0 || self.price_refresh_seconds > 604_800 {
            return Err(refused(
                "price-refresh-seconds",
                "expected 1 to 604800".to_owned(),
            ));
        }
        let mut settings = PriceSettings::new(url, pointer, per.into(), currency, source);
        settings.refresh = Duration::from_secs(self.price_refresh_seconds);
        Ok(Some(settings))
    }
}
