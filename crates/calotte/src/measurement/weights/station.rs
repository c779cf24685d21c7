//! Each configuration by itself: measured stiffness beside the predicted band, play and
//! friction as seen, and where the prototype gives way.

use nalgebra::{DMatrix, DVector, Vector3};

use super::error::WeightError;
use super::forward::Forward;
use crate::brief::LoadPlace;
use crate::elasticity::EnergyShares;
use crate::measurement::data::{Course, Displacement, WeightRow};
use crate::statics::STANDARD_GRAVITY;
use crate::uncertain::Corner;

/// A value read off the rows with its standard error.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Seen {
    /// Value, SI.
    pub value: f64,
    /// Standard error by the gauge's scatter, SI; by the noise of the fit where that is not known.
    pub standard_error: f64,
}

/// Where a measured stiffness lies.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Standing {
    /// Between soft and stiff end of the prediction, three standard errors allowed.
    Within,
    /// Below the soft end.
    Softer,
    /// Above the stiff end.
    Stiffer,
}

/// Rows of one configuration, place, pull and gauge.
///
/// Stiffness is force along the pull over displacement along the gauge; for all three
/// components, along the pull. Play and friction loop are those along the pull.
#[derive(Debug, Clone, PartialEq)]
pub struct Station {
    /// Readings of the active joints, rad.
    pub readings: [f64; 2],
    /// What the weights pull on.
    pub place: LoadPlace,
    /// Direction of the pull, world, unit.
    pub pull: Vector3<f64>,
    /// The gauge's axis, turned so that it does not look against the pull; `None` for all
    /// three components.
    pub gauge: Option<Vector3<f64>>,
    /// Numbers of its rows, in the order of the file.
    pub rows: Vec<usize>,
    /// Measured stiffness, N/m: slope of the rows with a mass while loading, play excluded;
    /// `None` with fewer than two masses, or where nothing is seen to give way.
    pub measured: Option<Seen>,
    /// Stiffness of the design, N/m; `None` where its gauge would not see it give way.
    pub nominal: Option<f64>,
    /// The same at the soft and at the stiff end of the design's bands.
    pub band: Option<[f64; 2]>,
    /// The same of the fitted model.
    pub fitted: Option<f64>,
    /// Where the measured stiffness lies.
    pub standing: Option<Standing>,
    /// Where the fitted model gives way to this pull, at the point it pulls on; `None` for a
    /// load on a bar.
    pub shares: Option<EnergyShares>,
    /// Play as seen here, m; `None` unless weights were put on and taken off.
    pub play: Option<Seen>,
    /// Width of the friction loop as seen here, m; `None` as for the play.
    pub friction: Option<Seen>,
}

/// Readings closer than this are of one configuration, rad: 0.05° (common practice, no source).
const SAME_READING: f64 = 0.05 / 180.0 * std::f64::consts::PI;
/// Directions closer than this are one.
const SAME_DIRECTION: f64 = 1e-3;
/// Least cosine between gauge and pull at which play and friction are read off.
const ALONG: f64 = 0.1;
/// Standard errors that are allowed to a measured stiffness.
const ALLOWED: f64 = 3.0;

/// Whether two rows are of one configuration.
pub(super) fn same_readings(a: &WeightRow, b: &WeightRow) -> bool {
    (0..2).all(|k| (a.readings[k] - b.readings[k]).abs() < SAME_READING)
}

/// The axis along which a row is judged, and whether it is a gauge's.
fn sight(row: &WeightRow) -> (Vector3<f64>, bool) {
    match row.displacement {
        Displacement::Along { axis, .. } if axis.dot(&row.pull) < 0.0 => (-axis, true),
        Displacement::Along { axis, .. } => (axis, true),
        Displacement::Vector(_) => (row.pull, false),
    }
}

