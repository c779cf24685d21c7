//! Inverse kinematics: joint angles for a tool direction, or the nearest
//! direction that can be reached.

use std::f64::consts::TAU;

use thiserror::Error;

use crate::number::shown::degrees;
use crate::sphere::direction::wrap_positive;
use crate::sphere::{AzimuthSet, Direction, arc_between};

use super::pose::{Kinematics, Pose};
use super::working_range::WorkingRange;

/// A direction outside the working range.
#[derive(Debug, Clone, PartialEq, Error)]
#[error("direction out of the working range; the nearest reachable one is {} away", degrees(.distance))]
pub struct Unreachable {
    /// Nearest direction in the range, base frame.
    pub nearest: Direction,
    /// Angle to it, rad.
    pub distance: f64,
    /// Pose at the nearest direction.
    pub pose: Box<Pose>,
}

/// The pose that points the tool along a direction (base frame) within a working range.
///
/// # Errors
/// [`Unreachable`] with the nearest reachable direction.
pub fn inverse(
    kinematics: &Kinematics,
    range: &WorkingRange,
    direction: Direction,
) -> Result<Pose, Unreachable> {
    if let Some(pose) = exact(kinematics, range, direction) {
        return Ok(pose);
    }
    Err(nearest(kinematics, range, direction))
}

/// The pose that points the tool along a direction, `None` out of the range.
pub fn exact(kinematics: &Kinematics, range: &WorkingRange, direction: Direction) -> Option<Pose> {
    let second = range.second_for_polar(&kinematics.meridian, direction.polar)?;
    let azimuths = range.azimuths(&kinematics.meridian, second);
    // The ends of a swing range belong to it, rounding included.
    let inside = azimuths.contains(direction.azimuth)
        || azimuths.contains(direction.azimuth + 1e-12)
        || azimuths.contains(direction.azimuth - 1e-12);
    if !inside {
        return None;
    }
    pose(kinematics, direction, second)
}

fn pose(kinematics: &Kinematics, direction: Direction, second: f64) -> Option<Pose> {
    let first = kinematics.first_angle_for(direction, second);
    kinematics.forward_from_mechanism([first, second]).ok()
}

/// The nearest direction of the range, looked for along its polar angles: the
/// best azimuth on each, then a golden-section refinement about the best.
fn nearest(kinematics: &Kinematics, range: &WorkingRange, direction: Direction) -> Unreachable {
    let target = direction.vector();
    let candidate = |second: f64| {
        let state = kinematics.meridian.state(second);
        let polar = state.polar_angle();
        let azimuths = range.azimuths(&kinematics.meridian, second);
        let found = Direction {
            polar,
            azimuth: nearest_azimuth(&azimuths, direction.azimuth),
        };
        (arc_between(&found.vector(), &target), found)
    };
    let [lo, hi] = range.second;
    let count = 720;
    let at = |i: usize| lo + (hi - lo) * i as f64 / count as f64;
    let best = (0..=count)
        .min_by(|a, b| candidate(at(*a)).0.total_cmp(&candidate(at(*b)).0))
        .unwrap_or(0);
    let refined = crate::number::minimum::golden_minimum(
        at(best.saturating_sub(1)),
        at((best + 1).min(count)),
        &|x| candidate(x).0,
    );
    // An end of the range is met exactly, not to the width of the search.
    let second = [refined, lo, hi, at(best)]
        .into_iter()
        .min_by(|a, b| candidate(*a).0.total_cmp(&candidate(*b).0))
        .unwrap_or(refined);
    let (distance, nearest) = candidate(second);
    let fallback = || {
        kinematics
            .forward_from_mechanism([0.0, 0.5 * (lo + hi)])
            .ok()
    };
    let pose = pose(kinematics, nearest, second)
        .or_else(fallback)
        .unwrap_or_else(|| unreachable!("a working range holds configurations that close"));
    Unreachable {
        nearest,
        distance,
        pose: Box::new(pose),
    }
}

fn nearest_azimuth(azimuths: &AzimuthSet, wanted: f64) -> f64 {
    let wanted = wrap_positive(wanted);
    if azimuths.is_empty() || azimuths.contains(wanted) {
        return wanted;
    }
    let apart = |a: f64| {
        let d = (a - wanted).abs().rem_euclid(TAU);
        d.min(TAU - d)
    };
    azimuths
        .intervals()
        .iter()
        .flatten()
        .copied()
        .min_by(|a, b| apart(*a).total_cmp(&apart(*b)))
        .unwrap_or(wanted)
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::design::sample::two_arc_arm;
    use crate::kinematics::Margins;
    use crate::kinematics::range_choice::working_range;
    use crate::sphere::Region;

    fn arm() -> (Kinematics, WorkingRange) {
        let mut design = two_arc_arm([1.2, 0.8]);
        design.drives.range.first = Some([-1.0, 1.0]);
        let kinematics = Kinematics::new(&design).unwrap();
        let region = Region::cap(nalgebra::Vector3::z(), 1.5);
        let range = working_range(
            &kinematics,
            &design.drives.range,
            &Margins::default(),
            &region,
        )
        .unwrap();
        (kinematics, range)
    }

    #[test]
    fn a_reachable_direction_is_met_and_an_outer_one_names_the_rim() {
        let (kinematics, range) = arm();
        let inside = kinematics.forward_from_mechanism([0.3, 1.0]).unwrap();
        if range.second[0] <= 1.0 && 1.0 <= range.second[1] {
            let pose = inverse(&kinematics, &range, inside.direction).unwrap();
            assert!((pose.direction.vector() - inside.direction.vector()).norm() < 1e-12);
        }
        let outside = Direction {
            polar: 2.4,
            azimuth: 0.0,
        };
        let unreachable = inverse(&kinematics, &range, outside).unwrap_err();
        assert!((unreachable.nearest.polar - 2.0).abs() < 1e-6);
        assert!((unreachable.distance - 0.4).abs() < 1e-6);
    }

    #[test]
    fn no_sample_of_the_range_is_nearer_than_the_nearest() {
        let (kinematics, range) = arm();
        let target = Direction {
            polar: 1.2,
            azimuth: 3.0,
        };
        let found = inverse(&kinematics, &range, target).unwrap_err();
        for i in 0..=200 {
            for j in 0..=50 {
                let second =
                    range.second[0] + (range.second[1] - range.second[0]) * f64::from(i) / 200.0;
                let first = -1.0 + 2.0 * f64::from(j) / 50.0;
                let pose = kinematics.forward_from_mechanism([first, second]).unwrap();
                let angle = arc_between(&pose.direction.vector(), &target.vector());
                assert!(angle > found.distance - 1e-9);
            }
        }
    }
}
