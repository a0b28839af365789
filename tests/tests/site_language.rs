//! Pages in the language of a browser: figures and days as it writes them, the words in English.

use crate::site_money::{TERMS, keep, with_ten_ounces};
use crate::visitor::{APP, Browser, attribute, fresh, studio, tags};
use serde_json::Value;

/// The text of a page, without its tags, its style, and what stands in fields.
fn text(page: &str) -> String {
    let body = page.split_once("<body>").unwrap().1;
    let mut out = String::new();
    for part in body.split('<') {
        out.push_str(part.split_once('>').map_or(part, |(_, text)| text));
        out.push(' ');
    }
    out
}

/// Days written by number in a text; those within a longer name are not meant.
fn by_number(text: &str) -> Vec<&str> {
    let word = |c: char| c.is_alphanumeric() || c == '-';
    text.split(|c| !word(c))
        .filter(|w| w.len() == 10 && w.chars().filter(|c| *c == '-').count() == 2)
        .filter(|w| w.chars().all(|c| c.is_ascii_digit() || c == '-'))
        .collect()
}

/// Figures with a decimal mark, that stand in the tables and under the heads of a page.
fn set_figures(page: &str) -> Vec<String> {
    let cells = ["<td class=\"figure\">", "<p class=\"silver\">"];
    cells
        .iter()
        .flat_map(|cell| page.split(cell).skip(1))
        .map(|rest| {
            text(&format!(
                "<body>{}",
                rest.split("</td>")
                    .next()
                    .unwrap()
                    .split("</p>")
                    .next()
                    .unwrap()
            ))
        })
        .collect()
}

fn record(browser: &Browser<'_>, path: &str) -> Value {
    let reply = browser.app.request("GET", path, &[], b"");
    assert_eq!(reply.status, 200, "{path}: {}", reply.text());
    reply.json()
}

#[test]
fn every_page_speaks_the_language_it_is_asked_in() {
    let mut english = Browser::new(&APP);
    let studio = with_ten_ounces(&mut english);
    let kept = keep(&mut english, &format!("{studio}/terms"), TERMS);
    assert_eq!(kept.status, 303, "{}", kept.text());
    // Unicode CLDR 48: the pattern yMMMd, the abbreviated months, the decimal mark of latn.
    for (language, day, comma) in [
        ("", "1 Mar 2026", false),
        ("en-GB,en;q=0.9", "1 Mar 2026", false),
        ("en-US,en;q=0.9", "Mar 1, 2026", false),
        ("de-DE,de;q=0.9,en;q=0.8", "1. März 2026", true),
        ("fr", "1 mars 2026", true),
        ("ja", "2026年3月1日", false),
        ("de-CH", "1. März 2026", false),
        ("tlh, x;y=z, *;q=0.1", "1 Mar 2026", false),
    ] {
        let mut browser = Browser::speaking(&APP, language);
        for path in [
            "",
            "/containers/fixer-1",
            "/due",
            "/worth",
            "/worth?lot=spent-fixer",
            "/account",
            "/cost",
            "/terms",
            "/record/discharged?container=fixer-1",
            "/record/wrong",
            "/papers",
        ] {
            let path = format!("{studio}{path}");
            let page = browser.page(&path);
            let said = text(&page);
            assert_eq!(by_number(&said), Vec::<&str>::new(), "{language} {path}");
            for figure in set_figures(&page) {
                let other = if comma { '.' } else { ',' };
                let wrong = figure.split(other).collect::<Vec<_>>();
                let between = |pair: &[&str]| {
                    pair[0].ends_with(|c: char| c.is_ascii_digit())
                        && pair[1].starts_with(|c: char| c.is_ascii_digit())
                };
                assert!(
                    !wrong.windows(2).any(between),
                    "{language} {path}: {figure}"
                );
            }
            let reply = browser.get(&path);
            assert_eq!(reply.header("vary"), "accept-language", "{path}");
        }
        let page = browser.page(&format!("{studio}/containers/fixer-1"));
        assert!(page.contains("<time datetime=\"2026-03-01\""), "{language}");
        assert!(
            text(&page).contains(&format!("since  {day} ")),
            "{language}: {}",
            text(&page)
        );
        // 82.1756 g/L in 3.785 L are 311 g; the volume is as it was measured.
        let litres = if comma { "3,785 L" } else { "3.785 L" };
        assert!(page.contains(litres), "{language}: {page}");
        // By hand in `site_money`: 166.10 is left.
        let net = if comma { "166,10" } else { "166.10" };
        let lot = browser.page(&format!("{studio}/worth?lot=spent-fixer"));
        assert!(lot.contains(&format!("<b>{net}</b>")), "{language}: {lot}");
        assert!(
            lot.contains(&format!("nets USD {net}.")) || !lot.contains("nets USD"),
            "{language}: {lot}"
        );
    }
}

