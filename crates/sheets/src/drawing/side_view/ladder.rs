//! The locks as a ladder, with the tasks at their locks and where to stop first.

use std::collections::BTreeMap;

use statics::Length;

use super::View;
use crate::drawing::Area;
use crate::drawing::area::At;
use crate::drawing::board::Board;
use crate::drawing::labels::{self, Key};
use crate::drawing::style::Style;
use crate::drawing::text::{LEADING, SMALL, wrapped};
use crate::units::Round;
use crate::{Scene, words};

/// Half a rung, mm.
const RUNG: f64 = 1.3;
/// From the ladder to its names, mm.
const BESIDE: f64 = 4.6;
/// Between two names, mm.
const APART: f64 = 2.0;

/// Something beside the ladder: at a height of the page, in lines, the first ones bold.
struct Name {
    at: At,
    bold: Vec<String>,
    plain: Vec<String>,
    /// The same in the key.
    says: String,
    /// Middle of its place.
    y: f64,
    /// Where it went to the key: its number there.
    number: Option<usize>,
}

impl Name {
    fn high(&self) -> f64 {
        if let Some(number) = self.number {
            return 2.0 * labels::rim(number);
        }
        let lines = self.bold.iter().chain(&self.plain).skip(1).fold(0.0, |n, _| n + 1.0);
        SMALL * (0.98 + lines * LEADING)
    }
}

/// Of the scene with all tasks, beside a view that shows those of one lock.
pub(super) fn draw(board: &mut Board, key: &mut Key, view: &View<'_, '_>, whole: &Scene<'_>, area: Area) {
    let locks = &view.scene.lift.rise.locks;
    let x = area.x[0] + 2.6;
    let on_page = |rise: Length| view.at([0.0, rise.to_metres() + view.pad_down()])[1];
    let tasks = by_lock(whole);
    let highest = locks.last().copied().unwrap_or(view.scene.lift.rise.most);
    board.line(&[[x, view.origin[1]], [x, on_page(highest)]], Style::Lock);
    for (index, &lock) in locks.iter().enumerate() {
        let (y, used) = (on_page(lock), tasks.contains_key(&Some(index)));
        let half = if used { 2.0 * RUNG } else { RUNG };
        board.line(&[[x - half, y], [x + half, y]], if used { Style::LockChosen } else { Style::Lock });
    }
    let room = area.x[1] - x - BESIDE;
    let mut names: Vec<Name> = Vec::new();
    for (lock, said) in &tasks {
        let rise = lock.and_then(|l| locks.get(l)).copied().unwrap_or(view.scene.lift.rise.most);
        let called =
            lock.map_or_else(|| "full rise".into(), |l| format!("lock {} of {}", l + 1, locks.len()));
        let high = Length::metres(rise.to_metres() + view.pad_down());
        let pads = format!("pads {}", words::pads_raised(whole, high, view.units));
        let of = if said.is_empty() { String::new() } else { format!(": {}", said.join("; ")) };
        let says = format!("{called}, {pads}{of}");
        let bold = [called, pads].iter().flat_map(|s| wrapped(s, SMALL, true, room)).collect();
        let plain = said.iter().flat_map(|s| wrapped(s, SMALL, false, room)).collect();
        let y = on_page(rise);
        names.push(Name { at: [x + 2.0 * RUNG, y], bold, plain, says, y, number: None });
    }
    names.push(first_stop(board, view, x, on_page, room));
    names.sort_by(|a, b| a.y.total_cmp(&b.y));
    let ceiling = view.scene.lift.headroom.map_or(area.y[0], |h| view.at([0.0, h.to_metres()])[1]);
    let within = [area.y[0].max(ceiling) + APART, area.y[1] - APART];
    shorten(key, &mut names, within[1] - within[0]);
    spread(&mut names, within);
    names.iter().for_each(|name| write(board, name, x + BESIDE));
}

/// Names of the tasks at each lock, the first task's highest lock among them.
fn by_lock(scene: &Scene<'_>) -> BTreeMap<Option<usize>, Vec<String>> {
    let mut found: BTreeMap<Option<usize>, Vec<String>> = BTreeMap::new();
    for task in &scene.plan.height.tasks {
        let named = task.task.and_then(|k| scene.job.tasks.get(k));
        found.entry(task.lock).or_default().extend(named.map(|t| t.name.clone()));
    }
    // Where nobody works, the lock that it is at.
    if found.is_empty() && scene.plan.height.lock.is_some() {
        found.insert(scene.plan.height.lock, vec![]);
    }
    found
}

/// The test raise: a mark that points at its height.
fn first_stop(
    board: &mut Board,
    view: &View<'_, '_>,
    x: f64,
    on_page: impl Fn(Length) -> f64,
    room: f64,
) -> Name {
    let y = on_page(view.scene.plan.test_raise);
    board.polygon(&[[x, y], [x + 2.4, y - 1.2], [x + 2.4, y + 1.2]], Style::Front);
    let says =
        format!("test raise: stop at +{}", view.units.length_to(view.scene.plan.test_raise, Round::Up));
    let plain = wrapped(&says, SMALL, false, room);
    Name { at: [x + 2.4, y], bold: vec![], plain, says, y, number: None }
}

/// Where not all has room, the longest go to the key.
fn shorten(key: &mut Key, names: &mut [Name], room: f64) {
    let taken = |names: &[Name]| names.iter().fold(-APART, |sum, n| sum + n.high() + APART);
    let lines = |name: &Name| name.bold.len() + name.plain.len();
    while taken(names) > room {
        let longest =
            names.iter_mut().filter(|n| n.number.is_none() && lines(n) > 1).max_by_key(|n| lines(n));
        let Some(name) = longest else { return };
        key.names.push(name.says.clone());
        name.number = Some(key.names.len());
    }
}

/// Moves names apart, each as near to its height as the others let it.
fn spread(names: &mut [Name], [top, bottom]: [f64; 2]) {
    let mut from = top;
    for name in names.iter_mut() {
        let half = name.high() / 2.0;
        name.y = name.y.max(from + half);
        from = name.y + half + APART;
    }
    let mut to = bottom;
    for name in names.iter_mut().rev() {
        let half = name.high() / 2.0;
        name.y = name.y.min(to - half);
        to = name.y - half - APART;
    }
}

fn write(board: &mut Board, name: &Name, x: f64) {
    let top = name.y - name.high() / 2.0;
    let end = [x - 0.6, name.y];
    if (name.y - name.at[1]).abs() > 0.5 {
        board.line(&[name.at, end], Style::Leader);
    }
    if let Some(number) = name.number {
        return labels::sign(board, [x + labels::rim(number), name.y], number);
    }
    let y = board.say_lines([x, top + 0.76 * SMALL], SMALL, true, &name.bold);
    board.say_lines([x, y], SMALL, false, &name.plain);
}
