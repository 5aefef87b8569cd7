//! A raise at the tablet, once something is not as it should be.

use ::records::{Command, Failure, HoldPoint, Measurement, RaiseNumber, Refusal, Role};
use axum::http::Method;
use jiff::Timestamp;
use serde_json::json;
use sheets::Units;

use super::replays::Led;
use super::{PIN, Shop};
use crate::verb::raise::{as_it_stands, judge};

#[tokio::test]
async fn a_raise_on_a_lift_out_of_service_is_held_up_on_its_page() {
    let shop = Shop::with_lifts(&["north-bay"]).await;
    let led = Led::begin(&shop).await;
    led.until("on-locks").await;
    led.say("confirm", json!({ "point": "on-locks" })).await;
    let page = led.page("/raise/1").await;
    assert!(page.contains("the work may be done now") && page.contains(">Confirm<"), "{page}");
    let learner = shop.cookie(Role::Learner).await;
    shop.form("/enter/tag", &learner, "lift=north-bay&words=oil+at+the+column").await.unwrap();
    let page = led.page("/raise/1").await;
    assert!(page.contains("HELD UP: it is out of service: oil at the column."), "{page}");
    assert!(!page.contains("the work may be done now"), "{page}");
    // What is left is the way down, and that is not held up.
    assert!(page.contains(">Confirm<"), "{page}");
    let board = led.page("/today").await;
    assert!(board.contains("resting on the locks; HELD UP"), "{board}");

    let shop = Shop::with_lifts(&["north-bay"]).await;
    let led = Led::begin(&shop).await;
    led.until("raised").await;
    let examiner = shop.cookie(Role::Examiner).await;
    shop.form("/enter/tag", &examiner, "lift=north-bay&words=oil+at+the+column").await.unwrap();
    let page = led.page("/raise/1").await;
    assert!(page.contains("HELD UP: it is out of service: oil at the column."), "{page}");
    assert!(!page.contains(">Confirm<") && !page.contains("<figure"), "{page}");
    led.say("not-right", json!({ "what": "down", "words": "oil" })).await;
    let page = led.page("/raise/1").await;
    assert!(page.contains(">Confirm<") && !page.contains("HELD UP"), "{page}");
}

/// On the floor nobody is led to seat its pads: the raise is ended there, or waits.
#[tokio::test]
async fn on_a_lift_out_of_service_nothing_is_readied_on_the_floor() {
    for (point, heading) in [
        ("spotted", "Nothing is driven on."),
        ("pads-seated", "It stays on the floor."),
        ("arm-locks-engaged", "It stays on the floor."),
    ] {
        let shop = Shop::with_lifts(&["north-bay"]).await;
        let led = Led::begin(&shop).await;
        led.until(point).await;
        let learner = shop.cookie(Role::Learner).await;
        shop.form("/enter/tag", &learner, "lift=north-bay&words=oil+at+the+column").await.unwrap();
        let page = led.page("/raise/1").await;
        let offers = [">Confirm<", "<figure", "Look: ", "Check, and confirm if it holds", "bring it down"];
        assert_eq!(offers.into_iter().find(|offer| page.contains(offer)), None, "{point}: {page}");
        assert!(page.contains(heading) && page.contains(">End the raise<"), "{page}");
        let state = led.now().await["raise"].clone();
        let look_for = state["look_for"].as_array().unwrap();
        let is_told = |look: &serde_json::Value| look.as_str().unwrap().contains(" wrote since (event ");
        assert!(state["waits"] == true && look_for.iter().all(is_told), "{state}");
        led.say("not-right", json!({ "what": "down", "words": "oil" })).await;
        let page = led.page("/raise/1").await;
        let left =
            if point == "spotted" { "Called off before the vehicle was driven on" } else { ">Confirm<" };
        assert!(page.contains(left) && !page.contains("HELD UP"), "{page}");
    }
}

