//! Regions with corners: simple spherical polygons inside an open hemisphere.

use nalgebra::Vector3;

use super::direction::{any_perpendicular, unit};
use super::error::RegionError;

/// A simple polygon of great-circle edges.
#[derive(Debug, Clone, PartialEq)]
pub struct Polygon {
    vertices: Vec<Vector3<f64>>,
}

impl Polygon {
    /// A polygon through unit vectors in order, either way round; its inside is
    /// the part that holds the mean direction's side of a hemisphere.
    ///
    /// # Errors
    /// [`RegionError`] for fewer than three vertices, repeated neighbours,
    /// vertices that fit in no open hemisphere, or edges that cross.
    pub fn new(vertices: Vec<Vector3<f64>>) -> Result<Self, RegionError> {
        if vertices.len() < 3 {
            return Err(RegionError::TooFewVertices(vertices.len()));
        }
        let polygon = Self { vertices };
        let mean = polygon
            .mean_direction()
            .ok_or(RegionError::PolygonTooWide)?;
        if polygon.vertices.iter().any(|v| v.dot(&mean) < 1e-6) {
            return Err(RegionError::PolygonTooWide);
        }
        let flat = polygon.projected();
        let count = flat.len();
        for index in 0..count {
            let next = (index + 1) % count;
            if (polygon.vertices[index] - polygon.vertices[next]).norm() < 1e-9 {
                return Err(RegionError::RepeatedVertex(index + 1));
            }
            for other in index + 2..count {
                if (other + 1) % count == index {
                    continue;
                }
                let other_next = (other + 1) % count;
                if segments_cross(flat[index], flat[next], flat[other], flat[other_next]) {
                    return Err(RegionError::CrossingEdges(index + 1, other + 1));
                }
            }
        }
        Ok(polygon)
    }

    /// The vertices, unit vectors.
    pub fn vertices(&self) -> &[Vector3<f64>] {
        &self.vertices
    }

    /// The polygon with every vertex turned by a rotation.
    pub fn rotated(&self, rotation: &nalgebra::Matrix3<f64>) -> Self {
        Self {
            vertices: self.vertices.iter().map(|v| rotation * v).collect(),
        }
    }

    /// Whether a direction lies inside.
    pub fn contains(&self, direction: &Vector3<f64>) -> bool {
        let Some(mean) = self.mean_direction() else {
            return false;
        };
        let height = direction.dot(&mean);
        if height <= 0.0 {
            return false;
        }
        let (u, v) = tangent_axes(&mean);
        let point = [direction.dot(&u) / height, direction.dot(&v) / height];
        let flat = self.projected();
        let mut inside = false;
        for index in 0..flat.len() {
            let (a, b) = (flat[index], flat[(index + 1) % flat.len()]);
            if (a[1] > point[1]) != (b[1] > point[1]) {
                let crossing = a[0] + (point[1] - a[1]) / (b[1] - a[1]) * (b[0] - a[0]);
                if point[0] < crossing {
                    inside = !inside;
                }
            }
        }
        inside
    }

    fn mean_direction(&self) -> Option<Vector3<f64>> {
        unit(&self.vertices.iter().sum::<Vector3<f64>>())
    }

    /// Vertices in the central projection about the mean direction, which maps
    /// great circles to straight lines.
    fn projected(&self) -> Vec<[f64; 2]> {
        let mean = self.mean_direction().unwrap_or_else(Vector3::z);
        let (u, v) = tangent_axes(&mean);
        self.vertices
            .iter()
            .map(|w| {
                let height = w.dot(&mean);
                [w.dot(&u) / height, w.dot(&v) / height]
            })
            .collect()
    }
}

fn tangent_axes(mean: &Vector3<f64>) -> (Vector3<f64>, Vector3<f64>) {
    let u = any_perpendicular(mean);
    (u, mean.cross(&u))
}

fn segments_cross(a: [f64; 2], b: [f64; 2], c: [f64; 2], d: [f64; 2]) -> bool {
    let side = |p: [f64; 2], q: [f64; 2], r: [f64; 2]| {
        (q[0] - p[0]) * (r[1] - p[1]) - (q[1] - p[1]) * (r[0] - p[0])
    };
    side(a, b, c) * side(a, b, d) < 0.0 && side(c, d, a) * side(c, d, b) < 0.0
}
