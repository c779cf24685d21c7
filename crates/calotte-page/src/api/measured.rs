//! The prototype measured: points and weights fitted, as `calotte measure fit` does it.

use axum::extract::State;
use axum::http::StatusCode;
use axum::response::IntoResponse;
use calotte::design::Design;
use calotte::kinematics::Kinematics;
use calotte::measurement::Watch;
use calotte_report::found::{FoundError, fit_document, found_points, found_weights};

use crate::server::{ApiError, AppState, Body, stream};

use super::asked::{design_of, problems};
use super::prepared::cannot;
use super::wire::{FitAnswer, FitAsked};

/// What the measurements say, streamed: `done` with everything, or `failed` with the file
/// that is at fault.
pub(crate) async fn fit(
    State(state): State<AppState>,
    Body(asked): Body<FitAsked>,
) -> Result<impl IntoResponse, ApiError> {
    let design = design_of(&asked.design)?;
    Ok(stream(&state, move |_, _| answer(&design, &asked)))
}

fn answer(design: &Design, asked: &FitAsked) -> Result<FitAnswer, ApiError> {
    let joints = Kinematics::new(design)
        .map_err(|error| cannot(&error))?
        .linkage
        .active_names;
    let points = found_points(
        asked.points.as_bytes(),
        design,
        &asked.hold,
        asked.sag,
        Watch::NOBODY,
    )
    .map_err(|error| at_fault(&error, "points"))?;
    let weights = asked
        .weights
        .as_ref()
        .map(|text| found_weights(text.as_bytes(), design, &asked.hold))
        .transpose()
        .map_err(|error| at_fault(&error, "weights"))?;
    Ok(FitAnswer {
        joints: joints.map(str::to_owned),
        fit: fit_document(design, &points, weights.as_ref()),
    })
}

/// What is wrong, with which of the two files it is in.
fn at_fault(error: &FoundError, file: &'static str) -> ApiError {
    let error = match error {
        FoundError::File(error) => problems(error),
        FoundError::Fit(words) => ApiError::new(StatusCode::UNPROCESSABLE_ENTITY, words)
            .hint(format!("look at the file of {file} beside the design")),
    };
    error.with("file", file)
}

#[cfg(test)]
mod tests {
    use super::*;
    use serde_json::value::RawValue;

    fn bench(name: &str) -> String {
        let folder = std::path::Path::new(env!("CARGO_MANIFEST_DIR"));
        std::fs::read_to_string(folder.join("../../examples/head-dome/bench").join(name)).unwrap()
    }

    fn asked(points: String, weights: Option<String>) -> FitAsked {
        FitAsked {
            design: RawValue::from_string("{}".to_owned()).unwrap(),
            points,
            weights,
            hold: Vec::new(),
            sag: false,
        }
    }

    /// The readings stand under the names of the joints.
    #[test]
    fn the_answer_has_the_keys_the_page_reads() {
        let design = calotte_format::read_design(&bench("design.toml")).unwrap();
        let found = answer(
            &design,
            &asked(bench("points.csv"), Some(bench("weights.csv"))),
        )
        .unwrap();
        let value = calotte_document::json(&found.fit);
        assert_eq!(found.fit.outlier_rows, [16, 47]);
        let weights = found.fit.weights.unwrap();
        for joint in &found.joints {
            assert!(value["rows"][0][format!("{joint}_deg")].is_number());
            let station = &value["weights"]["configurations"][0];
            assert!(station[format!("{joint}_deg")].is_number());
        }
        // Every row of the weights that the loops are drawn from stands in one configuration.
        let drawn: usize = weights
            .configurations
            .iter()
            .map(|one| one.rows.len())
            .sum();
        assert_eq!(drawn, weights.readings.len());
        let alone = answer(&design, &asked(bench("points.csv"), None)).unwrap();
        assert!(alone.fit.weights.is_none());
    }

    #[test]
    fn the_file_at_fault_is_named() {
        let design = calotte_format::read_design(&bench("design.toml")).unwrap();
        let damaged = bench("weights.csv").replacen("mass_kg", "mass_lb", 1);
        let error = answer(&design, &asked(bench("points.csv"), Some(damaged))).unwrap_err();
        let told = error.to_json();
        assert_eq!(told["file"], "weights");
        assert_eq!(told["problems"][0]["line"], 2, "{told}");
        let error = answer(&design, &asked("nothing\n".to_owned(), None)).unwrap_err();
        assert_eq!(error.to_json()["file"], "points");
    }
}
