//! A shop's own limits: read, held against, and said to be the shop's.

#![expect(clippy::unwrap_used, reason = "helpers of tests stop at what they did not expect")]

use std::path::Path;
use std::process::{Command, Output};

use planner::limits::{Limit, Side, TABLE};
use planner::plan::Unit;
use serde_json::Value;

fn standfast(arguments: &[&str]) -> Output {
    let mut command = Command::new(env!("CARGO_BIN_EXE_standfast"));
    command.current_dir(Path::new(env!("CARGO_MANIFEST_DIR")).join("../.."));
    command.args(arguments).output().unwrap()
}

const PLAN: [&str; 5] =
    ["plan", "--lift", "demo/lifts/north-bay.toml", "--vehicle", "demo/vehicles/hatchback.toml"];

/// A plan held against these limits.
fn plan(limits: &str, more: &[&str]) -> Output {
    let folder = tempfile::tempdir().unwrap();
    let path = folder.path().join("limits.toml");
    std::fs::write(&path, format!("standfast = \"limits/1\"\n{limits}")).unwrap();
    standfast(&[&PLAN[..], &["--limits", path.to_str().unwrap()], more].concat())
}

fn json(output: &Output) -> Value {
    assert_eq!(String::from_utf8_lossy(&output.stderr), "");
    serde_json::from_slice(&output.stdout).unwrap()
}

/// Every limit of the file that `new` writes, its comment sign taken away.
fn template() -> String {
    let folder = tempfile::tempdir().unwrap();
    let path = folder.path().join("limits.toml");
    assert_eq!(standfast(&["new", "limits", path.to_str().unwrap()]).status.code(), Some(0));
    let text = std::fs::read_to_string(path).unwrap();
    let lines = text.lines().filter_map(|l| l.strip_prefix("# ")).filter(|l| l.contains(" = {"));
    lines.map(|l| format!("{l}\n")).collect()
}

#[test]
fn the_keys_are_those_of_the_table() {
    let schema: Value = serde_json::from_slice(&standfast(&["schema", "limits"]).stdout).unwrap();
    let mut keys: Vec<String> = schema["properties"].as_object().unwrap().keys().cloned().collect();
    keys.retain(|k| k != "standfast");
    keys.sort();
    let mut table: Vec<String> = TABLE.iter().map(|l| l.name.key()).collect();
    table.sort();
    assert_eq!(keys, table);
}

#[test]
fn defaults_written_down_change_nothing() {
    assert_eq!(plan("", &[]).stdout, standfast(&PLAN).stdout);
    let all = template();
    assert_eq!(all.lines().count(), TABLE.len());
    let answer = json(&plan(&all, &["--json"]));
    let limits = answer["limits"].as_array().unwrap();
    assert_eq!(limits.len(), TABLE.len());
    assert!(limits.iter().all(|l| l["looser"] == false), "{limits:?}");
    let bare = json(&standfast(&[&PLAN[..], &["--json"]].concat()));
    assert_eq!(bare["limits"], Value::Array(Vec::new()));
    for key in ["verdict", "worst_reserve", "pads", "states", "assumptions"] {
        assert_eq!(answer[key], bare[key], "{key}");
    }
}

#[test]
fn a_looser_limit_is_said_to_be_one() {
    let own = "door_way = { value = \"20 deg\", source = \"house rule 4\" }";
    let answer = json(&plan(own, &["--json"]));
    let limit = &answer["limits"][0];
    assert_eq!([&limit["name"], &limit["source"]], ["door_way", "house rule 4"]);
    assert_eq!(limit["looser"], true);
    let mut assumed = answer["assumptions"].as_array().unwrap().iter();
    let said = assumed.find(|a| a["what"] == "limit of door to get out").unwrap();
    assert_eq!(said["source"], "house rule 4");
    let door = answer["checks"].as_array().unwrap().iter().find(|c| c["id"] == "door:1").unwrap();
    assert_eq!(door["source"], "own limit: house rule 4");
    assert!((door["limit"].as_f64().unwrap().to_degrees() - 20.0).abs() < 1e-9);

    let report = String::from_utf8(plan(own, &[]).stdout).unwrap();
    let report = report.split_whitespace().collect::<Vec<_>>().join(" ");
    assert!(report.contains("Own limits 1. Limit of door to get out: 20°"), "{report}");
    assert!(report.contains("a setup may pass that the default of 30°"), "{report}");
    let working = String::from_utf8(plan(own, &["--show-working", "door:1"]).stdout).unwrap();
    assert!(working.contains("own limit: house rule 4") && working.contains("Default   30°"), "{working}");
}

#[test]
fn a_stricter_limit_refuses_and_is_no_assumption() {
    let output = plan("door_way = { value = \"60 deg\" }", &["--json"]);
    assert_eq!(output.status.code(), Some(1));
    let answer = json(&output);
    assert_eq!(answer["limits"][0]["looser"], false);
    assert!(answer["refusals"].to_string().contains("own limit"), "{}", answer["refusals"]);
    assert!(!answer["assumptions"].to_string().contains("door to get out"));
}

/// With every limit at its loosest the demonstration passes, with every one at its strictest it does not.
#[test]
fn the_ends_of_the_ranges_make_a_plan() {
    for strict in [false, true] {
        let line = |l: &Limit| {
            let strictest_is_greatest = l.looser != Side::Above;
            let value = if strict == strictest_is_greatest { l.range.1 } else { l.range.0 };
            let unit = match l.unit {
                Unit::Metre => " m",
                Unit::Radian => " rad",
                Unit::Newton => " N",
                _ => "",
            };
            format!("{} = {{ value = \"{value}{unit}\" }}\n", l.name.key())
        };
        let answer = json(&plan(&TABLE.iter().map(line).collect::<String>(), &["--json"]));
        assert_eq!(answer["verdict"] == "do-not-raise", strict, "{}", answer["refusals"]);
    }
}

#[test]
fn what_is_no_limit_is_refused() {
    for (limits, why) in [
        ("door_way = { value = \"85 deg\" }", "a shop may choose"),
        ("edge_distance = { value = \"-10 mm\" }", "a shop may choose 0 mm to 500 mm"),
        ("door_way = { value = \"85 deg\" }", "a shop may choose 5 deg to 80 deg"),
        ("door_way = { value = \"1.5 rad\" }", "a shop may choose 0.088 rad to 1.396 rad"),
        ("placing = { value = \"9 in\" }", "a shop may choose 0.08 in to 1.96 in"),
        ("edge_distance = { value = \"10 kg\" }", "is a unit of mass"),
        ("edge_distance = { value = \"100 mm +- 5 mm\" }", "a limit is chosen"),
        ("edge_distance = \"100 mm\"", "write a table"),
        ("edge_distnce = { value = \"100 mm\" }", "did you mean `edge_distance`"),
        ("edge_distance = { source = \"x\" }", "`value` is missing"),
    ] {
        let output = plan(limits, &[]);
        let said = String::from_utf8(output.stderr).unwrap();
        assert_eq!(output.status.code(), Some(2), "{limits}: {said}");
        assert_eq!(output.stdout, b"");
        assert!(said.contains("limits.toml:2:") && said.contains("help: "), "{limits}: {said}");
        assert!(said.contains(why), "{limits}: {said}");
    }
}
