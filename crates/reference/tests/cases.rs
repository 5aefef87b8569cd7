//! Check values with their sources, as data: `cases/*.toml`. One runner a kind; each asks the core.

#![expect(clippy::expect_used, clippy::panic, reason = "a test ends where it fails")]

use std::collections::BTreeSet;
use std::fs;
use std::path::{Path, PathBuf};

use planner::lift::{Band, BandEnd};
use planner::measured::Measured;
use planner::weigh::{self, LiftedAxle};
use planner::{limits, state};
use reference::spec::{Foot, Hold, Spec};
use serde::Deserialize;
use statics::{Angle, Body, Force, Length, LimitedBy, Mass, Point, Push, SupportSet};

mod shop;

/// Cases in all files together, and rows left out: adding or losing one must be meant.
const CASES: usize = 110;
const LEFT_OUT: usize = 24;

#[derive(Deserialize)]
struct File {
    case: Vec<Case>,
}

#[derive(Deserialize)]
struct Case {
    id: String,
    kind: String,
    quantity: String,
    source: String,
    status: String,
    tolerance: f64,
    expected: Vec<f64>,
    must_differ: Option<Vec<f64>>,
    #[serde(flatten)]
    input: toml::Table,
}

#[derive(Deserialize)]
struct LeftOut {
    row: Vec<Row>,
}

#[derive(Deserialize)]
struct Row {
    id: String,
    reason: String,
}

impl Case {
    fn number(&self, key: &str) -> f64 {
        self.optional(key).unwrap_or_else(|| panic!("{}: no number {key}", self.id))
    }
    fn optional(&self, key: &str) -> Option<f64> {
        self.input.get(key).map(|v| float(v).unwrap_or_else(|| panic!("{}: {key} is no number", self.id)))
    }
    fn text(&self, key: &str) -> &str {
        self.input[key].as_str().expect("a text")
    }
    fn list(&self, key: &str) -> Vec<f64> {
        let list = self.input.get(key).and_then(toml::Value::as_array);
        list.unwrap_or_else(|| panic!("{}: no list {key}", self.id)).iter().filter_map(float).collect()
    }
    fn table(&self, key: &str) -> Vec<Vec<f64>> {
        let rows = self.input.get(key).and_then(toml::Value::as_array);
        rows.unwrap_or_else(|| panic!("{}: no table {key}", self.id))
            .iter()
            .map(|r| r.as_array().expect("a row").iter().filter_map(float).collect())
            .collect()
    }
}

fn float(value: &toml::Value) -> Option<f64> {
    value.as_float().or_else(|| value.as_integer().map(|i| f64::from(i32::try_from(i).expect("small"))))
}

fn folder() -> PathBuf {
    Path::new(env!("CARGO_MANIFEST_DIR")).join("cases")
}

fn cases() -> Vec<Case> {
    let mut files: Vec<PathBuf> = fs::read_dir(folder())
        .expect("the folder of cases")
        .map(|e| e.expect("an entry").path())
        .filter(|p| p.extension().is_some_and(|e| e == "toml") && !p.ends_with("left-out.toml"))
        .collect();
    files.sort();
    files
        .iter()
        .flat_map(|p| {
            let text = fs::read_to_string(p).expect("a readable file");
            toml::from_str::<File>(&text).unwrap_or_else(|e| panic!("{}: {e}", p.display())).case
        })
        .collect()
}

fn left_out() -> Vec<Row> {
    let text = fs::read_to_string(folder().join("left-out.toml")).expect("a readable file");
    toml::from_str::<LeftOut>(&text).expect("rows").row
}

#[test]
fn every_case_comes_out() {
    let cases = cases();
    let mut wrong = Vec::new();
    for case in &cases {
        let found = answer(case);
        let near = |want: &[f64]| {
            want.len() == found.len() && want.iter().zip(&found).all(|(w, f)| (w - f).abs() <= case.tolerance)
        };
        if !near(&case.expected) {
            wrong.push(format!(
                "{} ({}; {}): expected {:?} +- {}, found {found:?}",
                case.id, case.quantity, case.source, case.expected, case.tolerance
            ));
        }
        if case.must_differ.as_deref().is_some_and(near) {
            wrong.push(format!("{}: must differ from {found:?}", case.id));
        }
    }
    println!("{} of {} cases come out", cases.len() - wrong.len(), cases.len());
    assert!(wrong.is_empty(), "\n{}", wrong.join("\n"));
}

