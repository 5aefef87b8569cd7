//! What a person sees for bad input: every time exit status 2, the file, the line and the cure.

#![expect(clippy::unwrap_used, reason = "helpers of tests stop at what they did not expect")]

mod spoilt;

use spoilt::{PLAN, SHORT, folder, run};

/// Plans with one file changed: refused with the line named, and no drawing written.
fn check(name: &str, file: &str, edits: &[(&str, &str)]) {
    let folder = folder();
    let path = folder.path().join(file);
    let mut text = std::fs::read_to_string(&path).unwrap();
    for (from, to) in edits {
        assert!(text.contains(from), "{name}: {from:?} is not in {file}");
        text = text.replacen(from, to, 1);
    }
    std::fs::write(&path, text).unwrap();
    let output = run(folder.path(), &PLAN);
    let said = String::from_utf8(output.stderr).unwrap();
    assert_eq!(output.status.code(), Some(2), "{name}: {said}");
    assert_eq!(output.stdout, b"", "{name}");
    assert!(said.contains(&format!("error: {file}:")), "{name}: {said}");
    assert!(said.contains("  help: "), "{name}: {said}");
    assert!(!folder.path().join("plan.svg").exists(), "{name}");
    insta::with_settings!({ prepend_module_to_snapshot => false }, { insta::assert_snapshot!(name, said) });
}

#[test]
fn the_files_are_good_before_they_are_spoilt() {
    let output = run(folder().path(), &PLAN);
    assert_eq!(String::from_utf8_lossy(&output.stderr), "");
    assert_ne!(output.status.code(), Some(2));
}

#[test]
fn lifts() {
    check("rated_load_missing", "lift.toml", &[("rated = \"3200 kg\"\n", "")]);
    check("reach_min_above_max", "lift.toml", &[("reach_in = \"0.56 m\"", "reach_in = \"1.56 m\"")]);
    check("wrong_unit", "lift.toml", &[("inside = \"2.76 m\"", "inside = \"2.76 kg\"")]);
    check("rated_beyond_belief", "lift.toml", &[("rated = \"3200 kg\"", "rated = \"3200000 kg\"")]);
    check("too_many_digits", "lift.toml", &[("inside = \"2.76 m\"", "inside = \"276000000000 m\"")]);
    check("key_twice", "lift.toml", &[("rated = \"3200 kg\"", "rated = \"3200 kg\"\nrated = \"3200 kg\"")]);
    check("no_unit", "lift.toml", &[("inside = \"2.76 m\"", "inside = \"2.76\"")]);
    check("bare_number", "lift.toml", &[("inside = \"2.76 m\"", "inside = 2.76")]);
    check("bare_nan", "lift.toml", &[("inside = \"2.76 m\"", "inside = nan")]);
    check("unknown_key", "lift.toml", &[("headroom", "head_room")]);
    check("wrong_word", "lift.toml", &[("surface = \"rubber\"", "surface = \"ruber\"")]);
    check("not_toml", "lift.toml", &[("[columns]", "[columns\ninside = = 3")]);
    check("two_inch_marks", "lift.toml", &[("\"2.76 m\"", "\"9' 2\" \"")]);
    check("bands_leave_a_gap", "lift.toml", &[("\"over 127 in\"", "\"over 128 in\"")]);
    check("bands_overlap", "lift.toml", &[("\"under 105 in\"", "\"up to 105 in\"")]);
    check("locks_out_of_order", "lift.toml", &[("\"0.45 m\", \"0.55 m\"", "\"0.55 m\", \"0.45 m\"")]);
    check("only_one_front_arm", "lift.toml", &[("[arms.front]", "[arms.front_left]")]);
    check("a_vehicle_as_a_lift", "lift.toml", &[("lift/1", "vehicle/1")]);
    check("a_version_to_come", "lift.toml", &[("lift/1", "lift/9")]);
    check(
        "many_at_once",
        "lift.toml",
        &[
            ("rated = \"3200 kg\"", "ratted = \"3200 kg\""),
            ("headroom = \"4.10 m\"", "headroom = \"-4.10 m\""),
            ("front_face_ahead = \"0.15 m\"", "front_face_ahead = \"0.15 furlong\""),
            ("stages = 3", "stages = 2.5"),
            ("travel = \"55 mm\"", "travel = true"),
        ],
    );
}

