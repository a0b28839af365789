//! The pages in a browser, driven over WebDriver (W3C Recommendation 5 June 2018). `.ci/browser` brings
//! what they need, and names the script of axe-core in `SPENT_SILVER_TEST_AXE`.

use fantoccini::elements::Element;
use fantoccini::{Client, ClientBuilder, Locator};
use hyper_util::client::legacy::connect::HttpConnector;
use serde_json::{Value, json};
use spent_silver_tests::{App, spawn_app};
use std::collections::{BTreeSet, VecDeque};
use std::io::{BufRead as _, BufReader};
use std::process::{Child, Command, Stdio};
use std::time::{Duration, Instant};
use tokio::runtime::{Builder, Runtime};

const TAB: &str = "\u{e004}";
const ENTER: &str = "\u{e007}";

/// A browser at a service's pages.
struct Chrome {
    runtime: Runtime,
    client: Option<Client>,
    driver: Child,
    home: String,
    folder: tempfile::TempDir,
    /// What a person did: clicks, choices and answers typed.
    clicks: u32,
    answers: u32,
}

/// How the browser is set.
#[derive(Clone, Copy)]
struct Set {
    width: u32,
    dark: bool,
    script: bool,
}

const WIDE: Set = Set {
    width: 1280,
    dark: false,
    script: true,
};

impl Chrome {
    fn at(app: &App, set: Set) -> Self {
        let mut driver = Command::new("chromedriver")
            .arg("--port=0")
            .stdout(Stdio::piped())
            .stderr(Stdio::null())
            .spawn()
            .expect("chromedriver, which `.ci/browser` brings");
        let lines = BufReader::new(driver.stdout.take().unwrap()).lines();
        // It says which port it took.
        let port = lines
            .map_while(Result::ok)
            .find_map(|line| {
                let (_, port) = line.split_once("started successfully on port ")?;
                port.trim_end_matches('.').parse::<u16>().ok()
            })
            .expect("a port");
        let folder = tempfile::tempdir().unwrap();
        let mut args = vec![
            "--headless=new".to_owned(),
            "--no-sandbox".to_owned(),
            "--disable-gpu".to_owned(),
            "--disable-dev-shm-usage".to_owned(),
            "--disable-background-networking".to_owned(),
            "--disable-component-update".to_owned(),
            "--disable-sync".to_owned(),
            "--no-first-run".to_owned(),
            format!("--user-data-dir={}", folder.path().display()),
            format!("--window-size={},900", set.width.max(500)),
        ];
        if set.dark {
            args.push("--blink-settings=preferredColorScheme=0".to_owned());
        }
        let mut options = json!({"args": args});
        if set.width < 500 {
            // A window is never narrower than that; a telephone is.
            options["mobileEmulation"] =
                json!({"deviceMetrics": {"width": set.width, "height": 640, "pixelRatio": 1.0}});
        }
        if !set.script {
            options["prefs"] = json!({"profile.managed_default_content_settings.javascript": 2});
        }
        let capabilities = json!({"browserName": "chrome", "goog:chromeOptions": options});
        let Value::Object(capabilities) = capabilities else {
            unreachable!()
        };
        let runtime = Builder::new_current_thread().enable_all().build().unwrap();
        let client = runtime
            .block_on(
                ClientBuilder::new(HttpConnector::new())
                    .capabilities(capabilities)
                    .connect(&format!("http://127.0.0.1:{port}")),
            )
            .unwrap();
        Self {
            runtime,
            client: Some(client),
            driver,
            home: format!("http://{}", app.address),
            folder,
            clicks: 0,
            answers: 0,
        }
    }

    fn client(&self) -> &Client {
        self.client.as_ref().unwrap()
    }

    fn open(&self, path: &str) {
        let place = format!("{}{path}", self.home);
        self.runtime.block_on(self.client().goto(&place)).unwrap();
    }

    /// The path of the page that is shown.
    fn path(&self) -> String {
        // Between two pages there is none.
        let url = self.runtime.block_on(self.client().current_url());
        url.map_or_else(|_| String::new(), |url| url.path().to_owned())
    }

