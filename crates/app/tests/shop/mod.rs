//! A shop with its book in a folder of its own, led by the command line alone.

#![allow(
    clippy::panic,
    clippy::unwrap_used,
    dead_code,
    reason = "helpers of several tests, which stop at what they did not expect"
)]

use std::path::{Path, PathBuf};
use std::process::{Command, Output};
use std::sync::OnceLock;

/// PINs of the people, by their names.
const PINS: [(&str, &str); 4] =
    [("r-holt", "2580"), ("m-quill", "1357"), ("t-ash", "8642"), ("l-fenn", "9753")];

/// Everything that is looked at before use.
pub(crate) const ALL_RIGHT: &str =
    "hold-to-run,positioning-marks,locks,arm-restraints,synchronisation,leaks,pads,clearance";

pub(crate) struct Shop {
    pub(crate) folder: tempfile::TempDir,
    /// Where the book is; `None` = a file where the program looks for it.
    place: Option<String>,
}

pub(crate) struct Said {
    pub(crate) code: i32,
    pub(crate) out: String,
    pub(crate) err: String,
}

pub(crate) fn demo(path: &str) -> PathBuf {
    Path::new(env!("CARGO_MANIFEST_DIR")).join("../../demo").join(path)
}

/// A zone in which it is about noon now, so that no test runs into the next day. Etc/GMT+5 is west of Greenwich.
fn zone() -> String {
    let hour = jiff::Timestamp::now().to_zoned_datetime(jiff::tz::TimeZone::UTC).hour();
    match 12 - hour {
        0 => "Etc/GMT".to_owned(),
        east @ 1.. => format!("Etc/GMT-{east}"),
        west => format!("Etc/GMT+{}", -west),
    }
}

pub(crate) fn today() -> String {
    jiff::Timestamp::now().to_zoned_datetime(jiff::tz::TimeZone::get(&zone()).unwrap()).date().to_string()
}

impl Shop {
    /// A book with its first lead.
    pub(crate) fn new() -> Self {
        Self::begin(None)
    }

    fn begin(place: Option<String>) -> Self {
        let shop = Self { folder: tempfile::tempdir().unwrap(), place };
        shop.fine(
            "r-holt",
            &[
                "book",
                "new",
                "--shop",
                "Tarnwick Motor Works",
                "--zone",
                &zone(),
                "--rules",
                "germany",
                "--lead",
                "r-holt",
                "--name",
                "R. Holt",
                "--of-age",
                "2000-01-01",
            ],
        );
        shop
    }

    /// With people, two lifts that are fit, and vehicles: made once, each test has its own copy of the book.
    pub(crate) fn ready() -> Self {
        static MADE: OnceLock<Shop> = OnceLock::new();
        let made = MADE.get_or_init(|| Self::make(None));
        let shop = Self { folder: tempfile::tempdir().unwrap(), place: None };
        for file in std::fs::read_dir(made.folder.path()).unwrap().flatten() {
            std::fs::copy(file.path(), shop.folder.path().join(file.file_name())).unwrap();
        }
        shop
    }

    /// The same in a database.
    pub(crate) fn ready_at(place: String) -> Self {
        Self::make(Some(place))
    }

    /// Where that is.
    pub(crate) fn place(&self) -> Option<&str> {
        self.place.as_deref()
    }

    fn make(place: Option<String>) -> Self {
        let shop = Self::begin(place);
        let today = today();
        for (person, name, role) in [
            ("m-quill", "M. Quill", "examiner"),
            ("t-ash", "T. Ash", "technician"),
            ("l-fenn", "L. Fenn", "learner"),
        ] {
            shop.lead(&["enter", "person", person, "--name", name, "--role", role, "--of-age", "2001-05-05"]);
            shop.set_pin(person);
        }
        for person in ["r-holt", "t-ash", "l-fenn"] {
            shop.lead(&["enter", "instruction", person, "--on", &today, "--subject", "two-post lifts"]);
        }
        for person in ["r-holt", "t-ash"] {
            shop.lead(&["enter", "authorisation", person, "--from", &today, "--paper", "folder 3"]);
        }
        for lift in ["north-bay", "mill-bay"] {
            let file = demo(&format!("lifts/{lift}.toml"));
            shop.lead(&[
                "enter",
                "lift",
                lift,
                file.to_str().unwrap(),
                "--maker",
                "Own works",
                "--model",
                "A 2",
                "--serial",
                "17",
                "--year",
                "2019",
            ]);
            shop.examined(lift, &today);
            shop.check(lift);
        }
        for vehicle in ["hatchback", "pickup"] {
            let file = demo(&format!("vehicles/{vehicle}.toml"));
            shop.lead(&["enter", "vehicle", vehicle, file.to_str().unwrap()]);
        }
        shop
    }

    pub(crate) fn set_pin(&self, person: &str) {
        let pin = PINS.iter().find(|p| p.0 == person).unwrap().1;
        let output = self.command("r-holt", &["enter", "pin", person]).env("STANDFAST_NEW_PIN", pin).output();
        assert!(output.unwrap().status.success());
    }

