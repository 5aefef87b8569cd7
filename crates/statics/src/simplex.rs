//! Linear programs whose columns are made on demand: maximise c.x with A x = b, x >= 0.

/// What is offered to a program: the entries, one a row, are written where it says.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Column {
    /// What one unit of it adds to the objective.
    pub gain: f64,
    /// The maker's own mark.
    pub tag: usize,
}

/// How a program ended.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Ended {
    /// No column gains any more.
    Optimal,
    /// The objective grows without end.
    Unbounded,
    /// Too many steps: rounding keeps it from settling.
    Stuck,
}

/// A basis: as many columns as rows, all with x >= 0, and the inverse of their matrix.
#[derive(Debug)]
pub struct Basis {
    columns: Vec<Column>,
    /// Those of the first column, those of the second, ...
    entries: Vec<f64>,
    inverse: Vec<f64>,
    x: Vec<f64>,
    price: Vec<f64>,
    through: Vec<f64>,
    offered: Vec<f64>,
}

impl Clone for Basis {
    fn clone(&self) -> Self {
        let Self { columns, entries, inverse, x, price, through, offered } = self;
        Self {
            columns: columns.clone(),
            entries: entries.clone(),
            inverse: inverse.clone(),
            x: x.clone(),
            price: price.clone(),
            through: through.clone(),
            offered: offered.clone(),
        }
    }

    /// Into the room that is there; what is only worked in stays.
    fn clone_from(&mut self, other: &Self) {
        self.columns.clone_from(&other.columns);
        self.entries.clone_from(&other.entries);
        self.inverse.clone_from(&other.inverse);
        self.x.clone_from(&other.x);
        self.price.resize(other.price.len(), 0.0);
        self.through.resize(other.through.len(), 0.0);
        self.offered.resize(other.offered.len(), 0.0);
    }
}

/// Pivots smaller than this, in a program scaled to about one, would divide by rounding.
const PIVOT: f64 = 1e-9;

/// Brings a column in, `through` = the inverse times it, and the first row to reach zero out: inverse and x
/// follow. Which row that was; `None` if none does.
pub fn pivot(inverse: &mut [f64], x: &mut [f64], through: &[f64]) -> Option<usize> {
    let mut out: Option<(usize, f64)> = None;
    for (i, (t, x)) in through.iter().zip(&*x).enumerate() {
        if *t > PIVOT {
            let ratio = x / t;
            if out.is_none_or(|(o, r)| ratio < r || (ratio <= r && *t > through[o])) {
                out = Some((i, ratio));
            }
        }
    }
    let (out, amount) = out?;
    exchange(inverse, through, out);
    for (x, t) in x.iter_mut().zip(through) {
        *x = (*x - amount * t).max(0.0);
    }
    x[out] = amount;
    Some(out)
}

/// The inverse once a column has taken the place of the one of a row.
fn exchange(inverse: &mut [f64], through: &[f64], out: usize) {
    let long = inverse.len() / through.len();
    let (before, rest) = inverse.split_at_mut(out * long);
    let (row, after) = rest.split_at_mut(long);
    row.iter_mut().for_each(|v| *v /= through[out]);
    for (lines, through) in [(before, &through[..out]), (after, &through[out + 1..])] {
        for (line, t) in lines.chunks_exact_mut(long).zip(through) {
            add(line, -t, row);
        }
    }
}

/// Rows and right-hand sides of a [`Basis`] are this long for so many rows, the rest zero.
#[must_use]
pub const fn fours(rows: usize) -> usize {
    rows.next_multiple_of(4)
}

/// Adds some times one line to another.
#[inline]
pub fn add(line: &mut [f64], times: f64, other: &[f64]) {
    line.iter_mut().zip(other).for_each(|(a, b)| *a += times * b);
}

/// Sum of the products of two lines, four numbers at a time.
#[inline]
pub fn product(line: &[f64], other: &[f64]) -> f64 {
    let ((fours, rest), (others, other_rest)) = (line.as_chunks::<4>(), other.as_chunks::<4>());
    let mut sums = [0.0; 4];
    for (a, b) in fours.iter().zip(others) {
        for ((sum, a), b) in sums.iter_mut().zip(a).zip(b) {
            *sum += a * b;
        }
    }
    let rest: f64 = rest.iter().zip(other_rest).map(|(a, b)| a * b).sum();
    (sums[0] + sums[2]) + (sums[1] + sums[3]) + rest
}

