//! How far the tool rolls about its own direction over the region.

use std::f64::consts::TAU;

use crate::kinematics::Kinematics;
use crate::kinematics::workspace::Stand;

/// Second mechanism angles looked at over what covers the region, both ends included.
const SAMPLES: u32 = 129;

/// Roll of the tool against the meridian of the base axis, over the covered directions.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct RollRange {
    /// Least and greatest, rad; the least in (−π, π], the greatest by as much above it as the
    /// tool turns.
    pub roll: [f64; 2],
    /// How many configurations it is sampled at.
    pub samples: usize,
}

impl RollRange {
    /// Of what turns about one fixed axis, so that roll depends on the second mechanism angle
    /// alone; `second` is the range in which it covers the region, rad. Followed from sample
    /// to sample, through whole turns too.
    pub(super) fn along(kinematics: &Kinematics, second: [f64; 2]) -> Option<Self> {
        let [from, to] = second;
        let angles = (0..SAMPLES).map(|k| {
            let share = f64::from(k) / f64::from(SAMPLES - 1);
            from + (to - from) * share
        });
        let mut rolls: Vec<f64> = Vec::new();
        for angle in angles {
            // An end of the range may be where the linkage just closes no more.
            let Ok(pose) = kinematics.forward_from_mechanism([0.0, angle]) else {
                continue;
            };
            let turns = rolls
                .last()
                .map_or(0.0, |last| ((last - pose.roll) / TAU).round());
            rolls.push(pose.roll + turns * TAU);
        }
        let low = rolls.iter().copied().reduce(f64::min)?;
        let high = rolls.iter().copied().reduce(f64::max)?;
        Some(Self::from_to(low, high, rolls.len()))
    }

    /// Of poses in no order: the smallest arc that holds the roll of all.
    pub(super) fn of_poses(stands: &[Stand]) -> Option<Self> {
        let mut rolls: Vec<f64> = stands.iter().map(|stand| stand.pose.roll).collect();
        rolls.sort_by(f64::total_cmp);
        let count = rolls.len();
        let gap_after = |index: usize| match index + 1 == count {
            true => rolls[0] + TAU - rolls[index],
            false => rolls[index + 1] - rolls[index],
        };
        let widest = (0..count).max_by(|a, b| gap_after(*a).total_cmp(&gap_after(*b)))?;
        let low = rolls[(widest + 1) % count];
        let high = low + TAU - gap_after(widest);
        Some(Self::from_to(low, high, count))
    }

    fn from_to(low: f64, high: f64, samples: usize) -> Self {
        let start = crate::sphere::direction::wrap_signed(low);
        Self {
            roll: [start, start + (high - low)],
            samples,
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::design::sample::two_arc_arm;

    /// The roll of an arm is the angle at the tool in the triangle of base, elbow and tool.
    #[test]
    fn roll_of_an_arm_is_that_of_its_triangle() {
        let [first, second] = [1.2_f64, 0.9_f64];
        let kinematics = Kinematics::new(&two_arc_arm([first, second])).unwrap();
        let angle_at_tool = |elbow: f64| {
            let polar = kinematics.meridian.state(elbow).polar.value;
            let cosine = (first.cos() - second.cos() * polar.cos()) / (second.sin() * polar.sin());
            cosine.clamp(-1.0, 1.0).acos()
        };
        let found = RollRange::along(&kinematics, [0.4, 2.6]).unwrap();
        assert_eq!(found.samples, SAMPLES as usize);
        let angles: Vec<f64> = (0..=4000)
            .map(|k| angle_at_tool(0.4 + 2.2 * f64::from(k) / 4000.0))
            .collect();
        let low = angles.iter().copied().reduce(f64::min).unwrap();
        let high = angles.iter().copied().reduce(f64::max).unwrap();
        let [from, to] = found.roll;
        assert!(
            (to - from - (high - low)).abs() < 1e-3,
            "{found:?} {low} {high}"
        );
        let sizes = [from.abs().min(to.abs()), from.abs().max(to.abs())];
        assert!(
            (sizes[0] - low).abs() < 1e-3 && (sizes[1] - high).abs() < 1e-3,
            "{found:?}"
        );
    }
}
