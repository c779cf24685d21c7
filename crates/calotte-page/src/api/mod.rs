//! What the page asks for: one route per question, each request carrying its design.
//!
//! Parts: [`wire`] (what goes to and fro), [`files`] (designs and briefs as objects and
//! texts), [`asked`] (reading those of a request), [`prepared`] (a design made ready), and a module for each question.

mod about;
mod analysis;
mod asked;
mod design_answer;
mod dome;
mod files;
mod linkage;
mod map;
mod measured;
mod parts;
mod path;
mod planned;
mod pose;
mod prepared;
mod search;
mod stages;
#[cfg(test)]
mod types;
mod wire;
mod zones;

use axum::Router;
use axum::routing::{get, post};

use crate::server::AppState;

/// The routes below `/api` that compute.
pub(crate) fn routes() -> Router<AppState> {
    Router::new()
        .route("/about", get(about::about))
        .route("/design/read", post(files::read_design))
        .route("/design/write", post(files::write_design))
        .route("/design/change", post(files::change_design))
        .route("/brief/read", post(files::read_brief))
        .route("/linkage", post(linkage::linkage))
        .route("/parts", post(parts::parts))
        .route("/pose", post(pose::pose))
        .route("/poses", get(pose::poses))
        .route("/analysis", post(analysis::analysis))
        .route("/dome", post(dome::dome))
        .route("/path", post(path::path))
        .route("/stages", post(stages::stages))
        .route("/map", post(map::map))
        .route("/measure/fit", post(measured::fit))
        .route("/measure/plan", post(planned::plan))
        .route("/search", post(search::search))
        .route("/candidate", post(search::candidate))
}
