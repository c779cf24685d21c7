//! A design as an answer: every key written out, as an object and as text.

use axum::Json;
use axum::http::StatusCode;
use calotte::design::Design;
use serde_json::Value;

use crate::server::ApiError;

use super::wire::DesignAnswer;

/// The answer with a design: every key written out.
pub(super) fn answer(design: &Design) -> Result<Json<DesignAnswer>, ApiError> {
    let text = calotte_format::write_design(design, "");
    let design = design_object(&text).ok_or_else(|| {
        ApiError::new(
            StatusCode::INTERNAL_SERVER_ERROR,
            "a design just written cannot be read",
        )
    })?;
    Ok(Json(DesignAnswer { design, text }))
}

/// The text of a design file as an object.
fn design_object(text: &str) -> Option<Value> {
    let table: toml::Table = text.parse().ok()?;
    serde_json::to_value(table).ok()
}

/// A design read and written out in full, as an object; `None` if it has problems.
pub(super) fn design_table(text: &str) -> Option<Value> {
    let design = calotte_format::read_design(text).ok()?;
    design_object(&calotte_format::write_design(&design, ""))
}
