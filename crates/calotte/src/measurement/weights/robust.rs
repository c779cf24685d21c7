//! Rows weighed by how well they go with the others: in the end fully or not at all.

use super::problem::Problem;

/// Median of the size of a normal number of deviation 1.
const MEDIAN_OF_ONE: f64 = 0.674_489_75;
/// Noise deviations beyond which a row is called off: 1 of 150 000 good readings lies there.
pub(super) const OFF: f64 = 4.5;
/// Noise deviations at which a row no longer counts while such rows are looked for.
const REACH: f64 = 7.0;
/// Rounds in which rows are weighed anew.
const ROUNDS: usize = 20;
/// First rounds, in which far rows count less and less, but all count.
const MILD_ROUNDS: usize = 5;
/// Components for each unknown below which rows cannot be told from one another.
const ROWS_PER_UNKNOWN: usize = 3;

/// Fits the free unknowns, and finds the rows that are plainly off.
///
/// # Arguments
/// - `start`: its weights are not used.
/// - `least`: noise below which residuals are rounding, m.
pub(super) fn robust<'f>(start: Problem<'f>, least: f64) -> Problem<'f> {
    let everything = vec![1.0; start.weights.len()];
    let mut now = Problem {
        weights: everything,
        ..start
    }
    .solved();
    let telling = (0..now.forward.components.len())
        .filter(|component| now.says_something(*component))
        .count();
    if telling < ROWS_PER_UNKNOWN * (now.free.len() + 1) {
        return now;
    }
    let mut before = f64::INFINITY;
    for round in 0..ROUNDS {
        let Some((sizes, scale)) = sizes(&now, least) else {
            return now;
        };
        now.weights = sizes
            .iter()
            .map(|size| {
                let far = size / scale;
                if round < MILD_ROUNDS {
                    1.0 / (1.0 + far * far).sqrt()
                } else if far < REACH {
                    (1.0 - (far / REACH).powi(2)).powi(2)
                } else {
                    0.0
                }
            })
            .collect();
        now = now.solved();
        if round > MILD_ROUNDS && (before - scale).abs() < 1e-3 * scale {
            break;
        }
        before = scale;
    }
    let mut last: Vec<bool> = Vec::new();
    for _ in 0..ROUNDS {
        let Some((sizes, scale)) = sizes(&now, least) else {
            return now;
        };
        let noise = if last.is_empty() {
            scale
        } else {
            now.noise(least)
        };
        let good: Vec<bool> = sizes.iter().map(|size| *size <= OFF * noise).collect();
        if good == last {
            break;
        }
        now.weights = good.iter().map(|good| f64::from(u8::from(*good))).collect();
        now = now.solved();
        last = good;
    }
    now
}

/// Greatest residual of every row and the noise that the median tells, m.
fn sizes(problem: &Problem, least: f64) -> Option<(Vec<f64>, f64)> {
    let misses = problem.misses()?;
    let mut of_rows = vec![0.0f64; problem.weights.len()];
    let mut telling = Vec::new();
    for (index, miss) in misses.iter().enumerate() {
        let size = &mut of_rows[problem.forward.components[index].slot];
        *size = size.max(miss.abs());
        if problem.says_something(index) {
            telling.push(miss.abs());
        }
    }
    telling.sort_by(f64::total_cmp);
    let count = telling.len();
    let median = telling.get(count / 2).copied()?;
    // Fitted unknowns take their part of the residuals.
    let freedom = count.saturating_sub(problem.inside().len()).max(1);
    let widened = (count as f64 / freedom as f64).sqrt();
    Some((of_rows, (median * widened / MEDIAN_OF_ONE).max(least)))
}
