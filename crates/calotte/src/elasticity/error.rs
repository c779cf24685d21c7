//! Why a structure gives no answer.

use thiserror::Error;

use crate::built::BuiltError;
use crate::linkage::LinkageError;
use crate::number::shown::millimetres;

use super::precision::Extremes;

/// Why a structure gives no answer.
#[derive(Debug, Clone, PartialEq, Error)]
pub enum ElasticityError {
    /// The rigid end zones leave no flexible arc.
    #[error("{body}: bosses of {} leave no flexible length of its arc of {}",
        millimetres(.boss), millimetres(.length))]
    NoFlexibleLength {
        /// The bar.
        body: String,
        /// Boss diameter, m.
        boss: f64,
        /// Arc length, m.
        length: f64,
    },
    /// The structure can move without resistance: a type 2 singularity or a
    /// freedom that releases opened.
    #[error(
        "no stiffness: with the drives held the linkage can still move (type 2 singularity or too many releases)"
    )]
    Singular,
    /// A stiffness too far below the others to be told beside them in 16 digits.
    #[error(
        "no digit of the elastic results is sure: {} is too far below {}",
        .0.soft.words(), .0.stiff.words()
    )]
    NoDigits(Extremes),
    /// The linkage cannot be built.
    #[error(transparent)]
    Linkage(#[from] LinkageError),
    /// Layers or bosses do not fit.
    #[error(transparent)]
    Built(#[from] BuiltError),
    /// A rigid joint of a layered linkage that is free to tilt.
    #[error(
        "joint {joint} is rigid and free to tilt between two layers; give its stiffness, or its bearings and pin"
    )]
    RigidRelease {
        /// The joint.
        joint: String,
    },
    /// Two forces or moments of any direction act together, whose worst pair is not sought.
    #[error(
        "load {case:?} holds two forces or moments of any direction; the worst pair of them is not available yet"
    )]
    TwoAnyDirections {
        /// Name of the load case.
        case: String,
    },
    /// A bar or joint is named that does not exist.
    #[error("no bar is named {name:?}; the bars are {}", known.join(", "))]
    UnknownBar {
        /// The name given.
        name: String,
        /// The names there are.
        known: Vec<String>,
    },
}
