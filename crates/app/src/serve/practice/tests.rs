//! Practice asked as a browser asks: through the routes with their guards.

#![allow(clippy::unwrap_used, clippy::panic, reason = "a test ends where it fails")]

use std::collections::BTreeMap;

use axum::Router;
use axum::body::{Body, to_bytes};
use axum::http::header::{CONTENT_TYPE, COOKIE, LOCATION};
use axum::http::{Request, StatusCode};
use clap::Parser;
use jiff::Timestamp;
use planner::Setup;
use planner::checks::What;
use planner::frames::{DrivenIn, Placement};
use planner::lift::Corner;
use planner::setup::{PadAt, arm_for};
use records::{
    Admission, Book, Command, Document as Kept, Fact, Hidden, NewPractice, Opening, PersonId, PracticeEnd,
    PracticeNumber, Practised, Role, Rules, Subject,
};
use sheets::Units;
use statics::{Angle, Length, Place};
use tower::ServiceExt;

use super::task::{self, INVENTED, Task};
use super::{fields, page, veil};
use crate::document::Document;
use crate::input::Source;
use crate::serve::Options;
use crate::serve::house::{House, Shared};
use crate::serve::net;
use crate::serve::session::COOKIE as SESSION;
use crate::serve::shelf::demo;

#[derive(Parser)]
struct Line {
    #[command(flatten)]
    options: Options,
}

/// Pages over a book with a lead, an instructor and two learners, all signed in; or over no book.
struct Shop {
    house: Shared,
    signed: BTreeMap<&'static str, String>,
    _folder: tempfile::TempDir,
}

async fn shop(with_book: bool) -> Shop {
    let folder = tempfile::tempdir().unwrap();
    let place = folder.path().join("shop.book").display().to_string();
    let now = Timestamp::now();
    let admission =
        |id: &str, role| Admission { person: id.parse().unwrap(), name: id.to_owned(), role, of_age: None };
    let mut proved = vec![];
    if with_book {
        let lead = admission("lead", Role::Lead);
        let opening = Opening {
            shop: "Mill Lane".into(),
            zone: "UTC".into(),
            rules: Rules::Germany,
            lead,
            pin: "4711".into(),
        };
        let book = Book::create(&place, now, opening).await.unwrap();
        let lead = book.check_pin(now, &"lead".parse().unwrap(), "4711").await.unwrap();
        for (id, role, pin) in [
            ("teach", Role::Instructor, "9753"),
            ("learn", Role::Learner, "1470"),
            ("other", Role::Learner, "2581"),
        ] {
            let person: PersonId = id.parse().unwrap();
            book.act(now, &lead, &Command::AdmitPerson(admission(id, role))).await.unwrap();
            book.set_pin(now, &lead, &person, pin).await.unwrap();
            proved.push((id, book.check_pin(now, &person, pin).await.unwrap()));
        }
        proved.push(("lead", lead));
        book.close().await;
    }
    let options = Line::parse_from(["serve", "--book", &place, "--quiet"]).options;
    let house = House::open(&options).await.unwrap_or_else(|_| panic!("the house opens"));
    let signed = proved.into_iter().map(|(id, signed)| (id, house.sessions.begin(signed).unwrap())).collect();
    Shop { house, signed, _folder: folder }
}

/// Status, where it leads, text.
type Answer = (StatusCode, String, String);

