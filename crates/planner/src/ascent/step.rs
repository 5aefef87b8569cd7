//! One round of a climb: the largest least of linear functions in a box.

use statics::simplex::pivot;

/// How far each variable moves for the least to be largest, and what was needed to find it.
#[derive(Clone, Debug, Default)]
pub(super) struct Step {
    pub(super) delta: Vec<f64>,
    /// The least that the linear functions reach.
    pub(super) least: f64,
    /// Functions that hold it, by their multipliers.
    pub(super) held_by: Vec<usize>,
    /// Whether the box holds it as well: beyond it the least may go on rising.
    pub(super) walled: bool,
    /// Half sides of the box.
    bounds: Vec<f64>,
    faces: Vec<Face>,
    /// Faces of what held the last step: those of the next are likely among them.
    again: Vec<Face>,
    /// Slopes of the faces: those by the first variable, those by the second, ...
    across: Vec<f64>,
    swings: Vec<f64>,
    gains: Vec<f64>,
    dual: Dual,
}

/// A function that may hold the step back: head . t <= room + slope . delta.
#[derive(Clone, Copy, Debug)]
struct Face {
    function: usize,
    /// 1 for a free function, 0 for one that keeps a floor.
    head: f64,
    room: f64,
}

/// What holds the dual: a face, or a wall of the box on one side of a variable.
#[derive(Clone, Copy, Debug)]
enum Hold {
    Face(Face),
    Wall(usize, f64),
}

/// A basis of the dual: one hold a row, with the inverse of their matrix. Columns: (head, -slope) of
/// a face, (0, +-1 at its variable) of a wall.
#[derive(Clone, Debug, Default)]
struct Dual {
    holds: Vec<Hold>,
    inverse: Vec<f64>,
    taken: Vec<f64>,
    price: Vec<f64>,
    through: Vec<f64>,
}

/// A hold that gains less than this gains nothing.
const GAIN: f64 = 1e-11;

impl Step {
    /// Maximises t with t <= value + slope . delta for free functions, floor <= value + slope . delta
    /// for the others, |delta_j| <= radius scale_j, through the dual: one row for t, one a variable.
    ///
    /// Whether it was found; not where no step keeps the floors.
    pub(super) fn find(
        &mut self,
        values: &[f64],
        slopes: &[f64],
        scale: &[f64],
        radius: f64,
        floors: &[Option<f64>],
    ) -> bool {
        let n = scale.len();
        self.bounds.clear();
        self.bounds.extend(scale.iter().map(|s| radius * s));
        self.find_faces(values, slopes, floors);
        let slope = |f: &Face| &slopes[f.function * n..(f.function + 1) * n];
        let free = self.faces.iter().filter(|f| f.head > 0.0);
        let Some(lowest) = free.min_by(|a, b| a.room.total_cmp(&b.room)).copied() else { return false };
        let dual = &mut self.dual;
        dual.start(lowest, slope(&lowest), &self.bounds);
        self.across.clear();
        for j in 0..n {
            self.across.extend(self.faces.iter().map(|f| slopes[f.function * n + j]));
        }
        self.again.clear();
        self.again.extend(self.faces.iter().filter(|f| self.held_by.contains(&f.function)));
        for _ in 0..40 * (n + 2) {
            let again = dual.best_of(&self.again, slope);
            let all = || dual.best(&self.faces, &self.across, &self.bounds, &mut self.gains);
            let Some((hold, gain)) = again.or_else(all) else {
                dual.reprice(&self.bounds);
                self.least = -dual.price[0];
                self.delta.clear();
                self.delta.extend(dual.price[1..].iter().map(|p| -p));
                self.held_by.clear();
                self.held_by.extend(dual.holders().map(|h| h.0));
                self.walled = dual.walled();
                return true;
            };
            if !dual.take_in(hold, gain, slope) {
                return false;
            }
        }
        false
    }

    /// The part that some functions have in holding the least: between none and one.
    pub(super) fn carried(&self, by: impl Fn(usize) -> bool) -> f64 {
        self.dual.carried(by)
    }

    /// The functions that hold the least, each with its part.
    pub(super) fn holders(&self) -> impl Iterator<Item = (usize, f64)> + '_ {
        self.dual.holders()
    }

    /// The functions that may hold a step back; the others are out of its reach.
    fn find_faces(&mut self, values: &[f64], slopes: &[f64], floors: &[Option<f64>]) {
        let swing = |slope: &[f64]| slope.iter().zip(&self.bounds).map(|(s, b)| s.abs() * b).sum::<f64>();
        self.swings.clear();
        self.swings.extend(slopes.chunks_exact(self.bounds.len()).map(swing));
        let all = || values.iter().zip(&self.swings).zip(floors);
        // No step lifts the least above this.
        let ceiling =
            all().filter(|(_, f)| f.is_none()).fold(f64::INFINITY, |c, ((v, swing), _)| c.min(v + swing));
        let face = |(function, ((value, swing), floor)): (usize, ((&f64, &f64), &Option<f64>))| {
            let (head, room) = floor.map_or((1.0, *value), |f| (0.0, value - f));
            (room - swing <= head * ceiling).then_some(Face { function, head, room })
        };
        self.faces.clear();
        self.faces.reserve(values.len());
        self.faces.extend(all().enumerate().filter_map(face));
    }
}

