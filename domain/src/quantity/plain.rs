//! Numbers as plain text without exponent, written on the stack.
//!
//! An answer holds many numbers, so the usual ones take a short way: an integer and the place of its
//! point. What does not fit goes the long way through the standard formatter; both write the same.

use rust_decimal::Decimal;
use std::fmt::Write as _;

/// The longest text of the short way: a sign, a zero, a point and 28 decimal places, or the 20
/// digits of an integer and idle zeros.
const LONGEST: usize = 40;

/// Powers of ten that a double holds exactly.
pub(super) const POWERS: [f64; 23] = [
    1e0, 1e1, 1e2, 1e3, 1e4, 1e5, 1e6, 1e7, 1e8, 1e9, 1e10, 1e11, 1e12, 1e13, 1e14, 1e15, 1e16,
    1e17, 1e18, 1e19, 1e20, 1e21, 1e22,
];

/// A number as text.
pub(crate) struct Plain(Form);

enum Form {
    Short { bytes: [u8; LONGEST], start: usize },
    Long(String),
}

impl Plain {
    /// An exact decimal, without idle zeros.
    pub fn decimal(value: Decimal) -> Self {
        let negative = value.is_sign_negative() && !value.is_zero();
        if let Ok(digits) = u64::try_from(value.mantissa().unsigned_abs())
            && let Ok(places) = i32::try_from(value.scale())
        {
            return Self(short(negative, digits, places));
        }
        Self(Form::Long(value.normalize().to_string()))
    }

    /// An exact decimal with just `digits` places; `None` where it is too long for that.
    pub fn fixed(value: Decimal, digits: u32) -> Option<Self> {
        let missing = digits.checked_sub(value.scale())?;
        let integer = u64::try_from(value.mantissa().unsigned_abs()).ok()?;
        let integer = integer.checked_mul(10u64.checked_pow(missing)?)?;
        let places = i32::try_from(digits).ok().filter(|p| *p <= 28)?;
        let negative = value.is_sign_negative() && !value.is_zero();
        Some(Self(written(negative, integer, places)))
    }

    /// A finite number to `digits` significant digits, rounded to nearest.
    pub fn significant(value: f64, digits: usize) -> Self {
        if value == 0.0 || !value.is_finite() {
            return Self(short(false, 0, 0));
        }
        Self(match rounded(value.abs(), digits) {
            Some((integer, places)) => short(value.is_sign_negative(), integer, places),
            None => Form::Long(long(value, digits)),
        })
    }

    /// A number with just so many places behind the point, rounded to nearest: what `{:.2}` writes.
    pub fn places(value: f64, places: u8) -> Self {
        Self(to_place(value, places).map_or_else(
            || Form::Long(format!("{value:.*}", usize::from(places))),
            |integer| written(false, integer, i32::from(places)),
        ))
    }

    /// The same number as an exact decimal, where the short way leads to it.
    pub fn significant_decimal(value: f64, digits: usize) -> Option<Decimal> {
        let (integer, places) = rounded(value.abs(), digits)?;
        let places = u32::try_from(places)
            .ok()
            .filter(|p| *p <= Decimal::MAX_SCALE)?;
        let mut number = Decimal::new(i64::try_from(integer).ok()?, places);
        number.set_sign_negative(value.is_sign_negative());
        Some(number.normalize())
    }

    /// The text.
    pub fn as_str(&self) -> &str {
        match &self.0 {
            Form::Short { bytes, start } => bytes
                .get(*start..)
                .and_then(|text| std::str::from_utf8(text).ok())
                .unwrap_or_default(),
            Form::Long(text) => text,
        }
    }
}

impl std::fmt::Display for Plain {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        f.write_str(self.as_str())
    }
}

impl From<String> for Plain {
    fn from(text: String) -> Self {
        Self(Form::Long(text))
    }
}

impl From<Plain> for String {
    fn from(plain: Plain) -> Self {
        match plain.0 {
            Form::Long(text) => text,
            Form::Short { .. } => plain.as_str().to_owned(),
        }
    }
}

/// Writes `integer` x 10^-`places` without idle zeros behind the point.
fn short(negative: bool, mut integer: u64, mut places: i32) -> Form {
    while places > 0 && integer.is_multiple_of(10) {
        integer /= 10;
        places = places.saturating_sub(1);
    }
    written(negative, integer, places)
}