impl Shop {
    async fn ask(&self, who: &str, method: &str, path: &str, kind: &str, body: String) -> Answer {
        let mut request = Request::builder().method(method).uri(path).header(CONTENT_TYPE, kind);
        if let Some(secret) = self.signed.get(who) {
            request = request.header(COOKIE, format!("{SESSION}={secret}"));
        }
        let router: Router = net::app(&self.house);
        let answer = router.oneshot(request.body(Body::from(body)).unwrap()).await.unwrap();
        let to = answer.headers().get(LOCATION).map(|to| to.to_str().unwrap().to_owned()).unwrap_or_default();
        let status = answer.status();
        let text = to_bytes(answer.into_body(), usize::MAX).await.unwrap();
        (status, to, String::from_utf8(text.to_vec()).unwrap())
    }
    async fn get(&self, who: &str, path: &str) -> Answer {
        self.ask(who, "GET", path, "text/plain", String::new()).await
    }
    async fn send(&self, who: &str, path: &str, form: &str) -> Answer {
        self.ask(who, "POST", path, "application/x-www-form-urlencoded", form.to_owned()).await
    }
    async fn drag(&self, who: &str, path: &str, form: &fields::Filled) -> Answer {
        let question = serde_json::json!({ "fields": form, "named": true });
        self.ask(who, "POST", path, "application/json", question.to_string()).await
    }
    async fn tried(&self, of: Practised) -> Vec<(String, PracticeEnd)> {
        let events = self.house.book().await.unwrap().events_about(&Subject::Practice(of)).await.unwrap();
        let end = |event: &records::Event| match &event.fact {
            Fact::PracticeTried { attempt, .. } => Some((event.by.to_string(), attempt.end.clone())),
            _ => None,
        };
        events.iter().filter_map(end).collect()
    }
    /// Set by the instructor, with these texts.
    async fn set(&self, lift: &str, vehicle: &str, job: Option<&str>, hides: &[Hidden]) -> u64 {
        let secret = &self.signed["teach"];
        let signed = self.house.sessions.find(secret, true).unwrap();
        let texts = [("lift", Some(lift)), ("vehicle", Some(vehicle)), ("job", job)];
        let inputs = texts.into_iter().filter_map(|(kind, text)| Some((kind.to_owned(), Kept::new(text?))));
        let new = NewPractice {
            name: "a situation".into(),
            note: String::new(),
            inputs: inputs.collect(),
            hides: hides.iter().copied().collect(),
        };
        let book = self.house.book().await.unwrap();
        book.act(Timestamp::now(), &signed.signed, &Command::SetPractice(new)).await.unwrap();
        book.shop().await.unwrap().counts.practices
    }
}

/// A start, as the form says it.
fn at_first(task: &Task) -> fields::Filled {
    let setup = veil::start(&task.worked, DrivenIn::Forwards);
    fields::values(&task.worked.checked(&setup).unwrap(), Units::Metric)
}

/// The best setup of a situation, as the form says it.
fn best(task: &Task) -> fields::Filled {
    fields::values(task.worked.plan(), Units::Metric)
}

fn sent(filled: &fields::Filled) -> String {
    url::form_urlencoded::Serializer::new(String::new()).extend_pairs(filled).finish()
}

/// All four pads behind the centre of gravity.
fn too_far_back(task: &Task) -> String {
    let mut filled = best(task);
    for (corner, aft) in
        [("front-left", "1400"), ("front-right", "1400"), ("rear-left", "1930"), ("rear-right", "1930")]
    {
        filled.insert(format!("{corner}-aft"), aft.into());
    }
    sent(&filled)
}

const ALL_HIDDEN: &[Hidden] = &Hidden::ALL;

