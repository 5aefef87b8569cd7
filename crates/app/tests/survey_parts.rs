//! A survey that was stopped, or that several machines share, ends in the same bytes as one that ran through.

#![cfg(unix)]
#![allow(clippy::unwrap_used, clippy::expect_used, dead_code, reason = "a test ends where it fails")]

mod fleets;
#[path = "../../records/tests/common/place.rs"]
mod place;
mod shop;

use std::collections::BTreeSet;
use std::fs;
use std::path::Path;
use std::process::{Child, Stdio};
use std::time::{Duration, Instant};

use fleets::{ran, survey, table};

/// Rows of which a few are bad, so that what was skipped is put together too.
fn fleet(folder: &Path, count: u32) {
    let text = table(count).replace("v00400,", ",").replace("v00007,", "v00006,");
    fs::write(folder.join("fleet.csv"), text).unwrap();
}

fn one_run(folder: &Path) -> ([Vec<u8>; 2], String, String) {
    let (code, out, err) =
        ran(survey(folder, "fleet.csv", &["--csv", "one.csv", "--parquet", "one.parquet"]));
    assert_eq!(code, 2, "the bad rows: {err}");
    (["one.csv", "one.parquet"].map(|name| fs::read(folder.join(name)).unwrap()), out, err)
}

fn parts(folder: &Path) -> Vec<String> {
    let names = fs::read_dir(folder).into_iter().flatten().flatten();
    let mut names: Vec<String> = names.map(|e| e.file_name().into_string().unwrap()).collect();
    names.retain(|name| name.starts_with("part-"));
    names.sort();
    names
}

fn until(what: &str, mut holds: impl FnMut() -> bool) {
    let began = Instant::now();
    while !holds() {
        assert!(began.elapsed() < Duration::from_secs(120), "{what}");
        std::thread::sleep(Duration::from_millis(5));
    }
}

fn started(folder: &Path, more: &[&str]) -> Child {
    let mut command = survey(folder, "fleet.csv", more);
    command.stdout(Stdio::null()).stderr(Stdio::piped()).spawn().unwrap()
}

#[test]
fn a_survey_that_was_killed_goes_on_where_it_stood() {
    let folder = tempfile::tempdir().unwrap();
    fleet(folder.path(), 2500);
    let (whole, table, told) = one_run(folder.path());
    let more = ["--parts", "parts", "--csv", "a.csv", "--parquet", "a.parquet"];
    let mut child = started(folder.path(), &more);
    until("a part is done", || parts(&folder.path().join("parts")).len() >= 2);
    child.kill().unwrap();
    child.wait().unwrap();
    let done = parts(&folder.path().join("parts"));
    assert!(done.len() < 8, "it was killed before its end: {done:?}");
    let when =
        |name: &String| fs::metadata(folder.path().join("parts").join(name)).unwrap().modified().unwrap();
    let before: Vec<_> = done.iter().map(when).collect();
    assert!(!folder.path().join("a.csv").exists());
    let (code, out, err) = ran(survey(folder.path(), "fleet.csv", &more));
    assert_eq!(code, 2, "{err}");
    let n = parts(&folder.path().join("parts")).len();
    assert!(
        err.contains(&format!("{} of {n} parts done here, {} found done.", n - done.len(), done.len())),
        "{err}"
    );
    assert_eq!(done.iter().map(when).collect::<Vec<_>>(), before, "what was done is not done again");
    assert!(out == table, "{out}\n{table}");
    assert!(["a.csv", "a.parquet"].map(|name| fs::read(folder.path().join(name)).unwrap()) == whole);
    let told: Vec<&str> = told.lines().collect();
    assert!(told.iter().all(|line| err.contains(line)), "{err}");
}

