//! From a plan on: in the units that were chosen, into the book, to the raise.

use ::records::{Fact, Role, Seq};
use axum::http::Method;
use serde_json::json;
use sheets::Units;

use super::{PIN, Shop};
use crate::paper::record::{Which, record};
use crate::verb::raise::{Recomputed, recomputed};

const AT: &str = "/plan?lift=north-bay&vehicle=hatchback&job=brakes";
/// By its figures alone.
const QUICK: &str = "wheelbase=2520&mass=1180&body=hatchback&drive=front&front=580&rear=1980&left=700";

/// The part of a page that is its own.
fn main(page: &str) -> &str {
    let from = page.find("<main").unwrap();
    &page[from..]
}

/// What stands in the fields of a page, by name.
fn filled(page: &str, name: &str) -> String {
    let field = page.split(&format!("name=\"{name}\"")).nth(1).and_then(|rest| rest.split_once("value=\""));
    let (_, field) = field.unwrap_or_else(|| panic!("no {name}: {page}"));
    field.split('"').next().unwrap().replace("&quot;", "\"")
}

/// Of a wheelbase that cannot be nothing is concluded about the lifting points.
#[tokio::test]
async fn a_wrong_wheelbase_is_told_alone() {
    let shop = Shop::with_lifts(&["north-bay"]).await;
    for wrong in ["-2520", "2.52"] {
        let at = format!("/plan?lift=north-bay&{}", QUICK.replace("=2520", &format!("={wrong}")));
        let (_, page) = shop.ask(&Method::GET, &at, "", "").await;
        assert!(page.contains("This cannot be used") && page.contains("heelbase"), "{page}");
        assert!(!page.contains("A lifting point lies") && !page.contains("with that wheelbase"), "{page}");
    }
}

/// Nothing on the page is in the other system, and what the program filled in itself says the same setup again.
#[tokio::test]
async fn a_plan_is_in_the_units_that_were_chosen() {
    let shop = Shop::with_lifts(&["north-bay"]).await;
    for (units, own, other) in
        [("us", [" in", " lb"], [" mm", " kg"]), ("metric", [" mm", " kg"], [" in<", " lb"])]
    {
        let cookie = format!("{}; units={units}", shop.cookie(Role::Lead).await);
        let (_, plan) = shop.ask(&Method::GET, AT, &cookie, "").await;
        let raise = shop.begin_raise(&cookie, "lift=north-bay&vehicle=hatchback&job=brakes").await.unwrap();
        let (_, raise_page) = shop.ask(&Method::GET, &raise, &cookie, "").await;
        shop.form(
            &format!("{raise}/abandon"),
            &cookie,
            &format!("seen={}&words=enough", filled(&raise_page, "seen")),
        )
        .await
        .unwrap();
        // A hint that any unit may be typed names both.
        let shown = main(&plan).replace("8 ft 9 in, 2650 mm", "").replace("8 ft 9 in, 2600 lb", "");
        // Words, not inches.
        let shown = shown.replace("swung in<", "<").replace("left in<", "<");
        for unit in other {
            assert!(!shown.contains(unit), "{units}: {unit} in {shown}");
        }
        for page in [main(&plan), main(&raise_page)] {
            for field in ["spot", "offset"] {
                assert!(filled(page, field).ends_with(own[0]), "{units}: {field}: {}", filled(page, field));
            }
            assert!(filled(page, "yaw").ends_with(" deg"), "{units}");
        }
        assert!(own.iter().all(|unit| plan.contains(unit)));
        let fields = ["spot", "offset", "yaw", "front_left", "front_right", "rear_left", "rear_right"];
        let pairs = fields.map(|name| (name, filled(main(&plan), name)));
        let query = url::form_urlencoded::Serializer::new(String::new()).extend_pairs(pairs).finish();
        let (_, again) = shop.ask(&Method::GET, &format!("{AT}&{query}"), &cookie, "").await;
        assert!(again.contains("As you moved it"), "{again}");
        let wheel = |page: &str| {
            page.split("<p class=\"wheel\">").nth(1).unwrap().split("</p>").next().unwrap().to_owned()
        };
        assert_eq!(wheel(&again), wheel(&plan), "{units}");
    }
}

