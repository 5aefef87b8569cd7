//! What the shop goes by is chosen on the page of settings, by who may.

use ::records::{Role, Rules};
use axum::http::{Method, StatusCode};
use planner::limits::Name;

use super::Shop;
use crate::serve::settings::limits::in_force;

async fn now(shop: &Shop) -> ::records::Shop {
    shop.house.book().await.unwrap().shop().await.unwrap()
}

/// The forms stand on the page of who may fill them in, filled in as the shop is now.
#[tokio::test]
async fn who_may_finds_the_forms_and_who_may_not_sees_what_holds() {
    let shop = Shop::new().await;
    let (_, page) = shop.ask(&Method::GET, "/settings", &shop.cookie(Role::Lead).await, "").await;
    for form in ["/enter/units", "/enter/zone", "/enter/rules", "/enter/own-rules"] {
        assert!(page.contains(&format!("action=\"{form}\"")), "{form}");
    }
    assert!(page.contains("<option value=\"germany\" selected>") && page.contains("value=\"Europe/Berlin\""));
    assert!(!page.contains("/enter/clock"), "the clock is right");
    let (_, page) = shop.ask(&Method::GET, "/settings", &shop.cookie(Role::Technician).await, "").await;
    assert!(!page.contains("/enter/") && !page.contains("href=\"/settings/limits\""), "{page}");
    assert!(page.contains("Europe/Berlin") && page.contains("Edge distance"));
}

/// Chosen once for the shop; a tablet on which somebody chose otherwise stays as it is.
#[tokio::test]
async fn the_shops_units_are_those_of_every_tablet_that_chose_none() {
    let shop = Shop::with_lifts(&[]).await;
    let lead = shop.cookie(Role::Lead).await;
    let shows = async |cookie: &str| {
        let (_, page) = shop.ask(&Method::GET, "/plan?lift=north-bay&vehicle=hatchback", cookie, "").await;
        (page.contains(" kg</dd>"), page.contains(" lb</dd>"))
    };
    assert_eq!(shows("").await, (true, false));
    assert_eq!(shop.form("/enter/units", &lead, "units=us").await.unwrap(), "/settings");
    assert_eq!(now(&shop).await.units, ::records::Units::Us);
    assert_eq!(shows("").await, (false, true));
    assert_eq!(shows("units=metric").await, (true, false));
}

#[tokio::test]
async fn zone_and_rules_are_chosen_or_refused_at_the_form() {
    let shop = Shop::new().await;
    let lead = shop.cookie(Role::Lead).await;
    let refused = shop.form("/enter/zone", &lead, "zone=Europe%2FNowhere").await.unwrap_err();
    assert!(
        refused.contains("“Europe/Nowhere” is not known") && refused.contains("value=\"Europe/Nowhere\"")
    );
    shop.form("/enter/zone", &lead, "zone=America%2FDenver").await.unwrap();
    assert_eq!(now(&shop).await.zone.name(), "America/Denver");
    shop.form("/enter/rules", &lead, "rules=australia").await.unwrap();
    assert_eq!(now(&shop).await.rules, Rules::Australia);
    let examiner = shop.cookie(Role::Examiner).await;
    let asks_next_due = async || {
        let (_, page) = shop.ask(&Method::GET, "/enter/examination", &examiner, "").await;
        let field = page.split("name=\"next_due\"").nth(1).unwrap().split('>').next().unwrap().to_owned();
        (field.contains("required"), !page.contains("Next one due by, if the examiner says so"))
    };
    assert_eq!(asks_next_due().await, (false, false));
    let own = |months: u16| {
        format!("source=the+insurer&examination_months={months}&check_each_day=yes&scope=yes&next-due=yes")
    };
    let refused = shop.form("/enter/own-rules", &lead, &own(500)).await.unwrap_err();
    assert!(refused.contains("1 to 120 months"), "{refused}");
    shop.form("/enter/own-rules", &lead, &own(6)).await.unwrap();
    let Rules::Own(rules) = now(&shop).await.rules.clone() else { panic!("not the shop's own") };
    assert_eq!((rules.examination_months, rules.check_each_day, rules.instruction_months), (6, true, None));
    assert_eq!(rules.report_fields.len(), 2);
    assert_eq!(asks_next_due().await, (true, true));
    let (_, page) = shop.ask(&Method::GET, "/settings", &lead, "").await;
    assert!(page.contains("value=\"the insurer\"") && page.contains("every 6 months"), "{page}");
}

