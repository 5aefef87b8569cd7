//! A general-purpose solver for quadratic programs over cones, and what it is asked of a support set.

#![allow(dead_code, clippy::expect_used, reason = "each test uses its own part, and ends where it fails")]

use clarabel::algebra::CscMatrix;
use clarabel::solver::{
    DefaultSettings, DefaultSettingsBuilder, DefaultSolver, IPSolver as _, NonnegativeConeT,
    SecondOrderConeT, SolverStatus, SupportedConeT, ZeroConeT,
};
use reference::spec::{Hold, Spec};

/// One optimisation: minimise cost and half the curve of each unknown squared; rows of the form
/// `right - row . x` in a cone.
pub(crate) struct Program {
    unknowns: usize,
    pub(crate) cost: Vec<f64>,
    curve: Vec<f64>,
    rows: Vec<Vec<f64>>,
    right: Vec<f64>,
    pub(crate) cones: Vec<SupportedConeT<f64>>,
}

pub(crate) enum Found {
    /// The least cost, and where it is.
    Least(f64, Vec<f64>),
    NoneFeasible,
    NoEnd,
    /// The oracle itself is not sure.
    Unsure,
}

/// As the solver has them by itself: eight digits.
pub(crate) fn plain() -> DefaultSettings<f64> {
    DefaultSettingsBuilder::default().verbose(false).build().expect("legal settings")
}

/// To so many digits.
fn within(tolerance: f64) -> DefaultSettings<f64> {
    DefaultSettings {
        tol_gap_abs: tolerance,
        tol_gap_rel: tolerance,
        tol_feas: tolerance,
        max_iter: 200,
        ..plain()
    }
}

impl Program {
    pub(crate) fn new(unknowns: usize) -> Self {
        let zeros = vec![0.0; unknowns];
        Self { unknowns, cost: zeros.clone(), curve: zeros, rows: vec![], right: vec![], cones: vec![] }
    }

    pub(crate) fn row(&mut self, entries: &[(usize, f64)], right: f64) {
        let mut row = vec![0.0; self.unknowns];
        for (i, v) in entries {
            row[*i] += v;
        }
        self.rows.push(row);
        self.right.push(right);
    }

    pub(crate) fn solver(&self, settings: DefaultSettings<f64>) -> DefaultSolver<f64> {
        let mut p = CscMatrix::<f64>::zeros((self.unknowns, self.unknowns));
        if self.curve.iter().any(|c| *c != 0.0) {
            p = CscMatrix::identity(self.unknowns);
            p.nzval.copy_from_slice(&self.curve);
        }
        let a = CscMatrix::from(&self.rows);
        DefaultSolver::new(&p, &self.cost, &a, &self.right, &self.cones, settings).expect("a legal program")
    }

    pub(crate) fn solve(&self, tolerance: f64) -> Found {
        solved(&mut self.solver(within(tolerance)))
    }
}

pub(crate) fn solved(solver: &mut DefaultSolver<f64>) -> Found {
    solver.solve();
    match solver.solution.status {
        SolverStatus::Solved => Found::Least(solver.solution.obj_val, solver.solution.x.clone()),
        SolverStatus::PrimalInfeasible => Found::NoneFeasible,
        SolverStatus::DualInfeasible => Found::NoEnd,
        _ => Found::Unsure,
    }
}

/// Least complementary energy: minimise sum N^2 / 2k + gap N over N >= 0 in equilibrium. Loads in weights.
pub(crate) fn load_program(spec: &Spec) -> Program {
    let most = spec.feet.iter().map(|f| f.stiffness).fold(0.0, f64::max);
    let mut program = in_balance(spec);
    program.curve = spec.feet.iter().map(|f| most / f.stiffness).collect();
    program.cost = spec.feet.iter().map(|f| f.gap * most / spec.weight()).collect();
    program
}

/// Vertical loads of the contacts, in weights, none of them negative, that balance the weight.
pub(crate) fn in_balance(spec: &Spec) -> Program {
    let n = spec.feet.len();
    let mut program = Program::new(n);
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

/// Against gravity, level.
pub(crate) const UP: [f64; 3] = [0.0, 0.0, 1.0];

/// Contact forces in weights, three a contact, then the push; lengths from the CG in metres. `up` is against gravity.
pub(crate) fn cone_program(
    spec: &Spec,
    at: [f64; 3],
    along: [f64; 3],
    up: [f64; 3],
    push_allowed: bool,
) -> Program {
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
        program.row(&entries, up[axis]);
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
