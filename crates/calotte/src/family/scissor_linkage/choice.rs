//! What a search varies of a scissor linkage, and what of a built one stays.

use std::f64::consts::PI;

use crate::brief::{Brief, Kept, Range};
use crate::design::{DriveLayout, ScissorLinkage};
use crate::family::parameters::PairedAngle;

/// A scissor linkage of equal half-links.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(crate) struct ScissorAngles {
    /// Number of stages.
    pub(crate) stages: usize,
    /// Arc of each half-link, rad.
    pub(crate) arc: f64,
    /// Bend between stages, rad.
    pub(crate) bend: f64,
    /// Drive layout.
    pub(crate) layout: DriveLayout,
}

impl ScissorAngles {
    pub(crate) fn linkage(&self) -> ScissorLinkage {
        let mut linkage = ScissorLinkage::uniform(self.stages, self.arc);
        linkage.bends = vec![self.bend; self.stages.saturating_sub(1)];
        linkage
    }
}

/// All combinations that a brief allows, in order.
pub(crate) fn combinations(brief: &Brief) -> Vec<ScissorAngles> {
    let choice = &brief.choice;
    let mut all = Vec::new();
    for stages in &choice.stages {
        let [arcs_free, bends_free] = brief
            .kept
            .as_ref()
            .map_or([true, true], |kept| leaves_free(kept, *stages));
        // One stage has no crossing bars to bend.
        let bends = if *stages > 1 && bends_free {
            choice.bend.values()
        } else {
            vec![0.0]
        };
        let arcs = if arcs_free {
            choice.arc.values()
        } else {
            vec![choice.arc.from]
        };
        for arc in arcs {
            for bend in &bends {
                for layout in &choice.drive_layouts {
                    all.push(ScissorAngles {
                        stages: *stages,
                        arc,
                        bend: *bend,
                        layout: *layout,
                    });
                }
            }
        }
    }
    all
}

/// How many there are, without listing them.
pub(crate) fn count(brief: &Brief) -> f64 {
    let choice = &brief.choice;
    let of_stages = |stages: &usize| {
        let kept = brief.kept.as_ref();
        let [arcs_free, bends_free] = kept.map_or([true, true], |kept| leaves_free(kept, *stages));
        let free = |free: bool, range: &Range| if free { range.count() } else { 1.0 };
        free(arcs_free, &choice.arc) * free(*stages > 1 && bends_free, &choice.bend)
    };
    choice.stages.iter().map(of_stages).sum::<f64>() * choice.drive_layouts.len() as f64
}

/// Wide steps over what the kinematics depend on.
pub(crate) fn coarse_sweep() -> Vec<ScissorAngles> {
    let degrees = PI / 180.0;
    let mut all = Vec::new();
    for stages in 1..=3usize {
        for total in [60.0, 80.0, 100.0, 120.0] {
            for bend in [0.0, 30.0, 60.0] {
                if stages == 1 && bend > 0.0 {
                    continue;
                }
                for layout in [DriveLayout::TwoBars, DriveLayout::SwingAndOpening] {
                    all.push(ScissorAngles {
                        stages,
                        arc: 0.5 * total / stages as f64 * degrees,
                        bend: bend * degrees,
                        layout,
                    });
                }
            }
        }
    }
    all
}

/// Angles that parts kept leave nothing of: whether arcs and bends are still to be chosen
/// for so many stages.
pub(crate) fn leaves_free(kept: &Kept, stages: usize) -> [bool; 2] {
    let arcs = !kept.base || (1..=stages).any(|bar| !kept.bars.contains(&bar));
    let bends = (1..stages).any(|bar| !kept.bars.contains(&bar));
    [arcs, bends]
}

/// Puts the arcs, bends and assembly modes of parts that stay into a new linkage.
pub(super) fn keep(new: &mut ScissorLinkage, base: bool, bars: &[usize], old: &ScissorLinkage) {
    if base {
        new.take(PairedAngle::Proximal(0), old);
    }
    for bar in bars {
        for angle in of_bars(*bar) {
            new.take(angle, old);
        }
    }
    // A stage is assembled as it was where one of its bars stays.
    let modes = new.assembly_modes.iter_mut().zip(&old.assembly_modes);
    for (stage, (new, old)) in modes.enumerate() {
        let from_inside = if stage == 0 {
            base
        } else {
            bars.contains(&stage)
        };
        if from_inside || bars.contains(&(stage + 1)) {
            *new = *old;
        }
    }
}

/// Which parts of `old` have the angles they have in `new`, within so much, rad.
pub(super) fn same_parts(
    new: &ScissorLinkage,
    old: &ScissorLinkage,
    within: f64,
) -> (bool, Vec<usize>) {
    let same = |angle: &PairedAngle| match (new.both(*angle), old.both(*angle)) {
        (Some(a), Some(b)) => (0..2).all(|side| (a[side] - b[side]).abs() < within),
        (a, b) => a.is_none() && b.is_none(),
    };
    let is_same = |bar: &usize| of_bars(*bar).iter().all(same);
    (
        same(&PairedAngle::Proximal(0)),
        (1..=old.stages()).filter(is_same).collect(),
    )
}

/// The angles of the bars of a number: bar i runs from stage i over its bend into stage i + 1.
fn of_bars(number: usize) -> [PairedAngle; 3] {
    [
        PairedAngle::Distal(number - 1),
        PairedAngle::Bend(number - 1),
        PairedAngle::Proximal(number),
    ]
}