#[test]
fn vehicles() {
    check("nan_in_text", "vehicle.toml", &[("\"712 kg by scale III e=1 kg\"", "\"nan kg\"")]);
    check("negative_mass", "vehicle.toml", &[("\"712 kg by scale III e=1 kg\"", "\"-712 kg\"")]);
    check(
        "crossed_polygon",
        "vehicle.toml",
        &[(
            "strip = { from = [\"0.48 m\", \"0.71 m\"], to = [\"0.66 m\", \"0.71 m\"], width = \"70 mm\" }",
            "corners = [[\"0.48 m\", \"0.68 m\"], [\"0.66 m\", \"0.74 m\"], [\"0.66 m\", \"0.68 m\"], [\"0.48 m\", \"0.74 m\"]]",
        )],
    );
    check("longer_than_the_bay", "vehicle.toml", &[("length = \"4.02 m\"", "length = \"8.02 m\"")]);
    check(
        "length_given_as_wheelbase",
        "vehicle.toml",
        &[(
            "wheelbase_left = \"2.520 m by tape II\"\nwheelbase_right = \"2.523 m by tape II\"",
            "wheelbase = \"4.02 m\"",
        )],
    );
    check("wheelbases_differ", "vehicle.toml", &[("\"2.523 m by tape II\"", "\"2.563 m by tape II\"")]);
    check("no_rear_area", "vehicle.toml", &[("end = \"rear\"", "end = \"front\"")]);
    check("weight_in_two_ways", "vehicle.toml", &[("front_axle", "total = \"1150 kg\"\nfront_axle")]);
    check("negative_tolerance", "vehicle.toml", &[("\"2.520 m by tape II\"", "\"2.520 m +- -3 mm\"")]);
    check("strip_without_width", "vehicle.toml", &[("width = \"70 mm\"", "width = \"0 mm\"")]);
    check(
        "strip_without_length",
        "vehicle.toml",
        &[("to = [\"0.66 m\", \"0.71 m\"]", "to = [\"0.48 m\", \"0.71 m\"]")],
    );
    check(
        "part_after_itself",
        "vehicle.toml",
        &[("[[parts]]\n", "[[parts]]\nafter = [\"rear axle beam\"]\n")],
    );
    check("axle_of_lead", "vehicle.toml", &[("\"58 kg +- 3 kg\"", "\"5.8 t\"")]);
    check("two_tolerances", "vehicle.toml", &[("\"2.520 m by tape II\"", "\"2.520 m +- 3 mm by tape II\"")]);
}

