//! Check values with their sources, as data: `cases/*.toml`. One runner a kind; each asks the core.

#![expect(clippy::expect_used, clippy::panic, reason = "a test ends where it fails")]

use std::collections::BTreeSet;
use std::fs;
use std::path::{Path, PathBuf};

use planner::checks::What;
use planner::frames::DrivenIn;
use planner::lift::PadSurface;
use planner::limits::{Name, Own};
use planner::measured::Measured;
use planner::plan::Verdict;
use planner::state;
use planner::weigh::{self, LiftedAxle};
use reference::elastic::{self, Resultant};
use reference::spec::{Foot, Hold, Spec};
use serde::Deserialize;
use statics::{Angle, Body, Force, Length, LimitedBy, Mass, Point, Push, Stiffness, SupportSet};

mod locks;
mod people;
mod rules;
mod shop;

/// Cases in all files together, and rows left out: adding or losing one must be meant.
const CASES: usize = 186;
const LEFT_OUT: usize = 33;

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
        ("E", 1, 16),
        ("F", 1, 19),
        ("H", 1, 12),
        ("I", 1, 9),
        ("L", 1, 7),
        ("T", 1, 7),
    ];
    let missing: Vec<String> = wanted
        .iter()
        .flat_map(|(s, from, to)| (*from..=*to).map(move |n| format!("{s}{n}")))
        .filter(|id| !have.contains(id))
        .collect();
    assert_eq!(missing, Vec::<String>::new(), "neither a case nor left out with a reason");
    assert!(left_out.iter().all(|r| r.reason.len() >= 5));
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
        "axle-lift" => vec![lifted(case).value.to_metres()],
        "axle-lift-error" => vec![lifted(case).tolerance.to_metres()],
        "axle-lift-uncertainty" => vec![lifted(case).uncertainty.to_metres()],
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
        "friction" => friction(case),
        "level" => level(case),
        "split-rule" => split_rule(case),
        "verdict" => verdict(case),
        "arm-stiffness" => arm_stiffness(case),
        "plate-capacity" => capacity(case),
        "test-raise" => test_raise(case),
        "four-carry" => four_carry(case),
        "segments" => people::segments(),
        "body-heights" => people::heights(case),
        "statures" => people::statures(case),
        "wrist-overhead" => people::wrist_overhead(case),
        "arm-bands" => people::arm_bands(case),
        "six-feet-of-rise" => people::six_feet_of_rise(case),
        "heights-of-work" => people::heights_of_work(case),
        "suits" => people::suits(case),
        "lock" => locks::lock(case),
        "heavy-end" => rules::heavy_end(case),
        "arm-rating" => rules::arm_rating(case),
        "plan-force" => plan_force(case),
        "common-force" => vec![common_force(case)],
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
    let found = weigh::from_wheels(
        &loads,
        &metres(case.number("wheelbase"), 0.0),
        [tracks[0], tracks[1]],
        [Length::ZERO; 2],
    );
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
    vec![found.aft.value.to_metres(), found.aft.uncertainty.to_metres()]
}

/// Height from a lifted axle, with its worst case and its standard uncertainty.
fn lifted(case: &Case) -> Measured<Length> {
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
    let (vehicle, job) = job_of(start, steps, mass, length);
    state::states(&vehicle, &job).expect("states that can be").pop().expect("at least one state")
}

