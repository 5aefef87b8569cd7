//! Templates pass their own check; the centre of gravity from scales agrees with check values.

#![expect(clippy::unwrap_used, reason = "helpers of tests stop at what they did not expect")]

use std::process::Command;

fn standfast(arguments: &[&str]) -> std::process::Output {
    Command::new(env!("CARGO_BIN_EXE_standfast")).args(arguments).output().unwrap()
}

#[test]
fn a_new_file_passes_its_check_and_is_never_overwritten() {
    for what in ["lift", "vehicle", "job", "as-placed", "limits"] {
        let folder = tempfile::tempdir().unwrap();
        let path = folder.path().join("new.toml");
        let file = path.to_str().unwrap();
        assert_eq!(standfast(&["new", what, file]).status.code(), Some(0));
        let output = standfast(&["check", file]);
        let said = String::from_utf8_lossy(&output.stderr).into_owned();
        // What nobody measured is questioned, and nothing else.
        let questions = said.lines().filter(|l| l.starts_with("warning") || l.starts_with("error")).count();
        let examples = what != "limits";
        assert_eq!(questions, usize::from(examples), "{said}");
        assert_eq!(said.contains("example values"), examples, "{said}");
        assert_eq!(output.status.code(), Some(0), "{what}");
        std::fs::write(&path, "mine").unwrap();
        let again = standfast(&["new", what, file]);
        assert_eq!(again.status.code(), Some(2));
        assert!(String::from_utf8_lossy(&again.stderr).contains("not overwritten"));
        assert_eq!(std::fs::read_to_string(&path).unwrap(), "mine");
        assert_eq!(std::fs::read_dir(folder.path()).unwrap().count(), 1, "nothing is left beside it");
    }
    assert_eq!(standfast(&["new", "lift", "/nowhere/at/all/lift.toml"]).status.code(), Some(2));
}

/// The three templates together make a plan, once their values are declared to be measured.
#[test]
fn new_files_can_be_planned() {
    let folder = tempfile::tempdir().unwrap();
    let path = |what: &str| folder.path().join(what).to_str().unwrap().to_owned();
    let (lift, vehicle, job, placed) = (path("lift"), path("vehicle"), path("job"), path("as-placed"));
    for (what, file) in [("lift", &lift), ("vehicle", &vehicle), ("job", &job), ("as-placed", &placed)] {
        assert_eq!(standfast(&["new", what, file]).status.code(), Some(0));
    }
    let ask = |more: &[&str]| {
        standfast(&[&["plan", "--lift", &lift, "--vehicle", &vehicle, "--job", &job], more].concat())
    };
    let plan = || ask(&["--as-placed", &placed]);
    let unmeasured = plan();
    assert_eq!(unmeasured.status.code(), Some(2));
    assert!(unmeasured.stdout.is_empty());
    assert!(String::from_utf8_lossy(&unmeasured.stderr).contains("no plan is made from example values"));
    for file in [&lift, &vehicle, &job, &placed] {
        assert!(String::from_utf8_lossy(&plan().stderr).contains(&format!("{file}: no plan is made")));
        let text = std::fs::read_to_string(file).unwrap();
        std::fs::write(file, text.replace("example_values = true", "")).unwrap();
        // Once its values are declared to be measured, nothing is left to say of it.
        let checked = standfast(&["check", file]);
        assert_eq!(String::from_utf8_lossy(&checked.stderr), "", "{file}");
        assert_eq!(checked.status.code(), Some(0), "{file}");
    }
    let output = ask(&[]);
    assert_eq!(String::from_utf8_lossy(&output.stderr), "");
    assert_eq!(output.status.code(), Some(0), "{}", String::from_utf8_lossy(&output.stdout));
    // The setup as placed is judged, whichever way.
    let output = plan();
    assert_eq!(String::from_utf8_lossy(&output.stderr), "");
    assert!(!output.stdout.is_empty() && output.status.code() != Some(2));
}

