//! A job file to the planner's job, with the vehicle that it is done to.

use planner::Vehicle;
use planner::job::{DoorWish, Job, Step};
use planner::state::{StateFault, out_of_place};
use planner::vehicle::Part;
use sheets::words;

use super::expect;
use super::part::{also_of_the_vehicle, goes_in_a_circle, heavier_than, parts};
use super::{agree, at_most, name, plain, unique, work};
use crate::input::shape::nearest;
use crate::input::{At, Problems};
use crate::wire::job as wire;

/// The job, or `None` with the reasons in `problems`.
///
/// Without a vehicle the names of its parts and doors cannot be looked up; all else is checked.
pub(crate) fn job(file: &wire::Job, vehicle: Option<&Vehicle>, problems: &mut Problems) -> Option<Job> {
    super::example_values(file.example_values.as_ref(), problems);
    let called = name(&file.name, "name", problems);
    let of_vehicle: Vec<String> =
        vehicle.map_or_else(Vec::new, |v| v.parts.iter().map(|p| p.name.clone()).collect());
    let loads = parts(&file.loads, &[], problems);
    let own = parts(&file.parts, &of_vehicle, problems);
    let in_circle = own.as_ref().is_some_and(|own| goes_in_a_circle(own, &file.parts, problems));
    if let (Some(vehicle), Some(own)) = (vehicle, &own) {
        heavier_than(vehicle, own, &file.parts, problems);
        also_of_the_vehicle(vehicle, own, &file.parts, problems);
    }
    agree::job(file, vehicle, problems);
    let people = file.people.iter().map(|p| (p.value.name.value.trim(), p.value.name.span.clone()));
    unique(people, "people", problems);
    let opened_height = match &file.opened_height {
        None => Some(None),
        Some(text) => at_most(text, &expect::OPENED, problems).map(Some),
    };
    let known: Vec<&Part> = own.iter().flatten().chain(vehicle.iter().flat_map(|v| &v.parts)).collect();
    // A part of the job that has a fault of its own is no unknown part.
    let at_fault: Vec<&str> = match own {
        Some(_) => vec![],
        None => file.parts.iter().map(|p| p.value.name.value.trim()).collect(),
    };
    let steps: Vec<Option<Option<Step>>> =
        file.steps.iter().map(|s| step(s, &known, &at_fault, vehicle.is_some(), problems)).collect();
    let mut doors = Some(Vec::new());
    for wish in &file.doors {
        let found = door_wish(&wish.value, vehicle, problems);
        doors = doors.zip(found).map(|(mut all, more)| {
            all.extend(more);
            all
        });
    }
    let steps = steps.into_iter().collect::<Option<Vec<_>>>();
    let known_states = (steps.as_ref())
        .filter(|s| s.iter().all(Option::is_some))
        .map(|s| work::states_of(&s.iter().flatten().cloned().collect::<Vec<_>>()));
    let all: Option<Vec<Step>> = steps.iter().flatten().cloned().collect();
    let asked = vehicle.zip(all).filter(|_| !in_circle);
    let in_place = match asked {
        Some((vehicle, steps)) => every_step_is_in_place(vehicle, &steps, file, problems),
        // What a vehicle would say of its parts is not known; but nothing comes off twice.
        None => vehicle.is_some() || none_twice(file, problems),
    };
    let tasks = work::tasks(file, known_states.as_deref(), problems);
    let people = work::people(file, problems);
    let stands = work::stands(file, problems);
    (in_place && !in_circle).then_some(())?;
    Some(Job {
        name: called?,
        teaches: file.teaches.clone(),
        loads: loads?,
        steps: steps?.into_iter().flatten().collect(),
        doors: doors?,
        opened_height: opened_height?,
        tasks: tasks?,
        people: people?,
        stands: stands?,
    })
}

