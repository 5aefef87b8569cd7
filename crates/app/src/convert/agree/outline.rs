//! The outline of a vehicle as it was written, and what lies outside it.

use super::{Figure, TAPE, metres, si};
use crate::convert::expect;
use crate::convert::region::region;
use crate::input::{At, Problems, Text};
use crate::wire::region::{Place, Strip};
use crate::wire::vehicle as wire;
use planner::{Region, Vehicle};
use statics::Length;
use std::ops::Range;

/// Figures of the outline that can be read.
pub(super) struct Outline<'a> {
    pub(super) length: Option<Figure<'a>>,
    pub(super) front_overhang: Option<Figure<'a>>,
    pub(super) width: Option<Figure<'a>>,
    pub(super) roof: Option<Figure<'a>>,
    pub(super) wheelbase: Option<Figure<'a>>,
}

/// An area as it was written: its corners in metres, and its place in the file.
pub(super) struct Area {
    pub(super) corners: Vec<[f64; 2]>,
    pub(super) span: Range<usize>,
}

impl Area {
    /// Of a lifting area, which may be a point.
    pub(super) fn of_lifting(item: &At<wire::LiftArea>) -> Option<Self> {
        let area = &item.value;
        match &area.at {
            Some(at) => {
                Some(Self { corners: vec![[si(&at.value[0])?, si(&at.value[1])?]], span: at.span.clone() })
            }
            None => Self::of(area.corners.as_ref(), area.strip.as_ref(), &item.span),
        }
    }

    /// `None` if it is no area, which is said elsewhere.
    pub(super) fn of(
        corners: Option<&At<Vec<Place>>>,
        strip: Option<&At<Strip>>,
        whole: &Range<usize>,
    ) -> Option<Self> {
        let (region, span): (Region, _) = region(corners, strip, whole, &mut Problems::default())?;
        Some(Self { corners: region.corners().iter().map(|c| c.to_metres()).collect(), span })
    }

    /// Half-way between its foremost and its rearmost corner, behind the front axle.
    pub(super) fn middle(&self) -> f64 {
        let aft = || self.corners.iter().map(|c| c[0]);
        f64::midpoint(aft().fold(f64::INFINITY, f64::min), aft().fold(f64::NEG_INFINITY, f64::max))
    }
}

/// In what way something lies outside the vehicle, and the figure that says so.
pub(super) struct Outside<'a> {
    pub(super) how: String,
    pub(super) figure: &'a Figure<'a>,
}

impl<'a> Outline<'a> {
    pub(super) fn of(file: &'a wire::Vehicle) -> Self {
        let o = &file.outline;
        let (name, wheelbase) = match (&file.wheelbase, &file.wheelbase_right) {
            (Some(one), _) => ("wheelbase", Some(one)),
            (None, right) => ("wheelbase_right", right.as_ref()),
        };
        Self {
            length: Figure::if_given("length", o.length.as_ref(), &expect::OVERALL),
            front_overhang: Figure::if_given("front_overhang", o.front_overhang.as_ref(), &expect::OVERHANG),
            width: Figure::if_given("width", o.width.as_ref(), &expect::WIDTH),
            roof: Figure::if_given("roof", o.roof.as_ref(), &expect::ROOF),
            wheelbase: wheelbase.and_then(|text| Figure::of(name, text, &expect::WHEELBASE)),
        }
    }

    /// Of a vehicle whose file was read already.
    pub(super) fn of_vehicle(vehicle: &Vehicle) -> Self {
        let (o, base) = (&vehicle.outline, vehicle.wheelbase.value);
        let length = o.front_overhang + base + o.rear_overhang;
        let read = |name, length, expect| Some(Figure::elsewhere(name, length, expect));
        Self {
            length: read("length", length, &expect::OVERALL),
            front_overhang: read("front_overhang", o.front_overhang, &expect::OVERHANG),
            width: read("width", o.width, &expect::WIDTH),
            roof: read("the roof", o.roof, &expect::ROOF),
            wheelbase: read("wheelbase", base, &expect::WHEELBASE),
        }
    }

    /// Length less front overhang: the rearmost point, behind the front axle.
    pub(super) fn rearmost(&self) -> Option<f64> {
        Some(self.length.as_ref()?.si - self.front_overhang.as_ref()?.si)
    }

    /// What the length leaves behind the rear axle.
    pub(super) fn rear_overhang(&self) -> Option<f64> {
        Some(self.rearmost()? - self.wheelbase.as_ref()?.si)
    }

    /// In what way a point lies outside along the vehicle.
    pub(super) fn beyond_the_ends(&self, aft: f64) -> Option<Outside<'_>> {
        let ahead = self.front_overhang.as_ref().filter(|f| -aft > f.si + TAPE);
        if let Some(figure) = ahead {
            let how =
                format!("{} ahead of the front axle, and front_overhang is {:?}", metres(-aft), figure.text);
            return Some(Outside { how, figure });
        }
        let (rearmost, figure) = (self.rearmost()?, self.length.as_ref()?);
        (aft > rearmost + TAPE).then(|| {
            let how = format!(
                "{} behind the front axle, and the vehicle ends {} behind it (length less front_overhang)",
                metres(aft),
                metres(rearmost)
            );
            Outside { how, figure }
        })
    }

    /// In what way a point lies outside across the vehicle.
    pub(super) fn beside(&self, left: f64) -> Option<Outside<'_>> {
        let figure = self.width.as_ref().filter(|w| left.abs() > w.si / 2.0 + TAPE)?;
        let side = if left > 0.0 { "left" } else { "right" };
        let how = format!(
            "{} {side} of centre, and the vehicle ends at {} (half of width)",
            metres(left.abs()),
            metres(figure.si / 2.0)
        );
        Some(Outside { how, figure })
    }

    /// An error at the figure that is odd, or else at the place.
    pub(super) fn say(
        outside: &Outside<'_>,
        what: &str,
        span: &Range<usize>,
        help: &str,
        problems: &mut Problems,
    ) {
        let span = outside.figure.span_if_odd().unwrap_or(span);
        problems.error(span.clone(), format!("{what} lies {}", outside.how), help);
    }

    /// An error if a place lies outside in plan.
    pub(super) fn holds(&self, what: &str, place: [&Text<Length>; 2], help: &str, problems: &mut Problems) {
        if let Some(outside) = si(place[0]).and_then(|aft| self.beyond_the_ends(aft)) {
            Self::say(&outside, what, &place[0].span, help, problems);
        }
        if let Some(outside) = si(place[1]).and_then(|left| self.beside(left)) {
            Self::say(&outside, what, &place[1].span, help, problems);
        }
    }
}