#[test]
fn a_clause_keeps_its_point_and_a_picture_gets_a_comma() {
    let mut browser = Browser::speaking(&APP, "de");
    let name = fresh("us");
    let made = browser.send(
        "/",
        &[
            ("title", "An Invented Studio"),
            ("id", &name),
            ("premises", "business"),
            ("rule_set", "us-federal"),
        ],
    );
    assert_eq!(made.status, 303, "{}", made.text());
    let studio = format!("/studios/{name}");
    crate::visitor::fixer(&mut browser, &studio, "fixer-1");
    let due = browser.page(&format!("{studio}/due"));
    // A small quantity generator keeps waste for 180 days (40 CFR 262.16(b)), counted from 1 March 2026.
    assert!(text(&due).contains("262.16"), "{due}");
    assert!(!due.contains("262,16"), "{due}");
    assert!(
        due.contains(
            "<td class=\"day\"><time datetime=\"2026-08-28\" lang=\"de\">28. Aug. 2026</time></td>"
        ),
        "{due}"
    );
    assert!(due.contains(", perhaps by 28. Aug. 2026</text>"), "{due}");

    let studio = with_ten_ounces(&mut browser);
    assert_eq!(
        keep(&mut browser, &format!("{studio}/terms"), TERMS).status,
        303
    );
    let lot = browser.page(&format!("{studio}/worth?lot=spent-fixer"));
    let figures = lot.split("<figure>").nth(1).expect("a picture");
    let picture = figures.split("</svg>").next().unwrap();
    let table = figures.split("<table").nth(1).unwrap();
    // A tick is the whole text of its element; one by powers of ten begins below one.
    let ticks: Vec<&str> = picture
        .split("</text>")
        .filter_map(|t| t.rsplit('>').next())
        .map(str::trim)
        .filter(|t| t.starts_with(|c: char| c.is_ascii_digit()))
        .collect();
    assert!(!ticks.is_empty(), "{picture}");
    assert!(ticks.iter().all(|t| !t.contains('.')), "{ticks:?}");
    assert!(table.contains(','), "{table}");
}

#[test]
fn a_comma_is_taken_where_the_language_has_one_and_refused_where_it_has_none() {
    let mut browser = Browser::speaking(&APP, "de-AT");
    let studio = studio(&mut browser);
    let sheet = format!("{studio}/record/container");
    let jug = |id: &'static str, much: &'static str| {
        [
            ("id", id),
            ("kind", "fixer"),
            ("much", much),
            ("much_unit", "l"),
            ("craft", "film_and_paper"),
            ("contents", "sodium_thiosulfate"),
            ("on", "2026-03-01"),
            ("by", "R. Example"),
        ]
    };
    // The digits stay as they were typed, with a comma as with a point.
    for (id, much, volume) in [
        (
            "jug-1",
            "1,50 ± 0,05",
            serde_json::json!({"value": "1.5", "plus_minus": "0.05"}),
        ),
        ("jug-2", "2.5", Value::from("2.5")),
        ("jug-3", "0,1234567891", Value::from("0.1234567891")),
    ] {
        browser.write(&sheet, &jug(id, much));
        let entries = record(&browser, &format!("/v1{studio}/entries"));
        let all = entries["items"].as_array().unwrap();
        let of = |e: &&Value| e["entry"]["event"]["opened"]["batch"]["id"] == id;
        let entry = all.iter().find(of).unwrap_or_else(|| panic!("{entries}"));
        assert_eq!(
            entry["entry"]["event"]["opened"]["batch"]["volume_l"],
            volume
        );
    }
    // What groups thousands is no figure, in either language; what was typed stands in its field.
    for (language, much) in [
        ("de-AT", "1.000,5"),
        ("de-AT", "1,000,5"),
        ("en-US", "1,5"),
        ("", "1,5"),
    ] {
        browser.language = language;
        let reply = browser.send(&sheet, &jug("jug-9", much));
        assert_eq!(reply.status, 422, "{language} {much}: {}", reply.text());
        let page = reply.text();
        let fields = tags(&page, "input");
        let field = fields
            .iter()
            .find(|t| attribute(t, "id") == Some("much"))
            .unwrap();
        assert_eq!(attribute(field, "value"), Some(much), "{page}");
        let words = match language {
            "de-AT" => "with one comma or point before its decimals",
            _ => "with a point and no comma before its decimals",
        };
        assert!(page.contains(words), "{language}: {page}");
    }
    // The record's own figures come back with a comma, and go in again as they were.
    browser.language = "de-AT";
    let german: Vec<(&str, String)> = TERMS
        .iter()
        .map(|(name, value)| {
            (
                *name,
                if *name == "as_of" {
                    (*value).to_owned()
                } else {
                    value.replace('.', ",")
                },
            )
        })
        .collect();
    let german: Vec<(&str, &str)> = german.iter().map(|(n, v)| (*n, v.as_str())).collect();
    let terms = format!("{studio}/terms");
    assert_eq!(keep(&mut browser, &terms, &german).status, 303);
    let held = record(&browser, &format!("/v1{studio}"));
    assert_eq!(
        held["dealings"]["terms"]["payment"]["refining_per_troy_ounce"], "0.6",
        "{held}"
    );
    assert_eq!(
        held["dealings"]["terms"]["payment"]["freight"], "18.5",
        "{held}"
    );
    let page = browser.page(&terms);
    let fields = tags(&page, "input");
    let field = fields
        .iter()
        .find(|t| attribute(t, "id") == Some("freight"))
        .unwrap();
    assert_eq!(attribute(field, "value"), Some("18,5"), "{page}");
}

/// A paper is a record: it is the same in every language.
#[test]
fn a_paper_stays_as_it_was_drawn_up() {
    let mut browser = Browser::new(&APP);
    let studio = with_ten_ounces(&mut browser);
    browser.write(
        &format!("{studio}/papers?paper=waste_record"),
        &[
            ("paper", "waste_record"),
            ("containers", "fixer-1"),
            ("on", "2026-03-03"),
            ("size", "a4"),
        ],
    );
    let paper = format!("{studio}/papers/1.html");
    let plain = browser.get(&paper).text();
    assert!(plain.contains("<time>2026-03-03</time>"), "{plain}");
    browser.language = "de";
    assert_eq!(browser.get(&paper).text(), plain);
}
