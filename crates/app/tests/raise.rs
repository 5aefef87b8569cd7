//! Whole raises at the command line, the ways in which they go wrong, and what is refused.

#![cfg(unix)]
#![allow(clippy::unwrap_used, clippy::panic, reason = "a test ends where it fails")]

mod shop;

use std::process::Stdio;

use shop::{Shop, demo, said};

const START: [&str; 6] = ["raise", "start", "--lift", "north-bay", "--vehicle", "hatchback"];

fn with_axle_off(shop: &Shop, person: &str) {
    let job = demo("jobs/rear-axle-off.toml");
    let start =
        ["raise", "start", "--lift", "mill-bay", "--vehicle", "pickup", "--job", job.to_str().unwrap()];
    let said = shop.fine(person, &start);
    assert!(said.contains("NEXT  spotted") && said.contains("Front wheel"), "{said}");
}

#[test]
fn a_whole_raise_with_parts_off_and_on() {
    let shop = Shop::ready();
    with_axle_off(&shop, "t-ash");
    let measured = ["raise", "measured", "--spot", "1.11 m", "--offset", "5 mm", "--yaw", "-0.1 deg"];
    // The mill bay has no plate: the spot is the plan's, to be read from its report.
    let plan: serde_json::Value = {
        let kept = shop.fine(
            "t-ash",
            &[
                "raise",
                "keep",
                "--lift",
                "mill-bay",
                "--vehicle",
                "pickup",
                "--json",
                "--job",
                demo("jobs/rear-axle-off.toml").to_str().unwrap(),
            ],
        );
        serde_json::from_str(&kept).unwrap()
    };
    let spot = format!("{:.3} m", plan["spot_m"].as_f64().unwrap());
    let mut at_the_plan = measured;
    at_the_plan[3] = &spot;
    let said = shop.fine("t-ash", &at_the_plan);
    assert!(said.contains("NEXT  pads-seated") && said.contains("5 mm"), "{said}");
    shop.confirm_until("t-ash", "step-1-done");
    let said = shop.run("t-ash", &["raise", "confirm", "step-1-done"]);
    assert_eq!(said.code, 0, "{}", said.err);
    assert!(said.err.contains("Checked: propeller shaft off, least reserve"), "{}", said.err);
    shop.to_the_end("t-ash");
    let again = shop.look(&["book", "verify", "--plans"]);
    // The spotting as measured, and before each of four parts off and on.
    assert!(again.contains("5 checks, computed again, give the same bytes."), "{again}");
    let history = shop.look(&["raise", "show", "--raise", "1"]);
    assert!(history.contains("Done: rear axle off. Checked: least reserve "), "{history}");
    for words in ["rear axle off", "rear axle on", "It is driven off.", "Raise 1 has ended."] {
        assert!(history.contains(words), "{words}: {history}");
    }
    let verified = shop.look(&["book", "verify", "--plans"]);
    assert!(
        verified.contains("as it was written") && verified.contains("2 plans, computed again"),
        "{verified}"
    );
    let day = shop.look(&["book", "day"]);
    assert!(day.contains("t-ash: Raise 1: It rests on the locks of both columns."), "{day}");
}

