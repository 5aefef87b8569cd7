//! From tooth to tooth: the swings of toothed arms as a finite choice.

use std::rc::Rc;

use statics::Angle;
use statics::hull::norm;

use super::look::{Start, same_tooth};
use super::program::Program;
use super::{Aim, Climber, ENOUGH};
use crate::ascent::{Functions, Outlook, steep_below};
use crate::measure::wrapped;
use crate::situation::Situation;

/// Choices of teeth that are climbed from around one.
const TEETH_TRIED: usize = 24;

/// Swing of each toothed arm.
pub(super) type Teeth = [Option<f64>; 4];

pub(super) fn known(seen: &[Teeth], teeth: &Teeth) -> bool {
    seen.iter().any(|s| s.iter().zip(teeth).all(|(a, b)| same_tooth(*a, *b)))
}

/// The checks about a setup as linear functions of spot and pads, as if arms locked anywhere.
struct Plane<'p, 's> {
    program: &'p Program<'s>,
    at: &'p [f64],
    values: &'p [f64],
    slopes: &'p [f64],
}

/// Teeth to climb on, from where slopes from elsewhere lead to.
struct Choice {
    teeth: Teeth,
    at: Vec<f64>,
    slopes: Vec<f64>,
    /// What the slopes make of it.
    outlook: f64,
    /// No climb on these teeth is expected to reach more.
    hope: f64,
}

/// What a climb may reach above its outlook: so much, and for pads that moved by a metre, by the square.
const MARGIN: f64 = 0.005;
const CURVE: f64 = 20.0;

impl<'a> Climber<'a> {
    /// From tooth to tooth while that gains.
    pub(super) fn up_the_teeth(mut self, situation: &'a Situation<'a>, aim: Aim, seen: &mut Vec<Teeth>) -> Self {
        while self.worst() < aim.enough {
            let aim = Aim { to_beat: self.worst() + ENOUGH, ..aim };
            match self.better_teeth(situation, aim, seen) {
                Some(better) => self = better,
                None => break,
            }
        }
        self
    }

