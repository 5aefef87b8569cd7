//! The question of `solve` to a support set, and the answer back.

use statics::{
    Angle, Body, Contact, Force, Heading, Length, LimitedBy, Mass, Outcome, Point, Push, Resists, Stiffness,
    SupportFault, SupportSet,
};

use super::unique;
use crate::input::{At, Problems};
use crate::wire::solve as wire;

const UNIT_VECTOR: &str =
    "write a direction such as [0, 1]; its length does not matter, but it must have one";

/// A question that can be answered.
pub(crate) struct Question {
    set: SupportSet,
    body: Body,
    names: Vec<String>,
    pushes: Vec<(String, Push)>,
}

/// Checks the question; all reasons go to `problems`.
pub(crate) fn question(file: &wire::Question, problems: &mut Problems) -> Option<Question> {
    if file.contract.value != wire::CONTRACT {
        problems.error(
            file.contract.span.clone(),
            format!("the contract {:?} is not known", file.contract.value),
            format!("this program answers {:?}", wire::CONTRACT),
        );
    }
    let mass = bounded(&file.mass_kg, "mass_kg", true, problems);
    near(&file.cg_m.value, &file.cg_m.span, "cg_m", problems);
    let mass_tolerance = optional(file.mass_tolerance_kg.as_ref(), "mass_tolerance_kg", problems);
    if let (Some(m), Some(t), Some(text)) = (mass, mass_tolerance, &file.mass_tolerance_kg)
        && t >= m
    {
        problems.error(
            text.span.clone(),
            "mass_tolerance_kg is as large as the mass itself",
            "write how far the mass may really be off",
        );
    }
    let cg_tolerance = match &file.cg_tolerance_m {
        None => [0.0; 3],
        Some(t) => {
            if t.value.iter().any(|v| *v < 0.0) {
                problems.error(
                    t.span.clone(),
                    "cg_tolerance_m has a negative part",
                    "a tolerance holds either way: write it without a sign",
                );
            }
            t.value
        }
    };
    let tilt = optional(file.tilt_tolerance_rad.as_ref(), "tilt_tolerance_rad", problems);
    if let Some(text) = file.tilt_tolerance_rad.as_ref().filter(|t| t.value >= core::f64::consts::FRAC_PI_2) {
        problems.error(
            text.span.clone(),
            "tilt_tolerance_rad is a quarter turn or more",
            "write it in radians: 1 degree is 0.01745",
        );
    }
    let list = &file.contacts.value;
    unique(
        list.iter().map(|c| (c.value.name.value.as_str(), c.value.name.span.clone())),
        "contacts",
        problems,
    );
    unique(
        file.forces.iter().map(|f| (f.value.name.value.as_str(), f.value.name.span.clone())),
        "forces",
        problems,
    );
    let contacts: Vec<Option<Contact>> = list.iter().map(|c| contact(&c.value, problems)).collect();
    let pushes: Vec<Option<(String, Push)>> = file.forces.iter().map(|f| push(&f.value, problems)).collect();
    let set = contacts.into_iter().collect::<Option<Vec<_>>>().and_then(|contacts| {
        SupportSet::new(contacts).map_err(|faults| faults.iter().for_each(|f| say(*f, file, problems))).ok()
    });
    if problems.has_errors() {
        return None;
    }
    Some(Question {
        set: set?,
        body: Body {
            mass: Mass::kilograms(mass?),
            mass_tolerance: Mass::kilograms(mass_tolerance?),
            cg: Point::metres(file.cg_m.value),
            cg_tolerance: cg_tolerance.map(Length::metres),
            tilt_tolerance: Angle::radians(tilt?),
        },
        names: list.iter().map(|c| c.value.name.value.clone()).collect(),
        pushes: pushes.into_iter().collect::<Option<_>>()?,
    })
}

/// Sizes beyond which the sums of loads lose digits.
const SMALLEST: f64 = 1e-6;
const LARGEST: f64 = 1e12;
const FARTHEST: f64 = 1e5;

