//! Which single physical cause explains most of what was measured.
//!
//! For every cause by itself the squared residuals that are left are computed from the
//! derivatives at the design's values, the tracker's pose and the sensor's radius fitted
//! with it. Errors of a prototype are small, so that the straight line serves.

use super::faults::Explanation;
use super::problem::Normal;
use crate::family::real::{Cause, PhysicalModel};

/// What one cause explains.
#[derive(Debug, Clone, PartialEq)]
pub struct Explained {
    /// The cause.
    pub cause: Cause,
    /// Probability that something of it is beyond tolerance, over all sets of faults.
    pub probability: f64,
    /// Share of the squared residuals above the noise that it takes away, at most 1.
    pub share: f64,
    /// What its parameters would be, with their position in the model's list, SI.
    pub values: Vec<(usize, f64)>,
    /// How far the greatest of them is from the design in typical errors of workshops.
    pub size: f64,
}

/// Greatest ratio of eigenvalues at which columns count as independent.
const INDEPENDENT: f64 = 1e-13;

/// Ranks causes by how probably they are faults, then by what each explains alone.
///
/// # Arguments
/// - `normal`: normal equations about the design's values over the rows used; columns by
///   `candidates` in typical sizes, then the pose.
/// - `noise`: standard deviation of a component, m.
/// - `explanations`: sets of parts with their probabilities.
pub(super) fn ranked(
    model: &PhysicalModel,
    normal: &Normal,
    candidates: &[usize],
    noise: f64,
    explanations: &[Explanation],
) -> Vec<Explained> {
    let pose: Vec<usize> = (candidates.len()..normal.matrix.ncols()).collect();
    let radius = candidates
        .iter()
        .position(|index| *index == model.sensor_radius());
    let mut base = pose.clone();
    base.extend(radius);
    // What is left of the squares with some columns fitted, and their values.
    let left_by = |columns: &[usize]| {
        let matrix = normal.matrix.select_columns(columns).select_rows(columns);
        let right = -normal.gradient.select_rows(columns);
        let eigen = matrix.symmetric_eigen();
        let limit = INDEPENDENT * eigen.eigenvalues.max();
        let mut along = eigen.eigenvectors.tr_mul(&right);
        for (value, eigenvalue) in along.iter_mut().zip(eigen.eigenvalues.iter()) {
            *value = if *eigenvalue > limit {
                *value / eigenvalue
            } else {
                0.0
            };
        }
        let found = eigen.eigenvectors * along;
        (normal.square_sum - right.dot(&found), found)
    };
    let (before, _) = left_by(&base);
    let floor = noise * noise * 3.0 * normal.rows as f64;
    let above = before - floor;
    let mut ranked: Vec<Explained> = Vec::new();
    for own in groups(model, candidates) {
        let mut columns = base.clone();
        columns.extend(own.iter().filter(|slot| Some(**slot) != radius));
        let (left, found) = left_by(&columns);
        let places: Vec<(usize, usize)> = own
            .iter()
            .filter_map(|slot| {
                let at = columns.iter().position(|column| column == slot)?;
                Some((candidates[*slot], at))
            })
            .collect();
        let values = places.iter().map(|(index, at)| {
            let parameter = &model.parameters[*index];
            (*index, parameter.nominal + found[*at] * parameter.typical)
        });
        let size = places.iter().map(|(_, at)| found[*at].abs());
        let explained = Explained {
            values: values.collect(),
            size: size.fold(0.0, f64::max),
            share: if above > 0.0 {
                ((before - left) / above).clamp(0.0, 1.0)
            } else {
                0.0
            },
            probability: 0.0,
            cause: model.parameters[candidates[own[0]]].cause.clone(),
        };
        // Of the arcs and the bend of one bar the one that explains most stands for it.
        match ranked.iter_mut().find(|one| one.cause == explained.cause) {
            Some(one) if one.share < explained.share => *one = explained,
            Some(_) => {}
            None => ranked.push(explained),
        }
    }
    for one in &mut ranked {
        let with = explanations.iter().filter(|e| e.parts.contains(&one.cause));
        one.probability = with.map(|e| e.probability).sum();
    }
    // Below one in a hundred the share alone orders them.
    let order = |one: &Explained| (100.0 * one.probability).floor();
    ranked.sort_by(|a, b| {
        let by_probability = order(b).total_cmp(&order(a));
        by_probability.then(b.share.total_cmp(&a.share))
    });
    ranked
}

/// Columns of what can be off by itself: every arc and bend alone, what belongs together
/// otherwise.
fn groups(model: &PhysicalModel, candidates: &[usize]) -> Vec<Vec<usize>> {
    let mut groups: Vec<(Option<&Cause>, Vec<usize>)> = Vec::new();
    for (slot, index) in candidates.iter().enumerate() {
        let cause = &model.parameters[*index].cause;
        let together = (!matches!(cause, Cause::Bar(_))).then_some(cause);
        let known = groups
            .iter_mut()
            .find(|(known, _)| known.is_some() && *known == together);
        match known {
            Some((_, slots)) => slots.push(slot),
            None => groups.push((together, vec![slot])),
        }
    }
    groups.into_iter().map(|(_, slots)| slots).collect()
}
