//! The prototype against the model: what was measured, what a real linkage does, and which
//! of its parameters explain the one by the other.
//!
//! Parts: [`data`] (points and weights as measured), [`PhysicalModel`] (a real linkage with all its
//! parameters), [`sphere`],
//! [`registration`], [`sag`], `problem` (residuals and derivatives), [`selection`] (which parameters
//! the points can tell), `robust` (the fit itself), [`fit`] (what it says), [`hold_out`] (learned or noise), [`lack_of_fit`] (noise or not), [`hints`] (a file read otherwise), [`causes`] (which single
//! cause explains most), [`statistics`], [`verdict`], [`prototype`] (all of these in one question), [`calibrated`] (the design as found), [`pointing`] (how far it points off),
//! [`orientation`] (an independent witness),
//! [`plan`] (what to measure), [`weights_plan`] (what to hang where).
//! Derived in `docs/theory/measurement.md`.

pub mod calibrated;
pub mod causes;
pub mod data;
mod faults;
pub mod fit;
pub mod hints;
pub mod hold_out;
pub mod lack_of_fit;
pub mod orientation;
pub mod plan;
pub mod pointing;
mod problem;
pub mod prototype;
pub mod registration;
mod robust;
pub mod sag;
pub mod selection;
mod separable;
pub mod sphere;
pub mod statistics;
mod tell_apart;
pub mod verdict;
pub mod watch;
pub mod weights;
pub mod weights_plan;

pub use crate::family::real::{Cause, Measure, ModelError, Parameter, PhysicalModel};
pub use calibrated::{
    Correction, Directions, ToldByWeights, calibrated, change_joints, correction_errors,
    corrections, directions,
};
pub use causes::Explained;
pub use data::{Course, Displacement, PointRow, Points, WeightRow, Weights};
pub use faults::Explanation;
pub use fit::{FitError, FitOptions, FittedParameter, PointFit, fit_points};
pub use hints::{Hint, Joints, LengthUnit, Misread, TakenFor, hints};
pub use hold_out::HoldOut;
pub use lack_of_fit::{
    LackKind, LackOfFit, LackTest, Movement, Rejected, Tested, Untestable, Whole,
};
pub use orientation::{
    OrientationAgreement, OrientationError, Orientations, Witness, compare_orientations,
};
pub use plan::course::{CORRELATION_MAX, LOOK_MAX, MOTION_MAX};
pub use plan::drift::Mistaken;
pub use plan::{
    ANCHOR_GROUP, Narrowed, Plan, PlanError, PlanOptions, PlannedConfiguration, plan, to_plan,
};
pub use pointing::{PointingError, pointing_error, readings_over, values_of_next};
pub use prototype::{Prototype, PrototypeError, RowFound, Zone};
pub use registration::{Registration, RegistrationError, register};
pub use sag::sags;
pub use selection::Told;
pub use separable::Combination;
pub use sphere::{SphereError, SphereFit, fit_sphere};
pub use statistics::{Repeated, ResidualStatistics, repeated};
pub use tell_apart::TellApart;
pub use verdict::{Judged, Off, Outcome, Remedy, Standing, Unlike, judged};
pub use watch::{FitStage, Stopped, Watch};
pub use weights::{WeightError, WeightFit, WeightOptions, fit_weights};
pub use weights_plan::{PlannedWeights, WeightsAsked, pieces, plan_weights, weight_places};
