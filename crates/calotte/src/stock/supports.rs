//! What drives and ground usually are, for designs that say nothing of them.
//!
//! Round figures to see by how much rigid drives and a rigid ground flatter, never a
//! prediction: a design that knows its own gives them.

/// Where the figures come from.
pub const SUPPORTS_SOURCE: &str = "common practice, no source";

/// Stiffness of a geared drive or brake at its joint, N·m/rad.
pub const TYPICAL_DRIVE: f64 = 1000.0;

/// Stiffness of a clamp or stand on a table, at the base, N/m in every direction.
pub const TYPICAL_GROUND: f64 = 1e6;

/// Its stiffness about every axis, N·m/rad.
pub const TYPICAL_GROUND_TURNING: f64 = 1e4;
