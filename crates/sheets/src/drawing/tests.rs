use std::sync::OnceLock;

use super::screen::{Raised, Stands, from_the_left};
use super::style::Style;
use super::{Area, Drawing, Item, PAGE, Text, sheets};
use planner::job::{Posture, Task};
use planner::plan::Verdict;

use crate::fixtures::Made;
use crate::{Units, fixtures, words};

const BOTH: [Units; 2] = [Units::Metric, Units::Us];

fn texts(items: &[Item]) -> impl Iterator<Item = &Text> {
    items.iter().filter_map(|item| match item {
        Item::Text(text) => Some(text),
        Item::Path { .. } | Item::Circle { .. } => None,
    })
}

fn said(drawing: &Drawing) -> Vec<&str> {
    drawing.pages.iter().flat_map(|items| texts(items)).map(|text| text.says.as_str()).collect()
}

fn every(check: impl Fn(&str, &Drawing)) {
    static ALL: OnceLock<Vec<(String, Drawing)>> = OnceLock::new();
    let all = ALL.get_or_init(|| {
        let both = |made: &'static Made| {
            BOTH.map(|units| {
                let name = format!("{} on {}, {units:?}", made.vehicle.name, made.lift.name);
                (name, sheets(&made.scene(), units))
            })
        };
        fixtures::all().iter().flat_map(both).collect()
    });
    all.iter().for_each(|(name, drawing)| check(name, drawing));
}

fn stands_apart(name: &str, drawing: &Drawing) {
    let page = Area::sized([0.0, 0.0], PAGE).grown(-5.0);
    for items in &drawing.pages {
        let areas: Vec<(&str, Area)> = texts(items).map(|t| (t.says.as_str(), t.area())).collect();
        for (i, (says, area)) in areas.iter().enumerate() {
            assert!(page.holds(area), "{name}: {says:?} leaves the page: {area:?}");
            for (other, there) in &areas[..i] {
                assert!(!area.overlaps(there), "{name}: {says:?} covers {other:?}");
            }
        }
    }
}

/// That nothing else covers a text is looked at in `reference`, for the demonstration files.
#[test]
fn no_text_covers_another_or_leaves_the_page() {
    every(stands_apart);
}

#[test]
fn every_line_stays_on_the_page() {
    every(|name, drawing| {
        let page = Area::sized([0.0, 0.0], PAGE);
        for item in drawing.pages.iter().flatten() {
            if let Item::Path { points, style, .. } = item {
                for &[x, y] in points {
                    assert!(page.holds(&Area { x: [x, x], y: [y, y] }), "{name}: {style:?} at {x}, {y}");
                }
            }
        }
    });
}

/// No reason, condition or cure is only counted.
#[test]
fn every_reason_is_on_the_sheets() {
    for made in fixtures::all() {
        let scene = made.scene();
        for units in BOTH {
            let said = said(&sheets(&scene, units)).join(" ");
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
            for assumption in &made.plan.assumptions {
                let forms =
                    [words::short_assumption(assumption, units), words::assumption(assumption, units)];
                assert!(forms.iter().any(|form| said.contains(form)), "{forms:?}");
            }
        }
    }
}

#[test]
fn one_edge_alone_is_marked_as_the_least() {
    every(|name, drawing| {
        let items = drawing.pages.iter().flatten();
        let least = items.filter(|i| matches!(i, Item::Path { style: Style::LeastEdge, .. })).count();
        // And one in each small plan of the strip.
        let states = said(drawing).iter().filter(|says| says.starts_with("tips at ")).count();
        assert_eq!(least, 1 + states, "{name}");
    });
}

/// A person is one shape: nothing is drawn between the rims of its parts and the parts on top of them.
#[test]
fn a_person_is_one_outline() {
    every(|name, drawing| {
        let of = |item: &Item, wanted: Style| matches!(item, Item::Path { style, .. } if *style == wanted);
        for items in &drawing.pages {
            let parts: Vec<bool> = items
                .iter()
                .filter(|i| of(i, Style::PersonRim) || of(i, Style::Person))
                .map(|i| of(i, Style::Person))
                .collect();
            for body in parts.chunk_by(|before, after| !*before || *after) {
                let rims = body.iter().filter(|is_top| !**is_top).count();
                assert_eq!(rims * 2, body.len(), "{name}");
            }
        }
        let all = drawing.pages.iter().flatten();
        assert!(all.filter(|i| of(i, Style::Person)).count() > 0, "{name}: nobody");
    });
}

