use std::sync::OnceLock;

use super::style::Style;
use super::text::SMALL;
use super::{Area, Drawing, Item, sheet};
use planner::plan::Verdict;

use super::labels::crosses;
use crate::fixtures::Made;
use crate::{Units, fixtures, words};

fn texts(drawing: &Drawing) -> Vec<(&str, Area)> {
    drawing
        .items
        .iter()
        .filter_map(|item| match item {
            Item::Text(text) => Some((text.says.as_str(), text.area())),
            Item::Path { .. } | Item::Circle { .. } => None,
        })
        .collect()
}

fn whole(drawing: &Drawing) -> Area {
    Area::sized([0.0, 0.0], drawing.size)
}

fn every(check: impl Fn(&str, &Drawing)) {
    static ALL: OnceLock<Vec<(String, Drawing)>> = OnceLock::new();
    let all = ALL.get_or_init(|| {
        let both = |made: &'static Made| {
            [Units::Metric, Units::Us].map(|units| {
                let name = format!("{} on {}, {units:?}", made.vehicle.name, made.lift.name);
                (name, sheet(&made.scene(), units))
            })
        };
        fixtures::all().iter().flat_map(both).collect()
    });
    all.iter().for_each(|(name, drawing)| check(name, drawing));
}

#[test]
fn no_text_covers_another_or_leaves_the_page() {
    every(|name, drawing| {
        let page = whole(drawing).grown(-5.0);
        let texts = texts(drawing);
        for (i, (says, area)) in texts.iter().enumerate() {
            assert!(page.holds(area), "{name}: {says:?} leaves the page: {area:?}");
            for (other, there) in &texts[..i] {
                assert!(!area.overlaps(there), "{name}: {says:?} covers {other:?}");
            }
        }
    });
}

#[test]
fn every_label_finds_room() {
    every(|name, drawing| assert!(drawing.left_out.is_empty(), "{name}: {:?}", drawing.left_out));
}

#[test]
fn no_text_is_small() {
    every(|name, drawing| {
        for item in &drawing.items {
            if let Item::Text(text) = item {
                assert!(text.size >= SMALL, "{name}: {:?}", text.says);
            }
        }
    });
}

/// No reason, condition or cure is only counted.
#[test]
fn every_reason_is_on_the_sheet() {
    for made in fixtures::all() {
        let scene = made.scene();
        for units in [Units::Metric, Units::Us] {
            let drawing = sheet(&scene, units);
            let said: String = texts(&drawing).iter().flat_map(|(says, _)| [says, " "]).collect();
            let reasons = words::refusals(&scene).into_iter().chain(match made.plan.verdict {
                Verdict::DoNotRaise => vec![],
                Verdict::Raise | Verdict::RaiseWithConditions => {
                    [words::conditions(&scene), words::watch(&scene)].concat()
                }
            });
            for reason in reasons {
                let short = reason.short(&scene, units);
                assert!(said.contains(&short), "{} on {}: {short}", made.vehicle.name, made.lift.name);
            }
        }
    }
}

/// A label that touched an arm could be read as a part of it.
#[test]
fn no_label_touches_an_arm() {
    every(|name, drawing| {
        for item in &drawing.items {
            let Item::Path { points, style: Style::Arm, .. } = item else { continue };
            for side in points.windows(2) {
                for (says, area) in texts(drawing) {
                    assert!(!crosses(&area, [side[0], side[1]]), "{name}: {says:?} touches an arm");
                }
            }
        }
    });
}

#[test]
fn every_line_stays_on_the_page() {
    every(|name, drawing| {
        let page = whole(drawing);
        for item in &drawing.items {
            if let Item::Path { points, style, .. } = item {
                for &[x, y] in points {
                    assert!(page.holds(&Area { x: [x, x], y: [y, y] }), "{name}: {style:?} at {x}, {y}");
                }
            }
        }
    });
}

#[test]
fn one_edge_alone_is_marked_as_the_least() {
    every(|name, drawing| {
        let least = drawing.items.iter().filter(|i| matches!(i, Item::Path { style: Style::LeastEdge, .. }));
        // And one in each small plan of the strip.
        let states = texts(drawing).iter().filter(|(says, _)| says.starts_with("tips at ")).count();
        assert_eq!(least.count(), 1 + states, "{name}");
    });
}

/// A plan of many states, made by repeating those that it has.
fn with_states(made: &Made, count: usize) -> Made {
    let mut plan = made.plan.clone();
    let several = plan.states.len();
    plan.states = (0..count)
        .map(|k| {
            let mut state = plan.states[k % several].clone();
            state.name = format!("a part of a rather long name, number {k}");
            state.worst_reserve += f64::from(u32::try_from(k).unwrap()) / 100.0;
            state
        })
        .collect();
    let (lift, vehicle, job, limits) =
        (made.lift.clone(), made.vehicle.clone(), made.job.clone(), made.limits.clone());
    Made { lift, vehicle, job, limits, plan, origin: made.origin }
}

#[test]
fn the_strip_shows_each_state_and_counts_what_it_leaves_out() {
    let made = fixtures::all().iter().find(|m| m.plan.states.len() > 1).unwrap();
    for (count, drawn, rows) in
        [(1, 0, 0.0), (2, 2, 1.0), (6, 6, 1.0), (7, 7, 2.0), (12, 12, 2.0), (30, 12, 2.0)]
    {
        let many = with_states(made, count);
        for units in [Units::Metric, Units::Us] {
            let drawing = sheet(&many.scene(), units);
            let texts = texts(&drawing);
            let names = texts.iter().filter(|(says, _)| says.contains(". a part of")).count();
            assert_eq!(names, drawn, "{count}");
            let counted = texts.iter().any(|(says, _)| says.starts_with("18 states that leave more"));
            assert_eq!(counted, count == 30, "{count}");
            let longer = drawing.size[1] - super::PAGE[1];
            assert!((longer > 0.0) == (rows > 0.0) && longer < 10.0 + 95.0 * rows, "{count}: {longer}");
            let page = whole(&drawing).grown(-5.0);
            for (i, (says, area)) in texts.iter().enumerate() {
                assert!(page.holds(area), "{says:?} leaves the page");
                for (other, there) in &texts[..i] {
                    assert!(!area.overlaps(there), "{count}: {says:?} covers {other:?}");
                }
            }
        }
    }
}
