//! Lifts to buy, the day's bays and the picture of coverage, as they are asked for at the command line.

#![cfg(unix)]
#![allow(clippy::unwrap_used, clippy::panic, reason = "a test ends where it fails")]

mod fleets;
mod shop;

use std::fs;
use std::process::Command;

use fleets::{demo, ran, table};

fn standfast(folder: &std::path::Path, arguments: &[&str]) -> (i32, String, String) {
    let mut command = Command::new(env!("CARGO_BIN_EXE_standfast"));
    command.env_remove("STANDFAST_BOOK").current_dir(folder).args(arguments);
    ran(command)
}

/// What is told of coverage and of choosing is what the rows say.
#[test]
fn what_to_buy_follows_from_the_rows() {
    let folder = tempfile::tempdir().unwrap();
    fs::write(folder.path().join("fleet.csv"), table(80)).unwrap();
    let [north, mill, long] =
        ["north", "mill", "long"].map(|n| demo(&format!("lifts/{n}-bay.toml")).display().to_string());
    let (code, out, err) = standfast(
        folder.path(),
        &[
            "survey",
            "--lifts",
            &long,
            "--buy",
            &north,
            &mill,
            "--vehicles",
            "fleet.csv",
            "--csv",
            "a.csv",
            "--svg",
            "a.svg",
        ],
    );
    assert_eq!(code, 0, "{err}");
    let csv = fs::read_to_string(folder.path().join("a.csv")).unwrap();
    let mut taken = std::collections::BTreeMap::<String, Vec<bool>>::new();
    for line in csv.lines().skip(1) {
        let cells: Vec<&str> = line.split(',').collect();
        taken.entry(cells[0].into()).or_default().push(cells[2] != "do-not-raise");
    }
    let count = |lifts: &[usize]| taken.values().filter(|by| lifts.iter().any(|l| by[*l])).count();
    let (at_hand, with_north, with_mill) = (count(&[0]), count(&[0, 1]), count(&[0, 2]));
    assert!(with_mill > at_hand, "so that buying is worth it: {at_hand} {with_mill}");
    assert!(out.contains(&format!("at hand      {at_hand} of 80")), "{out}");
    let best = if with_mill >= with_north { ("mill-bay", with_mill) } else { ("north-bay", with_north) };
    assert!(
        out.contains(&format!("best one     {}: {} more, then {} of 80", best.0, best.1 - at_hand, best.1)),
        "{out}"
    );
    let svg = fs::read_to_string(folder.path().join("a.svg")).unwrap();
    for (name, lift) in [("long-bay", 0), ("north-bay", 1), ("mill-bay", 2)] {
        assert!(
            svg.contains(&format!(">{name}<")) && svg.contains(&format!(">Takes {} of 80 (", count(&[lift]))),
            "{name}"
        );
    }
}

/// What is not named comes from the book, and says the same as the files that are in it.
#[test]
fn lifts_and_vehicles_may_be_those_of_the_book() {
    let shop = shop::Shop::ready();
    let of_book = shop.look(&["survey", "--csv", "book.csv"]);
    assert!(of_book.contains("north-bay") && of_book.contains("mill-bay"), "{of_book}");
    shop.look(&["book", "export", "out"]);
    let of_files =
        shop.look(&["survey", "--lifts", "out/lifts", "--vehicles", "out/vehicles", "--csv", "files.csv"]);
    assert_eq!(of_book, of_files);
    let [book, files] =
        ["book.csv", "files.csv"].map(|f| fs::read_to_string(shop.folder.path().join(f)).unwrap());
    assert!(book == files && book.lines().count() > 2, "{book}");
}

