//! How a page writes figures and days: as the browser's language does. The words stay English.
//!
//! A misread amount or day can hurt. So nothing stands between thousands, and a point and a comma are
//! both a decimal mark, always; a month is a word, never a number; numerals are 0 to 9.

use crate::render::html::Setting;
use actix_web::HttpRequest;
use actix_web::http::header::{AcceptLanguage, Header as _, Preference};
use icu_calendar::{Date as Calendar, Gregorian};
use icu_datetime::fieldsets::YMD;
use icu_datetime::pattern::{DateTimePattern, FixedCalendarDateTimeNames};
use icu_datetime::preferences::NumberingSystem;
use icu_datetime::{DateTimeFormatterPreferences, FixedCalendarDateTimeFormatter};
use icu_decimal::DecimalFormatter;
use icu_decimal::input::Decimal;
use icu_locale::extensions::unicode::value;
use icu_locale::{Locale, LocaleDirectionality, locale};
use maud::{Markup, PreEscaped};
use spent_silver_domain::quantity::Date;
use std::future::Future;
use std::rc::Rc;
use writeable::TryWriteable as _;

/// Languages of one visitor that are looked at: a browser sends three or four.
const MOST: usize = 16;
/// Letters of the longest name of a language that is looked at (RFC 5646, section 4.4.1: 35).
const LONGEST: usize = 35;
/// The day that a pattern is taken from.
const SAMPLE: (i32, u8, u8) = (2026, 12, 3);

tokio::task_local! {
    /// The language of the page that is being made.
    static SPOKEN: Rc<Language>;
}

/// A language, as far as a page speaks it.
pub(super) struct Language {
    /// Its name, for a reader of the screen; empty where the words around are of it.
    tag: String,
    comma: bool,
    days: Option<Days>,
}

/// How days are written: names of months, and where they stand.
struct Days {
    names: FixedCalendarDateTimeNames<Gregorian, YMD>,
    pattern: DateTimePattern,
}

impl Language {
    /// What a browser asks for: the first of its languages that is known, else English. What cannot be
    /// read is passed over.
    pub(super) fn of(req: &HttpRequest) -> Self {
        let mut asked = AcceptLanguage::parse(req).map_or_else(|_| Vec::new(), |all| all.0);
        asked.truncate(MOST);
        asked.retain(|one| one.quality > actix_web::http::header::Quality::ZERO);
        // The order in which they were named stays among equals.
        asked.sort_by_key(|one| std::cmp::Reverse(one.quality));
        let known = asked.into_iter().find_map(|one| match one.item {
            Preference::Specific(tag) => Self::named(tag.as_str()),
            Preference::Any => Some(Self::english()),
        });
        known.unwrap_or_else(Self::english)
    }

    /// English, the day before the month as most of the world has it.
    fn english() -> Self {
        let days = Days::of(&locale!("en-GB"));
        Self {
            tag: String::new(),
            comma: false,
            days,
        }
    }

    /// A language by its name (BCP 47); none where its months have no names here.
    fn named(tag: &str) -> Option<Self> {
        if tag.len() > LONGEST {
            return None;
        }
        let locale: Locale = tag.parse().ok()?;
        let days = Days::of(&locale)?;
        // A day that runs from right to left among words that run from left to right is misread.
        let days = if LocaleDirectionality::new_common().is_right_to_left(&locale.id) {
            return Some(Self {
                comma: comma_of(&locale),
                ..Self::english()
            });
        } else {
            days
        };
        let language = locale.id.language.to_string();
        Some(Self {
            tag: if language == "en" {
                String::new()
            } else {
                language
            },
            comma: comma_of(&locale),
            days: Some(days),
        })
    }

    /// Makes a page in this language.
    pub(super) fn speaking<F: Future>(self, page: F) -> impl Future<Output = F::Output> {
        SPOKEN.scope(Rc::new(self), page)
    }
}

