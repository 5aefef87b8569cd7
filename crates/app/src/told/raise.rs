//! Where a raise stands, what comes next, what to look and listen for.

use std::cmp::Ordering;
use std::fmt::Write as _;

use jiff::Timestamp;
use records::{Act, Hall, HoldPoint, May, Outline, PersonId, Position, Progress, Raise, RaiseNumber, may};
use sheets::units::Round;
use sheets::words::{self, Moment, capital};
use sheets::{Scene, Units};
use statics::Length;

use super::held::{self, comes_down_unheld};
pub(crate) use super::held::{held, held_means};
use crate::wire::board as wire;

/// What is confirmed; a rise that is needed is rounded up.
pub(crate) fn sentence(point: HoldPoint, outline: &Outline, units: Units) -> String {
    let rise = |mm: u16| units.length_to(Length::metres(f64::from(mm) / 1000.0), Round::Up);
    point.sentence(outline, rise)
}

/// Hold point, what to look and listen for before it is confirmed. Common practice, no source, where nothing is named.
/// `unfinished` is the state in which it comes down, where work was begun and not ended; `from` the lock that it leaves, by
/// which only the way that it goes is told.
pub(crate) fn look_for(
    point: HoldPoint,
    outline: &Outline,
    unfinished: Option<&str>,
    from: Option<u16>,
) -> Vec<String> {
    if let (Some(state), Some(look)) = (unfinished, where_parts_are_off(point)) {
        return vec![format!("The work is not ended: {state}. {look}")];
    }
    match point {
        HoldPoint::HeightReached(later) => on_the_way(way(outline, later, from)),
        _ => usual(point, outline).into_iter().map(str::to_owned).collect(),
    }
}

/// The lock that it was brought to last.
pub(crate) fn gone_to(progress: &Progress) -> Option<u16> {
    let outline = &progress.outline;
    let gone = progress.done.iter().rev().find_map(|(_, point)| match point {
        HoldPoint::Raised => Some(outline.lock),
        HoldPoint::HeightReached(later) => Some(lock_of(outline, *later)),
        _ => None,
    });
    gone.unwrap_or(outline.lock)
}

fn lock_of(outline: &Outline, later: u16) -> Option<u16> {
    outline.later.get(usize::from(later)).map(|later| later.lock)
}

/// Whether it goes up or down to one of the later locks, if it is known from where.
fn way(outline: &Outline, later: u16, from: Option<u16>) -> Option<Ordering> {
    Some(lock_of(outline, later)?.cmp(&from?))
}

fn on_the_way(way: Option<Ordering>) -> Vec<String> {
    const UP: &str = "listen, each lock drops in on both columns. One not heard: stop.";
    const DOWN: &str = "hold the release by hand, and let go of it above the lock.";
    const ALIKE: &str = "Look: both carriages move alike; nobody under it.";
    let alone = |way: &str| vec![capital(way), ALIKE.to_owned()];
    match way {
        Some(Ordering::Less) => alone(DOWN),
        Some(Ordering::Greater) => alone(UP),
        _ => vec![format!("Up: {UP}"), format!("Down: {DOWN}"), ALIKE.to_owned()],
    }
}

/// The state in which it comes down, where the work is not ended, or may not be.
pub(crate) fn left_undone(progress: &Progress) -> Option<String> {
    if progress.position == Position::Unknown && progress.ahead.contains(&HoldPoint::LeftOnFloor) {
        return Some("which parts are off is not known".to_owned());
    }
    progress.unfinished().filter(|_| progress.is_coming_down())
}

/// What comes in the place of the usual where parts are off or on that the job did not mean to end with.
const fn where_parts_are_off(point: HoldPoint) -> Option<&'static str> {
    match point {
        HoldPoint::AreaClear => Some(
            "Before it goes down look what it will stand on: where a wheel or its axle is off, a stand or a trolley bears there. \
             Nobody under or around it; doors shut; parts and tools away.",
        ),
        HoldPoint::FullyDown => Some(
            "Down only as far as it is borne: not all four wheels may carry. Look: both carriages come down alike; stop if one \
             hangs. Feet and jacks clear.",
        ),
        HoldPoint::LeftOnFloor => Some(
            "Look: it stands by itself and cannot roll. It is not driven; the lift is out of service until a lead or an examiner says it is clear.",
        ),
        _ => None,
    }
}

