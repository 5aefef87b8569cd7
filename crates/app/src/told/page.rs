//! `docs/book.md`: what the tables of the book say, and nothing else.

use std::fmt::Write as _;
use std::path::Path;

use records::{Act, CLOCKS_DIFFER, CheckItem, HoldPoint, LaterLock, May, Outline, Role, Rules, may};

use super::raise::{look_for, typed};
use crate::intake::usual;
use crate::measuring::Subject;
use crate::verb::book::{JOBS, LIFTS, VEHICLES};
use crate::verb::raise::keys;

const HEAD: &str = "\
# The book

What the shop's book goes by: who may do what, the hold points of a raise, the rule sets, the check before use, the
columns of an import. Written from the tables of `crates/records` and `crates/app` by a test:

    STANDFAST_WRITE=1 cargo test -p app --lib the_page_is_the_tables

";

const OWN: &str = r#"
A shop's own rules are a TOML file (`--own-rules FILE`), with where they come from:

    source = "works agreement of 3 May 2026"
    examination-months = 6
    check-each-day = true
    instruction-months = 12
    report-fields = ["scope", "defects", "examiner"]
"#;

fn word(value: impl serde::Serialize) -> String {
    serde_json::to_value(value).ok().and_then(|v| v.as_str().map(str::to_owned)).unwrap_or_default()
}

fn who(page: &mut String) {
    *page += "## Who may do what\n\n| |";
    Role::ALL.iter().for_each(|role| *page += &format!(" {role} |"));
    *page += " source |\n|---|---|---|---|---|---|---|\n";
    for act in Act::all() {
        let _ = write!(page, "| {act} |");
        for role in Role::ALL {
            let cell = match may(role, act) {
                May::Yes => "yes",
                May::WithSecond => "with a second person",
                May::No => "no",
            };
            let _ = write!(page, " {cell} |");
        }
        let _ = writeln!(page, " {} |", act.source());
    }
    *page += "\nNobody is entered under the full name of somebody else who belongs to the shop, however it is spaced or written small: records and prints name people by it. Write what tells the two \
        apart (“K. Tarn, junior”). Whoever has left does not count, so that who is back keeps their name on paper. The day of an 18th birthday that is not in the book, or stands there wrong, is given by a \
        lead (`enter age PERSON --of-age DAY`); struck out, what the book said before counts again. Own convention.\n";
    *page += "\nWho checks a lift before use or takes a vehicle up must besides be instructed, authorised in writing and, where the rules say so, of age. Where clock and book tell different days, age and authorisation begin by the sooner. \
        The second person beside a learner must be allowed to do it alone. What brings a vehicle down is never held up: \
        a learner who is left alone comes down alone, whose authorisation was withdrawn comes down, and too many wrong PINs stop nobody with the right one from stopping \
        a raise (`noise`, `moved`, `lock-not-heard`, `not-right`, `bring-down`), confirming the points of its way down or taking a lift out of service (`enter tag`); while locked, three wrong ones and one more a minute, are looked at. The refusal names who may take the raise over. \
        Where the clock stands behind the book, what a lock lasts is its length by the clock, from when it was set back or from when it locked, and stays so once `enter clock` says that it is right. \
        What somebody signs with a PIN that another set says so in the day's page, in records and prints, until they set their own: a PIN proves that whoever acted knew it.\n\n\
        A raise by limits that the shop has not entered is begun only by who may run the shop, and board, day's page, raise and print say whose they are; where the shop has entered limits, by no others. \
        A sooner day that an examiner asks for holds for every kind of examination, also one for which the rules have no interval. An examination is struck out by an examiner only. While one that found the lift unfit stands, the lift is not returned to service: it is repaired, and a later examination finds it fit: later by its day or, where the clock or the zone was set back in between, entered later and either of no earlier day or made on the day on which it was entered. What is struck out is \
        still shown and printed, with who struck it out, by which event, and why. A lift that was returned and not checked since takes nothing up, a raise under way neither.\n\n\
        A raise that was begun goes up on a lift that may be used that day; once the vehicle is at its height, the day alone (a check or an examination that is due) holds it no more. While the clock stands behind the book, each day by the clock asks for its check, and one that was made by a clock that ran ahead holds no longer on the day that it told, once the clock was set back to a day before. \
        A clock that ran ahead or is set back gives no time: once `enter clock` says that it is right, what was given before (examinations, instructions) is due as many days sooner as it was set back, however late its day; board and event say so. Until somebody says it, time goes on by the clock as well as from the book's latest day, and nothing is reported of a day that the clock has not come to. ";
    *page += &format!(
        "Clocks that differ by no more than {} minutes, and `enter clock` after no more than that, cost nothing. ",
        CLOCKS_DIFFER.as_mins()
    );
    *page += "\
        On a lift on which a raise left its vehicle no other vehicle is raised, nor that vehicle on another lift, until a lead or an examiner returns the lift to service. A vehicle that was left with parts off, or with parts on that its file lacks, is raised by a plan that comes to that state before anything else comes off or goes on, the parts as heavy and in the same place, there without stands, or once somebody says that it is as its file says (`enter whole VEHICLE WORDS`); what stays on or off for good is entered in its file first. Where its file was entered anew once parts were off or on in a raise, and another than that was planned with is in the book as it ends, or one is entered while it is left so, nobody knows which of them it means: it is raised once somebody says so, or that file is the book's again that it was left by. Nor is it weighed meanwhile, with or without what is off: the book takes no weight and no height of its centre of gravity before that. A raise that is abandoned with its vehicle up, on stands or not whole takes the lift out of service, and tag and board say as what it was left. What is struck out counts no more here either: with `enter whole` a vehicle is as it was left again, with a return the lift holds what it held, and a raise under way goes no higher. Own convention.\n\n";
}

