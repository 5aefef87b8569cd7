//! The plan in words, for a terminal of 100 columns. The first screenful answers: may it go up, where
//! does the wheel stand, what are the four arms set to.

mod arms;
mod doubt;
mod height;
pub(crate) mod page;
mod states;
mod work;

use planner::plan::Verdict;

use crate::units::Round;
use crate::{Origin, Scene, Units, units, words};
use page::Page;

pub(crate) fn report(scene: &Scene<'_>, units: Units) -> String {
    let mut page = Page::new();
    let plan = scene.plan;
    page.line(&words::verdict(scene).to_uppercase());
    let looser = words::looser_limits(scene, units);
    if !looser.is_empty() {
        page.entry(
            "Looser limits",
            &format!("{} They may pass what the default would refuse.", looser.join(" ")),
        );
    }
    words::why_not(scene, units).iter().for_each(|why| page.entry("Why", why));
    let job = if scene.job.name.is_empty() { "raise and lower only" } else { &scene.job.name };
    page.entry("Lift", &format!("{}, rated {}", scene.lift.name, units.rating(scene.lift.rated)));
    page.entry("Vehicle", &scene.vehicle.name);
    page.entry("Job", job);
    let setup = match scene.origin {
        Origin::Planned => "planned: the best that was found for this lift, vehicle and job.",
        Origin::AsPlaced => {
            "as placed, and only checked here; heights and adapters not given are those a plan would set."
        }
    };
    page.entry("Setup", setup);
    if plan.verdict == Verdict::DoNotRaise {
        refused(&mut page, scene, units);
    }
    page.blank();
    page.entry("Front wheel", &format!("{}.", words::spot(scene, units)));
    page.entry("", &format!("{}.", words::capital(&words::stance(scene, units))));
    page.blank();
    for line in arms::table(scene, units) {
        page.line(&line);
    }
    for note in arms::notes(scene) {
        page.hanging("", &note);
    }
    page.blank();
    height::write(&mut page, scene, units);
    centre_of_gravity(&mut page, scene, units);
    deciding(&mut page, scene, units);
    states::say(&mut page, scene, units);
    words::on_stands(scene, units).iter().for_each(|note| page.hanging("", note));
    if plan.verdict != Verdict::DoNotRaise {
        orders(&mut page, scene);
    }
    work::forces(&mut page, scene, units);
    if !plan.conditions.is_empty() {
        page.list("Conditions", words::conditions(scene).iter().map(|r| r.sentence(scene, units)));
    }
    if !plan.watch.is_empty() {
        page.list("Watch", words::watch(scene).iter().map(|r| r.sentence(scene, units)));
    }
    work::losses(&mut page, scene, units);
    let own = words::own_limits(scene, units);
    if !own.is_empty() {
        page.list("Own limits", own);
    }
    if !plan.assumptions.is_empty() {
        page.list("Assumptions", plan.assumptions.iter().map(|a| words::assumption(a, units)));
    }
    doubt::measure_next(&mut page, scene, units);
    doubt::chances(&mut page, scene);
    page.list("Cautions", words::cautions().map(String::from));
    page.done()
}

/// What fails and what would pass, before the setup itself is shown.
fn refused(page: &mut Page, scene: &Scene<'_>, units: Units) {
    page.list("Refused because", words::refusals(scene).iter().map(|r| r.sentence(scene, units)));
    page.blank();
    let known = words::smallest_change(scene, units);
    page.entry("Smallest change", &known.unwrap_or_else(|| "None that can be computed here would pass alone: a load out, a part left on, hatch and bonnet shut, stands, adapters, another spot, other arms, a stronger lift.".into()));
    if let Some(bays) = words::other_bays(scene) {
        page.entry("Another bay", &bays);
    }
    orders(page, scene);
    if let Some(why) = words::no_stands(scene, units) {
        page.entry("Stands", &words::capital(&why));
    }
    page.blank();
    page.line(match scene.origin {
        Origin::Planned => words::COMES_NEAREST,
        Origin::AsPlaced => {
            "The setup as placed fails what is said above: do not raise on it. Mend it, measure again, check again."
        }
    });
    let gives_way = words::gives_way(scene, units);
    if !gives_way.is_empty() {
        page.list("To come nearest it gives way on what other setups meet", gives_way);
    }
}

fn centre_of_gravity(page: &mut Page, scene: &Scene<'_>, units: Units) {
    let Some(state) = scene.plan.states.first() else { return };
    let [aft, left, up] = words::centre_of_gravity(scene, state, units);
    let mass = words::guessed(units.mass(state.mass.value), state.mass.is_assumed());
    page.entry("Mass", &format!("{mass}, \u{b1} {}", units.mass_to(state.mass.tolerance, Round::Up)));
    page.entry("Centre of gravity", &aft);
    page.entry("", &left);
    page.entry("", &up);
}

fn deciding(page: &mut Page, scene: &Scene<'_>, units: Units) {
    let (called, check) = words::deciding(scene);
    let [demand, limit] = words::figures(check, units);
    page.entry(
        called,
        &format!(
            "{}: {} is {demand}, {} {limit} {} ({}).",
            units::reserve(check.reserve),
            words::title_in_state(scene, check),
            units::sense(check.sense),
            units::demanded(check.sense, check.binding),
            words::source(scene, check)
        ),
    );
    if let Some(other) = &scene.plan.without_plate {
        page.entry(
            "Without the plate",
            &format!(
                "{} with the front wheel {} the column line, held by: {}. The plate decides.",
                if other.worst_reserve < 0.0 {
                    format!(
                        "geometry alone would do no better than a setup that {}",
                        units::reserve(other.worst_reserve)
                    )
                } else {
                    format!(
                        "geometry alone would allow a least reserve of {}",
                        units::reserve(other.worst_reserve)
                    )
                },
                words::ahead_of(other.placement.spot, units),
                words::check_title(scene, other.worst.what),
            ),
        );
    }
    page.blank();
}

/// The order found beside the given one.
fn orders(page: &mut Page, scene: &Scene<'_>) {
    let orders = words::orders(scene);
    if orders.is_some() {
        page.blank();
    }
    orders.into_iter().flatten().for_each(|(label, says)| page.entry(label, &says));
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::fixtures;

    #[test]
    fn no_line_is_wider_than_the_terminal() {
        for made in fixtures::all() {
            for units in [Units::Metric, Units::Us] {
                for line in report(&made.scene(), units).lines() {
                    assert!(line.chars().count() <= 100, "{line}");
                }
            }
        }
    }
}
