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
    command.current_dir(folder).args(arguments);
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

const DAY: &str = "vehicle,job,from,duration\nhatchback,brakes.toml,8:00,90 min\nbattery-hatch,,8:15,1:30\nlong-van,,9:00,2 h\nrecovery-truck,,9:00,1 h\n";

#[test]
fn the_day_is_planned_and_planned_anew() {
    let folder = tempfile::tempdir().unwrap();
    fs::copy(demo("jobs/brakes.toml"), folder.path().join("brakes.toml")).unwrap();
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
        ("nobody,,8:00,1:00", "there is no vehicle \"nobody\""),
        ("hatchback,nowhere.toml,8:00,1:00", "nowhere.toml"),
        (",,8:00,1:00", "`vehicle` is empty"),
    ] {
        fs::write(folder.path().join("day.csv"), format!("{DAY}{row}\n")).unwrap();
        let (code, planned, err) = day(&[]);
        assert!(code == 2 && err.contains(words) && err.contains("help: "), "{row}: {err}");
        assert!(
            err.contains("day.csv: row 6: skipped.\n") && planned == out,
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

/// For a workshop that has none yet.
#[test]
fn lifts_may_be_chosen_with_none_at_hand() {
    let folder = tempfile::tempdir().unwrap();
    fs::write(folder.path().join("fleet.csv"), table(20)).unwrap();
    let lifts = demo("lifts").display().to_string();
    let (code, out, err) = standfast(
        folder.path(),
        &["survey", "--vehicles", "fleet.csv", "--buy", &lifts, "--book", "none.book"],
    );
    assert_eq!(code, 0, "{err}");
    assert!(out.contains("at hand      0 of 20"), "{out}");
}