/// The answer of `weigh` in the reader's units; JSON stays SI.
#[test]
fn weighed_in_pounds_and_inches() {
    let readings = ["weigh", "--wheelbase", "102 in", "--front-axle", "1900 lb", "--rear-axle", "1500 lb"];
    let told = |more: &[&str]| {
        let output = standfast(&[&readings[..], more].concat());
        assert_eq!(output.status.code(), Some(0), "{}", String::from_utf8_lossy(&output.stderr));
        String::from_utf8(output.stdout).unwrap()
    };
    let us = told(&["--units", "us"]);
    // Derived: 3400 lb; 102 in x 1500 / 3400 = 45 in.
    assert!(
        us.contains("3400.0 lb") && us.contains("45.00 in") && !us.contains(" kg") && !us.contains(" m "),
        "{us}"
    );
    let metric = told(&[]);
    assert!(
        metric.contains("1542.2 kg") && metric.contains("1.1430 m") && !metric.contains(" lb"),
        "{metric}"
    );
    assert_eq!(told(&["--units", "us", "--json"]), told(&["--json"]));
}

/// The job's template shows every table of the form, every posture, and every common force.
#[test]
fn the_new_job_shows_what_a_job_may_hold() {
    let folder = tempfile::tempdir().unwrap();
    let file = folder.path().join("job.toml");
    assert_eq!(standfast(&["new", "job", file.to_str().unwrap()]).status.code(), Some(0));
    let text = std::fs::read_to_string(file).unwrap();
    let schema = standfast(&["schema", "job"]).stdout;
    let schema: serde_json::Value = serde_json::from_slice(&schema).unwrap();
    let defined = |name: &str| schema["$defs"][name].clone();
    let forms =
        [schema.clone()].into_iter().chain(["Task", "WorkForce", "Person", "Stands", "Step"].map(defined));
    for key in
        forms.flat_map(|form| form["properties"].as_object().unwrap().keys().cloned().collect::<Vec<_>>())
    {
        let shown = [format!("\n{key} = "), format!("[{key}]"), format!(".{key}]")];
        assert!(key == "teaches" || shown.iter().any(|s| text.contains(s.as_str())), "{key}");
    }
    let postures = ["standing under", "standing at a wheel", "seated at a wheel"];
    for word in postures.into_iter().chain(planner::forces::LIBRARY.iter().map(|f| f.name)) {
        assert!(text.contains(&format!("\"{word}\"")), "{word}");
    }
}

/// An option without its reading is not filled with the next option.
#[test]
fn a_reading_that_was_forgotten() {
    let output = standfast(&["weigh", "--wheelbase", "--front-axle", "800 kg"]);
    let said = String::from_utf8(output.stderr).unwrap();
    assert_eq!(output.status.code(), Some(2), "{said}");
    assert!(said.contains("--wheelbase") && said.contains("a reading is missing"), "{said}");
}

/// One figure of `weigh --json`: value and standard uncertainty, metres.
fn check(arguments: &[&str], figure: &str, value: (f64, f64), uncertainty: Option<(f64, f64)>) {
    let mut all = vec!["weigh", "--json"];
    all.extend(arguments);
    let output = standfast(&all);
    assert_eq!(output.status.code(), Some(0), "{}", String::from_utf8_lossy(&output.stderr));
    let answer: serde_json::Value = serde_json::from_slice(&output.stdout).unwrap();
    let near = |key: &str, (want, tolerance): (f64, f64)| {
        let found = answer[figure][key].as_f64().unwrap();
        assert!((found - want).abs() <= tolerance, "{arguments:?}: {figure} {key} {found} is not {want}");
    };
    near("value_m", value);
    if let Some(uncertainty) = uncertainty {
        near("uncertainty_m", uncertainty);
    }
}

