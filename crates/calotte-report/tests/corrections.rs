//! The table of corrections, applied: what a controller does with it brings the fitted model to
//! the designed direction.

use calotte::design::Design;
use calotte::family::real::spread;
use calotte::kinematics::working_range::state_transmission;
use calotte::kinematics::{Kinematics, Margins};
use calotte::measurement::{
    Cause, FitOptions, PhysicalModel, PointRow, Points, Watch, correction_errors, corrections,
    fit_points,
};
use calotte_report::found::{FoundPoints, found_points};
use calotte_report::measure::{DEFAULT_MARGINS, corrections_table};
use nalgebra::{DVector, Vector3};
use rand::{Rng, SeedableRng};
use rand_chacha::ChaCha8Rng;

const DESIGN: &str = include_str!("../../../examples/head-dome/bench/design.toml");
const POINTS: &[u8] = include_bytes!("../../../examples/head-dome/bench/points.csv");

fn design(text: &str) -> Design {
    calotte_format::read_design(text).unwrap()
}

fn found(design: &Design) -> FoundPoints {
    found_points(POINTS, design, &[], false, Watch::NOBODY).unwrap()
}

/// Remarks, names and numbers of the table.
fn read(
    design: &Design,
    found: &FoundPoints,
    margins: Margins,
) -> (String, Vec<String>, Vec<Vec<f64>>) {
    let text = String::from_utf8(corrections_table(design, found, margins).unwrap()).unwrap();
    let (remarks, rows): (Vec<&str>, Vec<&str>) =
        text.lines().partition(|line| line.starts_with('#'));
    let names = rows[0].split(',').map(str::to_string).collect();
    let numbers = rows[1..]
        .iter()
        .map(|line| line.split(',').map(|cell| cell.parse().unwrap()).collect())
        .collect();
    (remarks.join(" ").replace(" # ", " "), names, numbers)
}

fn direction([polar, azimuth]: [f64; 2]) -> Vector3<f64> {
    let [polar, azimuth] = [polar, azimuth].map(f64::to_radians);
    Vector3::new(
        polar.sin() * azimuth.cos(),
        polar.sin() * azimuth.sin(),
        polar.cos(),
    )
}

#[test]
fn reading_and_what_is_added_drive_the_fitted_model_to_the_designed_direction() {
    let design = design(DESIGN);
    let found = found(&design);
    let model = &found.prototype.model;
    let mut values = found.prototype.fit.values.clone();
    for index in model.sensor_offsets() {
        values[index] = 0.0;
    }
    let (remarks, names, rows) = read(&design, &found, DEFAULT_MARGINS);
    let [a, b] = model.active_names;
    assert_eq!(names[0..2], [format!("{a}_deg"), format!("{b}_deg")]);
    assert_eq!(
        names[8..],
        [
            format!("add_to_{a}_deg"),
            format!("add_to_{b}_deg"),
            format!("standard_error_of_add_to_{a}_deg"),
            format!("standard_error_of_add_to_{b}_deg"),
        ]
    );
    assert!(!names.iter().any(|name| name.contains("true")), "{names:?}");
    assert!(rows.len() > 200, "{}", rows.len());
    let mut greatest: f64 = 0.0;
    for row in &rows {
        let point = |add: f64, values: &[f64]| {
            let reading = [row[0] + add * row[8], row[1] + add * row[9]].map(f64::to_radians);
            model.sensor(reading, [0.0; 2], values).unwrap().normalize()
        };
        let designed = direction([row[2], row[3]]);
        let off = |one: Vector3<f64>, other: Vector3<f64>| (one - other).norm();
        assert!(
            off(point(0.0, &model.nominal()), designed) < 1e-7,
            "{row:?}"
        );
        assert!(
            off(point(0.0, &values), direction([row[4], row[5]])) < 1e-7,
            "{row:?}"
        );
        // As its remarks say: reading + value to add.
        let left = off(point(1.0, &values), designed);
        assert!(left < 1e-6, "{left} {row:?}");
        greatest = greatest.max(off(point(0.0, &values), designed));
        // The other sign would not do.
        assert!(off(point(-1.0, &values), designed) > off(point(0.0, &values), designed));
    }
    // Half a degree of one arc is to be seen.
    assert!(greatest > 5e-3, "{greatest}");
    for words in [
        "set swing_deg + add_to_swing_deg and opening_deg + add_to_opening_deg",
        "all values are degrees",
        "base frame",
        "come from the fit",
        "transmission angle of at least 20°",
    ] {
        assert!(remarks.contains(words), "{words}: {remarks}");
    }
}