#[test]
fn shares_of_several_machines_are_copied_together() {
    let folder = tempfile::tempdir().unwrap();
    fleet(folder.path(), 1500);
    let (whole, ..) = one_run(folder.path());
    let [first, second] = ["1/2", "2/2"].map(|share| {
        let place = format!("of-{}", &share[..1]);
        let (code, out, err) =
            ran(survey(folder.path(), "fleet.csv", &["--parts", &place, "--share", share, "--csv", "a.csv"]));
        assert_eq!(code, 0, "{err}");
        assert!(out.contains("parts are still to come"), "{out}");
        folder.path().join(place)
    });
    let (mine, yours): (BTreeSet<_>, BTreeSet<_>) =
        (parts(&first).into_iter().collect(), parts(&second).into_iter().collect());
    assert!(mine.is_disjoint(&yours) && mine.len().abs_diff(yours.len()) <= 1);
    let last = yours.last().unwrap().clone();
    for part in yours {
        fs::copy(second.join(&part), first.join(&part)).unwrap();
    }
    let more = ["--parts", "of-1", "--csv", "a.csv", "--parquet", "a.parquet", "--forget"];
    // One that was cut short on the way is told.
    let cut = first.join(mine.iter().next().unwrap());
    let text = fs::read(&cut).unwrap();
    fs::write(&cut, &text[..text.len() / 2]).unwrap();
    let (code, _, err) = ran(survey(folder.path(), "fleet.csv", &more));
    assert!(code == 2 && err.contains("this part is not as it was written"), "{err}");
    // So is one that somebody altered, and one of another fleet or of another place in this one.
    let altered = String::from_utf8(text.clone()).unwrap().replacen("do-not-raise", "raise", 1);
    assert_ne!(altered.as_bytes(), text);
    fs::write(&cut, altered).unwrap();
    let (code, _, err) = ran(survey(folder.path(), "fleet.csv", &more));
    assert!(code == 2 && err.contains("this part is not as it was written"), "{err}");
    fs::write(folder.path().join("other.csv"), table(1500).replace(",1000,", ",1001,")).unwrap();
    ran(survey(folder.path(), "other.csv", &["--parts", "of-other", "--share", "1/2"]));
    for other in [folder.path().join("of-other").join(cut.file_name().unwrap()), second.join(&last)] {
        fs::copy(other, &cut).unwrap();
        let (code, _, err) = ran(survey(folder.path(), "fleet.csv", &more));
        assert!(code == 2 && err.contains("this part is of another survey"), "{err}");
    }
    fs::write(&cut, &text).unwrap();
    let (code, _, err) = ran(survey(folder.path(), "fleet.csv", &more));
    assert!(code == 2 && err.contains("0 of "), "{err}");
    assert!(["a.csv", "a.parquet"].map(|name| fs::read(folder.path().join(name)).unwrap()) == whole);
    let left: Vec<_> = fs::read_dir(&first).unwrap().map(|e| e.unwrap().file_name()).collect();
    assert_eq!(left, ["survey.lock"], "the parts were taken away");
}

/// Shares of one survey, each machine with its files elsewhere, and with rows that are skipped.
#[test]
fn shares_go_together_wherever_the_files_lie() {
    let folder = tempfile::tempdir().unwrap();
    let [here, there] = ["here", "there/deeper"].map(|name| folder.path().join(name));
    for at in [&here, &there] {
        fs::create_dir_all(at).unwrap();
        fleet(at, 1000);
        fs::write(at.join("bad.csv"), "id,wheelbase,mas\n1,2,3\n").unwrap();
        fs::write(at.join("bad.toml"), b"\xff").unwrap();
        let cut = include_bytes!("fleets/checked.parquet");
        fs::write(at.join("cut.parquet"), &cut[..300]).unwrap();
    }
    let files =
        |place: &str| ["fleet.csv", "bad.csv", "bad.toml", "cut.parquet"].map(|f| format!("{place}{f}"));
    let ask = |at: &Path, place: &str, more: &[&str]| {
        let [first, others @ ..] = files(place);
        let mut asked = survey(at, &first, &others.each_ref().map(String::as_str));
        asked.args(more);
        ran(asked)
    };
    let (code, _, err) = ask(&here, "", &["--parts", "parts", "--share", "1/2"]);
    assert!(code == 0 && err.contains("parts done here"), "{err}");
    let (code, _, err) = ask(folder.path(), "there/deeper/", &["--parts", "parts", "--share", "2/2"]);
    assert!(code == 0 && err.contains("parts done here"), "{err}");
    for part in parts(&here.join("parts")) {
        fs::copy(here.join("parts").join(&part), folder.path().join("parts").join(&part)).unwrap();
    }
    let (code, out, err) = ask(folder.path(), "there/deeper/", &["--parts", "parts", "--csv", "a.csv"]);
    assert!(code == 2 && err.contains("0 of 3 parts done here, 3 found done."), "{out}{err}");
    assert!(!err.contains("of another survey"), "{err}");
    let (code, _, err) = ask(&here, "", &["--csv", "a.csv"]);
    assert_eq!(code, 2, "{err}");
    assert!(fs::read(here.join("a.csv")).unwrap() == fs::read(folder.path().join("a.csv")).unwrap());
    // What stands in a row that is skipped is asked all the same.
    let text = fs::read_to_string(here.join("fleet.csv")).unwrap();
    let again = text.lines().filter(|line| line.starts_with("v00006,")).nth(1).unwrap();
    fs::write(here.join("fleet.csv"), text.replace(again, &again.replacen(",1", ",2", 1))).unwrap();
    let (code, _, err) = ask(&here, "", &["--parts", "parts"]);
    assert!(code == 2 && err.contains("these are parts of another survey"), "{err}");
}