/// The lock of the second task is another one: the raise is led to it, and back for the first task again.
#[test]
fn each_task_is_led_to_its_lock() {
    let shop = Shop::ready();
    with_axle_off(&shop, "t-ash");
    let raise: serde_json::Value = serde_json::from_str(&shop.look(&["raise", "show", "--json"])).unwrap();
    let points: Vec<&str> =
        raise[0]["ahead"].as_array().unwrap().iter().map(|p| p["point"].as_str().unwrap()).collect();
    let from = points.iter().position(|p| *p == "step-2-done").unwrap();
    let down = ["area-clear", "off-locks", "locks-released", "height-2-reached", "on-locks", "step-3-done"];
    let up = ["area-clear", "off-locks", "height-3-reached", "on-locks", "step-4-done"];
    assert_eq!(points[from + 1..from + 12], [&down[..], &up].concat());
    let sentences = raise[0]["ahead"].to_string();
    let report = shop.look(&["raise", "plan"]);
    for (task, point) in [(1, "lock 9"), (0, "lock 15")] {
        assert!(sentences.contains(&format!("It is at {point};")), "{task} {sentences}");
        assert!(report.contains(&format!(": {point}, ")), "{report}");
    }
    shop.confirm_until("t-ash", "height-3-reached");
    shop.fine("t-ash", &["raise", "lock-not-heard", "left one silent on the way up again"]);
    assert_eq!(shop.next().as_deref(), Some("area-clear"));
    // A part is off that the job meant to put on again: what is said and confirmed is true of that.
    let said = shop.look(&["raise", "show"]);
    assert!(said.contains("The work is not ended: ") && said.contains("left-on-floor"), "{said}");
    assert!(!said.contains("driven-off") && !said.contains("all four wheels carry"), "{said}");
    shop.confirm_until("t-ash", "fully-down");
    assert!(shop.look(&["raise", "show"]).contains("not all four wheels may carry"));
    shop.to_its_end("t-ash", "left-on-floor");
    let board = shop.look(&["book", "show"]);
    assert!(
        board.contains(
            "On it: pickup was left there by raise 1; propeller shaft off, until a lead or an examiner returns"
        ),
        "{board}"
    );
    assert!(board.contains("raise 1 has left pickup on its floor"), "{board}");
    shop.lead(&["enter", "return", "mill-bay", "rolled away"]);
    assert!(!shop.look(&["book", "show"]).contains("left there"));
}

#[test]
fn an_abandoned_vehicle_is_on_the_board_until_a_lead_says_that_it_is_clear() {
    let shop = Shop::ready();
    shop.fine("t-ash", &START);
    shop.confirm_until("t-ash", "shaken");
    shop.lead(&["raise", "abandon", "the power is out"]);
    let board = shop.look(&["book", "show"]);
    assert!(board.contains("On it: hatchback was left there by raise 1"), "{board}");
    shop.lead(&["enter", "return", "north-bay", "driven off by hand"]);
    assert!(!shop.look(&["book", "show"]).contains("left there"));
}

/// Pads too far back: it stands as it is driven in, and would tip with the axle off.
#[test]
fn what_stands_at_first_but_not_in_a_later_state_is_refused() {
    let shop = Shop::ready();
    with_axle_off(&shop, "t-ash");
    let file = std::fs::read_to_string(demo("as-placed/pickup-planned-without-its-job.toml")).unwrap();
    std::fs::write(shop.folder.path().join("found.toml"), file.replace("0.631 m", "1.15 m")).unwrap();
    let found = ["raise", "measured", "--placed", "found.toml"];
    shop.refused("t-ash", &found, "in state \"rear axle off\"");
    assert_eq!(shop.next().as_deref(), Some("spotted"));
    // The refused spotting stands in the book, with what was checked.
    let history = shop.look(&["raise", "show", "--raise", "1"]);
    assert!(history.contains("Raise 1: REFUSED: spotted. The check before spotted fails."), "{history}");
    let record = shop.look(&["book", "record", "mill-bay"]);
    assert!(record.contains("REFUSED: spotted") && record.contains("Raise 1 begun"), "{record}");
}

/// What is measured while it is up counts at the check before the next part.
#[test]
fn the_check_before_a_part_refuses_by_what_was_measured_since() {
    let shop = Shop::ready();
    with_axle_off(&shop, "t-ash");
    shop.confirm_until("t-ash", "step-1-done");
    let weighed = [
        "enter",
        "measurement",
        "pickup",
        "--what",
        "weight.front_axle",
        "--value",
        "2000 kg by scale III e=1 kg",
    ];
    let said = shop.fine("t-ash", &[&weighed[..], &["--how", "on the shop's scale"]].concat());
    let number = said.split_whitespace().nth(2).unwrap().to_owned();
    let confirm = ["raise", "confirm", "step-1-done"];
    shop.refused("t-ash", &confirm, "The check before step-1-done fails.");
    // And so do those after it, though they are still to come.
    shop.refused("t-ash", &confirm, "in state \"rear axle off\"");
    assert_eq!(shop.next().as_deref(), Some("step-1-done"));
    let history = shop.look(&["raise", "show", "--raise", "1"]);
    assert!(history.contains("REFUSED: step-1-done."), "{history}");
    // Struck out, it counts no more.
    shop.fine("t-ash", &["enter", "correction", &number, "the wrong vehicle was on the scale"]);
    shop.fine("t-ash", &["raise", "confirm", "step-1-done"]);
}

