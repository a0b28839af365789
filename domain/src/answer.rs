//! The envelope that every answer travels in, and the collector that fills it while a calculation runs.

use crate::short_hash::ShortHash;
use crate::waste::rule_set::RuleSet;
use serde::{Deserialize, Serialize};
use std::borrow::Cow;
use std::hash::{Hash as _, Hasher as _};

/// A formula or procedure by name, with its source.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Method {
    /// Name, in the trade's words.
    pub name: &'static str,
    /// The formula in text, units included.
    pub formula: &'static str,
    /// Key in the bibliography.
    pub source: &'static str,
}

/// A method that was used for a part of the answer.
#[derive(Debug, Clone, PartialEq, Eq, Serialize)]
#[cfg_attr(feature = "openapi", derive(utoipa::ToSchema))]
pub struct MethodUsed {
    /// Pointer into the result.
    pub about: String,
    /// Name of the method.
    pub name: &'static str,
    /// The formula in text.
    pub formula: &'static str,
    /// Key in the bibliography.
    pub source: &'static str,
}

/// A default that was used because the request said nothing.
#[derive(Debug, Clone, PartialEq, Eq, Serialize)]
#[cfg_attr(feature = "openapi", derive(utoipa::ToSchema))]
pub struct Assumption {
    /// Pointer into the result.
    pub about: String,
    /// Pointer into the request: the member that would replace the default.
    pub field: String,
    /// What was assumed, and how well it is known.
    pub text: Cow<'static, str>,
    /// Key in the bibliography.
    pub source: &'static str,
}

/// Something the reader must know before acting.
#[derive(Debug, Clone, PartialEq, Eq, Serialize)]
#[cfg_attr(feature = "openapi", derive(utoipa::ToSchema))]
pub struct Warning {
    /// Pointer into the result.
    pub about: String,
    /// How grave it is.
    pub severity: Severity,
    /// The warning.
    pub text: String,
}

/// How grave a warning is.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, Serialize, Deserialize)]
#[cfg_attr(feature = "openapi", derive(utoipa::ToSchema))]
#[serde(rename_all = "snake_case")]
pub enum Severity {
    /// The figure may mislead.
    Note,
    /// Money or lawful handling is at stake.
    Caution,
    /// A person may be hurt.
    Danger,
}

/// The words on every output: local rules and licensed practice come first.
// Every answer carries them, so they are the rule set's own and never copied; those of a document that
// was kept are read back.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
#[cfg_attr(feature = "openapi", derive(utoipa::ToSchema))]
pub struct Notice {
    /// The rule set used.
    pub rule_set: Cow<'static, str>,
    /// Its edition.
    pub edition: Cow<'static, str>,
    /// What comes first.
    pub text: Cow<'static, str>,
    /// What to confirm, and with whom.
    #[cfg_attr(feature = "openapi", schema(value_type = Vec<String>))]
    pub confirm: Cow<'static, [String]>,
}

/// One answer: the result and everything that qualifies it.
#[derive(Debug, Clone, PartialEq, Serialize)]
#[cfg_attr(feature = "openapi", derive(utoipa::ToSchema))]
pub struct Answer<T> {
    /// What was asked for.
    pub result: T,
    /// Formulas used, by name, with their source.
    pub methods: Vec<MethodUsed>,
    /// Each default used.
    pub assumptions: Vec<Assumption>,
    /// Bibliography keys, each of which resolves.
    pub references: Vec<&'static str>,
    /// What the reader must know before acting.
    pub warnings: Vec<Warning>,
    /// Local rules and licensed practice come first.
    pub notice: Notice,
}

impl<T> Answer<T> {
    /// The answer with what was assumed before it was asked: whoever fills a request in says so here.
    /// Such an assumption stands before those of the calculation.
    ///
    /// ```
    /// # use spent_silver_domain::answer::{Assumption, Notes};
    /// let assumed = [Assumption { about: String::new(), field: "/price".into(), text: "Taken from a record.".into(), source: "house_rule" }];
    /// let answer = Notes::new().answer((), None).assuming(&assumed);
    /// assert_eq!(answer.assumptions[0].field, "/price");
    /// assert_eq!(answer.references, ["house_rule"]);
    /// ```
    #[must_use]
    pub fn assuming(mut self, before: &[Assumption]) -> Self {
        self.assumptions.splice(..0, before.iter().cloned());
        self.references.extend(before.iter().map(|one| one.source));
        self.references.sort_unstable();
        self.references.dedup();
        self
    }
}