#[test]
fn jobs_and_setups() {
    check("no_such_door", "job.toml", &[("door = \"front door\"", "door = \"front dor\"")]);
    check(
        "nobody_is_as_tall",
        "job.toml",
        &[("[[doors]]", "[[people]]\nname = \"long one\"\nstature = \"9 ft\"\n\n[[doors]]")],
    );
    check("no_such_part", "job.toml", &[("[[doors]]", "[[steps]]\noff = \"rear axle\"\n\n[[doors]]")]);
    check(
        "too_much_comes_off",
        "job.toml",
        &[(
            "[[doors]]",
            "[[parts]]\nname = \"body\"\nmass = \"1200 kg\"\nat = [\"1.2 m\", \"0 m\", \"0.6 m\"]\n[[steps]]\noff = \"body\"\n\n[[doors]]",
        )],
    );
    const PARTS: &str = "[[parts]]\nname = \"bonnet\"\nmass = \"12 kg\"\nat = [\"-0.2 m\", \"0 m\", \"0.9 m\"]\nafter = [\"engine\"]\n\n\
        [[parts]]\nname = \"engine\"\nmass = \"150 kg\"\nat = [\"0 m\", \"0 m\", \"0.6 m\"]\nafter = [\"wing\"]\n\n\
        [[parts]]\nname = \"wing\"\nmass = \"5 kg\"\nat = [\"0 m\", \"0.7 m\", \"0.6 m\"]\n\n[[doors]]";
    let circle =
        PARTS.replacen("\"0.6 m\"]\n\n[[doors]]", "\"0.6 m\"]\nafter = [\"bonnet\"]\n\n[[doors]]", 1);
    check("parts_in_a_circle", "job.toml", &[("[[doors]]", &circle)]);
    let steps = |steps: &str| PARTS.replacen("[[doors]]", &format!("{steps}\n[[doors]]"), 1);
    let [off, on] = ["off", "on"].map(|way| move |name: &str| format!("[[steps]]\n{way} = \"{name}\"\n"));
    check("off_too_early", "job.toml", &[("[[doors]]", &steps(&[off("engine"), off("wing")].concat()))]);
    check(
        "on_too_late",
        "job.toml",
        &[("[[doors]]", &steps(&[off("wing"), off("engine"), on("wing"), on("engine")].concat()))],
    );
    check("off_twice", "job.toml", &[("[[doors]]", &steps(&[off("wing"), off("wing")].concat()))]);
    check("on_though_on", "job.toml", &[("[[doors]]", &format!("{}\n[[doors]]", on("rear axle beam")))]);
    let unknown = PARTS.replacen("after = [\"wing\"]", "after = [\"wings\"]", 1);
    check("unknown_part_first", "job.toml", &[("[[doors]]", &unknown)]);
    let itself = steps(&off("wing")).replacen(
        "\"0.6 m\"]\n\n[[steps]]",
        "\"0.6 m\"]\nafter = [\"wing\"]\n\n[[steps]]",
        1,
    );
    check("off_before_itself", "job.toml", &[("[[doors]]", &itself)]);
    let heavy = PARTS.replacen("\"150 kg\"", "\"1500 kg\"", 1);
    check("part_heavier_than_the_vehicle", "job.toml", &[("[[doors]]", &heavy)]);
    let task = "[[tasks]]\nname = \"hub off\"\nposture = \"standing at a wheel\"\nduring = [\"as raised\"]\n\
                [[tasks.forces]]\nname = \"pull\"\nsize = \"500 N\"\nat = [\"0 m\", \"0.8 m\", \"0.3 m\"]\n\
                direction = [0, 1, 0]\n\n[[doors]]";
    for (name, from, to) in [
        ("force_without_direction", "direction = [0, 1, 0]\n", ""),
        ("force_of_no_direction", "direction = [0, 1, 0]", "direction = [0, 0, 0]"),
        ("force_that_is_no_number", "direction = [0, 1, 0]", "direction = [0, nan, 0]"),
        ("force_without_size", "size = \"500 N\"\n", ""),
        ("force_of_nothing", "\"500 N\"", "\"0 N\""),
        ("force_below_nothing", "\"500 N\"", "\"-500 N\""),
        ("force_of_no_common_name", "name = \"pull\"\nsize = \"500 N\"", "common = \"whel nut\""),
        ("task_in_no_state", "\"as raised\"", "\"rear axle off\""),
        ("task_at_a_lock", "during = ", "lock = 40\nduring = "),
        ("task_in_no_posture", "\"standing at a wheel\"", "\"lying under\""),
    ] {
        check(name, "job.toml", &[("[[doors]]", &task.replacen(from, to, 1))]);
    }
    let person = "[[people]]\nname = \"one\"\npercentile = 50\nof = \"men\"\n\n[[doors]]";
    for (name, from, to) in [
        ("percentile_of_nobody", "percentile = 50", "percentile = 0"),
        ("percentile_of_all", "percentile = 50", "percentile = 100"),
        ("percentile_that_is_no_number", "percentile = 50", "percentile = nan"),
        ("percentile_of_whom", "of = \"men\"\n", ""),
        ("stature_and_percentile", "of = \"men\"", "of = \"men\"\nstature = \"1.80 m\""),
        ("stature_of_nothing", "percentile = 50\nof = \"men\"", "stature = \"0 m\""),
    ] {
        check(name, "job.toml", &[("[[doors]]", &person.replacen(from, to, 1))]);
    }
    let stands =
        "[stands]\ncount = 2\nrated = \"750 kg\"\nlowest = \"1.3 m\"\nhighest = \"2.0 m\"\n\n[[doors]]";
    check("stands_crossed", "job.toml", &[("[[doors]]", &stands.replacen("1.3 m", "2.3 m", 1))]);
    check(
        "pads_on_one_line",
        "placed.toml",
        &[
            ("at = [\"0.57 m\", \"-0.71 m\"]", "at = [\"1.00 m\", \"0.71 m\"]"),
            ("at = [\"1.95 m\", \"0.70 m\"]", "at = [\"1.95 m\", \"0.71 m\"]"),
            ("at = [\"1.93 m\", \"-0.71 m\"]", "at = [\"2.20 m\", \"0.71 m\"]"),
        ],
    );
    check(
        "pads_swapped",
        "placed.toml",
        &[
            ("at = [\"0.57 m\", \"-0.71 m\"]", "at = [\"0.57 m\", \"0.72 m\"]"),
            ("at = [\"1.95 m\", \"0.70 m\"]", "at = [\"0.45 m\", \"0.70 m\"]"),
        ],
    );
    check("three_pads", "placed.toml", &[("[pads.rear_right]\nat = [\"1.93 m\", \"-0.71 m\"]", "")]);
}