/// What is hidden decides no byte of what a learner is sent: with other loads, centre, mark and lifting areas all is the same.
#[tokio::test]
async fn hidden_figures_are_nowhere_in_the_answer() {
    let shop = shop(true).await;
    let (lift, vehicle) =
        (demo::text("lift", "north-bay").unwrap(), demo::text("vehicle", "hatchback").unwrap());
    // The same total on other axles; areas elsewhere; another mark at another place.
    let axles = |text: &str| text.replace("712 kg", "650 kg").replace("438 kg", "500 kg");
    let areas = |text: &str| {
        let elsewhere = "from = [\"0.53 m\", \"0.71 m\"], to = [\"0.70 m\"";
        text.replace("from = [\"0.48 m\", \"0.71 m\"], to = [\"0.66 m\"", elsewhere)
    };
    let other_lift = lift.replace("mark = \"A\"", "mark = \"Q\"").replace("\"1.10 m\"", "\"1.18 m\"");
    let weights = [Hidden::CentreOfGravity, Hidden::Loads];
    for (hides, other_lift, other_vehicle, alike) in [
        (ALL_HIDDEN, other_lift.as_str(), areas(&axles(vehicle)), true),
        (&weights[..], lift, axles(vehicle), true),
        (&[Hidden::Mark], &other_lift, vehicle.to_owned(), true),
        (&[Hidden::LiftAreas], lift, areas(vehicle), true),
        // What is shown tells them apart.
        (&[], &other_lift, vehicle.to_owned(), false),
        (&[Hidden::Loads], lift, axles(vehicle), false),
        (&[Hidden::CentreOfGravity], lift, axles(vehicle), false),
        (&weights, lift, areas(vehicle), false),
    ] {
        assert!(other_vehicle != vehicle || other_lift != lift);
        let numbers = [
            shop.set(lift, vehicle, None, hides).await,
            shop.set(other_lift, &other_vehicle, None, hides).await,
        ];
        let mut pages = vec![];
        for number in numbers {
            let task = task::of_the_book(&shop.house, number).await.unwrap_or_else(|_| panic!("it is set"));
            let (status, _, page) = shop.get("learn", &format!("/practice/{number}")).await;
            assert_eq!(status, StatusCode::OK);
            let (status, _, dragged) =
                shop.drag("learn", &format!("/api/practice/{number}"), &at_first(&task)).await;
            assert_eq!(status, StatusCode::OK, "{dragged}");
            // Only its own address tells one situation from the other.
            let own = format!("/practice/{number}");
            pages.push([page.replace(&own, "/practice/N"), dragged]);
        }
        for (one, other) in pages[0].iter().zip(&pages[1]) {
            let differ = one.bytes().zip(other.bytes()).position(|(a, b)| a != b);
            let near = |text: &str| {
                differ.map(|at| text.chars().skip(at.saturating_sub(80)).take(160).collect::<String>())
            };
            assert_eq!(one == other, alike, "hidden: {hides:?}: {:?} and {:?}", near(one), near(other));
        }
        for text in &pages[0] {
            assert_eq!(text.contains("mark A"), !hides.contains(&Hidden::Mark));
            assert_eq!(text.contains("Load"), !hides.contains(&Hidden::Loads));
        }
    }
}

/// The same of the figures themselves: none of the best plan's loads, places or marks is in it.
#[tokio::test]
async fn the_answer_is_not_in_the_page() {
    let shop = shop(false).await;
    for invented in &INVENTED {
        let task =
            task::invented(&shop.house, invented.id).await.unwrap_or_else(|_| panic!("{}", invented.id));
        let (status, _, page) = shop.get("nobody", &format!("/practice/invented/{}", invented.id)).await;
        assert_eq!(status, StatusCode::OK, "{}", invented.id);
        assert!(!page.contains("reserve") && !page.contains("raised"), "{}: no verdict", invented.id);
        for (name, value) in best(&task).iter().filter(|(name, _)| name.ends_with("-aft") || *name == "spot")
        {
            let field = format!("name=\"{name}\" value=\"{value}\"");
            assert!(!page.contains(&field), "{}: {field}", invented.id);
        }
        if task.hides(Hidden::Loads) {
            for pad in &task.worked.plan().pads {
                assert!(!page.contains(&Units::Metric.load(pad.load_estimate)), "{}", invented.id);
            }
        }
    }
}

#[tokio::test]
async fn an_attempt_that_tips_is_told_with_its_edge_and_is_in_the_book() {
    let shop = shop(true).await;
    let name = "a-first-spot";
    let task = task::invented(&shop.house, name).await.unwrap_or_else(|_| panic!("it is there"));
    let path = format!("/practice/invented/{name}/raise");
    let (status, to, text) = shop.send("learn", &path, &too_far_back(&task)).await;
    assert_eq!(status, StatusCode::SEE_OTHER, "{text}");
    let (status, _, page) = shop.get("learn", &to).await;
    assert_eq!(status, StatusCode::OK);
    for said in [
        "It would have tipped forwards at the test raise",
        "outside the line between the two front pads",
        "TIPS THIS",
        "What fails first",
        "mark A",
        "it tips before anybody shakes it",
        "It does not stand on its pads",
        "There is a setup that passes",
    ] {
        assert!(page.contains(said), "{said}");
    }
    // Where it falls no pad has a load, so that no stronger lift would help.
    assert!(!page.contains("stronger lift") && !page.contains("ssured load on"), "{page}");
    let of = Practised::Invented(name.into());
    let tips = PracticeEnd::Tips { over: "front".into() };
    assert_eq!(shop.tried(of.clone()).await, [("learn".to_owned(), tips)]);
    // The best of all is told to be as good, and kept as well.
    let (_, to, _) = shop.send("learn", &path, &sent(&best(&task))).await;
    let (_, _, page) = shop.get("learn", &to).await;
    assert!(page.contains("It may be raised"), "{page}");
    assert_eq!(shop.tried(of).await[1].1, PracticeEnd::MayBeRaised);
}

