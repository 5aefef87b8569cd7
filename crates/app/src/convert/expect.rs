//! What is usual: plausible ranges for warnings and tolerances where none is stated.
//!
//! The ranges never decide whether a plan passes. Lift geometry: common practice, no source, widened.

/// Which signs are legal.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(crate) enum Sign {
    Positive,
    NotNegative,
    Any,
}

impl Sign {
    /// Whether a value has a sign that it must not have.
    pub(crate) fn forbids(self, si: f64) -> bool {
        match self {
            Self::Positive => si <= 0.0,
            Self::NotNegative => si < 0.0,
            Self::Any => false,
        }
    }
}

/// What is expected of a value; SI.
#[derive(Clone, Copy, Debug)]
pub(crate) struct Expect {
    pub(crate) what: &'static str,
    pub(crate) sign: Sign,
    pub(crate) plausible: (f64, f64),
    /// Outside it no such thing exists, however odd; wider than `plausible`.
    pub(crate) possible: (f64, f64),
    /// Without lengths or masses: it is told in whatever units are asked for.
    pub(crate) source: &'static str,
}

/// No bound but that of a slip of the pen.
pub(crate) const ANY: (f64, f64) = (f64::NEG_INFINITY, f64::INFINITY);

/// So many times more than the most that is usual is a slip of the pen; project default.
const ABSURD: f64 = 10.0;
/// The same for a rating: with a digit too many it would pass whatever stands on the lift.
const ABSURD_RATING: f64 = 3.0;
/// So much of the least that is usual is millimetres for metres or kilograms for tonnes; project default.
const ABSURDLY_LITTLE: f64 = 0.01;

impl Expect {
    /// Whether there may be such a thing, odd or not.
    pub(crate) fn may_be(&self, si: f64) -> bool {
        !self.sign.forbids(si) && !self.cannot_be(si)
    }

    /// Whether a value is no odd one, but a slip of the pen.
    pub(crate) fn cannot_be(&self, si: f64) -> bool {
        let (least, most) = self.plausible;
        let times = if self.what.starts_with("rated") { ABSURD_RATING } else { ABSURD };
        let little = self.sign == Sign::Positive && si < ABSURDLY_LITTLE * least;
        let (lowest, highest) = self.possible;
        little || !(lowest..=highest).contains(&si) || si.abs() > times * least.abs().max(most.abs())
    }
}

/// How far a value may be off when the file does not say: a fixed size plus a share of the value.
#[derive(Clone, Copy, Debug)]
pub(crate) struct Default {
    pub(crate) fixed: f64,
    pub(crate) share: f64,
    /// Without lengths or masses: it is told in whatever units are asked for.
    pub(crate) source: &'static str,
}

/// The source of a value that is said to be a guess.
pub(crate) const GUESS: &str =
    "a guess; how far off: 10 %, and no less than where nothing is stated, project default";

pub(crate) const BY_TAPE: Default = Default {
    fixed: 0.005,
    share: 0.0,
    source: "value as given; how far off not stated: as by a common tape, project default",
};
pub(crate) const BY_SCALE: Default = Default {
    fixed: 0.0,
    share: 0.01,
    source: "value as given; how far off not stated: 1 %, project default",
};
pub(crate) const BY_PAPERS: Default = Default {
    fixed: 0.0,
    share: 0.05,
    source: "value as given; how far off not stated: 5 %, as for a figure from the papers, project default",
};
pub(crate) const OF_CG_HEIGHT: Default = Default {
    fixed: 0.025,
    share: 0.0,
    source: "value as given; how far off not stated: as of a height from the papers, project default",
};
pub(crate) const OF_DROOP: Default = Default {
    fixed: 0.020,
    share: 0.0,
    source: "value as given; how far off not stated: as measured at one wheel, project default",
};
pub(crate) const OF_SHARE: Default = Default {
    fixed: 0.02,
    share: 0.0,
    source: "value as given; how far off not stated: 2 %, project default",
};
pub(crate) const OF_PART: Default = Default {
    fixed: 0.0,
    share: 0.05,
    source: "value as given; how far off not stated: 5 %, project default",
};

/// Of the place of a part's centre: in plan, and its height.
pub(crate) const OF_PLACE: Default = Default {
    fixed: 0.03,
    share: 0.0,
    source: "value as given; how far off along or across not stated: project default",
};
pub(crate) const OF_PLACE_UP: Default = Default {
    fixed: 0.0,
    share: 0.1,
    source: "value as given; how far off not stated: a tenth of it, project default",
};

/// Of where a force bears: a job names a place to look at, and one that is off is said to be.
pub(crate) const OF_FORCE_PLACE: Default =
    Default { fixed: 0.0, share: 0.0, source: "value as given, project default" };
pub(crate) const OF_FORCE: Default = Default {
    fixed: 0.0,
    share: 0.2,
    source: "value as given; how far off not stated: 20 %, project default",
};
pub(crate) const OF_STIFFNESS: Default = Default {
    fixed: 0.0,
    share: planner::situation::ASSUMED_ARMS_DIFFER,
    source: "value as given; how far off not stated: 10 %, each arm by itself, project default",
};
pub(crate) const OF_STATURE: Default = Default {
    fixed: 0.01,
    share: 0.0,
    source: "value as given; how far off not stated: as of a stature that is told, project default",
};

