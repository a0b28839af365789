//! What every request and every answer goes through, and what is refused at the door.

use spent_silver::config::{PriceFlags, Settings};
use spent_silver::operation::{operation, operations};
use spent_silver::resource::resources;
use spent_silver_tests::{App, spawn_app, spawn_app_with};
use std::sync::LazyLock;

static APP: LazyLock<App> = LazyLock::new(spawn_app);
const JSON: (&str, &str) = ("content-type", "application/json");
const TOKEN: &str = "a token of good length";

fn filled(path: &str) -> String {
    path.replace("/rule-sets/{id}", "/rule-sets/unspecified")
        .replace("/substances/{id}", "/substances/silver_nitrate")
        .replace("{key}", "harvey2009")
        .replace("{code}", "not_found")
}

#[test]
fn every_path_that_is_looked_up_answers() {
    for resource in resources() {
        let path = filled(resource.path);
        let reply = APP.get(&path);
        if path == "/v1/price" {
            assert_eq!(reply.problem()["code"], "price_not_configured");
            continue;
        }
        assert_eq!(reply.status, 200, "{path}: {}", reply.text());
        assert!(
            reply
                .header("content-type")
                .starts_with(resource.media_type),
            "{path}"
        );
        let head = APP.request("HEAD", &path, &[], b"");
        assert_eq!((head.status, head.body.len()), (200, 0), "{path}");
        assert_eq!(
            head.header("content-length"),
            reply.body.len().to_string(),
            "{path}"
        );
    }
}

#[test]
fn a_name_that_is_not_there_is_a_404() {
    for path in [
        "/v1",
        "/v1/",
        "/v1/no-such-operation",
        "/v1/rule-sets/atlantis",
        "/v1/substances/unobtainium",
        "/v1/substances/%00%ff",
        "/v1/references/nobody1900",
        "/v1/references/a/b",
        "/docs/",
    ] {
        let reply = APP.get(path);
        assert_eq!(reply.status, 404, "{path}: {}", reply.text());
        assert_eq!(reply.problem()["code"], "not_found", "{path}");
    }
}

#[test]
fn a_method_that_a_path_does_not_know_is_a_405_that_lists_those_it_knows() {
    let posts = operations()
        .iter()
        .map(|o| (format!("/v1/{}", o.name), "POST"));
    let gets = resources().iter().map(|r| (filled(r.path), "GET, HEAD"));
    for (path, allow) in posts.chain(gets) {
        for method in ["GET", "POST", "PUT", "PATCH", "DELETE", "OPTIONS", "BREW"] {
            if allow.contains(method) {
                continue;
            }
            let reply = APP.request(method, &path, &[JSON], b"{}");
            assert_eq!(reply.status, 405, "{method} {path}: {}", reply.text());
            assert_eq!(reply.header("allow"), allow);
            assert_eq!(reply.problem()["code"], "method_not_allowed");
        }
    }
}

#[test]
fn a_body_must_be_declared_as_json() {
    let path = format!("/v1/{}", operations()[0].name);
    let body = operations()[0].example.as_bytes();
    for headers in [
        &[][..],
        &[("content-type", "text/plain")],
        &[("content-type", "application/x-www-form-urlencoded")],
        &[("content-type", "application/jsonx")],
        &[JSON, ("content-encoding", "gzip")],
    ] {
        let reply = APP.request("POST", &path, headers, body);
        assert_eq!(reply.status, 415, "{headers:?}");
        assert_eq!(reply.problem()["code"], "unsupported_media_type");
    }
    let charset = [("content-type", "Application/JSON; charset=utf-8")];
    assert_eq!(APP.request("POST", &path, &charset, body).status, 200);
}

