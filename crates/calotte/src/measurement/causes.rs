//! Which single physical cause explains most of what was measured.
//!
//! For every cause by itself the squared residuals that are left are computed from the
//! derivatives at the design's values, the tracker's pose and the sensor's radius fitted
//! with it. Errors of a prototype are small, so that the straight line serves.

use nalgebra::{DMatrix, DVector};

use super::model::{Cause, PhysicalModel};

/// What one cause explains.
#[derive(Debug, Clone, PartialEq)]
pub struct Explained {
    /// The cause.
    pub cause: Cause,
    /// Share of the squared residuals above the noise that it takes away, at most 1.
    pub share: f64,
    /// What its parameters would be, with their position in the model's list, SI.
    pub values: Vec<(usize, f64)>,
    /// How far the greatest of them is from the design in typical errors of workshops.
    pub size: f64,
}

/// Greatest ratio of singular values at which columns count as independent.
const INDEPENDENT: f64 = 1e-7;

/// Ranks causes by what each explains alone.
///
/// # Arguments
/// - `derivatives`: rows of inliers; columns by `candidates` in typical sizes, then the pose.
/// - `residuals`: measured less predicted with the design's values, in the same rows, m.
/// - `noise`: standard deviation of a component, m.
pub(super) fn ranked(
    model: &PhysicalModel,
    derivatives: &DMatrix<f64>,
    candidates: &[usize],
    residuals: &DVector<f64>,
    noise: f64,
) -> Vec<Explained> {
    let pose: Vec<usize> = (candidates.len()..derivatives.ncols()).collect();
    let slots_of = |cause: &Cause| -> Vec<usize> {
        (0..candidates.len())
            .filter(|slot| model.parameters[candidates[*slot]].cause == *cause)
            .collect()
    };
    let radius = candidates
        .iter()
        .position(|index| *index == model.sensor_radius());
    let mut base = pose.clone();
    base.extend(radius);
    let left_by = |columns: &[usize]| {
        let chosen = derivatives.select_columns(columns);
        let svd = chosen.clone().svd(true, true);
        let limit = INDEPENDENT * svd.singular_values.max();
        svd.solve(residuals, limit)
            .ok()
            .map(|found| ((residuals - chosen * &found).norm_squared(), found))
    };
    let Some((before, _)) = left_by(&base) else {
        return Vec::new();
    };
    let rows = residuals.iter().filter(|r| **r != 0.0).count();
    let floor = noise * noise * rows as f64;
    let above = before - floor;
    let mut causes: Vec<Cause> = Vec::new();
    for index in candidates {
        let cause = &model.parameters[*index].cause;
        if !causes.contains(cause) {
            causes.push(cause.clone());
        }
    }
    let mut ranked: Vec<Explained> = causes
        .into_iter()
        .filter_map(|cause| {
            let own = slots_of(&cause);
            let mut columns = base.clone();
            columns.extend(own.iter().filter(|slot| Some(**slot) != radius));
            let (left, found) = left_by(&columns)?;
            let values: Vec<(usize, f64)> = own
                .iter()
                .filter_map(|slot| {
                    let at = columns.iter().position(|column| column == slot)?;
                    let index = candidates[*slot];
                    let parameter = &model.parameters[index];
                    Some((index, parameter.nominal + found[at] * parameter.typical))
                })
                .collect();
            let size = own
                .iter()
                .filter_map(|slot| columns.iter().position(|column| column == slot))
                .map(|at| found[at].abs())
                .fold(0.0, f64::max);
            let share = if above > 0.0 {
                ((before - left) / above).clamp(0.0, 1.0)
            } else {
                0.0
            };
            Some(Explained {
                cause,
                share,
                values,
                size,
            })
        })
        .collect();
    ranked.sort_by(|a, b| b.share.total_cmp(&a.share));
    ranked
}