/// Displacement along that axis, m.
fn displaced(row: &WeightRow) -> f64 {
    match row.displacement {
        Displacement::Along { axis, value } if axis.dot(&row.pull) < 0.0 => -value,
        Displacement::Along { value, .. } => value,
        Displacement::Vector(vector) => vector.dot(&row.pull),
    }
}

fn same_station(a: &WeightRow, b: &WeightRow) -> bool {
    let ((axis_a, gauge_a), (axis_b, gauge_b)) = (sight(a), sight(b));
    same_readings(a, b)
        && a.place == b.place
        && gauge_a == gauge_b
        && (a.pull - b.pull).norm() < SAME_DIRECTION
        && (axis_a - axis_b).norm() < SAME_DIRECTION
}

/// Rows of each configuration.
fn groups(forward: &Forward) -> Vec<Vec<usize>> {
    let mut groups: Vec<Vec<usize>> = Vec::new();
    for (slot, row) in forward.rows.iter().enumerate() {
        let same = |group: &&mut Vec<usize>| same_station(forward.rows[group[0]], row);
        match groups.iter_mut().find(same) {
            Some(group) => group.push(slot),
            None => groups.push(vec![slot]),
        }
    }
    groups
}

/// Standard deviation of readings about each configuration's own line, m; `None` with fewer
/// than [`SPARE_MIN`] readings to spare.
pub(super) fn scatter(forward: &Forward, used: &[bool]) -> Option<f64> {
    let (mut sum, mut spare) = (0.0, 0usize);
    for slots in groups(forward) {
        let good = slots.iter().filter(|slot| used[**slot]);
        let loaded: Vec<&WeightRow> = good
            .map(|slot| forward.rows[*slot])
            .filter(|row| row.mass > 0.0)
            .collect();
        let Some(first) = loaded.first() else {
            continue;
        };
        let one_course = loaded.iter().all(|row| row.course == first.course);
        let design = own_line(&loaded, 1.0);
        let design = if one_course {
            design.remove_column(1)
        } else {
            design
        };
        let seen = DVector::from_iterator(loaded.len(), loaded.iter().map(|row| displaced(row)));
        if let Some((found, _)) = line(&design, &seen, 1.0) {
            sum += (&design * found - &seen).norm_squared();
            spare += design.nrows() - design.ncols();
        }
    }
    (spare >= SPARE_MIN).then(|| (sum / spare as f64).sqrt().max(ROUNDING))
}

/// Columns: play, friction loop, force, for rows with a mass.
fn own_line(rows: &[&WeightRow], cosine: f64) -> DMatrix<f64> {
    DMatrix::from_fn(rows.len(), 3, |i, k| {
        let side = match rows[i].course {
            Course::Loading => -0.5,
            Course::Unloading => 0.5,
        };
        [0.5 * cosine, side * cosine, rows[i].mass * STANDARD_GRAVITY][k]
    })
}

/// All configurations, in the order of the rows.
pub(super) fn stations(
    forward: &Forward,
    coordinates: &[f64],
    used: &[bool],
    noise: f64,
) -> Result<Vec<Station>, WeightError> {
    let groups = groups(forward);
    let nominal = forward.answers(&vec![0.0; coordinates.len()])?;
    let fitted = forward.answers(coordinates)?;
    let soft = forward.answers_at(Corner::Soft)?;
    let stiff = forward.answers_at(Corner::Stiff)?;
    Ok(groups
        .into_iter()
        .map(|slots| {
            let row = forward.rows[slots[0]];
            let (axis, gauge) = sight(row);
            let stiffness = |answers| {
                let along = axis.dot(&forward.of_row(answers, slots[0]).moved);
                (along > 0.0).then(|| 1.0 / along)
            };
            let good: Vec<&WeightRow> = slots
                .iter()
                .filter(|slot| used[**slot])
                .map(|slot| forward.rows[*slot])
                .collect();
            let measured = loading_stiffness(&good, noise);
            let band = stiffness(&soft).zip(stiffness(&stiff));
            let band = band.map(|(soft, stiff)| [soft, stiff]);
            let (play, friction) = gaps(&good, noise, axis.dot(&row.pull)).unzip();
            Station {
                readings: row.readings,
                place: row.place.clone(),
                pull: row.pull,
                gauge: gauge.then_some(axis),
                rows: slots.iter().map(|slot| forward.rows[*slot].row).collect(),
                standing: measured.zip(band).map(|(seen, band)| standing(&seen, band)),
                measured,
                nominal: stiffness(&nominal),
                band,
                fitted: stiffness(&fitted),
                shares: forward.of_row(&fitted, slots[0]).shares,
                play,
                friction,
            }
        })
        .collect())
}

