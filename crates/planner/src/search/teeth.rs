//! From tooth to tooth: the swings of toothed arms as a finite choice.

use std::rc::Rc;

use statics::Angle;

use super::look::{Start, same_tooth};
use super::plane::{Choice, Plane};
use super::program::Program;
use super::{Aim, Climber, ENOUGH};
use crate::measure::wrapped;
use crate::situation::Situation;

/// Choices of teeth that are climbed from around one.
const TEETH_TRIED: usize = 24;

/// Swing of each toothed arm.
pub(super) type Teeth = [Option<f64>; 4];

pub(super) fn known(seen: &[Teeth], teeth: &Teeth) -> bool {
    seen.iter().any(|s| s.iter().zip(teeth).all(|(a, b)| same_tooth(*a, *b)))
}

impl<'a> Climber<'a> {
    /// From tooth to tooth while that gains.
    pub(super) fn up_the_teeth(
        mut self,
        situation: &'a Situation<'a>,
        aim: Aim,
        seen: &mut Vec<Teeth>,
    ) -> Self {
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
        if aim.to_beat >= aim.enough {
            return None;
        }
        let here = self.start();
        let free = Situation { teeth_bind: false, ..situation.clone() };
        let Program { way, areas, scope, .. } = self.program;
        let (program, at) = Start { teeth: [None; 4], ..here.clone() }.program(&free, aim.spot, scope);
        let mut plane = Plane::about(program, at);
        let mut best: Option<Climber> = None;
        for choice in self.choices(situation, &here, &mut plane, aim, seen) {
            let to_beat = best.as_ref().map_or(aim.to_beat, |b| b.worst() + ENOUGH);
            if to_beat >= aim.enough {
                break;
            }
            if choice.hope <= to_beat {
                continue;
            }
            seen.push(choice.teeth);
            let program = Program::new(situation, way, areas, choice.teeth, aim.spot, scope);
            if plane.looked_at(&choice, &program) <= to_beat {
                continue;
            }
            let slopes = plane.slopes(&here.on_teeth(situation, choice.teeth));
            let slopes = Some((slopes, choice.doubt));
            let mut other = Climber::from_foot(program, choice.at, Rc::clone(&self.heights), slopes);
            other.advance(40, to_beat);
            if other.worst() > to_beat {
                best = Some(other);
            }
        }
        best
    }

    /// The choices of teeth near this one's that its slopes promise something of, the most first.
    fn choices(
        &self,
        situation: &Situation,
        here: &Start,
        plane: &mut Plane,
        aim: Aim,
        seen: &[Teeth],
    ) -> Vec<Choice> {
        let alike = self.program.situation.mirror.is_some();
        let near: [Vec<Option<f64>>; 4] = core::array::from_fn(|i| {
            let mut near = self.near(situation, here, i);
            // Where the right-hand pads follow, so do their teeth.
            if i % 2 == 1 && situation.mirror.is_some() {
                near.truncate(1);
            } else if aim.to_beat > f64::NEG_INFINITY {
                near.retain(|tooth| {
                    let mut teeth = here.teeth;
                    teeth[i] = *tooth;
                    plane.alone(&here.on_teeth(situation, teeth), i) > aim.to_beat
                });
            }
            near
        });
        let mut found: Vec<Choice> = Vec::new();
        if near.iter().any(Vec::is_empty) {
            return found;
        }
        let mut tried: Vec<Teeth> = Vec::new();
        let mut pick = [0usize; 4];
        loop {
            let teeth: Teeth = core::array::from_fn(|i| near[i][pick[i]]);
            let teeth = if situation.mirror.is_some() { follow(teeth) } else { teeth };
            // Where all but the teeth is alike left and right, what mirrors another is worth as much.
            let twin = alike && known(&tried, &image(teeth));
            if !known(seen, &teeth) && !twin {
                tried.push(teeth);
                let choice = plane.choice(situation, &here.on_teeth(situation, teeth));
                found.extend(choice.filter(|c| c.hope > aim.to_beat));
            }
            let Some(i) = (0..4).find(|i| pick[*i] + 1 < near[*i].len()) else { break };
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

/// The same, left and right exchanged.
fn image(teeth: Teeth) -> Teeth {
    [1, 0, 3, 2].map(|i: usize| teeth[i].map(|t: f64| -t))
}

/// The left-hand ones on both sides.
fn follow(teeth: Teeth) -> Teeth {
    let other = image(teeth);
    [teeth[0], other[1], teeth[2], other[3]]
}
