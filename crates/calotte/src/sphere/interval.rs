//! Sets of azimuths: disjoint intervals on the circle.

use std::f64::consts::{PI, TAU};

use super::direction::wrap_positive;

/// A set of azimuths on the circle [0, 2π), as sorted disjoint intervals.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct AzimuthSet {
    intervals: Vec<[f64; 2]>,
}

impl AzimuthSet {
    /// No azimuth.
    pub fn empty() -> Self {
        Self::default()
    }

    /// Every azimuth.
    pub fn full() -> Self {
        Self {
            intervals: vec![[0.0, TAU]],
        }
    }

    /// The azimuths within `half_width` of `centre`, rad.
    pub fn around(centre: f64, half_width: f64) -> Self {
        if half_width >= PI {
            return Self::full();
        }
        if half_width.is_nan() || half_width <= 0.0 {
            return Self::empty();
        }
        Self::between(centre - half_width, centre + half_width)
    }

    /// The azimuths from `from` turning positively to `to`, rad; a turn or more is all.
    pub fn between(from: f64, to: f64) -> Self {
        if to - from >= TAU {
            return Self::full();
        }
        if to.partial_cmp(&from) != Some(std::cmp::Ordering::Greater) {
            return Self::empty();
        }
        let start = wrap_positive(from);
        let end = start + (to - from);
        let intervals = if end <= TAU {
            vec![[start, end]]
        } else {
            vec![[0.0, end - TAU], [start, TAU]]
        };
        Self { intervals }
    }

    /// The intervals, sorted, within [0, 2π]; one that crosses 0 is split there.
    pub fn intervals(&self) -> &[[f64; 2]] {
        &self.intervals
    }

    /// Total width, rad, in [0, 2π].
    pub fn measure(&self) -> f64 {
        self.intervals.iter().map(|[lo, hi]| hi - lo).sum()
    }

    /// Whether the set has no width.
    pub fn is_empty(&self) -> bool {
        self.intervals.is_empty()
    }

    /// Whether the azimuth belongs to the set.
    pub fn contains(&self, azimuth: f64) -> bool {
        let azimuth = wrap_positive(azimuth);
        self.intervals
            .iter()
            .any(|[lo, hi]| *lo <= azimuth && azimuth <= *hi)
    }

    /// The azimuths in both sets.
    pub fn intersection(&self, other: &Self) -> Self {
        let mut intervals = Vec::new();
        for [lo, hi] in &self.intervals {
            for [other_lo, other_hi] in &other.intervals {
                let (start, end) = (lo.max(*other_lo), hi.min(*other_hi));
                if start < end {
                    intervals.push([start, end]);
                }
            }
        }
        intervals.sort_by(|a, b| a[0].total_cmp(&b[0]));
        Self { intervals }
    }

    /// The azimuths not in the set.
    pub fn complement(&self) -> Self {
        let mut intervals = Vec::new();
        let mut start = 0.0;
        for [lo, hi] in &self.intervals {
            if *lo > start {
                intervals.push([start, *lo]);
            }
            start = *hi;
        }
        if start < TAU {
            intervals.push([start, TAU]);
        }
        Self { intervals }
    }

    /// The azimuths in this set and not in the other.
    pub fn difference(&self, other: &Self) -> Self {
        self.intersection(&other.complement())
    }

    /// The set turned by an angle, rad.
    pub fn turned(&self, angle: f64) -> Self {
        let mut intervals: Vec<[f64; 2]> = self
            .intervals
            .iter()
            .flat_map(|[lo, hi]| Self::between(lo + angle, hi + angle).intervals)
            .collect();
        intervals.sort_by(|a, b| a[0].total_cmp(&b[0]));
        Self { intervals }
    }

    /// About `count` azimuths spread over the set; ends of intervals and, for
    /// the full circle, 0 belong to them. Empty only for the empty set.
    pub fn samples(&self, count: usize) -> Vec<f64> {
        let merged = self.merged();
        if merged.len() == 1 && merged[0][1] - merged[0][0] >= TAU - 1e-12 {
            let count = count.max(1);
            return (0..count)
                .map(|index| TAU * index as f64 / count as f64)
                .collect();
        }
        let total = self.measure();
        let mut samples = Vec::new();
        for [lo, hi] in merged {
            let share = ((hi - lo) / total * count as f64).round().max(2.0) as usize;
            samples
                .extend((0..share).map(|index| {
                    wrap_positive(lo + (hi - lo) * index as f64 / (share - 1) as f64)
                }));
        }
        samples
    }

    /// Intervals with the one that crosses 0 joined; the last may end beyond 2π.
    pub fn merged(&self) -> Vec<[f64; 2]> {
        let mut merged = self.intervals.clone();
        if merged.len() > 1 && merged[0][0] <= 0.0 && merged[merged.len() - 1][1] >= TAU {
            let first = merged.remove(0);
            if let Some(last) = merged.last_mut() {
                last[1] = TAU + first[1];
            }
        }
        merged
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn an_interval_across_zero_is_split_and_joined() {
        let set = AzimuthSet::around(0.1, 0.3);
        assert_eq!(set.intervals().len(), 2);
        assert!((set.measure() - 0.6).abs() < 1e-15);
        assert_eq!(set.merged().len(), 1);
        assert!(set.contains(-0.1) && set.contains(0.39) && !set.contains(1.0));
    }

    #[test]
    fn difference_and_complement_share_the_circle() {
        let set = AzimuthSet::between(1.0, 4.0);
        let hole = AzimuthSet::between(2.0, 2.5);
        assert!((set.difference(&hole).measure() - 2.5).abs() < 1e-15);
        assert!((set.measure() + set.complement().measure() - TAU).abs() < 1e-15);
        assert!(AzimuthSet::full().complement().is_empty());
    }

    #[test]
    fn samples_hold_the_ends() {
        let samples = AzimuthSet::between(6.0, 7.0).samples(5);
        assert_eq!(samples.len(), 5);
        assert!((samples[0] - 6.0).abs() < 1e-12);
        assert!((samples[4] - (7.0 - TAU)).abs() < 1e-12);
    }
}