/// The two digits of every number below a hundred.
const PAIRS: [[u8; 2]; 100] = {
    let mut pairs = [[b'0'; 2]; 100];
    let mut n = 0;
    while n < 100 {
        pairs[n] = [b'0' + (n / 10) as u8, b'0' + (n % 10) as u8];
        n += 1;
    }
    pairs
};

/// Writes the digits of `integer` so that they end where `end` does, two at a time; says where they
/// begin. A zero has none.
fn digits_before(bytes: &mut [u8; LONGEST], end: usize, mut integer: u64) -> usize {
    let mut start = end;
    while integer >= 10 {
        let pair = PAIRS
            .get((integer % 100) as usize)
            .copied()
            .unwrap_or_default();
        integer /= 100;
        start = start.saturating_sub(2);
        if let Some(cells) = bytes
            .get_mut(start..)
            .and_then(<[u8]>::first_chunk_mut::<2>)
        {
            *cells = pair;
        }
    }
    if integer > 0 {
        start = start.saturating_sub(1);
        if let Some(cell) = bytes.get_mut(start) {
            *cell = b'0' | integer as u8;
        }
    }
    start
}

/// Writes `integer` x 10^-`places`, at most 28 places and at most 15 idle zeros, from its end.
fn written(negative: bool, integer: u64, places: i32) -> Form {
    let mut bytes = [b'0'; LONGEST];
    let behind = usize::try_from(places).unwrap_or(0);
    let idle = usize::try_from(places.saturating_neg()).unwrap_or(0);
    let end = LONGEST.saturating_sub(idle);
    // What stands before the point, and what behind it.
    let power = u32::try_from(behind)
        .ok()
        .and_then(|b| 10u64.checked_pow(b));
    let whole = power.and_then(|p| integer.checked_div(p)).unwrap_or(0);
    let fraction = power
        .and_then(|p| integer.checked_rem(p))
        .unwrap_or(integer);
    let mut start = end;
    if behind > 0 {
        digits_before(&mut bytes, end, fraction);
        start = end.saturating_sub(behind).saturating_sub(1);
        if let Some(cell) = bytes.get_mut(start) {
            *cell = b'.';
        }
    }
    let before = start;
    start = digits_before(&mut bytes, before, whole);
    if start == before {
        // A lone zero, which stands in the cell already.
        start = start.saturating_sub(1);
    }
    if negative {
        start = start.saturating_sub(1);
        if let Some(cell) = bytes.get_mut(start) {
            *cell = b'-';
        }
    }
    Form::Short { bytes, start }
}

/// Off a tie by less than this, a product does not tell which way it rounds.
const MARGIN: f64 = 1e-5;

/// A number as a multiple of its last place, where one multiplication is sure to tell which way it
/// rounds: not negative, not large, and not next to a tie.
fn to_place(value: f64, places: u8) -> Option<u64> {
    let scaled = value * POWERS.get(usize::from(places))?;
    let sure = value.is_sign_positive() && scaled < 1e9;
    let whole = sure.then_some(scaled as u64)?;
    let rest = scaled - whole as f64;
    ((rest - 0.5).abs() >= MARGIN).then(|| whole.saturating_add(u64::from(rest > 0.5)))
}

/// A positive number as (integer, places) with integer x 10^-places right to `digits` digits, where
/// one multiplication is sure to tell which way it rounds: up to ten digits, of usual size, and not
/// next to a tie. The product is off by less than 1e10 x 2^-53, which is far below the margin.
fn rounded(value: f64, digits: usize) -> Option<(u64, i32)> {
    if !(1e-9..1e15).contains(&value) || !(1..=10).contains(&digits) {
        return None;
    }
    let top = *POWERS.get(digits)?;
    let digits = i32::try_from(digits).ok()?;
    let shifted = |places: i32| {
        let power = POWERS.get(places.unsigned_abs() as usize)?;
        Some(if places < 0 {
            value / power
        } else {
            value * power
        })
    };
    // The binary exponent tells the decimal one, or the one below it.
    let binary = ((value.to_bits() >> 52) as i32).saturating_sub(1023);
    let decimal = binary.saturating_mul(1233) >> 12;
    let mut places = digits.saturating_sub(1).saturating_sub(decimal);
    let mut scaled = shifted(places)?;
    if scaled >= top {
        places = places.saturating_sub(1);
        scaled = shifted(places)?;
    }
    let whole = scaled as u64;
    let rest = scaled - whole as f64;
    if (rest - 0.5).abs() < MARGIN || scaled >= top || scaled < top / 10.0 {
        return None;
    }
    Some((whole.saturating_add(u64::from(rest > 0.5)), places))
}