/// As many tasks as no ladder of locks has room for: what is too much beside it is in the key.
#[test]
fn every_task_is_named_however_many_there_are() {
    let made = fixtures::one(0, 0);
    let postures = [Posture::StandingUnder, Posture::StandingAtWheel, Posture::SeatedAtWheel];
    let mut job = made.job.clone();
    let task = |k: usize| Task {
        name: format!("what is done as number {k}, with all that belongs to it and some more besides"),
        posture: postures[k % 3],
        during: vec![],
        forces: vec![],
    };
    job.tasks = (0..15).map(task).collect();
    let many = fixtures::make(made.lift.clone(), made.vehicle.clone(), job);
    for units in BOTH {
        let drawing = sheets(&many.scene(), units);
        stands_apart("many tasks", &drawing);
        let all: String = said(&drawing).iter().flat_map(|s| s.split_whitespace()).collect();
        for task in &many.job.tasks {
            let name: String = task.name.split_whitespace().collect();
            assert!(all.contains(&name), "{units:?}: {name}");
        }
        let rims = drawing.pages.iter().flatten();
        let rims = rims.filter(|i| matches!(i, Item::Circle { style: Style::Number, .. })).count();
        assert!(rims > 0 && rims % 2 == 0, "{units:?}: {rims} numbers, each in the drawing and in the key");
    }
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
fn every_state_has_its_cell_on_as_many_pages_as_it_takes() {
    let made = fixtures::all().iter().find(|m| m.plan.states.len() > 1).unwrap();
    for count in [1, 2, 6, 7, 12, 30] {
        let many = with_states(made, count);
        for units in BOTH {
            let drawing = sheets(&many.scene(), units);
            stands_apart(&format!("{count} states"), &drawing);
            let said = said(&drawing);
            let cells = said.iter().filter(|says| says.starts_with("tips at ")).count();
            assert_eq!(cells, if count > 1 { count } else { 0 });
            assert_eq!(said.iter().filter(|s| s.contains("the least")).count(), usize::from(count > 1));
            let all: String = said.iter().flat_map(|s| s.split_whitespace()).collect();
            for k in 0..count {
                let name = format!("{}.apartofaratherlongname,number{k}", k + 1);
                assert!(count == 1 || all.contains(&name), "{count}: {name}");
            }
            let numbered = said.iter().filter(|s| s.starts_with("sheet ")).count();
            assert!(numbered == drawing.pages.len() || drawing.pages.len() == 1 && numbered == 0);
        }
    }
}

/// The longest names that a file may give, in the widest letters, with nowhere to break: nothing is covered, and no name
/// takes a page for itself.
#[test]
fn the_longest_names_of_wide_letters_find_their_places() {
    const LONGEST: usize = 60;
    let wide = |first: &str| format!("{first}{}", "W".repeat(LONGEST - first.len()));
    for made in
        fixtures::all().iter().filter(|m| !m.job.steps.is_empty() || m.plan.verdict == Verdict::DoNotRaise)
    {
        let (mut lift, mut vehicle, mut job) = (made.lift.clone(), made.vehicle.clone(), made.job.clone());
        let mut plan = made.plan.clone();
        lift.name = wide("lift");
        vehicle.name = wide("vehicle");
        job.name = wide("job");
        plan.mark = plan.mark.map(|_| wide("mark"));
        vehicle.keep_outs.iter_mut().for_each(|k| k.name = wide("keep-out"));
        vehicle.lift_areas.iter_mut().for_each(|a| a.name = wide("area"));
        vehicle.doors.iter_mut().for_each(|d| d.name = wide("door"));
        vehicle.stand_places.iter_mut().for_each(|p| p.name = wide("stand"));
        job.tasks.iter_mut().for_each(|t| t.name = wide("task"));
        plan.states.iter_mut().enumerate().skip(1).for_each(|(k, s)| s.name = wide(&format!("{k} off ")));
        for at in plan.height.tasks.iter_mut().flat_map(|t| &mut t.people) {
            at.name = wide("person");
        }
        let pages = sheets(&made.scene(), Units::Us).pages.len();
        let limits = made.limits.clone();
        let long = Made { lift, vehicle, job, limits, plan, origin: made.origin };
        for units in BOTH {
            let drawing = sheets(&long.scene(), units);
            stands_apart(&format!("{} with long names", made.vehicle.name), &drawing);
            assert!(drawing.pages.len() <= 2 * pages + 1, "{} pages for {pages}", drawing.pages.len());
        }
    }
}

/// On a screen nobody is drawn under a vehicle but where it rests for work, and on its wheels it stands on the floor.
#[test]
fn people_are_drawn_only_where_it_is_worked_on() {
    for made in fixtures::all() {
        let scene = made.scene();
        let drawn = |raised| {
            let items = from_the_left(&scene, Units::Metric, raised, Stands::AsPlanned).items;
            let with = |style| {
                let is = |item: &&Item| match item {
                    Item::Path { style: own, .. } | Item::Circle { style: own, .. } => *own == style,
                    Item::Text(_) => false,
                };
                items.iter().filter(is).cloned().collect::<Vec<_>>()
            };
            let lowest = |item: &Item| match item {
                Item::Circle { centre, radius, .. } => centre[1] + radius,
                _ => 0.0,
            };
            let tyres = with(Style::Tyre).iter().map(lowest).fold(0.0, f64::max);
            let ground = with(Style::Ground).into_iter().filter_map(|line| match line {
                Item::Path { points, .. } => points.first().map(|at| at[1]),
                _ => None,
            });
            (with(Style::Person).len(), ground.fold(0.0, f64::max) - tyres)
        };
        assert!(drawn(Raised::ForWork).0 > 0, "{}", made.vehicle.name);
        for raised in [Raised::Not, Raised::ForTheTest, Raised::To(Some(0)), Raised::To(None)] {
            assert_eq!(drawn(raised).0, 0, "{} {raised:?}", made.vehicle.name);
        }
        assert!(drawn(Raised::Not).1.abs() < 0.01, "{}", made.vehicle.name);
        assert!(drawn(Raised::ForTheTest).1 > 0.0, "{}", made.vehicle.name);
    }
}

/// In a picture of its own for a screen type is at least 11 points high on one of 360, and nothing covers another or leaves it.
#[test]
fn a_view_from_the_left_is_read_on_a_narrow_screen() {
    // What a page leaves of 360 points between its margins and the frame.
    const ROOM: f64 = 318.0;
    let all = [Raised::Not, Raised::ForTheTest, Raised::To(Some(0)), Raised::To(None), Raised::ForWork];
    for made in fixtures::all() {
        for (units, raised) in BOTH.into_iter().flat_map(|units| all.map(|raised| (units, raised))) {
            let picture = from_the_left(&made.scene(), units, raised, Stands::AsPlanned);
            let name = format!("{} {raised:?} {units:?}", made.vehicle.name);
            let page = Area { x: [0.0, picture.size[0]], y: [0.0, picture.size[1]] };
            let areas: Vec<_> = texts(&picture.items).map(|text| (text, text.area())).collect();
            for (k, (text, area)) in areas.iter().enumerate() {
                let points = text.size * ROOM / picture.size[0];
                assert!(points >= 11.0, "{name}: {points:.1}: {}", text.says);
                assert!(page.holds(area), "{name}: {} leaves the picture", text.says);
                for (other, there) in &areas[..k] {
                    assert!(!area.overlaps(there), "{name}: {} covers {}", text.says, other.says);
                }
            }
        }
    }
}

/// On a screen no figure, no line of a dimension and no arrow to the front is cut off at an edge of its picture.
#[test]
fn on_a_screen_no_figure_is_cut_off() {
    use super::screen::{self, Window};
    let mut seen = 0;
    for made in fixtures::all() {
        let scene = made.scene();
        for window in [Window::of(&scene), Window::at_the_arms(&scene)] {
            for units in [Units::Metric, Units::Us] {
                let picture = screen::from_above(&scene, units, &window, true);
                let [wide, high] = picture.size;
                let is_in = |[x, y]: [f64; 2]| x >= 0.0 && y >= 0.0 && x <= wide && y <= high;
                for item in &picture.items {
                    let corners = match item {
                        Item::Path { points, style: Style::Dimension | Style::Front, .. } => points.clone(),
                        Item::Text(text) => text.area().corners().to_vec(),
                        _ => continue,
                    };
                    assert!(corners.iter().copied().all(is_in), "{item:?} in {wide} by {high}");
                    seen += 1;
                }
            }
        }
    }
    assert!(seen > 100, "{seen}");
}
