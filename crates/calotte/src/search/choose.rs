//! The non-dominated set and the choice from it.

use crate::brief::Objective;

use super::evaluate::Outcome;

/// What was chosen and from what.
#[derive(Debug, Clone, PartialEq)]
pub struct Choice {
    /// Position of the choice among the outcomes.
    pub chosen: usize,
    /// Positions of the non-dominated feasible outcomes, ascending; empty if none is feasible.
    pub front: Vec<usize>,
    /// Scaled distance of the choice to the ideal point, 0 to √objectives.
    pub distance: f64,
    /// Best and worst score on the front, per objective (greater is better).
    pub span: Vec<[f64; 2]>,
    /// Number of feasible outcomes.
    pub feasible: usize,
}

/// Positions of the non-dominated among the given positions, ascending.
pub fn non_dominated(
    outcomes: &[Outcome],
    among: &[usize],
    objectives: &[Objective],
) -> Vec<usize> {
    let scored: Vec<(usize, Vec<f64>)> = among
        .iter()
        .filter_map(|index| {
            let scores: Option<Vec<f64>> = objectives
                .iter()
                .map(|objective| outcomes[*index].score(objective))
                .collect();
            scores.map(|scores| (*index, scores))
        })
        .collect();
    let mut order: Vec<usize> = (0..scored.len()).collect();
    // Whatever dominates a point comes before it in descending order of scores.
    order.sort_by(|a, b| {
        scored[*b]
            .1
            .partial_cmp(&scored[*a].1)
            .unwrap_or(std::cmp::Ordering::Equal)
            .then(a.cmp(b))
    });
    let mut front: Vec<usize> = Vec::new();
    for candidate in order {
        let dominated = front.iter().any(|member| {
            let (better, here) = (&scored[*member].1, &scored[candidate].1);
            better.iter().zip(here).all(|(b, h)| b >= h) && better != here
        });
        if !dominated {
            front.push(candidate);
        }
    }
    let mut front: Vec<usize> = front.into_iter().map(|i| scored[i].0).collect();
    front.sort_unstable();
    front
}

/// Chooses: the feasible outcome nearest to the ideal point of the scaled
/// front; without a feasible one, the least violation. `None` without outcomes.
///
/// Scaling: each objective from the worst (0) to the best (1) value on the front.
pub fn choose(outcomes: &[Outcome], objectives: &[Objective]) -> Option<Choice> {
    let feasible: Vec<usize> = (0..outcomes.len())
        .filter(|i| outcomes[*i].feasible())
        .collect();
    if feasible.is_empty() {
        let chosen = (0..outcomes.len()).min_by(|a, b| {
            let (one, other) = (&outcomes[*a].verdict, &outcomes[*b].verdict);
            one.nearer(other).then(a.cmp(b))
        })?;
        return Some(Choice {
            chosen,
            front: Vec::new(),
            distance: f64::NAN,
            span: Vec::new(),
            feasible: 0,
        });
    }
    choose_among(outcomes, objectives, &feasible)
}

/// The same among some of the outcomes, the feasible of which count; `None` where none is.
pub(super) fn choose_among(
    outcomes: &[Outcome],
    objectives: &[Objective],
    among: &[usize],
) -> Option<Choice> {
    let feasible = (0..outcomes.len()).filter(|i| outcomes[*i].feasible());
    let feasible = feasible.count();
    let among: Vec<usize> = among
        .iter()
        .copied()
        .filter(|index| outcomes[*index].feasible())
        .collect();
    let front = non_dominated(outcomes, &among, objectives);
    let score = |index: usize, objective: &Objective| {
        outcomes[index]
            .score(objective)
            .unwrap_or(f64::NEG_INFINITY)
    };
    let span: Vec<[f64; 2]> = objectives
        .iter()
        .map(|objective| {
            let scores = front.iter().map(|i| score(*i, objective));
            [
                scores.clone().fold(f64::NEG_INFINITY, f64::max),
                scores.fold(f64::INFINITY, f64::min),
            ]
        })
        .collect();
    let distance = |index: usize| {
        objectives
            .iter()
            .zip(&span)
            .map(|(objective, [best, worst])| {
                let width = best - worst;
                if width > 0.0 {
                    ((best - score(index, objective)) / width).powi(2)
                } else {
                    0.0
                }
            })
            .sum::<f64>()
            .sqrt()
    };
    let chosen = front
        .iter()
        .copied()
        .min_by(|a, b| distance(*a).total_cmp(&distance(*b)).then(a.cmp(b)))?;
    Some(Choice {
        chosen,
        distance: distance(chosen),
        front,
        span,
        feasible,
    })
}
