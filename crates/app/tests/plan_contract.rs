//! `plan --json` keeps its contract: keys, ids, reserves, and the schema that the program prints.

#![expect(clippy::unwrap_used, reason = "helpers of tests stop at what they did not expect")]

mod schema_walker;

use std::collections::BTreeSet;
use std::path::Path;
use std::process::Command;

use serde_json::Value;

/// The contract's keys: where they stand, and which are the least.
const KEYS: [(&str, &str); 7] = [
    (
        "",
        "contract verdict lift vehicle job spot_m offset_m yaw_rad driven_in pads states checks conditions \
         refusals assumptions height test_raise_pad_rise_m worst_reserve worst_check",
    ),
    (
        "pads",
        "corner aft_m left_m bay_x_m bay_y_m reach_m swing_rad pad_height_m adapters_m load_least_n \
         load_greatest_n load_estimate_n load_assured_n rated_n",
    ),
    (
        "states",
        "name mass_kg cg_aft_m cg_left_m cg_up_m assured_edge_distance_m tip_ratio front_share worst_reserve",
    ),
    ("checks", "id state what demand limit unit reserve binding source"),
    ("assumptions", "what value unit least greatest source"),
    ("height", "lock pad_height_m person task head_room_m"),
    // Keys added since.
    (
        "",
        "origin mark mark_spot_m watch limits without_plate change other_bays chance no_chance measure_next",
    ),
];

fn standfast(arguments: &[&str]) -> Value {
    let mut command = Command::new(env!("CARGO_BIN_EXE_standfast"));
    command.current_dir(Path::new(env!("CARGO_MANIFEST_DIR")).join("../.."));
    let output = command.args(arguments).output().unwrap();
    assert_eq!(String::from_utf8_lossy(&output.stderr), "", "{arguments:?}");
    serde_json::from_slice(&output.stdout).unwrap()
}

/// Every demonstration vehicle on every lift, and with every job made for it.
fn answers() -> Vec<(String, Value)> {
    let mut found = Vec::new();
    let mut ask = |lift: &str, vehicle: &str, more: &[&str]| {
        let (lift, vehicle) = (format!("demo/lifts/{lift}.toml"), format!("demo/vehicles/{vehicle}.toml"));
        let mut arguments = vec!["plan", "--json", "--lift", &lift, "--vehicle", &vehicle];
        arguments.extend(more);
        found.push((format!("{vehicle} on {lift}"), standfast(&arguments)));
    };
    for lift in ["north-bay", "mill-bay", "long-bay"] {
        for vehicle in ["hatchback", "long-van", "pickup", "battery-hatch", "sports-coupe", "recovery-truck"]
        {
            ask(lift, vehicle, &[]);
        }
        ask(lift, "pickup", &["--job", "demo/jobs/rear-axle-off.toml"]);
        ask(lift, "battery-hatch", &["--job", "demo/jobs/battery-pack-out.toml"]);
        ask(lift, "long-van", &["--job", "demo/jobs/loaded-van-exhaust.toml"]);
    }
    ask("north-bay", "hatchback", &["--as-placed", "demo/as-placed/hatchback-in-north-bay.toml"]);
    found
}

fn list<'a>(value: &'a Value, key: &str) -> &'a [Value] {
    value[key].as_array().unwrap()
}

fn number(value: &Value, key: &str) -> f64 {
    value[key].as_f64().unwrap()
}

#[test]
fn every_answer_keeps_the_contract() {
    let schema = standfast(&["schema", "plan-answer"]);
    let mut kinds = BTreeSet::new();
    for (name, answer) in answers() {
        assert_eq!(schema_walker::faults(&schema, &answer), Vec::<String>::new(), "{name}");
        keys(&name, &answer);
        checks(&name, &answer);
        verdict(&name, &answer);
        kinds.extend(list(&answer, "checks").iter().map(|c| c["id"].to_string()));
    }
    assert!(kinds.len() > 40, "{kinds:?}");
}

