//! How fast a body turns by the second mechanism angle, the first one held.
//!
//! Every body turns about the normal of the meridian and about one direction in it. Both
//! rates follow from the closed form, over numbers or over enclosures.

use crate::number::jet::Scalar;

/// Angular rate of a body by the second mechanism angle, first angle held.
#[derive(Debug, Clone, Copy)]
pub struct Turning<T> {
    /// About the normal of the meridian (towards growing azimuth), value and slope, 1.
    pub across: [T; 2],
    /// About a direction in the meridian, value and slope, 1.
    pub about: [T; 2],
    /// Polar angle of that direction, rad.
    pub polar: T,
}

impl<T: Scalar> Turning<T> {
    pub(super) fn new(across: [T; 2], about: [T; 2], polar: T) -> Self {
        Self {
            across,
            about,
            polar,
        }
    }

    pub(super) fn still() -> Self {
        Self::about(T::constant(0.0), T::constant(0.0))
    }

    pub(super) fn about(rate: T, polar: T) -> Self {
        let none = T::constant(0.0);
        Self::new([none, none], [rate, none], polar)
    }
}
