//! `solve`, key for key, against closed forms.

#![expect(clippy::unwrap_used, clippy::panic, reason = "helpers of tests stop at what they did not expect")]

use std::io::Write;
use std::process::{Command, Output, Stdio};

use serde_json::{Value, json};

fn run(text: &str) -> Output {
    let mut child = Command::new(env!("CARGO_BIN_EXE_standfast"))
        .args(["solve", "-"])
        .stdin(Stdio::piped())
        .stdout(Stdio::piped())
        .stderr(Stdio::piped())
        .spawn()
        .unwrap();
    child.stdin.take().unwrap().write_all(text.as_bytes()).unwrap();
    child.wait_with_output().unwrap()
}

fn answer(question: &Value) -> Value {
    let output = run(&question.to_string());
    assert_eq!(output.status.code(), Some(0), "{}", String::from_utf8_lossy(&output.stderr));
    serde_json::from_slice(&output.stdout).unwrap()
}

fn contact(name: &str, x: f64, y: f64) -> Value {
    json!({ "name": name, "at_m": [x, y, 0.2], "stiffness_n_per_m": 350_000.0, "friction": 0.2 })
}

fn square() -> Value {
    json!({
        "contract": "standfast/solve/1",
        "mass_kg": 1000.0,
        "cg_m": [0.2, 0.1, 0.7],
        "contacts": [contact("a", 1.0, 1.0), contact("b", -1.0, 1.0), contact("c", -1.0, -1.0), contact("d", 1.0, -1.0)],
    })
}

fn near(value: &Value, want: f64, tolerance: f64) {
    let found = value.as_f64().unwrap_or_else(|| panic!("{value} is not a number"));
    assert!((found - want).abs() <= tolerance, "{found} is not {want}");
}

/// Four equal springs: W/4 (1 +- x/a +- y/b); derived, closed form.
#[test]
fn four_springs_off_centre() {
    let found = answer(&square());
    let weight = 1000.0 * 9.80665;
    for (contact, share) in found["contacts"].as_array().unwrap().iter().zip([0.325, 0.225, 0.175, 0.275]) {
        near(&contact["load_estimate_n"], share * weight, 1e-6 * weight);
    }
    assert_eq!(found["outcome"], "stable");
    near(&found["assured_edge_distance_m"], 0.8, 1e-12);
    near(&found["tip_ratio"], 0.8 / 0.5, 1e-12);
    assert!(found["residual_n"].as_f64().unwrap() < 1e-6);
    assert!(found["residual_nm"].as_f64().unwrap() < 1e-6);
}

/// Every key of the contract is there, and no load is named that is taken away.
#[test]
fn keys_of_the_contract() {
    let mut question = square();
    question["forces"] = json!([{ "name": "pull", "at_m": [0.2, 0.8, 0.33], "direction": [0, 5, 0] }]);
    let found = answer(&question);
    let keys = |value: &Value| value.as_object().unwrap().keys().cloned().collect::<Vec<_>>();
    let mut top = keys(&found);
    top.sort();
    assert_eq!(
        top,
        [
            "assured_edge_distance_m",
            "contacts",
            "contract",
            "edges",
            "forces",
            "outcome",
            "residual_n",
            "residual_nm",
            "tip_ratio"
        ]
    );
    let first = &found["contacts"][0];
    for key in ["name", "load_least_n", "load_greatest_n", "load_estimate_n", "seat_gap_m", "without_it"] {
        assert!(first.get(key).is_some(), "{key}");
    }
    // The centre is on the side of the diagonal that loses contact a.
    assert_eq!(first["without_it"], json!({ "outcome": "tips", "loads_n": null }));
    let third = &found["contacts"][2]["without_it"];
    assert_eq!(third["outcome"], "stable");
    assert_eq!(keys(&third["loads_n"]), ["a", "b", "d"]);
    let edge = &found["edges"][0];
    for key in ["from", "to", "distance_m", "assured_distance_m"] {
        assert!(edge.get(key).is_some(), "{key}");
    }
    let force = &found["forces"][0];
    for key in ["name", "first_unloads_n", "unloads", "withstands_n", "limited_by"] {
        assert!(force.get(key).is_some(), "{key}");
    }
    // Sliding of everything together: friction times weight, derived.
    near(&force["withstands_n"], 0.2 * 1000.0 * 9.80665, 2.0);
    assert_eq!(force["limited_by"], "sliding");
}

#[test]
fn no_equilibrium_is_an_answer() {
    let mut question = square();
    question["cg_m"] = json!([1.5, 0.0, 0.7]);
    let found = answer(&question);
    assert_eq!(found["outcome"], "tips");
    for contact in found["contacts"].as_array().unwrap() {
        assert_eq!(contact["load_least_n"], Value::Null);
        assert_eq!(contact["load_estimate_n"], Value::Null);
        assert_eq!(contact["without_it"]["loads_n"], Value::Null);
    }
}

