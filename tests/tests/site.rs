//! The pages, as a browser without a script uses them: look, fill a form in, send it.

use crate::visitor::{APP, Browser, attribute, checked, fixer, fresh, hidden, studio, tags};
use spent_silver::config::Secret;
use spent_silver_tests::{Reply, spawn_app, spawn_app_with};

#[test]
fn from_an_empty_book_to_a_printed_label_and_a_waste_record() {
    // A book of its own: the first page is the welcome only while the book is empty.
    let app = spawn_app();
    let mut browser = Browser::new(&app);
    let welcome = browser.page("/");
    assert!(welcome.contains("Begin a studio"), "{welcome}");
    assert!(welcome.contains("href=\"/docs\""));
    let studio = studio(&mut browser);
    assert!(browser.page(&studio).contains("The book is empty"));

    let done = fixer(&mut browser, &studio, "fixer-1");
    // One US gallon is 3.785411784 L (NIST Handbook 44, appendix C), and both are shown.
    assert!(done.contains("1 US gallons (3.785 L)"), "{done}");
    let page = browser.page(&format!("{studio}/containers/fixer-1"));
    assert!(page.contains("not known: measure it"), "{page}");
    assert!(
        page.contains("As written down: How much is in it: 1 US gallons"),
        "{page}"
    );

    let strip = [
        ("container", "fixer-1"),
        ("least", "3"),
        ("below", "5"),
        ("sampled", "stirred"),
        ("on", "2026-03-02"),
        ("by", "R. Example"),
    ];
    browser.write(&format!("{studio}/record/strip"), &strip);
    // Between 3 and 5 g/L in 3.785 L: 4 x 3.785 = 15.1 g is the middle, 11.4 and 18.9 g the ends.
    let page = browser.page(&format!("{studio}/containers/fixer-1"));
    assert!(page.contains("<p class=\"silver\">15."), "{page}");
    assert!(page.contains("test strip"), "{page}");
    assert!(browser.page(&studio).contains("<p class=\"silver\">15."));

    for (paper, words) in [("container_label", "fixer-1"), ("waste_record", "aste")] {
        let done = browser.write(
            &format!("{studio}/papers?paper={paper}"),
            &[
                ("paper", paper),
                ("containers", "fixer-1"),
                ("on", "2026-03-03"),
                ("size", "a4"),
            ],
        );
        assert!(done.contains(words), "{done}");
    }
    let label = browser.get(&format!("{studio}/papers/1.html"));
    assert_eq!(label.status, 200);
    assert!(
        label.text().contains("fixer-1") && label.text().contains("No. 1"),
        "{}",
        label.text()
    );
    let record = browser.get(&format!("{studio}/papers/2.txt"));
    assert!(record.text().contains("fixer-1"), "{}", record.text());
    assert_eq!(browser.get(&format!("{studio}/papers/3.html")).status, 404);
    assert_eq!(browser.get(&format!("{studio}/papers/1.exe")).status, 404);
    assert!(
        browser
            .get(&format!("{studio}/papers/1.pdf"))
            .body
            .starts_with(b"%PDF")
    );

    let account = browser.page(&format!(
        "{studio}/account?from=2026-01-01&until=2026-12-31"
    ));
    assert!(account.contains("In containers at the end"), "{account}");
    assert!(account.contains("<svg"), "{account}");
    for path in [
        "/record",
        "/pour",
        "/papers",
        "/record?container=fixer-1",
        "/papers?container=fixer-1",
        "/papers?paper=worksheet&container=fixer-1",
        "/about",
    ] {
        browser.page(&format!("{studio}{path}"));
    }
    let due = browser.page(&format!("{studio}/due"));
    assert!(
        due.contains(&format!("{studio}/containers/fixer-1")),
        "{due}"
    );
    // Thiocyanate needs acid, which never goes into fixer: there the sheet is a refusal, for a bath it
    // is the steps.
    let refused = browser.page(&format!("{studio}/record/titration?container=fixer-1"));
    assert!(refused.contains("No plan is given"), "{refused}");
    assert!(!refused.contains("name=\"titre\""), "{refused}");
    let bath = [
        ("id", "bath-1"),
        ("kind", "sensitizing_bath"),
        ("much", "1"),
        ("much_unit", "l"),
        ("contents", "silver_nitrate"),
        ("on", "2026-03-01"),
        ("by", "R. Example"),
    ];
    browser.write(&format!("{studio}/record/container"), &bath);
    let titration = browser.page(&format!("{studio}/record/titration?container=bath-1"));
    assert!(
        titration.contains("thiocyanate from the burette"),
        "{titration}"
    );
    // 5 mL filled up to 100 mL, 25 mL of it against 0.1 mol/L, 7.50 mL: 7.50 x 0.1 / 1000 x 107.8682 g
    // of silver in 1.25 mL of bath (IUPAC 2021: 107.8682), so 64.7 g in a litre.
    let titre = [
        ("container", "bath-1"),
        ("sample", "5"),
        ("diluted", "100"),
        ("aliquot", "25"),
        ("strength", "0.1"),
        ("titre", "7.50 ± 0.05"),
        ("on", "2026-03-02"),
        ("by", "R. Example"),
    ];
    browser.write(&format!("{studio}/record/titration"), &titre);
    let page = browser.page(&format!("{studio}/containers/bath-1"));
    assert!(
        page.contains("<p class=\"silver\">64.") || page.contains("<p class=\"silver\">65"),
        "{page}"
    );
}

