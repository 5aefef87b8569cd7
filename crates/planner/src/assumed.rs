//! What had to be assumed of the inputs of a plan.

use std::borrow::Cow;

use statics::{Force, Length, Mass, Stiffness};

use crate::height::Height;
use crate::heights::Heights;
use crate::job::Step;
use crate::lift::Corner;
use crate::measured::{Basis, Measured};
use crate::plan::{Assumption, Kind, Unit};
use crate::situation::{
    ASSUMED_ARM_STIFFNESS, ASSUMED_ARM_STIFFNESS_LEAST, ASSUMED_PAD_STIFFNESS, Situation,
};
use crate::state::bare;
use crate::vehicle::Part;

/// What had to be assumed of a figure: its value, or only how far it may be off.
fn assumption<Q>(what: &str, m: &Measured<Q>, unit: Unit, si: &dyn Fn(Q) -> f64) -> Option<Assumption>
where
    Q: Copy + core::ops::Add<Output = Q> + core::ops::Sub<Output = Q>,
{
    match m.basis {
        Basis::Given => None,
        Basis::Assumed(source) => {
            let (value, least, greatest) = (si(m.value), si(m.least()), si(m.greatest()));
            Some(Assumption {
                what: what.into(),
                kind: Kind::Value,
                value,
                unit,
                least,
                greatest,
                source: source.into(),
            })
        }
        Basis::ToleranceAssumed(source) => {
            let value = si(m.tolerance);
            let what = format!("tolerance of the {what}");
            Some(Assumption {
                what,
                kind: Kind::Tolerance,
                value,
                unit,
                least: 0.0,
                greatest: value,
                source: source.into(),
            })
        }
    }
}

/// When the pads touch, where nobody measured the undersides.
fn touching(situation: &Situation, heights: &Heights) -> Option<Assumption> {
    let [soonest, latest] = [situation.touch_at_soonest(heights), heights.all_touch()];
    (soonest < latest).then(|| Assumption {
        what: "rise of the carriages at which the pads touch".into(),
        kind: Kind::Value,
        value: soonest.to_metres(),
        unit: Unit::Metre,
        least: soonest.to_metres(),
        greatest: latest.to_metres(),
        source: "undersides not measured: room above, hubs and stands as with pads screwed up to touch before raising, the underside to \
                 stand under as with pads that touch latest; derived"
            .into(),
    })
}

