//! One test: whether residuals follow columns that the fit did not have.

use nalgebra::{DMatrix, DVector, Vector3};

use super::super::problem::{POSE, Problem};
use super::columns::{order_of, step_columns, wander_columns};
use super::{Movement, Tested, Untestable, tail};

/// Share of a column's square that the fit must leave of it for it to be tested.
const LEFT_MIN: f64 = 1e-3;
/// Greatest ratio of eigenvalues at which columns count as independent.
const INDEPENDENT: f64 = 1e-12;
/// Probability with which what is called seen is found.
const POWER: f64 = 0.9;
/// Places at which a step is looked for.
const STEPS_MAX: usize = 100;

/// What a fit leaves, with what it could take.
pub(super) struct Residuals {
    /// Positions of the rows that count.
    pub(super) rows: Vec<usize>,
    /// Measured less predicted, three components a row, tracker's frame, m.
    pub(super) misses: DVector<f64>,
    /// The same, and below it what the priors miss.
    all_misses: DVector<f64>,
    /// What the fit can take: directions of length one at right angles that the derivatives by
    /// parameters and pose span, with the roots of the priors times the noise below them.
    taken: DMatrix<f64>,
    noise: f64,
    freedom: f64,
}

/// Columns as far as the fit leaves them.
struct Score {
    /// Drop of χ² if the columns were fitted too.
    drop: f64,
    rank: usize,
    /// Their coefficients.
    coefficients: DVector<f64>,
    /// Sum of the squares of what they explain, m².
    explained: f64,
}

impl Residuals {
    pub(super) fn new(
        problem: &Problem,
        precision: &DVector<f64>,
        noise: f64,
        freedom: f64,
    ) -> Self {
        let columns = problem.free.len() + POSE;
        let mut block = vec![0.0; 3 * columns];
        let mut rows = Vec::new();
        let mut misses: Vec<f64> = Vec::new();
        let mut lines: Vec<f64> = Vec::new();
        for row in (0..problem.samples.len()).filter(|row| problem.weights[*row] > 0.0) {
            if let Some(miss) = problem.row(row, &problem.free, &mut block) {
                rows.push(row);
                misses.extend((-miss).iter());
                lines.extend_from_slice(&block);
            }
        }
        let derivatives = DMatrix::from_row_slice(3 * rows.len(), columns, &lines);
        let misses = DVector::from_vec(misses);
        let off = problem.free.iter().map(|index| {
            let parameter = &problem.model.parameters[*index];
            (problem.values[*index] - parameter.nominal) / parameter.typical
        });
        let off = DVector::from_iterator(problem.free.len(), off);
        Self::of(
            rows,
            misses,
            &derivatives,
            [precision, &off],
            noise,
            freedom,
        )
    }

    /// From the residuals themselves.
    ///
    /// # Arguments
    /// - `derivatives`: by parameters, then pose.
    /// - `precision`, `off`: of the parameters' priors, and where the parameters are against their
    ///   middles.
    pub(super) fn of(
        rows: Vec<usize>,
        misses: DVector<f64>,
        derivatives: &DMatrix<f64>,
        [precision, off]: [&DVector<f64>; 2],
        noise: f64,
        freedom: f64,
    ) -> Self {
        let noise = if noise.is_finite() { noise } else { 0.0 };
        let top = derivatives.nrows();
        let mut all = DMatrix::zeros(top + precision.len(), derivatives.ncols());
        all.rows_mut(0, top).copy_from(derivatives);
        let mut all_misses = misses.clone().resize_vertically(all.nrows(), 0.0);
        for (slot, precision) in precision.iter().enumerate() {
            let root = noise * precision.max(0.0).sqrt();
            all[(top + slot, slot)] = root;
            all_misses[top + slot] = -root * off[slot];
        }
        Self {
            rows,
            misses,
            all_misses,
            taken: orthogonal(&all),
            noise,
            freedom,
        }
    }

    /// Degrees of freedom of the residuals: values less what the fit takes of them.
    pub(super) fn own_freedom(&self) -> f64 {
        let top = self.misses.len();
        top as f64 - self.taken.rows(0, top).norm_squared()
    }

    /// Tests columns, three rows for each row that counts.
    pub(super) fn tested(&self, columns: &DMatrix<f64>) -> Result<Tested, Untestable> {
        let score = self.score(columns).ok_or(Untestable::Confounded)?;
        let above = score.rank as f64;
        let below = self.freedom - above;
        if below < 1.0 || self.noise <= 0.0 {
            return Err(Untestable::TooFewRows);
        }
        let statistic = if below.is_finite() {
            // The noise without what the columns explain.
            score.drop / above * below / (self.freedom - score.drop).max(f64::MIN_POSITIVE)
        } else {
            score.drop / above
        };
        let degrees = [above, below];
        Ok(Tested {
            statistic,
            degrees,
            p_value: tail::of_ratio(statistic, degrees),
            level: 0.0,
            found: false,
            effect: (score.explained / self.rows.len() as f64).sqrt(),
        })
    }

