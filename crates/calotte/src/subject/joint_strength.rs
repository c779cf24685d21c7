//! What pins and bearings stand: von Mises stress in every pin, static safety of every
//! bearing, from the force a joint carries.
//!
//! Joint forces are taken at the reference radius of the axis; here they are taken to
//! both ends of the pin. Derived in `docs/theory/machine-elements.md`, "From the joint's
//! force to pin and bearing".

use std::f64::consts::{FRAC_PI_4, PI};

use nalgebra::Vector6;

use crate::built::{Built, base_shaft, clamp_and_bearing};
use crate::design::Design;
use crate::linkage::Linkage;
use crate::stock::static_equivalent_load;

/// Pins and bearings of a design, prepared.
#[derive(Debug, Clone)]
pub struct JointStrength {
    pins: Vec<Pin>,
    /// Yield strength of the pins, Pa.
    pub pin_yield_strength: f64,
    /// The least static rating of a bearing, N, where all are known.
    least_rating: Option<f64>,
}

/// One joint's pin and bearings.
#[derive(Debug, Clone, Copy)]
struct Pin {
    /// Distances of clamp and bearings beyond the reference radius, outward, m.
    ends: [f64; 2],
    outer_radius: f64,
    area: f64,
    second_moment: f64,
    /// Greatest over mean shear stress of the section.
    shear_factor: f64,
    /// Distance of the middles of the two bearings, m.
    spacing: f64,
    /// Static rating of a bearing, N, where it is known.
    static_rating: Option<f64>,
}

impl JointStrength {
    /// Prepares a design; `None` without bearings and pins.
    pub fn new(design: &Design, linkage: &Linkage, built: &Built) -> Option<Self> {
        let rule = design.joints.parts.as_ref()?;
        let pins = linkage.joints.iter().enumerate().map(|(index, joint)| {
            let parts = joint.properties(design).parts.as_ref()?;
            let (clamp, bearing) = clamp_and_bearing(joint, &built.radii, parts.pin.clamped_in);
            let ends = [clamp, bearing].map(|place| built.radii[place.body] - design.joint_radius);
            let diameters = base_shaft(design, linkage, built, index)
                .unwrap_or([parts.pin.diameter, parts.pin.bore]);
            let mut pin = Pin::new(ends, diameters, parts.pair_spacing);
            pin.static_rating = parts.bearing.static_rating;
            Some(pin)
        });
        let pins: Vec<Pin> = pins.collect::<Option<_>>()?;
        let ratings = pins.iter().map(|pin| pin.static_rating);
        let ratings: Option<Vec<f64>> = ratings.collect();
        Some(Self {
            pin_yield_strength: rule.pin.material.yield_strength.value,
            least_rating: ratings.and_then(|known| known.into_iter().reduce(f64::min)),
            pins,
        })
    }

    /// Whether the static rating of all bearings is known.
    pub fn knows_rating(&self) -> bool {
        self.least_rating.is_some()
    }

    /// Equivalent stress in the pin of a joint, Pa, for the joint's force and moment at
    /// the reference radius, N and N·m, (u, t, n) with u along the joint's axis.
    ///
    /// The greatest normal stress of bending and axial force and the greatest shear stress
    /// of transverse force and torque are taken together although they lie at different
    /// points of the section, at the worse of clamp and bearings: never less than the
    /// greatest von Mises stress, and equal to it where bending governs.
    pub fn pin_stress(&self, joint: usize, force: &Vector6<f64>) -> f64 {
        let pin = &self.pins[joint];
        pin.ends
            .map(|end| pin.equivalent_stress(force, end))
            .into_iter()
            .fold(0.0, f64::max)
    }

    /// Static safety of the more loaded bearing of a joint, C₀/P₀ by ISO 76; infinite
    /// without load, `None` where the rating is not known.
    ///
    /// Each bearing takes half of the transverse force and the tilting moment over the
    /// distance of the two; the axial force goes into one of them.
    pub fn bearing_safety(&self, joint: usize, force: &Vector6<f64>) -> Option<f64> {
        self.least_rating?;
        let rating = self.pins[joint].static_rating?;
        let load = self.bearing_load(joint, force);
        load.is_finite().then(|| rating / load)
    }

    /// Static equivalent load of the more loaded bearing of a joint as one of the least rating
    /// would have to take it, N: greatest where the static safety is least.
    pub fn rated_load(&self, joint: usize, force: &Vector6<f64>) -> f64 {
        let load = self.bearing_load(joint, force);
        match (self.least_rating, self.pins[joint].static_rating) {
            (Some(least), Some(own)) => load * (least / own),
            _ => load,
        }
    }

    /// Static equivalent load of the more loaded bearing of a joint by ISO 76, N.
    pub fn bearing_load(&self, joint: usize, force: &Vector6<f64>) -> f64 {
        let [across_t, across_n] = moment_across(force, self.pins[joint].ends[1]);
        // The pair takes a moment about n by forces along t, one about t by forces along n.
        let lever = 1.0 / self.pins[joint].spacing;
        let either = |sign: f64| {
            let along_t = 0.5 * force[1] + sign * lever * across_n;
            let along_n = 0.5 * force[2] - sign * lever * across_t;
            along_t.hypot(along_n)
        };
        let radial = either(1.0).max(either(-1.0));
        // Loads that are no numbers have no equivalent.
        static_equivalent_load(radial, force[0].abs()).unwrap_or(f64::NAN)
    }

