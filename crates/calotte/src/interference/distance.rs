//! Distance of two pieces in one frame.

use crate::built::Piece;

use super::cores::{PreparedCore, chord};
use super::strips::{Shape, Strips};

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
