//! Reading the data files that are compiled in.

use crate::quantity::{Quantity, Unit};
use serde::de::{DeserializeOwned, Error as _};
use serde::{Deserialize as _, Deserializer};

/// Parses a data file that is part of the program.
///
/// # Panics
/// When the file is malformed, which the tests of this crate would have shown: the text is fixed
/// when the program is built.
#[expect(
    clippy::panic,
    reason = "the text is compiled in and parsed by the tests; there is no answer without it"
)]
pub(crate) fn parse<T: DeserializeOwned>(text: &str) -> T {
    match toml::from_str(text) {
        Ok(value) => value,
        Err(error) => panic!("a data file of this program is malformed: {error}"),
    }
}

/// What a reader made of a data file that is part of the program.
///
/// # Panics
/// When the file has a fault, which the tests of this crate would have shown.
#[expect(
    clippy::panic,
    reason = "the text is compiled in and read by the tests; there is no answer without it"
)]
pub(crate) fn built_in<T>(read: Result<T, crate::fault::Faults>) -> T {
    match read {
        Ok(value) => value,
        Err(faults) => panic!("a data file of this program has a fault: {faults}"),
    }
}

/// Reads an exact quantity from a string of a data file, such as `limit_mg_per_l = "5.0"`.
///
/// # Errors
/// What is wrong with the text.
pub(crate) fn exact<'de, D: Deserializer<'de>, U: Unit>(
    deserializer: D,
) -> Result<Quantity<U>, D::Error> {
    let text = String::deserialize(deserializer)?;
    Quantity::parse(&text).map_err(D::Error::custom)
}

/// Reads an exact quantity that may be absent.
///
/// # Errors
/// What is wrong with the text.
pub(crate) fn exact_some<'de, D: Deserializer<'de>, U: Unit>(
    deserializer: D,
) -> Result<Option<Quantity<U>>, D::Error> {
    exact(deserializer).map(Some)
}
