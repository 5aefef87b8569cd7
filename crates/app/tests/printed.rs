//! What is printed goes into files, and into none that it should not.

#![allow(clippy::unwrap_used, clippy::panic, reason = "a test ends where it fails")]

mod shop;
mod spoilt;

use shop::{Shop, demo};
use spoilt::{SHORT, folder, run};

#[test]
fn every_edition_is_written() {
    let folder = folder();
    let options =
        ["--pdf", "bay.pdf", "--pdf-working", "working.pdf", "--pdf-class", "class.pdf", "--paper", "letter"];
    let output = run(folder.path(), &[&SHORT[..], &options].concat());
    assert_eq!(output.status.code(), Some(0), "{}", String::from_utf8_lossy(&output.stderr));
    let read = |name: &str| std::fs::read(folder.path().join(name)).unwrap();
    let all = ["bay.pdf", "working.pdf", "class.pdf"].map(read);
    assert!(all.iter().all(|bytes| bytes.starts_with(b"%PDF-") && bytes.ends_with(b"%%EOF")));
    // Again, over the old ones: the same bytes.
    run(folder.path(), &[&SHORT[..], &options].concat());
    assert_eq!(["bay.pdf", "working.pdf", "class.pdf"].map(read), all);
}

#[test]
fn a_pdf_never_replaces_what_is_none() {
    let folder = folder();
    std::fs::write(folder.path().join("notes.txt"), "my notes").unwrap();
    for (options, why) in [
        (vec!["--pdf", "notes.txt"], "is no PDF"),
        (vec!["--pdf-working", "lift.toml"], "one of the files of the plan"),
        (vec!["--pdf-class", "-"], "goes into a file"),
        (vec!["--pdf", "one.pdf", "--pdf-working", "one.pdf"], "the same file"),
        (vec!["--pdf", "nowhere/one.pdf"], "there is no such folder"),
    ] {
        let output = run(folder.path(), &[&SHORT[..], &options].concat());
        let said = String::from_utf8(output.stderr).unwrap();
        assert_eq!(output.status.code(), Some(2), "{options:?}: {said}");
        assert!(said.contains(why) && said.contains("help: "), "{options:?}: {said}");
        assert_eq!(output.stdout, b"");
    }
    assert_eq!(std::fs::read_to_string(folder.path().join("notes.txt")).unwrap(), "my notes");
}

/// Where one file cannot be written none is: no half of an answer lies about that says that it failed.
#[test]
fn all_are_written_or_none() {
    let folder = folder();
    std::fs::write(folder.path().join("old.pdf"), "%PDF-1.7 the old one").unwrap();
    for first in ["new.pdf", "old.pdf"] {
        let options = ["--svg", "one.svg", "--pdf", first, "--pdf-working", "nowhere/working.pdf"];
        let output = run(folder.path(), &[&SHORT[..], &options].concat());
        let said = String::from_utf8(output.stderr).unwrap();
        assert_eq!(output.status.code(), Some(2), "{said}");
        assert!(said.contains("there is no such folder"), "{said}");
    }
    let kept = std::fs::read_to_string(folder.path().join("old.pdf")).unwrap();
    assert_eq!(kept, "%PDF-1.7 the old one");
    let all = std::fs::read_dir(folder.path()).unwrap().map(|file| file.unwrap().file_name());
    let left: Vec<_> = all.filter(|name| name != "old.pdf").map(|name| name.display().to_string()).collect();
    assert!(left.iter().all(|name| name.ends_with(".toml")), "{left:?}");
}