    fn source(&self) -> String {
        let source = self.runtime.block_on(self.client().source());
        source.unwrap_or_default()
    }

    fn find(&self, locator: Locator<'_>) -> Element {
        let found = self.runtime.block_on(self.client().find(locator));
        found.unwrap_or_else(|e| panic!("{locator:?} on {}: {e}\n{}", self.path(), self.source()))
    }

    fn click(&mut self, locator: Locator<'_>) {
        self.clicks += 1;
        let element = self.find(locator);
        self.runtime.block_on(element.click()).unwrap();
    }

    /// Follows the link that reads so.
    fn follow(&mut self, words: &str) {
        self.click(Locator::LinkText(words));
    }

    /// Sends the form of the page's main part, and waits until another page is there.
    fn submit(&mut self) {
        let once = self.find(Locator::Css("main form[method=post] input[name=once]"));
        let once = self.runtime.block_on(once.attr("value")).unwrap().unwrap();
        let own = format!("input[name=once][value='{once}']");
        self.click(Locator::Css("main form[method=post] button[type=submit]"));
        self.until("another page", |chrome| {
            let still = chrome.client().find(Locator::Css(&own));
            chrome.runtime.block_on(still).is_err()
        });
    }

    /// Waits until it is so: a busy machine takes its time.
    fn until(&self, what: &str, so: impl Fn(&Self) -> bool) {
        let began = Instant::now();
        while !so(self) {
            assert!(
                began.elapsed() < Duration::from_secs(30),
                "not {what}: {}",
                self.source()
            );
            std::thread::sleep(Duration::from_millis(50));
        }
    }

    fn tick(&mut self, name: &str, value: &str) {
        let css = format!("input[name={name}][value={value}]");
        self.click(Locator::Css(&css));
    }

    fn answer(&mut self, id: &str, text: &str) {
        self.answers += 1;
        let field = self.find(Locator::Id(id));
        self.runtime.block_on(field.send_keys(text)).unwrap();
    }

    fn choose(&mut self, id: &str, value: &str) {
        self.clicks += 1;
        let field = self.find(Locator::Id(id));
        self.runtime.block_on(field.select_by_value(value)).unwrap();
    }

    fn press(&self, keys: &str) {
        let focused = self.runtime.block_on(self.client().active_element());
        self.runtime
            .block_on(focused.unwrap().send_keys(keys))
            .unwrap();
    }

    fn run(&self, script: &str) -> Value {
        let done = self
            .runtime
            .block_on(self.client().execute(script, Vec::new()));
        done.unwrap_or_else(|e| panic!("{}: {e}", self.path()))
    }

    /// What axe-core finds wrong with the page, and how many of its rules it tried.
    fn violations(&self, axe: &str) -> (Vec<String>, u64) {
        self.run(axe);
        let script = "const done = arguments[arguments.length - 1]; \
            axe.run(document, {resultTypes: ['violations']}).then(r => done({tried: r.passes.length, wrong: \
            r.violations.map(v => v.id + ': ' + v.nodes.map(n => n.html + ' ' + n.failureSummary).join(' | '))}), \
            e => done({wrong: [String(e)], tried: 0}));";
        let found = self
            .runtime
            .block_on(self.client().execute_async(script, Vec::new()))
            .unwrap();
        let wrong: Vec<String> = serde_json::from_value(found["wrong"].clone()).unwrap();
        (wrong, found["tried"].as_u64().unwrap())
    }
}

impl Drop for Chrome {
    fn drop(&mut self) {
        if let Some(client) = self.client.take() {
            let _ = self.runtime.block_on(client.close());
        }
        let _ = self.driver.kill();
        let _ = self.driver.wait();
        // The browser may still write there for a moment.
        for _ in 0..20 {
            if std::fs::remove_dir_all(self.folder.path()).is_ok() {
                break;
            }
            std::thread::sleep(Duration::from_millis(50));
        }
    }
}

