//! How fast the bodies turn: what lies between two configurations is bounded by it.

use nalgebra::Vector3;

use crate::kinematics::Kinematics;
use crate::number::enclosure::Enclosure;

/// Greatest angular speed of every body per unit of the second mechanism angle, the
/// first one held, over a range of the second, rad/rad. Turning the first angle turns
/// everything about the base axis by the same.
///
/// # Theory
/// A body turns about the normal of the meridian and about one direction in it
/// ([`crate::family::turning`]). The two are perpendicular, so ω = √(across² + about²).
/// Rates are enclosed over the whole range.
pub fn body_rates(kinematics: &Kinematics, second: [f64; 2]) -> Vec<f64> {
    let meridian = &kinematics.meridian;
    let state = meridian.state(Enclosure::new(second[0], second[1]));
    let mut turnings = Vec::new();
    meridian.turnings(&kinematics.linkage, &state, &mut turnings);
    let greatest = |e: &Enclosure| e.lo.abs().max(e.hi.abs());
    let rates = turnings.iter().map(|turning| {
        let rate = greatest(&turning.across[0]).hypot(greatest(&turning.about[0]));
        if rate.is_nan() { f64::INFINITY } else { rate }
    });
    rates.collect()
}

/// The base axis, in the base frame.
pub(super) fn base_axis() -> Vector3<f64> {
    Vector3::z()
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::design::{Family, ScissorLinkage, ToolCarrier, sample};

    /// Turning of each body between two near configurations, by the closed form.
    fn measured(kinematics: &Kinematics, second: f64) -> Vec<f64> {
        let step = 1e-5;
        let at = |s: f64| kinematics.forward_from_mechanism([0.3, s]).unwrap();
        let (a, b) = (at(second - step), at(second + step));
        a.configuration
            .rotations
            .iter()
            .zip(&b.configuration.rotations)
            // |R₁ − R₂| = 2√2 sin(φ/2), right for small angles.
            .map(|(a, b)| {
                let change = (a.matrix() - b.matrix()).norm();
                2.0 * (change / 8f64.sqrt()).asin() / (2.0 * step)
            })
            .collect()
    }

    #[test]
    fn enclosed_rates_are_the_measured_ones_of_every_body() {
        let mut bent = sample::two_arc_arm([0.9, 0.7]);
        bent.family = Family::scissor_linkage(ScissorLinkage {
            proximal_arcs: vec![0.5, 0.45],
            distal_arcs: vec![0.55, 0.5],
            bends: vec![0.3],
            assembly_modes: vec![1, 1],
            sides: Default::default(),
        });
        bent.tool.carried_by = ToolCarrier::Bisector;
        for design in [sample::two_arc_arm([0.9, 0.7]), bent] {
            let kinematics = Kinematics::new(&design).unwrap();
            for second in [0.6, 1.0, 1.5] {
                let narrow = body_rates(&kinematics, [second - 1e-9, second + 1e-9]);
                let wide = body_rates(&kinematics, [second - 0.05, second + 0.05]);
                for (body, rate) in measured(&kinematics, second).iter().enumerate() {
                    assert!(
                        (narrow[body] - rate).abs() < 1e-5,
                        "{body}: {narrow:?} {rate}"
                    );
                    assert!(
                        wide[body] >= *rate - 1e-8,
                        "{body} {second}: {wide:?} {rate}"
                    );
                }
            }
        }
    }
}
