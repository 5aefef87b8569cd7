//! Puts labels where they cover no other text and as little else as can be.

use super::board::Board;
use super::style::Style;
use super::text::{Anchor, LEADING, Text, width};
use super::{Area, Item};

/// Air around every text.
const AIR: f64 = 0.7;
const RINGS: [f64; 11] = [1.2, 2.5, 4.0, 6.0, 9.0, 12.0, 16.0, 21.0, 27.0, 34.0, 44.0];

/// What labels must and should keep clear of.
pub(super) struct Labels {
    bounds: Area,
    texts: Vec<Area>,
    leaders: Vec<[[f64; 2]; 2]>,
    lines: Vec<[[f64; 2]; 2]>,
    walls: Vec<[[f64; 2]; 2]>,
    /// With what covering each costs.
    solids: Vec<(Area, f64)>,
}

/// A label to be placed.
pub(super) struct Label<'a> {
    /// Points of its thing; it goes to whichever serves best.
    pub(super) at: &'a [[f64; 2]],
    pub(super) lines: &'a [&'a str],
    pub(super) bold: bool,
    pub(super) size: f64,
    /// Whether a leader is needed even close by.
    pub(super) pointed: bool,
}

impl Labels {
    /// For a part of the page; texts already on the board are kept clear.
    pub(super) fn new(board: &Board, bounds: Area) -> Self {
        let texts = board.items.iter().filter_map(|item| match item {
            Item::Text(text) => Some(text.area()),
            Item::Path { .. } | Item::Circle { .. } => None,
        });
        Self { bounds, texts: texts.collect(), leaders: vec![], lines: vec![], walls: vec![], solids: vec![] }
    }

    /// A line that labels should rather not cover.
    pub(super) fn avoid_line(&mut self, points: &[[f64; 2]]) {
        self.lines.extend(points.windows(2).map(|w| [w[0], w[1]]));
    }

    /// A line that labels must not touch.
    pub(super) fn keep_off_line(&mut self, points: &[[f64; 2]]) {
        self.walls.extend(points.windows(2).map(|w| [w[0], w[1]]));
    }

    /// A surface that labels should rather not cover.
    pub(super) fn avoid(&mut self, area: Area) {
        self.solids.push((area, 30.0));
    }

    /// A marked area that labels may cover in part if they would stand far away otherwise.
    pub(super) fn avoid_somewhat(&mut self, area: Area) {
        self.solids.push((area, 10.0));
    }

    /// A small filled sign that labels must stay clear of.
    pub(super) fn keep_clear(&mut self, area: Area) {
        self.texts.push(area);
    }

    /// A text at a place that is not to be searched for.
    pub(super) fn fix(&mut self, board: &mut Board, text: Text) {
        self.texts.push(text.area());
        board.text(text);
    }

    /// Places a label in whichever of its forms serves best, off an area where readers would take it for
    /// something else's.
    pub(super) fn place_off(&mut self, board: &mut Board, forms: &[Label<'_>], area: Area) {
        self.solids.push((area, 40.0));
        let cost = |label: &Label<'_>| {
            let costs = label.at.iter().filter_map(|&at| self.best(at, self.size_of(label)).map(|b| b.0));
            costs.fold(f64::INFINITY, f64::min)
        };
        if let Some(label) = forms.iter().min_by(|a, b| cost(a).total_cmp(&cost(b))) {
            self.place(board, label);
        }
        self.solids.pop();
    }

    /// Places a label, with a leader where it stands away from its thing.
    pub(super) fn place(&mut self, board: &mut Board, label: &Label<'_>) {
        let room = self.size_of(label);
        let spots =
            label.at.iter().filter_map(|&at| self.best(at, room).map(|(cost, spot)| (cost, spot, at)));
        let Some((_, spot, at)) = spots.min_by(|a, b| a.0.total_cmp(&b.0)) else {
            board.left_out.push(label.lines.join(" "));
            return;
        };
        let near = nearest(&spot, at);
        let gap = (near[0] - at[0]).hypot(near[1] - at[1]);
        board.rectangle(spot.grown(0.2), Style::Paper);
        if gap > 2.6 || label.pointed && gap > 1.0 {
            board.line(&[at, near], Style::Leader);
            self.leaders.push([at, near]);
        }
        let mut y = spot.y[0] + 0.76 * label.size;
        for says in label.lines {
            board.text(Text {
                at: [spot.middle()[0], y],
                anchor: Anchor::Middle,
                size: label.size,
                bold: label.bold,
                reversed: false,
                says: (*says).to_owned(),
            });
            y += label.size * LEADING;
        }
        self.texts.push(spot);
    }

