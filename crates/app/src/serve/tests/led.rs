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