/// Hatchback, 712 kg in front and 438 kg behind on a wheelbase of 2522 mm: its centre of gravity is 961 mm behind the
/// front axle. Front pads 60 mm ahead of it leave the rear pads, 960 mm behind it, 6 % of the weight in all.
#[tokio::test]
async fn a_light_pad_and_a_setup_that_may_tip_are_told() {
    let shop = shop(false).await;
    let task = task::invented(&shop.house, "a-first-spot").await.unwrap_or_else(|_| panic!("it is there"));
    let raised = async |spot: &str, aft: &str| {
        let mut filled = best(&task);
        filled.insert("spot".into(), spot.into());
        filled.insert("front-left-aft".into(), aft.into());
        filled.insert("front-right-aft".into(), aft.into());
        filled.insert("way".into(), "forwards".into());
        shop.get("nobody", &format!("/practice/invented/a-first-spot/raise?{}", sent(&filled))).await.2
    };
    let page = raised("1100", "900").await;
    assert!(page.contains("light: only") && page.contains("5 % at least"), "{page}");
    assert!(!page.contains("tipped"));
    let page = raised("1200", "955").await;
    assert!(page.contains("It might have tipped forwards at the test raise"), "{page}");
    // A good setup beside: the front pads carry most, none is light.
    let page = raised("1100", "500").await;
    assert!(!page.contains("light: only") && page.contains("carries"));
}

#[tokio::test]
async fn who_teaches_sees_every_attempt_and_a_learner_their_own() {
    let shop = shop(true).await;
    let chosen =
        "name=Balance&lift=invented%3Anorth-bay&vehicle=invented%3Ahatchback&job=&hides-loads=yes&note=look";
    assert_eq!(shop.send("learn", "/practice/set", chosen).await.0, StatusCode::FORBIDDEN);
    assert_eq!(shop.get("teach", "/practice/set").await.0, StatusCode::OK);
    let (status, to, text) = shop.send("teach", "/practice/set", chosen).await;
    assert_eq!((status, to.as_str()), (StatusCode::SEE_OTHER, "/practice/1"), "{text}");
    let task = task::of_the_book(&shop.house, 1).await.unwrap_or_else(|_| panic!("it is set"));
    assert_eq!(task.hides.iter().copied().collect::<Vec<_>>(), [Hidden::Loads]);
    let mut led_to = vec![];
    for who in ["learn", "other"] {
        led_to.push(shop.send(who, "/practice/1/raise", &sent(&at_first(&task))).await.1);
    }
    assert_eq!(shop.tried(Practised::Set(PracticeNumber(1))).await.len(), 2);
    let lists = async |who: &str| shop.get(who, "/practice/1").await.2.matches("/tried/").count();
    assert_eq!([lists("teach").await, lists("lead").await, lists("learn").await], [2, 2, 1]);
    assert_eq!(shop.get("teach", &led_to[0]).await.0, StatusCode::OK);
    assert_eq!(shop.get("other", &led_to[0]).await.0, StatusCode::NOT_FOUND);
    // A situation of the book is for the shop only.
    assert_eq!(shop.get("nobody", "/practice/1").await.0, StatusCode::SEE_OTHER);
    assert_eq!(
        shop.send("nobody", "/practice/1/raise", &sent(&at_first(&task))).await.0,
        StatusCode::UNAUTHORIZED
    );
    assert_eq!(shop.drag("nobody", "/api/practice/1", &at_first(&task)).await.0, StatusCode::UNAUTHORIZED);
}

#[tokio::test]
async fn nobody_signed_in_may_try_and_nothing_is_kept() {
    for with_book in [false, true] {
        let shop = shop(with_book).await;
        assert!(shop.get("nobody", "/practice").await.2.contains("A first spot"));
        let task =
            task::invented(&shop.house, "a-first-spot").await.unwrap_or_else(|_| panic!("it is there"));
        let path = "/practice/invented/a-first-spot/raise";
        let (status, _, page) = shop.get("nobody", &format!("{path}?{}", too_far_back(&task))).await;
        assert_eq!(status, StatusCode::OK);
        assert!(page.contains("tipped forwards") && page.contains("Not kept"));
        assert!(!shop.send("nobody", path, &too_far_back(&task)).await.0.is_success());
        if with_book {
            assert!(shop.tried(Practised::Invented("a-first-spot".into())).await.is_empty());
        }
    }
}