/// The report of an examination and a raise, from the book; nothing of what is not there.
#[test]
fn papers_of_the_book_are_printed() {
    let shop = Shop::ready();
    shop.fine("t-ash", &["raise", "start", "--lift", "north-bay", "--vehicle", "hatchback"]);
    shop.confirm_until("t-ash", "shaken");
    for (what, file) in [("--examination", "examination.pdf"), ("--raise", "raise.pdf")] {
        shop.look(&["book", "print", what, "1", "--pdf", file]);
        let bytes = std::fs::read(shop.folder.path().join(file)).unwrap();
        assert!(bytes.starts_with(b"%PDF-"), "{file}");
        let none = shop.run("", &["book", "print", what, "99", "--pdf", "none.pdf"]);
        assert_eq!(none.code, 2);
        assert!(none.err.contains("99"), "{}", none.err);
    }
    assert!(!shop.folder.path().join("none.pdf").exists());
    // A sheet that was printed beside the book is found in it by its mark, and printed again to the byte.
    let (lift, vehicle) = (demo("lifts/north-bay.toml"), demo("vehicles/hatchback.toml"));
    let files = ["--lift", lift.to_str().unwrap(), "--vehicle", vehicle.to_str().unwrap()];
    shop.look(&[&["plan"][..], &files, &["--pdf", "beside.pdf"]].concat());
    let told = shop.look(&["book", "day"]);
    assert!(told.contains("Raise 1 begun"), "{told}");
    let exported = shop.look(&["book", "export", "out"]);
    assert!(!exported.is_empty());
    let events = std::fs::read_to_string(shop.folder.path().join("out/events.jsonl")).unwrap();
    let begun: serde_json::Value =
        events.lines().map(|l| serde_json::from_str(l).unwrap()).find(is_begun).unwrap();
    let mark: String = begun["fact"]["plan"]["answer"].as_str().unwrap().chars().take(12).collect();
    shop.look(&["book", "print", "--plan", &mark.to_uppercase(), "--pdf", "again.pdf"]);
    let read = |name: &str| std::fs::read(shop.folder.path().join(name)).unwrap();
    assert!(read("beside.pdf") == read("again.pdf"), "the same plan, the same bytes");
    let none = shop.run("", &["book", "print", "--plan", "000000000000", "--pdf", "none.pdf"]);
    assert_eq!(none.code, 2);
    let toml = demo("lifts/north-bay.toml");
    let kept = std::fs::read(&toml).unwrap();
    let over = shop.run("", &["book", "print", "--raise", "1", "--pdf", toml.to_str().unwrap()]);
    assert_eq!(over.code, 2);
    assert_eq!(std::fs::read(&toml).unwrap(), kept);
}

/// What paper cannot show is told on the way: of a raise as of a plan.
#[test]
fn signs_that_paper_cannot_show_are_told() {
    let shop = Shop::ready();
    shop.fine("t-ash", &["raise", "start", "--lift", "north-bay", "--vehicle", "hatchback"]);
    let print = |file: &str| shop.run("", &["book", "print", "--raise", "1", "--pdf", file]);
    assert_eq!(print("before.pdf").err, "");
    shop.lead(&["raise", "abandon", "\u{505c}\u{4e0b}"]);
    let said = print("after.pdf");
    assert_eq!(said.code, 0, "{}", said.err);
    assert!(
        said.err.contains("caution: signs that the sheet cannot show are printed as boxes in"),
        "{}",
        said.err
    );
    assert!(said.err.contains("(U+505C U+4E0B)"), "{}", said.err);
}

/// What is confirmed at the lift, and what the book says was confirmed, of a vehicle that stands backwards.
#[test]
fn backwards_the_arm_is_named_before_the_vehicles_corner() {
    const PAD: &str = "rear right arm's pad (under the vehicle's front left)";
    let shop = Shop::ready();
    let job = demo("jobs/rear-axle-off.toml");
    shop.lead(&["enter", "job", "axle", job.to_str().unwrap()]);
    shop.fine("t-ash", &["raise", "start", "--lift", "mill-bay", "--vehicle", "pickup", "--job", "axle"]);
    shop.confirm_until("t-ash", "pad-1-rechecked");
    let asked = shop.look(&["raise", "show"]);
    assert!(asked.split_whitespace().collect::<Vec<_>>().join(" ").contains(PAD), "{asked}");
    shop.fine("t-ash", &["raise", "confirm", "pad-1-rechecked"]);
    let day = shop.look(&["book", "day"]);
    assert!(day.split_whitespace().collect::<Vec<_>>().join(" ").contains(PAD), "{day}");
}

