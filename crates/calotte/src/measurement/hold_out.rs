//! Whether a fit learns the linkage or the noise: what it predicts of rows it has not seen.

use nalgebra::Vector3;

use super::problem::{Normal, POSE, Problem, Sample, places};
use super::registration::register;

/// Errors of prediction over rows left out of the fit, one fifth after the other.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct HoldOut {
    /// Root mean square with the design's values, the pose alone fitted, m.
    pub before: f64,
    /// Root mean square with the fitted parameters, m.
    pub after: f64,
    /// Number of parts the rows were divided into.
    pub parts: usize,
}

/// Rows that are worth dividing: what draws the parameters to the design keeps a fit of few
/// rows from running after the noise, the pose has to be told.
const ROWS_MIN: usize = 4 * POSE;
/// Parts the rows are divided into.
const PARTS: usize = 5;

/// Fits without one part of the rows after the other and predicts that part: one step from
/// the fit of all rows, which is so near that it is the fit.
///
/// Rows of one group stay together. `None` with too few rows for it.
pub(super) fn hold_out(fit: &Problem, used: &[usize]) -> Option<HoldOut> {
    let samples = fit.samples;
    let parts = parts_of(samples, used);
    if used.len() < ROWS_MIN {
        return None;
    }
    let nominal = fit.model.nominal();
    let from = places(fit.model, samples, &nominal);
    let to: Vec<Vector3<f64>> = samples.iter().map(|s| s.row.point).collect();
    let of_part = |part: usize, inside: bool| -> Vec<f64> {
        let mut weights = vec![0.0; samples.len()];
        for (slot, of) in used.iter().zip(&parts) {
            weights[*slot] = f64::from(u8::from((*of == part) == inside));
        }
        weights
    };
    let normals: Vec<Normal> = (0..PARTS)
        .map(|part| {
            let mut only = fit.clone();
            only.weights = of_part(part, true);
            only.normal(&fit.free)
        })
        .collect();
    let (mut before, mut after, mut count) = (0.0, 0.0, 0usize);
    for part in 0..PARTS {
        let mut others: Option<Normal> = None;
        for (other, normal) in normals.iter().enumerate() {
            if other != part {
                match &mut others {
                    None => others = Some(normal.clone()),
                    Some(sum) => sum.add(normal),
                }
            }
        }
        let others = fit.with_pull(others?);
        let step = -others.matrix.cholesky()?.solve(&others.gradient);
        let learned = fit.moved(&step);
        let plain = register(&from, &to, &of_part(part, false)).ok()?;
        let own = of_part(part, true);
        let misses = learned.misses_where(|row| own[row] > 0.0);
        for (slot, of) in used.iter().zip(&parts) {
            if *of == part {
                before += (plain.of(&from[*slot]) - to[*slot]).norm_squared();
                after += misses[*slot]?.norm_squared();
                count += 1;
            }
        }
    }
    let rms = |sum: f64| (sum / count as f64).sqrt();
    (count > 0).then(|| HoldOut {
        before: rms(before),
        after: rms(after),
        parts: PARTS,
    })
}

/// Part of each used row: rows one after the other in turn, groups as one.
fn parts_of(samples: &[Sample], used: &[usize]) -> Vec<usize> {
    let mut names: Vec<&str> = Vec::new();
    let mut next = 0;
    used.iter()
        .map(|slot| {
            let group = samples[*slot].row.group.as_str();
            if group.is_empty() {
                next += 1;
                return next % PARTS;
            }
            let place = names.iter().position(|name| *name == group);
            let place = place.unwrap_or_else(|| {
                names.push(group);
                names.len() - 1
            });
            place % PARTS
        })
        .collect()
}
