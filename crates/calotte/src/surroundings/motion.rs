//! How fast the bodies turn: what lies between two configurations is bounded by it.

use nalgebra::Vector3;

use crate::kinematics::Kinematics;
use crate::number::enclosure::Enclosure;

/// Greatest angular speed of every body per unit of the second mechanism angle, the
/// first one held, over a range of the second, rad/rad. Turning the first angle turns
/// everything about the base axis by the same.
///
/// # Theory
/// A bar at the apex of polar angle θ crosses its meridian at the half-angle α: it turns
/// by θ′ about the meridian's normal and by ±α′ about the apex's own axis. The two are
/// perpendicular, so ω = √(θ′² + α′²). Base bars turn by ±1/2, a follower by θ′; the
/// second arc of an arm by 1. Derivatives are enclosed over the whole range.
pub fn body_rates(kinematics: &Kinematics, second: [f64; 2]) -> Vec<f64> {
    let linkage = &kinematics.linkage;
    let meridian = &kinematics.meridian;
    let mut rates = vec![0.0; linkage.bodies.len()];
    if meridian.stages() == 0 {
        // Ground and first arc stand still, the second arc turns about the elbow.
        if let Some(last) = rates.last_mut() {
            *last = 1.0;
        }
        return rates;
    }
    let state = meridian.state(Enclosure::new(second[0], second[1]));
    let greatest = |e: &Enclosure| e.lo.abs().max(e.hi.abs());
    rates[1] = 0.5;
    rates[2] = 0.5;
    for stage in 0..state.stages {
        let along = greatest(&state.apexes[stage].first);
        let about = greatest(&state.distal_half_angles[stage].first);
        for bar in [3 + 2 * stage, 4 + 2 * stage] {
            rates[bar] = along.hypot(about);
        }
    }
    if let Some(follower) = &linkage.follower {
        rates[follower.body] = greatest(&state.apexes[state.stages - 1].first);
    }
    for rate in &mut rates {
        if rate.is_nan() {
            *rate = f64::INFINITY;
        }
    }
    rates
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
        bent.family = Family::ScissorLinkage(ScissorLinkage {
            proximal_arcs: vec![0.5, 0.45],
            distal_arcs: vec![0.55, 0.5],
            bends: vec![0.3],
            assembly_modes: vec![1, 1],
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
