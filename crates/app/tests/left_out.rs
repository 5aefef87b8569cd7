//! A vehicle file that leaves out what nobody measured: what is missing widens the answer, and is told.

#![expect(clippy::unwrap_used, reason = "helpers of tests stop at what they did not expect")]

mod spoilt;

use spoilt::{folder, run};

/// What a tape and the papers tell in a minute.
const LEAST: &str = r#"standfast = "vehicle/1"
name = "Sedan, front-driven, quick entry"
class = "sedan"
drive = "front"
wheelbase = "2.65 m"

[weight]
total = "1420 kg +- 5 %"

[[lift_areas]]
name = "front lifting point"
end = "front"
side = "both"
at = ["0.47 m", "0.71 m"]

[[lift_areas]]
name = "rear lifting point"
end = "rear"
side = "both"
at = ["2.19 m", "0.71 m"]
"#;

fn planned(vehicle: &str) -> (Option<i32>, serde_json::Value, String) {
    let folder = folder();
    std::fs::write(folder.path().join("vehicle.toml"), vehicle).unwrap();
    let output = run(folder.path(), &["plan", "--lift", "lift.toml", "--vehicle", "vehicle.toml", "--json"]);
    let said = String::from_utf8(output.stderr).unwrap();
    (output.status.code(), serde_json::from_slice(&output.stdout).unwrap_or_default(), said)
}

/// The same figures as options and as a file make the same plan, to the last digit.
#[test]
fn a_file_of_so_few_figures_is_the_quick_entry() {
    let (code, by_file, said) = planned(LEAST);
    assert!(said.contains("warning: vehicle.toml:1:1: left out, and taken from the class of body"), "{said}");
    let options = ["--wheelbase", "2.65 m", "--mass", "1420 kg", "--body", "sedan", "--drive", "front"];
    let quick =
        [&["plan", "--lift", "lift.toml", "--json", "--lift-points", "0.47 m, 2.19 m, 0.71 m"][..], &options];
    let output = run(folder().path(), &quick.concat());
    let by_options: serde_json::Value = serde_json::from_slice(&output.stdout).unwrap();
    assert_eq!(code, output.status.code());
    for part in ["verdict", "setup", "checks", "conditions", "refusals"] {
        assert_eq!(by_file[part], by_options[part], "{part}");
    }
    assert!(by_file["checks"].as_array().is_some_and(|checks| checks.len() > 20));
}

/// What the plan says that nobody measured.
fn assumed(answer: &serde_json::Value) -> Vec<String> {
    let all = answer["assumptions"].as_array().unwrap();
    all.iter().map(|a| a["what"].as_str().unwrap().to_owned()).collect()
}

/// Each line more is one guess less.
#[test]
fn what_is_measured_is_no_longer_assumed() {
    let (_, before, _) = planned(LEAST);
    for (lines, guess) in [
        ("sill_height = \"180 mm\"", "sill height"),
        ("droop = \"90 mm +- 10 mm\"", "droop"),
        ("outline.roof = \"1.45 m\"", "roof height"),
        ("outline.front_overhang = \"0.85 m\"", "front overhang"),
        ("outline.front_overhang = \"0.85 m\"\noutline.length = \"4.50 m\"", "rear overhang"),
        ("outline.width = \"1.8 m\"", "width of the body"),
        ("outline.mirror_width = \"2.0 m\"\noutline.mirror_aft = \"0.5 m\"", "width over the mirrors"),
        ("wheels.track_front = \"1.52 m\"\nwheels.track_rear = \"1.52 m\"", "track"),
        ("wheels.tyre_diameter = \"0.62 m\"", "diameter of the tyres"),
        ("wheels.tyre_width = \"0.2 m\"", "width of the tyres"),
    ] {
        let (code, after, said) = planned(&LEAST.replace("\n[weight]", &format!("{lines}\n\n[weight]")));
        assert_ne!(code, Some(2), "{lines}: {said}");
        let has = |answer| assumed(answer).iter().any(|what| what.contains(guess));
        assert!(has(&before), "{guess} of {:?}", assumed(&before));
        assert!(!has(&after), "{guess} of {:?}", assumed(&after));
    }
}

