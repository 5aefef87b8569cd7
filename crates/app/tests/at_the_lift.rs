//! What whoever stands at the lift is told, and asked, once something is not as it should be.

#![cfg(unix)]
#![allow(clippy::unwrap_used, clippy::panic, reason = "a test ends where it fails")]

mod shop;

use std::io::{Read, Write};
use std::process::Stdio;

use shop::{Shop, demo, said};

const START: [&str; 6] = ["raise", "start", "--lift", "north-bay", "--vehicle", "hatchback"];

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

/// Who takes over with `raise show` alone drives in and sets the arms by the plan.
#[test]
fn what_is_set_by_the_plan_is_told_where_it_is_set() {
    let shop = Shop::ready();
    let job = demo("jobs/rear-axle-off.toml");
    let start =
        ["raise", "start", "--lift", "mill-bay", "--vehicle", "pickup", "--job", job.to_str().unwrap()];
    let begun = shop.fine("t-ash", &start);
    let shown = shop.look(&["raise", "show"]);
    for told in [begun.split("NEXT  spotted").nth(1).unwrap(), &shown] {
        assert!(told.contains("Front wheel: ") && told.contains("Driven in BACKWARDS"), "{told}");
    }
    let seats = shop.fine("t-ash", &["raise", "confirm", "spotted"]);
    for told in [&seats, &shop.look(&["raise", "show"])] {
        assert!(told.contains("NEXT  pads-seated") && told.matches(" reach ").count() == 4, "{told}");
    }
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

/// The raise is seated again from elsewhere while a screen still shows the point that comes after it.
#[test]
fn what_an_old_screen_showed_is_not_confirmed() {
    let shop = Shop::ready();
    shop.fine("t-ash", &START);
    shop.confirm_until("t-ash", "shaken");
    let mut command = shop.command("t-ash", &["raise", "lead"]);
    let mut screen =
        command.stdin(Stdio::piped()).stdout(Stdio::piped()).stderr(Stdio::piped()).spawn().unwrap();
    let mut shown = vec![];
    while !shown.ends_with(b"> ") {
        let mut sign = [0];
        screen.stdout.as_mut().unwrap().read_exact(&mut sign).unwrap();
        shown.extend(sign);
    }
    assert!(String::from_utf8(shown).unwrap().contains("NEXT  shaken"));
    shop.fine("t-ash", &["raise", "noise", "bang"]);
    shop.confirm_until("t-ash", "shaken");
    screen.stdin.take().unwrap().write_all(b"shaken\nshaken\n").unwrap();
    let told = said(screen.wait_with_output().unwrap());
    assert!(told.code == 1 && told.err.contains("went on since this was shown"), "{}", told.err);
    // What a script says after that was meant for another course.
    assert_eq!(shop.next().as_deref(), Some("shaken"));
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

/// Down from lock 15 no lock was heard, and none is said to have been.
#[test]
fn what_was_lowered_to_a_lock_is_not_said_to_have_been_raised() {
    let shop = on_its_locks();
    shop.confirm_until("t-ash", "height-3-reached");
    shop.fine("t-ash", &["raise", "confirm", "height-3-reached"]);
    let history = shop.look(&["raise", "show", "--raise", "1"]);
    let (down, up) =
        ("It is at lock 9; it was lowered to it", "It is at lock 15; on the way up every lock was heard");
    assert!(history.contains(down) && history.contains(up), "{history}");
    assert!(!history.contains("It is at lock 9; on the way up"), "{history}");
}

#[test]
fn a_lift_out_of_service_in_the_middle_of_a_raise_is_said_before_the_part_is_off() {
    for out in [
        &["enter", "defect", "mill-bay", "oil at the left column", "--stops-use", "yes"][..],
        &["enter", "tag", "mill-bay", "oil at the left column"],
    ] {
        let shop = on_its_locks();
        shop.fine("l-fenn", out);
        let show = shop.look(&["raise", "show"]);
        let lead = led(&shop, "leave\n").out;
        let not_right = shop.fine("t-ash", &["raise", "not-right", "oil on the floor"]);
        for told in [&show, &lead, &not_right] {
            let (held, next) = (told.find("HELD UP: ").unwrap(), told.find("WAITS ").unwrap());
            assert!(held < next && told[held..next].contains("oil at the left column"), "{told}");
            assert!(told[held..next].contains("standfast raise bring-down"), "{told}");
            assert!(told[held..next].contains("`standfast raise confirm step-1-done --words ...`"), "{told}");
            assert!(!told.contains("work at it now") && !told.contains("before its last bolt"), "{told}");
        }
        let json: serde_json::Value = serde_json::from_str(&shop.look(&["raise", "show", "--json"])).unwrap();
        assert!(json[0]["held_up"][0].as_str().unwrap().contains("oil at the left column"), "{json}");
        let look_for = json[0]["look_for"].as_array().unwrap();
        assert!(look_for.iter().all(|told| told.as_str().unwrap().contains(" wrote since ")), "{json}");
        assert_eq!(json[0]["may_be_done_already"], true, "{json}");
        shop.refused("t-ash", &["raise", "confirm", "step-1-done"], "l-fenn wrote since (event ");
        let [_, seen] = shop.shown().unwrap();
        let confirm = ["raise", "confirm", "step-1-done", "--seen", &seen];
        shop.refused("t-ash", &confirm, "oil at the left column");
        // On the way down nothing is held up.
        let told = shop.fine("t-ash", &["raise", "bring-down", "oil"]);
        assert!(told.contains("NEXT  area-clear") && !told.contains("HELD UP"), "{told}");
        // The axle may be off, or half off.
        shop.to_its_end("t-ash", "left-on-floor");
    }
}

/// Wheels in the job of the brakes: the first come off while the lift is taken out of service.
fn with_wheels_coming_off() -> Shop {
    let shop = Shop::ready();
    let job = demo("jobs/brakes.toml");
    let start =
        ["raise", "start", "--lift", "mill-bay", "--vehicle", "hatchback", "--job", job.to_str().unwrap()];
    shop.fine("t-ash", &start);
    shop.confirm_until("t-ash", "step-1-done");
    let told = shop.look(&["raise", "show"]);
    assert!(told.contains("work at it now") && !told.contains("trolley"), "{told}");
    shop
}

#[test]
fn a_part_that_is_off_already_is_written_down_on_a_lift_out_of_service() {
    let shop = with_wheels_coming_off();
    shop.fine("t-ash", &["enter", "tag", "mill-bay", "leak"]);
    shop.refused("t-ash", &["raise", "confirm", "step-1-done"], "leak");
    let told =
        shop.fine("t-ash", &["raise", "confirm", "step-1-done", "--words", "both were off before the leak"]);
    assert!(told.contains("NEXT  area-clear") && told.contains("HELD UP"), "{told}");
    let record = shop.look(&["raise", "show", "--raise", "1"]);
    assert!(record.contains("Done: front wheels off. Checked: least reserve"), "{record}");
    assert!(record.contains("both were off before the leak"), "{record}");
    let told = shop.fine("t-ash", &["raise", "bring-down", "leak"]);
    let state = "The work is not ended: front wheels off. Before it goes down look what it will stand on";
    assert!(told.contains(state), "{told}");
    shop.to_its_end("t-ash", "left-on-floor");
}

#[test]
fn once_work_is_broken_off_the_part_may_be_off() {
    for away in [&["raise", "bring-down", "leak"][..], &["raise", "noise", "knock"]] {
        let shop = with_wheels_coming_off();
        let maybe = "The work is not ended: “front wheels off” may be done or half done.";
        let told = shop.fine("t-ash", away);
        assert!(told.contains(maybe) && told.contains("look what it will stand on"), "{told}");
        shop.confirm_until("t-ash", "fully-down");
        let told = shop.look(&["raise", "show"]);
        assert!(told.contains(maybe) && told.contains("Down only as far as it is borne"), "{told}");
        assert!(!told.contains("all four wheels carry.\n"), "{told}");
        let told = shop.fine("t-ash", &["raise", "confirm", "fully-down"]);
        if away[1] == "noise" {
            // Seated again it is checked in both states, and the part comes again.
            assert!(
                told.contains("NEXT  pads-seated") && told.contains("nothing of it hangs loose"),
                "{told}"
            );
            assert!(
                told.contains("the stand or trolley that bears there stays until the pads bear"),
                "{told}"
            );
            let said = shop.run("t-ash", &["raise", "confirm", "pads-seated"]);
            assert_eq!(said.err.matches("Checked: ").count(), 2, "{}", said.err);
            for (point, look) in [
                ("test-raised", "it has come clear of each stand or trolley that it stood on"),
                ("raised", "each stand or trolley that it stood on is out from under it"),
            ] {
                shop.confirm_until("t-ash", point);
                let told = shop.look(&["raise", "show"]);
                assert!(told.contains(look), "{told}");
            }
            shop.confirm_until("t-ash", "step-1-done");
            shop.fine("t-ash", &["raise", "confirm", "step-1-done"]);
            shop.to_the_end("t-ash");
        } else {
            assert!(told.contains("NEXT  left-on-floor") && told.contains(maybe), "{told}");
            shop.to_its_end("t-ash", "left-on-floor");
            let board = shop.look(&["book", "show"]);
            assert!(board.contains("on its floor, not ended: “front wheels off” may be done"), "{board}");
        }
    }
}

/// What comes down already is not to be brought down once more; and how it is mended goes by what holds it up.
#[test]
fn what_comes_down_already_is_not_to_be_brought_down() {
    let shop = with_wheels_coming_off();
    shop.fine("t-ash", &["raise", "noise", "a knock"]);
    shop.fine("t-ash", &["enter", "tag", "mill-bay", "leak"]);
    let told = shop.look(&["raise", "show"]);
    assert!(told.contains("HELD UP: ") && told.contains("NEXT  area-clear"), "{told}");
    assert!(
        told.contains("It comes down: what comes next is the way, and nothing else is done at it"),
        "{told}"
    );
    assert!(!told.contains("raise bring-down") && !told.contains("goes no farther"), "{told}");
    assert!(told.contains("returns a lift to service with `standfast enter return`.\n"), "{told}");
    assert!(!told.contains("enter correction") && !told.contains("enter check"), "{told}");
    let shop = with_wheels_coming_off();
    let record = shop.look(&["book", "record", "mill-bay"]);
    let report = record.lines().find(|line| line.contains("was examined")).unwrap();
    let event = report.split_whitespace().nth(2).unwrap();
    shop.fine("m-quill", &["enter", "correction", event, "another lift's"]);
    let told = shop.look(&["raise", "show"]);
    let mended = "An examination is entered with `standfast enter examination`; the lead confirms an examination with `standfast \
                  enter confirmation`.\n";
    assert!(
        told.contains("HELD UP: ") && told.contains("WAITS step-1-done") && told.contains(mended),
        "{told}"
    );
    assert!(told.contains("bring it down, with `standfast raise bring-down`"), "{told}");
}

const WHOLE: [&str; 4] = ["enter", "whole", "hatchback", "both wheels are on"];

fn back_to_service(shop: &Shop, lift: &str) {
    shop.lead(&["enter", "return", lift, "clear"]);
    shop.check(lift);
}

/// Raised again as it was left, nobody is sent to work at it before its steps are past that.
#[test]
fn nobody_works_at_what_was_left_before_it_was_looked_at() {
    let shop = with_wheels_coming_off();
    shop.fine("t-ash", &["raise", "confirm", "step-1-done"]);
    shop.fine("t-ash", &["raise", "bring-down", "the shop closes"]);
    shop.to_its_end("t-ash", "left-on-floor");
    back_to_service(&shop, "mill-bay");
    let job = demo("jobs/brakes.toml");
    let start = ["raise", "start", "--lift", "mill-bay", "--vehicle", "hatchback", "--job"];
    shop.fine("t-ash", &[&start[..], &[job.to_str().unwrap()]].concat());
    shop.confirm_until("t-ash", "pads-seated");
    assert!(shop.look(&["raise", "show"]).contains("the stand or trolley that bears there stays"));
    shop.confirm_until("t-ash", "step-1-done");
    let told = shop.look(&["raise", "show"]);
    assert!(told.contains("CAUTION: raise 1 left it with front wheels off."), "{told}");
    assert!(told.contains("nobody works under it before that") && !told.contains("work at it now"), "{told}");
    shop.fine("t-ash", &["raise", "confirm", "step-1-done"]);
    shop.confirm_until("t-ash", "step-2-done");
    assert!(shop.look(&["raise", "show"]).contains("work at it now"));
}

/// A point that others changed the meaning of is confirmed once it was shown as it is now.
#[test]
fn a_point_is_not_confirmed_by_what_was_shown_before_others_wrote() {
    let shop = with_wheels_coming_off();
    shop.fine("t-ash", &["raise", "confirm", "step-1-done"]);
    let shown = shop.look(&["raise", "show"]);
    let seen = |told: &str| told.split("`--seen ").nth(1).unwrap().split('`').next().unwrap().to_owned();
    assert!(shown.contains("the lift then moves to lock"), "{shown}");
    assert!(shown.contains("Confirm: `standfast raise confirm area-clear --as t-ash`"), "{shown}");
    assert!(shown.contains("`standfast raise noise`, `moved`, `not-right`, `bring-down`"), "{shown}");
    shop.lead(&["raise", "bring-down", "oil on the floor"]);
    let said = shop.run("t-ash", &["raise", "confirm", "area-clear"]);
    assert_eq!(said.code, 1, "{}", said.out);
    let wrote = "refused: r-holt wrote since (event ";
    assert!(said.err.starts_with(wrote) && said.err.contains("oil on the floor”.\n"), "{}", said.err);
    assert!(said.out.contains("Before it goes down look what it will stand on"), "{}", said.out);
    let now = seen(&said.err);
    assert_eq!(seen(&said.out), now);
    shop.refused("t-ash", &["raise", "confirm", "area-clear"], wrote);
    // Whoever looks is told, and what its leader writes elsewhere hides nothing.
    assert!(shop.look(&["raise", "show"]).contains("r-holt wrote since (event "));
    let roof =
        ["enter", "measurement", "hatchback", "--what", "outline.roof", "--value", "1.46 m", "--how", "tape"];
    shop.fine("t-ash", &roof);
    let again = shop.run("t-ash", &["raise", "confirm", "area-clear"]);
    assert!(again.code == 1 && again.err.starts_with(wrote), "{}", again.err);
    let now = seen(&again.err);
    let old = ["raise", "confirm", "area-clear", "--seen", &seen(&shown)];
    shop.refused("t-ash", &old, "went on since this was shown");
    shop.fine("t-ash", &["raise", "confirm", "area-clear", "--seen", &now]);
    // Whose own act was last was told where it stands.
    let next = shop.next().unwrap();
    shop.fine("t-ash", &["raise", "confirm", &next]);
}

/// What is said to be whole and is struck out holds the raise that went by it, in words and in JSON alike.
#[test]
fn whole_that_is_struck_out_is_told() {
    let shop = with_wheels_coming_off();
    shop.lead(&["raise", "abandon", "front wheels are off, it stands on its hubs"]);
    back_to_service(&shop, "mill-bay");
    let start = ["raise", "start", "--lift", "mill-bay", "--vehicle", "hatchback"];
    let left = "Raise 1 left hatchback with “front wheels off” done or half done";
    shop.refused("t-ash", &start, left);
    let said = shop.fine("t-ash", &WHOLE);
    let event = said.split_whitespace().find(|word| word.parse::<u64>().is_ok()).unwrap();
    shop.fine("t-ash", &start);
    shop.confirm_until("t-ash", "test-raised");
    shop.fine("t-ash", &["enter", "correction", event, "still off"]);
    let told = shop.look(&["raise", "show"]);
    assert!(told.contains(&format!("HELD UP: {left}")), "{told}");
    let json: serde_json::Value = serde_json::from_str(&shop.look(&["raise", "show", "--json"])).unwrap();
    assert!(json[0]["held_up"][0].as_str().unwrap().starts_with(left), "{json}");
    shop.refused("t-ash", &["raise", "confirm", "test-raised"], left);
    let told = shop.fine("t-ash", &["raise", "bring-down", "wheels are off"]);
    assert!(told.contains("look what it will stand on"), "{told}");
    shop.to_its_end("t-ash", "left-on-floor");
    shop.refused("t-ash", &start, "has left hatchback on its floor");
}

/// A part of the same name that is heavier is another one, and what was put on stays on.
#[test]
fn a_part_is_known_by_what_it_weighs() {
    let shop = Shop::ready();
    let job = |name: &str, kilograms: u16, steps: &[&str]| {
        let part = format!(
            "[[parts]]\nname = \"crate\"\nmass = \"{kilograms} kg +- 0 kg\"\nat = [\"1.2 m\", \"0 m\", \"0.6 m\"]\n"
        );
        let steps: String = steps.iter().map(|way| format!("[[steps]]\n{way} = \"crate\"\n")).collect();
        let file = shop.folder.path().join(name);
        std::fs::write(&file, format!("standfast = \"job/1\"\nname = \"{name}\"\n{part}{steps}")).unwrap();
        file.to_str().unwrap().to_owned()
    };
    let start = ["raise", "start", "--lift", "mill-bay", "--vehicle", "hatchback"];
    let load = job("load.toml", 150, &["on"]);
    shop.fine("t-ash", &[&start[..], &["--job", &load]].concat());
    shop.to_the_end("t-ash");
    let left = "Raise 1 left hatchback with crate on";
    shop.refused("t-ash", &start, left);
    let lighter = job("lighter.toml", 1, &["on", "off"]);
    shop.refused("t-ash", &[&start[..], &["--job", &lighter]].concat(), left);
    let unload = job("unload.toml", 150, &["on", "off"]);
    shop.fine("t-ash", &[&start[..], &["--job", &unload]].concat());
    shop.to_the_end("t-ash");
    shop.fine("t-ash", &start);
}

#[test]
fn a_refused_measuring_is_not_passed_without_a_word() {
    let shop = Shop::ready();
    shop.fine("t-ash", &START);
    let far = ["raise", "measured", "--spot", "1.10 m", "--offset", "400 mm", "--yaw", "8 deg"];
    let near = ["raise", "measured", "--spot", "1.10 m", "--offset", "0 m", "--yaw", "0 deg"];
    for point in ["spotted", "pads-seated"] {
        shop.refused("t-ash", &far, &format!("The check before {point} fails."));
        assert!(shop.look(&["raise", "show"]).contains("What was measured here was refused"));
        let why = format!("What was measured at {point} was refused");
        shop.refused("t-ash", &["raise", "confirm", point], &why);
        shop.refused("t-ash", &["raise", "confirm", point, "--words", " "], &why);
        let led = led(&shop, &format!("{point}\nleave\n"));
        assert!(led.code == 1 && led.err.contains(&why), "{}", led.err);
        assert_eq!(shop.next().as_deref(), Some(point));
        match point {
            "spotted" => shop.fine("t-ash", &["raise", "confirm", point, "--words", "driven on anew"]),
            _ => shop.fine("t-ash", &near),
        };
    }
    assert_eq!(shop.next().as_deref(), Some("arm-locks-engaged"));
    let history = shop.look(&["raise", "show", "--raise", "1"]);
    assert!(history.contains("driven on and spotted. driven on anew"), "{history}");
    assert!(!history.contains("What was measured here was refused"), "{history}");
}

/// The lines of a salvage without an event, as where the page that held it is lost.
fn restored_without(shop: &Shop, event: &str) {
    shop.look(&["book", "salvage", "all.jsonl"]);
    let all = shop.folder.path().join("all.jsonl");
    let lines = std::fs::read_to_string(&all).unwrap();
    let lost = |line: &&str| !line.contains(&format!("\"seq\":{event},"));
    let kept: String = lines.lines().filter(lost).map(|line| format!("{line}\n")).collect();
    assert_eq!(kept.lines().count() + 1, lines.lines().count());
    std::fs::write(all, kept).unwrap();
    let _ = std::fs::remove_file(shop.folder.path().join("new.book"));
    let restore = ["book", "restore", "all.jsonl", "--book", "new.book", "--salvaged-by", "r-holt"];
    let made = shop.command("", &restore).env("STANDFAST_PIN", "2580").output().unwrap();
    let made = said(made);
    assert_eq!(made.code, 1, "{}{}", made.out, made.err);
    assert!(made.out.contains("LOST: what stood after event"), "{}", made.out);
}

/// The number of the event that somebody's words made.
fn event(said: &str) -> String {
    said.split_whitespace().nth(2).unwrap().to_owned()
}

#[test]
fn what_a_salvage_keeps_apart_is_told_of_its_lift() {
    let shop = Shop::ready();
    let lost = event(&shop.lead(&["enter", "incident", "a tool fell", "--lift", "mill-bay"]));
    shop.fine("t-ash", &["raise", "start", "--lift", "mill-bay", "--vehicle", "hatchback"]);
    shop.fine("t-ash", &["raise", "confirm", "spotted"]);
    shop.lead(&["enter", "defect", "mill-bay", "oil at the left column", "--stops-use", "yes"]);
    let tag = event(&shop.lead(&["enter", "tag", "north-bay", "rope frayed"]));
    restored_without(&shop, &lost);
    let board = shop.look(&["book", "show", "--book", "new.book"]);
    assert!(!board.contains("Nothing is on it"), "{board}");
    let (mill, north) = board.split_once("\nnorth-bay (").unwrap();
    for (lift, words) in [
        (mill, "On it: not known, as the book was salvaged"),
        (mill, "what is on it is not known; raise 1 of hatchback had not ended."),
        (mill, "Defect 1 (stops its use): defect 1 of events that are kept apart: oil at the left column"),
        (north, "On it: not known, as the book was salvaged"),
        (north, &format!("event {tag}, which is kept apart: rope frayed.")),
    ] {
        assert!(lift.contains(words), "{words}: {board}");
    }
    let record = shop.look(&["book", "record", "mill-bay", "--book", "new.book"]);
    assert!(
        record.contains("raise 1 of hatchback had not ended") && record.contains("oil at the"),
        "{record}"
    );
    let back = ["enter", "return", "mill-bay", "looked at", "--book", "new.book"];
    shop.refused("r-holt", &back, "Not repaired yet: defect 1.");
    let told = shop.lead(&["enter", "return", "north-bay", "a new rope", "--book", "new.book"]);
    assert!(told.contains("It had been out of service: event") && told.contains("rope frayed"), "{told}");
    let board = shop.look(&["book", "show", "--book", "new.book"]);
    assert_eq!(board.matches("Nothing is on it").count(), 1, "{board}");
    assert!(shop.look(&["book", "verify", "--book", "new.book"]).contains("as it was written"));
}

#[test]
fn a_raise_whose_beginning_is_lost_may_be_on_any_lift() {
    let shop = Shop::ready();
    shop.fine("t-ash", &START);
    let history = shop.look(&["raise", "show", "--raise", "1"]);
    shop.fine("t-ash", &["raise", "confirm", "spotted"]);
    restored_without(&shop, &event(&history));
    let board = shop.look(&["book", "show", "--book", "new.book"]);
    assert_eq!(board.matches("raise 1 had not ended, here or on another lift").count(), 2, "{board}");
}
