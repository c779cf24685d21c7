//! The search, watched: candidates as they are judged, the front as it grows.
//!
//! The same combinations are judged as by `calotte design`, in another order: groups
//! with great strides first, so that the whole width is seen early. What is chosen in the
//! end is chosen from all of them in the grid's order, so that it is the same; what is shown as
//! meeting every limit is then analysed as `calotte design` does.

use std::sync::atomic::Ordering;
use std::time::Instant;

use axum::Json;
use axum::extract::State;
use axum::http::StatusCode;
use axum::response::IntoResponse;
use calotte::analysis::{AnalysisOptions, Requirements, analyse_subject};
use calotte::brief::{Brief, Objective};
use calotte::family::parameters::Dimension;
use calotte::quantity::Quantity;
use calotte::search::{
    Candidate, Choice, Grid, JudgedBy, NoChoice, Outcome, choose, choose_proved, complete_design,
    evaluate_group, precheck, prove,
};
use calotte_format::words;
use calotte_report::design::{nearest_need, nearest_need_heading, rejected_among};
use calotte_report::summary;
use rayon::prelude::*;

use crate::server::{ApiError, AppState, Body, compute, stream};

use super::asked::brief_to_search;
use super::linkage::index;
use super::wire::{
    CandidateAsked, CandidateColumn, CandidateRow, ChoiceSaid, DesignAnswer, Labelled, NearestNeed,
    SearchAsked, SearchDone, SearchPart,
};

/// Most combinations that are gone through.
const COMBINATIONS_MAX: f64 = 5e6;
/// Seconds between two parts, about.
const PART_SECONDS: f64 = 0.25;
/// Groups judged between two looks at the clock.
const GROUPS_A_TURN: usize = 8;

/// Combinations of a brief.
pub(super) fn combinations(brief: &Brief) -> u32 {
    // More than any page shows are shown as the most.
    calotte::search::combinations(brief).min(f64::from(u32::MAX)) as u32
}

