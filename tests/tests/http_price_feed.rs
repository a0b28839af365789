//! The price feed against a feed that is slow, lies, redirects and dies.

use spent_silver::config::PriceSettings;
use spent_silver::price_feed::{Clock, FeedPrice, PriceFeed};
use spent_silver::problem::{Code, Problem};
use spent_silver_domain::quantity::{Currency, PriceUnit, Text};
use spent_silver_tests::spawn_app_with;
use std::sync::Arc;
use std::sync::atomic::{AtomicI64, Ordering};
use std::time::{Duration, Instant};
use wiremock::matchers::{any, header, header_exists, method, path};
use wiremock::{Mock, MockServer, ResponseTemplate};

/// A clock that goes when told to.
#[derive(Clone)]
struct Hands(Arc<AtomicI64>);

impl Hands {
    fn new() -> Self {
        Self(Arc::new(AtomicI64::new(1_795_600_000)))
    }
    fn forward(&self, seconds: i64) {
        self.0.fetch_add(seconds, Ordering::SeqCst);
    }
    fn clock(&self) -> Clock {
        let hands = self.0.clone();
        Arc::new(move || jiff::Timestamp::from_second(hands.load(Ordering::SeqCst)).unwrap())
    }
}

fn settings(url: &str) -> PriceSettings {
    let mut settings = PriceSettings::new(
        url.parse().unwrap(),
        "/silver/price".to_owned(),
        PriceUnit::TroyOunce,
        Currency::parse("USD").unwrap(),
        Text::new("the studio's feed").unwrap(),
    );
    settings.connect_timeout = Duration::from_millis(500);
    settings.total_timeout = Duration::from_millis(800);
    settings.first_wait = Duration::from_millis(5);
    settings.size_limit = 10_000;
    settings
}

fn feed(url: &str, hands: &Hands) -> PriceFeed {
    PriceFeed::with_clock(settings(url), hands.clock()).unwrap()
}

fn json(body: &str) -> ResponseTemplate {
    ResponseTemplate::new(200).set_body_raw(body, "application/json")
}

