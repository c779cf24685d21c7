//! How far a real linkage points from where its design puts it.

use std::f64::consts::PI;

use super::calibrated::directions;
use crate::design::Design;
use crate::family::real::{Cause, PhysicalModel};
use crate::kinematics::Margins;
use crate::linkage::LinkageError;
use crate::sphere::{Direction, arc_between};
use crate::subject::Motion;
use crate::uncertain::Corner;

/// Angles between where a linkage points and where its design says.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct PointingError {
    /// Configurations looked at.
    pub count: usize,
    /// Root mean square, rad.
    pub rms: f64,
    /// Greatest, rad.
    pub max: f64,
    /// Where the design points when it is greatest, base frame.
    pub worst_at: Direction,
}

/// Readings over a part of the second mechanism angle's range that keeps margins: near a
/// singular configuration a small error of an arc moves the tool far. Middles of equal steps,
/// ends left out.
///
/// # Arguments
/// - `within`: ends of the second mechanism angle, such as those of the working range, rad;
///   ranges in which the linkage is assembled otherwise are not meant.
/// - `steps`: of the first and of the second mechanism angle, rad.
///
/// # Errors
/// [`LinkageError`] for a design that cannot be built.
pub fn readings_over(
    design: &Design,
    within: [f64; 2],
    margins: Margins,
    steps: [f64; 2],
) -> Result<Vec<[f64; 2]>, LinkageError> {
    let nominal = design.at_corner(Corner::Nominal);
    let motion = Motion::alone(&nominal, margins)?;
    let first_range = nominal.drives.range.first.unwrap_or([-PI, PI]);
    let mut readings = Vec::new();
    for range in motion.all_ranges() {
        let from = range.second[0].max(within[0]);
        let to = range.second[1].min(within[1]);
        if from >= to {
            continue;
        }
        for second in middles([from, to], steps[1]) {
            for first in middles(first_range, steps[0]) {
                readings.push(motion.kinematics.active_from_mechanism([first, second]));
            }
        }
    }
    Ok(readings)
}

/// Middles of equal parts of a range, as many as steps fit in.
fn middles([from, to]: [f64; 2], step: f64) -> Vec<f64> {
    // A step that divides the range does so in spite of rounding.
    let count = ((to - from) / step * (1.0 + 1e-9)).floor().max(1.0) as usize;
    (0..count)
        .map(|i| from + (to - from) * (i as f64 + 0.5) / count as f64)
        .collect()
}

/// The pointing error of a real linkage that is taken for its design; `None` where no
/// reading reaches anything.
///
/// # Arguments
/// - `values`: of the model's parameters, SI.
/// - `readings`: of the active joints, rad.
pub fn pointing_error(
    model: &PhysicalModel,
    values: &[f64],
    readings: impl IntoIterator<Item = [f64; 2]>,
) -> Option<PointingError> {
    let rows = directions(model, values, readings);
    let mut found = PointingError {
        count: rows.len(),
        rms: 0.0,
        max: -1.0,
        worst_at: Direction {
            polar: 0.0,
            azimuth: 0.0,
        },
    };
    for row in &rows {
        let angle = arc_between(&row.designed, &row.fitted);
        found.rms += angle * angle / rows.len() as f64;
        if angle > found.max {
            found.max = angle;
            found.worst_at = Direction::of(&row.designed);
        }
    }
    found.rms = found.rms.sqrt();
    (!rows.is_empty()).then_some(found)
}

/// Values of a next prototype's parameters: of the bodies it keeps as they were found,
/// everything else as designed.
///
/// # Arguments
/// - `next`, `nominal`: its model, about its own design.
/// - `found`, `values`: the model that was fitted, and what was found, SI.
/// - `is_kept`: whether a body of this name is kept.
/// - `base`: whether the base is kept, and with it zeros, scales, backlash and base axes.
pub fn values_of_next(
    next: &PhysicalModel,
    found: &PhysicalModel,
    values: &[f64],
    is_kept: impl Fn(&str) -> bool,
    base: bool,
) -> Vec<f64> {
    let mut next_values = next.nominal();
    for (value, described) in next_values.iter_mut().zip(&next.parameters) {
        let kept = match &described.cause {
            Cause::Bar(name) => is_kept(name),
            Cause::Zero(_) | Cause::Scale(_) | Cause::Backlash(_) | Cause::BaseAxes => base,
            Cause::Sensor => false,
        };
        if let (true, Some(index)) = (kept, found.index_of(&described.name)) {
            *value = values[index];
        }
    }
    next_values
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::design::Family;
    use crate::design::sample::two_arc_arm;

    /// The second arc of an arm is a great circle through elbow and tool: an arc longer by e
    /// moves the tool by e along it, wherever the arm is.
    #[test]
    fn a_long_second_arc_points_off_by_as_much_everywhere() {
        let design = two_arc_arm([0.9, 0.7]);
        let model = PhysicalModel::new(&design).unwrap();
        let mut values = model.nominal();
        values[model.index_of("second-arc.first_arc").unwrap()] += 3e-3;
        let readings = readings_over(&design, [0.0, PI], Margins::default(), [0.5, 0.1]).unwrap();
        assert!(readings.len() > 100);
        let found = pointing_error(&model, &values, readings).unwrap();
        assert!((found.rms - 3e-3).abs() < 1e-12 && (found.max - 3e-3).abs() < 1e-12);
        assert_eq!(pointing_error(&model, &values, []), None);
    }

    #[test]
    fn only_what_is_kept_is_as_it_was_found() {
        let design = two_arc_arm([0.9, 0.7]);
        let found = PhysicalModel::new(&design).unwrap();
        let mut next = design.clone();
        next.family = Family::two_arc_arm([0.9, 0.6]);
        let next = PhysicalModel::new(&next).unwrap();
        let mut values = found.nominal();
        for value in &mut values {
            *value += 1e-3;
        }
        let kept = values_of_next(&next, &found, &values, |name| name == "first-arc", true);
        let nominal = next.nominal();
        for (index, described) in next.parameters.iter().enumerate() {
            let stays = matches!(
                described.cause,
                Cause::Zero(_) | Cause::Scale(_) | Cause::Backlash(_) | Cause::BaseAxes
            ) || described.name.starts_with("first-arc.");
            let expected = if stays { values[index] } else { nominal[index] };
            assert_eq!(kept[index], expected, "{}", described.name);
        }
    }
}
