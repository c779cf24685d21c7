//! Number types the mechanics are written over, so that one formula gives values,
//! derivatives and proofs.
//!
//! [`jet`]: value with two derivatives, over any [`Scalar`](jet::Scalar); [`enclosure`]:
//! an interval that holds the value; [`gradient`]: value with derivatives by many parameters;
//! `vector`: three components over any of them; [`worst_direction`]: of a vector of given
//! size; [`isolation`]: roots and lower bounds proved
//! between samples; [`minimum`]: of a function of one number; [`roots`]: of a polynomial;
//! [`turning`]: where what turns with an angle is greatest; `shown`: numbers in messages.

pub mod enclosure;
pub mod gradient;
pub mod isolation;
pub mod jet;
pub mod minimum;
pub mod roots;
pub(crate) mod shown;
pub mod turning;
pub(crate) mod vector;
pub mod worst_direction;
