//! From a new book to the first raise: what is missing is said, each with its form, until nothing is.

use ::records::{CheckItem, Role};
use axum::http::Method;

use super::{PIN, Shop};

/// The links of a part of a page, unescaped.
fn links(page: &str) -> Vec<String> {
    let all = page.split("href=\"").skip(1).filter_map(|rest| rest.split('"').next());
    all.map(|link| link.replace("&amp;", "&")).collect()
}

fn first_raise(page: &str) -> &str {
    let from = page.find("id=\"first-raise\"").unwrap_or_else(|| panic!("{page}"));
    page[from..].split("</section>").next().unwrap()
}

/// Followed link by link, each form filled in as it came, the list grows shorter until a raise may begin; then it is gone.
#[tokio::test]
async fn the_first_steps_lead_on_until_a_raise_can_begin() {
    let shop = Shop::new().await;
    let lead = shop.cookie(Role::Lead).await;
    let steps = async |cookie: &str| shop.ask(&Method::GET, "/first-steps", cookie, "").await.1;
    assert!(!steps(&lead).await.contains("first-raise"), "no lift, no bay to raise in");
    shop.form("/invented", &lead, "").await.unwrap();
    shop.form("/enter/person", &lead, "name=R.+Nu&person=r-nu&role=technician&of_age=1990-01-01")
        .await
        .unwrap();
    let page = steps(&lead).await;
    let list = first_raise(&page);
    for says in [
        "R. Nu has no PIN",
        "R. Nu is not instructed",
        "R. Nu is not authorised",
        "No examination that counts",
        "It was not checked before use",
    ] {
        assert!(list.contains(says), "{says}: {list}");
    }
    assert!(!list.contains("The lead is not"), "the lead lacks nothing: {list}");
    // A lead may do all but examine.
    assert!(
        list.contains("by examiner")
            && !links(list).iter().any(|link| link.starts_with("/enter/examination"))
    );
    shop.form("/person/r-nu/pin", &lead, &format!("present={PIN}&pin={PIN}&again={PIN}")).await.unwrap();
    // Who may not check a lift yet is told who may, before a form is filled in.
    let book = shop.house.book().await.unwrap();
    let signed = book.check_pin(jiff::Timestamp::now(), &"r-nu".parse().unwrap(), PIN).await.unwrap();
    let newcomer = format!("standfast={}", shop.house.sessions.begin(signed).unwrap());
    let (_, seen) = shop.ask(&Method::GET, "/today", &newcomer, "").await;
    assert!(!seen.contains("/enter/check?") && seen.contains("R. Nu is not instructed on lifts"), "{seen}");
    for form in ["instruction", "authorisation"] {
        let link = links(list)
            .into_iter()
            .find(|link| link.starts_with(&format!("/enter/{form}?person=r-nu")))
            .unwrap();
        let (_, filled) = shop.ask(&Method::GET, &link, &lead, "").await;
        assert!(
            filled.contains("<option value=\"r-nu\" selected>")
                && filled.contains("type=\"date\" value=\"20"),
            "{filled}"
        );
        let rest = if form == "authorisation" { "&paper=folder+3" } else { "" };
        shop.form(&format!("/enter/{form}"), &lead, &format!("{}{rest}", link.split_once('?').unwrap().1))
            .await
            .unwrap();
    }
    let page = steps(&lead).await;
    assert!(!first_raise(&page).contains("R. Nu"), "{page}");
    // The examiner finds the report begun, and writes what was found.
    let examiner = shop.cookie(Role::Examiner).await;
    let page = steps(&examiner).await;
    let link = links(first_raise(&page))
        .into_iter()
        .find(|l| l.starts_with("/enter/examination?lift=north-bay"))
        .unwrap();
    let (_, filled) = shop.ask(&Method::GET, &link, &examiner, "").await;
    assert!(
        filled.contains("value=\"The examiner\"")
            && !filled.contains("value=\"yes\" required checked")
            && filled.contains("value=\"regular\" required checked"),
        "{filled}"
    );
    let found = "&fit=yes&scope=all&defects=none&retest=no&examiner-address=here&signature=folder+4";
    let report = format!("{}{found}", link.split_once('?').unwrap().1);
    let twice =
        shop.form("/enter/examination", &examiner, &format!("{report}&scope=arms")).await.unwrap_err();
    assert!(twice.contains("“scope” is given twice"), "{twice}");
    shop.form("/enter/examination", &examiner, &report).await.unwrap();
    // The lead confirms it where the report can be read; the examiner is offered no such thing.
    let page = steps(&lead).await;
    assert!(links(first_raise(&page)).contains(&"/lift/north-bay#examination-1".to_owned()), "{page}");
    let (_, seen) = shop.ask(&Method::GET, "/lift/north-bay", &examiner, "").await;
    assert!(!seen.contains("Confirm examination 1"));
    let (_, lift) = shop.ask(&Method::GET, "/lift/north-bay", &lead, "").await;
    let report = lift.split("id=\"examination-1\"").nth(1).unwrap().split("</details>").next().unwrap();
    assert!(report.contains("folder 4") && report.contains("Confirm examination 1"), "{report}");
    let back = shop.form("/enter/confirmation", &lead, "examination=1&lift=north-bay").await.unwrap();
    assert_eq!(back, "/lift/north-bay");
    let (_, lift) = shop.ask(&Method::GET, &back, &lead, "").await;
    assert!(!lift.contains("Confirm examination 1"), "confirmed once");
    // Today's check, from the board.
    let (_, board) = shop.ask(&Method::GET, "/today", &lead, "").await;
    assert_eq!(board.matches("Check it now").count(), 3);
    assert!(board.contains("/enter/check?lift=north-bay"));
    assert!(shop.ask(&Method::GET, "/today", "", "").await.1.contains("Sign in to check it"));
    let items = CheckItem::all()
        .map(|item| format!("&{}=right", serde_json::to_value(item).unwrap().as_str().unwrap()));
    shop.form("/enter/check", &lead, &format!("lift=north-bay{}", items.collect::<String>())).await.unwrap();
    let (_, board) = shop.ask(&Method::GET, "/today", &lead, "").await;
    assert_eq!(board.matches("Check it now").count(), 2);
    let page = steps(&lead).await;
    let bay = first_raise(&page).split("<h3>North bay</h3>").nth(1).unwrap();
    assert!(bay.starts_with("<p>Nothing is missing here."), "{bay}");
    assert!(board.contains("/first-steps#first-raise"));
    shop.begin_raise(&lead, "lift=north-bay&vehicle=hatchback&job=").await.unwrap();
    assert!(!steps(&lead).await.contains("first-raise"));
    let (_, board) = shop.ask(&Method::GET, "/today", &lead, "").await;
    assert!(!board.contains("/first-steps#first-raise"));
}