/// That no setup passes is said where planning anew was refused, never because one was moved off the best.
#[tokio::test]
async fn what_was_moved_off_the_best_is_set_anew() {
    const NONE: &str = "No setup passes here";
    let shop = Shop::with_lifts(&["north-bay"]).await;
    let page = async |vehicle: &str, moved: &str| {
        let path = format!("/plan?lift=north-bay&vehicle={vehicle}{moved}");
        shop.ask(&Method::GET, &path, "", "").await.1
    };
    let moved = page("hatchback", "&spot=0.70+m").await;
    assert!(moved.contains("Must not be raised") && !moved.contains(NONE), "{moved}");
    assert!(moved.contains("Set the vehicle and all four pads anew."), "{moved}");
    assert!(page("recovery-truck", "&spot=0.70+m").await.contains(NONE));
}

/// A kept plan is planned again to the byte, as planned and as moved, and found by its mark.
#[tokio::test]
async fn a_plan_is_kept_and_found_by_its_mark() {
    let shop = Shop::with_lifts(&[]).await;
    let lead = shop.cookie(Role::Lead).await;
    let mut marks = vec![];
    for (moved, says) in [("", "May be raised"), ("&spot=0.70+m", "Must not be raised")] {
        let body = format!("lift=north-bay&vehicle=hatchback&job=brakes{moved}");
        let kept = shop.form("/plan/keep", &lead, &body).await.unwrap();
        let (_, page) = shop.ask(&Method::GET, &kept, &lead, "").await;
        assert!(page.contains(says), "{page}");
        let mark = page.split("Mark <strong>").nth(1).unwrap().split('<').next().unwrap().to_owned();
        let (_, found) = shop.ask(&Method::GET, &format!("/records?words={mark}"), &lead, "").await;
        assert!(found.contains(&format!("href=\"{kept}\"")), "{found}");
        let book = shop.house.book().await.unwrap();
        let event =
            book.event(Seq(kept.rsplit('/').next().unwrap().parse().unwrap())).await.unwrap().unwrap();
        let Fact::PlanKept { plan } = &event.fact else { panic!("{event:?}") };
        assert!(plan.answer.to_string().starts_with(&mark));
        assert_eq!(plan.may_be_raised, moved.is_empty());
        assert_eq!(plan.inputs.contains_key("as-placed"), !moved.is_empty());
        assert!(matches!(recomputed(&book, plan).await.unwrap(), Recomputed::Same));
        marks.push(mark);
    }
    assert_ne!(marks[0], marks[1]);
    let (status, _) = shop.ask(&Method::GET, "/plan/kept/1", &lead, "").await;
    assert_eq!(status, 404, "the first event keeps no plan");
    let why = shop.form("/plan/keep", &lead, "lift=north-bay&vehicle=nobody").await.unwrap_err();
    assert!(why.contains("nobody"), "{why}");
}