    /// Examined on that day, and confirmed.
    pub(crate) fn examined(&self, lift: &str, on: &str) {
        let said = self.fine(
            "m-quill",
            &[
                "enter",
                "examination",
                lift,
                "--on",
                on,
                "--fit",
                "yes",
                "--field",
                "scope=all",
                "--field",
                "defects=none",
                "--field",
                "retest=no",
                "--field",
                "examiner=M. Quill",
                "--field",
                "examiner-address=Tarnwick",
                "--field",
                "signature=folder 4",
            ],
        );
        let number = said.split("(examination ").nth(1).unwrap().split(',').next().unwrap();
        self.lead(&["enter", "confirmation", number]);
    }

    pub(crate) fn check(&self, lift: &str) {
        self.fine("t-ash", &["enter", "check", lift, "--right", ALL_RIGHT]);
    }

    /// The program in the shop's folder, for somebody with their own PIN.
    pub(crate) fn command(&self, person: &str, arguments: &[&str]) -> Command {
        let mut command = Command::new(env!("CARGO_BIN_EXE_standfast"));
        command.args(arguments).current_dir(self.folder.path());
        for variable in ["STANDFAST_BOOK", "STANDFAST_PIN", "STANDFAST_SECOND_PIN", "STANDFAST_NEW_PIN"] {
            command.env_remove(variable);
        }
        if let Some(place) = &self.place {
            command.env("STANDFAST_BOOK", place);
        }
        if !person.is_empty() {
            command.env("STANDFAST_PIN", PINS.iter().find(|p| p.0 == person).unwrap().1);
            if arguments[1] != "new" {
                command.args(["--as", person]);
            }
        }
        command
    }

    pub(crate) fn run(&self, person: &str, arguments: &[&str]) -> Said {
        said(self.command(person, arguments).output().unwrap())
    }

    /// It must be done; what it says.
    pub(crate) fn fine(&self, person: &str, arguments: &[&str]) -> String {
        let said = self.run(person, arguments);
        assert_eq!(said.code, 0, "{arguments:?}: {}{}", said.out, said.err);
        said.out
    }

    pub(crate) fn lead(&self, arguments: &[&str]) -> String {
        self.fine("r-holt", arguments)
    }

    /// Without anybody's name.
    pub(crate) fn look(&self, arguments: &[&str]) -> String {
        self.fine("", arguments)
    }

    /// It must be refused, for that reason; every line is a sentence.
    pub(crate) fn refused(&self, person: &str, arguments: &[&str], why: &str) {
        let said = self.run(person, arguments);
        assert_eq!(said.code, 1, "{arguments:?}: {}{}", said.out, said.err);
        assert!(said.err.contains(why), "{arguments:?}: {}", said.err);
        let reasons: Vec<&str> = said.err.lines().filter(|l| !l.starts_with("Checked: ")).collect();
        assert!(reasons.iter().all(|l| l.starts_with("refused: ") && l.ends_with('.')), "{}", said.err);
    }

    /// Next hold point of the only raise; `None` = none is under way.
    pub(crate) fn next(&self) -> Option<String> {
        Some(self.shown()?[0].clone())
    }

    /// The same, with the event up to which it is shown.
    pub(crate) fn shown(&self) -> Option<[String; 2]> {
        let all: serde_json::Value = serde_json::from_str(&self.look(&["raise", "show", "--json"])).unwrap();
        let now = all.get(0)?;
        Some([now["next"]["point"].as_str().unwrap().to_owned(), now["seen"].to_string()])
    }

    /// Confirms hold points until that one is next.
    pub(crate) fn confirm_until(&self, person: &str, until: &str) {
        for _ in 0..40 {
            let Some([next, seen]) = self.shown() else { panic!("{until} never came") };
            if next == until {
                return;
            }
            self.fine(person, &["raise", "confirm", &next, "--seen", &seen]);
        }
        panic!("{until} never came");
    }

    pub(crate) fn to_the_end(&self, person: &str) {
        self.to_its_end(person, "driven-off");
    }

    pub(crate) fn to_its_end(&self, person: &str, last: &str) {
        self.confirm_until(person, last);
        let [_, seen] = self.shown().unwrap();
        self.fine(person, &["raise", "confirm", last, "--seen", &seen]);
        assert_eq!(self.next(), None);
    }
}

pub(crate) fn said(output: Output) -> Said {
    Said {
        code: output.status.code().unwrap_or(-1),
        out: String::from_utf8(output.stdout).unwrap(),
        err: String::from_utf8(output.stderr).unwrap(),
    }
}

/// A pseudo-terminal: its keys and screen, the side that a program has, and where that is.
#[cfg(unix)]
pub(crate) fn terminal() -> (std::fs::File, std::fs::File, String) {
    use rustix::pty::{OpenptFlags, grantpt, openpt, ptsname, unlockpt};
    let keyboard = openpt(OpenptFlags::RDWR | OpenptFlags::NOCTTY).unwrap();
    grantpt(&keyboard).unwrap();
    unlockpt(&keyboard).unwrap();
    let path = ptsname(&keyboard, vec![]).unwrap().into_string().unwrap();
    let noctty = i32::try_from(rustix::fs::OFlags::NOCTTY.bits()).unwrap();
    let mut options = std::fs::File::options();
    std::os::unix::fs::OpenOptionsExt::custom_flags(options.read(true).write(true), noctty);
    (std::fs::File::from(keyboard), options.open(&path).unwrap(), path)
}