/// Any finite number, through the standard formatter, which rounds exactly.
fn long(value: f64, digits: usize) -> String {
    let scientific = format!("{:.*e}", digits.saturating_sub(1), value);
    let Some((mantissa, exponent)) = scientific.split_once('e') else {
        return scientific;
    };
    let exponent: i32 = exponent.parse().unwrap_or_default();
    let negative = mantissa.starts_with('-');
    let all: String = mantissa.chars().filter(char::is_ascii_digit).collect();
    let all = all.trim_end_matches('0');
    let mut out = String::with_capacity(all.len().saturating_add(8));
    if negative {
        out.push('-');
    }
    if exponent < 0 {
        out.push_str("0.");
        for _ in 1..exponent.unsigned_abs() {
            out.push('0');
        }
        out.push_str(all);
        return out;
    }
    let whole = (exponent.unsigned_abs() as usize).saturating_add(1);
    if all.len() <= whole {
        let _ = write!(out, "{all:0<whole$}");
    } else {
        let (head, tail) = all.split_at(whole);
        let _ = write!(out, "{head}.{tail}");
    }
    out
}

#[cfg(test)]
mod tests {
    use super::{Plain, long};
    use rust_decimal::Decimal;

    /// Doubles of every size and sign, from a linear congruential generator.
    fn doubles() -> impl Iterator<Item = f64> {
        let mut state = 0x9e37_79b9_7f4a_7c15u64;
        std::iter::repeat_with(move || {
            state = state
                .wrapping_mul(6_364_136_223_846_793_005)
                .wrapping_add(1_442_695_040_888_963_407);
            state
        })
        .take(200_000)
        .flat_map(|bits| {
            let unit = (bits >> 11) as f64 / (1u64 << 53) as f64;
            let power = ((bits % 31) as i32).saturating_sub(12);
            let rounded = (unit * 1e5).round() / 1e5;
            [
                f64::from_bits(bits),
                unit * 10f64.powi(power),
                -rounded * 10f64.powi(power),
            ]
        })
        .filter(|x| x.is_finite() && *x != 0.0)
    }

    #[test]
    fn the_short_way_writes_what_the_standard_formatter_writes() {
        for value in doubles() {
            for digits in [1, 2, 3, 6, 10, 12] {
                let text = Plain::significant(value, digits);
                assert_eq!(text.as_str(), long(value, digits), "{value:e} to {digits}");
            }
        }
    }

    #[test]
    fn ties_and_powers_of_ten_round_as_the_standard_formatter_does() {
        for power in -30..30 {
            for head in [
                1.0,
                0.5,
                2.5,
                9.999_999_999_5,
                0.999_999_999_95,
                1.000_000_000_5,
            ] {
                let value = head * 10f64.powi(power);
                for near in [value, value.next_up(), value.next_down()] {
                    for digits in [1, 2, 10] {
                        let text = Plain::significant(near, digits);
                        assert_eq!(text.as_str(), long(near, digits), "{near:e} to {digits}");
                    }
                }
            }
        }
    }

    #[test]
    fn fixed_places_are_written_as_the_standard_formatter_writes_them() {
        for mantissa in [0, 1, 5, 10, 99, 100, 12_345, -1, -100, -12_345] {
            for scale in 0..=4 {
                let value = Decimal::from_i128_with_scale(mantissa, scale);
                for digits in 0..=4 {
                    match Plain::fixed(value, digits) {
                        Some(text) => {
                            assert_eq!(text.as_str(), format!("{value:.*}", digits as usize));
                        }
                        None => assert!(scale > digits),
                    }
                }
            }
        }
    }

    #[test]
    fn a_decimal_is_written_as_its_own_library_writes_it() {
        let mantissas = [
            0,
            1,
            10,
            120,
            1_000_000,
            u64::MAX as i128,
            10i128.pow(27) + 7,
        ];
        for mantissa in mantissas {
            for scale in 0..=28 {
                for sign in [1, -1] {
                    let value = Decimal::from_i128_with_scale(sign * mantissa, scale);
                    let expected = if mantissa == 0 {
                        "0".to_owned()
                    } else {
                        value.normalize().to_string()
                    };
                    assert_eq!(Plain::decimal(value).as_str(), expected);
                }
            }
        }
    }
}