/// Nobody is led to a vehicle that hangs on its arms: only the way down is offered, to whoever stands there.
#[tokio::test]
async fn on_a_lift_out_of_service_only_the_way_down_is_offered() {
    for point in ["shaken", "pad-1-rechecked"] {
        let shop = Shop::with_lifts(&["north-bay"]).await;
        let job = json!({ "lift": "north-bay", "vehicle": "hatchback", "job": "brakes" });
        let led = Led::begin_with(&shop, job).await;
        led.until("shaken").await;
        let ahead = led.now().await["raise"]["ahead"].to_string();
        if !ahead.contains(point) {
            continue;
        }
        led.until(point).await;
        let learner = shop.cookie(Role::Learner).await;
        shop.form("/enter/tag", &learner, "lift=north-bay&words=oil+at+the+column").await.unwrap();
        let page = led.page("/raise/1").await;
        assert!(
            !page.contains(">Confirm<") && !page.contains("<figure") && !page.contains("Shake it"),
            "{page}"
        );
        assert!(page.contains(">Bring it down<") && !page.contains("enter check"), "{page}");
        let seen = led.now().await["seen"].clone();
        let confirms = format!("seen={seen}&point={point}");
        let refused = shop.form("/raise/1/confirm", &led.cookie, &confirms).await.unwrap_err();
        assert!(refused.contains("oil at the column") && refused.contains("Refused"), "{refused}");
        let (_, others) = shop.ask(&Method::GET, "/raise/1", &learner, "").await;
        assert!(others.contains(">Bring it down<"), "{others}");
        let down = format!("seen={seen}&what=down&words=oil");
        assert_eq!(shop.form("/raise/1/not-right", &learner, &down).await.unwrap(), "/raise/1");
        assert!(led.page("/raise/1").await.contains("Only the way down is left"));
        led.until("").await;
    }
}

/// A learner is asked who stands beside them wherever they do not do it alone.
#[tokio::test]
async fn a_learner_takes_over_and_measures_with_somebody_beside() {
    let shop = Shop::with_lifts(&["north-bay"]).await;
    let led = Led::begin(&shop).await;
    let learner = shop.cookie(Role::Learner).await;
    let form = |page: &str, action: &str| {
        let form = page.split(&format!("action=\"/raise/1/{action}\"")).nth(1);
        form.unwrap_or_default().split("</form>").next().unwrap().to_owned()
    };
    let asks_in_the_row = |page: &str, button: &str| {
        let row = page.split("<div class=\"acts\">").nth(1).unwrap().split("Not right").next().unwrap();
        row.split(button).next().unwrap().contains("name=\"second_pin\" form=\"confirm\"")
            && row.contains(button)
    };
    let seen = || async { led.now().await["seen"].clone() };
    let beside = format!("&second=technician&second_pin={PIN}");
    let (_, page) = shop.ask(&Method::GET, "/raise/1", &learner, "").await;
    assert!(asks_in_the_row(&page, "Take it over as"), "{page}");
    assert!(form(&page, "measured").is_empty(), "it is refused to whoever does not lead");
    let take = format!("seen={}{beside}", seen().await);
    assert_eq!(shop.form("/raise/1/take-over", &learner, &take).await.unwrap(), "/raise/1");
    let (_, page) = shop.ask(&Method::GET, "/raise/1", &learner, "").await;
    assert!(form(&page, "measured").contains("name=\"second_pin\""), "{page}");
    // Who stands beside is asked for in the row that stays in sight, above its buttons.
    assert!(asks_in_the_row(&page, ">Confirm<"), "{page}");
    let spot = format!("seen={}&spot=1.103+m&offset=4+mm&yaw=0.2+deg{beside}", seen().await);
    assert_eq!(shop.form("/raise/1/measured", &learner, &spot).await.unwrap(), "/raise/1");
    assert_eq!(led.now().await["raise"]["next"]["point"], "pads-seated");
}

