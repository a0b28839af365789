//! What leaves, on the pages: a discharge under a permit, a refiner's statement, and the days by which
//! containers must have left.

use crate::site_money::{TERMS, keep, with_ten_ounces};
use crate::visitor::{APP, Browser, fixer, fresh, studio};

#[test]
fn a_discharge_is_written_down_with_its_permit_and_never_allowed_here() {
    let mut browser = Browser::new(&APP);
    let studio = studio(&mut browser);
    fixer(&mut browser, &studio, "fixer-1");
    let path = format!("{studio}/record/discharged");
    let page = browser.page(&format!("{path}?container=fixer-1"));
    // What the classification says of it, word for word.
    assert!(
        page.contains("Nothing here is permission to discharge."),
        "{page}"
    );
    assert!(page.contains("Never without the authority"), "{page}");
    let without = [
        ("container", "fixer-1"),
        ("part_unit", "all"),
        ("on", "2026-03-05"),
        ("by", "R. Example"),
    ];
    let refused = browser.send(&path, &without);
    assert_eq!(refused.status, 422);
    assert!(
        refused.text().contains("id=\"permit_wrong\""),
        "{}",
        refused.text()
    );
    let mut with = without.to_vec();
    with.push(("permit", "Sewer permit 12 of 2026"));
    browser.write(&path, &with);
    let register = APP.request(
        "GET",
        &format!("/v1{studio}/waste-register?from=2026-01-01&until=2026-12-31"),
        &[],
        b"",
    );
    assert!(
        register.text().contains("Sewer permit 12 of 2026"),
        "{}",
        register.text()
    );
    assert!(
        browser
            .page(&format!("{studio}/containers/fixer-1"))
            .contains("Nothing is in it.")
    );
}

#[test]
fn a_statement_that_reports_too_little_asks_for_the_umpire() {
    let mut browser = Browser::new(&APP);
    let studio = with_ten_ounces(&mut browser);
    let by = [("on", "2026-03-05"), ("by", "R. Example")];
    let mut shipped = vec![
        ("container", "fixer-1"),
        ("part_unit", "all"),
        ("shipment", "s-1"),
    ];
    shipped.extend_from_slice(&by);
    browser.write(&format!("{studio}/record/shipped"), &shipped);
    let path = format!("{studio}/statements");
    assert!(
        browser
            .page(&path)
            .contains(&format!("href=\"{path}?shipment=s-1\""))
    );
    let one = format!("{path}?shipment=s-1");
    let page = browser.page(&one);
    assert!(
        page.contains("terms or the price of silver are not in this record"),
        "{page}"
    );
    assert_eq!(
        keep(&mut browser, &format!("{studio}/terms"), TERMS).status,
        303
    );
    let mut settled = vec![("shipment", "s-1"), ("silver", "200")];
    settled.extend_from_slice(&by);
    browser.write(&format!("{studio}/record/settled"), &settled);
    assert!(
        browser
            .page(&format!("{studio}/account"))
            .contains("statements?shipment=s-1")
    );
    let page = browser.page(&one);
    // 311 g were sent, 200 g reported.
    assert!(
        page.contains("The silver differs by more than chance allows"),
        "{page}"
    );
    assert!(page.contains("umpire"), "{page}");
    assert!(page.contains("name=\"reported\" value=\"200\""), "{page}");
    let agrees = browser.page(&format!("{one}&reported=311&price=30"));
    assert!(
        agrees.contains("<b>The silver agrees. The money"),
        "{agrees}"
    );
    // Assays 41.95 and 40.22 lie 1.73 points apart, the splitting limit of the request is 0.20.
    let apart = browser.page(&format!(
        "{one}&reported=311&own=41.95&theirs=40.22&split=0.20"
    ));
    assert!(apart.contains("ask for the umpire"), "{apart}");
    assert!(apart.contains("<b>1.73</b>"), "{apart}");
    // Line by line, by hand: 10.00 ozt at 30 are 300; a tenth is not paid for; treatment 45; refining 9 ozt
    // at 0.60; assay 35; freight 18.50; 166.10 is left.
    let lines = |assay: &str, net: &str| {
        format!(
            "{one}&reported=311.034768&price=30&gross=300&net={net}&charge_share=30.00&charge_lot=45&charge_refining=5.40&charge_assay={assay}&charge_freight=18.50"
        )
    };
    let agrees = browser.page(&lines("35", "166.10"));
    assert!(agrees.contains("<b>It agrees.</b>"), "{agrees}");
    assert!(
        agrees.contains("name=\"charge_refining\" value=\"5.40\""),
        "{agrees}"
    );
    let dearer = browser.page(&lines("45.00", "156.10"));
    assert!(
        dearer.contains("USD 10.00 more than the terms say"),
        "{dearer}"
    );
    let row = dearer
        .split("<tr>")
        .find(|row| row.contains("Less: ") && row.contains("45.00") && row.contains("35.00"));
    let row = row.unwrap_or_else(|| panic!("{dearer}"));
    assert!(row.contains("<td class=\"figure\">10.00</td>"), "{row}");
    for (query, field) in [
        (
            "reported=200&charge_assay=35&charge_freight=much",
            "charge_freight",
        ),
        ("reported=much", "reported"),
        ("net=5&billed=5&reported=200", "billed"),
        ("own=41&reported=200", "theirs"),
        ("price=30", "reported"),
    ] {
        let reply = browser.get(&format!("{one}&{query}"));
        assert_eq!(reply.status, 422, "{query}: {}", reply.text());
        let page = crate::visitor::checked(&one, &reply);
        assert!(
            page.contains(&format!("id=\"{field}_wrong\"")),
            "{query}: {page}"
        );
    }
    assert_eq!(browser.get(&format!("{path}?shipment=s-2")).status, 404);
}