/// A stop bath whose acid is told gets its dose of soda; a jug with cyanide is offered no work.
#[test]
fn what_is_told_of_a_content_decides_what_is_offered() {
    let mut browser = Browser::new(&APP);
    let studio = studio(&mut browser);
    let sheet = format!("{studio}/record/container");
    let mut stop = vec![
        ("id", "stop-1"),
        ("kind", "stop_bath"),
        ("much", "2"),
        ("much_unit", "l"),
        ("status", "spent"),
        ("waste_since", "2026-03-01"),
        ("craft", "film_and_paper"),
        ("on", "2026-03-01"),
        ("by", "R. Example"),
    ];
    let page = format!("{studio}/containers/stop-1");
    browser.write(&sheet, &{
        let mut all = stop.clone();
        // 1.5 g in 100 mL: 15 g/L.
        all.extend([("vinegar", "1.5"), ("vinegar_unit", "g_per_100_ml")]);
        all
    });
    // 30 g of acetic acid are 0.50 mol (60.052 g/mol) and take 42 g of bicarbonate (84.007 g/mol). pH 6.5
    // under carbonic acid at saturation (0.034 mol/L, pK 6.35, or 6.1 at this ionic strength) asks for 0.05
    // to 0.09 mol/L more of it: 8 to 15 g in 2 L.
    let plan = browser.page(&page);
    let dose = plan
        .split("About <b>")
        .nth(1)
        .unwrap_or_else(|| panic!("{plan}"));
    let grams: f64 = dose.split(' ').next().unwrap().parse().unwrap();
    assert!((50.0..=57.0).contains(&grams), "{grams}");
    // Nobody closes a studio by a slip of the pen: a day to come is refused where it is written.
    stop[0] = ("id", "stop-2");
    stop[5] = ("waste_since", "2062-03-01");
    let reply = browser.send(&sheet, &stop);
    assert_eq!(reply.status, 422);
    assert!(reply.text().contains("id=\"waste_since_wrong\""));

    let cyanide = [
        ("id", "kcn-1"),
        ("kind", "cyanide_fixer"),
        ("much", "1"),
        ("much_unit", "l"),
        ("ph", "11.5"),
        ("on", "2026-03-01"),
        ("by", "R. Example"),
    ];
    browser.write(&sheet, &cyanide);
    let page = browser.page(&format!("{studio}/containers/kcn-1"));
    for sheet in ["strip", "titration", "water", "plates"] {
        assert!(
            !page.contains(&format!("/record/{sheet}?container")),
            "{sheet}"
        );
    }
    assert!(page.contains("/record/collected?container"));
    // What was done all the same is kept, and told for what it is.
    let water = [
        ("container", "kcn-1"),
        ("water", "1"),
        ("water_unit", "l"),
        ("on", "2026-03-02"),
        ("by", "R. Example"),
    ];
    let told = browser.write(&format!("{studio}/record/water"), &water);
    assert!(told.contains("ought not to be"), "{told}");
}