#[test]
fn no_row_is_dropped_silently() {
    let (cases, left_out) = (cases(), left_out());
    assert_eq!((cases.len(), left_out.len()), (CASES, LEFT_OUT), "the numbers of cases are pinned");
    let ids: BTreeSet<&str> = cases.iter().map(|c| c.id.as_str()).collect();
    assert_eq!(ids.len(), cases.len(), "every case has an id of its own");
    let row = |id: &str| id.split(' ').next().unwrap_or_default().to_owned();
    let mut have: BTreeSet<String> = cases.iter().map(|c| row(&c.id)).collect();
    have.extend(left_out.iter().map(|r| row(&r.id)));
    let wanted = [
        ("A", 1, 18),
        ("B", 1, 24),
        ("C", 1, 11),
        ("D", 1, 13),
        ("E", 11, 16),
        ("H", 1, 12),
        ("I", 1, 9),
        ("T", 1, 4),
    ];
    let missing: Vec<String> = wanted
        .iter()
        .flat_map(|(s, from, to)| (*from..=*to).map(move |n| format!("{s}{n}")))
        .filter(|id| !have.contains(id))
        .collect();
    assert_eq!(missing, Vec::<String>::new(), "neither a case nor left out with a reason");
    assert!(left_out.iter().all(|r| r.reason.len() > 5));
    let known = ["FOUND", "FOUND-f", "DERIV", "MEM", "common practice, no source"];
    for case in &cases {
        assert!(known.contains(&case.status.as_str()), "{}: status {}", case.id, case.status);
        assert!(!case.source.is_empty(), "{}: no source", case.id);
    }
}

fn answer(case: &Case) -> Vec<f64> {
    match case.kind.as_str() {
        "estimate" => estimate(case),
        "seat-gap" => seat_gap(case),
        "without" => without(case),
        "footing" => footing(case),
        "wheels" => wheels(case),
        "axles" => axles(case),
        "axles-uncertainty" => axles_uncertainty(case),
        "moments" => moments(case),
        "axle-lift" => vec![lifted(case).0.value.to_metres()],
        "axle-lift-error" => vec![lifted(case).0.tolerance.to_metres()],
        "axle-lift-uncertainty" => vec![lifted(case).1.to_metres()],
        "tip-ratio" => tip_ratio(case),
        "force-angles" => force_angles(case),
        "withstands" => withstands(case),
        "tilt-shift" => tilt_shift(case),
        "limit" => limit(case),
        "cone-angle" => vec![slides_at(case, 10_000.0).atan2(10_000.0).to_degrees()],
        "capacity" => vec![slides_at(case, case.number("weight_n"))],
        "split" => split(case),
        "stand" => stand(case),
        "band" => band(case),
        other => panic!("{}: no runner for {other}", case.id),
    }
}

// --- loads -----------------------------------------------------------------------------------------------------

fn spring(at: [f64; 3], stiffness: f64, gap: f64, friction: f64) -> Foot {
    Foot { at, place_tolerance: 0.0, stiffness, gap, friction, rated: None, hold: Hold::Everywhere }
}

fn core(weight: f64, cg: [f64; 3], feet: Vec<Foot>) -> (SupportSet, Body) {
    let mass = Force::newtons(weight).as_mass().to_kilograms();
    let spec = Spec { mass, cg, cg_tolerance: [0.0; 3], tilt_tolerance: 0.0, feet };
    spec.to_core().expect("a legal support set")
}

fn on_springs(case: &Case) -> (SupportSet, Body) {
    let cg = case.list("cg_m");
    let feet = case.table("contacts").iter().map(|c| spring([c[0], c[1], 0.0], c[2], c[3], 0.5)).collect();
    core(case.number("weight_n"), [cg[0], cg[1], 0.5], feet)
}

fn newtons(loads: &[Force]) -> Vec<f64> {
    loads.iter().map(|n| n.to_newtons()).collect()
}

fn estimate(case: &Case) -> Vec<f64> {
    let (set, body) = on_springs(case);
    set.load_estimate(&body.load()).map_or_else(Vec::new, |e| newtons(&e.loads))
}

