//! The drawings of every demonstration pair and job, in both systems of units, looked at point by point:
//! what is covered, cut or left unsaid. Nothing here uses the geometry that placed the texts.

use std::sync::OnceLock;

use planner::job::{Person, Posture, Task};
use planner::{Job, Lift, Limits, Measured, Plan, Vehicle, plan};
use sheets::drawing::style::{Fill, Style};
use sheets::drawing::{Area, Drawing, Item, PAGE, Text, sheets};
use sheets::{Origin, Scene, Units};
use statics::Length;

#[path = "shop/demo.rs"]
mod demo;

const BOTH: [Units; 2] = [Units::Metric, Units::Us];
/// The smallest type, mm, and the smallest scale, 1 to this.
const TYPE: f64 = 3.5;
const SCALE: f64 = 85.0;

/// Something planned and what it was planned from.
struct Made {
    name: String,
    lift: Lift,
    vehicle: Vehicle,
    job: Job,
    limits: Limits,
    plan: Plan,
}

impl Made {
    fn scene(&self) -> Scene<'_> {
        Scene {
            lift: &self.lift,
            vehicle: &self.vehicle,
            job: &self.job,
            limits: &self.limits,
            plan: &self.plan,
            origin: Origin::Planned,
            other_bays: None,
            chances: None,
            measure_next: None,
        }
    }
}

fn made(name: String, lift: Lift, vehicle: Vehicle, job: Job) -> Option<Made> {
    let limits = Limits::default();
    let plan = plan(&lift, &vehicle, &job, &limits).ok()?;
    Some(Made { name, lift, vehicle, job, limits, plan })
}

/// Three tasks for two people, and something opened.
fn busy(mut job: Job, roof: Length) -> Job {
    let task = |name: &str, posture| Task { name: name.into(), posture, during: vec![], forces: vec![] };
    job.tasks = vec![
        task("brake pads", Posture::StandingAtWheel),
        task("oil and filters", Posture::StandingUnder),
        task("wheel bearings", Posture::SeatedAtWheel),
    ];
    let person = |name: &str, metres| Person {
        name: name.into(),
        stature: Measured::given(Length::metres(metres), Length::metres(0.005)),
    };
    job.people = vec![person("the one who is short", 1.56), person("the one who is tall", 1.93)];
    job.opened_height = Some(roof + Length::metres(0.35));
    job
}

/// Names as long as a careful person might write them.
fn long_winded(mut vehicle: Vehicle, mut job: Job) -> (Vehicle, Job) {
    vehicle.name = format!("{}, the one with the dented tailgate that belongs to the bakery", vehicle.name);
    for keep_out in &mut vehicle.keep_outs {
        keep_out.name = format!("{}, along its whole length and on both of its sides", keep_out.name);
    }
    for door in &mut vehicle.doors {
        door.name = format!("{} with the very wide armrest & the <loudspeaker>", door.name);
    }
    for step in &mut job.steps {
        let (planner::job::Step::Off(part) | planner::job::Step::On(part)) = step;
        part.name = format!("{} with all that hangs on it and its Gewindestangenhalterungen", part.name);
        part.after = part
            .after
            .iter()
            .map(|n| format!("{n} with all that hangs on it and its Gewindestangenhalterungen"))
            .collect();
    }
    (vehicle, job)
}

/// Every demonstration pair and job; each pair also with tasks, people and something opened, and one of each
/// kind with long names.
fn all() -> Vec<Made> {
    let mut found = Vec::new();
    for (name, lift, vehicle) in demo::pairs() {
        let roof = vehicle.outline.roof;
        found.extend(made(name.clone(), lift.clone(), vehicle.clone(), Job::default()));
        let busy = busy(Job::default(), roof);
        found.extend(made(format!("{name}, busy"), lift.clone(), vehicle.clone(), busy));
        let (vehicle, job) = long_winded(vehicle, Job::default());
        found.extend(made(format!("{name}, long"), lift, vehicle, job));
    }
    for (name, lift, vehicle, job) in demo::jobs() {
        if !job.steps.is_empty() {
            let (long_vehicle, long_job) = long_winded(vehicle.clone(), job.clone());
            found.extend(made(format!("{name}, long"), lift.clone(), long_vehicle, long_job));
        }
        found.extend(made(name, lift, vehicle, job));
    }
    found
}