/// From an empty book to a printed label and a waste record, without a script; says what it takes.
#[test]
#[ignore = "needs chromium and chromedriver"]
fn a_studio_is_entered_and_its_papers_are_printed_without_a_script() {
    let app = spawn_app();
    let mut chrome = Chrome::at(
        &app,
        Set {
            script: false,
            ..WIDE
        },
    );
    let began = Instant::now();
    chrome.open("/");
    chrome.answer("title", "An Invented Studio");
    chrome.answer("id", "an-invented-studio");
    chrome.tick("crafts", "film_and_paper");
    chrome.choose("premises", "home_business");
    chrome.choose("rule_set", "us-federal");
    chrome.answer("responsible", "R. Example");
    chrome.submit();
    chrome.until("the studio", |c| c.path() == "/studios/an-invented-studio");

    chrome.follow("Add a container");
    chrome.answer("id", "fixer-1");
    chrome.choose("kind", "fixer");
    chrome.answer("much", "1");
    chrome.choose("much_unit", "us_gal");
    chrome.choose("status", "spent");
    chrome.tick("contents", "sodium_thiosulfate");
    chrome.submit();
    chrome.until("its volume", |c| c.source().contains("3.785 L"));

    chrome.open("/studios/an-invented-studio/containers/fixer-1");
    chrome.follow("A test strip");
    chrome.answer("least", "3");
    chrome.answer("below", "5");
    chrome.choose("sampled", "stirred");
    chrome.submit();

    for (number, paper) in [(1, "container_label"), (2, "waste_record")] {
        chrome.open(&format!(
            "/studios/an-invented-studio/papers?paper={paper}&container=fixer-1"
        ));
        chrome.submit();
        chrome.open(&format!("/studios/an-invented-studio/papers/{number}.html"));
        let paper = chrome.source();
        assert!(paper.contains("fixer-1"), "{paper}");
        assert!(paper.contains(&format!("No. {number}")), "{paper}");
    }
    println!(
        "from an empty book to a label and a waste record: {} clicks and choices, {} answers typed, {:.1} s of a machine that types at once",
        chrome.clicks,
        chrome.answers,
        began.elapsed().as_secs_f64()
    );
}

/// What a script adds: the book's unit beside what is typed, areas, sums, rows as they are needed.
#[test]
#[ignore = "needs chromium and chromedriver"]
fn a_script_shows_what_is_typed_in_the_units_of_the_book() {
    let app = spawn_app();
    let studio = format!("/studios/{}", year(&app));
    let mut chrome = Chrome::at(&app, WIDE);
    let live = |chrome: &Chrome, field: &str| {
        let found = chrome.run(&format!(
            "return document.getElementById('{field}').closest('.field').querySelector('output').value"
        ));
        found.as_str().unwrap().to_owned()
    };
    chrome.open(&format!("{studio}/record/made-up"));
    assert_eq!(live(&chrome, "nitrate"), "");
    chrome.answer("nitrate", "40 ± 1");
    assert_eq!(live(&chrome, "nitrate"), "", "grams are the book's own");
    // NIST Handbook 44, appendix C: 64.79891 mg in 29.5735296 mL, or in 28.4130625 mL.
    chrome.choose("nitrate_unit", "gr_per_us_floz");
    assert_eq!(live(&chrome, "nitrate"), "= 87.64 g/L");
    chrome.choose("nitrate_unit", "gr_per_imp_floz");
    assert_eq!(live(&chrome, "nitrate"), "= 91.22 g/L");
    chrome.answer("after", "1 to 2");
    chrome.choose("after_unit", "us_gal");
    assert_eq!(live(&chrome, "after"), "", "a range is no figure");

    chrome.open(&format!("{studio}/record/plates"));
    chrome.answer("count", "12");
    chrome.choose("size", "whole");
    // 12 x 16.51 cm x 21.59 cm = 0.4277 m2.
    assert_eq!(live(&chrome, "size"), "= 0.428 m²");

    // The lines of a refiner's statement: 12.30, 4.50 and 20 are 36.80, by hand.
    chrome.open(&format!("{studio}/statements?shipment=ship-26-1"));
    let sum = "return document.querySelector('fieldset[data-total] output').value";
    chrome.run("document.querySelectorAll('details').forEach(d => d.open = true)");
    chrome.answer("charge_lot", "12.30");
    chrome.answer("charge_refining", "4,5");
    chrome.answer("charge_assay", "20");
    let said = chrome.run(sum);
    assert!(
        said.as_str().is_some_and(|s| s.contains(": 36.80")),
        "{said}"
    );
    chrome.answer("charge_assay", "a lot");
    assert_eq!(chrome.run(sum), "", "what is no figure is in no sum");

    chrome.open(&format!("{studio}/cost"));
    let rows = "return [...document.querySelectorAll('fieldset[data-more]')].filter(r => !r.hidden).length";
    let before = chrome.run(rows).as_u64().unwrap();
    chrome.run("document.querySelectorAll('details').forEach(d => d.open = true)");
    chrome.click(Locator::XPath("//button[text()='One more bath']"));
    assert_eq!(chrome.run(rows).as_u64().unwrap(), before + 1);
}

