//! The fewest layers that leave free what a region uses of a design's range.

use crate::design::{Arrangement, Design};
use crate::interference::{AssignmentError, LayerOption, best_of_count, fewest_layers as fewest};
use crate::kinematics::{Kinematics, WorkingRange};
use crate::sphere::Region;
use crate::subject::Motion;

use super::requirements::Requirements;

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

/// The arrangement with the fewest layers that leaves free what the region of a motion uses
/// of the range the design would have if no parts were in each other's way;
/// where none does, the one that leaves most. `None` without a range, or if every
/// arrangement is blocked in the middle of it. The design's own arrangement is not used.
///
/// # Errors
/// [`AssignmentError`] without layers and for parts that cannot be built.
pub fn fewest_layers(
    design: &Design,
    motion: &Motion,
) -> Result<Option<LayerOption>, AssignmentError> {
    let Some(range) = motion.range() else {
        return Ok(None);
    };
    let used = used_range(&motion.kinematics, range, &motion.region);
    fewest(design, &motion.kinematics, range.second, used)
}

/// The arrangement of a number of layers that leaves most of what the region uses of the
/// range; otherwise as [`fewest_layers`].
///
/// # Errors
/// As [`fewest_layers`].
pub fn layers_of_count(
    design: &Design,
    motion: &Motion,
    count: usize,
) -> Result<Option<LayerOption>, AssignmentError> {
    let Some(range) = motion.range() else {
        return Ok(None);
    };
    let used = used_range(&motion.kinematics, range, &motion.region);
    best_of_count(design, &motion.kinematics, range.second, used, count)
}

/// A list of layers belongs to one number of bars: the fewest that do take its place,
/// or two where nothing is found.
pub(super) fn renew_listed_layers(design: &mut Design, requirements: &Requirements) {
    let listed = design
        .layers
        .as_ref()
        .is_some_and(|layers| matches!(layers.arrangement, Arrangement::Given(_)));
    if !listed {
        return;
    }
    let motion = requirements.motion(design).ok();
    let fewest = motion.and_then(|motion| fewest_layers(design, &motion).ok()?);
    if let Some(layers) = &mut design.layers {
        layers.arrangement = fewest.map_or(Arrangement::Two, |option| option.arrangement());
    }
}
