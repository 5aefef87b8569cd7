//! What is on a part of the page, and whether a text may stand there.

use super::area::{At, apart, between};
use super::style::{Fill, Style};
use super::{Area, Item};

/// Air around every text.
const AIR: f64 = 0.6;
/// As much more between two texts.
const BETWEEN: f64 = 0.8;
/// A surface that is darker takes no text.
const LIGHTEST: u8 = 230;
/// Side of the squares in which it is noted what is taken, mm.
const SQUARE: f64 = 0.4;
/// A line this heavy is more than an explanation.
const HEAVY: f64 = 0.25;
/// A leader has left its thing after so many mm.
const LEFT: f64 = 0.8;

/// Lines, surfaces and texts that are there.
pub(super) struct Ground {
    bounds: Area,
    texts: Vec<Area>,
    /// Lines and sides of dark surfaces, each with what it costs a leader to cross it.
    strokes: Vec<([At; 2], f64)>,
    /// Where no text may stand.
    taken: Squares,
    /// Where there is a pattern, which gives way to a text.
    hatched: Squares,
}

impl Ground {
    /// What of the items reaches into the bounds.
    pub(super) fn of(items: &[Item], bounds: Area) -> Self {
        let squares = || Squares::over(bounds.grown(2.0));
        let mut ground =
            Self { bounds, texts: vec![], strokes: vec![], taken: squares(), hatched: squares() };
        ground.add(items);
        ground
    }

    pub(super) fn add(&mut self, items: &[Item]) {
        items.iter().for_each(|item| self.note(item));
        self.taken.sum_up();
        self.hatched.sum_up();
    }

    fn note(&mut self, item: &Item) {
        let (outline, style) = match item {
            Item::Text(text) => {
                let area = text.area();
                self.taken.note_area(&area.grown(BETWEEN));
                return self.texts.push(area);
            }
            Item::Path { points, closed, style } => {
                let first = points.first().filter(|_| *closed);
                (points.iter().chain(first).copied().collect::<Vec<_>>(), style)
            }
            Item::Circle { centre, radius, style } => (circle(*centre, *radius), style),
        };
        let look = style.look();
        if !Area::around(&outline).grown(look.width).overlaps(&self.bounds) {
            return;
        }
        let dark = matches!(look.fill, Fill::Grey(grey) if grey < LIGHTEST);
        if look.width > 0.0 || dark {
            for side in outline.windows(2).map(|w| [w[0], w[1]]) {
                let price = match style {
                    Style::Arrow => 0.0,
                    _ if look.width > 0.0 && look.width < HEAVY => 2.0,
                    _ => 6.0,
                };
                self.strokes.push((side, price));
                self.taken.note_line(side, look.width / 2.0);
            }
        }
        match look.fill {
            Fill::Grey(_) if dark => self.taken.note_surface(&outline),
            Fill::Hatch(_) => self.hatched.note_surface(&outline),
            Fill::None | Fill::Grey(_) => {}
        }
    }

    /// Whether a text may stand there: no line, no other text and no dark surface within its air.
    pub(super) fn is_free(&self, area: &Area) -> bool {
        self.bounds.holds(area) && !self.taken.any_in(&area.grown(AIR))
    }

    /// Whether a pattern is there.
    pub(super) fn is_hatched(&self, area: &Area) -> bool {
        self.hatched.any_in(&area.grown(SQUARE))
    }

    /// What a leader costs for all that it crosses after it has left its first point, in mm of leader;
    /// `None` if it runs through a text.
    pub(super) fn crossing(&self, [from, to]: [At; 2]) -> Option<f64> {
        let long = apart(from, to);
        if self.texts.iter().any(|t| t.grown(LEFT / 2.0).is_crossed([from, to])) {
            return None;
        }
        if long <= LEFT {
            return Some(0.0);
        }
        let line = [between(from, to, LEFT / long), to];
        let around = Area::around(&line);
        let near = self.strokes.iter().filter(|(side, _)| Area::around(side).grown(1e-6).overlaps(&around));
        Some(near.filter(|(side, _)| meet(*side, line)).map(|(_, price)| price).sum())
    }
}

/// Squares of a part of the page, each noted or not.
struct Squares {
    area: Area,
    wide: usize,
    high: usize,
    noted: Vec<bool>,
    /// How many are noted above and left of each corner.
    sums: Vec<u32>,
}

impl Squares {
    fn over(area: Area) -> Self {
        let (wide, high) = (index(area.width()) + 1, index(area.height()) + 1);
        Self { area, wide, high, noted: vec![false; wide * high], sums: vec![0; (wide + 1) * (high + 1)] }
    }

    /// From the first square to the one after the last, across and down.
    fn span(&self, area: &Area) -> [[usize; 2]; 2] {
        let ends = |[from, to]: [f64; 2], least: f64, most: usize| {
            [index(from - least).min(most), (index(to - least) + 1).min(most)]
        };
        [ends(area.x, self.area.x[0], self.wide), ends(area.y, self.area.y[0], self.high)]
    }