/// Sheets of the book, by their addresses.
fn sheets(browser: &mut Browser<'_>, studio: &str) -> Vec<String> {
    let page = browser.page(&format!("{studio}/record"));
    let mark = format!("href=\"{studio}/record/");
    page.match_indices(&mark)
        .map(|(at, _)| {
            page[at + mark.len()..]
                .split('"')
                .next()
                .unwrap()
                .to_owned()
        })
        .collect()
}

#[test]
fn every_form_says_beside_its_field_what_is_wrong_and_keeps_what_was_typed() {
    let mut browser = Browser::new(&APP);
    let studio = studio(&mut browser);
    fixer(&mut browser, &studio, "jug-1");
    let sheets = sheets(&mut browser, &studio);
    assert!(sheets.len() > 20, "{sheets:?}");
    for sheet in &sheets {
        let path = format!("{studio}/record/{sheet}");
        let reply = browser.send(
            &path,
            &[
                ("on", "soon"),
                ("by", "An <i> & \"who\""),
                ("container", "jug-1"),
            ],
        );
        assert_eq!(reply.status, 422, "{path}: {}", reply.text());
        let page = checked(&path, &reply);
        assert!(page.contains("This was not taken"), "{path}");
        assert!(
            page.contains("value=\"An &lt;i> &amp; &quot;who&quot;\"")
                || page.contains("An &lt;i&gt; &amp; &quot;who&quot;"),
            "{path}: what was typed is gone: {page}"
        );
        let wrong = page.matches("aria-invalid=\"true\"").count();
        let groups = page.matches("class=\"field wrong\"").count();
        assert!(wrong + groups >= 1, "{path}: no field is marked: {page}");
        assert!(page.contains("class=\"error\""), "{path}");
    }
    // A figure that is none, in a unit that is converted: the words are the reader's.
    let reply = browser.send(
        &format!("{studio}/record/water"),
        &[
            ("container", "jug-1"),
            ("water", "a lot"),
            ("water_unit", "us_gal"),
            ("on", "2026-03-02"),
            ("by", "R."),
        ],
    );
    assert_eq!(reply.status, 422);
    let page = reply.text();
    assert!(page.contains("id=\"water_wrong\""), "{page}");
    assert!(page.contains("value=\"a lot\""), "{page}");
    assert!(page.contains(" selected>US gallons"), "{page}");
    // A comma is answered in the words of the sink, not of a program.
    let comma = [
        ("container", "jug-1"),
        ("water", "1,5"),
        ("water_unit", "l"),
        ("on", "2026-03-02"),
        ("by", "R."),
    ];
    let reply = browser.send(&format!("{studio}/record/water"), &comma);
    assert_eq!(reply.status, 422);
    let page = reply.text();
    assert!(page.contains("a point and no comma"), "{page}");
    assert!(!page.contains("JSON number"), "{page}");
    // A unit that no form offers is refused, not taken for another.
    let firkins = [
        ("container", "jug-1"),
        ("water", "2"),
        ("water_unit", "firkin"),
        ("on", "2026-03-02"),
        ("by", "R."),
    ];
    let reply = browser.send(&format!("{studio}/record/water"), &firkins);
    assert_eq!(reply.status, 422);
    assert!(reply.text().contains("2 firkin (choose a unit)"));
    // The first page and the papers.
    let reply = browser.send(
        "/",
        &[
            ("title", "A studio"),
            ("id", "not a name"),
            ("time_zone", "Mars/Base"),
        ],
    );
    assert_eq!(reply.status, 422);
    assert!(
        checked("/", &reply).contains("id=\"id_wrong\""),
        "{}",
        reply.text()
    );
    let reply = browser.send(
        "/",
        &[
            ("title", "A studio"),
            ("id", &fresh("zone")),
            ("time_zone", "Mars/Base"),
        ],
    );
    assert!(
        checked("/", &reply).contains("id=\"time_zone_wrong\""),
        "{}",
        reply.text()
    );
    for pairs in [
        &[("paper", ""), ("on", "2026-03-03")][..],
        &[("paper", "container_label"), ("on", "2026-03-03")],
        &[
            ("paper", "worksheet"),
            ("containers", "jug-1"),
            ("on", "2026-03-03"),
        ],
        &[
            ("paper", "container_label"),
            ("containers", "jug-1"),
            ("on", "soon"),
        ],
    ] {
        let reply = browser.send(&format!("{studio}/papers?paper=worksheet"), pairs);
        assert_eq!(reply.status, 422, "{pairs:?}");
        let page = checked("papers", &reply);
        assert!(page.contains("field wrong"), "{pairs:?}: {page}");
    }
    let reply = browser.get(&format!(
        "{studio}/account?from=2026-02-01&until=2026-01-01"
    ));
    assert_eq!(reply.status, 422);
    checked("account", &reply);
}

