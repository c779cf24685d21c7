//! A design made ready for questions.
//!
//! While the tool is dragged the same design comes with every request. What was made of
//! the last few is kept, found again by the bytes of the request: the answer is the same
//! without it, only later. No request can see what another one sent.

use std::path::Path;
use std::sync::{Arc, Mutex, OnceLock, PoisonError};

use axum::body::Bytes;
use axum::http::StatusCode;
use calotte::analysis::{AnalysisError, Requirements, RollRange};
use calotte::brief::{Brief, LoadCase};
use calotte::design::Design;
use calotte::kinematics::WorkingRange;
use calotte::sphere::Region;
use calotte::subject::{Model, Subject};
use calotte_format::Refusal;
use serde_json::value::RawValue;

use crate::server::ApiError;

use super::asked::{self, problems};

/// Designs kept ready; a page shows at most two, rigid and not.
const KEPT: usize = 8;

/// A design made ready for what is asked of it, and what most answers begin with.
pub(super) struct Prepared {
    /// What is asked of it.
    pub requirements: Requirements,
    /// The design, made ready.
    pub subject: Subject,
    /// Whether people are near the instrument; true without a brief.
    pub people_near: bool,
    /// Its model.
    pub model: Arc<Model>,
    /// The one working range with the margins of reach.
    pub range: Option<WorkingRange>,
    /// The working range with the margins of elastic values.
    pub elastic_range: Option<WorkingRange>,
    /// How far the tool rolls over the covered part of the region; `None` where nothing is.
    pub roll: Option<RollRange>,
    /// The answer with its parts, as JSON; made when it is first asked for.
    pub parts: OnceLock<Result<Bytes, ApiError>>,
}

impl Prepared {
    /// The load cases.
    pub fn loads(&self) -> &[LoadCase] {
        &self.requirements.loads
    }

    /// The design as given, with its bands.
    pub fn given(&self) -> &Design {
        &self.subject.given
    }

    /// The required region in the base frame.
    pub fn region(&self) -> &Region {
        self.subject.region()
    }
}

#[derive(PartialEq, Eq, Clone)]
struct Key {
    design: String,
    brief: Option<String>,
    rigid_joints: bool,
}

static READY: Mutex<Vec<(Key, Arc<Prepared>)>> = Mutex::new(Vec::new());

/// Makes a design ready, or finds it. With rigid joints a built design is taken as its
/// ideal linkage: without pins and bosses, all bars on one sphere.
///
/// # Errors
/// Status 422 for a design or brief with problems, or that cannot be built.
pub(super) fn prepared(
    design: &RawValue,
    brief: Option<&str>,
    rigid_joints: bool,
    folder: &Path,
) -> Result<Arc<Prepared>, ApiError> {
    let key = Key {
        design: design.get().to_owned(),
        brief: brief.map(str::to_owned),
        rigid_joints,
    };
    {
        let mut ready = READY.lock().unwrap_or_else(PoisonError::into_inner);
        if let Some(place) = ready.iter().position(|(known, _)| *known == key) {
            // The one used last stands last and is dropped last.
            let found = ready.remove(place);
            let answer = Arc::clone(&found.1);
            ready.push(found);
            return Ok(answer);
        }
    }
    let mut parsed = asked::design_of(design)?;
    if rigid_joints {
        if parsed.is_built() {
            parsed = parsed.ideal();
        } else {
            parsed.make_joints_rigid();
        }
    }
    let text = brief;
    let brief = brief
        .map(|text| asked::brief_to_judge(text, folder))
        .transpose()?;
    // A brief may name point files, which can change behind it.
    let keep = brief.as_ref().is_none_or(|brief| !brief.region.is_points());
    let answer = Arc::new(prepare(parsed, brief, text)?);
    if keep {
        let mut ready = READY.lock().unwrap_or_else(PoisonError::into_inner);
        if ready.len() >= KEPT {
            ready.remove(0);
        }
        ready.push((key, Arc::clone(&answer)));
    }
    Ok(answer)
}

fn prepare(design: Design, brief: Option<Brief>, text: Option<&str>) -> Result<Prepared, ApiError> {
    let refused = |error: AnalysisError| refused(&error, &design, brief.as_ref().zip(text));
    let requirements = match &brief {
        Some(brief) => Requirements::from_brief(brief),
        None => Requirements::without_brief(&design),
    };
    let subject = requirements.subject(&design);
    let subject = subject.map_err(|error| refused(error.into()))?;
    let model = Arc::clone(subject.model().map_err(|error| refused(error.into()))?);
    let extent = subject.region().polar_extent();
    extent.map_err(|error| refused(error.into()))?;
    let range = subject.range().map_err(|error| refused(error.into()))?;
    let elastic_range = subject.elastic_range();
    let elastic_range = elastic_range.map_err(|error| refused(error.into()))?;
    let roll =
        range.and_then(|range| RollRange::over(subject.kinematics(), range, subject.region()));
    Ok(Prepared {
        roll,
        people_near: brief.is_none_or(|brief| brief.people_near),
        range: range.cloned(),
        elastic_range: elastic_range.cloned(),
        requirements,
        model,
        subject,
        parts: OnceLock::new(),
    })
}

/// Status 422: understood, and cannot be computed.
pub(super) fn cannot(error: &impl std::fmt::Display) -> ApiError {
    ApiError::new(StatusCode::UNPROCESSABLE_ENTITY, error.to_string())
        .hint("change the angles, sizes or joints of the linkage, or take the last change back")
}

/// An error of the mechanics with the keys it comes from. Lines mean nothing where what was
/// read is an object: places are those of the design written as a file.
fn refused(error: &AnalysisError, design: &Design, judged_by: Option<(&Brief, &str)>) -> ApiError {
    let text = calotte_format::write_design(design, "");
    match calotte_format::refused(error, (design, &text), judged_by) {
        Refusal::Design(error) | Refusal::Brief(error) => problems(&error),
    }
}
