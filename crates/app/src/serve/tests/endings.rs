//! What does not end well is told in plain sentences, on a page with a way on, or as JSON.

use serde_json::{Value, json};

use super::*;

const FORM: &str = "application/x-www-form-urlencoded";
const JSON: &str = "application/json";

/// Words of libraries that stand behind the pages.
const NOT_OURS: [&str; 7] =
    ["Cannot parse", "u64", "Failed to", "Invalid URL", "deserialize", "Content-Type:", "header value"];

async fn sent(
    shop: &Shop,
    method: &str,
    path: &str,
    kind: &str,
    body: Vec<u8>,
) -> (StatusCode, String, String) {
    let cookie = shop.cookie(Role::Lead).await;
    let request = Request::builder().method(method).uri(path).header("cookie", cookie);
    let request = request.header("content-type", kind).body(Body::from(body)).unwrap();
    let answer = shop.pages.clone().oneshot(request).await.unwrap();
    let kind = answer.headers().get("content-type").map(|kind| kind.to_str().unwrap().to_owned());
    let status = answer.status();
    let bytes = axum::body::to_bytes(answer.into_body(), usize::MAX).await.unwrap();
    (status, kind.unwrap_or_default(), String::from_utf8(bytes.to_vec()).unwrap())
}

#[tokio::test]
async fn what_cannot_be_read_is_answered_in_our_words() {
    let shop = Shop::new().await;
    let large = || vec![b'a'; net::MOST_BYTES + 1];
    let cases = [
        ("GET", "/raise/-1", FORM, vec![], 404, "no such page"),
        ("GET", "/day?night=1", FORM, vec![], 400, "not written as it must be"),
        ("GET", "/units", FORM, vec![], 405, "something is sent to it"),
        ("GET", "/raise/1/confirm", FORM, vec![], 405, "To the page it belongs to"),
        ("PUT", "/today", FORM, vec![], 405, "Nothing can be sent"),
        ("POST", "/sign-in", FORM, b"person=lead".to_vec(), 422, "Something is missing"),
        ("POST", "/sign-in", JSON, b"{}".to_vec(), 415, "not sent as a form"),
        ("POST", "/sign-in", FORM, large(), 413, "at most 4 MB"),
        ("GET", "/nothing", FORM, vec![], 404, "no such page"),
        ("GET", "/day?day=%0d%0aX:y", FORM, vec![], 422, "YYYY-MM-DD"),
    ];
    for (method, path, kind, body, status, says) in cases {
        let (found, html, page) = sent(&shop, method, path, kind, body).await;
        assert_eq!((found.as_u16(), html.as_str()), (status, "text/html; charset=utf-8"), "{path}: {page}");
        assert!(page.contains(says), "{path}: {page}");
        assert!(
            page.contains("aria-label=\"Parts\"") && page.contains("To the first page"),
            "{path}: {page}"
        );
        for word in NOT_OURS {
            assert!(!page.contains(word), "{path}: {word}: {page}");
        }
    }
    let cases = [
        ("GET", "/api/raise/-1", JSON, vec![], 404, "no such page"),
        ("GET", "/api/raise/7", JSON, vec![], 404, "no raise 7"),
        ("GET", "/api/events?after=x", JSON, vec![], 400, "not written as it must be"),
        ("GET", "/api/plan", JSON, vec![], 405, "something is sent to it"),
        ("POST", "/api/plan", JSON, b"{}".to_vec(), 422, "lift"),
        ("POST", "/api/plan", JSON, b"{".to_vec(), 400, "line 1"),
        ("POST", "/api/plan", FORM, b"lift=a".to_vec(), 415, "sent as application/json"),
        ("POST", "/api/plan", JSON, large(), 413, "at most 4 MB"),
    ];
    for (method, path, kind, body, status, says) in cases {
        let (found, kind, text) = sent(&shop, method, path, kind, body).await;
        assert_eq!((found.as_u16(), kind.as_str()), (status, JSON), "{path}: {text}");
        let refusal: Value = serde_json::from_str(&text).unwrap();
        assert!(
            refusal["title"].is_string() && refusal["reasons"].to_string().contains(says),
            "{path}: {text}"
        );
        for word in NOT_OURS {
            assert!(!text.contains(word), "{path}: {word}: {text}");
        }
    }
}