/// Between two rows a straight line leaves less than a tenth of the greatest error.
#[test]
fn between_rows_a_straight_line_will_do() {
    let design = design(DESIGN);
    let found = found(&design);
    let model = &found.prototype.model;
    let mut values = found.prototype.fit.values.clone();
    for index in model.sensor_offsets() {
        values[index] = 0.0;
    }
    let (_, _, rows) = read(&design, &found, DEFAULT_MARGINS);
    let (mut without, mut with, mut pairs) = (0.0f64, 0.0f64, 0);
    for one in &rows {
        let next =
            |row: &&Vec<f64>| row[0] == one[0] && (0.0..6.0).contains(&(row[1] - one[1] - 1e-6));
        let Some(other) = rows.iter().find(next) else {
            continue;
        };
        pairs += 1;
        let middle = |column: usize| (0.5 * (one[column] + other[column])).to_radians();
        let reading = [middle(0), middle(1)];
        let corrected = [reading[0] + middle(8), reading[1] + middle(9)];
        let point = |reading: [f64; 2], values: &[f64]| {
            model.sensor(reading, [0.0; 2], values).unwrap().normalize()
        };
        let designed = point(reading, &model.nominal());
        without = without.max((point(reading, &values) - designed).norm());
        with = with.max((point(corrected, &values) - designed).norm());
    }
    assert!(
        pairs > 200 && with < 0.1 * without,
        "{pairs} {with} {without}"
    );
}

#[test]
fn the_list_ends_before_the_limits() {
    let design = design(DESIGN);
    let found = found(&design);
    let kinematics = Kinematics::new(&design).unwrap();
    let margin = |degrees: f64| Margins {
        lci_min: 0.0,
        transmission_angle_min: degrees.to_radians(),
    };
    let least = |rows: &[Vec<f64>]| {
        let angles = rows.iter().map(|row| {
            let readings = [row[0], row[1]].map(f64::to_radians);
            let second = kinematics.mechanism_from_active(readings)[1];
            let state = kinematics.meridian.state(second);
            let (least, _) = state_transmission(&state).unwrap();
            least.to_degrees()
        });
        angles.fold(f64::INFINITY, f64::min)
    };
    let (_, _, wide) = read(&design, &found, margin(5.0));
    let (_, _, usual) = read(&design, &found, DEFAULT_MARGINS);
    let (remarks, _, narrow) = read(&design, &found, margin(35.0));
    assert!(wide.len() > usual.len() && usual.len() > narrow.len());
    assert!((5.0..20.0).contains(&least(&wide)), "{}", least(&wide));
    assert!(least(&usual) >= 20.0 && least(&narrow) >= 35.0);
    assert!(remarks.contains("transmission angle of at least 35°"));
    // No configuration has an LCI of 1.5: names and no row.
    let beyond = Margins {
        lci_min: 1.5,
        transmission_angle_min: 0.0,
    };
    let (_, names, none) = read(&design, &found, beyond);
    assert!(names.len() == 12 && none.is_empty());
}

/// A corrected reading stays within the drives' range; what does not is counted.
#[test]
fn the_drives_reach_every_corrected_reading() {
    let narrow = DESIGN.replace(
        "[drives]",
        "[drives.range_deg]\nswing = [-1, 1]\n\n[drives]",
    );
    let design = design(&narrow);
    let found = found(&design);
    let kinematics = Kinematics::new(&design).unwrap();
    let (remarks, _, rows) = read(&design, &found, DEFAULT_MARGINS);
    assert!(!rows.is_empty());
    for row in &rows {
        let corrected = [row[0] + row[8], row[1] + row[9]].map(f64::to_radians);
        let swing = kinematics.mechanism_from_active(corrected)[0].to_degrees();
        assert!((-1.0..=1.0).contains(&swing), "{swing}");
    }
    assert!(remarks.contains("Left out: "), "{remarks}");
}

/// A number of a standard normal distribution (Box and Muller 1958; from memory).
fn normal(random: &mut ChaCha8Rng) -> f64 {
    let (a, b): (f64, f64) = (random.random(), random.random());
    (-2.0 * (1.0 - a).ln()).sqrt() * (std::f64::consts::TAU * b).cos()
}