/// A keyboard is enough: every stop shows that it has the focus, and a form is filled in and sent.
#[test]
#[ignore = "needs chromium and chromedriver"]
fn a_keyboard_alone_begins_a_studio() {
    let app = spawn_app();
    let chrome = Chrome::at(&app, WIDE);
    chrome.open("/");
    let mut stops = Vec::new();
    for _ in 0..60 {
        chrome.press(TAB);
        let stop = chrome.run(
            "const e = document.activeElement, s = getComputedStyle(e); \
             return [e.tagName, e.id || e.className || e.getAttribute('href') || e.type, \
             s.outlineStyle !== 'none' && parseFloat(s.outlineWidth) >= 2];",
        );
        let id = stop[1].as_str().unwrap_or_default().to_owned();
        if stop[0] == "BODY" {
            break;
        }
        assert_eq!(stop[2], true, "{stop} does not show that it has the focus");
        stops.push(id.clone());
        match id.as_str() {
            "title" => chrome.press("Keys Only"),
            "id" => chrome.press("keys-only"),
            "responsible" => chrome.press("R. Example"),
            _ => {}
        }
        if stop[0] == "BUTTON" {
            chrome.press(ENTER);
            break;
        }
    }
    // The first stop leads past what repeats on every page.
    assert_eq!(stops.first().map(String::as_str), Some("skip"), "{stops:?}");
    chrome.until("the studio", |c| c.path() == "/studios/keys-only");
}

/// A page from elsewhere cannot write in the book: what its form sends is refused, and says why.
#[test]
#[ignore = "needs chromium and chromedriver"]
fn a_form_of_another_place_is_refused() {
    let app = spawn_app();
    let mut chrome = Chrome::at(&app, WIDE);
    // A visit before, so that there is a cookie to be misused.
    chrome.open("/");
    let page = format!(
        "data:text/html,<form method=post action='{}/'><input name=title value=Theirs><input name=id value=theirs><button>Win a prize</button></form>",
        chrome.home
    );
    chrome
        .runtime
        .block_on(chrome.client().goto(&page))
        .unwrap();
    chrome.click(Locator::Css("button"));
    let told = chrome.client().wait().for_element(Locator::Css(".problem"));
    chrome.runtime.block_on(told).unwrap();
    assert!(chrome.source().contains("sent from another page"));
    assert_eq!(app.get("/v1/studios").json()["items"], json!([]));
}

/// The demo's year, recorded over HTTP.
fn year(app: &App) -> String {
    let mut studio = String::new();
    let text = include_str!("../../demo/year.jsonl");
    for (i, line) in text.lines().enumerate() {
        let line: Value = serde_json::from_str(line).unwrap();
        let (path, body) = if let Some(record) = line.pointer("/studio/record") {
            studio = record["id"].as_str().unwrap().to_owned();
            ("/v1/studios".to_owned(), record)
        } else if let Some(entry) = line.pointer("/entry/entry") {
            (format!("/v1/studios/{studio}/entries"), entry)
        } else {
            continue;
        };
        let key = i.to_string();
        let headers = [
            ("content-type", "application/json"),
            ("idempotency-key", key.as_str()),
        ];
        let reply = app.request("POST", &path, &headers, body.to_string().as_bytes());
        assert_eq!(reply.status, 201, "{}", reply.text());
    }
    studio
}

