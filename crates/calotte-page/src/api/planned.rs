//! What to measure next on the prototype, as `calotte measure plan` plans it.

use axum::extract::State;
use axum::http::StatusCode;
use axum::response::IntoResponse;
use calotte::design::Design;
use calotte::kinematics::Kinematics;
use calotte::measurement::PlanOptions;
use calotte_report::found::{plan_document, planned};
use calotte_report::results::direction_document;

use crate::server::{ApiError, AppState, Body, stream};

use super::asked::design_of;
use super::prepared::cannot;
use super::wire::{PlanAnswer, PlanAsked};

/// A plan, streamed: `done` with everything, or `failed`.
pub(crate) async fn plan(
    State(state): State<AppState>,
    Body(asked): Body<PlanAsked>,
) -> Result<impl IntoResponse, ApiError> {
    let design = design_of(&asked.design)?;
    Ok(stream(&state, move |_, _| answer(&design, &asked)))
}

fn answer(design: &Design, asked: &PlanAsked) -> Result<PlanAnswer, ApiError> {
    let settings = PlanOptions {
        count: asked.count,
        repeated: asked.repeated,
        times: asked.times,
        noise: asked.noise_mm * 1e-3,
        ..PlanOptions::default()
    };
    let made = planned(design, None, &settings, asked.gauge_mm * 1e-3).map_err(|error| {
        ApiError::new(StatusCode::UNPROCESSABLE_ENTITY, error.to_string())
            .hint("look at the drives and sizes of the design, or ask for another plan")
    })?;
    let kinematics = Kinematics::new(&made.nominal).map_err(|error| cannot(&error))?;
    let directions = made
        .made
        .configurations
        .iter()
        .map(|row| {
            let pose = kinematics
                .forward(row.readings)
                .map_err(|error| cannot(&error))?;
            Ok(direction_document(pose.direction))
        })
        .collect::<Result<_, ApiError>>()?;
    Ok(PlanAnswer {
        joints: kinematics.linkage.active_names.map(str::to_owned),
        directions_deg: directions,
        points_csv: made.points_csv().map_err(|error| cannot(&error))?,
        weights_csv: made.weights_csv().map_err(|error| cannot(&error))?,
        plan: plan_document(&made),
    })
}

#[cfg(test)]
mod tests {
    use super::*;
    use serde_json::value::RawValue;

    fn design() -> Design {
        let folder = std::path::Path::new(env!("CARGO_MANIFEST_DIR"));
        let path = folder.join("../../examples/head-dome/bench/design.toml");
        calotte_format::read_design(&std::fs::read_to_string(path).unwrap()).unwrap()
    }

    fn asked() -> PlanAsked {
        PlanAsked {
            design: RawValue::from_string("{}".to_owned()).unwrap(),
            count: 12,
            repeated: 2,
            times: 3,
            noise_mm: 0.1,
            gauge_mm: 0.005,
        }
    }

    #[test]
    fn a_plan_has_a_direction_and_a_line_of_its_file_for_every_row() {
        let found = answer(&design(), &asked()).unwrap();
        let document = &found.plan;
        assert_eq!(document.rows.len(), 12 + 2 * 2 + 2);
        assert_eq!(found.directions_deg.len(), document.rows.len());
        let lines = found
            .points_csv
            .lines()
            .filter(|line| !line.starts_with('#'));
        assert_eq!(lines.count(), 1 + document.rows.len());
        // The sensor lies along the tool: its place has the direction of the tool.
        for (row, direction) in document.rows.iter().zip(&found.directions_deg) {
            let [x, y, z] = row.expected_mm;
            let polar = x.hypot(y).atan2(z).to_degrees();
            assert!(
                (polar - direction.polar).abs() < 1e-9,
                "{polar} {direction:?}"
            );
        }
    }

    #[test]
    fn a_plan_without_end_is_refused() {
        for (count, repeated, times) in [
            (7, 0, 1),
            (501, 0, 1),
            (30, 30, 2),
            (30, 30, usize::MAX),
            (30, usize::MAX, usize::MAX),
        ] {
            let asked = PlanAsked {
                count,
                repeated,
                times,
                ..asked()
            };
            assert!(answer(&design(), &asked).is_err());
        }
    }
}
