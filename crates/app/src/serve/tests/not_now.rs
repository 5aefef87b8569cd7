//! What a plan page says of what must not be raised now, and what stands in for nothing.

use ::records::{Command, Role};
use axum::http::Method;
use jiff::Timestamp;
use serde_json::json;

use super::plans::filled_bay;
use super::{PIN, Shop};
use crate::serve::shelf;

/// Of its own the shop's book is asked; what the invented workshop has of the same kind does not stand in for it.
#[tokio::test]
async fn nothing_invented_stands_in_for_the_shops_own() {
    let shop = Shop::with_lifts(&["north-bay"]).await;
    let cookie = shop.cookie(Role::Lead).await;
    // A shop with one job of its own, before any of the invented ones.
    let own = Shop::new().await;
    let lead = own.cookie(Role::Lead).await;
    let book = own.house.book().await.unwrap();
    let signed = book.check_pin(Timestamp::now(), &"lead".parse().unwrap(), PIN).await.unwrap();
    for (kind, id, name) in
        [("lift", "north-bay", "our-lift"), ("vehicle", "long-van", "our-van"), ("job", "brakes", "our-job")]
    {
        let text = shelf::demo::text(kind, id).unwrap();
        let file = ::records::Document::new(text);
        let command = match kind {
            "vehicle" => {
                Command::EnterVehicle { vehicle: name.parse().unwrap(), description: name.into(), file }
            }
            "job" => Command::EnterJob { job: name.parse().unwrap(), description: name.into(), file },
            _ => Command::EnterLift {
                sheet: ::records::LiftSheet {
                    lift: name.parse().unwrap(),
                    bay: "Our lift".into(),
                    maker: "-".into(),
                    model: "-".into(),
                    serial: "-".into(),
                    year: 2020,
                    capacity: "3200 kg".into(),
                    load_split: None,
                    first_used: None,
                },
                file,
            },
        };
        book.act(Timestamp::now(), &signed, &command).await.unwrap();
    }
    for asked in [
        json!({ "lift": "our-lift", "vehicle": "hatchback" }),
        json!({ "lift": "mill-bay", "vehicle": "our-van" }),
        json!({ "lift": "our-lift", "vehicle": "our-van", "job": "brakes" }),
    ] {
        for address in ["/api/plan", "/api/raise"] {
            let (status, said) = own.send_json(address, &lead, &asked).await;
            assert!(status.is_client_error(), "{address} {asked}: {status} {said}");
            assert!(said.contains("no ") || said.contains("not in the book"), "{said}");
        }
    }
    // A key that nobody knows is told, not left out.
    for (address, asked) in [
        ("/api/plan", json!({ "lift": "north-bay", "vehicle": "hatchback", "jobb": "brakes" })),
        ("/api/raise", json!({ "lift": "north-bay", "vehicle": "hatchback", "Job": "brakes" })),
    ] {
        let (status, said) = shop.send_json(address, &cookie, &asked).await;
        assert_eq!(status, axum::http::StatusCode::UNPROCESSABLE_ENTITY, "{said}");
    }
}

/// While the lift must not be used, is taken, or the vehicle is in another raise, the answer itself says so.
#[tokio::test]
async fn what_must_not_be_raised_now_is_not_said_to_be_raised() {
    let shop = Shop::with_lifts(&["north-bay", "mill-bay"]).await;
    let cookie = shop.cookie(Role::Lead).await;
    let at = |lift: &str| format!("/plan?lift={lift}&vehicle=hatchback");
    let verdict = async |lift: &str| {
        let (_, page) = shop.ask(&Method::GET, &at(lift), &cookie, "").await;
        let head = page.split("class=\"verdict ").nth(1).unwrap().split("</section>").next().unwrap();
        head.to_owned()
    };
    assert!(!verdict("mill-bay").await.contains("Not now"));
    shop.json("/api/raise", &cookie, json!({ "lift": "north-bay", "vehicle": "hatchback" })).await;
    let (here, there) = (verdict("north-bay").await, verdict("mill-bay").await);
    assert!(here.starts_with("refused") && here.contains("Not now: raise 1 is on the lift"), "{here}");
    assert!(there.starts_with("refused") && there.contains("Not now: "), "{there}");
    let (_, page) = shop.ask(&Method::GET, &at("mill-bay"), &cookie, "").await;
    assert!(page.contains("hatchback is in raise 1, which has not ended"), "{page}");
    let (_, board) = shop.ask(&Method::GET, "/today?vehicle=hatchback", &cookie, "").await;
    assert!(!board.contains("The best bay is"), "{board}");
    shop.form("/enter/tag", &cookie, "lift=mill-bay&words=oil").await.unwrap();
    let told = verdict("mill-bay").await;
    assert!(told.starts_with("refused") && told.contains("the lift must not be used"), "{told}");
    // While a finger moves things as well.
    let (_, plan) = shop.ask(&Method::GET, &at("mill-bay"), &cookie, "").await;
    let stage: serde_json::Value = serde_json::from_str(&filled_bay(&plan)).unwrap();
    let question = json!({ "lift": "mill-bay", "vehicle": "hatchback", "setup": stage["home"] });
    let answer = shop.json("/api/setup", &cookie, question).await;
    assert!(answer["told"].as_str().unwrap().contains("Not now: the lift must not be used"), "{answer}");
}

/// What stands beside a picture is of it: letters and words come with it.
#[tokio::test]
async fn a_picture_comes_with_its_key() {
    let shop = Shop::with_lifts(&["north-bay"]).await;
    let cookie = shop.cookie(Role::Lead).await;
    let (_, plan) = shop.ask(&Method::GET, "/plan?lift=north-bay&vehicle=hatchback", &cookie, "").await;
    let stage: serde_json::Value = serde_json::from_str(&filled_bay(&plan)).unwrap();
    let mut setup = stage["home"].clone();
    setup["spot_m"] = json!(setup["spot_m"].as_f64().unwrap() + 0.45);
    let question =
        |named: bool| json!({ "lift": "north-bay", "vehicle": "hatchback", "setup": setup, "named": named });
    let answer = shop.json("/api/setup", &cookie, question(true)).await;
    let key = answer["key"].as_str().unwrap();
    assert!(key.starts_with("<ol class=\"key\">") && !plan.contains(key), "{key}");
    assert!(answer["describes"].as_str().unwrap().contains("front wheel 15"), "{answer}");
    assert_eq!(shop.json("/api/setup", &cookie, question(false)).await["key"], "");
}