/// A vehicle found to be much heavier goes no higher until its plan was checked again.
#[test]
fn the_check_before_it_goes_up_refuses_by_what_was_measured_since() {
    let shop = Shop::ready();
    with_axle_off(&shop, "t-ash");
    for next in ["test-raised", "raised"] {
        shop.confirm_until("t-ash", next);
        let weighed = ["enter", "measurement", "pickup", "--what", "weight.front_axle", "--how", "scale"];
        let value = ["--value", "2000 kg by scale III e=1 kg"];
        let said = shop.fine("t-ash", &[&weighed[..], &value].concat());
        let number = said.split_whitespace().nth(2).unwrap().to_owned();
        let confirm = ["raise", "confirm", next];
        shop.refused("t-ash", &confirm, &format!("The check before {next} fails."));
        shop.fine("t-ash", &["enter", "correction", &number, "the wrong vehicle was on the scale"]);
        let said = shop.run("t-ash", &confirm);
        assert!(said.code == 0 && said.err.contains("Checked: "), "{}", said.err);
    }
}

#[test]
fn a_plan_uses_the_newest_measurement_of_each_value() {
    let shop = Shop::ready();
    let measure = |what: &str, value: &str| {
        let all =
            ["enter", "measurement", "hatchback", "--what", what, "--value", value, "--how", "own tape"];
        shop.run("t-ash", &all)
    };
    let keep = ["raise", "keep", "--lift", "north-bay", "--vehicle", "hatchback"];
    for (what, value) in
        [("droop", "70 mm +- 5 mm"), ("droop", "60 mm +- 5 mm"), ("wheelbase_left", "2.522 m by tape II")]
    {
        assert_eq!(measure(what, value).code, 0);
    }
    let report = shop.fine("t-ash", &keep);
    let flat = report.split_whitespace().collect::<Vec<_>>().join(" ");
    assert!(flat.contains("Droop as measured, not as in the vehicle's file: about 60 mm"), "{report}");
    assert!(flat.contains("own tape, by t-ash on "), "{report}");
    assert!(!flat.contains("about 70 mm"), "{report}");
    assert!(
        shop.look(&["book", "verify", "--plans"]).contains("1 plan, computed again, gives the same bytes.")
    );
    // Both sides apart by more than the tapes explain: asked about.
    assert_eq!(measure("wheelbase_left", "2.42 m by tape II").code, 0);
    let said = shop.run("t-ash", &keep);
    assert!(said.code == 2 && said.err.contains("Which is it?"), "{}", said.err);
    // A key that is none, and a value that is none.
    for (what, value) in [("wheelbse", "2.52 m"), ("wheelbase_left", "2.52 kg")] {
        let said = measure(what, value);
        assert!(said.code == 2 && said.err.contains("help: "), "{what}: {}", said.err);
    }
    // Another file was written later, and counts.
    let file = std::fs::read_to_string(demo("vehicles/hatchback.toml")).unwrap();
    std::fs::write(shop.folder.path().join("newer.toml"), file.replace("1.46 m", "1.47 m")).unwrap();
    shop.lead(&["enter", "vehicle", "hatchback", "newer.toml"]);
    assert!(!shop.fine("t-ash", &keep).contains("as measured"));
}