/// In a folder too: who is at work keeps its parts, whoever forgets.
#[test]
fn a_folder_is_not_forgotten_from_under_others() {
    let folder = tempfile::tempdir().unwrap();
    fleet(folder.path(), 1500);
    let (whole, ..) = one_run(folder.path());
    let kept = folder.path().join("parts");
    let mut child = started(folder.path(), &["--parts", "parts", "--threads", "1", "--csv", "a.csv"]);
    until("a part is done", || !parts(&kept).is_empty());
    let send = |signal: &str| {
        let sent = std::process::Command::new("kill").arg(signal).arg(child.id().to_string()).status();
        assert!(sent.unwrap().success());
    };
    send("-STOP");
    let forget = ["--parts", "parts", "--csv", "b.csv", "--forget"];
    let (code, _, err) = ran(survey(folder.path(), "fleet.csv", &forget));
    assert!(code == 2 && err.contains("Others are still at work"), "{err}");
    assert!(!parts(&kept).is_empty());
    send("-CONT");
    assert_eq!(child.wait().unwrap().code(), Some(2));
    let (code, _, err) = ran(survey(folder.path(), "fleet.csv", &forget));
    assert!(code == 2 && !err.contains("Others are still at work"), "{err}");
    assert!(["a.csv", "b.csv"].iter().all(|name| fs::read(folder.path().join(name)).unwrap() == whole[0]));
    assert!(parts(&kept).is_empty() && !kept.join("survey.json").exists());
    // It may be begun again there.
    let (code, _, err) = ran(survey(folder.path(), "fleet.csv", &forget));
    assert!(code == 2 && parts(&kept).is_empty(), "{err}");
}

#[test]
fn parts_of_another_survey_are_not_mixed_in() {
    let folder = tempfile::tempdir().unwrap();
    fleet(folder.path(), 3);
    ran(survey(folder.path(), "fleet.csv", &["--parts", "parts"]));
    fleet(folder.path(), 4);
    let (code, _, err) = ran(survey(folder.path(), "fleet.csv", &["--parts", "parts"]));
    assert!(code == 2 && err.contains("these are parts of another survey"), "{err}");
    // What a row's other file says is asked as well, even where it is of no use.
    fs::write(folder.path().join("fleet.csv"), "vehicle,more\na,more.toml\n").unwrap();
    for (text, code_wanted, words) in
        [("a = 1", 2, "skipped"), ("a = 1", 2, "1 found done"), ("a = 2", 2, "another survey")]
    {
        fs::write(folder.path().join("more.toml"), text).unwrap();
        let (code, _, err) = ran(survey(folder.path(), "fleet.csv", &["--parts", "with-more"]));
        assert!(code == code_wanted && err.contains(words), "{words}: {err}");
    }
    for share in ["0/2", "3/2", "x"] {
        let (code, _, err) = ran(survey(folder.path(), "fleet.csv", &["--parts", "p", "--share", share]));
        assert!(code == 2 && err.contains("write it like 2/4"), "{err}");
    }
}

