//! What is wrong with a number or a name given to a machine element.

use thiserror::Error;

use crate::number::shown::millimetres;

/// An input that a bearing, pin or fit cannot take.
#[derive(Debug, Clone, PartialEq, Error)]
pub enum MachineElementError {
    /// A size, modulus or stiffness that must be above zero.
    #[error("{quantity} is {value} {unit}, must be finite and above 0")]
    NotPositive {
        /// What it is.
        quantity: &'static str,
        /// Value given.
        value: f64,
        /// Its unit.
        unit: &'static str,
    },
    /// A load, play or distance that must not be negative.
    #[error("{quantity} is {value} {unit}, must be finite and not below 0")]
    Negative {
        /// What it is.
        quantity: &'static str,
        /// Value given.
        value: f64,
        /// Its unit.
        unit: &'static str,
    },
    /// A number beside the range that the formula or table covers.
    #[error("{quantity} is {value} {unit}, must lie between {least} and {greatest} {unit}")]
    OutOfRange {
        /// What it is.
        quantity: &'static str,
        /// Value given.
        value: f64,
        /// Least value allowed.
        least: f64,
        /// Greatest value allowed.
        greatest: f64,
        /// Unit of all three.
        unit: &'static str,
    },
    /// A band whose ends do not enclose its value.
    #[error("{quantity} is {value} with a band from {low} to {high}; the band must hold the value")]
    BandOrder {
        /// What it is.
        quantity: &'static str,
        /// Nominal value.
        value: f64,
        /// Lower end.
        low: f64,
        /// Upper end.
        high: f64,
    },
    /// The two bodies touch along a line, or not at a point.
    #[error(
        "relative curvatures {first} and {second} 1/m do not make a point contact; both must be \
         above 0 and within a factor of 1e6"
    )]
    NoPointContact {
        /// Along the direction of rolling, 1/m.
        first: f64,
        /// Across it, 1/m.
        second: f64,
    },
    /// More balls than the pitch circle has room for.
    #[error(
        "{count} balls of {} do not fit on a pitch circle of {}; 3 to {greatest} do",
        millimetres(.diameter), millimetres(.pitch)
    )]
    BallsDoNotFit {
        /// Number of balls.
        count: usize,
        /// Ball diameter, m.
        diameter: f64,
        /// Pitch diameter, m.
        pitch: f64,
        /// Greatest number that fits.
        greatest: usize,
    },
    /// The static rating cannot belong to a ball bearing of these sizes.
    #[error(
        "bearing {name}: a static rating of {rating} N does not belong to a ball bearing of this \
         bore and outer diameter, {least} to {greatest} N would"
    )]
    StaticRatingImplausible {
        /// The bearing.
        name: String,
        /// Rating given, N.
        rating: f64,
        /// Least rating of such a bearing, N.
        least: f64,
        /// Greatest rating of such a bearing, N.
        greatest: f64,
    },
    /// A bushing was asked for its balls.
    #[error("bearing {name} is a bushing; only ball bearings have balls and take a preload")]
    NoBalls {
        /// The bearing.
        name: String,
    },
    /// A fit that is not hole and shaft.
    #[error("fit `{name}` is not of the form hole/shaft, such as `H7/g6`")]
    FitForm {
        /// The text given.
        name: String,
    },
    /// A tolerance class outside the table.
    #[error("tolerance class `{class}` is not in the table of {member}s; there are {known}")]
    UnknownToleranceClass {
        /// The text given.
        class: String,
        /// "hole" or "shaft".
        member: &'static str,
        /// The classes there are.
        known: &'static str,
    },
}

/// The value, if it is finite and above zero.
pub(crate) fn positive(
    quantity: &'static str,
    value: f64,
    unit: &'static str,
) -> Result<f64, MachineElementError> {
    if value > 0.0 && value.is_finite() {
        Ok(value)
    } else {
        Err(MachineElementError::NotPositive {
            quantity,
            value,
            unit,
        })
    }
}

/// The value, if it is finite and not below zero.
pub(crate) fn not_negative(
    quantity: &'static str,
    value: f64,
    unit: &'static str,
) -> Result<f64, MachineElementError> {
    if value >= 0.0 && value.is_finite() {
        Ok(value)
    } else {
        Err(MachineElementError::Negative {
            quantity,
            value,
            unit,
        })
    }
}

/// The value, if it lies between two limits or on one of them.
pub(crate) fn within(
    quantity: &'static str,
    value: f64,
    [least, greatest]: [f64; 2],
    unit: &'static str,
) -> Result<f64, MachineElementError> {
    if value >= least && value <= greatest {
        Ok(value)
    } else {
        Err(MachineElementError::OutOfRange {
            quantity,
            value,
            least,
            greatest,
            unit,
        })
    }
}
