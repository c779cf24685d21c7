//! The prototype against the model: what was measured, what a real linkage does, and which
//! of its parameters explain the one by the other.
//!
//! Parts: [`data`] (points and weights as measured), [`model`] (a real linkage with all its
//! parameters), [`gradient`] (numbers with derivatives by many parameters).
//! Derived in `docs/theory/measurement.md`.

pub mod data;
pub mod fit;
pub mod gradient;
pub mod model;
mod problem;
pub mod registration;
pub mod selection;
pub mod sphere;
mod vector;

pub use data::{Course, Displacement, PointRow, Points, WeightRow, Weights};
pub use fit::{FitError, FitOptions, FittedParameter, PointFit, fit_points};
pub use model::{Cause, Measure, ModelError, Parameter, PhysicalModel};
pub use registration::{Registration, RegistrationError, register};
pub use selection::Told;
pub use sphere::{SphereError, SphereFit, fit_sphere};