/// What was asked in part before and in part after a change is no survey of either.
#[test]
fn vehicles_that_change_meanwhile_end_it() {
    let folder = tempfile::tempdir().unwrap();
    for more in [&["--parts", "parts", "--csv", "a.csv"][..], &["--csv", "a.csv"]] {
        fleet(folder.path(), 2500);
        let child = started(folder.path(), more);
        let begun = || {
            let names = fs::read_dir(folder.path()).unwrap().flatten();
            let mut names = names.map(|e| e.file_name().into_string().unwrap());
            names.any(|name| name.contains("a.csv") && name.contains("tmp"))
        };
        until("it has begun", begun);
        let text = fs::read_to_string(folder.path().join("fleet.csv")).unwrap();
        fs::write(folder.path().join("fleet.csv"), text.replace("v02499", "v99999")).unwrap();
        let ended = child.wait_with_output().unwrap();
        let err = String::from_utf8(ended.stderr).unwrap();
        assert!(
            ended.status.code() == Some(2) && err.contains("were changed while they were asked"),
            "{err}"
        );
        let kept =
            if more[0] == "--parts" { "the parts that were kept are of" } else { "nothing of it was kept" };
        assert!(err.contains(kept), "{err}");
        assert!(!folder.path().join("a.csv").exists());
        assert!(!folder.path().join("parts/part-000007.jsonl").exists());
    }
}

fn left_half(folder: &Path) -> Vec<String> {
    let names = fs::read_dir(folder).unwrap().flatten().map(|e| e.file_name().into_string().unwrap());
    names.filter(|name| name.ends_with("standfast-tmp")).collect()
}

/// Nothing that grew is left; a signal that the program was started to ignore ends nothing.
#[test]
fn a_signal_leaves_no_half_written_file() {
    use std::os::unix::process::ExitStatusExt as _;
    let folder = tempfile::tempdir().unwrap();
    fleet(folder.path(), 4000);
    let more = ["--csv", "a.csv", "--parquet", "a.parquet", "--jsonl", "a.jsonl"];
    let send = |signal: &str, child: &Child| {
        let sent = std::process::Command::new("kill").arg(signal).arg(child.id().to_string()).status();
        assert!(sent.unwrap().success());
    };
    for (signal, number) in [("-INT", 2), ("-TERM", 15), ("-HUP", 1)] {
        let mut child = started(folder.path(), &more);
        until("it has begun", || left_half(folder.path()).len() == 3);
        send(signal, &child);
        assert_eq!(child.wait().unwrap().signal(), Some(number));
        assert_eq!(left_half(folder.path()), [""; 0]);
        assert!(!folder.path().join("a.csv").exists());
    }
    let asked = survey(folder.path(), "fleet.csv", &more);
    let mut ignoring = std::process::Command::new("sh");
    ignoring.args(["-c", "trap '' HUP; exec \"$@\"", "sh"]).arg(asked.get_program()).args(asked.get_args());
    ignoring.current_dir(folder.path()).stdout(Stdio::null()).stderr(Stdio::null());
    let mut child = ignoring.spawn().unwrap();
    until("it has begun", || left_half(folder.path()).len() == 3);
    send("-HUP", &child);
    std::thread::sleep(Duration::from_millis(300));
    assert!(child.try_wait().unwrap().is_none(), "it goes on");
    send("-TERM", &child);
    assert_eq!(child.wait().unwrap().signal(), Some(15));
    assert_eq!(left_half(folder.path()), [""; 0]);
}