fn is_begun(event: &serde_json::Value) -> bool {
    event["fact"]["kind"] == "raise-begun"
}

/// A kept plan's sheet is printed while something may be raised by it; its working later too, with what has changed.
#[test]
fn a_plan_that_is_printed_later_says_what_has_changed() {
    let shop = Shop::ready();
    shop.fine("t-ash", &["raise", "keep", "--lift", "mill-bay", "--vehicle", "hatchback"]);
    shop.look(&["book", "export", "out"]);
    let events = std::fs::read_to_string(shop.folder.path().join("out/events.jsonl")).unwrap();
    let kept: serde_json::Value = serde_json::from_str(events.lines().last().unwrap()).unwrap();
    let mark: String = kept["fact"]["plan"]["answer"].as_str().unwrap().chars().take(12).collect();
    let print = |file: &str, more: &[&str]| {
        shop.run("", &[&["book", "print", "--plan", &mark, "--pdf", file], more].concat())
    };
    let printed = |file: &str, more: &[&str]| {
        let said = print(file, more);
        assert_eq!(said.code, 0, "{}", said.err);
        (std::fs::read(shop.folder.path().join(file)).unwrap(), said.err)
    };
    let (sheet, said) = printed("first.pdf", &[]);
    assert_eq!(said, "");
    let (first, said) = printed("working.pdf", &["--working"]);
    assert!(said.is_empty() && first != sheet, "{said}");
    shop.fine(
        "t-ash",
        &[
            "enter",
            "measurement",
            "hatchback",
            "--what",
            "weight.front_axle",
            "--value",
            "900 kg",
            "--how",
            "scale",
        ],
    );
    shop.fine("t-ash", &["enter", "tag", "mill-bay", "oil"]);
    let refused = print("again.pdf", &[]);
    assert_eq!(refused.code, 1, "{}", refused.err);
    assert!(refused.err.contains("it is out of service: oil"), "{}", refused.err);
    assert!(!shop.folder.path().join("again.pdf").exists());
    let (again, said) = printed("again.pdf", &["--working"]);
    assert!(first == again, "the same plan, the same bytes");
    for told in [
        "CAUTION: Since this plan was made",
        "what was measured of the vehicle.",
        "CAUTION: mill-bay must not be used now: it is out of service: oil",
    ] {
        assert!(said.contains(told), "{told}: {said}");
    }
    assert!(!said.contains("file"), "{said}");
}

/// At the stand the load of the plan is told, on the screen as on the sheet, and the record keeps what was to be set.
#[test]
fn a_stands_load_is_told_and_kept() {
    let shop = Shop::ready();
    let job = demo("jobs/front-end-off-on-stands.toml");
    shop.lead(&["enter", "job", "stands", job.to_str().unwrap()]);
    let coupe = demo("vehicles/sports-coupe.toml");
    shop.lead(&["enter", "vehicle", "sports-coupe", coupe.to_str().unwrap()]);
    let start = ["raise", "start", "--lift", "north-bay", "--vehicle", "sports-coupe", "--job", "stands"];
    shop.fine("t-ash", &start);
    shop.confirm_until("t-ash", "stands-set");
    let one_line = |text: &str| text.split_whitespace().collect::<Vec<_>>().join(" ");
    let asked = one_line(&shop.look(&["raise", "show"]));
    let (_, load) = asked.split_once("Stand set, ").unwrap();
    let load = load.split(':').next().unwrap().to_owned();
    assert!(load.contains(" kg (") && load.ends_with("by scale"), "{load}");
    assert!(!asked.contains("until it bears"), "{asked}");
    shop.fine("t-ash", &["raise", "confirm", "stands-set", "--words", "scale: 251 kg"]);
    shop.look(&["book", "print", "--raise", "1", "--pdf", "raise.pdf"]);
    let text = std::process::Command::new("pdftotext")
        .args(["-layout", "raise.pdf", "-"])
        .current_dir(shop.folder.path())
        .output();
    // Without the tool the words are looked at where it is.
    let Ok(text) = text else { return };
    let text = one_line(&String::from_utf8(text.stdout).unwrap());
    for told in [
        "What was to be set",
        &load,
        "scale: 251 kg",
        "Low sports coupe (sports-coupe)",
        "Front wheel",
        "reach 5",
        "Now under way",
    ] {
        assert!(text.contains(told), "{told}: {text}");
    }
    assert!(!text.contains("Raise 1: A stand") && !text.contains("Stands under way"), "{text}");
}

