//! Chemical formulas in ordinary notation: exact element counts, charge and molar mass.
//!
//! Takes brackets, hydrates after `.` or `·`, subscript digits, and a charge at the end
//! (`Na2S2O3.5H2O`, `(NH4)2S2O3`, `CH3COOH`, `Ag(S2O3)2-3`).

use serde::{Deserialize, Deserializer, Serialize, Serializer, de::Error as _};
use std::collections::BTreeMap;
use std::fmt;
use std::sync::LazyLock;

/// Most characters a formula may have.
const LONGEST: usize = 80;
/// Greatest count of one element or group.
const GREATEST_COUNT: u32 = 9_999;
/// Deepest nesting of brackets.
const DEEPEST: usize = 4;

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
struct ElementFile {
    #[serde(rename = "source")]
    _source: String,
    element: Vec<ElementRow>,
}

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
struct ElementRow {
    symbol: String,
    atomic_weight: f64,
}

static ATOMIC_WEIGHTS: LazyLock<BTreeMap<String, f64>> = LazyLock::new(|| {
    crate::data::parse::<ElementFile>(include_str!("../../data/elements.toml"))
        .element
        .into_iter()
        .map(|e| (e.symbol, e.atomic_weight))
        .collect()
});

/// Standard atomic weight of an element, g/mol; `None` for a symbol that is not in the table.
///
/// ```
/// use spent_silver_domain::chemistry::formula::atomic_weight;
/// assert_eq!(atomic_weight("Ag"), Some(107.8682));
/// ```
#[must_use]
pub fn atomic_weight(symbol: &str) -> Option<f64> {
    ATOMIC_WEIGHTS.get(symbol).copied()
}

/// What is wrong with a formula, and where.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct FormulaError {
    /// The formula as given.
    pub formula: String,
    /// Position of the character at fault, counted from 1.
    pub position: usize,
    /// What is wrong there, and what would be right.
    pub problem: String,
}

impl fmt::Display for FormulaError {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(
            f,
            "{} is not a formula: character {}: {}",
            crate::quantity::quoted(&self.formula),
            self.position,
            self.problem
        )
    }
}

impl std::error::Error for FormulaError {}

/// A chemical formula that was understood.
#[derive(Debug, Clone, PartialEq, Eq, PartialOrd, Ord)]
pub struct Formula {
    text: String,
    elements: BTreeMap<String, u32>,
    water: u32,
    charge: i32,
}

impl Formula {
    /// Reads a formula.
    ///
    /// # Errors
    /// [`FormulaError`] with the position, what is wrong and what would be right.
    ///
    /// ```
    /// use spent_silver_domain::chemistry::formula::Formula;
    /// let hypo = Formula::parse("Na2S2O3.5H2O").unwrap();
    /// assert_eq!(hypo.count("O"), 8);
    /// assert_eq!(hypo.hydrate_water(), 5);
    /// assert!((hypo.molar_mass_g_per_mol() - 248.17154).abs() < 1e-4);
    /// assert_eq!(Formula::parse("AgX").unwrap_err().position, 3);
    /// ```
    pub fn parse(text: &str) -> Result<Self, FormulaError> {
        let trimmed = text.trim();
        let mut reader = Reader {
            text: trimmed,
            chars: trimmed.chars().map(plain).collect(),
            at: 0,
        };
        if reader.chars.is_empty() {
            return Err(reader.error("empty: expected a formula such as AgNO3"));
        }
        if reader.chars.len() > LONGEST {
            reader.at = LONGEST;
            return Err(reader.error("too long: expected at most 80 characters"));
        }
        let mut elements = BTreeMap::new();
        let mut water = 0;
        let mut first = true;
        loop {
            let count = reader.count()?;
            if first && count != 1 {
                reader.at = 0;
                return Err(reader.error(
                    "a number in front: expected one formula unit, with the amount beside",
                ));
            }
            let segment = reader.groups(0)?;
            if segment.is_empty() {
                return Err(reader.error("expected an element symbol or `(`"));
            }
            if !first && is_water(&segment) {
                water = add(water, count).ok_or_else(|| reader.error("a count is too large"))?;
            }
            merge(&mut elements, &segment, count)
                .ok_or_else(|| reader.error("a count is too large"))?;
            first = false;
            if reader.peek() == Some('.') {
                reader.step();
                continue;
            }
            break;
        }
        let charge = reader.charge()?;
        if reader.peek().is_some() {
            return Err(
                reader.error("expected an element symbol, a count, a bracket or `.` for a hydrate")
            );
        }
        Ok(Self {
            text: reader.chars.iter().collect(),
            elements,
            water,
            charge,
        })
    }

