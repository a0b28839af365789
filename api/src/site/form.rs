//! Forms: what was sent, the fields that ask for it, the JSON that it becomes, and the field that a
//! problem's pointer leads to.

use super::language::{self, has_comma};
use super::measure::{self, Measure};
use super::words::form as w;
use crate::problem::{Code, Problem};
use actix_web::web;
use serde_json::{Map, Value};

/// What a form holds, in the order sent.
#[derive(Debug, Clone, Default)]
pub(super) struct Form(Vec<(String, String)>);

impl Form {
    /// Reads what a browser sends.
    pub(super) fn read(body: &[u8]) -> Result<Self, Problem> {
        let wrong = || Problem::new(Code::InvalidParameter, w::FORM_CANNOT_BE_READ);
        let text = std::str::from_utf8(body).map_err(|_| wrong())?;
        web::Query::<Vec<(String, String)>>::from_query(text)
            .map(|pairs| Self(pairs.into_inner()))
            .map_err(|_| wrong())
    }

    /// What stands in a field, without space around it; empty where nothing does.
    pub(super) fn get(&self, name: &str) -> &str {
        let found = self.0.iter().find(|(n, _)| n == name);
        found.map_or("", |(_, value)| value.trim())
    }

    /// Everything that is ticked under a name.
    pub(super) fn all(&self, name: &str) -> impl Iterator<Item = &str> {
        self.0
            .iter()
            .filter(move |(n, _)| n == name)
            .map(|(_, value)| value.as_str())
    }

    /// What names this form among all: the same one sent twice is done once.
    pub(super) fn once(&self) -> Result<&str, Problem> {
        let once = self.get("once");
        let plain = (16..=64).contains(&once.len()) && once.bytes().all(|b| b.is_ascii_hexdigit());
        plain
            .then_some(once)
            .ok_or_else(|| Problem::new(Code::InvalidParameter, w::FORM_IS_NOT_WHOLE))
    }

    /// The form with one more value.
    pub(super) fn with(mut self, name: &str, value: impl Into<String>) -> Self {
        self.0.push((name.to_owned(), value.into()));
        self
    }
}

/// A value, and what it is called.
pub(super) type Choices = Vec<(String, String)>;

/// Choices from words.
pub(super) fn choices(of: &[(&str, &str)]) -> Choices {
    of.iter()
        .map(|(value, words)| ((*value).to_owned(), (*words).to_owned()))
        .collect()
}

