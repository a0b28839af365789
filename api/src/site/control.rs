//! Fields as they stand in a page: label, help, what is wrong, and the control.

use super::Visit;
use super::form::{Choices, Field, Form, Kind, Trouble};
use super::language::{f, plain, t};
use super::measure;
use super::words::control as w;
use crate::problem::Problem;
use crate::store::random;
use maud::{Markup, html};

/// A form that sends these fields.
pub(super) struct Sheet<'a> {
    pub action: String,
    pub fields: &'a [Field],
    /// What goes with them unseen.
    pub hidden: Vec<(&'static str, String)>,
    pub send: &'a str,
}

/// The form, with what was typed and what is wrong with it.
pub(super) fn sheet(
    of: &Sheet<'_>,
    form: &Form,
    troubles: &[Trouble],
    visit: &Visit,
) -> Result<Markup, Problem> {
    // The same form sent twice is done once.
    let once = match form.get("once") {
        "" => random(16)?,
        sent => sent.to_owned(),
    };
    Ok(html! {
        (summary(of.fields, troubles))
        form method="post" action=(of.action) novalidate {
            input type="hidden" name="proof" value=(visit.proof);
            input type="hidden" name="once" value=(once);
            @for (name, value) in &of.hidden { input type="hidden" name=(name) value=(value); }
            (grouped(of.fields, form, troubles))
            p { button type="submit" { (of.send) } }
        }
    })
}

/// Everything that is wrong, each with a link to its field.
fn summary(fields: &[Field], troubles: &[Trouble]) -> Markup {
    html! {
        @if !troubles.is_empty() {
            section.problem role="alert" aria-labelledby="wrong" {
                h2 #wrong { (w::WRONG) }
                ul {
                    @for trouble in troubles {
                        @match trouble.field.as_ref().and_then(|n| fields.iter().find(|f| f.name == *n)) {
                            Some(field) => li {
                                a href={ "#" (field.name) } { (field.label) } ": " (t(&trouble.detail))
                            },
                            None => li { (t(&trouble.detail)) },
                        }
                    }
                }
                p { (w::WRONG_MORE) }
            }
        }
    }
}

fn control(field: &Field, form: &Form, troubles: &[Trouble]) -> Markup {
    let wrong: Vec<&str> = troubles
        .iter()
        .filter(|t| t.field.as_ref() == Some(&field.name))
        .map(|t| t.detail.as_str())
        .collect();
    let help = match field.kind {
        Kind::Figure(_) if field.help.is_empty() => w::ABOUT,
        _ if field.help.is_empty() && !field.kind.measures().is_empty() => w::ABOUT,
        _ => field.help.as_str(),
    };
    let mut described = String::new();
    if !help.is_empty() {
        described.push_str(&field.of("help"));
    }
    if !wrong.is_empty() {
        described.push(' ');
        described.push_str(&field.of("wrong"));
    }
    let described = described.trim().to_owned();
    let class = if wrong.is_empty() {
        "field"
    } else {
        "field wrong"
    };
    let notes = html! {
        @if !help.is_empty() { p.help id=(field.of("help")) { (f(help)) } }
        @if !wrong.is_empty() {
            p.error id=(field.of("wrong")) { @for detail in &wrong { (t(detail)) " " } }
        }
    };
    let label = html! {
        (field.label)
        @if field.needed { " " span.needed { "(" (w::NEEDED) ")" } }
    };
    let typed = match form.get(&field.name) {
        "" => field.first.as_str(),
        sent => sent,
    };
    let input = Input {
        name: &field.name,
        typed,
        described: &described,
        wrong: !wrong.is_empty(),
        needed: field.needed,
    };
    if let Kind::Any(of, _) = &field.kind {
        return html! {
            fieldset class=(class) id=(field.name) aria-describedby=(described) {
                legend { (label) }
                (notes)
                @for (i, (value, words)) in of.iter().enumerate() {
                    @let ticked = form.all(&field.name).any(|v| v == value) || *value == field.first;
                    label.tick {
                        input type="checkbox" name=(field.name) value=(value) checked[ticked]
                            id={ (field.name) "-" (i) };
                        span { (t(words)) }
                    }
                }
            }
        };
    }
    html! {
        div class=(class) {
            label for=(field.name) { (label) }
            (notes)
            @match &field.kind {
                Kind::Line => (input.line("text", "")),
                Kind::Figure(unit) => div.row { (input.line("text", "decimal")) span.unit { (unit) } },
                Kind::Exact(unit) => div.row { (input.line("text", "decimal")) span.unit { (unit) } },
                Kind::Count => (input.line("text", "numeric")),
                Kind::Day => (input.line("date", "")),
                Kind::YesNo => (input.choose(&super::form::choices(&[("yes", w::YES), ("no", w::NO)]))),
                Kind::One(of) => (input.choose(of)),
                Kind::Size => (size(field, form, &input)),
                Kind::Any(..) => {}
                // A figure in a unit of the person's choice.
                _ => div.row { (input.line("text", "decimal")) (unit(field, form)) },
            }
        }
    }
}