/// What a file says of a changed line: its first problem and the help for it.
fn said_of(file: &str, from: &str, to: &str) -> String {
    let folder = folder();
    let path = folder.path().join(file);
    let text = std::fs::read_to_string(&path).unwrap();
    assert!(text.contains(from), "{file}: {from:?}");
    std::fs::write(&path, text.replacen(from, to, 1)).unwrap();
    String::from_utf8(run(folder.path(), &["check", file]).stderr).unwrap()
}

#[test]
fn the_key_that_was_meant_is_named() {
    for (file, from, to, meant) in [
        ("lift.toml", "rated = ", "rated_load = ", "rated"),
        ("lift.toml", "rated = ", "capacity = ", "rated"),
        ("lift.toml", "rated = ", "Rated = ", "rated"),
        ("lift.toml", "headroom = ", "ceiling_height = ", "headroom"),
        ("vehicle.toml", "tyre_diameter = ", "tire_diameter = ", "tyre_diameter"),
        ("vehicle.toml", "sill_height = ", "sill = ", "sill_height"),
        ("vehicle.toml", "[[lift_areas]]", "[[lifting_points]]", "lift_areas"),
    ] {
        let said = said_of(file, from, to);
        assert!(said.contains(&format!("did you mean `{meant}`?")), "{to}: {said}");
    }
}

/// What is said of a tolerance is true of the value that it belongs to.
#[test]
fn tolerances_as_large_as_the_value() {
    let could = "within what it may be off it could be nothing, and it must be more";
    for (file, from, to, word, why) in [
        ("lift.toml", "\"3200 kg\"", "\"3200 kg +- 3200 kg\"", "error", could),
        ("lift.toml", "\"3200 kg\"", "\"3200 kg +- 4000 kg\"", "error", could),
        (
            "lift.toml",
            "\"3200 kg\"",
            "\"3200 kg +- 100 kg\"",
            "warning",
            "may be off is not used, the value alone is",
        ),
        ("vehicle.toml", "\"2.520 m by tape II\"", "\"2.520 m +- 3 m\"", "error", could),
        (
            "vehicle.toml",
            "\"90 mm +- 20 mm\"",
            "\"90 mm +- 95 mm\"",
            "error",
            "it may be off by more than it is",
        ),
    ] {
        let said = said_of(file, from, to);
        assert!(said.starts_with(&format!("{word}: {file}:")) && said.contains(why), "{to}: {said}");
    }
}

/// Odd but legal: said, and the plan is made all the same.
#[test]
fn odd_values_are_warnings() {
    for (name, file, from, to) in [
        ("reach_that_is_odd", "lift.toml", "reach_in = \"0.56 m\"", "reach_in = \"0.39 m\""),
        (
            "wheelbase_near_length",
            "vehicle.toml",
            "length = \"4.02 m\"\nfront_overhang = \"0.81 m\"",
            "length = \"3.14 m\"\nfront_overhang = \"0.31 m\"",
        ),
        ("no_bay", "lift.toml", "[bay]\nahead = \"3.40 m\"\nbehind = \"4.00 m\"\n", ""),
    ] {
        let folder = folder();
        let path = folder.path().join(file);
        let text = std::fs::read_to_string(&path).unwrap();
        assert!(text.contains(from), "{name}");
        std::fs::write(&path, text.replacen(from, to, 1)).unwrap();
        let output = run(folder.path(), &["check", file]);
        let said = String::from_utf8(output.stderr).unwrap();
        assert_eq!(output.status.code(), Some(0), "{said}");
        insta::with_settings!({ prepend_module_to_snapshot => false }, { insta::assert_snapshot!(name, said) });
    }
}

