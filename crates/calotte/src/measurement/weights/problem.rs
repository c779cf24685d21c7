//! Least squares of gauge readings, within bounds.
//!
//! Factors stay between 1/20 and 20 by their parameterisation, L tanh(x/L). Compliance of the
//! base, play and friction enter linearly and are not negative: one that would be is set to 0
//! and the others are fitted again, until none would be and none set to 0 would grow.

use std::cell::RefCell;

use levenberg_marquardt::{LeastSquaresProblem, LevenbergMarquardt};
use nalgebra::{DMatrix, DVector, Dyn, Owned, U1, Vector3};

use super::forward::Forward;
use super::parameter::WeightMeasure;
use crate::measurement::data::{Course, Displacement};

/// Greatest logarithm of a factor.
const FARTHEST: f64 = 2.995_732_273_553_991;
/// Share of it from which a factor counts as at its limit.
const AT_LIMIT: f64 = 0.98;
/// Way around a place in which its derivatives serve, in typical sizes. They change by less
/// than 1/500 there, and what is found by less than 1/500 of its standard error.
const NEAR: f64 = 2e-3;
/// Slope over the length of its column below which an unknown at 0 stays there.
const FLAT: f64 = 1e-9;

/// A fit under way.
#[derive(Clone)]
pub(super) struct Problem<'f> {
    pub(super) forward: &'f Forward<'f>,
    /// Weight of each row; 0 leaves it out.
    pub(super) weights: Vec<f64>,
    /// Positions of the free unknowns.
    pub(super) free: Vec<usize>,
    /// Those of them that stay at 0 because they would be negative.
    pub(super) at_bound: Vec<usize>,
    /// Coordinates of all unknowns.
    pub(super) coordinates: Vec<f64>,
    /// Free ones that move, and where they are, in typical sizes.
    pub(super) moving: Vec<usize>,
    pub(super) unknowns: DVector<f64>,
    /// Derivatives of what moves, with the place they were taken at.
    pub(super) kept: RefCell<Option<Kept>>,
    /// The last misses, with the coordinates they belong to.
    pub(super) last: RefCell<Option<(Vec<f64>, Vec<f64>)>>,
}

/// Derivatives that serve a little way around their place.
#[derive(Clone)]
pub(super) struct Kept {
    of: Vec<usize>,
    at: Vec<f64>,
    derivatives: DMatrix<f64>,
}

impl<'f> Problem<'f> {
    pub(super) fn new(
        forward: &'f Forward<'f>,
        weights: Vec<f64>,
        free: Vec<usize>,
        coordinates: Vec<f64>,
    ) -> Self {
        Self {
            forward,
            weights,
            free,
            at_bound: Vec::new(),
            coordinates,
            moving: Vec::new(),
            unknowns: DVector::zeros(0),
            kept: RefCell::new(None),
            last: RefCell::new(None),
        }
    }

    /// Runs until the residuals no longer shrink, within the bounds.
    pub(super) fn solved(mut self) -> Self {
        let mut came_back: Vec<usize> = Vec::new();
        // Every unknown goes to its bound at most twice.
        for _ in 0..=3 * self.free.len() {
            self.start();
            if !self.moving.is_empty() {
                let (found, _) = LevenbergMarquardt::new()
                    .with_tol(1e-8)
                    .with_patience(60)
                    .minimize(self);
                self = found;
            }
            if let Some(index) = self.most_negative() {
                self.coordinates[index] = 0.0;
                self.at_bound.push(index);
            } else if let Some(index) = self.would_grow(&came_back) {
                self.at_bound.retain(|own| *own != index);
                came_back.push(index);
            } else {
                break;
            }
        }
        self
    }

    /// Free unknowns that are at no bound.
    pub(super) fn inside(&self) -> Vec<usize> {
        let mut list = self.not_zeroed();
        list.retain(|index| {
            !(self.is_factor(*index) && self.coordinates[*index].abs() > AT_LIMIT * FARTHEST)
        });
        list
    }

    fn not_zeroed(&self) -> Vec<usize> {
        let free = self.free.iter().copied();
        free.filter(|index| !self.at_bound.contains(index))
            .collect()
    }

    fn start(&mut self) {
        self.moving = self.not_zeroed();
        self.unknowns = DVector::from_iterator(
            self.moving.len(),
            self.moving.iter().map(|index| {
                let (at, typical) = (self.coordinates[*index], self.typical(*index));
                if self.is_factor(*index) {
                    let share = (at / FARTHEST).clamp(-1.0 + 1e-9, 1.0 - 1e-9);
                    FARTHEST * share.atanh() / typical
                } else {
                    at / typical
                }
            }),
        );
    }

    fn most_negative(&self) -> Option<usize> {
        let size = |index: usize| self.coordinates[index] / self.typical(index);
        self.moving
            .iter()
            .copied()
            .filter(|index| !self.is_factor(*index) && self.coordinates[*index] < 0.0)
            .min_by(|a, b| size(*a).total_cmp(&size(*b)))
    }

    /// An unknown at its bound that would leave it, those that came back once not asked.
    fn would_grow(&self, came_back: &[usize]) -> Option<usize> {
        let residuals = self.residuals()?;
        let asked = self.at_bound.iter().copied();
        asked
            .filter(|index| !came_back.contains(index))
            .find(|index| {
                let Some(column) = self.weighted(&[*index]) else {
                    return false;
                };
                let slope = column.column(0).dot(&residuals);
                slope < -FLAT * column.norm() * residuals.norm()
            })
    }

