//! The metal price from a feed that the operator chose.
//!
//! The last good price is kept: when the feed fails, answers carry it, marked stale, with its age.
//! Each digit of the feed's number is kept.

use crate::config::PriceSettings;
use crate::problem::{Code, Problem};
use reqwest::header::{ETAG, HeaderValue, IF_MODIFIED_SINCE, IF_NONE_MATCH, LAST_MODIFIED};
use reqwest::{StatusCode, Url, redirect};
use serde::Serialize;
use serde_json::value::RawValue;
use spent_silver_domain::quantity::{Amount, Date, MetalPrice, Seconds};
use std::collections::HashMap;
use std::sync::{Arc, Mutex, MutexGuard, PoisonError};
use std::time::Duration;
use utoipa::ToSchema;

/// Where "now" comes from, so that tests can say.
pub type Clock = Arc<dyn Fn() -> jiff::Timestamp + Send + Sync>;

/// Times that a feed is asked for one refresh.
const ATTEMPTS: u32 = 3;
/// Redirects followed on the feed's own host.
const MOST_REDIRECTS: usize = 3;
/// After a failure the feed is left alone for this long, or for the refresh time if that is shorter.
const HOLD_OFF: Duration = Duration::from_secs(30);

/// The price that the operator's feed gives.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, ToSchema)]
pub struct FeedPrice {
    /// The price, in the form that requests take.
    pub price: MetalPrice,
    /// Where it comes from.
    pub origin: PriceOrigin,
    /// The instant at which the feed last gave or confirmed it, in UTC.
    pub as_of_at: String,
    /// Whether it should have been renewed since: the feed fails, or is being asked.
    pub stale: bool,
    /// Seconds since `as_of_at`.
    pub age_s: Seconds,
}

/// Who said the price.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, ToSchema)]
#[serde(rename_all = "snake_case")]
pub enum PriceOrigin {
    /// The feed that the operator configured.
    PriceFeed,
}

/// Why the feed gave no price.
#[derive(Debug)]
enum FeedError {
    /// Worth another attempt.
    Passing(String),
    /// The same answer would come again.
    Lasting(String),
}

#[derive(Debug, Clone)]
struct Quote {
    amount: Amount,
    checked_at: jiff::Timestamp,
    etag: Option<HeaderValue>,
    last_modified: Option<HeaderValue>,
}

#[derive(Debug, Default)]
struct Known {
    last: Option<Quote>,
    failing: bool,
    next_attempt: Option<jiff::Timestamp>,
}

/// A feed and its last good price.
pub struct PriceFeed {
    settings: PriceSettings,
    client: reqwest::Client,
    clock: Clock,
    known: Mutex<Known>,
    asking: tokio::sync::Mutex<()>,
}

impl PriceFeed {
    /// A feed that tells time by the system.
    ///
    /// # Errors
    /// When the machine gives no way to verify certificates.
    pub fn new(settings: PriceSettings) -> Result<Self, Problem> {
        Self::with_clock(settings, Arc::new(jiff::Timestamp::now))
    }

    /// A feed that tells time by `clock`.
    ///
    /// # Errors
    /// When the machine gives no way to verify certificates.
    pub fn with_clock(settings: PriceSettings, clock: Clock) -> Result<Self, Problem> {
        // A second feed finds the provider installed already, which is as good.
        let _ = rustls::crypto::ring::default_provider().install_default();
        let client = reqwest::Client::builder()
            .user_agent(concat!("spent-silver/", env!("CARGO_PKG_VERSION")))
            .connect_timeout(settings.connect_timeout)
            .timeout(settings.total_timeout)
            .redirect(redirect::Policy::custom(|attempt| {
                let far = attempt.previous().len() > MOST_REDIRECTS;
                match attempt.previous().first() {
                    Some(first) if !far && same_host(first, attempt.url()) => attempt.follow(),
                    _ => attempt.error("a redirect away from the configured host"),
                }
            }))
            // Workers have event loops of their own, and a connection belongs to one of them.
            .pool_max_idle_per_host(0)
            .no_proxy()
            .build()
            .map_err(|e| {
                Problem::new(
                    Code::InvalidArgument,
                    format!("The price feed cannot be set up: {e}."),
                )
            })?;
        Ok(Self {
            settings,
            client,
            clock,
            known: Mutex::default(),
            asking: tokio::sync::Mutex::new(()),
        })
    }

    /// The price, asked for anew when the last one is due.
    ///
    /// # Errors
    /// [`Code::PriceUnavailable`] while the feed has given no price at all.
    pub async fn price(&self) -> Result<FeedPrice, Problem> {
        if self.is_due() {
            // Who has a price to show does not wait for another request's refresh.
            let turn = if self.known().last.is_some() {
                self.asking.try_lock().ok()
            } else {
                Some(self.asking.lock().await)
            };
            if turn.is_some() && self.is_due() {
                self.refresh().await;
            }
        }
        self.answer()
    }