#[test]
fn a_check_that_the_plan_does_not_hold() {
    let folder = folder();
    for (id, near) in [
        ("pad-ratng", "pad-rating"),
        ("edge", "edge-distance"),
        ("pad-rating:front", "pad-rating:front-left"),
        ("mas", "mass"),
        ("mass@9", "mass"),
        ("chance:capacity", "--chance"),
    ] {
        let output = run(folder.path(), &[&SHORT[..], &["--show-working", id]].concat());
        let said = String::from_utf8(output.stderr).unwrap();
        assert_eq!(output.status.code(), Some(2), "{id}");
        assert!(said.contains(id) && said.contains(near), "{id}: {said}");
        assert!(said.lines().count() == 2 && said.len() < 320, "{said}");
    }
    let output = run(folder.path(), &[&SHORT[..], &["--show-working", "list"]].concat());
    let said = String::from_utf8(output.stdout).unwrap();
    assert!(said.contains("pad-rating:front-left") && said.contains("rock-push:rear-left"), "{said}");
    let chance = ["--chance", "1600", "--show-working", "chance:capacity"];
    let output = run(folder.path(), &[&SHORT[..], &chance[..]].concat());
    let said = String::from_utf8(output.stdout).unwrap();
    assert!(said.contains("failed / samples") && said.contains("closed form"), "{said}");
}

#[test]
fn standard_input_is_one_file() {
    let output = run(folder().path(), &["plan", "--lift", "-", "--vehicle", "-"]);
    let said = String::from_utf8(output.stderr).unwrap();
    assert_eq!(output.status.code(), Some(2));
    assert!(said.contains("standard input") && said.contains("help: "), "{said}");
}

/// What was stacked must be in the lift's kit, or the kit's file is wrong.
#[test]
fn adapters_that_are_not_in_the_kit() {
    let one = "adapters = [\"45 mm\"]";
    for (stacks, kit, said_of) in [
        ([one, one], "count = 4", None),
        (["adapters = [\"52 mm\"]", ""], "count = 4", Some("placed.toml:9:12: the kit")),
        ([one, "adapters = [\"45 mm\", \"45 mm\"]"], "count = 4", Some("placed.toml:13:12: the kit")),
        ([one, one], "count = 1", Some("2 adapters of one height, and the kit of North bay holds 1")),
    ] {
        let folder = folder();
        let edit = |file: &str, from: &str, to: &str| {
            let path = folder.path().join(file);
            let text = std::fs::read_to_string(&path).unwrap();
            assert!(text.contains(from), "{file}: {from}");
            std::fs::write(&path, text.replacen(from, to, 1)).unwrap();
        };
        for (pad, stack) in ["[pads.front_left]", "[pads.front_right]"].into_iter().zip(stacks) {
            edit("placed.toml", pad, &format!("{pad}\n{stack}"));
        }
        edit("lift.toml", "count = 4", kit);
        let output = run(folder.path(), &PLAN);
        let said = String::from_utf8(output.stderr).unwrap();
        match said_of {
            None => assert_eq!((output.status.code(), said.as_str()), (Some(0), "")),
            Some(what) => {
                assert_eq!(output.status.code(), Some(2), "{said}");
                assert!(said.starts_with("error: ") && said.contains(what), "{said}");
            }
        }
    }
}

/// Adapters decide how high a pad stands, also where nobody measured its height.
#[test]
fn one_tall_adapter_among_four_pads_is_not_level() {
    let folder = folder();
    let path = folder.path().join("placed.toml");
    let text = std::fs::read_to_string(&path).unwrap();
    let text = text.replacen("[pads.front_left]", "[pads.front_left]\nadapters = [\"90 mm\"]", 1);
    std::fs::write(&path, text).unwrap();
    let output = run(folder.path(), &PLAN);
    let said = String::from_utf8(output.stdout).unwrap();
    assert_eq!(output.status.code(), Some(1), "{said}");
    assert!(said.contains("188 mm") && said.contains("level"), "{said}");
}

/// What a terminal would obey instead of showing.
#[test]
fn signs_that_are_not_seen() {
    for (sign, code) in
        [("\\u001b[2A", "U+001B"), ("\\u202e", "U+202E"), ("\\n", "U+000A"), ("\\u200b", "U+200B")]
    {
        let folder = folder();
        let path = folder.path().join("vehicle.toml");
        let text = std::fs::read_to_string(&path).unwrap();
        std::fs::write(&path, text.replacen("name = \"", &format!("name = \"{sign}"), 1)).unwrap();
        let output = run(folder.path(), &PLAN);
        let said = String::from_utf8(output.stderr).unwrap();
        assert_eq!(output.status.code(), Some(2), "{said}");
        assert!(said.contains(code) && said.contains("vehicle.toml:"), "{said}");
    }
}

