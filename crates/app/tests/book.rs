//! The book as a whole at the command line: in and out, kept safe, told as text, on both kinds of store.

#![cfg(unix)]
#![allow(clippy::unwrap_used, clippy::panic, reason = "a test ends where it fails")]

mod shop;

use shop::{ALL_RIGHT, Shop, demo, said};

#[test]
fn what_is_exported_can_be_imported() {
    let shop = Shop::ready();
    shop.fine("t-ash", &["raise", "start", "--lift", "north-bay", "--vehicle", "hatchback"]);
    shop.confirm_until("t-ash", "shaken");
    shop.lead(&["book", "import", demo("jobs/brakes.toml").to_str().unwrap()]);
    let limits = "standfast = \"limits/1\"\nroof_air = { value = \"150 mm\" }\n";
    std::fs::write(shop.folder.path().join("limits.toml"), limits).unwrap();
    shop.lead(&["enter", "limits", "limits.toml"]);
    let told = shop.look(&["book", "export", "out"]);
    assert!(told.contains("2 lifts, 2 vehicles, 1 jobs, 4 people"), "{told}");
    let folder = shop.folder.path().join("out");
    let events = std::fs::read_to_string(folder.join("events.jsonl")).unwrap();
    let mut kinds = vec![];
    for (number, line) in (1..).zip(events.lines()) {
        let event: serde_json::Value = serde_json::from_str(line).unwrap();
        assert_eq!(event["event"], number);
        kinds.push(event["fact"]["kind"].as_str().unwrap().to_owned());
    }
    assert_eq!(kinds.iter().filter(|k| *k == "point-confirmed").count(), 4);
    let table = std::fs::read_to_string(folder.join("events.csv")).unwrap();
    assert_eq!(csv::Reader::from_reader(table.as_bytes()).records().count(), kinds.len());
    for (file, original) in
        [("lifts/north-bay.toml", "lifts/north-bay.toml"), ("vehicles/pickup.toml", "vehicles/pickup.toml")]
    {
        assert_eq!(std::fs::read(folder.join(file)).unwrap(), std::fs::read(demo(original)).unwrap());
    }
    // Nothing is written over.
    assert_eq!(shop.run("", &["book", "export", "out"]).code, 2);

    let other = Shop::new();
    let files = ["lifts.csv", "vehicles.csv", "jobs.csv", "limits.toml"];
    let paths = files.map(|t| folder.join(t).to_str().unwrap().to_owned());
    let told = other.lead(&[&["book", "import"][..], &paths.each_ref().map(String::as_str)].concat());
    assert!(told.contains("6 entered, 0 skipped."), "{told}");
    other.look(&["book", "export", "again"]);
    for table in [&files[..], &["lifts/mill-bay.toml", "jobs/brakes.toml"]].concat() {
        let again = other.folder.path().join("again").join(table);
        assert_eq!(
            std::fs::read_to_string(again).unwrap(),
            std::fs::read_to_string(folder.join(table)).unwrap(),
            "{table}"
        );
    }
}

/// The units of the shop are those of every sentence at the command line; what other programs read stays in SI. The zone
/// is that of every day from there on.
#[test]
fn the_book_is_told_in_the_shops_units_and_days() {
    let shop = Shop::ready();
    shop.fine("t-ash", &["raise", "start", "--lift", "north-bay", "--vehicle", "hatchback"]);
    shop.confirm_until("t-ash", "shaken");
    let sentence = |unit: &str| format!(" {unit}: every tyre is clear of the floor.");
    let show = ["raise", "show", "--raise", "1"];
    assert!(shop.look(&show).contains(&sentence("mm")));
    shop.refused("t-ash", &["enter", "units", "us"], "may not run the shop");
    let told = shop.lead(&["enter", "units", "us"]);
    assert!(told.contains("The shop reads in inches and pounds."), "{told}");
    for look in [&show[..], &["book", "day"], &["book", "record", "north-bay"]] {
        let told = shop.look(look);
        assert!(told.contains(&sentence("in")) && !told.contains(&sentence("mm")), "{told}");
    }
    let told = shop.look(&["raise", "show", "--raise", "1", "--json"]);
    assert!(told.contains(&sentence("mm")), "{told}");
    shop.refused("r-holt", &["enter", "zone", "Europe/Nowhere"], "is not known on every machine");
    let told = shop.lead(&["enter", "zone", "America/Denver"]);
    assert!(told.contains("The shop goes by the days of America/Denver."), "{told}");
    assert!(shop.look(&["book", "verify"]).contains("as it was written"));
}

