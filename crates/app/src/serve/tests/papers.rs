//! What papers of the book say of how it went, and of what counts no more.

use ::records::{Command, Fact, HoldPoint, Judgement, RaiseNumber, ReportField, Role, Rules};
use serde_json::json;
use sheets::{Record, Units};

use super::replays::Led;
use super::{PIN, Shop};
use crate::paper::record::{Which, record};

async fn paper(shop: &Shop, which: Which) -> Record {
    let book = shop.house.book().await.unwrap();
    record(&book, which, Units::Metric).await.unwrap_or_else(|_| panic!("no paper"))
}

fn says<'r>(paper: &'r Record, label: &str) -> Option<&'r str> {
    let mut rows = paper.sections.iter().flat_map(|section| &section.rows);
    rows.find(|(own, _)| own == label).map(|(_, text)| text.as_str())
}

/// Until a point is confirmed the vehicle may be anywhere on the way there: the record says no less, in the words in which it was
/// said then where it is.
#[tokio::test]
async fn a_record_says_how_high_it_may_have_been() {
    const MISSED: &str = "lock";
    const DOWN: &str = "down";
    let cases = [
        ("pads-seated", DOWN, "not raised", false),
        ("arm-locks-engaged", DOWN, "not raised", false),
        ("test-raised", DOWN, "may have been raised for the test", true),
        ("shaken", DOWN, "raised for the test only, and lowered", false),
        ("raised", DOWN, "raised for the test, may have been higher", true),
        ("raised", MISSED, "raised, to", true),
        ("on-locks", DOWN, "raised and lowered", false),
    ];
    for (next, sign, told, with_place) in cases {
        let shop = Shop::with_lifts(&["north-bay"]).await;
        let led = Led::begin(&shop).await;
        led.until(next).await;
        let place = led.now().await["raise"]["it_is"].as_str().unwrap().to_owned();
        led.say("not-right", json!({ "what": sign, "words": "so it was" })).await;
        led.until("").await;
        let page = led.page("/raise/1").await;
        let now = says(&paper(&shop, Which::Raise(1)).await, "Now").unwrap().to_owned();
        for said in [page, now] {
            assert!(said.contains(told), "{next}, {sign}: {said}");
            assert!(!with_place || said.contains(&place), "{next}, {sign}: {place}: {said}");
        }
    }
}

/// The load on a stand is what keeps it from tipping: page and programs ask for it, and of an older book, where nobody wrote it
/// down, the record says that.
#[tokio::test]
async fn a_record_says_where_no_load_was_written_down() {
    const NONE: &str = "Load read: not written down.";
    for words in ["", "2480 N left, 2500 N right"] {
        let shop = Shop::with_lifts(&["north-bay"]).await;
        let begun =
            json!({ "lift": "north-bay", "vehicle": "sports-coupe", "job": "front-end-off-on-stands" });
        let led = Led::begin_with(&shop, begun).await;
        led.until("stands-set").await;
        let page = led.page("/raise/1").await;
        let asked = "of each stand, with its unit, as “253 kg” or “2480 N”<input name=\"words\" required>";
        assert!(page.contains(asked), "{page}");
        assert!(page.contains("do not turn the screw again"), "{page}");
        for (words, why) in
            [("", "Say the load"), ("900", "is no load"), ("9 kN", "was read, and the plan gives")]
        {
            let body = json!({ "point": "stands-set", "words": words, "seen": led.now().await["seen"] });
            let (status, said) = shop.send_json("/api/raise/1/confirm", &led.cookie, &body).await;
            assert!(!status.is_success() && said.contains(why), "{words}: {status} {said}");
        }
        if words.is_empty() {
            let book = shop.house.book().await.unwrap();
            let (now, raise) = (jiff::Timestamp::now(), RaiseNumber(1));
            let lead = book.check_pin(now, &"lead".parse().unwrap(), PIN).await.unwrap();
            let outline = Some(book.shop().await.unwrap().raises[&raise].plan.outline.clone());
            let record = ::records::Document::new("{}");
            let judgement =
                Some(Judgement { outline, record, least_reserve: None, as_found: false, doubt: None });
            let point = HoldPoint::StandsSet;
            let older = Command::Confirm { raise, point, judgement, words: None, seen: None };
            book.act(now, &lead, &older).await.unwrap();
        } else {
            led.say("confirm", json!({ "point": "stands-set", "words": words })).await;
        }
        let all = paper(&shop, Which::Raise(1)).await;
        let rows = &all.sections.iter().find(|section| section.heading == "As it was done").unwrap().rows;
        let said: Vec<_> = rows.iter().filter(|(_, text)| text.contains(NONE)).collect();
        assert_eq!(said.len(), usize::from(words.is_empty()), "{rows:?}");
        let last = &rows.last().unwrap().1;
        assert!(last.contains(if words.is_empty() { NONE } else { words }), "{last}");
    }
}