#[test]
fn a_drawing_goes_into_a_file() {
    let folder = folder();
    let output =
        run(folder.path(), &["plan", "--lift", "lift.toml", "--vehicle", "vehicle.toml", "--svg", "-"]);
    assert_eq!(output.status.code(), Some(2));
    assert!(!folder.path().join("-").exists());
}

/// A name that would fill a sheet is refused where it stands, in every kind of file.
#[test]
fn names_are_as_long_as_a_sheet_has_room_for() {
    let long = "W".repeat(61);
    for (file, line) in [
        ("lift.toml", "name = "),
        ("lift.toml", "mark = "),
        ("vehicle.toml", "name = "),
        ("vehicle.toml", "name = \"front sill seam"),
        ("vehicle.toml", "name = \"fuel and brake lines"),
        ("vehicle.toml", "name = \"front door"),
        ("vehicle.toml", "name = \"rear axle beam"),
        ("vehicle.toml", "name = \"rear beam mount"),
        ("job.toml", "name = "),
        ("job.toml", "door = "),
        ("job.toml", "off = "),
    ] {
        let text = std::fs::read_to_string(folder().path().join(file)).unwrap();
        let number = text.lines().position(|l| l.starts_with(line)).unwrap();
        let whole = text.lines().nth(number).unwrap();
        let key = whole.split(" = ").next().unwrap();
        let said = said_of(file, whole, &format!("{key} = \"{long}\""));
        assert!(said.contains(&format!("error: {file}:{}:", number + 1)), "{line}: {said}");
        assert!(said.contains(&format!("{key} is 61 signs long, and at most 60 fit")), "{line}: {said}");
        assert!(said.contains("help: write it shorter"), "{said}");
        let most = format!("{key} = \"{}\"", &long[1..]);
        assert!(!said_of(file, whole, &most).contains("signs long"), "{line}");
    }
    // A state is called after its part, and two words longer.
    let part = &long[1..];
    let job =
        std::fs::read_to_string(folder().path().join("job.toml")).unwrap().replace("front wheels", part);
    let said = said_of("job.toml", &std::fs::read_to_string(folder().path().join("job.toml")).unwrap(), &job);
    assert!(!said.contains("signs long") && job.contains(&format!("{part} off")), "{said}");
    let folder = folder();
    let contact = r#"{"contract":"1","contacts":[{"name":"NAME","at_m":[0,0]}]}"#.replace("NAME", &long);
    std::fs::write(folder.path().join("question.json"), contact).unwrap();
    let said = String::from_utf8(run(folder.path(), &["solve", "question.json"]).stderr).unwrap();
    assert!(said.contains("question.json:1:") && said.contains("name is 61 signs long"), "{said}");
}

/// Figures that a slip of the pen makes: said in a few words, and once.
#[test]
fn figures_beyond_everything() {
    for (file, from, to, why) in [
        ("lift.toml", "\"3200 kg\"", "\"1e300 kg\"", "an exponent is not read in a number"),
        ("lift.toml", "\"3200 kg\"", "\"3.2E3 kg\"", "an exponent is not read in a number"),
        ("lift.toml", "\"3200 kg\"", "\"99999999999999999999 kg\"", "is larger than anything in a workshop"),
        ("lift.toml", "tooth_steps = 60", "tooth_steps = 0", "tooth_steps is 0"),
        ("lift.toml", "tooth_steps = 60", "tooth_steps = 1.5", "tooth_steps is 1.5"),
        ("lift.toml", "tooth_steps = 60", "tooth_steps = 1e300", "tooth_steps is 1e300"),
        (
            "lift.toml",
            "swing_to = \"100 deg\"",
            "swing_to = \"1e99 deg\"",
            "an exponent is not read in a number",
        ),
        ("vehicle.toml", "\"0.81 m\"", "\"-0.81 m\"", "must be more than nothing"),
        ("vehicle.toml", "\"1.74 m\"", "\"0 m\"", "must be more than nothing"),
        ("vehicle.toml", "\"0.61 m\"", "\"99999999999999999999 m\"", "is larger than anything in a workshop"),
        ("vehicle.toml", "\"0.81 m\"", "\"0.81 m +- 1e400 m\"", "an exponent is not read in a number"),
    ] {
        let said = said_of(file, from, to);
        let problems =
            said.lines().filter(|l| l.starts_with("error: ") || l.starts_with("warning: ")).count();
        assert!(problems == 1 && said.contains(why), "{to}: {said}");
        assert!(!said.contains("inf ") && said.len() < 400, "{to}: {said}");
    }
}

