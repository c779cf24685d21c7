//! How a joint gives way: bearing pair and pin in series, seen at the reference radius.
//!
//! A joint ties the motions of two bodies on one axis. Motions are taken at the
//! reference point of the axis, each body going on rigidly to it, so that rigid joints share
//! unknowns whatever the bars' radii. The pin is a straight round Timoshenko
//! cantilever from the bar it is clamped in to the middle of the bearing pair;
//! derived in `docs/theory/built-geometry.md`, "Joints".

use nalgebra::{Matrix2, Matrix5, Vector5};

use crate::built::{Built, base_shaft, clamp_and_bearing};
use crate::design::{ClampedIn, Design, JointStiffness};
use crate::linkage::{Linkage, Release};
use crate::stock::Material;

/// Shear factor of a round pin (Timoshenko, common practice for solid rounds).
pub const PIN_SHEAR_FACTOR: f64 = 0.9;

/// The motions a joint may carry, in the order of its matrices: displacements
/// along u, t, n and rotations about t, n.
pub(super) const CARRIED: [usize; 5] = [0, 1, 2, 4, 5];

/// A round pin between two radii.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) struct PinBeam {
    /// Signed length from the clamp to the bearings along the outward axis, m.
    pub(super) length: f64,
    /// Outer diameter and bore, m.
    pub(super) diameters: [f64; 2],
    /// Young's and shear modulus, Pa.
    pub(super) moduli: [f64; 2],
}

impl PinBeam {
    fn area(&self) -> f64 {
        let [outer, bore] = self.diameters;
        0.25 * std::f64::consts::PI * (outer * outer - bore * bore)
    }

    fn second_moment(&self) -> f64 {
        let [outer, bore] = self.diameters;
        std::f64::consts::PI * (outer.powi(4) - bore.powi(4)) / 64.0
    }

    /// Compliance of its end over (u, t, n, about t, about n), 5×5, m and rad per N and N·m.
    fn end_compliance(&self) -> Matrix5<f64> {
        let (s, [e, g]) = (self.length.abs(), self.moduli);
        let bending = e * self.second_moment();
        let mut c = Matrix5::zeros();
        if s == 0.0 {
            return c;
        }
        c[(0, 0)] = s / (e * self.area());
        let across = s.powi(3) / (3.0 * bending) + s / (PIN_SHEAR_FACTOR * g * self.area());
        // A beam along +u that is pushed along t turns by +n, along n by −t.
        let coupling = self.length.signum() * s * s / (2.0 * bending);
        c[(1, 1)] = across;
        c[(2, 2)] = across;
        c[(3, 3)] = s / bending;
        c[(4, 4)] = s / bending;
        c[(1, 4)] = coupling;
        c[(4, 1)] = coupling;
        c[(2, 3)] = -coupling;
        c[(3, 2)] = -coupling;
        c
    }

    /// Twist by a moment about its own axis, rad/(N·m).
    fn torsion(&self) -> f64 {
        self.length.abs() / (self.moduli[1] * 2.0 * self.second_moment())
    }
}

/// One joint in the structure.
#[derive(Debug, Clone)]
pub(super) struct JointLaw {
    /// Which of [`CARRIED`] the two bodies share rigidly.
    pub(super) shared: [bool; 5],
    /// Force on the second body's motion beyond the first's, at the reference
    /// radius, 5×5; `None` where everything carried is shared.
    pub(super) stiffness: Option<Matrix5<f64>>,
    /// From the relative motion at the reference radius to the force at the bearings.
    force_from_motion: Matrix5<f64>,
    /// Compliance of the pin's end at the bearings.
    pin: Matrix5<f64>,
    /// Compliances of the bearings: axial, radial, tilt.
    bearings: [f64; 3],
    /// Twist of the pin by its driving torque, rad/(N·m).
    pub(super) torsion: f64,
}

/// A rigid joint that is free to tilt somewhere else than at the reference radius.
pub(super) struct RigidReleaseAway;

impl JointLaw {
    /// The law of one joint of a design.
    pub(super) fn new(
        design: &Design,
        linkage: &Linkage,
        built: &Built,
        index: usize,
    ) -> Result<Self, RigidReleaseAway> {
        let joint = &linkage.joints[index];
        let properties = joint.properties(design);
        let parts = properties.parts.as_ref();
        let clamped_in = parts.map_or(ClampedIn::Inner, |parts| parts.pin.clamped_in);
        let (clamp, bearing) = clamp_and_bearing(joint, &built.radii, clamped_in);
        let pin = parts.map(|parts| PinBeam {
            length: built.radii[bearing.body] - built.radii[clamp.body],
            diameters: base_shaft(design, linkage, built, index)
                .unwrap_or([parts.pin.diameter, parts.pin.bore]),
            moduli: moduli(&parts.pin.material),
        });
        let away = built.radii[bearing.body] - design.joint_radius;
        let Some(given) = &properties.stiffness else {
            if joint.release.tilt && away != 0.0 {
                return Err(RigidReleaseAway);
            }
            return Ok(Self::rigid(joint.release));
        };
        let pin_compliance = pin.map_or(Matrix5::zeros(), |pin| pin.end_compliance());
        let at_bearings = series(given, joint.release, &pin_compliance);
        let to_bearings = shift(away);
        let stiffness = to_bearings.transpose() * at_bearings * to_bearings;
        Ok(Self {
            shared: [false; 5],
            stiffness: Some(0.5 * (stiffness + stiffness.transpose())),
            force_from_motion: at_bearings * to_bearings,
            pin: pin_compliance,
            bearings: [given.axial, given.radial, given.tilt].map(|one| 1.0 / one.value),
            torsion: pin.map_or(0.0, |pin| pin.torsion()),
        })
    }