#[test]
fn check_values() {
    // A1: Jazar, Vehicle Dynamics (2008), example 40; 2000 N and 1800 N a wheel, as masses.
    check(
        &["--wheelbase", "2.34 m", "--front-axle", "407.8864852 kg", "--rear-axle", "367.0978367 kg"],
        "aft",
        (1.1084, 1e-4),
        None,
    );
    // A15: corner weights, derived.
    let corners = [
        "--wheelbase",
        "2.60 m",
        "--front-left",
        "430 kg",
        "--front-right",
        "410 kg",
        "--rear-left",
        "340 kg",
        "--rear-right",
        "320 kg",
        "--track-front",
        "1.54 m",
        "--track-rear",
        "1.52 m",
    ];
    check(&corners, "aft", (1.144, 1e-9), None);
    check(&corners, "left", (0.0204, 1e-4), None);
    // H10 and H11: GUM propagation, derived.
    for (kg, mm, want) in [("1", "0.9", 0.748e-3), ("10", "5", 7.24e-3)] {
        check(
            &[
                "--wheelbase",
                &format!("2.600 m +- {mm} mm"),
                "--front-axle",
                &format!("840 kg +- {kg} kg"),
                "--rear-axle",
                &format!("660 kg +- {kg} kg"),
            ],
            "aft",
            (1.144, 1e-9),
            Some((want, 0.01e-3)),
        );
    }
    // A13: axle-lift round trip, derived; two readings together give the same height.
    check(
        &[
            "--wheelbase",
            "2.60 m",
            "--front-axle",
            "865.384615 kg",
            "--rear-axle",
            "634.615385 kg",
            "--wheel-radius",
            "0.31 m",
            "--lifted",
            "rear",
            "10 deg",
            "889.799 kg",
            "--lifted",
            "rear",
            "20 deg",
            "915.781 kg",
        ],
        "up",
        (0.550, 2e-4),
        None,
    );
    // H12: scales +-0.5 kg, angle u 0.1 degree, radius u 2 mm (as tolerances, times the root of 3), derived.
    check(
        &[
            "--wheelbase",
            "2.60 m +- 0 m",
            "--front-axle",
            "865.384615 kg +- 0.5 kg",
            "--rear-axle",
            "634.615385 kg +- 0.5 kg",
            "--wheel-radius",
            "310 mm +- 3.4641 mm",
            "--lifted",
            "rear",
            "15 deg +- 0.173205 deg",
            "902.4827 kg +- 0.5 kg",
        ],
        "up",
        (0.550, 2e-4),
        Some((3.7e-3, 0.1e-3)),
    );
}

#[test]
fn what_scales_cannot_say() {
    for (arguments, why) in [
        (
            vec!["--wheelbase", "2.6 m", "--front-axle", "800 kg"],
            "weigh: the centre of gravity needs the loads of all four wheels or of both axles",
        ),
        (vec!["--front-axle", "800 kg", "--rear-axle", "600 kg"], "weigh: `--wheelbase` is missing"),
        (
            vec![
                "--wheelbase",
                "2.6 m",
                "--front-axle",
                "800 kg",
                "--rear-axle",
                "600 kg",
                "--lifted",
                "rear",
                "10 deg",
                "820 kg",
            ],
            "weigh: the height needs `--wheel-radius`",
        ),
        (
            vec![
                "--wheelbase",
                "2.6 m",
                "--front-axle",
                "865 kg +- 0.5 kg",
                "--rear-axle",
                "635 kg +- 0.5 kg",
                "--wheel-radius",
                "0.31 m",
                "--lifted",
                "rear",
                "10 deg",
                "890 kg +- 0.5 kg",
                "--lifted",
                "rear",
                "12 deg",
                "990 kg +- 0.5 kg",
            ],
            "contradict each other",
        ),
        (
            vec!["--wheelbase", "-2.6 m", "--front-axle", "800 kg", "--rear-axle", "600 kg"],
            "error: --wheelbase is \"-2.6 m\", and must be more than nothing\n  --wheelbase \"-2.6 m\"\n",
        ),
        (vec![], "no reading is given"),
        (vec!["--json"], "no reading is given"),
        (
            vec![
                "--wheelbase",
                "2.6 m",
                "--front-axle",
                "800 kg",
                "--rear-axle",
                "600 kg",
                "--wheel-radius",
                "0.3 m",
                "--lifted",
                "rear",
                "-10 deg",
                "820 kg",
            ],
            "error: --lifted: angle is \"-10 deg\", and must be more than nothing\n  --lifted \"rear\" \"-10 deg\" \"820 kg\"\n",
        ),
        (
            vec!["--wheelbase", "2.6 m\"\nx = \"", "--front-axle", "800 kg", "--rear-axle", "600 kg"],
            "--wheelbase: ",
        ),
    ] {
        let output = standfast(&[vec!["weigh"], arguments].concat());
        let said = String::from_utf8(output.stderr).unwrap();
        assert_eq!(output.status.code(), Some(2), "{said}");
        assert!(said.contains(why) && said.contains("help: "), "{why}: {said}");
        // Nobody wrote a file, so no line of one is blamed.
        assert!(!said.contains("command line") && !said.contains("toml"), "{said}");
    }
}

