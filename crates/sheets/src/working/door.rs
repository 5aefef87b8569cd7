//! How far a door opens beside the column.

use planner::account::{COLUMN_DEPTH, DoorStop, NEAR_MISS};
use statics::{Angle, Length};

use super::apart::on_vehicle;
use super::arm::atan2;
use super::demand::Task;
use super::steps::{Kind, Num, Sums};

/// A corner of the column from the hinge: along the closed door, and outward.
fn corner(s: &mut Sums, task: &Task<'_>, k: usize, index: usize, hinge: &[Num; 2]) -> Option<[Num; 2]> {
    let corners = task.accounts.door(index)?.1;
    let name = format!("column's {} corner", ["rear inner", "front inner", "front outer", "rear outer"][k]);
    let [aft, left] = on_vehicle(s, task, &name, corners[k]);
    let [hx, hy] = hinge;
    let along = s.step(
        Kind::Length,
        format!("{name}: along = aft \u{2212} hinge aft"),
        format!("{aft} \u{2212} {hx}"),
    );
    let right = task.scene.vehicle.doors.get(index)?.hinge.y() < Length::ZERO;
    let out = if right {
        ("hinge left \u{2212} left", format!("{hy} \u{2212} {left}"))
    } else {
        ("left \u{2212} hinge left", format!("{left} \u{2212} {hy}"))
    };
    let out = s.step(Kind::Length, format!("{name}: outward = {}", out.0), out.1);
    Some([along, out])
}

/// The same in metres.
fn local(task: &Task<'_>, k: usize, index: usize) -> Option<[f64; 2]> {
    let corners = task.accounts.door(index)?.1;
    let hinge = task.scene.vehicle.doors.get(index)?.hinge.to_metres();
    let at = task.scene.plan.placement.to_vehicle(statics::Place::metres(corners[k])).to_metres();
    Some([at[0] - hinge[0], (at[1] - hinge[1]) * hinge[1].signum()])
}

pub(super) fn door(s: &mut Sums, task: &Task<'_>, index: usize) -> Option<()> {
    let door = task.scene.vehicle.doors.get(index)?;
    let (stop, _) = task.accounts.door(index)?;
    if stop == DoorStop::Own {
        s.note("Nothing of the column is met before the door's own stop.");
        let own = s.angle("the door opens by itself to", door.opens);
        s.step(Kind::Angle, "opening = the door's own stop", own.0);
        return Some(());
    }
    let hinge = s.place("hinge", super::apart::AXES, door.hinge.to_metres());
    let length = s.length("hinge to free edge", door.length);
    let depth = s.units().fine_length(Length::metres(COLUMN_DEPTH));
    s.note(format!(
        "Angles are from the closed door, outward. Column faces are as in the lift's file; a column is taken to reach {depth} outward."
    ));
    let (at, place) = match stop {
        DoorStop::Own => return None,
        DoorStop::Corner(k) => {
            s.note("The door first meets this corner of the column.");
            (corner(s, task, k, index, &hinge)?, local(task, k, index)?)
        }
        DoorStop::Face { from, root } => {
            let next = (from + 1) % 4;
            s.note("The door's free edge first meets the face between these two corners (a, b), where its circle crosses it.");
            let [ax, ay] = corner(s, task, from, index, &hinge)?;
            let [bx, by] = corner(s, task, next, index, &hinge)?;
            let (la, lb) = (local(task, from, index)?, local(task, next, index)?);
            let dx = s.step(Kind::Length, "face along = b \u{2212} a", format!("{bx} \u{2212} {ax}"));
            let dy = s.step(Kind::Length, "face outward = b \u{2212} a", format!("{by} \u{2212} {ay}"));
            let long = s.step(
                Kind::Length,
                "length of the face = \u{221a}(along\u{b2} + outward\u{b2})",
                format!("\u{221a}(({dx})\u{b2} + ({dy})\u{b2})"),
            );
            let foot = s.step(
                Kind::Length,
                "from a to the hinge's foot on the face = \u{2212}(a along \u{d7} face along + a outward \u{d7} face outward) / length",
                format!("\u{2212}({ax} \u{d7} {dx} + {ay} \u{d7} {dy}) / {long}"),
            );
            let far = s.step(
                Kind::Length,
                "hinge to the face = |a along \u{d7} face outward \u{2212} a outward \u{d7} face along| / length",
                format!("|{ax} \u{d7} {dy} \u{2212} {ay} \u{d7} {dx}| / {long}"),
            );
            let sign = if root < 0.0 { "\u{2212}" } else { "+" };
            let t = s.step(
                Kind::Bare,
                format!("part of the face = (foot {sign} \u{221a}(door\u{b2} \u{2212} hinge to face\u{b2})) / length"),
                format!("({foot} {sign} \u{221a}({length}\u{b2} \u{2212} {far}\u{b2})) / {long}"),
            );
            let x =
                s.step(Kind::Length, "along = a + part \u{d7} face along", format!("{ax} + {t} \u{d7} {dx}"));
            let y = s.step(
                Kind::Length,
                "outward = a + part \u{d7} face outward",
                format!("{ay} + {t} \u{d7} {dy}"),
            );
            // The same crossing, to know its quarter.
            let d = [lb[0] - la[0], lb[1] - la[1]];
            let qa = d[0] * d[0] + d[1] * d[1];
            let qb = la[0] * d[0] + la[1] * d[1];
            let l = door.length.to_metres();
            let square = (qb * qb - qa * (la[0] * la[0] + la[1] * la[1] - l * l)).max(0.0);
            let t = (-qb + root * square.sqrt()) / qa;
            ([x, y], [la[0] + t * d[0], la[1] + t * d[1]])
        }
    };
    let (formula, numbers) = atan2(place, [&at[0], &at[1]], ["along", "outward"]);
    let angle = s.step(Kind::Angle, format!("opening at touching = {formula}"), numbers);
    if let DoorStop::Corner(_) = stop
        && statics::hull::norm(place) > door.length.to_metres()
    {
        let [x, y] = &at;
        s.note("The free edge misses the corner. A near miss counts as a wider opening, in proportion (project default).");
        let miss = s.step(
            Kind::Length,
            "miss = \u{221a}(along\u{b2} + outward\u{b2}) \u{2212} hinge to free edge",
            format!("\u{221a}(({x})\u{b2} + ({y})\u{b2}) \u{2212} {length}"),
        );
        let unit = if s.units() == crate::Units::Us { Length::inches(1.0) } else { Length::millimetres(1.0) };
        let per = s.angle(
            if s.units() == crate::Units::Us {
                "a miss of 1 in counts as"
            } else {
                "a miss of 1 mm counts as"
            },
            Angle::radians(NEAR_MISS * unit.to_metres()),
        );
        s.step(
            Kind::Angle,
            "opening = opening at touching + miss \u{d7} what it counts as",
            format!("{angle} + {miss} \u{d7} {per}"),
        );
    }
    Some(())
}