    fn rigid(release: Release) -> Self {
        Self {
            shared: [!release.axial, true, true, !release.tilt, !release.tilt],
            stiffness: None,
            force_from_motion: Matrix5::zeros(),
            pin: Matrix5::zeros(),
            bearings: [0.0; 3],
            torsion: 0.0,
        }
    }

    /// Strain energy in the pin and in the bearings at a relative motion, J.
    pub(super) fn energies(&self, relative: &Vector5<f64>) -> [f64; 2] {
        let Some(stiffness) = &self.stiffness else {
            return [0.0; 2];
        };
        let force = self.force_from_motion * relative;
        let pin = 0.5 * force.dot(&(self.pin * force));
        [pin, 0.5 * relative.dot(&(stiffness * relative)) - pin]
    }

    /// Its springs one by one, displacements taken as rotations at a radius of this square.
    pub(super) fn springs(&self, squared: f64) -> [f64; 6] {
        let [axial, radial, tilt] = self.bearings;
        let pin = |row: usize| self.pin[(row, row)];
        [
            squared / axial,
            squared / radial,
            1.0 / tilt,
            squared / pin(0),
            squared / pin(1),
            1.0 / pin(3),
        ]
    }

    /// Twice the strain energy at a relative motion by what holds it, J: along the axis,
    /// across it and against tilting in the bearings, and in the pin.
    pub(super) fn doubled_energies(&self, relative: &Vector5<f64>) -> [f64; 4] {
        let force = self.force_from_motion * relative;
        let [axial, radial, tilt] = self.bearings;
        let squared = force.component_mul(&force);
        [
            axial * squared[0],
            radial * (squared[1] + squared[2]),
            tilt * (squared[3] + squared[4]),
            force.dot(&(self.pin * force)),
        ]
    }
}

fn moduli(material: &Material) -> [f64; 2] {
    [material.youngs_modulus.value, material.shear_modulus.value]
}

/// Relative motion `away` further out along the axis from that at the reference
/// radius: a rotation about n moves the point along t, one about t against n.
fn shift(away: f64) -> Matrix5<f64> {
    let mut map = Matrix5::identity();
    map[(1, 4)] = away;
    map[(2, 3)] = -away;
    map
}

/// Stiffness of the bearing pair with the pin in series, at the bearings.
fn series(stiffness: &JointStiffness, release: Release, pin: &Matrix5<f64>) -> Matrix5<f64> {
    let mut sum = Matrix5::zeros();
    if !release.axial {
        sum[(0, 0)] = 1.0 / (pin[(0, 0)] + 1.0 / stiffness.axial.value);
    }
    for (across, tilt) in [(1, 4), (2, 3)] {
        let radial = pin[(across, across)] + 1.0 / stiffness.radial.value;
        if release.tilt {
            // No moment at the bearings.
            sum[(across, across)] = 1.0 / radial;
            continue;
        }
        let block = Matrix2::new(
            radial,
            pin[(across, tilt)],
            pin[(tilt, across)],
            pin[(tilt, tilt)] + 1.0 / stiffness.tilt.value,
        );
        let inverse = block.try_inverse().unwrap_or_else(Matrix2::zeros);
        sum[(across, across)] = inverse[(0, 0)];
        sum[(across, tilt)] = inverse[(0, 1)];
        sum[(tilt, across)] = inverse[(1, 0)];
        sum[(tilt, tilt)] = inverse[(1, 1)];
    }
    sum
}

#[cfg(test)]
mod tests {
    use super::*;

    fn pin(length: f64) -> PinBeam {
        PinBeam {
            length,
            diameters: [0.004, 0.0],
            moduli: [200e9, 77e9],
        }
    }

    /// Cantilever by hand: d 4 mm, s 10 mm, E 200 GPa: I = π d⁴/64 = 1.2566e-11 m⁴,
    /// s³/3EI = 1.3263e-7, s/0.9GA = 1.1482e-8 m/N.
    #[test]
    fn pin_bends_as_a_cantilever() {
        let c = pin(0.01).end_compliance();
        assert!((c[(1, 1)] - (1.326_291e-7 + 1.148_322e-8)).abs() < 1e-12);
        assert!((c[(4, 4)] - 0.01 / (200e9 * 1.256_637e-11)).abs() < 1e-9);
    }

    /// Seen from its clamp, the end's compliance is that of the same pin the other
    /// way round: moving the point of reference along it must not matter.
    #[test]
    fn inward_and_outward_pins_are_mirror_images() {
        let (out, inward) = (pin(0.01).end_compliance(), pin(-0.01).end_compliance());
        let at_clamp = |c: &Matrix5<f64>, s: f64| {
            let back = shift(-s);
            (back * c * back.transpose()).try_inverse().unwrap()
        };
        // By symmetry of the uniform beam the stiffness seen from the clamp equals
        // that at the end of the beam that runs the other way.
        let seen = at_clamp(&out, 0.01);
        let other = inward.try_inverse().unwrap();
        assert!((seen - other).norm() < 1e-9 * other.norm());
    }
}