#[test]
fn what_must_not_meet_is_refused_larger_than_anything_else() {
    let mut browser = Browser::new(&APP);
    let studio = studio(&mut browser);
    let path = format!("{studio}/record/container");
    for (name, kind, contents) in [
        ("cyanide", "cyanide_fixer", "potassium_cyanide"),
        ("stop", "stop_bath", "acetic_acid"),
    ] {
        browser.write(
            &path,
            &[
                ("id", name),
                ("kind", kind),
                ("contents", contents),
                ("much", "2"),
                ("much_unit", "l"),
                ("on", "2026-03-01"),
                ("by", "R. Example"),
            ],
        );
    }
    let page = browser.page(&format!("{studio}/pour?from=stop&into=cyanide"));
    assert!(page.contains("<h1>Stop. Do not pour.</h1>"), "{page}");
    assert!(page.contains("class=\"refusal\""), "{page}");
    assert!(page.contains("Never pour, drip or rinse"), "{page}");
    let poured = [
        ("container", "stop"),
        ("into", "cyanide"),
        ("part_unit", "all"),
        ("on", "2026-03-02"),
        ("by", "R. Example"),
    ];
    let reply = browser.send(&format!("{studio}/record/poured"), &poured);
    assert_eq!(reply.status, 422);
    let refused = checked("poured", &reply);
    assert!(refused.contains("<h1>Stop. Do not pour.</h1>"), "{refused}");
    assert!(
        !refused.contains("<button type=\"submit\">Write"),
        "nothing dangerous one click away"
    );
    // A bottle counts too.
    let page = browser.page(&format!("{studio}/pour?from=cyanide&bottle=nitric_acid"));
    assert!(page.contains("Stop. Do not pour."), "{page}");
    // The studio's page says what must stand apart, and no recovery is offered for cyanide.
    assert!(browser.page(&studio).contains("Keep apart"));
    let titration = browser.page(&format!("{studio}/record/titration?container=cyanide"));
    assert!(titration.contains("No plan is given"), "{titration}");
    assert!(
        !titration.contains("thiocyanate from the burette"),
        "{titration}"
    );
    // Silver with ammonia is a danger to keep: the first thing on its page and on the studio's.
    browser.write(
        &path,
        &[
            ("id", "ammonia"),
            ("kind", "ammoniacal_silver"),
            ("much", "0.5"),
            ("much_unit", "l"),
            ("on", "2026-03-01"),
            ("by", "R. Example"),
        ],
    );
    for path in [studio.clone(), format!("{studio}/containers/ammonia")] {
        let page = browser.page(&path);
        let danger = page
            .find("class=\"refusal\"")
            .unwrap_or_else(|| panic!("{path}: {page}"));
        assert!(page.contains("Keeping this is itself a danger"), "{path}");
        assert!(danger < page.find("class=\"big\"").unwrap(), "{path}");
    }
    let due = browser.page(&format!("{studio}/due"));
    let first = &due[due.find("<ol").unwrap()..];
    let first = &first[..first.find("</li>").unwrap()];
    assert!(first.contains("act today"), "{due}");
}