/// The table's errors are the scatter of corrections made anew for parameters drawn from what the
/// fit believes (Monte Carlo, derived): no derivative is taken.
#[test]
fn errors_are_the_scatter_of_what_is_believed() {
    let design = design(DESIGN);
    let found = found(&design);
    let (_, _, rows) = read(&design, &found, DEFAULT_MARGINS);
    let (model, fit) = (&found.prototype.model, &found.prototype.fit);
    let root = fit.moments.clone().cholesky().unwrap().l();
    let mut random = ChaCha8Rng::seed_from_u64(9);
    let looked_at: Vec<&Vec<f64>> = rows.iter().step_by(rows.len() / 12).collect();
    let readings: Vec<[f64; 2]> = looked_at
        .iter()
        .map(|row| [row[0], row[1]].map(f64::to_radians))
        .collect();
    let draws = 2000;
    let mut sums = vec![[0.0f64; 4]; readings.len()];
    for _ in 0..draws {
        let by = &root * DVector::from_fn(fit.fitted.len(), |_, _| normal(&mut random));
        let mut values = fit.values.clone();
        for (index, by) in fit.fitted.iter().zip(by.iter()) {
            // A tenth of the scatter, so that the straight line is meant and not its curvature.
            values[*index] += 0.1 * by;
        }
        for (sum, one) in sums
            .iter_mut()
            .zip(corrections(model, &values, readings.clone()))
        {
            let added = one.unwrap().added.map(f64::to_degrees);
            for k in 0..2 {
                sum[k] += added[k];
                sum[2 + k] += added[k].powi(2);
            }
        }
    }
    for (row, sum) in looked_at.iter().zip(&sums) {
        for k in 0..2 {
            let mean = sum[k] / f64::from(draws);
            let scatter = (sum[2 + k] / f64::from(draws) - mean * mean).sqrt() / 0.1;
            // The scatter of 2000 draws is known to 1.6 %.
            let ratio = row[10 + k] / scatter;
            assert!((ratio - 1.0).abs() < 0.06, "{row:?}: {scatter}");
        }
    }
}

/// Corrections of prototypes that are off as is believed beforehand, one part in twenty faulty, lie
/// about the true ones by their printed errors.
#[test]
fn true_corrections_lie_within_the_errors() {
    let design = design(DESIGN);
    let model = PhysicalModel::new(&design).unwrap();
    let mut random = ChaCha8Rng::seed_from_u64(91);
    let grid: Vec<[f64; 2]> = [-150.0, -80.0, 0.0, 70.0, 150.0]
        .iter()
        .flat_map(|a: &f64| [45.0, 90.0, 140.0].map(|b: f64| [*a, b].map(f64::to_radians)))
        .collect();
    let (mut squares, mut count, mut beyond) = ([0.0f64; 2], 0.0, 0.0);
    for campaign in 0..60 {
        let mut truth = model.nominal();
        for (index, described) in model.parameters.iter().enumerate() {
            if index != model.unobservable_zero() {
                // Where the sensor sits is nobody's fault.
                let may = described.cause != Cause::Sensor;
                let faulty = may && random.random::<f64>() < spread::FAULTY_SHARE;
                let width = if faulty {
                    spread::FAULTY
                } else {
                    spread::ALLOWED
                };
                truth[index] += width * described.typical * normal(&mut random);
            }
        }
        // The first half holds a parameter that is off, as a user might.
        let hold = if campaign < 30 {
            vec!["bar-left-1.second_arc".to_string()]
        } else {
            Vec::new()
        };
        let mut between = |from: f64, to: f64| from + (to - from) * random.random::<f64>();
        let readings: Vec<PointRow> = (1..=60)
            .map(|row| PointRow {
                row,
                readings: [between(-2.7, 2.7), between(0.7, 2.6)],
                point: Vector3::zeros(),
                orientation: None,
                group: String::new(),
            })
            .collect();
        let sides = calotte::measurement::fit::approaches(&readings);
        let mut points = Points { rows: readings };
        for (row, side) in points.rows.iter_mut().zip(sides) {
            if let Some(place) = model.sensor(row.readings, side, &truth) {
                row.point = place + Vector3::from_fn(|_, _| 5e-5 * normal(&mut random));
            }
        }
        // Readings at which the bars of this prototype do not close cannot be measured.
        points.rows.retain(|row| row.point.norm() > 0.0);
        let options = FitOptions {
            hold,
            sag: Vec::new(),
        };
        let fit = fit_points(&model, &points, &options, Watch::NOBODY).unwrap();
        let found = corrections(&model, &fit.values, grid.clone());
        let wanted = corrections(&model, &truth, grid.clone());
        for (found, wanted) in found.into_iter().zip(wanted) {
            let (Some(found), Some(wanted)) = (found, wanted) else {
                continue;
            };
            let errors = correction_errors(&model, &fit, &found).unwrap();
            for k in 0..2 {
                let off = (found.added[k] - wanted.added[k]) / errors[k];
                squares[k] += off * off;
                beyond += f64::from(u8::from(off.abs() > 3.0));
            }
            count += 1.0;
        }
    }
    assert!(count > 300.0, "{count}");
    let rms = squares.map(|one| (one / count).sqrt());
    println!(
        "rms of (found - true)/printed {rms:?}, beyond three {}",
        beyond / (2.0 * count)
    );
    // The same bounds as for the parameters of fits: 0.7 to 1.3, 95 % within three.
    assert!(rms.iter().all(|rms| (0.7..1.3).contains(rms)), "{rms:?}");
    assert!(beyond / (2.0 * count) < 0.05);
}
