//! Working force and load range against a general-purpose cone solver: true circular cones, all kinds of
//! contacts, ratings, contacts at different heights.

#![expect(clippy::expect_used, reason = "a test ends where it fails")]

use clarabel::algebra::CscMatrix;
use clarabel::solver::{
    DefaultSettingsBuilder, DefaultSolver, IPSolver as _, NonnegativeConeT, SecondOrderConeT, SolverStatus,
    SupportedConeT, ZeroConeT,
};
use reference::random::Random;
use reference::spec::{Hold, Spec, Variety};
use statics::{LimitedBy, Point, Push};

/// One optimisation: minimise cost over unknowns; rows of the form `right - row . x` in a cone.
struct Program {
    unknowns: usize,
    cost: Vec<f64>,
    rows: Vec<Vec<f64>>,
    right: Vec<f64>,
    cones: Vec<SupportedConeT<f64>>,
}

enum Found {
    Least(f64),
    NoneFeasible,
    NoEnd,
    /// The oracle itself is not sure.
    Unsure,
}

impl Program {
    fn new(unknowns: usize) -> Self {
        Self { unknowns, cost: vec![0.0; unknowns], rows: vec![], right: vec![], cones: vec![] }
    }

    fn row(&mut self, entries: &[(usize, f64)], right: f64) {
        let mut row = vec![0.0; self.unknowns];
        for (i, v) in entries {
            row[*i] += v;
        }
        self.rows.push(row);
        self.right.push(right);
    }

    fn solve(&self) -> Found {
        let p = CscMatrix::<f64>::zeros((self.unknowns, self.unknowns));
        let settings = DefaultSettingsBuilder::default()
            .verbose(false)
            .tol_gap_abs(1e-10)
            .tol_gap_rel(1e-10)
            .tol_feas(1e-10)
            .max_iter(200)
            .build()
            .expect("legal settings");
        let a = CscMatrix::from(&self.rows);
        let mut solver = DefaultSolver::new(&p, &self.cost, &a, &self.right, &self.cones, settings)
            .expect("a legal program");
        solver.solve();
        match solver.solution.status {
            SolverStatus::Solved => Found::Least(solver.solution.obj_val),
            SolverStatus::PrimalInfeasible => Found::NoneFeasible,
            SolverStatus::DualInfeasible => Found::NoEnd,
            _ => Found::Unsure,
        }
    }
}

/// Contact forces in weights, three a contact, then the push; lengths from the CG in metres.
fn cone_program(spec: &Spec, at: [f64; 3], along: [f64; 3], push_allowed: bool) -> Program {
    let n = spec.feet.len();
    let w = spec.weight();
    let mut program = Program::new(3 * n + 1);
    program.cost[3 * n] = -1.0;
    let arm = |p: [f64; 3]| [p[0] - spec.cg[0], p[1] - spec.cg[1], p[2] - spec.cg[2]];
    let moment = |p: [f64; 3], d: [f64; 3]| {
        [p[1] * d[2] - p[2] * d[1], p[2] * d[0] - p[0] * d[2], p[0] * d[1] - p[1] * d[0]]
    };
    for (axis, push) in along.into_iter().enumerate() {
        let mut entries: Vec<(usize, f64)> = (0..n).map(|i| (3 * i + axis, 1.0)).collect();
        entries.push((3 * n, push));
        program.row(&entries, if axis == 2 { 1.0 } else { 0.0 });
    }
    for axis in 0..3 {
        let mut entries = vec![(3 * n, moment(arm(at), along)[axis])];
        for (i, foot) in spec.feet.iter().enumerate() {
            for k in 0..3 {
                let mut unit = [0.0; 3];
                unit[k] = 1.0;
                entries.push((3 * i + k, moment(arm(foot.at), unit)[axis]));
            }
        }
        program.row(&entries, 0.0);
    }
    program.cones.push(ZeroConeT(6));
    let mut lines = 0;
    for (i, foot) in spec.feet.iter().enumerate() {
        if let Hold::Along(u) = foot.hold {
            program.row(&[(3 * i, -u[1]), (3 * i + 1, u[0])], 0.0);
            lines += 1;
        }
    }
    if !push_allowed {
        program.row(&[(3 * n, 1.0)], 0.0);
        lines += 1;
    }
    if lines > 0 {
        program.cones.push(ZeroConeT(lines));
    }
    let before = program.rows.len();
    program.row(&[(3 * n, -1.0)], 0.0);
    for (i, foot) in spec.feet.iter().enumerate() {
        program.row(&[(3 * i + 2, -1.0)], 0.0);
        if let Some(rated) = foot.rated {
            program.row(&[(3 * i + 2, 1.0)], rated / w);
        }
        let within = match foot.hold {
            Hold::Everywhere => continue,
            Hold::Along(u) => u,
            Hold::Blocks(u) => [-u[1], u[0]],
        };
        for sign in [1.0, -1.0] {
            let entries =
                [(3 * i, sign * within[0]), (3 * i + 1, sign * within[1]), (3 * i + 2, -foot.friction)];
            program.row(&entries, 0.0);
        }
    }
    program.cones.push(NonnegativeConeT(program.rows.len() - before));
    for (i, foot) in spec.feet.iter().enumerate() {
        if foot.hold == Hold::Everywhere {
            program.row(&[(3 * i + 2, -foot.friction)], 0.0);
            program.row(&[(3 * i, -1.0)], 0.0);
            program.row(&[(3 * i + 1, -1.0)], 0.0);
            program.cones.push(SecondOrderConeT(3));
        }
    }
    program
}