fn good() -> ResponseTemplate {
    json(r#"{"silver": {"price": 31.2500000000000000001}}"#)
}

async fn answers(template: ResponseTemplate) -> MockServer {
    let server = MockServer::start().await;
    Mock::given(any())
        .respond_with(template)
        .mount(&server)
        .await;
    server
}

fn amount(answer: &Result<FeedPrice, Problem>) -> String {
    let price = serde_json::to_value(&answer.as_ref().unwrap().price).unwrap();
    price["amount"].as_str().unwrap().to_owned()
}

fn state(answer: &Result<FeedPrice, Problem>) -> (bool, String) {
    let answer = serde_json::to_value(answer.as_ref().unwrap()).unwrap();
    (
        answer["stale"].as_bool().unwrap(),
        answer["age_s"].as_str().unwrap().to_owned(),
    )
}

#[tokio::test]
async fn a_good_price_is_given_with_every_digit_its_source_and_its_age() {
    let server = answers(good()).await;
    let hands = Hands::new();
    let feed = feed(&server.uri(), &hands);
    let answer = feed.price().await;
    assert_eq!(amount(&answer), "31.2500000000000000001");
    assert_eq!(state(&answer), (false, "0".to_owned()));
    hands.forward(600);
    let answer = feed.price().await;
    assert_eq!(state(&answer), (false, "600".to_owned()));
    let body = serde_json::to_value(answer.unwrap()).unwrap();
    assert_eq!(body["price"]["currency"], "USD");
    assert_eq!(body["price"]["per"], "troy_ounce");
    assert_eq!(body["price"]["source"], "the studio's feed");
    assert_eq!(body["origin"], "price_feed");
    assert_eq!(body["as_of_at"], "2026-11-25T09:46:40Z");
    assert_eq!(body["price"]["as_of_on"], "2026-11-25");
    // Asked once: the price was good for fifteen minutes.
    assert_eq!(server.received_requests().await.unwrap().len(), 1);
}

#[tokio::test]
async fn a_feed_that_lies_gives_no_price() {
    let huge = format!(
        r#"{{"pad": "{}", "silver": {{"price": 31}}}}"#,
        "x".repeat(20_000)
    );
    for (what, template) in [
        (
            "not JSON by type",
            ResponseTemplate::new(200).set_body_raw("31.25", "text/html"),
        ),
        ("not JSON", json("<price>31.25</price>")),
        ("nothing there", json(r#"{"silver": {}}"#)),
        ("not a number", json(r#"{"silver": {"price": "ask us"}}"#)),
        ("null", json(r#"{"silver": {"price": null}}"#)),
        ("an object", json(r#"{"silver": {"price": {"bid": 31}}}"#)),
        ("a list", json(r#"{"silver": [31]}"#)),
        ("negative", json(r#"{"silver": {"price": -31}}"#)),
        ("zero", json(r#"{"silver": {"price": 0}}"#)),
        ("absurd", json(r#"{"silver": {"price": 1e30}}"#)),
        ("huge", json(&huge)),
        ("not found", ResponseTemplate::new(404)),
        ("unasked 304", ResponseTemplate::new(304)),
    ] {
        let server = answers(template).await;
        let answer = feed(&server.uri(), &Hands::new()).price().await;
        let problem = answer.expect_err(what);
        assert_eq!(problem.code, Code::PriceUnavailable, "{what}");
        assert!(problem.retry_after.is_some(), "{what}");
        // A lie is not asked for again at once.
        assert_eq!(server.received_requests().await.unwrap().len(), 1, "{what}");
    }
}

#[tokio::test]
async fn a_slow_feed_is_given_up_in_time() {
    let server = answers(good().set_delay(Duration::from_secs(20))).await;
    let started = Instant::now();
    let answer = feed(&server.uri(), &Hands::new()).price().await;
    assert_eq!(answer.unwrap_err().code, Code::PriceUnavailable);
    assert!(started.elapsed() < Duration::from_secs(3));
}

#[tokio::test]
async fn a_closed_port_is_no_price() {
    let closed = std::net::TcpListener::bind("127.0.0.1:0").unwrap();
    let url = format!("http://{}/", closed.local_addr().unwrap());
    drop(closed);
    let answer = feed(&url, &Hands::new()).price().await;
    assert_eq!(answer.unwrap_err().code, Code::PriceUnavailable);
}

#[tokio::test]
async fn a_failing_server_is_asked_three_times_and_no_more() {
    let server = answers(ResponseTemplate::new(503)).await;
    let hands = Hands::new();
    let feed = feed(&server.uri(), &hands);
    assert!(feed.price().await.is_err());
    assert_eq!(server.received_requests().await.unwrap().len(), 3);
    // It is left alone for a while, however many ask us.
    assert!(feed.price().await.is_err());
    assert_eq!(server.received_requests().await.unwrap().len(), 3);
    hands.forward(31);
    assert!(feed.price().await.is_err());
    assert_eq!(server.received_requests().await.unwrap().len(), 6);
}

#[tokio::test]
async fn one_failure_that_passes_is_not_seen() {
    let server = MockServer::start().await;
    Mock::given(any())
        .respond_with(ResponseTemplate::new(502))
        .up_to_n_times(2)
        .mount(&server)
        .await;
    Mock::given(any()).respond_with(good()).mount(&server).await;
    let answer = feed(&server.uri(), &Hands::new()).price().await;
    assert_eq!(state(&answer), (false, "0".to_owned()));
}

#[tokio::test]
async fn the_last_good_price_is_kept_and_marked_stale() {
    let server = MockServer::start().await;
    Mock::given(any())
        .respond_with(good())
        .up_to_n_times(1)
        .mount(&server)
        .await;
    Mock::given(any())
        .respond_with(ResponseTemplate::new(500))
        .up_to_n_times(3)
        .mount(&server)
        .await;
    Mock::given(any())
        .respond_with(json(r#"{"silver": {"price": "30"}}"#))
        .mount(&server)
        .await;
    let hands = Hands::new();
    let feed = feed(&server.uri(), &hands);
    assert_eq!(state(&feed.price().await), (false, "0".to_owned()));
    hands.forward(1_000);
    let answer = feed.price().await;
    assert_eq!(amount(&answer), "31.2500000000000000001");
    assert_eq!(state(&answer), (true, "1000".to_owned()));
    hands.forward(31);
    let answer = feed.price().await;
    assert_eq!(amount(&answer), "30");
    assert_eq!(state(&answer), (false, "0".to_owned()));
}

#[tokio::test]
async fn an_unchanged_price_is_confirmed_by_its_tag() {
    let server = MockServer::start().await;
    let modified = "Wed, 25 Nov 2026 08:00:00 GMT";
    Mock::given(header("if-none-match", "\"v1\""))
        .and(header_exists("if-modified-since"))
        .respond_with(ResponseTemplate::new(304))
        .mount(&server)
        .await;
    Mock::given(any())
        .respond_with(
            good()
                .insert_header("etag", "\"v1\"")
                .insert_header("last-modified", modified),
        )
        .up_to_n_times(1)
        .mount(&server)
        .await;
    let hands = Hands::new();
    let feed = feed(&server.uri(), &hands);
    assert!(feed.price().await.is_ok());
    for _ in 0..2 {
        hands.forward(1_000);
        let answer = feed.price().await;
        assert_eq!(amount(&answer), "31.2500000000000000001");
        assert_eq!(state(&answer), (false, "0".to_owned()));
    }
}

#[tokio::test]
async fn a_redirect_is_followed_on_the_same_host_only() {
    let elsewhere = answers(good()).await;
    let server = MockServer::start().await;
    for (from, to) in [
        ("/moved", format!("{}/new", server.uri())),
        ("/away", format!("{}/new", elsewhere.uri())),
        ("/round", format!("{}/round", server.uri())),
    ] {
        Mock::given(method("GET"))
            .and(path(from))
            .respond_with(ResponseTemplate::new(302).insert_header("location", to))
            .mount(&server)
            .await;
    }
    Mock::given(path("/new"))
        .respond_with(good())
        .mount(&server)
        .await;
    let ask = async |from: &str| {
        feed(&format!("{}{from}", server.uri()), &Hands::new())
            .price()
            .await
    };
    assert!(ask("/moved").await.is_ok());
    assert!(ask("/away").await.is_err());
    assert!(ask("/round").await.is_err());
    assert!(elsewhere.received_requests().await.unwrap().is_empty());
}

#[tokio::test]
async fn the_service_gives_the_price_and_says_where_it_comes_from() {
    let server = answers(good()).await;
    let url = server.uri();
    let app = tokio::task::spawn_blocking(move || {
        let feed = PriceFeed::new(settings(&url)).unwrap();
        let app = spawn_app_with(move |state| state.price = Some(feed), |_| {});
        let reply = app.get("/v1/price");
        assert_eq!(reply.status, 200, "{}", reply.text());
        assert_eq!(reply.header("cache-control"), "no-store");
        assert_eq!(reply.json()["price"]["source"], "the studio's feed");
    });
    app.await.unwrap();
}
