//! What whoever stands at the lift is told, and asked, once something is not as it should be.

#![cfg(unix)]
#![allow(clippy::unwrap_used, clippy::panic, reason = "a test ends where it fails")]

mod shop;

use std::io::Write;
use std::process::Stdio;

use shop::{Shop, demo, said};

/// A pickup in the mill bay whose rear axle comes off: on its locks, with work to do.
fn on_its_locks() -> Shop {
    let shop = Shop::ready();
    let job = demo("jobs/rear-axle-off.toml");
    let start =
        ["raise", "start", "--lift", "mill-bay", "--vehicle", "pickup", "--job", job.to_str().unwrap()];
    shop.fine("t-ash", &start);
    shop.confirm_until("t-ash", "step-1-done");
    shop
}

/// What `raise lead` shows and says to these answers.
fn led(shop: &Shop, answers: &str) -> shop::Said {
    let mut command = shop.command("t-ash", &["raise", "lead"]);
    let mut child =
        command.stdin(Stdio::piped()).stdout(Stdio::piped()).stderr(Stdio::piped()).spawn().unwrap();
    child.stdin.take().unwrap().write_all(answers.as_bytes()).unwrap();
    said(child.wait_with_output().unwrap())
}

#[test]
fn once_something_moved_nobody_goes_under_it() {
    for sign in ["noise", "moved"] {
        let shop = on_its_locks();
        assert!(shop.look(&["raise", "show"]).contains("It rests on its locks: work at it now."));
        let told = shop.fine("t-ash", &["raise", sign, "pad front left slipped 30 mm"]);
        for told in [&told, &shop.look(&["raise", "show"]), &led(&shop, "leave\n").out] {
            assert!(told.contains("NEXT  area-clear"), "{told}");
            assert!(told.contains("Nobody goes under it to work: it comes down first"), "{told}");
            assert!(!told.contains("may be done now") && !told.contains("work at it now"), "{told}");
        }
        // On the whole way down, and no farther.
        for point in ["area-clear", "off-locks", "locks-released"] {
            let told = shop.fine("t-ash", &["raise", "confirm", point]);
            assert!(told.contains("Nobody goes under it to work"), "{told}");
        }
        let told = shop.fine("t-ash", &["raise", "confirm", "fully-down"]);
        assert!(told.contains("NEXT  pads-seated") && !told.contains("Nobody goes under"), "{told}");
    }
}

#[test]
fn before_it_moves_to_another_height_it_is_not_said_to_come_down() {
    let shop = on_its_locks();
    for step in ["step-1-done", "step-2-done"] {
        shop.fine("t-ash", &["raise", "confirm", step]);
    }
    let told = shop.look(&["raise", "show"]);
    assert!(told.contains("NEXT  area-clear") && told.contains("height-2-reached"), "{told}");
    assert!(told.contains("the lift then moves to lock 9"), "{told}");
    assert!(!told.contains("it is to come down"), "{told}");
    shop.confirm_until("t-ash", "step-4-done");
    let told = shop.fine("t-ash", &["raise", "confirm", "step-4-done"]);
    assert!(told.contains("Go on here only once all of it is done and it is to come down."), "{told}");
}
