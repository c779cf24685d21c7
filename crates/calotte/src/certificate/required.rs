//! Polar angles that a linkage must reach to cover enough of a region.
//!
//! Within one working range the polar angle is monotone in the second mechanism angle, so that
//! what is reached lies between two polar angles [q₁, q₂]. If all of it within q₁ weighs A(q₁)
//! and all beyond q₂ weighs Ā(q₂), then A(q₁) + Ā(q₂) is at least what is missed; covering
//! enough asks that it be no more than what may be missed. Limits of the first mechanism angle,
//! keep-outs and clearing take away from what is covered and never add to it.

use std::f64::consts::{PI, TAU};

use nalgebra::Vector3;

use crate::sphere::quadrature::pieces;
use crate::sphere::{Direction, Region, arc_between};

/// Polar steps that a region is cut into: few enough that no brief waits for them.
const STEPS: usize = 4096;
/// Pieces for means are no wider, rad: half a degree.
const PIECE: f64 = PI / 360.0;
/// Share of the region that is given away for the error of its areas.
const SLACK: f64 = 1e-8;

/// What a region weighs within and beyond polar angles about the base axis.
#[derive(Debug, Clone, PartialEq)]
pub(super) struct Required {
    /// Ascending polar angles, rad: of a region of points where they lie.
    polar: Vec<f64>,
    /// Weight at polar angles not above each, and not below each: sr, or points.
    within: Vec<f64>,
    beyond: Vec<f64>,
    total: f64,
    /// Whether an area lies between the polar angles, never denser than the sphere's.
    dense: bool,
    /// Whether the base axis, either way, pierces the region.
    pub(super) holds_axis: bool,
}

impl Required {
    /// Of a region in the base frame; `None` for one that holds nothing.
    pub(super) fn of(region: &Region) -> Option<Self> {
        let holds_axis = [Vector3::z(), -Vector3::z()].iter().any(|axis| {
            region.contains(axis) || region.points().iter().any(|p| arc_between(p, axis) < 1e-9)
        });
        let (polar, each) = if region.is_points() {
            let mut polar: Vec<f64> = region
                .points()
                .iter()
                .map(|point| Direction::of(point).polar)
                .collect();
            polar.sort_by(f64::total_cmp);
            let each = vec![1.0; polar.len()];
            (polar, each)
        } else {
            steps(region)
        };
        let total: f64 = each.iter().sum();
        if total <= 0.0 {
            return None;
        }
        let mut sum = 0.0;
        let within: Vec<f64> = each
            .iter()
            .map(|weight| {
                sum += weight;
                sum
            })
            .collect();
        let dense = !region.is_points();
        let beyond = (0..polar.len())
            .map(|i| match (dense, i) {
                (true, _) => total - within[i],
                (false, 0) => total,
                (false, _) => total - within[i - 1],
            })
            .collect();
        Some(Self {
            polar,
            within,
            beyond,
            total,
            dense,
            holds_axis,
        })
    }

    /// What may be missed where so large a share is to be covered, in the region's own weight.
    pub(super) fn may_miss(&self, coverage_min: f64) -> f64 {
        self.total * (1.0 - coverage_min).max(0.0)
    }

    /// The same with what the areas may be off by; of points a whole number.
    pub(super) fn may_miss_surely(&self, coverage_min: f64) -> f64 {
        let missed = self.may_miss(coverage_min) + SLACK * self.total;
        if self.dense { missed } else { missed.floor() }
    }

    /// Ranges that together hold all that may be missed within, if no more than this may be
    /// missed: one for an area, a number each for points.
    pub(super) fn missed_within(&self, spare: f64) -> Vec<[f64; 2]> {
        if self.dense {
            return vec![[0.0, spare]];
        }
        (0..=spare as usize).map(|n| [n as f64; 2]).collect()
    }

    /// The share of a weight.
    pub(super) fn share(&self, weight: f64) -> f64 {
        weight / self.total
    }

    /// A polar angle that is surely reached from within where less than this weight, or just
    /// this, is missed within; `None` where all may be missed.
    pub(super) fn from(&self, missed: f64) -> Option<f64> {
        let missed = missed + SLACK * self.total;
        let first = self.within.partition_point(|weight| *weight <= missed);
        let polar = *self.polar.get(first)?;
        if !self.dense || first == 0 {
            return Some(polar);
        }
        // Below the step's end no area is denser than the sphere's own.
        let cosine = polar.cos() + (self.within[first] - missed) / TAU;
        let reached = cosine.min(1.0).acos();
        Some(reached.clamp(self.polar[first - 1], polar))
    }

