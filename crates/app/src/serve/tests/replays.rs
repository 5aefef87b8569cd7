//! A raise walked through afterwards, as it was.

use ::records::{Fact, RaiseNumber, Role, Subject};
use axum::http::{Method, StatusCode};
use serde_json::{Value, json};

use super::Shop;
use crate::told;

/// A raise of the hatchback that is led by a program.
pub(super) struct Led<'a> {
    shop: &'a Shop,
    pub(super) cookie: String,
}

impl<'a> Led<'a> {
    pub(super) async fn begin(shop: &'a Shop) -> Self {
        Self::begin_with(shop, json!({ "lift": "north-bay", "vehicle": "hatchback" })).await
    }

    pub(super) async fn begin_with(shop: &'a Shop, begun: Value) -> Self {
        let led = Self { shop, cookie: shop.cookie(Role::Lead).await };
        led.shop.json("/api/raise", &led.cookie, begun).await;
        led
    }

    pub(super) async fn now(&self) -> Value {
        let (_, text) = self.shop.ask(&Method::GET, "/api/raise/1", &self.cookie, "").await;
        serde_json::from_str(&text).unwrap()
    }

    pub(super) async fn say(&self, what: &str, mut said: Value) {
        said["seen"] = self.now().await["seen"].clone();
        self.shop.json(&format!("/api/raise/1/{what}"), &self.cookie, said).await;
    }

    /// Confirms what comes next until a point is next, or the raise has ended.
    pub(super) async fn until(&self, point: &str) {
        loop {
            let next = self.now().await["raise"]["next"]["point"].clone();
            if next.is_null() || next == point {
                return;
            }
            self.say("confirm", json!({ "point": next })).await;
        }
    }

    pub(super) async fn page(&self, path: &str) -> String {
        let (status, page) = self.shop.ask(&Method::GET, path, &self.cookie, "").await;
        assert_eq!(status, StatusCode::OK, "{path}: {page}");
        let main = page.find("<main").unwrap();
        page[main..].to_owned()
    }

    pub(super) async fn step(&self, step: usize) -> String {
        self.page(&format!("/raise/1/replay?step={step}")).await
    }

    /// With what went wrong and what was measured on the way.
    pub(super) async fn whole(shop: &'a Shop) -> Self {
        let led = Self::begin(shop).await;
        let spot = json!({ "spot": "1.103 m", "offset": "4 mm", "yaw": "0.2 deg" });
        led.say("measured", spot).await;
        led.until("shaken").await;
        led.say("not-right", json!({ "what": "noise", "words": "a knock at the rear left" })).await;
        led.until("shaken").await;
        led.until("").await;
        led
    }
}

fn heading(page: &str) -> &str {
    page.split("<h1>").nth(1).and_then(|rest| rest.split("</h1>").next()).unwrap_or_default()
}

/// Every point that was confirmed is a step, in its order, with who confirmed it and when, what went wrong before it, what
/// was measured, and its picture.
#[tokio::test]
async fn every_hold_point_is_a_step() {
    let shop = Shop::with_lifts(&["north-bay"]).await;
    let led = Led::whole(&shop).await;
    let book = shop.house.book().await.unwrap();
    let events = book.events_about(&Subject::Raise(RaiseNumber(1))).await.unwrap();
    let begun = events.iter().find_map(|event| match &event.fact {
        Fact::RaiseBegun { plan, .. } => Some(plan.outline.clone()),
        _ => None,
    });
    let outline = begun.unwrap();
    let points: Vec<_> = events
        .iter()
        .filter_map(|event| match event.fact {
            Fact::PointConfirmed { point, .. } => Some((point, event)),
            _ => None,
        })
        .collect();
    assert!(points.len() > 15, "{}", points.len());
    let (mut noise, mut pictures) = (vec![], 0);
    for (k, (point, event)) in points.iter().enumerate() {
        let page = led.step(k + 1).await;
        let sentence = told::raise::sentence(*point, &outline, sheets::Units::Metric);
        assert_eq!(heading(&page), sentence, "step {}", k + 1);
        let when = format!("{}, event {}", told::time(event.at, &event.zone), event.seq);
        assert!(page.contains("Confirmed by <strong>lead</strong>") && page.contains(&when), "{page}");
        assert_eq!(page.contains("rel=\"prev\""), k > 0, "step {}", k + 1);
        assert_eq!(page.contains("rel=\"next\""), k + 1 < points.len(), "step {}", k + 1);
        pictures += usize::from(page.contains("<svg"));
        if page.contains("a knock at the rear left") {
            noise.push(k);
        }
        // What was found at the spotting holds from there on.
        if page.contains("From above") {
            assert!(page.contains("as it was measured on the floor"), "step {}", k + 1);
        }
    }
    // The arms swung clear and the vehicle driven off are no picture of the plan.
    assert_eq!(pictures, points.len() - 2);
    let shaken = points.iter().rposition(|(point, _)| point.to_string() == "shaken").unwrap();
    let down = noise.first().copied().unwrap();
    assert!(noise.len() == 1 && down < shaken, "{noise:?}");
    assert_eq!(points[down].0.to_string(), "area-clear", "down first");
    let first = led.step(1).await;
    for measured in ["1103", "4", "0.2", "Least reserve"] {
        assert!(first.contains(measured), "{measured}: {first}");
    }
    assert!(!led.step(2).await.contains("It stood"), "measured at the spotting alone");
}

