//! The prototype measured: points and weights fitted, as `calotte measure fit` does it.

use std::cell::Cell;
use std::ops::ControlFlow;
use std::sync::atomic::Ordering;
use std::time::{Duration, Instant};

use axum::extract::State;
use axum::http::StatusCode;
use axum::response::IntoResponse;
use calotte::design::Design;
use calotte::kinematics::Kinematics;
use calotte::measurement::{FitStage, Stopped, Watch};
use calotte_report::found::{FoundError, fit_document, found_points, found_weights, stage_words};

use crate::server::{ApiError, AppState, Body, stream};

use super::asked::{design_of, problems};
use super::prepared::cannot;
use super::wire::{FitAnswer, FitAsked, FitPart};

/// Time between two parts that say nothing but that rows were weighed once more.
const PART_TIME: Duration = Duration::from_millis(250);

/// What the measurements say, streamed: `part` with how far the fit is, then `done` with
/// everything, or `failed` with the file that is at fault. Once the reader has gone the fit
/// ends before rows are weighed again.
pub(crate) async fn fit(
    State(state): State<AppState>,
    Body(asked): Body<FitAsked>,
) -> Result<impl IntoResponse, ApiError> {
    let design = design_of(&asked.design)?;
    Ok(stream(&state, move |sender, cancelled| {
        answer(&design, &asked, &|part| {
            if !cancelled.load(Ordering::Relaxed) {
                part.iter().for_each(|part| sender.part(part));
            }
            if cancelled.load(Ordering::Relaxed) {
                ControlFlow::Break(())
            } else {
                ControlFlow::Continue(())
            }
        })
    }))
}

/// Fits. `told` hears how far it is, or nothing where there is nothing new, and may end it.
fn answer(
    design: &Design,
    asked: &FitAsked,
    told: &dyn Fn(Option<&FitPart>) -> ControlFlow<()>,
) -> Result<FitAnswer, ApiError> {
    let (rows_read, last) = (Cell::new(0), Cell::new(Instant::now()));
    let say = |words: String, weighed: usize| {
        last.set(Instant::now());
        told(Some(&FitPart {
            rows: rows_read.get(),
            words,
            weighed,
        }))
    };
    let watching = |stage: FitStage| {
        if let FitStage::Pose { rows } | FitStage::Sag { rows, .. } = stage {
            rows_read.set(rows);
        }
        let weighed = match stage {
            FitStage::Round { step, .. } => step,
            _ => 0,
        };
        if weighed > 0 && last.get().elapsed() < PART_TIME {
            return told(None);
        }
        say(stage_words(stage), weighed)
    };
    let goes_on = |words: &str| match say(words.to_owned(), 0) {
        ControlFlow::Continue(()) => Ok(()),
        ControlFlow::Break(()) => Err(at_fault(&FoundError::Stopped(Stopped), "points")),
    };
    goes_on("reading the points")?;
    let joints = Kinematics::new(design)
        .map_err(|error| cannot(&error))?
        .linkage
        .active_names;
    let points = found_points(
        asked.points.as_bytes(),
        design,
        &asked.hold,
        asked.sag,
        Watch::new(&watching),
    )
    .map_err(|error| at_fault(&error, "points"))?;
    if asked.weights.is_some() {
        goes_on("weights")?;
    }
    let weights = asked
        .weights
        .as_ref()
        .map(|text| found_weights(text.as_bytes(), design, &asked.hold))
        .transpose()
        .map_err(|error| at_fault(&error, "weights"))?;
    goes_on("the results in words")?;
    Ok(FitAnswer {
        joints: joints.map(str::to_owned),
        fit: fit_document(design, &points, weights.as_ref()),
    })
}

