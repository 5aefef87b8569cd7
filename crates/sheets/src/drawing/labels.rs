//! Puts names and figures where they cover nothing: beside their thing, or away from it with a leader, or,
//! where there is no such place nearby, in a key, with a letter in the drawing: numbers are those of states.

use super::Area;
use super::area::{At, apart, between};
use super::board::Board;
use super::ground::Ground;
use super::style::Style;
use super::text::{Anchor, LEADING, SMALL, Text, width, wrapped};

const RINGS: [f64; 14] = [0.9, 1.6, 2.5, 4.0, 6.0, 8.0, 10.0, 12.5, 15.0, 18.0, 21.0, 25.0, 30.0, 36.0];
const WAYS: u16 = 36;
/// No leader is needed up to this far.
const BESIDE: f64 = 1.8;
/// A name that would stand worse goes to the key. In the measure of [`Labels::cost`]: mm of leader.
const MOST: f64 = 38.0;
/// Radius of the rim of one letter and of more.
const RIMS: [f64; 2] = [2.3, 2.9];

/// Names that found no place near their things; the letter in the drawing is that of the place in the list.
#[derive(Clone, Default)]
pub(super) struct Key {
    pub(super) names: Vec<String>,
    /// Numbers for which no place was found either.
    pub(super) unmarked: Vec<usize>,
}

/// Of one view.
pub(super) struct Labels {
    bounds: Area,
    ground: Ground,
}

/// A label to be placed.
pub(super) struct Label<'a> {
    /// Points of its thing; it goes to whichever serves best.
    pub(super) at: &'a [At],
    /// Paragraphs, each in lines of its own.
    pub(super) says: &'a [&'a str],
    /// Widths in which it may be set.
    pub(super) widths: &'a [f64],
    pub(super) bold: bool,
    pub(super) size: f64,
    /// What the key says, if not the same: a figure needs a name there.
    pub(super) in_key: Option<&'a str>,
}

/// For a figure or a short name.
pub(super) const SHORT: &[f64] = &[60.0, 16.0];
/// For a name.
pub(super) const NAME: &[f64] = &[46.0, 34.0, 24.0, 18.0];