/// What comes besides where a vehicle with parts off is raised from what it was let down on.
const fn raised_with_parts_off(point: HoldPoint) -> Option<&'static str> {
    match point {
        HoldPoint::PadsSeated => Some(
            "Where a wheel or its axle is off, the stand or trolley that bears there stays until the pads bear, and is fast to \
             nothing that rises.",
        ),
        HoldPoint::TestRaised => {
            Some("Look: it has come clear of each stand or trolley that it stood on, and lifts none with it.")
        }
        HoldPoint::Raised => Some(
            "Before it goes higher each stand or trolley that it stood on is out from under it, drawn out from beside it.",
        ),
        _ => None,
    }
}

fn usual(point: HoldPoint, outline: &Outline) -> Vec<&'static str> {
    match point {
        HoldPoint::Spotted => vec![
            "Look: front wheel where the plan puts it, middle of the vehicle in the middle of the bay, square to the columns.",
            "Brake off or on as the vehicle maker says, nobody left in it.",
        ],
        HoldPoint::PadsSeated => vec![
            "Look: each pad under its lifting point, whole, clean, adapters as the plan says, as needed where it names none, all four \
             touching.",
            "Look: no line, cable, sill or cover between pad and vehicle.",
        ],
        HoldPoint::ArmLocksEngaged => vec![
            "Push each arm sideways: it must not swing.",
            "Where the locks drop in only as the carriages leave the floor: raise until the pads touch, and push again.",
        ],
        HoldPoint::TestRaised => {
            let low = "A lock lies as low as this: listen that it drops in on both columns, together. One not heard: stop.";
            let look = "Look: all four tyres clear, all four pads still seated, arms in their places, carriages level.";
            outline.test_raise_reaches_a_lock().then_some(low).into_iter().chain([look]).collect()
        }
        HoldPoint::Shaken => vec![
            "Shake it at both ends, sideways and lengthwise. Listen: no knock, no creak. Look: no pad moves.",
            "Any noise or movement: down, and seat the pads again.",
        ],
        HoldPoint::PadRechecked(_) => {
            vec!["By hand: this pad bears and does not turn; the shake alone does not prove it."]
        }
        HoldPoint::Raised if outline.lock.is_some() => vec![
            "Listen: each lock drops in on both columns, together. One not heard: stop.",
            "Look: roof against ceiling, doors and mirrors against columns; nobody under it.",
        ],
        HoldPoint::Raised => {
            vec!["Look: roof against ceiling, doors and mirrors against columns; nobody under it."]
        }
        HoldPoint::HeightReached(_) => vec![],
        HoldPoint::OnLocks => {
            vec![
                "Listen: both columns come to rest. Look: both carriages sit on their locks. Nobody goes under before that.",
            ]
        }
        HoldPoint::StepDone(_) => {
            vec!["Look: pads seated before and after. The part is held before its last bolt comes out."]
        }
        HoldPoint::StepUndone(_) => vec![
            "It may be otherwise, or half so: look. Put it back as it was, fastened, from beside it; where it is so already, that is looked at.",
            "The stands stay until then: they bear what that part no longer balances.",
        ],
        HoldPoint::StandsSet => {
            vec![
                "Look: each stand where the plan puts it, screwed up to the load that the plan gives, read on a scale or a load cell: no less, \
                 no more; where it cannot be read, none is set. The lift is not lowered onto it.",
                "The load that was read of each is written as words with the confirmation, with its unit.",
                "From then on the screw is not turned again, though the load changes of itself.",
                "From here until they are away: nobody goes under, and the lift is moved neither up nor down.",
            ]
        }
        HoldPoint::StandsAway => vec![
            "Each stand is let down by its screw, little by little and all alike, until it bears nothing, then taken out, from beside it; the \
             lift is not moved for it.",
            "Look: every stand out from under it, and out of the way down.",
        ],
        HoldPoint::AreaClear => {
            vec!["Look: nobody and nothing under or around it; doors shut; parts and tools away."]
        }
        HoldPoint::OffLocks => {
            vec![
                "Where it rests on a lock, on one column or both: raise a little. Listen: both columns come free.",
            ]
        }
        HoldPoint::LocksReleased => {
            vec!["Hold the release by hand, never tied back. Look: both columns are free."]
        }
        HoldPoint::FullyDown => vec![
            "Look: both carriages come down alike; stop if one hangs. Feet and jacks clear.",
            "Down to the stop: all four wheels carry.",
        ],
        HoldPoint::ArmsClear => vec!["Look: all four arms swung out of the way of the wheels and sills."],
        HoldPoint::DrivenOff => vec!["Look: the way is free; the brake pedal is firm before it rolls."],
        HoldPoint::LeftOnFloor => vec!["Look: it stands by itself and cannot roll."],
    }
}

