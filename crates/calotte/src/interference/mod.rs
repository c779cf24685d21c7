//! Which parts come near each other over the range of motion, where they touch
//! first, and which layers leave the used range free.
//!
//! All axes meet in the remote centre and all faces are concentric with it, so the
//! distance of two pieces follows from one number, the angle between their cores
//! (`docs/theory/interference.md`). Parts: [`cores`] (that angle), [`strips`] (from
//! it to the distance), [`distance`] (both together), [`pairs`] (which pairs of
//! solids count), [`motion`] (how fast bodies turn against each other),
//! [`clearing`] (the free range, bounded between samples), [`least`] (least
//! distances over a range), [`assignment`] (the fewest layers).

mod answer;
pub mod assignment;
pub mod clearing;
pub mod cores;
pub mod distance;
pub mod least;
pub mod motion;
pub mod pairs;
mod prepared;
mod sampler;
pub mod strips;
mod walk;

pub use assignment::{
    Assignment, AssignmentError, LayerOption, assign_layers, best_of_count, fewest_layers,
};
pub use clearing::{Clearing, ClearingError, Contact, FreeRange, RangeEnd};
pub use distance::distance;
pub use least::PairDistance;
pub use pairs::Pairs;