/// A raise in which every kind of hold point occurs.
fn points() -> (Outline, Vec<HoldPoint>) {
    use HoldPoint as P;
    let outline = Outline {
        recheck: vec![0],
        lock: Some(7),
        steps: vec!["rear axle off".into()],
        parts: vec![],
        stands: Some((0, 1)),
        test_raise_millimetres: 200,
        first_lock_millimetres: Some(300),
        later: vec![LaterLock { after: 1, lock: 9 }],
        backwards: Some(false),
    };
    let points = vec![
        P::Spotted,
        P::PadsSeated,
        P::ArmLocksEngaged,
        P::TestRaised,
        P::Shaken,
        P::PadRechecked(0),
        P::Raised,
        P::OnLocks,
        P::StandsSet,
        P::StepDone(0),
        P::StepUndone(0),
        P::StandsAway,
        P::AreaClear,
        P::OffLocks,
        P::HeightReached(0),
        P::LocksReleased,
        P::FullyDown,
        P::ArmsClear,
        P::DrivenOff,
        P::LeftOnFloor,
    ];
    (outline, points)
}

fn hold_points(page: &mut String) {
    let (outline, points) = points();
    *page += "## Hold points\n\nIn this order; figures, parts, pads and stands are those of each plan, here an example. Each needs the one before. Noise or movement \
        leads down and back to `pads-seated`; a lock that is not heard leaves only the way down and takes the lift out of service. A tag, or a defect that stops the use, holds up no such way down and is told at each of its points. Until a point is confirmed it may be anywhere on the way there, and \
        the way down leads from anywhere there. Brought down with parts off or on that the job did not mean to end with, or that it was found with and is not past, it ends with `left-on-floor` in the place of `arms-clear` and `driven-off`, and \
        the lift is out of service until it is clear. Where stands bear what a part that is off, or may be, no longer balances, it is on again before they go away: `step-1-undone`, \
        or the steps that are left where by those less comes off; what the vehicle weighs is not entered meanwhile. Where a later task has another lock, `area-clear`, `off-locks`, \
        on the way down `locks-released`, then `height-2-reached` and `on-locks` lead to it, with stands away. A raise that is refused, and a point that a check of the \
        vehicle or the state of the lift holds up, stand in the book. On a lift whose lowest lock lies at the test raise, below it, or less than 50 mm above \
        (so far a carriage may be ahead of the other: DGUV Information 208-015 sections 5-6), that lock is listened for at `test-raised`, and the way down from there has `off-locks` and `locks-released` too. \
        Raised with parts off or on, as it is seated again or was left so, it has all four pads rechecked by hand: what a shake proves is reckoned of it as it came; at `pads-seated`, `test-raised` and `raised` it is looked that it comes clear of each stand or trolley that it stood on. \
        What was measured at `spotted` or `pads-seated` and refused is confirmed only as it is measured again, or with words that say what was changed. \
        Once something was not right, or another leads, before it moves down, onto its locks too, or to another lock, `area-clear` comes again. What a screen or a page showed confirms nothing once the raise went on. Nor is a point confirmed at the command line that was not shown since others wrote in the raise, or of its lift or vehicle. Common practice, no source.\n\n\
        | point | what is confirmed | what to look and listen for |\n|---|---|---|\n";
    for point in points {
        let _ = writeln!(
            page,
            "| `{point}` | {} | {} |",
            super::raise::sentence(point, &outline, sheets::Units::Metric),
            look_for(point, &outline, None, None)
                .into_iter()
                .chain(typed(point, &outline, None).map(str::to_owned))
                .collect::<Vec<_>>()
                .join(" ")
        );
    }
    *page += "\nBefore each part comes off or goes on, before stands are set, before a vehicle with parts off or on goes up again, and before one goes up that was measured meanwhile, the plan is checked as the vehicle stands, by all that was measured before and since it began, whatever file was entered meanwhile. \
        Stands are set as the plan told them, and checked so: where that load, place or lock no longer serves, the check fails, though others would serve. Once something was measured, or a check failed, the raise is held up until one passes: nobody works at it, and stands stay. Down it comes all the same, and what the check says is told there. \
        What a check that passes says of the course is led from there: the test raise, pads to be rechecked by hand, locks; the steps stay in the order that is led. Once it hangs at the test raise, a pad that is newly named is rechecked before it is raised; what can be led no more (such a pad, another lock) is a check that fails, as is a vehicle that stands driven in the other way than planned. \
        While stands stand, or may as they were to be set when it was brought down, nobody goes under it, and they are looked for before it moves. \
        With another file of the lift, the vehicle or the shop's limits in the book, or a lift that may not be used, it goes no higher, and no part comes off.\n\n";
}