fn standing(seen: &Seen, [soft, stiff]: [f64; 2]) -> Standing {
    let margin = ALLOWED * seen.standard_error;
    if seen.value < soft - margin {
        Standing::Softer
    } else if seen.value > stiff + margin {
        Standing::Stiffer
    } else {
        Standing::Within
    }
}

/// Slope of the loading rows with a mass, as stiffness.
fn loading_stiffness(rows: &[&WeightRow], noise: f64) -> Option<Seen> {
    let loading = rows
        .iter()
        .filter(|row| row.mass > 0.0 && row.course == Course::Loading);
    let points: Vec<(f64, f64)> = loading
        .map(|row| (row.mass * STANDARD_GRAVITY, displaced(row)))
        .collect();
    let design = DMatrix::from_fn(points.len(), 2, |i, k| [1.0, points[i].0][k]);
    let seen = DVector::from_iterator(points.len(), points.iter().map(|p| p.1));
    let (found, errors) = line(&design, &seen, noise)?;
    // Not told from rigid by two standard errors: no stiffness is.
    (found[1] > 2.0 * errors[1]).then(|| Seen {
        value: 1.0 / found[1],
        standard_error: errors[1] / (found[1] * found[1]),
    })
}

/// Play and friction loop along the pull, from rows with a mass of both courses.
fn gaps(rows: &[&WeightRow], noise: f64, cosine: f64) -> Option<(Seen, Seen)> {
    let loaded: Vec<&WeightRow> = rows.iter().copied().filter(|row| row.mass > 0.0).collect();
    let both = [Course::Loading, Course::Unloading]
        .iter()
        .all(|course| loaded.iter().any(|row| row.course == *course));
    if !both || cosine < ALONG {
        return None;
    }
    let design = own_line(&loaded, cosine);
    let seen = DVector::from_iterator(loaded.len(), loaded.iter().map(|row| displaced(row)));
    let (found, errors) = line(&design, &seen, noise)?;
    let of = |k: usize| Seen {
        value: found[k],
        standard_error: errors[k],
    };
    Some((of(0), of(1)))
}

/// Least squares with the standard errors by a known noise; `None` where the columns are
/// not independent.
fn line(
    design: &DMatrix<f64>,
    seen: &DVector<f64>,
    noise: f64,
) -> Option<(DVector<f64>, Vec<f64>)> {
    if design.nrows() < design.ncols() {
        return None;
    }
    let svd = design.clone().svd(true, true);
    let limit = INDEPENDENT * svd.singular_values.max();
    if svd.singular_values.min() <= limit {
        return None;
    }
    let found = svd.solve(seen, limit).ok()?;
    let inverse = design.tr_mul(design).try_inverse()?;
    let errors = (0..design.ncols())
        .map(|k| noise * inverse[(k, k)].max(0.0).sqrt())
        .collect();
    Some((found, errors))
}

/// Readings more than unknowns from which scatter is told.
const SPARE_MIN: usize = 4;
/// Scatter below which lines are exact, m.
const ROUNDING: f64 = 1e-12;
/// Ratio of singular values below which columns are not independent.
const INDEPENDENT: f64 = 1e-9;
