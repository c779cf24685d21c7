//! What a search varies of a two-arc arm.

use std::f64::consts::PI;

use crate::brief::{Brief, Kept, Range};
use crate::family::parameters::Kind;

/// What each of the two arcs runs over, rad: what a brief allows, or the arc of a bar that is
/// kept.
pub(crate) fn ranges(brief: &Brief) -> [Range; 2] {
    let arcs = |kept: fn(&Kept) -> bool, own: usize| match &brief.kept {
        Some(parts) if kept(parts) => match &parts.design.family.kind {
            Kind::TwoArcArm(arm) => Range::single(arm.arcs[own]),
            _ => brief.choice.arm_arc,
        },
        _ => brief.choice.arm_arc,
    };
    [
        arcs(|kept| kept.base, 0),
        arcs(|kept| kept.bars.contains(&1), 1),
    ]
}

/// Both arcs of all combinations that a brief allows, in order, rad.
pub(crate) fn combinations(brief: &Brief) -> Vec<[f64; 2]> {
    let [first, second] = ranges(brief).map(|range| range.values());
    let mut all = Vec::new();
    for first in first {
        for second in &second {
            all.push([first, *second]);
        }
    }
    all
}

/// How many there are, without listing them.
pub(crate) fn count(brief: &Brief) -> f64 {
    ranges(brief).iter().map(Range::count).product()
}

/// Wide steps over what the kinematics depend on.
pub(crate) fn coarse_sweep() -> Vec<[f64; 2]> {
    let degrees = PI / 180.0;
    let mut all = Vec::new();
    for first in [30.0, 45.0, 60.0, 75.0, 90.0] {
        for second in [30.0, 45.0, 60.0, 75.0, 90.0] {
            all.push([first * degrees, second * degrees]);
        }
    }
    all
}
