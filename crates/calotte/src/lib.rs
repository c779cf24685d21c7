//! Mechanics of linkages with a remote centre of motion: data in, data out.
//!
//! Everything inside is SI and radians, touches no file, clock or network, and
//! gives the same numbers for the same input whatever the number of threads.

pub mod analysis;
pub mod brief;
pub mod built;
pub mod certificate;
pub mod design;
pub mod elasticity;
pub mod evolution;
pub mod family;
pub mod interference;
pub mod kinematics;
pub mod linkage;
pub mod measurement;
pub mod number;
pub mod quantity;
pub mod search;
pub mod sphere;
pub mod statics;
pub mod stock;
pub mod subject;
pub mod surroundings;
pub mod uncertain;

pub use uncertain::{Corner, Uncertain};
