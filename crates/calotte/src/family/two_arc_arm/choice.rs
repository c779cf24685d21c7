//! What a search varies of a two-arc arm.

use std::f64::consts::PI;

use crate::brief::{Brief, Kept};
use crate::family::parameters::Kind;

/// Both arcs of all combinations that a brief allows, in order, rad.
pub(crate) fn combinations(brief: &Brief) -> Vec<[f64; 2]> {
    let arcs = |kept: fn(&Kept) -> bool, own: usize| match &brief.kept {
        Some(parts) if kept(parts) => match &parts.design.family.kind {
            Kind::TwoArcArm(arm) => vec![arm.arcs[own]],
            _ => brief.choice.arm_arc.values(),
        },
        _ => brief.choice.arm_arc.values(),
    };
    let mut all = Vec::new();
    for first in arcs(|kept| kept.base, 0) {
        for second in arcs(|kept| kept.bars.contains(&1), 1) {
            all.push([first, second]);
        }
    }
    all
}

/// How many there are, without listing them.
pub(crate) fn count(brief: &Brief) -> f64 {
    let arcs = |kept: fn(&Kept) -> bool| match &brief.kept {
        Some(parts) if kept(parts) && matches!(parts.design.family.kind, Kind::TwoArcArm(_)) => 1.0,
        _ => brief.choice.arm_arc.count(),
    };
    arcs(|kept| kept.base) * arcs(|kept| kept.bars.contains(&1))
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