#[test]
fn the_clock_of_a_container_is_a_picture_with_its_table() {
    let mut browser = Browser::new(&APP);
    let name = fresh("us");
    let reply = browser.send(
        "/",
        &[
            ("title", "An Invented Studio"),
            ("id", &name),
            ("premises", "home_business"),
            ("rule_set", "us-federal"),
        ],
    );
    assert_eq!(reply.status, 303, "{}", reply.text());
    let studio = format!("/studios/{name}");
    let empty = browser.page(&format!("{studio}/due"));
    assert!(!empty.contains("<svg"), "{empty}");
    fixer(&mut browser, &studio, "fixer-1");
    let due = browser.page(&format!("{studio}/due"));
    assert!(due.contains("How far each container"), "{due}");
    // A small quantity generator keeps waste for 180 days (40 CFR 262.16(b)), counted from 1 March 2026:
    // 28 August; a large one for 90 (262.17(a)): 30 May. The category is not known, so either may run.
    for (day, words) in [
        ("2026-08-28", "28 Aug 2026"),
        ("2026-05-30", "30 May 2026"),
        ("2026-03-01", "1 Mar 2026"),
    ] {
        let cell = format!("<td class=\"day\"><time datetime=\"{day}\">{words}</time></td>");
        assert!(due.contains(&cell), "{day}: {due}");
    }
}

/// Silver is the characteristic D011 (40 CFR 261.24, table 1). A spent fixer that nobody read may be
/// below its 5 mg/L: its code is one to test for, not one that it bears.
#[test]
fn a_code_that_only_a_test_can_give_says_so() {
    let mut browser = Browser::new(&APP);
    let name = fresh("studio");
    let begun = browser.send(
        "/",
        &[
            ("title", "An Invented Studio"),
            ("id", &name),
            ("crafts", "film_and_paper"),
            ("premises", "home_business"),
            ("rule_set", "us-federal"),
            ("responsible", "R. Example"),
        ],
    );
    assert_eq!(begun.status, 303, "{}", begun.text());
    let studio = format!("/studios/{name}");
    let mut jug = vec![
        ("id", "rinse-1"),
        ("kind", "rinse_water"),
        ("much", "5"),
        ("much_unit", "l"),
        ("craft", "film_and_paper"),
        ("status", "spent"),
        ("waste_since", "2026-03-01"),
    ];
    jug.extend_from_slice(&[("on", "2026-03-01"), ("by", "R. Example")]);
    browser.write(&format!("{studio}/record/container"), &jug);
    let codes = |browser: &mut Browser<'_>| {
        let page = browser.page(&format!("{studio}/containers/rinse-1"));
        let at = page.find("Codes: ").unwrap_or_else(|| panic!("{page}"));
        page[at..].split("</p>").next().unwrap().to_owned()
    };
    assert_eq!(codes(&mut browser), "Codes: D011 (to be tested)");
    let figure = [
        ("container", "rinse-1"),
        ("figure", "120"),
        ("sampled", "stirred"),
        ("on", "2026-03-02"),
        ("by", "R. Example"),
    ];
    browser.write(&format!("{studio}/record/laboratory"), &figure);
    assert_eq!(codes(&mut browser), "Codes: D011");
}
