//! The sphere through measured points: algebraic start, then least squares of distances.

use levenberg_marquardt::{LeastSquaresProblem, LevenbergMarquardt};
use nalgebra::{DMatrix, DVector, Dyn, Matrix4, OMatrix, Owned, U1, U4, Vector3, Vector4};
use thiserror::Error;

/// A sphere fitted to points.
#[derive(Debug, Clone, PartialEq)]
pub struct SphereFit {
    /// Its centre, m, in the frame of the points.
    pub centre: Vector3<f64>,
    /// Its radius, m.
    pub radius: f64,
    /// Distance of every point outside the sphere, m; negative inside.
    pub residuals: Vec<f64>,
}

/// Points that determine no sphere.
#[derive(Debug, Clone, Copy, PartialEq, Error)]
pub enum SphereError {
    /// Too few.
    #[error("{0} points determine no sphere; 4 or more that do not lie in one plane do")]
    TooFew(usize),
    /// All in one plane, or not finite.
    #[error("the points lie in one plane or are no finite numbers: no sphere is determined")]
    OnePlane,
}

impl SphereFit {
    /// Root mean square of the residuals, m.
    pub fn rms(&self) -> f64 {
        let sum: f64 = self.residuals.iter().map(|r| r * r).sum();
        (sum / self.residuals.len() as f64).sqrt()
    }
}

/// Relative size below which the spread of the points along one direction counts as none.
const FLAT: f64 = 1e-9;

/// The sphere of least squared distances.
///
/// # Errors
/// [`SphereError`] for fewer than 4 points, or for points in one plane.
///
/// # Theory
/// Start: |p|² = 2 c·p + (r² − |c|²) is linear in c and r² − |c|². Then Gauss–Newton steps,
/// damped where they must be, on |p − c| − r.
pub fn fit_sphere(points: &[Vector3<f64>]) -> Result<SphereFit, SphereError> {
    if points.len() < 4 {
        return Err(SphereError::TooFew(points.len()));
    }
    let middle = points.iter().sum::<Vector3<f64>>() / points.len() as f64;
    let scale = points
        .iter()
        .map(|p| (p - middle).norm())
        .fold(0.0, f64::max);
    if !(scale > 0.0 && scale.is_finite()) {
        return Err(SphereError::OnePlane);
    }
    // About the middle and of size one, where the equations are well conditioned.
    let near: Vec<Vector3<f64>> = points.iter().map(|p| (p - middle) / scale).collect();
    let mut normal = Matrix4::zeros();
    let mut right = Vector4::zeros();
    for p in &near {
        let row = Vector4::new(2.0 * p.x, 2.0 * p.y, 2.0 * p.z, 1.0);
        normal += row * row.transpose();
        right += row * p.norm_squared();
    }
    let spread = near
        .iter()
        .map(|p| p * p.transpose())
        .sum::<nalgebra::Matrix3<f64>>();
    let thin = spread.symmetric_eigenvalues();
    if thin.min() < FLAT * FLAT * thin.max() {
        return Err(SphereError::OnePlane);
    }
    let start = normal
        .lu()
        .solve(&right)
        .filter(|x| x.iter().all(|c| c.is_finite()))
        .ok_or(SphereError::OnePlane)?;
    let centre = start.fixed_rows::<3>(0).into_owned();
    let radius = (start[3] + centre.norm_squared()).max(0.0).sqrt();
    let problem = Problem {
        points: &near,
        values: Vector4::new(centre.x, centre.y, centre.z, radius),
    };
    let (found, _) = LevenbergMarquardt::new()
        .with_tol(1e-15)
        .with_patience(200)
        .minimize(problem);
    let values = polished(found);
    let centre = values.fixed_rows::<3>(0).into_owned();
    let fit = SphereFit {
        centre: middle + centre * scale,
        radius: values[3].abs() * scale,
        residuals: near
            .iter()
            .map(|p| ((p - centre).norm() - values[3].abs()) * scale)
            .collect(),
    };
    if fit.radius.is_finite() && fit.centre.iter().all(|c| c.is_finite()) {
        Ok(fit)
    } else {
        Err(SphereError::OnePlane)
    }
}

/// Steps that take the parameters from where the sum of squares no longer falls, which leaves
/// half of their digits open, to where its slope vanishes.
const POLISHING: usize = 8;
/// Longest of these steps, of the greatest value.
const POLISH_MAX: f64 = 1e-5;

/// Plain Gauss–Newton steps; the values as they were where a step is not determined.
fn polished(mut problem: Problem) -> Vector4<f64> {
    for _ in 0..POLISHING {
        let (Some(residuals), Some(jacobian)) = (problem.residuals(), problem.jacobian()) else {
            break;
        };
        let Some(factor) = jacobian.tr_mul(&jacobian).cholesky() else {
            break;
        };
        let step = factor.solve(&jacobian.tr_mul(&residuals));
        // A long step says that the fit had not ended near the minimum: none is better then.
        if step.amax() > POLISH_MAX * problem.values.amax() {
            break;
        }
        problem.values -= step;
    }
    problem.values
}

struct Problem<'p> {
    points: &'p [Vector3<f64>],
    /// Centre and radius.
    values: Vector4<f64>,
}

impl LeastSquaresProblem<f64, Dyn, U4> for Problem<'_> {
    type ParameterStorage = Owned<f64, U4>;
    type ResidualStorage = Owned<f64, Dyn, U1>;
    type JacobianStorage = Owned<f64, Dyn, U4>;

    fn set_params(&mut self, values: &Vector4<f64>) {
        self.values = *values;
    }

    fn params(&self) -> Vector4<f64> {
        self.values
    }

    fn residuals(&self) -> Option<DVector<f64>> {
        let centre = self.values.fixed_rows::<3>(0).into_owned();
        let radius = self.values[3];
        let all = self.points.iter().map(|p| (p - centre).norm() - radius);
        Some(DVector::from_iterator(self.points.len(), all))
    }

    fn jacobian(&self) -> Option<OMatrix<f64, Dyn, U4>> {
        let centre = self.values.fixed_rows::<3>(0).into_owned();
        let dense = DMatrix::from_fn(self.points.len(), 4, |row, column| {
            let out = self.points[row] - centre;
            if column == 3 {
                -1.0
            } else {
                -out[column] / out.norm().max(f64::MIN_POSITIVE)
            }
        });
        Some(dense.fixed_columns::<4>(0).into_owned())
    }
}