fn keys(name: &str, answer: &Value) {
    for (place, keys) in KEYS {
        let here = if place.is_empty() { answer } else { &answer[place] };
        let items = here.as_array().map_or(std::slice::from_ref(here), Vec::as_slice);
        for item in items {
            for key in keys.split_whitespace() {
                assert!(item.get(key).is_some(), "{name}: no {key} in {place}");
            }
        }
    }
    assert_eq!(answer["contract"], "standfast/plan/1");
    let corners: Vec<&Value> = list(answer, "pads").iter().map(|p| &p["corner"]).collect();
    assert_eq!(corners, ["front-left", "front-right", "rear-left", "rear-right"]);
    for pad in list(answer, "pads") {
        let swing = number(pad, "swing_rad");
        assert!(swing > -std::f64::consts::PI && swing <= std::f64::consts::PI, "{name}");
        let [least, estimate, greatest] =
            ["load_least_n", "load_estimate_n", "load_greatest_n"].map(|k| number(pad, k));
        assert!(least <= estimate + 1e-6 && estimate <= greatest + 1e-6, "{name}: {pad}");
    }
}

/// Available / required - 1, limit / demand - 1, at most 9.
fn reserve(check: &Value) -> f64 {
    let (demand, limit) = (number(check, "demand"), number(check, "limit"));
    assert!(check["sense"] == "at-least" || check["sense"] == "at-most", "{check}");
    let ratio = if check["sense"] == "at-least" { demand / limit } else { limit / demand };
    (ratio - 1.0).min(9.0)
}

fn checks(name: &str, answer: &Value) {
    let checks = list(answer, "checks");
    let mut seen = BTreeSet::new();
    for check in checks {
        assert!(seen.insert((check["id"].to_string(), check["state"].to_string())), "{name}: {check}");
        assert!(!check["source"].as_str().unwrap().is_empty(), "{name}: {check}");
        // Both nothing: what there is to be divided by decides nothing.
        if number(check, "limit") > 0.0 && number(check, "demand") != 0.0 {
            let told = number(check, "reserve");
            assert!((reserve(check) - told).abs() < 1e-9, "{name}: {} and {check}", reserve(check));
        }
    }
    let steering = checks.iter().filter(|c| c["binding"] == true && c["steers"] == true);
    let worst = steering.min_by(|a, b| number(a, "reserve").total_cmp(&number(b, "reserve"))).unwrap();
    assert!((number(answer, "worst_reserve") - number(worst, "reserve")).abs() < 1e-12, "{name}");
    let held = checks.iter().find(|c| c["id"] == answer["worst_check"]);
    assert!(held.is_some(), "{name}: {}", answer["worst_check"]);
    for state in list(answer, "states") {
        let own = checks.iter().filter(|c| c["binding"] == true && c["state"] == state["name"]);
        let least = own.map(|c| number(c, "reserve")).fold(9.0, f64::min);
        assert!((number(state, "worst_reserve") - least).abs() < 1e-12, "{name}: {state}");
    }
}

fn verdict(name: &str, answer: &Value) {
    let [refused, conditions] = ["refusals", "conditions"].map(|k| !list(answer, k).is_empty());
    let expected = match (refused, conditions) {
        (true, _) => "do-not-raise",
        (false, true) => "raise-with-conditions",
        (false, false) => "raise",
    };
    assert_eq!(answer["verdict"], expected, "{name}");
    let planned = answer["origin"] == "planned";
    assert_eq!(answer["other_bays"].is_array(), refused && planned, "{name}");
    let bays = answer["other_bays"].as_array().map_or(&[][..], Vec::as_slice);
    for bay in bays {
        assert_ne!(bay["verdict"], "do-not-raise", "{name}");
        assert_ne!(bay["lift"], answer["lift"], "{name}");
    }
}

/// What another bay is said to allow is what a plan for that bay says.
#[test]
fn other_bays_keep_their_word() {
    let ask = |lift: &str| {
        let lift = format!("demo/lifts/{lift}.toml");
        standfast(&["plan", "--json", "--lift", &lift, "--vehicle", "demo/vehicles/sports-coupe.toml"])
    };
    let told = ask("mill-bay");
    let allowed: Vec<(String, String)> = ["north-bay", "long-bay"]
        .map(ask)
        .iter()
        .filter(|a| a["verdict"] != "do-not-raise")
        .map(|a| (a["lift"].to_string(), a["verdict"].to_string()))
        .collect();
    let bays: Vec<(String, String)> =
        list(&told, "other_bays").iter().map(|b| (b["lift"].to_string(), b["verdict"].to_string())).collect();
    assert_eq!(bays, allowed);
    assert!(!bays.is_empty());
}