/// A book that is named is asked for its limits, whatever else is given, and must be there.
#[test]
fn a_named_book_is_asked() {
    let shop = shop::Shop::ready();
    let folder = shop.folder.path();
    let own = "standfast = \"limits/1\"\nedge_distance = { value = \"500 mm\" }\n";
    fs::write(folder.join("limits.toml"), own).unwrap();
    shop.lead(&["enter", "limits", "limits.toml"]);
    let [lifts, vehicles] = ["lifts", "vehicles"].map(|f| demo(f).display().to_string());
    let files = ["survey", "--lifts", &lifts, "--vehicles", &vehicles, "--csv", "a.csv"];
    let table = |more: &[&str], place: Option<&str>| {
        let mut command = Command::new(env!("CARGO_BIN_EXE_standfast"));
        command.env_remove("STANDFAST_BOOK").current_dir(folder).args(files).args(more);
        place.map(|place| command.env("STANDFAST_BOOK", place));
        let (code, _, err) = ran(command);
        assert_eq!(code, 0, "{err}");
        fs::read_to_string(folder.join("a.csv")).unwrap()
    };
    let wanted = table(&["--limits", "limits.toml"], None);
    assert_ne!(table(&[], None), wanted, "a book that lies there unnamed is not asked");
    assert_eq!(table(&["--book", "standfast.book"], None), wanted);
    assert_eq!(table(&[], Some("standfast.book")), wanted);
    for mistyped in [&[][..], &["--buy", &lifts]] {
        let all = [&files[..], &["--book", "standfats.book"], mistyped].concat();
        let (code, _, err) = standfast(folder, &all);
        assert!(code == 2 && err.contains("standfats.book"), "{err}");
    }
    let (code, _, err) =
        standfast(folder, &["survey", "--vehicles", &vehicles, "--buy", &lifts, "--book", "standfats.book"]);
    assert!(code == 2 && err.contains("standfats.book") && !err.contains("no lift"), "{err}");
}

const DAY: &str = "vehicle,job,from,duration\nhatchback,brakes.toml,8:00,90 min\nbattery-hatch,,8:15,1:30\nlong-van,,9:00,2 h\nrecovery-truck,,9:00,1 h\n";

#[test]
fn the_day_is_planned_and_planned_anew() {
    let folder = tempfile::tempdir().unwrap();
    fs::copy(demo("jobs/brakes.toml"), folder.path().join("brakes.toml")).unwrap();
    assert_eq!(standfast(folder.path(), &["new", "job", "example.toml"]).0, 0);
    fs::write(folder.path().join("day.csv"), DAY).unwrap();
    let [lifts, vehicles] = ["lifts", "vehicles"].map(|f| demo(f).display().to_string());
    let day = |more: &[&str]| {
        let all = ["survey", "--lifts", &lifts, "--vehicles", &vehicles, "--today", "day.csv"];
        standfast(folder.path(), &[&all, more].concat())
    };
    let (code, out, err) = day(&[]);
    assert_eq!(code, 0, "{err}");
    assert!(
        out.contains("4 vehicles today, 3 bays.") && out.contains("Nothing is better (proven)."),
        "{out}"
    );
    assert!(out.contains("No bay takes recovery-truck: long-bay: "), "{out}");
    let line =
        |out: &str, vehicle: &str| out.lines().find(|l| l.contains(vehicle)).unwrap_or_default().to_owned();
    assert!(line(&out, "battery-hatch").contains("mill-bay"), "{out}");
    // All day without it, nothing stands in it; from a time on, what began before stays.
    let (code, without, err) = day(&["--without", "mill-bay"]);
    assert!(code == 0 && !without.contains("  mill-bay  "), "{without}{err}");
    let (code, later, err) = day(&["--without", "mill-bay@8:05"]);
    assert_eq!(code, 0, "{err}");
    assert_eq!(line(&later, "  hatchback"), line(&out, "  hatchback"), "{later}");
    assert!(!line(&later, "battery-hatch").contains("mill-bay"), "{later}");
    // Each bay from its own time on.
    fs::write(folder.path().join("day.csv"), format!("{DAY}sports-coupe,,10:00,1 h\n")).unwrap();
    let (_, with_all, _) = day(&[]);
    let (code, two, err) = day(&["--without", "mill-bay@8:05", "north-bay@12:00", "long-bay@12:00"]);
    assert!(
        code == 0
            && two.contains(
                "without mill-bay from 08:05 on, north-bay from 12:00 on"
                    .replace(", n", ", without n")
                    .as_str()
            ),
        "{two}{err}"
    );
    for vehicle in ["battery-hatch", "sports-coupe", "long-van"] {
        let is_taken = |day: &str| !line(day, vehicle).contains("No bay");
        assert!(is_taken(&two) == is_taken(&with_all), "{vehicle}: {two}\n{with_all}");
    }
    fs::write(folder.path().join("day.csv"), DAY).unwrap();
    let (code, _, err) = day(&["--without", "mill"]);
    assert!(code == 2 && err.contains("there is no bay \"mill\"") && err.contains("mill-bay"), "{err}");
    for (row, words) in [
        ("hatchback,,25:00,90 min", "`from`: \"25:00\" is no time of day"),
        ("hatchback,,8:00,soon", "`duration`: \"soon\""),
        ("hatchback,,8:00,\"1,5 h\"", "\"1,5 h\": a comma is not read in a number"),
        ("hatchback,example.toml,8:00,1:00", "no answer is made from example values"),
        ("nobody,,8:00,1:00", "there is no vehicle \"nobody\""),
        ("hatchback,nowhere.toml,8:00,1:00", "nowhere.toml"),
        (",,8:00,1:00", "`vehicle` is empty"),
    ] {
        fs::write(folder.path().join("day.csv"), format!("{DAY}{row}\n")).unwrap();
        let (code, planned, err) = day(&[]);
        assert!(code == 2 && err.contains(words) && err.contains("help: "), "{row}: {err}");
        let counted = format!("{out}\nSkipped, as told on standard error: 1.\n");
        assert!(
            err.contains("day.csv: row 6: skipped.\n") && planned == counted,
            "the others are planned: {planned}"
        );
    }
    fs::write(folder.path().join("day.csv"), "vehicle,when\n").unwrap();
    let (code, _, err) = day(&[]);
    assert!(code == 2 && err.contains("no column `from`") && err.contains("no such column: when"), "{err}");
}

