//! Physical quantities. Inside they are SI; the constructor and the reader name the unit.

use core::iter::Sum;
use core::ops::{Add, AddAssign, Div, Mul, Neg, Sub, SubAssign};

/// Standard acceleration of free fall, m/s2 (CGPM 1901; NIST SP 811).
pub const STANDARD_GRAVITY: f64 = 9.806_65;
/// Metres in an inch, exact (NIST SP 811).
pub const INCH: f64 = 0.0254;
/// Kilograms in a pound, exact (NIST SP 811).
pub const POUND: f64 = 0.453_592_37;
/// Newtons in a pound-force, exact (NIST SP 811: pound times standard gravity).
pub const POUND_FORCE: f64 = 4.448_221_615_260_5;

macro_rules! quantity {
    ($(#[$doc:meta])* $name:ident, $from:ident, $to:ident) => {
        $(#[$doc])*
        #[derive(Clone, Copy, Debug, Default, PartialEq, PartialOrd)]
        pub struct $name(f64);

        impl $name {
            /// Nothing of it.
            pub const ZERO: Self = Self(0.0);
            /// From the SI unit.
            #[must_use]
            pub const fn $from(value: f64) -> Self { Self(value) }
            /// In the SI unit.
            #[must_use]
            pub const fn $to(self) -> f64 { self.0 }
            /// The size without the sign.
            #[must_use]
            pub const fn abs(self) -> Self { Self(self.0.abs()) }
            /// The smaller of two.
            #[must_use]
            pub const fn min(self, other: Self) -> Self { Self(self.0.min(other.0)) }
            /// The larger of two.
            #[must_use]
            pub const fn max(self, other: Self) -> Self { Self(self.0.max(other.0)) }
            /// Neither NaN nor infinite.
            #[must_use]
            pub const fn is_finite(self) -> bool { self.0.is_finite() }
        }
        impl Add for $name { type Output = Self; fn add(self, o: Self) -> Self { Self(self.0 + o.0) } }
        impl Sub for $name { type Output = Self; fn sub(self, o: Self) -> Self { Self(self.0 - o.0) } }
        impl AddAssign for $name { fn add_assign(&mut self, o: Self) { self.0 += o.0; } }
        impl SubAssign for $name { fn sub_assign(&mut self, o: Self) { self.0 -= o.0; } }
        impl Neg for $name { type Output = Self; fn neg(self) -> Self { Self(-self.0) } }
        impl Mul<f64> for $name { type Output = Self; fn mul(self, k: f64) -> Self { Self(self.0 * k) } }
        impl Div<f64> for $name { type Output = Self; fn div(self, k: f64) -> Self { Self(self.0 / k) } }
        impl Div for $name { type Output = f64; fn div(self, o: Self) -> f64 { self.0 / o.0 } }
        impl Sum for $name { fn sum<I: Iterator<Item = Self>>(i: I) -> Self { Self(i.map(|q| q.0).sum()) } }
    };
}

quantity!(
    /// A length or a coordinate.
    Length, metres, to_metres
);
quantity!(
    /// A plane angle.
    Angle, radians, to_radians
);
quantity!(
    /// A mass.
    Mass, kilograms, to_kilograms
);
quantity!(
    /// A force, weight included.
    Force, newtons, to_newtons
);
quantity!(
    /// Force per shortening of a support.
    Stiffness, newtons_per_metre, to_newtons_per_metre
);
quantity!(
    /// A moment of force.
    Moment, newton_metres, to_newton_metres
);

impl Length {
    /// From inches, exact.
    #[must_use]
    pub const fn inches(value: f64) -> Self {
        Self(value * INCH)
    }
    /// In inches.
    #[must_use]
    pub const fn to_inches(self) -> f64 {
        self.0 / INCH
    }
    /// From millimetres.
    #[must_use]
    pub const fn millimetres(value: f64) -> Self {
        Self(value / 1000.0)
    }
    /// In millimetres.
    #[must_use]
    pub const fn to_millimetres(self) -> f64 {
        self.0 * 1000.0
    }
}

impl Mass {
    /// From avoirdupois pounds, exact.
    #[must_use]
    pub const fn pounds(value: f64) -> Self {
        Self(value * POUND)
    }
    /// In avoirdupois pounds.
    #[must_use]
    pub const fn to_pounds(self) -> f64 {
        self.0 / POUND
    }
    /// Its weight under standard gravity.
    #[must_use]
    pub const fn weight(self) -> Force {
        Force(self.0 * STANDARD_GRAVITY)
    }
}

impl Force {
    /// From pounds-force, exact.
    #[must_use]
    pub const fn pounds_force(value: f64) -> Self {
        Self(value * POUND_FORCE)
    }
    /// In pounds-force.
    #[must_use]
    pub const fn to_pounds_force(self) -> f64 {
        self.0 / POUND_FORCE
    }
    /// The mass that weighs this much under standard gravity.
    #[must_use]
    pub const fn as_mass(self) -> Mass {
        Mass(self.0 / STANDARD_GRAVITY)
    }
}

impl Angle {
    /// From degrees.
    #[must_use]
    pub const fn degrees(value: f64) -> Self {
        Self(value.to_radians())
    }
    /// In degrees.
    #[must_use]
    pub const fn to_degrees(self) -> f64 {
        self.0.to_degrees()
    }
}

impl Mul<Length> for Force {
    type Output = Moment;
    fn mul(self, arm: Length) -> Moment {
        Moment(self.0 * arm.0)
    }
}

impl Mul<Length> for Stiffness {
    type Output = Force;
    fn mul(self, shortening: Length) -> Force {
        Force(self.0 * shortening.0)
    }
}

impl Div<Stiffness> for Force {
    type Output = Length;
    fn div(self, k: Stiffness) -> Length {
        Length(self.0 / k.0)
    }
}
