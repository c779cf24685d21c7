//! What no search can mend, found before any search.
//!
//! A linkage whose first joint axis is fixed has LCI = 0 where that axis
//! pierces the sphere (both columns of its Jacobian lie along the meridian
//! there), and every closed hemisphere holds such a point: at its rim when the
//! mount is tilted by 90°. How large a hole the wanted LCI needs is not a
//! theorem; the least hole of a stated coarse sweep stands in for it.

use std::f64::consts::PI;

use nalgebra::Vector3;

use crate::analysis::Requirements;
use crate::brief::{Brief, FamilyName};
use crate::design::Design;
use crate::sphere::{Exclusion, Region, arc_between};

use super::grid::{Angles, Candidate, mount};

/// What the precheck found.
#[derive(Debug, Clone, PartialEq)]
pub struct Precheck {
    /// Per mount tilt: whether the base axis pierces the region.
    pub tilts: Vec<TiltFinding>,
    /// Per family: the least hole about the base axis in the coarse sweep, rad,
    /// with how many combinations it looked at; `None` if none has the margins.
    pub least_holes: Vec<HoleFinding>,
    /// Greatest polar angle that any allowed combination could reach, rad: the
    /// sum of its arcs.
    pub reach_bound: f64,
    /// Greatest share of the region that this bound leaves reachable, over the tilts.
    pub reachable_share: f64,
}

/// One mount tilt.
#[derive(Debug, Clone, PartialEq)]
pub struct TiltFinding {
    /// Tilt, rad.
    pub tilt: f64,
    /// Whether the base axis, either way, pierces the region.
    pub axis_in_region: bool,
    /// Share of the region lost to the least hole of the best family.
    pub lost_share: f64,
}

/// One family's coarse sweep.
#[derive(Debug, Clone, PartialEq)]
pub struct HoleFinding {
    /// The family.
    pub family: FamilyName,
    /// Least hole, rad of polar angle.
    pub hole: Option<f64>,
    /// Combinations looked at.
    pub combinations: usize,
}

impl Precheck {
    /// Whether full coverage with any LCI margin is impossible for every tilt.
    pub fn full_coverage_impossible(&self) -> bool {
        !self.tilts.is_empty() && self.tilts.iter().all(|tilt| tilt.axis_in_region)
    }

    /// Least share lost to the hole over the tilts.
    pub fn least_lost_share(&self) -> f64 {
        self.tilts
            .iter()
            .map(|tilt| tilt.lost_share)
            .fold(f64::INFINITY, f64::min)
    }
}

/// Looks at a brief before any search.
pub fn precheck(brief: &Brief) -> Precheck {
    let requirements = Requirements::from_brief(brief);
    // The sweep stands for everything there is, kept parts or not.
    let free = Brief {
        kept: None,
        ..brief.clone()
    };
    let least_holes: Vec<HoleFinding> = brief
        .choice
        .families
        .iter()
        .map(|family| sweep(&free, *family, &requirements))
        .collect();
    let hole = least_holes.iter().filter_map(|h| h.hole).reduce(f64::min);
    let tilts = brief
        .choice
        .mount_tilt
        .iter()
        .map(|tilt| {
            let axis = mount(brief, *tilt).axis;
            TiltFinding {
                tilt: *tilt,
                axis_in_region: pierces(&brief.region, &axis),
                lost_share: hole.map_or(1.0, |hole| lost_share(&brief.region, &axis, hole)),
            }
        })
        .collect();
    let reach_bound = reach_bound(brief);
    Precheck {
        tilts,
        least_holes,
        reach_bound,
        reachable_share: reachable_share(brief, reach_bound),
    }
}

fn pierces(region: &Region, axis: &Vector3<f64>) -> bool {
    let axis = axis.normalize();
    // A closed region's edge counts: look a hair inside.
    region.contains(&axis) || region.contains(&-axis)
}

/// Share of the region within a hole about both ends of an axis.
fn lost_share(region: &Region, axis: &Vector3<f64>, hole: f64) -> f64 {
    if region.is_points() {
        let points = region.points();
        let lost = points
            .iter()
            .filter(|p| {
                let angle = arc_between(p, axis);
                angle < hole || PI - angle < hole
            })
            .count();
        return lost as f64 / points.len().max(1) as f64;
    }
    let mut holed = region.clone();
    for end in [axis.normalize(), -axis.normalize()] {
        holed.excluded.push(Exclusion {
            axis: end,
            half_angle: hole,
            why: String::new(),
        });
    }
    let area = region.area();
    if area > 0.0 {
        (1.0 - holed.area() / area).max(0.0)
    } else {
        1.0
    }
}

/// The coarse sweep of a family: wide steps over what its kinematics depend on.
fn sweep(brief: &Brief, family: FamilyName, requirements: &Requirements) -> HoleFinding {
    let all = family.coarse_sweep();
    let hole = all
        .iter()
        .filter_map(|angles| least_polar(brief, *angles, requirements))
        .reduce(f64::min);
    HoleFinding {
        family,
        hole,
        combinations: all.len(),
    }
}

fn sweep_design(brief: &Brief, angles: Angles) -> Option<Design> {
    if brief.choice.sections.is_empty() || brief.choice.materials.is_empty() {
        return None;
    }
    let candidate = Candidate {
        index: 0,
        angles,
        mount_tilt: 0.0,
        joint_radius: brief.joint_radius.from,
        section: 0,
        material: 0,
        bearing: None,
        spacing: None,
        arrangement: None,
    };
    Some(candidate.before_layers(brief))
}

fn least_polar(brief: &Brief, angles: Angles, requirements: &Requirements) -> Option<f64> {
    let design = sweep_design(brief, angles)?;
    let motion = requirements.motion(&design).ok()?;
    motion
        .all_ranges()
        .iter()
        .map(|range| range.polar_min())
        .reduce(f64::min)
}

/// No tool direction lies farther from the base axis than the sum of the arcs
/// that lead to it.
fn reach_bound(brief: &Brief) -> f64 {
    if brief.kept.is_some() {
        return reach_of_longest(brief);
    }
    let choice = &brief.choice;
    choice
        .families
        .iter()
        .map(|family| family.reach_bound(choice))
        .fold(0.0, f64::max)
        .min(PI)
}

/// The same where some arcs are kept: all others as long as is allowed.
fn reach_of_longest(brief: &Brief) -> f64 {
    let sum = |angles: Angles| {
        sweep_design(brief, angles).map_or(0.0, |design| design.family.total_arc())
    };
    let variants = brief.choice.families.iter();
    let variants = variants.flat_map(|family| family.variants(brief));
    let longest = variants.map(|variant| {
        let ranges = variant.ranges(brief).into_iter();
        let longest: Vec<f64> = ranges.map(|(range, _)| range.to).collect();
        sum(variant.angles(&longest))
    });
    longest.fold(0.0, f64::max).min(PI)
}

fn reachable_share(brief: &Brief, bound: f64) -> f64 {
    if bound >= PI {
        return 1.0;
    }
    brief
        .choice
        .mount_tilt
        .iter()
        .map(|tilt| {
            let axis = mount(brief, *tilt).axis.normalize();
            if brief.region.is_points() {
                let points = brief.region.points();
                let near = points
                    .iter()
                    .filter(|p| arc_between(p, &axis) <= bound)
                    .count();
                return near as f64 / points.len().max(1) as f64;
            }
            let mut near = brief.region.clone();
            near.excluded.push(Exclusion {
                axis: -axis,
                half_angle: PI - bound,
                why: String::new(),
            });
            near.area() / brief.region.area().max(1e-300)
        })
        .fold(0.0, f64::max)
}