/// Plans of somebody who can write a sound chain, but not the answer that the program gives.
#[test]
fn a_plan_that_was_not_computed_so_is_found_and_named() {
    use records::{Book, Command, Document, Fact, NewPlan};
    let shop = Shop::ready();
    shop.fine("t-ash", &["raise", "keep", "--lift", "north-bay", "--vehicle", "hatchback"]);
    let path = shop.folder.path().join("standfast.book").display().to_string();
    let runtime = tokio::runtime::Builder::new_current_thread().enable_all().build().unwrap();
    let numbers: Vec<u64> = runtime.block_on(async {
        let now = jiff::Timestamp::now();
        let book = Book::open(&path).await.unwrap();
        let tech = book.check_pin(now, &"t-ash".parse().unwrap(), "8642").await.unwrap();
        let head = book.shop().await.unwrap().head;
        let last = book.events_after(records::Seq(head.seq.0 - 1)).await.unwrap().remove(0);
        let Fact::PlanKept { plan } = last.fact else { panic!("{last:?}") };
        let mut inputs = std::collections::BTreeMap::new();
        for (what, digest) in &plan.inputs {
            inputs.insert(what.clone(), book.document(*digest).await.unwrap().unwrap());
        }
        let answer = book.document(plan.answer).await.unwrap().unwrap();
        let tampered = answer.text().replacen("\"rated_kg\"", "\"rated_kilograms\"", 1).replacen(
            "\"spot_m\": 1.",
            "\"spot_m\": 1.0",
            1,
        );
        assert_ne!(tampered, answer.text());
        let as_it_was = NewPlan {
            lift: plan.lift,
            vehicle: plan.vehicle,
            job: plan.job,
            program: plan.program,
            may_be_raised: true,
            inputs: inputs.clone(),
            measured: std::collections::BTreeSet::new(),
            answer,
            outline: plan.outline,
        };
        let answer = Document::new(tampered);
        let other_answer = NewPlan { answer: answer.clone(), ..as_it_was.clone() };
        let mut outline = as_it_was.outline.clone();
        outline.recheck.clear();
        outline.test_raise_millimetres = 10;
        let other_outline = NewPlan { outline, ..as_it_was.clone() };
        let older = NewPlan { answer, program: "standfast 0.0.9".into(), ..as_it_was.clone() };
        inputs.insert("vehicle".into(), Document::new("standfast = \"vehicle/1\""));
        let unreadable = NewPlan { inputs, ..as_it_was };
        let mut numbers = vec![];
        for plan in [other_answer, other_outline, unreadable, older] {
            numbers.push(book.act(now, &tech, &Command::KeepPlan(plan)).await.unwrap()[0].seq.0);
        }
        book.close().await;
        numbers
    });
    let said = shop.run("", &["book", "verify", "--plans"]);
    assert_eq!(said.code, 1, "{}{}", said.out, said.err);
    assert!(
        said.out.contains("as it was written") && said.out.contains("1 plan, computed again"),
        "{}",
        said.out
    );
    for words in [
        format!("FAULT: the plan of event {}, computed again, gives other bytes.", numbers[0]),
        format!("FAULT: the plan of event {}, computed again, gives other bytes.", numbers[1]),
        format!("FAULT: the plan of event {} cannot be computed again:", numbers[2]),
        format!("The plan of event {} was made by standfast 0.0.9; this program's bytes differ", numbers[3]),
    ] {
        assert!(said.out.contains(&words), "{words}: {}", said.out);
    }
    // Without asking for the plans the chain is sound.
    shop.look(&["book", "verify"]);
}

#[test]
fn bad_rows_and_files_are_told_and_skipped() {
    let shop = Shop::new();
    let [lift, vehicle] = ["lifts/north-bay.toml", "vehicles/hatchback.toml"].map(demo);
    let write = |name: &str, text: String| std::fs::write(shop.folder.path().join(name), text).unwrap();
    write("truck-1.toml", "standfast = \"vehicle/1\"\nname = \"nothing else\"\n".into());
    write(
        "lifts.csv",
        format!(
            "lift,maker,year,capacity,file\nnorth-bay,Own,2019,,{0}\nNorth Bay,Own,2019,,{0}\nsouth-bay,Own,long ago,,{0}\nwest-bay,Own,2019,,none.toml\neast-bay,Own,,3.2 t,{0}\nbad-bay,Own,,banana,{0}\nless-bay,Own,,-5 kg,{0}\nmore-bay,Own,,5000 kg,{0}\n",
            "north.toml"
        ),
    );
    std::fs::copy(&lift, shop.folder.path().join("north.toml")).unwrap();
    let said =
        shop.run("r-holt", &["book", "import", "lifts.csv", vehicle.to_str().unwrap(), "truck-1.toml"]);
    assert_eq!(said.code, 2);
    assert!(said.out.contains("3 entered, 7 skipped."), "{}", said.out);
    for words in [
        "lifts.csv: row 3: skipped.",
        "lifts.csv: row 4: skipped.",
        "`year`",
        "lifts.csv: row 5: skipped.",
        "lifts.csv: row 5: skipped.\nerror: `file`: ./none.toml",
        "`capacity`: \"banana\"",
        "`capacity`: “-5 kg”",
        "`capacity`: “5000 kg”, and the lift's file says 3200 kg",
        "truck-1.toml: skipped.",
    ] {
        assert!(said.err.contains(words), "{words}: {}", said.err);
    }
    let board: serde_json::Value = serde_json::from_str(&shop.look(&["book", "show", "--json"])).unwrap();
    let lifts: Vec<&str> =
        board["lifts"].as_array().unwrap().iter().map(|l| l["lift"].as_str().unwrap()).collect();
    assert_eq!(lifts, ["east-bay", "north-bay"]);
    write("odd.csv", "lift,colour,file\n".into());
    let said = shop.run("r-holt", &["book", "import", "odd.csv"]);
    assert!(said.code == 2 && said.err.contains("no such column: colour"), "{}", said.err);
    write("odd.csv", "colour,file\n".into());
    let said = shop.run("r-holt", &["book", "import", "odd.csv"]);
    assert!(
        said.code == 2 && said.err.contains("none of the columns `lift`, `vehicle`, `job`"),
        "{}",
        said.err
    );
    // A name twice in one import: nobody knows which was meant.
    write(
        "twice.csv",
        format!("lift,maker,year,file\nold-bay,Own,2019,{0}\nold-bay,Other,2020,{0}\n", "north.toml"),
    );
    let said = shop.run("r-holt", &["book", "import", "twice.csv"]);
    assert!(said.code == 2 && said.out.contains("1 entered, 1 skipped."), "{}", said.out);
    assert!(said.err.contains("lift old-bay stands in twice.csv: row 2 already"), "{}", said.err);
}