    fn known(&self) -> MutexGuard<'_, Known> {
        self.known.lock().unwrap_or_else(PoisonError::into_inner)
    }

    fn is_due(&self) -> bool {
        self.known()
            .next_attempt
            .is_none_or(|at| (self.clock)() >= at)
    }

    fn answer(&self) -> Result<FeedPrice, Problem> {
        let now = (self.clock)();
        let known = self.known();
        let Some(quote) = &known.last else {
            let wait = known
                .next_attempt
                .map_or(1, |at| at.duration_since(now).as_secs().clamp(1, 3600));
            return Err(Problem {
                retry_after: u64::try_from(wait).ok(),
                ..Problem::new(
                    Code::PriceUnavailable,
                    "The price feed has given no price yet. Put the price into the request.",
                )
            });
        };
        let age = now.duration_since(quote.checked_at).as_secs().max(0);
        let as_of_at = quote.checked_at.strftime("%Y-%m-%dT%H:%M:%SZ").to_string();
        let as_of_on = as_of_at.get(..10).and_then(|day| Date::parse(day).ok());
        Ok(FeedPrice {
            price: MetalPrice {
                amount: quote.amount,
                currency: self.settings.currency,
                per: self.settings.per,
                as_of_on,
                source: Some(self.settings.source.clone()),
            },
            origin: PriceOrigin::PriceFeed,
            as_of_at,
            stale: known.failing
                || u64::try_from(age).unwrap_or_default() >= self.settings.refresh.as_secs(),
            age_s: Seconds::parse(&age.to_string()).map_err(|_| Problem::internal())?,
        })
    }

    async fn refresh(&self) {
        let last = self.known().last.clone();
        let outcome = tokio::time::timeout(self.settings.total_timeout, self.ask(last.as_ref()))
            .await
            .unwrap_or_else(|_| Err("the feed did not answer in time".to_owned()));
        let now = (self.clock)();
        let mut known = self.known();
        let wait = match outcome {
            Ok(quote) => {
                known.last = Some(quote);
                known.failing = false;
                self.settings.refresh
            }
            Err(reason) => {
                tracing::warn!(%reason, "the price feed failed");
                known.failing = true;
                self.settings.refresh.min(HOLD_OFF)
            }
        };
        known.next_attempt = now.checked_add(wait).ok();
    }

    async fn ask(&self, last: Option<&Quote>) -> Result<Quote, String> {
        let mut wait = self.settings.first_wait;
        for attempt in 1.. {
            match self.ask_once(last).await {
                Ok(quote) => return Ok(quote),
                Err(FeedError::Lasting(reason)) => return Err(reason),
                Err(FeedError::Passing(reason)) if attempt >= ATTEMPTS => return Err(reason),
                Err(FeedError::Passing(_)) => tokio::time::sleep(wait).await,
            }
            wait *= 3;
        }
        Err("the feed was not asked".to_owned())
    }

    async fn ask_once(&self, last: Option<&Quote>) -> Result<Quote, FeedError> {
        let mut request = self
            .client
            .get(self.settings.url.clone())
            .header("accept", "application/json");
        if let Some(etag) = last.and_then(|q| q.etag.clone()) {
            request = request.header(IF_NONE_MATCH, etag);
        }
        if let Some(modified) = last.and_then(|q| q.last_modified.clone()) {
            request = request.header(IF_MODIFIED_SINCE, modified);
        }
        let mut response = request.send().await.map_err(|e| {
            // The address may hold a key of the operator's: it stays out of the log.
            let reason = error_chain(&e.without_url());
            if reason.contains("redirect") {
                FeedError::Lasting(reason)
            } else {
                FeedError::Passing(reason)
            }
        })?;
        let status = response.status();
        if status == StatusCode::NOT_MODIFIED {
            let quote = last
                .ok_or_else(|| FeedError::Lasting("304 although no price was known".to_owned()))?;
            return Ok(Quote {
                checked_at: (self.clock)(),
                ..quote.clone()
            });
        }
        if !status.is_success() {
            let reason = format!("the feed answered {status}");
            return Err(
                if status.is_server_error() || status == StatusCode::TOO_MANY_REQUESTS {
                    FeedError::Passing(reason)
                } else {
                    FeedError::Lasting(reason)
                },
            );
        }
        let media_type = response
            .headers()
            .get("content-type")
            .and_then(|v| v.to_str().ok())
            .and_then(|v| v.split(';').next())
            .unwrap_or_default()
            .trim()
            .to_ascii_lowercase();
        if !(media_type.ends_with("/json") || media_type.ends_with("+json")) {
            return Err(FeedError::Lasting(format!(
                "the feed answered `{media_type}`, not JSON"
            )));
        }
        let header = |name| response.headers().get(name).cloned();
        let (etag, last_modified) = (header(ETAG), header(LAST_MODIFIED));
        let mut body = Vec::new();
        while let Some(chunk) = response
            .chunk()
            .await
            .map_err(|e| FeedError::Passing(error_chain(&e.without_url())))?
        {
            if body.len() + chunk.len() > self.settings.size_limit {
                return Err(FeedError::Lasting(format!(
                    "the feed answered more than {} bytes",
                    self.settings.size_limit
                )));
            }
            body.extend_from_slice(&chunk);
        }
        let amount = price_at(&body, &self.settings.pointer).map_err(FeedError::Lasting)?;
        Ok(Quote {
            amount,
            checked_at: (self.clock)(),
            etag,
            last_modified,
        })
    }
}

