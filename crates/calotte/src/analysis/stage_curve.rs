//! The turn: least stiffness against the number of stages at equal reach, with
//! rigid joints and with the design's own.

use rayon::prelude::*;

use crate::design::{BaseSizes, Design, Family, NotYetWhereDiffering, ScissorLinkage};
use crate::stock::{Bearing, one_size_down};
use crate::subject::Subject;

use super::fewest_layers::renew_listed_layers;
use super::requirements::Requirements;
use super::ring::{ring_grid, solve_ring};

/// One number of stages.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct StagePoint {
    /// Number of stages.
    pub stages: usize,
    /// Least translational stiffness with rigid joints, N/m; `None` without an answer.
    pub rigid: Option<f64>,
    /// The same with the design's joints.
    pub real: Option<f64>,
    /// The same with bearings one size down and the shafts and housing usual for them;
    /// `None` where the design's are not of the shipped table or the smallest of their
    /// series.
    pub smaller: Option<f64>,
}

/// Bearing of the shipped table one size down from a design's.
pub fn smaller_bearing(design: &Design) -> Option<Bearing> {
    design.needs_equal_joints("bearings one size down").ok()?;
    let parts = design.joints.parts.as_ref()?;
    one_size_down(&parts.bearing.name)?.bearing().ok()
}

/// Least stiffness over the covered directions for 1 to `stages_max` equal,
/// unbent stages that share the design's total arc (and with it the reach),
/// section, material, radius, bosses and tool.
///
/// # Errors
/// [`NotYetWhereDiffering`] for a design whose bars or joints differ.
pub fn stage_curve(
    design: &Design,
    requirements: &Requirements,
    stages_max: usize,
) -> Result<Vec<StagePoint>, NotYetWhereDiffering> {
    design.needs_all_equal("the comparison of numbers of stages")?;
    let total = design.family.total_arc();
    let smaller = smaller_bearing(design);
    let points = (1..=stages_max)
        .into_par_iter()
        .map(|stages| {
            let mut real = design.clone();
            let arc = total / (2 * stages) as f64;
            real.family = Family::scissor_linkage(ScissorLinkage::uniform(stages, arc));
            renew_listed_layers(&mut real, requirements);
            let rigid = if real.is_built() {
                real.ideal()
            } else {
                let mut rigid = real.clone();
                rigid.make_joints_rigid();
                rigid
            };
            let smaller = smaller.as_ref().and_then(|bearing| {
                let mut design = real.clone();
                design.joints = real.joints.with_bearing(bearing).ok()?;
                // Shafts and housing belong to the bearing: those of the larger one do
                // not fit the smaller boss, so they follow from it as in a search.
                if let Some(layers) = &mut design.layers {
                    layers.base = BaseSizes::default();
                }
                least_stiffness(&design, requirements)
            });
            StagePoint {
                stages,
                smaller,
                rigid: least_stiffness(&rigid, requirements),
                real: least_stiffness(&real, requirements),
            }
        })
        .collect();
    Ok(points)
}

/// Position of the stiffest entry by a value.
pub fn best_stages(curve: &[StagePoint], value: fn(&StagePoint) -> Option<f64>) -> Option<usize> {
    curve
        .iter()
        .filter_map(|point| value(point).map(|v| (v, point.stages)))
        .max_by(|a, b| a.0.total_cmp(&b.0).then(b.1.cmp(&a.1)))
        .map(|(_, stages)| stages)
}

/// Least translational stiffness over the covered directions, N/m; `None` if
/// nothing is covered or the design cannot be built.
pub fn least_stiffness(design: &Design, requirements: &Requirements) -> Option<f64> {
    least_stiffness_of(&requirements.subject(design).ok()?)
}

/// The same for a design made ready.
pub fn least_stiffness_of(subject: &Subject) -> Option<f64> {
    let model = subject.model().ok()?;
    let range = subject.elastic_range().ok()??;
    ring_grid(&model.kinematics, range, subject.region(), 9, 1)
        .iter()
        .filter_map(|place| solve_ring(model, place.second, &place.azimuths, &[]).ok())
        .map(|ring| ring.stiffness.least)
        .reduce(f64::min)
}
