//! Directions of a dome, and what its figures share.

mod ground;
mod projection;

use super::error::PlotError;
use crate::number::fixed;
pub(crate) use ground::{Ground, direction};
pub(crate) use projection::Projection;

/// A direction in the map's frame, degrees.
#[derive(Debug, Clone, Copy, PartialEq, Default)]
pub struct Direction {
    /// Angle from the map's axis, 0 to 180.
    pub polar_deg: f64,
    /// Angle about the map's axis, right-handed.
    pub azimuth_deg: f64,
}

/// Says which circles are drawn, where there is no room for their labels.
pub(crate) fn circles_note(polars: &[f64]) -> String {
    let list: Vec<String> = polars
        .iter()
        .map(|p| format!("{}°", fixed(*p, 0)))
        .collect();
    format!("Circles of polar angle: {}.", list.join(", "))
}

/// Checks polar angles and azimuths.
///
/// # Errors
/// [`PlotError::OutOfRange`].
pub(crate) fn check_directions(
    what: &str,
    directions: impl IntoIterator<Item = Direction>,
) -> Result<(), PlotError> {
    for direction in directions {
        let angles = [
            ("polar angle", direction.polar_deg, 0.0, 180.0),
            ("azimuth", direction.azimuth_deg, -1080.0, 1080.0),
        ];
        for (name, value, from, to) in angles {
            if !(from..=to).contains(&value) {
                return Err(PlotError::OutOfRange {
                    what: format!("{what}, {name} in degrees"),
                    value,
                    from,
                    to,
                });
            }
        }
    }
    Ok(())
}
