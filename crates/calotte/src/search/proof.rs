//! The front proved: candidates judged by the analysis that the chosen design has too.
//!
//! Thousands of candidates hold over the search's rings; a whole analysis takes a hundred times
//! as long as that. So only those are analysed that are shown: of the front, of each class the
//! best, and where nothing is feasible the nearest. What fails leaves, others take its place, and
//! these are analysed in turn.

use rayon::prelude::*;

use crate::analysis::values::worse;
use crate::analysis::{AnalysisOptions, Requirements, Row, judged_rows};
use crate::brief::{Brief, Objective};
use crate::design::Design;
use crate::evolution::spread;
use crate::quantity::Quantity;

use super::choose::{Choice, choose, choose_among};
use super::complete::complete_design;
use super::evaluate::Outcome;
use super::grid::Candidate;
use super::verdict::{Depth, JudgedBy, Verdict};

/// Where nothing is feasible: how many of the nearest are analysed at a time.
const AT_A_TIME: usize = 8;

/// Members of the front of a search that are analysed and shown at most.
pub const SHOWN: usize = 120;

/// Why there is no choice.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum NoChoice {
    /// There are no candidates.
    Nothing,
    /// An analysis was not made.
    Stopped,
}

/// A candidate that holds over the rings of the search, judged by the analysis of its design as
/// it would be written.
pub fn prove(
    brief: &Brief,
    requirements: &Requirements,
    outcome: &Outcome,
    written: &(dyn Fn(&Design) -> Design + Sync),
) -> Verdict {
    let mut verdict = Verdict {
        missed: Vec::new(),
        missed_at: Vec::new(),
        reason: None,
        judged_by: JudgedBy::Analysis,
        ..outcome.verdict.clone()
    };
    match rows(brief, requirements, &outcome.candidate, written) {
        Ok(rows) => {
            take_values(&rows, &mut verdict);
            judge(&rows, &mut verdict);
        }
        Err(reason) => {
            verdict.depth = Depth::Reach;
            verdict.reason = Some(reason);
        }
    }
    verdict
}

fn rows(
    brief: &Brief,
    requirements: &Requirements,
    candidate: &Candidate,
    written: &(dyn Fn(&Design) -> Design + Sync),
) -> Result<Vec<Row>, String> {
    let design = written(&complete_design(brief, requirements, candidate)?);
    let subject = requirements
        .subject(&design)
        .map_err(|error| error.to_string())?;
    judged_rows(&subject, requirements, &AnalysisOptions::default())
        .map_err(|error| error.to_string())
}

/// Takes over the nominal values, which are worst over the whole region and not over the rings
/// of the search alone; of load cases the worst.
fn take_values(rows: &[Row], verdict: &mut Verdict) {
    let mut taken: Vec<Quantity> = Vec::new();
    for row in rows {
        let Ok(value) = row.got else { continue };
        let value = match verdict.values.get(row.quantity) {
            Some(known) if taken.contains(&row.quantity) => worse(row.quantity, known, value),
            Some(_) => value,
            // What the search does not ask for has no column.
            None => continue,
        };
        verdict.values.set(row.quantity, value);
        taken.push(row.quantity);
    }
}

/// Notes the limits missed, of load cases the one missed most.
fn judge(rows: &[Row], verdict: &mut Verdict) {
    let limited = || rows.iter().filter(|row| row.needed.is_some());
    for row in limited() {
        let same = |other: &&Row| other.quantity == row.quantity;
        let missed = |row: &Row| {
            let share = row.standing().and_then(|standing| standing.missed_by());
            share.unwrap_or(f64::INFINITY)
        };
        let worst = limited().filter(same).map(missed).fold(0.0, f64::max);
        let known = verdict.missed.iter().any(|(one, _)| *one == row.quantity);
        if !known && missed(row) == worst {
            verdict.judge_elsewhere(row.quantity, row.needed, row.judged());
        }
    }
    let at_nominal = limited().all(|row| row.met_at_nominal() == Some(true));
    if !verdict.missed.is_empty() {
        verdict.reason = Some(
            if at_nominal {
                "over the stated uncertainty"
            } else {
                "at nominal values, by the whole analysis"
            }
            .to_string(),
        );
    }
}

