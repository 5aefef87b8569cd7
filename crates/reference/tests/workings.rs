//! Every check and every other figure of every demonstration plan, worked out again from what its working prints.

use std::collections::{BTreeMap, BTreeSet};

use planner::job::{Posture, Task, WorkForce};
use planner::lift::Corner;
use planner::plan::{Check, Unit};
use planner::setup::PadAt;
use planner::{Job, Lift, Limits, Placement, Plan, Setup, Vehicle, as_placed, plan};
use reference::arithmetic::{Token, tokens, value};
use reference::random::Random;
use sheets::{Line, Origin, Scene, Step, Units, Working};
use statics::{Angle, Length, Place, Point};

#[path = "shop/demo.rs"]
mod demo;
#[path = "workings/figures.rs"]
mod figures;

const BOTH: [Units; 2] = [Units::Metric, Units::Us];
/// Numbers that stand in formulas: axes, halves, quarters, eighths, per cent, degrees, the most that is told of a reserve.
const OF_FORMULAS: [&str; 15] =
    ["0", "1", "2", "3", "4", "5", "6", "7", "8", "90", "100", "180", "360", "720", "900"];

/// Half of the last place in which figures of a unit are printed.
fn half_place(unit: &str) -> f64 {
    let places = match unit {
        "N mm" | "lbf in" => 1,
        "mm" | "kg" | "lb" | "N" => 3,
        "in" | "sq in" | "N/mm" | "lbf/in" | "%" | "lbf" => 4,
        "sq mm" => 2,
        "\u{b0}" => 5,
        "" => 7,
        "per in" => 9,
        "per mm" => 11,
        _ => return f64::NAN,
    };
    0.5 * 10f64.powi(-places)
}

/// The figure and its unit.
fn figure(text: &str) -> (f64, String) {
    let end = text.find(|c: char| !(c.is_ascii_digit() || c == '.' || c == '\u{2212}')).unwrap_or(text.len());
    (value(&text[..end]).unwrap_or(f64::NAN), text[end..].trim().to_owned())
}

/// A demand or limit in the reader's units, and how near a working must come: never more than half the last
/// place of the check's result.
fn in_units(si: f64, unit: Unit, units: Units) -> (f64, f64) {
    match (unit, units) {
        (Unit::Metre, Units::Metric) => (si * 1000.0, 0.02),
        (Unit::Metre, Units::Us) => (si / 0.0254, 0.002),
        (Unit::Newton, Units::Metric) => (si / 9.806_65, 0.05),
        (Unit::Newton, Units::Us) => (si / 4.448_221_615_260_5, 0.1),
        (Unit::Kilogram, Units::Metric) => (si, 0.005),
        (Unit::Kilogram, Units::Us) => (si / 0.453_592_37, 0.005),
        (Unit::Radian, _) => (si.to_degrees(), 0.005),
        (Unit::Ratio, _) => (si * 100.0, 0.002),
        (Unit::Push, Units::Metric) => (si, 0.4),
        (Unit::Push, Units::Us) => (si / 4.448_221_615_260_5, 0.4),
        (Unit::Gravity, _) => (si, 0.000_05),
        (Unit::NewtonPerMetre, _) => (f64::NAN, f64::NAN),
    }
}

/// What is wrong with a check's working, if anything.
fn fault(working: &Working, check: &Check, units: Units) -> Option<String> {
    let own_stop = check.what.id().starts_with("door:");
    let found = steps_fault(working, own_stop)
        .or_else(|| end_fault(working, in_units(check.demand, check.unit, units)));
    found.or_else(|| {
        let limit = working.limit.as_ref()?;
        let (asked, near) = in_units(check.limit, check.unit, units);
        ((figure(&limit.result).0 - asked).abs() > near)
            .then(|| format!("limit {}, not {asked}", limit.result))
    })
}

