//! What measured vehicles say of one that was not measured: median and central 98 % range; and where
//! nobody measured, a project default with a wide one.

use core::ops::Mul;

use statics::Length;

use crate::measured::{Basis, Measured};
use crate::vehicle::{BodyClass, Drive};

/// Half-width of the central 98 % of a normal distribution, in standard deviations.
const CENTRAL_98: f64 = 2.326;

/// Front axle's share of the weight, unladen.
///
/// Medians and standard deviations of measured vehicles by class and driven axle; range =
/// median +- 2.326 sd. Widened where the data are thin: cars driven at the rear or at all wheels, of
/// which one was measured (0.547), and battery vehicles, of which none was.
#[must_use]
pub fn front_share(class: BodyClass, drive: Drive) -> Measured<f64> {
    let (median, sd, source) = match (class, drive) {
        (_, Drive::Battery) => (
            0.5830,
            0.0372,
            "prior: NHTSA, 163 measured vehicles of all classes, none a modern battery vehicle",
        ),
        (BodyClass::Pickup, _) => (0.5853, 0.0160, "prior: NHTSA, 20 measured pickups"),
        (BodyClass::Suv, _) => (0.5452, 0.0217, "prior: NHTSA, 53 measured SUVs"),
        (BodyClass::Minivan | BodyClass::Van, _) => (0.5799, 0.0257, "prior: NHTSA, 22 measured vans"),
        (_, Drive::Rear) => (
            0.5333,
            0.0300,
            "prior: NHTSA NCAP 2004, 10 measured rear-driven vehicles, none a car: widened, project default",
        ),
        (_, Drive::All) => (
            0.5900,
            0.0350,
            "prior: NHTSA, 68 measured cars, one of them driven at all wheels: widened, project default",
        ),
        (_, Drive::Front) => (0.6160, 0.0296, "prior: NHTSA, 68 measured cars"),
    };
    normal(median, sd, source)
}

/// Height of the centre of gravity of an unladen vehicle whose roof was measured: the class's share of
/// the roof height, +- 2.326 sd of that share.
#[must_use]
pub fn cg_height(class: BodyClass, drive: Drive, roof: Length) -> Measured<Length> {
    let of = of_roof(class, drive);
    normal(roof * of.mean, roof * of.sd, of.source)
}

/// The same where the roof was not measured either.
///
/// Value and standard uncertainty: the class's own median and sd. The tolerance is wider than 2.326 sd: it covers
/// any roof of the class and any share of it together, as independent. Battery vehicles were not measured class by
/// class: their share of the class's roof, that range taken as their central 98 %.
#[must_use]
pub fn cg_height_of_class(class: BodyClass, drive: Drive) -> Measured<Length> {
    let (of, roof) = (of_roof(class, drive), body(class).roof);
    let middle = roof.middle() * of.mean;
    let share = roof.middle() * (CENTRAL_98 * of.sd);
    let height = roof.half() * of.mean;
    let both = Length::metres(share.to_metres().hypot(height.to_metres()));
    if drive == Drive::Battery {
        return normal(middle, both / CENTRAL_98, of.source);
    }
    let (median, sd, source) = of_class(class);
    let tolerance = both + (median - middle).abs();
    Measured { tolerance, ..normal(median, sd, source) }
}

