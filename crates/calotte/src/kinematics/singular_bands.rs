//! Both types of singularity as they lie on the dome: circles about the base axis where
//! the linkage is singular, and bands in which a margin is not kept.
//!
//! Everything turns with the first mechanism angle, so that a singularity and a margin
//! belong to a polar angle of the tool. Circles are the ends of the mode (one sign of
//! every singularity function) that the working range lies in, as
//! [`super::working_range`] finds them; bands are sampled over it and end at a sample.

use super::jacobian::local_conditioning_index;
use super::pose::Kinematics;
use super::working_range::{Limit, Margins, WorkingRange, all_ranges, state_transmission};
use crate::design::DriveRange;

/// Samples of the second mechanism angle over its mode.
const SAMPLES: u32 = 720;
/// Bands narrower than this are single samples, rad.
const NARROWEST: f64 = 1e-6;

/// Where a linkage is singular or near it. Polar angles of the tool, rad, in [0, π].
#[derive(Debug, Clone, PartialEq, Default)]
pub struct SingularBands {
    /// Circles of type 1: the tool on the base axis, or turning back.
    pub type_one: Vec<f64>,
    /// Circles of type 2 with their stage (from 1).
    pub type_two: Vec<(usize, f64)>,
    /// From and to, where the local conditioning index is below its margin.
    pub low_conditioning: Vec<[f64; 2]>,
    /// From and to, where the transmission angle is below its margin.
    pub low_transmission: Vec<[f64; 2]>,
}

/// Singularities and margins over the mode that a working range lies in; without a range,
/// over the first mode of the linkage. `None` where it has no mode at all.
pub fn singular_bands(
    kinematics: &Kinematics,
    drive_range: &DriveRange,
    margins: &Margins,
    range: Option<&WorkingRange>,
) -> Option<SingularBands> {
    let mode = all_ranges(kinematics, drive_range, &Margins::default())
        .into_iter()
        .find(|mode| {
            range.is_none_or(|range| {
                let middle = 0.5 * (range.second[0] + range.second[1]);
                (mode.second[0]..=mode.second[1]).contains(&middle)
            })
        })?;
    let meridian = &kinematics.meridian;
    let mut found = SingularBands {
        low_conditioning: bands(kinematics, &mode, |second| {
            let jacobian = kinematics.jacobian_of(&meridian.state(second));
            local_conditioning_index(&jacobian) < margins.lci_min
        }),
        low_transmission: bands(kinematics, &mode, |second| {
            state_transmission(&meridian.state(second))
                .is_some_and(|(angle, _)| angle < margins.transmission_angle_min)
        }),
        ..SingularBands::default()
    };
    for (limit, polar) in mode.limits.iter().zip(mode.polar_at_ends) {
        match limit {
            Limit::BaseAxis | Limit::TurningPoint => found.type_one.push(polar.abs()),
            Limit::TypeTwo(stage) => found.type_two.push((*stage, polar.abs())),
            _ => {}
        }
    }
    Some(found)
}

/// Polar bands of a mode where a condition holds, rad.
fn bands(
    kinematics: &Kinematics,
    mode: &WorkingRange,
    holds: impl Fn(f64) -> bool,
) -> Vec<[f64; 2]> {
    let [low, high] = mode.second;
    let mut found: Vec<[f64; 2]> = Vec::new();
    let mut open: Option<[f64; 2]> = None;
    for step in 0..=SAMPLES {
        let second = low + (high - low) * f64::from(step) / f64::from(SAMPLES);
        let polar = kinematics.meridian.state(second).polar_angle();
        open = match (open, holds(second)) {
            (None, true) => Some([polar, polar]),
            (Some([from, to]), true) => Some([from.min(polar), to.max(polar)]),
            (Some(band), false) => {
                found.push(band);
                None
            }
            (None, false) => None,
        };
    }
    found.extend(open);
    found.retain(|[from, to]| to - from > NARROWEST);
    found
}
