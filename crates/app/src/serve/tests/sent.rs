//! What is sent from a page: written once, not lost where nobody is signed in, and taken from nobody whose PIN is another by now.

use ::records::{Role, Seq};
use axum::http::header::SET_COOKIE;
use serde_json::json;

use super::replays::Led;
use super::*;

/// A field of a page's form, as a browser sends it again.
fn field(page: &str, name: &str) -> String {
    let value =
        page.split(&format!("name=\"{name}\" value=\"")).nth(1).and_then(|rest| rest.split('"').next());
    value.unwrap_or_default().replace(' ', "+")
}

/// What a form's inputs hold, but what every form carries.
fn filled(page: &str, action: &str) -> String {
    let form = page.split(&format!("action=\"{action}\"")).nth(1).unwrap().split("</form>").next().unwrap();
    let inputs = form.split("<input ").skip(1).map(|input| input.split('>').next().unwrap());
    let of = |input: &str, what: &str| {
        input.split(&format!("{what}=\"")).nth(1).map(|rest| rest.split('"').next().unwrap().to_owned())
    };
    let pairs = inputs.filter_map(|input| Some((of(input, "name")?, of(input, " value")?)));
    let pairs = pairs.filter(|(name, _)| name != "shown_as" && name != "page_of");
    pairs.map(|(name, value)| format!("{name}={value}")).collect::<Vec<_>>().join("&")
}

async fn events(shop: &Shop) -> u64 {
    let book = shop.house.book().await.unwrap();
    let mut last = Seq(0);
    while let Some(event) = book.events_after(last).await.unwrap().last() {
        last = event.seq;
    }
    last.0
}

/// Tapped three times while the program takes its time: all three are led to what the first wrote.
#[tokio::test]
async fn a_form_that_is_sent_three_times_writes_once() {
    let shop = Shop::with_lifts(&["north-bay"]).await;
    let (technician, lead) = (shop.cookie(Role::Technician).await, shop.cookie(Role::Lead).await);
    let page = |path: &'static str| {
        let (shop, technician) = (&shop, technician.clone());
        async move { shop.ask(&Method::GET, path, &technician, "").await.1 }
    };
    let start = page("/practice/invented/a-first-spot").await;
    let attempt = filled(&start, "/practice/invented/a-first-spot/raise");
    for (from, to, fields) in [
        ("/enter/defect?lift=north-bay", "/enter/defect", "lift=north-bay&words=oil&stops_use=no".to_owned()),
        (
            "/plan?lift=north-bay&vehicle=hatchback",
            "/plan/keep",
            "lift=north-bay&vehicle=hatchback".to_owned(),
        ),
        ("/practice/invented/a-first-spot", "/practice/invented/a-first-spot/raise", attempt),
    ] {
        let shown = page(from).await;
        let mark = field(&shown, "page_of");
        assert!(!mark.is_empty(), "{from}: {shown}");
        let body = format!("{fields}&shown_as=technician&page_of={mark}");
        let before = events(&shop).await;
        let all = tokio::join!(
            shop.form(to, &technician, &body),
            shop.form(to, &technician, &body),
            shop.form(to, &technician, &body)
        );
        let (first, second, third) = (all.0.unwrap(), all.1.unwrap(), all.2.unwrap());
        assert_eq!((&first, &first), (&second, &third), "{to}");
        let once = events(&shop).await - before;
        // From a page as it is then, it is another.
        let mark = field(&page(from).await, "page_of");
        shop.form(to, &technician, &format!("{fields}&shown_as=technician&page_of={mark}")).await.unwrap();
        assert_eq!(events(&shop).await - before, 2 * once, "{to}");
        assert!(once >= 1, "{to}");
    }
    // What was refused is tried anew.
    let mark = field(&page("/enter/defect").await, "page_of");
    let body = format!("lift=no-bay&words=oil&stops_use=no&shown_as=lead&page_of={mark}");
    for _ in 0..2 {
        assert!(shop.form("/enter/defect", &lead, &body).await.is_err());
    }
}

