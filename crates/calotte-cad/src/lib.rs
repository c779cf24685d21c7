//! How do built parts become solids that others can read, as bytes.
//!
//! - [`mesh_of`]: a closed triangle mesh of one solid.
//! - [`part_files`]: all parts of a design that can be printed, each kind once, as
//!   binary STL.
//!
//! # How a solid is meshed
//!
//! Every piece of a solid is, on the sphere of radius r about the remote centre, its
//! core widened by an angle α(r): asin(w/r) for straight sides, the angle at the centre
//! of the triangle (r, ρ, w) for round profiles. So on each sphere the solid is a plane
//! figure of small circles, and no general intersection of bodies is needed:
//!
//! 1. *Levels*: the radii at which pieces begin and end, at which the outline changes
//!    its structure, and those a curved wall needs.
//! 2. *Walls*: between neighbouring levels each stretch of the outline sweeps a strip.
//!    Corners of the outline trace the edges in which pieces meet; each is sampled once
//!    for each level and shared by the walls on its two sides.
//! 3. *Faces*: on each level, what the outlines below and above do not have in common
//!    bounds the faces there.
//!
//! A mesh is closed because walls and faces are made from the same edges, whatever the
//! pieces do; it is checked all the same before it is handed out.

mod circle;
mod congruent;
mod face;
mod level;
mod levels;
mod mesh;
mod options;
mod outline;
mod parts;
mod region;
mod snap;
mod stl;
mod strips;
mod wall;

pub use mesh::Mesh;
pub use options::{MeshError, MeshFault, MeshOptions};
pub use parts::{PartFile, PartOptions, part_files};
pub use stl::{STL_HEADER, binary_stl};

use calotte::built::Solid;
use nalgebra::Vector3;

use level::Level;
use levels::Slab;
use outline::Stretch;
use region::Model;

/// How often a solid with crowded outlines is tried again with finer sampling.
const ATTEMPTS: usize = 4;

/// A closed, outward-oriented triangle mesh of a solid: the union of its pieces without
/// its holes and voids.
///
/// Voids of hollow bars end at the bosses, which are solid; each is a closed cavity
/// without an opening. Vertices lie on the faces, so convex parts come out too small and
/// holes too narrow; the error falls in proportion to the chord tolerance. Sizes that
/// differ by less than a hundredth of it are taken as equal, bends that move an end by
/// less than a tenth of it as none.
///
/// # Arguments
/// - `solid`: its pieces and holes, m, in the frame of the body it moves with. A round
///   that begins nearer to the centre than its half width ends there in the plane
///   across its axis (only as the single piece of a solid without holes).
/// - `options`: fineness.
///
/// # Returns
/// Vertices in m in the body's frame; the mesh has passed [`Mesh::check`].
///
/// # Errors
/// [`MeshError`] for solids that are none, and for outlines that lie closer together
/// than any sampling tried resolves.
///
/// # Example
/// ```
/// use calotte::built::{Core, Piece, Profile, Solid, SolidKind};
/// use calotte_cad::{MeshOptions, mesh_of};
/// use nalgebra::Vector3;
///
/// let pin = Solid {
///     name: "pin".into(),
///     kind: SolidKind::Pin,
///     body: 1,
///     assembled_with: vec![],
///     joint: None,
///     pieces: vec![Piece {
///         core: Core::Direction(Vector3::z()),
///         profile: Profile::Straight,
///         half_width: 0.003,
///         inner: 0.140,
///         outer: 0.170,
///         void: None,
///     }],
///     holes: vec![],
/// };
/// let mesh = mesh_of(&pin, &MeshOptions::default())?;
/// let exact = std::f64::consts::PI * 0.003_f64.powi(2) * 0.030;
/// assert!((mesh.volume() / exact - 1.0).abs() < 0.005);
/// # Ok::<(), calotte_cad::MeshError>(())
/// ```
pub fn mesh_of(solid: &Solid, options: &MeshOptions) -> Result<Mesh, MeshError> {
    let mut finer = *options;
    let mut attempt = 1;
    loop {
        let model = Model::new(solid, &finer)?;
        match built_from(&model) {
            Err(MeshError::Outline { .. } | MeshError::Fault { .. }) if attempt < ATTEMPTS => {
                attempt += 1;
                finer.chord_tolerance = (0.5 * finer.chord_tolerance).max(1e-6 * model.outer);
                finer.round_sides = (2 * finer.round_sides).min(4096);
            }
            result => return result,
        }
    }
}

fn built_from(model: &Model) -> Result<Mesh, MeshError> {
    let slabs = levels::slabs(model);
    let mut vertices = Vec::new();
    let mut triangles = Vec::new();
    let neighbours = |index: usize| -> [Option<&Slab>; 2] {
        [
            index.checked_sub(1).and_then(|i| slabs.get(i)),
            slabs.get(index),
        ]
    };
    let strips = strips::strips(model, &slabs);
    let mut levels: Vec<Level> = (0..=slabs.len())
        .map(|index| {
            let radius = match neighbours(index) {
                [_, Some(above)] => above.low,
                [below, None] => below.map_or(0.0, |slab| slab.high),
            };
            let below: Vec<Stretch> = strips
                .iter()
                .filter_map(|strip| (strip.high == index).then_some(strip.upper))
                .collect();
            let above: Vec<Stretch> = strips
                .iter()
                .filter_map(|strip| (strip.low == index).then_some(strip.lower))
                .collect();
            Level::new(model, radius, &below, &above)
        })
        .collect();
    for strip in &strips {
        let lower = levels[strip.low].path(&strip.lower, &mut vertices);
        let upper = levels[strip.high].path(&strip.upper, &mut vertices);
        levels[strip.low].count(&lower, -1);
        levels[strip.high].count(&upper, 1);
        wall::join(&lower, &upper, &mut triangles);
    }
    for (index, level) in levels.iter().enumerate() {
        let [below, above] = neighbours(index);
        face::close(model, level, below, above, &mut vertices, &mut triangles)?;
    }
    let mesh = compact(&vertices, &triangles);
    match mesh.check() {
        Ok(()) => Ok(mesh),
        Err(fault) => Err(MeshError::Fault {
            solid: model.name.clone(),
            fault,
        }),
    }
}

/// The mesh without vertices that no triangle uses.
fn compact(vertices: &[Vector3<f64>], triangles: &[[u32; 3]]) -> Mesh {
    let mut renamed: Vec<Option<u32>> = vec![None; vertices.len()];
    let mut kept = Vec::new();
    let triangles = triangles
        .iter()
        .map(|triangle| {
            triangle.map(|vertex| {
                *renamed[vertex as usize].get_or_insert_with(|| {
                    kept.push(vertices[vertex as usize]);
                    kept.len() as u32 - 1
                })
            })
        })
        .collect();
    Mesh {
        vertices: kept,
        triangles,
    }
}