impl Days {
    fn of(locale: &Locale) -> Option<Self> {
        let mut of: DateTimeFormatterPreferences = locale.into();
        of.numbering_system = latin();
        let (year, month, day) = SAMPLE;
        let sample = Calendar::try_new_gregorian(year, month, day).ok()?;
        let pattern = |length| {
            let made = FixedCalendarDateTimeFormatter::<Gregorian, _>::try_new(of, length).ok()?;
            Some(made.format(&sample).pattern().to_string())
        };
        let mut pattern_text = pattern(YMD::medium())?;
        if !is_a_word(&pattern_text) {
            pattern_text = pattern(YMD::long())?.replace("MMMM", "MMM");
        }
        if !is_a_word(&pattern_text) {
            return None;
        }
        let pattern = DateTimePattern::try_from_pattern_str(&pattern_text).ok()?;
        let mut names = FixedCalendarDateTimeNames::try_new(of).ok()?;
        names.include_for_pattern(&pattern).ok()?;
        let days = Self { names, pattern };
        // A language without names calls its months M01 to M12.
        let known = days.write(SAMPLE).is_some_and(|text| !text.contains("M12"));
        known.then_some(days)
    }

    fn write(&self, (year, month, day): (i32, u8, u8)) -> Option<String> {
        let day = Calendar::try_new_gregorian(year, month, day).ok()?;
        let made = self.names.with_pattern_unchecked(&self.pattern);
        let set = made.format(&day);
        let text = set.try_write_to_string().ok()?;
        Some(text.into_owned())
    }
}

/// Whether a pattern has its month as a word, or as a number that a letter marks as the month's.
fn is_a_word(pattern: &str) -> bool {
    let after = pattern
        .rsplit_once('M')
        .and_then(|(_, rest)| rest.chars().next());
    pattern.contains("MMM") || after.is_some_and(char::is_alphabetic)
}

fn latin() -> Option<NumberingSystem> {
    NumberingSystem::try_from(value!("latn")).ok()
}

fn comma_of(locale: &Locale) -> bool {
    let mut of: icu_decimal::DecimalFormatterPreferences = locale.into();
    of.numbering_system = latin();
    let Ok(made) =
        DecimalFormatter::try_new(of, icu_decimal::options::DecimalFormatterOptions::default())
    else {
        return false;
    };
    let mut half = Decimal::from(5);
    half.multiply_pow10(-1);
    made.format(&half).to_string().contains(',')
}

/// Whether a comma is the decimal mark of this page.
pub(super) fn has_comma() -> bool {
    SPOKEN.try_with(|of| of.comma).unwrap_or(false)
}

/// A figure that was typed, as the book reads it: with a point, the digits as they are.
pub(super) fn typed(figure: &str) -> String {
    if has_comma() {
        figure.replace(',', ".")
    } else {
        figure.to_owned()
    }
}

/// Figures with the page's decimal mark: a point between two digits is one. Only for what a page sets
/// itself; a clause such as 261.24 is no figure.
pub(super) fn f(of: impl std::fmt::Display) -> String {
    figures(&of.to_string())
}

fn figures(text: &str) -> String {
    if !has_comma() {
        return text.to_owned();
    }
    let mut out = String::with_capacity(text.len());
    let mut before = ' ';
    let mut letters = text.chars().peekable();
    while let Some(letter) = letters.next() {
        let inside = before.is_ascii_digit() && letters.peek().is_some_and(char::is_ascii_digit);
        out.push(if letter == '.' && inside { ',' } else { letter });
        before = letter;
    }
    out
}

/// A day in words.
pub(super) fn day_in_words(day: Date) -> String {
    let civil = day.civil();
    let parts = (
        i32::from(civil.year()),
        civil.month().unsigned_abs(),
        civil.day().unsigned_abs(),
    );
    let spoken = |of: &Language| of.days.as_ref().and_then(|days| days.write(parts));
    let text = match SPOKEN.try_with(|of| spoken(of)) {
        Ok(text) => text,
        // Made for nobody: a page that says what went wrong before anybody was let in.
        Err(_) => spoken(&Language::english()),
    };
    text.unwrap_or_else(|| day.to_string())
}