/// By its name in the book; the limits are those of the lead, and a plan that was kept is made by those of its day.
#[test]
fn a_raise_by_the_shops_own_job_and_limits() {
    let shop = Shop::ready();
    let job = demo("jobs/rear-axle-off.toml");
    let start = ["raise", "start", "--lift", "mill-bay", "--vehicle", "pickup", "--job", "rear-axle-off"];
    shop.refused("t-ash", &start, "There is no job called rear-axle-off in the book.");
    let told = shop.fine("t-ash", &["enter", "job", "rear-axle-off", job.to_str().unwrap()]);
    assert!(told.contains("Job rear-axle-off entered: Rear axle off."), "{told}");
    let vehicle = demo("vehicles/pickup.toml");
    let said = shop.run("t-ash", &["enter", "job", "pickup", vehicle.to_str().unwrap()]);
    assert!(said.code == 2 && said.err.contains("\"job/1\" is wanted here"), "{}", said.err);

    let keep: Vec<&str> = ["raise", "keep", "--json"].iter().chain(&start[2..]).copied().collect();
    let limits = |more: &[&str]| -> serde_json::Value {
        let plan = shop.fine("t-ash", &[&keep[..], more].concat());
        serde_json::from_str::<serde_json::Value>(&plan).unwrap()["limits"].clone()
    };
    assert_eq!(limits(&[]), serde_json::json!([]));
    let write = |name: &str, text: &str| {
        let text = format!("standfast = \"limits/1\"\n{text}");
        std::fs::write(shop.folder.path().join(name), text).unwrap();
    };
    write("house.toml", "door_way = { value = \"28 deg\", source = \"house rule 4\" }\n");
    write("lax.toml", "edge_distance = { value = \"1 mm\" }\n");
    write("wrong.toml", "door_way = { value = \"28 mm\" }\n");
    shop.refused(
        "t-ash",
        &["enter", "limits", "house.toml"],
        "t-ash is technician and may not run the shop.",
    );
    let said = shop.run("r-holt", &["enter", "limits", "wrong.toml"]);
    assert!(said.code == 2 && said.err.contains("wrong.toml"), "{}", said.err);
    let told = shop.lead(&["enter", "limits", "house.toml"]);
    assert!(told.contains("The shop's own limits were entered."), "{told}");
    assert_eq!(limits(&[])[0]["source"], "house rule 4");
    // What would be with others may be kept, but nothing goes up by them.
    assert_eq!(limits(&["--limits", "lax.toml"])[0]["name"], "edge_distance");
    shop.refused("t-ash", &[&start[..], &["--limits", "lax.toml"]].concat(), "another limits file");
    let told = shop.fine("t-ash", &start);
    assert!(told.contains("house rule 4") && told.contains("NEXT  spotted"), "{told}");
    let day = shop.look(&["book", "day"]);
    assert!(day.contains("Raise 1 begun: pickup on mill-bay, Rear axle off."), "{day}");

    // With other limits it goes no higher: it is brought down, and planned again.
    shop.confirm_until("t-ash", "test-raised");
    write("none.toml", "");
    shop.lead(&["enter", "limits", "none.toml"]);
    shop.refused("t-ash", &["raise", "confirm", "test-raised"], "The limits file was changed");
    assert!(shop.look(&["raise", "plan"]).contains("house rule 4"));
    assert_eq!(limits(&[]), serde_json::json!([]));
    let told = shop.look(&["book", "verify", "--plans"]);
    assert!(told.contains("6 plans, computed again, give the same bytes."), "{told}");
}

/// Nobody raises by limits of their own who may not set the shop's; a lead's stand wherever the raise is told.
#[test]
fn limits_that_the_shop_has_not_entered_are_told_as_whose_they_are() {
    let shop = Shop::ready();
    let loose = "standfast = \"limits/1\"\ndoor_way = { value = \"20 deg\", source = \"my own\" }\n";
    std::fs::write(shop.folder.path().join("loose.toml"), loose).unwrap();
    let start = [&START[..], &["--limits", "loose.toml"]].concat();
    let why = "have a lead enter them with `enter limits`.";
    shop.refused("t-ash", &start, why);
    let day = shop.look(&["book", "day"]);
    let caution = "CAUTION: planned with limits of t-ash, not the shop's.";
    assert!(day.contains("REFUSED: a raise of hatchback") && day.contains(caution), "{day}");

    let said = shop.lead(&start);
    let caution = "CAUTION: planned with limits of r-holt, not the shop's";
    assert!(
        said.contains(caution) && said.contains("own limit: my own") && !said.contains("by the shop"),
        "{said}"
    );
    for words in
        [&["book", "day"][..], &["book", "show"], &["raise", "show"], &["raise", "show", "--raise", "1"]]
    {
        let told = shop.look(words);
        assert!(told.contains(caution), "{words:?}: {told}");
    }
    let state: serde_json::Value = serde_json::from_str(&shop.look(&["raise", "show", "--json"])).unwrap();
    assert_eq!(state[0]["other_limits_of"], "r-holt");
    let board: serde_json::Value = serde_json::from_str(&shop.look(&["book", "show", "--json"])).unwrap();
    assert_eq!(board["raises"][0]["other_limits_of"], "r-holt");
    assert!(
        shop.look(&["book", "verify", "--plans"]).contains("2 plans, computed again, give the same bytes.")
    );
}

