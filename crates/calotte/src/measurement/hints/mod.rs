//! Whether points that cannot be those of the design would be if the file had been read otherwise:
//! signs, order, units and zeros of readings, handedness and unit of points, rows shifted.
//!
//! Parts: `misread` (what may be wrong and how it is put right), `trial` (how well it then fits).
//! Derived in `docs/theory/measurement.md`.

mod misread;
#[cfg(test)]
mod tests;
mod trial;

use super::data::{PointRow, Points};
use crate::family::real::PhysicalModel;
pub use misread::{Joints, LengthUnit, Misread, TakenFor};
use misread::{candidates, put_right};
use trial::{Left, Trial};

/// Something that may be wrong with how points and readings were written.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Hint {
    /// What.
    pub what: Misread,
    /// Root mean square of what the design, its parameters near their values, misses as the file
    /// stands, m: of the best four fifths of the rows, or of all if these show it.
    pub before: f64,
    /// The same with it put right.
    pub after: f64,
    /// Whether the points do not tell it from the first hint.
    pub like_first: bool,
}

/// How much less must be missed for a hint (common practice, no source): the second best reading
/// of a file is rarely within a factor of three of the right one.
pub const FALL: f64 = 10.0;
/// Share of the sensor's distance from the centre that the best four fifths may still miss (common
/// practice, no source): workshops leave less.
const PLAUSIBLE: f64 = 0.01;
/// Share of the spread of the places that they may still miss (common practice, no source).
const PLAUSIBLE_OF_SPREAD: f64 = 0.1;
/// Ratio of what two hints leave below which the points do not tell them apart.
const ALIKE: f64 = 1.5;
/// Share of what is missed that makes a candidate worth a second look, the pose alone fitted.
const WORTH_A_LOOK: f64 = 0.5;
/// Rows looked at.
const ROWS_MAX: usize = 400;
/// Rows needed.
const ROWS_MIN: usize = 8;

/// Tries what files are most often wrong by; the likeliest first, nothing where nothing helps.
///
/// # Arguments
/// - `ratio`: of the design's drives, active joint angle per mechanism angle.
///
/// # Theory
/// `docs/theory/measurement.md`, "Files read otherwise".
pub fn hints(model: &PhysicalModel, ratio: [f64; 2], points: &Points) -> Vec<Hint> {
    let rows = &points.rows;
    if rows.len() < ROWS_MIN {
        return Vec::new();
    }
    let tried = |rows: Vec<PointRow>| {
        let stride = rows.len().div_ceil(ROWS_MAX);
        Trial::new(model, rows.into_iter().step_by(stride).collect())
    };
    let as_written = tried(put_right(rows, None, ratio));
    let before_plain = as_written.posed();
    let before = as_written.fitted();
    let of_radius = PLAUSIBLE * model.parameters[model.sensor_radius()].nominal;
    let mut found: Vec<Hint> = candidates(ratio)
        .into_iter()
        .filter_map(|what| {
            let trial = tried(put_right(rows, Some(what), ratio));
            let looks = |after: f64, before: f64| after <= WORTH_A_LOOK * before;
            let plain = trial.posed();
            if !looks(plain.best, before_plain.best) && !looks(plain.all, before_plain.all) {
                return None;
            }
            let after = trial.fitted();
            if after.best > of_radius.min(PLAUSIBLE_OF_SPREAD * trial.spread()) {
                return None;
            }
            let pair = |of: fn(&Left) -> f64| (of(&before), of(&after));
            let (before, after) = [pair(|left| left.best), pair(|left| left.all)]
                .into_iter()
                .find(|(before, after)| FALL * after <= *before)?;
            Some(Hint {
                what,
                before,
                after,
                like_first: false,
            })
        })
        .collect();
    let best = found
        .iter()
        .map(|hint| hint.after)
        .fold(f64::INFINITY, f64::min);
    for hint in &mut found {
        hint.like_first = hint.after <= ALIKE * best;
    }
    // Those alike in the order in which they are tried.
    found.sort_by(|a, b| {
        let alike = b.like_first.cmp(&a.like_first);
        alike.then_with(|| {
            if a.like_first {
                std::cmp::Ordering::Equal
            } else {
                a.after.total_cmp(&b.after)
            }
        })
    });
    found
}