/// The conditions of the plan that are met at a point.
pub(crate) fn conditions_at(scene: &Scene<'_>, point: HoldPoint, units: Units) -> Vec<String> {
    let moment = match point {
        HoldPoint::Spotted => Moment::Spotted,
        HoldPoint::PadsSeated => Moment::Pads,
        HoldPoint::TestRaised => Moment::TestRaise,
        HoldPoint::StepDone(step) => Moment::Step(usize::from(step)),
        HoldPoint::AreaClear => Moment::Last,
        _ => return vec![],
    };
    words::conditions_at(scene, moment, units).into_iter().map(|said| format!("Condition: {said}")).collect()
}

/// Whether stands stand that are not taken away next.
fn stays_set(progress: &Progress) -> bool {
    progress.stands_set && progress.next() != Some(HoldPoint::StandsAway)
}

/// How the load of stands changes of itself, where they are set and while they stand.
pub(crate) fn stands_left_alone(scene: &Scene<'_>, progress: &Progress, units: Units) -> Option<String> {
    let next = progress.next();
    let stand = next == Some(HoldPoint::StandsSet) || stays_set(progress);
    words::stands_left_alone(scene, units).filter(|_| stand)
}

/// Whether work may be done at it now, before the next point; where a step back was taken, that nobody may. That stands bear
/// it is said whatever comes next.
pub(crate) fn work_now(progress: &Progress, is_held_up: bool) -> Vec<String> {
    const ALONE: &str =
        " As parts come off and go on their load changes of itself: the screw is not turned again.";
    let alone = if stays_set(progress) { ALONE } else { "" };
    let stands = progress.stands_set.then(|| format!("It rests on stands too: nobody under it.{alone}"));
    stands.into_iter().chain(work(progress, is_held_up)).collect()
}

fn work(progress: &Progress, is_held_up: bool) -> Option<String> {
    if is_held_up && !progress.is_to_be_seated_again() {
        return None;
    }
    let rests = progress.position == Position::OnLocks && !progress.going_down;
    let now = match progress.next()? {
        HoldPoint::StepDone(_) | HoldPoint::StepUndone(_) if progress.is_coming_down() => {
            "It comes down: nothing is done at it but this, from beside it, before its stands are taken away."
        }
        // As what it was found is looked at first.
        HoldPoint::StepDone(_) if progress.found_still().next().is_some() => return None,
        HoldPoint::StepDone(_) if rests && progress.stands_set => {
            "It rests on its locks: work at it now from beside it. Confirm once the part is off or on."
        }
        _ if progress.is_to_be_seated_again() => {
            "Nobody goes under it to work: it comes down first, and its pads are seated again."
        }
        HoldPoint::StepDone(_) if rests => {
            "It rests on its locks: work at it now. Confirm once the part is off or on."
        }
        HoldPoint::AreaClear if rests => match progress.moves_to_lock() {
            Some(lock) => {
                return Some(format!(
                    "It rests on its locks: what is to be done at this height is done first; the lift then moves to lock \
                     {lock}, with nobody under it."
                ));
            }
            None => {
                "It rests on its locks: the work may be done now. Go on here only once all of it is done and it is to come down."
            }
        },
        _ => return None,
    };
    Some(now.to_owned())
}

/// What is asked with the confirmation where what was measured before it was refused.
pub(crate) fn refused_before(progress: &Progress, is_held_up: bool) -> Option<&'static str> {
    (progress.asks_what_was_changed() && !is_held_up).then_some(
        "What was measured here was refused: set it right and measure it again, or confirm with words that say what was changed.",
    )
}

