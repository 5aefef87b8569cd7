//! The locks as a ladder, with the tasks at their locks and where to stop first.

use std::collections::BTreeMap;

use statics::Length;

use super::View;
use crate::drawing::Area;
use crate::drawing::area::At;
use crate::drawing::board::Board;
use crate::drawing::labels::{self, Key};
use crate::drawing::style::Style;
use crate::drawing::text::{LEADING, SMALL, width, wrapped};
use crate::units::Round;
use crate::{Scene, words};

/// Half a rung, mm.
const RUNG: f64 = 1.3;
/// From the ladder to its names, mm.
const BESIDE: f64 = 4.6;
/// Between two names, mm.
const APART: f64 = 2.0;

/// Something beside the ladder: at a height of the page, in lines: what it is, and what is done there.
struct Name {
    at: At,
    /// Whether it is a lock, which needs no more than its first line.
    is_lock: bool,
    /// Whether it is the one at which the view is drawn.
    is_drawn: bool,
    called: Vec<String>,
    tasks: Vec<String>,
    /// The same in the key; nothing where the view itself says it.
    says: String,
    /// Middle of its place.
    y: f64,
    /// Where what is done there went to the key: its number.
    number: Option<usize>,
}

impl Name {
    fn high(&self) -> f64 {
        let lines = self.called.iter().chain(&self.tasks).skip(1).fold(0.0, |n, _| n + 1.0);
        let words = SMALL * (0.98 + lines * LEADING);
        self.number.map_or(words, |number| words.max(2.0 * labels::rim(number)))
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
        let is_drawn = *lock == view.scene.plan.height.lock;
        let says = if said.iter().all(|task| is_told(view.scene, task)) {
            String::new()
        } else {
            format!("{called}, {pads}{of}")
        };
        let called = [called, pads].iter().flat_map(|s| wrapped(s, SMALL, is_drawn, room)).collect();
        let tasks = said.iter().flat_map(|s| wrapped(s, SMALL, false, room)).collect();
        let y = on_page(rise);
        names.push(Name {
            at: [x + 2.0 * RUNG, y],
            is_lock: true,
            is_drawn,
            called,
            tasks,
            says,
            y,
            number: None,
        });
    }
    names.push(first_stop(board, view, x, on_page, room));
    names.sort_by(|a, b| a.y.total_cmp(&b.y));
    let ceiling = view.scene.lift.headroom.map_or(area.y[0], |h| view.at([0.0, h.to_metres()])[1]);
    let within = [area.y[0].max(ceiling) + APART, area.y[1] - APART];
    let between = shorten(key, &mut names, within[1] - within[0]);
    spread(&mut names, within, between);
    names.iter().for_each(|name| write(board, name, x + BESIDE));
}

/// Whether a task is told above the view, which shows it.
fn is_told(shown: &Scene<'_>, name: &str) -> bool {
    let named = shown.plan.height.tasks.iter().filter_map(|task| shown.job.tasks.get(task.task?));
    named.into_iter().any(|task| task.name == name)
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
    let called = wrapped(&says, SMALL, false, room);
    Name {
        at: [x + 2.4, y],
        is_lock: false,
        is_drawn: false,
        called,
        tasks: vec![],
        says: String::new(),
        y,
        number: None,
    }
}

/// Where not all has room: the longest lists of what is done go to the key, then the heights of the pads give way; which lock
/// it is, and the test raise, keep their words. Gives how far the names stand apart.
fn shorten(key: &mut Key, names: &mut [Name], room: f64) -> f64 {
    let taken = |names: &[Name]| names.iter().fold(-APART, |sum, n| sum + n.high() + APART);
    while taken(names) > room {
        let longest = names.iter_mut().filter(|n| !n.tasks.is_empty()).max_by_key(|n| n.tasks.len());
        let Some(name) = longest else { break };
        name.tasks.clear();
        if !name.says.is_empty() {
            key.names.push(name.says.clone());
            name.number = Some(key.names.len());
        }
    }
    while taken(names) > room {
        let locks = names.iter_mut().filter(|n| n.called.len() > 1 && n.is_lock);
        let Some(name) = locks.min_by_key(|n| n.is_drawn) else { break };
        name.called.truncate(1);
    }
    let high = names.iter().fold(0.0, |sum, n| sum + n.high());
    let gaps = names.iter().skip(1).fold(0.0, |n, _| n + 1.0_f64).max(1.0);
    ((room - high) / gaps).clamp(0.0, APART)
}

/// Moves names apart, each as near to its height as the others let it.
fn spread(names: &mut [Name], [top, bottom]: [f64; 2], apart: f64) {
    let mut from = top;
    for name in names.iter_mut() {
        let half = name.high() / 2.0;
        name.y = name.y.max(from + half);
        from = name.y + half + apart;
    }
    let mut to = bottom;
    for name in names.iter_mut().rev() {
        let half = name.high() / 2.0;
        name.y = name.y.min(to - half);
        to = name.y - half - apart;
    }
}

fn write(board: &mut Board, name: &Name, x: f64) {
    let lines = name.called.iter().chain(&name.tasks).skip(1).fold(0.0, |n, _| n + 1.0);
    let top = name.y - SMALL * (0.98 + lines * LEADING) / 2.0;
    if (name.y - name.at[1]).abs() > 0.5 {
        board.line(&[name.at, [x - 0.6, name.y]], Style::Leader);
    }
    if let Some(number) = name.number {
        // Beside the shortest of its lines: a long one may take all the room.
        let lines = name.called.iter().map(|says| width(says, SMALL, name.is_drawn));
        let middles = std::iter::successors(Some(top + 0.49 * SMALL), |y| Some(y + SMALL * LEADING));
        if let Some((wide, y)) = lines.zip(middles).min_by(|a, b| a.0.total_cmp(&b.0)) {
            labels::sign(board, [x + wide + 1.0 + labels::rim(number), y], number);
        }
    }
    let y = board.say_lines([x, top + 0.76 * SMALL], SMALL, name.is_drawn, &name.called);
    board.say_lines([x, y], SMALL, false, &name.tasks);
}
