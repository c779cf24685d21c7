//! One configuration under one load: where it acts, how the shape gives way.

use nalgebra::{Vector3, Vector6};

use crate::brief::{LoadCase, LoadPlace, LoadVector};
use crate::elasticity::deflected::Deflected;
use crate::elasticity::{ElasticityError, LoadSet};
use crate::kinematics::Pose;
use crate::subject::Model;

/// What acts on the linkage.
#[derive(Debug, Clone, Copy)]
pub enum Loading<'a> {
    /// A load case, without own weight.
    Case(&'a LoadCase),
    /// Own weight: tool, bars, bosses and pins.
    Weight,
}

/// A configuration under load, base frame.
#[derive(Debug, Clone, PartialEq)]
pub struct LoadedShape {
    /// Displacements, forces, energies.
    pub deflected: Deflected,
    /// Point of attack, m; for own weight the tool's centre of mass.
    pub at: Vector3<f64>,
    /// Force, N; for own weight that of the tool alone.
    pub force: Vector3<f64>,
    /// Tool tip without load, m.
    pub tip: Vector3<f64>,
    /// Displacement of the tip, m.
    pub tip_displacement: Vector3<f64>,
}

/// Puts one load on the linkage at a pose.
///
/// # Errors
/// [`ElasticityError`] at a singular configuration or for a load on no bar.
pub fn loaded_shape(
    model: &Model,
    pose: &Pose,
    loading: Loading<'_>,
) -> Result<LoadedShape, ElasticityError> {
    let solved = model.structure.solve(&pose.configuration, &pose.frame)?;
    let mut loads = LoadSet::default();
    let (at, force) = match loading {
        Loading::Weight => {
            let at = pose.frame.radial * model.tool_mass_radius;
            let force = model.gravity_in_base * model.tool_mass;
            loads.on_tool.push((six(&force, &Vector3::zeros()), at));
            loads.bar_acceleration = model.gravity_in_base;
            (at, force)
        }
        Loading::Case(case) => {
            let turn = pose.frame.rotation();
            let in_base = |vector: &LoadVector| match vector {
                LoadVector::Local(local) => turn * local,
                LoadVector::World(world) => model.base_from_world * world,
            };
            let (force, moment) = (in_base(&case.force), in_base(&case.moment));
            let wrench = six(&force, &moment);
            let at = match &case.on {
                LoadPlace::Tip => solved.tip(),
                LoadPlace::Grip => pose.frame.radial * model.grip_radius,
                LoadPlace::Bar { name, fraction } => {
                    let body = model.bar_named(name)?;
                    loads.on_bars.push((body, *fraction, wrench));
                    solved.point_on_bar(body, *fraction)?
                }
            };
            if loads.on_bars.is_empty() {
                loads.on_tool.push((wrench, at));
            }
            (at, force)
        }
    };
    let deflected = solved.deflected(&loads)?;
    let tip = &deflected.response.tip;
    let tip_displacement = pose.frame.rotation() * Vector3::new(tip[0], tip[1], tip[2]);
    Ok(LoadedShape {
        deflected,
        at,
        force,
        tip: solved.tip(),
        tip_displacement,
    })
}

fn six(force: &Vector3<f64>, moment: &Vector3<f64>) -> Vector6<f64> {
    Vector6::new(force.x, force.y, force.z, moment.x, moment.y, moment.z)
}