/// What to type where it is otherwise.
pub(crate) fn typed(point: HoldPoint, outline: &Outline, from: Option<u16>) -> Option<&'static str> {
    match point {
        HoldPoint::Spotted => Some(
            "Not quite there: `standfast raise measured --spot .. --offset .. --yaw ..` checks the plan as it stands.",
        ),
        HoldPoint::Shaken => Some("Not still: `standfast raise noise` or `standfast raise moved`."),
        HoldPoint::TestRaised if !outline.test_raise_reaches_a_lock() => None,
        HoldPoint::HeightReached(later) if way(outline, later, from) != Some(Ordering::Less) => {
            Some("On the way up a lock that was not heard: `standfast raise lock-not-heard`.")
        }
        HoldPoint::TestRaised | HoldPoint::Raised if outline.lock.is_some() => {
            Some("A lock that was not heard: `standfast raise lock-not-heard`.")
        }
        _ => None,
    }
}

/// Whether that person leads it only with somebody beside them; its way down nobody waits for.
pub(crate) fn needs_second(shop: &Hall, raise: &Raise, person: &PersonId) -> bool {
    let role = shop.people.get(person).map(|person| person.role);
    let with_second = role.is_some_and(|role| may(role, Act::Raise) == May::WithSecond);
    with_second && !(raise.leader == *person && raise.progress.is_left_to_whoever_leads())
}

/// What to look for first where the book was salvaged.
const LOST: [&str; 3] = [
    "CAUTION: the book was salvaged, and events of this raise may be lost. Look first how high it stands, which parts are off, whether stands stand under it and whether it rests on its locks.",
    "Bring it down as it stands, or abandon the raise.",
    "Stands may bear what parts that are off no longer balance: where such parts are off, put them on again before a stand is taken away.",
];

/// What comes before all else where events of it may be lost.
pub(crate) fn lost(progress: &Progress) -> &'static [&'static str] {
    match (progress.position, progress.next()) {
        (Position::Unknown, Some(HoldPoint::StandsAway)) => &LOST,
        (Position::Unknown, _) => &LOST[..2],
        _ => &[],
    }
}

const fn position(position: Position) -> &'static str {
    match position {
        Position::Away => "away",
        Position::Floor => "floor",
        Position::TestRaising => "test-raising",
        Position::TestHeight => "test-height",
        Position::Raising => "raising",
        Position::Raised => "raised",
        Position::OnLocks => "on-locks",
        Position::Unknown => "unknown",
    }
}

/// How high it is, in words.
pub(crate) fn where_it_is(progress: &Progress) -> String {
    let stands = if progress.stands_set { ", and on stands: nobody under it" } else { "" };
    let place: String = match (progress.position, progress.outline.lock) {
        (Position::Away, _) => "not on the lift".into(),
        (Position::Floor, _) if progress.unfinished().is_some() => "down".into(),
        (Position::Floor, _) => "on its wheels".into(),
        (Position::TestRaising, _) if progress.unfinished().is_some() => {
            "down or on the way to the test height".into()
        }
        (Position::TestRaising, _) => "on its wheels or on the way to the test height".into(),
        (Position::TestHeight, _) => "just clear of the floor".into(),
        (Position::Raising, Some(lock)) => format!("between the test height and lock {lock}"),
        (Position::Raising, None) => "between the test height and the working height".into(),
        (Position::Raised, _) => "up, held by the lift".into(),
        (Position::OnLocks, _) => "up, resting on the locks".into(),
        (Position::Unknown, _) => "NOT KNOWN WHERE".into(),
    };
    place + stands
}

/// What is told of its lift and holds nothing up; and what of that check fails, where it comes down all the same.
pub(crate) fn cautions(shop: &Hall, at: Timestamp, raise: &Raise, check: &[String]) -> Vec<String> {
    let lift = held::told_on_the_way_down(shop, at, raise);
    let doubt = (!lift.is_empty()).then(|| {
        "It comes down only as far as that lets it come down safely. In doubt it stays as it is, with nobody under or around \
         it, until a competent person decides."
            .to_owned()
    });
    let open = held::open_defects(shop, raise);
    let lift = lift.iter().chain(&open).map(|why| format!("CAUTION: {}: {why}.", raise.plan.lift));
    let check = check.iter().filter(|_| comes_down_unheld(&raise.progress));
    let check = check.map(|why| format!("CAUTION: {}.", capital(why.trim_end_matches('.'))));
    lift.chain(doubt).chain(check).collect()
}

