//! Elasticity: how far the tool gives way under load.

pub mod material;
pub mod section;

pub use material::{Material, shipped_materials};
pub use section::{Section, SectionConstants, SectionError};