impl Basis {
    /// Starts from one column a row, a one in it and zeros elsewhere, and what is taken of each, not negative.
    #[must_use]
    pub fn diagonal(columns: Vec<Column>, x: Vec<f64>) -> Self {
        let m = columns.len();
        let long = fours(m);
        let mut inverse = vec![0.0; m * long];
        inverse.iter_mut().step_by(long + 1).for_each(|v| *v = 1.0);
        let [price, offered] = [(); 2].map(|()| vec![0.0; long]);
        Self { columns, entries: inverse.clone(), inverse, x, price, through: vec![0.0; m], offered }
    }

    /// The columns, their entries and what is taken of each.
    pub fn taken(&self) -> impl Iterator<Item = (&Column, &[f64], f64)> {
        let entries = self.entries.chunks_exact(self.offered.len());
        self.columns.iter().zip(entries).zip(&self.x).map(|((c, entries), x)| (c, entries, *x))
    }

    /// Changes what a basic column gains.
    pub fn regain(&mut self, gain: impl Fn(&Column) -> f64) {
        for column in &mut self.columns {
            column.gain = gain(column);
        }
    }

    /// Price of each row at the present basis.
    pub fn prices(&mut self) -> &[f64] {
        self.price.fill(0.0);
        for (column, row) in self.columns.iter().zip(self.inverse.chunks_exact(self.offered.len())) {
            if column.gain != 0.0 {
                add(&mut self.price, column.gain, row);
            }
        }
        &self.price
    }

    /// The present value of the objective.
    #[must_use]
    pub fn objective(&self) -> f64 {
        self.columns.iter().zip(&self.x).map(|(c, x)| c.gain * x).sum()
    }

    /// Takes in columns until `offer`, given prices and objective and the place for entries (all zero), has none
    /// that gains.
    pub fn maximise(
        &mut self,
        steps: usize,
        mut offer: impl FnMut(&[f64], f64, &mut [f64]) -> Option<Column>,
    ) -> Ended {
        for _ in 0..steps {
            let objective = self.objective();
            self.prices();
            self.offered.fill(0.0);
            let Some(column) = offer(&self.price, objective, &mut self.offered) else {
                return Ended::Optimal;
            };
            if !self.take_in(column) {
                return Ended::Unbounded;
            }
        }
        Ended::Stuck
    }

    /// Brings what was offered in and the first to reach zero out; `false` if none does.
    fn take_in(&mut self, column: Column) -> bool {
        let long = self.offered.len();
        for (t, row) in self.through.iter_mut().zip(self.inverse.chunks_exact(long)) {
            *t = product(row, &self.offered);
        }
        let Some(out) = pivot(&mut self.inverse, &mut self.x, &self.through) else { return false };
        self.put(out, column);
        true
    }

    fn put(&mut self, row: usize, column: Column) {
        let long = self.offered.len();
        self.entries[row * long..(row + 1) * long].copy_from_slice(&self.offered);
        self.columns[row] = column;
    }

    /// Takes another right-hand side. What is then taken less than nothing is made up for by one column more,
    /// `spare`, in the place of the worst.
    pub fn turn_to(&mut self, b: &[f64], spare: Column) {
        let (m, long) = (self.columns.len(), self.offered.len());
        for (x, row) in self.x.iter_mut().zip(self.inverse.chunks_exact(long)) {
            *x = product(row, b);
        }
        let worst = (0..m).reduce(|a, b| if self.x[b] < self.x[a] { b } else { a });
        let Some(worst) = worst.filter(|k| self.x[*k] < 0.0) else { return };
        let amount = -self.x[worst];
        self.offered.fill(0.0);
        for i in 0..m {
            let lacks = self.x[i] < 0.0;
            self.through[i] = if lacks { -1.0 } else { 0.0 };
            if lacks {
                self.x[i] += amount;
                let own = &self.entries[i * long..(i + 1) * long];
                add(&mut self.offered, -1.0, own);
            }
        }
        self.x[worst] = amount;
        exchange(&mut self.inverse, &self.through, worst);
        self.put(worst, spare);
    }

    /// What would be taken for another right-hand side, each with its column; may be negative by rounding.
    pub fn taken_for<'a>(&'a self, b: &'a [f64]) -> impl Iterator<Item = (&'a Column, &'a [f64], f64)> {
        let rows = self.inverse.chunks_exact(self.offered.len());
        let x = rows.map(move |row| product(row, b));
        self.taken().zip(x).map(|((column, entries, _), x)| (column, entries, x))
    }
}
