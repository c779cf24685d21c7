//! Conditioning of the Jacobian and coverage of the region.
//!
//! LCI = σ_min/σ_max of the Jacobian (Gosselin and Angeles, J. Mech. Des. 113
//! (1991) 220, 2-norm, from memory). GCI is its area-weighted mean. Coverage is a
//! requirement of its own. All are one-dimensional integrals over the second
//! mechanism angle, split at the region's breaks and at the peaks of the index.

use crate::number::minimum::golden_minimum;
use crate::sphere::quadrature::{pieces, smooth_piece};
use crate::sphere::{Direction, Region};

pub use super::jacobian::local_conditioning_index;
use super::pose::Kinematics;
use super::working_range::WorkingRange;

/// Share of a region that is covered.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Coverage {
    /// Covered share of the region's area, in [0, 1].
    pub fraction: f64,
    /// Required area, sr (or number of points).
    pub required: f64,
    /// Covered area, sr (or number of points).
    pub covered: f64,
}

/// Conditioning over a region.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct ConditioningSummary {
    /// Area-weighted mean LCI over the required region, unreached directions counted 0.
    pub gci: f64,
    /// Area-weighted mean LCI over the part reached.
    pub gci_reached: f64,
    /// Mean LCI over the part reached with the weight of the joint space.
    pub gci_joint_weight: f64,
    /// Least LCI over the part reached.
    pub lci_min: f64,
    /// Polar angle of that least LCI, rad.
    pub lci_min_polar: f64,
    /// Coverage in the same working range.
    pub coverage: Coverage,
}

impl ConditioningSummary {
    /// Where no working range reaches anything of a region.
    pub fn of_nothing(region: &Region) -> Self {
        Self {
            gci: 0.0,
            gci_reached: 0.0,
            gci_joint_weight: 0.0,
            lci_min: 0.0,
            lci_min_polar: 0.0,
            coverage: Coverage {
                fraction: 0.0,
                required: region.area(),
                covered: 0.0,
            },
        }
    }
}

/// LCI at a second mechanism angle.
pub fn lci_at(kinematics: &Kinematics, second: f64) -> f64 {
    local_conditioning_index(&kinematics.jacobian_of(&kinematics.meridian.state(second)))
}

/// Coverage of a region (base frame) by a working range.
pub fn coverage(kinematics: &Kinematics, range: &WorkingRange, region: &Region) -> Coverage {
    let required = region.area();
    let covered = if region.is_points() {
        reached_points(kinematics, range, region).count() as f64
    } else {
        let breaks = region_breaks(kinematics, range, region);
        let mut covered = 0.0;
        for [lo, hi] in pieces(range.second[0], range.second[1], &breaks) {
            for (x, weight) in smooth_piece(lo, hi) {
                covered += weight * area_rate(kinematics, range, region, x);
            }
        }
        covered
    };
    Coverage {
        fraction: if required > 0.0 {
            (covered / required).clamp(0.0, 1.0)
        } else {
            0.0
        },
        required,
        covered,
    }
}

/// Conditioning and coverage of a region (base frame) over a working range.
pub fn conditioning(
    kinematics: &Kinematics,
    range: &WorkingRange,
    region: &Region,
) -> ConditioningSummary {
    if region.is_points() {
        return conditioning_of_points(kinematics, range, region);
    }
    let mut breaks = region_breaks(kinematics, range, region);
    breaks.extend(index_peaks(kinematics, range));
    let (mut weighted, mut covered) = (0.0, 0.0);
    let (mut joint_weighted, mut joint_covered) = (0.0, 0.0);
    let mut least = (f64::INFINITY, 0.0);
    for [lo, hi] in pieces(range.second[0], range.second[1], &breaks) {
        let mut reached = false;
        for (x, weight) in smooth_piece(lo, hi) {
            let state = kinematics.meridian.state(x);
            let polar = state.polar_angle();
            let width = region
                .azimuths_at(polar)
                .intersection(&range.azimuths(&kinematics.meridian, x))
                .measure();
            if width <= 0.0 {
                continue;
            }
            reached = true;
            let lci = local_conditioning_index(&kinematics.jacobian_of(&state));
            let area = weight * width * polar.sin() * state.polar.first.abs();
            weighted += lci * area;
            covered += area;
            joint_weighted += lci * weight * width;
            joint_covered += weight * width;
        }
        if reached {
            // Between the peaks the index is least at an end of the piece.
            for x in [lo, hi] {
                let lci = lci_at(kinematics, x);
                if lci < least.0 {
                    least = (lci, kinematics.meridian.state(x).polar_angle());
                }
            }
        }
    }
    let required = region.area();
    let mean = |sum: f64, weight: f64| if weight > 0.0 { sum / weight } else { 0.0 };
    ConditioningSummary {
        gci: mean(weighted, required),
        gci_reached: mean(weighted, covered),
        gci_joint_weight: mean(joint_weighted, joint_covered),
        lci_min: if least.0.is_finite() { least.0 } else { 0.0 },
        lci_min_polar: least.1,
        coverage: Coverage {
            fraction: mean(covered, required).clamp(0.0, 1.0),
            required,
            covered,
        },
    }
}