#[tokio::test]
async fn what_is_not_right_is_not_lost_where_nobody_is_signed_in() {
    let shop = Shop::with_lifts(&["north-bay"]).await;
    let led = Led::begin(&shop).await;
    led.until("shaken").await;
    let seen = led.now().await["seen"].clone();
    let said = format!("seen={seen}&what=noise&words=a+knock+%26+a+creak&shown_as=lead");
    let page = shop.form("/raise/1/not-right", "", &said).await.unwrap_err();
    assert!(page.contains("a knock &amp; a creak") && page.contains("is not in the book"), "{page}");
    let ways = page.split("class=\"ways-on\"").nth(1).unwrap();
    let link = ways.split("href=\"/sign-in?then=").nth(1).unwrap().split('"').next().unwrap();
    let entry = format!("person=lead&pin={PIN}&then={link}");
    let back = shop.form("/sign-in", "", &entry).await.unwrap();
    let page = led.page(&back).await;
    assert!(page.contains("Not written yet") && page.contains(">a knock &amp; a creak</textarea>"), "{page}");
    let told = page.split("Not written yet").nth(1).unwrap().split("Drop it").next().unwrap();
    assert!(told.contains("There was a noise.") && told.contains("value=\"noise\" formnovalidate"), "{told}");
    assert!(!page.contains(">Confirm<"), "{page}");
    // Written down, the way is the raise's own again.
    let said = said.replace("&shown_as=lead", "");
    assert_eq!(shop.form("/raise/1/not-right", &led.cookie, &said).await.unwrap(), "/raise/1");
    let page = led.page("/raise/1").await;
    assert!(page.contains("a knock &amp; a creak") && page.contains(">Confirm<"), "{page}");
    // A choice without a word is kept as well.
    let bare = format!("seen={seen}&what=moved&words=&shown_as=lead");
    let page = shop.form("/raise/1/not-right", "", &bare).await.unwrap_err();
    let ways = page.split("class=\"ways-on\"").nth(1).unwrap();
    let link = ways.split("href=\"/sign-in?then=").nth(1).unwrap().split('"').next().unwrap();
    let entry = format!("person=lead&pin={PIN}&then={link}");
    let back = shop.form("/sign-in", "", &entry).await.unwrap();
    let page = led.page(&back).await;
    assert!(page.contains("The vehicle or a pad moved. ") && page.contains("Not written yet"), "{page}");
    // So with any form: what can be filled in again is, a PIN never.
    let defect = format!("lift=north-bay&words=oil+drips&stops_use=no&second=lead&second_pin={PIN}");
    let page = shop.form("/enter/defect", "", &defect).await.unwrap_err();
    assert!(
        page.contains("oil drips") && page.contains("%2Fenter%2Fdefect") || page.contains("/enter/defect%3F"),
        "{page}"
    );
    assert!(!page.contains(PIN), "{page}");
}