#[test]
fn seats_and_free_arms_are_read() {
    let mut question = square();
    question["contacts"][0]["resists"] = json!("every-direction");
    question["contacts"][1]["resists"] = json!({ "only-along": [0, 2] });
    question["contacts"][2]["resists"] = json!({ "blocks": [3, 0] });
    question["contacts"][3]["rated_n"] = Value::Null;
    assert_eq!(answer(&question)["outcome"], "stable");
}

/// Refused with all reasons at once: each fragment must be said.
fn refused(name: &str, edit: impl FnOnce(&mut Value), reasons: &[&str]) {
    let mut question = square();
    edit(&mut question);
    let output = run(&serde_json::to_string_pretty(&question).unwrap());
    let said = String::from_utf8(output.stderr).unwrap();
    assert_eq!(output.status.code(), Some(2), "{name}: {said}");
    assert_eq!(output.stdout, b"", "{name}");
    for reason in reasons {
        assert!(said.contains(reason), "{name}: {reason:?} is not in {said}");
    }
    assert!(said.contains("standard input:") && said.contains("help: "), "{name}: {said}");
}

#[test]
fn refusals() {
    refused("mass", |q| q["mass_kg"] = json!(-1), &["mass_kg is -1"]);
    refused(
        "two contacts",
        |q| q["contacts"].as_array_mut().unwrap().truncate(2),
        &["2 contacts cannot carry"],
    );
    refused("no mass", |q| drop(q.as_object_mut().unwrap().remove("mass_kg")), &["`mass_kg` is missing"]);
    refused("unknown key", |q| q["masskg"] = json!(1), &["`masskg` is not known", "did you mean `mass_kg`"]);
    refused("text", |q| q["mass_kg"] = json!("1 t"), &["mass_kg is a text"]);
    refused("names", |q| q["contacts"][1]["name"] = json!("a"), &["two contacts are called \"a\""]);
    refused(
        "places",
        |q| q["contacts"][1]["at_m"] = json!([1.0, 1.0, 0.0]),
        &["\"a\" and \"b\" stand at one place in plan"],
    );
    refused("word", |q| q["contacts"][0]["resists"] = json!("everyway"), &["\"everyway\" is not a word"]);
    refused("seat", |q| q["contacts"][0]["resists"] = json!({ "blocks": [0, 0] }), &["no direction"]);
    refused(
        "wrong seat",
        |q| q["contacts"][0]["resists"] = json!({ "only": [0, 1] }),
        &["resists is a table"],
    );
    refused(
        "no contract",
        |q| drop(q.as_object_mut().unwrap().remove("contract")),
        &["`contract` is missing", "add `contract`: \"standfast/solve/1\""],
    );
    for wrong in [json!("everyway"), json!({ "only": [0, 1] }), json!([0, 1]), json!(3)] {
        refused(
            "resists",
            |q| q["contacts"][0]["resists"] = wrong,
            &["\"every-direction\"", "the key `only-along`", "the key `blocks`"],
        );
    }
    refused("contract", |q| q["contract"] = json!("standfast/solve/2"), &["not known"]);
    refused("short", |q| q["cg_m"] = json!([1.0, 2.0]), &["cg_m is a list of 3, not of 2"]);
    refused(
        "line",
        |q| (0u8..4).for_each(|i| q["contacts"][usize::from(i)]["at_m"] = json!([f64::from(i), 0.0, 0.2])),
        &["all contacts lie on one line"],
    );
    refused(
        "many",
        |q| {
            q["mass_kg"] = json!(0);
            q["cg_tolerance_m"] = json!([0.0, -0.1, 0.0]);
            q["contacts"][0]["stiffness_n_per_m"] = json!(0);
            q["contacts"][3]["friction"] = json!(-0.2);
            q["forces"] = json!([{ "name": "push", "at_m": [0, 0, 0], "direction": [0, 0, 0] }]);
        },
        &[
            "mass_kg is 0",
            "cg_tolerance_m has a negative part",
            "stiffness_n_per_m is 0",
            "friction is -0.2",
            "direction of \"push\" has no length",
        ],
    );
    for (text, why) in [
        ("{ \"mass_kg\": NaN }", "not JSON"),
        ("{ \"mass_kg\": 1e999 }", "too large"),
        ("{ \"mass_kg\": 1, \"mass_kg\": 2 }", "there twice"),
        ("{ \"mass_kg\": 1, }", "not JSON"),
        ("", "not JSON"),
        ("null", "write a table (in JSON: an object)"),
        ("[]", "write a table (in JSON: an object)"),
        ("3", "write a table (in JSON: an object)"),
    ] {
        let output = run(text);
        let said = String::from_utf8(output.stderr).unwrap();
        assert_eq!(output.status.code(), Some(2), "{text}: {said}");
        assert!(said.contains(why), "{text}: {said}");
    }
}
