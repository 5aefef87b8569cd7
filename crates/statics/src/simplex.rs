//! Linear programs whose columns are made on demand: maximise c.x with A x = b, x >= 0.

/// A column of the program.
#[derive(Clone, Debug, PartialEq)]
pub struct Column {
    /// Its entries, one a row.
    pub entries: Vec<f64>,
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
#[derive(Clone, Debug)]
pub struct Basis {
    columns: Vec<Column>,
    inverse: Vec<f64>,
    x: Vec<f64>,
    price: Vec<f64>,
    through: Vec<f64>,
}

/// Pivots smaller than this, in a program scaled to about one, would divide by rounding.
const PIVOT: f64 = 1e-9;

/// Brings a column in, `through` = the inverse times it, and the first row to reach zero out: inverse and x
/// follow. Which row that was; `None` if none does.
pub fn pivot(inverse: &mut [f64], x: &mut [f64], through: &[f64]) -> Option<usize> {
    let m = through.len();
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
    let (before, rest) = inverse.split_at_mut(out * m);
    let (row, after) = rest.split_at_mut(m);
    row.iter_mut().for_each(|v| *v /= through[out]);
    let lines = before.chunks_exact_mut(m).chain(after.chunks_exact_mut(m));
    let others = through[..out].iter().chain(&through[out + 1..]);
    for (line, t) in lines.zip(others).filter(|(_, t)| **t != 0.0) {
        line.iter_mut().zip(&*row).for_each(|(a, b)| *a -= t * b);
    }
    for (x, t) in x.iter_mut().zip(through) {
        *x = (*x - amount * t).max(0.0);
    }
    x[out] = amount;
    Some(out)
}

impl Basis {
    /// Starts from columns that are a diagonal matrix of positive entries, and their x >= 0.
    #[must_use]
    pub fn diagonal(columns: Vec<Column>, x: Vec<f64>) -> Self {
        let m = columns.len();
        let mut inverse = vec![0.0; m * m];
        for (i, column) in columns.iter().enumerate() {
            inverse[i * m + i] = 1.0 / column.entries[i];
        }
        Self { columns, inverse, x, price: vec![0.0; m], through: vec![0.0; m] }
    }

    /// The columns and what is taken of each.
    pub fn taken(&self) -> impl Iterator<Item = (&Column, f64)> {
        self.columns.iter().zip(self.x.iter().copied())
    }

    /// Changes what a basic column gains.
    pub fn regain(&mut self, gain: impl Fn(&Column) -> f64) {
        for column in &mut self.columns {
            column.gain = gain(column);
        }
    }

    /// Price of each row at the present basis.
    pub fn prices(&mut self) -> &[f64] {
        let m = self.columns.len();
        self.price.fill(0.0);
        for (i, column) in self.columns.iter().enumerate() {
            if column.gain != 0.0 {
                for (p, v) in self.price.iter_mut().zip(&self.inverse[i * m..(i + 1) * m]) {
                    *p += column.gain * v;
                }
            }
        }
        &self.price
    }

    /// The present value of the objective.
    #[must_use]
    pub fn objective(&self) -> f64 {
        self.taken().map(|(c, x)| c.gain * x).sum()
    }

    /// Takes in columns until `offer`, given prices and objective, has none that gains.
    pub fn maximise(&mut self, steps: usize, mut offer: impl FnMut(&[f64], f64) -> Option<Column>) -> Ended {
        for _ in 0..steps {
            let objective = self.objective();
            self.prices();
            let Some(column) = offer(&self.price, objective) else { return Ended::Optimal };
            if !self.take_in(column) {
                return Ended::Unbounded;
            }
        }
        Ended::Stuck
    }

    /// Brings a column in and the first to reach zero out; `false` if none does.
    fn take_in(&mut self, column: Column) -> bool {
        let m = self.columns.len();
        for (i, t) in self.through.iter_mut().enumerate() {
            *t = self.inverse[i * m..(i + 1) * m].iter().zip(&column.entries).map(|(a, b)| a * b).sum();
        }
        let Some(out) = pivot(&mut self.inverse, &mut self.x, &self.through) else { return false };
        self.columns[out] = column;
        true
    }

    /// What would be taken for another right-hand side; may be negative by rounding.
    #[must_use]
    pub fn taken_for(&self, b: &[f64]) -> Vec<f64> {
        self.each_taken_for(b).map(|(_, x)| x).collect()
    }

    /// The same, each with its column.
    pub fn each_taken_for<'a>(&'a self, b: &'a [f64]) -> impl Iterator<Item = (&'a Column, f64)> {
        let rows = self.inverse.chunks_exact(self.columns.len());
        let taken = rows.map(move |row| row.iter().zip(b).map(|(a, b)| a * b).sum());
        self.columns.iter().zip(taken)
    }
}