/// As after a restore: nobody is signed in to the book that now stands there, and what the old one held is not in it.
#[tokio::test]
async fn a_book_in_the_place_of_the_open_one_is_opened_and_asks_for_pins() {
    let (shop, other) = (Shop::new().await, Shop::with_lifts(&[]).await);
    let cookie = shop.cookie(Role::Lead).await;
    let mut kept = Vec::new();
    other.house.book().await.unwrap().backup(&mut kept).await.unwrap();
    let (status, page) = shop.ask(&Method::GET, "/records", &cookie, "").await;
    assert!(status == StatusCode::OK && !page.contains("north-bay"), "{page}");

    let place = shop.house.place.text();
    let beside = |end: &str| format!("{place}{end}");
    for end in ["", "-wal", "-shm"] {
        std::fs::rename(beside(end), beside(&format!(".aside{end}"))).unwrap();
    }
    // Gone, and nothing in its place: that is no shop without a book.
    let (status, page) = shop.ask(&Method::GET, "/records", &cookie, "").await;
    assert_eq!(status, StatusCode::INTERNAL_SERVER_ERROR, "{page}");
    assert!(page.contains("was moved, removed or replaced"), "{page}");

    let restored = Book::restore(&place, &mut kept.as_slice()).await.unwrap();
    restored.book.close().await;
    let (status, page) = shop.ask(&Method::GET, "/records", &cookie, "").await;
    assert!(status.is_redirection(), "{status} {page}");
    let (status, page) = shop.ask(&Method::GET, "/records", &shop.cookie(Role::Lead).await, "").await;
    assert!(status == StatusCode::OK && page.contains("north-bay"), "{page}");
}

#[tokio::test]
async fn units_and_signing_in_lead_to_these_pages_only() {
    let shop = Shop::new().await;
    for (then, to) in [
        ("/plan%3Flift%3Da", "/plan?lift=a"),
        ("/%0d%0aSet-Cookie:a", "/"),
        ("//evil.example", "/"),
        ("/%5Cevil.example", "/"),
        ("https://evil.example", "/"),
        ("", "/"),
    ] {
        for (path, fields) in [("/units", "units=us"), ("/sign-in", "person=lead&pin=2580")] {
            let request = Request::post(path).header("content-type", FORM);
            let request = request.body(Body::from(format!("{fields}&then={then}"))).unwrap();
            let answer = shop.pages.clone().oneshot(request).await.unwrap();
            assert_eq!(answer.status(), StatusCode::SEE_OTHER, "{path} {then}");
            assert_eq!(answer.headers()["location"], to, "{path} {then}");
        }
    }
}

#[tokio::test]
async fn a_refusal_says_who_and_shows_the_ways_on() {
    let shop = Shop::new().await;
    let cookie = shop.cookie(Role::Examiner).await;
    let (status, page) = shop.ask(&Method::GET, "/practice/set", &cookie, "").await;
    assert_eq!(status, StatusCode::FORBIDDEN);
    for part in ["An examiner may not", "aria-label=\"Parts\"", "/sign-in?then=/practice/set\"", "href=\"/\""]
    {
        assert!(page.contains(part), "{part}: {page}");
    }
    let form = |referer: &str| {
        let request = Request::post("/enter/tag").header("host", "localhost:7420").header("referer", referer);
        request.header("content-type", FORM).body(Body::from("lift=a")).unwrap()
    };
    let (status, page) = shop.send(form("http://localhost:7420/enter/tag?lift=a")).await;
    assert_eq!(status, StatusCode::UNAUTHORIZED);
    for part in ["href=\"/enter/tag?lift=a\"", "/sign-in?then=/enter/tag%3Flift%3Da"] {
        assert!(page.contains(part), "{part}: {page}");
    }
    let (_, page) = shop.send(form("http://evil.example/enter/tag")).await;
    assert!(!page.contains("evil") && page.contains("/sign-in?then=/\""), "{page}");
}

#[tokio::test]
async fn who_begins_a_book_is_of_age() {
    let folder = tempfile::tempdir().unwrap();
    let place = folder.path().join("shop.book");
    let sessions = Sessions::new(Duration::from_secs(600));
    let house = House::with(Place::of(&place.display().to_string()), None, sessions, here(), true);
    let pages = pages_from(&house, [127, 0, 0, 1]);
    let begin = |of_age: &str| {
        let body = format!(
            "shop=Tarnwick&zone=Europe/Berlin&rules=germany&person=lead&name=L&of_age={of_age}&pin=2580&again=2580"
        );
        Request::post("/begin").header("content-type", FORM).body(Body::from(body)).unwrap()
    };
    for (of_age, why) in [("2999-01-01", "has not come yet"), ("", "these rules ask how old operators are")] {
        let answer = pages.clone().oneshot(begin(of_age)).await.unwrap();
        assert_eq!(answer.status(), StatusCode::UNPROCESSABLE_ENTITY);
        let page = axum::body::to_bytes(answer.into_body(), usize::MAX).await.unwrap();
        assert!(String::from_utf8_lossy(&page).contains(why));
        assert!(!place.exists());
    }
    assert_eq!(pages.oneshot(begin("1990-01-01")).await.unwrap().status(), StatusCode::SEE_OTHER);
}