#[test]
fn an_answer_that_the_client_does_not_take_is_a_406() {
    let path = format!("/v1/{}", operations()[0].name);
    let body = operations()[0].example.as_bytes();
    for (accept, status) in [
        ("application/json", 200),
        ("*/*", 200),
        ("application/*;q=0.1, image/png", 200),
        ("", 200),
        ("image/png", 406),
        ("application/json;q=0", 406),
        ("application/json;q=0, text/html", 406),
    ] {
        let reply = APP.request("POST", &path, &[JSON, ("accept", accept)], body);
        assert_eq!(reply.status, status, "{accept}: {}", reply.text());
    }
    let page = APP.request("GET", "/docs", &[("accept", "application/json")], b"");
    assert_eq!(page.problem()["code"], "not_acceptable");
}

/// The words of an SVG picture, in one line.
fn words_of(svg: &str) -> String {
    let mut words = String::new();
    let mut inside_tag = false;
    for letter in svg.chars() {
        match letter {
            '<' => inside_tag = true,
            '>' => {
                inside_tag = false;
                words.push(' ');
            }
            _ if !inside_tag => words.push(letter),
            _ => {}
        }
    }
    let plain = words
        .replace("&lt;", "<")
        .replace("&gt;", ">")
        .replace("&quot;", "\"")
        .replace("&#39;", "'")
        .replace("&amp;", "&");
    plain.split_whitespace().collect::<Vec<_>>().join(" ")
}

#[test]
fn a_picture_carries_every_warning_and_the_notice_in_words() {
    for name in ["recovery-plans", "neutralization-plans"] {
        let path = format!("/v1/{name}");
        let body = operation(name).unwrap().example.as_bytes();
        let json = APP.request("POST", &path, &[JSON], body).json();
        let reply = APP.request("POST", &path, &[JSON, ("accept", "image/svg+xml")], body);
        assert_eq!(reply.status, 200, "{}", reply.text());
        assert!(reply.header("content-type").starts_with("image/svg+xml"));
        let words = words_of(&reply.text());
        let warnings = json["warnings"].as_array().unwrap();
        assert!(!warnings.is_empty());
        for text in warnings
            .iter()
            .map(|w| &w["text"])
            .chain([&json["notice"]["text"]])
        {
            let text = text.as_str().unwrap();
            assert!(words.contains(text), "{name}: `{text}` is not in {words}");
        }
    }
}

#[test]
fn nothing_is_drawn_for_what_must_not_be_treated_and_the_reason_is_said() {
    let body = br#"{"batch": {"id": "jug", "kind": "cyanide_fixer", "volume_l": "2"}}"#;
    let headers = [JSON, ("accept", "image/svg+xml")];
    let reply = APP.request("POST", "/v1/recovery-plans", &headers, body);
    assert_eq!(reply.status, 422);
    assert!(reply.text().contains("cyanide"), "{}", reply.text());
}

#[test]
fn a_paper_and_a_report_come_in_the_form_that_is_asked_for() {
    for (name, forms) in [
        (
            "documents",
            &[
                ("text/plain", "txt", "thiosulfate"),
                ("text/html", "html", "<!DOCTYPE html>"),
            ][..],
        ),
        ("reports", &[("text/plain", "txt", "What to do")][..]),
    ] {
        let path = format!("/v1/{name}");
        let body = operation(name).unwrap().example.as_bytes();
        for (media_type, ending, words) in forms {
            let reply = APP.request("POST", &path, &[JSON, ("accept", media_type)], body);
            assert_eq!(reply.status, 200, "{}", reply.text());
            assert_eq!(
                reply.header("content-type"),
                format!("{media_type}; charset=utf-8")
            );
            assert_eq!(
                reply.header("content-disposition"),
                format!("inline; filename=\"{name}.{ending}\"")
            );
            let text = reply.text();
            assert!(text.contains(words), "{text}");
            assert!(text.contains("come first"), "the notice is missing: {text}");
            // A problem is a problem in every form.
            let refused = APP.request("POST", &path, &[JSON, ("accept", media_type)], b"{}");
            assert_eq!(refused.status, 422);
            assert_eq!(refused.header("content-type"), "application/problem+json");
        }
        for (accept, wanted) in [
            ("text/plain;q=0.5, application/json;q=0.4", "text/plain"),
            ("text/plain;q=0.4, application/json", "application/json"),
            ("*/*", "application/json"),
        ] {
            let reply = APP.request("POST", &path, &[JSON, ("accept", accept)], body);
            let found = reply.header("content-type");
            assert!(found.starts_with(wanted), "{accept}: {found}");
        }
        for accept in [
            "application/msword",
            "image/*",
            "text/plain;q=0, text/html;q=0",
        ] {
            let reply = APP.request("POST", &path, &[JSON, ("accept", accept)], body);
            assert_eq!(reply.status, 406, "{accept}");
            let detail = reply.problem()["detail"].as_str().unwrap().to_owned();
            assert!(detail.contains("text/plain"), "{detail}");
        }
    }
}