/// Nothing is read that could wait for ever: a named pipe, a device.
#[cfg(unix)]
#[test]
fn what_is_no_file_is_not_read() {
    let folder = folder();
    let pipe = folder.path().join("pipe.toml");
    assert!(std::process::Command::new("mkfifo").arg(&pipe).status().unwrap().success());
    for (arguments, name) in [
        (&["check", "pipe.toml"][..], "pipe.toml"),
        (&["plan", "--lift", "pipe.toml", "--vehicle", "vehicle.toml"], "pipe.toml"),
        (&["check", "/dev/zero"], "/dev/zero"),
    ] {
        let output = run(folder.path(), arguments);
        let said = String::from_utf8(output.stderr).unwrap();
        assert_eq!(output.status.code(), Some(2), "{arguments:?}: {said}");
        assert!(said.contains(&format!("error: {name}: it is a pipe or a device, not a file")), "{said}");
    }
}

/// A slip deep inside is told once, with how often it was met again.
#[test]
fn brackets_that_do_not_end_are_told_once() {
    let folder = folder();
    let deep = format!("standfast = \"lift/1\"\nname = {}\n", "[".repeat(60));
    std::fs::write(folder.path().join("deep.toml"), deep).unwrap();
    let output = run(folder.path(), &["check", "deep.toml"]);
    let said = String::from_utf8(output.stderr).unwrap();
    assert_eq!(output.status.code(), Some(2), "{said}");
    let mut told: Vec<&str> =
        said.lines().filter_map(|l| l.split_once("this is not TOML: ")).map(|l| l.1).collect();
    assert!(!told.is_empty() && said.contains("more of the kind"), "{said}");
    let all = told.len();
    told.sort_unstable();
    told.dedup();
    assert_eq!(told.len(), all, "{said}");
    assert!(all <= 4, "{said}");
}

/// What cannot be is refused, though it is no slip of ten times.
#[test]
fn figures_that_nobody_ever_saw() {
    const PERSON: &str = "[[people]]\nname = \"one\"\nstature = \"AS TALL\"\n\n[[doors]]";
    for (file, from, to, tells) in [
        (
            "job.toml",
            "[[doors]]",
            PERSON.replace("AS TALL", "50 cm"),
            "stature is \"50 cm\", which cannot be",
        ),
        (
            "job.toml",
            "[[doors]]",
            PERSON.replace("AS TALL", "2.45 m"),
            "stature is \"2.45 m\", which cannot be",
        ),
        (
            "job.toml",
            "name = ",
            "opened_height = \"9 m\"\nname = ".into(),
            "opened_height is \"9 m\", which cannot be",
        ),
        (
            "vehicle.toml",
            "front_axle = \"712 kg by scale III e=1 kg\"",
            "front_axle = \"14 kg\"".into(),
            "axle is \"14 kg\", which cannot be",
        ),
    ] {
        let said = said_of(file, from, &to);
        assert!(said.contains(tells), "{to}: {said}");
    }
    // Tall and odd, and still a person.
    let said = said_of("job.toml", "[[doors]]", &PERSON.replace("AS TALL", "2.2 m"));
    assert!(said.contains("stature is \"2.2 m\", which is legal but odd"), "{said}");
    // Who works at what is told by the name.
    let twice =
        PERSON.replace("[[doors]]", "").replace("AS TALL", "1.7 m") + &PERSON.replace("AS TALL", "1.8 m");
    let said = said_of("job.toml", "[[doors]]", &twice);
    assert!(said.contains("two people are called \"one\""), "{said}");
    let quick = [
        "plan",
        "--lift",
        "lift.toml",
        "--wheelbase",
        "2.6 m",
        "--body",
        "hatchback",
        "--drive",
        "front",
        "--lift-points",
        "0.47m,2.19m,0.71m",
        "--mass",
    ];
    for (mass, code) in [("14kg", 2), ("240 kg", 2), ("30 t", 2), ("1300 kg", 1)] {
        let output = run(folder().path(), &[&quick[..], &[mass]].concat());
        let said = String::from_utf8(output.stderr).unwrap();
        assert_eq!(output.status.code(), Some(code), "{mass}: {said}");
        assert_eq!(said.contains("which cannot be"), code == 2, "{mass}: {said}");
    }
}
