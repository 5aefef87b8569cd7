//! What the book answers to other programs: the board of today, and where a raise stands.

use schemars::JsonSchema;
use serde::Serialize;

/// The board's name and version.
pub(crate) const CONTRACT: &str = "standfast/board/1";
/// The same of a raise.
pub(crate) const RAISE: &str = "standfast/raise/1";

/// Answer of `book show --json`.
#[derive(Debug, Serialize, JsonSchema)]
pub(crate) struct Board {
    /// Name and version of this form.
    pub(crate) contract: &'static str,
    /// The shop's name.
    pub(crate) shop: String,
    /// Today in the shop's zone, YYYY-MM-DD.
    pub(crate) day: String,
    /// The rules that it goes by.
    pub(crate) rules: String,
    /// Whether the clock stands before the last event of the book.
    pub(crate) clock_behind: bool,
    /// Its lifts.
    pub(crate) lifts: Vec<BoardLift>,
    /// Raises that have not ended.
    pub(crate) raises: Vec<Raise>,
    /// Who belongs to it.
    pub(crate) people: Vec<BoardPerson>,
}

/// A lift today.
#[derive(Debug, Serialize, JsonSchema)]
pub(crate) struct BoardLift {
    /// Its name in the book.
    pub(crate) lift: String,
    /// Where it stands.
    pub(crate) bay: String,
    /// What it may carry.
    pub(crate) capacity: String,
    /// Whether it may be used now.
    pub(crate) fit: bool,
    /// Every reason why not.
    pub(crate) why_not: Vec<String>,
    /// What is due, by when.
    pub(crate) due: Vec<DueDay>,
    /// Whether that is sooner than its reports say, as the clock or the zone was set back since.
    pub(crate) due_sooner: bool,
    /// Which of the two it was, in words.
    pub(crate) due_sooner_because: Option<String>,
    /// Defects that are not closed.
    pub(crate) defects: Vec<OpenDefect>,
    /// The raise that is on it.
    pub(crate) raise: Option<u64>,
    /// The vehicle that a raise left there when it ended, with which parts off or on, and whether on stands; or that after a
    /// salvage nobody knows what is on it. In words.
    pub(crate) left_there: Option<String>,
}

/// Something that is due.
#[derive(Debug, Serialize, JsonSchema)]
pub(crate) struct DueDay {
    /// What.
    pub(crate) what: String,
    /// The last day; nothing = not known, as none was done before.
    pub(crate) by: Option<String>,
}

/// A defect that is not closed.
#[derive(Debug, Serialize, JsonSchema)]
pub(crate) struct OpenDefect {
    /// Its number.
    pub(crate) defect: u64,
    /// What is wrong.
    pub(crate) words: String,
    /// Whether the lift may not be used with it.
    pub(crate) stops_use: bool,
    /// Whether it was repaired.
    pub(crate) repaired: bool,
}

/// Somebody of the shop.
#[derive(Debug, Serialize, JsonSchema)]
pub(crate) struct BoardPerson {
    /// Their name in the book.
    pub(crate) person: String,
    /// Their name.
    pub(crate) name: String,
    /// What they are.
    pub(crate) role: String,
    /// Day of the last instruction.
    pub(crate) instructed: Option<String>,
    /// From when they are authorised in writing.
    pub(crate) authorised: Option<String>,
}

/// Answer of `raise show --json` and of every other verb of a raise.
#[derive(Debug, Serialize, JsonSchema)]
pub(crate) struct Raise {
    /// Name and version of this form.
    pub(crate) contract: &'static str,
    /// Its number.
    pub(crate) raise: u64,
    /// On which lift.
    pub(crate) lift: String,
    /// Which vehicle.
    pub(crate) vehicle: String,
    /// The job's name; empty = raised and lowered only.
    pub(crate) job: String,
    /// Who leads it.
    pub(crate) leader: String,
    /// Who gave the limits that it was planned with, where they are not the shop's.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub(crate) other_limits_of: Option<String>,
    /// How high it is, as far as it is known: away, floor, test-raising, test-height, raising, raised, on-locks; unknown = the
    /// book was salvaged, and events may be lost.
    pub(crate) position: &'static str,
    /// The same in words.
    pub(crate) it_is: String,
    /// What puts the lift out of service, was left on it or off the vehicle, or fails at the check by what was measured since, so
    /// that the raise goes no farther until that is mended; nothing = it may go on, or comes down for good.
    pub(crate) held_up: Vec<String>,
    /// How each of that is mended, at the command line.
    pub(crate) mended: Vec<String>,
    /// Whether the next one cannot be confirmed while that is so.
    pub(crate) waits: bool,
    /// Whether the next one can be confirmed all the same, with words: that the part is off or on already.
    pub(crate) may_be_done_already: bool,
    /// Whether only the way down is left.
    pub(crate) going_down: bool,
    /// Whether what comes next is the way down, for good or to have its pads seated again.
    pub(crate) comes_down: bool,
    /// What was confirmed, in order.
    pub(crate) done: Vec<Point>,
    /// What is to be confirmed next; nothing = it has ended.
    pub(crate) next: Option<Point>,
    /// Everything that is left, the next one first.
    pub(crate) ahead: Vec<Point>,
    /// What to look and listen for before the next one is confirmed.
    pub(crate) look_for: Vec<String>,
    /// The last event by which this is so: `raise confirm --seen` confirms by it.
    pub(crate) seen: u64,
}

/// A hold point.
#[derive(Clone, Debug, Serialize, JsonSchema)]
pub(crate) struct Point {
    /// Its name on the command line.
    pub(crate) point: String,
    /// What is confirmed by it.
    pub(crate) sentence: String,
}