/// What is offered at a plan follows the role table, and a finger that is gone brings it back.
#[tokio::test]
async fn a_plan_offers_what_whoever_is_here_may_do() {
    let shop = Shop::with_lifts(&["north-bay"]).await;
    for (role, raises, keeps, beside) in [
        (Role::Technician, true, true, false),
        (Role::Lead, true, true, false),
        (Role::Examiner, false, false, false),
        (Role::Instructor, true, true, false),
        (Role::Learner, true, true, true),
    ] {
        let cookie = shop.cookie(role).await;
        let (_, page) = shop.ask(&Method::GET, AT, &cookie, "").await;
        assert_eq!(page.contains("action=\"/raise\""), raises, "{role}");
        assert_eq!(page.contains("action=\"/plan/keep\""), keeps, "{role}");
        assert_eq!(page.contains("name=\"second_pin\""), beside, "{role}");
        let setup = json!({ "spot_m": 1.0, "offset_m": 0.0, "yaw_rad": 0.0, "backwards": false, "pads": [
            { "aft_m": 0.47, "left_m": 0.7 }, { "aft_m": 0.47, "left_m": -0.7 },
            { "aft_m": 1.98, "left_m": 0.7 }, { "aft_m": 1.98, "left_m": -0.7 } ] });
        for named in [true, false] {
            let question =
                json!({ "lift": "north-bay", "vehicle": "hatchback", "setup": setup, "named": named });
            let answer = shop.json("/api/setup", &cookie, question).await;
            let told = answer["told"].as_str().unwrap();
            assert_eq!(told.contains("action=\"/plan/keep\""), keeps && named, "{role}");
            assert!(!told.contains("action=\"/raise\""), "{role}: what was moved is not raised by");
        }
    }
    let (_, page) = shop.ask(&Method::GET, AT, "", "").await;
    assert!(page.contains("/sign-in?then=/plan"), "{page}");
    let learner = shop.cookie(Role::Learner).await;
    let names = "lift=north-bay&vehicle=hatchback&job=brakes";
    let why = shop.begin_raise(&learner, names).await.unwrap_err();
    assert!(why.contains("second person"), "{why}");
    let with = format!("{names}&second=technician&second_pin={PIN}");
    assert_eq!(shop.begin_raise(&learner, &with).await.unwrap(), "/raise/1");
}

/// A vehicle by its figures is named, and the way leads back to the plan that it was named for.
#[tokio::test]
async fn a_vehicle_by_its_figures_is_kept_and_then_raised() {
    let shop = Shop::with_lifts(&["north-bay"]).await;
    let at = format!("/plan?lift=north-bay&{QUICK}");
    let (_, page) = shop.ask(&Method::GET, &at, "", "").await;
    assert!(page.contains("Sign in to raise it"), "{page}");
    let lead = shop.cookie(Role::Lead).await;
    let (_, page) = shop.ask(&Method::GET, &at, &lead, "").await;
    assert!(page.contains("Name this vehicle, to raise it") && !page.contains("action=\"/raise\""), "{page}");
    let end =
        shop.form("/measure/vehicle", &lead, &format!("{QUICK}&lift=north-bay&job=brakes")).await.unwrap();
    let entered = shop.form(&end, &lead, "mark=TW+17").await.unwrap();
    let (_, page) = shop.ask(&Method::GET, &entered, &lead, "").await;
    let back = "/plan?lift=north-bay&amp;vehicle=tw-17&amp;job=brakes";
    assert!(page.contains(back) && page.contains("Back to the plan"), "{page}");
    let (_, page) = shop.ask(&Method::GET, "/plan?lift=north-bay&vehicle=tw-17", &lead, "").await;
    assert!(page.contains("action=\"/raise\""), "{page}");
    // Begun without a plan, it leads to one of its own.
    let end = shop.form("/measure/vehicle", &lead, QUICK).await.unwrap();
    let entered = shop.form(&end, &lead, "mark=TW+18").await.unwrap();
    let (_, page) = shop.ask(&Method::GET, &entered, &lead, "").await;
    assert!(page.contains("Plan with it") && !page.contains("Back to the plan"), "{page}");
}