/// Collects methods, assumptions, references and warnings while a calculation runs.
///
/// A part of a larger answer runs inside [`Notes::within`], so that its pointers come out right.
#[derive(Debug, Clone, Default)]
pub struct Notes {
    at: String,
    /// The hash of `at`.
    at_hash: u32,
    whole: bool,
    methods: Vec<MethodUsed>,
    assumptions: Vec<Assumption>,
    /// A hash of each method and of each assumption: to look for one among all takes few steps, and
    /// most are new.
    method_keys: Vec<u32>,
    assumption_keys: Vec<u32>,
    /// In the order of arrival; the same key may stand here again from another place in memory.
    references: Vec<&'static str>,
    warnings: Vec<Warning>,
}

impl Notes {
    /// An empty collector with room for what one estimate notes. For notes that nobody reads, take
    /// the default, which takes no room.
    #[must_use]
    pub fn new() -> Self {
        Self {
            methods: Vec::with_capacity(8),
            assumptions: Vec::with_capacity(16),
            ..Self::default()
        }
    }

    /// An empty collector with room for what so many parts of an answer note.
    #[must_use]
    pub(crate) fn for_parts(count: usize) -> Self {
        let room = count.saturating_mul(16);
        Self {
            methods: Vec::with_capacity(room),
            assumptions: Vec::with_capacity(room),
            method_keys: Vec::with_capacity(room),
            assumption_keys: Vec::with_capacity(room),
            ..Self::default()
        }
    }

    /// Runs `work` with every pointer into the result prefixed by `pointer` (such as `/batches/0`).
    pub fn within<R>(&mut self, pointer: &str, work: impl FnOnce(&mut Self) -> R) -> R {
        let before = (self.at.len(), self.at_hash);
        // As a whole, everything is about the part at hand, however deep the work goes.
        if !self.whole {
            self.at.push_str(pointer);
            self.at_hash = spread(self.at_hash, pointer);
        }
        let out = work(self);
        self.at.truncate(before.0);
        self.at_hash = before.1;
        out
    }

    /// Runs `work`, and forgets its methods, assumptions and warnings where it fails: what they are
    /// about is not in the answer then.
    ///
    /// # Errors
    /// That of `work`.
    pub fn attempt<R, E>(&mut self, work: impl FnOnce(&mut Self) -> Result<R, E>) -> Result<R, E> {
        let before = (
            self.methods.len(),
            self.assumptions.len(),
            self.warnings.len(),
        );
        let out = work(self);
        if out.is_err() {
            self.methods.truncate(before.0);
            self.method_keys.truncate(before.0);
            self.assumptions.truncate(before.1);
            self.assumption_keys.truncate(before.1);
            self.warnings.truncate(before.2);
        }
        out
    }

    /// Runs `work`, whose own result is not part of the answer, with every pointer on the part at
    /// hand as a whole.
    pub fn as_a_whole<R>(&mut self, work: impl FnOnce(&mut Self) -> R) -> R {
        let before = std::mem::replace(&mut self.whole, true);
        let out = work(self);
        self.whole = before;
        out
    }

    fn pointer(&self, about: &str) -> String {
        if self.whole {
            return self.at.clone();
        }
        let mut pointer = String::with_capacity(self.at.len().saturating_add(about.len()));
        pointer.push_str(&self.at);
        pointer.push_str(about);
        pointer
    }

    /// Records that `method` gave the part of the result at `about`.
    pub fn method(&mut self, about: &str, method: Method) {
        self.cite(method.source);
        let rest = if self.whole { "" } else { about };
        // The length of a name tells most from each other.
        let key = spread(self.at_hash, rest) ^ (method.name.len() as u32).rotate_left(24);
        let known = self.method_keys.contains(&key)
            && self.method_keys.iter().zip(&self.methods).any(|(k, m)| {
                *k == key
                    && m.name == method.name
                    && m.about.strip_prefix(self.at.as_str()) == Some(rest)
            });
        if !known {
            self.method_keys.push(key);
            self.methods.push(MethodUsed {
                about: self.pointer(about),
                name: method.name,
                formula: method.formula,
                source: method.source,
            });
        }
    }