/// It cannot stand in two bays at once, however it comes in.
#[test]
fn a_vehicle_that_comes_twice_waits_for_itself() {
    let folder = tempfile::tempdir().unwrap();
    let [lifts, vehicles] = ["lifts", "vehicles"].map(|f| demo(f).display().to_string());
    fs::write(
        folder.path().join("day.csv"),
        "vehicle,job,from,duration\nhatchback,,8:00,90 min\nhatchback,,8:30,1 h\n",
    )
    .unwrap();
    let (code, out, err) = standfast(
        folder.path(),
        &["survey", "--lifts", &lifts, "--vehicles", &vehicles, "--today", "day.csv"],
    );
    assert_eq!(code, 0, "{err}");
    let times: Vec<&str> = out.lines().filter(|l| l.contains("hatchback")).map(|l| &l[..12]).collect();
    assert_eq!(times, ["08:00  09:30", "09:30  10:30"], "{out}");
}

/// Of two that bear one name, the order of the folders decides which is meant: it is told.
#[test]
fn a_name_that_two_vehicles_bear_is_told() {
    let folder = tempfile::tempdir().unwrap();
    for (at, file) in [("a", "hatchback"), ("b", "long-van")] {
        fs::create_dir(folder.path().join(at)).unwrap();
        let to = folder.path().join(at).join("hatchback.toml");
        fs::copy(demo(&format!("vehicles/{file}.toml")), to).unwrap();
    }
    fs::write(folder.path().join("day.csv"), "vehicle,job,from,duration\nhatchback,,22:00,3 h\n").unwrap();
    let lifts = demo("lifts").display().to_string();
    let (code, out, err) = standfast(
        folder.path(),
        &["survey", "--lifts", &lifts, "--vehicles", "a", "b", "--today", "day.csv"],
    );
    assert_eq!(code, 2, "{out}");
    assert!(
        err.contains("b/hatchback.toml: skipped.\n") && err.contains("stands in a/hatchback.toml"),
        "{err}"
    );
    assert!(out.starts_with("1 vehicle today, 3 bays."), "{out}");
    // Its end is on the next day: the columns keep in line.
    let table: Vec<&str> = out.lines().filter(|l| l.contains("hatchback") || l.starts_with("from")).collect();
    assert_eq!(table.len(), 2, "{out}");
    assert!(table[1].starts_with("22:00  01:00 +1 d  "), "{out}");
    assert_eq!(table[0].find("vehicle"), table[1].find("hatchback"), "{out}");
}