/// What else is confirmed while it is held up: a part may have been off, or half off, when the lift was tagged.
pub(crate) const ALREADY: &str =
    "If the part is off or on already, say so: the check is kept with it, whatever it says";

/// What to look and listen for before the next point is confirmed; nothing where it cannot be.
pub(crate) fn looks(progress: &Progress, waits: bool) -> Vec<String> {
    let Some(next) = progress.next().filter(|_| !waits) else {
        return vec![];
    };
    let again = progress.broken_off().filter(|_| next == HoldPoint::PadsSeated);
    let again = again.map(|state| {
        format!("{state}: before it is raised again nothing of it hangs loose, and it is all off or all on.")
    });
    let looks = look_for(next, &progress.outline, left_undone(progress).as_deref(), gone_to(progress));
    let is_off = progress.unfinished().is_some() && !progress.is_coming_down();
    let besides = raised_with_parts_off(next).filter(|_| is_off).map(str::to_owned);
    again.into_iter().chain(looks).chain(besides).collect()
}

/// As what the vehicle was found, until the steps are past that. Of a salvaged book it is said with the rest.
pub(crate) fn found_as(raise: &Raise) -> Vec<String> {
    let left = raise.progress.found_still().filter_map(|found| Some((found.raise?, found)));
    let told = left.map(|(number, found)| {
        format!(
            "CAUTION: raise {number} left it with {found}. Look which parts are off or on; what is so already is confirmed when its \
             step comes, and nobody works under it before that."
        )
    });
    told.collect()
}

/// As other programs read it; `check` is what fails of the check that the next point asks for, if somebody looked.
pub(crate) fn state(
    shop: &Hall,
    at: Timestamp,
    number: RaiseNumber,
    raise: &Raise,
    units: Units,
    check: Option<&[String]>,
) -> wire::Raise {
    let progress = &raise.progress;
    let out = held::out_of_service(shop, at, raise);
    let files = held::other_files(shop, raise);
    let may_be_done_already = !(out.is_empty() && files.is_empty()) && progress.may_be_done_already();
    let fails = held::fails(progress, check);
    let is_stopped = !out.is_empty() || !files.is_empty();
    let waits = is_stopped && progress.waits_for_service() || !fails.is_empty() && progress.waits_for_check();
    let causes: Vec<held::Cause> = out.into_iter().chain(files).chain(fails).collect();
    let held_up: Vec<String> = causes.iter().map(|cause| cause.why.clone()).collect();
    let point = |p: &HoldPoint| wire::Point {
        point: p.to_string(),
        sentence: sentence(*p, &progress.outline, units),
    };
    let ahead: Vec<wire::Point> = progress.ahead.iter().map(point).collect();
    wire::Raise {
        contract: wire::RAISE,
        raise: number.0,
        lift: raise.plan.lift.to_string(),
        vehicle: raise.plan.vehicle.to_string(),
        job: raise.plan.job.clone(),
        leader: raise.leader.to_string(),
        other_limits_of: raise.plan.other_limits_of.as_ref().map(ToString::to_string),
        position: position(progress.position),
        it_is: where_it_is(progress),
        going_down: progress.going_down,
        comes_down: progress.is_up() && progress.is_coming_down(),
        done: progress.done.iter().map(|(_, p)| point(p)).collect(),
        next: ahead.first().cloned(),
        ahead,
        look_for: progress
            .next()
            .map(|p| {
                let is_held_up = !held_up.is_empty();
                let lost = lost(progress).iter().copied().map(str::to_owned);
                let typed = typed(p, &progress.outline, gone_to(progress)).filter(|_| !waits);
                let typed = typed.map(str::to_owned);
                let now = refused_before(progress, is_held_up)
                    .map(str::to_owned)
                    .into_iter()
                    .chain(work_now(progress, is_held_up));
                lost.chain(found_as(raise))
                    .chain(cautions(shop, at, raise, check.unwrap_or_default()))
                    .chain(now)
                    .chain(looks(progress, waits))
                    .chain(typed)
                    .collect()
            })
            .unwrap_or_default(),
        held_up,
        mended: held::mended(&causes),
        waits,
        may_be_done_already,
        seen: raise.seen().0,
    }
}

/// Whose limits it was planned with, where they are not the shop's.
pub(crate) fn other_limits(raise: &wire::Raise) -> Option<String> {
    raise.other_limits_of.as_deref().map(super::limits_of)
}

