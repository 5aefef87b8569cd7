//! Options of a quick entry to what the planner makes a vehicle of.

use std::ops::Range;

use planner::Measured;
use planner::quick::Entry;
use statics::{Length, Mass};

use super::agree::{Odd, odd_along, odd_ends};
use super::expect::{self, Expect};
use super::measured;
use super::vehicle::{class, drive};
use crate::input::quantity::{Quantity, show_like};
use crate::input::{Problems, Text};
use crate::wire::vehicle::{Class, Drive};

/// What the options say: their text, and where in it wheelbase, mass and lifting points are.
pub(crate) struct Said<'a> {
    pub(crate) text: &'a str,
    pub(crate) spans: &'a [Range<usize>; 3],
    pub(crate) class: Class,
    pub(crate) drive: Drive,
}

impl Said<'_> {
    fn at<Q: Quantity>(&self, span: Range<usize>) -> Text<Q> {
        let text = self.text.get(span.clone()).unwrap_or_default();
        Text::new(span, text.trim())
    }
}

/// The entry, or `None` with the reasons in `problems`.
pub(crate) fn entry(said: &Said<'_>, problems: &mut Problems) -> Option<Entry> {
    let [base, mass, points] = said.spans.clone();
    let wheelbase = Expect { what: "--wheelbase", ..expect::WHEELBASE };
    let wheelbase = measured(&said.at::<Length>(base), &wheelbase, &expect::BY_TAPE, problems);
    let total = Expect { what: "--mass", ..expect::VEHICLE_MASS };
    let mass = measured(&said.at::<Mass>(mass), &total, &expect::BY_PAPERS, problems);
    let points = lift_points(said, &points, problems);
    let (wheelbase, lift_points) = (wheelbase?, points?);
    outside_the_body(said, &wheelbase, &lift_points, problems);
    if problems.has_errors() {
        return None;
    }
    let questioned = odd_points(said, &wheelbase, &lift_points, problems);
    Some(Entry {
        name: format!("{}, {}, quick entry", class_name(said.class), drive_name(said.drive)),
        wheelbase,
        mass: mass?,
        class: class(said.class),
        drive: drive(said.drive),
        lift_points,
        questioned,
    })
}

/// Names of lifting points that lie where no usual vehicle has them: each with what is odd about it, as in a file.
fn odd_points(
    said: &Said<'_>,
    wheelbase: &Measured<Length>,
    points: &[[Measured<Length>; 2]; 2],
    problems: &mut Problems,
) -> Vec<String> {
    let span = &said.spans[2];
    let like = said.text.get(span.clone()).unwrap_or_default();
    let show = |metres: f64| show_like(Length::KIND, metres, like);
    let (least, most) = expect::POINT_LEFT.plausible;
    let (base, body) = (wheelbase.value.to_metres(), planner::priors::body(class(said.class)));
    let tyre = body.tyre_diameter.least.to_metres();
    let [ahead, off] = points.each_ref().map(|[_, left]| left.value.to_metres());
    let mut odd = Vec::new();
    for (is_front, [aft, left]) in [true, false].into_iter().zip(points) {
        let name = planner::quick::lifting_point(is_front);
        let apart = (!is_front)
            .then(|| odd_ends(planner::quick::lifting_point(true), [ahead; 2], [off; 2], show))
            .flatten();
        let mut found = odd_along(is_front, [aft.value.to_metres(); 2], (base, tyre), show);
        found.extend(apart);
        for Odd { is, usual } in &found {
            problems.warn(
                span.clone(),
                format!("--lift-points: the {name} {is}, which is legal but odd"),
                format!(
                    "usual is {usual} ({}): check the figures and the unit of each; leave it if it is right",
                    expect::PRACTICE
                ),
            );
        }
        // An odd distance from the centre plane is said where it is read.
        if !found.is_empty() || !(least..=most).contains(&left.value.to_metres()) {
            odd.push(name.into());
        }
    }
    odd
}