/// Sheets are files to take along: of a plan that is asked for with the mark that the book would give it, and of a kept one.
#[tokio::test]
async fn a_plan_is_printed_with_the_mark_of_the_book() {
    let shop = Shop::with_lifts(&["north-bay"]).await;
    let lead = shop.cookie(Role::Lead).await;
    for moved in ["", "&spot=0.70+m"] {
        let query = format!("lift=north-bay&vehicle=hatchback&job=brakes{moved}");
        let asked = shop.download(&format!("/plan/sheet?{query}"), "").await;
        let kept = shop.form("/plan/keep", &lead, &query).await.unwrap();
        let (_, page) = shop.ask(&Method::GET, &kept, &lead, "").await;
        let mark = page.split("Mark <strong>").nth(1).unwrap().split('<').next().unwrap().to_owned();
        assert_eq!(asked.0, format!("attachment; filename=\"sheet-{mark}.pdf\""));
        assert!(page.contains(&format!("href=\"{kept}/sheet\"")), "{page}");
        let again = shop.download(&format!("{kept}/sheet"), &lead).await;
        assert_eq!(asked, again, "the same plan, the same bytes");
        for edition in ["working", "class"] {
            let (name, bytes) =
                shop.download(&format!("{kept}/sheet?edition={edition}&paper=letter"), &lead).await;
            assert!(name.contains(edition) && bytes.starts_with(b"%PDF-"), "{name}");
        }
        let (_, plan) = shop.ask(&Method::GET, &format!("/plan?{query}"), "", "").await;
        assert!(plan.contains("href=\"/plan/sheet?lift=north-bay"), "{plan}");
    }
    let (status, _) = shop.ask(&Method::GET, "/plan/kept/1/sheet", &lead, "").await;
    assert_eq!(status, 404, "the first event keeps no plan");
    let (status, _) = shop.ask(&Method::GET, "/plan/sheet?lift=none&vehicle=hatchback", "", "").await;
    assert!(status.is_client_error(), "{status}");
}

/// A sheet outlives the screen: of a lift out of service there is none, nor of what the book holds otherwise since.
#[tokio::test]
async fn no_sheet_is_made_while_nothing_may_be_raised_by_it() {
    let shop = Shop::with_lifts(&["north-bay"]).await;
    let lead = shop.cookie(Role::Lead).await;
    let query = "lift=north-bay&vehicle=hatchback";
    let kept = shop.form("/plan/keep", &lead, query).await.unwrap();
    let none = async |address: &str, sheet: &str, why: &str| {
        let (_, page) = shop.ask(&Method::GET, address, &lead, "").await;
        assert!(page.contains("Not now: ") && page.contains(why), "{page}");
        assert!(!page.contains("The sheet for the column") && page.contains("The working"), "{page}");
        let (status, said) = shop.ask(&Method::GET, sheet, &lead, "").await;
        assert!(status == 409 && said.contains(why), "{status}: {said}");
    };
    let (plan, sheet) = (format!("/plan?{query}"), format!("/plan/sheet?{query}"));
    let measured = "vehicle=hatchback&what=weight.front_axle&value=720+kg&how=scale";
    shop.form("/enter/measurement", &lead, measured).await.unwrap();
    let changed = "what was measured of the vehicle. Plan it again";
    none(&kept, &format!("{kept}/sheet"), changed).await;
    shop.download(&sheet, &lead).await;
    shop.form("/enter/tag", &lead, "lift=north-bay&words=oil").await.unwrap();
    none(&plan, &sheet, "It is out of service: oil.").await;
    none(&kept, &format!("{kept}/sheet"), "It is out of service: oil.").await;
}

/// What stands in the book is printed for whoever is signed in, and for nobody else.
#[tokio::test]
async fn papers_of_the_book_are_taken_along() {
    let shop = Shop::with_lifts(&["north-bay"]).await;
    let cookie = shop.cookie(Role::Technician).await;
    let raise = shop.begin_raise(&cookie, "lift=north-bay&vehicle=hatchback").await.unwrap();
    for (path, name) in
        [(format!("{raise}/record"), "raise-1.pdf"), ("/examination/1/report".into(), "examination-1.pdf")]
    {
        let (named, bytes) = shop.download(&path, &cookie).await;
        assert_eq!(named, format!("attachment; filename=\"{name}\""));
        assert!(bytes.starts_with(b"%PDF-"), "{path}");
        let (status, _) = shop.ask(&Method::GET, &path, "", "").await;
        assert_eq!(status, 303, "{path}: to sign in");
    }
    for path in ["/raise/99/record", "/examination/99/report"] {
        let (status, _) = shop.ask(&Method::GET, path, &cookie, "").await;
        assert_eq!(status, 404, "{path}");
    }
    let (_, page) = shop.ask(&Method::GET, &raise, &cookie, "").await;
    assert!(page.contains(&format!("href=\"{raise}/record\"")), "{page}");
    let (_, page) = shop.ask(&Method::GET, "/lift/north-bay", &cookie, "").await;
    assert!(page.contains("href=\"/examination/1/report\""), "{page}");
}