fn rule_sets(page: &mut String) {
    *page += "## Rule sets\n\n";
    for rules in [
        Rules::Germany,
        Rules::UnitedKingdom,
        Rules::UnitedKingdomTwelveMonths,
        Rules::UnitedStates,
        Rules::Australia,
    ] {
        let set = rules.rule_set();
        let name = serde_json::to_value(&rules).ok().and_then(|v| v["set"].as_str().map(str::to_owned));
        let _ = writeln!(page, "### {}: `{}`\n", set.title, name.unwrap_or_default());
        for due in &set.examinations {
            let first =
                if due.from_first_use { "first use" } else { "the last one, and one before first use" };
            let (months, source) = (due.months.value, &due.months.source);
            let _ = writeln!(
                page,
                "- {}: every {months} months, reckoned from {first}. {source}.",
                due.thoroughness
            );
        }
        if let Some(check) = &set.check_each_day {
            let _ = writeln!(page, "- check before use: on each day. {}.", check.source);
        }
        if let Some(months) = &set.instruction_months {
            let _ = writeln!(page, "- an instruction counts for {} months. {}.", months.value, months.source);
        }
        if let Some(age) = &set.operator_age {
            let _ = writeln!(page, "- operators are at least {} years old. {}.", age.value, age.source);
        }
        if let Some(confirms) = &set.employer_confirms {
            let _ = writeln!(page, "- the lead confirms each examination. {}.", confirms.source);
        }
        let fields: Vec<String> =
            set.report_fields.value.iter().map(|f| format!("{f} (`{}`)", word(f))).collect();
        let _ = writeln!(
            page,
            "- an examination's report has: {}. {}.\n",
            fields.join(", "),
            set.report_fields.source
        );
    }
    page.truncate(page.trim_end().len());
    *page += "\n";
    *page += OWN;
}

fn checks(page: &mut String) {
    *page += "\n## The check before use\n\n| item | what is looked at | source |\n|---|---|---|\n";
    for item in CheckItem::all() {
        let _ = writeln!(page, "| `{}` | {item} | {} |", word(item), item.source());
    }
}

fn measured(page: &mut String) {
    let _ = writeln!(
        page,
        "\n## What is measured of a vehicle\n\n`standfast enter measurement VEHICLE --what KEY --value TEXT --how TEXT`, with one of these keys: {}. A plan made with the book uses \
         the newest measurement of each value since the vehicle's present file was entered (whoever enters another is told which count no more), says so among its assumptions, and keeps it with its inputs; so does the check before \
         each part. What can be said in several ways (wheelbase, weight) is said in the way of the newest measurement, once it is measured whole, and never in one that says less \
         than the file. One that was wrong is struck out with `standfast enter correction`.",
        keys().split(", ").map(|key| format!("`{key}`")).collect::<Vec<_>>().join(", ")
    );
}