/// More than can be proven: it is said so, and nothing is called least.
#[test]
fn a_crowded_day_promises_no_more_than_was_found() {
    let folder = tempfile::tempdir().unwrap();
    fs::write(folder.path().join("fleet.csv"), table(40)).unwrap();
    let row = |k: u32| format!("v{k:05},,8:{:02},{} min\n", k * 7 % 60, 15 + k * 37 % 120);
    let rows: String = (0..40).map(row).collect();
    fs::write(folder.path().join("day.csv"), format!("vehicle,job,from,duration\n{rows}")).unwrap();
    let lifts = demo("lifts").display().to_string();
    let (code, out, err) = standfast(
        folder.path(),
        &["survey", "--lifts", &lifts, "--vehicles", "fleet.csv", "--today", "day.csv"],
    );
    assert_eq!(code, 0, "{err}");
    assert!(out.contains("wait as little as was found, ") && out.contains("It was not proven"), "{out}");
    assert!(!out.contains("as can be"), "{out}");
}

/// A bay that may not be used takes nobody, and why is told.
#[test]
fn the_day_leaves_out_lifts_that_may_not_be_used() {
    let shop = shop::Shop::ready();
    fs::write(shop.folder.path().join("day.csv"), "vehicle,job,from,duration\nhatchback,,8:00,90 min\n")
        .unwrap();
    let out = shop.look(&["survey", "--today", "day.csv"]);
    assert!(!out.contains("may not be used"), "{out}");
    let lifts = ["north-bay", "mill-bay"];
    let bay =
        lifts.into_iter().find(|bay| out.contains(&format!("  {bay}  "))).unwrap_or_else(|| panic!("{out}"));
    shop.lead(&["enter", "tag", bay, "frayed cable"]);
    let out = shop.look(&["survey", "--today", "day.csv"]);
    assert!(
        out.contains(&format!(
            "{bay} may not be used, and takes nobody: it is out of service: frayed cable.\n"
        )),
        "{out}"
    );
    assert!(!out.contains(&format!("  {bay}  ")), "{out}");
}

/// What stands in a bay, and what a raise left of a vehicle, is told; as the job finds it, it may be raised.
#[test]
fn the_day_says_what_raises_do_and_left() {
    let shop = shop::Shop::ready();
    let job = |name: &str, steps: &[&str]| {
        let part =
            "[[parts]]\nname = \"crate\"\nmass = \"150 kg +- 0 kg\"\nat = [\"1.2 m\", \"0 m\", \"0.6 m\"]\n";
        let steps: String = steps.iter().map(|way| format!("[[steps]]\n{way} = \"crate\"\n")).collect();
        let text = format!("standfast = \"job/1\"\nname = \"{name}\"\n{part}{steps}");
        fs::write(shop.folder.path().join(name), text).unwrap();
    };
    job("load.toml", &["on"]);
    job("unload.toml", &["on", "off"]);
    let day = |job: &str| {
        let text = format!("vehicle,job,from,duration\nhatchback,{job},8:00,90 min\n");
        fs::write(shop.folder.path().join("day.csv"), text).unwrap();
        shop.look(&["survey", "--today", "day.csv"])
    };
    let start = ["raise", "start", "--lift", "mill-bay", "--vehicle", "hatchback", "--job", "load.toml"];
    shop.fine("t-ash", &start);
    let out = day("");
    let told = "Raise 1 has not ended: hatchback is in mill-bay. The day is planned as if both were free";
    assert!(out.contains(told) && out.contains("--without mill-bay"), "{out}");
    shop.to_the_end("t-ash");
    let out = day("");
    assert!(
        out.contains("\nRaise 1 left hatchback with crate on: ") && !out.contains("has not ended"),
        "{out}"
    );
    assert!(out.contains("No bay takes hatchback: ") && out.contains("what a raise left"), "{out}");
    let out = day("unload.toml");
    assert!(!out.contains("No bay takes") && !out.contains("Raise 1"), "{out}");
    shop.fine("t-ash", &["enter", "whole", "hatchback", "the crate is out"]);
    let out = day("");
    assert!(!out.contains("No bay takes") && !out.contains("Raise 1"), "{out}");
}

/// For a workshop that has none yet.
#[test]
fn lifts_may_be_chosen_with_none_at_hand() {
    let folder = tempfile::tempdir().unwrap();
    fs::write(folder.path().join("fleet.csv"), table(20)).unwrap();
    let lifts = demo("lifts").display().to_string();
    let (code, out, err) = standfast(folder.path(), &["survey", "--vehicles", "fleet.csv", "--buy", &lifts]);
    assert_eq!(code, 0, "{err}");
    assert!(out.contains("at hand      0 of 20"), "{out}");
}
