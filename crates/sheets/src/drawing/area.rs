//! Upright rectangles on the page.

/// A point of the page, mm right of and below its upper left corner.
pub(super) type At = [f64; 2];

/// An upright rectangle on the page.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Area {
    /// Left, right.
    pub x: [f64; 2],
    /// Top, bottom.
    pub y: [f64; 2],
}

impl Area {
    /// From left, top, width and height.
    #[must_use]
    pub fn sized([left, top]: [f64; 2], [width, height]: [f64; 2]) -> Self {
        Self { x: [left, left + width], y: [top, top + height] }
    }
    /// The least that holds all the points.
    #[must_use]
    pub fn around(points: &[[f64; 2]]) -> Self {
        let mut area = Self { x: [f64::MAX, f64::MIN], y: [f64::MAX, f64::MIN] };
        for &[x, y] in points {
            area.x = [area.x[0].min(x), area.x[1].max(x)];
            area.y = [area.y[0].min(y), area.y[1].max(y)];
        }
        area
    }
    /// Width.
    #[must_use]
    pub fn width(&self) -> f64 {
        self.x[1] - self.x[0]
    }
    /// Height.
    #[must_use]
    pub fn height(&self) -> f64 {
        self.y[1] - self.y[0]
    }
    /// Its middle.
    #[must_use]
    pub fn middle(&self) -> [f64; 2] {
        [f64::midpoint(self.x[0], self.x[1]), f64::midpoint(self.y[0], self.y[1])]
    }
    /// Its corners, one after the other.
    #[must_use]
    pub fn corners(&self) -> [[f64; 2]; 4] {
        let Self { x: [left, right], y: [top, bottom] } = *self;
        [[left, top], [right, top], [right, bottom], [left, bottom]]
    }
    /// Larger by that much on every side.
    #[must_use]
    pub fn grown(&self, by: f64) -> Self {
        Self { x: [self.x[0] - by, self.x[1] + by], y: [self.y[0] - by, self.y[1] + by] }
    }
    /// Whether the two share any ground.
    #[must_use]
    pub fn overlaps(&self, other: &Self) -> bool {
        self.x[0] < other.x[1] && other.x[0] < self.x[1] && self.y[0] < other.y[1] && other.y[0] < self.y[1]
    }
    /// Whether the other lies wholly inside.
    #[must_use]
    pub fn holds(&self, other: &Self) -> bool {
        self.x[0] <= other.x[0]
            && other.x[1] <= self.x[1]
            && self.y[0] <= other.y[0]
            && other.y[1] <= self.y[1]
    }
    /// Its point that is nearest to another point.
    #[must_use]
    pub fn nearest(&self, [x, y]: [f64; 2]) -> [f64; 2] {
        [x.clamp(self.x[0], self.x[1]), y.clamp(self.y[0], self.y[1])]
    }
    /// Whether a straight line passes through it (clipping by each pair of sides in turn).
    #[must_use]
    pub fn is_crossed(&self, [a, b]: [[f64; 2]; 2]) -> bool {
        let (mut from, mut to) = (0.0_f64, 1.0_f64);
        for (start, end, [low, high]) in [(a[0], b[0], self.x), (a[1], b[1], self.y)] {
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
}

pub(super) fn apart(a: At, b: At) -> f64 {
    (b[0] - a[0]).hypot(b[1] - a[1])
}

/// The point that part of the way from one to the other.
pub(super) fn between(a: At, b: At, part: f64) -> At {
    [a[0] + (b[0] - a[0]) * part, a[1] + (b[1] - a[1]) * part]
}