/// How far the places of parts may be off, in plan and in height, where that had to be assumed: those of one source are one
/// assumption, with the most of them.
fn places_off(parts: &[&Part]) -> Vec<Assumption> {
    let mut alike: Vec<(&str, &'static str, Length, Vec<&str>)> = Vec::new();
    for part in parts {
        for ((by, basis), what) in
            part.off.by.iter().zip(&part.off.basis).zip(["place", "place", "height of the centre"])
        {
            let Some(source) = basis.source() else { continue };
            match alike.iter_mut().find(|(of, from, ..)| (*of, *from) == (what, source)) {
                Some((.., most, names)) => {
                    *most = most.max(*by);
                    if !names.contains(&part.name.as_str()) {
                        names.push(&part.name);
                    }
                }
                None => alike.push((what, source, *by, vec![&part.name])),
            }
        }
    }
    let told = |(what, source, by, names): (&str, &'static str, Length, Vec<&str>)| {
        let what = format!("{what} of {}", names.join(", "));
        let off = Measured::with_assumed_tolerance(Length::ZERO, by, source);
        assumption(&what, &off, Unit::Metre, &|l: Length| l.to_metres())
    };
    alike.into_iter().filter_map(told).collect()
}

/// All of it: what the shop made looser first, then values, then what is only a tolerance.
pub(crate) fn assumptions(situation: &Situation, height: &Height, heights: &Heights) -> Vec<Assumption> {
    let mut found = Vec::new();
    let bare = bare(situation.vehicle);
    let mut length = |what: &str, m: &Measured<Length>| {
        let si = |l: Length| l.to_metres();
        found.extend(assumption(what, m, Unit::Metre, &si));
    };
    length("centre of gravity behind the front axle", &bare.aft);
    length("centre of gravity left of the centre plane", &bare.left);
    length("height of the centre of gravity", &bare.up);
    length("wheelbase", &situation.vehicle.wheelbase);
    length("droop of the wheels", &situation.vehicle.droop);
    for person in &situation.job.people {
        length(&format!("stature of {}", person.name), &person.stature);
    }
    for task in &situation.job.tasks {
        // Forces of one size and basis are one assumption.
        let mut alike: Vec<(&Measured<Force>, Vec<&str>)> = Vec::new();
        for force in &task.forces {
            match alike.iter_mut().find(|(size, _)| **size == force.size) {
                // A common force that is meant twice has one name.
                Some((_, names)) if names.contains(&force.name.as_str()) => {}
                Some((_, names)) => names.push(&force.name),
                None => alike.push((&force.size, vec![&force.name])),
            }
        }
        for (size, names) in alike {
            let what = format!("{} while doing \"{}\"", names.join(", "), task.name);
            found.extend(assumption(&what, size, Unit::Push, &|f: Force| f.to_newtons()));
        }
    }
    let mut mass = |what: String, m: &Measured<Mass>| {
        let si = |m: Mass| m.to_kilograms();
        found.extend(assumption(&what, m, Unit::Kilogram, &si));
    };
    mass("mass of the vehicle".into(), &bare.mass);
    let steps = situation.job.steps.iter().map(|(Step::Off(part) | Step::On(part))| part);
    let mut named: Vec<&str> = Vec::new();
    let mut parts: Vec<&Part> = Vec::new();
    for part in situation.job.loads.iter().chain(steps) {
        // A part that goes back on is the same part.
        if !named.contains(&part.name.as_str()) {
            named.push(&part.name);
            mass(format!("mass of {}", part.name), &part.mass);
            parts.push(part);
        }
    }
    found.extend(places_off(&parts));
    found.extend(situation.vehicle.unmeasured.guesses.iter().map(|g| Assumption {
        what: g.what.name().into(),
        kind: Kind::Value,
        value: g.used.to_metres(),
        unit: Unit::Metre,
        least: g.range.least.to_metres(),
        greatest: g.range.greatest.to_metres(),
        source: g.source.into(),
    }));
    found.extend(touching(situation, heights));
    let arms = situation.lift.arms.iter().zip(Corner::ALL);
    let free: Vec<&str> = arms.filter(|(arm, _)| arm.tooth_pitch.is_none()).map(|(_, c)| c.name()).collect();
    if !free.is_empty() {
        found.push(Assumption {
            what: format!("steps in which the restraint of the arm {} locks", free.join(", ")),
            kind: Kind::Value,
            value: 0.0,
            unit: Unit::Radian,
            least: 0.0,
            greatest: 0.0,
            source: "no teeth are in the lift's file, so it is taken to lock at any swing: where it clicks, count the clicks from \
                     stop to stop and plan again"
                .into(),
        });
    }
    let mut alike: Vec<(&Measured<Stiffness>, Vec<&str>)> = Vec::new();
    for (arm, corner) in situation.lift.arms.iter().zip(Corner::ALL) {
        let Some(k) = &arm.stiffness_out else { continue };
        match alike.iter_mut().find(|(known, _)| *known == k) {
            Some((_, arms)) => arms.push(corner.name()),
            None => alike.push((k, vec![corner.name()])),
        }
    }
    for (k, arms) in alike {
        let what = format!("stiffness of the arm {}, each by itself", arms.join(", "));
        found.extend(assumption(&what, k, Unit::NewtonPerMetre, &|k: Stiffness| k.to_newtons_per_metre()));
    }
    if situation.stiffness_assumed() {
        let k = ASSUMED_ARM_STIFFNESS.to_newtons_per_metre();
        let pad = ASSUMED_PAD_STIFFNESS.to_newtons_per_metre();
        found.push(Assumption {
            what: "stiffness of an arm".into(),
            kind: Kind::AtReach(Length::metres(1.0)),
            value: k,
            unit: Unit::NewtonPerMetre,
            least: ASSUMED_ARM_STIFFNESS_LEAST.to_newtons_per_metre(),
            greatest: pad,
            source: "project default; assured loads cover arms that bend by the cube of their reach, each by itself a tenth stiffer or softer, and arms that do not bend".into(),
        });
    }
    found.extend(crate::height::assumptions(height));
    for own in situation.limits.all_own().iter().filter(|o| o.is_looser()) {
        let row = own.name.row();
        found.push(Assumption {
            what: format!("limit of {}", row.title),
            kind: Kind::LooserLimit(own.name),
            value: own.value,
            unit: row.unit,
            least: own.value.min(row.value),
            greatest: own.value.max(row.value),
            source: own.source.clone().map_or("the shop's own limit, no source given".into(), Cow::Owned),
        });
    }
    found.sort_by_key(|a| (!matches!(a.kind, Kind::LooserLimit(_)), a.kind == Kind::Tolerance));
    found
}