/// Says at each step that takes off what is off, or puts on what is on.
fn none_twice(file: &wire::Job, problems: &mut Problems) -> bool {
    let mut now: Vec<(&str, bool)> = Vec::new();
    let mut fine = true;
    for step in &file.steps {
        let (named, off) = match (&step.value.off, &step.value.on) {
            (Some(off), None) => (off, true),
            (None, Some(on)) => (on, false),
            _ => continue,
        };
        let name = named.value.trim();
        match now.iter_mut().find(|(known, _)| *known == name) {
            Some((_, was)) if *was == off => {
                fine = false;
                let fault =
                    if off { StateFault::TakenTwice(name.into()) } else { StateFault::PutTwice(name.into()) };
                let help = "take this step out, or name another part";
                problems.error(named.span.clone(), words::state_fault(&fault, sheets::Units::Metric), help);
            }
            Some((_, was)) => *was = off,
            None => now.push((name, off)),
        }
    }
    fine
}

/// Says at each step that is out of place why.
fn every_step_is_in_place(
    vehicle: &Vehicle,
    steps: &[Step],
    file: &wire::Job,
    problems: &mut Problems,
) -> bool {
    let faults = out_of_place(vehicle, steps);
    for (k, fault) in &faults {
        let named = file.steps[*k].value.off.as_ref().or(file.steps[*k].value.on.as_ref());
        let span = named.map_or(&file.steps[*k].span, |name| &name.span);
        let help = match fault {
            StateFault::TooEarly(_, first) => {
                format!("take {first:?} off in an earlier step, or put this step after it")
            }
            StateFault::PutTooLate(_, first) => {
                format!("put this step before the one that puts {first:?} on")
            }
            _ => "take this step out, or name another part".into(),
        };
        problems.error(span.clone(), words::state_fault(fault, sheets::Units::Metric), help);
    }
    faults.is_empty()
}

/// `Some(None)`: a part of a vehicle that is not at hand, or one whose fault is told already.
fn step(
    item: &At<wire::Step>,
    known: &[&Part],
    at_fault: &[&str],
    complete: bool,
    problems: &mut Problems,
) -> Option<Option<Step>> {
    let (wanted, build): (_, fn(Part) -> Step) = match (&item.value.off, &item.value.on) {
        (Some(off), None) => (off, Step::Off),
        (None, Some(on)) => (on, Step::On),
        _ => {
            problems.error(
                item.span.clone(),
                "a step is either `off` or `on`, with the name of one part",
                "write off = \"rear axle\" or on = \"rear axle\"",
            );
            return None;
        }
    };
    if let Some(part) = known.iter().find(|p| p.name == wanted.value) {
        return Some(Some(build((*part).clone())));
    }
    if !complete || at_fault.contains(&wanted.value.trim()) {
        return Some(None);
    }
    let names: Vec<&str> = known.iter().map(|p| p.name.as_str()).collect();
    problems.error(
        wanted.span.clone(),
        format!("{:?} is not a part of the vehicle or of this job", wanted.value),
        did_you_mean(&wanted.value, &names, "parts"),
    );
    None
}

fn door_wish(
    wish: &wire::DoorWish,
    vehicle: Option<&Vehicle>,
    problems: &mut Problems,
) -> Option<Vec<DoorWish>> {
    let opens = plain(&wish.opens, &expect::DOOR_OPENS, problems);
    let called = name(&wish.door, "door", problems)?;
    let both = [format!("{called} left"), format!("{called} right")];
    let opens = opens?;
    let Some(vehicle) = vehicle else {
        return Some(vec![DoorWish { door: called, opens }]);
    };
    let found: Vec<DoorWish> = vehicle
        .doors
        .iter()
        .filter(|d| d.name == called || both.contains(&d.name))
        .map(|d| DoorWish { door: d.name.clone(), opens })
        .collect();
    if found.is_empty() {
        let both = vehicle.doors.iter().filter_map(|d| d.name.strip_suffix(" left"));
        let names: Vec<&str> = both.chain(vehicle.doors.iter().map(|d| d.name.as_str())).collect();
        problems.error(
            wish.door.span.clone(),
            format!("the vehicle has no door {called:?}"),
            did_you_mean(&called, &names, "doors"),
        );
        return None;
    }
    Some(found)
}

fn did_you_mean(written: &str, known: &[&str], what: &str) -> String {
    match (nearest(written, known), known) {
        (_, []) => format!("the vehicle file lists no {what}: add it there"),
        (Some(near), _) => format!("did you mean {near:?}? {what} that are known: {}", known.join(", ")),
        (None, _) => format!("{what} that are known: {}", known.join(", ")),
    }
}
