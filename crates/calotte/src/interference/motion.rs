//! How fast the bodies of a linkage turn against each other.
//!
//! The families' closed forms give the rates of every body, over numbers or over
//! enclosures. The change of the angle between any direction of
//! one body and any direction of another is bounded by the bodies' relative angular
//! speed, whatever the directions.

use crate::family::turning::Turning;
use crate::kinematics::Meridian;
use crate::linkage::Linkage;
use crate::number::enclosure::Enclosure;

/// Whether the linkage closes over a piece of the second mechanism angle.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Closure {
    /// It does, and its rates are bounded.
    Everywhere,
    /// It does not.
    Nowhere,
    /// Not known for the whole piece.
    Open,
}

/// What the rates need over a piece of the second mechanism angle.
#[derive(Debug, Default)]
pub struct RateBounds {
    over: Vec<Turning<Enclosure>>,
    middle: Vec<Turning<f64>>,
}

/// How far rates may leave those in the middle for their bounds to serve parts of the
/// piece as well, 1.
const TIGHT: f64 = 0.25;

/// Rounding of the plain numbers at the middle, relative.
const ROUNDING: f64 = 1e-9;

impl RateBounds {
    /// Evaluates the closed form over [lo, hi].
    pub fn evaluate(&mut self, linkage: &Linkage, meridian: &Meridian, piece: [f64; 2]) -> Closure {
        let over = meridian.state(Enclosure::new(piece[0], piece[1]));
        let middle = meridian.state(0.5 * (piece[0] + piece[1]));
        meridian.turnings(linkage, &over, &mut self.over);
        meridian.turnings(linkage, &middle, &mut self.middle);
        let bounded = self.over.iter().all(|turning| {
            [turning.across[0], turning.about[0]]
                .iter()
                .all(|rate| rate.lo.is_finite() && rate.hi.is_finite())
        });
        match (over.breaks, over.closes && bounded) {
            (true, _) => Closure::Nowhere,
            (_, true) => Closure::Everywhere,
            _ => Closure::Open,
        }
    }

    /// Whether no body's rates leave those in the middle by more than [`TIGHT`].
    pub fn tight(&self, half_width: f64) -> bool {
        self.over.iter().zip(&self.middle).all(|(over, middle)| {
            [(over.across, middle.across), (over.about, middle.about)]
                .iter()
                .all(|(over, middle)| {
                    let direct = magnitude(over[0] - Enclosure::point(middle[0]));
                    direct.min(magnitude(over[1]) * half_width) <= TIGHT
                })
        })
    }

    /// Upper bound of the relative angular speed of two bodies over the piece, per
    /// radian of the second mechanism angle.
    ///
    /// # Theory
    /// ω = p·n + q·o(θ) with n the meridian's normal and o(θ) a direction in it, so
    /// |ω₁ − ω₂|² = (p₁ − p₂)² + q₁² + q₂² − 2 q₁ q₂ cos(θ₁ − θ₂)
    ///            = (p₁ − p₂)² + (q₁ − q₂)² + 2 q₁ q₂ (1 − cos(θ₁ − θ₂)).
    /// Each difference is enclosed twice, directly and from its value in the middle
    /// and its slope over the piece; the narrower holds.
    pub fn relative_speed(&self, bodies: [usize; 2], half_width: f64) -> f64 {
        let [first, second] = bodies;
        let (a, b) = (&self.over[first], &self.over[second]);
        let (am, bm) = (&self.middle[first], &self.middle[second]);
        let greatest = |over: [[Enclosure; 2]; 2], middle: [f64; 2]| {
            let direct = magnitude(over[0][0] - over[1][0]);
            let slope = magnitude(over[0][1] - over[1][1]);
            let from_middle = (middle[0] - middle[1]).abs()
                + slope * half_width
                + ROUNDING * (middle[0].abs() + middle[1].abs());
            // A slope that is not bounded gives no number, and the direct one holds.
            if from_middle < direct {
                from_middle
            } else {
                direct
            }
        };
        let across = greatest([a.across, b.across], [am.across[0], bm.across[0]]);
        let about = greatest([a.about, b.about], [am.about[0], bm.about[0]]);
        let turned = (a.polar - b.polar).cos();
        let product = a.about[0] * b.about[0];
        // A product that is surely negative takes at least its least from the square.
        let apart = 1.0
            - if product.hi > 0.0 {
                turned.lo
            } else {
                turned.hi
            };
        let rest = 2.0 * product.hi * apart;
        (across * across + about * about + rest).max(0.0).sqrt() * (1.0 + ROUNDING)
    }
}