#[test]
fn a_vehicle_that_stands_wrong_is_not_confirmed() {
    let shop = Shop::ready();
    shop.fine("t-ash", &START);
    let far = ["raise", "measured", "--spot", "1.10 m", "--offset", "400 mm", "--yaw", "8 deg"];
    shop.refused("t-ash", &far, "The check before spotted fails.");
    assert_eq!(shop.next().as_deref(), Some("spotted"));
    let strange = ["raise", "measured", "--spot", "1.10 kg", "--offset", "0 m", "--yaw", "0 deg"];
    assert_eq!(shop.run("t-ash", &strange).code, 2);
    let alone = shop.run("t-ash", &["raise", "measured", "--spot", "1.10 m"]);
    assert_eq!(alone.code, 2);
    assert!(alone.err.contains("error: --offset and --yaw are missing: where it stands"), "{}", alone.err);
    shop.fine("t-ash", &["raise", "measured", "--spot", "1.10 m", "--offset", "0 m", "--yaw", "0 deg"]);
    assert_eq!(shop.next().as_deref(), Some("pads-seated"));
}

#[test]
fn noise_sends_it_down_and_back_to_the_pads() {
    let shop = Shop::ready();
    shop.fine("t-ash", &START);
    shop.confirm_until("t-ash", "shaken");
    shop.refused("t-ash", &["raise", "confirm", "raised"], "raised cannot be confirmed; next is shaken.");
    // Whoever hears it may say so, a learner too.
    shop.fine("l-fenn", &["raise", "noise", "a creak at the rear left pad"]);
    for point in ["area-clear", "fully-down", "pads-seated"] {
        let [next, seen] = shop.shown().unwrap();
        assert_eq!(next, point);
        shop.fine("t-ash", &["raise", "confirm", point, "--seen", &seen]);
    }
    shop.fine("t-ash", &["raise", "not-right", "a pad looks worn"]);
    assert_eq!(shop.next().as_deref(), Some("arm-locks-engaged"));
    shop.to_the_end("t-ash");
}

#[test]
fn a_lock_that_is_not_heard_ends_the_way_up_and_the_lift_is_out_of_service() {
    let shop = Shop::ready();
    shop.fine("t-ash", &START);
    shop.confirm_until("t-ash", "raised");
    shop.fine("t-ash", &["raise", "lock-not-heard", "right column silent"]);
    let said = shop.look(&["raise", "show"]);
    assert!(said.contains("it is between the test height and lock "), "{said}");
    assert!(said.contains("Then  off-locks, locks-released, fully-down"), "{said}");
    assert!(
        said.contains("CAUTION: north-bay: it is out of service: raise 1, a lock was not heard"),
        "{said}"
    );
    shop.refused("t-ash", &["raise", "confirm", "raised"], "next is area-clear");
    // What is entered meanwhile is told, and does not hold it up there.
    shop.fine("l-fenn", &["enter", "defect", "north-bay", "a hose sweats oil", "--stops-use", "yes"]);
    shop.refused("t-ash", &["raise", "confirm", "area-clear"], "l-fenn wrote since (event ");
    let [_, seen] = shop.shown().unwrap();
    let said = shop.fine("t-ash", &["raise", "confirm", "area-clear", "--seen", &seen]);
    assert!(
        said.contains("stops its use: a hose sweats oil.\n") && said.contains("NEXT  off-locks"),
        "{said}"
    );
    assert!(said.contains("In doubt it stays as it is"), "{said}");
    shop.to_the_end("t-ash");
    let board = shop.look(&["book", "show"]);
    assert!(
        board.contains("MUST NOT BE USED: it is out of service: raise 1, a lock was not heard"),
        "{board}"
    );
    shop.refused("t-ash", &START, "north-bay may not be used");
    shop.fine("t-ash", &["enter", "repair", "1", "hose changed", "--bears-load", "no"]);
    shop.lead(&["enter", "return", "north-bay", "lock cleaned, heard ten times"]);
    shop.refused("t-ash", &START, "since it was returned to service");
    shop.check("north-bay");
    shop.fine("t-ash", &START);
}