    /// The highest climb on teeth near these, if it beats what is to beat.
    ///
    /// What the slopes of this setup make of each choice says which are climbed first, and where from; a climb that
    /// begins with them mostly ends with them as well.
    pub(super) fn better_teeth<'b>(
        &self,
        situation: &'b Situation<'b>,
        aim: Aim,
        seen: &mut Vec<Teeth>,
    ) -> Option<Climber<'b>> {
        let mut best: Option<Climber> = None;
        if aim.to_beat >= aim.enough {
            return None;
        }
        for choice in self.choices(situation, aim, seen) {
            let to_beat = best.as_ref().map_or(aim.to_beat, |b| b.worst() + ENOUGH);
            if to_beat >= aim.enough {
                break;
            }
            if choice.hope <= to_beat {
                continue;
            }
            seen.push(choice.teeth);
            let Program { way, areas, scope, .. } = self.program;
            let program = Program::new(situation, way, areas, choice.teeth, aim.spot, scope);
            let mut other = Climber::from_foot(program, choice.at, Rc::clone(&self.heights), choice.slopes);
            other.advance(40, to_beat);
            if other.worst() > to_beat {
                best = Some(other);
            }
        }
        best
    }

    /// The choices of teeth near this one's, those that its slopes promise most of first.
    fn choices(&self, situation: &Situation, aim: Aim, seen: &[Teeth]) -> Vec<Choice> {
        let free = Situation { teeth_bind: false, ..situation.clone() };
        let here = self.start();
        let start = Start { teeth: [None; 4], ..here.clone() };
        let (mut program, at) = start.program(&free, aim.spot, self.program.scope);
        let (mut values, mut slopes) = (Vec::new(), Vec::new());
        program.values(&at, &mut values);
        program.derivatives(&at, &values, steep_below(self.climb.least, 1.0), &mut slopes);
        let plane = Plane { program: &program, at: &at, values: &values, slopes: &slopes };
        let near: [Vec<Option<f64>>; 4] = core::array::from_fn(|i| self.near(situation, &here, i));
        let mut outlook = Outlook::default();
        let mut found = Vec::new();
        let mut pick = [0usize; 4];
        loop {
            let teeth: Teeth = core::array::from_fn(|i| near[i][pick[i]]);
            // Where the right-hand pads follow, so do their teeth.
            let teeth = match &situation.mirror {
                Some(_) => [teeth[0], teeth[0].map(|t| -t), teeth[2], teeth[2].map(|t| -t)],
                None => teeth,
            };
            if !known(seen, &teeth) {
                let choice = plane.choice(situation, &here.on_teeth(situation, teeth), aim, &mut outlook);
                found.extend(choice.filter(|c| c.hope > aim.to_beat));
            }
            let moves = |i: usize| program.moves(i) && pick[i] + 1 < near[i].len();
            let Some(i) = (0..4).find(|i| moves(*i)) else { break };
            pick[..i].fill(0);
            pick[i] += 1;
        }
        found.sort_by(|a: &Choice, b: &Choice| b.outlook.total_cmp(&a.outlook));
        found.truncate(TEETH_TRIED);
        found
    }

    /// Teeth near that of arm i: the two beside an arm that is still free, else its own and the next ones either
    /// way (two, where both sides move alike).
    fn near(&self, situation: &Situation, here: &Start, i: usize) -> Vec<Option<f64>> {
        let (stand, pads) = self.program.decode(&self.climb.x);
        let arm = situation.arm(i, &stand);
        let Some(pitch) = situation.pitch(arm).map(Angle::to_radians) else { return vec![None] };
        let (from, to) = (arm.swing_from.to_radians(), arm.swing_to.to_radians());
        let last = ((to - from) / pitch + 1e-9).floor();
        let swing = here.teeth[i].unwrap_or_else(|| situation.arm_setting(i, &stand, pads[i].at).swing);
        let off = (wrapped(swing - f64::midpoint(from, to)) + (to - from) / 2.0) / pitch;
        let tooth = |n: f64| wrapped(from + n.clamp(0.0, last) * pitch);
        let moves: &[f64] = match (here.teeth[i], &situation.mirror) {
            (None, _) => &[0.0, 1.0],
            (Some(_), Some(_)) => &[0.0, -1.0, 1.0, -2.0, 2.0],
            (Some(_), None) => &[0.0, -1.0, 1.0],
        };
        let first = if here.teeth[i].is_some() { off.round() } else { off.floor() };
        let mut found: Vec<Option<f64>> = Vec::with_capacity(moves.len());
        for tooth in moves.iter().map(|by| Some(tooth(first + by))) {
            if !found.iter().any(|f| same_tooth(*f, tooth)) {
                found.push(tooth);
            }
        }
        found
    }
}

impl Plane<'_, '_> {
    /// What the slopes make of pads moved straight onto teeth.
    fn choice(&self, situation: &Situation, start: &Start, aim: Aim, outlook: &mut Outlook) -> Option<Choice> {
        let (other, mut at) = start.program(situation, aim.spot, self.program.scope);
        let (values, slopes) = self.program.seen_from(&other, &start.pads, self.at, self.values, self.slopes);
        let ahead = outlook.of(&values, &slopes, &other.scale())?;
        at.iter_mut().zip(ahead.step).for_each(|(x, d)| *x += d);
        let moved = (0..4).filter(|i| self.program.moves(*i)).map(|i| {
            let own = &self.at[self.program.variables(i)];
            norm([start.pads[i].at[0] - own[0], start.pads[i].at[1] - own[1]])
        });
        let far = moved.fold(0.0, f64::max);
        let hope = ahead.most + MARGIN + CURVE * far * far;
        Some(Choice { teeth: start.teeth, at, slopes, outlook: ahead.least, hope })
    }
}