fn conditioning_of_points(
    kinematics: &Kinematics,
    range: &WorkingRange,
    region: &Region,
) -> ConditioningSummary {
    let mut least = (f64::INFINITY, 0.0);
    let (mut sum, mut count) = (0.0, 0.0);
    for (direction, second) in reached_points(kinematics, range, region) {
        let lci = lci_at(kinematics, second);
        sum += lci;
        count += 1.0;
        if lci < least.0 {
            least = (lci, direction.polar);
        }
    }
    let required = region.area();
    let mean = |weight: f64| if weight > 0.0 { sum / weight } else { 0.0 };
    ConditioningSummary {
        gci: mean(required),
        gci_reached: mean(count),
        gci_joint_weight: mean(count),
        lci_min: if count > 0.0 { least.0 } else { 0.0 },
        lci_min_polar: least.1,
        coverage: Coverage {
            fraction: if required > 0.0 {
                count / required
            } else {
                0.0
            },
            required,
            covered: count,
        },
    }
}

/// Directions of a region of points that the range reaches, with the second mechanism angle.
fn reached_points<'a>(
    kinematics: &'a Kinematics,
    range: &'a WorkingRange,
    region: &Region,
) -> impl Iterator<Item = (Direction, f64)> + 'a {
    region.points().into_iter().filter_map(move |point| {
        let direction = Direction::of(&point);
        let second = range.second_for_polar(&kinematics.meridian, direction.polar)?;
        range
            .azimuths(&kinematics.meridian, second)
            .contains(direction.azimuth)
            .then_some((direction, second))
    })
}

/// Covered area per unit of the second mechanism angle, sr/rad.
fn area_rate(kinematics: &Kinematics, range: &WorkingRange, region: &Region, x: f64) -> f64 {
    let state = kinematics.meridian.state(x);
    let polar = state.polar_angle();
    let width = region
        .azimuths_at(polar)
        .intersection(&range.azimuths(&kinematics.meridian, x))
        .measure();
    width * polar.sin() * state.polar.first.abs()
}

/// Second mechanism angles at which the region's azimuth set changes its form;
/// with a limited first angle also a fine split, since its ends then wander.
fn region_breaks(kinematics: &Kinematics, range: &WorkingRange, region: &Region) -> Vec<f64> {
    let mut breaks: Vec<f64> = region
        .polar_breaks()
        .into_iter()
        .filter_map(|polar| range.second_for_polar(&kinematics.meridian, polar))
        .collect();
    if range.first.is_some() {
        let span = range.second[1] - range.second[0];
        breaks.extend((1..32).map(|i| range.second[0] + span * f64::from(i) / 32.0));
    }
    breaks
}

/// Interior extremes of the index over a range, where its slope may jump.
pub(crate) fn index_peaks(kinematics: &Kinematics, range: &WorkingRange) -> Vec<f64> {
    let count = 96;
    let at =
        |i: usize| range.second[0] + (range.second[1] - range.second[0]) * i as f64 / count as f64;
    let values: Vec<f64> = (0..=count).map(|i| lci_at(kinematics, at(i))).collect();
    (1..count)
        .filter_map(|i| {
            let (before, here, after) = (values[i - 1], values[i], values[i + 1]);
            if here >= before && here >= after {
                Some(golden_minimum(at(i - 1), at(i + 1), &|x| {
                    -lci_at(kinematics, x)
                }))
            } else if here <= before && here <= after {
                Some(golden_minimum(at(i - 1), at(i + 1), &|x| {
                    lci_at(kinematics, x)
                }))
            } else {
                None
            }
        })
        .collect()
}