/// An error if the lifting points are not one behind the other within a body of that class, at its largest.
fn outside_the_body(
    said: &Said<'_>,
    wheelbase: &Measured<Length>,
    points: &[[Measured<Length>; 2]; 2],
    problems: &mut Problems,
) {
    let (body, span) = (planner::priors::body(class(said.class)), &said.spans[2]);
    let like = said.text.get(span.clone()).unwrap_or_default();
    let show = |length: Length| show_like(Length::KIND, length.to_metres(), like);
    let [front, rear] = points.each_ref().map(|[aft, _]| aft.value);
    let foremost = Length::ZERO - body.front_overhang.greatest;
    let rearmost = wheelbase.value + body.rear_overhang.greatest;
    let out =
        points.each_ref().map(|[_, left]| left.value).into_iter().find(|l| *l >= body.width.greatest / 2.0);
    let message = if front >= rear {
        "--lift-points: the rear pair must be behind the front pair".to_owned()
    } else if front < foremost || rear > rearmost {
        let (least, most) = (show(foremost), show(rearmost));
        format!(
            "--lift-points: with that wheelbase both pairs must be {least} to {most} behind the front axle"
        )
    } else if let Some(out) = out {
        let half = show(body.width.greatest / 2.0);
        format!(
            "--lift-points: {} left of centre lies outside the body, whose half is {half} at most",
            show(out)
        )
    } else {
        return;
    };
    const HELP: &str = "measure both from the front hub centre towards the rear: front pair, rear pair, left of centre, such as 0.47m,2.19m,0.71m";
    problems.error(span.clone(), message, HELP);
}

/// Three or four figures: the last of three is of both pairs.
fn lift_points(
    said: &Said<'_>,
    span: &Range<usize>,
    problems: &mut Problems,
) -> Option<[[Measured<Length>; 2]; 2]> {
    let whole = said.text.get(span.clone()).unwrap_or_default();
    let mut start = span.start;
    let pieces: Vec<Range<usize>> = whole
        .split(',')
        .map(|piece| {
            let lead = piece.len() - piece.trim_start().len();
            let found = start + lead..start + lead + piece.trim().len();
            start += piece.len() + 1;
            found
        })
        .collect();
    let aft = Expect { what: "--lift-points (behind the front axle)", ..expect::AFT };
    let mut read = |at: &Range<usize>, expect: &Expect| {
        measured(&said.at::<Length>(at.clone()), expect, &expect::BY_TAPE, problems)
    };
    match pieces.as_slice() {
        [front, rear, left] => {
            let (f, r, l) = (read(front, &aft), read(rear, &aft), read(left, &expect::POINT_LEFT));
            let left = l?;
            Some([[f?, left.clone()], [r?, left]])
        }
        [front, rear, front_left, rear_left] => {
            let (f, r) = (read(front, &aft), read(rear, &aft));
            let (fl, rl) = (read(front_left, &expect::POINT_LEFT), read(rear_left, &expect::POINT_LEFT));
            Some([[f?, fl?], [r?, rl?]])
        }
        some => {
            problems.error(
                span.clone(),
                format!("--lift-points has {} figures, and needs 3 or 4", some.len()),
                "front pair and rear pair behind the front axle, then left of centre: 0.47m,2.19m,0.71m; with a fourth, the third is of the front pair and the fourth of the rear pair",
            );
            None
        }
    }
}

const fn class_name(class: Class) -> &'static str {
    match class {
        Class::Sedan => "Sedan",
        Class::Hatchback => "Hatchback",
        Class::Wagon => "Wagon",
        Class::Coupe => "Coupe",
        Class::Convertible => "Convertible",
        Class::Suv => "SUV",
        Class::Pickup => "Pickup",
        Class::Minivan => "Minivan",
        Class::Van => "Van",
    }
}

const fn drive_name(drive: Drive) -> &'static str {
    match drive {
        Drive::Front => "front-driven",
        Drive::Rear => "rear-driven",
        Drive::All => "all-wheel-driven",
        Drive::Battery => "battery-driven",
    }
}
