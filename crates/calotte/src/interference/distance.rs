//! Distance of two pieces in one frame.

use nalgebra::Vector3;

use crate::built::Piece;

use super::cores::{PreparedCore, chord, nearest_directions};
use super::strips::{Shape, Strips};

/// Where two pieces come nearest.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Nearest {
    /// Distance, m; negative where they pass through one another (see
    /// [`Strips::distance`]).
    pub distance: f64,
    /// Angle between the cores, rad.
    pub angle: f64,
    /// The two nearest directions of the cores, unit, the first piece's first.
    pub directions: [Vector3<f64>; 2],
}

/// Distance of two pieces given in one frame, m; negative where they pass through
/// one another. `None` if a size is no finite number or a core has no place.
pub fn distance(first: &Piece, second: &Piece) -> Option<f64> {
    let strips = Strips::new(&Shape::of(first)?, &Shape::of(second)?);
    let between = chord(
        &PreparedCore::new(&first.core)?,
        &PreparedCore::new(&second.core)?,
    );
    Some(strips.distance(between))
}

/// As [`distance`], with the angle between the cores and their nearest directions.
pub fn nearest(first: &Piece, second: &Piece) -> Option<Nearest> {
    let strips = Strips::new(&Shape::of(first)?, &Shape::of(second)?);
    let cores = [
        PreparedCore::new(&first.core)?,
        PreparedCore::new(&second.core)?,
    ];
    let between = chord(&cores[0], &cores[1]);
    Some(Nearest {
        distance: strips.distance(between),
        angle: 2.0 * (0.5 * between).min(1.0).asin(),
        directions: nearest_directions(&cores[0], &cores[1]),
    })
}