fn tables(page: &mut String) {
    let _ = writeln!(
        page,
        "\n## Columns of an import\n\n`standfast book import`, and \"Take in\" on the pages, read tables with the names of the columns in row 1 and commas, semicolons or tabs between them, in UTF-8. A row \
         either names a file in `file` (TOML or JSON, in the table's folder or below; it is kept to the byte, as `export` writes it), or says in columns of its own what was measured: each is a key \
         of the file, and the row becomes the text of one, which is read as any other. `standfast new vehicles FILE` and `standfast new lifts FILE` write a table with these columns to fill in; any may be left out that is \
         not known, and cells may be empty. A cell holds a quantity as a file does: `2670 mm`, `8 ft 9 in`, `2.67 m by tape II`. Where a column's name is followed by a unit, as in `wheelbase (mm)` or \
         `weight.front_axle (kg by scale III e=1 kg)`, its bare numbers get that.\n\n\
         `lift`, `vehicle` or `job` is its name in the book, or any mark (fleet number, plate) of which a name is made: small letters, digits and hyphens, `no-` before a digit. Days are YYYY-MM-DD. `capacity` is a mass, within 50 kg of \
         the lift's rating; left out = that rating. A cell that a spreadsheet would take for a formula is exported with an apostrophe before it, which an import takes off. Every fault of a row is told with its \
         column; a row with a fault, and the second of two with one name, is counted and left out, and the others go on.\n\n\
         - lifts: `{}`; needed is `lift`.\n- vehicles: `{}`; needed is `vehicle`.\n- jobs: `{}`; needed are `job` and `file`.",
        LIFTS.join("`, `"),
        VEHICLES.join("`, `"),
        JOBS.join("`, `")
    );
    for (subject, title) in [(Subject::Vehicle, "a vehicle"), (Subject::Lift, "a lift")] {
        let _ = writeln!(
            page,
            "\nWhat is measured of {title}. Those in bold a plan needs; the same columns with 2, 3 and so on go on where there are more.\n\n| column | what it is |\n|---|---|"
        );
        for heading in usual(subject) {
            let name = if heading.is_needed {
                format!("**`{}`**", heading.name)
            } else {
                format!("`{}`", heading.name)
            };
            let _ = writeln!(page, "| {name} | {} |", heading.told());
        }
    }
    *page += NOTES;
}

const NOTES: &str = "
`wheelbase` is that of the left side where `wheelbase_right` is given too. The weight is said in one way: `weight.total`, with `weight.front_share` or without, or by axle, or by wheel. `keep_outs`, `doors` and `outline.mirror_width` are
`none` where somebody looked and nothing is there; empty = nobody looked; mirrors that stick out are given by both columns. Arms: `arms.front` alone = all four alike, the rear ones mirrored; with `arms.rear` = by pairs; or `arms.front_left` and so on, each by itself. `rise.locks` has all locks in one
cell, lowest first, with semicolons between. What no column says of a vehicle stands in a TOML file that `more` names, in the table's
folder or below: lifting areas of any shape, parts, places for stands (`[[lift_areas]]`, `[[parts]]`, `[[stand_places]]`), as in a vehicle's file and nothing else. Its lines go into the row's file as they are, so that one such file serves every row of a model. Where it tells
lifting areas it tells all of them, and the columns that begin with `front.` and `rear.`, and `seat`, stay empty. A fault in it is told with its row, as `more`, with file and line. Own convention.
";

const KEPT: &str = "
## What may be typed

A text of one line holds 200 signs at the most; what happened, what is wrong, a note and the fields of a report 4000, on several lines. No text holds a control sign, a sign of no width, or one that
turns the direction of writing. What an older book holds of these is written out where it is told, and further lines are set in, so that no text passes for a row of its own. Own convention.

## Kept safe

- `book verify` names every event and document that is altered, missing, moved, of the wrong kind or cannot be read, and goes on with the rest; what is listed under an event that is not there; tables or indices that are missing, and
  triggers and whatever else no program of ours makes; in PostgreSQL keys and child tables that let in a second row, and tables that are not logged. Exit 1 if there is anything.