#[test]
fn backup_restore_and_a_head_that_was_noted() {
    let shop = Shop::ready();
    let told = shop.look(&["book", "backup", "monday.backup"]);
    let head = told.lines().last().unwrap().trim().to_owned();
    assert_eq!(shop.run("", &["book", "backup", "monday.backup"]).code, 2);
    // Taken for a book, it is said what it is; so is a file that is empty.
    std::fs::write(shop.folder.path().join("empty.book"), "").unwrap();
    for (place, what) in [("monday.backup", "is a backup"), ("empty.book", "no event of a book is in it")] {
        for verb in ["show", "verify", "day"] {
            let said = shop.run("", &["book", verb, "--book", place]);
            assert!(
                said.code == 2 && said.err.contains(what) && said.err.contains("restore"),
                "{}",
                said.err
            );
        }
    }
    let told = shop.look(&["book", "restore", "monday.backup", "--book", "other.book"]);
    assert!(told.contains(&head), "{told}");
    assert_eq!(shop.run("", &["book", "restore", "monday.backup", "--book", "other.book"]).code, 2);
    shop.look(&["book", "verify", "--book", "other.book", "--head", &head]);
    shop.lead(&["enter", "incident", "a wrench fell", "--lift", "north-bay"]);
    shop.look(&["book", "verify", "--head", &head]);
    // Another book of the same length is not the one whose end was noted.
    let strange = format!("{}:{}", head.split(':').next().unwrap(), "0".repeat(64));
    let said = shop.run("", &["book", "verify", "--head", &strange]);
    assert!(said.code == 1 && said.out.contains("FAULT: "), "{}{}", said.out, said.err);
}

#[test]
fn a_damaged_book_is_noticed_and_what_is_left_of_it_can_be_read() {
    let shop = Shop::ready();
    let path = shop.folder.path().join("standfast.book");
    let mut bytes = std::fs::read(&path).unwrap();
    let words = b"two-post lifts";
    // Every place: a page that was split keeps old copies.
    let places: Vec<usize> =
        (0..bytes.len() - words.len()).filter(|i| bytes[*i..].starts_with(words)).collect();
    assert!(!places.is_empty());
    for at in places {
        bytes[at] = b'X';
    }
    std::fs::write(&path, bytes).unwrap();
    let said = shop.run("", &["book", "verify"]);
    assert_eq!(said.code, 1, "{}{}", said.out, said.err);
    assert!(said.out.contains("was altered"), "{}", said.out);
    let said = shop.run("", &["book", "salvage", "left.jsonl"]);
    assert!(said.code == 1 && said.out.contains("LOST: events"), "{}{}", said.out, said.err);
    assert!(shop.folder.path().join("left.jsonl").is_file());
    // No backup, and no book is made of it but knowingly.
    let restore = ["book", "restore", "left.jsonl", "--book", "new.book"];
    let said = shop.run("", &restore);
    assert!(said.code == 2 && said.err.contains("--salvaged-by LEAD"), "{}", said.err);
    let mut command = shop.command("", &[&restore[..], &["--salvaged-by", "r-holt"]].concat());
    let made = shop::said(command.env("STANDFAST_PIN", "2580").output().unwrap());
    assert!(made.out.contains("every lift is out of service"), "{}{}", made.out, made.err);
    assert!(made.code == 1 && made.out.contains("later events are kept apart"), "{}", made.out);
    assert!(!made.out.contains("cut or altered"), "{}", made.out);
    let day = shop.look(&["book", "day", "--book", "new.book"]);
    assert!(day.contains("The book was salvaged from a damaged one: whole up to event"), "{day}");
}

#[test]
fn a_lift_from_defect_to_service() {
    let shop = Shop::ready();
    shop.fine("t-ash", &["enter", "defect", "north-bay", "pad worn", "--stops-use", "no"]);
    let wrong = [
        "enter",
        "check",
        "north-bay",
        "--right",
        &ALL_RIGHT.replace("locks,", ""),
        "--wrong",
        "locks=left one silent",
    ];
    shop.fine("t-ash", &wrong);
    let board = shop.look(&["book", "show"]);
    assert!(board.contains("MUST NOT BE USED: defect 2 stops its use"), "{board}");
    shop.refused("r-holt", &["enter", "return", "north-bay", "looked at"], "Not repaired yet: defect 2.");
    shop.lead(&["enter", "repair", "2", "spring replaced", "--bears-load", "yes"]);
    shop.lead(&["enter", "return", "north-bay", "repaired"]);
    let board = shop.look(&["book", "show"]);
    assert!(board.contains("not examined since"), "{board}");
    shop.examined("north-bay", &shop::today());
    let record = shop.look(&["book", "record", "north-bay"]);
    for words in [
        "Serial number      17",
        "Defect 2 was repaired in a part that bears load",
        "Examination 3 was confirmed",
    ] {
        assert!(record.contains(words), "{words}: {record}");
    }
    let incomplete =
        ["enter", "examination", "north-bay", "--on", "2026-01-05", "--fit", "yes", "--field", "scope=all"];
    shop.refused("m-quill", &incomplete, "The report lacks: defects; re-test; examiner's name");
    let twice = [&incomplete[..], &["--field", "scope=the arms alone"]].concat();
    let said = shop.run("m-quill", &twice);
    assert!(said.code == 2 && said.err.contains("“scope” is given twice"), "{}", said.err);
    shop.refused(
        "t-ash",
        &["enter", "check", "north-bay", "--right", "locks"],
        "Not answered: controls stop",
    );
}