#[tokio::test]
async fn what_was_measured_and_refused_is_confirmed_with_words() {
    let shop = Shop::with_lifts(&["north-bay"]).await;
    let led = Led::begin(&shop).await;
    for point in ["spotted", "pads-seated"] {
        let seen = || async { led.now().await["seen"].clone() };
        let far = format!("seen={}&spot=1.1+m&offset=400+mm&yaw=8+deg", seen().await);
        let refused = shop.form("/raise/1/measured", &led.cookie, &far).await.unwrap_err();
        assert!(refused.contains(&format!("The check before {point} fails.")), "{refused}");
        let page = led.page("/raise/1").await;
        assert!(page.contains("What was measured here was refused"), "{page}");
        assert!(page.contains("What was changed since it was measured and refused"), "{page}");
        let plain = format!("seen={}&point={point}", seen().await);
        let refused = shop.form("/raise/1/confirm", &led.cookie, &plain).await.unwrap_err();
        assert!(refused.contains(&format!("What was measured at {point} was refused")), "{refused}");
        let words = format!("{plain}&words=rolled+back+to+the+mark");
        shop.form("/raise/1/confirm", &led.cookie, &words).await.unwrap();
        assert!(!led.page("/raise/1").await.contains("What was measured here was refused"));
    }
    assert_eq!(led.now().await["raise"]["next"]["point"], "arm-locks-engaged");
}

/// What is not right is written however old the page is from which it is said, and once however often it is sent.
#[tokio::test]
async fn what_is_not_right_is_written_from_an_old_page_and_once() {
    let shop = Shop::with_lifts(&["north-bay"]).await;
    let led = Led::begin(&shop).await;
    let seen = led.now().await["seen"].clone();
    led.until("test-raised").await;
    let noise = format!("seen={seen}&what=noise&words=a+creak+at+the+rear");
    for _ in 0..2 {
        assert_eq!(shop.form("/raise/1/not-right", &led.cookie, &noise).await.unwrap(), "/raise/1");
    }
    let page = led.page("/raise/1").await;
    assert!(page.contains("Written down: “Raise 1: noise: a creak at the rear”."), "{page}");
    // There and in what happened.
    assert_eq!(page.matches("a creak at the rear").count(), 2, "{page}");
    // The same heard again is heard again.
    let again = format!("seen={}&what=noise&words=a+creak+at+the+rear", led.now().await["seen"]);
    shop.form("/raise/1/not-right", &led.cookie, &again).await.unwrap();
    assert_eq!(led.page("/raise/1").await.matches("a creak at the rear").count(), 3);
    // By whom else it is said, it is another's word.
    let learner = shop.cookie(Role::Learner).await;
    shop.form("/raise/1/not-right", &learner, &again).await.unwrap();
    // What others wrote stands above the point as well, until its leader acts.
    let page = led.page("/raise/1").await;
    assert_eq!(page.matches("a creak at the rear").count(), 5);
    assert_eq!(page.matches(" wrote since (event ").count(), 1, "{page}");
    // A program that does not say what it knew is written whenever it asks.
    let said = json!({ "what": "noise", "words": "a creak at the rear" });
    let (status, _) = shop.send_json("/api/raise/1/not-right", &led.cookie, &said).await;
    assert_eq!(status, axum::http::StatusCode::OK);
    assert_eq!(led.page("/raise/1").await.matches("a creak at the rear").count(), 6);
    // Nothing is confirmed by such a page.
    let confirms = format!("seen={seen}&point=pads-seated");
    let refused = shop.form("/raise/1/confirm", &led.cookie, &confirms).await.unwrap_err();
    assert!(refused.contains("went on since this page was shown"), "{refused}");
}

/// What stops a raise is said with one touch, and by a program, without a word; what says nothing by itself is not.
#[tokio::test]
async fn what_stops_a_raise_needs_no_words() {
    for what in ["noise", "moved", "lock", "down"] {
        let shop = Shop::with_lifts(&["north-bay"]).await;
        let led = Led::begin(&shop).await;
        led.until("shaken").await;
        let seen = led.now().await["seen"].clone();
        let said = format!("seen={seen}&what={what}&words=+");
        for _ in 0..2 {
            assert_eq!(shop.form("/raise/1/not-right", &led.cookie, &said).await.unwrap(), "/raise/1");
        }
        assert_eq!(led.now().await["raise"]["next"]["point"], "area-clear", "{what}");
        let page = led.page("/raise/1").await;
        assert!(page.contains("said on the page, without more words"), "{page}");
        let history = page.split("What happened").nth(1).unwrap();
        assert_eq!(history.matches("without more words").count(), 1, "{history}");
    }
    let shop = Shop::with_lifts(&["north-bay"]).await;
    let led = Led::begin(&shop).await;
    led.until("shaken").await;
    led.say("not-right", json!({ "what": "noise" })).await;
    assert!(led.page("/raise/1").await.contains("said by a program, without more words"));
    let seen = led.now().await["seen"].clone();
    let other = format!("seen={seen}&what=other&words=+");
    assert!(shop.form("/raise/1/not-right", &led.cookie, &other).await.is_err());
}

