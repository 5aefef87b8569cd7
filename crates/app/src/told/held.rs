//! What holds a raise up, what that means where it stands, and how it is mended.

use jiff::Timestamp;
use records::{Hall, HoldPoint, Progress, Raise, Refusal, Why, stopped_by};

use crate::wire::board as wire;

/// One thing that holds a raise up.
pub(super) struct Cause {
    pub(super) why: String,
    /// How that is mended at the command line.
    pub(super) mended: &'static [&'static str],
}

const CHECKED: &str = "the check before use is entered with `standfast enter check`";
const EXAMINED: &str = "an examination is entered with `standfast enter examination`";
const CONFIRMED: &str = "the lead confirms an examination with `standfast enter confirmation`";
const FIRST_USED: &str = "the day of first use is entered with `standfast enter lift`";
const REPAIRED: &str = "a repair is entered with `standfast enter repair`";
const RETURNED: &str = "a lead or an examiner returns a lift to service with `standfast enter return`";
const WHOLE: &str = "that a vehicle is as its file says is entered with `standfast enter whole`";
const FORMER: &str = "the file that it was planned with is entered once more with `standfast enter`";
const LIMITS_STRUCK: &str =
    "limits that were entered since are struck out, the last first, with `standfast enter correction`";
const STRUCK: &str = "what was measured wrongly is struck out with `standfast enter correction`";

impl Cause {
    fn of_the_lift(why: &Why) -> Self {
        let mended: &[&str] = match why {
            Why::Unknown => &[],
            Why::NeverExamined(_)
            | Why::Overdue(..)
            | Why::Lapsed(_)
            | Why::FoundUnfit(_)
            | Why::AlteredSince(_) => &[EXAMINED, CONFIRMED],
            Why::FirstUseUnknown(_) => &[FIRST_USED],
            Why::NotConfirmed(_) => &[CONFIRMED],
            Why::Defect(..) => &[REPAIRED, RETURNED],
            Why::Tagged(_) => &[RETURNED],
            Why::NotChecked(_) | Why::NotCheckedSinceReturned(_) => &[CHECKED],
        };
        Self { why: why.to_string(), mended }
    }

    fn left(why: &Refusal) -> Self {
        let mended: &[&str] = match why {
            Refusal::LiftHolds(..) | Refusal::StandsElsewhere(..) => &[RETURNED],
            Refusal::NotWhole(..) => &[WHOLE],
            Refusal::FileChanged("limits") => &[FORMER, LIMITS_STRUCK],
            Refusal::FileChanged(_) => &[FORMER],
            _ => &[],
        };
        Self { why: without_stop(&why.to_string()), mended }
    }
}

fn without_stop(sentence: &str) -> String {
    sentence.trim_end_matches('.').to_owned()
}

/// What puts its lift out of service, or was left and is in the way, where the raise is not coming down for good: before it
/// goes on that must be mended.
pub(super) fn out_of_service(shop: &Hall, at: Timestamp, raise: &Raise) -> Vec<Cause> {
    if raise.progress.going_down {
        return vec![];
    }
    let unfit = stopped_by(shop, raise, at);
    let left = raise.in_the_way(shop);
    unfit.iter().map(Cause::of_the_lift).chain(left.iter().map(Cause::left)).collect()
}

/// What takes its lift out of service, and does not hold up its way down.
pub(super) fn told_on_the_way_down(shop: &Hall, at: Timestamp, raise: &Raise) -> Vec<String> {
    if !raise.progress.going_down || !raise.progress.is_up() {
        return vec![];
    }
    let is_told = |why: &&Why| matches!(why, Why::Defect(..) | Why::Tagged(_) | Why::FoundUnfit(_));
    stopped_by(shop, raise, at).iter().filter(is_told).map(|why| without_stop(&why.to_string())).collect()
}

/// What is known to be wrong with its lift and does not stop its use, before a vehicle is on it.
pub(super) fn open_defects(shop: &Hall, raise: &Raise) -> Vec<String> {
    let lift = shop.lifts.get(&raise.plan.lift).filter(|_| raise.progress.next() == Some(HoldPoint::Spotted));
    let open = lift.into_iter().flat_map(|lift| &lift.defects).filter(|(_, defect)| !defect.stops_use);
    open.map(|(number, defect)| {
        format!("defect {number} is open and does not stop its use: {}", without_stop(&defect.words))
    })
    .collect()
}

/// The files that are others in the book than it was planned with.
pub(super) fn other_files(shop: &Hall, raise: &Raise) -> Vec<Cause> {
    raise.other_files(shop).iter().map(Cause::left).collect()
}

/// What holds it up of a check of it as it is now. `check` = what of it fails; `None` = nobody looked, and until somebody has,
/// what was measured since holds it up. Where it rests on its locks people may be at it, though only the way down is ahead.
pub(super) fn fails(progress: &Progress, check: Option<&[String]>) -> Vec<Cause> {
    let why: Vec<String> = match check {
        _ if comes_down_unheld(progress) => vec![],
        Some(why) => why.iter().map(|why| without_stop(why)).collect(),
        None if progress.is_to_be_checked_again() => {
            vec!["it was measured since its plan passed a check, or that check failed".to_owned()]
        }
        None => vec![],
    };
    why.into_iter().map(|why| Cause { why, mended: &[STRUCK] }).collect()
}

/// Whether it comes down, held up by nothing.
pub(super) fn comes_down_unheld(progress: &Progress) -> bool {
    progress.is_coming_down() && !progress.rests_for_work()
}

/// How all of that is mended, each way said once.
pub(super) fn mended(causes: &[Cause]) -> Vec<String> {
    let mut ways: Vec<&str> = vec![];
    for way in causes.iter().flat_map(|cause| cause.mended) {
        if !ways.contains(way) {
            ways.push(way);
        }
    }
    ways.into_iter().map(str::to_owned).collect()
}

/// What the held-up raise waits for, and what ends it; how that is done is said where it can be done. One that comes down
/// already is not to be brought down once more, which would end it.
pub(crate) fn held_means(raise: &wire::Raise) -> &'static str {
    match raise.position {
        "away" => {
            "Nothing is driven onto the lift while that is so: wait until that is mended, or end the raise"
        }
        "floor" => {
            "It stays on the floor, and nobody works at it, while that is so: wait until that is mended, or end the raise"
        }
        _ if raise.comes_down => {
            "It comes down: what comes next is the way, and nothing else is done at it while that is so"
        }
        _ if !raise.waits => {
            "But for what comes next it goes no farther, nobody works at it, and nobody goes to it where it hangs on its arms, \
             while that is so: bring it down"
        }
        _ => {
            "It goes no farther, nobody works at it, and nobody goes to it where it hangs on its arms, while that is so: bring it \
             down"
        }
    }
}

/// Why it is held up, in one line, and what else there is of it.
pub(crate) fn held(raise: &wire::Raise) -> Option<(String, &[String])> {
    let (first, others) = raise.held_up.split_first()?;
    Some((format!("HELD UP: {first}."), others))
}