/// Contradictions are errors at their lines, also against the class where the outline was not measured.
#[test]
fn what_cannot_be_is_refused() {
    for (from, to, line, message) in [
        ("[\"0.47 m\", \"0.71 m\"]", "[\"2.47 m\", \"0.71 m\"]", 14, "`end` may be swapped"),
        (
            "[\"2.19 m\", \"0.71 m\"]",
            "[\"9.19 m\", \"0.71 m\"]",
            20,
            "the body goes from -1.1 m to 4 m at most",
        ),
        ("[\"2.19 m\", \"0.71 m\"]", "[\"2.19 m\", \"1.01 m\"]", 20, "whose half is 0.975 m at most"),
        ("at = [\"2.19 m\"", "width = \"3 mm\"\nat = [\"2.19 m\"", 20, "is not known in lift_areas"),
        ("\n[weight]", "doors = \"nothing\"\n[weight]", 6, "known here: \"none\", a list in [ ]"),
        (
            "\n[weight]",
            "outline.mirror_width = \"none\"\noutline.mirror_aft = \"0.5 m\"\n[weight]",
            7,
            "belong together",
        ),
        ("\n[weight]", "outline.length = \"2.60 m\"\n[weight]", 5, "does not fit into length"),
        (
            "at = [\"2.19 m\", \"0.71 m\"]",
            "at = [\"2.19 m\", \"0.71 m\"]\ncorners = [[\"1.90 m\", \"0.67 m\"], [\"1.90 m\", \"0.73 m\"], [\"2.06 m\", \"0.70 m\"]]",
            20,
            "more than one is given",
        ),
    ] {
        assert!(LEAST.contains(from), "{from}");
        let (code, _, said) = planned(&LEAST.replacen(from, to, 1));
        assert_eq!(code, Some(2), "{to}: {said}");
        assert!(
            said.contains(&format!("error: vehicle.toml:{line}:")) && said.contains(message),
            "{to}: {said}"
        );
    }
}

/// A whole file without its doors, keep-outs or mirrors plans no better in silence: each is a condition or widens the
/// answer, until the file says that there are none.
#[test]
fn what_nobody_looked_at_never_passes_in_silence() {
    let whole = include_str!("../../../demo/vehicles/hatchback.toml");
    let without = |table: &str| {
        let mut kept = true;
        let lines = whole.lines().filter(|line| {
            if line.starts_with('[') {
                kept = *line != format!("[[{table}]]");
            }
            kept
        });
        lines.map(|l| format!("{l}\n")).collect::<String>()
    };
    let conditions = |answer: &serde_json::Value| answer["conditions"].as_array().unwrap().len();
    let (_, measured, said) = planned(whole);
    assert_eq!(said, "");
    for (table, tells) in
        [("doors", "Whether a door opens"), ("keep_outs", "Which lines, tanks, plastic or battery case")]
    {
        let (code, open, said) = planned(&without(table));
        assert_eq!(code, Some(0), "{said}");
        assert!(said.contains("asks for a look before the raise") && said.contains(table), "{said}");
        assert!(open["conditions"].to_string().contains(tells), "{table}: {}", open["conditions"]);
        assert_eq!(open["verdict"], "raise-with-conditions", "{table}");
        assert!(conditions(&open) > conditions(&measured), "{table}");
        let none = without(table).replacen("\n[outline]", &format!("\n{table} = \"none\"\n[outline]"), 1);
        let (_, none, said) = planned(&none);
        assert_eq!(said, "", "{table}");
        assert!(!none["conditions"].to_string().contains(tells), "{table}: {}", none["conditions"]);
    }
    let mirrors = |to: &str| {
        let lines = whole.lines().filter(|l| !l.starts_with("mirror_aft"));
        lines.map(|l| if l.starts_with("mirror_width") { to } else { l }).collect::<Vec<_>>().join("\n")
    };
    let between = |answer: &serde_json::Value| {
        let all = answer["checks"].as_array().unwrap();
        all.iter().find(|c| c["id"] == "between-columns").unwrap()["demand"].as_f64().unwrap()
    };
    let (_, open, said) = planned(&mirrors(""));
    assert!(said.contains("width over the mirrors"), "{said}");
    assert!(assumed(&open).iter().any(|what| what == "width over the mirrors"));
    let (_, none, said) = planned(&mirrors("mirror_width = \"none\""));
    assert_eq!(said, "");
    // Wider than measured, and narrower where there are none.
    assert!(between(&open) < between(&measured) && between(&measured) < between(&none));
}