fn magnitude(enclosure: Enclosure) -> f64 {
    enclosure.lo.abs().max(enclosure.hi.abs())
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::design::{Design, Family, ScissorLinkage, ToolCarrier, sample};
    use crate::kinematics::Kinematics;

    fn designs() -> Vec<Design> {
        let arm = sample::two_arc_arm([0.7, 0.9]);
        let mut scissor = arm.clone();
        scissor.family = Family::scissor_linkage(ScissorLinkage {
            proximal_arcs: vec![0.5, 0.45, 0.3],
            distal_arcs: vec![0.55, 0.5, 0.35],
            bends: vec![0.4, -0.1],
            assembly_modes: vec![1, 1, 1],
            sides: Default::default(),
        });
        let mut follower = scissor.clone();
        follower.tool.carried_by = ToolCarrier::Bisector;
        vec![arm, scissor, follower]
    }

    /// Angle by which two bodies turn against each other between two configurations.
    fn turned(kinematics: &Kinematics, bodies: [usize; 2], from: f64, to: f64) -> f64 {
        let relative = |second: f64| {
            let pose = kinematics.forward_from_mechanism([0.0, second]).unwrap();
            let rotations = &pose.configuration.rotations;
            rotations[bodies[0]].inverse() * rotations[bodies[1]]
        };
        // |R₁ − R₂| = 2√2 sin(φ/2), right for small angles.
        let change = (relative(from).matrix() - relative(to).matrix()).norm();
        2.0 * (change / 8f64.sqrt()).asin()
    }

    #[test]
    fn speeds_are_those_of_the_rotations_and_bounds_hold_over_pieces() {
        for design in designs() {
            let kinematics = Kinematics::new(&design).unwrap();
            let Kinematics {
                linkage, meridian, ..
            } = &kinematics;
            let mut bounds = RateBounds::default();
            for middle in [0.4, 1.1, 1.9] {
                for half_width in [1e-4, 0.05, 0.3] {
                    let piece = [middle - half_width, middle + half_width];
                    let closure = bounds.evaluate(linkage, meridian, piece);
                    assert_eq!(closure, Closure::Everywhere);
                    for first in 0..linkage.bodies.len() {
                        for second in 0..first {
                            let bodies = [first, second];
                            let bound = bounds.relative_speed(bodies, half_width);
                            let step = 0.02 * half_width;
                            for i in 0..100 {
                                let from = piece[0] + step * f64::from(i);
                                let speed = turned(&kinematics, bodies, from, from + step) / step;
                                assert!(speed <= bound * (1.0 + 1e-6) + 1e-7);
                            }
                            let here = turned(&kinematics, bodies, middle - 1e-4, middle + 1e-4);
                            if half_width == 1e-4 {
                                assert!(
                                    (bound - here / 2e-4).abs() < 2e-3 * (1.0 + bound),
                                    "{bodies:?} at {middle}: {bound} {}",
                                    here / 2e-4
                                );
                            }
                        }
                    }
                }
            }
        }
    }

    #[test]
    fn what_does_not_close_is_told() {
        let mut design = designs().swap_remove(1);
        design.family = Family::scissor_linkage(ScissorLinkage {
            proximal_arcs: vec![0.8],
            distal_arcs: vec![0.3],
            bends: vec![],
            assembly_modes: vec![1],
            sides: Default::default(),
        });
        let kinematics = Kinematics::new(&design).unwrap();
        let mut bounds = RateBounds::default();
        let mut look = |piece| bounds.evaluate(&kinematics.linkage, &kinematics.meridian, piece);
        assert_eq!(look([0.1, 0.2]), Closure::Everywhere);
        assert_eq!(look([0.1, 2.0]), Closure::Open);
        assert_eq!(look([1.5, 2.0]), Closure::Nowhere);
    }
}
