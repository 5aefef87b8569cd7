//! What is measured, or entered, in the middle of a raise or while parts are off.

#![cfg(unix)]
#![allow(clippy::unwrap_used, clippy::panic, reason = "a test ends where it fails")]

mod shop;

use shop::{Shop, demo};

/// The number of its event.
fn measure(shop: &Shop, vehicle: &str, what: &str, value: &str) -> String {
    let all = ["enter", "measurement", vehicle, "--what", what, "--value", value, "--how", "scale"];
    shop.fine("t-ash", &all).split_whitespace().nth(2).unwrap().to_owned()
}

fn begin(shop: &Shop, lift: &str, vehicle: &str, job: &str) {
    let job = demo(&format!("jobs/{job}.toml"));
    let start = ["raise", "start", "--lift", lift, "--vehicle", vehicle, "--job", job.to_str().unwrap()];
    shop.fine("t-ash", &start);
}

/// A coupe whose front end comes off, the stands for that to be set next.
fn before_its_stands() -> Shop {
    let shop = Shop::ready();
    let file = demo("vehicles/sports-coupe.toml");
    shop.lead(&["enter", "vehicle", "sports-coupe", file.to_str().unwrap()]);
    begin(&shop, "north-bay", "sports-coupe", "front-end-off-on-stands");
    shop.confirm_until("t-ash", "stands-set");
    shop
}

const TOLD: &str = "253 kg (219 kg to 268 kg) by scale";

#[test]
fn stands_serve_as_they_were_told_or_the_raise_goes_no_farther() {
    let shop = before_its_stands();
    assert!(shop.look(&["raise", "show"]).contains(TOLD));
    // With a little more taken off in front the load that was told still serves, and is told still.
    measure(&shop, "sports-coupe", "parts.engine and gearbox.mass", "270 kg +- 2 kg");
    let told = shop.look(&["raise", "show"]);
    assert!(told.contains(TOLD) && !told.contains("HELD UP"), "{told}");
    // With much more the plan itself passes, on stands with more on them: the load that was told does not.
    measure(&shop, "sports-coupe", "parts.engine and gearbox.mass", "290 kg +- 2 kg");
    let fails = "set where and to the load that the plan gives, they do not make every state pass";
    for told in [shop.look(&["raise", "show"]), shop.fine("t-ash", &["raise", "not-right", "look"])] {
        assert!(
            told.contains("HELD UP: The check before stands-set fails") && told.contains(fails),
            "{told}"
        );
        assert!(told.contains("WAITS stands-set") && !told.contains("kg) by scale"), "{told}");
    }
    shop.refused("t-ash", &["raise", "confirm", "stands-set"], fails);
    let job = demo("jobs/front-end-off-on-stands.toml");
    let keep = ["raise", "keep", "--lift", "north-bay", "--vehicle", "sports-coupe"];
    let report = shop.fine("t-ash", &[&keep[..], &["--job", job.to_str().unwrap()]].concat());
    assert!(!report.contains("MUST NOT") && report.contains("Set a stand"), "{report}");
    // Some may stand: they are looked for on the way down.
    let told = shop.fine("t-ash", &["raise", "bring-down", "too light in front"]);
    assert!(told.contains("NEXT  stands-away"), "{told}");
    shop.to_its_end("t-ash", "left-on-floor");
    let told = shop.look(&["book", "verify", "--plans"]);
    assert!(told.contains("give the same bytes") && told.contains("checks, computed again"), "{told}");
}