/// A paper of an examination says what the text says: how the load may be split, and that it counts no more.
#[tokio::test]
async fn the_paper_of_an_examination_says_what_its_lift_may_carry_and_who_struck_it_out() {
    use ::records::{Command, Fact, Report, Seq, Thoroughness};
    let shop = Shop::with_lifts(&["north-bay"]).await;
    let book = shop.house.book().await.unwrap();
    let now = jiff::Timestamp::now();
    let examiner = book.check_pin(now, &"examiner".parse().unwrap(), PIN).await.unwrap();
    let first = book.event(Seq(1)).await.unwrap().unwrap();
    let before = book.shop().await.unwrap().lifts[&"north-bay".parse().unwrap()].clone();
    let report = Report {
        fit: false,
        on: book.shop().await.unwrap().today(first.at),
        thoroughness: Thoroughness::Regular,
        ..before.examinations.values().next().unwrap().report.clone()
    };
    let events = book.act(now, &examiner, &Command::ReportExamination { report, paper: None }).await.unwrap();
    let Fact::LiftExamined { number, .. } = events[0].fact else { panic!("{events:?}") };
    let strike = Command::Correct { event: events[0].seq, words: "the other lift".into() };
    let correction = book.act(now, &examiner, &strike).await.unwrap()[0].seq;
    let Ok(paper) = record(&book, Which::Examination(number.0), Units::Metric).await else {
        panic!("no paper")
    };
    let says = |label: &str| {
        paper.sections.iter().flat_map(|s| &s.rows).find(|(l, _)| l == label).map(|(_, text)| text.as_str())
    };
    assert_eq!(says("Permitted load split"), Some(before.sheet.load_split.as_deref().unwrap_or("not known")));
    let by = "The examiner, with a PIN of examiner that lead set";
    let struck = format!("COUNTS NO MORE: struck out by {by} with event {correction}: the other lift");
    assert_eq!(says("Struck out"), Some(struck.as_str()));
    assert!(paper.title.ends_with(", STRUCK OUT"), "{}", paper.title);
    assert_eq!(says("Entered by"), Some(by));
    let Ok(kept) = record(&book, Which::Examination(1), Units::Metric).await else { panic!("no paper") };
    assert!(!kept.title.contains("STRUCK"), "{}", kept.title);
}