#[test]
fn only_the_names_of_this_machine_are_served_on_loopback() {
    let port = APP.address.port();
    for (host, status) in [
        (format!("127.0.0.1:{port}"), 200),
        (format!("localhost:{port}"), 200),
        ("LOCALHOST".to_owned(), 200),
        ("[::1]:4747".to_owned(), 200),
        ("silver.example".to_owned(), 403),
        (format!("127.0.0.1.silver.example:{port}"), 403),
        ("127.0.0.2".to_owned(), 403),
        (String::new(), 403),
    ] {
        let reply = APP.request("GET", "/livez", &[("host", &host)], b"");
        assert_eq!(reply.status, status, "{host}");
        if status == 403 {
            assert_eq!(reply.problem()["code"], "host_refused");
        }
    }
    assert_eq!(APP.send(b"GET /livez HTTP/1.0\r\n\r\n").status, 403);
    let proxied = spawn_app_with(
        |_| {},
        |s| {
            s.allowed_hosts = vec!["silver.example".to_owned()];
        },
    );
    let reply = proxied.request("GET", "/livez", &[("host", "silver.example")], b"");
    assert_eq!(reply.status, 200);
}

#[test]
fn a_token_is_asked_for_where_one_is_configured() {
    let app = spawn_app_with(|_| {}, |s| s.api_token = TOKEN.parse().ok());
    for given in [
        None,
        Some("Bearer".to_owned()),
        Some("Bearer ".to_owned()),
        Some(TOKEN.to_owned()),
        Some(format!("Basic {TOKEN}")),
        Some(format!("Bearer {TOKEN}x")),
        Some(format!("Bearer {}", &TOKEN[1..])),
    ] {
        let headers: Vec<(&str, &str)> = given
            .as_deref()
            .map(|g| ("authorization", g))
            .into_iter()
            .collect();
        let reply = app.request("GET", "/v1/substances", &headers, b"");
        assert_eq!(reply.status, 401, "{given:?}");
        assert!(reply.header("www-authenticate").starts_with("Bearer"));
        assert_eq!(reply.problem()["code"], "unauthorized");
        assert!(!reply.text().contains(TOKEN));
    }
    let right = format!("bearer {TOKEN}");
    let reply = app.request("GET", "/v1/substances", &[("authorization", &right)], b"");
    assert_eq!(reply.status, 200);
    // A probe carries no token, and the contract is no secret.
    for path in ["/livez", "/readyz", "/openapi.json", "/docs"] {
        assert_eq!(app.get(path).status, 200, "{path}");
    }
}

