//! Number types the mechanics are written over, so that one formula gives values,
//! derivatives and proofs.
//!
//! [`jet`]: value with two derivatives, over any [`Scalar`](jet::Scalar); [`enclosure`]:
//! an interval that holds the value; [`isolation`]: roots and lower bounds proved between
//! samples; [`minimum`]: of a function of one number.

pub mod enclosure;
pub mod isolation;
pub mod jet;
pub mod minimum;