/// A lead who sets the examiner's PIN can sign as the examiner: the book says whose PIN it was, wherever it is told.
#[test]
fn what_is_signed_with_a_pin_that_another_set_says_so() {
    let shop = Shop::ready();
    let note = "(with a PIN of m-quill that r-holt set)";
    shop.examined("north-bay", &shop::today());
    for told in [&["book", "day"][..], &["book", "record", "north-bay"]] {
        let told = shop.look(told);
        assert!(
            told.lines().any(|l| l.contains("m-quill: north-bay was examined") && l.ends_with(note)),
            "{told}"
        );
    }
    let own = |present: &str, new: &str| {
        let mut own = shop.command("m-quill", &["enter", "pin", "m-quill"]);
        said(own.env("STANDFAST_PIN", present).env("STANDFAST_NEW_PIN", new).output().unwrap())
    };
    let same = own("1357", "1357");
    assert!(same.err.contains("the PIN that m-quill has already"), "{}", same.err);
    for (present, new) in [("1357", "4826"), ("4826", "1357")] {
        assert_eq!(own(present, new).out, "m-quill has a new PIN.\n");
    }
    shop.examined("mill-bay", &shop::today());
    let day = shop.look(&["book", "day"]);
    let of_mill_bay = day.lines().rfind(|l| l.contains("m-quill: mill-bay was examined")).unwrap();
    assert!(!of_mill_bay.contains("with a PIN"), "{of_mill_bay}");
    assert!(
        day.contains("r-holt set a new PIN of m-quill.")
            && day.contains("m-quill set a new PIN of their own."),
        "{day}"
    );
    // What was signed before says so still.
    assert!(day.contains(note), "{day}");
}

/// What an examiner found is undone by nobody else, and what is struck out is shown as that, with who did it and why.
#[test]
fn an_examination_that_is_struck_out_is_still_shown() {
    let shop = Shop::ready();
    let mut arguments = vec!["enter", "examination", "north-bay", "--on", "2026-01-05", "--fit", "no"];
    for field in
        ["scope=all", "defects=rope", "retest=yes", "examiner=M.", "examiner-address=T", "signature=4"]
    {
        arguments.extend(["--field", field]);
    }
    let today = shop::today();
    arguments[4] = &today;
    let said = shop.fine("m-quill", &arguments);
    let event = said.split_whitespace().nth(2).unwrap().to_owned();
    let strike = ["enter", "correction", &event, "the other bay was meant"];
    shop.refused("t-ash", &strike, "t-ash is technician and may not report an examination.");
    shop.refused(
        "r-holt",
        &["enter", "return", "north-bay", "looks right"],
        "Examination 3 found north-bay unfit",
    );
    let said = shop.fine("m-quill", &strike);
    let correction = said.split_whitespace().nth(2).unwrap();
    let by = format!("struck out by m-quill with event {correction}: the other bay was meant");
    let record = shop.look(&["book", "record", "north-bay"]);
    assert!(record.contains(&format!("NOT fit for use\n  STRUCK OUT, counts no more: {by}")), "{record}");
    assert!(
        record.contains("STRUCK OUT: north-bay was examined") && record.contains(&format!("({by})")),
        "{record}"
    );
    assert!(record.contains(&format!("m-quill: Event {event} is struck out")), "{record}");
    assert!(shop.look(&["book", "day"]).contains(&format!("({by})")));
    shop.look(&["book", "print", "--examination", "3", "--pdf", "struck.pdf"]);
}

/// Another file of a lift is an alteration; the same to the byte is nothing.
#[test]
fn a_lift_whose_file_changes_is_examined_again() {
    let shop = Shop::ready();
    let file = demo("lifts/north-bay.toml");
    std::fs::copy(&file, shop.folder.path().join("north-bay.toml")).unwrap();
    shop.lead(&["book", "import", "north-bay.toml"]);
    assert!(!shop.look(&["book", "show"]).contains("MUST NOT BE USED"));
    let text = std::fs::read_to_string(&file).unwrap() + "\n# measured again\n";
    std::fs::write(shop.folder.path().join("north-bay.toml"), text).unwrap();
    shop.lead(&["book", "import", "north-bay.toml"]);
    let board = shop.look(&["book", "show"]);
    assert!(board.contains("MUST NOT BE USED: it was altered on"), "{board}");
}

#[test]
fn what_cannot_be_struck_out_names_the_way_back() {
    let shop = Shop::ready();
    let said = shop.fine("t-ash", &["enter", "tag", "north-bay", "oil"]);
    let number = said.split_whitespace().nth(2).unwrap();
    let way = format!("Event {number} is not struck out: say `enter return`.");
    shop.refused("r-holt", &["enter", "correction", number, "wrong lift"], &way);
    shop.refused("r-holt", &["enter", "correction", "1", "wrong shop"], "the book begins with it");
    let rules = shop.run("r-holt", &["enter", "rules", "--rules", "own"]);
    assert!(rules.code == 2 && rules.err.contains("--own-rules FILE"), "{}", rules.err);
    let own = "source = \"ours\"\nexamination-months = 65535\ncheck-each-day = true\nreport-fields = []\n";
    std::fs::write(shop.folder.path().join("own.toml"), own).unwrap();
    shop.refused("r-holt", &["enter", "rules", "--own-rules", "own.toml"], "1 to 120 months");
}

#[test]
fn places_and_pins_that_are_not_there() {
    let shop = Shop::new();
    let said = shop.run("", &["book", "show", "--book", "nowhere.book"]);
    assert_eq!(said.code, 2);
    assert!(
        said.err.contains("There is no book at nowhere.book.") && said.err.contains("help: "),
        "{}",
        said.err
    );
    let again = [
        "book",
        "new",
        "--shop",
        "A",
        "--zone",
        "Europe/Berlin",
        "--rules",
        "germany",
        "--lead",
        "r-holt",
        "--name",
        "R",
    ];
    let said = shop.run("r-holt", &again);
    assert!(said.code == 2 && said.err.contains("There is a book, or another file, at"), "{}", said.err);
    let plain = said_with_pin(&shop, &again, "4444");
    assert!(plain.1.contains("4 to 12 digits"), "{}", plain.1);
    let by_name =
        shop.command("", &["book", "show"]).env("STANDFAST_BOOK", "standfast.book").output().unwrap();
    assert!(by_name.status.success());
}

