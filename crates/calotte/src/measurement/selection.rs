//! Which parameters the points can tell: from the derivatives, scaled by the errors that
//! workshops leave, against the noise.
//!
//! Columns are taken one after the other, the one whose part that no column taken before
//! (the pose first) explains is greatest. A parameter is held where an error of typical size
//! would move the points by less than the noise, all rows together: the points would then
//! tell it worse than the workshop's own word.

use nalgebra::{DMatrix, DVector};

/// What the points tell of one parameter.
#[derive(Debug, Clone, PartialEq)]
pub struct Told {
    /// Position in the model's list.
    pub index: usize,
    /// Whether it is fitted; a parameter that is not keeps the design's value.
    pub fitted: bool,
    /// Its effect, as far as nothing taken before it explains it, for an error of typical
    /// size, over the noise of all rows together.
    pub signal: f64,
    /// For one that is held: fitted parameters that have most of its effect, each with how
    /// many typical errors of it one typical error of this one looks like.
    pub looks_like: Vec<(usize, f64)>,
}

/// Share of a held parameter's look that is worth naming.
const WORTH_NAMING: f64 = 0.25;
/// Relative size of a column below which nothing of it is left but rounding.
const ROUNDING: f64 = 1e-9;

/// Takes columns in the order of what is new in them.
///
/// # Arguments
/// - `derivatives`: rows of inliers only; columns as `candidates`, then the pose.
/// - `noise`: standard deviation of a residual component, m.
/// - `signal_min`: what a column must add to be taken.
pub(super) fn select(
    derivatives: &DMatrix<f64>,
    candidates: &[usize],
    noise: f64,
    signal_min: f64,
) -> Vec<Told> {
    let mut columns: Vec<DVector<f64>> = derivatives
        .column_iter()
        .map(|column| column.into_owned())
        .collect();
    let pose = columns.split_off(candidates.len());
    let lengths: Vec<f64> = columns.iter().map(DVector::norm).collect();
    let mut basis: Vec<DVector<f64>> = Vec::new();
    for column in pose {
        take(&mut basis, column);
    }
    for column in &mut columns {
        for _ in 0..2 {
            for taken in &basis {
                remove(column, taken);
            }
        }
    }
    let mut told: Vec<Told> = Vec::new();
    let mut left: Vec<usize> = (0..candidates.len()).collect();
    while let Some(place) = (0..left.len()).max_by(|a, b| {
        let size = |place: usize| columns[left[place]].norm();
        // Of equals the first in the list.
        size(*a).total_cmp(&size(*b)).then(b.cmp(a))
    }) {
        let slot = left.remove(place);
        let new = columns[slot].norm();
        let signal = new / noise;
        let fitted = signal >= signal_min && new > ROUNDING * lengths[slot];
        told.push(Told {
            index: candidates[slot],
            fitted,
            signal,
            looks_like: Vec::new(),
        });
        if !fitted {
            continue;
        }
        let unit = &columns[slot] / new;
        for other in &left {
            for _ in 0..2 {
                remove(&mut columns[*other], &unit);
            }
        }
        basis.push(unit);
    }
    told
}

/// Says what the held parameters look like.
pub(super) fn say_what_held_ones_look_like(
    told: &mut [Told],
    derivatives: &DMatrix<f64>,
    candidates: &[usize],
) {
    let slot_of = |index: usize| candidates.iter().position(|c| *c == index);
    let fitted: Vec<usize> = told.iter().filter(|t| t.fitted).map(|t| t.index).collect();
    let mut columns: Vec<usize> = fitted.iter().filter_map(|index| slot_of(*index)).collect();
    columns.extend(candidates.len()..derivatives.ncols());
    let explained_by = derivatives.select_columns(&columns);
    let normal = explained_by.tr_mul(&explained_by);
    let Some(factor) = normal.cholesky() else {
        return;
    };
    for one in told.iter_mut().filter(|t| !t.fitted) {
        let Some(slot) = slot_of(one.index) else {
            continue;
        };
        let shares = factor.solve(&explained_by.tr_mul(&derivatives.column(slot)));
        let mut like: Vec<(usize, f64)> = fitted
            .iter()
            .zip(shares.iter())
            .map(|(index, share)| (*index, *share))
            .filter(|(_, share)| share.abs() > WORTH_NAMING)
            .collect();
        like.sort_by(|a, b| b.1.abs().total_cmp(&a.1.abs()));
        one.looks_like = like;
    }
}

/// Takes the part of `column` along a unit vector out of it.
fn remove(column: &mut DVector<f64>, unit: &DVector<f64>) {
    let along = column.dot(unit);
    column.axpy(-along, unit, 1.0);
}

/// Adds a column to an orthonormal basis, if anything of it is new.
fn take(basis: &mut Vec<DVector<f64>>, mut column: DVector<f64>) {
    let before = column.norm();
    for _ in 0..2 {
        for taken in basis.iter() {
            remove(&mut column, taken);
        }
    }
    let after = column.norm();
    if after > ROUNDING * before && after > 0.0 {
        basis.push(column / after);
    }
}
