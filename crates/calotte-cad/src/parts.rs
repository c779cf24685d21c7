//! Files of the parts of a design, for a printed mock-up.

use calotte::built::{Built, Core, Solid, SolidKind};
use nalgebra::{Rotation3, Vector3};

use crate::circle::across;
use crate::congruent::{frame, same_part};
use crate::mesh::Mesh;
use crate::options::{MeshError, MeshOptions};
use crate::stl::{STL_HEADER, binary_stl, volume_as_written};

/// How parts are written.
#[derive(Debug, Clone, PartialEq)]
pub struct PartOptions {
    /// Fineness of the meshes.
    pub mesh: MeshOptions,
    /// Whether parts are turned and moved as they lie on a printer's bed: the normal of a
    /// bar's longest arc or the axis of a round upward, lowest point at height 0, middle
    /// at the origin. Otherwise they stay in the frame of their body, about the remote
    /// centre.
    pub lie_flat: bool,
    /// First bytes of every file, at most 80.
    pub header: String,
}

impl Default for PartOptions {
    fn default() -> Self {
        Self {
            mesh: MeshOptions::default(),
            lie_flat: false,
            header: STL_HEADER.to_string(),
        }
    }
}

/// One part of which a design needs one or more.
#[derive(Debug, Clone, PartialEq)]
pub struct PartFile {
    /// File name, such as `bar-left-1.stl`, from the first of its solids.
    pub name: String,
    /// Binary STL, mm.
    pub bytes: Vec<u8>,
    /// Volume of the mesh as written, m³.
    pub volume: f64,
    /// How many of it the design needs.
    pub count: usize,
    /// Names of the solids it stands for.
    pub solids: Vec<String>,
    /// Size along the three axes of the file, m.
    pub size: Vector3<f64>,
    /// Number of triangles.
    pub triangles: usize,
}

/// The parts of a design that can be printed: bars, pins, spacers and shafts. Solids of
/// one kind that a rotation takes to one another are one part; mirror images are two.
///
/// Bars with voids come with closed cavities; a printer's software fills or keeps them.
///
/// # Returns
/// One file for each part, in the order of the design's solids.
///
/// # Errors
/// [`MeshError`] naming the solid that has no mesh.
pub fn part_files(built: &Built, options: &PartOptions) -> Result<Vec<PartFile>, MeshError> {
    let printable = built.solids.iter().filter(|solid| {
        matches!(
            solid.kind,
            SolidKind::Bar | SolidKind::Pin | SolidKind::Spacer | SolidKind::Shaft
        )
    });
    let mut groups: Vec<Vec<&Solid>> = Vec::new();
    for solid in printable {
        match groups.iter_mut().find(|group| same_part(group[0], solid)) {
            Some(group) => group.push(solid),
            None => groups.push(vec![solid]),
        }
    }
    let mut files: Vec<PartFile> = Vec::new();
    for group in groups {
        let mut mesh = crate::mesh_of(group[0], &options.mesh)?;
        if options.lie_flat {
            mesh = laid_flat(group[0], &mesh);
        }
        let [low, high] = mesh.bounds();
        files.push(PartFile {
            name: unused_name(&group[0].name, &files),
            bytes: binary_stl(&mesh, &options.header),
            volume: volume_as_written(&mesh),
            count: group.len(),
            solids: group.iter().map(|solid| solid.name.clone()).collect(),
            size: high - low,
            triangles: mesh.triangles.len(),
        });
    }
    Ok(files)
}

/// A file name from a solid's: small letters, digits and hyphens.
fn unused_name(solid: &str, files: &[PartFile]) -> String {
    let mut stem = String::new();
    for letter in solid.to_lowercase().chars() {
        if letter.is_ascii_alphanumeric() {
            stem.push(letter);
        } else if !stem.is_empty() && !stem.ends_with('-') {
            stem.push('-');
        }
    }
    let stem = match stem.trim_end_matches('-') {
        "" => "part",
        stem => stem,
    };
    let mut name = format!("{stem}.stl");
    let mut number = 2;
    while files.iter().any(|file| file.name == name) {
        name = format!("{stem}-{number}.stl");
        number += 1;
    }
    name
}

/// The mesh as it lies on a printer's bed.
fn laid_flat(solid: &Solid, mesh: &Mesh) -> Mesh {
    let turned = mesh.moved(&to_bed(solid), &Vector3::zeros());
    let [low, high] = turned.bounds();
    let middle = 0.5 * (low + high);
    let down = Vector3::new(-middle.x, -middle.y, -low.z);
    turned.moved(&Rotation3::identity(), &down)
}

/// The rotation that takes the normal of the longest arc upward and its middle along x;
/// without an arc, the axis of the first round upward.
fn to_bed(solid: &Solid) -> Rotation3<f64> {
    let longest = solid
        .pieces
        .iter()
        .filter_map(|piece| match piece.core {
            Core::Arc(from, to) => Some((from, to)),
            Core::Direction(_) => None,
        })
        .reduce(|best, next| {
            if next.0.dot(&next.1) < best.0.dot(&best.1) {
                next
            } else {
                best
            }
        });
    let from_bed = match (longest, solid.pieces.first().map(|piece| piece.core)) {
        (Some((from, to)), _) => frame(&(from + to).normalize(), &to),
        (None, Some(Core::Direction(axis))) => frame(&across(&axis), &axis.cross(&across(&axis))),
        (None, _) => Rotation3::identity(),
    };
    from_bed.inverse()
}