/// A day as it stands in a page.
pub(super) fn d(day: Date) -> Markup {
    let mut out = String::new();
    set_day(&mut out, day);
    PreEscaped(out)
}

fn set_day(out: &mut String, day: Date) {
    let lang = SPOKEN
        .try_with(|of| match of.tag.as_str() {
            "" => String::new(),
            tag => format!(" lang=\"{tag}\""),
        })
        .unwrap_or_default();
    let words = crate::render::html::escape(&day_in_words(day));
    out.push_str(&format!("<time datetime=\"{day}\"{lang}>{words}</time>"));
}

/// Text in which every day written by number is set by `set`.
fn with_days(text: &str, out: &mut String, set: impl Fn(&mut String, Date)) {
    let mut rest = text;
    let mut before = None;
    while let Some(at) = rest.find(|c: char| c.is_ascii_digit()) {
        let (head, tail) = rest.split_at(at);
        out.push_str(head);
        let before_this = head.chars().next_back().or(before);
        let joined =
            |c: Option<char>| c.is_some_and(|c| c.is_alphanumeric() || matches!(c, '-' | '_'));
        let run = tail
            .find(|c: char| !c.is_ascii_digit() && c != '-')
            .unwrap_or(tail.len());
        let (number, after) = tail.split_at(run);
        let found = (number.len() == DAY && !joined(before_this) && !joined(after.chars().next()))
            .then(|| Date::parse(number).ok())
            .flatten();
        match found {
            Some(day) => set(out, day),
            None => out.push_str(number),
        }
        before = number.chars().next_back();
        rest = after;
    }
    out.push_str(rest);
}

/// Letters of a day written by number.
const DAY: usize = "2026-12-03".len();

/// A person's text: escaped, and marks that turn the direction of reading written as their number.
/// What the service's words put between backticks, a name, is bold on a page; a day is in words.
pub(super) fn t(text: &str) -> Markup {
    let escaped = crate::render::html::escape(text);
    let parts: Vec<&str> = escaped.split('`').collect();
    // One that stands alone is only a backtick.
    let paired = !parts.len().is_multiple_of(2);
    let mut out = String::with_capacity(escaped.len());
    if !paired {
        with_days(&escaped, &mut out, set_day);
        return PreEscaped(out);
    }
    for (i, part) in parts.iter().enumerate() {
        if i.is_multiple_of(2) {
            with_days(part, &mut out, set_day);
        } else {
            out.push_str("<b>");
            out.push_str(part);
            out.push_str("</b>");
        }
    }
    PreEscaped(out)
}

/// As [`t`], where only text may stand: in a title, in a choice, in a picture.
pub(super) fn plain(text: &str) -> Markup {
    let mut out = String::new();
    let escaped = crate::render::html::escape(text);
    with_days(&escaped, &mut out, |out, day| {
        out.push_str(&crate::render::html::escape(&day_in_words(day)))
    });
    PreEscaped(out)
}

/// How the blocks of a document are set in a page.
pub(super) const SETTING: Setting = Setting {
    text: |text| t(text).0,
    figure: figures,
};

#[cfg(test)]
mod tests {
    use super::*;
    use actix_web::test::TestRequest;

    fn asked(header: &str) -> Language {
        let req = TestRequest::default().insert_header(("accept-language", header));
        Language::of(&req.to_http_request())
    }

    fn spoken<T>(header: &str, what: impl FnOnce() -> T) -> T {
        SPOKEN.sync_scope(Rc::new(asked(header)), what)
    }

    fn third_of_december(header: &str) -> String {
        spoken(header, || day_in_words(Date::parse("2026-12-03").unwrap()))
    }