/// Every reason why a lift may not be used leads to what mends it.
#[tokio::test]
async fn what_stops_a_lift_leads_to_its_cure() {
    let shop = Shop::with_lifts(&["north-bay"]).await;
    let lead = shop.cookie(Role::Lead).await;
    let page = async || shop.ask(&Method::GET, "/lift/north-bay", &lead, "").await.1;
    assert!(page().await.contains("May be used."));
    shop.form("/enter/defect", &lead, "lift=north-bay&words=oil&stops_use=yes").await.unwrap();
    assert!(links(&page().await).contains(&"/enter/repair?defect=1".to_owned()));
    shop.form("/enter/repair", &lead, "defect=1&words=sealed&bears_load=no").await.unwrap();
    assert!(links(&page().await).contains(&"/enter/return?lift=north-bay".to_owned()));
    shop.form("/enter/return", &lead, "lift=north-bay&words=looked+at").await.unwrap();
    let told = page().await;
    let told = told.split("Must not be used").nth(1).unwrap().split("</section>").next().unwrap();
    assert_eq!(links(told), ["/enter/check?lift=north-bay"]);
}

/// A form that is sent again writes nothing again, unless it may have been undone since.
#[tokio::test]
async fn what_is_sent_again_is_said_again_once_it_was_undone() {
    let shop = Shop::with_lifts(&["north-bay"]).await;
    let (tech, lead) = (shop.cookie(Role::Technician).await, shop.cookie(Role::Lead).await);
    let tag = "lift=north-bay&words=frayed+cable&shown_as=technician&page_of=1";
    let head = async || shop.house.book().await.unwrap().hall().await.unwrap().head.seq;
    let first = shop.form("/enter/tag", &tech, tag).await.unwrap();
    let tagged = head().await;
    for _ in 0..2 {
        assert_eq!(shop.form("/enter/tag", &tech, tag).await.as_ref(), Ok(&first));
        assert_eq!(head().await, tagged);
    }
    shop.form("/enter/return", &lead, "lift=north-bay&words=mended&shown_as=lead").await.unwrap();
    let returned = head().await;
    shop.form("/enter/tag", &tech, tag).await.unwrap();
    assert!(head().await > returned, "it is out of service again");
}
