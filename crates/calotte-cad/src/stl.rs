//! Binary STL.

use nalgebra::Vector3;

use crate::mesh::{Mesh, least_height};

/// First bytes of a file for which no others are given; readers ignore them, people should
/// know the unit.
pub const STL_HEADER: &str =
    "calotte part; lengths in millimetres; closed surface, outward normals";

/// A mesh as binary STL in millimetres: 80 bytes of a header, the number of
/// triangles, and for each its normal, three corners and two bytes 0, all little-endian
/// (the format's layout as in common use; it has no standard).
///
/// The same mesh gives the same bytes. Triangles whose corners fall together in single
/// precision are left out, which leaves the surface closed.
///
/// # Arguments
/// - `header`: what people read in the first 80 bytes; what is longer is cut. Readers take a
///   file that begins with `solid` for text.
pub fn binary_stl(mesh: &Mesh, header: &str) -> Vec<u8> {
    let facets: Vec<[[f32; 3]; 3]> = single_precision(mesh)
        .into_iter()
        .filter(|[a, b, c]| a != b && b != c && c != a)
        .collect();
    let mut bytes = Vec::with_capacity(84 + 50 * facets.len());
    bytes.extend_from_slice(header.as_bytes());
    bytes.resize(80, b' ');
    bytes.extend_from_slice(&(facets.len() as u32).to_le_bytes());
    for facet in facets {
        let normal = normal_of(&facet);
        for number in normal.into_iter().chain(facet.into_iter().flatten()) {
            bytes.extend_from_slice(&number.to_le_bytes());
        }
        bytes.extend_from_slice(&[0, 0]);
    }
    bytes
}

/// Volume a reader of [`binary_stl`] finds, m³.
pub(crate) fn volume_as_written(mesh: &Mesh) -> f64 {
    let facets = single_precision(mesh);
    let Some(apex) = facets.first().map(|facet| wide(&facet[0])) else {
        return 0.0;
    };
    let six_fold: f64 = facets
        .iter()
        .map(|facet| {
            let [a, b, c] = [0, 1, 2].map(|i| wide(&facet[i]) - apex);
            a.dot(&b.cross(&c))
        })
        .sum();
    six_fold / 6.0 * 1e-9
}

/// Corners in mm. Negative zero becomes zero, so that equal points have equal bytes.
fn single_precision(mesh: &Mesh) -> Vec<[[f32; 3]; 3]> {
    mesh.triangles
        .iter()
        .map(|triangle| {
            mesh.corners(*triangle)
                .map(|corner| [0, 1, 2].map(|axis| (corner[axis] * 1e3) as f32 + 0.0))
        })
        .collect()
}

fn wide(point: &[f32; 3]) -> Vector3<f64> {
    Vector3::new(point[0].into(), point[1].into(), point[2].into())
}

/// Unit normal of a facet, zero if it has no area.
fn normal_of(facet: &[[f32; 3]; 3]) -> [f32; 3] {
    let [a, b, c] = [0, 1, 2].map(|i| wide(&facet[i]));
    if least_height([a, b, c]) <= 0.0 {
        return [0.0; 3];
    }
    let normal = (b - a).cross(&(c - a)).normalize();
    [0, 1, 2].map(|axis| normal[axis] as f32 + 0.0)
}
