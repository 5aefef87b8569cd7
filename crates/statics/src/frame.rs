//! Points know their frame: a point of the vehicle and a point of the floor do not mix.

use core::marker::PhantomData;

use crate::quantity::Length;

/// A frame of reference; implemented by empty types.
pub trait Frame: Copy + core::fmt::Debug + 'static {}

/// The level frame that weight acts in: X ahead, Y left, Z up; weight acts along -Z.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Ground {}
impl Frame for Ground {}

/// A position in plan, metres along the two horizontal axes of frame `F`.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Place<F> {
    metres: [f64; 2],
    frame: PhantomData<F>,
}

impl<F: Frame> Place<F> {
    /// From the two coordinates in metres, first axis first.
    #[must_use]
    pub const fn metres(xy: [f64; 2]) -> Self {
        Self { metres: xy, frame: PhantomData }
    }
    /// The two coordinates in metres, first axis first.
    #[must_use]
    pub const fn to_metres(self) -> [f64; 2] {
        self.metres
    }
    /// The coordinate along the first axis.
    #[must_use]
    pub const fn x(self) -> Length {
        Length::metres(self.metres[0])
    }
    /// The coordinate along the second axis.
    #[must_use]
    pub const fn y(self) -> Length {
        Length::metres(self.metres[1])
    }
    /// The same place at a height.
    #[must_use]
    pub const fn at_height(self, z: Length) -> Point<F> {
        Point::metres([self.metres[0], self.metres[1], z.to_metres()])
    }
}

/// A point in space, metres along the three axes of frame `F`.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Point<F> {
    metres: [f64; 3],
    frame: PhantomData<F>,
}

impl<F: Frame> Point<F> {
    /// From the three coordinates in metres.
    #[must_use]
    pub const fn metres(xyz: [f64; 3]) -> Self {
        Self { metres: xyz, frame: PhantomData }
    }
    /// The three coordinates in metres.
    #[must_use]
    pub const fn to_metres(self) -> [f64; 3] {
        self.metres
    }
    /// Its position in plan.
    #[must_use]
    pub const fn plan(self) -> Place<F> {
        Place::metres([self.metres[0], self.metres[1]])
    }
    /// The coordinate along the third axis.
    #[must_use]
    pub const fn z(self) -> Length {
        Length::metres(self.metres[2])
    }
}

/// A horizontal direction in frame `F`, of length one.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Heading<F> {
    unit: [f64; 2],
    frame: PhantomData<F>,
}

impl<F: Frame> Heading<F> {
    /// Along a vector, which is normalised. `None` if it has no direction or is not finite.
    #[must_use]
    pub fn along(vector: [f64; 2]) -> Option<Self> {
        let size = vector[0].hypot(vector[1]);
        (size.is_finite() && size > 0.0)
            .then(|| Self { unit: [vector[0] / size, vector[1] / size], frame: PhantomData })
    }
    /// The unit vector.
    #[must_use]
    pub const fn unit(self) -> [f64; 2] {
        self.unit
    }
}
