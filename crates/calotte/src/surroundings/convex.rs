//! What is asked of a convex shape.

use nalgebra::Vector3;

/// A convex volume with its signed distance and the direction in which it grows.
pub(super) trait Convex {
    /// Signed distance of a point, m, and a subgradient of it (length at most one).
    fn distance_and_slope(&self, point: &Vector3<f64>) -> (f64, Vector3<f64>);
}