    /// The same from beyond.
    pub(super) fn to(&self, missed: f64) -> Option<f64> {
        let missed = missed + SLACK * self.total;
        let after = self.beyond.partition_point(|weight| *weight > missed);
        let last = after.checked_sub(1)?;
        if !self.dense || last + 1 == self.polar.len() {
            return Some(self.polar[last]);
        }
        let cosine = self.polar[last].cos() - (self.beyond[last] - missed) / TAU;
        let reached = cosine.max(-1.0).acos();
        Some(reached.clamp(self.polar[last], self.polar[last + 1]))
    }

    /// Polar angles, rad, within and beyond which just this is missed, interpolated: for trials,
    /// not for proofs.
    pub(super) fn covering(&self, within: f64, beyond: f64) -> [f64; 2] {
        let tiny = 1e-12 * self.total;
        let last = self.polar.len() - 1;
        let low = self.within.partition_point(|w| *w <= within + tiny);
        let low = low.checked_sub(1);
        let high = self.beyond.partition_point(|w| *w > beyond + tiny);
        let high = (high <= last).then_some(high);
        if !self.dense {
            // The point after those that are missed, and the one before.
            let low = low.map_or(0, |low| (low + 1).min(last));
            let high = high.map_or(last, |high| high.saturating_sub(1));
            return [self.polar[low], self.polar[high]];
        }
        let (low, high) = (low.unwrap_or(0), high.unwrap_or(last));
        // Area is nearly linear in the cosine.
        let towards = |at: usize, next: usize, weights: &[f64], missed: f64| {
            let step = weights[next] - weights[at];
            let share = if step > 0.0 {
                ((missed - weights[at]) / step).clamp(0.0, 1.0)
            } else {
                0.0
            };
            let [at, next] = [at, next].map(|i| self.polar[i].cos());
            (at + share * (next - at)).acos()
        };
        [
            towards(low, (low + 1).min(last), &self.within, within),
            towards(high, high.saturating_sub(1), &self.beyond, beyond),
        ]
    }

    /// Pieces of polar angle, rad, with the share of the region in each; their shares sum to 1.
    pub(super) fn shares(&self) -> Vec<([f64; 2], f64)> {
        let mut shares: Vec<([f64; 2], f64)> = Vec::new();
        let mut before = 0.0;
        for (index, weight) in self.within.iter().enumerate() {
            let to = self.polar[index];
            let from = if self.dense && index > 0 {
                self.polar[index - 1]
            } else {
                to
            };
            let share = self.share(weight - before);
            before = *weight;
            if share <= 0.0 {
                continue;
            }
            match shares.last_mut() {
                Some((ends, sum)) if ends[1] == from && to - ends[0] <= PIECE => {
                    ends[1] = to;
                    *sum += share;
                }
                _ => shares.push(([from, to], share)),
            }
        }
        shares
    }
}

/// Gauss–Legendre with three points, exact to the fifth power: enough for a step.
const RULE: [(f64, f64); 3] = [
    (-0.774_596_669_241_483_4, 5.0 / 9.0),
    (0.0, 8.0 / 9.0),
    (0.774_596_669_241_483_4, 5.0 / 9.0),
];