/// Where the rules ask for the day on the report, it is on the paper as the examiner gave it; else as the rules reckon it that it
/// was made under. Beside it what today's rules make of it, where those are others.
#[tokio::test]
async fn the_paper_of_an_examination_says_when_the_next_one_is_due() {
    use ::records::{Command, Fact, ReportField, Rules, months_after};
    let shop = Shop::with_lifts(&["north-bay"]).await;
    let book = shop.house.book().await.unwrap();
    let now = jiff::Timestamp::now();
    let check = async |person: &str| book.check_pin(now, &person.parse().unwrap(), PIN).await.unwrap();
    let lead = check("lead").await;
    book.act(now, &lead, &Command::ChooseRules { rules: Rules::UnitedKingdom }).await.unwrap();
    let label = sheets::words::capital(&ReportField::NextDue.to_string());
    let said = async |number: u64| -> Vec<String> {
        let Ok(paper) = record(&book, Which::Examination(number), Units::Metric).await else {
            panic!("no paper")
        };
        let rows = paper.sections.iter().flat_map(|s| &s.rows);
        let told = rows.filter(|(own, _)| *own == label || own == "Rules today");
        told.map(|(_, text)| text.clone()).collect()
    };
    let known = book.shop().await.unwrap();
    let lift = &known.lifts[&"north-bay".parse().unwrap()];
    let mut report = lift.examinations.values().next().unwrap().report.clone();
    // It was made under those of Germany.
    let after = |months| months_after(report.on, months);
    let today = format!("United Kingdom, six months; by them the next one is due {}", after(6));
    assert_eq!(said(1).await, [today, format!("{}, by the rules", after(12))]);
    let examiner = check("examiner").await;
    let without = Command::ReportExamination { report: report.clone(), paper: None };
    assert!(book.act(now, &examiner, &without).await.is_err(), "the rules ask for the day");
    let sooner = months_after(report.on, 3);
    report.next_due = Some(sooner);
    let given = book.act(now, &examiner, &Command::ReportExamination { report, paper: None }).await.unwrap();
    let Fact::LiftExamined { number, .. } = given[0].fact else { panic!("{given:?}") };
    assert_eq!(said(number.0).await, [sooner.to_string()]);
}

/// Examined by a clock that ran ten days ahead: board, record and paper say what that comes to.
#[tokio::test]
async fn what_a_clock_that_ran_ahead_does_to_an_examination_is_told() {
    use ::records::{Command, Fact};
    use jiff::ToSpan;
    let shop = Shop::with_lifts(&["north-bay"]).await;
    let book = shop.house.book().await.unwrap();
    let now = jiff::Timestamp::now();
    let ahead = now + jiff::SignedDuration::from_hours(240);
    let check = async |person: &str| book.check_pin(now, &person.parse().unwrap(), PIN).await.unwrap();
    let (lead, examiner) = (check("lead").await, check("examiner").await);
    let known = book.shop().await.unwrap();
    let lift = &known.lifts[&"north-bay".parse().unwrap()];
    let mut report = lift.examinations.values().next().unwrap().report.clone();
    report.on = known.today(ahead);
    let made_on = report.on;
    let given =
        book.act(ahead, &examiner, &Command::ReportExamination { report, paper: None }).await.unwrap();
    let Fact::LiftExamined { number, .. } = given[0].fact else { panic!("{given:?}") };
    let later = now + jiff::SignedDuration::from_secs(1);
    book.act(later, &lead, &Command::SetClock { words: "ten days ahead".into() }).await.unwrap();
    let Ok(paper) = record(&book, Which::Examination(number.0), Units::Metric).await else {
        panic!("no paper")
    };
    let mut rows = paper.sections.iter().flat_map(|s| &s.rows);
    let day = &rows.find(|(label, _)| label == "Day").unwrap().1;
    let from = made_on.checked_sub(10.days()).unwrap();
    assert_eq!(*day, format!("{made_on}; it counts as of {from}, as the clock was set back since"));
    let cookie = shop.cookie(Role::Lead).await;
    for page in ["/today", "/lift/north-bay"] {
        let (_, told) = shop.ask(&Method::GET, page, &cookie, "").await;
        assert!(
            told.contains(
                "It is due sooner than its reports say, as the clock was set back since they were entered."
            ),
            "{page}: {told}"
        );
    }
    let (_, day) = shop.ask(&Method::GET, &format!("/day/{from}"), &cookie, "").await;
    assert!(day.contains("are due 10 days sooner than they say"), "{day}");
}