/// A normal distribution, its central 98 % as the tolerance.
fn normal<Q>(median: Q, sd: Q, source: &'static str) -> Measured<Q>
where
    Q: Copy + Mul<f64, Output = Q>,
{
    Measured { value: median, tolerance: sd * CENTRAL_98, uncertainty: sd, basis: Basis::Assumed(source) }
}

/// How far the centre of gravity may be off the centre plane when the wheels of the two sides were
/// not weighed apart.
#[must_use]
pub fn cg_sideways() -> Measured<Length> {
    Measured::assumed(
        Length::ZERO,
        Length::metres(0.03),
        "project default: about the mean of 26 vehicles that NHTSA measured with a driver aboard",
    )
}

struct OfRoof {
    mean: f64,
    sd: f64,
    source: &'static str,
}

/// Height of the centre of gravity over height of the roof, all years measured.
const fn of_roof(class: BodyClass, drive: Drive) -> OfRoof {
    let (mean, sd, source) = match (class, drive) {
        (_, Drive::Battery) => (0.3389, 0.0154, "prior: NHTSA, share of roof height, 9 battery vehicles"),
        (BodyClass::Sedan, _) => (0.3792, 0.0123, "prior: NHTSA, share of roof height, 291 sedans"),
        (BodyClass::Hatchback, _) => (0.3766, 0.0136, "prior: NHTSA, share of roof height, 65 hatchbacks"),
        (BodyClass::Wagon, _) => (0.3815, 0.0133, "prior: NHTSA, share of roof height, 34 wagons"),
        (BodyClass::Coupe, _) => (0.3852, 0.0154, "prior: NHTSA, share of roof height, 68 coupes"),
        (BodyClass::Convertible, _) => {
            (0.3694, 0.0103, "prior: NHTSA, share of roof height, 11 convertibles")
        }
        (BodyClass::Suv, _) => (0.3889, 0.0127, "prior: NHTSA, share of roof height, 500 SUVs"),
        (BodyClass::Pickup, _) => (0.3823, 0.0115, "prior: NHTSA, share of roof height, 197 pickups"),
        (BodyClass::Minivan, _) => (0.3803, 0.0115, "prior: NHTSA, share of roof height, 77 minivans"),
        (BodyClass::Van, _) => (0.3668, 0.0179, "prior: NHTSA, share of roof height, 27 vans"),
    };
    OfRoof { mean, sd, source }
}

/// Height of the centre of gravity, all years measured: median, standard deviation, source.
const fn of_class(class: BodyClass) -> (Length, Length, &'static str) {
    let (median, sd, source) = match class {
        BodyClass::Sedan => (0.5453, 0.0212, "prior: NHTSA, 291 sedans"),
        BodyClass::Hatchback => (0.5471, 0.0309, "prior: NHTSA, 65 hatchbacks"),
        BodyClass::Wagon => (0.5735, 0.0333, "prior: NHTSA, 34 wagons"),
        BodyClass::Coupe => (0.5317, 0.0230, "prior: NHTSA, 68 coupes"),
        BodyClass::Convertible => (0.5075, 0.0564, "prior: NHTSA, 11 convertibles"),
        BodyClass::Suv => (0.6639, 0.0394, "prior: NHTSA, 500 SUVs"),
        BodyClass::Pickup => (0.6886, 0.0586, "prior: NHTSA, 197 pickups"),
        BodyClass::Minivan => (0.6589, 0.0479, "prior: NHTSA, 77 minivans"),
        BodyClass::Van => (0.8026, 0.0824, "prior: NHTSA, 27 vans"),
    };
    (Length::metres(median), Length::metres(sd), source)
}

/// Between what a length lies.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Range {
    /// The least.
    pub least: Length,
    /// The greatest.
    pub greatest: Length,
}

impl Range {
    /// Half-way.
    #[must_use]
    pub fn middle(self) -> Length {
        (self.least + self.greatest) / 2.0
    }
    /// Half its width.
    #[must_use]
    pub fn half(self) -> Length {
        (self.greatest - self.least) / 2.0
    }
}

/// The shape of a class of bodies.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Body {
    /// Ground to roof.
    pub roof: Range,
    /// Between the wheels of an axle.
    pub track: Range,
    /// Front axle to the foremost point.
    pub front_overhang: Range,
    /// Rear axle to the rearmost point.
    pub rear_overhang: Range,
    /// Width without mirrors.
    pub width: Range,
    /// Outer diameter of the tyres.
    pub tyre_diameter: Range,
    /// Width of the tyres.
    pub tyre_width: Range,
    /// Ground to the lowest underside between the wheels.
    pub sill: Range,
    /// Ground to where a pad touches.
    pub underside: Range,
    /// How far the wheels drop.
    pub droop: Range,
}

impl Body {
    /// What a body is like that is of one of these classes; never empty.
    #[must_use]
    pub fn of_any(classes: &[BodyClass]) -> Self {
        let bodies = || classes.iter().map(|class| body(*class));
        let around = |range: fn(&Self) -> Range| {
            let join = |a: Range, b: Range| Range {
                least: if b.least < a.least { b.least } else { a.least },
                greatest: a.greatest.max(b.greatest),
            };
            bodies().map(|b| range(&b)).reduce(join).unwrap_or(range(&body(BodyClass::Sedan)))
        };
        Self {
            roof: around(|b| b.roof),
            track: around(|b| b.track),
            front_overhang: around(|b| b.front_overhang),
            rear_overhang: around(|b| b.rear_overhang),
            width: around(|b| b.width),
            tyre_diameter: around(|b| b.tyre_diameter),
            tyre_width: around(|b| b.tyre_width),
            sill: around(|b| b.sill),
            underside: around(|b| b.underside),
            droop: around(|b| b.droop),
        }
    }
}