/// In one line of the board.
pub(crate) fn one_line(raise: &wire::Raise) -> String {
    let next = raise
        .next
        .as_ref()
        .filter(|_| !raise.waits)
        .map(|p| format!("; next: {}", super::plain(&p.sentence).trim_end_matches('.')))
        .unwrap_or_default();
    let held = if raise.held_up.is_empty() { "" } else { "; HELD UP" };
    let limits = other_limits(raise).map(|said| format!("; CAUTION: {said}")).unwrap_or_default();
    format!(
        "raise {}, {}, led by {}, {}{held}{next}{limits}",
        raise.raise, raise.vehicle, raise.leader, raise.it_is
    )
}

/// What a person reads after each act at the command line, with how it goes on there.
pub(crate) fn shown(shop: &Hall, raise: &wire::Raise) -> String {
    let mut shown = text(raise) + "\n";
    let led = shop.raises.get(&RaiseNumber(raise.raise));
    let which = if shop.raises.len() > 1 { format!(" --raise {}", raise.raise) } else { String::new() };
    let is_alone = led.is_none_or(|led| !needs_second(shop, led, &led.leader));
    let second = if is_alone { "" } else { " --second PERSON" };
    if let Some(next) = raise.next.as_ref().filter(|_| !raise.waits) {
        let words = if next.point == HoldPoint::StandsSet.to_string() { " --words LOAD" } else { "" };
        let _ = writeln!(
            shown,
            "Confirm: `standfast raise confirm {}{words}{which} --as {}{second}`, where others wrote meanwhile with `--seen {}`.",
            next.point, raise.leader, raise.seen
        );
    }
    let down = if raise.going_down || raise.comes_down { "" } else { ", `bring-down`" };
    shown += &format!(
        "Not so: `standfast raise noise{which}`, `moved`, `not-right`{down}, each with what was heard or seen.\n"
    );
    shown
}

/// Where it stands, and what comes next.
pub(crate) fn text(raise: &wire::Raise) -> String {
    let mut text = format!(
        "Raise {}: {} on {}, led by {}; it is {}.\n",
        raise.raise, raise.vehicle, raise.lift, raise.leader, raise.it_is
    );
    if let Some(said) = other_limits(raise) {
        let _ = writeln!(text, "CAUTION: {said}.");
    }
    if raise.going_down {
        text += "Only the way down is left.\n";
    }
    if let Some((held, others)) = held(raise) {
        let _ = writeln!(text, "{}", super::plain(&held));
        for other in others {
            let _ = writeln!(text, "  - {}.", super::plain(other));
        }
        let by = if raise.comes_down { "" } else { ", with `standfast raise bring-down`" };
        let _ = writeln!(text, "{}{by}.", held_means(raise));
        if !raise.mended.is_empty() {
            let _ = writeln!(text, "{}.", capital(&raise.mended.join("; ")));
        }
        if let Some(next) = raise.next.as_ref().filter(|_| raise.may_be_done_already) {
            let _ = writeln!(text, "{ALREADY}: `standfast raise confirm {} --words ...`.", next.point);
        }
    }
    if let Some(next) = &raise.next {
        let label = if raise.waits { "WAITS" } else { "NEXT " };
        let _ = writeln!(text, "\n{label} {}\n      {}", next.point, super::plain(&next.sentence));
        for look in &raise.look_for {
            let _ = writeln!(text, "      {look}");
        }
        let after: Vec<&str> = raise.ahead.iter().skip(1).map(|p| p.point.as_str()).collect();
        if !after.is_empty() {
            let _ = writeln!(text, "\nThen  {}", after.join(", "));
        }
    }
    text
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_lock_at_the_test_raise_is_listened_for() {
        let told = |first: u16| {
            let (lock, first_lock_millimetres) = (Some(7), Some(first));
            let outline =
                Outline { lock, first_lock_millimetres, test_raise_millimetres: 205, ..Outline::default() };
            let point = HoldPoint::TestRaised;
            look_for(point, &outline, None, None)
                .into_iter()
                .chain(typed(point, &outline, None).map(str::to_owned))
                .collect::<String>()
        };
        assert!(told(100).contains("drops in on both columns") && told(100).contains("raise lock-not-heard"));
        assert!(!told(400).contains("drops in") && !told(400).contains("lock-not-heard"));
    }
}
