//! The elastic model of a design: structure, weight against the drives, strength.

use std::sync::Arc;

use nalgebra::Vector3;

use super::joint_strength::JointStrength;
use crate::built::Built;
use crate::design::{Design, Support};
use crate::elasticity::stress::StressModels;
use crate::elasticity::{ElasticityError, Structure};
use crate::kinematics::Kinematics;
use crate::statics::{HoldingModel, STANDARD_GRAVITY};

/// A design with everything prepared for analysis at any configuration.
#[derive(Debug, Clone)]
pub struct Model {
    /// Kinematics.
    pub kinematics: Arc<Kinematics>,
    /// The parts with their places.
    pub built: Arc<Built>,
    /// Structure.
    pub structure: Structure,
    /// The structure as it gives way to its own weight, which stays; `None` where nothing
    /// creeps.
    pub sustained: Option<Structure>,
    /// Weight against the drives.
    pub holding: HoldingModel,
    /// Stress; `None` with a custom section.
    pub stress: Option<StressModels>,
    /// Pins and bearings; `None` where the joints are not described by them.
    pub joint_strength: Option<JointStrength>,
    /// Acceleration of gravity in the base frame, m/s².
    pub gravity_in_base: Vector3<f64>,
    /// Yield strength, Pa.
    pub yield_strength: f64,
    /// World to base.
    pub base_from_world: nalgebra::Matrix3<f64>,
    /// Mass of the tool, kg; zero where it is not given.
    pub tool_mass: f64,
    /// Distance of its centre of mass from the remote centre, m.
    pub tool_mass_radius: f64,
    /// Distance of the grip from the remote centre, m.
    pub grip_radius: f64,
    /// Whether the support answers the same at every azimuth.
    pub same_all_around: bool,
}

impl Model {
    /// Prepares a design whose kinematics and parts are ready.
    ///
    /// # Errors
    /// [`ElasticityError`] for a design that cannot be built.
    pub(super) fn of_parts(
        design: &Design,
        kinematics: Arc<Kinematics>,
        built: Arc<Built>,
    ) -> Result<Self, ElasticityError> {
        let structure = Structure::of_built(design, &kinematics.linkage, &built)?;
        let sustained = design
            .sustained()
            .map(|design| Structure::of_built(&design, &kinematics.linkage, &built))
            .transpose()?;
        let holding = HoldingModel::new(design, &kinematics.linkage, &built);
        let to_base = design.mount.base_from_world();
        Ok(Self {
            stress: StressModels::new(design, &kinematics.linkage),
            joint_strength: JointStrength::new(design, &kinematics.linkage, &built),
            gravity_in_base: to_base * Vector3::new(0.0, 0.0, -STANDARD_GRAVITY),
            yield_strength: design.material.yield_strength.value,
            base_from_world: to_base,
            tool_mass: design.tool.mass.map_or(0.0, |mass| mass.value),
            tool_mass_radius: design.tool.centre_of_mass_radius,
            grip_radius: design.tool.grip_radius.unwrap_or(design.tool.tip_radius),
            same_all_around: support_same_all_around(design),
            kinematics,
            built,
            structure,
            sustained,
            holding,
        })
    }

    /// Index of the body of this name that has an arc.
    ///
    /// # Errors
    /// [`ElasticityError::UnknownBar`] with the names there are.
    pub fn bar_named(&self, name: &str) -> Result<usize, ElasticityError> {
        let bodies = &self.kinematics.linkage.bodies;
        bodies
            .iter()
            .position(|body| body.name == name && !body.arcs.is_empty())
            .ok_or_else(|| ElasticityError::UnknownBar {
                name: name.to_string(),
                known: bodies
                    .iter()
                    .filter(|body| !body.arcs.is_empty())
                    .map(|body| body.name.clone())
                    .collect(),
            })
    }
}

fn support_same_all_around(design: &Design) -> bool {
    match &design.mount.support {
        None | Some(Support::Springs { .. }) => true,
        Some(Support::Column {
            direction,
            section,
            material,
            ..
        }) => {
            let bar = crate::elasticity::BarStiffness::new(section, material, f64::INFINITY);
            direction.cross(&Vector3::z()).norm() < 1e-9 * direction.norm()
                && bar.bending_in_plane == bar.bending_out_of_plane
                && bar.shear_in_plane == bar.shear_out_of_plane
        }
    }
}
