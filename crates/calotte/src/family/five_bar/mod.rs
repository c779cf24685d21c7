//! The spherical five-bar: two chains of a proximal and a distal bar, each from
//! a base joint of its own, that meet in one apex joint at the tool.
//!
//! The base axes lie in the x–z plane of the base frame, symmetric about z, left
//! towards −x. It has no fixed first axis: nothing here is a function of one
//! angle, and every statement between samples is a sampled one. Parts:
//! `modes` (which way the chains are assembled), `chain` (one chain in closed
//! form), `position` (forward and inverse), `rates` (Jacobian and both types of
//! singularity), `bars` (bodies and joints), `directed` (by tool direction, in the mode in
//! use).

mod bars;
mod behaviour;
mod chain;
mod directed;
mod modes;
mod position;
mod rates;

use std::f64::consts::TAU;

use nalgebra::Vector3;
use thiserror::Error;

use crate::linkage::{ArcPlace, LinkageError};
use crate::number::shown::degrees;

pub use super::parameters::{Elbows, FiveBar};
pub use bars::{configuration, linkage};
pub use directed::DirectedFiveBar;
pub use modes::{Sense, Side, WorkingMode};
pub use position::FiveBarPose;
pub use rates::SingularityMargins;

/// The tool direction beyond the apex: which distal bar carries it, and how far
/// it lies beyond the apex along that bar's great circle.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Carrier {
    /// The side whose distal bar carries the tool.
    pub side: Side,
    /// Arc from the apex to the tool direction, away from the elbow, rad.
    pub bracket: f64,
}

impl Carrier {
    /// The tool in the apex pin of a side's distal bar.
    pub const fn at_apex(side: Side) -> Self {
        Self { side, bracket: 0.0 }
    }
}

/// Why a five-bar has no configuration or no velocity.
#[derive(Debug, Clone, Copy, PartialEq, Error)]
pub enum FiveBarError {
    /// A direction that a chain does not span, or spans in no certain way.
    #[error(
        "the {side} chain spans {} to {} from its base axis; the direction lies at {}",
        degrees(.shortest), degrees(.longest), degrees(.distance)
    )]
    OutOfReach {
        /// The chain.
        side: Side,
        /// Arc from its base axis to the direction asked for, rad.
        distance: f64,
        /// Least arc it spans, rad.
        shortest: f64,
        /// Greatest arc it spans, rad.
        longest: f64,
    },
    /// A direction on a base axis, where the chain's drive angle is not fixed.
    #[error("the direction lies on the axis of the {0} base joint, whose angle it does not fix")]
    OnBaseAxis(Side),
    /// The elbows stand so far apart, or so near, that the distal bars do not meet.
    #[error("the distal bars do not meet: the elbows stand {} apart", degrees(.apart))]
    DoNotMeet {
        /// Arc between the elbows, rad.
        apart: f64,
    },
    /// Both elbows on one line through the centre: the apex is not fixed.
    #[error("the elbows lie in one line with the centre, so the apex can turn about them")]
    ElbowsInLine,
    /// Both distal arcs in one great circle: type 2.
    #[error(
        "type 2 singularity: the distal arcs lie in one great circle, the tool can move with its drives held"
    )]
    TypeTwo,
    /// A number that is not finite.
    #[error("{0} is not a finite number")]
    NotFinite(&'static str),
}

impl FiveBar {
    /// Refuses arcs that are no bars.
    ///
    /// # Errors
    /// [`LinkageError::ArcAngle`] for an arc that is not between 0° and 180°; for the
    /// base arc too, since coincident base axes are another linkage and opposite
    /// ones leave the base frame's x axis open.
    pub fn validate(&self) -> Result<(), LinkageError> {
        super::check_arc(ArcPlace::Base, self.base_arc)?;
        for (distal, arcs) in [(false, self.proximal_arcs), (true, self.distal_arcs)] {
            for (right, arc) in [(false, arcs[0]), (true, arcs[1])] {
                super::check_arc(ArcPlace::OfSide { right, distal }, arc)?;
            }
        }
        if self.meets() {
            Ok(())
        } else {
            Err(LinkageError::NeverMeets {
                spans: Side::BOTH.map(|side| self.span(side)),
                base_arc: self.base_arc,
            })
        }
    }

    /// Least and greatest arc from a base axis to the apex, as its chain alone allows, rad.
    fn span(&self, side: Side) -> [f64; 2] {
        let (proximal, distal) = (
            self.proximal_arcs[side.index()],
            self.distal_arcs[side.index()],
        );
        let sum = proximal + distal;
        [(proximal - distal).abs(), sum.min(TAU - sum)]
    }

    /// Whether the apexes of both chains can be one direction at all.
    ///
    /// # Theory
    /// A direction lies at arcs r and s from two axes β apart exactly where
    /// |r − s| ≤ β ≤ r + s ≤ 2π − β. With the spans of the chains that is a convex polygon
    /// in (r, s), empty unless one of the corners of its lines lies in it (derived).
    fn meets(&self) -> bool {
        let [[a, b], [c, d]] = Side::BOTH.map(|side| self.span(side));
        let base = self.base_arc;
        let within = |r: f64, s: f64| {
            let slack = 1e-12;
            let between = |x: f64, lo: f64, hi: f64| x >= lo - slack && x <= hi + slack;
            between(r, a, b)
                && between(s, c, d)
                && (r - s).abs() <= base + slack
                && between(r + s, base, TAU - base)
        };
        let across = |r: f64| [r - base, r + base, base - r, TAU - base - r];
        let by_left = [a, b].into_iter().any(|r| {
            let corners = across(r).into_iter().chain([c, d]);
            corners.into_iter().any(|s| within(r, s))
        });
        let by_right = [c, d]
            .into_iter()
            .any(|s| across(s).into_iter().any(|r| within(r, s)));
        let turned = std::f64::consts::PI;
        // Where two of the slanting lines cross.
        let crossings = [
            (base, 0.0),
            (0.0, base),
            (turned, turned - base),
            (turned - base, turned),
        ];
        by_left || by_right || crossings.into_iter().any(|(r, s)| within(r, s))
    }

    /// Axis of a base joint in the base frame, unit.
    pub fn base_axis(&self, side: Side) -> Vector3<f64> {
        let (sine, cosine) = (0.5 * self.base_arc).sin_cos();
        Vector3::new(-side.towards_left() * sine, 0.0, cosine)
    }

    /// Direction in which a drive angle is zero: from a base axis towards the other
    /// one, unit, across the axis.
    pub fn zero_direction(&self, side: Side) -> Vector3<f64> {
        let (sine, cosine) = (0.5 * self.base_arc).sin_cos();
        Vector3::new(side.towards_left() * cosine, 0.0, sine)
    }
}
