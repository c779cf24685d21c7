//! The parts of a built design: the bodies that `calotte parts` writes, and the rooms of
//! housing and tool, as meshes for drawing.

use axum::body::Bytes;
use axum::extract::State;
use axum::http::{StatusCode, header};
use axum::response::{IntoResponse, Response};
use calotte::built::{Built, Piece, Solid, SolidKind};
use calotte::linkage::Linkage;
use calotte_cad::{Mesh, MeshOptions, mesh_of};
use calotte_format::units::millimetres;
use rayon::prelude::*;

use crate::server::{ApiError, AppState, Body, compute};

use super::linkage::index;
use super::prepared::{Prepared, cannot, prepared};
use super::wire::{BodyPlace, Judged, PartKind, PartShape, PartsAnswer};

/// Greatest distance of a facet from its face, m; finer for small linkages.
const CHORD_TOLERANCE: f64 = 1e-4;
/// The same as a share of the joint radius.
const CHORD_SHARE: f64 = 1e-3;
/// Least number of sides of a whole round.
const ROUND_SIDES: usize = 32;
/// Triangles that a browser draws while something moves.
const TRIANGLES_MAX: usize = 1_000_000;

/// The parts of a design. Without layers the answer has none and says why.
pub(crate) async fn parts(
    State(state): State<AppState>,
    Body(asked): Body<Judged>,
) -> Result<Response, ApiError> {
    let folder = state.folder().to_owned();
    let json = compute(&state, asked, move |asked| {
        let ready = prepared(&asked.design, asked.brief.as_deref(), false, &folder)?;
        ready.parts.get_or_init(|| written(&ready)).clone()
    })
    .await??;
    Ok(([(header::CONTENT_TYPE, "application/json")], json).into_response())
}

fn written(ready: &Prepared) -> Result<Bytes, ApiError> {
    serde_json::to_vec(&answer(ready)?)
        .map(Bytes::from)
        .map_err(|error| cannot(&error))
}

/// How finely a design is meshed for drawing.
fn fineness(joint_radius: f64) -> MeshOptions {
    MeshOptions {
        chord_tolerance: CHORD_TOLERANCE.min(CHORD_SHARE * joint_radius),
        round_sides: ROUND_SIDES,
    }
}

fn answer(ready: &Prepared) -> Result<PartsAnswer, ApiError> {
    let built = &ready.model.built;
    let linkage = &ready.model.kinematics.linkage;
    let options = fineness(ready.given().joint_radius);
    let mut answer = PartsAnswer {
        reason: None,
        layers: 0,
        pitch_mm: 0.0,
        bodies: Vec::new(),
        parts: Vec::new(),
    };
    if !ready.given().is_built() {
        answer.reason = Some(
            "nothing is built: the design has no [layers], so its bars lie on one sphere and pass through one another"
                .to_owned(),
        );
        return Ok(answer);
    }
    answer.layers = index(built.layer_count);
    answer.pitch_mm = millimetres(built.pitch);
    answer.bodies = (0..linkage.bodies.len())
        .map(|body| BodyPlace {
            layer: built.layers[body].map(index),
            radius_mm: millimetres(built.radii[body]),
        })
        .collect();
    // In the order of the solids, whatever thread is done first.
    answer.parts = built
        .solids
        .par_iter()
        .map(|solid| {
            let mesh = mesh_of(solid, &options).map_err(|error| cannot(&error))?;
            Ok(part(built, linkage, solid, &mesh))
        })
        .collect::<Result<_, ApiError>>()?;
    let triangles: usize = answer
        .parts
        .iter()
        .map(|part| part.triangles.len() / 3)
        .sum();
    if triangles > TRIANGLES_MAX {
        return Err(ApiError::new(
            StatusCode::UNPROCESSABLE_ENTITY,
            format!("the parts have {triangles} triangles; {TRIANGLES_MAX} can be drawn"),
        )
        .hint("draw the linkage as one line, or look at the files of `calotte parts --mesh`"));
    }
    Ok(answer)
}

fn part(built: &Built, linkage: &Linkage, solid: &Solid, mesh: &Mesh) -> PartShape {
    let joint = solid.joint.map(|joint| &linkage.joints[joint]);
    // Negative zero becomes zero, so that equal points are written alike.
    let positions: Vec<f32> = mesh
        .vertices
        .iter()
        .flat_map(|vertex| [0, 1, 2].map(|axis| millimetres(vertex[axis]) as f32 + 0.0))
        .collect();
    let triangles: Vec<u32> = mesh.triangles.iter().flatten().copied().collect();
    PartShape {
        name: solid.name.clone(),
        kind: kind(solid.kind),
        body: index(solid.body),
        layer: match solid.kind {
            SolidKind::Bar => built.layers[solid.body].map(index),
            _ => None,
        },
        joint: joint.map(|joint| joint.name.clone()),
        between: joint.map(|joint| [joint.first.body, joint.second.body].map(index)),
        radii_mm: radii(&solid.pieces).map(millimetres),
        positions_mm: positions,
        triangles,
    }
}

fn kind(kind: SolidKind) -> PartKind {
    match kind {
        SolidKind::Bar => PartKind::Bar,
        SolidKind::Pin => PartKind::Pin,
        SolidKind::Spacer => PartKind::Spacer,
        SolidKind::Shaft => PartKind::Shaft,
        SolidKind::Housing => PartKind::Housing,
        SolidKind::Tool => PartKind::Tool,
    }
}

/// Least and greatest distance of pieces from the remote centre, m.
fn radii(pieces: &[Piece]) -> [f64; 2] {
    pieces
        .iter()
        .fold([f64::INFINITY, 0.0], |[low, high], piece| {
            [low.min(piece.inner), high.max(piece.outer)]
        })
}

#[cfg(test)]
mod tests;
