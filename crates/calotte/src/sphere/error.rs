//! Why a region of directions cannot be used.

use thiserror::Error;

/// A region that cannot be.
#[derive(Debug, Clone, PartialEq, Error)]
pub enum RegionError {
    /// Nothing is left after the exclusions.
    #[error("the region is empty: its excluded zones leave no direction")]
    Empty,
    /// A polygon needs three vertices.
    #[error("a polygon needs at least 3 vertices, not {0}")]
    TooFewVertices(usize),
    /// The vertices lie in no open hemisphere.
    #[error("the polygon's vertices do not fit into a hemisphere")]
    PolygonTooWide,
    /// A vertex equals the next one.
    #[error("vertex {0} of the polygon repeats its neighbour")]
    RepeatedVertex(usize),
    /// Two edges cross.
    #[error("edges {0} and {1} of the polygon cross")]
    CrossingEdges(usize, usize),
}