/// The same with their drawings, made once.
fn drawn() -> &'static [(Made, [Drawing; 2])] {
    static DRAWN: OnceLock<Vec<(Made, [Drawing; 2])>> = OnceLock::new();
    DRAWN.get_or_init(|| {
        let draw = |made: Made| {
            let drawings = BOTH.map(|units| sheets(&made.scene(), units));
            (made, drawings)
        };
        all().into_iter().map(draw).collect()
    })
}

/// All texts, and page by page what may cover them.
fn texts(items: &[Item]) -> Vec<(usize, &Text)> {
    let texts = items.iter().enumerate().filter_map(|(k, item)| match item {
        Item::Text(text) => Some((k, text)),
        Item::Path { .. } | Item::Circle { .. } => None,
    });
    texts.collect()
}

/// Points of the outline of an item, close together.
fn outline(item: &Item) -> Vec<[f64; 2]> {
    match item {
        Item::Text(_) => vec![],
        Item::Circle { centre: [x, y], radius, .. } => (0..180)
            .map(|k| (f64::from(k) * 2.0).to_radians().sin_cos())
            .map(|(sin, cos)| [x + radius * cos, y + radius * sin])
            .collect(),
        Item::Path { points, closed, .. } => {
            let first = points.first().filter(|_| *closed);
            let ring: Vec<[f64; 2]> = points.iter().chain(first).copied().collect();
            let side = |w: &[[f64; 2]]| {
                let (a, b) = (w[0], w[1]);
                let long = (b[0] - a[0]).hypot(b[1] - a[1]);
                let count = (1..).find(|n| f64::from(*n) * 0.25 >= long).unwrap_or(1);
                (0..=count).map(move |k| {
                    let t = f64::from(k) / f64::from(count);
                    [a[0] + (b[0] - a[0]) * t, a[1] + (b[1] - a[1]) * t]
                })
            };
            ring.windows(2).flat_map(side).collect()
        }
    }
}

/// Whether a point is within a filled item, by the angle that its outline turns about it.
fn covers(item: &Item, at: [f64; 2]) -> bool {
    let ring = outline(item);
    let turn: f64 = ring
        .iter()
        .zip(ring.iter().cycle().skip(1))
        .map(|(a, b)| {
            let (ax, ay, bx, by) = (a[0] - at[0], a[1] - at[1], b[0] - at[0], b[1] - at[1]);
            (ax * by - ay * bx).atan2(ax * bx + ay * by)
        })
        .sum();
    turn.abs() > 3.0
}

const fn style(item: &Item) -> Option<Style> {
    match item {
        Item::Text(_) => None,
        Item::Path { style, .. } | Item::Circle { style, .. } => Some(*style),
    }
}

fn holds(area: &Area, [x, y]: [f64; 2]) -> bool {
    area.x[0] < x && x < area.x[1] && area.y[0] < y && y < area.y[1]
}

/// Points of a text, close together.
fn points(area: &Area) -> Vec<[f64; 2]> {
    let part = |[from, to]: [f64; 2], k: i32, of: i32| from + (to - from) * f64::from(k) / f64::from(of);
    (0..=12).flat_map(|i| (0..=4).map(move |j| [part(area.x, i, 12), part(area.y, j, 4)])).collect()
}

/// What stands on a text or under it that should not.
fn on_text(items: &[Item], k: usize, text: &Text) -> Option<String> {
    let area = text.area();
    let near = |item: &Item| {
        let ring = outline(item);
        let ends = |axis: usize| {
            let of = || ring.iter().map(move |p| p[axis]);
            [of().fold(f64::INFINITY, f64::min), of().fold(f64::NEG_INFINITY, f64::max)]
        };
        let (x, y) = (ends(0), ends(1));
        x[0] < area.x[1] && area.x[0] < x[1] && y[0] < area.y[1] && area.y[0] < y[1]
    };
    for (j, item) in items.iter().enumerate() {
        let Some(style) = style(item).filter(|_| near(item)) else { continue };
        let look = style.look();
        if look.width > 0.0 && outline(item).iter().any(|p| holds(&area, *p)) {
            return Some(format!("a line of {style:?}"));
        }
        let covered = || points(&area).into_iter().any(|p| covers(item, p));
        match look.fill {
            Fill::None => {}
            // White under black text, black under white text.
            Fill::Grey(grey) if j < k && (grey == 255) != text.reversed => {}
            Fill::Grey(_) if covered() => return Some(format!("a surface of {style:?}")),
            Fill::Grey(_) => {}
            Fill::Hatch(_) if covered() => {
                let cleared = |at: [f64; 2]| {
                    let paper = |i: &Item| style_is_paper(i) && covers(i, at);
                    items[j..k].iter().any(paper)
                };
                if !points(&area.clone()).into_iter().all(|p| !covers(item, p) || cleared(p)) {
                    return Some(format!("the pattern of {style:?}"));
                }
            }
            Fill::Hatch(_) => {}
        }
    }
    None
}