/// A vehicle and the job that takes parts off it and puts them on.
fn job_of(start: &[f64], steps: &[Vec<f64>], mass: Mass, length: Length) -> (planner::Vehicle, planner::Job) {
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
    (vehicle, job)
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
        "level" => Name::Level,
        "test-raise" => Name::TestRaise,
        "shake" => Name::ShakePush,
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

/// Least force of a stand, kg, at which the front pads carry so much, and what the rear pads carry then: the
/// planner's own masses, the planner's own scan.
fn stand(case: &Case) -> Vec<f64> {
    let (pads, front) = (case.list("pads"), Mass::kilograms(case.number("front")).weight());
    let (mass, aft) = (Mass::kilograms(case.number("mass")), Length::metres(case.number("aft")));
    let vehicle = shop::weighing(mass, aft, Length::metres(0.5), Length::metres(3.0));
    let at = [[pads[0], WIDTH], [pads[0], -WIDTH], [pads[1], WIDTH], [pads[1], -WIDTH]];
    let feet = at.map(|[x, y]| spring([x, y, 0.0], 4e5, 0.0, 0.5)).to_vec();
    let pairs = |load: f64| {
        let mut ledger = state::Ledger::raised(&vehicle, &planner::Job::default());
        let place = Point::metres([case.number("stand"), 0.0, 0.5]);
        ledger.relieve(place, Length::ZERO, Force::newtons(load));
        let on = ledger.state("on a stand".into());
        let (set, body) = core(on.mass.value.weight().to_newtons(), on.cg.to_metres(), feet.clone());
        let found = set.load_estimate(&body.load())?;
        Some([0, 2].map(|i| found.loads[i] + found.loads[i + 1]))
    };
    let reserve = |load: f64| pairs(load).map_or(-1.0, |[carried, _]| (carried - front).to_newtons());
    let found =
        planner::stands::passing(mass.weight().to_newtons() / 2.0, reserve).expect("a stand holds it");
    let [_, rear] = pairs(found.least).expect("it stands");
    [Force::newtons(found.least), rear].map(|f| f.as_mass().to_kilograms()).to_vec()
}

// --- whole plans ----------------------------------------------------------------------------------------------

const KILOGRAM: Mass = Mass::kilograms(1.0);
const METRE: Length = Length::metres(1.0);

/// A car as raised and after its steps, on pads at given distances behind its front axle.
fn on_pads(case: &Case, change: impl Fn(&mut planner::Lift)) -> planner::Plan {
    let (pads, start) = (case.list("pads"), case.list("start"));
    let (mut vehicle, job) = job_of(&start, &case.table("steps"), KILOGRAM, METRE);
    // Its wheels stand where they are in the way of nothing.
    let wheelbase = pads[1] + 0.6;
    vehicle.wheelbase = shop::exact(METRE * wheelbase);
    vehicle.weight = planner::vehicle::Weight::TotalAndShare {
        total: shop::exact(KILOGRAM * start[0]),
        front_share: shop::exact(1.0 - start[1] / wheelbase),
    };
    let sills = shop::Sills {
        front: [pads[0] - 0.1, pads[0] + 0.1],
        rear: [pads[1] - 0.1, pads[1] + 0.1],
        ..shop::Sills::of(2.6, 1.5)
    };
    vehicle.lift_areas = sills.areas();
    // Arms of any reach that turn right round: only the loads are asked about here.
    let arm = shop::ArmShape { reach: [0.1, 3.0], swing: [-179.0, 179.0], ..shop::CAR_ARM };
    let mut lift = shop::lift(Mass::kilograms(case.number("rated")), arm, arm);
    // Cars of any weight: the arms must not be what fails.
    lift.arms.iter_mut().for_each(|a| a.rated = Some(Force::newtons(50_000.0)));
    change(&mut lift);
    let left = sills.left;
    let setup = shop::setup(
        case.optional("spot").unwrap_or(f64::midpoint(pads[0], pads[1])),
        DrivenIn::Forwards,
        [[pads[0], left], [pads[0], -left], [pads[1], left], [pads[1], -left]],
    );
    planner::as_placed(&lift, &vehicle, &job, &planner::Limits::default(), &setup).expect("a legal question")
}

/// What a plan says of a force on a vehicle on four pads round the origin of the case: what is withstood (N), or
/// the least angle under it (degrees).
/// Placing tolerance, metres, and level, degrees, of the cases of forces.
const PLACED: f64 = 0.002;
const LEVEL: f64 = 0.1;

fn plan_force(case: &Case) -> Vec<f64> {
    let (half, b) = (case.number("half_length"), case.number("half_width"));
    let (cg, weight) = (case.list("cg"), Force::newtons(case.number("weight_n")));
    let (middle, under) = (half + 0.3, 0.22);
    let up = under + case.number("height");
    // Behind the front axle where the case looks ahead.
    let mut vehicle =
        shop::weighing(weight.as_mass(), METRE * (middle - cg[0]), METRE * up, METRE * (2.0 * middle));
    vehicle.outline.roof = METRE * 3.0;
    let sills = shop::Sills {
        front: [middle - half - 0.1, middle - half + 0.1],
        rear: [middle + half - 0.1, middle + half + 0.1],
        left: b,
        width: 0.3,
        undersides: [under; 2],
    };
    vehicle.lift_areas = sills.areas();
    let arm = shop::ArmShape { reach: [0.1, 3.0], swing: [-179.0, 179.0], ..shop::CAR_ARM };
    let mut lift = shop::lift(Mass::kilograms(3500.0), arm, arm);
    lift.arms.iter_mut().for_each(|a| a.rated = Some(Force::newtons(50_000.0)));
    let (at, along) = (case.list("at"), case.list("along"));
    let force = planner::job::WorkForce {
        bar: None,
        name: case.id.clone(),
        at: Point::metres([middle - at[0], at[1], under + at[2]]),
        off: [Length::ZERO; 3],
        directions: vec![[-along[0], along[1], along[2]]],
        size: Measured::given(Force::newtons(case.number("push_n")), Force::ZERO),
    };
    let task = planner::job::Task {
        name: case.quantity.clone(),
        posture: planner::job::Posture::StandingAtWheel,
        during: vec![],
        forces: vec![force],
    };
    let job = planner::Job { tasks: vec![task], ..planner::Job::default() };
    let at = [[-half, b], [-half, -b], [half, b], [half, -b]];
    let setup = shop::setup(middle, DrivenIn::Forwards, at.map(|[x, y]| [middle + x, y]));
    // As near to pads in place and level as own limits may be.
    let mut limits = planner::Limits::default();
    for (name, value) in [(Name::Placing, PLACED), (Name::Level, LEVEL.to_radians())] {
        assert!(limits.set(Own { name, value, source: None }));
    }
    let plan =
        planner::as_placed_with_cures(&lift, &vehicle, &job, &limits, &setup).expect("a legal question");
    let found = &plan.work[0].states[0];
    let limit = match found.limited_by {
        Some(LimitedBy::Tipping) => "tipping",
        Some(LimitedBy::Sliding) => "sliding",
        Some(LimitedBy::Rating) => "rating",
        None => "nothing",
    };
    assert_eq!(limit, case.text("limited_by"), "{}", case.id);
    let check = plan.checks.iter().find(|c| matches!(c.what, What::WorkForce { .. })).expect("it is checked");
    let angle = found.force_angle.expect("an angle").to_degrees();
    vec![if case.text("asks") == "angle" { angle } else { check.demand }]
}

/// A common force of the library at its greatest, N.
fn common_force(case: &Case) -> f64 {
    planner::forces::find(case.text("force")).expect("in the library").size().greatest().to_newtons()
}

fn split_rule(case: &Case) -> Vec<f64> {
    let plan = on_pads(case, |lift| lift.split_rule_binds = true);
    let last = plan.states.len() - 1;
    let met = |c: &&planner::plan::Check| c.what == What::SplitRule && c.state == Some(last);
    plan.checks.iter().filter(met).map(|c| f64::from(u8::from(c.reserve >= 0.0))).collect()
}

fn verdict(case: &Case) -> Vec<f64> {
    let plan = on_pads(case, |_| {});
    vec![f64::from(u8::from(plan.verdict != Verdict::DoNotRaise))]
}

fn friction(case: &Case) -> Vec<f64> {
    let mut lift = shop::lifts().remove(0);
    lift.pads.surface = match case.text("surface") {
        "rubber" => PadSurface::Rubber,
        "rough-metal" => PadSurface::RoughMetal,
        "smooth-metal" => PadSurface::SmoothMetal,
        other => panic!("{}: surface {other}", case.id),
    };
    let (vehicle, job, limits) = (car(), planner::Job::default(), planner::Limits::default());
    let situation = planner::Situation::new(&lift, &vehicle, &job, &limits).expect("a legal question");
    vec![situation.friction()]
}

/// A car that the shop's lifts serve.
fn car() -> planner::Vehicle {
    let mut vehicle = shop::weighing(Mass::kilograms(1300.0), METRE * 1.05, METRE * 0.55, METRE * 2.6);
    vehicle.lift_areas = shop::Sills::of(2.6, 1.5).areas();
    vehicle
}

/// How far out of level two rear pads are that stand lower, degrees.
fn level(case: &Case) -> Vec<f64> {
    let apart = case.number("apart");
    let mut vehicle =
        shop::weighing(Mass::kilograms(1500.0), METRE * 1.5, METRE * 0.6, METRE * (apart + 0.6));
    let sills =
        shop::Sills { front: [0.2, 0.4], rear: [apart + 0.2, apart + 0.4], ..shop::Sills::of(2.6, 1.5) };
    vehicle.lift_areas = sills.areas();
    let (aft, left) = (0.3, sills.left);
    let mut setup = shop::setup(
        1.6,
        DrivenIn::Forwards,
        [[aft, left], [aft, -left], [aft + apart, left], [aft + apart, -left]],
    );
    for (i, pad) in setup.pads.iter_mut().enumerate() {
        let drop = if i < 2 { 0.0 } else { case.number("drop_mm") };
        pad.height = Some(Length::metres(0.2) - Length::millimetres(drop));
    }
    let lift = shop::lifts().remove(0);
    let plan =
        planner::as_placed(&lift, &vehicle, &planner::Job::default(), &planner::Limits::default(), &setup)
            .expect("a legal question");
    let found = plan.checks.iter().filter(|c| c.what == What::Level);
    found.map(|c| c.demand.to_degrees()).collect()
}

/// Own stiffness of the front left arm, kN/m, worked out from the loads that a plan gives the four pads.
fn arm_stiffness(case: &Case) -> Vec<f64> {
    let (k_out, reach_out, reach) =
        (case.number("stiffness_kn_per_m") * 1e3, case.number("reach_out"), case.number("reach"));
    let arm = shop::ArmShape { pivot: [0.0, 1.3], reach: [0.1, 3.0], swing: [-179.0, 179.0], teeth: None };
    let mut lift = shop::lift(Mass::kilograms(3500.0), arm, arm);
    for arm in &mut lift.arms {
        arm.reach_out = METRE * reach_out;
        arm.stiffness_out = Some(Measured::given(Stiffness::newtons_per_metre(k_out), Stiffness::ZERO));
    }
    // Three pads at full reach, the front left nearer; all on one side's line from its pivot.
    let place = |reach: f64, ahead: f64, side: f64| {
        let along = 0.8 * reach * ahead;
        [-along, side * (1.3 - 0.6 * reach)]
    };
    let pads = [
        place(reach, 1.0, 1.0),
        place(reach_out, 1.0, -1.0),
        place(reach_out, -1.0, 1.0),
        place(reach_out, -1.0, -1.0),
    ];
    let mut vehicle = shop::weighing(Mass::kilograms(1500.0), METRE * 1.3, METRE * 0.55, METRE * 2.6);
    vehicle.lift_areas =
        shop::Sills { front: [0.4, 1.3], rear: [1.4, 2.3], left: 0.6, width: 0.4, undersides: [0.22; 2] }
            .areas();
    let spot = 1.3;
    let pads = pads.map(|[aft, left]| [aft + spot, left]);
    let setup = shop::setup(spot, DrivenIn::Forwards, pads);
    let plan =
        planner::as_placed(&lift, &vehicle, &planner::Job::default(), &planner::Limits::default(), &setup)
            .expect("a legal question");
    let loads = plan.states[0].loads;
    // The second way, with the known three stiffnesses and a guess for the fourth.
    let pad = planner::situation::ASSUMED_PAD_STIFFNESS.to_newtons_per_metre();
    let series = |own: f64| 1.0 / (1.0 / own + 1.0 / pad);
    let load = |own: f64| {
        let k = [series(own), series(k_out), series(k_out), series(k_out)];
        let feet = (0..4).map(|i| spring([-pads[i][0], pads[i][1], 0.0], k[i], 0.0, 0.5)).collect();
        let spec =
            Spec { mass: 1500.0, cg: [-1.3, 0.0, 0.5], cg_tolerance: [0.0; 3], tilt_tolerance: 0.0, feet };
        elastic::loads(&spec, &Resultant::weight(&spec)).expect("it stands")[0]
    };
    // The stiffer that arm, the more its pad carries.
    let (mut low, mut high) = (1e4_f64, 1e9_f64);
    for _ in 0..200 {
        let middle = (low * high).sqrt();
        if load(middle) < loads[0].to_newtons() { low = middle } else { high = middle }
    }
    vec![low / 1e3]
}

// --- trade -----------------------------------------------------------------------------------------------------

fn band(case: &Case) -> Vec<f64> {
    let bands = shop::plate([1.0, 1.2, 1.4]).bands;
    let wheelbase = Length::inches(case.number("wheelbase_in"));
    (0_u8..).zip(&bands).filter(|(_, b)| b.holds(wheelbase)).map(|(i, _)| f64::from(i)).collect()
}

fn capacity(case: &Case) -> Vec<f64> {
    let mut lift = shop::lift(Mass::pounds(case.number("rated_pounds")), shop::CAR_ARM, shop::CAR_ARM);
    lift.arms.iter_mut().for_each(|a| a.rated = Some(Force::newtons(50_000.0)));
    let mut vehicle = car();
    vehicle.weight = planner::vehicle::Weight::TotalAndShare {
        total: shop::exact(Mass::pounds(case.number("pounds"))),
        front_share: shop::exact(0.55),
    };
    let plan = planner::plan(&lift, &vehicle, &planner::Job::default(), &planner::Limits::default())
        .expect("a legal question");
    let check = plan.checks.iter().find(|c| c.what == What::Capacity).expect("it is always made");
    assert!(check.reserve >= 0.0 || plan.verdict == Verdict::DoNotRaise, "{}: not refused", case.id);
    vec![check.reserve]
}

fn planned_car() -> planner::Plan {
    let lift = shop::lifts().remove(0);
    planner::plan(&lift, &car(), &planner::Job::default(), &planner::Limits::default())
        .expect("a legal question")
}

/// Least and greatest of a few inches, if what the vehicle rises by lies between them and clears every tyre.
fn test_raise(case: &Case) -> Vec<f64> {
    let (plan, car) = (planned_car(), car());
    let touching = |p: &planner::plan::PadSetting| car.lift_areas[p.area].underside - p.height;
    let rises = plan.test_raise - plan.pads.iter().map(touching).fold(Length::ZERO, Length::max);
    assert!(rises > car.droop.greatest(), "{}: wheels still on the floor", case.id);
    let inches = rises.to_inches();
    if (case.expected[0]..=case.expected[1]).contains(&inches) { case.expected.clone() } else { vec![inches] }
}

fn four_carry(_: &Case) -> Vec<f64> {
    let plan = planned_car();
    assert_ne!(plan.verdict, Verdict::DoNotRaise);
    let carrying = plan.pads.iter().filter(|p| p.load_estimate > Force::ZERO).count();
    vec![f64::from(u32::try_from(carrying).expect("four"))]
}
