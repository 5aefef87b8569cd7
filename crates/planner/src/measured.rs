//! A value together with how far it may be off and where it comes from.

use core::ops::{Add, Mul, Sub};

/// Where a value comes from.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum Basis {
    /// Stated in the input.
    Given,
    /// The value is stated, how far it may be off is not: assumed, from this source.
    ToleranceAssumed(&'static str),
    /// Not stated: assumed, from this source.
    Assumed(&'static str),
}

impl Basis {
    /// Where it comes from, if it is assumed in any way.
    #[must_use]
    pub const fn source(&self) -> Option<&'static str> {
        match self {
            Self::Given => None,
            Self::ToleranceAssumed(source) | Self::Assumed(source) => Some(source),
        }
    }

    /// The least sure of several.
    pub fn least_sure<'a>(bases: impl IntoIterator<Item = &'a Self>) -> Self {
        let rank = |b: &Self| match b {
            Self::Given => 0,
            Self::ToleranceAssumed(_) => 1,
            Self::Assumed(_) => 2,
        };
        bases.into_iter().fold(Self::Given, |worst, b| if rank(b) > rank(&worst) { b.clone() } else { worst })
    }
}

/// A value that may be off by up to its tolerance either way.
#[derive(Clone, Debug, PartialEq)]
pub struct Measured<Q> {
    /// The best estimate.
    pub value: Q,
    /// How far the true value may be from it, either way; never negative.
    pub tolerance: Q,
    /// Standard uncertainty (JCGM 100): standard deviation of where the true value may be.
    pub uncertainty: Q,
    /// Where it comes from.
    pub basis: Basis,
}

impl<Q: Copy + Mul<f64, Output = Q>> Measured<Q> {
    /// Anywhere within the tolerance with the same chance: u = tolerance / sqrt 3 (JCGM 100, 4.3.7).
    pub fn even(value: Q, tolerance: Q, basis: Basis) -> Self {
        Self { value, tolerance, uncertainty: tolerance * (1.0 / 3f64.sqrt()), basis }
    }
    /// Stated in the input, even within its tolerance.
    pub fn given(value: Q, tolerance: Q) -> Self {
        Self::even(value, tolerance, Basis::Given)
    }
    /// Not stated: assumed, from this source, even within its tolerance.
    pub fn assumed(value: Q, tolerance: Q, source: &'static str) -> Self {
        Self::even(value, tolerance, Basis::Assumed(source))
    }
    /// Stated in the input, but not how far it may be off.
    pub fn with_assumed_tolerance(value: Q, tolerance: Q, source: &'static str) -> Self {
        Self::even(value, tolerance, Basis::ToleranceAssumed(source))
    }
}

impl<Q> Measured<Q> {
    /// Whether the program had to assume the value itself.
    pub const fn is_assumed(&self) -> bool {
        matches!(self.basis, Basis::Assumed(_))
    }
}

impl<Q: Copy + Sub<Output = Q> + Add<Output = Q>> Measured<Q> {
    /// The least that it can be.
    pub fn least(&self) -> Q {
        self.value - self.tolerance
    }
    /// The most that it can be.
    pub fn greatest(&self) -> Q {
        self.value + self.tolerance
    }
}