#[test]
fn what_is_not_fit_or_not_allowed_is_refused_with_every_reason() {
    let shop = Shop::ready();
    // Struck out, so that the last examination is the old one.
    let record = shop.look(&["book", "record", "mill-bay"]);
    let event = record.lines().find(|l| l.contains("was examined")).unwrap();
    let number = event.split_whitespace().nth(2).unwrap();
    let wrong = ["enter", "correction", number, "written for the wrong lift"];
    shop.refused("t-ash", &wrong, "may not report an examination");
    shop.fine("m-quill", &wrong);
    shop.examined("mill-bay", "2020-02-29");
    shop.fine("l-fenn", &["enter", "tag", "mill-bay", "oil on the floor"]);
    let start = ["raise", "start", "--lift", "mill-bay", "--vehicle", "hatchback"];
    shop.refused("t-ash", &start, "the examination was due by 2021-02-28");
    shop.refused("t-ash", &start, "it is out of service: oil on the floor");
    let offered = shop.run("t-ash", &start).out;
    assert!(offered.is_empty(), "nothing is offered: {offered}");
    shop.refused("m-quill", &START, "m-quill is examiner and may not lead a raise.");
    shop.refused("l-fenn", &START, "only with a second person");
    shop.refused(
        "t-ash",
        &["raise", "start", "--lift", "nowhere", "--vehicle", "nothing"],
        "no lift called nowhere",
    );
    shop.refused("t-ash", &["raise", "confirm", "spotted"], "No raise is under way.");
    assert_eq!(shop.next(), None);
}

#[test]
fn a_plan_that_forbids_begins_nothing() {
    let shop = Shop::ready();
    let file = demo("vehicles/recovery-truck.toml");
    shop.lead(&["enter", "vehicle", "recovery-truck", file.to_str().unwrap()]);
    shop.refused(
        "t-ash",
        &["raise", "start", "--lift", "north-bay", "--vehicle", "recovery-truck"],
        "The plan says that it must not be raised.",
    );
    assert_eq!(shop.next(), None);
    let day = shop.look(&["book", "day"]);
    assert!(day.contains("REFUSED: a raise of recovery-truck on north-bay. The plan says"), "{day}");
}

#[test]
fn a_learner_leads_with_a_second_person() {
    let shop = Shop::ready();
    let run = |arguments: &[&str]| {
        let mut command = shop.command("l-fenn", arguments);
        said(command.args(["--second", "t-ash"]).env("STANDFAST_SECOND_PIN", "8642").output().unwrap())
    };
    assert_eq!(run(&START).code, 0);
    shop.refused("l-fenn", &["raise", "confirm", "spotted"], "only with a second person");
    assert!(shop.look(&["raise", "show"]).contains("--as l-fenn --second PERSON`"));
    assert_eq!(run(&["raise", "confirm", "spotted"]).code, 0);
    assert!(
        shop.look(&["raise", "show", "--raise", "1"]).contains("l-fenn with t-ash: Raise 1: The vehicle")
    );
}

