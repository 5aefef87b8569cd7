//! Measures a setup against every check.

use statics::hull::norm;
use statics::{Body, Contact, Force, Length, Place, Resists, Stiffness, SupportSet};

use crate::beam::{line_to_line, line_to_rectangle, line_to_region};
use crate::checks::{Least, Piece, RESERVE_MOST, Sink, What, at_most};
use crate::door::opening;
use crate::frames::{DrivenIn, Placement, Vehicle as Frame};
use crate::heights::Heights;
use crate::lift::Corner;
use crate::limits::{Limit, Name};
use crate::situation::{
    ASSUMED_ARM_STIFFNESS, ASSUMED_ARM_STIFFNESS_LEAST, ASSUMED_PAD_STIFFNESS, Situation,
};
use crate::state::State;
use crate::vehicle::LiftArea;

/// An arm is never shorter than this, metres: keeps its stiffness finite where a setup makes no sense.
pub(crate) const LEAST_REACH: f64 = 0.05;
const ARM_RATED: &str = "the lift's file: rated load of the arm";
const QUARTER: &str = "a quarter of the rated load: common practice, no source";

/// A pad on a lifting area, vehicle frame, metres.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(crate) struct Pad {
    pub(crate) area: usize,
    pub(crate) at: [f64; 2],
}

impl Pad {
    /// The same pad on the other side.
    pub(crate) fn mirrored(&self, twin: &[usize]) -> Self {
        Self { area: twin[self.area], at: [self.at[0], -self.at[1]] }
    }
}

/// Reach and swing of the arm that holds a pad.
#[derive(Clone, Copy, Debug)]
pub(crate) struct ArmSetting {
    pub(crate) reach: f64,
    /// In (-pi, pi].
    pub(crate) swing: f64,
}

/// A way in which arms may bend.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Bend {
    /// By the cube of their reach, each stated stiffness off by so many of its tolerances.
    ByReach([f64; 4]),
    /// Not at all.
    NotAtAll,
}

/// Sides of which loads and edges are measured.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(crate) enum Sides {
    Both,
    /// The other says the same: the setup mirrors itself.
    Left,
}