fn index(case: &Case) -> usize {
    usize::try_from(case.input["of"].as_integer().expect("an index")).expect("an index")
}

fn seat_gap(case: &Case) -> Vec<f64> {
    let (set, body) = on_springs(case);
    set.seat_gap(index(case), &body.load()).map_or_else(Vec::new, |g| vec![g.to_metres()])
}

/// Loads of the others when one contact is lost; none when it falls.
fn without(case: &Case) -> Vec<f64> {
    let (set, body) = on_springs(case);
    let Some(found) = set.without(index(case), &body.load()) else { return vec![] };
    let mut loads = newtons(&found.loads);
    assert!(loads.remove(index(case)).abs() < 1e-300, "{}: what is lost carries nothing", case.id);
    loads
}

/// A footing of side 1 as a grid of contacts: greatest pressure over the mean, carried on to the corner.
fn footing(case: &Case) -> Vec<f64> {
    const CELLS: u32 = 60;
    let side = f64::from(CELLS);
    let e = case.list("eccentricity");
    let centre = |k: u32| (f64::from(k) + 0.5) / side - 0.5;
    let feet = (0..CELLS)
        .flat_map(|i| (0..CELLS).map(move |j| spring([centre(i), centre(j), 0.0], 1.0, 0.0, 0.5)))
        .collect();
    let (set, body) = core(1.0, [e[0], e[1], 0.5], feet);
    let found = set.load_estimate(&body.load()).expect("the load is on the footing");
    let pressure = |i: u32, j: u32| {
        let k = usize::try_from(i * CELLS + j).expect("a small index");
        found.loads[k].to_newtons() * side * side
    };
    let end = CELLS - 1;
    let corner = pressure(end, end);
    if let Some(share) = case.optional("carrying_share") {
        let carrying = found.loads.iter().filter(|n| n.to_newtons() > 1e-9).count();
        let carrying = f64::from(u32::try_from(carrying).expect("a small count")) / (side * side);
        assert!((carrying - share).abs() < 0.02, "{}: {carrying} of the area carries, not {share}", case.id);
    }
    vec![corner + (corner - pressure(end - 1, end)) / 2.0 + (corner - pressure(end, end - 1)) / 2.0]
}

// --- weights ---------------------------------------------------------------------------------------------------

fn kilograms(value: f64, tolerance: f64) -> Measured<Mass> {
    Measured::given(Mass::kilograms(value), Mass::kilograms(tolerance))
}

fn metres(value: f64, tolerance: f64) -> Measured<Length> {
    Measured::given(Length::metres(value), Length::metres(tolerance))
}

fn wheels(case: &Case) -> Vec<f64> {
    let loads = case.list("loads");
    let loads = [0, 1, 2, 3].map(|i| kilograms(loads[i], 0.0));
    let tracks = case.list("tracks").into_iter().map(Length::metres).collect::<Vec<_>>();
    let found = weigh::from_wheels(&loads, &metres(case.number("wheelbase"), 0.0), tracks[0], tracks[1]);
    vec![found.aft.value.to_metres(), found.left.value.to_metres()]
}

fn weighed_axles(case: &Case) -> weigh::Weighed {
    let scale = case.optional("scale_tolerance").unwrap_or(0.0);
    weigh::from_axles(
        &kilograms(case.number("front"), scale),
        &kilograms(case.number("rear"), scale),
        &metres(case.number("wheelbase"), case.optional("tape_tolerance").unwrap_or(0.0)),
    )
}

fn axles(case: &Case) -> Vec<f64> {
    vec![weighed_axles(case).aft.value.to_metres()]
}

fn axles_uncertainty(case: &Case) -> Vec<f64> {
    let found = weighed_axles(case);
    vec![found.aft.value.to_metres(), found.aft_uncertainty.to_metres()]
}

