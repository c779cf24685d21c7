//! A simulated campaign and its fit: maximum a posteriori, the noise taken from what is left.

use nalgebra::{DVector, Rotation3, Vector3};
use rand::seq::SliceRandom;
use rand::{Rng, SeedableRng};
use rand_chacha::ChaCha8Rng;

use super::super::super::data::PointRow;
use super::super::super::problem::{Problem, Sample, places};
use super::super::super::registration::register;
use super::super::{LackOfFit, lack_of_fit};
use crate::design::sample::two_arc_arm;
use crate::design::{Design, DriveLayout, Family, ScissorLinkage};
use crate::family::real::PhysicalModel;

pub(super) const NOISE: f64 = 0.05e-3;

/// A normal number of deviation 1, by Box and Muller.
pub(super) fn normal(random: &mut ChaCha8Rng) -> f64 {
    let (a, b): (f64, f64) = (1.0 - random.random::<f64>(), random.random());
    (-2.0 * a.ln()).sqrt() * (std::f64::consts::TAU * b).cos()
}

pub(super) fn normal_vector(random: &mut ChaCha8Rng) -> Vector3<f64> {
    Vector3::from_fn(|_, _| normal(random))
}

pub(super) fn scissor() -> Design {
    let mut design = two_arc_arm([0.9, 0.7]);
    design.family = Family::scissor_linkage(ScissorLinkage::uniform(2, 0.45));
    design.drives.layout = DriveLayout::SwingAndOpening;
    design
}

/// How rows follow each other.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) enum Order {
    Raster,
    Random,
}

/// A campaign of a hundred rows: eighty five configurations, five of them measured four times.
pub(super) struct Campaign {
    pub(super) model: PhysicalModel,
    pub(super) rows: Vec<PointRow>,
    /// What it was made with.
    pub(super) values: Vec<f64>,
    pub(super) turn: Rotation3<f64>,
}

impl Campaign {
    /// Every parameter deviates normally by its typical error; nothing but noise is added.
    pub(super) fn sound(design: &Design, order: Order, seed: u64) -> Self {
        let mut random = ChaCha8Rng::seed_from_u64(0x01ac_0f17);
        random.set_stream(seed);
        let model = PhysicalModel::new(design).unwrap();
        let mut readings: Vec<([f64; 2], String)> = Vec::new();
        for i in 0..9 {
            for j in 0..10 {
                let j = if i % 2 == 0 { j } else { 9 - j };
                let at = [-1.1 + 2.2 * i as f64 / 8.0, 0.8 + 1.2 * j as f64 / 9.0];
                readings.push((at, String::new()));
            }
        }
        readings.truncate(85);
        for (name, place) in [("a", 3), ("b", 20), ("c", 41), ("d", 62), ("e", 80)] {
            readings[place].1 = name.to_string();
            let again = readings[place].clone();
            readings.extend(std::iter::repeat_n(again, 3));
        }
        if order == Order::Random {
            readings.shuffle(&mut random);
        }
        let mut values = model.nominal();
        for (index, value) in values.iter_mut().enumerate() {
            if index != model.unobservable_zero() {
                *value += model.parameters[index].typical * normal(&mut random);
            }
        }
        let turn = Rotation3::new(normal_vector(&mut random));
        let shift = normal_vector(&mut random);
        let mut rows: Vec<PointRow> = readings
            .into_iter()
            .enumerate()
            .map(|(i, (readings, group))| PointRow {
                row: i + 1,
                readings,
                point: Vector3::zeros(),
                orientation: None,
                group,
            })
            .collect();
        for (slot, approach) in sides(&rows).into_iter().enumerate() {
            let place = model
                .sensor(rows[slot].readings, approach, &values)
                .unwrap();
            rows[slot].point = turn * place + shift + NOISE * normal_vector(&mut random);
        }
        Self {
            model,
            rows,
            values,
            turn,
        }
    }

    pub(super) fn tested(&self, precision: f64) -> LackOfFit {
        self.tested_without(precision, &[])
    }

    /// Maximum a posteriori, the noise taken from what is left, some rows left out.
    pub(super) fn tested_without(&self, precision: f64, without: &[usize]) -> LackOfFit {
        let model = &self.model;
        let approach = sides(&self.rows);
        let samples: Vec<Sample> = self
            .rows
            .iter()
            .zip(&approach)
            .map(|(row, approach)| Sample {
                row,
                approach: *approach,
                sag: Vector3::zeros(),
            })
            .collect();
        let free: Vec<usize> = (0..model.parameters.len())
            .filter(|index| *index != model.unobservable_zero())
            .collect();
        let from = places(model, &samples, &model.nominal());
        let to: Vec<Vector3<f64>> = self.rows.iter().map(|row| row.point).collect();
        let mut weights = vec![1.0; from.len()];
        for row in without {
            weights[*row] = 0.0;
        }
        let pose = register(&from, &to, &weights).unwrap();
        let mut problem = Problem::new(
            model,
            &samples,
            weights,
            free.clone(),
            model.nominal(),
            pose,
        );
        let precision = DVector::repeat(free.len(), precision);
        let (mut noise, mut freedom) = (NOISE, 1.0);
        for _ in 0..6 {
            let normal = problem.normal(&free);
            let plain = normal.matrix.clone();
            let (mut matrix, mut gradient) = (normal.matrix, normal.gradient);
            for (slot, index) in free.iter().enumerate() {
                let parameter = &model.parameters[*index];
                let off = (problem.values[*index] - parameter.nominal) / parameter.typical;
                let by = noise * noise * precision[slot];
                matrix[(slot, slot)] += by;
                gradient[slot] += by * off;
            }
            let inverse = matrix.cholesky().unwrap().inverse();
            let values = 3.0 * normal.rows as f64;
            freedom = values - (&inverse * plain).trace();
            problem = problem.moved(&(-(inverse * gradient)));
            noise = (problem.normal(&free).square_sum / freedom).sqrt();
        }
        lack_of_fit(&problem, &precision, noise, freedom)
    }
}

/// The side each reading was approached from.
fn sides(rows: &[PointRow]) -> Vec<[f64; 2]> {
    let mut sides = vec![[0.0; 2]];
    for pair in rows.windows(2) {
        let last = sides[sides.len() - 1];
        sides.push([0, 1].map(|k| {
            let change = pair[1].readings[k] - pair[0].readings[k];
            if change == 0.0 {
                last[k]
            } else {
                change.signum()
            }
        }));
    }
    sides
}