- PINs stand outside the chain; the event that set one holds the digest of what is kept of it. A PIN that was changed, removed or added outside is named, and nobody signs in by it; so is a count of wrong ones below none, which counts as none, and a backup with one is not restored. Events of older programs hold no such digest: set those PINs anew.
- `book verify --plans` computes every kept plan again, and every check of a raise under way (as measured, before each part).
- `book export` makes a folder whole or not at all; `book backup` and `book salvage` a file that their owner alone reads. What is there already is not overwritten, nor has a copy a name that is of the book's own files (`-wal`, `-shm`, `-journal`).
- A new or restored book is its owner's alone (mode 0600 on Unix). Nothing is left of one that could not be made.
- Whoever makes a book's file fills it; where there is a file already, none is made. A book whose file was moved, removed or replaced while a program had it open, or whose link leads elsewhere since, takes nothing more from that program.
- On Unix a file with a second name (a hard link) is neither opened nor, while it is open, read or written until one name is left: SQLite keeps a log beside each name, and what stands in one is lost by the other. Copies by link are no backups of a book. So it is on Linux with a file that is mounted by itself (`mount --bind a.book b.book`, a container's volume that is one file): mount the folder that it is in.
- What was written last may stand in the log (`-wal`): a copy of the file alone may lack it, and looks whole. Copy a book with `book backup`.
- A log that is not as it was written is refused before anything is opened or changed, and `book verify` names it: its head is broken, or what stands behind a damaged place, that place too, tells of later events than the book would end with. Copy both
  files, then `book salvage`. Power that failed in the moment of a commit can leave the same; what was being written then was never acknowledged. What cannot be told from a commit that broke off: a log that was cut short, a last
  commit that has no mark of its end any more or of which nothing can be read, or one that held no event (a count of wrong PINs). Such a loss shows only against a head that was noted elsewhere meanwhile (`book verify --head`).
- A file that may only be read, by its own mode or as nothing may be made in its folder, is read if no log (`-wal`) is beside it, and nothing is left there: whoever may write it should not have it open meanwhile. Where the file, its log or `-shm` keeps out who would write, the message names it.
- `book salvage` reads a file page by page, with the log beside it, so that a damaged page costs what stood on it, whichever it is; a database of PostgreSQL it reads row by row, by the index or along the table, whichever can be read. Where the server cannot so much as open an index, `REINDEX` makes it anew. It names every event that is lost and every document
  that an event names and that is not there, whose PIN is missing or another than was set, and says where not all of the log can be read, as what was confirmed last may then be missing without a trace. Exit 1 if anything is missing; the book that is made of it tells it again, with exit 1. Whose PIN is lost gets a new one from a lead; the lead's own is the one that is typed, and the book says that nobody proved to be them.
- Of a raise in a salvaged book nobody knows how high it stands: only the way down is left, from a lock, as it may rest on one, or it is abandoned. It ends with `left-on-floor`, as parts may be off.
- In a book that was made of a salvage, which parts of a vehicle are off or on is not known, of any that it had or that the events kept apart are about: it is raised once somebody says that it is as its file says (`enter whole`).
- In a book that was made of a salvage, what is on a lift is not known until a lead or an examiner returns it to service. Defects and tags of the events that are kept apart are entered anew for their lifts, raises that had not ended are named in the tag, and a lift that
  was altered or found unfit there must be examined.
- On a disk that is full or fails, a book is told as that and not as damaged. Where the disk does not say that it has what was written, that may be in the book or not. `book verify` finds a book without any event not whole, and one whose tables no program of ours would open or bring forward. A file in which no book came to be, as when `book new` was killed, is told as that: delete it, if no book was ever kept there.
";

fn page() -> String {
    let mut page = HEAD.to_owned();
    who(&mut page);
    hold_points(&mut page);
    rule_sets(&mut page);
    checks(&mut page);
    measured(&mut page);
    tables(&mut page);
    page += KEPT;
    page
}

#[test]
fn the_page_is_the_tables() {
    let path = Path::new(env!("CARGO_MANIFEST_DIR")).join("../../docs/book.md");
    if std::env::var_os("STANDFAST_WRITE").is_some() {
        std::fs::write(&path, page()).unwrap();
    }
    let written = std::fs::read_to_string(&path).unwrap();
    assert!(written == page(), "docs/book.md is not the tables: see its head for how to write it again");
}

/// The example of own rules is one.
#[test]
fn the_own_rules_of_the_page_can_be_read() {
    let text: String = OWN.lines().filter_map(|l| l.strip_prefix("    ")).map(|l| format!("{l}\n")).collect();
    assert!(toml::from_str::<records::OwnRules>(&text).is_ok(), "{text}");
}
