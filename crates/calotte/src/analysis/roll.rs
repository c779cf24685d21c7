//! How far the tool rolls about its own direction over the region.

use std::f64::consts::TAU;

use crate::kinematics::workspace::Stand;
use crate::kinematics::{Kinematics, WorkingRange};
use crate::sphere::Region;

use super::ring_grid::Covered;

/// Second mechanism angles looked at over what covers the region, both ends included.
const SAMPLES: u32 = 129;
/// Share of an interval that a golden section keeps.
const GOLDEN: f64 = 0.618_033_988_749_894_9;
/// Golden sections between two samples: the interval shrinks by a factor of a million.
const SECTIONS: usize = 30;
/// How far beside the end of a range its slope is told, as a share of a step.
const BESIDE: f64 = 1e-3;
/// Differences of roll that rounding alone may leave, rad.
const ROUNDING: f64 = 1e-12;

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
    /// Over what a working range covers of a region (base frame), of what turns about one fixed
    /// axis; `None` where it covers nothing.
    pub fn over(kinematics: &Kinematics, range: &WorkingRange, region: &Region) -> Option<Self> {
        let second = Covered::new(kinematics, range, region).second()?;
        Self::along(kinematics, second)
    }

    /// Of what turns about one fixed axis, so that roll depends on the second mechanism angle
    /// alone; `second` is the range in which it covers the region, rad. Followed from sample
    /// to sample, through whole turns too.
    pub(super) fn along(kinematics: &Kinematics, second: [f64; 2]) -> Option<Self> {
        let [from, to] = second;
        let angles = (0..SAMPLES).map(|k| {
            let share = f64::from(k) / f64::from(SAMPLES - 1);
            from + (to - from) * share
        });
        let roll_at = |angle: f64| {
            let pose = kinematics.forward_from_mechanism([0.0, angle]).ok()?;
            Some(pose.roll)
        };
        let mut samples: Vec<[f64; 2]> = Vec::new();
        for angle in angles {
            // An end of the range may be where the linkage just closes no more.
            let Some(roll) = roll_at(angle) else {
                continue;
            };
            let followed = samples.last().map_or(roll, |last| nearest(roll, last[1]));
            samples.push([angle, followed]);
        }
        let (low, high) = (
            least(&samples, 1.0, &roll_at)?,
            -least(&samples, -1.0, &roll_at)?,
        );
        Some(Self::from_to(low, high, samples.len()))
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

    /// By how much the tool turns about its own direction, rad.
    pub fn range(&self) -> f64 {
        self.roll[1] - self.roll[0]
    }

    /// A roll known but for whole turns (rad) as the one nearest the middle of this range, so
    /// that over the covered part it lies between its ends and nowhere jumps by a turn, where
    /// they are less than a turn apart.
    pub fn carried_on(&self, roll: f64) -> f64 {
        nearest(roll, 0.5 * (self.roll[0] + self.roll[1]))
    }

    fn from_to(low: f64, high: f64, samples: usize) -> Self {
        let start = crate::sphere::direction::wrap_signed(low);
        Self {
            roll: [start, start + (high - low)],
            samples,
        }
    }
}

/// Roll known but for whole turns, as the one nearest another, rad.
fn nearest(roll: f64, to: f64) -> f64 {
    roll + ((to - roll) / TAU).round() * TAU
}

/// Least roll over samples of angle and roll, looked for between them too, rad; with a `sign`
/// of −1 the least of minus the roll. `None` without samples.
///
/// Between the neighbours of the least sample it is looked for by golden sections: the roll is
/// smooth, and at its least value an error of the place counts by its square alone.
fn least(samples: &[[f64; 2]], sign: f64, roll_at: &impl Fn(f64) -> Option<f64>) -> Option<f64> {
    let value_of = |sample: &[f64; 2]| sign * sample[1];
    let places = 0..samples.len();
    let place = places.min_by(|a, b| value_of(&samples[*a]).total_cmp(&value_of(&samples[*b])))?;
    let [_, roll] = samples[place];
    let sampled = sign * roll;
    let at = |angle: f64| roll_at(angle).map_or(f64::INFINITY, |found| sign * nearest(found, roll));
    let last = samples.len() - 1;
    let end_inwards = [(0, 1), (last, last.saturating_sub(1))]
        .into_iter()
        .find(|(end, _)| *end == place);
    if let Some((end, inner)) = end_inwards {
        // Where it grows from the end of the range on, the end is the least.
        let [from, to] = [samples[end][0], samples[inner][0]];
        if at(from + BESIDE * (to - from)) >= sampled {
            return Some(sampled);
        }
    }
    let mut ends = [
        samples[place.saturating_sub(1)][0],
        samples[(place + 1).min(last)][0],
    ];
    let inner = |[from, to]: [f64; 2]| [to - GOLDEN * (to - from), from + GOLDEN * (to - from)];
    let mut found = f64::INFINITY;
    for _ in 0..SECTIONS {
        let [first, second] = inner(ends);
        let values = [at(first), at(second)];
        found = found.min(values[0]).min(values[1]);
        match values[0] <= values[1] {
            true => ends[1] = second,
            false => ends[0] = first,
        }
    }
    // What rounding adds to a sample is no smaller value.
    Some(if found < sampled - ROUNDING {
        found
    } else {
        sampled
    })
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::design::sample::two_arc_arm;

    /// The roll of an arm is the angle at the tool in the triangle of base, elbow and tool.
    #[test]
    fn roll_of_an_arm_is_that_of_its_triangle() {
        // The tool's angle grows all the way, or is greatest where the first arc stands square
        // on the meridian.
        for [first, second] in [[1.2_f64, 0.9_f64], [0.9, 1.2]] {
            let kinematics = Kinematics::new(&two_arc_arm([first, second])).unwrap();
            let angle_at_tool = |elbow: f64| {
                let polar = kinematics.meridian.state(elbow).polar.value;
                let cosine =
                    (first.cos() - second.cos() * polar.cos()) / (second.sin() * polar.sin());
                cosine.clamp(-1.0, 1.0).acos()
            };
            let found = RollRange::along(&kinematics, [0.4, 2.6]).unwrap();
            assert_eq!(found.samples, SAMPLES as usize);
            let angles: Vec<f64> = (0..=40_000)
                .map(|k| angle_at_tool(0.4 + 2.2 * f64::from(k) / 40_000.0))
                .collect();
            let low = angles.iter().copied().reduce(f64::min).unwrap();
            let high = angles.iter().copied().reduce(f64::max).unwrap();
            let [from, to] = found.roll;
            assert!(
                (to - from - (high - low)).abs() < 1e-9,
                "{found:?} {low} {high}"
            );
            let sizes = [from.abs().min(to.abs()), from.abs().max(to.abs())];
            assert!(
                (sizes[0] - low).abs() < 1e-9 && (sizes[1] - high).abs() < 1e-9,
                "{found:?}"
            );
        }
    }
}
