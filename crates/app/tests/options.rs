//! Figures given as options: a problem names the option, as nobody wrote a line.

#![expect(clippy::unwrap_used, reason = "helpers of tests stop at what they did not expect")]

mod spoilt;

use spoilt::{folder, run};

/// What is said of a quick entry with one option changed.
fn said_of(option: &str, value: &str) -> (Option<i32>, String) {
    let mut arguments = vec!["plan", "--lift", "lift.toml"];
    for (name, usual) in [
        ("--wheelbase", "2.65 m"),
        ("--mass", "1420 kg +- 10 kg"),
        ("--body", "sedan"),
        ("--drive", "front"),
        ("--lift-points", "0.47 m, 2.19 m, 0.71 m"),
    ] {
        arguments.extend([name, if name == option { value } else { usual }]);
    }
    let output = run(folder().path(), &arguments);
    (output.status.code(), String::from_utf8(output.stderr).unwrap())
}

#[test]
fn a_quick_entry_is_good_before_it_is_spoilt() {
    let (code, said) = said_of("", "");
    assert!(code != Some(2) && said.is_empty(), "{said}");
}

#[test]
fn a_problem_names_its_option() {
    for (option, value, message, cure) in [
        ("--wheelbase", "2.65", "--wheelbase: \"2.65\" has no unit", "\"2.67 m\""),
        ("--wheelbase", "-2.65 m", "--wheelbase is \"-2.65 m\", and must be more than nothing", "\"2.67 m\""),
        ("--wheelbase", "2.65 mm", "--wheelbase is \"2.65 mm\", which cannot be", "2270 mm to 4280 mm"),
        (
            "--mass",
            "1420 m",
            "--mass: \"1420 m\": \"m\" is a unit of length, and this is a mass",
            "\"1420 kg\"",
        ),
        (
            "--mass",
            "1420 kg +- 1500 kg",
            "--mass is \"1420 kg +- 1500 kg\": within what it may be off",
            "less than",
        ),
        (
            "--lift-points",
            "0.47 m, 2.19 m",
            "--lift-points has 2 figures, and needs 3 or 4",
            "0.47m,2.19m,0.71m",
        ),
        (
            "--lift-points",
            "2.19 m, 0.47 m, 0.71 m",
            "--lift-points: the rear pair must be behind",
            "front pair, rear pair",
        ),
        (
            "--lift-points",
            "0.47 m, 9.19 m, 0.71 m",
            "both pairs must be -1.1 m to 4 m behind",
            "front pair, rear pair",
        ),
        (
            "--lift-points",
            "18 in, 86 in, 40 in",
            "40 in left of centre lies outside the body",
            "front pair, rear pair",
        ),
    ] {
        let (code, said) = said_of(option, value);
        assert_eq!(code, Some(2), "{value}: {said}");
        let [head, shown, help] = said.lines().collect::<Vec<_>>()[..3] else { continue };
        assert!(head.starts_with("error: --") && head.contains(message), "{value}: {said}");
        assert_eq!(shown, format!("  {option} {value:?}"), "{said}");
        assert!(help.starts_with("  help: ") && help.contains(cure), "{value}: {said}");
        assert!(!said.contains("command line"), "{said}");
    }
}

/// Of two lifts of one name the file tells which is meant.
#[test]
fn bays_of_one_name_are_told_apart() {
    let folder = folder();
    let demo =
        |name: &str| std::fs::read_to_string(spoilt::root().join(format!("demo/{name}.toml"))).unwrap();
    let path = |file: &str| folder.path().join(file);
    std::fs::write(path("truck.toml"), demo("vehicles/recovery-truck")).unwrap();
    let strong = demo("lifts/long-bay").replace("rated = \"5500 kg\"", "rated = \"9000 kg\"");
    let strong = strong.replace("rated = \"1800 kg\"", "rated = \"2250 kg\"");
    let plan = || {
        let output = run(folder.path(), &["plan", "--lift", "lift.toml", "--vehicle", "truck.toml"]);
        assert_eq!(output.status.code(), Some(1), "{}", String::from_utf8_lossy(&output.stderr));
        let answer = String::from_utf8(output.stdout).unwrap();
        let told = answer.split("It may be raised in: ").nth(1).unwrap().to_owned();
        told.split_whitespace().collect::<Vec<_>>().join(" ")
    };
    std::fs::write(path("other.toml"), &strong).unwrap();
    let told = plan();
    assert!(told.starts_with("Long bay") && !told.starts_with("Long bay (other"), "{told}");
    std::fs::write(path("other.toml"), strong.replace("name = \"Long bay\"", "name = \"North bay\""))
        .unwrap();
    let told = plan();
    assert!(told.starts_with("North bay (other.toml)"), "{told}");
    // Values that nobody measured are no bay.
    let examples = strong.replace("name = \"Long bay\"", "example_values = true\nname = \"Long bay\"");
    std::fs::write(path("other.toml"), examples).unwrap();
    let output = run(folder.path(), &["plan", "--lift", "lift.toml", "--vehicle", "truck.toml"]);
    assert!(!String::from_utf8(output.stdout).unwrap().contains("It may be raised in"));
}