/// What no search can mend, in words.
pub(super) fn precheck_words(brief: &Brief) -> Vec<String> {
    let count = calotte::search::combinations(brief);
    if count > COMBINATIONS_MAX {
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

/// The search over all combinations, streamed.
pub(crate) async fn search(
    State(state): State<AppState>,
    Body(asked): Body<SearchAsked>,
) -> Result<impl IntoResponse, ApiError> {
    let brief = brief_to_search(&asked.brief, state.folder())?;
    if !brief.choice.equal_arcs {
        return Err(ApiError::new(
            StatusCode::UNPROCESSABLE_ENTITY,
            "linkages whose arcs may differ (`equal_arcs = false`) are not searched here yet",
        )
        .hint("run `calotte design`, or leave `equal_arcs` out to go through equal arcs here"));
    }
    let count = calotte::search::combinations(&brief);
    if count > COMBINATIONS_MAX {
        return Err(ApiError::new(
            StatusCode::UNPROCESSABLE_ENTITY,
            format!("the grid of {count:.0} combinations is too large to watch"),
        )
        .hint("give larger steps or fewer values in [choice], or run `calotte design`"));
    }
    let grid = Grid::new(&brief);
    Ok(stream(&state, move |sender, cancelled| {
        let columns = columns(&brief);
        let order = order(grid.groups.len());
        let mut judged: Vec<Outcome> = Vec::with_capacity(grid.len());
        let mut told = 0;
        let mut last = Instant::now();
        sender.part(&part(&brief, &grid, &columns, &judged, told, true));
        for turn in order.chunks(GROUPS_A_TURN) {
            if cancelled.load(Ordering::Relaxed) {
                break;
            }
            let outcomes: Vec<Vec<Outcome>> = turn
                .par_iter()
                .map(|group| evaluate_group(&brief, &grid, *group))
                .collect();
            judged.extend(outcomes.into_iter().flatten());
            if last.elapsed().as_secs_f64() > PART_SECONDS {
                sender.part(&part(&brief, &grid, &columns, &judged, told, false));
                told = judged.len();
                last = Instant::now();
            }
        }
        sender.part(&part(&brief, &grid, &columns, &judged, told, false));
        // Among equals the first of the grid's order is chosen, as by `calotte design`.
        judged.sort_by_key(|outcome| outcome.candidate.index);
        let requirements = Requirements::from_brief(&brief);
        let analyse = |outcome: &Outcome| {
            let stopped = cancelled.load(Ordering::Relaxed);
            (!stopped).then(|| prove(&brief, &requirements, outcome, &calotte_format::tidied))
        };
        let choice = choose_proved(&mut judged, &brief.objectives, None, &analyse);
        let mut end = part(&brief, &grid, &columns, &judged, judged.len(), false);
        end.withdrawn = judged.iter().filter(left).map(place_of).collect();
        sender.part(&end);
        // Nobody waits for what is said of a search that was stopped.
        let said = match choice {
            Ok(choice) => said(&brief, &requirements, &judged, &choice).map(Some),
            Err(NoChoice::Nothing | NoChoice::Stopped) => Ok(None),
        };
        let (said, reason) = match said {
            Ok(said) => (said, None),
            Err(reason) => (None, Some(reason)),
        };
        Ok(SearchDone { said, reason })
    }))
}

fn place_of(outcome: &Outcome) -> u32 {
    index(outcome.candidate.index)
}

/// Whether a candidate that holds in the search fails by the whole analysis.
fn left(outcome: &&Outcome) -> bool {
    outcome.verdict.judged_by == JudgedBy::Analysis && !outcome.feasible()
}

/// What `calotte design` says of the choice among all candidates, in the grid's order; why not
/// where the choice cannot be built or analysed.
fn said(
    brief: &Brief,
    requirements: &Requirements,
    outcomes: &[Outcome],
    choice: &Choice,
) -> Result<ChoiceSaid, String> {
    let chosen = &outcomes[choice.chosen].candidate;
    let design = complete_design(brief, requirements, chosen).map_err(|e| e.to_string())?;
    let design = calotte_format::tidied(&design);
    let subject = requirements.subject(&design).map_err(|e| e.to_string())?;
    let analysis = analyse_subject(&subject, requirements, &AnalysisOptions::default())
        .map_err(|e| e.to_string())?;
    let labelled = |label: &str, words| Labelled {
        label: label.to_owned(),
        words,
    };
    Ok(ChoiceSaid {
        candidate: index(chosen.index),
        chosen: labelled(summary::SELECTED, summary::chosen_words(&design)),
        rejected: rejected_among(outcomes, choice, &brief.objectives, &brief.choice)
            .into_iter()
            .map(|text| format!("{}: {text}", summary::REJECTED))
            .collect(),
        binds: summary::binding_words(&analysis).map(|words| labelled(summary::GOVERNING, words)),
        nearest_need: (!analysis.met()).then(|| NearestNeed {
            heading: nearest_need_heading(brief),
            limits: nearest_need(&analysis),
        }),
    })
}

/// Groups in strides: every 64th first, then those half way between, and so on.
fn order(groups: usize) -> Vec<usize> {
    let mut order = Vec::with_capacity(groups);
    let mut taken = vec![false; groups];
    let mut stride = 64;
    while stride > 0 {
        for group in (0..groups).step_by(stride) {
            if !taken[group] {
                taken[group] = true;
                order.push(group);
            }
        }
        stride /= 2;
    }
    order
}

/// What is known so far; the candidates are those judged since the last part.
fn part(
    brief: &Brief,
    grid: &Grid,
    columns: &[Column],
    judged: &[Outcome],
    told: usize,
    first: bool,
) -> SearchPart {
    let choice = choose(judged, &brief.objectives);
    let place_of = |place: &usize| index(judged[*place].candidate.index);
    SearchPart {
        columns: first.then(|| columns.iter().map(|column| column.row.clone()).collect()),
        combinations: index(grid.len()),
        judged: index(judged.len()),
        candidates: judged[told..]
            .iter()
            .filter(|outcome| outcome.verdict.is_whole())
            .map(|outcome| CandidateRow {
                index: index(outcome.candidate.index),
                met: outcome.feasible(),
                values: columns.iter().map(|column| column.value(outcome)).collect(),
                name: name(&outcome.candidate),
            })
            .collect(),
        front: choice
            .iter()
            .flat_map(|choice| choice.front.iter().map(place_of))
            .collect(),
        chosen: choice.as_ref().map(|choice| place_of(&choice.chosen)),
        feasible: choice.as_ref().map_or(0, |choice| index(choice.feasible)),
        withdrawn: Vec::new(),
    }
}

/// A candidate in a few words.
fn name(candidate: &Candidate) -> String {
    let angles = &candidate.angles;
    let chosen = |dimension| angles.chosen(dimension).map(words::angle);
    if let (Some(stages), Some(arc)) = (angles.stages(), chosen(Dimension::Arc)) {
        let plural = if stages == 1 { "stage" } else { "stages" };
        let mut name = format!("{stages} {plural}, arcs {arc}");
        if let Some(bend) = angles.chosen(Dimension::Bend).filter(|bend| *bend != 0.0) {
            name.push_str(&format!(", bend {}", words::angle(bend)));
        }
        return name;
    }
    let arcs = [Dimension::FirstArc, Dimension::SecondArc].map(chosen);
    let arcs: Vec<String> = arcs.into_iter().flatten().collect();
    format!("{} {}", angles.family_name().words(), arcs.join(" + "))
}

/// A quantity of the candidates with how it is taken.
struct Column {
    row: CandidateColumn,
    objective: Objective,
    factor: f64,
}

impl Column {
    fn value(&self, outcome: &Outcome) -> Option<f64> {
        let score = outcome.score(&self.objective)?;
        let value = if self.objective.maximise {
            score
        } else {
            -score
        };
        let shown = value * self.factor;
        // Six digits are more than a dot shows; exact numbers come with the design.
        shown
            .is_finite()
            .then(|| format!("{shown:.5e}").parse().unwrap_or(shown))
    }
}

/// All quantities, the brief's objectives first.
fn columns(brief: &Brief) -> Vec<Column> {
    let named = |quantity: Quantity| {
        brief
            .objectives
            .iter()
            .find(|objective| objective.quantity == quantity)
    };
    let mut quantities = Quantity::OBJECTIVES.to_vec();
    quantities.sort_by_key(|quantity| {
        brief
            .objectives
            .iter()
            .position(|objective| objective.quantity == *quantity)
            .unwrap_or(usize::MAX)
    });
    quantities
        .into_iter()
        .map(|quantity| {
            let plain = quantity.more_is_better();
            let maximise = named(quantity).map_or(plain, |objective| objective.maximise);
            Column {
                row: CandidateColumn {
                    word: quantity.word().to_owned(),
                    label: quantity.label().to_owned(),
                    unit: quantity.unit().symbol().to_owned(),
                    more_is_better: maximise,
                },
                objective: Objective { quantity, maximise },
                factor: quantity.unit().factor(),
            }
        })
        .collect()
}

/// A candidate as a design.
pub(crate) async fn candidate(
    State(state): State<AppState>,
    Body(asked): Body<CandidateAsked>,
) -> Result<Json<DesignAnswer>, ApiError> {
    let folder = state.folder().to_owned();
    compute(&state, asked, move |asked| {
        let brief = brief_to_search(&asked.brief, &folder)?;
        let grid = Grid::new(&brief);
        let size = grid.group_size().max(1);
        let place = asked.index as usize;
        let found = (place < grid.len())
            .then(|| grid.group(place / size))
            .and_then(|group| group.into_iter().find(|one| one.index == place))
            .ok_or_else(|| {
                ApiError::new(
                    StatusCode::UNPROCESSABLE_ENTITY,
                    format!("candidate {place} of {}", grid.len()),
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
