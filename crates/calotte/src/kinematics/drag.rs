//! A joint taken by the hand: what the mechanism angles become when it is pulled
//! towards a direction. The tool pulled towards a direction is [`super::inverse`].
//!
//! Derived: the first mechanism angle turns everything about the base axis, so that for
//! each second one the nearest place is that of equal azimuth, and one angle is left to
//! be searched. A joint at the end of a base bar keeps its polar angle whatever the
//! linkage does; for it the second angle is free, and it is taken so that the other base
//! bar stays where it is.

use std::f64::consts::TAU;

use nalgebra::Vector3;
use thiserror::Error;

use super::pose::{Kinematics, KinematicsError, Pose};
use super::working_range::WorkingRange;
use crate::linkage::Place;
use crate::number::minimum::golden_minimum;
use crate::sphere::direction::wrap_signed;
use crate::sphere::{Direction, arc_between, unit};

/// Samples of the second mechanism angle over the working range.
const SAMPLES: usize = 160;
/// Polar angles nearer than this are equal, and azimuths too, rad.
const SAME: f64 = 1e-9;

/// Why a joint cannot be pulled.
#[derive(Debug, Clone, PartialEq, Error)]
pub enum DragError {
    /// No such joint, or one at the base, which turns in its place.
    #[error("joint {0} cannot be dragged")]
    Fixed(usize),
    /// The direction to pull to is zero or not finite.
    #[error("the direction to drag to has no length")]
    NoDirection,
    /// The linkage does not close where the search ended.
    #[error(transparent)]
    Kinematics(#[from] KinematicsError),
}

/// The pose of the working range in which a joint lies nearest to a direction; among
/// equals the one nearest to where the linkage is.
///
/// `joint` is an index into the joints of the linkage, `towards` a vector of any length
/// in the base frame, `from` the mechanism angles where the linkage is, rad. The nearest
/// place is found within 1e-8 rad of the second mechanism angle: samples over the range,
/// then golden section about the best of them.
///
/// # Errors
/// [`DragError`] for a joint that is not between two moving bodies, or for no direction.
pub fn drag_joint(
    kinematics: &Kinematics,
    range: &WorkingRange,
    joint: usize,
    towards: &Vector3<f64>,
    from: [f64; 2],
) -> Result<Pose, DragError> {
    let place = kinematics
        .linkage
        .joints
        .get(joint)
        .filter(|joint| joint.first.body != 0 && joint.second.body != 0)
        .map(|joint| joint.second)
        .ok_or(DragError::Fixed(joint))?;
    let target = unit(towards).ok_or(DragError::NoDirection)?;
    let aim = Direction::of(&target);
    let mechanism = beside_the_base(kinematics, range, place, aim, from)
        .unwrap_or_else(|| nearest(kinematics, range, place, &target, from));
    Ok(kinematics.forward_from_mechanism(mechanism)?)
}

/// Where a place of the linkage lies at a second mechanism angle, the first being zero;
/// base frame. `None` where the linkage does not close.
fn place_at(kinematics: &Kinematics, place: Place, second: f64) -> Option<Direction> {
    let pose = kinematics.forward_from_mechanism([0.0, second]).ok()?;
    Some(Direction::of(
        &kinematics.linkage.direction(place, &pose.configuration),
    ))
}

/// Mechanism angles at which a place lies nearest to a target, rad.
fn nearest(
    kinematics: &Kinematics,
    range: &WorkingRange,
    place: Place,
    target: &Vector3<f64>,
    now: [f64; 2],
) -> [f64; 2] {
    let aim = Direction::of(target);
    // How far it lies off, and the first mechanism angle that brings it there.
    let at = |second: f64| -> Option<(f64, f64)> {
        let here = place_at(kinematics, place, second)?;
        let first = within(range, wrap_signed(aim.azimuth - here.azimuth));
        let reached = Direction {
            polar: here.polar,
            azimuth: here.azimuth + first,
        };
        Some((arc_between(&reached.vector(), target), first))
    };
    let [low, high] = range.second;
    let sample = |k: usize| low + (high - low) * k as f64 / SAMPLES as f64;
    // A hair of the distance to the present angle settles ties between two branches.
    let cost = |second: f64| {
        at(second).map_or(f64::INFINITY, |(miss, _)| {
            miss + 1e-3 * (second - now[1]).abs()
        })
    };
    let best = (0..=SAMPLES)
        .map(sample)
        .min_by(|a, b| cost(*a).total_cmp(&cost(*b)))
        .unwrap_or(low);
    let step = (high - low) / SAMPLES as f64;
    let second = golden_minimum((best - step).max(low), (best + step).min(high), &|second| {
        at(second).map_or(f64::INFINITY, |(miss, _)| miss)
    });
    [at(second).map_or(now[0], |(_, first)| first), second]
}

/// Mechanism angles for a joint at the end of a base bar: its own bar follows the hand
/// and the other one stays. `None` for any other joint.
fn beside_the_base(
    kinematics: &Kinematics,
    range: &WorkingRange,
    place: Place,
    aim: Direction,
    now: [f64; 2],
) -> Option<[f64; 2]> {
    let [low, high] = range.second;
    let at = |second: f64| place_at(kinematics, place, second);
    let ends = [at(low)?, at(high)?];
    // Azimuth against the first mechanism angle.
    let offset = |second: f64| at(second).map_or(0.0, |here| wrap_signed(here.azimuth));
    let keeps_polar = (ends[0].polar - ends[1].polar).abs() < SAME;
    if !keeps_polar || (offset(low) - offset(high)).abs() < SAME {
        return None;
    }
    let other = now[0] - offset(now[1]);
    let wanted = 0.5 * wrap_signed(aim.azimuth - other);
    let second = golden_minimum(low, high, &|second| (offset(second) - wanted).abs());
    let first = wrap_signed(other + offset(second));
    Some([within(range, first), second])
}

/// The first mechanism angle of the range nearest to one that may be turned by whole
/// turns.
fn within(range: &WorkingRange, angle: f64) -> f64 {
    let Some([low, high]) = range.first else {
        return angle;
    };
    [angle - TAU, angle, angle + TAU]
        .into_iter()
        .map(|turned| {
            let kept = turned.clamp(low, high);
            (kept, (turned - kept).abs())
        })
        .min_by(|a, b| a.1.total_cmp(&b.1))
        .map_or(angle, |(kept, _)| kept)
}