impl Dual {
    /// Starts from one free face and, of each variable, the wall towards which it rises.
    fn start(&mut self, lowest: Face, slope: &[f64], bounds: &[f64]) {
        let m = slope.len() + 1;
        self.holds.clear();
        self.holds.push(Hold::Face(lowest));
        self.inverse.clear();
        self.inverse.resize(m * m, 0.0);
        self.inverse[0] = 1.0;
        self.taken.clear();
        self.taken.push(1.0);
        for (j, s) in slope.iter().enumerate() {
            let sign = if *s >= 0.0 { 1.0 } else { -1.0 };
            self.holds.push(Hold::Wall(j, sign));
            self.inverse[(j + 1) * m] = s.abs();
            self.inverse[(j + 1) * m + j + 1] = sign;
            // A trace on every variable keeps the program from going round in circles.
            #[expect(clippy::cast_precision_loss, reason = "a count of variables")]
            self.taken.push(s.abs() + 1e-10 * (1.0 + j as f64));
        }
        self.through.clear();
        self.through.resize(m, 0.0);
        self.reprice(bounds);
    }

    /// Price of each row, from its beginning.
    fn reprice(&mut self, bounds: &[f64]) {
        self.price.clear();
        self.price.resize(self.holds.len(), 0.0);
        for (hold, line) in self.holds.iter().zip(self.inverse.chunks_exact(self.price.len())) {
            let gain = match hold {
                Hold::Face(face) => -face.room,
                Hold::Wall(j, _) => -bounds[*j],
            };
            self.price.iter_mut().zip(line).for_each(|(p, v)| *p += gain * v);
        }
    }

    /// As [`Self::best`], of a few faces.
    fn best_of<'s>(&self, faces: &[Face], slope: impl Fn(&Face) -> &'s [f64]) -> Option<(Hold, f64)> {
        let (head, rest) = self.price.split_first()?;
        let gain = |f: &Face| {
            let by_slope: f64 = slope(f).iter().zip(rest).map(|(s, p)| s * p).sum();
            by_slope - f.room - f.head * head
        };
        let gains = faces.iter().map(|f| (Hold::Face(*f), gain(f)));
        gains.filter(|g| g.1 > GAIN).max_by(|a, b| a.1.total_cmp(&b.1))
    }

    /// What gains most at the present prices, and how much.
    fn best(
        &self,
        faces: &[Face],
        across: &[f64],
        bounds: &[f64],
        gains: &mut Vec<f64>,
    ) -> Option<(Hold, f64)> {
        let (head, rest) = self.price.split_first()?;
        gains.clear();
        gains.extend(faces.iter().map(|f| -f.room - f.head * head));
        for (slopes, price) in across.chunks_exact(faces.len()).zip(rest) {
            gains.iter_mut().zip(slopes).for_each(|(gain, slope)| *gain += slope * price);
        }
        let (mut most, mut best) = (GAIN, None);
        for (face, gain) in faces.iter().zip(gains) {
            if *gain > most {
                (most, best) = (*gain, Some(Hold::Face(*face)));
            }
        }
        for (j, (price, bound)) in rest.iter().zip(bounds).enumerate() {
            let gain = price.abs() - bound;
            if gain > most {
                (most, best) = (gain, Some(Hold::Wall(j, -price.signum())));
            }
        }
        best.map(|hold| (hold, most))
    }

    /// Brings a hold in and the first to reach zero out; `false` if none does.
    fn take_in<'s>(&mut self, hold: Hold, gain: f64, slope: impl Fn(&Face) -> &'s [f64]) -> bool {
        let m = self.holds.len();
        for (t, line) in self.through.iter_mut().zip(self.inverse.chunks_exact(m)) {
            *t = match &hold {
                Hold::Wall(j, sign) => sign * line[j + 1],
                Hold::Face(face) => {
                    let across: f64 = line[1..].iter().zip(slope(face)).map(|(v, s)| v * s).sum();
                    face.head * line[0] - across
                }
            };
        }
        let Some(out) = pivot(&mut self.inverse, &mut self.taken, &self.through) else { return false };
        let row = &self.inverse[out * m..(out + 1) * m];
        self.price.iter_mut().zip(row).for_each(|(p, v)| *p += gain * v);
        self.holds[out] = hold;
        true
    }

    /// Whether a wall carries some of the multipliers.
    fn walled(&self) -> bool {
        self.holds.iter().zip(&self.taken).any(|(hold, x)| matches!(hold, Hold::Wall(..)) && *x > 1e-6)
    }

    /// The part of the multipliers that some functions carry.
    fn carried(&self, by: impl Fn(usize) -> bool) -> f64 {
        let parts = self.holds.iter().zip(&self.taken).filter_map(|(hold, x)| match hold {
            Hold::Face(face) if by(face.function) => Some(face.head * x),
            _ => None,
        });
        parts.sum()
    }

    /// Functions that carry some of the multipliers, and how much.
    fn holders(&self) -> impl Iterator<Item = (usize, f64)> + '_ {
        self.holds.iter().zip(&self.taken).filter_map(|(hold, x)| match hold {
            Hold::Face(face) if *x > 1e-6 => Some((face.function, *x)),
            _ => None,
        })
    }
}
