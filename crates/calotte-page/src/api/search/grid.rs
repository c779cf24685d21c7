//! A full grid, watched: the combinations that `calotte design` judges, in another order, groups
//! with great strides first, so that the whole width is seen early. What is chosen in the
//! end is chosen from all of them in the grid's order, so that it is the same.

use std::sync::atomic::{AtomicBool, Ordering};
use std::time::Instant;

use calotte::brief::Brief;
use calotte::search::{Grid, Outcome, evaluate_group};
use rayon::prelude::*;

use super::super::linkage::index;
use super::super::wire::SearchDone;
use super::chosen::{Nothing, chosen};
use super::told::{PART_SECONDS, Telling};
use crate::server::Sender;

/// Groups judged between two looks at the clock.
const GROUPS_A_TURN: usize = 8;

/// Goes through the grid of a brief.
pub(super) fn watched(brief: &Brief, sender: &Sender, cancelled: &AtomicBool) -> SearchDone {
    let grid = Grid::new(brief);
    let mut telling = Telling::new(brief, grid.len());
    let mut judged: Vec<Outcome> = Vec::with_capacity(grid.len());
    let mut last = Instant::now();
    sender.part(&telling.part(&judged, &|_| (0, String::new()), 0));
    let mut tell = |judged: &[Outcome]| {
        sender.part(&telling.part(judged, &|place| called(&judged[place]), judged.len()));
    };
    for turn in order(grid.groups.len()).chunks(GROUPS_A_TURN) {
        if cancelled.load(Ordering::Relaxed) {
            break;
        }
        let outcomes: Vec<Vec<Outcome>> = turn
            .par_iter()
            .map(|group| evaluate_group(brief, &grid, *group))
            .collect();
        judged.extend(outcomes.into_iter().flatten());
        if last.elapsed().as_secs_f64() > PART_SECONDS {
            tell(&judged);
            last = Instant::now();
        }
    }
    tell(&judged);
    // Among equals the first of the grid's order is chosen, as by `calotte design`.
    judged.sort_by_key(|outcome| outcome.candidate.index);
    let (choice, done) = chosen(brief, &mut judged, None, cancelled, &Nothing);
    let end = telling.end(
        &judged,
        &|place| called(&judged[place]),
        judged.len(),
        choice,
        false,
    );
    sender.part(&end);
    done
}

/// Number and key of a combination: its place in the grid.
fn called(outcome: &Outcome) -> (u32, String) {
    let place = index(outcome.candidate.index);
    (place, place.to_string())
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