/// Once they are set the same holds for the part; the way down goes on, and says what it stands on.
#[test]
fn who_comes_to_a_vehicle_on_stands_is_told_of_them() {
    let shop = before_its_stands();
    let read = |words| ["raise", "confirm", "stands-set", "--words", words];
    let set = shop.look(&["raise", "show"]);
    for wrong in ["900 kg", "left 253 kg, right 300 kg", "440 lb", "8829 N"] {
        shop.refused("t-ash", &read(wrong), "was read, and the plan gives 219 kg to 268 kg for each stand");
    }
    for wrong in ["900", "900 kilograms", "253,5 kg", "1,253 kg"] {
        shop.refused("t-ash", &read(wrong), "is no load that can be read");
    }
    for none in [&read("as planned")[..], &["raise", "confirm", "stands-set"]] {
        shop.refused("t-ash", none, "Say the load that was read on the scale, of each stand, with its unit");
    }
    // Nobody is sent to the stand by a load, who does not lead or while it is held up.
    shop.refused("r-holt", &read("900 kg"), "t-ash leads raise 1");
    shop.lead(&["enter", "tag", "north-bay", "oil"]);
    let seen = || shop.shown().unwrap()[1].clone();
    let held = shop.run("t-ash", &[&read("900 kg")[..], &["--seen", &seen()]].concat());
    assert!(held.err.contains("out of service: oil") && !held.err.contains("Set it anew"), "{}", held.err);
    shop.lead(&["enter", "return", "north-bay", "clear"]);
    shop.check("north-bay");
    shop.refused("t-ash", &read("253 kg"), "r-holt wrote since (event ");
    shop.fine("t-ash", &[&read("253 kg")[..], &["--seen", &seen()]].concat());
    let under = ["and on stands: nobody under it", "It rests on stands too: nobody under it."];
    let tells = |told: &str| under.iter().for_each(|words| assert!(told.contains(words), "{words}: {told}"));
    tells(&shop.look(&["raise", "show"]));
    let alone = "up to 181 kg more (later up to 449 kg on each), for a post gives way less than the arms: that is counted, so do not \
                 turn the screw again.";
    assert!(set.contains(alone), "{set}");
    assert!(shop.look(&["raise", "show"]).contains(alone));
    shop.fine("t-ash", &["raise", "confirm", "step-3-done"]);
    assert!(shop.look(&["raise", "show"]).contains(alone));
    measure(&shop, "sports-coupe", "parts.engine and gearbox.mass", "290 kg +- 2 kg");
    let told = shop.fine("r-holt", &["raise", "take-over"]);
    tells(&told);
    assert!(told.contains("HELD UP: The check before step-4-done fails"), "{told}");
    assert!(!told.contains("work at it now"), "{told}");
    // Who takes over was not told before by what they confirmed.
    shop.refused("r-holt", &["raise", "confirm", "step-4-done"], "t-ash wrote since (event ");
    let [_, seen] = shop.shown().unwrap();
    let confirm = ["raise", "confirm", "step-4-done", "--seen", &seen];
    shop.refused("r-holt", &confirm, "The check before step-4-done fails");
    let told = shop.fine("r-holt", &["raise", "bring-down", "too light in front"]);
    tells(&told);
    // The axle holds it down at the front: it is put on again first, whatever the check says.
    assert!(
        told.contains("NEXT  step-4-done") && told.contains("CAUTION: The check before step-4"),
        "{told}"
    );
    let [_, seen] = shop.shown().unwrap();
    shop.lead(&["raise", "confirm", "step-4-done", "--seen", &seen]);
    assert_eq!(shop.next().as_deref(), Some("stands-away"));
    let away = shop.look(&["raise", "show"]);
    tells(&away);
    assert!(away.contains("let down by its screw") && !away.contains("turn the screw again"), "{away}");
    assert!(!away.contains("the screw is not turned again"), "{away}");
    assert!(shop.look(&["book", "show"]).contains(under[0]));
    shop.lead(&["raise", "abandon", "nobody is left"]);
    let board = shop.look(&["book", "show"]);
    assert!(board.contains("sports-coupe was left there by raise 1, on stands; "), "{board}");
    assert!(
        board.contains("abandoned, sports-coupe left up on the lift, or partly up; on stands; "),
        "{board}"
    );
}

/// Without its stands it is checked by what was measured while they stood, before they go.
#[test]
fn stands_stay_under_what_fails_without_them() {
    let shop = before_its_stands();
    shop.fine("t-ash", &["raise", "confirm", "stands-set", "--words", "253 kg"]);
    shop.confirm_until("t-ash", "stands-away");
    measure(&shop, "sports-coupe", "parts.engine and gearbox.mass", "340 kg");
    let told = shop.look(&["raise", "show"]);
    let fails = "The check before stands-away fails";
    assert!(told.contains(&format!("HELD UP: {fails}")) && told.contains("WAITS stands-away"), "{told}");
    shop.refused("t-ash", &["raise", "confirm", "stands-away"], fails);
    assert_eq!(shop.next().as_deref(), Some("stands-away"));
    shop.fine("t-ash", &["raise", "bring-down", "the engine is heavier than that"]);
    tells_all_the_way_down(&shop);
    shop.fine("t-ash", &["raise", "confirm", "left-on-floor"]);
}