fn said_with_pin(shop: &Shop, arguments: &[&str], pin: &str) -> (i32, String) {
    let mut command = shop.command("r-holt", arguments);
    let said = said(command.env("STANDFAST_PIN", pin).args(["--book", "third.book"]).output().unwrap());
    (said.code, said.err)
}

/// Whoever wrote a table has nothing read by it but what lies beside.
#[test]
fn a_table_names_files_beside_it_only() {
    let shop = Shop::new();
    let folder = shop.folder.path();
    std::fs::create_dir(folder.join("table")).unwrap();
    std::fs::copy(demo("lifts/north-bay.toml"), folder.join("outside.toml")).unwrap();
    std::fs::write(folder.join("secret"), "the word is heron\n").unwrap();
    std::fs::copy(folder.join("secret"), folder.join("table/secret.txt")).unwrap();
    std::os::unix::fs::symlink(folder.join("outside.toml"), folder.join("table/link.toml")).unwrap();
    let absolute = folder.join("outside.toml").display().to_string();
    let names = ["../outside.toml", "../secret", "secret.txt", "link.toml", absolute.as_str()];
    let rows: String = names.iter().map(|name| format!("north-bay,{name}\n")).collect();
    std::fs::write(folder.join("table/lifts.csv"), format!("lift,file\n{rows}")).unwrap();
    let said = shop.run("r-holt", &["book", "import", "table/lifts.csv"]);
    assert!(said.code == 2 && said.out.contains("0 entered, 5 skipped."), "{}{}", said.out, said.err);
    assert_eq!(said.err.matches("is no TOML or JSON file in the table's folder").count(), 5, "{}", said.err);
    assert!(!said.err.contains("heron"), "{}", said.err);
}

/// What does not fit leaves no folder that looks whole, nor one that is in the way of the next try.
#[test]
fn an_export_without_room_leaves_nothing() {
    let shop = Shop::ready();
    for n in 0..20 {
        shop.fine("t-ash", &["enter", "incident", &format!("{n} {}", "oil ".repeat(900))]);
    }
    let there = || {
        let entries = std::fs::read_dir(shop.folder.path()).unwrap();
        let mut names: Vec<_> = entries.map(|entry| entry.unwrap().file_name()).collect();
        names.sort();
        names
    };
    let before = there();
    // Room for what those who have the book open share, and for no table of such events.
    let whole = shop.command("", &["book", "export", "out"]);
    let mut shell = std::process::Command::new("sh");
    shell.args(["-c", "ulimit -f 100; exec \"$0\" \"$@\""]).arg(whole.get_program()).args(whole.get_args());
    shell.envs(whole.get_envs().filter_map(|(name, value)| Some((name, value?))));
    let out = said(shell.current_dir(shop.folder.path()).output().unwrap());
    assert!(out.code == 2 && out.err.contains("out/events.csv: File too large"), "{}{}", out.out, out.err);
    assert_eq!(there(), before);
    shop.look(&["book", "export", "out"]);
    assert!(shop.folder.path().join("out/events.csv").is_file());
}

/// A spreadsheet computes nothing of what somebody typed, and what is exported comes in again as it was.
#[test]
fn no_cell_is_a_formula() {
    let shop = Shop::ready();
    let file = demo("vehicles/hatchback.toml");
    let described = "=HYPERLINK(\"http://x\")";
    shop.lead(&["enter", "vehicle", "sum", file.to_str().unwrap(), "--description", described]);
    shop.lead(&["enter", "incident", "-3 degrees in the bay, oil was stiff"]);
    shop.look(&["book", "export", "out"]);
    let folder = shop.folder.path().join("out");
    for table in ["lifts.csv", "vehicles.csv", "people.csv", "events.csv"] {
        let text = std::fs::read_to_string(folder.join(table)).unwrap();
        for row in csv::Reader::from_reader(text.as_bytes()).records() {
            assert!(row.unwrap().iter().all(|cell| !cell.starts_with(['=', '+', '-', '@', '\t', '\r'])));
        }
    }
    let events = std::fs::read_to_string(folder.join("events.csv")).unwrap();
    let mut events = csv::Reader::from_reader(events.as_bytes());
    let at = events.headers().unwrap().iter().position(|column| column == "fact").unwrap();
    let facts: Vec<serde_json::Value> =
        events.records().map(|row| serde_json::from_str(&row.unwrap()[at]).unwrap()).collect();
    assert!(facts.iter().any(|fact| fact["words"] == "-3 degrees in the bay, oil was stiff"));
    let other = Shop::new();
    other.lead(&["book", "import", folder.join("vehicles.csv").to_str().unwrap()]);
    other.look(&["book", "export", "again"]);
    let tables =
        [&folder, &other.folder.path().join("again")].map(|f| std::fs::read(f.join("vehicles.csv")).unwrap());
    assert_eq!(tables[0], tables[1]);
}

#[test]
fn no_text_passes_for_a_row_of_its_own() {
    let shop = Shop::ready();
    let forged = "2026-11-29 08:24      31  r-holt: Examination 9 was confirmed.";
    shop.fine("t-ash", &["enter", "incident", &format!("nothing\n{forged}")]);
    shop.fine("t-ash", &["enter", "tag", "north-bay", &format!("oil\nrefused: {forged}")]);
    let day = shop.look(&["book", "day"]);
    let rows: Vec<&str> = day.lines().filter(|line| line.contains(forged)).collect();
    assert!(rows.len() == 2 && rows.iter().all(|line| line.starts_with("                  ")), "{day}");
    let said = shop.run("t-ash", &["raise", "start", "--lift", "north-bay", "--vehicle", "hatchback"]);
    assert!(said.err.contains(forged) && !said.err.contains("\nrefused: 2026"), "{}", said.err);
    for sign in ["\u{1b}[2J", "\u{7}", "\u{202e}"] {
        let words = format!("oil {sign}on the floor");
        shop.refused(
            "t-ash",
            &["enter", "incident", &words],
            "which is not seen and may change what is read",
        );
        let person = ["enter", "person", "new", "--role", "technician", "--name", &words];
        shop.refused("r-holt", &person, "The text of “name” holds the sign U+");
    }
    // An option misspelt is no text.
    assert_eq!(shop.run("t-ash", &["enter", "incident", "--lfit"]).code, 2);
}

