//! Elasticity: how far the tool gives way under load.
//!
//! The reference is matrix structural analysis in space with exact arc
//! elements and joints of six motions each ([`structure`]); beside it the virtual
//! joint model as a second opinion ([`virtual_joints`]). Parts: [`arc`] (the exact
//! element), [`thick`] (strongly curved bars), `joint` (bearings and pins), `elements`
//! (what a structure is made of), `numbering` (which motions are shared), [`factor`]
//! (sparse LDLᵀ), [`precision`] (how many digits are sure), `softest_motion` (which stiffnesses take the others), [`response`] (displacements, section and joint forces, energies),
//! [`deflected`] (the shape under load), [`tool_line`] (where the tool then points), [`mass`],
//! [`stress`], [`short_bars`] (what beam theory leaves open of short bars), [`support`] (what the base stands on).

pub mod arc;
pub mod deflected;
mod elements;
mod error;
pub mod factor;
mod joint;
pub mod mass;
mod numbering;
pub mod precision;
pub mod response;
pub mod short_bars;
mod softest_motion;
pub mod stress;
pub mod structure;
pub mod support;
pub mod thick;
pub mod tool_line;
pub mod virtual_joints;

pub use arc::{ArcElement, BarStiffness};
pub use deflected::{Deflected, DeflectedArc};
pub use error::ElasticityError;
pub use precision::{DIGITS_ENOUGH, Extremes, FewDigits, Spring};
pub use response::{CAUSES, EnergyShares, LoadSet, Response};
pub use structure::{SolvedStructure, Structure, ValidityNote};
pub use tool_line::LineMotion;