fn style_is_paper(item: &Item) -> bool {
    style(item) == Some(Style::Paper)
}

/// All that is said, without the gaps, so that a name in several lines is found.
fn said(drawing: &Drawing) -> String {
    let all = drawing.pages.iter().flat_map(|items| texts(items));
    all.flat_map(|(_, text)| text.says.split_whitespace()).collect()
}

fn bare(text: &str) -> String {
    text.split_whitespace().collect()
}

fn every(mut check: impl FnMut(&Made, Units, &Drawing) -> Vec<String>) {
    let (mut wrong, mut seen) = (Vec::new(), 0);
    for (made, drawings) in drawn() {
        for (units, drawing) in BOTH.into_iter().zip(drawings) {
            seen += 1;
            let found = check(made, units, drawing);
            wrong.extend(found.into_iter().map(|says| format!("{}, {units:?}: {says}", made.name)));
        }
    }
    assert!(seen >= 100, "{seen}");
    assert!(wrong.is_empty(), "{} faults:\n{}", wrong.len(), wrong.join("\n"));
}

#[test]
fn nothing_touches_a_text() {
    every(|_, _, drawing| {
        let mut wrong = Vec::new();
        for (page, items) in drawing.pages.iter().enumerate() {
            let texts = texts(items);
            let whole = Area { x: [5.0, PAGE[0] - 5.0], y: [5.0, PAGE[1] - 5.0] };
            for (n, (k, text)) in texts.iter().enumerate() {
                let area = text.area();
                let on_page = whole.holds(&area);
                let other = texts[..n].iter().find(|(_, t)| t.area().overlaps(&area)).map(|(_, t)| &t.says);
                let fault = match (on_page, other) {
                    (false, _) => Some("it leaves the page".to_owned()),
                    (_, Some(other)) => Some(format!("it covers {other:?}")),
                    _ => on_text(items, *k, text),
                };
                wrong.extend(fault.map(|why| format!("page {}: {:?}: {why}", page + 1, text.says)));
            }
        }
        wrong
    });
}

#[test]
fn nothing_is_cut_small_or_left_unsaid() {
    every(|made, units, drawing| {
        let mut wrong = Vec::new();
        let all = said(drawing);
        let (vehicle, plan) = (&made.vehicle, &made.plan);
        let of = |names: Vec<&String>| names.into_iter().cloned().collect::<Vec<_>>();
        let tasks = plan.height.tasks.iter().filter_map(|t| made.job.tasks.get(t.task?));
        let mut names = [
            vec![made.lift.name.clone(), vehicle.name.clone(), made.job.name.clone()],
            of(vehicle.doors.iter().map(|d| &d.name).collect()),
            of(vehicle.keep_outs.iter().map(|k| &k.name).collect()),
            of(tasks.map(|t| &t.name).collect()),
            of(plan.height.tasks[0].people.iter().map(|p| &p.name).collect()),
        ]
        .concat();
        if vehicle.outline.mirrors.is_some() {
            names.push("mirrors,".into());
        }
        if made.lift.headroom.is_some() {
            names.push("ceiling".into());
        }
        if made.job.opened_height.is_some() {
            names.push("top of what the job opens".into());
        }
        if plan.states.len() > 1 {
            // In the list of the first sheet, and over its own small plan.
            for (k, state) in plan.states.iter().enumerate() {
                names.push(format!("{} {}", k + 1, state.name));
                names.push(format!("{}. {}", k + 1, state.name));
            }
        }
        for task in &plan.height.tasks {
            if let Some(lock) = task.lock {
                names.push(format!("lock {} of {}", lock + 1, made.lift.rise.locks.len()));
                names.push(format!("pads {}", units.length(task.pad_height)));
            }
        }
        wrong.extend(names.into_iter().filter(|n| !all.contains(&bare(n))).map(|n| format!("no {n:?}")));
        for text in drawing.pages.iter().flat_map(|items| texts(items)).map(|(_, text)| text) {
            if text.says.contains("..") || text.says.contains('\u{2026}') {
                wrong.push(format!("cut: {:?}", text.says));
            }
            if text.size < TYPE {
                wrong.push(format!("small: {:?}", text.says));
            }
            let scale = text.says.split_once("scale 1 : ").and_then(|(_, n)| n.parse::<f64>().ok());
            if scale.is_some_and(|n| n > SCALE) {
                wrong.push(format!("small: {:?}", text.says));
            }
        }
        if all.contains(&bare("No room in the drawing for the letter")) {
            wrong.push("a letter without room".into());
        }
        wrong
    });
}