/// Height from a lifted axle, with its worst case, and its standard uncertainty.
fn lifted(case: &Case) -> (Measured<Length>, Length) {
    // A uniform reading has its standard uncertainty at 1/sqrt 3 of its tolerance.
    let uniform = |key: &str| case.optional(key).unwrap_or(0.0) * 3_f64.sqrt();
    let level = case.number("low_level");
    let scale = |key: &str| case.optional(key).unwrap_or(0.0);
    weigh::height(
        &LiftedAxle {
            angle: Measured::given(
                Angle::degrees(case.number("angle_deg")),
                Angle::degrees(uniform("angle_u_deg")),
            ),
            low_lifted: kilograms(level + case.number("gain"), scale("low_lifted_tolerance")),
        },
        &kilograms(level, scale("low_level_tolerance")),
        &kilograms(case.number("mass"), 0.0),
        &metres(case.number("wheelbase"), 0.0),
        &metres(case.number("radius"), uniform("radius_u")),
    )
}

/// Mass and CG after the last step, through the states of a job; stations are shifted so that they lie behind
/// the front axle.
fn moments(case: &Case) -> Vec<f64> {
    let (mass, length) = match case.text("unit") {
        "lb-in" => (Mass::pounds(1.0), Length::inches(1.0)),
        "kg-m" => (Mass::kilograms(1.0), Length::metres(1.0)),
        other => panic!("{}: unit {other}", case.id),
    };
    let found = after(&case.list("start"), &case.table("steps"), mass, length);
    let mut answer = vec![found.mass.value / mass, found.cg.to_metres()[0] / length.to_metres()];
    if case.expected.len() == 3 {
        answer.push(found.cg.z() / length);
    }
    answer
}

/// The last state of a vehicle that loses and gains parts. Rows: mass (negative = comes off), aft, up.
fn after(start: &[f64], steps: &[Vec<f64>], mass: Mass, length: Length) -> state::State {
    let up = |row: &[f64]| row.get(2).map_or(Length::metres(0.5), |u| length * *u);
    let wheelbase = length * (2.0 * start[1]);
    let vehicle = shop::weighing(mass * start[0], length * start[1], up(start), wheelbase);
    let steps = steps.iter().enumerate().map(|(i, row)| {
        let size = mass * row[0].abs();
        let at = Point::metres([(length * row[1]).to_metres(), 0.0, up(row).to_metres()]);
        let part = shop::part(&format!("part {i}"), size, at);
        if row[0] < 0.0 { planner::job::Step::Off(part) } else { planner::job::Step::On(part) }
    });
    let job = planner::Job { steps: steps.collect(), ..planner::Job::default() };
    state::states(&vehicle, &job).expect("states that can be").pop().expect("at least one state")
}

// --- stability -------------------------------------------------------------------------------------------------

fn standing(case: &Case, weight: f64, friction: f64) -> (SupportSet, Body) {
    let cg = case.input.get("cg").map_or_else(|| vec![0.0, 0.0], |_| case.list("cg"));
    let feet = case.table("contacts").iter().map(|c| spring([c[0], c[1], 0.0], 1e5, 0.0, friction)).collect();
    core(weight, [cg[0], cg[1], case.number("height")], feet)
}

fn tip_ratio(case: &Case) -> Vec<f64> {
    let (set, body) = standing(case, 15_000.0, 0.5);
    let ratio = set.stability(&body).tip_ratio.expect("the CG is above");
    vec![ratio, ratio.atan().to_degrees()]
}

fn push(case: &Case) -> Push {
    let (at, along) = (case.list("at"), case.list("along"));
    Push::new(Point::metres([at[0], at[1], at[2]]), [along[0], along[1], along[2]]).expect("a direction")
}

fn force_angles(case: &Case) -> Vec<f64> {
    let (set, body) = standing(case, case.number("weight_n"), 0.5);
    let (push, size) = (push(case), Force::newtons(case.number("push_n")));
    let acting = (size > Force::ZERO).then_some((&push, size));
    let angles = set.force_angles(&body, acting);
    // In the order of the contacts at which the edges begin.
    let mut angles: Vec<(usize, f64)> =
        angles.into_iter().map(|(from, _, a)| (from, a.to_degrees())).collect();
    angles.sort_by_key(|(from, _)| *from);
    angles.into_iter().map(|(_, a)| a).collect()
}

