//! The search, watched: candidates as they are judged, the front as it grows; stopped, and gone on
//! with where nothing else was searched since.
//!
//! Parts: `islands` (the search that `calotte design` makes), `grid` (every combination instead,
//! where the brief asks for it), `told` (what is told of candidates), `chosen` (the choice from
//! them).

mod chosen;
mod grid;
mod islands;
mod told;

use axum::Json;
use axum::extract::State;
use axum::http::StatusCode;
use axum::response::IntoResponse;
use calotte::analysis::Requirements;
use calotte::brief::Brief;
use calotte::search::{Candidate, Grid, complete_design, precheck};
use calotte_format::words;

use crate::server::{ApiError, AppState, Body, compute, stream};

use super::asked::brief_to_search;
use super::wire::{CandidateAsked, DesignAnswer, SearchAsked};

/// Most combinations that are gone through.
const COMBINATIONS_MAX: f64 = 5e6;

/// Combinations that are gone through; `None` where islands are searched.
pub(super) fn combinations(brief: &Brief) -> Option<u32> {
    // More than any page shows are shown as the most.
    by_grid(brief).then(|| calotte::search::combinations(brief).min(f64::from(u32::MAX)) as u32)
}

/// Kinds of linkage that are searched, each by itself.
pub(super) fn kinds(brief: &Brief) -> u32 {
    islands::count(brief)
}

/// Whether every combination is gone through.
fn by_grid(brief: &Brief) -> bool {
    brief.choice.full_grid
}

/// What no search can mend, in words.
pub(super) fn precheck_words(brief: &Brief) -> Vec<String> {
    let count = calotte::search::combinations(brief);
    if by_grid(brief) && count > COMBINATIONS_MAX {
        return vec![format!(
            "the grid of {count:.0} combinations is too large to look at here; give larger steps or fewer values in [choice]"
        )];
    }
    let found = precheck(brief);
    let mut words = calotte_report::cautions::precheck_words(brief, &found);
    if found.reachable_share < brief.coverage_min * (1.0 - 1e-9) {
        words.push(format!(
            "impossible reach: no allowed linkage points farther than {} from its base axis, which leaves at most {} of the region",
            words::angle(found.reach_bound),
            words::number(found.reachable_share, 3)
        ));
    }
    words
}

/// The search, streamed.
pub(crate) async fn search(
    State(state): State<AppState>,
    Body(asked): Body<SearchAsked>,
) -> Result<impl IntoResponse, ApiError> {
    let brief = brief_to_search(&asked.brief, state.folder())?;
    let by_grid = by_grid(&brief);
    let count = calotte::search::combinations(&brief);
    if by_grid && count > COMBINATIONS_MAX {
        return Err(ApiError::new(
            StatusCode::UNPROCESSABLE_ENTITY,
            format!("the grid of {count:.0} combinations is too large to watch"),
        )
        .hint("give larger steps or fewer values in [choice], or run `calotte design`"));
    }
    let before = state.memory().of(&brief);
    Ok(stream(&state, move |sender, cancelled| {
        Ok(if by_grid {
            grid::watched(&brief, sender, cancelled)
        } else {
            islands::watched(&brief, &before, sender, cancelled)
        })
    }))
}

/// The candidate of a key.
fn found(brief: &Brief, key: &str) -> Option<Candidate> {
    if !by_grid(brief) {
        return islands::candidate(brief, key);
    }
    let place: usize = key.parse().ok()?;
    let grid = Grid::new(brief);
    let size = grid.group_size().max(1);
    let group = (place < grid.len()).then(|| grid.group(place / size))?;
    group.into_iter().find(|one| one.index == place)
}

/// A candidate as a design.
pub(crate) async fn candidate(
    State(state): State<AppState>,
    Body(asked): Body<CandidateAsked>,
) -> Result<Json<DesignAnswer>, ApiError> {
    let folder = state.folder().to_owned();
    compute(&state, asked, move |asked| {
        let brief = brief_to_search(&asked.brief, &folder)?;
        let found = found(&brief, &asked.key).ok_or_else(|| {
            ApiError::new(
                StatusCode::UNPROCESSABLE_ENTITY,
                format!("the brief has no candidate {}", asked.key),
            )
            .hint("search again: the brief has changed")
        })?;
        let requirements = Requirements::from_brief(&brief);
        let design = complete_design(&brief, &requirements, &found).map_err(|error| {
            ApiError::new(StatusCode::UNPROCESSABLE_ENTITY, error)
                .hint("take a candidate that can be built")
        })?;
        super::design_answer::answer(&calotte_format::tidied(&design))
    })
    .await?
}