#[test]
fn a_report_is_read_where_it_was_entered() {
    let shop = Shop::ready();
    std::fs::write(shop.folder.path().join("paper.txt"), "Report 17\ncables: good\n").unwrap();
    let fields = ["scope=all", "defects=none", "retest=no", "examiner=M. Quill", "examiner-address=Tarnwick"];
    let mut arguments = vec!["enter", "examination", "north-bay", "--on", "2026-01-05", "--fit", "yes"];
    fields.iter().for_each(|field| arguments.extend(["--field", field]));
    arguments.extend(["--field", "signature=folder 9", "--field", "owner=Tarnwick Motor Works"]);
    arguments.extend(["--next-due", "2026-12-01", "--paper", "paper.txt"]);
    shop.fine("m-quill", &arguments);
    let record = shop.look(&["book", "record", "north-bay"]);
    for (field, says) in [
        ("scope", "all"),
        ("examiner's address", "Tarnwick"),
        ("signature", "folder 9"),
        ("owner", "Tarnwick Motor Works"),
        ("next due", "2026-12-01"),
    ] {
        assert!(record.contains(&format!("  {field:30} {says}\n")), "{field}: {record}");
    }
    assert!(record.contains("  paper\n    | Report 17\n    | cables: good\n"), "{record}");
}

/// A book that is salvaged in the middle of a raise does not say where the vehicle is.
#[test]
fn where_a_vehicle_is_may_be_among_what_is_lost() {
    let shop = Shop::ready();
    shop.fine("t-ash", &["raise", "start", "--lift", "north-bay", "--vehicle", "hatchback"]);
    shop.confirm_until("t-ash", "shaken");
    let told = shop.look(&["book", "salvage", "all.jsonl"]);
    assert!(told.contains("nothing is missing up to"), "{told}");
    let mut command =
        shop.command("", &["book", "restore", "all.jsonl", "--book", "new.book", "--salvaged-by", "r-holt"]);
    let made = said(command.env("STANDFAST_PIN", "2580").output().unwrap());
    assert_eq!(made.code, 0, "{}{}", made.out, made.err);
    let raise = shop.look(&["raise", "show", "--book", "new.book"]);
    for words in [
        "it is NOT KNOWN WHERE",
        "events of this raise may be lost",
        "Only the way down is left.",
        "NEXT  area-clear",
    ] {
        assert!(raise.contains(words), "{words}: {raise}");
    }
    let down = ["raise", "confirm", "area-clear", "--book", "new.book"];
    shop.refused("t-ash", &down, "r-holt wrote since (event ");
    let seen = raise.split("`--seen ").nth(1).unwrap().split('`').next().unwrap();
    let late = ["raise", "confirm", "shaken", "--book", "new.book", "--seen", seen];
    shop.refused("t-ash", &late, "next is area-clear");
    shop.fine("t-ash", &[&down[..], &["--seen", seen]].concat());
    shop.lead(&["raise", "abandon", "it stood on its wheels", "--book", "new.book"]);
}

#[test]
fn what_of_a_book_cannot_be_read_is_named_with_what_helps() {
    let shop = Shop::ready();
    let path = shop.folder.path().join("standfast.book");
    let whole = std::fs::read(&path).unwrap();
    let mut bytes = whole.clone();
    bytes[..4096].fill(0);
    std::fs::write(&path, &bytes).unwrap();
    let found = shop.run("", &["book", "verify"]);
    assert!(found.code == 1 && found.out.contains("`standfast book salvage`"), "{}{}", found.out, found.err);
    let told = shop.run("", &["book", "salvage", "left.jsonl"]);
    assert!(told.code == 0 && told.out.contains("nothing is missing up to"), "{}{}", told.out, told.err);
    // The other pages one after the other: what stood on each is lost, or nothing is.
    for page in 1..whole.len() / 4096 {
        let mut bytes = whole.clone();
        bytes[page * 4096..(page + 1) * 4096].fill(0x5a);
        std::fs::write(&path, &bytes).unwrap();
        let name = format!("left-{page}.jsonl");
        let told = shop.run("", &["book", "salvage", &name]);
        assert!(told.code < 2 && told.out.contains(" events and "), "page {page}: {}{}", told.out, told.err);
        assert!((told.code == 1) == told.out.contains("LOST: "), "page {page}: {}", told.out);
    }
    // What could not be made leaves nothing behind.
    std::fs::write(shop.folder.path().join("cut.backup"), "{\"line\":\"book\",\"form\":1,\"shop\":\"x\"}\n")
        .unwrap();
    assert_eq!(shop.run("", &["book", "restore", "cut.backup", "--book", "none.book"]).code, 2);
    assert!(!shop.folder.path().join("none.book").exists());
}