#[test]
fn settings_that_cannot_be_are_refused_with_the_flag() {
    let refuse = |change: &dyn Fn(&mut Settings), flag: &str| {
        let mut settings = Settings::default();
        change(&mut settings);
        let problem = settings.check().expect_err(flag);
        assert_eq!(
            problem.errors[0].parameter.as_deref(),
            Some(flag),
            "{problem}"
        );
    };
    refuse(&|s| s.api_token = "short".parse().ok(), "--api-token");
    refuse(&|s| s.api_token = "".parse().ok(), "--api-token");
    refuse(&|s| s.body_limit_bytes = 0, "--body-limit-bytes");
    refuse(&|s| s.workers = Some(0), "--workers");
    let price = |s: &mut Settings| {
        s.price = PriceFlags {
            price_url: Some("https://prices.test/silver".to_owned()),
            price_pointer: Some("/price".to_owned()),
            price_per: Some(spent_silver::config::PricePer::Gram),
            price_currency: Some("EUR".to_owned()),
            price_source: None,
            price_refresh_seconds: 60,
        };
    };
    let mut good = Settings::default();
    price(&mut good);
    assert!(good.check().unwrap().is_some());
    type Change = fn(&mut PriceFlags);
    let changes: [(Change, &str); 8] = [
        (
            |p| p.price_url = Some("ftp://prices.test".to_owned()),
            "--price-url",
        ),
        (|p| p.price_url = Some("silver".to_owned()), "--price-url"),
        (|p| p.price_url = None, "--price-pointer"),
        (|p| p.price_pointer = None, "--price-pointer"),
        (
            |p| p.price_pointer = Some("price".to_owned()),
            "--price-pointer",
        ),
        (|p| p.price_per = None, "--price-per"),
        (
            |p| p.price_currency = Some("XAG".to_owned()),
            "--price-currency",
        ),
        (|p| p.price_refresh_seconds = 0, "--price-refresh-seconds"),
    ];
    for (change, flag) in changes {
        refuse(
            &|s| {
                price(s);
                change(&mut s.price);
            },
            flag,
        );
    }
    // Beyond loopback with a token is what the token is for.
    let mut settings = Settings {
        listen: ([0, 0, 0, 0], 4747).into(),
        ..Settings::default()
    };
    assert!(settings.asks_for_token());
    assert_eq!(
        settings.unguarded().errors[0].parameter.as_deref(),
        Some("--api-token")
    );
    settings.api_token = TOKEN.parse().ok();
    assert!(settings.check().is_ok());
    assert!(!format!("{settings:?}").contains(TOKEN));
}

#[test]
fn every_answer_carries_the_request_id_and_the_safe_headers() {
    for path in ["/livez", "/docs", "/nope", "/v1/price"] {
        let reply = APP.get(path);
        assert_eq!(reply.header("x-request-id").len(), 16, "{path}");
        assert_eq!(reply.header("x-content-type-options"), "nosniff");
        assert_eq!(reply.header("referrer-policy"), "same-origin");
        assert!(
            reply
                .header("content-security-policy")
                .starts_with("default-src 'none'")
        );
    }
    assert_ne!(
        APP.get("/livez").header("x-request-id"),
        APP.get("/livez").header("x-request-id")
    );
    let own = APP.request("GET", "/nope", &[("x-request-id", "studio-7.1_a")], b"");
    assert_eq!(own.problem()["request_id"], "studio-7.1_a");
    for strange in ["a b", "\"", &"x".repeat(65), "a\tb"] {
        let reply = APP.request("GET", "/nope", &[("x-request-id", strange)], b"");
        assert_eq!(reply.header("x-request-id").len(), 16, "{strange}");
    }
}

#[test]
fn what_does_not_change_need_not_be_sent_twice() {
    for path in [
        "/openapi.json",
        "/docs",
        "/v1/substances",
        "/v1/rule-sets/us-federal",
    ] {
        let first = APP.get(path);
        let etag = first.header("etag");
        assert!(etag.starts_with('"'), "{path}: {etag}");
        for known in [etag, &format!("\"other\", W/{etag}"), "*"] {
            let again = APP.request("GET", path, &[("if-none-match", known)], b"");
            assert_eq!((again.status, again.body.len()), (304, 0), "{path} {known}");
            assert_eq!(again.header("etag"), etag);
        }
        let other = APP.request("GET", path, &[("if-none-match", "\"other\"")], b"");
        assert_eq!(other.status, 200);
    }
}