#[tokio::test]
async fn what_is_no_setup_is_refused_with_its_field() {
    let shop = shop(false).await;
    let task = task::invented(&shop.house, "a-first-spot").await.unwrap_or_else(|_| panic!("it is there"));
    let api = "/api/practice/invented/a-first-spot";
    for (field, value, says) in [
        ("spot", "far", "Front wheel ahead of the column line"),
        ("rear-left-out", "NaN", "Rear left pad, out from the middle"),
        ("yaw", "", "Turned to the left"),
        ("unit", "ell", "unit"),
        ("spot", "99999999", "Spot"),
    ] {
        let mut filled = at_first(&task);
        filled.insert(field.into(), value.into());
        let (status, _, text) = shop.drag("nobody", api, &filled).await;
        assert_eq!(status, StatusCode::UNPROCESSABLE_ENTITY, "{field}: {text}");
        assert!(text.contains(says), "{text}");
    }
    // Backwards, as whoever stands at the lift finds it.
    let mut turned = at_first(&task);
    turned.extend([("way".into(), "backwards".into()), ("rear-left-out".into(), "NaN".into())]);
    let (_, _, text) = shop.drag("nobody", api, &turned).await;
    let says = "Front right arm pad (under the vehicle's rear left corner), out from the middle";
    assert!(text.contains(says), "{text}");
    let (status, ..) = shop.ask("nobody", "POST", api, "application/json", "{}".into()).await;
    assert_eq!(status, StatusCode::UNPROCESSABLE_ENTITY);
    assert_eq!(shop.get("nobody", "/practice/invented/nowhere").await.0, StatusCode::NOT_FOUND);
}

/// The plate as it is told to a learner is the plate of the lift, in the units that are shown.
#[tokio::test]
async fn the_plate_is_told_as_it_is() {
    let shop = shop(false).await;
    let task =
        task::invented(&shop.house, "without-the-plate").await.unwrap_or_else(|_| panic!("it is there"));
    let bands = &task.worked.inputs().lift.plate.as_ref().unwrap().bands;
    let told = page::on_the_plate(bands, Units::Metric);
    for band in bands {
        let ends = band.from.iter().chain(&band.to).map(|end| end.wheelbase);
        let figures = ends.chain([band.front_wheel]).map(|far| format!("{:.0} mm", far.to_metres() * 1000.0));
        for figure in figures.chain([format!("mark {}", band.mark)]) {
            assert!(told.contains(&figure), "{figure}: {told}");
        }
    }
    assert!(!page::on_the_plate(bands, Units::Us).contains("mm"));
    let (_, _, shown) = shop.get("nobody", "/practice/invented/without-the-plate").await;
    assert!(shown.contains(&told), "{shown}");
}