/// Only what is done where the raise stands is offered, in words that are true there.
#[tokio::test]
async fn what_can_be_said_is_what_is_done() {
    let offered = |page: &str| {
        let signs = page.split("<div class=\"signs\">").nth(1).unwrap().split("</form>").next().unwrap();
        let buttons = signs.split("<button").skip(1);
        let of = |button: &str| {
            let what = button.split("value=\"").nth(1).unwrap().split('"').next().unwrap().to_owned();
            let then = button.split("<span>").nth(1).unwrap().split("</span>").next().unwrap().to_owned();
            (what, then)
        };
        buttons.map(of).collect::<Vec<_>>()
    };
    let all = |said: &[(&str, &str)]| {
        said.iter().map(|(a, b)| ((*a).to_owned(), (*b).to_owned())).collect::<Vec<_>>()
    };
    let shop = Shop::with_lifts(&["north-bay"]).await;
    let led = Led::begin(&shop).await;
    let written = ("other", "Written down; the course stays.");
    let ended = ("down", "Nothing is driven on, and the raise is ended.");
    assert_eq!(offered(&led.page("/raise/1").await), all(&[ended, written]));
    led.until("pads-seated").await;
    let again = "The pads are seated again.";
    let stays = ("down", "Nothing is raised, and the raise comes to its end.");
    let said = [("noise", again), ("moved", again), stays, written];
    assert_eq!(offered(&led.page("/raise/1").await), all(&said));
    led.until("shaken").await;
    let again = "Down first, then the pads are seated again.";
    let lock = ("lock", "Only the way down is left, and the lift is out of service.");
    let down = ("down", "Only the way down is left.");
    let said = [("noise", again), ("moved", again), lock, down, written];
    assert_eq!(offered(&led.page("/raise/1").await), all(&said));
    // On the way down for good nothing sends it elsewhere; what is noted is written.
    led.until("fully-down").await;
    let goes_on = "Written down; the way down goes on.";
    assert_eq!(
        offered(&led.page("/raise/1").await),
        all(&[("noise", goes_on), ("moved", goes_on), ("other", goes_on)])
    );
    led.say("not-right", json!({ "what": "noise", "words": "a hiss" })).await;
    assert_eq!(led.now().await["raise"]["next"]["point"], "area-clear");
    led.until("driven-off").await;
    let kept = "Written down.";
    assert_eq!(
        offered(&led.page("/raise/1").await),
        all(&[("noise", kept), ("moved", kept), ("other", kept)])
    );
    led.say("not-right", json!({ "what": "noise" })).await;
    let page = led.page("/raise/1").await;
    assert!(page.contains("noise: said by a program, without more words"), "{page}");
    assert_eq!(led.now().await["raise"]["next"]["point"], "driven-off");
}

#[tokio::test]
async fn what_was_refused_comes_back_as_it_was_written() {
    let shop = Shop::with_lifts(&["north-bay"]).await;
    let led = Led::begin(&shop).await;
    let seen = led.now().await["seen"].clone();
    let lock = format!("seen={seen}&what=lock&words=silence+on+the+right");
    let refused = shop.form("/raise/1/not-right", &led.cookie, &lock).await.unwrap_err();
    assert!(refused.contains("class=\"told refused\""), "{refused}");
    assert!(refused.contains(">silence on the right</textarea>"), "{refused}");
    led.say("abandon", json!({ "words": "towed away" })).await;
    let refused = shop.form("/raise/1/not-right", &led.cookie, &lock).await.unwrap_err();
    assert!(refused.contains("“silence on the right”") && refused.contains("/enter/defect"), "{refused}");
}