/// Signs that the type lacks are told by the paper itself and by whatever page offers it.
#[tokio::test]
async fn what_paper_cannot_show_is_told_where_it_is_offered() {
    use ::records::Command;
    const BOXES: &str = "Signs that paper cannot show are printed as boxes in";
    let shop = Shop::with_lifts(&["north-bay"]).await;
    let book = shop.house.book().await.unwrap();
    let now = jiff::Timestamp::now();
    let cookie = shop.cookie(Role::Lead).await;
    let (_, page) = shop.ask(&Method::GET, "/lift/north-bay", &cookie, "").await;
    assert!(!page.contains(BOXES), "{page}");
    let examiner = book.check_pin(now, &"examiner".parse().unwrap(), PIN).await.unwrap();
    let known = book.shop().await.unwrap();
    let lift = &known.lifts[&"north-bay".parse().unwrap()];
    let mut report = lift.examinations.values().next().unwrap().report.clone();
    report.fields.insert(::records::ReportField::Examiner, "\u{738b}\u{5c0f}\u{660e}".into());
    book.act(now, &examiner, &Command::ReportExamination { report, paper: None }).await.unwrap();
    let Ok(paper) = record(&book, Which::Examination(2), Units::Metric).await else { panic!("no paper") };
    let [one] = &paper.not_printed()[..] else { panic!("{:?}", paper.not_printed()) };
    assert!(one.ends_with("(U+738B U+5C0F U+660E)"), "{one}");
    let (_, page) = shop.ask(&Method::GET, "/lift/north-bay", &cookie, "").await;
    assert!(page.contains(BOXES) && page.contains("(U+738B U+5C0F U+660E)"), "{page}");
    shop.form("/enter/confirmation", &cookie, "examination=2").await.unwrap();
    // A raise: what its people said.
    let raise = shop.begin_raise(&cookie, "lift=north-bay&vehicle=hatchback").await.unwrap();
    let (_, page) = shop.ask(&Method::GET, &raise, &cookie, "").await;
    assert!(!page.contains(BOXES), "{page}");
    let seen = filled(&page, "seen");
    let words = "%D8%AA%D9%88%D9%82%D9%81";
    shop.form(&format!("{raise}/abandon"), &cookie, &format!("seen={seen}&words={words}")).await.unwrap();
    let (_, page) = shop.ask(&Method::GET, &raise, &cookie, "").await;
    assert!(page.contains(BOXES) && page.contains("U+062A"), "{page}");
}

/// Whoever looked at a plan begins by that plan or not at all: what was measured since is said.
#[tokio::test]
async fn what_was_measured_since_the_plan_was_shown_is_said_before_the_raise() {
    let shop = Shop::with_lifts(&["north-bay"]).await;
    let tech = shop.cookie(Role::Technician).await;
    let (_, plan) = shop.ask(&Method::GET, AT, &tech, "").await;
    let seen = filled(&plan, "made_from").replace('=', "%3D").replace(' ', "+");
    let fields = format!("lift=north-bay&vehicle=hatchback&job=brakes&made_from={seen}");
    let lead = shop.cookie(Role::Lead).await;
    let measured = "vehicle=hatchback&what=outline.roof&value=1.47+m&how=tape";
    shop.form("/enter/measurement", &lead, measured).await.unwrap();
    let why = shop.form("/raise", &tech, &fields).await.unwrap_err();
    assert!(why.contains("other than it was: what was measured of the vehicle."), "{why}");
    let (_, plan) = shop.ask(&Method::GET, AT, &tech, "").await;
    let seen = filled(&plan, "made_from").replace('=', "%3D").replace(' ', "+");
    let fields = format!("lift=north-bay&vehicle=hatchback&job=brakes&made_from={seen}");
    assert_eq!(shop.form("/raise", &tech, &fields).await.unwrap(), "/raise/1");
}

