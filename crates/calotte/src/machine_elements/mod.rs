//! What bearings, pins and fits do: sizes, stiffness of one bearing and of a
//! pair, contact stress, clearances by fit, stress in pins.

mod bearing;

pub use bearing::{Bearing, BearingKind};