/// The locks that a picture from the left draws, by the height that it writes beside the vehicle.
#[tokio::test]
async fn at_a_later_lock_that_lock_is_pictured_and_its_way_told() {
    let shop = Shop::with_lifts(&["north-bay"]).await;
    let led =
        Led::begin_with(&shop, json!({ "lift": "north-bay", "vehicle": "hatchback", "job": "brakes" })).await;
    let drawn = |page: &str| {
        let svg = page.find("aria-label=\"From the left").unwrap();
        page[svg..svg + page[svg..].find("</svg>").unwrap()].to_owned()
    };
    led.until("raised").await;
    let first = drawn(&led.page("/raise/1").await);
    led.until("height-2-reached").await;
    let page = led.page("/raise/1").await;
    assert!(page.contains("Hold the release by hand, and let go of it above the lock."), "{page}");
    assert!(!page.contains("Up:") && !page.contains("Down:") && !page.contains("drops in"), "{page}");
    assert!(!page.contains("standfast raise"), "{page}");
    let reached = drawn(&page);
    assert_ne!(reached, first);
    led.until("on-locks").await;
    assert_eq!(drawn(&led.page("/raise/1").await), reached);
    let step = 1 + led.now().await["raise"]["done"].as_array().unwrap().len();
    led.say("confirm", json!({ "point": "on-locks" })).await;
    assert_eq!(drawn(&led.step(step).await), reached, "walked through afterwards");
}

/// Who is told that the stands are away, and then lowers, must not see one there; where it rests on them they are seen.
#[tokio::test]
async fn a_stand_is_drawn_only_while_it_stands() {
    let shop = Shop::with_lifts(&["north-bay"]).await;
    let job = json!({ "lift": "north-bay", "vehicle": "sports-coupe", "job": "front-end-off-on-stands" });
    let led = Led::begin_with(&shop, job).await;
    let has_stand = |page: &str| {
        let from = page.find("aria-label=\"From the left")?;
        Some(page[from..from + page[from..].find("</figure>")?].contains("stand "))
    };
    let (mut stands, mut moved) = (false, vec![]);
    let (mut with, mut points) = (0, vec![]);
    loop {
        let next = led.now().await["raise"]["next"]["point"].clone();
        let Some(point) = next.as_str() else { break };
        if let Some(drawn) = has_stand(&led.page("/raise/1").await) {
            assert_eq!(drawn, stands, "{point}");
            with += usize::from(stands);
            moved.push(point.to_owned());
        }
        points.push((point.to_owned(), stands));
        stands = (stands || point == "stands-set") && point != "stands-away";
        led.say("confirm", json!({ "point": point, "words": "2480 N" })).await;
    }
    for point in ["on-locks", "area-clear", "off-locks", "locks-released"] {
        assert!(moved.iter().any(|known| known == point), "{point} has no picture: {moved:?}");
    }
    assert!(with > 0, "{moved:?}");
    for (k, (point, stands)) in points.iter().enumerate() {
        let drawn = has_stand(&led.step(k + 1).await);
        assert!(drawn.is_none_or(|drawn| drawn == *stands), "{point}, walked through afterwards");
    }
}

