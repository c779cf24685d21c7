//! What the designs and briefs in a request say, or why they cannot be read.

use axum::http::StatusCode;
use calotte::brief::Brief;
use calotte::design::Design;
use calotte::family::parameters::Capability;
use calotte_format::FormatError;
use serde_json::value::RawValue;

use crate::server::ApiError;

use super::wire::FileProblem;

/// The design in a request.
///
/// # Errors
/// Status 422 with every problem, each with its key, and for a family that the page does not
/// show yet.
pub(super) fn design_of(raw: &RawValue) -> Result<Design, ApiError> {
    let design = calotte_format::read_design_json(raw.get());
    shown(design.map_err(|error| problems(&error))?)
}

/// A design that the page can show.
///
/// # Errors
/// Status 422 for a family that it does not show yet.
pub(super) fn shown(design: Design) -> Result<Design, ApiError> {
    match design.family.offers(Capability::Page) {
        Ok(()) => Ok(design),
        Err(error) => Err(
            ApiError::new(StatusCode::UNPROCESSABLE_ENTITY, error.to_string())
                .hint("calotte analyse, map, compare and judge answer for every family"),
        ),
    }
}

/// A brief that judges a design; point files lie in the folder.
pub(super) fn brief_to_judge(text: &str, folder: &std::path::Path) -> Result<Brief, ApiError> {
    calotte_format::read_brief_to_judge(text, &|name| beside(folder, name))
        .map_err(|error| problems(&error))
}

/// A brief for a search.
pub(super) fn brief_to_search(text: &str, folder: &std::path::Path) -> Result<Brief, ApiError> {
    calotte_format::read_brief(text, &|name| beside(folder, name)).map_err(|error| problems(&error))
}

/// A point file named by a brief: plain names in the folder only.
fn beside(folder: &std::path::Path, name: &str) -> Result<Vec<u8>, String> {
    let plain = std::path::Path::new(name)
        .components()
        .all(|part| matches!(part, std::path::Component::Normal(_)));
    if !plain || name.is_empty() {
        return Err("only files in the folder of the page can be read".to_owned());
    }
    let path = folder
        .join(name)
        .canonicalize()
        .map_err(|error| error.to_string())?;
    if !path.starts_with(folder) {
        return Err("only files in the folder of the page can be read".to_owned());
    }
    std::fs::read(path).map_err(|error| error.to_string())
}

/// Status 422 with every problem of a file.
pub(super) fn problems(error: &FormatError) -> ApiError {
    let list: Vec<FileProblem> = error
        .problems
        .iter()
        .map(|problem| FileProblem {
            line: u32::try_from(problem.line).unwrap_or(u32::MAX),
            key: problem.key.clone(),
            value: problem.value.clone(),
            message: problem.message.clone(),
            allowed: problem.allowed.clone(),
            hint: problem.hint.clone(),
        })
        .collect();
    let first = list.first();
    let message = match first {
        Some(problem) if problem.key.is_empty() => problem.message.clone(),
        Some(problem) => format!("{}: {}", problem.key, problem.message),
        None => "the file cannot be read".to_owned(),
    };
    let hint = first.map_or(String::new(), |problem| {
        if problem.hint.is_empty() {
            problem.allowed.clone()
        } else {
            problem.hint.clone()
        }
    });
    ApiError::new(StatusCode::UNPROCESSABLE_ENTITY, message)
        .hint(hint)
        .with("problems", serde_json::to_value(list).unwrap_or_default())
}
