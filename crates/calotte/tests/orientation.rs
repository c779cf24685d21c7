//! Measured orientations beside a fit of points, on prototypes whose truth is known.
//!
//! The truth comes from the trigonometry of this file (rotations for the arm, the spherical
//! triangle for the scissor), not from the model that is fitted. All numbers are invented.

mod common;

use std::f64::consts::{PI, TAU};

use calotte::design::{Design, DriveLayout, ToolCarrier};
use calotte::kinematics::Kinematics;
use calotte::measurement::orientation::tool_frame;
use calotte::measurement::{
    FitOptions, OrientationError, Orientations, PhysicalModel, PointRow, Points, Watch, Witness,
    compare_orientations, fit_points,
};
use common::{DEGREE, arm, scissor};
use nalgebra::{Matrix3, Rotation3, UnitQuaternion, Vector3};
use rand::{Rng, SeedableRng};
use rand_chacha::ChaCha8Rng;

const RADIUS: f64 = 0.15;
const BRACKET: f64 = 0.1;
/// Noise of a component of the points, m.
const POINT_NOISE: f64 = 1e-5;
/// Noise of orientations: what tilts the tool direction (each of two), and roll, rad.
const TILT_NOISE: f64 = 1e-3;
const ROLL_NOISE: f64 = 3e-3;

/// A prototype: its design, and what it really is.
struct Prototype {
    design: Design,
    /// Arcs that differ from the design: the arm's two, or base left and right, then bar left
    /// and right, rad.
    arcs: Vec<f64>,
    scale: f64,
    opening_zero: f64,
}

impl Prototype {
    fn arm(off: f64) -> Self {
        let mut design = arm(50.0, 40.0);
        design.tool.bracket_arc = BRACKET;
        Self {
            design,
            arcs: vec![50.0 * DEGREE + off, 40.0 * DEGREE],
            scale: 1.0 + 0.3 * off,
            opening_zero: 0.0,
        }
    }

    fn scissor(off: f64) -> Self {
        let mut design = scissor(&[44.0], &[48.0], &[]);
        design.tool.bracket_arc = BRACKET;
        let [base, bar] = [44.0 * DEGREE, 48.0 * DEGREE];
        Self {
            design,
            arcs: vec![base + off, base, bar, bar - 0.5 * off],
            scale: 1.0,
            opening_zero: 2.0 * off,
        }
    }

    /// The tool's frame at readings, base frame: along, across, radial.
    fn frame(&self, readings: [f64; 2]) -> Matrix3<f64> {
        let about = |axis: Vector3<f64>, angle: f64| Rotation3::new(axis * angle);
        let bracket = *about(Vector3::y(), BRACKET).matrix();
        if self.arcs.len() == 2 {
            let arm = about(Vector3::z(), self.scale * readings[0])
                * about(Vector3::y(), self.arcs[0])
                * about(Vector3::z(), readings[1])
                * about(Vector3::y(), self.arcs[1]);
            return arm.matrix() * bracket;
        }
        let swing = 0.5 * (readings[0] + readings[1]);
        let half = 0.5 * (readings[0] - readings[1] + self.opening_zero);
        let side = |azimuth: f64, arc: f64| {
            let (s, c) = azimuth.sin_cos();
            Vector3::new(arc.sin() * c, arc.sin() * s, arc.cos())
        };
        let left = side(swing + half, self.arcs[0]);
        let right = side(swing - half, self.arcs[1]);
        let (first, second) = (self.arcs[2], self.arcs[3]);
        // The triangle's angle at the left joint, by its three sides.
        let across = left.dot(&right).acos();
        let angle =
            ((second.cos() - first.cos() * across.cos()) / (first.sin() * across.sin())).acos();
        let normal = left.cross(&right).normalize();
        let heading = normal.cross(&left) * angle.cos() + normal * angle.sin();
        let apex = left * first.cos() + heading * first.sin();
        let onward = heading * first.cos() - left * first.sin();
        Matrix3::from_columns(&[onward, apex.cross(&onward), apex]) * bracket
    }

    fn readings(&self, random: &mut ChaCha8Rng) -> [f64; 2] {
        let first = random.random_range(-2.5..2.5);
        if self.arcs.len() == 2 {
            return [first, random.random_range(0.5..2.6)];
        }
        let opening: f64 = random.random_range(0.8..2.4);
        [first + 0.5 * opening, first - 0.5 * opening]
    }
}