fn withstands(case: &Case) -> Vec<f64> {
    let (set, body) = standing(case, case.number("weight_n"), case.number("friction"));
    let found = set.working_force(&body, &push(case));
    let limit = match found.limited_by {
        Some(LimitedBy::Tipping) => "tipping",
        Some(LimitedBy::Sliding) => "sliding",
        Some(LimitedBy::Rating) => "rating",
        None => "nothing",
    };
    assert_eq!(limit, case.text("limited_by"), "{}", case.id);
    found.withstands.map_or_else(Vec::new, |f| vec![f.to_newtons()])
}

fn tilt_shift(case: &Case) -> Vec<f64> {
    let (set, mut body) = standing(case, 15_000.0, 0.5);
    let level = set.stability(&body).assured;
    body.tilt_tolerance = Angle::degrees(case.number("tilt_deg"));
    vec![(level - set.stability(&body).assured).to_metres()]
}

fn limit(case: &Case) -> Vec<f64> {
    let name = match case.text("limit") {
        "level" => limits::Name::Level,
        other => panic!("{}: limit {other}", case.id),
    };
    vec![planner::Limits::default().get(name)]
}

/// Push at contact height, on a wide base, at which everything slides, N.
fn slides_at(case: &Case, weight: f64) -> f64 {
    let square = [[1.0, 1.0], [-1.0, 1.0], [-1.0, -1.0], [1.0, -1.0]];
    let feet = square.map(|[x, y]| spring([x, y, 0.0], 1e5, 0.0, case.number("friction"))).to_vec();
    let (set, body) = core(weight, [0.0, 0.0, 0.1], feet);
    let push = Push::new(Point::metres([0.0, 0.0, 0.0]), [0.6, 0.8, 0.0]).expect("a direction");
    set.working_force(&body, &push).withstands.expect("it slides in the end").to_newtons()
}

// --- load share ------------------------------------------------------------------------------------------------

const WIDTH: f64 = 0.6;

/// What the front and the rear pads carry, kg; nothing when there is no equilibrium.
fn split(case: &Case) -> Vec<f64> {
    let end = after(&case.list("start"), &case.table("steps"), Mass::kilograms(1.0), Length::metres(1.0));
    let pads = case.list("pads");
    let at = [[pads[0], WIDTH], [pads[0], -WIDTH], [pads[1], WIDTH], [pads[1], -WIDTH]];
    let feet = at.map(|[x, y]| spring([x, y, 0.0], 4e5, 0.0, 0.5)).to_vec();
    let (set, body) = core(end.mass.value.weight().to_newtons(), end.cg.to_metres(), feet);
    let Some(found) = set.load_estimate(&body.load()) else { return vec![] };
    [0, 2].map(|i| (found.loads[i] + found.loads[i + 1]).as_mass().to_kilograms()).to_vec()
}

/// Least force of a stand, kg, given what the front pads must carry at the least.
fn stand(case: &Case) -> Vec<f64> {
    let (pads, front) = (case.list("pads"), case.number("front"));
    let (mass, aft) = (case.number("mass"), case.number("aft"));
    // What the front pads carry for certain is taken off the weight, at their place.
    let rest = mass - front;
    let centre = (mass * aft - front * pads[0]) / rest;
    let at = [
        [pads[0], WIDTH],
        [pads[0], -WIDTH],
        [pads[1], WIDTH],
        [pads[1], -WIDTH],
        [case.number("stand"), 0.0],
    ];
    let feet = at.map(|[x, y]| spring([x, y, 0.0], 4e5, 0.0, 0.5)).to_vec();
    let (set, body) = core(Mass::kilograms(rest).weight().to_newtons(), [centre, 0.0, 0.5], feet);
    let range = set.load_range(&body.load()).expect("the stand holds it");
    vec![range[4].least.as_mass().to_kilograms()]
}

// --- trade -----------------------------------------------------------------------------------------------------

fn band(case: &Case) -> Vec<f64> {
    let end = |inches: f64, included: bool| Some(BandEnd { wheelbase: Length::inches(inches), included });
    let band = |from, to| Band { mark: String::new(), from, to, front_wheel: Length::ZERO };
    let bands = [
        band(None, end(105.0, false)),
        band(end(105.0, true), end(127.0, true)),
        band(end(127.0, false), None),
    ];
    let wheelbase = Length::inches(case.number("wheelbase_in"));
    (0_u8..).zip(&bands).filter(|(_, b)| b.holds(wheelbase)).map(|(i, _)| f64::from(i)).collect()
}