/// Nobody is missing: whoever works at a task is drawn at its lock, once in each posture.
#[test]
fn everybody_is_drawn_at_every_lock() {
    /// Outlines of one figure.
    const PARTS: usize = 9;
    every(|made, _, drawing| {
        let tasks = &made.plan.height.tasks;
        let mut at: Vec<(Option<usize>, Posture)> = Vec::new();
        for task in tasks {
            if !at.contains(&(task.lock, task.posture)) {
                at.push((task.lock, task.posture));
            }
        }
        let people = tasks[0].people.len();
        assert!(people <= 4, "more would not find room at the wheels");
        let drawn = drawing.pages.iter().flatten().filter(|i| style(i) == Some(Style::PersonRim)).count();
        let wanted = at.len() * people * PARTS;
        if drawn == wanted {
            vec![]
        } else {
            vec![format!("{} figures, not {}", drawn / PARTS, wanted / PARTS)]
        }
    });
}

/// A letter in the drawing has its name in a key, once; numbers are those of states.
#[test]
fn every_letter_has_its_name() {
    every(|_, _, drawing| {
        let rim = |items: &[Item], k: usize| {
            k.checked_sub(1).and_then(|k| items.get(k)).and_then(style) == Some(Style::Number)
        };
        let mut found: Vec<String> = Vec::new();
        for items in &drawing.pages {
            let letters = texts(items).into_iter().filter(|(k, _)| rim(items, *k));
            found.extend(letters.map(|(_, text)| text.says.clone()));
        }
        found.sort_by_key(|letter| (letter.len(), letter.clone()));
        let twice: Vec<String> =
            ('a'..='z').take(found.len() / 2).flat_map(|l| [l.to_string(), l.to_string()]).collect();
        if found == twice { vec![] } else { vec![format!("{found:?}")] }
    });
}

/// The side view says what it shows: the arrow of the pad height ends at the top of a pad; as many locks are
/// marked as there are tasks at different ones.
#[test]
fn heights_end_where_they_are_measured() {
    every(|made, _, drawing| {
        let mut wrong = Vec::new();
        let items: Vec<&Item> = drawing.pages.iter().flatten().collect();
        let lines = |wanted: Style| {
            items.iter().filter_map(move |item| match item {
                Item::Path { points, style, .. } if *style == wanted => Some(points.clone()),
                _ => None,
            })
        };
        let tops: Vec<f64> =
            lines(Style::PadTop).map(|p| p.iter().map(|p| p[1]).fold(f64::MAX, f64::min)).collect();
        let floors: Vec<f64> = lines(Style::Ground).map(|p| p[0][1]).collect();
        let meets = |y: f64, some: &[f64]| some.iter().any(|s| (s - y).abs() < 1e-6);
        let ends = lines(Style::Dimension).any(|p| {
            let [a, b] = [p[0], p[1]];
            (a[0] - b[0]).abs() < 1e-9 && meets(a[1], &floors) && meets(b[1], &tops)
        });
        if !ends {
            wrong.push("no arrow from the floor to the top of a pad".into());
        }
        let mut locks: Vec<Option<usize>> = made.plan.height.tasks.iter().map(|t| t.lock).collect();
        locks.sort_unstable();
        locks.dedup();
        let marked = lines(Style::LockChosen).count();
        if marked != locks.iter().flatten().count() {
            wrong.push(format!("{marked} locks are marked, not {}", locks.len()));
        }
        wrong
    });
}