#[test]
fn wrong_pins_lock_out() {
    let shop = Shop::ready();
    let wrong = |pin: &str| said(shop.command("t-ash", &START).env("STANDFAST_PIN", pin).output().unwrap());
    for _ in 0..5 {
        let said = wrong("1111");
        assert_eq!((said.code, said.err.as_str()), (1, "refused: That is not the PIN of t-ash.\n"));
    }
    shop.refused("t-ash", &START, "Too many wrong PINs of t-ash: locked until");
    assert!(shop.look(&["book", "day"]).contains("Too many wrong PINs of t-ash"));
    // A lead sets a new one, which ends it.
    shop.set_pin("t-ash");
    // One that is not given is no try.
    for _ in 0..6 {
        let said = wrong(" ");
        assert!(said.code == 2 && said.err.contains("No PIN of t-ash was given."), "{}", said.err);
    }
    shop.fine("t-ash", &START);
    shop.confirm_until("t-ash", "raised");
    // Whoever tries wrong ones now keeps nobody from coming down.
    for _ in 0..5 {
        wrong("1111");
    }
    let locked = "Too many wrong PINs of t-ash: locked until";
    shop.refused("t-ash", &["raise", "confirm", "raised"], locked);
    shop.fine("t-ash", &["raise", "noise", "a crack"]);
    shop.fine("t-ash", &["raise", "bring-down", "for good"]);
    shop.to_the_end("t-ash");
    shop.refused("t-ash", &START, locked);
    // Nor from taking a lift out of service, and that is all.
    let tagged = shop.fine("t-ash", &["enter", "tag", "north-bay", "oil at the column"]);
    assert!(tagged.contains("north-bay is out of service: oil at the column"), "{tagged}");
    shop.refused("t-ash", &["enter", "alteration", "north-bay", "a weld"], locked);
    let wrong =
        shop.command("t-ash", &["enter", "tag", "mill-bay", "x"]).env("STANDFAST_PIN", "1111").output();
    assert_eq!(said(wrong.unwrap()).code, 1);
}

#[test]
fn of_two_at_once_one_confirms() {
    let shop = Shop::ready();
    shop.fine("t-ash", &START);
    shop.refused("r-holt", &["raise", "confirm", "spotted"], "t-ash leads raise 1; take it over first.");
    let both: Vec<_> = (0..2)
        .map(|_| {
            let mut command = shop.command("t-ash", &["raise", "confirm", "spotted"]);
            command.stdout(Stdio::piped()).stderr(Stdio::piped()).spawn().unwrap()
        })
        .collect();
    let mut codes: Vec<i32> = both.into_iter().map(|c| said(c.wait_with_output().unwrap()).code).collect();
    codes.sort_unstable();
    assert_eq!(codes, [0, 1]);
    shop.fine("r-holt", &["raise", "take-over"]);
    shop.refused("t-ash", &["raise", "confirm", "pads-seated"], "r-holt leads raise 1");
    shop.fine("r-holt", &["raise", "confirm", "pads-seated"]);
}

/// The program that leads is killed; another goes on where it was.
#[test]
fn a_crash_in_the_middle_loses_nothing() {
    use std::io::{BufRead, BufReader, Write};
    let shop = Shop::ready();
    shop.fine("t-ash", &START);
    let mut child = shop
        .command("t-ash", &["raise", "lead"])
        .stdin(Stdio::piped())
        .stdout(Stdio::piped())
        .spawn()
        .unwrap();
    let mut lines = BufReader::new(child.stdout.take().unwrap()).lines();
    let mut typed = child.stdin.take().unwrap();
    let mut wait_for = |what: &str| while !lines.next().unwrap().unwrap().contains(what) {};
    for (shown, then) in [("NEXT  spotted", "spotted\n"), ("NEXT  pads-seated", "pads-seated\n")] {
        wait_for(shown);
        typed.write_all(then.as_bytes()).unwrap();
    }
    wait_for("NEXT  arm-locks");
    child.kill().unwrap();
    child.wait().unwrap();
    assert_eq!(shop.next().as_deref(), Some("arm-locks-engaged"));
    shop.fine("r-holt", &["raise", "take-over"]);
    shop.to_the_end("r-holt");
    assert!(shop.look(&["book", "verify"]).contains("as it was written"));
}