/// What is wrong, with which of the two files it is in.
fn at_fault(error: &FoundError, file: &'static str) -> ApiError {
    let error = match error {
        FoundError::File(error) => problems(error),
        FoundError::Stopped(stopped) => {
            ApiError::new(StatusCode::UNPROCESSABLE_ENTITY, stopped.to_string())
        }
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

    /// The rows of the bench again and again.
    fn many_rows(count: usize) -> String {
        let text = bench("points.csv");
        let lines: Vec<&str> = text.trim().lines().collect();
        let (heads, rows) = lines.split_at(2);
        let many = (0..count).map(|k| rows[k % rows.len()]);
        let all: Vec<&str> = heads.iter().copied().chain(many).collect();
        all.join("\n") + "\n"
    }

    fn alone(design: &Design, asked: &FitAsked) -> Result<FitAnswer, ApiError> {
        answer(design, asked, &|_| ControlFlow::Continue(()))
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
        let found = alone(
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
        let without = alone(&design, &asked(bench("points.csv"), None)).unwrap();
        assert!(without.fit.weights.is_none());
    }

    #[test]
    fn the_file_at_fault_is_named() {
        let design = calotte_format::read_design(&bench("design.toml")).unwrap();
        let damaged = bench("weights.csv").replacen("mass_kg", "mass_lb", 1);
        let error = alone(&design, &asked(bench("points.csv"), Some(damaged))).unwrap_err();
        let told = error.to_json();
        assert_eq!(told["file"], "weights");
        assert_eq!(told["problems"][0]["line"], 2, "{told}");
        let error = alone(&design, &asked("nothing\n".to_owned(), None)).unwrap_err();
        assert_eq!(error.to_json()["file"], "points");
    }

    /// What is said while thousands of rows are fitted, and that saying it changes no number.
    #[test]
    fn a_long_fit_says_how_far_it_is() {
        let design = calotte_format::read_design(&bench("design.toml")).unwrap();
        let question = asked(many_rows(3000), None);
        let heard = std::cell::RefCell::new(Vec::new());
        let watched = answer(&design, &question, &|part| {
            heard.borrow_mut().extend(part.cloned());
            ControlFlow::Continue(())
        })
        .unwrap();
        let heard = heard.into_inner();
        assert_eq!(heard[0].words, "reading the points");
        assert_eq!(heard[0].rows, 0);
        assert!(heard[1..].iter().all(|part| part.rows == 3000));
        assert_eq!(heard[1].words, "3000 rows; the pose of the tracker");
        let mut rounds: Vec<&FitPart> = heard
            .iter()
            .filter(|part| part.words.starts_with("round "))
            .collect();
        rounds.dedup_by_key(|part| part.words.split(';').next());
        assert!(rounds.len() > 2, "{heard:?}");
        for (k, part) in rounds.iter().enumerate() {
            let begins = format!("round {} of at most 10; ", k + 1);
            assert!(part.words.starts_with(&begins), "{}", part.words);
            assert_eq!(part.weighed, 0, "a round is told as it begins");
        }
        assert!(rounds.last().unwrap().words.ends_with(" 3000 rows"));
        let ends: Vec<&str> = heard[heard.len() - 3..]
            .iter()
            .map(|part| part.words.as_str())
            .collect();
        assert_eq!(
            ends,
            [
                "hold-out validation",
                "single causes",
                "the results in words"
            ]
        );
        let design = &design;
        let quiet = found_points(
            question.points.as_bytes(),
            design,
            &[],
            false,
            Watch::NOBODY,
        );
        let quiet = fit_document(design, &quiet.unwrap(), None);
        assert_eq!(
            calotte_document::json(&watched.fit),
            calotte_document::json(&quiet)
        );
    }

    /// At whichever word the reader goes, it is the last: nothing is computed for nobody.
    #[test]
    fn a_fit_ends_where_nobody_listens_any_longer() {
        let design = calotte_format::read_design(&bench("design.toml")).unwrap();
        for sag in [false, true] {
            let mut question = asked(bench("points.csv"), Some(bench("weights.csv")));
            question.sag = sag;
            let words = Cell::new(0);
            answer(&design, &question, &|_| {
                words.set(words.get() + 1);
                ControlFlow::Continue(())
            })
            .unwrap();
            assert!(words.get() > 12, "{}", words.get());
            for last in 1..=words.get() {
                let heard = Cell::new(0);
                let ended = answer(&design, &question, &|_| {
                    heard.set(heard.get() + 1);
                    if heard.get() == last {
                        ControlFlow::Break(())
                    } else {
                        ControlFlow::Continue(())
                    }
                });
                assert_eq!(ended.unwrap_err().message(), "the fit was stopped");
                assert_eq!(heard.get(), last, "with sag: {sag}");
            }
        }
    }
}
