//! What a page needs to be seen, and what must not be there.

use std::collections::BTreeSet;

use ::records::Role;
use axum::http::Method;

use super::Shop;
use crate::serve::assets;

const PLAN: &str = "/plan?lift=north-bay&vehicle=hatchback&job=brakes";

fn style() -> &'static str {
    assets::ALL.iter().find(|asset| asset.0 == "style.css").unwrap().2
}

/// A drawing names its tones; in one that no colour is given to, lines would be gone, in dim surroundings only.
#[tokio::test]
async fn every_tone_of_a_drawing_has_a_colour_in_bright_and_in_dim_surroundings() {
    let shop = Shop::with_lifts(&["north-bay"]).await;
    let cookie = shop.cookie(Role::Lead).await;
    let mut tones = BTreeSet::new();
    for page in [PLAN, "/measure/lift/columns.inside", "/practice/invented/a-first-spot"] {
        let (_, page) = shop.ask(&Method::GET, page, &cookie, "").await;
        tones.extend(page.split("var(").skip(1).map(|rest| rest.split(')').next().unwrap().to_owned()));
    }
    assert!(tones.len() > 3, "{tones:?}");
    let (bright, dim) = style().split_once("prefers-color-scheme: dark").unwrap();
    let dim = dim.split("\n}").next().unwrap();
    for tone in tones {
        for (part, says) in [(bright, "bright"), (dim, "dim")] {
            assert!(part.contains(&format!("{tone}: #")), "{tone} has no colour in {says} surroundings");
        }
    }
}

/// The states of a job are walked through by links, one at a time; there is no way before the first and after the last.
#[tokio::test]
async fn a_job_is_walked_through_state_by_state() {
    let shop = Shop::with_lifts(&["north-bay"]).await;
    let cookie = shop.cookie(Role::Lead).await;
    let of = async |state: &str| {
        let at = format!("/plan?lift=long-bay&vehicle=long-van&job=loaded-van-exhaust{state}");
        let (_, page) = shop.ask(&Method::GET, &at, &cookie, "").await;
        page.split("id=\"states\"").nth(1).unwrap().split("</section>").next().unwrap().to_owned()
    };
    let first = of("").await;
    assert!(
        first.contains("State 1 of 5") && first.contains("rel=\"next\"") && !first.contains("rel=\"prev\"")
    );
    let second = of("&state=1").await;
    assert!(second.contains("State 2 of 5") && second.contains("Centre of gravity"), "{second}");
    let last = of("&state=99").await;
    assert!(last.contains("State 5 of 5") && last.contains("rel=\"prev\"") && !last.contains("rel=\"next\""));
}

/// Who goes back to the best is offered what the plan offers: the raise, and the plan's own address.
#[tokio::test]
async fn back_at_the_best_it_is_the_plan_again() {
    let shop = Shop::with_lifts(&["north-bay"]).await;
    let cookie = shop.cookie(Role::Lead).await;
    let (_, page) = shop.ask(&Method::GET, PLAN, &cookie, "").await;
    let bay = page.split("data-bay=\"").nth(1).unwrap().split('"').next().unwrap().replace("&quot;", "\"");
    let bay: serde_json::Value = serde_json::from_str(&bay).unwrap();
    let told = async |ahead: f64| {
        let mut question = bay["question"].clone();
        question["setup"] = bay["home"].clone();
        question["setup"]["spot_m"] = (bay["home"]["spot_m"].as_f64().unwrap() + ahead).into();
        question["named"] = true.into();
        shop.json("/api/setup", &cookie, question).await
    };
    let moved = told(0.02).await;
    assert!(moved["told"].as_str().unwrap().contains("As you moved it"));
    assert!(moved["page"].as_str().unwrap().contains("spot="));
    let best = told(0.0).await;
    assert!(!best["told"].as_str().unwrap().contains("As you moved it"));
    assert!(best["told"].as_str().unwrap().contains("action=\"/raise\""));
    assert_eq!(best["page"], PLAN);
}

/// A figure that would be odd in a file is asked about before it is written, each figure anew; the vehicle's page then tells it.
#[tokio::test]
async fn an_odd_measurement_is_looked_at_again() {
    let shop = Shop::with_lifts(&["north-bay"]).await;
    let lead = shop.cookie(Role::Lead).await;
    let fields = |value: &str, right: &str| {
        let right = if right.is_empty() { String::new() } else { format!("&right={right}") };
        format!("vehicle=hatchback&what=weight.front_axle&value={value}&how=scale{right}")
    };
    let write =
        async |value: &str, right: &str| shop.form("/enter/measurement", &lead, &fields(value, right)).await;
    let page = async || shop.ask(&Method::GET, "/vehicle/hatchback", &lead, "").await.1;
    assert!(!page().await.contains("Measured since its file"));
    let again = write("7120+kg", "").await.unwrap_err();
    assert!(again.contains("Look again") && again.contains("It is right, write it so"), "{again}");
    assert!(again.contains("Nothing was written yet"), "{again}");
    let (_, right) = again.split_once("name=\"right\" value=\"").unwrap();
    let right = right.split_once('"').unwrap().0.replace("&quot;", "\"");
    let right: String = url::form_urlencoded::byte_serialize(right.as_bytes()).collect();
    let other = write("7130+kg", &right).await.unwrap_err();
    assert!(other.contains("Look again"), "{other}");
    assert!(!page().await.contains("Measured since its file"));
    assert_eq!(write("7120+kg", &right).await.unwrap(), "/vehicle/hatchback");
    let told = page().await;
    assert!(told.contains("Measured since its file") && told.contains("7120 kg: scale"), "{told}");
    let back = write("720+kg", "").await.unwrap_err();
    assert!(back.contains("It was “7120 kg” until now"), "{back}");
    let part = "vehicle=hatchback&what=parts.engine+and+gearbox.mass&value=1.82+kg&how=scale";
    let part = shop.form("/enter/measurement", &lead, part).await.unwrap_err();
    assert!(part.contains("It was “182 kg") && part.contains("differs by more than a tenth"), "{part}");
    let alone = "vehicle=hatchback&what=weight.front_left&value=300+kg&how=scale";
    let again = shop.form("/enter/measurement", &lead, alone).await.unwrap_err();
    assert!(again.contains("No plan can be made of it so"), "{again}");
}
