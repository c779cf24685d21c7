//! Which polar angles and azimuths are looked at: rings over the covered part of a region.

use crate::kinematics::{Kinematics, WorkingRange};
use crate::sphere::Region;

/// Polar angles and azimuths of a grid of rings over the covered part of a
/// region: `rings` polar angles from the least to the greatest covered one, both
/// ends included, and about `around` azimuths on each.
pub fn ring_grid(
    kinematics: &Kinematics,
    range: &WorkingRange,
    region: &Region,
    rings: usize,
    around: usize,
) -> Vec<(f64, Vec<f64>)> {
    if region.is_points() {
        return point_rings(kinematics, range, region);
    }
    let Ok([region_lo, region_hi]) = region.polar_extent() else {
        return Vec::new();
    };
    let (lo, hi) = (
        region_lo.max(range.polar_min()),
        region_hi.min(range.polar_max()),
    );
    if lo > hi {
        return Vec::new();
    }
    let count = if hi - lo < 1e-9 { 1 } else { rings.max(2) };
    let edge = 1e-9 * (hi - lo);
    (0..count)
        .filter_map(|i| {
            let share = if count == 1 {
                0.5
            } else {
                i as f64 / (count - 1) as f64
            };
            // Just inside, where the region's set of azimuths is not a single point.
            let polar = (lo + edge) + (hi - lo - 2.0 * edge) * share;
            let second = range.second_for_polar(&kinematics.meridian, polar)?;
            let azimuths = region
                .azimuths_at(polar)
                .intersection(&range.azimuths(&kinematics.meridian, second))
                .samples(around);
            (!azimuths.is_empty()).then_some((second, azimuths))
        })
        .collect()
}

fn point_rings(
    kinematics: &Kinematics,
    range: &WorkingRange,
    region: &Region,
) -> Vec<(f64, Vec<f64>)> {
    region
        .points()
        .iter()
        .filter_map(|point| {
            let direction = crate::sphere::Direction::of(point);
            let second = range.second_for_polar(&kinematics.meridian, direction.polar)?;
            range
                .azimuths(&kinematics.meridian, second)
                .contains(direction.azimuth)
                .then(|| (second, vec![direction.azimuth]))
        })
        .collect()
}