/// Source of what may be that of several classes or driven axles.
const ANY_OF: &str = "prior: NHTSA; whichever class of body and driven axle it may be, from the least to the most of all of them";

/// One of several priors, nobody knows which: anywhere between the ends of all of them.
#[must_use]
pub fn any_of<Q>(priors: &[Measured<Q>]) -> Option<Measured<Q>>
where
    Q: Copy + PartialOrd + Mul<f64, Output = Q> + core::ops::Add<Output = Q> + core::ops::Sub<Output = Q>,
{
    let (first, others) = priors.split_first()?;
    if others.iter().all(|other| other.value == first.value && other.tolerance == first.tolerance) {
        return Some(first.clone());
    }
    let least = priors.iter().map(Measured::least).reduce(|a, b| if b < a { b } else { a })?;
    let greatest = priors.iter().map(Measured::greatest).reduce(|a, b| if b > a { b } else { a })?;
    Some(Measured::assumed((least + greatest) * 0.5, (greatest - least) * 0.5, ANY_OF))
}

/// Source of [`Body::roof`] and [`Body::track`]: mean of the class, and the wider of 2.326 sd and the
/// farthest vehicle, rounded up to 10 mm; tracks 20 mm more, as the data have the mean of both axles.
pub const MEASURED: &str = "prior: NHTSA, range of 635 measured vehicles by class, 1971 to 2021";
/// Source of the rest: no data.
pub const NO_DATA: &str = "project default by class of body, no data";

/// How far a mirror sticks out on each side, at most; no data, project default.
pub const MIRROR: Range = Range { least: Length::ZERO, greatest: Length::metres(0.25) };

const fn mm([least, greatest]: [f64; 2]) -> Range {
    Range { least: Length::metres(least / 1000.0), greatest: Length::metres(greatest / 1000.0) }
}

macro_rules! bodies {
    ($($class:ident $roof:tt $track:tt $front:tt $rear:tt $width:tt $diameter:tt $tyre:tt $sill:tt $underside:tt $droop:tt;)*) => {
        /// What a body of that class is like. Rows in mm: see the fields of [`Body`], in their order.
        #[must_use]
        pub const fn body(class: BodyClass) -> Body {
            match class {
                $(BodyClass::$class => Body {
                    roof: mm($roof), track: mm($track), front_overhang: mm($front), rear_overhang: mm($rear),
                    width: mm($width), tyre_diameter: mm($diameter), tyre_width: mm($tyre), sill: mm($sill),
                    underside: mm($underside), droop: mm($droop),
                },)*
            }
        }
    };
}

bodies! {
    //          roof           track          front ov.     rear ov.      width          tyre dia.   tyre w.     sill        underside   droop
    Sedan       [1220., 1660.] [1340., 1720.] [700., 1100.] [800., 1350.] [1600., 1950.] [560., 740.] [155., 285.] [120., 230.] [130., 260.] [40., 160.];
    Hatchback   [1240., 1660.] [1250., 1670.] [600., 1000.] [400., 1000.] [1500., 1900.] [540., 710.] [145., 255.] [120., 230.] [130., 260.] [40., 160.];
    Wagon       [1300., 1680.] [1360., 1620.] [700., 1100.] [750., 1300.] [1600., 1950.] [560., 740.] [155., 285.] [120., 240.] [130., 270.] [40., 160.];
    Coupe       [1240., 1520.] [1280., 1700.] [650., 1150.] [600., 1250.] [1550., 2000.] [560., 740.] [155., 335.] [100., 220.] [110., 250.] [30., 150.];
    Convertible [1000., 1780.] [1350., 1650.] [650., 1150.] [600., 1250.] [1550., 2000.] [540., 740.] [155., 335.] [100., 220.] [110., 250.] [30., 150.];
    Suv         [1430., 2010.] [1280., 1880.] [600., 1100.] [500., 1300.] [1550., 2100.] [620., 880.] [185., 330.] [140., 420.] [150., 480.] [50., 220.];
    Pickup      [1410., 2130.] [1270., 1910.] [650., 1150.] [800., 1700.] [1600., 2150.] [600., 920.] [175., 335.] [160., 520.] [170., 580.] [50., 260.];
    Minivan     [1500., 2060.] [1390., 1850.] [700., 1150.] [700., 1350.] [1600., 2100.] [580., 760.] [165., 270.] [120., 260.] [130., 300.] [40., 180.];
    Van         [1560., 2940.] [1550., 1890.] [650., 1200.] [700., 2000.] [1600., 2200.] [580., 820.] [165., 280.] [140., 380.] [150., 420.] [40., 200.];
}