impl Situation<'_> {
    pub(crate) fn arm_setting(&self, corner: usize, placement: &Placement, at: [f64; 2]) -> ArmSetting {
        let d = self.pivot_to_pad(corner, placement, at);
        ArmSetting { reach: norm(d), swing: d[1].atan2(d[0]) }
    }

    fn arm_reach(&self, corner: usize, placement: &Placement, at: [f64; 2]) -> f64 {
        norm(self.pivot_to_pad(corner, placement, at))
    }

    /// From an arm's pivot to a pad, in the bay.
    fn pivot_to_pad(&self, corner: usize, placement: &Placement, at: [f64; 2]) -> [f64; 2] {
        let pivot = self.arm(corner, placement).pivot.to_metres();
        let bay = placement.to_bay(Place::metres(at)).to_metres();
        [bay[0] - pivot[0], bay[1] - pivot[1]]
    }

    /// A piece, which binds where checks of its kind are asked for.
    pub(crate) fn piece(&self, what: What, demand: f64, limit: f64, source: &'static str) -> Piece {
        Piece { binding: self.asks(what), ..Piece::new(what, demand, limit, source) }
    }

    /// A demand against the row of the table that its check is held against.
    #[inline(always)]
    fn hold(&self, what: What, demand: f64, out: &mut impl Sink) {
        if let Some(name) = what.limit() {
            out.take(self.piece(what, demand, self.limits.get(name), name.row().source));
        }
    }

    /// Everything that depends on where the vehicle stands alone.
    pub(crate) fn measure_stand(&self, stand: &Placement, out: &mut impl Sink) {
        let inner = self.lift.columns.inside.to_metres() / 2.0;
        for (k, door) in self.vehicle.doors.iter().enumerate() {
            let column = Self::column(&self.lift.columns, door, stand);
            let asked = self.openings[k];
            let opens = opening(door, &column);
            let source = if self.job.doors.iter().any(|w| w.door == door.name) {
                "asked for by the job"
            } else {
                Name::DoorWay.row().source
            };
            out.take(self.piece(What::Door(k), opens, asked, source));
        }
        let outline = &self.vehicle.outline;
        let half = outline.mirrors.map_or(outline.width, |m| m.width.max(outline.width)).to_metres() / 2.0;
        let turned = (norm([inner, half]) * stand.yaw.to_radians().sin()).abs();
        let between = inner - half - stand.offset.to_metres().abs() - turned;
        self.hold(What::Between, between, out);
        if let Some(bay) = self.lift.bay {
            let base = self.vehicle.wheelbase.value;
            let (ahead, behind) = match stand.driven_in {
                DrivenIn::Forwards => {
                    (stand.spot + outline.front_overhang, stand.spot - base - outline.rear_overhang)
                }
                DrivenIn::Backwards => {
                    (stand.spot + base + outline.rear_overhang, stand.spot - outline.front_overhang)
                }
            };
            self.hold(What::BayAhead, (bay.ahead - ahead).to_metres(), out);
            self.hold(What::BayBehind, (bay.behind + behind).to_metres(), out);
        }
        if let (Some(plate), Some(band)) =
            (self.lift.plate.as_ref().filter(|_| self.plate_binds), self.band())
        {
            let miss = (stand.spot - band.front_wheel).abs().to_metres();
            out.take(self.piece(What::PlateSpot, miss, plate.tolerance.to_metres(), "the lift's plate"));
        }
    }

    /// Everything that depends on one pad and where the vehicle stands; its arm's swing where that is known already.
    pub(crate) fn measure_pad(
        &self,
        i: usize,
        stand: &Placement,
        pad: Pad,
        swing: Option<f64>,
        out: &mut impl Sink,
    ) {
        self.measure_reach(i, stand, pad, swing, out);
        self.measure_clearance(i, stand, pad, out);
    }

    /// Of one pad: its place in its area, and its arm's setting.
    pub(crate) fn measure_reach(
        &self,
        i: usize,
        stand: &Placement,
        pad: Pad,
        swing: Option<f64>,
        out: &mut impl Sink,
    ) {
        let corner = Corner::ALL[i];
        let mut push = |what: What, demand: f64| self.hold(what, demand, out);
        let area = &self.vehicle.lift_areas[pad.area];
        if self.convex[pad.area] {
            for d in area.region.depths_to_sides(pad.at) {
                push(What::PadInArea(corner), d);
            }
        } else {
            push(What::PadInArea(corner), area.region.depth(pad.at));
        }
        let arm = self.arm(i, stand);
        let set = match swing {
            Some(swing) => ArmSetting { reach: self.arm_reach(i, stand, pad.at), swing },
            None => self.arm_setting(i, stand, pad.at),
        };
        push(What::ReachIn(corner), set.reach - arm.reach_in.to_metres());
        push(What::ReachOut(corner), arm.reach_out.to_metres() - set.reach);
        let (from, to) = (arm.swing_from.to_radians(), arm.swing_to.to_radians());
        let off = wrapped(set.swing - f64::midpoint(from, to));
        push(What::SwingFrom(corner), (to - from) / 2.0 + off);
        push(What::SwingTo(corner), (to - from) / 2.0 - off);
        // An arm whose swing is known is on a tooth.
        if let (Some(pitch), None) = (self.pitch(arm), swing) {
            let turn = (off + (to - from) / 2.0) / pitch.to_radians();
            push(What::Tooth(corner), (turn - turn.round()).abs() * pitch.to_radians());
        }
    }

    /// The most that any pads leave of the reach of arms: by the nearest and the farthest places of their areas.
    pub(crate) fn reach_most(&self, stand: &Placement) -> f64 {
        let corner = |i: usize| {
            let (corner, arm) = (Corner::ALL[i], self.arm(i, stand));
            let pivot = stand.to_vehicle(arm.pivot).to_metres();
            let areas = self.vehicle.lift_areas.iter().filter(|a| a.corner == corner);
            let of = |area: &LiftArea| {
                let far = |c: &Place<Frame>| norm([c.to_metres()[0] - pivot[0], c.to_metres()[1] - pivot[1]]);
                let farthest = area.region.corners().iter().map(far).fold(0.0, f64::max);
                let nearest = (-area.region.depth(pivot)).max(0.0);
                Least::of(|out| {
                    self.hold(What::ReachIn(corner), farthest - arm.reach_in.to_metres(), out);
                    self.hold(What::ReachOut(corner), arm.reach_out.to_metres() - nearest, out);
                })
            };
            areas.map(of).fold(f64::NEG_INFINITY, f64::max)
        };
        let own = (0..4usize).filter(|i| i.is_multiple_of(2) || self.sides() == Sides::Both);
        own.map(corner).fold(f64::INFINITY, f64::min)
    }

    /// How much more of that there may be when the vehicle stands so far away, metres.
    pub(crate) fn reach_gained(&self, far: f64) -> f64 {
        far / self.limits.get(Name::ReachSetting)
    }

    /// Of one pad: what it and its arm stay clear of.
    pub(crate) fn measure_clearance(&self, i: usize, stand: &Placement, pad: Pad, out: &mut impl Sink) {
        let corner = Corner::ALL[i];
        let mut push = |what: What, demand: f64| self.hold(what, demand, out);
        let arm = self.arm(i, stand);
        let pivot = stand.to_vehicle(arm.pivot).to_metres();
        let half = arm.beam_width.to_metres() / 2.0;
        let line = [pivot, pad.at];
        for (w, tyre) in self.tyres.iter().enumerate() {
            if Corner::ALL[w].is_left() == corner.is_left() {
                push(What::BeamToTyre(corner, Corner::ALL[w]), line_to_rectangle(line, tyre) - half);
            }
        }
        for (k, keep_out) in self.vehicle.keep_outs.iter().enumerate() {
            let rim = -keep_out.region.depth(pad.at) - self.lift.pads.radius.to_metres();
            push(What::PadToKeepOut(corner, k), rim);
            push(What::BeamToKeepOut(corner, k), line_to_region(line, &keep_out.region) - half);
        }
    }

    /// The two arms of each side.
    pub(crate) fn measure_arms(&self, stand: &Placement, pads: &[Pad; 4], sides: Sides, out: &mut impl Sink) {
        let both: &[(usize, usize)] = &[(0, 2), (1, 3)];
        for &(front, rear) in if sides == Sides::Left { &both[..1] } else { both } {
            let (a, b) = (self.arm(front, stand), self.arm(rear, stand));
            let line = |arm: &crate::lift::Arm, pad: &Pad| [stand.to_vehicle(arm.pivot).to_metres(), pad.at];
            let half = (a.beam_width + b.beam_width).to_metres() / 2.0;
            let apart = line_to_line(line(a, &pads[front]), line(b, &pads[rear])) - half;
            self.hold(What::BeamToBeam(Corner::ALL[front]), apart, out);
        }
    }

    /// Pad heights.
    pub(crate) fn measure_heights(
        &self,
        stand: &Placement,
        pads: &[Pad; 4],
        heights: &Heights,
        out: &mut impl Sink,
    ) {
        let sill = self.vehicle.sill_height.to_metres();
        for i in 0..4 {
            let (corner, touch) = (Corner::ALL[i], heights.touch[i].to_metres());
            self.hold(What::PadEntry(corner), touch, out);
            let air = sill - self.arm(i, stand).beam_top.to_metres() - touch;
            self.hold(What::BeamUnderSill(corner), air, out);
        }
        let misses = heights.misses().map(Length::to_metres);
        let mut slope = 0.0f64;
        for i in 0..4 {
            for j in i + 1..4 {
                let far = norm([pads[i].at[0] - pads[j].at[0], pads[i].at[1] - pads[j].at[1]]);
                slope = slope.max((misses[i] - misses[j]).abs() / far.max(0.01));
            }
        }
        self.hold(What::Level, slope.atan(), out);
    }

    /// Under a pad, its arm taken as `assumed` where it has no stiffness of its own, and `off` by so many of its tolerances.
    fn stiffness_under(
        &self,
        i: usize,
        stand: &Placement,
        pad: &Pad,
        assumed: Stiffness,
        off: f64,
    ) -> Stiffness {
        let reach = self.arm_reach(i, stand, pad.at).max(LEAST_REACH);
        Stiffness::newtons_per_metre(Self::stiffness(self.arm(i, stand), reach, assumed, off))
    }

    /// The pads as a support set in the bay, vehicle at ride height.
    pub(crate) fn support(&self, stand: &Placement, pads: &[Pad; 4]) -> Option<SupportSet> {
        self.support_of(stand, pads, ASSUMED_ARM_STIFFNESS)
    }

    /// As [`Self::support`], arms without a stiffness of their own taken as `assumed`.
    fn support_of(&self, stand: &Placement, pads: &[Pad; 4], assumed: Stiffness) -> Option<SupportSet> {
        let grip = self.grip();
        let contacts = (0..4).map(|i| {
            let (arm, area) = (self.arm(i, stand), &self.vehicle.lift_areas[pads[i].area]);
            let at = stand.to_bay(Place::<Frame>::metres(pads[i].at));
            Contact {
                at: at.at_height(area.underside),
                place_tolerance: Length::metres(self.limits.get(Name::Placing))
                    + self.vehicle.unmeasured.lift_points,
                stiffness: self.stiffness_under(i, stand, &pads[i], assumed, 0.0),
                gap: self.gaps[i],
                friction: grip,
                rated: Some(Force::newtons(self.arm_rated(arm))),
                // A seam in a slot blocks by shape as well, but nothing on file says how much it holds.
                resists: Resists::EveryDirection,
            }
        });
        SupportSet::new(contacts.collect()).ok()
    }

    pub(crate) fn body(&self, state: usize, stand: &Placement) -> Body {
        let state = &self.states[state];
        let [aft, left, up] = state.cg_tolerance.map(Length::to_metres);
        let (s, c) = stand.yaw.to_radians().sin_cos();
        Body {
            mass: state.mass.value,
            mass_tolerance: state.mass.tolerance,
            cg: stand.point_to_bay(state.cg),
            cg_tolerance: [aft * c.abs() + left * s.abs(), aft * s.abs() + left * c.abs(), up]
                .map(Length::metres),
            tilt_tolerance: statics::Angle::radians(self.limits.get(Name::Level)),
        }
    }

    /// Loads and edges in every state.
    pub(crate) fn measure_loads(
        &self,
        stand: &Placement,
        pads: &[Pad; 4],
        sides: Sides,
        out: &mut impl Sink,
    ) {
        let models = self.models(stand, pads);
        for state in 0..self.states.len() {
            self.measure_state(state, stand, pads, &models, sides, out);
        }
    }

    /// Loads and edges in one state.
    pub(crate) fn measure_state(
        &self,
        state: usize,
        stand: &Placement,
        pads: &[Pad; 4],
        models: &[Option<SupportSet>],
        sides: Sides,
        out: &mut impl Sink,
    ) {
        for model in models {
            self.measure_shares(state, stand, model.as_ref(), sides, out);
        }
        self.measure_edges(state, stand, pads, models[0].as_ref(), sides, out);
    }

    /// What pads and pairs carry in one state, arms bending in one way. `None`: pads on one line,
    /// which carry nothing that stands.
    pub(crate) fn measure_shares(
        &self,
        state: usize,
        stand: &Placement,
        model: Option<&SupportSet>,
        sides: Sides,
        out: &mut impl Sink,
    ) {
        let mut take = |piece: Piece| out.take(Piece { state: Some(state), ..piece });
        let body = self.body(state, stand);
        let bounds = model.map(|s| s.assured_loads(&body));
        let share_and_most = |pads: &[usize]| {
            bounds.as_ref().map_or((-1.0, body.mass.weight() * 2.0), |b| b.least_share_and_greatest(pads))
        };
        let row = Name::PadShare.row();
        for (i, corner) in Corner::ALL.into_iter().enumerate() {
            if sides == Sides::Left && !corner.is_left() {
                continue;
            }
            let arm = self.arm(i, stand);
            let source = if arm.rated.is_some() { ARM_RATED } else { QUARTER };
            let (least, most) = share_and_most(&[i]);
            take(self.piece(What::PadRating(corner), most.to_newtons(), self.arm_rated(arm), source));
            take(self.piece(What::PadCarries(corner), least, self.limits.get(row.name), row.source));
        }
        self.measure_split([share_and_most(&[0, 1]), share_and_most(&[2, 3])], take);
    }

    /// Edge distances and tip ratios in one state. Always as many, so that the search can follow each; where a pad
    /// lies inside the others the edge that is not there is as far as the nearest.
    pub(crate) fn measure_edges(
        &self,
        state: usize,
        stand: &Placement,
        pads: &[Pad; 4],
        model: Option<&SupportSet>,
        sides: Sides,
        out: &mut impl Sink,
    ) {
        self.each_edge(state, stand, pads, model, sides, |piece, _, _| out.take(piece));
    }

    /// Of those of them that steer: how the reserve grows for a metre that each pad moves aft and left on the vehicle.
    pub(crate) fn edge_slopes(
        &self,
        state: usize,
        stand: &Placement,
        pads: &[Pad; 4],
        model: Option<&SupportSet>,
        sides: Sides,
    ) -> Vec<[[f64; 2]; 4]> {
        let body = self.body(state, stand);
        let mut found = Vec::with_capacity(8);
        self.each_edge(state, stand, pads, model, sides, |piece, edge, height| {
            if !piece.steers() {
                return;
            }
            let mut slopes = [[0.0; 2]; 4];
            // At the most that is given it grows no more.
            let edge = edge.filter(|_| piece.reserve < RESERVE_MOST);
            if let (Some(set), Some([from, to])) = (model, edge) {
                let required = if piece.limit > 0.0 { piece.limit } else { 1.0 };
                for (contact, slope) in [from, to].into_iter().zip(set.edge_slopes(&body, from, to)) {
                    slopes[contact] = stand.direction_to_vehicle(slope).map(|v| v / (required * height));
                }
            }
            found.push(slopes);
        });
        found
    }

    /// Tells of each piece the pads of its edge, and by what the assured distance of that is divided.
    fn each_edge(
        &self,
        state: usize,
        stand: &Placement,
        pads: &[Pad; 4],
        model: Option<&SupportSet>,
        sides: Sides,
        mut tell: impl FnMut(Piece, Option<[usize; 2]>, f64),
    ) {
        let body = self.body(state, stand);
        let stability = model.map(|s| s.stability(&body));
        let undersides = pads.map(|p| self.vehicle.lift_areas[p.area].underside.to_metres());
        let above = body.cg.z() + body.cg_tolerance[2] - Length::metres(undersides.iter().sum::<f64>() / 4.0);
        let [row, tip] = [Name::EdgeDistance.row(), Name::TipRatio.row()];
        for (a, b) in [(0, 1), (1, 3), (3, 2), (2, 0)] {
            if sides == Sides::Left && (a, b) == (1, 3) {
                continue;
            }
            let edge = stability.as_ref().and_then(|s| {
                let own = s.edges.iter().find(|e| (e.from, e.to) == (a, b) || (e.from, e.to) == (b, a));
                let nearest =
                    || s.edges.iter().min_by(|e, f| e.assured.to_metres().total_cmp(&f.assured.to_metres()));
                own.or_else(nearest)
            });
            let (assured, pads) =
                (edge.map_or(-1.0, |e| e.assured.to_metres()), edge.map(|e| [e.from, e.to]));
            let what = What::EdgeDistance(Corner::ALL[a], Corner::ALL[b]);
            let piece = self.piece(what, assured, self.limits.get(row.name), row.source);
            tell(Piece { state: Some(state), ..piece }, pads, 1.0);
            // A centre that is not above the pads hangs: nothing tips it.
            if above > Length::ZERO {
                let above = above.to_metres();
                let piece =
                    self.piece(What::TipRatio, assured / above, self.limits.get(tip.name), tip.source);
                tell(Piece { state: Some(state), ..piece }, pads, above);
            }
        }
    }

    /// The pads as support sets, one for each way in which arms may bend, in the order of [`Self::bends`]: by the cube of
    /// their reach, as stated or assumed, where that may be off one diagonal at its stiffest and the other at its softest;
    /// and where it had to be assumed, not at all.
    pub(crate) fn models(&self, stand: &Placement, pads: &[Pad; 4]) -> Vec<Option<SupportSet>> {
        let Some(as_stated) = self.support_of(stand, pads, ASSUMED_ARM_STIFFNESS_LEAST) else {
            return vec![None; self.ways()];
        };
        let bending = |off: [f64; 4]| {
            let under =
                |i: usize| self.stiffness_under(i, stand, &pads[i], ASSUMED_ARM_STIFFNESS_LEAST, off[i]);
            let set = as_stated.with_stiffness(|i, _| under(i));
            set.contacts().iter().all(|c| c.stiffness > Stiffness::ZERO).then_some(set)
        };
        let rigid =
            self.stiffness_assumed().then(|| Some(as_stated.with_stiffness(|_, _| ASSUMED_PAD_STIFFNESS)));
        let mut models = Vec::with_capacity(self.ways());
        match self.ends_of_doubt(Some(&as_stated)) {
            Some(ends) => models.extend(ends.map(bending)),
            None => models.push(Some(as_stated)),
        }
        models.extend(rigid);
        models
    }

    /// Where some stiffness may be off: by how many of its tolerances each is, at the two ends that bound loads.
    fn ends_of_doubt(&self, set: Option<&SupportSet>) -> Option<[[f64; 4]; 2]> {
        let diagonal = || set.and_then(SupportSet::diagonal).unwrap_or_default();
        self.stiffness_in_doubt().then(|| {
            let off = diagonal().map(|on| if on { 1.0 } else { -1.0 });
            [off, off.map(|off: f64| -off)]
        })
    }

    /// How the arms bend in each of [`Self::models`].
    pub(crate) fn bends(&self, stand: &Placement, pads: &[Pad; 4]) -> Vec<Bend> {
        let ends = self.ends_of_doubt(self.support(stand, pads).as_ref());
        let bending = ends.map_or_else(|| vec![[0.0; 4]], Vec::from);
        let rigid = self.stiffness_assumed().then_some(Bend::NotAtAll);
        bending.into_iter().map(Bend::ByReach).chain(rigid).collect()
    }

    /// No setup at all leaves more: the pads' greatest loads add up to no less than the greatest weight, so they
    /// cannot all be farther below their ratings than it is below the sum of those; the two pairs likewise.
    pub(crate) fn most_by_weight(&self) -> f64 {
        let heaviest = |s: &State| s.mass.greatest().weight().to_newtons();
        let heaviest = self.states.iter().map(heaviest).fold(0.0, f64::max);
        let by_pads: f64 = self.lift.arms.iter().map(|arm| self.arm_rated(arm)).sum();
        let by_pairs = 2.0 * self.lift.rated.weight().to_newtons() * self.limits.get(self.pair_share().name);
        let holds =
            |what: What, most: f64| if self.asks(what) { at_most(heaviest, most) } else { RESERVE_MOST };
        let pairs = self.lift.permitted_front_share.is_none();
        let pairs = pairs.then(|| holds(What::PairRating { front: true }, by_pairs));
        holds(What::PadRating(Corner::FrontLeft), by_pads).min(pairs.unwrap_or(RESERVE_MOST))
    }

    /// The greatest share of the rated load on one pair of pads.
    fn pair_share(&self) -> &'static Limit {
        if self.is_small_lift() { Name::PairShareSmall.row() } else { Name::PairShareLarge.row() }
    }

    /// Front and rear pair, each its least share and greatest load: the maker's split where given,
    /// else the rule of 3:2 or 3:1.
    fn measure_split(&self, pairs: [(f64, Force); 2], mut take: impl FnMut(Piece)) {
        let [(front, front_most), (rear, rear_most)] = pairs;
        if let Some((least, greatest)) = self.lift.permitted_front_share {
            let source = "the lift maker's permitted split";
            take(self.piece(What::ShareLeast, front, least, source));
            take(self.piece(What::ShareMost, 1.0 - rear, greatest, source));
            return;
        }
        let row = self.pair_share();
        let share = self.limits.get(row.name);
        let rated = self.lift.rated.weight().to_newtons() * share;
        for (front, most) in [(true, front_most), (false, rear_most)] {
            take(self.piece(What::PairRating { front }, most.to_newtons(), rated, row.source));
        }
        // One piece an end: the heavier changes where they are alike.
        for lighter in [front, rear] {
            let mut rule = self.piece(What::SplitRule, 1.0 - lighter, share, row.source);
            rule.binding &= self.lift.split_rule_binds;
            take(rule);
        }
    }

    /// What no setup can change.
    pub(crate) fn measure_fixed(&self, heights: &Heights, out: &mut impl Sink) {
        self.measure_capacity(out);
        if let (Some(headroom), Some(lock)) = (self.lift.headroom, self.lift.rise.locks.first()) {
            let room = headroom - self.roof_at(*lock, heights);
            let row = Name::RoofAir.row();
            out.take(self.piece(What::Ceiling, room.to_metres(), self.limits.get(row.name), row.source));
        }
    }

    /// The heaviest state against the lift's plate.
    pub(crate) fn measure_capacity(&self, out: &mut impl Sink) {
        let heaviest = self.states.iter().map(|s| s.mass.greatest().to_kilograms()).fold(0.0, f64::max);
        let source = "MIOSHA Part 72 R 408.17251: not above the load on the plate";
        out.take(self.piece(What::Capacity, heaviest, self.lift.rated.to_kilograms(), source));
    }

    /// Carriage rise at which the last pad touches, as soon as may be: where nobody measured the undersides, pads are screwed up
    /// to touch before raising.
    pub(crate) fn touch_at_soonest(&self, heights: &Heights) -> Length {
        let all = heights.all_touch();
        if self.vehicle.unmeasured.undersides > Length::ZERO { all.min(Length::ZERO) } else { all }
    }

    /// Height of the highest point, at the most, when the carriages have risen by `rise`.
    pub(crate) fn roof_at(&self, rise: Length, heights: &Heights) -> Length {
        let highest =
            self.job.opened_height.map_or(self.vehicle.outline.roof, |h| h.max(self.vehicle.outline.roof));
        highest + (rise - self.touch_at_soonest(heights)).max(Length::ZERO)
    }

    /// Every check of a setup.
    pub(crate) fn measure(&self, stand: &Placement, pads: &[Pad; 4], heights: &Heights) -> Vec<Piece> {
        let mut out = self.measure_at_rest(stand, pads, heights);
        self.measure_pushes(stand, pads, &mut out);
        self.measure_fixed(heights, &mut out);
        out
    }

    /// The checks that a setup can change, before anybody pushes: in a small part of the time.
    pub(crate) fn measure_at_rest(
        &self,
        stand: &Placement,
        pads: &[Pad; 4],
        heights: &Heights,
    ) -> Vec<Piece> {
        let mut out = Vec::with_capacity(96);
        self.measure_stand(stand, &mut out);
        for (i, pad) in pads.iter().enumerate() {
            self.measure_pad(i, stand, *pad, None, &mut out);
        }
        self.measure_arms(stand, pads, Sides::Both, &mut out);
        self.measure_heights(stand, pads, heights, &mut out);
        self.measure_loads(stand, pads, Sides::Both, &mut out);
        out
    }
}

/// An angle brought into (-pi, pi].
pub(crate) fn wrapped(angle: f64) -> f64 {
    if angle.abs() < core::f64::consts::PI {
        return angle;
    }
    let turn = angle.rem_euclid(core::f64::consts::TAU);
    if turn > core::f64::consts::PI { turn - core::f64::consts::TAU } else { turn }
}