#[test]
fn the_same_form_sent_twice_is_written_down_once() {
    let mut browser = Browser::new(&APP);
    let studio = studio(&mut browser);
    fixer(&mut browser, &studio, "jug-1");
    let path = format!("{studio}/record/water");
    let page = browser.page(&path);
    let (proof, once) = (hidden(&page, "proof"), hidden(&page, "once"));
    let pairs = [
        ("proof", proof.as_str()),
        ("once", once.as_str()),
        ("container", "jug-1"),
        ("water", "1.0"),
        ("water_unit", "l"),
        ("on", "2026-03-02"),
        ("by", "R. Example"),
    ];
    assert_eq!(browser.post(&path, &pairs, &[]).status, 201);
    assert_eq!(browser.post(&path, &pairs, &[]).status, 201);
    let entries = browser.get(&format!("/v1{studio}/entries")).json();
    assert_eq!(entries["items"].as_array().unwrap().len(), 2, "{entries}");
    // A mistake is struck through by an entry of its own.
    let id = entries["items"][1]["entry"]["id"]
        .as_str()
        .unwrap()
        .to_owned();
    let done = browser.write(
        &format!("{studio}/record/wrong"),
        &[
            ("entry", &id),
            ("reason", "It was the other jug."),
            ("on", "2026-03-03"),
            ("by", "R. Example"),
        ],
    );
    assert!(done.contains("An entry was wrong"), "{done}");
}

#[test]
fn nothing_that_a_person_writes_becomes_markup() {
    let mut browser = Browser::new(&APP);
    let bad = "<script>alert(1)</script>";
    let name = fresh("odd");
    let reply = browser.send("/", &[("title", bad), ("id", &name), ("responsible", bad)]);
    assert_eq!(reply.status, 303);
    let studio = format!("/studios/{name}");
    fixer(&mut browser, &studio, "jug-1");
    browser.write(
        &format!("{studio}/record/spilled"),
        &[
            ("container", "jug-1"),
            ("part", "0.1"),
            ("part_unit", "l"),
            ("what", bad),
            ("on", "2026-03-02"),
            ("by", bad),
            ("note", bad),
        ],
    );
    browser.write(
        &format!("{studio}/papers?paper=container_label"),
        &[
            ("paper", "container_label"),
            ("containers", "jug-1"),
            ("on", "2026-03-03"),
        ],
    );
    for path in [
        "",
        "/containers/jug-1",
        "/record",
        "/record/wrong",
        "/papers",
        "/account",
        "/papers/1.html",
    ] {
        let page = browser.get(&format!("{studio}{path}")).text();
        assert!(!page.contains("<script>"), "{path}: {page}");
    }
    assert!(!browser.page("/").contains("<script>"));
    let reply = browser.get(&format!("{studio}/containers/%3Cscript%3E"));
    assert_eq!(reply.status, 404);
    assert!(!checked("404", &reply).contains("<script>"));
}

#[test]
fn a_form_of_another_page_or_without_its_proof_is_refused() {
    let mut browser = Browser::new(&APP);
    let page = browser.page("/");
    let (proof, once) = (hidden(&page, "proof"), hidden(&page, "once"));
    let name = fresh("never");
    let sent = [
        ("once", once.as_str()),
        ("title", "A studio"),
        ("id", name.as_str()),
    ];
    let with = |proof: &'static str| {
        let mut all = sent.to_vec();
        all.push(("proof", proof));
        all
    };
    let refused = |reply: Reply| {
        assert_eq!(reply.status, 403, "{}", reply.text());
        assert!(checked("refused", &reply).contains("This form was not taken"));
    };
    refused(browser.post("/", &sent, &[]));
    refused(browser.post("/", &with("0"), &[]));
    let mut all = sent.to_vec();
    all.push(("proof", &proof));
    for header in [
        ("origin", "http://elsewhere.example"),
        ("origin", "null"),
        ("sec-fetch-site", "cross-site"),
    ] {
        refused(browser.post("/", &all, &[header]));
    }
    // Another visitor's proof.
    let mut other = Browser::new(&APP);
    other.page("/");
    refused(other.post("/", &all, &[]));
    assert_eq!(browser.get(&format!("/studios/{name}")).status, 404);
    assert_eq!(
        browser
            .post("/", &all, &[("sec-fetch-site", "same-origin")])
            .status,
        303
    );
}

