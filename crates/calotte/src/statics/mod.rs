//! Statics: what holds the linkage against weight. Parts: [`holding`].

pub mod holding;

pub use holding::{HoldingModel, STANDARD_GRAVITY};