/// It is read in the units of whoever reads, and so is everything else that the records say.
#[tokio::test]
async fn hold_points_are_told_in_the_readers_units() {
    let shop = Shop::with_lifts(&["north-bay"]).await;
    let led = Led::begin(&shop).await;
    led.until("shaken").await;
    let us = Led { shop: &shop, cookie: format!("{}; units=us", led.cookie) };
    let today = shop.house.book().await.unwrap().shop().await.unwrap().today(jiff::Timestamp::now());
    for path in [
        "/raise/1/replay?step=4".into(),
        "/raise/1".into(),
        "/lift/north-bay".into(),
        format!("/day/{today}"),
        "/records?words=tyre".into(),
    ] {
        for (reader, unit, other) in
            [(&led, " mm: every tyre", " in: every tyre"), (&us, " in: every tyre", " mm: every tyre")]
        {
            let page = reader.page(&path).await;
            assert!(page.contains(unit) && !page.contains(other), "{path}: {unit}: {page}");
        }
    }
}

/// Of a raise under way the last step leads to where it stands; an address beyond the ends leads to the ends.
#[tokio::test]
async fn a_raise_under_way_can_be_walked_through_so_far() {
    let shop = Shop::with_lifts(&["north-bay"]).await;
    let led = Led::begin(&shop).await;
    led.until("arm-locks-engaged").await;
    let last = led.step(3).await;
    assert_eq!(heading(&last), "It is under way.");
    assert!(last.contains("All four arms are locked.") && last.contains("href=\"/raise/1\""), "{last}");
    assert_eq!(led.step(99).await, last);
    assert_eq!(led.page("/raise/1/replay").await, led.step(1).await);
    let (status, _) = shop.ask(&Method::GET, "/raise/7/replay", &led.cookie, "").await;
    assert_eq!(status, StatusCode::NOT_FOUND);
    led.say("abandon", json!({ "words": "the lift lost its power" })).await;
    let last = led.step(3).await;
    assert_eq!(heading(&last), "It ended.");
    assert!(last.contains("the lift lost its power"), "{last}");
    // The way there from the records.
    for path in ["/raise/1", "/lift/north-bay", "/vehicle/hatchback"] {
        assert!(led.page(path).await.contains("/raise/1/replay?step=1"), "{path}");
    }
}

/// The page of a raise that has ended says what was done, where, by whom and how it ended, and leads on.
#[tokio::test]
async fn a_raise_that_ended_tells_what_was_done() {
    let shop = Shop::with_lifts(&["north-bay"]).await;
    let led = Led::whole(&shop).await;
    let name =
        shop.house.book().await.unwrap().shop().await.unwrap().people[&"lead".parse().unwrap()].name.clone();
    let page = led.page("/raise/1").await;
    let says = [
        "Raise 1 has ended",
        "Lowered, and driven off",
        "hatchback",
        "north-bay",
        "a knock at the rear left",
    ];
    for says in says.into_iter().chain([name.as_str()]) {
        assert!(page.contains(says), "{says}: {page}");
    }
    assert!(!page.contains("Nothing was refused"), "{page}");
    let ways = ["/plan?lift=north-bay", "/today", "/raise/1/record", "/raise/1/replay?step=1"];
    for way in ways {
        assert!(page.contains(&format!("href=\"{way}\"")), "{way}: {page}");
    }
    let place =
        page.split("See it in its place").next().and_then(|before| before.rsplit("href=\"").next()).unwrap();
    let step = led.page(place.split('"').next().unwrap()).await;
    assert!(step.contains("a knock at the rear left"), "{step}");
}

#[tokio::test]
async fn a_raise_that_was_abandoned_says_why() {
    let shop = Shop::with_lifts(&["north-bay"]).await;
    let led = Led::begin(&shop).await;
    led.say("abandon", json!({ "words": "towed away from the floor" })).await;
    let page = led.page("/raise/1").await;
    assert!(page.contains("Ended out of its course") && page.contains("towed away from the floor"), "{page}");
    assert!(!page.contains("driven off"), "{page}");
}

/// With what it left off, and the way to say that it is on again.
#[tokio::test]
async fn a_raise_that_ended_says_what_its_vehicle_lacks() {
    let shop = Shop::with_lifts(&["north-bay"]).await;
    let led =
        Led::begin_with(&shop, json!({ "lift": "north-bay", "vehicle": "hatchback", "job": "brakes" })).await;
    led.until("step-2-done").await;
    led.say("abandon", json!({ "words": "the road" })).await;
    let (ended, vehicle) = (led.page("/raise/1").await, led.page("/vehicle/hatchback").await);
    let state = "Raise 1 left hatchback with ";
    for page in [ended, vehicle] {
        assert!(page.contains(state) && page.contains("href=\"/enter/whole?vehicle=hatchback\""), "{page}");
    }
}