#[test]
fn beyond_a_token_the_pages_ask_who_one_is() {
    let secret = "an-operators-token-of-some-length";
    let app = spawn_app_with(
        |_| {},
        |s| s.api_token = Some(Secret::from(secret.to_owned())),
    );
    let mut browser = Browser::new(&app);
    for path in ["/", "/studios/x", "/studios/x/account"] {
        let reply = browser.get(path);
        assert_eq!(
            (reply.status, reply.header("location")),
            (303, "/login"),
            "{path}"
        );
    }
    let page = browser.page("/login");
    let proof = hidden(&page, "proof");
    let reply = browser.post(
        "/login",
        &[("proof", &proof), ("token", "wrong.token")],
        &[],
    );
    assert_eq!(reply.status, 422);
    assert!(checked("login", &reply).contains("aria-invalid=\"true\""));
    assert!(
        !reply.text().contains("wrong.token"),
        "a token is not shown again"
    );
    let before = browser.cookie.clone();
    let reply = browser.post("/login", &[("proof", &proof), ("token", secret)], &[]);
    assert_eq!((reply.status, reply.header("location")), (303, "/"));
    let set = reply.header("set-cookie");
    for word in ["HttpOnly", "SameSite=Strict", "Path=/"] {
        assert!(set.contains(word), "{set}");
    }
    assert_ne!(browser.cookie, before, "a login has a name of its own");
    let page = browser.page("/");
    assert!(page.contains("Log out"), "{page}");
    // A link from elsewhere comes without the cookie, and must not end the login.
    let elsewhere = app.request("GET", "/", &[("sec-fetch-site", "cross-site")], b"");
    assert_eq!(
        (elsewhere.status, elsewhere.header("set-cookie")),
        (200, "")
    );
    assert!(checked("/", &elsewhere).contains("href=\"/\""));
    let studio = studio(&mut browser);
    // The cookie opens pages, and nothing of the JSON service.
    assert_eq!(browser.get(&format!("/v1{studio}")).status, 401);
    let page = browser.page(&studio);
    let reply = browser.post("/logout", &[("proof", &hidden(&page, "proof"))], &[]);
    assert_eq!((reply.status, reply.header("location")), (303, "/login"));
    assert_eq!(browser.get(&studio).status, 303);
}

#[test]
fn style_and_script_are_a_file_each_that_is_kept_and_its_address_names_it() {
    let mut browser = Browser::new(&APP);
    let page = browser.page("/");
    for (tag, member, kind) in [("link", "href", "css"), ("script", "src", "javascript")] {
        let all = tags(&page, tag);
        assert_eq!(all.len(), 1, "{tag}");
        let path = attribute(all[0], member).unwrap().to_owned();
        let file = browser.get(&path);
        assert_eq!(file.status, 200);
        assert_eq!(
            file.header("content-type"),
            format!("text/{kind}; charset=utf-8")
        );
        assert!(file.header("cache-control").contains("immutable"));
        for fetches in ["url(", "@import", "fetch(", "XMLHttpRequest", "innerHTML"] {
            assert!(!file.text().contains(fetches), "{fetches}");
        }
    }
    assert_eq!(browser.get("/style-0.css").status, 404);
    assert_eq!(browser.get("/forms-0.js").status, 404);
}