#[tokio::test]
async fn a_new_pin_ends_the_sessions_of_the_one_before() {
    let shop = Shop::new().await;
    let (lead, technician) = (shop.cookie(Role::Lead).await, shop.cookie(Role::Technician).await);
    let status = |path: &'static str, cookie: String| {
        let shop = &shop;
        async move { shop.ask(&Method::GET, path, &cookie, "").await.0 }
    };
    assert_eq!(status("/records", technician.clone()).await, StatusCode::OK);
    // A tablet that was left open sets no PIN by itself, neither one's own nor another's.
    for (cookie, whose) in [(&technician, "technician"), (&lead, "technician"), (&lead, "lead")] {
        let present = if whose == "technician" { "" } else { "&present=1357" };
        let body = format!("pin=7531&again=7531{present}");
        shop.form(&format!("/person/{whose}/pin"), cookie, &body).await.unwrap_err();
    }
    let body = format!("present={PIN}&pin=7531&again=7531");
    shop.form("/person/technician/pin", &lead, &body).await.unwrap();
    assert_eq!(status("/records", technician.clone()).await, StatusCode::SEE_OTHER);
    let (refused, _) = shop.ask(&Method::POST, "/enter/tag", &technician, "lift=a&words=b").await;
    assert_eq!(refused, StatusCode::UNAUTHORIZED);
    assert_eq!(status("/records", lead.clone()).await, StatusCode::OK);
    // One's own goes on here, and nowhere else.
    let elsewhere = shop.cookie(Role::Lead).await;
    let request = Request::post("/person/lead/pin")
        .header("cookie", &lead)
        .header("content-type", "application/x-www-form-urlencoded")
        .body(Body::from(format!("present={PIN}&pin=7531&again=7531")));
    let answer = shop.pages.clone().oneshot(request.unwrap()).await.unwrap();
    let cookie =
        answer.headers().get(SET_COOKIE).unwrap().to_str().unwrap().split(';').next().unwrap().to_owned();
    assert_eq!(status("/records", cookie).await, StatusCode::OK);
    assert_eq!(status("/records", elsewhere).await, StatusCode::SEE_OTHER);
    // By whichever program it was set.
    let technician = {
        let book = shop.house.book().await.unwrap();
        let signed = book.check_pin(Timestamp::now(), &"technician".parse().unwrap(), "7531").await.unwrap();
        format!("standfast={}", shop.house.sessions.begin(signed).unwrap())
    };
    let other = Book::open(&shop.house.place.text()).await.unwrap();
    let by = other.check_pin(Timestamp::now(), &"lead".parse().unwrap(), "7531").await.unwrap();
    assert_eq!(status("/records", technician.clone()).await, StatusCode::OK);
    other.set_pin(Timestamp::now(), &by, &"technician".parse().unwrap(), "8642").await.unwrap();
    assert_eq!(status("/records", technician).await, StatusCode::SEE_OTHER);
}

/// Whoever comes first over the network leads the shop only with the code that the machine told.
#[tokio::test]
async fn a_book_is_begun_from_another_machine_with_the_code() {
    let folder = tempfile::tempdir().unwrap();
    let place = folder.path().join("shop.book");
    let sessions = Sessions::new(Duration::from_secs(600));
    let house = House::with(Place::of(&place.display().to_string()), None, sessions, here(), true);
    let begin = |from: [u8; 4], code: String| {
        let pages = pages_from(&house, from);
        let body = format!(
            "shop=Tarnwick&zone=Europe/Berlin&rules=germany&person=lead&name=L&of_age=1990-01-01&pin=2580&again=2580&code={code}"
        );
        let request = Request::post("/begin").header("content-type", "application/x-www-form-urlencoded");
        async move { pages.oneshot(request.body(Body::from(body)).unwrap()).await.unwrap() }
    };
    for code in ["", "12345678"] {
        let answer = begin([192, 168, 7, 9], code.to_owned()).await;
        assert_eq!(answer.status(), StatusCode::CONFLICT, "{code}");
        assert!(answer.headers().get(SET_COOKIE).is_none() && !place.exists());
    }
    assert_eq!(house.code.len(), 8);
    assert_eq!(begin([192, 168, 7, 9], house.code.clone()).await.status(), StatusCode::SEE_OTHER);
    assert!(place.exists());
}

/// What is left on the lift is said to be there.
#[tokio::test]
async fn a_raise_that_was_ended_above_the_floor_says_where_the_vehicle_is() {
    let shop = Shop::with_lifts(&["north-bay"]).await;
    let led = Led::begin(&shop).await;
    led.until("on-locks").await;
    led.say("abandon", json!({ "words": "power is gone" })).await;
    let page = led.page("/raise/1").await;
    assert!(
        page.contains("It was not lowered: as last confirmed the vehicle is up, held by the lift."),
        "{page}"
    );
    assert!(page.contains("not lowered, no part off") && !page.contains("raised and lowered"), "{page}");
    let shop = Shop::with_lifts(&["north-bay"]).await;
    let led = Led::begin(&shop).await;
    led.until("pads-seated").await;
    led.say("abandon", json!({ "words": "the customer is here" })).await;
    let page = led.page("/raise/1").await;
    assert!(page.contains("not raised, no part off") && !page.contains("It was not lowered"), "{page}");
    assert!(page.contains("on its wheels"), "{page}");
}
