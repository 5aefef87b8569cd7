//! The checks near a setup as linear functions, and what they make of other teeth.

use statics::hull::norm;

use super::look::Start;
use super::program::{Part, Program};
use super::teeth::Teeth;
use crate::ascent::{Functions, Outlook, steep_below};
use crate::situation::Situation;

/// The checks about a setup as linear functions of spot and pads, as if arms locked anywhere. Their errors grow by the
/// square of what pads move: on fine teeth they are right to a thousandth.
pub(super) struct Plane<'s> {
    program: Program<'s>,
    at: Vec<f64>,
    values: Vec<f64>,
    slopes: Vec<f64>,
    /// Rows of the stand alone.
    of_stand: core::ops::Range<usize>,
    outlook: Outlook,
    /// Room for what other teeth see of it.
    seen: Seen,
}

/// Teeth to climb on, from where slopes from elsewhere lead to.
pub(super) struct Choice {
    pub(super) teeth: Teeth,
    pub(super) at: Vec<f64>,
    /// What the slopes make of it.
    pub(super) outlook: f64,
    /// No climb on these teeth is expected to reach more.
    pub(super) hope: f64,
    /// How much of that hope is doubt of the slopes.
    pub(super) doubt: f64,
    /// The checks that hold it, each with its part; none where the slopes do not tell.
    held: Option<Vec<(usize, f64)>>,
}

/// Values and slopes by the variables of a setup whose arms are on teeth.
#[derive(Default)]
struct Seen {
    values: Vec<f64>,
    slopes: Vec<f64>,
}

/// A pad that was moved, with its first variable, its moves, and the way that its arm goes on the vehicle, if it is on a
/// tooth.
struct Moved {
    first: usize,
    by: [f64; 2],
    way: Option<[f64; 2]>,
}

/// What a climb may reach above its outlook: so much, and for pads that moved by a metre, by the square.
const MARGIN: f64 = 0.005;
const CURVE: f64 = 20.0;
/// Farther than this, metres, slopes say where to go, but not where to end.
const NEARBY: f64 = 0.07;

impl<'s> Plane<'s> {
    /// About a setup, of a situation where teeth do not bind.
    pub(super) fn about(mut program: Program<'s>, at: Vec<f64>) -> Self {
        let (mut values, mut slopes) = (Vec::new(), Vec::new());
        program.values(&at, &[], |least| steep_below(least, 1.0), &mut values);
        let least = values.iter().copied().fold(f64::INFINITY, f64::min);
        program.derivatives(&at, &values, steep_below(least, 1.0), &mut slopes);
        let of_stand = program.rows_of(Part::Stand, values.len());
        Self { program, at, values, slopes, of_stand, outlook: Outlook::default(), seen: Seen::default() }
    }

    /// The most that is to be hoped for of one pad on a tooth, whatever the others do.
    pub(super) fn alone(&mut self, start: &Start, i: usize) -> f64 {
        let moved = self.moved(start, i);
        let own = self.program.rows_of(Part::Pad(i), self.values.len());
        self.see(self.of_stand.clone().chain(own), core::slice::from_ref(&moved));
        let scale = self.program.scale();
        let count = usize::from(self.program.spot.is_none()) + if moved.way.is_some() { 1 } else { 2 };
        let scale = &scale[..count];
        let ahead = self.outlook.of(&self.seen.values, &self.seen.slopes, scale);
        ahead.map_or(f64::INFINITY, |a| a.most + margin(norm(moved.by)))
    }

    /// What the slopes make of pads moved straight onto teeth.
    pub(super) fn choice(&mut self, situation: &Situation, start: &Start) -> Option<Choice> {
        let (other, mut at) = start.program(situation, self.program.spot, self.program.scope);
        let moved = self.all_moved(start);
        self.see(0..self.values.len(), &moved);
        let ahead = self.outlook.of(&self.seen.values, &self.seen.slopes, &other.scale())?;
        at.iter_mut().zip(ahead.step).for_each(|(x, d)| *x += d);
        // What holds it whatever the pads do, holds it on these teeth as well.
        let by_pads = ahead.held_by(|k| !self.of_stand.contains(&k));
        let (here, there) = (self.program.decode(&self.at).1, other.decode(&at).1);
        let apart = here.iter().zip(&there).map(|(a, b)| norm([a.at[0] - b.at[0], a.at[1] - b.at[1]]));
        let hope = ahead.most + by_pads * margin(apart.fold(0.0, f64::max));
        let far = moved.iter().map(|m| norm(m.by)).fold(0.0, f64::max) > NEARBY;
        let (doubt, held) = if far { (f64::INFINITY, None) } else { (0.0, ahead.holders()) };
        Some(Choice { teeth: start.teeth, at, outlook: ahead.least, hope, doubt, held })
    }

    /// What the checks that hold a choice, looked at on its teeth, leave to be hoped for.
    pub(super) fn looked_at(&self, choice: &Choice, on_teeth: &Program) -> f64 {
        let held = choice.held.as_ref();
        held.map_or(choice.hope, |held| self.program.together(held, on_teeth, &choice.at))
    }

    /// The slopes by the variables of a setup whose arms are on teeth.
    pub(super) fn slopes(&mut self, start: &Start) -> Vec<f64> {
        let moved = self.all_moved(start);
        self.see(0..self.values.len(), &moved);
        self.seen.slopes.clone()
    }

    fn all_moved(&self, start: &Start) -> Vec<Moved> {
        let own = (0..4).filter(|i| self.program.moves(*i));
        own.map(|i| self.moved(start, i)).collect()
    }

    fn moved(&self, start: &Start, i: usize) -> Moved {
        let first = self.program.variables(i).start;
        let at = start.pads[i].at;
        let way = start.teeth[i].map(|swing| start.stand().direction_to_vehicle([swing.cos(), swing.sin()]));
        Moved { first, by: [at[0] - self.at[first], at[1] - self.at[first + 1]], way }
    }

    /// Some rows as a setup with these pads moved sees them.
    fn see(&mut self, rows: impl Iterator<Item = usize>, moved: &[Moved]) {
        let n = self.at.len();
        let free = self.program.spot.is_none();
        // A pad whose arm stays where it is goes along the vehicle as that drives on.
        let carried = self.program.aft_by_spot();
        self.seen.values.clear();
        self.seen.slopes.clear();
        for k in rows {
            let row = &self.slopes[k * n..(k + 1) * n];
            let mut value = self.values[k];
            let mut with_spot = row[0];
            let begin = self.seen.slopes.len();
            if free {
                self.seen.slopes.push(0.0);
            }
            for Moved { first, by, way } in moved {
                let (aft, left) = (row[*first], row[first + 1]);
                value += aft * by[0] + left * by[1];
                match way {
                    Some([a, l]) => {
                        with_spot += carried * aft;
                        self.seen.slopes.push(a * aft + l * left);
                    }
                    None => self.seen.slopes.extend([aft, left]),
                }
            }
            if free {
                self.seen.slopes[begin] = with_spot;
            }
            self.seen.values.push(value);
        }
    }
}

fn margin(moved: f64) -> f64 {
    MARGIN + CURVE * moved.powi(2)
}