/// What fails is told at each point until it is down, and holds none of them.
fn tells_all_the_way_down(shop: &Shop) {
    let mut points = vec![];
    while points.last().map(String::as_str) != Some("fully-down") {
        let told = shop.look(&["raise", "show"]);
        assert!(told.contains("CAUTION: A check of it as it is now fails.\n      CAUTION: "), "{told}");
        assert!(!told.contains("HELD UP") && !told.contains("WAITS"), "{told}");
        points.extend(shop.next());
        shop.fine("t-ash", &["raise", "confirm", &points[points.len() - 1]]);
    }
    assert!(points.contains(&"off-locks".to_owned()), "{points:?}");
    let told = shop.look(&["raise", "show"]);
    assert!(!told.contains("A check of it"), "{told}");
}

/// Whoever brings it down, for good or to be seated again, is told what fails, on the page too.
#[test]
fn the_way_down_tells_what_fails() {
    for word in ["bring-down", "noise"] {
        let shop = Shop::ready();
        begin(&shop, "mill-bay", "pickup", "rear-axle-off");
        shop.confirm_until("t-ash", "area-clear");
        measure(&shop, "pickup", "parts.rear axle.mass", "520 kg");
        assert!(shop.look(&["raise", "show"]).contains("HELD UP: The check before area-clear fails"));
        let told = shop.fine("t-ash", &["raise", word, "too light behind"]);
        assert!(told.contains("CAUTION: A check of it as it is now fails"), "{told}");
        tells_all_the_way_down(&shop);
    }
}

/// A pickup in the long bay, begun with that job, or only raised.
fn in_the_long_bay(job: Option<&str>) -> Shop {
    let shop = Shop::ready();
    let file = demo("lifts/long-bay.toml");
    let sheet = ["--maker", "Own works", "--model", "A 2", "--serial", "18", "--year", "2019"];
    shop.lead(&[&["enter", "lift", "long-bay", file.to_str().unwrap()], &sheet[..]].concat());
    shop.examined("long-bay", &shop::today());
    shop.check("long-bay");
    match job {
        Some(job) => begin(&shop, "long-bay", "pickup", job),
        None => {
            shop.fine("t-ash", &["raise", "start", "--lift", "long-bay", "--vehicle", "pickup"]);
        }
    }
    shop
}

/// An as-placed file of a plan's answer, the rear pads so far behind and all pads so far above where it puts them, metres.
fn placed(shop: &Shop, answer: &str, [behind, above]: [f64; 2]) -> &'static str {
    let answer: serde_json::Value = serde_json::from_str(answer).unwrap();
    let number = |value: &serde_json::Value| value.as_f64().unwrap();
    let mut text = format!(
        "standfast = \"as-placed/1\"\nspot = \"{} m\"\noffset = \"{} m\"\nyaw = \"{} rad\"\ndriven_in = {}\n",
        answer["spot_m"], answer["offset_m"], answer["yaw_rad"], answer["driven_in"]
    );
    for (k, corner) in ["front_left", "front_right", "rear_left", "rear_right"].into_iter().enumerate() {
        let pad = &answer["pads"][k];
        let aft = number(&pad["aft_m"]) + if k < 2 { 0.0 } else { behind };
        let adapters: Vec<String> =
            pad["adapters_m"].as_array().unwrap().iter().map(|m| format!("\"{m} m\"")).collect();
        text += &format!(
            "[pads.{corner}]\nat = [\"{aft} m\", \"{} m\"]\nadapters = [{}]\nheight = \"{} m\"\n",
            pad["left_m"],
            adapters.join(", "),
            number(&pad["pad_height_m"]) + above
        );
    }
    std::fs::write(shop.folder.path().join("placed.toml"), text).unwrap();
    "placed.toml"
}

