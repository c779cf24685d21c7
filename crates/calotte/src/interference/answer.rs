//! What a look at clearances answers: contacts, free ranges and why there is none.

use thiserror::Error;

use crate::design::NotYetWhereDiffering;
use crate::family::parameters::NotAvailable;
use crate::number::shown::{degrees, millimetres};

/// Ends of free ranges are located to this, rad.
pub const RESOLUTION: f64 = 1e-9;

/// Two solids that reach their clearance.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Contact {
    /// Indices in `Built::solids`.
    pub solids: [usize; 2],
    /// Second mechanism angle, rad.
    pub second: f64,
    /// Their distance there, m; negative where they pass through one another.
    pub distance: f64,
}

/// What ends a free range.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum RangeEnd {
    /// The range asked for ends; nothing has come near.
    Asked,
    /// The first pair reaches its clearance.
    Contact(Contact),
    /// The bars no longer close.
    NotClosed,
}

impl RangeEnd {
    /// The pair that comes near, if one does.
    pub fn contact(&self) -> Option<&Contact> {
        match self {
            RangeEnd::Contact(contact) => Some(contact),
            _ => None,
        }
    }
}

/// A connected range in which every pair keeps its clearance.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct FreeRange {
    /// Lower and upper end of the second mechanism angle, rad.
    pub range: [f64; 2],
    /// What ends it at either end.
    pub ends: [RangeEnd; 2],
}

/// Why clearances cannot be told.
#[derive(Debug, Clone, PartialEq, Error)]
pub enum ClearingError {
    /// The family does not answer it yet.
    #[error(transparent)]
    NotAvailable(#[from] NotAvailable),
    /// It is not answered yet where bars or joints differ.
    #[error(transparent)]
    NotYet(#[from] NotYetWhereDiffering),
    /// Without layers bars pass through one another by intent.
    #[error("the design has no layers; without [layers] the bars pass through one another")]
    NoLayers,
    /// A clearance that is no distance.
    #[error("clearance of {}, must be zero or a positive length", millimetres(.0))]
    Clearance(f64),
    /// A solid whose sizes or directions are no finite numbers.
    #[error("{0} has a size or a direction that is no finite number, or an arc of a half turn")]
    Solid(String),
    /// A range that holds nothing.
    #[error("range {} to {} of the second mechanism angle is empty", degrees(.lo), degrees(.hi))]
    EmptyRange {
        /// Lower end, rad.
        lo: f64,
        /// Upper end, rad.
        hi: f64,
    },
    /// The value to start from lies outside the range.
    #[error("{} lies outside the range {} to {}", degrees(.inside), degrees(.lo), degrees(.hi))]
    Outside {
        /// The value, rad.
        inside: f64,
        /// Lower end, rad.
        lo: f64,
        /// Upper end, rad.
        hi: f64,
    },
    /// Two solids lack their clearance at the value to start from.
    #[error("{first} and {second} are {} apart at {}, too near", millimetres(&contact.distance), degrees(&contact.second))]
    Blocked {
        /// Name of the first.
        first: String,
        /// Name of the second.
        second: String,
        /// Where and how near.
        contact: Contact,
    },
    /// The bars do not close at this value.
    #[error("the bars do not close at {}", degrees(.0))]
    NotClosed(f64),
}

pub(super) fn check_range(range: [f64; 2]) -> Result<[f64; 2], ClearingError> {
    let [lo, hi] = range;
    if lo <= hi && (hi - lo).is_finite() {
        Ok(range)
    } else {
        Err(ClearingError::EmptyRange { lo, hi })
    }
}