pub(crate) const PRACTICE: &str = "common practice, no source";
const SOLD: &str = "bodies sold 1981-2025, p1 to p99, Canadian Vehicle Specifications, Transport Canada";

const fn positive(what: &'static str, least: f64, most: f64) -> Expect {
    Expect { what, sign: Sign::Positive, plausible: (least, most), possible: ANY, source: PRACTICE }
}

const fn any(what: &'static str, least: f64, most: f64) -> Expect {
    Expect { what, sign: Sign::Any, plausible: (least, most), possible: ANY, source: PRACTICE }
}

impl Expect {
    /// The same, with a range outside which no such thing exists.
    const fn within(self, least: f64, most: f64) -> Self {
        Self { possible: (least, most), ..self }
    }
}

const fn not_negative(what: &'static str, most: f64) -> Expect {
    Expect { what, sign: Sign::NotNegative, plausible: (0.0, most), possible: ANY, source: PRACTICE }
}

/// Degrees in radians.
pub(crate) const fn degrees(value: f64) -> f64 {
    value.to_radians()
}

// The lift.
pub(crate) const RATED: Expect = positive("rated", 2000.0, 9100.0);
pub(crate) const ARM_RATED: Expect = positive("rated (arm)", 400.0, 2500.0);
pub(crate) const HEADROOM: Expect = positive("headroom", 2.5, 12.0);
pub(crate) const INSIDE: Expect = positive("inside", 2.3, 3.5);
pub(crate) const FRONT_FACE: Expect = not_negative("front_face_ahead", 0.5);
pub(crate) const REAR_FACE: Expect = not_negative("rear_face_behind", 0.5);
pub(crate) const BAY: Expect = positive("bay", 1.5, 15.0);
pub(crate) const PIVOT: Expect = any("pivot", -0.6, 0.6);
pub(crate) const PIVOT_OUT: Expect = positive("pivot_out", 0.9, 1.8);
pub(crate) const REACH_IN: Expect = positive("reach_in", 0.4, 1.2);
pub(crate) const REACH_OUT: Expect = positive("reach_out", 0.7, 2.0);
pub(crate) const SWING: Expect = any("swing", degrees(-35.0), degrees(180.0));
pub(crate) const BEAM_WIDTH: Expect = positive("beam_width", 0.05, 0.25);
pub(crate) const BEAM_TOP: Expect = positive("beam_top", 0.05, 0.25);
pub(crate) const STIFFNESS: Expect = positive("stiffness_out", 50e3, 5e6);
pub(crate) const PAD_DIAMETER: Expect = positive("diameter", 0.08, 0.20);
pub(crate) const PAD_LOWEST: Expect = positive("lowest", 0.08, 0.16);
pub(crate) const PAD_TRAVEL: Expect = not_negative("travel", 0.15);
pub(crate) const ADAPTER: Expect = positive("height (adapter)", 0.03, 0.25);
pub(crate) const LOCK: Expect = positive("locks", 0.05, 2.3);
pub(crate) const RISE_MOST: Expect = positive("most", 1.2, 2.3);
pub(crate) const WHEEL_TOLERANCE: Expect = positive("wheel_tolerance", 0.005, 0.10);
pub(crate) const FRONT_WHEEL: Expect = any("front_wheel", -1.5, 2.5);
pub(crate) const BAND: Expect = positive("wheelbase (band)", 1.5, 5.0);

// Quick entry.
pub(crate) const POINT_LEFT: Expect = positive("--lift-points (left of centre)", 0.25, 1.0);

