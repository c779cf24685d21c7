//! The files of the folder: which there are, what they say, how they are replaced, and
//! when they change.

mod listing;
mod path;
mod save;
pub(crate) mod shapes;
mod watch;

use axum::extract::{Query, State};
use axum::http::StatusCode;
use axum::response::{IntoResponse, Response};
use axum::routing::{get, post};
use axum::{Json, Router};
use calotte_files::{Kind, sha256};
use calotte_format::TEXT_MAX;
use serde::Deserialize;

use super::answer::{ApiError, Body};
use super::jobs::compute;
use super::state::AppState;
use path::ProjectPath;
use shapes::{FileText, Listing, Save, Saved};

/// Most bytes of a table of measurements: with its design and a second one it still fits
/// into a request.
pub(crate) const TABLE_MAX: usize = 3 << 20;

/// The routes below `/api` that touch files.
pub(crate) fn routes() -> Router<AppState> {
    Router::new()
        .route("/files", get(files))
        .route("/file", get(file))
        .route("/file/save", post(save_file))
        .route("/watch", get(watch_files))
}

/// `GET /api/files`: every TOML file and table of the folder.
async fn files(State(state): State<AppState>) -> Result<Json<Listing>, ApiError> {
    let folder = state.folder().to_path_buf();
    let listing = compute(&state, folder, |folder| listing::list(&folder)).await?;
    Ok(Json(listing))
}

/// The query of `GET /api/file`.
#[derive(Debug, Deserialize)]
struct FileQuery {
    path: String,
}

/// `GET /api/file?path=`: what one file says.
async fn file(
    State(state): State<AppState>,
    query: Result<Query<FileQuery>, axum::extract::rejection::QueryRejection>,
) -> Result<Json<FileText>, ApiError> {
    let Query(query) = query.map_err(|error| {
        ApiError::refused(
            StatusCode::BAD_REQUEST,
            format!("query: {error}"),
            "the address must end in ?path=FILE.toml or ?path=FILE.csv",
        )
    })?;
    let folder = state.folder().to_path_buf();
    let text = compute(&state, folder, move |folder| read(&folder, &query.path)).await??;
    Ok(Json(text))
}

/// Reads a file of the folder.
///
/// # Errors
/// 400 or 403 for a path that is not allowed, 404 where there is no file, 400 for one
/// that is too long or not text.
fn read(folder: &std::path::Path, path: &str) -> Result<FileText, ApiError> {
    let path = ProjectPath::parse(path)?;
    let place = path.existing(folder)?;
    let (most, hint) = if path.is_table() {
        (TABLE_MAX, "take longer ones to `calotte measure fit`")
    } else {
        let hint = "briefs and designs are a few thousand bytes; is this another file?";
        (TEXT_MAX, hint)
    };
    let bytes = calotte_files::read(&place, most as u64).map_err(|error| match error.kind {
        Kind::TooLong => {
            ApiError::bad_request(format!("{path} is longer than {most} bytes")).hint(hint)
        }
        _ => ApiError::bad_request(format!("{path} cannot be read: {error}")).hint(error.hint),
    })?;
    let text = if path.is_table() {
        std::str::from_utf8(&bytes).map_err(|error| {
            let line = 1 + bytes[..error.valid_up_to()]
                .iter()
                .filter(|byte| **byte == b'\n')
                .count();
            ApiError::bad_request(format!("{path}, line {line}: this is not text in UTF-8"))
                .hint("save the table as text with separated values (CSV) in UTF-8")
        })?
    } else {
        calotte_format::text_of(&bytes)
            .map_err(|error| ApiError::bad_request(error.in_file(path.as_str()).to_string()))?
    };
    Ok(FileText {
        text: text.to_owned(),
        sha256: sha256(&bytes),
        path: path.into_string(),
    })
}

/// `POST /api/file/save`: writes one file, whole.
async fn save_file(
    State(state): State<AppState>,
    Body(request): Body<Save>,
) -> Result<Json<Saved>, ApiError> {
    let inside = state.clone();
    let saved = compute(&state, request, move |request| {
        let _alone = inside.saving();
        save::save(inside.folder(), &request)
    })
    .await??;
    Ok(Json(saved))
}

/// `GET /api/watch`: what changes in the folder, as it changes.
async fn watch_files(State(state): State<AppState>) -> Response {
    watch::stream(state).into_response()
}
