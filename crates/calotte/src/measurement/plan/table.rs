//! Derivatives of every place a plan may take, and the choice among them.

use nalgebra::{DMatrix, DVector, SymmetricEigen, Vector3};

use super::PlanOptions;
use crate::family::real::PhysicalModel;
use crate::measurement::data::PointRow;
use crate::measurement::problem::{POSE, Problem, Sample};
use crate::measurement::registration::Registration;
use crate::measurement::selection::select;

/// Times each row is looked at for a better one.
const PASSES: usize = 40;

/// Derivatives of every place a plan may take.
#[derive(Debug)]
pub(super) struct Table<'m> {
    model: &'m PhysicalModel,
    pub(super) readings: Vec<[f64; 2]>,
    /// For each place the part of the information matrix it brings.
    blocks: Vec<DMatrix<f64>>,
    /// Positions of the parameters that are identifiable.
    pub(super) told: Vec<usize>,
}

impl<'m> Table<'m> {
    pub(super) fn new(
        model: &'m PhysicalModel,
        candidates: &[[f64; 2]],
        options: &PlanOptions,
    ) -> Self {
        let all: Vec<usize> = (0..model.parameters.len())
            .filter(|index| *index != model.unobservable_zero())
            .collect();
        let nominal = model.nominal();
        let readings: Vec<[f64; 2]> = candidates
            .iter()
            .copied()
            .filter(|readings| model.sensor(*readings, [0.0; 2], &nominal).is_some())
            .collect();
        let rows = rows_of(&readings);
        let samples: Vec<Sample> = rows
            .iter()
            .zip(likely_sides(&readings))
            .map(|(row, approach)| Sample {
                row,
                approach,
                sag: Vector3::zeros(),
            })
            .collect();
        let information = about(model, &samples).normal(&all).matrix;
        // As many rows as are planned bring this share of what all candidates do.
        let share = (options.count as f64 / readings.len().max(1) as f64).sqrt();
        let mut told: Vec<usize> = select(&information, &all, options.noise / share, 1.0)
            .iter()
            .filter(|t| t.fitted)
            .map(|t| t.index)
            .collect();
        told.sort_unstable();
        let blocks = samples
            .iter()
            .map(|sample| {
                about(model, std::slice::from_ref(sample))
                    .normal(&told)
                    .matrix
            })
            .collect();
        Self {
            model,
            readings,
            blocks,
            told,
        }
    }

    /// Places whose information matrix has the greatest least eigenvalue: begun with what
    /// the greatest volume asks for, then one place after the other exchanged.
    pub(super) fn best(&self, count: usize) -> Vec<usize> {
        let size = self.size();
        let mut sum: DMatrix<f64> = DMatrix::identity(size, size) * 1e-12;
        let mut chosen: Vec<usize> = Vec::new();
        while chosen.len() < count {
            let Some(factor) = sum.clone().cholesky() else {
                break;
            };
            let inverse = factor.inverse();
            let next = (0..self.blocks.len())
                .filter(|slot| !chosen.contains(slot))
                .max_by(|a, b| {
                    let gain = |slot: usize| inverse.dot(&self.blocks[slot]);
                    gain(*a).total_cmp(&gain(*b)).then(b.cmp(a))
                });
            let Some(next) = next else { break };
            sum += &self.blocks[next];
            chosen.push(next);
        }
        let (mut least, mut soft) = softest(&sum);
        for _ in 0..PASSES {
            let mut better = false;
            let worth = |slot: usize, soft: &DVector<f64>| (&self.blocks[slot] * soft).dot(soft);
            let mut incoming: Vec<usize> = (0..self.blocks.len())
                .filter(|slot| !chosen.contains(slot))
                .collect();
            incoming.sort_by(|a, b| worth(*b, &soft).total_cmp(&worth(*a, &soft)));
            'search: for new in incoming.iter().take(40) {
                let mut outgoing: Vec<usize> = (0..chosen.len()).collect();
                outgoing
                    .sort_by(|a, b| worth(chosen[*a], &soft).total_cmp(&worth(chosen[*b], &soft)));
                for place in outgoing.iter().take(12) {
                    let trial = &sum - &self.blocks[chosen[*place]] + &self.blocks[*new];
                    let (found, direction) = softest(&trial);
                    if found > least * (1.0 + 1e-9) {
                        chosen[*place] = *new;
                        (sum, least, soft) = (trial, found, direction);
                        better = true;
                        break 'search;
                    }
                }
            }
            if !better {
                break;
            }
        }
        chosen
    }

    /// Parameters and pose.
    fn size(&self) -> usize {
        self.told.len() + POSE
    }

    /// Least singular value of some places, each with its own side of the backlash, m.
    pub(super) fn least_of(&self, chosen: &[usize]) -> f64 {
        let mut sum = DMatrix::zeros(self.size(), self.size());
        for slot in chosen {
            sum += &self.blocks[*slot];
        }
        softest(&sum).0.max(0.0).sqrt()
    }

    /// Least singular value over the noise of rows, each approached as it is.
    pub(super) fn rated(&self, readings: &[[f64; 2]], approaches: &[[f64; 2]], noise: f64) -> f64 {
        let rows = rows_of(readings);
        let samples: Vec<Sample> = rows
            .iter()
            .zip(approaches)
            .map(|(row, approach)| Sample {
                row,
                approach: *approach,
                sag: Vector3::zeros(),
            })
            .collect();
        let information = about(self.model, &samples).normal(&self.told).matrix;
        softest(&information).0.max(0.0).sqrt() / noise
    }
}

/// From which side each reading may be reached: at the ends of its range from within alone, else
/// from both, as the plan goes to and fro.
fn likely_sides(readings: &[[f64; 2]]) -> Vec<[f64; 2]> {
    let end = |joint: usize, sign: f64| {
        let ends = readings.iter().map(|reading| sign * reading[joint]);
        ends.fold(f64::NEG_INFINITY, f64::max)
    };
    let ends = [0, 1].map(|joint| [-end(joint, -1.0), end(joint, 1.0)]);
    let likely = |slot: usize, joint: usize| {
        let [from, to] = ends[joint];
        let reading = readings[slot][joint];
        let near = 1e-6 * (to - from);
        if reading >= to - near {
            1.0
        } else if reading <= from + near || (slot >> joint) & 1 == 1 {
            -1.0
        } else {
            1.0
        }
    };
    (0..readings.len())
        .map(|slot| [0, 1].map(|joint| likely(slot, joint)))
        .collect()
}

pub(super) fn rows_of(readings: &[[f64; 2]]) -> Vec<PointRow> {
    readings
        .iter()
        .enumerate()
        .map(|(index, readings)| PointRow {
            row: index + 1,
            readings: *readings,
            point: Vector3::zeros(),
            orientation: None,
            group: String::new(),
        })
        .collect()
}

/// The closed form about the design's values, every row counted.
fn about<'d>(model: &'d PhysicalModel, samples: &'d [Sample<'d>]) -> Problem<'d> {
    let pose = Registration {
        rotation: nalgebra::Matrix3::identity(),
        translation: Vector3::zeros(),
    };
    let weights = vec![1.0; samples.len()];
    Problem::new(model, samples, weights, Vec::new(), model.nominal(), pose)
}

/// Least eigenvalue and its direction.
fn softest(matrix: &DMatrix<f64>) -> (f64, DVector<f64>) {
    let found = SymmetricEigen::new(matrix.clone());
    let least = found.eigenvalues.imin();
    (
        found.eigenvalues[least],
        found.eigenvectors.column(least).into_owned(),
    )
}
