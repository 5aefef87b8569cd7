//! A raise at the tablet, once something is not as it should be.

use ::records::Role;
use serde_json::json;

use super::Shop;
use super::replays::Led;

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
    assert!(page.contains("This cannot be confirmed: it is out of service: oil at the column."), "{page}");
    assert!(!page.contains(">Confirm<") && !page.contains("<figure"), "{page}");
    led.say("not-right", json!({ "what": "down", "words": "oil" })).await;
    let page = led.page("/raise/1").await;
    assert!(page.contains(">Confirm<") && !page.contains("HELD UP"), "{page}");
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
    assert_eq!(page.matches("a creak at the rear").count(), 1, "{page}");
    // The same heard again is heard again.
    let again = format!("seen={}&what=noise&words=a+creak+at+the+rear", led.now().await["seen"]);
    shop.form("/raise/1/not-right", &led.cookie, &again).await.unwrap();
    assert_eq!(led.page("/raise/1").await.matches("a creak at the rear").count(), 2);
    // By whom else it is said, it is another's word.
    let learner = shop.cookie(Role::Learner).await;
    shop.form("/raise/1/not-right", &learner, &again).await.unwrap();
    assert_eq!(led.page("/raise/1").await.matches("a creak at the rear").count(), 3);
    // Nothing is confirmed by such a page.
    let confirms = format!("seen={seen}&point=pads-seated");
    let refused = shop.form("/raise/1/confirm", &led.cookie, &confirms).await.unwrap_err();
    assert!(refused.contains("went on since this page was shown"), "{refused}");
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
