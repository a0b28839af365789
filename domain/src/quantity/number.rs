//! The one grammar for numbers that come from outside, and the one way numbers are written.
//!
//! A number is a JSON number or a string holding one. Every digit is kept or the number is refused.

use super::plain::{POWERS, Plain};
use rust_decimal::Decimal;
use rust_decimal::prelude::ToPrimitive as _;

/// Most significant digits a number may carry.
pub const MAX_DIGITS: usize = 28;

/// Why a literal is not a number we take.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum NumberError {
    /// Not in the JSON number grammar.
    Grammar,
    /// More than [`MAX_DIGITS`] significant digits, or digits below 1e-28.
    TooManyDigits,
    /// Magnitude of 1e12 or more.
    TooLarge,
}

impl NumberError {
    /// What would be right, in words.
    #[must_use]
    pub const fn expected(self) -> &'static str {
        match self {
            Self::Grammar => {
                "a JSON number, or a string holding one, such as 22.86, \"22.86\" or 1.2e-3"
            }
            Self::TooManyDigits => {
                "at most 28 significant digits, none of them beyond the 28th decimal place"
            }
            Self::TooLarge => "a magnitude below 1e12",
        }
    }
}

/// Reads a number in the JSON grammar without losing a digit.
///
/// # Errors
/// Says whether the grammar, the digits or the magnitude is at fault.
///
/// ```
/// use spent_silver_domain::quantity::parse_number;
/// assert_eq!(parse_number("22.8600000000000000001").unwrap().to_string(), "22.8600000000000000001");
/// assert_eq!(parse_number("1.2e-3").unwrap().to_string(), "0.0012");
/// assert!(parse_number("+5").is_err());
/// ```
pub fn parse_number(text: &str) -> Result<Decimal, NumberError> {
    let (negative, unsigned) = match text.strip_prefix('-') {
        Some(rest) => (true, rest),
        None => (false, text),
    };
    let (mantissa, exponent) = match unsigned.find(['e', 'E']) {
        Some(at) => {
            let (m, e) = unsigned.split_at(at);
            (m, parse_exponent(e.get(1..).unwrap_or_default())?)
        }
        None => (unsigned, 0),
    };
    let (whole, fraction) = match mantissa.split_once('.') {
        Some((w, f)) if !f.is_empty() => (w, f),
        Some(_) => return Err(NumberError::Grammar),
        None => (mantissa, ""),
    };
    let digits_only = |s: &str| s.bytes().all(|b| b.is_ascii_digit());
    if whole.is_empty()
        || !digits_only(whole)
        || !digits_only(fraction)
        || (whole.len() > 1 && whole.starts_with('0'))
    {
        return Err(NumberError::Grammar);
    }

    let mut value: i128 = 0;
    let mut significant = 0usize;
    let mut pending_zeros = 0u32;
    for byte in whole.bytes().chain(fraction.bytes()) {
        let digit = i128::from(byte.saturating_sub(b'0'));
        if digit == 0 {
            // Zeros count only when a digit follows, so that 1.000...0 is not refused.
            if significant > 0 {
                pending_zeros = pending_zeros.saturating_add(1);
            }
            continue;
        }
        let step = pending_zeros.saturating_add(1);
        significant = significant.saturating_add(step as usize);
        if significant > MAX_DIGITS {
            return Err(NumberError::TooManyDigits);
        }
        value = value
            .saturating_mul(10i128.saturating_pow(step))
            .saturating_add(digit);
        pending_zeros = 0;
    }
    if value == 0 {
        return Ok(Decimal::ZERO);
    }
    let scale = i64::try_from(fraction.len())
        .unwrap_or(i64::MAX)
        .saturating_sub(exponent)
        .saturating_sub(i64::from(pending_zeros));
    // The leading digit stands at 10^(significant - 1 - scale).
    let magnitude = i64::try_from(significant)
        .unwrap_or(i64::MAX)
        .saturating_sub(scale);
    if magnitude > 12 {
        return Err(NumberError::TooLarge);
    }
    if scale > 28 {
        return Err(NumberError::TooManyDigits);
    }
    if negative {
        value = value.saturating_neg();
    }
    if scale <= 0 {
        let shift = u32::try_from(scale.saturating_neg()).unwrap_or(u32::MAX);
        value = value.saturating_mul(10i128.saturating_pow(shift));
        return Decimal::try_from_i128_with_scale(value, 0).map_err(|_| NumberError::TooLarge);
    }
    let scale = u32::try_from(scale).unwrap_or(u32::MAX);
    Decimal::try_from_i128_with_scale(value, scale)
        .map(|d| d.normalize())
        .map_err(|_| NumberError::TooManyDigits)
}

fn parse_exponent(text: &str) -> Result<i64, NumberError> {
    let (negative, digits) = match text.as_bytes().first() {
        Some(b'-') => (true, text.get(1..).unwrap_or_default()),
        Some(b'+') => (false, text.get(1..).unwrap_or_default()),
        _ => (false, text),
    };
    if digits.is_empty() || !digits.bytes().all(|b| b.is_ascii_digit()) {
        return Err(NumberError::Grammar);
    }
    // An exponent too long for i64 is as far out of range as any.
    let size = digits
        .parse::<i64>()
        .unwrap_or(1_000_000_000)
        .min(1_000_000_000);
    Ok(if negative {
        size.saturating_neg()
    } else {
        size
    })
}

/// The nearest double. Both parts of a short decimal are doubles themselves, so that one division
/// rounds once; a longer one goes the long way.
pub(crate) fn nearest_double(value: Decimal) -> f64 {
    const EXACT: u128 = 1 << 53;
    let digits = value.mantissa().unsigned_abs();
    if let Some(power) = POWERS.get(value.scale() as usize)
        && digits <= EXACT
    {
        let size = digits as u64 as f64 / power;
        return if value.is_sign_negative() {
            -size
        } else {
            size
        };
    }
    value.to_f64().unwrap_or_default()
}

/// Writes an exact decimal without exponent and without idle zeros.
#[must_use]
pub fn write_decimal(value: Decimal) -> String {
    Plain::decimal(value).into()
}

/// Writes a finite number with `digits` significant digits as a plain decimal: 1e-40 keeps its zeros.
///
/// ```
/// use spent_silver_domain::quantity::write_significant;
/// assert_eq!(write_significant(57.035_357_912_34, 10), "57.03535791");
/// assert_eq!(write_significant(-2.5e-4, 10), "-0.00025");
/// ```
#[must_use]
pub fn write_significant(value: f64, digits: usize) -> String {
    Plain::significant(value, digits).into()
}