    /// The formula as text, with plain digits and `.` before water of crystallization.
    #[must_use]
    pub fn as_str(&self) -> &str {
        &self.text
    }

    /// Atoms of each element, water of crystallization included.
    #[must_use]
    pub const fn elements(&self) -> &BTreeMap<String, u32> {
        &self.elements
    }

    /// Atoms of one element.
    #[must_use]
    pub fn count(&self, symbol: &str) -> u32 {
        self.elements.get(symbol).copied().unwrap_or_default()
    }

    /// Molecules of water of crystallization.
    #[must_use]
    pub const fn hydrate_water(&self) -> u32 {
        self.water
    }

    /// Charge in elementary charges.
    #[must_use]
    pub const fn charge(&self) -> i32 {
        self.charge
    }

    /// Molar mass in g/mol: the sum of counts times standard atomic weights
    /// (IUPAC conventional and abridged; the mass of electrons is left out).
    ///
    /// AgNO3: 107.8682 + 14.007 + 3 x 15.999 = 169.8722.
    #[must_use]
    pub fn molar_mass_g_per_mol(&self) -> f64 {
        self.elements
            .iter()
            .map(|(symbol, count)| atomic_weight(symbol).unwrap_or_default() * f64::from(*count))
            .sum()
    }

    /// The formula without its water of crystallization, as text.
    pub(crate) fn anhydrous(&self) -> &str {
        self.text
            .split_once('.')
            .map_or(self.text.as_str(), |(salt, _)| salt)
    }

    /// The number of segments joined by `.`, less the water of crystallization.
    pub(crate) fn is_plain_hydrate(&self) -> bool {
        let mut segments = self.text.split('.');
        segments.next();
        segments.all(|s| s.trim_start_matches(|c: char| c.is_ascii_digit()) == "H2O")
    }
}

impl fmt::Display for Formula {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str(&self.text)
    }
}

impl<'de> Deserialize<'de> for Formula {
    fn deserialize<D: Deserializer<'de>>(deserializer: D) -> Result<Self, D::Error> {
        let text = String::deserialize(deserializer)?;
        Self::parse(&text).map_err(D::Error::custom)
    }
}

impl Serialize for Formula {
    fn serialize<S: Serializer>(&self, serializer: S) -> Result<S::Ok, S::Error> {
        serializer.serialize_str(&self.text)
    }
}

/// Subscript digits become plain ones, and every sign for a hydrate becomes `.`.
fn plain(c: char) -> char {
    match c {
        '\u{2080}'..='\u{2089}' => (u32::from(c).saturating_sub(0x2080))
            .checked_add(u32::from('0'))
            .and_then(char::from_u32)
            .unwrap_or(c),
        '·' | '•' | '*' | '∙' | '⋅' => '.',
        '[' => '(',
        ']' => ')',
        '−' => '-',
        other => other,
    }
}

fn is_water(segment: &BTreeMap<String, u32>) -> bool {
    segment.len() == 2 && segment.get("H") == Some(&2) && segment.get("O") == Some(&1)
}

fn add(a: u32, b: u32) -> Option<u32> {
    a.checked_add(b).filter(|n| *n <= GREATEST_COUNT)
}

fn merge(into: &mut BTreeMap<String, u32>, from: &BTreeMap<String, u32>, times: u32) -> Option<()> {
    for (symbol, count) in from {
        let more = count.checked_mul(times)?;
        let entry = into.entry(symbol.clone()).or_insert(0);
        *entry = add(*entry, more)?;
    }
    Some(())
}

struct Reader<'a> {
    text: &'a str,
    chars: Vec<char>,
    at: usize,
}