/// What is wrong with the ends at which masses and places are taken, by what the working says of them: who follows it for
/// another state has no other way to know them.
fn ends_fault(working: &Working, step: &Step) -> Option<String> {
    const SAYS: &str = "a place that way, its mass at its most if it is then beyond the result, else at its least; of what is off, \
                        the other way round";
    let (_, way) = step.formula.split_once(", farthest ").filter(|(_, way)| way.contains("sum of mass"))?;
    let up = ["back", "left", "up"].iter().any(|more| way.starts_with(more));
    let is_said = working.lines.iter().any(|line| matches!(line, Line::Note(note) if note.contains(SAYS)));
    if !is_said {
        return Some("nothing says which ends".into());
    }
    let moments = step.numbers.strip_prefix('(')?.split(") / (").next()?;
    let result = figure(&step.result).0;
    for (on, term) in terms(moments) {
        let Some((mass, place)) = term.split_once(" \u{d7} ") else {
            return Some(format!("no term: {term}"));
        };
        let at = value(place)?;
        let farther = if up { at > result } else { at < result };
        let [most, more] = [mass, place].map(|of| of.contains(" + "));
        // Where it hardly matters rounding decides.
        if (at - result).abs() > 0.01 && most != (farther == on) || more != (up == on) {
            return Some(format!("the wrong end: {term}"));
        }
    }
    None
}

/// What is added (true) and taken away, outside brackets.
fn terms(sum: &str) -> Vec<(bool, String)> {
    let (mut depth, mut all) = (0, vec![(true, String::new())]);
    for word in sum.split_inclusive(' ') {
        let bare = word.trim();
        if depth == 0 && ["+", "\u{2212}"].contains(&bare) {
            all.push((bare == "+", String::new()));
            continue;
        }
        depth += word.matches('(').count();
        depth -= word.matches(')').count();
        if let Some((_, term)) = all.last_mut() {
            term.push_str(word);
        }
    }
    all.into_iter().map(|(on, term)| (on, term.trim().to_owned())).collect()
}

/// What is wrong with the steps by themselves: their arithmetic, where their numbers come from, what they balance.
fn steps_fault(working: &Working, given: bool) -> Option<String> {
    let mut known: Vec<String> = working.inputs.iter().map(|(_, figure)| bare(figure)).collect();
    let steps: Vec<&Step> = working.steps().collect();
    for step in steps.iter().copied().chain(&working.limit) {
        let Some(found) = value(&step.numbers) else {
            return Some(format!("no arithmetic: {step:?}"));
        };
        let (told, unit) = figure(&step.result);
        let near = half_place(&unit) * (1.0 + 1e-6) + found.abs() * 1e-12;
        if (found - told).abs() > near || near.is_nan() || told.is_nan() {
            return Some(format!("{found} is not {told}: {step:?}"));
        }
        for token in tokens(&step.numbers) {
            let Token::Number(n) = token else { continue };
            if !OF_FORMULAS.contains(&n.as_str()) && !known.contains(&n) {
                return Some(format!("{n} comes from nowhere: {step:?}"));
            }
        }
        if let Some(fault) = ends_fault(working, step) {
            return Some(format!("{fault}: {step:?}"));
        }
        known.push(bare(&step.result));
        // Of a balance nothing is missing beyond what printed figures leave out, and no pad is beyond its
        // grip or its rating: places to a thousandth, forces to a thousandth, some two metres, some ten kN.
        let most = if unit == "N mm" || unit == "lbf in" { 100.0 } else { 0.05 };
        if step.formula.contains("nothing but rounding") && told.abs() > most {
            return Some(format!("missing {told}: {step:?}"));
        }
        if step.formula.contains("to spare =") && told < -most && (unit == "N" || unit == "lbf") {
            return Some(format!("beyond a limit by {told}: {step:?}"));
        }
        if step.formula.contains("to spare to its rating =") && told < -most {
            return Some(format!("beyond its rating by {told}: {step:?}"));
        }
    }
    if steps.is_empty() {
        return Some("no step".into());
    }
    (!given && !steps.iter().any(|s| tokens(&s.numbers).len() > 2)).then(|| "no arithmetic".into())
}