fn bounded(number: &At<f64>, what: &str, positive: bool, problems: &mut Problems) -> Option<f64> {
    let (bad, must) =
        if positive { (number.value <= 0.0, "more than 0") } else { (number.value < 0.0, "0 or more") };
    if bad {
        problems.error(
            number.span.clone(),
            format!("{what} is {}, and must be {must}", number.value),
            format!("write a number that is {must}"),
        );
    }
    let far = !bad && (number.value > LARGEST || positive && number.value < SMALLEST);
    if far {
        problems.error(
            number.span.clone(),
            format!("{what} is {:e}, beyond what is answered with all its digits", number.value),
            format!("write it in the unit of its name; it may be {SMALLEST:e} to {LARGEST:e}"),
        );
    }
    (!bad && !far).then_some(number.value)
}

/// Places and gaps, metres, likewise.
fn near(values: &[f64], span: &std::ops::Range<usize>, what: &str, problems: &mut Problems) {
    if values.iter().any(|v| v.abs() > FARTHEST) {
        problems.error(
            span.clone(),
            format!("{what} is farther than what is answered with all its digits"),
            format!("write it in metres; it may be up to {FARTHEST:e} either way"),
        );
    }
}

fn optional(number: Option<&At<f64>>, what: &str, problems: &mut Problems) -> Option<f64> {
    number.map_or(Some(0.0), |n| bounded(n, what, false, problems))
}

fn contact(file: &wire::Contact, problems: &mut Problems) -> Option<Contact> {
    let place = optional(file.place_tolerance_m.as_ref(), "place_tolerance_m", problems);
    near(&file.at_m.value, &file.at_m.span, "at_m", problems);
    if let Some(gap) = &file.gap_m {
        near(&[gap.value], &gap.span, "gap_m", problems);
    }
    let stiffness = bounded(&file.stiffness_n_per_m, "stiffness_n_per_m", true, problems);
    let friction = bounded(&file.friction, "friction", false, problems);
    let rated = match &file.rated_n {
        None => Some(None),
        Some(n) => bounded(n, "rated_n", false, problems).map(Some),
    };
    let mut line = |vector: [f64; 2], span: &std::ops::Range<usize>| {
        let heading = Heading::along(vector);
        if heading.is_none() {
            problems.error(span.clone(), "resists: the line has no direction", UNIT_VECTOR);
        }
        heading
    };
    let resists = match file.resists.as_ref().map(|r| (&r.value, &r.span)) {
        None | Some((wire::Resists::EveryDirection, _)) => Some(Resists::EveryDirection),
        Some((wire::Resists::OnlyAlong(v), span)) => line(*v, span).map(Resists::OnlyAlong),
        Some((wire::Resists::Blocks(v), span)) => line(*v, span).map(Resists::Blocks),
    };
    Some(Contact {
        at: Point::metres(file.at_m.value),
        place_tolerance: Length::metres(place?),
        stiffness: Stiffness::newtons_per_metre(stiffness?),
        gap: Length::metres(file.gap_m.as_ref().map_or(0.0, |g| g.value)),
        friction: friction?,
        rated: rated?.map(Force::newtons),
        resists: resists?,
    })
}

fn push(file: &wire::Force, problems: &mut Problems) -> Option<(String, Push)> {
    let push = Push::new(Point::metres(file.at_m.value), file.direction.value);
    if push.is_none() {
        problems.error(
            file.direction.span.clone(),
            format!("the direction of {:?} has no length", file.name.value),
            "write a direction such as [0, 1, 0]; its length does not matter, but it must have one",
        );
    }
    push.map(|p| (file.name.value.clone(), p))
}