/// Who is done first takes nothing from those who are still at work; the last takes the parts away.
#[test]
fn workers_that_forget_take_nothing_from_each_other() {
    let Some(server) = place::Server::start() else { return };
    let shop = shop::Shop::ready_at(server.database());
    let folder = shop.folder.path();
    fleet(folder, 1500);
    let (whole, ..) = one_run(folder);
    let place = shop.place().unwrap();
    let database = place.split("///").nth(1).unwrap().split('?').next().unwrap().to_owned();
    let ask = |statement: &str| server.psql(&database, statement).unwrap().trim().to_owned();
    let more = |name: &'static str| vec!["--parts", place, "--threads", "1", "--csv", name, "--forget"];
    let names = ["a.csv", "b.csv", "c.csv"];
    let workers: Vec<Child> = names.into_iter().map(|name| started(folder, &more(name))).collect();
    for (child, name) in workers.into_iter().zip(names) {
        let ended = child.wait_with_output().unwrap();
        assert_eq!(ended.status.code(), Some(2), "{name}: {}", String::from_utf8(ended.stderr).unwrap());
        assert!(fs::read(folder.join(name)).unwrap() == whole[0], "{name}");
    }
    assert_eq!(ask("SELECT COUNT(*) FROM survey_part"), "0");
    // As long as another is at work the parts stay, and it is said; then they go.
    let (code, _, err) = ran(survey(folder, "fleet.csv", &["--parts", place]));
    assert_eq!(code, 2, "{err}");
    let share =
        "SELECT pg_advisory_lock_shared(hashtextextended(MIN(survey), 0)), pg_sleep(600) FROM survey_part";
    let at_work = || ask("SELECT COUNT(*) FROM pg_locks WHERE locktype = 'advisory'") != "0";
    std::thread::scope(|scope| {
        scope.spawn(|| server.psql(&database, share));
        until("somebody is at work", at_work);
        let (code, _, err) = ran(survey(folder, "fleet.csv", &more("a.csv")));
        assert!(code == 2 && err.contains("Others are still at work"), "{err}");
        assert_ne!(ask("SELECT COUNT(*) FROM survey_part"), "0");
        ask("SELECT pg_terminate_backend(pid) FROM pg_locks WHERE locktype = 'advisory'");
    });
    until("nobody is at work", || !at_work());
    let (code, _, err) = ran(survey(folder, "fleet.csv", &more("a.csv")));
    assert!(code == 2 && !err.contains("Others are still at work"), "{err}");
    assert_eq!(ask("SELECT COUNT(*) FROM survey_part"), "0");
    // Who loses the server is told that nothing is lost with it.
    let mut cut = started(folder, &["--parts", place, "--threads", "1"]);
    until("it is at work", || ask("SELECT COUNT(*) FROM survey_part WHERE answer IS NOT NULL") != "0");
    ask(
        "SELECT pg_terminate_backend(pid) FROM pg_stat_activity WHERE datname = current_database() AND pid <> pg_backend_pid()",
    );
    let mut said = String::new();
    std::io::Read::read_to_string(cut.stderr.as_mut().unwrap(), &mut said).unwrap();
    assert_eq!(cut.wait().unwrap().code(), Some(2));
    assert!(said.contains("help: start it again: what was done is kept\n"), "{said}");
    ask("DELETE FROM survey_part");
    // Parts that somebody takes out all the same end it, with what is true.
    let mut robbed = started(folder, &more("d.csv"));
    until("it is at work", || ask("SELECT COUNT(*) FROM survey_part WHERE answer IS NOT NULL") != "0");
    ask("DELETE FROM survey_part");
    let mut said = String::new();
    std::io::Read::read_to_string(robbed.stderr.as_mut().unwrap(), &mut said).unwrap();
    assert_eq!(robbed.wait().unwrap().code(), Some(2));
    assert!(said.contains("were taken out of the book while it was asked"), "{said}");
    assert!(!folder.join("d.csv").exists());
}

