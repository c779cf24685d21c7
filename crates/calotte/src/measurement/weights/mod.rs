//! Weights hung on the prototype: what its bars, joints, base, play and friction must be for
//! a gauge to see what it saw.
//!
//! # Theory
//! A weight of mass m pulls with F = m g along the unit vector e. The tip moves by
//! u = C F e + ½ (p + σ w) e, where C is the elastic model's compliance, p the play (half of
//! it is taken up on this side), w the width of the friction loop and σ = −1 while weights
//! grow, +1 while they shrink. Without a weight u = 0 before loading and ½ w e after it. A
//! gauge along a sees a · u.
//!
//! C follows from the design with its bars' moduli, joint stiffnesses, drives and base
//! changed by the unknowns, exactly; derivatives by the unknowns are central differences.
//! Linear elastic, small displacements: one C for all weights of a configuration.
//!
//! Parts: [`parameter`] (the unknowns), [`error`] (what cannot be fitted), `forward` (what a
//! gauge must see), `problem` (least squares within bounds), `robust` (which rows are off),
//! `choice` (which unknowns are told), [`fit`] and `report` (all of it), [`station`] (each
//! configuration by itself), [`elsewhere`] (what another design
//! shows to the same pull), [`verdict`] (within the design's bands or not).

mod choice;
pub mod elsewhere;
pub mod error;
pub mod fit;
mod forward;
pub mod parameter;
mod problem;
mod report;
mod robust;
pub mod station;
pub mod verdict;

pub use elsewhere::{Pull, PulledStiffness, pulled_stiffness, same_direction};
pub use error::WeightError;
pub use fit::{FittedWeight, WeightCause, WeightFit, WeightOptions, fit_weights};
pub use parameter::{WeightMeasure, WeightParameter, applied};
pub(super) use parameter::{measured, measured_joints};
pub use station::{Seen, Standing, Station};
pub use verdict::{Doubt, WeightOff, WeightsJudged, weights_judged};