fn say(fault: SupportFault, file: &wire::Question, problems: &mut Problems) {
    let list = &file.contacts.value;
    let name = |i: usize| list.get(i).map_or("", |c| c.value.name.value.as_str());
    let span = |i: usize| list.get(i).map_or(0..0, |c| c.span.clone());
    match fault {
        SupportFault::TooFew => problems.error(
            file.contacts.span.clone(),
            format!("{} contacts cannot carry a body", list.len()),
            "give at least three that are not on one line",
        ),
        SupportFault::NotFinite(i) => problems.error(
            span(i),
            format!("contact {:?} has a value that is not finite", name(i)),
            "write finite numbers",
        ),
        SupportFault::Stiffness(i) => problems.error(
            span(i),
            format!("contact {:?} has no stiffness", name(i)),
            "write a stiffness of more than 0",
        ),
        SupportFault::Negative(i) => problems.error(
            span(i),
            format!("contact {:?} has a negative value", name(i)),
            "tolerance, friction and rating are 0 or more",
        ),
        SupportFault::Coincide(i, j) => problems.error(
            span(j),
            format!("contacts {:?} and {:?} stand at one place in plan", name(i), name(j)),
            "give each contact a place of its own",
        ),
        SupportFault::OnOneLine => problems.error(
            file.contacts.span.clone(),
            "all contacts lie on one line",
            "nothing can stand on a line: move one of them",
        ),
    }
}

/// The answer, whatever it is.
pub(crate) fn answer(question: &Question) -> wire::Answer {
    let Question { set, body, names, pushes } = question;
    let load = body.load();
    let stability = set.stability(body);
    let range = set.load_range(&load);
    let estimate = set.load_estimate(&load);
    let mut residual = estimate.as_ref().map_or((0.0f64, 0.0f64), |e| {
        (e.residual_force.to_newtons().abs(), e.residual_moment.to_newton_metres().abs())
    });
    let contacts = names
        .iter()
        .enumerate()
        .map(|(i, name)| wire::ContactAnswer {
            name: name.clone(),
            load_least_n: range.as_ref().map(|r| r[i].least.to_newtons()),
            load_greatest_n: range.as_ref().map(|r| r[i].greatest.to_newtons()),
            load_estimate_n: estimate.as_ref().map(|e| e.loads[i].to_newtons()),
            seat_gap_m: set.seat_gap(i, &load).map(Length::to_metres),
            without_it: match set.without(i, &load) {
                None => wire::WithoutIt { outcome: wire::Without::Tips, loads_n: None },
                Some(rest) => {
                    residual = worse(residual, rest.residual_force, rest.residual_moment);
                    let others = names.iter().zip(&rest.loads).enumerate().filter(|(j, _)| *j != i);
                    let loads = others.map(|(_, (n, f))| (n.clone(), f.to_newtons())).collect();
                    wire::WithoutIt { outcome: wire::Without::Stable, loads_n: Some(loads) }
                }
            },
        })
        .collect();
    let edges = stability
        .edges
        .iter()
        .map(|e| wire::Edge {
            from: names[e.from].clone(),
            to: names[e.to].clone(),
            distance_m: e.distance.to_metres(),
            assured_distance_m: e.assured.to_metres(),
        })
        .collect();
    let forces = pushes
        .iter()
        .map(|(name, push)| {
            let first = set.first_unloading(body, push);
            let most = set.working_force(body, push);
            residual = worse(residual, most.residual_force, most.residual_moment);
            wire::ForceAnswer {
                name: name.clone(),
                first_unloads_n: first.map(|f| f.push.to_newtons()),
                unloads: first.map(|f| names[f.contact].clone()),
                withstands_n: most.withstands.map(Force::to_newtons),
                limited_by: most.limited_by.map(|l| match l {
                    LimitedBy::Tipping => wire::LimitedBy::Tipping,
                    LimitedBy::Sliding => wire::LimitedBy::Sliding,
                    LimitedBy::Rating => wire::LimitedBy::Rating,
                }),
                slides: most.slides.iter().map(|k| names[*k].clone()).collect(),
            }
        })
        .collect();
    wire::Answer {
        contract: wire::CONTRACT,
        outcome: match stability.outcome {
            Outcome::Stable => wire::Outcome::Stable,
            Outcome::Tips => wire::Outcome::Tips,
            Outcome::Undecided => wire::Outcome::Undecided,
        },
        contacts,
        edges,
        assured_edge_distance_m: stability.assured.to_metres(),
        tip_ratio: stability.tip_ratio,
        forces,
        residual_n: residual.0,
        residual_nm: residual.1,
    }
}

fn worse(so_far: (f64, f64), force: Force, moment: statics::Moment) -> (f64, f64) {
    (so_far.0.max(force.to_newtons().abs()), so_far.1.max(moment.to_newton_metres().abs()))
}
