//! How much one caller may ask, so that none keeps the others from being answered, and nobody finds a
//! token by trying.

use crate::config::Settings;
use crate::problem::{Code, Problem};
use governor::clock::{Clock as _, DefaultClock};
use governor::{DefaultKeyedRateLimiter, Quota, RateLimiter};
use std::num::NonZeroU32;

/// Requests a minute where a token is asked for and the operator says nothing.
const USUAL: NonZeroU32 = some(600);

/// Requests a minute from one address without a token that is in force.
const STRANGERS: NonZeroU32 = some(20);

/// Callers kept in mind; beyond these, those that have been silent are forgotten.
const MOST_CALLERS: usize = 10_000;

const fn some(count: u32) -> NonZeroU32 {
    match NonZeroU32::new(count) {
        Some(count) => count,
        None => NonZeroU32::MIN,
    }
}

/// The limits of one service.
pub struct Limits {
    callers: Option<DefaultKeyedRateLimiter<String>>,
    strangers: DefaultKeyedRateLimiter<String>,
}

impl Limits {
    /// Limits as the settings have them.
    #[must_use]
    pub fn new(settings: &Settings) -> Self {
        let usual = settings.asks_for_token().then_some(USUAL);
        let limiter = |count| RateLimiter::keyed(Quota::per_minute(count));
        Self {
            callers: settings.requests_per_minute.or(usual).map(limiter),
            strangers: limiter(STRANGERS),
        }
    }

    /// Counts a request of a caller who is known: a token, or an address.
    ///
    /// # Errors
    /// There were too many.
    pub fn caller(&self, actor: &str, address: &str) -> Result<(), Problem> {
        match &self.callers {
            Some(limiter) => count(limiter, format!("{actor} {address}")),
            None => Ok(()),
        }
    }

    /// Counts a request without a token that is in force.
    ///
    /// # Errors
    /// There were too many.
    pub fn stranger(&self, address: &str) -> Result<(), Problem> {
        count(&self.strangers, address.to_owned())
    }
}

fn count(limiter: &DefaultKeyedRateLimiter<String>, key: String) -> Result<(), Problem> {
    if limiter.len() > MOST_CALLERS {
        limiter.retain_recent();
    }
    limiter.check_key(&key).map_err(|until| {
        let wait = until.wait_time_from(DefaultClock::default().now());
        Problem {
            retry_after: Some(wait.as_secs().saturating_add(1)),
            ..Problem::new(
                Code::TooManyRequests,
                "Too many requests came from you within a minute: wait, and try again.",
            )
        }
    })
}