/// On every page that it counts no more; nothing falls due by it, and nobody signs it.
#[tokio::test]
async fn a_struck_examination_says_so_on_every_page() {
    let shop = Shop::with_lifts(&["north-bay"]).await;
    let book = shop.house.book().await.unwrap();
    let now = jiff::Timestamp::now();
    let check =
        async |role: Role| book.check_pin(now, &role.to_string().parse().unwrap(), PIN).await.unwrap();
    let before = paper(&shop, Which::Examination(1)).await;
    assert_eq!(says(&before, "Verdict"), Some("FIT FOR USE"));
    assert!(says(&before, "Next examination due").is_some() && !before.signed.is_empty());
    assert!(!before.foot.contains("STRUCK OUT"), "{}", before.foot);
    let examined = book.shop().await.unwrap().lifts[&"north-bay".parse().unwrap()].examinations.clone();
    let seq = *examined.keys().next().unwrap();
    book.act(now, &check(Role::Lead).await, &Command::ChooseRules { rules: Rules::UnitedKingdom })
        .await
        .unwrap();
    let strike = Command::Correct { event: seq, words: "the other lift".into() };
    book.act(now, &check(Role::Examiner).await, &strike).await.unwrap();
    let struck = paper(&shop, Which::Examination(1)).await;
    assert!(struck.foot.starts_with("STRUCK OUT, counts no more."), "{}", struck.foot);
    assert_eq!(says(&struck, "Verdict"), Some("counts no more; it was: FIT FOR USE"));
    assert_eq!(says(&struck, "Next examination due"), None);
    assert_eq!(says(&struck, "Rules today"), Some("United Kingdom, six months"));
    assert_eq!(struck.signed, Vec::<String>::new());
    assert!(says(&struck, "Struck out").unwrap().contains("struck out by The examiner"), "{struck:?}");
}

/// A report that was kept when the rules asked for less is read as before.
#[tokio::test]
async fn a_report_with_fewer_fields_is_still_read() {
    let shop = Shop::with_lifts(&["north-bay"]).await;
    let book = shop.house.book().await.unwrap();
    let kept = book.shop().await.unwrap().lifts[&"north-bay".parse().unwrap()].examinations.clone();
    let mut report = serde_json::to_value(&kept.values().next().unwrap().report).unwrap();
    let fields = report["fields"].as_object_mut().unwrap();
    let asked = Rules::UnitedKingdom.rule_set().report_fields.value;
    let new =
        [ReportField::Test, ReportField::ReportDate, ReportField::SignedFor, ReportField::Qualifications];
    for field in new {
        assert!(asked.contains(&field));
        fields.remove(serde_json::to_value(field).unwrap().as_str().unwrap());
    }
    let number = ::records::ExaminationNumber(1);
    let fact = json!({ "kind": "lift-examined", "number": number, "report": report, "paper": null });
    let read: Fact = serde_json::from_value(fact).unwrap();
    assert!(
        matches!(read, Fact::LiftExamined { report, .. } if !report.fields.contains_key(&ReportField::Test))
    );
}