/// A book that is named only to keep the parts has limits all the same.
#[test]
fn the_limits_of_the_book_that_keeps_the_parts_hold() {
    let Some(server) = place::Server::start() else { return };
    let shop = shop::Shop::ready_at(server.database());
    let folder = shop.folder.path();
    fs::write(folder.join("fleet.csv"), table(30)).unwrap();
    fs::write(
        folder.join("limits.toml"),
        "standfast = \"limits/1\"\nedge_distance = { value = \"500 mm\" }\n",
    )
    .unwrap();
    shop.lead(&["enter", "limits", "limits.toml"]);
    let csv = |more: &[&str]| {
        let (code, out, err) = ran(survey(folder, "fleet.csv", &[&["--csv", "a.csv"], more].concat()));
        assert_eq!(code, 0, "{err}");
        (fs::read_to_string(folder.join("a.csv")).unwrap(), out)
    };
    let place = shop.place().unwrap();
    let wanted = csv(&["--limits", "limits.toml"]);
    assert!(
        wanted.1.contains("\nOther own limits: edge distance 500 mm (default 100 mm).\n"),
        "{}",
        wanted.1
    );
    assert_ne!(csv(&[]).0, wanted.0);
    assert_eq!(csv(&["--book", place]), wanted);
    assert_eq!(csv(&["--parts", place]), wanted);
    // What is named by itself goes before it.
    fs::write(folder.join("none.toml"), "standfast = \"limits/1\"\n").unwrap();
    assert_eq!(csv(&["--parts", place, "--limits", "none.toml"]).0, csv(&[]).0);
}

/// Four workers share a book of PostgreSQL, two of them are killed in the middle of a part: it is taken again, none twice.
#[test]
fn four_workers_share_a_book_and_two_are_killed() {
    let Some(server) = place::Server::start() else { return };
    let shop = shop::Shop::ready_at(server.database());
    let folder = shop.folder.path();
    fleet(folder, 2800);
    let (whole, ..) = one_run(folder);
    let place = shop.place().unwrap();
    let database = place.split("///").nth(1).unwrap().split('?').next().unwrap().to_owned();
    let ask = |statement: &str| server.psql(&database, statement).unwrap().trim().to_owned();
    let more = |name: &'static str| vec!["--parts", place, "--threads", "1", "--csv", name];
    let mut workers: Vec<Child> =
        ["a.csv", "b.csv", "c.csv", "d.csv"].into_iter().map(|name| started(folder, &more(name))).collect();
    // Two of them, each once it holds a part: all four do by then, as each part takes a while.
    until("all work", || {
        ask("SELECT COUNT(*) FROM pg_stat_activity WHERE state = 'idle in transaction' AND datname = current_database()")
            .parse::<u32>()
            .is_ok_and(|n| n >= 4)
    });
    for child in workers.drain(..2) {
        let mut child = child;
        child.kill().unwrap();
        child.wait().unwrap();
    }
    let left = ask("SELECT COUNT(*) FROM survey_part WHERE answer IS NULL").parse::<u32>().unwrap();
    assert!(left >= 2, "they were killed before the end: {left}");
    let mut by = std::collections::BTreeMap::new();
    for child in workers {
        let who = format!("process {}", child.id());
        let done = child.wait_with_output().unwrap();
        let said = String::from_utf8(done.stderr).unwrap();
        assert_eq!(done.status.code(), Some(2), "{said}");
        let told = said.lines().find(|line| line.contains("parts done here")).unwrap();
        by.insert(who, told.split(' ').next().unwrap().parse::<u64>().unwrap());
    }
    for name in ["c.csv", "d.csv"] {
        assert!(fs::read(folder.join(name)).unwrap() == whole[0], "{name}");
    }
    assert!(!folder.join("a.csv").exists() && !folder.join("b.csv").exists());
    // What each did was kept under its name: none was done by two.
    let all: u64 = ask("SELECT COUNT(*) FROM survey_part WHERE answer IS NOT NULL").parse().unwrap();
    for line in ask("SELECT done_by, COUNT(*) FROM survey_part GROUP BY done_by").lines() {
        let (who, count) = line.split_once('|').unwrap();
        assert!(by.get(who).is_none_or(|told| count.parse::<u64>().unwrap() == *told), "{line} {by:?}");
    }
    assert!(by.len() == 2 && by.values().all(|n| *n > 0), "both that lived had a part: {by:?}");
    assert!(all >= 8, "{all}");
    let rows = String::from_utf8(fs::read(folder.join("c.csv")).unwrap()).unwrap();
    let pairs: Vec<&str> = rows.lines().skip(1).collect();
    assert_eq!(pairs.iter().collect::<BTreeSet<_>>().len(), pairs.len(), "no pair twice");
    assert_eq!(pairs.len(), 3 * 2798);
}
