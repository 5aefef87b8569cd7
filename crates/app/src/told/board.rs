//! Today's board: bays, what is on them, what is due, what is out of service and why.

use std::fmt::Write as _;

use jiff::Timestamp;
use records::{Fitness, Hall, Lift, LiftId, due_days, fitness, why_due_sooner};
use sheets::Units;

use super::plain;
use crate::wire::board as wire;

/// Why a lift may not be used then; empty = it may.
pub(crate) fn why_unfit(shop: &Hall, lift: &LiftId, at: Timestamp) -> Vec<String> {
    match fitness(shop, lift, at) {
        Fitness::Fit => vec![],
        Fitness::Unfit(why) => why.iter().map(ToString::to_string).collect(),
    }
}

/// What may be on a lift without a raise.
pub(crate) fn left_there(shop: &Hall, lift: &Lift) -> Option<String> {
    let left = lift.left.as_ref().map(|left| {
        let parts: Vec<String> =
            shop.found_not_whole(&left.vehicle).iter().map(|found| format!("; {found}")).collect();
        format!("{left}{}", parts.concat())
    });
    let said = match (left, lift.lost_sight_of) {
        (None, false) => return None,
        (Some(left), false) => left,
        (Some(left), true) => format!("{left}, what else is not known, as the book was salvaged"),
        (None, true) => "not known, as the book was salvaged".to_owned(),
    };
    Some(format!("{said}, until a lead or an examiner returns the lift to service"))
}

/// Beside the days by which a lift is due.
pub(crate) fn due_sooner(shop: &Hall, lift: &LiftId) -> Option<String> {
    let what = why_due_sooner(shop, lift)?;
    Some(format!("It is due sooner than its reports say, as {what} since they were entered."))
}

/// The board of the shop at a time.
pub(crate) fn board(shop: &Hall, at: Timestamp) -> wire::Board {
    let today = shop.today(at);
    let lifts = shop.lifts.iter().map(|(id, lift)| {
        let why = why_unfit(shop, id, at);
        let due = due_days(shop, id, at)
            .into_iter()
            .map(|(what, day)| wire::DueDay { what: what.to_string(), by: day.map(|d| d.to_string()) });
        wire::BoardLift {
            lift: id.to_string(),
            bay: lift.sheet.bay.clone(),
            capacity: lift.sheet.capacity.clone(),
            fit: why.is_empty(),
            why_not: why,
            due: due.collect(),
            due_sooner: due_sooner(shop, id).is_some(),
            due_sooner_because: due_sooner(shop, id),
            defects: lift
                .defects
                .iter()
                .map(|(number, d)| wire::OpenDefect {
                    defect: number.0,
                    words: d.words.clone(),
                    stops_use: d.stops_use,
                    repaired: d.repaired.is_some(),
                })
                .collect(),
            raise: shop.raises.iter().find(|(_, r)| r.plan.lift == *id).map(|(n, _)| n.0),
            left_there: left_there(shop, lift),
        }
    });
    wire::Board {
        contract: wire::CONTRACT,
        shop: shop.name.clone(),
        day: today.to_string(),
        rules: super::rules(&shop.rules),
        clock_behind: shop.stands_behind(at),
        lifts: lifts.collect(),
        raises: shop
            .raises
            .iter()
            .map(|(n, r)| super::raise::state(shop, at, *n, r, Units::Metric, None))
            .collect(),
        people: shop
            .people
            .iter()
            .filter(|(_, p)| !p.left)
            .map(|(id, p)| wire::BoardPerson {
                person: id.to_string(),
                name: p.name.clone(),
                role: p.role.to_string(),
                instructed: shop.instructed(p).map(|d| d.to_string()),
                authorised: p.authorised(shop.sooner_today(at)).map(|a| a.on.to_string()),
            })
            .collect(),
    }
}

/// The same for a person.
pub(crate) fn text(board: &wire::Board) -> String {
    let mut text = format!("{}, {}. Rules: {}.\n", plain(&board.shop), board.day, plain(&board.rules));
    if board.clock_behind {
        text += "CAUTION: the clock of this machine stands before the last event of the book.\n";
    }
    if board.lifts.is_empty() {
        text += "\nNo lift is in the book yet.\n";
    }
    for lift in &board.lifts {
        let _ = write!(text, "\n{} ({}, {})\n", lift.lift, plain(&lift.bay), plain(&lift.capacity));
        let _ = match (board.raises.iter().find(|r| Some(r.raise) == lift.raise), &lift.left_there) {
            (Some(raise), _) => writeln!(text, "  On it: {}", super::raise::one_line(raise)),
            (None, Some(left)) => writeln!(text, "  On it: {left}."),
            (None, None) => writeln!(text, "  Nothing is on it."),
        };
        if lift.fit {
            text += "  May be used.\n";
        }
        for why in &lift.why_not {
            let _ = writeln!(text, "  MUST NOT BE USED: {}.", plain(why));
        }
        for due in &lift.due {
            let _ = match &due.by {
                Some(day) => writeln!(text, "  Due by {day}: {}.", due.what),
                None => writeln!(text, "  No day is known for the {}.", due.what),
            };
        }
        if let Some(why) = &lift.due_sooner_because {
            let _ = writeln!(text, "  {why}");
        }
        for defect in &lift.defects {
            let state = match (defect.repaired, defect.stops_use) {
                (true, _) => "repaired, not yet returned to service",
                (false, true) => "stops its use",
                (false, false) => "open, does not stop its use",
            };
            let _ = writeln!(text, "  Defect {} ({state}): {}", defect.defect, plain(&defect.words));
        }
    }
    text += "\nPeople\n";
    for p in &board.people {
        let day = |d: &Option<String>| d.clone().unwrap_or_else(|| "no".into());
        let _ = writeln!(
            text,
            "  {} ({}), {}; instructed: {}; authorised in writing: {}",
            p.person,
            plain(&p.name),
            p.role,
            day(&p.instructed),
            day(&p.authorised)
        );
    }
    text
}