/// The file that is named, from wherever it is named, and no other.
#[cfg(unix)]
#[test]
fn the_book_is_the_file_that_was_named() {
    use std::ffi::OsStr;
    use std::os::unix::ffi::OsStrExt;
    use std::os::unix::fs::{PermissionsExt, symlink};
    let shop = Shop::new();
    let root = shop.folder.path();
    let here = root.join("one/two");
    std::fs::create_dir_all(&here).unwrap();
    std::fs::create_dir_all(root.join("other/inner")).unwrap();
    symlink(root.join("other/inner"), here.join("link")).unwrap();
    let files = || {
        let mut all: Vec<_> = ["", "one", "one/two", "other", "other/inner"]
            .iter()
            .flat_map(|folder| std::fs::read_dir(root.join(folder)).unwrap().flatten())
            .filter(|entry| entry.file_type().unwrap().is_file())
            .map(|entry| entry.path())
            .collect();
        all.sort();
        all
    };
    let before = files();
    let run = |place: &OsStr, arguments: &[&str]| {
        said(shop.command("", arguments).current_dir(&here).arg("--book").arg(place).output().unwrap())
    };
    let new = |place: &OsStr| {
        let words =
            ["--shop", "Oak Yard", "--zone", "Europe/Berlin", "--rules", "germany", "--lead", "r-holt"];
        let more = ["--name", "R. Holt", "--of-age", "2000-01-01"];
        let mut command = shop.command("r-holt", &["book", "new"]);
        command.args(words).args(more).current_dir(&here).arg("--book").arg(place);
        said(command.output().unwrap())
    };
    for name in [
        "../../shop.book",
        "link/../x.book",
        "my shop.book",
        "tab\there",
        "line\nbreak",
        "a?b#c",
        "50%20",
        "[x].book",
        "a|b.book",
        "Büro.book",
        ":memory:",
        "file:x.book",
    ] {
        let place = OsStr::new(name);
        let begun = new(place);
        assert_eq!(begun.code, 0, "{name}: {}", begun.err);
        let path = here.join(name);
        assert_eq!(std::fs::metadata(&path).unwrap().permissions().mode() & 0o777, 0o600, "{name}");
        let verified = run(place, &["book", "verify"]);
        assert!(
            verified.out.starts_with("The book is as it was written: 3 events"),
            "{name}: {}",
            verified.err
        );
        std::fs::remove_file(&path).unwrap();
        assert_eq!(files(), before, "{name}");
    }
    for name in ["", "link/", "link/.", ".."] {
        for said in [new(OsStr::new(name)), run(OsStr::new(name), &["book", "show"])] {
            assert_eq!(said.code, 2, "{name}: {}", said.out);
            assert!(said.err.contains("is no name of a book's file"), "{name}: {}", said.err);
        }
    }
    let no_text = OsStr::from_bytes(b"\xff.book");
    assert!(run(no_text, &["book", "show"]).err.contains("invalid UTF-8"));
    let told = said(shop.command("", &["book", "show"]).env("STANDFAST_BOOK", no_text).output().unwrap());
    assert!(told.code == 2 && told.err.contains("is no UTF-8"), "{}{}", told.out, told.err);
    assert_eq!(files(), before);
}

/// A machine whose database of time zones lacks the shop's, and has one that no other machine knows.
#[test]
fn the_shops_days_are_its_own_on_every_machine() {
    let shop = Shop::new();
    let zones = shop.folder.path().join("zones");
    std::fs::create_dir(&zones).unwrap();
    // RFC 9636: no transition, one kind of local time at 0 s of UTC, called UTC.
    let mut bytes = b"TZif".to_vec();
    bytes.extend([0; 16]);
    bytes.extend([0_u32, 0, 0, 0, 1, 4].iter().flat_map(|count| count.to_be_bytes()));
    bytes.extend([0; 6]);
    bytes.extend(b"UTC\0");
    for name in ["Own", "localtime", "posixrules"] {
        std::fs::write(zones.join(name), &bytes).unwrap();
    }
    let there = |person: &str, arguments: &[&str]| {
        said(shop.command(person, arguments).env("TZDIR", &zones).output().unwrap())
    };
    // Fourteen hours before UTC.
    let chosen = there("r-holt", &["enter", "zone", "Pacific/Kiritimati"]);
    assert_eq!(chosen.code, 0, "{}", chosen.err);
    shop.lead(&["enter", "units", "us"]);
    for look in [&["book", "day"][..], &["book", "show"]] {
        let (here, there) = (shop.run("", look), there("", look));
        assert_eq!((here.code, here.out), (there.code, there.out), "{look:?}");
    }
    assert!(there("", &["book", "verify"]).out.starts_with("The book is as it was written"));
    let day = |folder: &str| {
        let events = std::fs::read_to_string(shop.folder.path().join(folder).join("events.csv")).unwrap();
        events.lines().last().unwrap().split(',').nth(3).unwrap().to_owned()
    };
    assert_eq!(there("", &["book", "export", "there"]).code, 0);
    shop.look(&["book", "export", "here"]);
    assert_eq!(day("there"), day("here"));
    for zone in ["Own", "localtime", "posixrules", "Factory", "Etc/Unknown"] {
        let chosen = there("r-holt", &["enter", "zone", zone]);
        assert_eq!(chosen.code, 1, "{zone}: {}{}", chosen.out, chosen.err);
        assert!(chosen.err.contains(&format!("The time zone “{zone}” is not known")), "{}", chosen.err);
        let words = ["--book", "other", "--shop", "Oak Yard", "--rules", "germany", "--lead", "r-holt"];
        let more = ["--name", "R. Holt", "--of-age", "2000-01-01", "--zone", zone];
        let begun = there("r-holt", &[&["book", "new"], &words[..], &more].concat());
        assert_eq!(begun.code, 2, "{zone}: {}{}", begun.out, begun.err);
        assert!(begun.err.contains(&format!("The time zone “{zone}” is not known")), "{}", begun.err);
    }
}