#[test]
fn a_list_is_read_page_by_page_without_gap_or_double() {
    for (path, name) in [
        ("/v1/references", "key"),
        ("/v1/substances", "id"),
        ("/v1/rule-sets", "id"),
    ] {
        let all = APP.get(&format!("{path}?limit=200")).json();
        assert!(all["next_cursor"].is_null());
        let all = all["items"].as_array().unwrap().clone();
        assert!(!all.is_empty());
        let mut read = Vec::new();
        let mut query = "limit=1".to_owned();
        loop {
            let page = APP.get(&format!("{path}?{query}")).json();
            read.extend(page["items"].as_array().unwrap().iter().cloned());
            match page["next_cursor"].as_str() {
                Some(cursor) => query = format!("limit=1&cursor={cursor}"),
                None => break,
            }
            assert!(read.len() <= all.len());
        }
        assert_eq!(read, all);
        for item in all {
            let one = APP.get(&format!("{path}/{}", item[name].as_str().unwrap()));
            assert_eq!(one.json(), item);
        }
    }
}

#[test]
fn a_wrong_parameter_is_named() {
    for (query, parameter) in [
        ("limit=0", "limit"),
        ("limit=201", "limit"),
        ("limit=-1", "limit"),
        ("limit=ten", "limit"),
        ("limit=99999999999999999999", "limit"),
        ("cursor=zz", "cursor"),
        ("cursor=abc", "cursor"),
        ("cursor=", "cursor"),
        ("page=2", "page"),
    ] {
        let reply = APP.get(&format!("/v1/substances?{query}"));
        assert_eq!(reply.status, 400, "{query}");
        assert_eq!(reply.places(), [parameter]);
    }
    for path in [
        "/v1/substances/silver_nitrate?a=1",
        "/livez?deep",
        "/v1/price?url=http://a.test",
    ] {
        assert_eq!(
            APP.get(path).problem()["code"],
            "invalid_parameter",
            "{path}"
        );
    }
    let path = format!("/v1/{}?pretty=1", operations()[0].name);
    assert_eq!(
        APP.post(&path, operations()[0].example).places(),
        ["pretty"]
    );
}

#[test]
fn broken_http_does_not_end_the_service() {
    for bytes in [
        &b"\x00\x01\x02\r\n\r\n"[..],
        b"GET\r\n\r\n",
        b"POST /v1/silver-estimates HTTP/1.1\r\nhost: localhost\r\ncontent-type: application/json\r\ncontent-length: -5\r\n\r\n",
        b"POST /v1/silver-estimates HTTP/1.1\r\nhost: localhost\r\ncontent-type: application/json\r\ntransfer-encoding: chunked\r\nconnection: close\r\n\r\nzz\r\n",
    ] {
        let reply = APP.send(bytes);
        assert_eq!(reply.status, 400, "{}", String::from_utf8_lossy(bytes));
    }
    let chunked = b"POST /v1/silver-estimates HTTP/1.1\r\nhost: localhost\r\ncontent-type: application/json\r\ntransfer-encoding: chunked\r\nconnection: close\r\n\r\n2\r\n{}\r\n0\r\n\r\n";
    assert_eq!(APP.send(chunked).places(), ["/batch"]);
    assert_eq!(APP.get("/livez").status, 200);
}

#[test]
fn the_limit_of_the_body_is_the_operators() {
    let app = spawn_app_with(|_| {}, |s| s.body_limit_bytes = 100);
    let path = format!("/v1/{}", operations()[0].name);
    assert_eq!(app.post(&path, vec![b' '; 101]).status, 413);
    assert_eq!(app.post(&path, vec![b' '; 100]).status, 400);
}
