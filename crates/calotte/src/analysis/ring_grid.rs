//! Which polar angles and azimuths are looked at: rings over the covered part of a region.

use crate::kinematics::{Kinematics, WorkingRange};
use crate::sphere::{AzimuthSet, Direction, Region};

/// Where a ring is looked at.
#[derive(Debug, Clone, PartialEq)]
pub struct RingPlace {
    /// Second mechanism angle, rad.
    pub second: f64,
    /// Azimuths looked at in any case, base frame, rad.
    pub azimuths: Vec<f64>,
    /// Arcs of azimuth that are required and reached; empty for a single direction.
    pub arcs: AzimuthSet,
}

impl RingPlace {
    /// Whether anything is to be looked at.
    pub fn has_directions(&self) -> bool {
        !self.azimuths.is_empty() || !self.arcs.is_empty()
    }
}

/// The covered part of a region, which is looked at ring by ring.
#[derive(Debug, Clone, Copy)]
pub struct Covered<'a> {
    kinematics: &'a Kinematics,
    range: &'a WorkingRange,
    region: &'a Region,
}

impl<'a> Covered<'a> {
    /// The part of a region (base frame) that a working range covers.
    pub fn new(kinematics: &'a Kinematics, range: &'a WorkingRange, region: &'a Region) -> Self {
        Self {
            kinematics,
            range,
            region,
        }
    }

    /// Least and greatest polar angle, just inside, where the region's set of azimuths is not
    /// a single point, rad; `None` where nothing is covered, and for single directions.
    pub fn polar(&self) -> Option<[f64; 2]> {
        if self.region.is_points() {
            return None;
        }
        let [region_lo, region_hi] = self.region.polar_extent().ok()?;
        let (lo, hi) = (
            region_lo.max(self.range.polar_min()),
            region_hi.min(self.range.polar_max()),
        );
        let edge = 1e-9 * (hi - lo);
        (lo <= hi).then_some([lo + edge, hi - edge])
    }

    /// The ring at a polar angle with about `around` azimuths; `None` where nothing of it is
    /// covered.
    pub fn at(&self, polar: f64, around: usize) -> Option<RingPlace> {
        let second = self
            .range
            .second_for_polar(&self.kinematics.meridian, polar)?;
        let arcs = self
            .region
            .azimuths_at(polar)
            .intersection(&self.range.azimuths(&self.kinematics.meridian, second));
        (!arcs.is_empty()).then(|| RingPlace {
            second,
            azimuths: if around == 0 {
                Vec::new()
            } else {
                arcs.samples(around)
            },
            arcs,
        })
    }

    /// `rings` polar angles from the least to the greatest covered one, both ends included,
    /// and about `around` azimuths on each.
    pub fn grid(&self, rings: usize, around: usize) -> Vec<RingPlace> {
        if self.region.is_points() {
            return self.directions();
        }
        let Some([lo, hi]) = self.polar() else {
            return Vec::new();
        };
        let count = if hi - lo < 1e-9 { 1 } else { rings.max(2) };
        (0..count)
            .filter_map(|i| {
                let share = if count == 1 {
                    0.5
                } else {
                    i as f64 / (count - 1) as f64
                };
                self.at(lo + (hi - lo) * share, around)
            })
            .collect()
    }

    /// Every covered direction of a region of single ones.
    fn directions(&self) -> Vec<RingPlace> {
        let (meridian, range) = (&self.kinematics.meridian, self.range);
        let points = self.region.points();
        let covered = points.iter().filter_map(|point| {
            let direction = Direction::of(point);
            let second = range.second_for_polar(meridian, direction.polar)?;
            range
                .azimuths(meridian, second)
                .contains(direction.azimuth)
                .then(|| RingPlace {
                    second,
                    azimuths: vec![direction.azimuth],
                    arcs: AzimuthSet::empty(),
                })
        });
        covered.collect()
    }

    /// Least and greatest second mechanism angle of the covered part, rad; `None` where
    /// nothing is covered.
    pub fn second(&self) -> Option<[f64; 2]> {
        if self.region.is_points() {
            let places = self.directions();
            let seconds = || places.iter().map(|place| place.second);
            return Some([seconds().reduce(f64::min)?, seconds().reduce(f64::max)?]);
        }
        let [lo, hi] = self.polar()?.map(|polar| {
            self.range
                .second_for_polar(&self.kinematics.meridian, polar)
        });
        let (lo, hi) = (lo?, hi?);
        Some([lo.min(hi), lo.max(hi)])
    }
}

/// Rings over the covered part of a region, see [`Covered::grid`].
pub fn ring_grid(
    kinematics: &Kinematics,
    range: &WorkingRange,
    region: &Region,
    rings: usize,
    around: usize,
) -> Vec<RingPlace> {
    Covered::new(kinematics, range, region).grid(rings, around)
}
