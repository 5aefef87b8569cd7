//! Stands: how high they are, and why so much at the least and at the most.

use planner::checks::What;
use planner::plan::{Check, Plan, Standing, StandsAnswer};
use statics::{Force, Length};

use super::demand::{self, Task};
use super::figure::Axis;
use super::post;
use super::steps::{Kind, Num, Sums};
use crate::{Scene, words};

/// Floor to head of one stand.
pub(super) fn height(s: &mut Sums, task: &Task<'_>, standing: &Standing, k: usize) {
    let scene = task.scene;
    let Some(place) = standing.places.get(k).and_then(|p| scene.vehicle.stand_places.get(*p)) else { return };
    let under = s.length(format!("underside at \"{}\" above the ground", place.name), place.underside);
    let rise = scene.lift.rise.locks.get(standing.lock).copied().unwrap_or(Length::ZERO);
    let rise = s.length(format!("rise of the carriages at lock {}", standing.lock + 1), rise);
    let all = super::height::soonest_touch(s, task);
    s.step(
        Kind::Length,
        "floor to head = underside + (rise at the lock \u{2212} rise at which all touch, at least 0)",
        format!("{under} + greatest({rise} \u{2212} {all}; 0)"),
    );
}

/// The check that leaves least while stands carry, from their being set to their being taken away.
fn worst<'p>(plan: &'p Plan, standing: &Standing) -> Option<&'p Check> {
    let states = standing.from..=standing.to;
    let own = plan.checks.iter().filter(|c| c.binding && c.state.is_some_and(|s| states.contains(&s)));
    own.min_by(|a, b| a.reserve.total_cmp(&b.reserve))
}

/// The least or the most that each may carry: the check that ends it there, just met.
pub(super) fn bound(s: &mut Sums, task: &Task<'_>, standing: &Standing, most: bool) {
    let (load, word) = if most { (standing.most, "most") } else { (standing.least, "least") };
    let given = s.mass(format!("load of each stand that is asked about, the {word}"), load.as_mass());
    let [less, more] = standing.drift_most();
    let off = |end: Force| (load - end).to_newtons().abs() < 1e-6 * standing.rated.to_newtons();
    if most && off(standing.rated - more) {
        s.note("Enough is left up to the rating of the stand: the rating ends it, less what its load grows of itself.");
        let rated = s.mass("what a stand may carry", standing.rated.as_mass());
        let more = s.mass("its load grows of itself by", more.as_mass());
        s.step(Kind::Mass, "most = rating \u{2212} what it grows by", format!("{rated} \u{2212} {more}"));
        return;
    }
    if !most && off(-less) {
        s.note(
            "Enough is left down to where a stand would come to carry nothing: less would leave it loose.",
        );
        let less = s.mass("its load grows less of itself by", (-less).as_mass());
        s.step(Kind::Mass, "least = what it grows less by", format!("1 \u{d7} {less}"));
        return;
    }
    if just_met(s, task, standing, (load, &given)).is_none() {
        return;
    }
    let beyond = if most { "above" } else { "below" };
    s.note(format!(
        "So little is left there, and less {beyond} it: no less is permitted than half of what the load to aim at leaves, and, \
         where they are set and taken away, than the plan tells of all states. So much is the {word}:"
    ));
    s.step(Kind::Mass, format!("{word} on each = the load asked about"), format!("1 \u{d7} {given}"));
}

/// The load to aim at: what is left there, just below and just above.
pub(super) fn best(s: &mut Sums, task: &Task<'_>, standing: &Standing) {
    let given = s.mass("load of each stand", standing.load.as_mass());
    s.note(
        "The load at which the least that is left is most; a hundredth less or more leaves less, or no more:",
    );
    for (word, part) in [("a hundredth below", 0.99), ("there", 1.0), ("a hundredth above", 1.01)] {
        let Some((_, plan)) = task.accounts.at_stand_load(task.scene.plan, standing.load * part) else {
            return;
        };
        let Some(check) = worst(&plan, standing) else { return };
        super::order::left(s, task.scene, check, word);
    }
    s.step(Kind::Mass, "load on each = the load there", format!("1 \u{d7} {given}"));
}