/// Starts `raise lead` with that to read, and lets it end.
fn led(shop: &Shop, person: &str, answers: &str) -> shop::Said {
    use std::io::Write;
    let mut command = shop.command(person, &["raise", "lead"]);
    let mut child =
        command.stdin(Stdio::piped()).stdout(Stdio::piped()).stderr(Stdio::piped()).spawn().unwrap();
    child.stdin.take().unwrap().write_all(answers.as_bytes()).unwrap();
    said(child.wait_with_output().unwrap())
}

#[test]
fn what_is_read_from_a_pipe_names_its_point() {
    let shop = Shop::ready();
    shop.fine("t-ash", &START);
    let said = led(&shop, "t-ash", &"done\n".repeat(8));
    assert_eq!((said.code, shop.next().as_deref()), (1, Some("spotted")), "{}", said.err);
    assert_eq!(said.err, "refused: “done” names no point; next is spotted\n");
    let said = led(&shop, "t-ash", "Spotted straight in\nraised\npads-seated\n");
    assert_eq!((said.code, shop.next().as_deref()), (1, Some("pads-seated")), "{}", said.err);
    assert_eq!(said.err, "refused: raised cannot be confirmed; next is pads-seated.\n");
    assert!(shop.look(&["book", "day"]).contains("driven on and spotted. straight in"));
    // Another takes it over there, and measures as the book asks.
    let plan: serde_json::Value = serde_json::from_str(
        &shop.fine("t-ash", &["raise", "keep", "--lift", "north-bay", "--vehicle", "hatchback", "--json"]),
    )
    .unwrap();
    let measured = format!("measured {} m, 2 mm, 0 deg\n", plan["spot_m"]);
    let said = led(&shop, "r-holt", &format!("take-over\n{measured}leave\n"));
    assert_eq!((said.code, shop.next().as_deref()), (0, Some("arm-locks-engaged")), "{}", said.err);
}

/// Typed before a point was shown, it was typed for none.
#[test]
fn what_is_typed_ahead_at_a_terminal_confirms_nothing() {
    use std::io::{Read, Write};
    let shop = Shop::ready();
    shop.fine("t-ash", &START);
    let (mut keyboard, terminal, _) = shop::terminal();
    keyboard.write_all("done\n".repeat(8).as_bytes()).unwrap();
    let mut command = shop.command("t-ash", &["raise", "lead"]);
    let mut child = command.stdin(terminal).stdout(Stdio::piped()).spawn().unwrap();
    let mut out = child.stdout.take().unwrap();
    let mut until_asked = || {
        let mut text = String::new();
        let mut byte = [0];
        while !text.ends_with("\n> ") {
            out.read_exact(&mut byte).unwrap();
            text.push(char::from(byte[0]));
        }
        text
    };
    // What is set by the plan's figures is told with them, and only what may be answered now.
    let shown = until_asked();
    assert!(shown.contains("NEXT  spotted\n") && shown.contains("Front wheel: 1100 mm ahead"), "{shown}");
    assert!(shown.contains("\n  measured 1.11 m") && !shown.contains("\n  lock WORDS"), "{shown}");
    assert_eq!(shop.next().as_deref(), Some("spotted"));
    // What was refused stays in sight: the rest is not shown again before it is asked for.
    keyboard.write_all(b"yes\n").unwrap();
    assert_eq!(until_asked(), "NEXT  spotted: The vehicle is driven on and spotted. (? shows all of it)\n> ");
    keyboard.write_all(b"?\n").unwrap();
    assert_eq!(until_asked(), shown);
    keyboard.write_all(b"done\n").unwrap();
    let shown = until_asked();
    assert!(shown.contains("NEXT  pads-seated\n") && shown.contains("Rear right:   reach 7"), "{shown}");
    assert!(shown.lines().all(|line| line.chars().count() <= 80), "{shown}");
    keyboard.write_all(b"leave\n").unwrap();
    assert_eq!(child.wait().unwrap().code(), Some(0), "what was mistyped and typed again is nothing refused");
    assert_eq!(shop.next().as_deref(), Some("pads-seated"));
}