/// Each answer has its content, each parameter of an address is told, and nothing is referred to that is not there.
#[test]
fn the_description_of_the_interface_is_whole() {
    let described = crate::serve::api::description();
    let mut operations = 0;
    for (path, methods) in described["paths"].as_object().unwrap() {
        for (method, operation) in methods.as_object().unwrap() {
            let says = format!("{method} {path}: {operation}");
            operations += 1;
            assert!(operation["summary"].is_string() && operation["description"].is_string(), "{says}");
            let responses = operation["responses"].as_object().unwrap();
            assert!(responses.contains_key("200") && responses.contains_key("default"), "{says}");
            for response in responses.values() {
                assert!(response["description"].is_string(), "{says}");
                holds_a_schema(&response["content"], &says);
            }
            if let Some(body) = operation.get("requestBody") {
                holds_a_schema(&body["content"], &says);
            }
            let of_address: Vec<&str> =
                path.split('/').filter_map(|part| part.strip_prefix('{')?.strip_suffix('}')).collect();
            assert_eq!(of_address.len(), path.matches('{').count(), "{says}");
            let none = vec![];
            let parameters = operation.get("parameters").map_or(&none, |all| all.as_array().unwrap());
            for parameter in parameters {
                let is_of_address = parameter["in"] == "path";
                assert!(is_of_address || parameter["in"] == "query", "{says}");
                assert_eq!(parameter["required"], json!(is_of_address), "{says}");
                assert!(parameter["schema"]["type"].is_string(), "{says}");
            }
            let told: Vec<&str> = parameters
                .iter()
                .filter(|parameter| parameter["in"] == "path")
                .map(|parameter| parameter["name"].as_str().unwrap())
                .collect();
            assert_eq!(told, of_address, "{says}");
        }
    }
    assert_eq!(operations, routes::all().iter().filter(|route| route.path.starts_with("/api/")).count());
    let mut referred = 0;
    refers(&described, &described, &mut referred);
    assert!(referred > 10, "{referred}");
}

fn holds_a_schema(content: &Value, says: &str) {
    assert!(content["application/json"]["schema"].is_object(), "{says}");
}

fn refers(part: &Value, whole: &Value, referred: &mut usize) {
    match part {
        Value::Object(fields) => {
            if let Some(to) = fields.get("$ref").and_then(Value::as_str) {
                assert!(whole.pointer(to.strip_prefix('#').unwrap()).is_some(), "{to}");
                *referred += 1;
            }
            fields.values().for_each(|field| refers(field, whole, referred));
        }
        Value::Array(items) => items.iter().for_each(|item| refers(item, whole, referred)),
        _ => {}
    }
}

/// A program that asks for a raise that has ended hears how.
#[tokio::test]
async fn a_raise_that_has_ended_says_how() {
    let shop = Shop::with_lifts(&["north-bay"]).await;
    let lead = shop.cookie(Role::Lead).await;
    let ask = async |method: &str, path: &str, body: Value| -> Value {
        let request = Request::builder().method(method).uri(path).header("cookie", &lead);
        let request = request.header("content-type", JSON).body(Body::from(body.to_string())).unwrap();
        let (status, text) = shop.send(request).await;
        assert_eq!(status, StatusCode::OK, "{path}: {text}");
        serde_json::from_str(&text).unwrap()
    };
    let begun = ask("POST", "/api/raise", json!({ "lift": "north-bay", "vehicle": "hatchback" })).await;
    assert!(begun["raise"].is_object() && begun["ended"].is_null(), "{begun}");
    let why = json!({ "seen": begun["seen"], "words": "the customer drove off" });
    ask("POST", "/api/raise/1/abandon", why).await;
    let ended = ask("GET", "/api/raise/1", json!({})).await;
    assert!(ended["raise"].is_null(), "{ended}");
    assert!(ended["ended"].as_str().unwrap().contains("the customer drove off"), "{ended}");
}