impl Reader<'_> {
    fn peek(&self) -> Option<char> {
        self.chars.get(self.at).copied()
    }

    fn step(&mut self) {
        self.at = self.at.saturating_add(1);
    }

    fn error(&self, problem: impl Into<String>) -> FormulaError {
        FormulaError {
            formula: self.text.to_owned(),
            position: self.at.saturating_add(1),
            problem: problem.into(),
        }
    }

    /// A count, or 1 where there is none.
    fn count(&mut self) -> Result<u32, FormulaError> {
        let start = self.at;
        let mut value = 0u32;
        while let Some(digit) = self.peek().and_then(|c| c.to_digit(10)) {
            value = value.saturating_mul(10).saturating_add(digit);
            self.step();
        }
        if self.at == start {
            return Ok(1);
        }
        if value == 0 || value > GREATEST_COUNT {
            self.at = start;
            return Err(self.error("a count must be 1 to 9999"));
        }
        Ok(value)
    }

    fn groups(&mut self, depth: usize) -> Result<BTreeMap<String, u32>, FormulaError> {
        let mut out = BTreeMap::new();
        loop {
            match self.peek() {
                Some('(') => {
                    let open = self.at;
                    if depth >= DEEPEST {
                        return Err(self.error("brackets are nested too deeply"));
                    }
                    self.step();
                    let inner = self.groups(depth.saturating_add(1))?;
                    if self.peek() != Some(')') {
                        if self.peek().is_none() {
                            self.at = open;
                            return Err(self.error("this `(` is never closed: expected a `)`"));
                        }
                        return Err(self.error("expected an element symbol or `)`"));
                    }
                    if inner.is_empty() {
                        return Err(self.error("empty brackets: expected an element symbol"));
                    }
                    self.step();
                    let count = self.count()?;
                    merge(&mut out, &inner, count)
                        .ok_or_else(|| self.error("a count is too large"))?;
                }
                Some(c) if c.is_ascii_uppercase() => {
                    let symbol = self.symbol()?;
                    let count = self.count()?;
                    let entry = out.entry(symbol).or_insert(0);
                    *entry =
                        add(*entry, count).ok_or_else(|| self.error("a count is too large"))?;
                }
                Some(c) if c.is_ascii_lowercase() => {
                    return Err(self.error(format!(
                        "`{c}` begins no element symbol: expected a capital letter"
                    )));
                }
                Some(')') if depth == 0 => {
                    return Err(self.error("this `)` was never opened"));
                }
                _ => return Ok(out),
            }
        }
    }

    /// The longest symbol in the table at this place.
    fn symbol(&mut self) -> Result<String, FormulaError> {
        let first = self.peek().unwrap_or_default();
        let second = self
            .chars
            .get(self.at.saturating_add(1))
            .copied()
            .filter(char::is_ascii_lowercase);
        let mut symbol = String::from(first);
        symbol.extend(second);
        if atomic_weight(&symbol).is_none() {
            return Err(self.error(format!(
                "`{symbol}` is not an element we know: expected a symbol such as Ag, Na or S"
            )));
        }
        for _ in 0..symbol.len() {
            self.step();
        }
        Ok(symbol)
    }

    /// A charge at the end: `+`, `-`, `+2`, `-3`.
    fn charge(&mut self) -> Result<i32, FormulaError> {
        let sign = match self.peek() {
            Some('+') => 1,
            Some('-') => -1,
            _ => return Ok(0),
        };
        self.step();
        let size = self.count()?;
        if size > 9 {
            return Err(self.error("a charge must be 1 to 9"));
        }
        Ok(i32::try_from(size).unwrap_or_default().saturating_mul(sign))
    }
}

#[cfg(feature = "openapi")]
mod schema {
    use super::Formula;
    use utoipa::openapi::schema::{ObjectBuilder, SchemaType, Type};
    use utoipa::openapi::{RefOr, Schema};
    use utoipa::{PartialSchema, ToSchema};

    impl PartialSchema for Formula {
        fn schema() -> RefOr<Schema> {
            RefOr::T(Schema::Object(
                ObjectBuilder::new()
                    .schema_type(SchemaType::Type(Type::String))
                    .min_length(Some(1))
                    .max_length(Some(80))
                    .description(Some(
                        "A chemical formula in ordinary notation, hydrates after a full stop.",
                    ))
                    .examples(["Na2S2O3.5H2O"])
                    .build(),
            ))
        }
    }
    impl ToSchema for Formula {}
}