/// Pads, test raise and heights of a check that passes are those that are led: nobody feels for the wrong pads, or stops with
/// the tyres on the floor.
#[test]
fn what_a_check_says_of_the_course_is_led() {
    let pads = |told: &str| -> Vec<usize> {
        (1..=4).filter(|pad| told.contains(&format!("pad-{pad}-rechecked"))).collect()
    };
    // Lighter at the rear, a shake proves nothing of the front pads, and all of the rear ones.
    let shop = in_the_long_bay(None);
    shop.confirm_until("t-ash", "test-raised");
    assert_eq!(pads(&shop.look(&["raise", "show"])), [3, 4]);
    let event = measure(&shop, "pickup", "weight.rear_axle", "1150 kg +- 5 kg");
    let told = shop.look(&["raise", "show"]);
    assert!(!told.contains("HELD UP") && pads(&told) == [1, 2], "{told}");
    let told = shop.fine("t-ash", &["raise", "confirm", "test-raised"]);
    assert_eq!(pads(&told), [1, 2], "{told}");
    shop.confirm_until("t-ash", "raised");
    // Struck out, the rear ones are rechecked before it is raised.
    shop.fine("t-ash", &["enter", "correction", &event, "the van was on the scale"]);
    let told = shop.look(&["raise", "show"]);
    assert!(told.contains("NEXT  pad-3-rechecked") && pads(&told) == [3, 4], "{told}");
    shop.refused(
        "t-ash",
        &["raise", "confirm", "raised"],
        "raised cannot be confirmed; next is pad-3-rechecked",
    );
    shop.to_the_end("t-ash");
    // Rear pads ahead of where the plan puts them.
    let shop = in_the_long_bay(None);
    let answer =
        shop.fine("t-ash", &["raise", "keep", "--lift", "long-bay", "--vehicle", "pickup", "--json"]);
    let file = placed(&shop, &answer, [-0.1, 0.0]);
    let told = shop.fine("t-ash", &["raise", "measured", "--placed", file]);
    assert!(told.contains("each of the four pads is tight") && pads(&told) == [1, 2, 3, 4], "{told}");
    // Pads that are lower are raised farther until the tyres are clear.
    let file = placed(&shop, &answer, [0.0, -0.04]);
    let told = shop.fine("t-ash", &["raise", "measured", "--placed", file]);
    assert!(told.contains("have risen 432 mm"), "{told}");
    shop.confirm_until("t-ash", "test-raised");
    assert!(shop.look(&["raise", "show"]).contains("It is raised 432 mm"));
    shop.to_the_end("t-ash");
    let told = shop.look(&["raise", "show", "--raise", "1"]);
    assert!(told.contains("It is raised 432 mm") && !told.contains("392 mm"), "{told}");
    let told = shop.look(&["book", "verify", "--plans"]);
    assert!(told.contains("2 checks, computed again, give the same bytes"), "{told}");
}

/// What it asks for where it can be led no more is a check that fails.
#[test]
fn what_a_check_asks_for_too_late_holds_it_up() {
    let shop = in_the_long_bay(Some("rear-axle-off"));
    shop.confirm_until("t-ash", "step-1-done");
    measure(&shop, "pickup", "weight.rear_axle", "800 kg +- 5 kg");
    let why =
        "is to be rechecked by hand, as a shake does not prove it, and it is raised past that: bring it down";
    let told = shop.look(&["raise", "show"]);
    assert!(told.contains("HELD UP: The check before step-1-done fails") && told.contains(why), "{told}");
    assert!(!told.contains("work at it now"), "{told}");
    shop.refused("t-ash", &["raise", "confirm", "step-1-done"], why);
    // Planned driven in backwards, it is not led with its arms named for that where it stands forwards.
    let shop = Shop::ready();
    let text = std::fs::read_to_string(demo("lifts/mill-bay.toml")).unwrap();
    let forwards = text.replacen("backwards = true", "backwards = false", 1);
    assert_ne!(text, forwards);
    std::fs::write(shop.folder.path().join("forwards.toml"), forwards).unwrap();
    let vehicle = demo("vehicles/pickup.toml");
    let vehicle = vehicle.to_str().unwrap();
    let answer = shop.run("", &["plan", "--lift", "forwards.toml", "--vehicle", vehicle, "--json"]).out;
    shop.fine("t-ash", &["raise", "start", "--lift", "mill-bay", "--vehicle", "pickup"]);
    let file = placed(&shop, &answer, [0.0, 0.0]);
    let why = "planned driven in backwards: drive it in so, or end this raise and plan it driven in forwards";
    shop.refused("t-ash", &["raise", "measured", "--placed", file], why);
}