/// What somebody measures while a check is computed counts: the check confirms nothing.
#[tokio::test]
async fn a_check_knows_nothing_of_what_is_measured_while_it_is_computed() {
    let shop = Shop::with_lifts(&["north-bay"]).await;
    let led = Led::begin(&shop).await;
    let book = shop.house.book().await.unwrap();
    let signed = book.check_pin(Timestamp::now(), &"lead".parse().unwrap(), PIN).await.unwrap();
    let number = RaiseNumber(1);
    for (point, value) in
        [(HoldPoint::Spotted, "1700 kg +- 2 kg"), (HoldPoint::TestRaised, "1701 kg +- 2 kg")]
    {
        led.until(&point.to_string()).await;
        let raise = book.shop().await.unwrap().raises[&number].clone();
        let as_placed = as_it_stands(&book, number, &raise).await.unwrap();
        let checked =
            judge(&book, (number, &raise), point, &as_placed, Units::Metric).await.unwrap().judgement;
        assert!(checked.passes());
        let vehicle = raise.plan.vehicle.clone();
        let (what, value, how) = ("weight.front_axle".to_owned(), value.to_owned(), "scale".to_owned());
        let weighed = Command::Measure(Measurement { vehicle: vehicle.clone(), what, value, how });
        let shown = led.now().await["seen"].clone();
        let weighed = book.act(Timestamp::now(), &signed, &weighed).await.unwrap();
        // Nor does a page that was shown before.
        let old = format!("seen={shown}&point={point}");
        let refused = shop.form("/raise/1/confirm", &led.cookie, &old).await.unwrap_err();
        assert!(refused.contains("This raise went on since this page was shown"), "{refused}");
        let confirm = |judgement| {
            let (raise, words, seen) = (number, None, None);
            Command::Confirm { raise, point, judgement: Some(judgement), words, seen }
        };
        let stale = book.act(Timestamp::now(), &signed, &confirm(checked.clone())).await;
        let Err(Failure::Refused(why)) = stale else { panic!("{stale:?}") };
        assert_eq!(why, [Refusal::CheckedBefore(vehicle)]);
        // By what counts now it fails.
        let raise = book.shop().await.unwrap().raises[&number].clone();
        let checked =
            judge(&book, (number, &raise), point, &as_placed, Units::Metric).await.unwrap().judgement;
        assert!(!checked.passes());
        let strike = Command::Correct { event: weighed[0].seq, words: "another vehicle".into() };
        book.act(Timestamp::now(), &signed, &strike).await.unwrap();
    }
}

/// Which way the vehicle is driven in is told where it is spotted; backwards, that is not seen from the figures.
#[tokio::test]
async fn how_it_is_driven_in_is_told_where_it_is_spotted() {
    let shop = Shop::with_lifts(&["mill-bay"]).await;
    let led = Led::begin_with(&shop, json!({ "lift": "mill-bay", "vehicle": "long-van" })).await;
    let page = led.page("/raise/1").await;
    let wheel = page.split("Front wheel").nth(1).unwrap().split("</p>").next().unwrap();
    assert!(wheel.contains("Driven in BACKWARDS, "), "{wheel}");
}

/// Who takes over a raise that only comes down reads why it does.
#[tokio::test]
async fn why_only_the_way_down_is_left_stays_on_the_page() {
    let bold = |page: &str| {
        let lines = page.split("<p class=\"work-now\">").skip(1);
        lines.map(|line| line.split("</p>").next().unwrap().to_owned()).collect::<Vec<_>>()
    };
    for (what, words, says) in [
        (
            "lock",
            "the left one",
            "A lock was not heard, lead says: “the left one”. Nobody goes under it: only the way down is left.",
        ),
        (
            "down",
            "rain comes in",
            "It is brought down before its time, lead says: “rain comes in”. Only the way down is left.",
        ),
        (
            "down",
            "Rain comes in.",
            "It is brought down before its time, lead says: “Rain comes in.” Only the way down is left.",
        ),
    ] {
        let shop = Shop::with_lifts(&["north-bay"]).await;
        let led = Led::begin(&shop).await;
        led.until("raised").await;
        assert!(bold(&led.page("/raise/1").await).is_empty());
        led.say("not-right", json!({ "what": what, "words": words })).await;
        assert_eq!(bold(&led.page("/raise/1").await), [says]);
        led.until("fully-down").await;
        assert_eq!(bold(&led.page("/raise/1").await), [says]);
    }
    // Where its course comes to that, nothing was said.
    let shop = Shop::with_lifts(&["north-bay"]).await;
    let led = Led::begin(&shop).await;
    led.until("fully-down").await;
    let page = led.page("/raise/1").await;
    assert!(bold(&page).is_empty() && page.contains("Only the way down is left."), "{page}");
}
