//! What was found, judged by the analysis that every design has.

use crate::brief::Brief;
use crate::design::{
    Design, DriveLayout, DriveRange, Drives, Family, JointProperties, Tool, ToolCarrier,
};
use crate::family::triangle::TriangleClass;
use crate::kinematics::conditioning::{ConditioningSummary, conditioning};
use crate::kinematics::range_choice::working_range;
use crate::kinematics::{Kinematics, Margins};
use crate::search::grid::mount;

use super::bounds::LOST;
use super::branch::Taken;

/// A linkage that keeps the limits, with what the ordinary analysis says of it.
#[derive(Debug, Clone, PartialEq)]
pub struct Found {
    /// Near and far arc, rad.
    pub arcs: [f64; 2],
    /// The linkage, its assembly mode included.
    pub family: Family,
    /// Tilt of the base axis against the region's axis, rad.
    pub mount_tilt: f64,
    /// The LCI that it keeps over the working range that covers so much, or its GCI over the
    /// region.
    pub value: f64,
    /// Share of the region that it covers.
    pub coverage: f64,
}

/// The linkage of a place, judged with margins, in the assembly mode in which the number wanted
/// is greatest; `None` if it does not cover enough or cannot be built.
///
/// # Arguments
/// - `wanted`: which number of the summary that is.
pub(super) fn judged(
    brief: &Brief,
    class: TriangleClass,
    taken: &Taken,
    margins: &Margins,
    wanted: &dyn Fn(&ConditioningSummary) -> f64,
) -> Option<Found> {
    let [near, far, _] = taken.at;
    let mount_tilt = brief.choice.mount_tilt[taken.case];
    let each = class.linkages([near, far]).into_iter();
    each.filter_map(|family| {
        let design = design(brief, class, mount_tilt, family.clone())?;
        let kinematics = Kinematics::new(&design).ok()?;
        let region = brief.region.rotated(&design.mount.base_from_world());
        let range = working_range(&kinematics, &DriveRange::default(), margins, &region)?;
        let summary = conditioning(&kinematics, &range, &region);
        let coverage = summary.coverage.fraction;
        (coverage >= brief.coverage_min - ROUNDING).then(|| Found {
            arcs: [near, far],
            family,
            mount_tilt,
            value: wanted(&summary),
            coverage,
        })
    })
    .reduce(|best, one| if one.value > best.value { one } else { best })
}

/// The same where the number wanted is the minimum LCI: the greatest margin on it, from the
/// value of the place downward, with which enough is covered.
pub(super) fn judged_by_lci(
    brief: &Brief,
    class: TriangleClass,
    taken: &Taken,
    margins: &Margins,
) -> Option<Found> {
    let mut step = LOST;
    while step < LOWERED_MAX {
        let kept = Margins {
            lci_min: (taken.value - step).max(0.0),
            ..*margins
        };
        // Between directions of a region with gaps LCI may be less than in them.
        let found = judged(brief, class, taken, &kept, &|_| kept.lci_min);
        if found.is_some() {
            return found;
        }
        step *= 4.0;
    }
    None
}

/// What a coverage of all may lack by rounding.
const ROUNDING: f64 = 1e-9;
/// How far a value is lowered before it is given up; interpolated areas take far less.
const LOWERED_MAX: f64 = 1e-2;

/// A design with the first sizes of a brief, which reach and conditioning do not depend on.
fn design(brief: &Brief, class: TriangleClass, mount_tilt: f64, family: Family) -> Option<Design> {
    Some(Design {
        title: brief.title.clone(),
        family,
        joint_radius: brief.joint_radius.from,
        section: brief.choice.sections.first()?.clone(),
        material: brief.choice.materials.first()?.clone(),
        short_bars: None,
        own: Default::default(),
        joints: JointProperties {
            stiffness: None,
            parts: None,
            boss_diameter: 0.0,
            mass: 0.0,
            releases: Vec::new(),
        },
        layers: None,
        drives: Drives {
            layout: class.layout().unwrap_or(DriveLayout::SwingAndOpening),
            ratio: [1.0, 1.0],
            range: DriveRange::default(),
            each: Default::default(),
        },
        tool: Tool {
            carried_by: ToolCarrier::Left,
            tip_radius: brief.tool.tip_radius,
            mass: None,
            centre_of_mass_radius: brief.tool.centre_of_mass_radius,
            grip_radius: None,
            envelope: None,
            bracket_arc: 0.0,
            roll: 0.0,
        },
        mount: mount(brief, mount_tilt),
    })
}
