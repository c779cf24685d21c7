//! The turn: how many stages are stiffest, with rigid joints and with the design's own.

use axum::Json;
use axum::extract::State;
use axum::http::StatusCode;
use calotte::analysis::stage_curve::{best_stages, stage_curve};
use calotte::kinematics::STAGES_MAX;

use crate::server::{ApiError, AppState, Body, compute};

use super::linkage::index;
use super::prepared::prepared;
use super::wire::{StageRow, StagesAnswer, StagesAsked};

/// Least stiffness for one to so many stages of the same total arc.
pub(crate) async fn stages(
    State(state): State<AppState>,
    Body(asked): Body<StagesAsked>,
) -> Result<Json<StagesAnswer>, ApiError> {
    let most = asked.stages_max as usize;
    if !(1..=STAGES_MAX).contains(&most) {
        return Err(ApiError::new(
            StatusCode::UNPROCESSABLE_ENTITY,
            format!("stages_max: {most} is outside 1 to {STAGES_MAX}"),
        )
        .hint(format!("ask for 1 to {STAGES_MAX} stages")));
    }
    let folder = state.folder().to_owned();
    compute(&state, asked, move |asked| {
        let ready = prepared(&asked.design, asked.brief.as_deref(), false, &folder)?;
        let curve = stage_curve(&ready.subject.design, &ready.requirements, most)
            .map_err(|error| ApiError::new(StatusCode::UNPROCESSABLE_ENTITY, error.to_string()))?;
        let per_mm = |stiffness: Option<f64>| stiffness.map(|value| value / 1e3);
        Ok(Json(StagesAnswer {
            best_rigid: best_stages(&curve, |point| point.rigid).map(index),
            best_real: best_stages(&curve, |point| point.real).map(index),
            rows: curve
                .iter()
                .map(|point| StageRow {
                    stages: index(point.stages),
                    rigid_n_per_mm: per_mm(point.rigid),
                    real_n_per_mm: per_mm(point.real),
                })
                .collect(),
        }))
    })
    .await?
}