    fn is_factor(&self, index: usize) -> bool {
        self.forward.parameters[index].measure() == WeightMeasure::Factor
    }

    fn typical(&self, index: usize) -> f64 {
        self.forward.parameters[index].typical()
    }

    /// Predicted less measured, each component, m; `None` where the structure has no answer.
    pub(super) fn misses(&self) -> Option<Vec<f64>> {
        if let Some((at, misses)) = self.last.borrow().as_ref()
            && *at == self.coordinates
        {
            return Some(misses.clone());
        }
        let answers = self.forward.answers(&self.coordinates).ok()?;
        let predicted = self.forward.predicted(&answers, &self.coordinates);
        let seen = predicted.iter().zip(&self.forward.components);
        let misses: Vec<f64> = seen.map(|(p, component)| p - component.measured).collect();
        let kept = (self.coordinates.clone(), misses.clone());
        self.last.replace(Some(kept));
        Some(misses)
    }

    /// Derivatives of every component by coordinates, each by its typical size, m.
    pub(super) fn derivatives(&self, of: &[usize]) -> Option<DMatrix<f64>> {
        let mut matrix = DMatrix::zeros(self.forward.components.len(), of.len());
        for (slot, index) in of.iter().enumerate() {
            let column = self.forward.derivative(&self.coordinates, *index).ok()?;
            matrix.set_column(slot, &DVector::from_vec(column));
        }
        Some(matrix)
    }

    /// Derivatives of what moves, from here or from near by.
    fn derivatives_near(&self) -> Option<DMatrix<f64>> {
        let near = |kept: &Kept| {
            let mut places = kept.at.iter().zip(&self.coordinates).enumerate();
            kept.of == self.moving
                && places.all(|(i, (a, b))| (a - b).abs() <= NEAR * self.typical(i))
        };
        if let Some(kept) = self.kept.borrow().as_ref().filter(|kept| near(kept)) {
            return Some(kept.derivatives.clone());
        }
        let derivatives = self.derivatives(&self.moving)?;
        self.kept.replace(Some(Kept {
            of: self.moving.clone(),
            at: self.coordinates.clone(),
            derivatives: derivatives.clone(),
        }));
        Some(derivatives)
    }

    /// Derivatives of the rows that count, weighed.
    pub(super) fn weighted(&self, of: &[usize]) -> Option<DMatrix<f64>> {
        Some(self.weighed(self.derivatives(of)?))
    }

    fn weighed(&self, mut matrix: DMatrix<f64>) -> DMatrix<f64> {
        for (component, mut row) in self.forward.components.iter().zip(matrix.row_iter_mut()) {
            row *= self.weights[component.slot].sqrt();
        }
        matrix
    }

    /// Whether a component says something: not where the gauge was set to 0.
    pub(super) fn says_something(&self, component: usize) -> bool {
        let row = self.forward.rows[self.forward.components[component].slot];
        let zero = match row.displacement {
            Displacement::Along { value, .. } => value == 0.0,
            Displacement::Vector(vector) => vector == Vector3::zeros(),
        };
        !(zero && row.mass == 0.0 && row.course == Course::Loading)
    }

    /// Standard deviation of a component of the rows that count, m, at least `least`.
    pub(super) fn noise(&self, least: f64) -> f64 {
        let Some(misses) = self.misses() else {
            return least;
        };
        let (mut sum, mut count) = (0.0, 0usize);
        for (index, miss) in misses.iter().enumerate() {
            let slot = self.forward.components[index].slot;
            if self.weights[slot] > 0.0 && self.says_something(index) {
                sum += miss * miss;
                count += 1;
            }
        }
        let freedom = count.saturating_sub(self.inside().len()).max(1);
        (sum / freedom as f64).sqrt().max(least)
    }
}

impl LeastSquaresProblem<f64, Dyn, Dyn> for Problem<'_> {
    type ParameterStorage = Owned<f64, Dyn, U1>;
    type ResidualStorage = Owned<f64, Dyn, U1>;
    type JacobianStorage = Owned<f64, Dyn, Dyn>;

    fn set_params(&mut self, unknowns: &DVector<f64>) {
        self.unknowns.copy_from(unknowns);
        for (slot, index) in self.moving.iter().enumerate() {
            let along = unknowns[slot] * self.typical(*index);
            self.coordinates[*index] = if self.is_factor(*index) {
                FARTHEST * (along / FARTHEST).tanh()
            } else {
                along
            };
        }
    }

    fn params(&self) -> DVector<f64> {
        self.unknowns.clone()
    }

    fn residuals(&self) -> Option<DVector<f64>> {
        let misses = self.misses()?;
        let components = self.forward.components.iter();
        let weighted = misses
            .iter()
            .zip(components)
            .map(|(miss, component)| miss * self.weights[component.slot].sqrt());
        Some(DVector::from_iterator(misses.len(), weighted))
    }

    fn jacobian(&self) -> Option<DMatrix<f64>> {
        let mut matrix = self.weighed(self.derivatives_near()?);
        for (slot, index) in self.moving.iter().enumerate() {
            if self.is_factor(*index) {
                let share = self.coordinates[*index] / FARTHEST;
                matrix.column_mut(slot).scale_mut(1.0 - share * share);
            }
        }
        Some(matrix)
    }
}