/// Polar angles from the region's first to its last, near its breaks close together, and the
/// area, sr, between each and the one before.
fn steps(region: &Region) -> (Vec<f64>, Vec<f64>) {
    let cut = pieces(0.0, PI, &region.polar_breaks());
    let each = (STEPS / cut.len().max(1)).max(64);
    let (mut polar, mut areas) = (vec![0.0], vec![0.0]);
    for [lo, hi] in cut {
        // Half a circle over the piece: areas may begin and end like a square root.
        let at = |t: f64| lo + (hi - lo) * (0.5 * t).sin().powi(2);
        for step in 0..each {
            let [from, to] = [step, step + 1].map(|k| PI * k as f64 / each as f64);
            let area: f64 = RULE
                .into_iter()
                .map(|(node, weight)| {
                    let t = 0.5 * (from + to) + 0.5 * (to - from) * node;
                    let polar = at(t);
                    let rate = 0.25 * (hi - lo) * t.sin() * (to - from) * weight;
                    rate * region.azimuths_at(polar).measure() * polar.sin()
                })
                .sum();
            polar.push(if step + 1 == each { hi } else { at(to) });
            areas.push(area);
        }
    }
    (polar, areas)
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::sphere::{Exclusion, Shape};

    fn band(from: f64, to: f64) -> Region {
        Region {
            shape: Shape::Band {
                axis: Vector3::z(),
                polar_from: from,
                polar_to: to,
            },
            excluded: Vec::new(),
        }
    }

    fn tilted(polar: f64, half_angle: f64) -> Region {
        let axis = Direction {
            polar,
            azimuth: 0.3,
        }
        .vector();
        Region::cap(axis, half_angle)
    }

    #[test]
    fn a_band_is_required_from_end_to_end_and_loses_what_its_area_says() {
        let required = Required::of(&band(0.3, 1.2)).unwrap();
        assert!((required.from(0.0).unwrap() - 0.3).abs() < 1e-7);
        assert!((required.to(0.0).unwrap() - 1.2).abs() < 1e-7);
        let whole = TAU * (0.3f64.cos() - 1.2f64.cos());
        assert!((required.total - whole).abs() < 1e-11);
        // A tenth missed within: cos q₁ = cos 0.3 − 0.1·(cos 0.3 − cos 1.2).
        let q = (0.9 * 0.3f64.cos() + 0.1 * 1.2f64.cos()).acos();
        let from = required.from(0.1 * whole).unwrap();
        assert!((from - q).abs() < 1e-6 && from >= q, "{from} {q}");
        let covering = required.covering(0.1 * whole, 0.0);
        assert!((covering[0] - q).abs() < 1e-9 && (covering[1] - 1.2).abs() < 1e-9);
        assert!(!required.holds_axis);
    }

    /// What must be reached, once not reached, misses more than may be missed.
    #[test]
    fn what_is_required_follows_from_the_area_of_any_region() {
        let mut holed = tilted(0.9, 0.6);
        holed.excluded.push(Exclusion {
            axis: Direction {
                polar: 1.1,
                azimuth: 0.5,
            }
            .vector(),
            half_angle: 0.2,
            why: String::new(),
        });
        for region in [tilted(0.7, 0.5), tilted(0.2, 0.6), holed, band(0.2, 1.0)] {
            let required = Required::of(&region).unwrap();
            let area = region.area();
            assert!((required.total / area - 1.0).abs() < 1e-8);
            let left = |from: f64, to: f64| {
                // Two caps taken out leave what lies between.
                let mut left = region.clone();
                for (axis, half_angle) in [(Vector3::z(), from), (-Vector3::z(), PI - to)] {
                    left.excluded.push(Exclusion {
                        axis,
                        half_angle,
                        why: String::new(),
                    });
                }
                left.area()
            };
            for missed in [0.0, 0.001, 0.05, 0.3] {
                let (from, to) = (required.from(missed * area), required.to(missed * area));
                let (from, to) = (from.unwrap(), to.unwrap());
                assert!(left(from + 1e-5, PI) < area * (1.0 - missed), "{missed}");
                assert!(left(0.0, to - 1e-5) < area * (1.0 - missed), "{missed}");
                for [within, beyond] in [[missed, 0.0], [0.0, missed]] {
                    let [low, high] = required.covering(within * area, beyond * area);
                    let off = left(low, high) / area - (1.0 - missed);
                    assert!(off.abs() < 1e-5, "{missed}: {off}");
                }
            }
            let shares: f64 = required.shares().iter().map(|(_, share)| share).sum();
            assert!((shares - 1.0).abs() < 1e-12);
        }
        assert!(Required::of(&tilted(0.2, 0.6)).unwrap().holds_axis);
    }

    #[test]
    fn points_are_counted() {
        let at = |polar: f64| {
            Direction {
                polar,
                azimuth: 1.0,
            }
            .vector()
        };
        let region = Region {
            shape: Shape::Points(vec![at(0.9), at(0.3), at(0.5), at(0.6)]),
            excluded: Vec::new(),
        };
        let required = Required::of(&region).unwrap();
        let near = |found: Option<f64>, polar: f64| (found.unwrap() - polar).abs() < 1e-12;
        assert!(near(required.from(0.0), 0.3) && near(required.to(0.0), 0.9));
        assert!(near(required.from(1.0), 0.5) && near(required.to(1.0), 0.6));
        assert!(required.from(4.0).is_none());
        let covering = required.covering(1.0, 1.0);
        assert!(near(Some(covering[0]), 0.5) && near(Some(covering[1]), 0.6));
        assert_eq!(required.shares().len(), 4);
        assert!((required.may_miss(0.75) - 1.0).abs() < 1e-12);
        assert_eq!(required.may_miss_surely(0.6), 1.0);
        assert_eq!(required.missed_within(1.0), [[0.0, 0.0], [1.0, 1.0]]);
    }
}