/// In doubt nobody goes to it, as it hangs on its arms or rests on its locks: down it comes.
#[test]
fn what_was_measured_has_nobody_work_at_it() {
    let shop = Shop::ready();
    shop.fine("t-ash", &["raise", "start", "--lift", "north-bay", "--vehicle", "hatchback"]);
    let heavy = || measure(&shop, "hatchback", "weight.front_axle", "1500 kg");
    for point in ["shaken", "pad-3-rechecked"] {
        shop.confirm_until("t-ash", point);
        let event = heavy();
        let fails = format!("The check before {point} fails");
        let told = shop.look(&["raise", "show"]);
        assert!(told.contains(&format!("HELD UP: {fails}")), "{told}");
        let waits = told.split("WAITS ").nth(1).unwrap();
        assert!(!waits.contains("Shake it") && !waits.contains("By hand:"), "{told}");
        shop.refused("t-ash", &["raise", "confirm", point], &fails);
        shop.fine("t-ash", &["enter", "correction", &event, "the van was on the scale"]);
    }
    shop.confirm_until("t-ash", "area-clear");
    assert!(shop.look(&["raise", "show"]).contains("the work may be done now"));
    heavy();
    let told = shop.look(&["raise", "show"]);
    assert!(
        told.contains("HELD UP: The check before area-clear fails")
            && told.contains("nothing else is done at it"),
        "{told}"
    );
    assert!(!told.contains("may be done now") && told.contains("NEXT  area-clear"), "{told}");
    assert!(shop.look(&["book", "show"]).contains("resting on the locks; HELD UP"));
    shop.to_the_end("t-ash");
}

/// Other files in the book are told before it is raised, not once it is up.
#[test]
fn another_file_holds_it_up_before_it_goes_up() {
    for what in ["vehicle", "lift", "limits"] {
        let shop = Shop::ready();
        shop.fine("t-ash", &["raise", "start", "--lift", "mill-bay", "--vehicle", "hatchback"]);
        shop.confirm_until("t-ash", "raised");
        let other = |path: &str, from: &str, to: &str| {
            let text = std::fs::read_to_string(demo(path)).unwrap();
            let other = text.replacen(from, to, 1);
            assert_ne!(text, other);
            std::fs::write(shop.folder.path().join("other.toml"), other).unwrap();
        };
        let enter = match what {
            "vehicle" => {
                other("vehicles/hatchback.toml", "Light hatchback", "Grey hatchback");
                vec!["enter", "vehicle", "hatchback", "other.toml"]
            }
            "lift" => {
                other("lifts/mill-bay.toml", "name = \"", "name = \"The ");
                let sheet = ["--maker", "Own works", "--model", "A 2", "--serial", "17", "--year", "2019"];
                [&["enter", "lift", "mill-bay", "other.toml"], &sheet[..]].concat()
            }
            _ => {
                // One that sets no limit otherwise holds nothing up.
                let none = "standfast = \"limits/1\"\n";
                let path = shop.folder.path().join("other.toml");
                std::fs::write(&path, none).unwrap();
                shop.lead(&["enter", "limits", "other.toml"]);
                assert!(!shop.look(&["raise", "show"]).contains("HELD UP"));
                let set = "[edge_distance]\nvalue = \"110 mm\"\nsource = \"house rule\"\n";
                std::fs::write(&path, format!("{none}{set}")).unwrap();
                vec!["enter", "limits", "other.toml"]
            }
        };
        shop.lead(&enter);
        let changed = format!("The {what} file was changed since the raise was planned; bring it down");
        let told = shop.look(&["raise", "show"]);
        assert!(told.contains("HELD UP: ") && told.contains(&changed), "{told}");
        assert!(told.contains("WAITS raised"), "{told}");
        assert!(shop.look(&["book", "show"]).contains("; HELD UP"));
        let [_, seen] = shop.shown().unwrap();
        shop.refused("t-ash", &["raise", "confirm", "raised", "--seen", &seen], &changed);
        shop.fine("t-ash", &["raise", "bring-down", "plan again"]);
        assert!(!shop.look(&["raise", "show"]).contains("HELD UP"));
        shop.to_the_end("t-ash");
    }
}