/// Works out the check that leaves least at a load, and what it leaves.
fn just_met(s: &mut Sums, task: &Task<'_>, standing: &Standing, (load, given): (Force, &Num)) -> Option<Num> {
    let (accounts, plan) = task.accounts.at_stand_load(task.scene.plan, load)?;
    let check = worst(&plan, standing)?;
    let scene = Scene { plan: &plan, ..*task.scene };
    let at_load = Task { scene: &scene, accounts };
    s.note(format!(
        "With each stand set to that, from being set to being taken away, and its load changed of itself as leaves least, least \
         is left by: {}. Mass and centre of gravity are of what is left to the pads:",
        words::title_in_state(&scene, check)
    ));
    if let Some(state) = check.state {
        carried(s, task, (standing, &plan), state, (load, given));
    }
    if let Some((state, answer)) = check.state.and_then(|k| Some((k, plan.states.get(k)?))) {
        let mass = super::weight::mass(s, &at_load, state);
        s.goes_on_with_mass(answer.mass.value, &mass);
        let [aft, left, _] = answer.cg.to_metres();
        for (axis, at) in [(Axis::Aft, aft), (Axis::Left, left)] {
            let found = super::weight::centre(s, &at_load, state, axis);
            s.goes_on_with_length(Length::metres(at), &found);
        }
    }
    demand::write(s, &at_load, check);
    let found = s.last()?;
    let limit = limit_of(s, &at_load, check);
    let (formula, quotient) = match check.what.sense() {
        planner::plan::Sense::AtLeast => ("found / limit", format!("{found} / {limit}")),
        planner::plan::Sense::AtMost => ("limit / found", format!("{limit} / {found}")),
    };
    Some(s.step(
        Kind::Percent,
        format!("left by it = ({formula} \u{2212} 1) \u{d7} 100"),
        format!("({quotient} \u{2212} 1) \u{d7} 100"),
    ))
}

/// What each stand carries in a state: what it was set to, and what that has changed by of itself.
fn carried(
    s: &mut Sums,
    task: &Task<'_>,
    (standing, at_load): (&Standing, &Plan),
    state: usize,
    (load, given): (Force, &Num),
) {
    let Some(StandsAnswer::Serve(set)) = &at_load.stands else { return };
    let same = |a: Force, b: Force| (a - b).to_newtons().abs() < 1e-6 * standing.rated.to_newtons();
    for (place, carries) in standing.places.iter().zip(set.checked(state)) {
        let by = *carries - load;
        if same(by, Force::ZERO) {
            s.goes_on_with_mass(carries.as_mass(), given);
            continue;
        }
        let [less, more] = standing.drift_most();
        let end = [(less, false), (more, true)].into_iter().find(|(end, _)| same(by, *end));
        let worked = end.and_then(|(_, more)| {
            post::change(s, task, standing, more);
            s.last()
        });
        let name = task.scene.vehicle.stand_places.get(*place).map_or("", |p| p.name.as_str());
        let size = worked.unwrap_or_else(|| {
            s.mass(
                format!("in that state the load under \"{name}\" has changed of itself by"),
                by.abs().as_mass(),
            )
        });
        let sign = if by < Force::ZERO { '\u{2212}' } else { '+' };
        let found = s.step(
            Kind::Mass,
            format!("\"{name}\" carries = what it was set to {sign} what that changes by"),
            format!("{given} {sign} {size}"),
        );
        s.goes_on_with_mass(carries.as_mass(), &found);
    }
}

/// The limit of a check as its working has it.
fn limit_of(s: &mut Sums, task: &Task<'_>, check: &Check) -> Num {
    let mut own = Sums::new(s.units());
    demand::limit(&mut own, task, check);
    let own = own.done();
    if let (Some(step), What::PadRating(_) | What::PairRating { .. } | What::WorkForce { .. }) =
        (own.limit, check.what)
    {
        for (name, figure) in own.inputs {
            s.known(name, figure);
        }
        return s.worked_out(step);
    }
    s.figure("limit of that check", check.limit, check.unit)
}