/// The recipes of the trade give grains to an ounce, and do not say which ounce: the page asks.
#[test]
fn a_bath_is_made_up_by_grains_in_an_ounce() {
    let mut browser = Browser::new(&APP);
    let studio = studio(&mut browser);
    let jug = [
        ("id", "bath-1"),
        ("kind", "sensitizing_bath"),
        ("craft", "collodion"),
        ("on", "2026-03-01"),
        ("by", "R. Example"),
    ];
    browser.write(&format!("{studio}/record/container"), &jug);
    let sheet = format!("{studio}/record/made-up");
    let mut bath = vec![
        ("container", "bath-1"),
        ("nitrate", "40.0"),
        ("nitrate_unit", "gr_per_us_floz"),
        ("purity", "100"),
        ("after", "1.00"),
        ("after_unit", "l"),
        ("on", "2026-03-01"),
        ("by", "R. Example"),
    ];
    let done = browser.write(&sheet, &bath);
    // 40 grains of 64.79891 mg in 29.5735296 mL are 87.644 g/L (NIST Handbook 44, appendix C), of which
    // 63.50 % is silver (107.8682 / 169.8731): 55.65 g.
    assert!(
        done.contains("40.0 grains in a US fluid ounce (87.64, u = 4.7 g)"),
        "{done}"
    );
    let page = browser.page(&format!("{studio}/containers/bath-1"));
    assert!(page.contains("<p class=\"silver\">55."), "{page}");

    // Without a volume, or an ounce, nothing is guessed.
    for (field, value, wrong) in [(4, "", "how much liquid"), (2, "", "choose a unit")] {
        let (name, kept) = bath[field];
        bath[field] = (name, value);
        let reply = browser.send(&sheet, &bath);
        assert_eq!(reply.status, 422, "{}", reply.text());
        let page = checked("wrong", &reply);
        assert!(page.contains("id=\"nitrate_wrong\""), "{page}");
        assert!(page.contains(wrong), "{page}");
        bath[field] = (name, kept);
    }
}

#[test]
fn a_token_opens_one_studio_and_what_its_role_allows() {
    use spent_silver::store::{Access, Role};
    let (tell, told) = std::sync::mpsc::channel();
    let secret = "an-operators-token-of-some-length";
    let app = spawn_app_with(
        move |state| tell.send(state.store.clone()).unwrap(),
        |s| s.api_token = Some(Secret::from(secret.to_owned())),
    );
    let store = told.recv().unwrap();
    let local = Access::local("test");
    let login = |browser: &mut Browser<'_>, token: &str| {
        let page = browser.page("/login");
        let proof = hidden(&page, "proof");
        let reply = browser.post("/login", &[("proof", &proof), ("token", token)], &[]);
        assert_eq!(reply.status, 303, "{}", reply.text());
    };
    let mut operator = Browser::new(&app);
    login(&mut operator, secret);
    let (own, other) = (studio(&mut operator), studio(&mut operator));
    fixer(&mut operator, &own, "jug-1");
    let token = |role: Role| {
        let name = own.trim_start_matches("/studios/");
        let made = store.create_token(name, role, "a telephone", &local, jiff::Timestamp::now());
        actix_web::rt::System::new()
            .block_on(made)
            .unwrap_or_else(|p| panic!("{p:?}"))
    };
    let reader_token = token(Role::Reader);
    let mut reader = Browser::new(&app);
    login(&mut reader, &reader_token.text);
    let mut writer = Browser::new(&app);
    login(&mut writer, &token(Role::Writer).text);

    for browser in [&mut reader, &mut writer] {
        browser.page(&own);
        browser.page(&format!("{own}/containers/jug-1"));
        assert!(!browser.page("/").contains(&other));
        let foreign = browser.get(&other);
        assert_eq!(foreign.status, 404);
        // Told in the words of a studio that is not there.
        let nowhere = browser.get("/studios/nowhere").text();
        let name = other.trim_start_matches("/studios/");
        assert_eq!(foreign.text().replace(name, "nowhere"), nowhere);
    }
    let water = format!("{own}/record/water");
    let pairs = [
        ("container", "jug-1"),
        ("water", "1.0"),
        ("water_unit", "l"),
        ("on", "2026-03-02"),
        ("by", "R. Example"),
    ];
    let refused = reader.send(&water, &pairs);
    assert_eq!(refused.status, 403);
    checked(&water, &refused);
    assert!(reader.page(&water).contains("ask for a writer"));
    writer.write(&water, &pairs);
    // What a studio says of itself is its owner's.
    let about = format!("{own}/about");
    let pairs = [("title", "Another Name"), ("version", "1")];
    assert_eq!(writer.send(&about, &pairs).status, 403);
    assert_eq!(operator.send(&about, &pairs).status, 303);
    assert!(writer.page(&own).contains("Another Name"));
    // A login ends with its token.
    let revoked = store.revoke_token(&reader_token.id, &local, jiff::Timestamp::now());
    actix_web::rt::System::new()
        .block_on(revoked)
        .unwrap_or_else(|p| panic!("{p:?}"));
    assert_eq!(reader.get(&own).status, 303);
}

