//! Holding torque under weight by virtual work.
//!
//! The torque that each drive must give against weight is the slope of the
//! potential energy along its active joint angle: τᵢ = −Σ m g·(ωᵢ × c), with ωᵢ
//! the body's angular velocity per unit rate of that angle and c its centre of
//! mass from the remote centre.

use nalgebra::{Matrix2x3, Vector3};

use crate::built::Built;
use crate::design::Design;
use crate::elasticity::mass::MassModel;
use crate::kinematics::closure::ClosureError;
use crate::kinematics::jacobian::body_rates;
use crate::linkage::{Configuration, Linkage};

/// Standard gravity, m/s² (ISO 80000-3).
pub const STANDARD_GRAVITY: f64 = 9.80665;

/// Masses that the drives hold.
#[derive(Debug, Clone, PartialEq)]
pub struct HoldingModel {
    masses: MassModel,
    tool_mass: f64,
    tool_radius: f64,
}

impl HoldingModel {
    /// Masses of a design, the tool included where its mass is given.
    pub fn new(design: &Design, linkage: &Linkage, built: &Built) -> Self {
        Self {
            masses: MassModel::of_built(design, linkage, built),
            tool_mass: design.tool.mass.map_or(0.0, |mass| mass.value),
            tool_radius: design.tool.centre_of_mass_radius,
        }
    }

    /// Mass of everything that moves without the tool, kg.
    pub fn moving_mass(&self) -> f64 {
        self.masses.moving_mass
    }

    /// Mass of the tool, kg; zero where it is not given.
    pub fn tool_mass(&self) -> f64 {
        self.tool_mass
    }

    /// Holding torque per component of the acceleration of gravity, 2×3, rows
    /// the active joints, columns base x, y, z; N·m per m/s².
    ///
    /// # Errors
    /// [`ClosureError::Singular`] at a type 2 singularity.
    pub fn torque_map(
        &self,
        linkage: &Linkage,
        configuration: &Configuration,
    ) -> Result<Matrix2x3<f64>, ClosureError> {
        let rates = body_rates(linkage, configuration)?;
        let mut map = Matrix2x3::zeros();
        let mut add = |body: usize, position: Vector3<f64>, mass: f64| {
            for active in 0..2 {
                let velocity = rates[body][active].cross(&position);
                for k in 0..3 {
                    map[(active, k)] -= mass * velocity[k];
                }
            }
        };
        for item in &self.masses.items {
            let position = configuration.rotations[item.body] * item.position;
            add(item.body, position, item.mass);
        }
        let tool = linkage.tool_direction(configuration) * self.tool_radius;
        add(linkage.tool.body, tool, self.tool_mass);
        Ok(map)
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::kinematics::Kinematics;

    /// A mass at 150 mm on a horizontal axis: m g r (derived, T14).
    #[test]
    fn torque_about_a_horizontal_axis() {
        let arc = std::f64::consts::FRAC_PI_2;
        let mut design = crate::design::sample::two_arc_arm([arc, arc]);
        design.tool.mass = Some(0.5.into());
        design.tool.centre_of_mass_radius = 0.15;
        design.material.density = 1e-9.into();
        let kinematics = Kinematics::new(&design).unwrap();
        // Elbow at 90°: the tool lies a quarter turn off the base axis.
        let pose = kinematics.forward([0.0, arc]).unwrap();
        let model = HoldingModel::new(
            &design,
            &kinematics.linkage,
            &Built::new(&design, &kinematics.linkage).unwrap(),
        );
        let map = model
            .torque_map(&kinematics.linkage, &pose.configuration)
            .unwrap();
        // Gravity across both base axis and tool.
        let tool = pose.direction.vector();
        let across = Vector3::z().cross(&tool).normalize();
        let torque = map * (across * STANDARD_GRAVITY);
        assert!((torque[0].abs() - 0.735_498_75).abs() < 1e-9, "{torque}");
    }
}