/// The walker is not blind: spoilt answers are refused.
#[test]
fn the_schema_refuses_what_is_wrong() {
    let schema = standfast(&["schema", "plan-answer"]);
    let files = ["--lift", "demo/lifts/mill-bay.toml", "--vehicle", "demo/vehicles/hatchback.toml"];
    let good = standfast(&[&["plan", "--json"][..], &files].concat());
    assert_eq!(schema_walker::faults(&schema, &good), Vec::<String>::new());
    let spoilt: [fn(&mut Value); 6] = [
        |a| a["verdict"] = "perhaps".into(),
        |a| a["spot_m"] = "1.1".into(),
        |a| a["pads"][2]["adapters_m"] = serde_json::json!(["thick"]),
        |a| a["height"]["lock"] = (-1).into(),
        |a| a["states"][0]["cg_tolerance_m"] = serde_json::json!([0.1, 0.2]),
        |a| drop(a["checks"][3].as_object_mut().unwrap().remove("source")),
    ];
    for (i, spoil) in spoilt.iter().enumerate() {
        let mut answer = good.clone();
        spoil(&mut answer);
        assert_eq!(schema_walker::faults(&schema, &answer).len(), 1, "{i}");
    }
}

#[test]
fn chances_are_told_and_change_nothing_else() {
    let files = ["--lift", "demo/lifts/mill-bay.toml", "--vehicle", "demo/vehicles/pickup.toml"];
    let ask = |more: &[&str]| standfast(&[&["plan", "--json"], &files[..], more].concat());
    let (without, mut with) = (ask(&[]), ask(&["--chance", "1000"]));
    assert_eq!(without["chance"], Value::Null);
    assert_eq!(schema_walker::faults(&standfast(&["schema", "plan-answer"]), &with), Vec::<String>::new());
    let told = list(&with, "chance");
    let asked = list(&with, "checks").iter().filter(|c| c["state"] != Value::Null || c["id"] == "capacity");
    assert_eq!(told.len(), asked.count());
    for chance in told {
        let (failed, samples) = (number(chance, "failed"), number(chance, "samples"));
        assert!(samples >= 1000.0 && (number(chance, "chance") - failed / samples).abs() < 1e-12, "{chance}");
        assert!(list(&with, "checks").iter().any(|c| c["id"] == chance["check"]), "{chance}");
        assert!(number(chance, "numerical_error") >= 0.0);
    }
    with["chance"] = Value::Null;
    assert_eq!(with, without);
}

/// All pads ahead of the centre of gravity: it would fall, and nothing is told of how likely that is.
#[test]
fn no_chance_is_told_of_a_setup_that_does_not_stand() {
    let folder = tempfile::tempdir().unwrap();
    let placed = folder.path().join("placed.toml");
    let pads = [
        ("front_left", 0.5, 0.7),
        ("front_right", 0.5, -0.7),
        ("rear_left", 0.8, 0.7),
        ("rear_right", 0.8, -0.7),
    ];
    let pads = pads.map(|(pad, aft, left)| format!("[pads.{pad}]\nat = [\"{aft} m\", \"{left} m\"]\n"));
    let stand = "standfast = \"as-placed/1\"\nspot = \"1.1 m\"\noffset = \"0 mm\"\nyaw = \"0 deg\"\ndriven_in = \"forwards\"\n";
    std::fs::write(&placed, format!("{stand}{}", pads.concat())).unwrap();
    let files = ["--lift", "demo/lifts/north-bay.toml", "--vehicle", "demo/vehicles/hatchback.toml"];
    let more = ["--as-placed", placed.to_str().unwrap(), "--chance", "1000"];
    let answer = standfast(&[&["plan", "--json"], &files[..], &more].concat());
    assert_eq!(answer["chance"], Value::Null);
    let why = answer["no_chance"].as_str().unwrap();
    assert!(why.contains("does not stand in state \"as raised\""), "{why}");
    assert_eq!(schema_walker::faults(&standfast(&["schema", "plan-answer"]), &answer), Vec::<String>::new());
}

#[test]
fn samples_out_of_range_are_refused() {
    for samples in ["0", "999", "100000001", "-5", "many", "1e5"] {
        let mut command = Command::new(env!("CARGO_BIN_EXE_standfast"));
        command.current_dir(Path::new(env!("CARGO_MANIFEST_DIR")).join("../.."));
        command.args([
            "plan",
            "--lift",
            "demo/lifts/mill-bay.toml",
            "--vehicle",
            "demo/vehicles/pickup.toml",
        ]);
        let output = command.arg(format!("--chance={samples}")).output().unwrap();
        assert_eq!(output.status.code(), Some(2), "{samples}");
        assert!(output.stdout.is_empty());
        let said = String::from_utf8_lossy(&output.stderr).into_owned();
        assert!(said.contains("--chance") && said.contains(samples), "{said}");
    }
}
