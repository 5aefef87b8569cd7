//! A value together with how far it may be off and where it comes from.

/// Where a value comes from.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum Basis {
    /// Stated in the input.
    Given,
    /// Not stated: assumed, from this source.
    Assumed(&'static str),
}

/// A value that may be off by up to its tolerance either way.
#[derive(Clone, Debug, PartialEq)]
pub struct Measured<Q> {
    /// The best estimate.
    pub value: Q,
    /// How far the true value may be from it, either way; never negative.
    pub tolerance: Q,
    /// Where it comes from.
    pub basis: Basis,
}

impl<Q> Measured<Q> {
    /// Stated in the input.
    pub const fn given(value: Q, tolerance: Q) -> Self {
        Self { value, tolerance, basis: Basis::Given }
    }
    /// Not stated: assumed, from this source.
    pub const fn assumed(value: Q, tolerance: Q, source: &'static str) -> Self {
        Self { value, tolerance, basis: Basis::Assumed(source) }
    }
    /// Whether the program had to assume it.
    pub const fn is_assumed(&self) -> bool {
        matches!(self.basis, Basis::Assumed(_))
    }
}

impl<Q: Copy + core::ops::Sub<Output = Q> + core::ops::Add<Output = Q>> Measured<Q> {
    /// The least that it can be.
    pub fn least(&self) -> Q {
        self.value - self.tolerance
    }
    /// The most that it can be.
    pub fn greatest(&self) -> Q {
        self.value + self.tolerance
    }
}
