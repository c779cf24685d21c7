//! What residuals may follow: columns of three rows for each row that counts, tracker's frame.

use std::ops::RangeInclusive;

use nalgebra::{DMatrix, Vector3};

use super::super::problem::{Problem, Sample};
use super::LackKind;

/// Step of a reading for the derivative of the place, rad.
const STEP: f64 = 1e-5;
/// Sine of the polar angle below which there is no azimuth.
const POLE: f64 = 1e-9;

/// Every family of columns, in the order of the tests.
pub(super) fn families(problem: &Problem, rows: &[usize]) -> Vec<(LackKind, DMatrix<f64>)> {
    let order = order_of(problem, rows);
    let mut all = vec![
        (LackKind::Drift, wander_columns(&order, 1..=1)),
        (LackKind::UnevenDrift, wander_columns(&order, 2..=3)),
    ];
    for reading in 0..2 {
        let columns = reading_columns(problem, rows, reading);
        all.push((LackKind::Reading(reading), columns));
    }
    let [azimuth, polar] = direction_columns(problem, rows);
    all.push((LackKind::Azimuth, azimuth));
    all.push((LackKind::Polar, polar));
    all
}

/// Order of measuring from −1 at the first row to 1 at the last.
pub(super) fn order_of(problem: &Problem, rows: &[usize]) -> Vec<f64> {
    let numbers: Vec<f64> = rows
        .iter()
        .map(|row| problem.samples[*row].row.row as f64)
        .collect();
    scaled(&numbers)
}

/// Legendre polynomials of some degrees of the order of measuring, each along all three axes.
pub(super) fn wander_columns(order: &[f64], degrees: RangeInclusive<usize>) -> DMatrix<f64> {
    let degrees: Vec<usize> = degrees.collect();
    DMatrix::from_fn(3 * order.len(), 3 * degrees.len(), |line, column| {
        if line % 3 == column % 3 {
            legendre(order[line / 3], degrees[column / 3])
        } else {
            0.0
        }
    })
}

/// All rows after the `last` one moved, along all three axes.
pub(super) fn step_columns(rows: usize, last: usize) -> DMatrix<f64> {
    DMatrix::from_fn(3 * rows, 3, |line, column| {
        f64::from(u8::from(line % 3 == column && line / 3 > last))
    })
}

/// What moves when one reading is off by the cosine and sine of itself and of its double.
fn reading_columns(problem: &Problem, rows: &[usize], reading: usize) -> DMatrix<f64> {
    let mut columns = DMatrix::zeros(3 * rows.len(), 4);
    for (slot, row) in rows.iter().enumerate() {
        let sample = &problem.samples[*row];
        let by = problem.pose.rotation * by_reading(problem, sample, reading);
        for (column, wave) in waves(sample.row.readings[reading]).into_iter().enumerate() {
            set(&mut columns, slot, column, by * wave);
        }
    }
    columns
}

/// Derivative of the place by a reading, base frame; zero where the bars close on neither side.
fn by_reading(problem: &Problem, sample: &Sample, reading: usize) -> Vector3<f64> {
    let at = |step: f64| {
        let mut readings = sample.row.readings;
        readings[reading] += step;
        let place = problem
            .model
            .sensor(readings, sample.approach, &problem.values);
        place.map(|place| (step, place))
    };
    let ahead = at(STEP).or_else(|| at(0.0));
    let behind = at(-STEP).or_else(|| at(0.0));
    match ahead.zip(behind) {
        Some(((to, ahead), (from, behind))) if to > from => (ahead - behind) / (to - from),
        _ => Vector3::zeros(),
    }
}

/// Columns of azimuth and of polar angle: each along meridian, circle of latitude and radius.
fn direction_columns(problem: &Problem, rows: &[usize]) -> [DMatrix<f64>; 2] {
    let places: Vec<Vector3<f64>> = rows
        .iter()
        .map(|row| {
            let sample = &problem.samples[*row];
            let place = problem
                .model
                .sensor(sample.row.readings, sample.approach, &problem.values);
            place
                .and_then(|place| place.try_normalize(0.0))
                .unwrap_or_else(Vector3::z)
        })
        .collect();
    let polars: Vec<f64> = places.iter().map(|p| p.xy().norm().atan2(p.z)).collect();
    let heights = scaled(&polars);
    let mut azimuth = DMatrix::zeros(3 * rows.len(), 12);
    let mut polar = DMatrix::zeros(3 * rows.len(), 6);
    for (slot, radial) in places.iter().enumerate() {
        let across = Vector3::z().cross(radial);
        if across.norm() < POLE {
            continue;
        }
        let across = across.normalize();
        let axes = [across.cross(radial), across, *radial].map(|a| problem.pose.rotation * a);
        let waves = waves(radial.y.atan2(radial.x));
        for (axis, along) in axes.into_iter().enumerate() {
            for (place, wave) in waves.into_iter().enumerate() {
                set(&mut azimuth, slot, 4 * axis + place, along * wave);
            }
            for degree in 1..=2 {
                let height = legendre(heights[slot], degree);
                set(&mut polar, slot, 2 * axis + degree - 1, along * height);
            }
        }
    }
    [azimuth, polar]
}

fn waves(angle: f64) -> [f64; 4] {
    let (sin, cos) = angle.sin_cos();
    let (sin_twice, cos_twice) = (2.0 * angle).sin_cos();
    [cos, sin, cos_twice, sin_twice]
}

fn set(columns: &mut DMatrix<f64>, slot: usize, column: usize, by: Vector3<f64>) {
    for axis in 0..3 {
        columns[(3 * slot + axis, column)] = by[axis];
    }
}

/// Values from −1 for the least to 1 for the greatest; all 0 where they are equal.
fn scaled(values: &[f64]) -> Vec<f64> {
    let least = values.iter().copied().fold(f64::INFINITY, f64::min);
    let most = values.iter().copied().fold(f64::NEG_INFINITY, f64::max);
    let half = 0.5 * (most - least);
    values
        .iter()
        .map(|v| {
            if half > 0.0 {
                (v - least) / half - 1.0
            } else {
                0.0
            }
        })
        .collect()
}

/// Legendre's polynomial of degree 1 to 3.
fn legendre(x: f64, degree: usize) -> f64 {
    match degree {
        1 => x,
        2 => 0.5 * (3.0 * x * x - 1.0),
        _ => 0.5 * x * (5.0 * x * x - 3.0),
    }
}