    /// Unicode CLDR 48, dates/calendars/gregorian: the pattern yMMMd or the long date, and the
    /// abbreviated names of December.
    #[test]
    fn a_day_has_its_month_as_a_word() {
        for (header, day) in [
            ("en-US", "Dec 3, 2026"),
            ("en-GB", "3 Dec 2026"),
            ("de", "3. Dez. 2026"),
            ("de-AT,de;q=0.9", "3. Dez. 2026"),
            ("fr-CA", "3 déc. 2026"),
            ("ja", "2026年12月3日"),
            ("cs", "3. pro 2026"),
            // Not from right to left among English words.
            ("ar", "3 Dec 2026"),
            ("he-IL", "3 Dec 2026"),
            // Other numerals and calendars are not taken.
            ("th-TH-u-ca-buddhist-nu-thai", "3 ธ.ค. 2026"),
        ] {
            assert_eq!(third_of_december(header), day, "{header}");
        }
    }

    #[test]
    fn what_is_absurd_unknown_or_refused_is_english() {
        let long = "de-".repeat(5000);
        for header in [
            "",
            "*",
            ";",
            ",,,",
            "tlh",
            "xx-YY",
            "de;q=0",
            "de;q=0, *;q=0.1",
            "q=1",
            "de;q=hello",
            "\u{ff}\u{fe}",
            "de_DE@euro",
            "en-GB;q=0.1;x",
            &long,
        ] {
            assert_eq!(third_of_december(header), "3 Dec 2026", "{header}");
            assert!(!spoken(header, has_comma), "{header}");
        }
        // The greatest weight goes first, and what is not known is passed over.
        assert_eq!(
            third_of_december("en-US;q=0.2, tlh, de;q=0.8"),
            "3. Dez. 2026"
        );
    }

    #[test]
    fn a_comma_is_a_decimal_mark_where_the_language_has_one_and_nothing_groups() {
        // Unicode CLDR 48, numbers/symbols/decimal of the numbering system latn.
        for (header, figure) in [
            ("de", "12345,60"),
            ("fr", "12345,60"),
            ("de-CH", "12345.60"),
            ("en-ZA", "12345,60"),
            ("es-MX", "12345.60"),
            ("en-US", "12345.60"),
            ("ar-EG", "12345.60"),
        ] {
            assert_eq!(spoken(header, || f("12345.60")), figure, "{header}");
        }
        spoken("de", || {
            assert_eq!(
                f("About 5 %. So 1.5 ± 0.1 g."),
                "About 5 %. So 1,5 ± 0,1 g."
            );
            assert_eq!(typed("1,50 ± 0.05"), "1.50 ± 0.05");
        });
        assert_eq!(spoken("en", || typed("1,50")), "1,50");
    }

    #[test]
    fn a_day_in_a_sentence_is_set_and_a_clause_stays() {
        spoken("de", || {
            assert_eq!(
                t("By 2026-12-03 (261.24), see `jug-2026-12-03` & 2026-13-03.").0,
                "By <time datetime=\"2026-12-03\" lang=\"de\">3. Dez. 2026</time> (261.24), see <b>jug-2026-12-03</b> &amp; 2026-13-03."
            );
            for name in [
                "jug-2026-12-03",
                "2026-12-03-jug",
                "x2026-12-03",
                "2026-12-031",
                "12026-12-03",
            ] {
                assert_eq!(t(name).0, name);
            }
            assert_eq!(plain("On 2026-12-03.").0, "On 3. Dez. 2026.");
        });
    }

    #[test]
    fn a_name_between_backticks_is_bold_and_nothing_becomes_markup() {
        assert_eq!(
            t("Look at `fix-a` & `b`.").0,
            "Look at <b>fix-a</b> &amp; <b>b</b>."
        );
        assert_eq!(t("five o`clock").0, "five o`clock");
        assert!(!t("`<i>`").0.contains("<i>"));
    }
}
