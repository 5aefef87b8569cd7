//! What a file states of how far a figure may be off counts, or the plan itself says that it does not.

#![expect(clippy::unwrap_used, reason = "helpers of tests stop at what they did not expect")]

mod spoilt;

use spoilt::{folder, run};

const PLAN: [&str; 8] =
    ["plan", "--json", "--lift", "lift.toml", "--vehicle", "vehicle.toml", "--job", "job.toml"];
const AS_PLACED: [&str; 2] = ["--as-placed", "placed.toml"];

/// The answer with one text of a file changed.
fn answer(file: &str, from: &str, to: &str, more: &[&str]) -> serde_json::Value {
    let folder = folder();
    let path = folder.path().join(file);
    let text = std::fs::read_to_string(&path).unwrap();
    assert!(text.contains(from), "{file}: {from:?}");
    std::fs::write(&path, text.replace(from, to)).unwrap();
    let output = run(folder.path(), &[&PLAN, more].concat());
    serde_json::from_slice(&output.stdout).unwrap()
}

fn assumed(answer: &serde_json::Value) -> Vec<(String, f64)> {
    let all = answer["assumptions"].as_array().unwrap().iter();
    all.map(|a| (a["what"].as_str().unwrap().to_owned(), a["greatest"].as_f64().unwrap())).collect()
}

/// What is withstood of the job's first force in the first state.
fn withstood(answer: &serde_json::Value) -> f64 {
    let force = &answer["working_forces"][0]["states"][0];
    force["withstands_n"].as_f64().unwrap()
}

const PLACE: &str = "at = [\"0 m\", \"0.75 m\", \"0.305 m\"]";

#[test]
fn where_a_force_bears_counts_at_its_worst() {
    let told = |to: &str| answer("job.toml", PLACE, to, &AS_PLACED);
    let [exact, off, inwards] = [
        PLACE,
        "at = [\"0 m +- 300 mm\", \"0.75 m +- 300 mm\", \"0.305 m\"]",
        "at = [\"-0.3 m\", \"1.05 m\", \"0.305 m\"]",
    ]
    .map(|to| withstood(&told(to)));
    assert!(off < exact - 1.0, "{off} of {exact}");
    assert!(off <= inwards + 1e-6, "the corners are among what counts: {off}, {inwards}");
    let bar = |to: &str| {
        let to = format!("{PLACE}\nbar = \"{to}\"");
        withstood(&answer("job.toml", PLACE, &to, &AS_PLACED))
    };
    let [short, doubtful, long] = ["0.5 m", "0.5 m +- 300 mm", "0.8 m"].map(bar);
    assert!((doubtful - long).abs() < 1e-6 && long < short, "{short} {doubtful} {long}");
}

#[test]
fn headroom_counts_at_its_least() {
    let room =
        |to: &str| answer("lift.toml", "\"4.10 m\"", to, &[])["height"]["roof_room_m"].as_f64().unwrap();
    let (exact, off) = (room("\"4.10 m\""), room("\"4.10 m +- 100 mm\""));
    assert!((exact - off - 0.1).abs() < 1e-9, "{exact} {off}");
}

/// No more than a warning on the terminal would be lost on whoever reads the sheet.
#[test]
fn what_does_not_count_is_told_in_the_plan() {
    let plain = assumed(&answer("vehicle.toml", "roof = \"1.46 m\"", "roof = \"1.46 m\"", &[]));
    let stated = assumed(&answer("vehicle.toml", "roof = \"1.46 m\"", "roof = \"1.46 m +- 20 mm\"", &[]));
    assert!(!plain.iter().any(|(what, _)| what == "roof"), "{plain:?}");
    let roof = stated.iter().find(|(what, _)| what == "roof");
    assert!(roof.is_some_and(|(_, most)| (most - 1.48).abs() < 1e-9), "{stated:?}");
    let folder = folder();
    let path = folder.path().join("vehicle.toml");
    let text = std::fs::read_to_string(&path).unwrap().replace("\"1.46 m\"", "\"1.46 m +- 20 mm\"");
    std::fs::write(&path, text).unwrap();
    let said = run(folder.path(), &["plan", "--lift", "lift.toml", "--vehicle", "vehicle.toml"]);
    let said = String::from_utf8(said.stdout).unwrap().split_whitespace().collect::<Vec<_>>().join(" ");
    let told = "Roof: 1460 mm counts, not that it may be anything from 1440 mm to 1480 mm (";
    assert!(said.contains(told), "{said}");
}

/// Of the place of a part what is stated and what is assumed are told apart.
#[test]
fn of_a_place_only_what_nobody_stated_is_assumed() {
    let wheels = "at = [\"0 m\", \"0 m\", \"0.305 m\"]";
    let stated = "at = [\"0 m +- 0 mm\", \"0 m +- 0 mm\", \"0.305 m\"]";
    let of = |to: &str| -> Vec<(String, f64)> {
        let all = assumed(&answer("vehicle.toml", wheels, to, &[]));
        all.into_iter().filter(|(what, _)| what.contains("front wheels")).collect()
    };
    let [place, height] = ["place", "height of the centre"]
        .map(|w| format!("tolerance of the {w} of front wheels, rear wheels"));
    assert_eq!(of(wheels), [(place, 0.03), (height.clone(), 0.0305)]);
    let told = of(stated);
    assert_eq!(told.len(), 1, "{told:?}");
    assert!(told.iter().all(|(what, most)| *what == height && (most - 0.0305).abs() < 1e-9), "{told:?}");
}
