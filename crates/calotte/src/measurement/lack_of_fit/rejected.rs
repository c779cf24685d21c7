//! Configurations, and readings of one joint, of which no row counts: outliers are single mistakes,
//! and where all repeats are off the linkage or the model is.

use super::super::problem::Problem;
use super::repeats::{bins, configurations};

/// What was rejected as a whole.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Whole {
    /// All repeats of one configuration, rad.
    Configuration([f64; 2]),
    /// All rows at one reading of an active joint.
    Reading {
        /// Position among the active joints.
        joint: usize,
        /// Reading, rad.
        at: f64,
    },
}

/// Rows that all are outliers.
#[derive(Debug, Clone, PartialEq)]
pub struct Rejected {
    /// What they have in common.
    pub whole: Whole,
    /// Name of their group, if they have one.
    pub group: String,
    /// Their numbers, ascending.
    pub rows: Vec<usize>,
    /// Probability that outliers as frequent as among the other rows happen to take so many rows
    /// of any one configuration or reading.
    pub by_chance: f64,
    /// Whether that is below a single test's level.
    pub found: bool,
}

/// Finds them, least likely by chance first.
pub(super) fn wholly_rejected(problem: &Problem) -> Vec<Rejected> {
    let rows: Vec<usize> = (0..problem.samples.len()).collect();
    let mut wholes: Vec<(Option<usize>, Vec<Vec<usize>>)> =
        vec![(None, configurations(problem, &rows))];
    for joint in 0..2 {
        wholes.push((Some(joint), at_one_reading(problem, joint)));
    }
    let candidates: usize = wholes.iter().map(|(_, lists)| lists.len()).sum();
    let off = |row: &usize| problem.weights[*row] <= 0.0;
    let outliers = rows.iter().filter(|row| off(row)).count();
    let mut found: Vec<Rejected> = Vec::new();
    for (joint, lists) in wholes {
        for list in lists.into_iter().filter(|list| list.iter().all(off)) {
            let numbers = numbers(problem, &list);
            // A configuration says more than the reading that only it has.
            if found.iter().any(|one| one.rows == numbers) {
                continue;
            }
            let others = rows.len() - list.len();
            let share = (outliers - list.len() + 1) as f64 / (others + 1) as f64;
            let alone = share.powi(list.len() as i32);
            let first = problem.samples[list[0]].row;
            found.push(Rejected {
                whole: match joint {
                    None => Whole::Configuration(first.readings),
                    Some(joint) => Whole::Reading {
                        joint,
                        at: first.readings[joint],
                    },
                },
                group: if joint.is_none() {
                    first.group.clone()
                } else {
                    String::new()
                },
                rows: numbers,
                by_chance: 1.0 - (1.0 - alone).powf(candidates as f64),
                found: false,
            });
        }
    }
    found.sort_by(|a, b| a.by_chance.total_cmp(&b.by_chance));
    found
}

fn at_one_reading(problem: &Problem, joint: usize) -> Vec<Vec<usize>> {
    let readings: Vec<f64> = problem
        .samples
        .iter()
        .map(|sample| sample.row.readings[joint])
        .collect();
    let bins = bins(&readings);
    let most = bins.iter().copied().max().unwrap_or(0);
    let mut lists = vec![Vec::new(); most + 1];
    for (row, bin) in bins.into_iter().enumerate() {
        lists[bin].push(row);
    }
    lists.retain(|list| list.len() > 1);
    lists
}

fn numbers(problem: &Problem, list: &[usize]) -> Vec<usize> {
    let mut numbers: Vec<usize> = list
        .iter()
        .map(|row| problem.samples[*row].row.row)
        .collect();
    numbers.sort_unstable();
    numbers
}