/// A raise as it was done says where the vehicle was found to stand, in the units that are asked for.
#[test]
fn a_record_says_where_the_vehicle_stood() {
    let shop = Shop::ready();
    shop.fine("t-ash", &["raise", "start", "--lift", "mill-bay", "--vehicle", "hatchback"]);
    let found = ["--spot", "450 mm", "--offset", "-8 mm", "--yaw", "0.5 deg"];
    shop.fine("t-ash", &[&["raise", "measured"][..], &found].concat());
    let printed = |units: &[&str]| {
        shop.look(&[&["book", "print", "--raise", "1", "--pdf", "raise.pdf"][..], units].concat());
        let text = std::process::Command::new("pdftotext")
            .args(["-layout", "raise.pdf", "-"])
            .current_dir(shop.folder.path())
            .output();
        // Without the tool the words are looked at where it is.
        let text = text.ok()?;
        std::fs::remove_file(shop.folder.path().join("raise.pdf")).unwrap();
        Some(String::from_utf8(text.stdout).unwrap().split_whitespace().collect::<Vec<_>>().join(" "))
    };
    let Some(text) = printed(&[]) else { return };
    let stood = "Measured: front wheel 450 mm ahead of the column line; driven in forwards, front axle 8 mm right of the \
                 bay's centre line, turned 0.5° to the left.";
    assert!(text.contains(stood), "{text}");
    let text = printed(&["--units", "us"]).unwrap();
    assert!(
        text.contains("front wheel 17 3/4 in ahead of the column line") && !text.contains(" mm"),
        "{text}"
    );
}

/// How a raise ended, and a place that was refused with how it was found to stand; on a shop's own paper in its own units.
#[test]
fn a_record_says_how_it_ended() {
    let shop = Shop::ready();
    shop.lead(&["enter", "units", "us"]);
    shop.fine("t-ash", &["raise", "start", "--lift", "mill-bay", "--vehicle", "hatchback"]);
    let found = ["raise", "measured", "--spot", "1450 mm", "--offset", "0 mm", "--yaw", "0 deg"];
    shop.refused("t-ash", &found, "The check before spotted fails");
    shop.lead(&["raise", "abandon", "driven off again"]);
    let folder = shop.folder.path();
    shop.look(&["book", "print", "--raise", "1", "--pdf", "raise.pdf"]);
    shop.look(&["book", "print", "--examination", "1", "--pdf", "examination.pdf"]);
    let text = |file: &str| {
        let text =
            std::process::Command::new("pdftotext").args(["-layout", file, "-"]).current_dir(folder).output();
        // Without the tool the words are looked at where it is.
        Some(String::from_utf8(text.ok()?.stdout).unwrap().split_whitespace().collect::<Vec<_>>().join(" "))
    };
    let pages = |file: &str| String::from_utf8_lossy(&std::fs::read(folder.join(file)).unwrap()).into_owned();
    for file in ["raise.pdf", "examination.pdf"] {
        assert!(
            pages(file).contains("612 792") || pages(file).contains("612.0 792.0"),
            "{file} is on letter"
        );
    }
    let (Some(raise), Some(examination)) = (text("raise.pdf"), text("examination.pdf")) else { return };
    for told in [
        "Now Ended out of its course,",
        "(“driven off again”): not raised, no part off",
        "Measured: front wheel 57",
    ] {
        assert!(raise.contains(told), "{told}: {raise}");
    }
    assert!(examination.contains(" lb") && !examination.contains(" kg"), "{examination}");
}
