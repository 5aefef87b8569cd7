//! As what a vehicle was left, and which plans have it so.

#![allow(clippy::expect_used, clippy::panic, reason = "a test ends where it fails")]

mod common;

use HoldPoint as P;
use common::left::*;
use common::*;
use records::*;

/// A plan has the vehicle as it is among its states where nothing else comes off or goes on before that.
#[test]
fn nothing_else_comes_before_what_was_left() {
    let state = "gearbox off; “gearbox on” done or half done";
    let mut world = left_without_gearbox();
    for steps in [
        &["wheel off", "wheel on", "gearbox off", "gearbox on"],
        &["wheel off", "gearbox off", "gearbox on", "wheel on"],
    ] {
        assert_eq!(states(&mut world, other("hatchback", steps)), [state], "{steps:?}");
    }
    // Half on again, it is between the states of whichever job has it off first.
    for steps in [
        &["gearbox off", "gearbox on", "wheel off", "wheel on"],
        &["gearbox off", "wheel off", "wheel on", "gearbox on"],
    ] {
        assert_eq!(states(&mut world, other("hatchback", steps)), [""; 0], "{steps:?}");
    }
    // Two parts that are off may have come off in either order.
    let mut world = World::ready();
    world.must(
        "tech",
        &Command::BeginRaise(other("hatchback", &["wheel off", "gearbox off", "gearbox on", "wheel on"])),
    );
    world.until("tech", P::StepDone(1));
    world.must("tech", &bring_down(1));
    world.until("tech", P::LeftOnFloor);
    back_to_service(&mut world);
    let turned = ["gearbox off", "wheel off", "gearbox on", "wheel on"];
    assert_eq!(states(&mut world, other("hatchback", &turned)), [""; 0]);
    let another = ["gearbox off", "gearbox on", "gearbox off", "wheel off", "gearbox on", "wheel on"];
    assert_eq!(states(&mut world, other("hatchback", &another)).len(), 1);
}

/// What a raise itself took off stands in the book beside what its vehicle was found without.
#[test]
fn what_came_off_is_kept_beside_what_was_off_before() {
    let mut world = left_without_gearbox();
    world.must("tech", &say_whole());
    let said = world.last("vehicle-whole");
    let mix = ["wheel off", "tank off", "tank on", "wheel on", "gearbox off", "gearbox on"];
    world.must("tech", &Command::BeginRaise(other("hatchback", &mix)));
    lead_on(&mut world, 2, P::StepDone(1));
    world.must("tech", &Command::Correct { event: said, words: "another one".into() });
    world.must("tech", &bring_down(2));
    let told = world.shop.raises[&RaiseNumber(2)].progress.unfinished().expect("it is told");
    let (found, own) =
        ("gearbox off; “gearbox on” done or half done", "tank, wheel off; “tank on” done or half done");
    assert!(told.contains("tank, wheel off") && told.contains(found), "{told}");
    lead_on(&mut world, 2, P::LeftOnFloor);
    back_to_service(&mut world);
    assert_eq!(states(&mut world, other("hatchback", &mix)), [found, own]);
    world.must("tech", &say_whole());
    assert_eq!(states(&mut world, other("hatchback", &mix)), [""; 0]);
}

/// With its file replaced while parts were off, nobody knows which of them that file means.
#[test]
fn a_file_entered_in_the_middle_of_the_work_is_not_believed() {
    let anew = || Document::new("its file without the gearbox");
    let enter_anew =
        || Command::EnterVehicle { vehicle: vehicle("hatchback"), description: "red".into(), file: anew() };
    let by_it = || {
        let mut new = other("hatchback", &[]);
        new.inputs.insert("vehicle".into(), anew());
        new
    };
    let state = "parts off or on that its file, entered meanwhile, may not know of";
    let mut world = begun();
    world.until("tech", P::StepDone(0));
    world.must("tech", &enter_anew());
    let mut back = World { shop: world.shop.clone(), at: world.at, events: vec![] };
    // By another file no part goes on; that it is on is written down.
    let judgement = Some(judged(world.progress(), true));
    let words = Some("it is on".into());
    let on = Command::Confirm { raise: raise(), point: P::StepDone(1), judgement, words, seen: None };
    world.must("tech", &on);
    world.until("tech", P::DrivenOff);
    assert_eq!(states(&mut world, by_it()), [state]);
    world.must("tech", &enter("hatchback"));
    assert_eq!(states(&mut world, plan()), [state], "its plan may have ended otherwise");
    world.must("tech", &say_whole());
    world.must("tech", &Command::BeginRaise(plan()));
    // Left in the middle, what is off is told besides.
    let mut left = World { shop: back.shop.clone(), at: back.at, events: vec![] };
    left.must("tech", &bring_down(1));
    left.until("tech", P::LeftOnFloor);
    back_to_service(&mut left);
    let both = format!("gearbox off; “gearbox on” done or half done; {state}");
    assert_eq!(states(&mut left, by_it()), [both]);
    left.must("tech", &say_whole());
    left.must("tech", &Command::BeginRaise(by_it()));
    // With the file that it was planned with in the book again, all is as it was.
    back.must("tech", &enter("hatchback"));
    back.until("tech", P::DrivenOff);
    assert_eq!(states(&mut back, plan()), [""; 0]);
    // Nor where no part came off.
    let mut world = begun();
    world.until("tech", P::PadsSeated);
    world.must("tech", &enter_anew());
    world.must("tech", &bring_down(1));
    world.until("tech", P::DrivenOff);
    assert_eq!(states(&mut world, by_it()), [""; 0]);
}

