//! The closed form of the two-arc arm.

use crate::design::Tool;
use crate::family::state::{MeridianState, STAGES_MAX};
use crate::family::turning::Turning;
use crate::number::jet::{Jet, Scalar};

/// Sines and cosines of both arcs, the second one with the tool's bracket.
#[derive(Debug, Clone, PartialEq)]
pub(crate) struct ArmForm<A> {
    first: A,
    sin_first: A,
    cos_first: A,
    sin_second: A,
    cos_second: A,
}

impl<A: Scalar> ArmForm<A> {
    /// # Arguments
    /// - `angles`: first and second arc, rad.
    pub(crate) fn over(angles: &[A], tool: &Tool) -> Self {
        let first = angles[0];
        let second = angles[1] + A::constant(tool.bracket_arc);
        Self {
            first,
            sin_first: first.sine(),
            cos_first: first.cosine(),
            sin_second: second.sine(),
            cos_second: second.cosine(),
        }
    }

    pub(crate) fn state<T: Scalar>(&self, lift: impl Fn(A) -> T, elbow: T) -> MeridianState<T> {
        let elbow = Jet::variable(elbow);
        let (s1, c1) = (self.sin_first, self.cos_first);
        let (s2, c2) = (self.sin_second, self.cos_second);
        let x = Jet::of(lift(c2 * s1)) + elbow.cos().times(lift(s2 * c1));
        let y = elbow.sin().times(lift(s2));
        let z = Jet::of(lift(c2 * c1)) - elbow.cos().times(lift(s2 * s1));
        let polar = (x * x + y * y).sqrt().atan2(z);
        MeridianState {
            polar,
            offset: y.atan2(x),
            apexes: [Jet::constant(0.0); STAGES_MAX],
            distal_half_angles: [Jet::constant(0.0); STAGES_MAX],
            stages: 0,
            closes: true,
            breaks: false,
        }
    }
}

impl ArmForm<f64> {
    /// Rates of both arcs.
    pub(crate) fn turnings<T: Scalar>(&self, into: &mut Vec<Turning<T>>) {
        into.push(Turning::still());
        into.push(Turning::about(T::constant(1.0), T::constant(self.first)));
    }
}