/// Entering its file anew takes nothing back of what was measured in the raise, nor does entering the first once more.
#[test]
fn another_file_does_not_take_back_what_was_measured() {
    let shop = Shop::ready();
    begin(&shop, "north-bay", "hatchback", "brakes");
    shop.confirm_until("t-ash", "step-1-done");
    assert!(shop.look(&["raise", "show"]).contains("work at it now"));
    let event = measure(&shop, "hatchback", "weight.front_axle", "1700 kg +- 2 kg");
    let fails = "The check before step-1-done fails";
    let held = |shop: &Shop| {
        let told = shop.look(&["raise", "show"]);
        assert!(
            told.contains("HELD UP: ") && told.contains(fails) && told.contains("WAITS step-1-done"),
            "{told}"
        );
        assert!(!told.contains("work at it now"), "{told}");
        let [_, seen] = shop.shown().unwrap();
        shop.refused("t-ash", &["raise", "confirm", "step-1-done", "--seen", &seen], fails);
    };
    held(&shop);
    // Words do not pass it: that the part is off already is said where the lift may not be used.
    shop.refused("t-ash", &["raise", "confirm", "step-1-done", "--words", "both off"], fails);
    assert!(shop.look(&["book", "show"]).contains("; HELD UP"));
    let file = demo("vehicles/hatchback.toml");
    let text = std::fs::read_to_string(&file).unwrap();
    let named = text.replacen("Light hatchback", "Grey hatchback", 1);
    assert_ne!(named, text);
    std::fs::create_dir(shop.folder.path().join("other")).unwrap();
    std::fs::write(shop.folder.path().join("other/hatchback.toml"), named).unwrap();
    let gone = format!("counts no more in new plans: weight.front_axle (event {event})");
    let said = shop.run("r-holt", &["book", "import", "other/hatchback.toml"]);
    assert!(said.code == 0 && said.err.contains(&gone), "{}", said.err);
    held(&shop);
    let changed = "HELD UP: The vehicle file was changed since the raise was planned";
    assert!(shop.look(&["raise", "show"]).contains(changed));
    let said = shop.run("r-holt", &["enter", "vehicle", "hatchback", file.to_str().unwrap()]);
    assert!(said.code == 0 && !said.err.contains("counts no more"), "{}", said.err);
    held(&shop);
    // Struck out, it counts no more.
    shop.fine("t-ash", &["enter", "correction", &event, "the van was on the scale"]);
    assert!(shop.look(&["raise", "show"]).contains("work at it now"));
    let [_, seen] = shop.shown().unwrap();
    shop.fine("t-ash", &["raise", "confirm", "step-1-done", "--seen", &seen]);
}

/// What was weighed without the part that is off has it off already: no plan takes it off again.
#[test]
fn a_vehicle_weighed_without_its_parts_is_not_planned_as_whole() {
    let shop = Shop::ready();
    begin(&shop, "mill-bay", "hatchback", "brakes");
    shop.confirm_until("t-ash", "step-1-done");
    shop.fine("t-ash", &["raise", "confirm", "step-1-done"]);
    shop.fine("t-ash", &["raise", "bring-down", "closing time"]);
    shop.confirm_until("t-ash", "left-on-floor");
    shop.lead(&["raise", "abandon", "closing time"]);
    let board = shop.look(&["book", "show"]);
    assert!(
        board.contains("MUST NOT BE USED: it is out of service: raise 1 was abandoned, hatchback left"),
        "{board}"
    );
    assert!(board.contains("On it: hatchback was left there by raise 1; front wheels off"), "{board}");
    shop.lead(&["enter", "return", "mill-bay", "rolled away"]);
    shop.check("mill-bay");
    let weighed = ["enter", "measurement", "hatchback", "--what", "weight.total", "--how", "scale"];
    let weighed = [&weighed[..], &["--value", "1100 kg by scale III e=1 kg"]].concat();
    shop.refused("t-ash", &weighed, "weigh it once it is as its file says");
    let text = std::fs::read_to_string(demo("vehicles/hatchback.toml")).unwrap();
    std::fs::write(shop.folder.path().join("weighed.toml"), text.replacen("Light", "Weighed", 1)).unwrap();
    shop.lead(&["enter", "vehicle", "hatchback", "weighed.toml"]);
    let job = demo("jobs/brakes.toml");
    let start =
        ["raise", "start", "--lift", "mill-bay", "--vehicle", "hatchback", "--job", job.to_str().unwrap()];
    shop.refused("t-ash", &start, "parts off or on that its file, entered meanwhile, may not know of");
}