    fn size_of(&self, label: &Label<'_>) -> [f64; 2] {
        let wide = label.lines.iter().map(|l| width(l, label.size, label.bold)).fold(0.0, f64::max);
        let rows = label.lines.iter().fold(-1.0, |n, _| n + 1.0);
        [wide, label.size * (0.98 + rows * LEADING)]
    }

    /// Near its thing if there is room, else anywhere in the view.
    fn best(&self, at: [f64; 2], [wide, high]: [f64; 2]) -> Option<(f64, Area)> {
        let near = RINGS.into_iter().flat_map(|ring| {
            (0..24).map(move |step| {
                let (sin, cos) = (f64::from(step) * 15.0_f64).to_radians().sin_cos();
                let middle = [at[0] + cos * (ring + wide / 2.0), at[1] + sin * (ring + high / 2.0)];
                Area::sized([middle[0] - wide / 2.0, middle[1] - high / 2.0], [wide, high])
            })
        });
        let Area { x: [left, right], y: [top, bottom] } = self.bounds;
        let steps = |from: f64, to: f64| {
            (0_u16..).map(move |k| from + 2.0 * f64::from(k)).take_while(move |v| *v <= to)
        };
        let anywhere = steps(top, bottom - high)
            .flat_map(|y| steps(left, right - wide).map(move |x| Area::sized([x, y], [wide, high])));
        self.least(at, near).or_else(|| self.least(at, anywhere))
    }

    fn least(&self, at: [f64; 2], areas: impl Iterator<Item = Area>) -> Option<(f64, Area)> {
        areas.fold(None, |best: Option<(f64, Area)>, area| {
            let most = best.as_ref().map_or(f64::INFINITY, |(cost, _)| *cost);
            self.cost(at, &area, most).map(|cost| (cost, area)).or(best)
        })
    }

    /// `None` where the label may not stand, or at no less than the cost given.
    fn cost(&self, at: [f64; 2], area: &Area, most: f64) -> Option<f64> {
        let near = nearest(area, at);
        let mut cost = (near[0] - at[0]).hypot(near[1] - at[1]) * 0.8;
        if cost >= most || !self.bounds.holds(area) {
            return None;
        }
        let (aired, leader) = (area.grown(AIR), [at, near]);
        let taken = self.texts.iter().any(|t| t.overlaps(&aired) || crosses(t, leader))
            || self.leaders.iter().chain(&self.walls).any(|&l| crosses(&aired, l));
        if taken {
            return None;
        }
        for (solid, price) in &self.solids {
            cost += if solid.overlaps(&aired) { *price } else { 0.0 };
        }
        for &line in &self.lines {
            cost += if crosses(&aired, line) { 9.0 } else { 0.0 };
        }
        (cost < most).then_some(cost)
    }
}

fn nearest(area: &Area, at: [f64; 2]) -> [f64; 2] {
    [at[0].clamp(area.x[0], area.x[1]), at[1].clamp(area.y[0], area.y[1])]
}

/// Whether a straight line passes through an area (clipping by each pair of sides in turn).
pub(super) fn crosses(area: &Area, [a, b]: [[f64; 2]; 2]) -> bool {
    let (mut from, mut to) = (0.0_f64, 1.0_f64);
    for (start, end, [low, high]) in [(a[0], b[0], area.x), (a[1], b[1], area.y)] {
        let along = end - start;
        if along.abs() < 1e-12 {
            if start <= low || start >= high {
                return false;
            }
            continue;
        }
        let (t, u) = ((low - start) / along, (high - start) / along);
        from = from.max(t.min(u));
        to = to.min(t.max(u));
    }
    from < to
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn labels_at_one_place_make_room_for_each_other() {
        let mut board = Board::new();
        let mut labels = Labels::new(&board, Area { x: [0.0, 60.0], y: [0.0, 40.0] });
        for says in ["first", "second", "third", "fourth", "fifth"] {
            let label = Label { at: &[[30.0, 20.0]], lines: &[says], bold: false, size: 3.5, pointed: true };
            labels.place(&mut board, &label);
        }
        assert!(board.left_out.is_empty());
        let areas = &labels.texts;
        for (i, a) in areas.iter().enumerate() {
            assert!(areas[..i].iter().all(|b| !a.overlaps(b)));
        }
    }

    #[test]
    fn a_label_without_room_is_reported() {
        let mut board = Board::new();
        let mut labels = Labels::new(&board, Area { x: [0.0, 10.0], y: [0.0, 10.0] });
        let label =
            Label { at: &[[5.0, 5.0]], lines: &["far too long"], bold: false, size: 3.5, pointed: false };
        labels.place(&mut board, &label);
        assert_eq!(board.left_out, ["far too long"]);
    }
}
