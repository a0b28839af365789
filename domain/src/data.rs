//! Reading the data files that are compiled in.

use serde::de::DeserializeOwned;

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
