//! Which bay takes a vehicle.

use ::records::Role;
use axum::http::{Method, StatusCode};
use serde_json::{Value, json};

use super::Shop;

const ALL: [&str; 3] = ["long-bay", "mill-bay", "north-bay"];

async fn asked(shop: &Shop, question: Value) -> (Vec<Value>, String) {
    let answer = shop.json("/api/bays", "", question).await;
    (answer["bays"].as_array().unwrap().clone(), answer["told"].as_str().unwrap().to_owned())
}

/// Verdict and reserve of every bay are those of its plan, and no bay stands before a better one.
#[tokio::test]
async fn every_bay_answers_as_its_plan_does_the_best_first() {
    let shop = Shop::with_lifts(&ALL).await;
    let (mut refused, mut best) = (0, vec![]);
    for (vehicle, job) in [
        ("hatchback", ""),
        ("long-van", "loaded-van-exhaust"),
        ("pickup", "rear-axle-off"),
        ("recovery-truck", ""),
    ] {
        let (bays, _) = asked(&shop, json!({ "vehicle": vehicle, "job": job })).await;
        assert_eq!(bays.len(), ALL.len());
        let mut before: Option<(usize, f64)> = None;
        for bay in &bays {
            let names = json!({ "lift": bay["lift"], "vehicle": vehicle, "job": job });
            let plan = shop.json("/api/plan", "", names).await;
            assert_eq!(bay["verdict"], plan["verdict"], "{bay}");
            let rank = ["raise", "raise-with-conditions", "do-not-raise"]
                .iter()
                .position(|verdict| plan["verdict"] == *verdict)
                .unwrap();
            let reserve = bay["reserve"].as_f64().unwrap();
            if rank < 2 {
                assert_eq!(bay["reserve"], plan["worst_reserve"], "{bay}");
                assert_eq!(bay["check"], plan["worst_check"]);
            } else {
                assert_eq!(bay["why"][0], plan["refusals"][0], "{bay}");
                refused += 1;
            }
            assert!(before.is_none_or(|(r, left)| (r, -left) <= (rank, -reserve)), "{bays:?}");
            before = Some((rank, reserve));
        }
        let marked: Vec<bool> = bays.iter().map(|bay| bay["best"].as_bool().unwrap()).collect();
        assert_eq!(marked, [bays[0]["verdict"] != "do-not-raise", false, false], "{vehicle}");
        best.push(bays[0]["lift"].as_str().unwrap().to_owned());
    }
    assert!(refused > 0, "no bay refused anything");
    assert!(best.iter().any(|lift| *lift != best[0]), "always the same bay is best: {best:?}");
}

#[tokio::test]
async fn a_lift_that_may_not_be_used_is_named_with_why_and_not_offered() {
    let shop = Shop::with_lifts(&["north-bay"]).await;
    let (bays, told) = asked(&shop, json!({ "vehicle": "hatchback", "on": "mill-bay" })).await;
    assert_eq!(bays[0]["lift"], "north-bay");
    assert_eq!(bays[0]["best"], true);
    for bay in &bays[1..] {
        assert_eq!((&bay["may_be_used"], &bay["verdict"]), (&json!(false), &Value::Null));
        assert!(bay["why"][0].as_str().unwrap().contains("examination"), "{bay}");
        let last = bay["why"].as_array().unwrap().last().unwrap().as_str().unwrap();
        assert!(last.starts_with("It would fit"), "{bay}");
    }
    let (bays, _) = asked(&shop, json!({ "vehicle": "recovery-truck", "on": "mill-bay" })).await;
    let mill = bays.iter().find(|bay| bay["lift"] == "mill-bay").unwrap();
    let names = json!({ "lift": "mill-bay", "vehicle": "recovery-truck" });
    let plan = shop.json("/api/plan", "", names).await;
    let refused = plan["refusals"][0].as_str().unwrap();
    assert!(mill["why"].to_string().contains(&format!("It would not fit: {refused}")), "{mill}");
    assert!(told.contains("Mill bay: Must not be used"), "{told}");
    assert!(told.contains("The best bay is <strong>North bay"), "{told}");
    assert!(told.contains("/plan?lift=north-bay&amp;vehicle=hatchback\""), "{told}");
    assert!(!told.contains("/plan?lift=mill-bay"), "{told}");

    let lead = shop.cookie(Role::Lead).await;
    shop.begin_raise(&lead, "lift=north-bay&vehicle=hatchback&job=").await.unwrap();
    let (bays, told) = asked(&shop, json!({ "vehicle": "pickup" })).await;
    assert_eq!((&bays[0]["taken_by"], &bays[0]["best"]), (&json!(1), &json!(false)), "it is taken");
    assert!(told.contains("No bay that is free and may be used takes it."), "{told}");
    let (bays, told) = asked(&shop, json!({ "vehicle": "hatchback", "on": "north-bay" })).await;
    assert_eq!(bays[0]["short"], "Taken by raise 1");
    assert!(told.contains("<strong>North bay: Taken by <a href=\"/raise/1\">raise 1</a></strong>"), "{told}");
    let (_, page) = shop.ask(&Method::GET, "/plan?lift=north-bay&vehicle=hatchback", &lead, "").await;
    assert!(page.contains("Taken by <a href=\"/raise/1\">raise 1</a>"), "{page}");
    assert!(!page.contains("Begin the raise"), "{page}");
}

/// Without scripts: a mark is typed, the page answers.
#[tokio::test]
async fn the_board_answers_without_scripts() {
    let shop = Shop::with_lifts(&["north-bay"]).await;
    let (status, page) = shop.ask(&Method::GET, "/today?find=hatch", "", "").await;
    assert_eq!(status, StatusCode::OK);
    assert!(
        page.contains("battery-hatch") && !page.contains("Which bay takes hatchback?"),
        "two have it in their mark"
    );
    assert!(!page.contains("data-vehicle=\"pickup\""), "what was not looked for is not offered");
    let (_, page) = shop.ask(&Method::GET, "/today?find=HATCH%20back&job=brakes", "", "").await;
    // Whose answer it is stands in each.
    assert!(page.contains("Which bay takes hatchback for brakes?"), "{page}");
    assert!(page.contains("<p class=\"fit\">hatchback, brakes: Takes it"), "{page}");
    assert!(page.contains("href=\"/plan?lift=north-bay&amp;vehicle=hatchback&amp;job=brakes\""), "{page}");
    let (_, page) = shop.ask(&Method::GET, "/today?find=nothing-such", "", "").await;
    assert!(page.contains("No vehicle here has"), "{page}");
    let (_, page) = shop.ask(&Method::GET, "/today?vehicle=nobody", "", "").await;
    assert!(page.contains("There is no vehicle"), "{page}");
}