/// Who has left is nobody at the tablet where they were, and stays so when they come back.
#[tokio::test]
async fn who_has_left_the_shop_is_nobody_here() {
    let shop = Shop::with_lifts(&["north-bay"]).await;
    let tech = shop.cookie(Role::Technician).await;
    let (_, board) = shop.ask(&Method::GET, "/today", &tech, "").await;
    assert!(!board.contains(">Sign in<"), "{board}");
    let lead = shop.cookie(Role::Lead).await;
    shop.form("/enter/leaving", &lead, "person=technician").await.unwrap();
    let (status, _) = shop.ask(&Method::GET, "/records", &tech, "").await;
    assert_eq!(status, axum::http::StatusCode::SEE_OTHER);
    for (address, fields) in [
        ("/raise", "lift=north-bay&vehicle=hatchback&job=brakes"),
        ("/enter/tag", "lift=north-bay&words=oil"),
        ("/enter/incident", "words=x"),
    ] {
        let (status, _) = shop.ask(&Method::POST, address, &tech, fields).await;
        assert_eq!(status, axum::http::StatusCode::UNAUTHORIZED, "{address}");
    }
    let (_, board) = shop.ask(&Method::GET, "/today", &tech, "").await;
    assert!(board.contains(">Sign in<"), "{board}");
}

/// A raise goes by a plan that somebody looked at, also after things were moved and put back.
#[tokio::test]
async fn a_plan_that_nobody_saw_begins_no_raise() {
    let shop = Shop::with_lifts(&["north-bay"]).await;
    let cookie = shop.cookie(Role::Lead).await;
    let named = "lift=north-bay&vehicle=hatchback&job=brakes";
    for unseen in [named.to_owned(), format!("{named}&made_from=")] {
        let why = shop.form("/raise", &cookie, &unseen).await.unwrap_err();
        assert!(why.contains("Nobody looked at the plan"), "{why}");
    }
    let (_, plan) = shop.ask(&Method::GET, AT, &cookie, "").await;
    let stage: serde_json::Value = serde_json::from_str(&filled_bay(&plan)).unwrap();
    let question = json!({ "lift": "north-bay", "vehicle": "hatchback", "job": "brakes", "setup": stage["home"], "named": true });
    let answer = shop.json("/api/setup", &cookie, question).await;
    let told = answer["told"].as_str().unwrap();
    assert_eq!(filled(told, "made_from"), filled(&plan, "made_from"));
    assert_eq!(answer["made_from"], filled(&plan, "made_from"));
    assert_eq!(stage["made_from"], filled(&plan, "made_from"));
    assert_eq!(filled(told, "shown_as"), "lead");
    // What comes in between is told with the next answer.
    shop.form("/enter/tag", &cookie, "lift=north-bay&words=oil").await.unwrap();
    let question = json!({ "lift": "north-bay", "vehicle": "hatchback", "job": "brakes", "setup": stage["home"], "named": true });
    let answer = shop.json("/api/setup", &cookie, question).await;
    assert!(answer["standing"].as_str().unwrap().contains("must not be used"), "{answer}");
    assert!(!answer["told"].as_str().unwrap().contains("action=\"/raise\""), "{answer}");
}

pub(super) fn filled_bay(page: &str) -> String {
    page.split("data-bay=\"").nth(1).unwrap().split('"').next().unwrap().replace("&quot;", "\"")
}

/// Figures of a quick entry stay what they were typed as, whatever system is shown then.
#[tokio::test]
async fn figures_without_a_unit_keep_the_one_that_they_were_typed_in() {
    let shop = Shop::new().await;
    let at = "/plan?lift=north-bay&units=metric&wheelbase=2520&mass=1180&body=hatchback&drive=front&front=580&rear=19,8+dm&left=70+cm";
    for (units, wheelbase, mass, left) in
        [("us", "2520 mm", "1180 kg", "70 cm"), ("metric", "2520", "1180", "70 cm")]
    {
        let (_, page) = shop.ask(&Method::GET, at, &format!("units={units}"), "").await;
        let form = &page[page.find("<form class=\"quick\"").unwrap()..];
        for (name, value) in
            [("units", units), ("wheelbase", wheelbase), ("mass", mass), ("left", left), ("rear", "19,8 dm")]
        {
            assert_eq!(filled(form, name), value, "{name} in {units}");
        }
    }
}
