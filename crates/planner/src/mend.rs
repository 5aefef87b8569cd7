//! What a person at the vehicle could move so that a setup as placed passes.

use statics::{Angle, Length, Place};

use crate::checks::{Piece, What, fold};
use crate::frames::{DrivenIn, Placement};
use crate::heights::Heights;
use crate::lift::Corner;
use crate::measure::{Pad, wrapped};
use crate::plan::{Check, Move};
use crate::situation::Situation;

/// Steps of a tape, metres, and how many of them are tried each way.
const STEP: f64 = 0.010;
const STEPS: u8 = 30;
/// Steps tried both along and across.
const BOTH_WAYS: i8 = 15;
/// To which a move is told, metres.
const FINE: f64 = 0.001;

/// A setup as a person set it.
pub(crate) struct Placed<'a> {
    pub(crate) situation: &'a Situation<'a>,
    pub(crate) stand: Placement,
    pub(crate) pads: [Pad; 4],
    pub(crate) heights: Heights,
    /// What else the heights could be.
    pub(crate) usual: Heights,
}

impl Placed<'_> {
    /// Gives each failing check the smallest move that mends it, where one is found that makes nothing
    /// else fail, or fail by more.
    pub(crate) fn mend(&self, checks: &mut [Check]) {
        let before = checks.to_vec();
        let fails: Vec<usize> =
            (0..checks.len()).filter(|k| before[*k].reserve < 0.0 && before[*k].steers).collect();
        // All that fails of one pad, or of one kind, is best mended by one move.
        let mut groups: Vec<Vec<usize>> = Vec::new();
        for k in &fails {
            let alike = |other: usize| match (pad_of(before[*k].what), pad_of(before[other].what)) {
                (None, None) => {
                    core::mem::discriminant(&before[*k].what) == core::mem::discriminant(&before[other].what)
                }
                (own, other) => own == other,
            };
            match groups.iter_mut().find(|g| g.first().is_some_and(|first| alike(*first))) {
                Some(group) => group.push(*k),
                None => groups.push(vec![*k]),
            }
        }
        for group in groups {
            let whole: Vec<&Check> = group.iter().map(|k| &before[*k]).collect();
            let all = self.smallest(&whole, &before);
            for k in group {
                checks[k].mend = all.clone().or_else(|| self.smallest(&[&before[k]], &before));
            }
        }
        // Of several moves one may mend everything: then it is the only one to be told.
        let all: Vec<&Check> = fails.iter().map(|k| &before[*k]).collect();
        let mut moves = fails.iter().filter_map(|k| checks[*k].mend.clone());
        let one = moves.find(|by| fails.len() > 1 && self.try_move(by, &all, &before));
        if let Some(one) = one {
            fails.iter().for_each(|k| checks[*k].mend = Some(one.clone()));
        }
        for check in checks.iter_mut().filter(|c| c.what == What::Between && c.reserve < 0.0) {
            check.mend = self.try_move(&Move::Square, &[check], &before).then_some(Move::Square);
        }
    }

    /// The smallest move that mends checks of one pad or of one kind.
    fn smallest(&self, fails: &[&Check], before: &[Check]) -> Option<Move> {
        let what = fails.first()?.what;
        if let Some(corner) = pad_of(what) {
            return self.pad_moved(corner, fails, before);
        }
        let heights = Move::Heights(self.usual.clone());
        match what {
            What::Level | What::BeamUnderSill(_) | What::PadEntry(_) => {
                self.try_move(&heights, fails, before).then_some(heights)
            }
            What::Door(_) | What::BayAhead | What::BayBehind => {
                let rolled = self.along(fails, before, &[&|by| Move::Vehicle { forwards: by }]);
                let square = || self.try_move(&Move::Square, fails, before).then_some(Move::Square);
                rolled.or_else(square)
            }
            // Uneven pads are first made even.
            _ if self.situation.gaps.iter().any(|gap| *gap > Length::ZERO)
                && self.try_move(&heights, fails, before) =>
            {
                Some(heights)
            }
            _ => {
                let one = |corner| move |aft| Move::Pad { corner, aft, left: Length::ZERO };
                let across = |corner| move |left| Move::Pad { corner, aft: Length::ZERO, left };
                let pads = Corner::ALL.map(one);
                let aside = Corner::ALL.map(across);
                let pairs = [true, false].map(|front| move |aft| Move::Pair { front, aft });
                let mut ways: Vec<&dyn Fn(Length) -> Move> = Vec::new();
                ways.extend(pads.iter().map(|w| w as &dyn Fn(Length) -> Move));
                ways.extend(aside.iter().map(|w| w as &dyn Fn(Length) -> Move));
                ways.extend(pairs.iter().map(|w| w as &dyn Fn(Length) -> Move));
                self.along(fails, before, &ways)
            }
        }
    }

    /// One pad along or across the vehicle; if that does not do, both.
    fn pad_moved(&self, corner: Corner, fails: &[&Check], before: &[Check]) -> Option<Move> {
        let aft = |by| Move::Pad { corner, aft: by, left: Length::ZERO };
        let left = |by| Move::Pad { corner, aft: Length::ZERO, left: by };
        self.along(fails, before, &[&aft, &left]).or_else(|| {
            let steps = -BOTH_WAYS..=BOTH_WAYS;
            let mut both: Vec<(i8, i8)> =
                steps.clone().flat_map(|a| steps.clone().map(move |l| (a, l))).collect();
            both.sort_by_key(|(a, l)| i32::from(*a).pow(2) + i32::from(*l).pow(2));
            let by = |n: i8| Length::metres(f64::from(n) * STEP);
            both.into_iter()
                .map(|(a, l)| self.on_tooth(corner, [by(a), by(l)]))
                .find(|m| self.try_move(m, fails, before))
        })
    }

    /// A move of a pad, and on to where its arm's restraint drops in, to the millimetre.
    fn on_tooth(&self, corner: Corner, [aft, left]: [Length; 2]) -> Move {
        let (i, free) = (corner.index(), Move::Pad { corner, aft, left });
        let arm = self.situation.arm(i, &self.stand);
        let Some(pitch) = arm.tooth_pitch.map(Angle::to_radians) else { return free };
        let (_, pads, _) = self.moved(&free);
        let set = self.situation.arm_setting(i, &self.stand, pads[i].at);
        let from = arm.swing_from.to_radians();
        let swing = from + (wrapped(set.swing - from) / pitch).round() * pitch;
        let [px, py] = arm.pivot.to_metres();
        let bay = Place::metres([px + set.reach * swing.cos(), py + set.reach * swing.sin()]);
        let [x, y] = self.stand.to_vehicle(bay).to_metres();
        let was = self.pads[i].at;
        let whole = |by: f64| Length::metres((by / FINE).round() * FINE);
        Move::Pad { corner, aft: whole(x - was[0]), left: whole(y - was[1]) }
    }

    /// The smallest of moves along lines, either way.
    fn along(&self, fails: &[&Check], before: &[Check], ways: &[&dyn Fn(Length) -> Move]) -> Option<Move> {
        let at = |way: &dyn Fn(Length) -> Move, by: f64| {
            Some(way(Length::metres(by))).filter(|m| self.try_move(m, fails, before))
        };
        let signed = || ways.iter().flat_map(|w| [(*w, 1.0), (*w, -1.0)]);
        (1..=STEPS).find_map(|n| {
            let far = f64::from(n) * STEP;
            let (way, sign) = signed().find(|(way, sign)| at(*way, sign * far).is_some())?;
            let finer = (1..10u8).map(|k| far - STEP + f64::from(k) * FINE);
            finer.chain([far]).find_map(|by| at(way, sign * by))
        })
    }

    /// Whether the move mends these checks and spoils no other.
    fn try_move(&self, by: &Move, fails: &[&Check], before: &[Check]) -> bool {
        let (stand, pads, heights) = self.moved(by);
        if let Move::Pad { corner, .. } = by {
            // One pad is measured in no time: most moves end here.
            let mut own: Vec<Piece> = Vec::new();
            self.situation.measure_pad(corner.index(), &stand, pads[corner.index()], None, &mut own);
            if own.iter().any(|p| p.reserve < 0.0 && fails.iter().any(|f| f.what == p.what)) {
                return false;
            }
        }
        let same = |a: &Check, b: &Check| a.what == b.what && a.state == b.state;
        let passes = |pieces: &[Piece]| {
            fold(pieces).iter().all(|now| {
                let was = before.iter().find(|b| same(b, now)).map_or(f64::NEG_INFINITY, |b| b.reserve);
                let must_pass = fails.iter().any(|f| same(f, now));
                // What is only advised may get worse for what is required.
                let may_fail = !must_pass && (now.reserve >= was - 1e-9 || !now.binding);
                now.reserve >= 0.0 || may_fail
            })
        };
        let even = matches!(by, Move::Heights(_)).then(|| self.situation.touching(&heights));
        let situation = even.as_ref().unwrap_or(self.situation);
        // Pushes take longest: they are asked only where all else passes.
        passes(&situation.measure_at_rest(&stand, &pads, &heights))
            && passes(&situation.measure(&stand, &pads, &heights))
    }

    fn moved(&self, by: &Move) -> (Placement, [Pad; 4], Heights) {
        let (mut stand, mut pads, mut heights) = (self.stand, self.pads, self.heights.clone());
        match by {
            Move::Pad { corner, aft, left } => {
                let at = &mut pads[corner.index()].at;
                *at = [at[0] + aft.to_metres(), at[1] + left.to_metres()];
            }
            Move::Pair { front, aft } => {
                for corner in Corner::ALL.into_iter().filter(|c| c.is_front() == *front) {
                    pads[corner.index()].at[0] += aft.to_metres();
                }
            }
            Move::Vehicle { forwards } => match stand.driven_in {
                DrivenIn::Forwards => stand.spot += *forwards,
                DrivenIn::Backwards => stand.spot -= *forwards,
            },
            Move::Square => stand = Placement::square(stand.spot, stand.driven_in),
            Move::Heights(usual) => heights = usual.clone(),
        }
        (stand, pads, heights)
    }
}

/// The pad of a check that depends on its place alone.
const fn pad_of(what: What) -> Option<Corner> {
    match what {
        What::PadInArea(c)
        | What::PadToKeepOut(c, _)
        | What::ReachIn(c)
        | What::ReachOut(c)
        | What::SwingFrom(c)
        | What::SwingTo(c)
        | What::Tooth(c)
        | What::BeamToTyre(c, _)
        | What::BeamToKeepOut(c, _) => Some(c),
        _ => None,
    }
}