/// Each limit beside its default and its source; what is wrong is told at its field, and nothing is changed then.
#[tokio::test]
async fn limits_are_set_with_their_sources_or_told_what_is_wrong() {
    let shop = Shop::with_lifts(&[]).await;
    let lead = shop.cookie(Role::Lead).await;
    let (status, page) = shop
        .ask(
            &Method::POST,
            "/settings/limits",
            &lead,
            "edge_distance=2+m&edge_distance-source=us&roof_air=100&roof_air-source=us&pad_clearance=20+mm&level-source=us",
        )
        .await;
    assert_eq!(status, StatusCode::UNPROCESSABLE_ENTITY);
    // Told between its own legend and the next.
    let at = |title: &str| {
        page.split(&format!("<legend>{title}</legend>")).nth(1).unwrap().split("</fieldset>").next().unwrap()
    };
    for (title, says) in [
        ("Edge distance", "a shop may choose"),
        ("Air above the roof", "no unit"),
        ("Pad to keep-out", "It is not said where this comes from"),
        ("Level", "A source without a value"),
    ] {
        assert!(at(title).contains("class=\"wrong\"") && at(title).contains(says), "{title}: {}", at(title));
    }
    assert!(!at("Arm to tyre").contains("class=\"wrong\""));
    assert!(page.contains("value=\"2 m\""), "what was typed stays");
    assert_eq!(now(&shop).await.limits, None);
    // The defaults as they are, or what holds once more, change nothing, so that nothing under way is held up.
    let as_before = async |body: &str| {
        let before = now(&shop).await.limits_entered.clone();
        let (status, page) = shop.ask(&Method::POST, "/settings/limits", &lead, body).await;
        assert_eq!(status, StatusCode::OK, "{page}");
        assert!(page.contains("Nothing was changed"), "{page}");
        assert_eq!(now(&shop).await.limits_entered, before);
    };
    as_before("").await;
    let good = "edge_distance=5+cm&edge_distance-source=house+rule&roof_air=6+in&roof_air-source=insurer";
    assert_eq!(shop.form("/settings/limits", &lead, good).await.unwrap(), "/settings");
    let book = shop.house.book().await.unwrap();
    let limits = in_force(&book).await.unwrap();
    assert!(
        (limits.get(Name::EdgeDistance) - 0.05).abs() < 1e-12
            && (limits.get(Name::RoofAir) - 0.1524).abs() < 1e-12
    );
    let (_, page) = shop.ask(&Method::GET, "/settings", &lead, "").await;
    assert!(
        page.contains("the shop's own: house rule; default 100 mm")
            && page.contains("looser than the default"),
        "{page}"
    );
    as_before(&good.replace("5+cm", "50+mm")).await;
    // The form begins with what holds, as it was written, and a plan goes by it.
    let (_, page) = shop.ask(&Method::GET, "/settings/limits", &lead, "").await;
    assert!(page.contains("value=\"6 in\"") && page.contains("value=\"house rule\""), "{page}");
    let (_, plan) = shop.ask(&Method::GET, "/plan?lift=north-bay&vehicle=hatchback", &lead, "").await;
    assert!(plan.contains("house rule"), "{plan}");
    // Everything emptied is the defaults again.
    shop.form("/settings/limits", &lead, "").await.unwrap();
    assert_eq!(in_force(&book).await.unwrap(), planner::Limits::default());
}