impl<'a> Label<'a> {
    /// In the common type.
    pub(super) const fn plain(at: &'a [At], says: &'a [&'a str], widths: &'a [f64]) -> Self {
        Self { at, says, widths, bold: false, size: SMALL, in_key: None }
    }
    pub(super) const fn bold(at: &'a [At], says: &'a [&'a str], widths: &'a [f64]) -> Self {
        Self { at, says, widths, bold: true, size: SMALL, in_key: None }
    }
    /// The same in larger type.
    pub(super) const fn large(self, size: f64) -> Self {
        Self { size, ..self }
    }

    /// The same, called otherwise in the key.
    pub(super) const fn in_key(self, named: &'a str) -> Self {
        Self { in_key: Some(named), ..self }
    }

    /// In each width in which no word is broken, else in the widest.
    fn forms(&self) -> Vec<Vec<String>> {
        let words: Vec<String> = self.says.iter().flat_map(|says| crate::units::words_of(says)).collect();
        let longest = words.iter().map(|word| width(word, self.size, self.bold)).fold(0.0, f64::max);
        let widest = self.widths.iter().copied().fold(0.0, f64::max);
        let set = |wide: f64| -> Vec<String> {
            self.says.iter().flat_map(|says| wrapped(says, self.size, self.bold, wide)).collect()
        };
        let mut forms: Vec<Vec<String>> =
            self.widths.iter().filter(|wide| **wide >= longest).map(|&wide| set(wide)).collect();
        forms.dedup();
        if forms.is_empty() { vec![set(widest)] } else { forms }
    }
    fn room(&self, lines: &[String]) -> [f64; 2] {
        let wide = lines.iter().map(|l| width(l, self.size, self.bold)).fold(0.0, f64::max);
        let gaps = lines.iter().skip(1).fold(0.0, |n, _| n + 1.0);
        [wide, self.size * (0.98 + gaps * LEADING)]
    }
}

/// A place found: what it costs, where, and for which point of the thing.
struct Found {
    cost: f64,
    area: Area,
    at: At,
}

impl Labels {
    /// For a part of the page, once all its lines are drawn.
    pub(super) fn over(board: &Board, bounds: Area) -> Self {
        Self { bounds, ground: Ground::of(&board.items, bounds) }
    }

    /// Places a label, or a number for it.
    pub(super) fn place(&mut self, board: &mut Board, key: &mut Key, label: &Label<'_>) {
        if !self.place_if_room(board, label) {
            self.number(board, key, label);
        }
    }

    /// Places a label that is not missed where it has no room; whether it was placed.
    pub(super) fn place_if_room(&mut self, board: &mut Board, label: &Label<'_>) -> bool {
        let mut found: Option<(f64, Found, Vec<String>)> = None;
        for lines in label.forms() {
            let tower = lines.iter().skip(1).fold(0.0, |n, _| n + 0.8);
            let most = found.as_ref().map_or(MOST, |best| best.0) - tower;
            if let Some(best) = self.best(label.at, label.room(&lines), most) {
                found = Some((best.cost + tower, best, lines));
            }
        }
        if let Some((_, found, lines)) = &found {
            self.write(board, label, found, lines);
        }
        found.is_some()
    }

    fn write(&mut self, board: &mut Board, label: &Label<'_>, found: &Found, lines: &[String]) {
        let from = board.items.len();
        if self.ground.is_hatched(&found.area) {
            board.rectangle(found.area.grown(0.3), Style::Paper);
        }
        leader(board, found.at, found.area.nearest(found.at));
        let mut y = found.area.y[0] + 0.76 * label.size;
        for says in lines {
            board.text(Text {
                at: [found.area.middle()[0], y],
                anchor: Anchor::Middle,
                size: label.size,
                bold: label.bold,
                reversed: false,
                says: says.clone(),
            });
            y += label.size * LEADING;
        }
        self.learn(board, from);
    }

    fn number(&mut self, board: &mut Board, key: &mut Key, label: &Label<'_>) {
        key.names.push(label.in_key.map_or_else(|| label.says.join(", "), str::to_owned));
        let rim = rim(key.names.len());
        let room = [2.0 * rim; 2];
        let found = self.best(label.at, room, f64::INFINITY).or_else(|| {
            let places = label.at.iter().flat_map(|&at| self.anywhere(room).map(move |area| (at, area)));
            self.least(places, f64::INFINITY)
        });
        let Some(found) = found else { return key.unmarked.push(key.names.len()) };
        let from = board.items.len();
        let middle = found.area.middle();
        let long = apart(found.at, middle);
        leader(board, found.at, between(middle, found.at, ((rim - 0.25) / long.max(rim)).min(1.0)));
        if self.ground.is_hatched(&found.area) {
            board.circle(middle, rim, Style::Paper);
        }
        sign(board, middle, key.names.len());
        self.learn(board, from);
    }

    fn learn(&mut self, board: &Board, from: usize) {
        self.ground.add(&board.items[from..]);
    }

    /// Around the points of its thing, the nearest places first.
    fn best(&self, at: &[At], room: [f64; 2], most: f64) -> Option<Found> {
        let mut best: Option<Found> = None;
        for ring in RINGS {
            let most = best.as_ref().map_or(most, |b| b.cost);
            if ring > most {
                break;
            }
            best = self.least(at.iter().flat_map(|&at| around(at, ring, room)), most).or(best);
        }
        best
    }

    fn anywhere(&self, [wide, high]: [f64; 2]) -> impl Iterator<Item = Area> + use<> {
        let Area { x: [left, right], y: [top, bottom] } = self.bounds;
        let steps = |from: f64, to: f64| {
            (0_u16..).map(move |k| from + 1.5 * f64::from(k)).take_while(move |v| *v <= to)
        };
        steps(top, bottom - high)
            .flat_map(move |y| steps(left, right - wide).map(move |x| Area::sized([x, y], [wide, high])))
    }

    fn least(&self, places: impl Iterator<Item = (At, Area)>, most: f64) -> Option<Found> {
        places.fold(None, |best: Option<Found>, (at, area)| {
            let most = best.as_ref().map_or(most, |b| b.cost);
            self.cost(at, &area, most).map(|cost| Found { cost, area, at }).or(best)
        })
    }

    /// In mm of leader, with what it crosses; `None` where the label may not stand, or at no less than the
    /// cost given.
    fn cost(&self, at: At, area: &Area, most: f64) -> Option<f64> {
        let near = area.nearest(at);
        let away = apart(at, near);
        let led = if away > BESIDE { 2.0 } else { 0.0 };
        let mut cost = away + led;
        if cost >= most || !self.ground.is_free(area) {
            return None;
        }
        if self.ground.is_hatched(area) {
            cost += 4.0;
        }
        cost += self.ground.crossing([at, near])?;
        (cost < most).then_some(cost)
    }
}

fn around(at: At, ring: f64, [wide, high]: [f64; 2]) -> impl Iterator<Item = (At, Area)> {
    (0..WAYS).map(move |step| {
        let (sin, cos) = (f64::from(step) * 360.0 / f64::from(WAYS)).to_radians().sin_cos();
        let middle = [at[0] + cos * (ring + wide / 2.0), at[1] + sin * (ring + high / 2.0)];
        (at, Area::sized([middle[0] - wide / 2.0, middle[1] - high / 2.0], [wide, high]))
    })
}

/// Radius of the rim of a number.
pub(super) const fn rim(number: usize) -> f64 {
    RIMS[if number > LETTERS { 1 } else { 0 }]
}

/// How many letters there are.
const LETTERS: usize = 26;

/// The letter of a place in the key: a to z, then aa, ab and so on.
pub(super) fn letter(number: usize) -> String {
    let of = |n: usize| char::from(b'a' + u8::try_from((n - 1) % LETTERS).unwrap_or(0));
    if number > LETTERS {
        format!("{}{}", letter((number - 1) / LETTERS), of(number))
    } else {
        of(number).to_string()
    }
}

/// The letter that stands for a name.
pub(super) fn sign(board: &mut Board, middle: At, number: usize) {
    board.circle(middle, rim(number), Style::Number);
    let at = [middle[0], middle[1] + 0.27 * SMALL];
    let says = letter(number);
    board.text(Text { at, anchor: Anchor::Middle, size: SMALL, bold: true, reversed: false, says });
}

/// A fine line with a dot on its thing, up to a little before its text.
fn leader(board: &mut Board, at: At, to: At) {
    const SHORT_OF: f64 = 0.25;
    let long = apart(at, to);
    if long > BESIDE {
        board.line(&[at, between(at, to, 1.0 - SHORT_OF / long)], Style::Leader);
        board.circle(at, 0.4, Style::Arrow);
    }
}

#[cfg(test)]
mod tests {
    use super::super::Item;
    use super::*;

    const PAGE: Area = Area { x: [0.0, 60.0], y: [0.0, 40.0] };

    fn areas(board: &Board) -> Vec<Area> {
        let texts = board.items.iter().filter_map(|item| match item {
            Item::Text(text) => Some(text.area()),
            Item::Path { .. } | Item::Circle { .. } => None,
        });
        texts.collect()
    }

    #[test]
    fn labels_at_one_place_make_room_for_each_other() {
        let (mut board, mut key) = (Board::new(), Key::default());
        board.circle([30.0, 20.0], 0.5, Style::Arrow);
        let mut labels = Labels::over(&board, PAGE);
        for says in ["first", "second", "third", "fourth", "fifth"] {
            labels.place(&mut board, &mut key, &Label::plain(&[[30.0, 20.0]], &[says], SHORT));
        }
        assert_eq!(key.names, Vec::<String>::new());
        let areas = areas(&board);
        for (i, a) in areas.iter().enumerate() {
            assert!(areas[..i].iter().all(|b| !a.overlaps(b)));
        }
    }

    #[test]
    fn a_name_without_room_gets_a_number_and_is_in_the_key() {
        let (mut board, mut key) = (Board::new(), Key::default());
        // Walls so close that no name fits between them.
        for k in 0..9 {
            let x = 7.0 * f64::from(k);
            board.line(&[[x, 0.0], [x, 40.0]], Style::Body);
        }
        let mut labels = Labels::over(&board, PAGE);
        for says in ["a long name", "another one"] {
            labels.place(&mut board, &mut key, &Label::plain(&[[35.0, 20.0]], &[says], SHORT));
        }
        assert_eq!(key.names, ["a long name", "another one"]);
        assert_eq!(key.unmarked, Vec::<usize>::new());
        let [one, two] = areas(&board)[..] else { panic!("two numbers") };
        assert!(!one.overlaps(&two));
    }

    #[test]
    fn where_not_even_a_number_fits_that_is_told() {
        let (mut board, mut key) = (Board::new(), Key::default());
        let mut labels = Labels::over(&board, Area { x: [0.0, 3.0], y: [0.0, 3.0] });
        labels.place(&mut board, &mut key, &Label::plain(&[[1.0, 1.0]], &["name"], SHORT));
        assert_eq!((key.names.len(), key.unmarked.len(), board.items.len()), (1, 1, 0));
    }
}
