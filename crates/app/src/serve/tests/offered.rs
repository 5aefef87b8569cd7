//! What a page offers is open to whom it is offered, by the table of routes; and what is taken is said to be.

use std::collections::{BTreeMap, BTreeSet, VecDeque};

use ::records::{May, Role, may};
use axum::http::{Method, StatusCode};
use serde_json::json;

use super::Shop;
use super::replays::Led;
use crate::serve::routes::{self, Need, Route};

/// Pages that are looked at of each route.
const OF_EACH: usize = 3;

/// The route of an address: the one with most of it in words of its own.
fn route<'a>(table: &'a [Route], method: &Method, address: &str) -> &'a Route {
    let path = address.split(['?', '#']).next().unwrap();
    let own = |route: &Route| {
        let (own, path): (Vec<&str>, Vec<&str>) =
            (route.path.split('/').collect(), path.split('/').collect());
        let fits =
            own.len() == path.len() && own.iter().zip(&path).all(|(o, p)| o == p || o.starts_with('{'));
        (fits && route.method == *method).then(|| own.iter().filter(|part| !part.starts_with('{')).count())
    };
    let found = table.iter().filter_map(|route| Some((own(route)?, route))).max_by_key(|(own, _)| *own);
    found.unwrap_or_else(|| panic!("{method} {address} is at no route")).1
}

fn values<'a>(text: &'a str, attribute: &str) -> Vec<String> {
    let all = text.split(attribute).skip(1).filter_map(|rest: &'a str| rest.split('"').next());
    all.map(|value| value.replace("&amp;", "&")).filter(|value| value.starts_with('/')).collect()
}

/// Where a page leads: by links, and by its forms.
fn leads_to(page: &str) -> Vec<(Method, String)> {
    let links = values(page, " href=\"").into_iter().map(|to| (Method::GET, to));
    let forms = page.split("<form ").skip(1).flat_map(|form| {
        let method = if form.split('>').next().unwrap().contains("method=\"post\"") {
            Method::POST
        } else {
            Method::GET
        };
        let form = form.split("</form>").next().unwrap();
        let to = [values(form, "action=\""), values(form, "formaction=\"")].concat();
        to.into_iter().map(move |to| (method.clone(), to)).collect::<Vec<_>>()
    });
    links.chain(forms).collect()
}

/// What is offered to a role, from these pages on, and not open to it; and at how many pages was looked.
async fn closed(shop: &Shop, role: Role, from: &[&str]) -> (BTreeSet<String>, usize) {
    let (table, cookie) = (routes::all(), shop.cookie(role).await);
    let mut ahead: VecDeque<String> = from.iter().map(|at| (*at).to_owned()).collect();
    let (mut seen, mut of_each) = (BTreeSet::new(), BTreeMap::<String, usize>::new());
    let mut closed = BTreeSet::new();
    while let Some(at) = ahead.pop_front() {
        let pattern = route(&table, &Method::GET, &at).path.to_string();
        let looked_at = of_each.entry(pattern).or_default();
        let at = at.split('#').next().unwrap().to_owned();
        if *looked_at == OF_EACH || !seen.insert(at.clone()) {
            continue;
        }
        *looked_at += 1;
        let (status, page) = shop.ask(&Method::GET, &at, &cookie, "").await;
        assert_ne!(status, StatusCode::FORBIDDEN, "{at} by {role}");
        for (method, to) in leads_to(&page) {
            let route = route(&table, &method, &to);
            if matches!(route.need, Need::May(act) if may(role, act) == May::No) {
                closed.insert(format!("{at} offers {method} {to} to {role}"));
            } else if method == Method::GET && !is_taken_along(route) {
                ahead.push_back(to);
            }
        }
    }
    (closed, seen.len())
}

/// What is a file or a stream, and leads nowhere.
fn is_taken_along(route: &Route) -> bool {
    let path = route.path.as_ref();
    let files = ["/file", "/sheet", "/record", "/report", "/backup", "/assets/{name}", "/changes"];
    files.iter().any(|file| path.ends_with(file))
}

const FROM: [&str; 5] = ["/today", "/first-steps", "/records", "/settings", "/plan?find=none-has-it"];

#[tokio::test]
async fn nobody_is_offered_what_is_closed_to_them() {
    let shop = Shop::with_lifts(&["north-bay", "mill-bay"]).await;
    let led = Led::begin_with(&shop, json!({ "lift": "mill-bay", "vehicle": "long-van" })).await;
    led.until("raised").await;
    led.say("abandon", json!({ "words": "the power failed" })).await;
    shop.begin_raise(&led.cookie, "lift=north-bay&vehicle=hatchback").await.unwrap();
    let defect = "lift=long-bay&words=a+pad+is+worn&stops_use=yes";
    shop.form("/enter/defect", &led.cookie, defect).await.unwrap();
    let more = [
        "/raise/1",
        "/raise/2",
        "/lift/mill-bay",
        "/lift/long-bay",
        "/vehicle/long-van",
        "/job/brakes",
        "/practice",
        "/plan?lift=mill-bay&vehicle=hatchback",
    ];
    let new = Shop::new().await;
    let (mut closed_to, mut looked_at) = (BTreeSet::new(), 0);
    for role in Role::ALL {
        for (shop, from) in [(&shop, [&FROM[..], &more].concat()), (&new, FROM.to_vec())] {
            let (found, pages) = closed(shop, role, &from).await;
            closed_to.extend(found);
            looked_at += pages;
        }
    }
    assert!(looked_at > 200, "{looked_at}");
    assert!(closed_to.is_empty(), "{closed_to:#?}");
}

/// A lift is said to be taken wherever it is, and by what; whoever may return it to service is offered that.
#[tokio::test]
async fn a_lift_with_a_vehicle_on_it_is_said_to_be_taken() {
    let shop = Shop::with_lifts(&["north-bay"]).await;
    let technician = shop.cookie(Role::Technician).await;
    let standing = async |cookie: &str| {
        let (_, page) = shop.ask(&Method::GET, "/lift/north-bay", cookie, "").await;
        let standing = page.split("id=\"standing\"").nth(1).unwrap();
        standing.split("id=\"facts\"").next().unwrap().to_owned()
    };
    assert!(standing(&technician).await.contains("May be used."));
    let led = Led::begin(&shop).await;
    // Broken off on the floor, the lift stays fit.
    led.until("arm-locks-engaged").await;
    let taken = standing(&technician).await;
    assert!(taken.contains("Taken") && taken.contains("Raise 1, hatchback, led by lead"), "{taken}");
    assert!(taken.contains("href=\"/raise/1\"") && !taken.contains("May be used"), "{taken}");
    led.say("abandon", json!({ "words": "the power failed" })).await;
    let board = led.page("/today").await;
    let left = board.split("On it: ").nth(1).unwrap().split('.').next().unwrap();
    let (to_lead, to_technician) = (standing(&led.cookie).await, standing(&technician).await);
    for taken in [&to_lead, &to_technician] {
        assert!(taken.contains("Taken") && taken.contains(left) && !taken.contains("May be used"), "{taken}");
    }
    assert!(to_lead.contains("/enter/return?lift=north-bay"), "{to_lead}");
    assert!(to_technician.contains("by lead or examiner") && !to_technician.contains("/enter/return"));
    assert!(!led.page("/raise/1").await.contains("Plan the next vehicle here"));
    shop.form("/enter/return", &led.cookie, "lift=north-bay&words=it+was+lowered").await.unwrap();
    assert!(!standing(&technician).await.contains("Taken"));
}