struct Input<'a> {
    name: &'a str,
    typed: &'a str,
    described: &'a str,
    wrong: bool,
    needed: bool,
}

impl Input<'_> {
    fn line(&self, kind: &str, mode: &str) -> Markup {
        let described = Some(self.described).filter(|d| !d.is_empty());
        html! {
            input type=(kind) id=(self.name) name=(self.name) value=(self.typed)
                inputmode=[Some(mode).filter(|m| !m.is_empty())]
                aria-describedby=[described]
                aria-invalid=[self.wrong.then_some("true")]
                aria-required=[self.needed.then_some("true")]
                autocomplete="off";
        }
    }

    fn choose(&self, of: &Choices) -> Markup {
        let many = of.len() > super::sheet::MOST_DESCRIBED;
        let described = Some(self.described).filter(|d| !d.is_empty());
        html! {
            select id=(self.name) name=(self.name) aria-describedby=[described]
                aria-invalid=[self.wrong.then_some("true")]
                aria-required=[self.needed.then_some("true")] {
                @if !of.iter().any(|(value, _)| value.is_empty()) {
                    option value="" { @if self.needed { (w::CHOOSE) } @else { (w::DONT_KNOW) } }
                }
                @for (value, words) in of {
                    // One of very many has its words for its value where they are the same.
                    @let shown = plain(&f(words));
                    option value=[Some(value).filter(|v| !many || **v != shown.0)] selected[value == self.typed] {
                        (shown)
                    }
                }
            }
        }
    }
}

fn unit(field: &Field, form: &Form) -> Markup {
    let name = field.of("unit");
    let chosen = form.get(&name);
    let part = matches!(field.kind, Kind::Part);
    html! {
        label.hidden for=(name) { (w::UNIT_OF) (field.label) }
        select.measure id=(name) name=(name) {
            @if part { option value="all" selected[chosen == "all"] { (w::ALL_OF_IT) } }
            @for unit in measure::units(field.kind.measures()) {
                option value=(unit.name) data-factor=(unit.factor) data-symbol=(unit.symbol)
                    selected[unit.name == chosen] { (unit.words) }
            }
        }
    }
}

fn size(field: &Field, form: &Form, input: &Input<'_>) -> Markup {
    let described = Some(input.described).filter(|d| !d.is_empty());
    html! {
        select.size id=(input.name) name=(input.name) aria-describedby=[described]
            aria-invalid=[input.wrong.then_some("true")]
            aria-required=[input.needed.then_some("true")] {
            option value="" { (w::OTHER_SIZE) }
            @for size in measure::SIZES {
                option value=(size.name) data-width=(size.width_cm) data-height=(size.height_cm)
                    selected[size.name == input.typed] { (plain(&f(size.words))) }
            }
        }
        div.row {
            @for (side, words) in [("width", w::WIDTH_CM), ("height", w::HEIGHT_CM)] {
                @let name = field.of(side);
                span {
                    label for=(name) { (words) }
                    input type="text" inputmode="decimal" id=(name) name=(name) value=(form.get(&name))
                        autocomplete="off";
                }
            }
        }
    }
}

/// One question by itself, of a form that only asks.
pub(super) fn field_alone(field: &Field, form: &Form) -> Markup {
    control(field, form, &[])
}

/// Questions of a form that only asks, with what is wrong with the answers.
pub(super) fn questions(fields: &[Field], form: &Form, troubles: &[Trouble]) -> Markup {
    html! {
        (summary(fields, troubles))
        (grouped(fields, form, troubles))
    }
}

fn grouped(fields: &[Field], form: &Form, troubles: &[Trouble]) -> Markup {
    html! {
        @for part in fields.chunk_by(|a, b| a.group == b.group) {
            @match part {
                [first, ..] if !first.group.is_empty() => fieldset.group
                    data-more=[first.live.more()] data-total=[first.live.total().map(|_| w::TOGETHER)]
                    data-unit=[first.live.total()] {
                    legend { (t(&first.group)) }
                    @for field in part { (control(field, form, troubles)) }
                },
                _ => @for field in part { (control(field, form, troubles)) },
            }
        }
    }
}

/// A form that asks and changes nothing: its answer has an address.
pub(super) fn form_to_ask(action: &str, send: &str, fields: Markup) -> Markup {
    html! {
        form method="get" action=(action) {
            (fields)
            p { button type="submit" { (send) } }
        }
    }
}