/// Whether the last step misses the figure that the plan holds.
fn end_fault(working: &Working, (planned, near): (f64, f64)) -> Option<String> {
    let told = figure(&working.steps().next_back()?.result).0;
    ((told - planned).abs() > near || told.is_nan()).then(|| format!("worked out {told}, not {planned}"))
}

/// Digits alone.
fn bare(text: &str) -> String {
    let start = text.trim_start_matches('\u{2212}');
    let end = start.find(|c: char| !(c.is_ascii_digit() || c == '.')).unwrap_or(start.len());
    start[..end].to_owned()
}

/// The reserve worked out from the line that is printed, where it is a quotient.
fn reserve_fault(text: &str, check: &Check) -> Option<String> {
    let line = text.lines().find_map(|l| l.trim_start().strip_prefix("Reserve"))?;
    let numbers = line.split(['=', ':']).next()?;
    if !numbers.contains('/') {
        return None;
    }
    let numbers = numbers.replace(['\u{b0}', '%'], "");
    let numbers: String = numbers.chars().filter(|c| !c.is_ascii_alphabetic()).collect();
    let found = value(numbers.trim())?;
    // A reserve is printed in whole per cent, below ten in tenths, never rounded up.
    let near = 0.0005 * (1.0 + found.abs()) + 1e-6 * check.reserve.abs();
    ((found - check.reserve).abs() > near).then(|| format!("{found} is not {}: {line}", check.reserve))
}

struct Asked {
    lift: Lift,
    vehicle: Vehicle,
    job: Job,
    plan: Plan,
    origin: Origin,
}

impl Asked {
    const fn scene<'a>(&'a self, limits: &'a Limits) -> Scene<'a> {
        Scene {
            lift: &self.lift,
            vehicle: &self.vehicle,
            job: &self.job,
            limits,
            plan: &self.plan,
            origin: self.origin,
            other_bays: None,
            chances: None,
            measure_next: None,
        }
    }
}

/// What working says of each way in which a figure can come about.
const WAYS: [&str; 16] = [
    "grip to spare =",
    "Not even the weight alone is in balance",
    "four springs that all carry",
    "arms that do not bend.",
    "the greatest load by statics counts",
    "nothing holds the vehicle",
    "door's own stop",
    "first meets this corner",
    "first meets the face",
    "A near miss counts",
    "runs into the keep-out",
    "on the wrong side by that much",
    "its foot (q) on the line",
    "sine of its turn",
    "corner of the box seen from the pad",
    "cos(turn)",
];

/// Works every check out in both systems; counts them by kind and collects what is wrong.
fn work_out(
    name: &str,
    asked: &Asked,
    counts: &mut BTreeMap<String, usize>,
    faults: &mut Vec<String>,
    met: &mut BTreeSet<&'static str>,
) {
    let limits = Limits::default();
    let scene = asked.scene(&limits);
    figures::work_out(name, &scene, counts, faults);
    for check in &asked.plan.checks {
        let id = check.what.id();
        *counts.entry(id.split(':').next().unwrap_or_default().to_owned()).or_default() += 1;
        for units in BOTH {
            let found = sheets::worked(&scene, check, units)
                .map_or_else(|| Some("no working".into()), |w| fault(&w, check, units));
            faults.extend(found.map(|f| format!("{name}, {id}, state {:?}, {units:?}: {f}", check.state)));
        }
        let text = sheets::working(&scene, &id, Units::Metric).unwrap_or_default();
        let flat = text.split_whitespace().collect::<Vec<_>>().join(" ");
        met.extend(WAYS.iter().filter(|way| flat.contains(**way)));
        let shown = asked.plan.checks.iter().filter(|c| c.what == check.what);
        let shown = shown.min_by(|a, b| a.reserve.total_cmp(&b.reserve)).unwrap_or(check);
        faults.extend(reserve_fault(&text, shown).map(|f| format!("{name}, {id}: {f}")));
    }
}