    /// Columns fitted beside the parameters; `None` where the parameters explain all of them.
    fn score(&self, columns: &DMatrix<f64>) -> Option<Score> {
        let mut columns = columns.clone();
        let lengths: Vec<f64> = columns.column_iter().map(|c| c.norm()).collect();
        for (mut column, length) in columns.column_iter_mut().zip(&lengths) {
            column.unscale_mut(length.max(f64::MIN_POSITIVE));
        }
        // Directions of length one, as if nothing had been fitted.
        let (own, back) = orthogonal_with_way_back(&columns);
        if own.ncols() == 0 {
            return None;
        }
        let left = self.left_of(&own);
        let eigen = left.tr_mul(&left).symmetric_eigen();
        let along = eigen.eigenvectors.tr_mul(&left.tr_mul(&self.all_misses));
        let mut inner = DVector::zeros(own.ncols());
        let (mut drop, mut rank) = (0.0, 0);
        for (place, share) in eigen.eigenvalues.iter().enumerate() {
            if *share > LEFT_MIN {
                drop += along[place] * along[place] / share;
                inner += eigen.eigenvectors.column(place) * (along[place] / share);
                rank += 1;
            }
        }
        let mut coefficients = back * &inner;
        for (coefficient, length) in coefficients.iter_mut().zip(&lengths) {
            *coefficient /= length.max(f64::MIN_POSITIVE);
        }
        (rank > 0).then(|| Score {
            drop: drop / (self.noise * self.noise),
            rank,
            coefficients,
            explained: inner.norm_squared(),
        })
    }

    /// Columns less what the fit can take of them.
    fn left_of(&self, columns: &DMatrix<f64>) -> DMatrix<f64> {
        let mut left = DMatrix::zeros(self.taken.nrows(), columns.ncols());
        left.rows_mut(0, columns.nrows()).copy_from(columns);
        // Twice, for the digits that the first time loses.
        for _ in 0..2 {
            let along = self.taken.tr_mul(&left);
            left -= &self.taken * along;
        }
        left
    }

    /// Even drift from the first row to the last, m, that a test at this level finds nine times
    /// of ten, whatever its direction; `None` where none could be.
    pub(super) fn drift_seen(&self, order: &[f64], tested: &Tested, level: f64) -> Option<f64> {
        let left = self.left_of(&wander_columns(order, 1..=1));
        let least = left.tr_mul(&left).symmetric_eigenvalues().min();
        let square = tail::noncentrality(tested.degrees, level, POWER);
        // Half of it is the coefficient of a column that goes from −1 to 1.
        let seen = 2.0 * self.noise * (square / least).sqrt();
        (least > 0.0 && seen.is_finite()).then_some(seen)
    }

    /// What describes best how the points move with the order of measuring: evenly, once, or
    /// by a curve, each paying for its unknowns.
    ///
    /// # Theory
    /// Schwarz's criterion (1978; from memory): χ² plus unknowns times the logarithm of the number
    /// of values.
    pub(super) fn movement(&self, problem: &Problem) -> Option<Movement> {
        let order = order_of(problem, &self.rows);
        let price = (self.misses.len() as f64).ln();
        let mut best: Option<(f64, Movement)> = None;
        let mut offer = |score: &Score, unknowns: usize, movement: Movement| {
            let worth = score.drop - unknowns as f64 * price;
            if best.as_ref().is_none_or(|(before, _)| worth > *before) {
                best = Some((worth, movement));
            }
        };
        let vector = |c: &DVector<f64>| Vector3::new(c[0], c[1], c[2]);
        if let Some(score) = self.score(&wander_columns(&order, 1..=1)) {
            let by = 2.0 * vector(&score.coefficients);
            offer(&score, 3, Movement::Even { by });
        }
        if let Some(score) = self.score(&wander_columns(&order, 1..=3)) {
            let rms = (score.explained / self.rows.len() as f64).sqrt();
            offer(&score, 9, Movement::Uneven { rms });
        }
        let stride = (self.rows.len() / STEPS_MAX).max(1);
        for last in (0..self.rows.len().saturating_sub(1)).step_by(stride) {
            if let Some(score) = self.score(&step_columns(self.rows.len(), last)) {
                let by = vector(&score.coefficients);
                let after_row = problem.samples[self.rows[last]].row.row;
                offer(&score, 4, Movement::Step { after_row, by });
            }
        }
        best.map(|(_, movement)| movement)
    }
}

fn orthogonal(columns: &DMatrix<f64>) -> DMatrix<f64> {
    let mut scaled = columns.clone();
    for mut column in scaled.column_iter_mut() {
        let length = column.norm();
        column.unscale_mut(length.max(f64::MIN_POSITIVE));
    }
    let (first, _) = orthogonal_with_way_back(&scaled);
    // Once more, for the digits that the square of nearly equal columns loses.
    orthogonal_with_way_back(&first).0
}

/// Directions of length one at right angles that the columns span, and the matrix that makes
/// coefficients of the columns from coefficients of the directions.
fn orthogonal_with_way_back(columns: &DMatrix<f64>) -> (DMatrix<f64>, DMatrix<f64>) {
    let eigen = columns.tr_mul(columns).symmetric_eigen();
    let limit = INDEPENDENT * eigen.eigenvalues.max();
    let kept: Vec<usize> = (0..eigen.eigenvalues.len())
        .filter(|place| eigen.eigenvalues[*place] > limit)
        .collect();
    let mut back = eigen.eigenvectors.select_columns(&kept);
    for (mut column, place) in back.column_iter_mut().zip(&kept) {
        column.unscale_mut(eigen.eigenvalues[*place].sqrt());
    }
    (columns * &back, back)
}