/// What a campaign measures, with the truth behind it.
struct Campaign {
    points: Points,
    /// Sensor's frame into the tool's.
    sensor: Rotation3<f64>,
    /// Turns planted in each row, tool's frame, rad.
    noise: Vec<Vector3<f64>>,
}

fn normal(random: &mut ChaCha8Rng) -> f64 {
    let uniform: f64 = random.random_range(f64::MIN_POSITIVE..1.0);
    (-2.0 * uniform.ln()).sqrt() * (TAU * random.random::<f64>()).cos()
}

fn normals(random: &mut ChaCha8Rng) -> Vector3<f64> {
    Vector3::from_fn(|_, _| normal(random))
}

fn campaign(prototype: &Prototype, seed: u64, rows: usize) -> Campaign {
    let mut random = ChaCha8Rng::seed_from_u64(seed);
    let tracker = Rotation3::new(normals(&mut random) * 2.0);
    let sensor = Rotation3::new(normals(&mut random) * 2.0);
    let shift = Vector3::new(0.8, -1.1, 0.4);
    let mut noise = Vec::new();
    let rows = (1..=rows)
        .map(|row| {
            let readings = prototype.readings(&mut random);
            let frame = tracker.matrix() * prototype.frame(readings);
            let size = Vector3::new(TILT_NOISE, TILT_NOISE, ROLL_NOISE);
            let turn = normals(&mut random).component_mul(&size);
            noise.push(turn);
            let seen = frame * Rotation3::new(turn).matrix() * sensor.matrix();
            let mut orientation =
                UnitQuaternion::from_rotation_matrix(&Rotation3::from_matrix_unchecked(seen));
            if row % 2 == 0 {
                orientation = UnitQuaternion::new_unchecked(-orientation.into_inner());
            }
            PointRow {
                row,
                readings,
                point: frame * Vector3::new(0.0, 0.0, RADIUS)
                    + shift
                    + normals(&mut random) * POINT_NOISE,
                orientation: Some(orientation),
                group: String::new(),
            }
        })
        .collect();
    Campaign {
        points: Points { rows },
        sensor,
        noise,
    }
}

/// Places alone tell the sensor's offsets badly beside zeros and arcs, and what they are
/// off turns the sensor: here they are known to be none.
fn compared(design: &Design, points: &Points) -> Result<Orientations, OrientationError> {
    let model = PhysicalModel::new(design).unwrap();
    let options = FitOptions {
        hold: ["sensor.along", "sensor.across"]
            .map(str::to_string)
            .to_vec(),
        ..FitOptions::default()
    };
    let fit = fit_points(&model, points, &options, Watch::NOBODY).unwrap();
    compare_orientations(&model, points, &fit)
}

fn angle_between(first: &Rotation3<f64>, second: &Rotation3<f64>) -> Vector3<f64> {
    UnitQuaternion::from_rotation_matrix(&(first * second.inverse())).scaled_axis()
}

/// At the design's values the frame stands still on the body that carries the tool, and its
/// axes are the tool direction and the tangent from which the linkage counts roll.
#[test]
fn the_frame_is_that_of_the_body_that_carries_the_tool() {
    let mut designs = vec![arm(50.0, 40.0)];
    for layout in [DriveLayout::TwoBars, DriveLayout::SwingAndOpening] {
        for carrier in [ToolCarrier::Left, ToolCarrier::Right, ToolCarrier::Bisector] {
            let mut design = scissor(&[22.0, 23.0], &[23.0, 24.0], &[4.0]);
            design.drives.layout = layout;
            design.tool.carried_by = carrier;
            designs.push(design);
        }
    }
    for mut design in designs {
        design.drives.ratio = [1.5, -2.0];
        design.tool.bracket_arc = 0.13;
        let model = PhysicalModel::new(&design).unwrap();
        let kinematics = Kinematics::new(&design).unwrap();
        let mut on_body: Option<Rotation3<f64>> = None;
        for mechanism in [[0.4, 0.9], [-2.0, 1.6], [1.2, 2.2]] {
            let pose = kinematics.forward_from_mechanism(mechanism).unwrap();
            let frame = tool_frame(&model, pose.active, [0.0; 2], &model.nominal()).unwrap();
            let identity = frame.matrix().transpose() * frame.matrix();
            assert!((identity - Matrix3::identity()).norm() < 1e-13);
            assert!((frame.matrix().determinant() - 1.0).abs() < 1e-13);

            let body = pose.configuration.rotations[kinematics.linkage.tool.body];
            let now = body.inverse() * frame;
            let before = *on_body.get_or_insert(now);
            assert!(angle_between(&now, &before).norm() < 1e-12);

            let radial = kinematics.linkage.tool_direction(&pose.configuration);
            let along = pose.frame.polar * pose.roll.cos() + pose.frame.azimuth * pose.roll.sin();
            assert!((frame * Vector3::z() - radial).norm() < 1e-12);
            assert!((frame * Vector3::x() - along).norm() < 1e-12);
        }
    }
}