    fn note_area(&mut self, area: &Area) {
        if !area.overlaps(&self.area) {
            return;
        }
        let [across, [top, bottom]] = self.span(area);
        for row in top..bottom {
            self.noted[row * self.wide + across[0]..row * self.wide + across[1]].fill(true);
        }
    }

    fn note_line(&mut self, [a, b]: [At; 2], half: f64) {
        let mut along = 0.0;
        let long = apart(a, b);
        loop {
            let [x, y] = between(a, b, if long > 0.0 { along / long } else { 0.0 });
            self.note_area(&Area { x: [x - half, x + half], y: [y - half, y + half] });
            if along >= long {
                return;
            }
            along = (along + SQUARE / 2.0).min(long);
        }
    }

    fn note_surface(&mut self, outline: &[At]) {
        let around = Area::around(outline);
        if !around.overlaps(&self.area) {
            return;
        }
        let [across, down] = self.span(&around);
        for row in down[0]..down[1] {
            for column in across[0]..across[1] {
                let middle = |k: usize, least: f64| least + SQUARE * (real(k) + 0.5);
                if inside(outline, [middle(column, self.area.x[0]), middle(row, self.area.y[0])]) {
                    self.noted[row * self.wide + column] = true;
                }
            }
        }
    }

    fn sum_up(&mut self) {
        let step = self.wide + 1;
        for row in 0..self.high {
            let mut so_far = 0;
            for column in 0..self.wide {
                so_far += u32::from(self.noted[row * self.wide + column]);
                self.sums[(row + 1) * step + column + 1] = self.sums[row * step + column + 1] + so_far;
            }
        }
    }

    fn any_in(&self, area: &Area) -> bool {
        let [[left, right], [top, bottom]] = self.span(area);
        let at = |row: usize, column: usize| self.sums[row * (self.wide + 1) + column];
        at(bottom, right) + at(top, left) > at(top, right) + at(bottom, left)
    }
}

#[expect(
    clippy::cast_possible_truncation,
    clippy::cast_sign_loss,
    reason = "millimetres of a page; below its beginning counts as the beginning"
)]
fn index(from_beginning: f64) -> usize {
    (from_beginning / SQUARE).max(0.0) as usize
}

#[expect(clippy::cast_precision_loss, reason = "some hundred squares")]
const fn real(squares: usize) -> f64 {
    squares as f64
}

fn circle([x, y]: At, radius: f64) -> Vec<At> {
    let around = (0..=24).map(|step| {
        let (sin, cos) = (f64::from(step) * 15.0_f64).to_radians().sin_cos();
        [x + radius * cos, y + radius * sin]
    });
    around.collect()
}

/// Whether a ray to the right crosses the outline an odd number of times.
fn inside(outline: &[At], [x, y]: At) -> bool {
    let sides = outline.iter().zip(outline.iter().cycle().skip(1));
    let crossings = sides
        .filter(|(a, b)| (a[1] > y) != (b[1] > y) && x < a[0] + (y - a[1]) / (b[1] - a[1]) * (b[0] - a[0]));
    crossings.fold(false, |odd, _| !odd)
}

fn meet([a, b]: [At; 2], [c, d]: [At; 2]) -> bool {
    let turn = |o: At, p: At, q: At| (p[0] - o[0]) * (q[1] - o[1]) - (p[1] - o[1]) * (q[0] - o[0]);
    turn(a, b, c) * turn(a, b, d) < 0.0 && turn(c, d, a) * turn(c, d, b) < 0.0
}

#[cfg(test)]
mod tests {
    use super::super::board::Board;
    use super::*;

    #[test]
    fn a_text_stands_on_paper_alone() {
        let mut board = Board::new();
        board.rectangle(Area::sized([10.0, 10.0], [60.0, 60.0]), Style::Body);
        board.rectangle(Area::sized([20.0, 20.0], [20.0, 20.0]), Style::Tyre);
        board.rectangle(Area::sized([50.0, 20.0], [15.0, 20.0]), Style::KeepOut);
        let ground = Ground::of(&board.items, Area::sized([0.0, 0.0], [100.0, 100.0]));
        for (at, free, hatched) in [
            ([42.0, 45.0], true, false),
            ([28.0, 28.0], false, false),
            ([8.0, 30.0], false, false),
            ([2.0, 30.0], true, false),
            ([55.0, 30.0], true, true),
            ([48.0, 30.0], false, true),
        ] {
            let area = Area::sized(at, [4.0, 3.0]);
            assert_eq!((ground.is_free(&area), ground.is_hatched(&area)), (free, hatched), "{at:?}");
        }
        assert_eq!(ground.crossing([[42.0, 45.0], [80.0, 45.0]]), Some(6.0), "out of the body");
        assert!(!ground.is_free(&Area::sized([98.0, 50.0], [4.0, 3.0])), "beyond the bounds");
    }
}
