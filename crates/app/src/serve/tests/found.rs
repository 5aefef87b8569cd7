//! What a search of the records finds.

use ::records::{Command, Role};
use axum::http::Method;
use jiff::Timestamp;

use super::{PIN, Shop};

/// The newest first, a page at a time back to the beginning, each event once.
#[tokio::test]
async fn a_search_goes_back_page_by_page() {
    const CREAKS: usize = 230;
    let shop = Shop::with_lifts(&[]).await;
    let book = shop.house.book().await.unwrap();
    let lead = book.check_pin(Timestamp::now(), &"lead".parse().unwrap(), PIN).await.unwrap();
    for n in 0..CREAKS {
        let words = format!("creak number {n}.");
        let command = Command::ReportDefect { lift: "mill-bay".parse().unwrap(), words, stops_use: false };
        book.act(Timestamp::now(), &lead, &command).await.unwrap();
    }
    let cookie = shop.cookie(Role::Lead).await;
    let (mut at, mut seen, mut pages) = ("/records?words=CREAK%20number".to_owned(), vec![], vec![]);
    loop {
        let (_, page) = shop.ask(&Method::GET, &at, &cookie, "").await;
        let numbers =
            page.split("creak number ").skip(1).map(|rest| rest.split('.').next().unwrap().to_owned());
        let before = seen.len();
        seen.extend(numbers);
        pages.push(seen.len() - before);
        let further = page
            .split("href=\"/records?words=")
            .nth(1)
            .map(|rest| rest.split('"').next().unwrap().to_owned());
        let Some(further) = further else { break };
        at = format!("/records?words={}", further.replace("&amp;", "&"));
    }
    assert_eq!(pages, [100, 100, 30]);
    let all: Vec<String> = (0..CREAKS).rev().map(|n| n.to_string()).collect();
    assert_eq!(seen, all);
    let (_, page) = shop.ask(&Method::GET, "/records?words=neverwritten", &cookie, "").await;
    assert!(page.contains("Nothing in the book says that."), "{page}");
}

/// Of many vehicles a plan's page offers some, and of those that have it all that a part of the mark finds.
#[tokio::test]
async fn many_vehicles_are_narrowed_by_a_part_of_their_mark() {
    let shop = Shop::with_lifts(&[]).await;
    let book = shop.house.book().await.unwrap();
    let lead = book.check_pin(Timestamp::now(), &"lead".parse().unwrap(), PIN).await.unwrap();
    let file = ::records::Document::new(include_str!("../../../../../demo/vehicles/hatchback.toml"));
    for n in 0..300 {
        let vehicle = format!("fleet-{n:03}").parse().unwrap();
        let command =
            Command::EnterVehicle { vehicle, description: format!("number {n}"), file: file.clone() };
        book.act(Timestamp::now(), &lead, &command).await.unwrap();
    }
    let offered = async |path: &str| {
        let (_, page) = shop.ask(&Method::GET, path, "", "").await;
        let select = page.split("name=\"vehicle\"").nth(1).unwrap().split("</select>").next().unwrap();
        let all =
            select.split("<option value=\"").skip(1).map(|rest| rest.split('"').next().unwrap().to_owned());
        (all.collect::<Vec<String>>(), page.contains("more vehicles"))
    };
    let (all, more) = offered("/plan?lift=north-bay&vehicle=fleet-250").await;
    assert!(all.len() < 40 && more && all.contains(&"fleet-250".to_owned()), "{all:?}");
    let (all, _) = offered("/plan?lift=north-bay&vehicle=fleet-250&find=29").await;
    let found: Vec<&String> = all.iter().filter(|id| id.contains("29")).collect();
    assert_eq!(found.len(), 13, "{all:?}");
    assert!(all.len() <= 14, "{all:?}");
}

/// The mark below the code of a sheet finds its plan in the records, kept or raised by, and no other.
#[tokio::test]
async fn a_mark_leads_to_its_plan() {
    let shop = Shop::with_lifts(&["north-bay"]).await;
    let cookie = shop.cookie(Role::Lead).await;
    let query = "lift=north-bay&vehicle=hatchback&job=brakes";
    let (sheet, _) = shop.download(&format!("/plan/sheet?{query}"), "").await;
    let mark = sheet.split("sheet-").nth(1).unwrap().split('.').next().unwrap().to_owned();
    assert_eq!(mark.len(), 12);
    let of_mark = format!("/records?words={}", mark.to_uppercase());
    let (_, page) = shop.ask(&Method::GET, &of_mark, &cookie, "").await;
    assert!(page.contains("Nothing in the book says that."), "{page}");
    let kept = shop.form("/plan/keep", &cookie, query).await.unwrap();
    shop.form("/plan/keep", &cookie, "lift=north-bay&vehicle=hatchback").await.unwrap();
    let (_, page) = shop.ask(&Method::GET, &of_mark, &cookie, "").await;
    assert_eq!(page.matches("href=\"/plan/kept/").count(), 1, "{page}");
    assert!(page.contains(&format!("href=\"{kept}\"")), "{page}");
    // Begun by that plan, the raise is found as well.
    shop.begin_raise(&cookie, query).await.unwrap();
    let (_, page) = shop.ask(&Method::GET, &of_mark, &cookie, "").await;
    assert!(page.contains("Raise 1 begun"), "{page}");
}

#[tokio::test]
async fn a_name_leads_to_its_record() {
    let shop = Shop::with_lifts(&[]).await;
    let cookie = shop.cookie(Role::Lead).await;
    for (words, to) in [
        ("mill", "/lift/mill-bay"),
        ("Mill+BAY", "/lift/mill-bay"),
        ("pickup", "/vehicle/pickup"),
        ("the+examiner", "/person/examiner"),
    ] {
        let (_, page) = shop.ask(&Method::GET, &format!("/records?words={words}"), &cookie, "").await;
        let found = page.split("<h2>Found</h2>").nth(1).unwrap().split("</section>").next().unwrap();
        assert!(found.contains(&format!("class=\"button\" href=\"{to}\"")), "{words}: {found}");
    }
    let (_, page) = shop.ask(&Method::GET, "/records?words=ickup", &cookie, "").await;
    assert!(page.contains("Nothing in the book says that."), "a part from the middle of a word finds it");
}