/// Off the design's values too the frame is that of this file's trigonometry.
#[test]
fn the_frame_follows_every_value() {
    let mut random = ChaCha8Rng::seed_from_u64(1);
    for (prototype, values) in [
        (
            Prototype::arm(0.02),
            vec![("first-arc.first_arc", 0), ("second-arc.first_arc", 1)],
        ),
        (
            Prototype::scissor(0.02),
            vec![
                ("base-left.first_arc", 0),
                ("base-right.first_arc", 1),
                ("bar-left-1.first_arc", 2),
                ("bar-right-1.first_arc", 3),
            ],
        ),
    ] {
        let model = PhysicalModel::new(&prototype.design).unwrap();
        let mut real = model.nominal();
        for (name, arc) in values {
            real[model.index_of(name).unwrap()] = prototype.arcs[arc];
        }
        for (name, value) in [
            ("base.scale", prototype.scale),
            ("opening.zero", prototype.opening_zero),
        ] {
            if let Some(index) = model.index_of(name) {
                real[index] = value;
            }
        }
        for _ in 0..20 {
            let readings = prototype.readings(&mut random);
            let found = tool_frame(&model, readings, [0.0; 2], &real).unwrap();
            assert!((found.matrix() - prototype.frame(readings)).norm() < 1e-12);
        }
    }
}

/// The sensor's rotation within its standard error, the noise as planted, row by row and
/// apart by roll and direction; and the fit makes orientations agree better.
#[test]
fn the_sensor_s_rotation_and_the_noise_are_found() {
    let mut normalised = Vec::new();
    for seed in 0..12 {
        for prototype in [
            Prototype::arm(0.5 * DEGREE),
            Prototype::scissor(0.5 * DEGREE),
        ] {
            let made = campaign(&prototype, seed, 60);
            let found = compared(&prototype.design, &made.points).unwrap();
            assert_eq!(found.witness, Witness::Better);
            assert!(found.off.is_empty() && found.rows.len() == found.after.residuals.len());
            let error = angle_between(&found.after.sensor, &made.sensor);
            // Axis by axis: the noise is not the same about each.
            let size = Vector3::new(TILT_NOISE, TILT_NOISE, ROLL_NOISE);
            normalised.extend(error.component_div(&size).iter().map(|e| e * 60f64.sqrt()));
            let wanted = ((2.0 * TILT_NOISE.powi(2) + ROLL_NOISE.powi(2)) / 3.0).sqrt();
            assert!((found.deviation / wanted - 1.0).abs() < 0.4);
            assert!((found.sensor_standard_error * 60f64.sqrt() / wanted - 1.0).abs() < 0.4);
            let after = &found.after;
            assert!((after.roll.rms / ROLL_NOISE - 1.0).abs() < 0.4);
            assert!((after.direction.rms / (TILT_NOISE * 2f64.sqrt()) - 1.0).abs() < 0.4);
            let squares = after.roll.rms.powi(2) + after.direction.rms.powi(2);
            assert!((after.angle.rms.powi(2) / squares - 1.0).abs() < 1e-12);
            assert!(found.before.angle.rms > 1.2 * after.angle.rms);
            for (row, residual) in found.rows.iter().zip(&after.residuals) {
                let left = (residual - made.noise[row - 1]).component_div(&size);
                assert!(left.norm() * 60f64.sqrt() < 6.0, "row {row}: {left}");
            }
        }
    }
    // 72 normal values: 1 within five standard errors.
    let square: f64 = normalised.iter().map(|n| n * n).sum();
    let rms = (square / normalised.len() as f64).sqrt();
    assert!((rms - 1.0).abs() < 5.0 / (2.0 * 72f64).sqrt(), "{rms}");
}