/// What a push in that direction is worth to the oracle, N.
fn oracle(spec: &Spec, at: [f64; 3], along: [f64; 3]) -> Found {
    match cone_program(spec, at, along, false).solve() {
        Found::NoneFeasible => return Found::Least(0.0),
        Found::Least(_) => {}
        other => return other,
    }
    match cone_program(spec, at, along, true).solve() {
        Found::Least(f) => Found::Least(-f * spec.weight()),
        other => other,
    }
}

#[test]
fn withstands_is_the_cone_optimum_to_a_thousandth_and_never_above() {
    let all = Variety { feet: (3, 8), gap: 0.0, heights: 0.3, rated: 0.5, held: 0.5, edgy: 0.2 };
    let plain = Variety { rated: 0.0, held: 0.0, ..all };
    let four = Variety { feet: (4, 4), heights: 0.05, rated: 1.0, held: 0.3, ..all };
    let mut count = [0; 5];
    let mut limits = [0; 3];
    let (mut short, mut over) = (0.0_f64, 0.0_f64);
    let mut random = Random::new(21);
    for (variety, sets) in [(all, 1200), (plain, 500), (four, 800)] {
        for i in 0..sets {
            let spec = Spec::drawn(&mut random, &variety);
            let (set, body) = spec.to_core().expect("a legal set");
            let at = [0, 1, 2].map(|k| spec.cg[k] + random.between(-0.8, 0.8));
            let along = [random.between(-1.0, 1.0), random.between(-1.0, 1.0), random.between(-0.5, 0.5)];
            let push = Push::new(Point::metres(at), along).expect("it has a direction");
            let answer = set.working_force(&body, &push);
            let found = answer.withstands.map(|f| f.to_newtons());
            let tell = || format!("set {i}: core {answer:?}: {spec:?} {push:?}");
            match oracle(&spec, at, push.direction()) {
                Found::Least(best) => {
                    let Some(found) = found else { panic!("an end at {best} N: {}", tell()) };
                    let rounding = 2e-6 * spec.weight();
                    assert!(found <= best * (1.0 + 1e-6) + rounding, "above {best} N: {}", tell());
                    assert!(found >= best * 0.999 - rounding, "short of {best} N: {}", tell());
                    count[usize::from(best > 1.0)] += 1;
                    if best > 0.01 * spec.weight() {
                        short = short.max(1.0 - found / best);
                        over = over.max(found / best - 1.0);
                    }
                    assert!(answer.limited_by.is_some(), "{}", tell());
                    if let Some(limit) = answer.limited_by {
                        limits[limit as usize] += 1;
                        if limit == LimitedBy::Rating && best > 1.0 {
                            assert!(spec.feet.iter().any(|f| f.rated.is_some()), "{}", tell());
                        }
                    }
                    let balance = answer.residual_force.to_newtons();
                    assert!(balance < 1e-6 * (spec.weight() + found), "{balance} N missing: {}", tell());
                }
                Found::NoEnd => {
                    assert!(found.is_none(), "no end: {}", tell());
                    count[2] += 1;
                }
                Found::NoneFeasible => count[3] += 1,
                Found::Unsure => count[4] += 1,
            }
        }
    }
    println!(
        "zero, some, no end, push alone infeasible, oracle unsure: {count:?}; by tipping, sliding, rating: {limits:?}"
    );
    println!("at the most {short:.1e} short of and {over:.1e} above the oracle");
    assert!(count[0] > 200 && count[1] > 1200 && count[3] + count[4] < 50, "{count:?}");
    assert!(limits.iter().all(|n| *n > 50));
}

#[test]
fn load_ranges_are_those_of_a_linear_program() {
    let variety = Variety { feet: (3, 8), gap: 0.0, heights: 0.3, rated: 0.0, held: 0.0, edgy: 0.3 };
    let mut random = Random::new(22);
    let (mut held, mut fell, mut unsure) = (0, 0, 0);
    for i in 0..500 {
        let spec = Spec::drawn(&mut random, &variety);
        let (set, body) = spec.to_core().expect("a legal set");
        let ranges = set.load_range(&body.load());
        for contact in 0..spec.feet.len() {
            for sign in [1.0, -1.0] {
                match range_program(&spec, contact, sign).solve() {
                    Found::Least(best) => {
                        let best = sign * best * spec.weight();
                        let range =
                            ranges.as_ref().unwrap_or_else(|| panic!("set {i} stands: {spec:?}"))[contact];
                        let found = if sign > 0.0 { range.least } else { range.greatest }.to_newtons();
                        assert!(
                            (found - best).abs() < 1e-6 * spec.weight(),
                            "set {i}, contact {contact}: {found} against {best}: {spec:?}"
                        );
                        held += 1;
                    }
                    Found::NoneFeasible => {
                        assert!(ranges.is_none(), "set {i} falls: {spec:?}");
                        fell += 1;
                    }
                    _ => unsure += 1,
                }
            }
        }
    }
    println!("{held} ends of ranges, {fell} without equilibrium, {unsure} unsure");
    assert!(held > 3000 && fell > 300 && unsure < 50);
}

/// Least (sign 1) or greatest (sign -1) load of one contact, in weights.
fn range_program(spec: &Spec, contact: usize, sign: f64) -> Program {
    let n = spec.feet.len();
    let mut program = Program::new(n);
    program.cost[contact] = sign;
    program.row(&(0..n).map(|i| (i, 1.0)).collect::<Vec<_>>(), 1.0);
    for axis in 0..2 {
        let entries: Vec<(usize, f64)> = (0..n).map(|i| (i, spec.feet[i].at[axis] - spec.cg[axis])).collect();
        program.row(&entries, 0.0);
    }
    program.cones.push(ZeroConeT(3));
    for i in 0..n {
        program.row(&[(i, -1.0)], 0.0);
    }
    program.cones.push(NonnegativeConeT(n));
    program
}