/// A height outside any vehicle is refused, an odd one questioned; either names the reading and what would
/// be usual.
#[test]
fn heights_that_no_vehicle_has() {
    let weigh = |angle: &str, load: &str, more: &[&str]| {
        let level = ["--wheelbase", "2.6 m", "--front-axle", "865 kg", "--rear-axle", "635 kg"];
        let lifted = ["--wheel-radius", "0.31 m", "--lifted", "rear", angle, load];
        standfast(&[&["weigh"], &level[..], &lifted[..], more].concat())
    };
    const OUTSIDE: &str = "outside any road vehicle\n  --lifted \"rear\"";
    for (angle, load, code, word, whats) in [
        (
            "5 deg",
            "998 kg",
            2,
            "error",
            ["2.945 m above the ground", OUTSIDE, "a load of 867 kg to 909.9 kg"],
        ),
        (
            "10 deg",
            "1490 kg",
            2,
            "error",
            ["6.454 m above the ground", OUTSIDE, "a load of 869.1 kg to 955.5 kg"],
        ),
        ("30 deg", "690 kg", 2, "error", ["0.215 m below the ground", OUTSIDE, "which axle was lifted"]),
        ("10 deg", "851 kg", 0, "warning", ["0.172 m above the ground", "which is odd", "leave it if"]),
        ("10 deg", "980 kg", 0, "warning", ["1.44 m above the ground", "which is odd", "leave it if"]),
        ("10 deg", "2000 lb", 0, "", ["", "", ""]),
    ] {
        let output = weigh(angle, load, &[]);
        let said = String::from_utf8(output.stderr).unwrap();
        assert_eq!(output.status.code(), Some(code), "{said}");
        assert_eq!(output.stdout.is_empty(), code == 2, "nothing is answered that is refused");
        assert!(whats.iter().all(|what| said.contains(what)), "{angle} {load}: {said}");
        assert!(said.starts_with(word) && said.is_empty() == word.is_empty(), "{said}");
    }
    // Of two readings the wrong one is named.
    let output = weigh("10 deg", "890 kg", &["--lifted", "rear", "12 deg", "1290 kg"]);
    let said = String::from_utf8(output.stderr).unwrap();
    assert_eq!(output.status.code(), Some(2), "{said}");
    assert!(
        said.contains("--lifted \"rear\" \"12 deg\" \"1290 kg\"") && !said.contains("890 kg\"\n"),
        "{said}"
    );
    // The file of a weighing says the same at its line.
    let folder = tempfile::tempdir().unwrap();
    let path = folder.path().join("scales.toml");
    let text = "standfast = \"weigh/1\"\nwheelbase = \"2.6 m\"\nwheel_radius = \"0.31 m\"\n[scales]\n\
                front_axle = \"865 kg\"\nrear_axle = \"635 kg\"\n[[lifted]]\naxle = \"rear\"\n\
                angle = \"5 deg\"\nload = \"998 kg\"\n";
    std::fs::write(&path, text).unwrap();
    let output = standfast(&["weigh", path.to_str().unwrap()]);
    let said = String::from_utf8(output.stderr).unwrap();
    assert_eq!(output.status.code(), Some(2), "{said}");
    assert!(
        said.contains("scales.toml:10:8: load \"998 kg\" at \"5 deg\"") && said.contains("2.945 m"),
        "{said}"
    );
}