/// Entered once the raise has ended, another file may be of the vehicle as it is, so that no part of it is taken off twice.
#[test]
fn a_file_entered_while_parts_are_off_is_not_believed() {
    let anew = || Document::new("its file, weighed without the gearbox");
    let enter_anew =
        |of: &str| Command::EnterVehicle { vehicle: vehicle(of), description: "red".into(), file: anew() };
    let by_it = || {
        let mut new = plan();
        new.inputs.insert("vehicle".into(), anew());
        new
    };
    let own = "gearbox off; “gearbox on” done or half done";
    let state = format!("{own}; parts off or on that its file, entered meanwhile, may not know of");
    let mut world = left_without_gearbox();
    assert_eq!(states(&mut world, plan()), [""; 0]);
    world.must("tech", &enter_anew("hatchback"));
    assert_eq!(states(&mut world, by_it()), std::slice::from_ref(&state));
    // Weighed so, it is not known whether with the gearbox or without.
    let weighed = |what: &str| {
        Command::Measure(Measurement {
            vehicle: vehicle("hatchback"),
            what: what.into(),
            value: "1060 kg".into(),
            how: "scale".into(),
        })
    };
    for what in ["weight.total", "cg_height"] {
        let why = Refusal::WeighedNotWhole(vehicle("hatchback"), Some(RaiseNumber(1)), state.clone());
        assert_eq!(world.refused("tech", &weighed(what)), [why]);
    }
    world.must("tech", &weighed("droop"));
    // With the file that it was left by, all is as it was; and somebody may say what the other means.
    world.must("tech", &enter("hatchback"));
    assert_eq!(states(&mut world, plan()), [""; 0]);
    world.must("tech", &enter_anew("hatchback"));
    world.must("tech", &say_whole());
    world.must("tech", &weighed("weight.total"));
    // A raise that goes by it is held where such a file comes before it is past it, and not after.
    let begun_again = || {
        let mut world = left_without_gearbox();
        world.must("tech", &Command::BeginRaise(plan()));
        world
    };
    let second = RaiseNumber(2);
    let mut before = begun_again();
    lead_on(&mut before, 2, P::Spotted);
    before.must("tech", &enter_anew("hatchback"));
    let point = P::PadsSeated;
    let confirm = Command::Confirm { raise: second, point, judgement: None, words: None, seen: None };
    assert!(before.refused("tech", &confirm).iter().any(|r| matches!(r, Refusal::NotWhole(..))));
    let mut past = begun_again();
    lead_on(&mut past, 2, P::StepDone(1));
    past.must("tech", &enter_anew("hatchback"));
    lead_on(&mut past, 2, P::DrivenOff);
    let told = "parts off or on that its file, entered meanwhile, may not know of";
    assert_eq!(states(&mut past, by_it()), [told], "the gearbox is on again");
}

/// The same plan again would set its stands in a state that the vehicle is past.
#[test]
fn left_beyond_its_stands_it_is_not_raised_by_the_same_plan() {
    let steps = ["bumper off", "axle off", "tank off"];
    let on_stands =
        || NewPlan { outline: Outline { stands: Some((1, 3)), ..led(&steps) }, ..other("hatchback", &steps) };
    for (last, is_refused) in [(P::StepDone(0), false), (P::StepDone(1), true), (P::StepDone(2), true)] {
        let mut world = World::ready();
        world.must("tech", &Command::BeginRaise(on_stands()));
        lead_on(&mut world, 1, last);
        world.must("lead", &Command::AbandonRaise { raise: RaiseNumber(1), words: "fire".into() });
        back_to_service(&mut world);
        let begun = world.act("tech", &Command::BeginRaise(on_stands()));
        let why = begun.err().unwrap_or_default();
        assert_eq!(matches!(why.as_slice(), [Refusal::NotWhole(..)]), is_refused, "{last}: {why:?}");
    }
}
