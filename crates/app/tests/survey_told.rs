//! What a survey says beside its answers: by whose limits, what is odd, what was left out of two of one name.

#![cfg(unix)]
#![allow(clippy::unwrap_used, reason = "a test ends where it fails")]

mod fleets;
mod shop;

use std::fs;
use std::path::Path;
use std::process::Command;

use fleets::{demo, ran, survey};

const LIMITS: &str = "standfast = \"limits/1\"
door_way = { value = \"10 deg\", source = \"R. Holt: thin people\" }
stool_height = { value = \"450 mm\" }
";
const LOOSER: &str = "\nBY LOOSER OWN LIMITS, which may pass what the defaults would refuse: door to get out 10° (default 30°).\nOther own limits: height of the work stool 450 mm (default 400 mm).\n";

fn lines(folder: &Path, name: &str) -> Vec<serde_json::Value> {
    let text = fs::read_to_string(folder.join(name)).unwrap();
    text.lines().map(|line| serde_json::from_str(line).unwrap()).collect()
}

#[test]
fn a_yes_by_looser_limits_says_so() {
    let folder = tempfile::tempdir().unwrap();
    fs::write(folder.path().join("limits.toml"), LIMITS).unwrap();
    let pickup = demo("vehicles/pickup.toml").display().to_string();
    let files = ["--jsonl", "a.jsonl", "--csv", "a.csv", "--svg", "a.svg"];
    let ask = |more: &[&str]| {
        let (code, out, err) = ran(survey(folder.path(), &pickup, more));
        assert_eq!(code, 0, "{err}");
        out
    };
    let out = ask(&files);
    assert!(!out.contains("OWN LIMITS"), "{out}");
    let by_default = lines(folder.path(), "a.jsonl");
    assert!(by_default.iter().all(|row| row["looser_limits"].as_array().unwrap().is_empty()));
    let own = [&files[..], &["--limits", "limits.toml"]].concat();
    let out = ask(&own);
    assert!(out.split_once(": 3 pairs.").unwrap().1.starts_with(LOOSER), "{out}");
    let by_own = lines(folder.path(), "a.jsonl");
    let turned = |(then, now): (&serde_json::Value, &serde_json::Value)| {
        assert_eq!(now["looser_limits"], serde_json::json!(["door_way"]), "{now}");
        then["verdict"] == "do-not-raise" && now["verdict"] == "raise-with-conditions"
    };
    assert!(by_default.iter().zip(&by_own).any(turned), "so that the limit is what passes it");
    let csv = fs::read_to_string(folder.path().join("a.csv")).unwrap();
    let mut table = csv::Reader::from_reader(csv.as_bytes());
    let column = table.headers().unwrap().iter().position(|name| name == "looser_limits").unwrap();
    assert!(table.records().all(|row| &row.unwrap()[column] == "door_way"), "{csv}");
    let svg = fs::read_to_string(folder.path().join("a.svg")).unwrap();
    assert!(
        svg.contains(">BY LOOSER OWN LIMITS, which may pass") && svg.contains(">Other own limits"),
        "{svg}"
    );
    // What is refused by them is no yes.
    let truck = demo("vehicles/recovery-truck.toml").display().to_string();
    ran(survey(folder.path(), &truck, &own));
    let rows = lines(folder.path(), "a.jsonl");
    let refused: Vec<_> = rows.iter().filter(|row| row["verdict"] == "do-not-raise").collect();
    assert!(!refused.is_empty() && refused.iter().all(|row| row["looser_limits"] == serde_json::json!([])));
    let lifts = demo("lifts").display().to_string();
    let mut buying = Command::new(env!("CARGO_BIN_EXE_standfast"));
    buying.env_remove("STANDFAST_BOOK").current_dir(folder.path()).args(["survey", "--vehicles", &pickup]);
    buying.args(["--buy", &lifts, "--limits", "limits.toml"]);
    let (code, out, err) = ran(buying);
    assert_eq!(code, 0, "{err}");
    let choosing = out.split_once("Choosing among").unwrap().1;
    assert!(choosing.split_once(" for 1 vehicle.").unwrap().1.starts_with(LOOSER), "{out}");
    fs::write(folder.path().join("day.csv"), "vehicle,job,from,duration\npickup,,8:00,1 h\n").unwrap();
    let day = ask(&["--today", "day.csv", "--limits", "limits.toml"]);
    assert!(day.split_once(" today, 3 bays.").unwrap().1.starts_with(LOOSER), "{day}");
    assert!(day.contains("under conditions, by looser own limits\n"), "{day}");
}

/// A book's own limits hold, and are told, where nobody asks for them.
#[test]
fn looser_limits_of_the_book_are_told() {
    let shop = shop::Shop::ready();
    fs::write(shop.folder.path().join("limits.toml"), LIMITS).unwrap();
    shop.lead(&["enter", "limits", "limits.toml"]);
    let out = shop.look(&["survey"]);
    assert!(out.contains(LOOSER), "{out}");
}

/// What is legal but odd is told with its place, counted, and asked as it stands; of parts as well.
#[test]
fn what_is_odd_is_told_and_asked() {
    let folder = tempfile::tempdir().unwrap();
    let head = "id,wheelbase (mm),mass (kg),length (mm),width (mm),height (mm),class,drive,front_share\n";
    let good = "good,2700,1500,4300,1750,1450,sedan,front,58 %\n";
    let odd = "odd,2700,300,4300,1750,1450,sedan,front,58 %\n";
    fs::write(folder.path().join("fleet.csv"), format!("{head}{good}{odd}")).unwrap();
    let hatchback = fs::read_to_string(demo("vehicles/hatchback.toml")).unwrap();
    let light = hatchback.replace("712 kg by", "180 kg by").replace("438 kg by", "120 kg by");
    assert_eq!(light.matches("180 kg by").count() + light.matches("120 kg by").count(), 2);
    fs::write(folder.path().join("light.toml"), light).unwrap();
    let measured = "vehicle,class,drive,wheelbase (mm by tape II),weight.front_axle (kg by scale III e=1 kg),weight.rear_axle (kg by scale III e=1 kg),front.aft (mm),front.left (mm),rear.aft (mm),rear.left (mm),keep_outs\nm,hatchback,front,2520,180,120,570,710,1930,710,none\n";
    fs::write(folder.path().join("measured.csv"), measured).unwrap();
    let more = ["light.toml", "measured.csv", "--parts", "parts", "--csv", "a.csv"];
    for _ in 0..2 {
        let (code, out, err) = ran(survey(folder.path(), "fleet.csv", &more));
        assert_eq!(code, 0, "{err}");
        assert!(out.starts_with("4 vehicles on 3 lifts"), "{out}");
        let counted = "\nLegal but odd, as told on standard error, and asked as they stand: 3.\n";
        assert!(out.ends_with(counted), "{out}");
        let told = |place: &str| {
            let after = err.split_once(&format!("{place}: legal but odd.\n")).unwrap_or_default().1;
            after.lines().next().unwrap_or_default().to_owned()
        };
        assert!(
            told("fleet.csv: row 3").starts_with("warning: `mass` is \"300 kg\", which is legal but odd"),
            "{err}"
        );
        assert!(told("light.toml").contains("180 kg"), "{err}");
        assert!(told("measured.csv: row 2").contains("weight.front_axle"), "{err}");
        assert!(!err.contains("row 1: legal") && !err.contains("good"), "{err}");
    }
    // Nothing else of it differs.
    fs::write(folder.path().join("good.csv"), format!("{head}{good}")).unwrap();
    let (_, out, err) = ran(survey(folder.path(), "good.csv", &["--csv", "b.csv"]));
    assert!(!out.contains("odd") && err.is_empty(), "{out}{err}");
    let [a, b] = ["a.csv", "b.csv"].map(|name| fs::read_to_string(folder.path().join(name)).unwrap());
    assert!(a.starts_with(&b), "{a}\n{b}");
    // The day tells it once, however often the vehicle comes.
    fs::write(folder.path().join("day.csv"), "vehicle,job,from,duration\nodd,,8:00,1 h\nodd,,12:00,1 h\n")
        .unwrap();
    let (code, out, err) = ran(survey(folder.path(), "fleet.csv", &["--today", "day.csv"]));
    assert!(code == 0 && err.matches("fleet.csv: row 3: legal but odd.").count() == 1, "{err}");
    assert!(out.ends_with("and asked as they stand: 1.\n"), "{out}");
}

/// Tyres stand out beyond the hubs: no vehicle is as long as its wheelbase and a little.
#[test]
fn a_length_leaves_room_for_tyres() {
    let folder = tempfile::tempdir().unwrap();
    let head = "id,wheelbase (mm),mass (kg),length (mm)\n";
    fs::write(
        folder.path().join("fleet.csv"),
        format!("{head}a,2700,1500,2710\nb,2700,1500,3149\nc,2700,1500,3151\n"),
    )
    .unwrap();
    let (code, out, err) = ran(survey(folder.path(), "fleet.csv", &[]));
    assert!(code == 2 && out.starts_with("1 vehicle on 3 lifts"), "{out}{err}");
    for row in [2, 3] {
        assert!(
            err.contains(&format!(
                "fleet.csv: row {row}: skipped.\nerror: `wheelbase` does not fit into `length`\n"
            )),
            "{err}"
        );
    }
    assert!(err.contains("450 mm longer"), "{err}");
}

/// The first of a name that can be used bears it, wherever it stands: one that is skipped takes nothing from the others.
#[test]
fn a_skipped_row_keeps_its_name_from_nobody() {
    let folder = tempfile::tempdir().unwrap();
    let write = |name: &str, text: &str| {
        let path = folder.path().join(name);
        fs::create_dir_all(path.parent().unwrap()).unwrap();
        fs::write(path, text).unwrap();
    };
    let head = "id,wheelbase (mm),mass (kg)\n";
    write("fleet.csv", &format!("{head}x,2700,99999\nx,2700,1500\nx,2700,1600\ny,2500,1400\n"));
    write("good.csv", &format!("{head}x,2700,1500\ny,2500,1400\n"));
    let (code, _, err) = ran(survey(folder.path(), "good.csv", &["--csv", "good-out.csv"]));
    assert_eq!(code, 0, "{err}");
    let read = |name: &str| fs::read_to_string(folder.path().join(name)).unwrap();
    for more in [&[][..], &["--parts", "parts"], &["--parts", "parts"]] {
        let (code, out, err) = ran(survey(folder.path(), "fleet.csv", &[&["--csv", "a.csv"], more].concat()));
        assert!(code == 2 && out.starts_with("2 vehicles on 3 lifts"), "{out}{err}");
        assert!(err.contains("fleet.csv: row 2: skipped.\n") && err.contains("cannot be"), "{err}");
        assert!(
            err.contains("fleet.csv: row 4: skipped.\nerror: vehicle x stands in fleet.csv: row 3 already"),
            "{err}"
        );
        assert!(!err.contains("row 3: skipped"), "{err}");
        assert_eq!(read("a.csv"), read("good-out.csv"));
    }
    // The day asks the same one.
    write("day.csv", "vehicle,job,from,duration\nx,,8:00,1 h\n");
    let (code, out, err) = ran(survey(folder.path(), "fleet.csv", &["--today", "day.csv"]));
    assert!(code == 2 && out.starts_with("1 vehicle today"), "{out}{err}");
    assert!(
        err.contains("fleet.csv: row 2: skipped.\nerror: `mass`") && err.contains("row 4: skipped"),
        "{err}"
    );
    // Files of one name in two folders, lifts likewise.
    let hatchback = fs::read_to_string(demo("vehicles/hatchback.toml")).unwrap();
    write("one/hatchback.toml", &hatchback.replace("712 kg by", "99999 kg by"));
    write("two/hatchback.toml", &hatchback);
    let mill = fs::read_to_string(demo("lifts/mill-bay.toml")).unwrap();
    write(
        "one/lifts/mill-bay.toml",
        &mill.replace("standfast = \"lift/1\"", "standfast = \"lift/1\"\nno = 1"),
    );
    let mut asked = Command::new(env!("CARGO_BIN_EXE_standfast"));
    asked.env_remove("STANDFAST_BOOK").current_dir(folder.path()).args([
        "survey",
        "--vehicles",
        "one",
        "two",
    ]);
    asked.args(["--lifts", "one/lifts"]).arg(demo("lifts/mill-bay.toml"));
    let (code, out, err) = ran(asked);
    assert!(code == 2 && out.starts_with("1 vehicle on 1 lift,"), "{out}{err}");
    assert_eq!(err.matches(": skipped.\n").count(), 2, "{err}");
}

/// Vehicles that the job does not go with are some of those asked, and a reason is told once, whatever the states.
#[test]
fn shares_and_reasons_are_of_all_that_was_asked() {
    let folder = tempfile::tempdir().unwrap();
    let [lift, vehicles, job] = ["lifts/mill-bay.toml", "vehicles", "jobs/loaded-van-exhaust.toml"]
        .map(|f| demo(f).display().to_string());
    let mut asked = Command::new(env!("CARGO_BIN_EXE_standfast"));
    asked.env_remove("STANDFAST_BOOK").current_dir(folder.path()).args(["survey", "--lifts", &lift]);
    asked.args(["--vehicles", &vehicles, "--job", &job, "--jsonl", "a.jsonl"]);
    let (code, out, err) = ran(asked);
    assert_eq!(code, 0, "{err}");
    assert!(out.contains("1 vehicle more, then 1 of 6 (17 %) have a lift"), "{out}");
    let rows = lines(folder.path(), "a.jsonl");
    let van = rows.iter().find(|row| row["vehicle"] == "long-van").unwrap();
    assert_eq!(van["reasons"], serde_json::json!(["working-force:1:1"]));
}
