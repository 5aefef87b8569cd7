//! A setup as placed: what is said of it is said to the person at the vehicle.

#![expect(clippy::unwrap_used, reason = "helpers of tests stop at what they did not expect")]

use std::path::Path;
use std::process::Command;

/// The report on the demonstration's setup with some places changed, as one line.
fn report(lift: &str, vehicle: &str, edits: &[(&str, &str)]) -> String {
    let root = Path::new(env!("CARGO_MANIFEST_DIR")).join("../..");
    let mut placed =
        std::fs::read_to_string(root.join("demo/as-placed/hatchback-in-north-bay.toml")).unwrap();
    for (from, to) in edits {
        assert!(placed.contains(from), "{from}");
        placed = placed.replacen(from, to, 1);
    }
    let folder = tempfile::tempdir().unwrap();
    let path = folder.path().join("placed.toml");
    std::fs::write(&path, placed).unwrap();
    let output = Command::new(env!("CARGO_BIN_EXE_standfast"))
        .current_dir(root)
        .args(["plan", "--lift", &format!("demo/lifts/{lift}.toml")])
        .args(["--vehicle", &format!("demo/vehicles/{vehicle}.toml"), "--as-placed"])
        .arg(&path)
        .output()
        .unwrap();
    let said = String::from_utf8(output.stdout).unwrap();
    said.split_whitespace().collect::<Vec<_>>().join(" ")
}

#[test]
fn a_pad_beside_its_area_is_moved_back() {
    let said = report("north-bay", "hatchback", &[("\"0.57 m\", \"0.71 m\"", "\"0.46 m\", \"0.71 m\"")]);
    assert!(said.contains("MUST NOT BE RAISED"), "{said}");
    assert!(said.contains("Move the front left pad 30 mm aft."), "{said}");
    let said = report("north-bay", "hatchback", &[("\"1.95 m\", \"0.70 m\"", "\"1.95 m\", \"0.66 m\"")]);
    assert!(said.contains("Move the rear left pad 25 mm outwards."), "{said}");
}

#[test]
fn a_wheel_beside_its_mark_is_rolled_onto_it() {
    let said = report("north-bay", "hatchback", &[("spot = \"1.10 m\"", "spot = \"1.06 m\"")]);
    assert!(said.contains("Roll the vehicle 40 mm forwards, onto mark A."), "{said}");
    assert!(said.contains("Set anew as a plan has it, with the front wheel 1100 mm ahead"), "{said}");
}

/// One thing is asked, not moves that do not lead to a raise: where one pad cannot be mended by a move, all is
/// set anew; where nothing passes on this lift, nothing is moved.
#[test]
fn orders_do_not_contradict_each_other() {
    let both_rear = [
        ("\"1.95 m\", \"0.70 m\"", "\"1.00 m\", \"0.70 m\""),
        ("\"1.93 m\", \"-0.71 m\"", "\"1.00 m\", \"-0.71 m\""),
    ];
    let told = |said: &str| said.split(" Smallest change ").next().unwrap().to_owned();
    let said = told(&report("north-bay", "hatchback", &both_rear));
    assert!(said.contains("Set the vehicle and all four pads anew."), "{said}");
    assert!(!said.contains("Move both rear pads"), "{said}");
    let said = told(&report("long-bay", "recovery-truck", &[]));
    assert!(said.contains("No setup passes here: do not raise it in this bay."), "{said}");
    assert!(said.contains("Take it to a stronger lift.") && !said.contains("Move "), "{said}");
}

/// Nobody at the vehicle can change an arm, a bay or a lifting point.
#[test]
fn nothing_is_asked_of_a_person_that_cannot_be_done_there() {
    for lift in ["north-bay", "mill-bay", "long-bay"] {
        for vehicle in ["hatchback", "long-van", "pickup", "battery-hatch", "sports-coupe", "recovery-truck"]
        {
            let said = report(lift, vehicle, &[("spot = \"1.10 m\"", "spot = \"0.90 m\"")]);
            let told = said.split(" Front wheel ").next().unwrap();
            for never in
                ["would change it", "other way round", "another spot", "narrower", "farther out would"]
            {
                assert!(!told.contains(never), "{vehicle} on {lift}: {never} in {told}");
            }
            let plate = lift == "north-bay";
            assert!(!plate || !said.contains("BACKWARDS"), "{vehicle} on {lift}: {said}");
        }
    }
}

/// A pad that is set too high takes the load of the others, as does the one across: it is no level setup.
#[test]
fn pads_at_unequal_heights_share_unevenly() {
    let level = report("north-bay", "hatchback", &[]);
    assert!(level.contains("MAY BE RAISED"), "{level}");
    let high = [("[pads.front_left]", "[pads.front_left]\nheight = \"155 mm\"")];
    let said = report("north-bay", "hatchback", &high);
    assert!(said.contains("MUST NOT BE RAISED") && said.contains("Set the pads to"), "{said}");
    let load = |said: &str, arm: &str| {
        let row = said.split(&format!("{arm} ")).nth(1).unwrap().to_owned();
        let kilograms = row.split(" kg").next().unwrap().split(' ').next_back().unwrap().to_owned();
        kilograms.trim_start_matches('~').parse::<f64>().unwrap()
    };
    // 5 mm between springs of some 400 N/mm over four pads; derived.
    for (arm, more) in [("Front left", 1.0), ("Rear right", 1.0), ("Front right", -1.0), ("Rear left", -1.0)]
    {
        let change = load(&said, arm) - load(&level, arm);
        assert!((40.0..250.0).contains(&(more * change)), "{arm}: {change}");
    }
}