/// The same host by the same or a safer road.
fn same_host(first: &Url, next: &Url) -> bool {
    let same_road = first.scheme() == next.scheme()
        && first.port_or_known_default() == next.port_or_known_default();
    let safer_road = first.scheme() == "http"
        && next.scheme() == "https"
        && first.port().is_none()
        && next.port().is_none();
    first.host_str() == next.host_str() && (same_road || safer_road)
}

fn error_chain(error: &dyn std::error::Error) -> String {
    let mut text = error.to_string();
    let mut cause = error.source();
    while let Some(inner) = cause {
        text.push_str(": ");
        text.push_str(&inner.to_string());
        cause = inner.source();
    }
    text
}

/// The number at `pointer`, with the digits it was written with.
fn price_at(body: &[u8], pointer: &str) -> Result<Amount, String> {
    let text = std::str::from_utf8(body).map_err(|_| "the feed is not UTF-8".to_owned())?;
    let mut raw: &RawValue =
        serde_json::from_str(text).map_err(|_| "the feed is not JSON".to_owned())?;
    for token in pointer.split('/').skip(1) {
        let name = token.replace("~1", "/").replace("~0", "~");
        let missing = || format!("the feed has nothing at {pointer}");
        raw = if raw.get().starts_with('[') {
            let items: Vec<&RawValue> = serde_json::from_str(raw.get()).map_err(|_| missing())?;
            let index: usize = name.parse().map_err(|_| missing())?;
            items.get(index).copied().ok_or_else(missing)?
        } else {
            let members: HashMap<String, &RawValue> =
                serde_json::from_str(raw.get()).map_err(|_| missing())?;
            members.get(&name).copied().ok_or_else(missing)?
        };
    }
    let amount: Amount = serde_json::from_str(raw.get())
        .map_err(|_| format!("the feed has no price at {pointer}"))?;
    if amount.decimal().is_zero() {
        return Err(format!("the feed has a price of zero at {pointer}"));
    }
    Ok(amount)
}

#[cfg(test)]
mod tests {
    use super::{price_at, same_host};
    use reqwest::Url;

    #[test]
    fn the_pointer_finds_the_price_with_every_digit() {
        let body =
            br#"{"a/b": [{"silver": 31.2500000000000000001}, {"silver": "29.5"}], "n": null}"#;
        let read = |pointer| price_at(body, pointer).map(|a| a.decimal().to_string());
        assert_eq!(read("/a~1b/0/silver").unwrap(), "31.2500000000000000001");
        assert_eq!(read("/a~1b/1/silver").unwrap(), "29.5");
        for wrong in ["", "/n", "/a~1b", "/a~1b/2/silver", "/a~1b/x", "/gold"] {
            assert!(read(wrong).is_err(), "{wrong}");
        }
        assert_eq!(
            price_at(b"31.25", "").unwrap().decimal().to_string(),
            "31.25"
        );
        for wrong in ["0", "-1", "\"dear\"", "true", "1e30"] {
            assert!(price_at(wrong.as_bytes(), "").is_err(), "{wrong}");
        }
    }

    #[test]
    fn only_the_same_host_is_followed() {
        let follows = |a, b| same_host(&Url::parse(a).unwrap(), &Url::parse(b).unwrap());
        assert!(follows("http://a.test/x", "http://a.test/y"));
        assert!(follows("http://a.test/x", "https://a.test/x"));
        assert!(!follows("https://a.test/x", "http://a.test/x"));
        assert!(!follows("http://a.test/x", "http://b.test/x"));
        assert!(!follows("http://a.test/x", "http://a.test:8080/x"));
    }
}