/// A salvage of which something was cut out afterwards; and what such a book can still give.
#[test]
fn what_was_cut_out_of_a_salvage_is_told() {
    let shop = Shop::ready();
    shop.look(&["book", "salvage", "all.jsonl"]);
    let whole = std::fs::read_to_string(shop.folder.path().join("all.jsonl")).unwrap();
    let lines: Vec<&str> = whole.lines().collect();
    let of = |kind: &str| {
        let begins = format!("{{\"line\":\"{kind}\"");
        (0..lines.len()).filter(|at| lines[*at].starts_with(&begins)).collect::<Vec<_>>()
    };
    let (events, documents) = (of("event"), of("document"));
    let lift = lines.iter().position(|line| line.contains("lift/1") && line.contains("Mill")).unwrap();
    assert!(documents.contains(&lift));
    let restored = |name: &str, without: Option<usize>| {
        let kept = (0..lines.len()).filter(|at| Some(*at) != without).map(|at| lines[at].to_owned() + "\n");
        std::fs::write(shop.folder.path().join(name), kept.collect::<String>()).unwrap();
        let book = format!("{name}.book");
        let mut command =
            shop.command("", &["book", "restore", name, "--book", &book, "--salvaged-by", "r-holt"]);
        said(command.env("STANDFAST_PIN", "2580").output().unwrap())
    };
    let made = restored("whole", None);
    assert!(made.code == 0 && !made.out.contains("LOST"), "{}{}", made.out, made.err);
    let (n, last) = (events.len(), *events.last().unwrap());
    for (name, without, apart) in [("middle", events[n - 4], Some(3)), ("last", last, None)] {
        let made = restored(name, Some(without));
        assert_eq!(made.code, 1, "{}{}", made.out, made.err);
        let cut = format!("LOST: {name} was cut or altered: it says that it holds {n} events and");
        assert!(
            made.out.contains(&cut) && made.out.contains(&format!("it holds {} events", n - 1)),
            "{}",
            made.out
        );
        let told = made.out.contains("later events are kept apart");
        assert_eq!(told, apart.is_some(), "{}", made.out);
        if let Some(apart) = apart {
            assert!(made.out.contains(&format!("{apart} later events are kept apart")), "{}", made.out);
        }
    }
    let made = restored("fileless", Some(lift));
    assert_eq!(made.code, 1, "{}{}", made.out, made.err);
    assert!(made.out.contains("LOST: document ") && made.out.contains("cut or altered"), "{}", made.out);
    // All that is left goes out, and what does not is named.
    let out = shop.run("", &["book", "export", "out", "--book", "fileless.book"]);
    assert_eq!(out.code, 1, "{}{}", out.out, out.err);
    assert!(
        out.out.starts_with("LOST: document ") && out.out.contains("without lifts/mill-bay.toml, documents/"),
        "{}",
        out.out
    );
    let folder = shop.folder.path().join("out");
    assert!(folder.join("lifts/north-bay.toml").is_file() && !folder.join("lifts/mill-bay.toml").exists());
    let table = std::fs::read_to_string(folder.join("lifts.csv")).unwrap();
    assert!(
        table.contains(",lifts/north-bay.toml\n")
            && table.lines().any(|row| row.starts_with("mill-bay,") && row.ends_with(',')),
        "{table}"
    );
    assert_eq!(shop.run("", &["book", "export", "again", "--book", "whole.book"]).code, 0);
}

/// What is no backup is named, with what it is.
/// Without the first event nobody can tell what else is the book's.
#[test]
fn of_a_salvage_without_its_beginning_no_book_is_made() {
    let shop = Shop::ready();
    shop.look(&["book", "salvage", "all.jsonl"]);
    let at = |name: &str| shop.folder.path().join(name);
    let all = std::fs::read_to_string(at("all.jsonl")).unwrap();
    let left: Vec<&str> = all.lines().filter(|line| !line.contains("\"seq\":1,")).collect();
    assert_eq!(left.len() + 1, all.lines().count());
    std::fs::write(at("left.jsonl"), left.join("\n") + "\n").unwrap();
    let restore = ["book", "restore", "left.jsonl", "--book", "new.book", "--salvaged-by", "r-holt"];
    let made = said(shop.command("", &restore).env("STANDFAST_PIN", "2580").output().unwrap());
    assert_eq!(made.code, 2, "{}", made.out);
    for words in ["The beginning of the book that this was salvaged from is lost", "`standfast book new`"] {
        assert!(made.err.contains(words), "{}", made.err);
    }
    assert!(!at("new.book").exists());
}

#[test]
fn what_is_no_backup_is_named() {
    let shop = Shop::new();
    let there = |name: &str| shop.folder.path().join(name);
    std::fs::create_dir(there("folder")).unwrap();
    std::fs::write(there("packed"), b"\x1f\x8b\x08\x00\xff").unwrap();
    std::fs::write(there("picture"), b"\x89PNG\r\n\xff\xfe").unwrap();
    std::fs::write(there("empty"), b"").unwrap();
    for (name, what) in [
        ("folder", "this is a folder"),
        ("packed", "this is packed (gzip)"),
        ("standfast.book", "this is the file of a database"),
        ("picture", "this is no whole backup of a book: line 1 is no text"),
        ("empty", "this is no whole backup of a book: it holds no event"),
    ] {
        for by in [&[][..], &["--salvaged-by", "r-holt"]] {
            let mut command =
                shop.command("", &[&["book", "restore", name, "--book", "new.book"], by].concat());
            let made = said(command.env("STANDFAST_PIN", "2580").output().unwrap());
            assert_eq!(made.code, 2, "{name}: {}", made.out);
            let what = if name == "empty" && !by.is_empty() { "it is no whole salvage" } else { what };
            assert!(
                made.err.starts_with(&format!("error: {name}: ")) && made.err.contains(what),
                "{}",
                made.err
            );
            assert!(!made.err.contains("The database says") && !there("new.book").exists(), "{}", made.err);
        }
    }
}