/// Wherever a pad is dragged, it lands where its arm can bring it; where the arm can bring it, it lands there, but for a tooth.
#[test]
fn an_arm_goes_no_further_than_its_stops() {
    let (mut beyond, mut within) = (0, 0);
    for (_, id, text) in demo::ALL.iter().filter(|d| d.0 == "lift") {
        let lift = Document::of(Source::new(*id, *text)).lift().unwrap();
        for way in [DrivenIn::Forwards, DrivenIn::Backwards] {
            let placement =
                Placement { yaw: Angle::degrees(1.5), ..Placement::square(Length::metres(1.1), way) };
            for (x, y) in
                (-30..30).flat_map(|x| (-30..30).map(move |y| (f64::from(x) * 0.13, f64::from(y) * 0.13)))
            {
                let at = placement.to_vehicle(Place::metres([x, y]));
                let pads =
                    [const { PadAt { at: Place::metres([0.0, 0.0]), adapters: None, height: None } }; 4];
                let setup = Setup { placement, pads: pads.map(|pad| PadAt { at, ..pad }) }.in_reach(&lift);
                for (corner, pad) in Corner::ALL.into_iter().zip(&setup.pads) {
                    let arm = &lift.arms[arm_for(corner, &placement).index()];
                    let polar = |[x, y]: [f64; 2]| {
                        let [px, py] = arm.pivot.to_metres();
                        let turn = (y - py).atan2(x - px) - arm.swing_from.to_radians();
                        ((x - px).hypot(y - py), (turn + 1e-9).rem_euclid(std::f64::consts::TAU) - 1e-9)
                    };
                    let (most, tooth) = (
                        (arm.swing_to - arm.swing_from).to_radians(),
                        arm.tooth_pitch.map_or(0.0, Angle::to_radians),
                    );
                    let (reach_in, reach_out) = (arm.reach_in.to_metres(), arm.reach_out.to_metres());
                    let ((reach, turn), asked) = (polar(placement.to_bay(pad.at).to_metres()), polar([x, y]));
                    assert!(
                        reach > reach_in - 1e-9 && reach < reach_out + 1e-9,
                        "{id} {corner:?} {x} {y}: {reach}"
                    );
                    assert!(turn < most + 1e-9, "{id} {corner:?} {x} {y}: {turn}");
                    if asked.0 > reach_in && asked.0 < reach_out && asked.1 < most {
                        within += 1;
                        assert!(
                            (reach - asked.0).abs() < 1e-9 && (turn - asked.1).abs() <= tooth + 1e-9,
                            "{id} {x} {y}"
                        );
                    } else {
                        beyond += 1;
                    }
                }
            }
        }
    }
    assert!(beyond > 1000 && within > 1000, "{beyond} {within}");
}

/// Attempts are gathered by learner for whoever may set situations, and shown to nobody else.
#[tokio::test]
async fn who_tried_what_is_gathered_for_the_instructor() {
    let shop = shop(true).await;
    let task = task::invented(&shop.house, "a-first-spot").await.unwrap_or_else(|_| panic!("it is there"));
    let path = "/practice/invented/a-first-spot/raise";
    assert!(shop.get("teach", "/practice").await.2.contains("Nobody has tried anything yet."));
    for (who, what) in
        [("learn", too_far_back(&task)), ("learn", sent(&best(&task))), ("other", too_far_back(&task))]
    {
        assert_eq!(shop.send(who, path, &what).await.0, StatusCode::SEE_OTHER);
    }
    for (who, sees) in [("teach", true), ("lead", true), ("learn", false), ("nobody", false)] {
        let page = shop.get(who, "/practice").await.2;
        assert_eq!(page.contains("Who tried what"), sees, "{who}");
        if !sees {
            continue;
        }
        let rows: Vec<&str> = page.split("<tr>").skip(2).collect();
        assert_eq!(rows.len(), 2, "{page}");
        assert!(
            rows[0].contains(">learn<") && rows[0].contains("<td data-of=\"Attempts\">2</td>"),
            "{}",
            rows[0]
        );
        assert!(rows[0].contains("It may be raised like this"), "the last one: {}", rows[0]);
        assert!(rows[1].contains(">other<") && rows[1].contains("tipped"), "{}", rows[1]);
        let to = rows[0].split("href=\"").nth(3).unwrap().split('"').next().unwrap();
        assert_eq!(shop.get(who, to).await.0, StatusCode::OK, "{to}");
    }
}

/// What is filled in from what was filled in is the same, and every arm stands on a tooth.
#[tokio::test]
async fn arms_drop_onto_their_teeth_and_stay_there() {
    let shop = shop(false).await;
    for invented in &INVENTED {
        let task =
            task::invented(&shop.house, invented.id).await.unwrap_or_else(|_| panic!("{}", invented.id));
        for units in [Units::Metric, Units::Us] {
            let setup = veil::start(&task.worked, DrivenIn::Forwards);
            let plan = task.worked.checked(&setup).unwrap();
            let read = fields::read(&fields::values(&plan, units)).unwrap_or_else(|_| panic!("it is read"));
            let again =
                read.setup().unwrap_or_else(|_| panic!("a setup")).in_reach(&task.worked.inputs().lift);
            let plan = task.worked.checked(&again).unwrap();
            let off: Vec<_> =
                plan.checks.iter().filter(|c| matches!(c.what, What::Tooth(_)) && c.reserve < 0.0).collect();
            assert!(off.is_empty(), "{}: {off:?}", invented.id);
        }
    }
}
