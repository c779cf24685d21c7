//! Which unknowns the rows tell: their typical errors against the noise, and what the
//! residuals plainly ask for.

use nalgebra::{DMatrix, DVector};

use super::forward::Forward;
use super::problem::Problem;
use super::robust::robust;
use crate::measurement::selection::{Told, say_what_held_ones_look_like, select};

/// Noise below which residuals are rounding, m.
pub(super) const NOISE_MIN: f64 = 1e-12;
/// Noise assumed before any is known, m: what a good gauge resolves (common practice, no source).
const NOISE_AT_FIRST: f64 = 1e-6;
/// Rounds in which the choice of unknowns follows the noise.
const CHOICES: usize = 6;
/// Standard errors from the design at which a held unknown is fitted after all.
const PLAINLY: f64 = 6.0;
/// Share of a column that must be its own for it to be told from others.
const INDEPENDENT: f64 = 1e-6;
/// Farthest coordinate of a factor at which it is asked whether the rows tell it.
const NEAR: f64 = 1.0;

/// A fit of unknowns that are not held by wish.
pub(super) struct Task<'f> {
    pub(super) forward: &'f Forward<'f>,
    pub(super) candidates: Vec<usize>,
    pub(super) signal_min: f64,
}

impl<'f> Task<'f> {
    fn as_designed(&self, free: Vec<usize>) -> Problem<'f> {
        let everything = vec![1.0; self.forward.rows.len()];
        let coordinates = vec![0.0; self.forward.parameters.len()];
        Problem::new(self.forward, everything, free, coordinates)
    }

    /// With other unknowns free, those that stay free where they are.
    fn from(&self, before: &Problem<'f>, free: Vec<usize>) -> Problem<'f> {
        let mut start = self.as_designed(free);
        for index in &start.free {
            start.coordinates[*index] = before.coordinates[*index];
        }
        start
    }

    /// Fits, with what is told of each candidate.
    pub(super) fn run(&self) -> (Problem<'f>, Vec<Told>) {
        let mut problem = self.as_designed(Vec::new());
        let mut told = self.told(&problem, NOISE_AT_FIRST);
        let mut asked: Vec<usize> = Vec::new();
        for _ in 0..CHOICES + self.candidates.len() {
            problem = robust(self.from(&problem, fitted(&told)), NOISE_MIN);
            let mut anew = self.told(&problem, problem.noise(NOISE_MIN));
            asked.extend(self.plainly_asked(&problem));
            for one in anew.iter_mut().filter(|one| asked.contains(&one.index)) {
                one.fitted = true;
                one.looks_like.clear();
            }
            let same = fitted(&told) == fitted(&anew);
            told = anew;
            if same {
                return (problem, told);
            }
        }
        // What was chosen last is what is fitted.
        (robust(self.from(&problem, fitted(&told)), NOISE_MIN), told)
    }

    /// The held unknown that the residuals ask for most, if they do so plainly: it is off by
    /// far more than workshops usually leave.
    fn plainly_asked(&self, problem: &Problem<'f>) -> Option<usize> {
        let mut about = problem.clone();
        about.weights = in_or_out(&problem.weights);
        let misses = DVector::from_vec(about.misses()?);
        let counts = about.forward.components.iter();
        let counts = DVector::from_iterator(
            misses.len(),
            counts.map(|component| about.weights[component.slot]),
        );
        let misses = misses.component_mul(&counts);
        let freedom = counts.sum() - about.inside().len() as f64 - 1.0;
        let derivatives = about.weighted(&self.candidates)?;
        let chosen = derivatives.select_columns(&self.slots(&about.inside()));
        let factor = chosen.tr_mul(&chosen).cholesky();
        let held = self.candidates.iter().enumerate();
        let asked = held
            .filter(|(_, index)| !about.free.contains(index))
            .filter_map(|(slot, index)| {
                let whole = derivatives.column(slot).into_owned();
                let mut new = whole.clone();
                if let Some(factor) = &factor {
                    new -= &chosen * factor.solve(&chosen.tr_mul(&whole));
                }
                let share = -new.dot(&misses) / (new.norm() * misses.norm());
                // Student's t of the unknown, were it fitted.
                let t = share * (freedom / (1.0 - share * share)).sqrt();
                let may_shrink = self.forward.parameters[*index].value(0.0) == 1.0;
                let size = if may_shrink { t.abs() } else { t };
                let told = new.norm() > INDEPENDENT * whole.norm();
                (told && size > PLAINLY).then_some((*index, size))
            });
        asked
            .max_by(|a, b| a.1.total_cmp(&b.1))
            .map(|(index, _)| index)
    }

    /// The choice of unknowns about where a fit is, but not far from the design: a factor
    /// that ran away hides its own effect.
    fn told(&self, problem: &Problem<'f>, noise: f64) -> Vec<Told> {
        let mut near = problem.clone();
        for (coordinate, parameter) in near.coordinates.iter_mut().zip(&self.forward.parameters) {
            if parameter.value(0.0) == 1.0 {
                *coordinate = coordinate.clamp(-NEAR, NEAR);
            }
        }
        near.weights = in_or_out(&problem.weights);
        let Some(derivatives) = near.weighted(&self.candidates) else {
            return Vec::new();
        };
        let information = derivatives.tr_mul(&derivatives);
        let mut told = select(&information, &self.candidates, noise, self.signal_min);
        // One taken early may be told worse once others are taken: the worst goes.
        loop {
            let chosen = fitted(&told);
            let Some(covariance) = covariance(&derivatives, &self.slots(&chosen)) else {
                break;
            };
            let error = |place: usize| noise * covariance[(place, place)].max(0.0).sqrt();
            let worst = (0..chosen.len())
                .max_by(|a, b| error(*a).total_cmp(&error(*b)))
                .filter(|place| error(*place) * self.signal_min > 1.0);
            let Some(place) = worst else { break };
            if let Some(one) = told.iter_mut().find(|t| t.index == chosen[place]) {
                one.fitted = false;
            }
        }
        say_what_held_ones_look_like(&mut told, &information, &self.candidates);
        told
    }

    /// Columns of unknowns among the candidates.
    fn slots(&self, of: &[usize]) -> Vec<usize> {
        of.iter()
            .filter_map(|index| self.candidates.iter().position(|own| own == index))
            .collect()
    }
}

/// Positions of the fitted unknowns, ascending.
fn fitted(told: &[Told]) -> Vec<usize> {
    let mut list: Vec<usize> = told.iter().filter(|t| t.fitted).map(|t| t.index).collect();
    list.sort_unstable();
    list
}

/// Weights of 1 for rows that count at all.
pub(super) fn in_or_out(weights: &[f64]) -> Vec<f64> {
    weights
        .iter()
        .map(|weight| f64::from(u8::from(*weight > 0.0)))
        .collect()
}

/// (JᵀJ)⁻¹ of some columns; `None` where they cannot be told from one another.
pub(super) fn covariance(derivatives: &DMatrix<f64>, columns: &[usize]) -> Option<DMatrix<f64>> {
    let chosen = derivatives.select_columns(columns);
    let factor = chosen.tr_mul(&chosen).cholesky()?;
    Some(factor.inverse())
}