/// The same job with something done to the vehicle in every state: hanging on a bar, pressing up, pulling.
fn with_tasks(job: Job, vehicle: &Vehicle) -> Job {
    let base = vehicle.wheelbase.value.to_metres();
    let at = [[0.0, 0.8, 0.3], [base, -0.6, 0.4], [0.2, 0.0, 0.3], [base + 0.5, 0.1, 0.9]];
    let forces = planner::forces::LIBRARY.iter().zip(at).map(|(common, at)| WorkForce {
        name: common.name.into(),
        bar: common.bar,
        at: Point::metres(at),
        off: [Length::ZERO; 3],
        directions: common.directions.to_vec(),
        size: common.size(),
    });
    let task = Task {
        name: "all of it".into(),
        posture: Posture::StandingUnder,
        during: vec![],
        forces: forces.collect(),
    };
    Job { tasks: vec![task], ..job }
}

fn end(faults: &[String]) {
    // One of each kind.
    let kind = |fault: &String| {
        fault
            .split(", state ")
            .next()
            .and_then(|f| Some(f.rsplit(", ").next()?.split(':').next()?.to_owned()))
    };
    let some: BTreeMap<_, &String> = faults.iter().map(|f| (kind(f), f)).collect();
    assert!(faults.is_empty(), "{} faults, such as {some:#?}", faults.len());
}

#[test]
fn every_check_of_every_demo_plan_can_be_worked_out_again() {
    let (mut counts, mut faults, mut met) = (BTreeMap::new(), Vec::new(), BTreeSet::new());
    let raised_only =
        demo::pairs().into_iter().map(|(name, lift, vehicle)| (name, lift, vehicle, Job::default()));
    for (name, lift, vehicle, job) in raised_only.chain(demo::jobs()) {
        let job = with_tasks(job, &vehicle);
        let Ok(plan) = plan(&lift, &vehicle, &job, &Limits::default()) else { continue };
        work_out(
            &name,
            &Asked { lift, vehicle, job, plan, origin: Origin::Planned },
            &mut counts,
            &mut faults,
            &mut met,
        );
    }
    assert!(counts.len() >= 20, "{counts:?}");
    end(&faults);
}