/// Chooses, with all that is shown as meeting every limit judged by `analyse`, which gives no
/// verdict where it was stopped. The same is chosen for any number of threads.
///
/// # Arguments
/// - `most`: of a front of more members only so many are shown, spread as widely as all of it;
///   without it all are.
///
/// # Errors
/// [`NoChoice`] without candidates, and where an analysis was stopped.
pub fn choose_proved(
    outcomes: &mut [Outcome],
    objectives: &[Objective],
    most: Option<usize>,
    analyse: &(dyn Fn(&Outcome) -> Option<Verdict> + Sync),
) -> Result<Choice, NoChoice> {
    loop {
        let choice = choose(outcomes, objectives).ok_or(NoChoice::Nothing)?;
        let shown = shown(outcomes, &choice, objectives, most);
        let mut open = shown.clone();
        if choice.feasible == 0 {
            open = nearest(outcomes, &choice);
        } else {
            open.extend(best_of_classes(outcomes, objectives));
        }
        open.retain(|index| outcomes[*index].verdict.judged_by != JudgedBy::Analysis);
        open.sort_unstable();
        open.dedup();
        if open.is_empty() {
            let among = most.and_then(|_| choose_among(outcomes, objectives, &shown));
            return Ok(among.unwrap_or(choice));
        }
        let verdicts: Option<Vec<Verdict>> = open
            .par_iter()
            .map(|index| analyse(&outcomes[*index]))
            .collect();
        for (index, verdict) in open.into_iter().zip(verdicts.ok_or(NoChoice::Stopped)?) {
            outcomes[index].verdict = verdict;
        }
    }
}

/// What of the front is shown: all that was analysed, and of the rest as many as are missing,
/// spread widely.
fn shown(
    outcomes: &[Outcome],
    choice: &Choice,
    objectives: &[Objective],
    most: Option<usize>,
) -> Vec<usize> {
    let Some(most) = most else {
        return choice.front.clone();
    };
    let analysed = |index: &usize| outcomes[*index].verdict.judged_by == JudgedBy::Analysis;
    let (mut shown, rest): (Vec<usize>, Vec<usize>) =
        choice.front.iter().copied().partition(analysed);
    let missing = most.saturating_sub(shown.len());
    let scores: Vec<Vec<f64>> = rest
        .iter()
        .map(|index| {
            let scores = objectives.iter();
            let scores = scores.map(|one| outcomes[*index].score(one).map_or(0.0, |score| -score));
            scores.collect()
        })
        .collect();
    let scores: Vec<&[f64]> = scores.iter().map(Vec::as_slice).collect();
    if missing > 0 {
        let spread = spread(&scores, missing);
        shown.extend(spread.into_iter().map(|place| rest[place]));
    }
    shown.sort_unstable();
    shown
}

/// Where nothing is feasible: those that hold at nominal values and miss least, as long as the
/// nearest of all was not analysed.
fn nearest(outcomes: &[Outcome], choice: &Choice) -> Vec<usize> {
    if outcomes[choice.chosen].verdict.judged_by != JudgedBy::Corner {
        return Vec::new();
    }
    let mut near: Vec<usize> = (0..outcomes.len())
        .filter(|index| outcomes[*index].verdict.judged_by == JudgedBy::Corner)
        .collect();
    near.sort_by(|a, b| {
        let (one, other) = (&outcomes[*a].verdict, &outcomes[*b].verdict);
        one.nearer(other).then(a.cmp(b))
    });
    near.truncate(AT_A_TIME);
    near
}

/// Of each class the feasible one that is best by the first objective.
fn best_of_classes(outcomes: &[Outcome], objectives: &[Objective]) -> Vec<usize> {
    let Some(objective) = objectives.first() else {
        return Vec::new();
    };
    let mut best: Vec<(usize, f64)> = Vec::new();
    for (index, outcome) in outcomes.iter().enumerate() {
        let score = outcome.feasible().then(|| outcome.score(objective));
        let Some(score) = score.flatten() else {
            continue;
        };
        let class = outcome.candidate.class();
        let same = |(other, _): &&mut (usize, f64)| outcomes[*other].candidate.class() == class;
        match best.iter_mut().find(same) {
            Some(known) if score > known.1 => *known = (index, score),
            Some(_) => {}
            None => best.push((index, score)),
        }
    }
    best.into_iter().map(|(index, _)| index).collect()
}