// The vehicle.
// Longest, widest, highest: 12 m, 2.6 m and 4 m (Council Directive 96/53/EC, annex I, from memory), with room for the load
// of a roof; the least are derived: a light four-wheeler with room below.
pub(crate) const WHEELBASE: Expect = Expect {
    what: "wheelbase",
    sign: Sign::Positive,
    plausible: (2.27, 4.28),
    possible: (1.2, 8.0),
    source: SOLD,
};
pub(crate) const OVERALL: Expect = positive("length", 2.5, 7.5).within(1.8, 12.0);
pub(crate) const OVERHANG: Expect = positive("front_overhang", 0.4, 1.3);
pub(crate) const WIDTH: Expect = positive("width", 1.4, 2.3).within(0.9, 2.6);
pub(crate) const ROOF: Expect = positive("roof", 1.0, 3.2).within(0.8, 4.5);
pub(crate) const MIRROR_WIDTH: Expect = positive("mirror_width", 1.6, 2.8);
pub(crate) const MIRROR_AFT: Expect = any("mirror_aft", -0.5, 1.5);
pub(crate) const TRACK: Expect = positive("track", 1.2, 2.0);
pub(crate) const TYRE_DIAMETER: Expect = positive("tyre_diameter", 0.45, 0.95);
pub(crate) const TYRE_WIDTH: Expect = positive("tyre_width", 0.12, 0.40);
// Lightest: a light four-wheeler (L6e and L7e to 425 kg and 450 kg, Regulation (EU) 168/2013, from memory), with
// room below; heaviest: N2, to 12 t (Regulation (EU) 2018/858). An axle a third of it at the least, a wheel half of that.
pub(crate) const VEHICLE_MASS: Expect = positive("total", 500.0, 6000.0).within(250.0, 12_000.0);
pub(crate) const AXLE_MASS: Expect = positive("axle", 250.0, 4000.0).within(80.0, 9_000.0);
pub(crate) const WHEEL_MASS: Expect = positive("wheel", 100.0, 2000.0).within(40.0, 4_500.0);
pub(crate) const FRONT_SHARE: Expect = positive("front_share", 0.35, 0.68);
// Farther off no vehicle stands on both axles; from memory.
pub(crate) const FRONT_SHARE_BY_PAPERS: Expect = FRONT_SHARE.within(0.1, 0.9);
pub(crate) const CG_HEIGHT: Expect = positive("cg_height", 0.35, 1.2);
pub(crate) const SILL: Expect = positive("sill_height", 0.09, 0.60);
pub(crate) const DROOP: Expect = not_negative("droop", 0.30);
pub(crate) const UNDERSIDE: Expect = positive("underside", 0.09, 0.90);
pub(crate) const DOOR_LENGTH: Expect = positive("length (door)", 0.6, 1.6);
pub(crate) const DOOR_OPENS: Expect = positive("opens", degrees(15.0), degrees(100.0));
pub(crate) const PART_MASS: Expect = positive("mass", 0.5, 2500.0);
// Highest: the tallest roof and a hatch of 1.8 m straight up; derived.
pub(crate) const OPENED: Expect = positive("opened_height", 1.0, 3.5).within(0.8, 5.0);
pub(crate) const PART_UP: Expect = positive("at (above the ground)", 0.1, 2.5);

// No vehicle with two axles is longer than 12 m or wider than 2.6 m (96/53/EC, from memory); and an arm's reach beyond it.
pub(crate) const AFT: Expect = any("behind the front axle", -1.5, 6.0).within(-6.0, 13.0);
pub(crate) const LEFT: Expect = any("left of centre", -1.3, 1.3).within(-2.3, 2.3);

// Work on it.
pub(crate) const WORK_FORCE: Expect = positive("size (force)", 20.0, 5000.0);
pub(crate) const BAR: Expect = any("bar (to the hand)", 0.0, 1.5).within(0.0, 3.0);
pub(crate) const STATURE: Expect = Expect {
    what: "stature",
    sign: Sign::Positive,
    plausible: (1.40, 2.10),
    // Mean of women less 6.5 standard deviations, mean of men and 8.
    possible: (1.20, 2.30),
    source: "ANSUR II (2012): p1 of women to p99 of men, widened",
};
pub(crate) const STAND_RATED: Expect = positive("rated (stand)", 500.0, 8000.0);
pub(crate) const STAND_HEIGHT: Expect = positive("height (stand)", 0.3, 2.5);

// As placed.
pub(crate) const SPOT: Expect = any("spot", -3.5, 3.5);
pub(crate) const OFFSET: Expect = any("offset", -0.3, 0.3);
pub(crate) const YAW: Expect = any("yaw", degrees(-10.0), degrees(10.0));
pub(crate) const PAD_HEIGHT: Expect = positive("height (pad)", 0.08, 0.6);

/// The expectation of a key, where the key alone tells its sign.
pub(crate) fn of_key(key: &str) -> Option<&'static Expect> {
    ALL.iter().copied().find(|e| e.what == key)
}

const ALL: &[&Expect] = &[
    &RATED,
    &ARM_RATED,
    &HEADROOM,
    &INSIDE,
    &FRONT_FACE,
    &REAR_FACE,
    &BAY,
    &PIVOT,
    &PIVOT_OUT,
    &REACH_IN,
    &REACH_OUT,
    &SWING,
    &BEAM_WIDTH,
    &BEAM_TOP,
    &STIFFNESS,
    &PAD_DIAMETER,
    &PAD_LOWEST,
    &PAD_TRAVEL,
    &ADAPTER,
    &LOCK,
    &RISE_MOST,
    &WHEEL_TOLERANCE,
    &FRONT_WHEEL,
    &BAND,
    &WHEELBASE,
    &OVERALL,
    &OVERHANG,
    &WIDTH,
    &ROOF,
    &MIRROR_WIDTH,
    &MIRROR_AFT,
    &TRACK,
    &TYRE_DIAMETER,
    &TYRE_WIDTH,
    &VEHICLE_MASS,
    &AXLE_MASS,
    &WHEEL_MASS,
    &FRONT_SHARE,
    &CG_HEIGHT,
    &SILL,
    &DROOP,
    &UNDERSIDE,
    &DOOR_LENGTH,
    &DOOR_OPENS,
    &PART_MASS,
    &OPENED,
    &SPOT,
    &OFFSET,
    &YAW,
    &PAD_HEIGHT,
];