#[test]
fn a_studio_is_put_right_and_nobodys_change_is_lost() {
    let mut browser = Browser::new(&APP);
    let studio = studio(&mut browser);
    let about = format!("{studio}/about");
    let page = browser.page(&about);
    assert!(page.contains("value=\"R. Example\""), "{page}");
    assert!(page.contains("value=\"eu\" selected"), "{page}");
    let pairs = |version: &'static str, kg: &'static str| {
        [
            ("title", "An Invented Studio"),
            ("version", version),
            ("crafts", "salted_paper"),
            ("rule_set", "de"),
            ("other", kg),
            ("address", "1 Example Street"),
        ]
    };
    let bad = browser.send(&about, &pairs("1", "some"));
    assert_eq!(bad.status, 422);
    assert!(checked(&about, &bad).contains("id=\"other_wrong\""));
    assert_eq!(browser.send(&about, &pairs("1", "2.5")).status, 303);
    let kept = browser.get(&format!("/v1{studio}")).json();
    assert_eq!(kept["studio"]["other_hazardous_waste_kg"], "2.5", "{kept}");
    assert_eq!(
        kept["studio"]["crafts"],
        serde_json::json!(["salted_paper"])
    );
    assert_eq!(kept["rule_set"], "de");
    assert!(
        kept["details"]["responsible"].is_null(),
        "what was left open is gone: {kept}"
    );
    let late = browser.send(&about, &pairs("1", "9"));
    assert_eq!(late.status, 412, "{}", late.text());
    assert!(checked(&about, &late).contains("was changed since"));
}

#[test]
fn a_mistyped_address_is_a_page_for_a_browser_and_a_problem_for_a_program() {
    let browser = ("accept", "text/html,application/xhtml+xml,*/*;q=0.8");
    let page = APP.request("GET", "/studio", &[browser], b"");
    assert_eq!(page.status, 404);
    checked("/studio", &page);
    assert_eq!(APP.get("/studio").problem()["code"], "not_found");
}

#[test]
fn a_page_stays_small_however_many_containers_there_are() {
    let mut browser = Browser::new(&APP);
    let studio = studio(&mut browser);
    for i in 0..70 {
        let entry = serde_json::json!({"id": format!("e{i}"), "on": "2026-02-01", "recorded_by": "R. Example",
            "event": {"opened": {"batch": {"id": format!("jug-{i:02}"), "kind": "fixer", "craft": "film_and_paper",
            "volume_l": "4", "evidence": [{"stated": {"silver_g": "12.0"}}]}}}});
        let key = format!("{studio}-{i}");
        let headers = [
            ("content-type", "application/json"),
            ("idempotency-key", key.as_str()),
        ];
        let path = format!("/v1{studio}/entries");
        let reply = APP.request("POST", &path, &headers, entry.to_string().as_bytes());
        assert_eq!(reply.status, 201, "{}", reply.text());
    }
    let page = browser.page(&studio);
    assert!(
        page.contains("jug-00") && !page.contains("jug-65"),
        "{page}"
    );
    let further = browser.page(&format!("{studio}?find=&after=jug-59"));
    assert!(
        further.contains("jug-60") && further.contains("jug-69"),
        "{further}"
    );
    assert!(!further.contains("Further containers"));
    let found = browser.page(&format!("{studio}?find=-65"));
    assert!(
        found.contains("jug-65") && !found.contains("jug-00"),
        "{found}"
    );
    assert!(
        browser
            .page(&format!("{studio}?find=%3Cb%3E"))
            .contains("No container")
    );
}