    /// The joint's force and moment at the bearings instead of the reference radius.
    pub fn at_bearings(&self, joint: usize, force: &Vector6<f64>) -> Vector6<f64> {
        let [across_t, across_n] = moment_across(force, self.pins[joint].ends[1]);
        Vector6::new(force[0], force[1], force[2], force[3], across_t, across_n)
    }
}

impl Pin {
    fn new(ends: [f64; 2], [outer, bore]: [f64; 2], spacing: f64) -> Self {
        let (outer, bore) = (0.5 * outer, 0.5 * bore);
        let squares = outer * outer + bore * bore;
        Self {
            ends,
            outer_radius: outer,
            area: PI * (outer * outer - bore * bore),
            second_moment: FRAC_PI_4 * (outer.powi(4) - bore.powi(4)),
            shear_factor: 4.0 / 3.0 * (squares + outer * bore) / squares,
            spacing,
            static_rating: None,
        }
    }

    fn equivalent_stress(&self, force: &Vector6<f64>, end: f64) -> f64 {
        let [across_t, across_n] = moment_across(force, end);
        let fibre = self.outer_radius / self.second_moment;
        let normal = force[0].abs() / self.area + across_t.hypot(across_n) * fibre;
        let shear =
            self.shear_factor * force[1].hypot(force[2]) / self.area + 0.5 * force[3].abs() * fibre;
        (normal * normal + 3.0 * shear * shear).sqrt()
    }
}

/// Moment about t and n at a distance outward of where a joint's force is taken.
fn moment_across(force: &Vector6<f64>, outward: f64) -> [f64; 2] {
    [force[4] + outward * force[2], force[5] - outward * force[1]]
}

#[cfg(test)]
mod tests {
    use super::*;
    use rand::{Rng, SeedableRng};
    use rand_chacha::ChaCha8Rng;

    /// Greatest von Mises stress among 720 places around a pin's surface: bending and axial
    /// force, transverse shear k V/A along the surface and torsion, taken together at each.
    fn around_the_surface([outer, bore]: [f64; 2], force: &Vector6<f64>, end: f64) -> f64 {
        let (outer, bore) = (0.5 * outer, 0.5 * bore);
        let second_moment = FRAC_PI_4 * (outer.powi(4) - bore.powi(4));
        let area = PI * (outer * outer - bore * bore);
        let squares = outer * outer + bore * bore;
        let shear_factor = 4.0 / 3.0 * (squares + outer * bore) / squares;
        let [across_t, across_n] = moment_across(force, end);
        (0..720)
            .map(|place| {
                let (sin, cos) = (f64::from(place) * PI / 360.0).sin_cos();
                let bending = (across_t * sin - across_n * cos) * outer / second_moment;
                let normal = force[0] / area + bending;
                let transverse = force[2] * cos - force[1] * sin;
                let torsion = 0.5 * force[3] * outer / second_moment;
                let shear = shear_factor * transverse / area + torsion;
                (normal * normal + 3.0 * shear * shear).sqrt()
            })
            .fold(0.0, f64::max)
    }

    /// Never below the von Mises stress looked for around the surface, equal to it where
    /// bending governs, and at most 2/√3 + a little above it where everything acts.
    #[test]
    fn pin_stress_bounds_the_exact_one() {
        let mut random = ChaCha8Rng::seed_from_u64(7);
        let mut number = |size: f64| size * (2.0 * random.random::<f64>() - 1.0);
        for round in 0..500 {
            let bore = if round % 2 == 0 { 0.0 } else { 3e-3 };
            let length = 2e-3 + number(1e-3).abs() * (round % 20) as f64;
            let clamp = number(0.03);
            let pin = Pin::new([clamp, clamp + length], [5e-3, bore], 10e-3);
            let force = Vector6::new(
                number(50.0),
                number(50.0),
                number(50.0),
                number(0.1),
                number(1.0),
                number(1.0),
            );
            let bound = [clamp, clamp + length]
                .map(|end| pin.equivalent_stress(&force, end))
                .into_iter()
                .fold(0.0, f64::max);
            let exact = [clamp, clamp + length]
                .map(|end| around_the_surface([5e-3, bore], &force, end))
                .into_iter()
                .fold(0.0, f64::max);
            assert!(bound >= exact * (1.0 - 1e-6), "{round}");
            assert!(bound <= exact * 1.5, "{round}");
        }
        let pin = Pin::new([0.0, 9e-3], [4e-3, 0.0], 10e-3);
        let force = Vector6::new(0.0, 1.0, 0.0, 0.0, 0.0, 50.0 * 9e-3);
        // 450 N mm over π d³/32: 71.6 MPa; the force of 1 N adds nothing to speak of.
        let stress = pin.equivalent_stress(&force, 0.0);
        assert!((stress / 71.619_724e6 - 1.0).abs() < 1e-4);
    }
}