    /// Records a default: where it matters, which request member replaces it, what was assumed and on what authority.
    pub fn assume(
        &mut self,
        about: &str,
        field: impl Into<String>,
        source: &'static str,
        text: impl Into<Cow<'static, str>>,
    ) {
        self.cite(source);
        let assumption = Assumption {
            about: String::new(),
            field: field.into(),
            text: text.into(),
            source,
        };
        let mut hash = ShortHash::default();
        (&assumption.field, &assumption.text).hash(&mut hash);
        let key = hash.finish() as u32;
        if !self.has_assumed(key, &assumption) {
            let about = self.pointer(about);
            self.assumption_keys.push(key);
            self.assumptions.push(Assumption {
                about,
                ..assumption
            });
        }
    }

    /// Whether the same was assumed before, whatever it was about.
    fn has_assumed(&self, key: u32, assumption: &Assumption) -> bool {
        let mut all = self.assumption_keys.iter().zip(&self.assumptions);
        self.assumption_keys.contains(&key)
            && all
                .any(|(k, a)| *k == key && a.field == assumption.field && a.text == assumption.text)
    }

    /// Records a warning about the part of the result at `about`.
    pub fn warn(&mut self, about: &str, severity: Severity, text: impl Into<String>) {
        let warning = Warning {
            about: self.pointer(about),
            severity,
            text: text.into(),
        };
        if !self.warnings.contains(&warning) {
            self.warnings.push(warning);
        }
    }

    /// An empty collector for notes on the part of the result at `about`, which [`Notes::take_in`] takes
    /// in when their turn comes.
    #[must_use]
    pub fn aside(&self, about: &str) -> Self {
        Self {
            at: self.pointer(about),
            at_hash: spread(self.at_hash, if self.whole { "" } else { about }),
            whole: self.whole,
            ..Self::default()
        }
    }

    /// Takes in what was noted aside.
    pub fn take_in(&mut self, aside: Self) {
        for (used, key) in aside.methods.into_iter().zip(aside.method_keys) {
            if !(self.method_keys.contains(&key) && self.methods.contains(&used)) {
                self.method_keys.push(key);
                self.methods.push(used);
            }
        }
        for (one, key) in aside.assumptions.into_iter().zip(aside.assumption_keys) {
            if !self.has_assumed(key, &one) {
                self.assumption_keys.push(key);
                self.assumptions.push(one);
            }
        }
        for one in aside.warnings {
            if !self.warnings.contains(&one) {
                self.warnings.push(one);
            }
        }
        for source in aside.references {
            self.cite(source);
        }
    }

    /// Records a source without a method, such as a datum or a rule.
    pub fn cite(&mut self, source: &'static str) {
        // Most keys come again soon; to find all would cost more than to drop the rest at the end.
        if !self
            .references
            .iter()
            .rev()
            .any(|r| std::ptr::eq(*r, source))
        {
            self.references.push(source);
        }
    }

    /// The warnings so far.
    #[must_use]
    pub fn warnings(&self) -> &[Warning] {
        &self.warnings
    }

    /// Closes the collector into an answer under the rule set asked for (default `unspecified`,
    /// which is then listed as an assumption).
    #[must_use]
    pub fn answer<T>(mut self, result: T, rule_set: Option<&'static RuleSet>) -> Answer<T> {
        let rules = rule_set.unwrap_or_else(|| {
            self.at.clear();
            self.at_hash = 0;
            self.assume(
                "",
                "/rule_set",
                "house_rule",
                "No rule set was named: `unspecified` was used, which assumes nothing and asks for everything.",
            );
            RuleSet::unspecified()
        });
        self.references.sort_unstable();
        self.references.dedup();
        self.warnings.sort_by_key(|w| std::cmp::Reverse(w.severity));
        Answer {
            result,
            methods: self.methods,
            assumptions: self.assumptions,
            references: self.references,
            warnings: self.warnings,
            notice: rules.notice(),
        }
    }
}

/// Hashes text byte by byte, so that it comes to the same wherever the text is cut in two.
fn spread(hash: u32, text: &str) -> u32 {
    text.bytes().fold(hash, |hash, byte| {
        (hash ^ u32::from(byte)).wrapping_mul(0x0100_0193)
    })
}