/// Nothing wrong with the linkage: no difference. A tracker whose lengths are 3 % too great
/// along one axis and 2 % too small along another: the fit of points takes that for arcs and
/// zeros, the orientations do not follow.
#[test]
fn a_fit_that_learns_the_wrong_thing_is_told() {
    let prototype = Prototype::scissor(0.0);
    let made = campaign(&prototype, 3, 60);
    let found = compared(&prototype.design, &made.points).unwrap();
    assert_eq!(found.witness, Witness::Same);

    let mut bent = made.points.clone();
    let middle = bent.rows.iter().map(|row| row.point).sum::<Vector3<f64>>() / 60.0;
    for row in &mut bent.rows {
        let out = row.point - middle;
        row.point = middle + out.component_mul(&Vector3::new(1.03, 1.0, 0.98));
    }
    let found = compared(&prototype.design, &bent).unwrap();
    assert_eq!(found.witness, Witness::Worse);
    assert!(found.after.angle.rms > found.before.angle.rms);
}

#[test]
fn rows_plainly_off_are_named_and_do_not_count() {
    let prototype = Prototype::arm(0.5 * DEGREE);
    let mut made = campaign(&prototype, 5, 60);
    let clean = compared(&prototype.design, &made.points).unwrap();
    for (row, turn) in [(7, 0.05), (20, 1.0), (33, PI)] {
        let row = &mut made.points.rows[row - 1];
        let turn = UnitQuaternion::new(Vector3::new(0.6, 0.0, 0.8) * turn);
        row.orientation = row.orientation.map(|q| q * turn);
    }
    for row in [11, 12] {
        made.points.rows[row - 1].orientation = None;
    }
    let found = compared(&prototype.design, &made.points).unwrap();
    assert_eq!(found.off, [7, 20, 33]);
    assert_eq!((found.rows.len(), found.after.angle.count), (58, 55));
    assert!(!found.rows.contains(&11) && !found.rows.contains(&12));
    assert!(found.after.angle.max < 6.0 * ROLL_NOISE);
    assert!((found.after.angle.rms / clean.after.angle.rms - 1.0).abs() < 0.1);
    let of_row_33 = found.rows.iter().position(|row| *row == 33).unwrap();
    assert!((found.after.residuals[of_row_33].norm() - PI).abs() < 0.02);
}

#[test]
fn too_few_rows_and_none_at_all() {
    let prototype = Prototype::scissor(0.0);
    let mut made = campaign(&prototype, 6, 30);
    for row in &mut made.points.rows[3..] {
        row.orientation = None;
    }
    assert!(compared(&prototype.design, &made.points).is_ok());
    let mut bad = made.points.clone();
    bad.rows[1].orientation = Some(UnitQuaternion::new_unchecked(nalgebra::Quaternion::new(
        f64::NAN,
        0.0,
        0.0,
        0.0,
    )));
    let error = compared(&prototype.design, &bad).unwrap_err();
    assert_eq!(error, OrientationError::NotFinite);
    for count in [2, 0] {
        for row in &mut made.points.rows[count..] {
            row.orientation = None;
        }
        let error = compared(&prototype.design, &made.points).unwrap_err();
        assert_eq!(error, OrientationError::TooFew(count));
    }
}

/// Orientation measured at one configuration only: the sensor's rotation is still found.
#[test]
fn rows_all_alike_tell_the_sensor_and_nothing_else() {
    let prototype = Prototype::scissor(0.0);
    let mut made = campaign(&prototype, 8, 40);
    let repeated = made.points.rows[0].clone();
    for (index, row) in made.points.rows.iter_mut().enumerate() {
        if index < 5 {
            row.readings = repeated.readings;
            row.point = repeated.point;
            row.orientation = repeated.orientation;
        } else {
            row.orientation = None;
        }
    }
    let error = compared(&prototype.design, &made.points).unwrap_err();
    let OrientationError::Alike { rows, turn, sensor } = error else {
        panic!("{error}");
    };
    assert!(rows == 5 && turn < 1e-12);
    let off = angle_between(&sensor, &made.sensor);
    assert!((off - made.noise[0]).norm() < 1e-3, "{off}");
}

#[test]
fn inverse_orientations_are_called_so() {
    for prototype in [
        Prototype::arm(0.5 * DEGREE),
        Prototype::scissor(0.5 * DEGREE),
    ] {
        let mut made = campaign(&prototype, 9, 40);
        for row in &mut made.points.rows {
            row.orientation = row.orientation.map(|q| q.inverse());
        }
        let error = compared(&prototype.design, &made.points).unwrap_err();
        let OrientationError::Inverse { given, inverse } = error else {
            panic!("{error}");
        };
        assert!(given > 0.1 && inverse < 0.01);
    }
}
