//! Designs and briefs as objects and as texts.
//!
//! A design travels as an object of the keys of a design file and is read by the one reader
//! of such files, so that the page is told the same problems in the same words as the
//! terminal.

use axum::Json;
use axum::extract::State;
use axum::http::StatusCode;
use calotte::analysis::Requirements;
use calotte::analysis::map::change;
use calotte::brief::Brief;
use calotte_format::map_request;

use crate::server::{ApiError, AppState, Body, compute};

use super::asked::{brief_to_judge, brief_to_search, design_of, problems, shown};
use super::design_answer::answer;
use super::search::{combinations, kinds};
use super::wire::{BriefAnswer, ChangeAsked, DesignAnswer, Judged, TextAsked};

/// Reads the text of a design file.
pub(crate) async fn read_design(
    Body(asked): Body<TextAsked>,
) -> Result<Json<DesignAnswer>, ApiError> {
    let design = calotte_format::read_design(&asked.text).map_err(|error| problems(&error))?;
    answer(&shown(design)?)
}

/// Writes a design as the text of a file.
pub(crate) async fn write_design(
    Body(asked): Body<Judged>,
) -> Result<Json<DesignAnswer>, ApiError> {
    answer(&design_of(&asked.design)?)
}

/// Changes numbers of a design, in the words of `--set`.
pub(crate) async fn change_design(
    Body(asked): Body<ChangeAsked>,
) -> Result<Json<DesignAnswer>, ApiError> {
    let mut design = design_of(&asked.design)?;
    let mut changes = Vec::with_capacity(asked.set.len());
    for text in &asked.set {
        changes.push(map_request::single(text, "change").map_err(|error| request_error(&error))?);
    }
    let requirements = Requirements::without_brief(&design);
    change(&mut design, &changes, &requirements).map_err(|error| {
        ApiError::new(StatusCode::UNPROCESSABLE_ENTITY, error)
            .hint("choose a number that this design has")
    })?;
    // Read back, so that what cannot be built is refused with its key.
    let text = calotte_format::write_design(&calotte_format::tidied(&design), "");
    let design = calotte_format::read_design(&text).map_err(|error| problems(&error))?;
    answer(&design)
}

/// Reads the text of a brief.
pub(crate) async fn read_brief(
    State(state): State<AppState>,
    Body(asked): Body<TextAsked>,
) -> Result<Json<BriefAnswer>, ApiError> {
    let folder = state.folder().to_owned();
    compute(&state, asked.text, move |text| {
        let brief = brief_to_judge(&text, &folder)?;
        let search = brief_to_search(&text, &folder);
        let mut no_search = None;
        let mut precheck = Vec::new();
        let mut extent = (None, 0);
        match &search {
            Ok(brief) => {
                extent = (combinations(brief), kinds(brief));
                precheck = super::search::precheck_words(brief);
            }
            Err(error) => no_search = Some(error.message()),
        }
        Ok(Json(BriefAnswer {
            title: brief.title.clone(),
            words: need_words(&brief),
            loads: brief.loads.iter().map(|load| load.name.clone()).collect(),
            combinations: extent.0,
            kinds: extent.1,
            precheck,
            people_near: brief.people_near,
            no_search,
        }))
    })
    .await?
}

/// The need in a few sentences.
fn need_words(brief: &Brief) -> Vec<String> {
    let mut words = vec![format!(
        "Region: {}.",
        map_request::settings::region(&brief.region)
    )];
    let requirements = calotte::analysis::Requirements::from_brief(brief);
    let margins = &requirements.margins;
    if margins.lci_min > 0.0 {
        words.push(format!(
            "LCI at least {}.",
            map_request::names::number(margins.lci_min)
        ));
    }
    if margins.transmission_angle_min > 0.0 {
        words.push(format!(
            "Transmission angle at least {}.",
            calotte_format::words::angle(margins.transmission_angle_min)
        ));
    }
    words
}

/// Words of a map or change that cannot be computed.
pub(super) fn request_error(error: &map_request::RequestError) -> ApiError {
    ApiError::new(StatusCode::UNPROCESSABLE_ENTITY, error.message.clone()).hint(&*error.hint)
}
