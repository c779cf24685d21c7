//! Which of the connected ranges is the working range: the one that covers most.

use crate::design::DriveRange;
use crate::sphere::Region;

use super::conditioning::coverage;
use super::pose::Kinematics;
use super::working_range::{Margins, WorkingRange, all_ranges};

/// The working range that covers most of the region (in the base frame); `None`
/// if no configuration has the margins.
pub fn working_range(
    kinematics: &Kinematics,
    drive_range: &DriveRange,
    margins: &Margins,
    region: &Region,
) -> Option<WorkingRange> {
    best_range(
        kinematics,
        all_ranges(kinematics, drive_range, margins),
        region,
    )
}

/// Of several ranges the one that covers most of the region (in the base frame), the
/// widest where several cover as much.
pub fn best_range(
    kinematics: &Kinematics,
    ranges: Vec<WorkingRange>,
    region: &Region,
) -> Option<WorkingRange> {
    let mut best: Option<(f64, f64, WorkingRange)> = None;
    for range in ranges {
        let fraction = coverage(kinematics, &range, region).fraction;
        let span = range.second[1] - range.second[0];
        let better = match &best {
            None => true,
            Some((f, s, _)) => fraction > f + 1e-12 || (fraction > f - 1e-12 && span > *s + 1e-12),
        };
        if better {
            best = Some((fraction, span, range));
        }
    }
    best.map(|(_, _, range)| range)
}
