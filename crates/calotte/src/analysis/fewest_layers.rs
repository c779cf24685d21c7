//! The fewest layers that leave free what a region uses of a design's range.

use crate::design::Design;
use crate::interference::{AssignmentError, LayerOption, fewest_layers as fewest};
use crate::kinematics::working_range::{Margins, all_ranges, best_range};
use crate::kinematics::{Kinematics, WorkingRange};
use crate::sphere::Region;

/// The second mechanism angles that a region (in the base frame) uses of a working
/// range, rad; the whole range where it uses none.
pub fn used_range(kinematics: &Kinematics, range: &WorkingRange, region: &Region) -> [f64; 2] {
    let Ok([lo, hi]) = region.polar_extent() else {
        return range.second;
    };
    let ends = [
        lo.clamp(range.polar_min(), range.polar_max()),
        hi.clamp(range.polar_min(), range.polar_max()),
    ]
    .map(|polar| range.second_for_polar(&kinematics.meridian, polar));
    match ends {
        [Some(a), Some(b)] => [a.min(b), a.max(b)],
        _ => range.second,
    }
}

/// The arrangement with the fewest layers that leaves free what the region (in the base
/// frame) uses of the range the design would have if no parts were in each other's way;
/// where none does, the one that leaves most. `None` without a range, or if every
/// arrangement is blocked in the middle of it. The design's own arrangement is not used.
///
/// # Errors
/// [`AssignmentError`] without layers and for parts that cannot be built.
pub fn fewest_layers(
    design: &Design,
    kinematics: &Kinematics,
    margins: &Margins,
    region: &Region,
) -> Result<Option<LayerOption>, AssignmentError> {
    let ranges = all_ranges(kinematics, &design.drives.range, margins);
    let Some(range) = best_range(kinematics, ranges, region) else {
        return Ok(None);
    };
    fewest(design, range.second, used_range(kinematics, &range, region))
}