/// What a field takes.
pub(super) enum Kind {
    /// A line of text.
    Line,
    /// A figure in a unit, with or without `± so much`.
    Figure(&'static str),
    /// A figure that is agreed, in a unit: nothing is off in it.
    Exact(String),
    /// A whole number.
    Count,
    /// A day.
    Day,
    /// Yes, no, or don't know.
    YesNo,
    /// One of these.
    One(Choices),
    /// Any of these; each is an item of a list, or the named member of one.
    Any(Choices, Option<&'static str>),
    /// How much of this substance is dissolved in a litre; the pointer is that of the list of substances.
    Strength(&'static str),
    /// How much is dissolved, kept as grams in 100 mL.
    Percent,
    /// Grams that were weighed out.
    Weighed,
    /// Grams that were weighed out, or a strength in the volume that the named field asks for.
    Dissolved(&'static str),
    /// A volume in a unit of the person's choice.
    Volume,
    /// A volume or a mass; the pointer is that of what holds either.
    Amount,
    /// All of it, or a volume or a mass.
    Part,
    /// A size that has a name, or a width and a height; the pointer is that of what holds them.
    Size,
}

impl Kind {
    /// What its units measure; empty where it has no choice of units.
    pub(super) fn measures(&self) -> &'static [Measure] {
        match self {
            Self::Volume => &[Measure::Volume],
            Self::Amount | Self::Part => &[Measure::Volume, Measure::Mass],
            Self::Strength(_) => &[Measure::Strength],
            Self::Percent => &[Measure::Percent],
            Self::Weighed => &[Measure::Weighing],
            Self::Dissolved(_) => &[Measure::Weighing, Measure::Strength],
            _ => &[],
        }
    }
}

/// What a script does with the fields of a group.
#[derive(Debug, Clone, Default, PartialEq, Eq)]
pub(super) enum Live {
    #[default]
    Still,
    /// The group is one of several alike, shown as they are needed; the words ask for one more.
    More(&'static str),
    /// Its figures are summed, in this unit.
    Total(String),
}

impl Live {
    pub(super) fn more(&self) -> Option<&'static str> {
        match self {
            Self::More(words) => Some(words),
            _ => None,
        }
    }

    pub(super) fn total(&self) -> Option<&str> {
        match self {
            Self::Total(unit) => Some(unit),
            _ => None,
        }
    }
}

/// One question of a form.
pub(super) struct Field {
    pub name: String,
    /// Pointer into the request.
    pub at: String,
    /// Other places that the same answer goes to, and that a problem may name.
    pub also: Vec<String>,
    /// What it stands under, with the fields beside it that say the same; empty where it stands alone.
    pub group: String,
    pub live: Live,
    pub label: String,
    pub help: String,
    pub kind: Kind,
    /// Whether an answer is needed.
    pub needed: bool,
    /// What stands there at first.
    pub first: String,
}

impl Field {
    pub(super) fn new(
        name: impl Into<String>,
        at: impl Into<String>,
        label: &str,
        kind: Kind,
    ) -> Self {
        Self {
            name: name.into(),
            at: at.into(),
            also: Vec::new(),
            group: String::new(),
            live: Live::Still,
            label: label.to_owned(),
            help: String::new(),
            kind,
            needed: false,
            first: String::new(),
        }
    }

    pub(super) fn help(mut self, help: &str) -> Self {
        self.help = help.to_owned();
        self
    }

    pub(super) fn needed(mut self) -> Self {
        self.needed = true;
        self
    }

    pub(super) fn first(mut self, value: impl Into<String>) -> Self {
        self.first = value.into();
        self
    }

    pub(super) fn also(mut self, places: &[&str]) -> Self {
        self.also = places.iter().map(|p| (*p).to_owned()).collect();
        self
    }

    pub(super) fn under(mut self, group: impl Into<String>) -> Self {
        self.group = group.into();
        self
    }

    pub(super) fn live(mut self, live: Live) -> Self {
        self.live = live;
        self
    }

    /// Whether nothing was answered.
    pub(super) fn is_open(&self, form: &Form) -> bool {
        let open = |name: &str| form.get(name).is_empty();
        match self.kind {
            Kind::Any(..) => form.all(&self.name).next().is_none(),
            Kind::Size => open(&self.name) && open(&self.of("width")) && open(&self.of("height")),
            Kind::Part => open(&self.name) && form.get(&self.of("unit")) != "all",
            _ => open(&self.name),
        }
    }

    /// Puts what was typed into a request; says what it was where the book keeps it in another unit.
    fn write(&self, form: &Form, body: &mut Value) -> Option<String> {
        let typed = form.get(&self.name);
        match &self.kind {
            Kind::Any(_, member) => {
                for (i, one) in form.all(&self.name).enumerate() {
                    let at = member.map_or_else(String::new, |m| format!("/{m}"));
                    put(body, &format!("{}/{i}{at}", self.at), one.into());
                }
                None
            }
            Kind::Size => {
                self.write_size(form, body);
                None
            }
            Kind::Part if form.get(&self.of("unit")) == "all" => {
                put(body, &format!("{}/all", self.at), Value::Object(Map::new()));
                None
            }
            _ if typed.is_empty() => None,
            Kind::Line | Kind::Day | Kind::One(_) => {
                put(body, &self.at, typed.into());
                None
            }
            Kind::Exact(_) => {
                put(body, &self.at, language::typed(typed).into());
                None
            }
            Kind::Figure(_) => {
                put(body, &self.at, measure::reading(typed));
                None
            }
            Kind::Count => {
                let count = typed.parse::<u64>();
                put(
                    body,
                    &self.at,
                    count.map_or_else(|_| typed.into(), Value::from),
                );
                None
            }
            Kind::YesNo => {
                put(body, &self.at, Value::Bool(typed == "yes"));
                None
            }
            Kind::Volume
            | Kind::Amount
            | Kind::Part
            | Kind::Strength(_)
            | Kind::Percent
            | Kind::Weighed
            | Kind::Dissolved(_) => self.write_amount(form, body),
        }
    }

    /// Puts a figure with a unit into a request; says what it was where the book keeps it in another.
    fn write_amount(&self, form: &Form, body: &mut Value) -> Option<String> {
        let typed = form.get(&self.name);
        let unit = form.get(&self.of("unit"));
        let made = match self.kind {
            Kind::Dissolved(volume) => {
                let litres = form.get(&format!("{volume}_unit"));
                let volume = measure::amount(form.get(volume), litres, &[Measure::Volume]);
                measure::dissolved(typed, unit, &volume)
            }
            _ => measure::amount(typed, unit, self.kind.measures()),
        };
        let at = match self.kind {
            Kind::Amount | Kind::Part => {
                let member = match made.of {
                    Some(Measure::Mass) => "mass_kg",
                    _ => "volume_l",
                };
                format!("{}/{member}", self.at)
            }
            Kind::Strength(substance) => {
                let list = body.pointer(&self.at).and_then(Value::as_array);
                let list = list.map_or(&[][..], Vec::as_slice);
                let own = list.iter().position(|c| c["substance"] == substance);
                let at = format!("{}/{}", self.at, own.unwrap_or(list.len()));
                put(body, &format!("{at}/substance"), substance.into());
                format!("{at}/g_per_l")
            }
            _ => self.at.clone(),
        };
        put(body, &at, made.value);
        made.as_typed
            .map(|words| format!("{}: {words}.", self.label.trim_end_matches('?')))
    }

    fn write_size(&self, form: &Form, body: &mut Value) {
        let named = measure::SIZES
            .iter()
            .find(|s| s.name == form.get(&self.name));
        for (side, of) in [
            ("width", named.map(|s| s.width_cm)),
            ("height", named.map(|s| s.height_cm)),
        ] {
            let typed = form.get(&self.of(side)).to_owned();
            let value = of.map_or_else(|| measure::reading(&typed), Value::from);
            if of.is_some() || !typed.is_empty() {
                put(body, &format!("{}/{side}_cm", self.at), value);
            }
        }
    }

    /// The name of a part of this field.
    pub(super) fn of(&self, part: &str) -> String {
        format!("{}_{part}", self.name)
    }

    /// Whether a pointer leads to this field: how much of the pointer it covers.
    fn covers(&self, pointer: &str) -> Option<usize> {
        let inside = |at: &str| {
            pointer
                .strip_prefix(at)
                .is_some_and(|rest| rest.is_empty() || rest.starts_with('/'))
        };
        // What is wrong with a substance itself is said where it was ticked.
        if matches!(self.kind, Kind::Strength(_)) && !pointer.ends_with("/g_per_l") {
            return None;
        }
        let members: &[&str] = match self.kind {
            Kind::Amount => &["/volume_l", "/mass_kg"],
            Kind::Size => &["/width_cm", "/height_cm"],
            _ => &[""],
        };
        members
            .iter()
            .map(|m| format!("{}{m}", self.at))
            .chain(self.also.iter().cloned())
            .find(|at| inside(at))
            .map(|at| at.len())
    }
}

/// A request made from a form.
pub(super) struct Request {
    pub body: Value,
    /// What was typed in units that the book does not keep.
    pub as_typed: Vec<String>,
}

/// Makes a request of what was typed, beginning with `body`.
pub(super) fn request(fields: &[Field], form: &Form, mut body: Value) -> Request {
    let as_typed = fields
        .iter()
        .filter_map(|field| field.write(form, &mut body))
        .collect();
    Request { body, as_typed }
}

/// Puts a value where a pointer leads, making what is on the way.
pub(super) fn put(root: &mut Value, pointer: &str, value: Value) {
    let mut here = root;
    for part in pointer.split('/').skip(1) {
        here = if let Ok(index) = part.parse::<usize>() {
            if !here.is_array() {
                *here = Value::Array(Vec::new());
            }
            let Some(list) = here.as_array_mut() else {
                return;
            };
            while list.len() <= index {
                list.push(Value::Null);
            }
            match list.get_mut(index) {
                Some(item) => item,
                None => return,
            }
        } else {
            if !here.is_object() {
                *here = Value::Object(Map::new());
            }
            let Some(map) = here.as_object_mut() else {
                return;
            };
            map.entry(part.to_owned()).or_insert(Value::Null)
        };
    }
    *here = value;
}

/// Takes out what stands where a pointer leads.
pub(super) fn take(root: &mut Value, pointer: &str) {
    if let Some((above, name)) = pointer.rsplit_once('/')
        && let Some(members) = root.pointer_mut(above).and_then(Value::as_object_mut)
    {
        members.shift_remove(name);
    }
}

/// One thing wrong, and the field it is wrong in; none where it is in no single one.
pub(super) struct Trouble {
    pub field: Option<String>,
    pub detail: String,
}

/// Where each thing that is wrong was typed; and what was left open that is needed, which the reader
/// would name one at a time.
pub(super) fn troubles(problem: &Problem, fields: &[Field], form: &Form) -> Vec<Trouble> {
    let mut all = placed(problem, fields);
    if problem.code != Code::InvalidInput {
        return all;
    }
    for field in fields.iter().filter(|f| f.needed && f.is_open(form)) {
        if all.iter().all(|t| t.field.as_ref() != Some(&field.name)) {
            all.push(Trouble {
                field: Some(field.name.clone()),
                detail: w::MISSING.to_owned(),
            });
        }
    }
    // In the order of the page.
    let place = |name: &str| fields.iter().position(|f| f.name == name);
    all.sort_by_key(|t| t.field.as_deref().and_then(place));
    all
}

fn placed(problem: &Problem, fields: &[Field]) -> Vec<Trouble> {
    if problem.errors.is_empty() {
        return vec![Trouble {
            field: None,
            detail: problem.detail.clone(),
        }];
    }
    let place = |pointer: &str| {
        let covering = fields
            .iter()
            .filter_map(|f| f.covers(pointer).map(|n| (n, f.name.clone())))
            .max_by_key(|(n, _)| *n)
            .map(|(_, name)| name);
        // What holds fields that were all left empty: the first of them.
        covering.or_else(|| {
            let below = format!("{pointer}/");
            let first = fields.iter().find(|f| f.at.starts_with(&below));
            first.map(|f| f.name.clone())
        })
    };
    problem
        .errors
        .iter()
        .map(|error| Trouble {
            field: error.pointer.as_deref().and_then(place),
            detail: plain(&error.detail, fields),
        })
        .collect()
}

/// The words of a problem as somebody at a sink reads them: members by what the page calls them, and a
/// number as it is written with a pen.
fn plain(detail: &str, fields: &[Field]) -> String {
    let number = if has_comma() {
        w::NUMBER_WITH_COMMA
    } else {
        w::NUMBER_ON_PAPER
    };
    let mut words = detail.replace(w::NUMBER_IN_JSON, number);
    for field in fields {
        let member = field.at.rsplit('/').next().unwrap_or_default();
        let called = format!("\u{201c}{}\u{201d}", field.label.trim_end_matches('?'));
        words = words.replace(&format!("`{member}`"), &called);
        // A name with an underscore is no word of the language.
        if member.contains('_') {
            words = words.replace(member, &called);
        }
    }
    words
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::problem::ErrorEntry;
    use serde_json::json;

    fn fields() -> Vec<Field> {
        vec![
            Field::new("name", "/batch/id", "Name", Kind::Line),
            Field::new("much", "/batch", "How much?", Kind::Amount),
            Field::new(
                "in_it",
                "/batch/composition",
                "What?",
                Kind::Any(Vec::new(), Some("substance")),
            ),
            Field::new("count", "/work/0/count", "How many?", Kind::Count),
            Field::new("size", "/work/0", "Size", Kind::Size),
        ]
    }

    #[test]
    fn a_form_becomes_the_request_with_the_digits_as_typed() {
        let form = Form::read(
            "name=jug-1&much=2.50&much_unit=us_floz&in_it=ammonia&in_it=ethanol&count=12&size=4x5"
                .as_bytes(),
        )
        .unwrap();
        let made = request(&fields(), &form, json!({}));
        assert_eq!(
            made.body,
            json!({"batch": {"id": "jug-1", "volume_l": "0.073934",
                "composition": [{"substance": "ammonia"}, {"substance": "ethanol"}]},
                "work": [{"count": 12, "width_cm": "10.16", "height_cm": "12.7"}]})
        );
        assert_eq!(
            made.as_typed,
            ["How much: 2.50 US fluid ounces (0.073934 L)."]
        );
    }

    #[test]
    fn a_pointer_leads_to_the_field_that_covers_most_of_it() {
        for (pointer, field) in [
            ("/batch/id", Some("name")),
            ("/batch/volume_l", Some("much")),
            ("/batch/mass_kg/value", Some("much")),
            ("/batch/composition/1/substance", Some("in_it")),
            ("/work/0/width_cm", Some("size")),
            ("/work", Some("count")),
            ("/batch/kind", None),
            ("/on", None),
        ] {
            let problem = Problem::new(Code::InvalidInput, "several")
                .with(ErrorEntry::at("missing", pointer, "expected"));
            let found = troubles(&problem, &fields(), &Form::default());
            assert_eq!(found.first().unwrap().field.as_deref(), field, "{pointer}");
        }
    }
}