/// Setups that nobody would choose: turned, off the line, pads anywhere, so that every way in which a
/// figure can come about is met.
#[test]
fn so_can_those_of_setups_at_random() {
    let mut random = Random::new(71);
    let (mut counts, mut faults, mut met) = (BTreeMap::new(), Vec::new(), BTreeSet::new());
    for (name, lift, vehicle) in demo::pairs() {
        let job = with_tasks(Job::default(), &vehicle);
        let Ok(planned) = plan(&lift, &vehicle, &job, &Limits::default()) else { continue };
        for far in [0.01, 0.05, 0.4, 1.2] {
            let mut near = |size: f64| size * random.between(-1.0, 1.0);
            let placement = Placement {
                spot: planned.placement.spot + Length::metres(near(far)),
                offset: Length::metres(near(0.03)),
                yaw: Angle::degrees(near(2.0)),
                driven_in: planned.placement.driven_in,
            };
            let pads = Corner::ALL.map(|c| {
                let [aft, left] = planned.pads[c.index()].at.to_metres();
                let at = Place::metres([aft + near(far), left + near(far / 2.0)]);
                PadAt { at, adapters: None, height: Some(Length::metres(0.14 + near(0.01))) }
            });
            let Ok(plan) = as_placed(&lift, &vehicle, &job, &Limits::default(), &Setup { placement, pads })
            else {
                continue;
            };
            let asked = Asked {
                lift: lift.clone(),
                vehicle: vehicle.clone(),
                job: job.clone(),
                plan,
                origin: Origin::AsPlaced,
            };
            work_out(&format!("{name}, {far} m off"), &asked, &mut counts, &mut faults, &mut met);
        }
    }
    // Rear pads ahead of the centre of gravity, one of them in line with it: its worst line is a tangent.
    let (_, lift, vehicle) = demo::pairs().swap_remove(0);
    let (job, limits) = (with_tasks(Job::default(), &vehicle), Limits::default());
    let Ok(planned) = plan(&lift, &vehicle, &job, &limits) else { return };
    let cg = planned.states[0].cg.plan().to_metres();
    for k in 0..=24 {
        let pads = Corner::ALL.map(|c| {
            let own = planned.pads[c.index()].at;
            let at = match c {
                Corner::RearLeft => Place::metres([cg[0] - 0.2, 0.005 * f64::from(k) - 0.06]),
                Corner::RearRight => Place::metres([cg[0] - 0.2, -0.75]),
                _ => own,
            };
            PadAt { at, adapters: None, height: None }
        });
        let setup = Setup { placement: planned.placement, pads };
        let Ok(plan) = as_placed(&lift, &vehicle, &job, &limits, &setup) else { continue };
        let (lift, vehicle, job) = (lift.clone(), vehicle.clone(), job.clone());
        let asked = Asked { lift, vehicle, job, plan, origin: Origin::AsPlaced };
        work_out(&format!("in line {k}"), &asked, &mut counts, &mut faults, &mut met);
    }
    end(&faults);
    let missed: Vec<_> = WAYS.iter().filter(|w| !met.contains(**w)).collect();
    assert!(missed.is_empty(), "never met: {missed:?}");
    assert!(counts.len() >= 20, "{counts:?}");
    end(&faults);
}

/// The figures of doubt, where they were asked, and of people whom no lift suits.
#[test]
fn so_can_chances_and_gains() {
    let (mut counts, mut faults) = (BTreeMap::new(), Vec::new());
    let limits = Limits::default();
    let mut gains_met = 0;
    for (name, lift, vehicle, job) in demo::jobs() {
        let Ok(plan) = plan(&lift, &vehicle, &job, &limits) else { continue };
        let chances = planner::chance(&lift, &vehicle, &job, &limits, &plan, 1600).ok();
        let gains = if gains_met < 3 {
            planner::measure_next(&lift, &vehicle, &job, &limits, &plan, None)
        } else {
            vec![]
        };
        gains_met += usize::from(!gains.is_empty());
        let asked = Asked { lift, vehicle, job, plan, origin: Origin::Planned };
        let scene = Scene { chances: chances.as_ref(), measure_next: Some(&gains), ..asked.scene(&limits) };
        figures::work_out(&name, &scene, &mut counts, &mut faults);
    }
    // Somebody small where every lock is high: the arm does not reach.
    let (_, mut lift, vehicle) = demo::pairs().swap_remove(0);
    lift.rise.locks.drain(..lift.rise.locks.len() - 1);
    let stature = planner::Measured::given(Length::metres(1.2), Length::ZERO);
    let task = |posture| Task { name: "reaching".into(), posture, during: vec![], forces: vec![] };
    let job = Job {
        people: vec![planner::job::Person { name: "small".into(), stature }],
        tasks: [Posture::StandingUnder, Posture::StandingAtWheel, Posture::SeatedAtWheel].map(task).to_vec(),
        ..Job::default()
    };
    if let Ok(plan) = plan(&lift, &vehicle, &job, &limits) {
        let asked = Asked { lift, vehicle, job, plan, origin: Origin::Planned };
        figures::work_out("small", &asked.scene(&limits), &mut counts, &mut faults);
    }
    end(&faults);
    let missed: Vec<_> = figures::KINDS.iter().filter(|k| !counts.contains_key(**k)).collect();
    assert!(missed.is_empty(), "never met: {missed:?} of {counts:?}");
}