/// Every page that links lead to from the first one, each kind of address once: a container's page
/// stands for those of its kind of liquid, a sheet of one container for that sheet.
fn every_page(chrome: &Chrome, mut look: impl FnMut(&str)) -> usize {
    let mut seen = BTreeSet::new();
    let mut waiting = VecDeque::from(["/".to_owned()]);
    let mut count = 0;
    while let Some(path) = waiting.pop_front() {
        let (place, query) = path.split_once('?').unwrap_or((&path, ""));
        let names: Vec<&str> = query
            .split('&')
            .filter_map(|q| q.split('=').next())
            .collect();
        if !seen.insert(format!("{place}?{}", names.join("&"))) {
            continue;
        }
        chrome.open(&path);
        count += 1;
        look(&path);
        let links = chrome.run(
            "return [...document.querySelectorAll('a[href]')].map(a => a.getAttribute('href'))",
        );
        for link in links.as_array().unwrap().iter().filter_map(Value::as_str) {
            let page = link.starts_with("/studios") && !link.contains("/papers/");
            if page && !link.contains('#') {
                waiting.push_back(link.to_owned());
            }
        }
    }
    count
}

fn look_at_every_page(set: Set) {
    let path = std::env::var("SPENT_SILVER_TEST_AXE").expect("the script of axe-core");
    let axe = std::fs::read_to_string(path).unwrap();
    let app = spawn_app();
    let studio = year(&app);
    let chrome = Chrome::at(&app, set);
    let (mut wrong, mut tried) = (Vec::new(), 0);
    let count = every_page(&chrome, |path| {
        let (found, rules) = chrome.violations(&axe);
        tried += rules;
        wrong.extend(found.into_iter().map(|v| format!("{path}: {v}")));
        let told = chrome.run(
            "const r = performance.getEntriesByType('resource').filter(e => !e.name.endsWith('/favicon.ico')), n = performance.getEntriesByType('navigation')[0]; \
             return [document.documentElement.scrollWidth, r.length, \
             n.encodedBodySize + r.reduce((s, e) => s + e.encodedBodySize, 0)];",
        );
        let [wide, requests, bytes] = [0, 1, 2].map(|i| told[i].as_u64().unwrap());
        if wide > u64::from(set.width) {
            wrong.push(format!(
                "{path}: {wide} px wide, on a screen of {}",
                set.width
            ));
        }
        if requests > 2 || bytes > 60_000 {
            wrong.push(format!(
                "{path}: {requests} requests besides its own, {bytes} bytes"
            ));
        }
    });
    // What a wrong form and a page that is not there look like.
    for path in [
        format!("/studios/{studio}/containers/no-such"),
        "/studios/no-such".to_owned(),
    ] {
        chrome.open(&path);
        wrong.extend(
            chrome
                .violations(&axe)
                .0
                .into_iter()
                .map(|v| format!("{path}: {v}")),
        );
    }
    chrome.open(&format!("/studios/{studio}/record/water"));
    let send = chrome.find(Locator::Css("main form[method=post] button[type=submit]"));
    chrome.runtime.block_on(send.click()).unwrap();
    // A telephone waits a moment after a touch.
    let marked = chrome
        .client()
        .wait()
        .for_element(Locator::Css("[aria-invalid]"));
    chrome.runtime.block_on(marked).unwrap();
    wrong.extend(
        chrome
            .violations(&axe)
            .0
            .into_iter()
            .map(|v| format!("a wrong form: {v}")),
    );
    assert_eq!(wrong, Vec::<String>::new(), "{} things", wrong.len());
    assert!(count > 40 && tried > 400, "{count} pages, {tried} rules");
    println!(
        "{} px, dark {}: {count} pages, {tried} rules kept, no violation",
        set.width, set.dark
    );
}

#[test]
#[ignore = "needs chromium, chromedriver and axe-core"]
fn every_page_can_be_read_by_everybody_on_a_telephone() {
    look_at_every_page(Set { width: 320, ..WIDE });
}

#[test]
#[ignore = "needs chromium, chromedriver and axe-core"]
fn every_page_can_be_read_by_everybody_on_a_wide_dark_screen() {
    look_at_every_page(Set { dark: true, ..WIDE });
}
