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
/// Relative size of a column below which nothing of it is left but rounding; squares are
/// summed, so that half the digits remain.
const ROUNDING: f64 = 3e-8;

/// Takes columns in the order of what is new in them.
///
/// # Arguments
/// - `information`: JᵀJ; columns as `candidates` in typical sizes, then the pose.
/// - `noise`: standard deviation of a residual component, m.
/// - `signal_min`: what a column must add to be taken.
pub(super) fn select(
    information: &DMatrix<f64>,
    candidates: &[usize],
    noise: f64,
    signal_min: f64,
) -> Vec<Told> {
    let lengths: Vec<f64> = information
        .diagonal()
        .iter()
        .map(|d| d.max(0.0).sqrt())
        .collect();
    // What no column taken explains of the others: the Schur complement, column by column.
    let mut rest = information.clone();
    for column in candidates.len()..information.ncols() {
        if rest[(column, column)].max(0.0).sqrt() > ROUNDING * lengths[column] {
            take(&mut rest, column);
        }
    }
    let mut told: Vec<Told> = Vec::new();
    let mut left: Vec<usize> = (0..candidates.len()).collect();
    while let Some(place) = (0..left.len()).max_by(|a, b| {
        let size = |place: usize| rest[(left[place], left[place])];
        // Of equals the first in the list.
        size(*a).total_cmp(&size(*b)).then(b.cmp(a))
    }) {
        let slot = left.remove(place);
        let new = rest[(slot, slot)].max(0.0).sqrt();
        let signal = new / noise;
        let fitted = signal >= signal_min && new > ROUNDING * lengths[slot];
        told.push(Told {
            index: candidates[slot],
            fitted,
            signal,
            looks_like: Vec::new(),
        });
        if fitted {
            take(&mut rest, slot);
        }
    }
    told
}

/// Says what the held parameters look like.
pub(super) fn say_what_held_ones_look_like(
    told: &mut [Told],
    information: &DMatrix<f64>,
    candidates: &[usize],
) {
    let slot_of = |index: usize| candidates.iter().position(|c| *c == index);
    let fitted: Vec<usize> = told.iter().filter(|t| t.fitted).map(|t| t.index).collect();
    let mut columns: Vec<usize> = fitted.iter().filter_map(|index| slot_of(*index)).collect();
    columns.extend(candidates.len()..information.ncols());
    let explained_by = information.select_columns(&columns);
    let Some(factor) = explained_by.select_rows(&columns).cholesky() else {
        return;
    };
    for one in told.iter_mut().filter(|t| !t.fitted) {
        let Some(slot) = slot_of(one.index) else {
            continue;
        };
        let shares = factor.solve(&explained_by.row(slot).transpose());
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

/// Takes what a column explains out of all others.
fn take(rest: &mut DMatrix<f64>, column: usize) {
    let line: DVector<f64> = rest.column(column).into_owned();
    let pivot = line[column];
    rest.ger(-1.0 / pivot, &line, &line, 1.0);
    rest.row_mut(column).fill(0.0);
    rest.column_mut(column).fill(0.0);
}