/// By what was measured no plan can be made: that is a check that fails, in plain words, and the way down goes on.
#[test]
fn a_vehicle_that_no_plan_can_be_made_of_comes_down() {
    let shop = before_its_stands();
    for point in ["stands-set", "step-3-done"] {
        shop.fine("t-ash", &["raise", "confirm", point, "--words", "253 kg"]);
    }
    measure(&shop, "sports-coupe", "parts.front axle.mass", "100 kg");
    let told = shop.look(&["raise", "show"]);
    assert!(told.contains("HELD UP: The check before step-4-done fails.") && told.contains("  - "), "{told}");
    assert!(!told.contains(" | ") && !told.contains("help:"), "{told}");
    shop.refused(
        "t-ash",
        &["raise", "confirm", "step-4-done", "--words", "on"],
        "The check before step-4-done fails",
    );
    let told = shop.look(&["book", "day"]);
    assert!(told.contains("REFUSED: step-4-done"), "{told}");
    shop.fine("t-ash", &["raise", "bring-down", "it weighs something else"]);
    let told = shop.fine("t-ash", &["raise", "confirm", "step-4-done", "--words", "the axle is on"]);
    assert!(told.contains("CAUTION: A check of it as it is now fails"), "{told}");
    shop.to_its_end("t-ash", "left-on-floor");
    let told = shop.look(&["book", "verify", "--plans"]);
    assert!(told.contains("checks, computed again"), "{told}");
    assert!(!told.contains("NOT"), "{told}");
}

/// What no plan can be made with is written down, and that none can is said at once.
#[test]
fn a_measurement_that_no_plan_can_be_made_with_is_told() {
    let shop = Shop::ready();
    for (what, value, why) in [
        ("parts.no such part.mass", "100 kg", "the file names no “no such part” among its parts"),
        ("wheelbase", "9 m", "wheelbase"),
    ] {
        let all = ["enter", "measurement", "hatchback", "--what", what, "--value", value, "--how", "tape"];
        let said = shop.run("t-ash", &all);
        assert_eq!(said.code, 0, "{}", said.err);
        assert!(said.err.contains("CAUTION: no plan can be made of it so: "), "{}", said.err);
        assert!(said.err.contains(why), "{}", said.err);
        let event = said.out.split_whitespace().nth(2).unwrap().to_owned();
        shop.fine("t-ash", &["enter", "correction", &event, "mistyped"]);
    }
    let droop = ["enter", "measurement", "hatchback", "--what", "droop", "--value", "90 mm", "--how", "tape"];
    assert!(!shop.run("t-ash", &droop).err.contains("CAUTION"));
}

/// Limits that are struck out are none any more: no raise goes up by them, unless they were its leader's own.
#[test]
fn limits_that_are_struck_out_hold_a_raise() {
    let shop = Shop::ready();
    let loose = shop.folder.path().join("loose.toml");
    std::fs::write(&loose, "standfast = \"limits/1\"\npad_share = { value = \"1 %\", source = \"typo\" }\n")
        .unwrap();
    let said = shop.lead(&["enter", "limits", loose.to_str().unwrap()]);
    let event = said.split_whitespace().find(|word| word.parse::<u64>().is_ok()).unwrap().to_owned();
    begin(&shop, "north-bay", "hatchback", "brakes");
    shop.confirm_until("t-ash", "test-raised");
    assert!(!shop.look(&["raise", "show"]).contains("HELD UP"));
    shop.lead(&["enter", "correction", &event, "10 % was meant"]);
    assert!(shop.look(&["raise", "show"]).contains("HELD UP: The limits file was changed"));
    let [_, seen] = shop.shown().unwrap();
    let confirm = ["raise", "confirm", "test-raised", "--seen", &seen];
    shop.refused("t-ash", &confirm, "The limits file was changed");
    assert!(shop.look(&["raise", "show"]).contains("limits that were entered since are struck out"));
    // The file that it was planned with cures it, also where what is in force means the same.
    let same = shop.folder.path().join("same.toml");
    std::fs::write(&same, std::fs::read_to_string(&loose).unwrap() + "# once more\n").unwrap();
    shop.lead(&["enter", "limits", same.to_str().unwrap()]);
    assert!(shop.look(&["raise", "show"]).contains("HELD UP: The limits file was changed"));
    let written = ["enter", "limits", loose.to_str().unwrap()];
    assert!(!shop.lead(&written).contains("Nothing was changed"));
    assert!(!shop.look(&["raise", "show"]).contains("HELD UP"));
    assert!(shop.lead(&written).contains("Nothing was changed"));
    shop.confirm_until("t-ash", "shaken");
    shop.lead(&["raise", "bring-down", "limits"]);
    shop.to_its_end("t-ash", "driven-off");
}
