//! One configuration under one load: where it acts, how the shape gives way.

use nalgebra::{Matrix3, Vector3, Vector6};

use crate::brief::{LoadCase, LoadPlace, LoadVector};
use crate::elasticity::deflected::Deflected;
use crate::elasticity::{ElasticityError, LoadSet, SolvedStructure};
use crate::kinematics::Pose;
use crate::number::worst_direction::greatest_norm;
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
    /// Point of attack, m; for own weight the tool's centre of mass, where several loads act
    /// that of the first.
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
            let first = put_case(model, pose, &solved, case, &mut loads)?;
            first.unwrap_or((solved.tip(), Vector3::zeros()))
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

/// Where a force acts, m, and the force, N, base frame.
type Attack = (Vector3<f64>, Vector3<f64>);

/// Puts a load case on the linkage; returns where its first load acts, with its force.
///
/// A force or moment of any direction gets the one that moves the tip most.
fn put_case(
    model: &Model,
    pose: &Pose,
    solved: &SolvedStructure<'_>,
    case: &LoadCase,
    loads: &mut LoadSet,
) -> Result<Option<Attack>, ElasticityError> {
    let turn = pose.frame.rotation();
    let put = |loads: &mut LoadSet, on: &LoadPlace, wrench: Vector6<f64>| {
        let at = match on {
            LoadPlace::Tip => solved.tip(),
            LoadPlace::Grip => pose.frame.radial * model.grip_radius,
            LoadPlace::Bar { name, fraction } => {
                let body = model.bar_named(name)?;
                loads.on_bars.push((body, *fraction, wrench));
                return solved.point_on_bar(body, *fraction);
            }
        };
        loads.on_tool.push((wrench, at));
        Ok(at)
    };
    let in_base = |vector: &LoadVector| match vector {
        LoadVector::Local(local) => turn * local,
        LoadVector::World(world) => model.base_from_world * world,
        LoadVector::Any(_) => Vector3::zeros(),
    };
    let mut acts: Vec<Attack> = Vec::new();
    let mut any = None;
    for (index, load) in case.loads.iter().enumerate() {
        let (force, moment) = (in_base(&load.force), in_base(&load.moment));
        acts.push((put(loads, &load.on, six(&force, &moment))?, force));
        for (vector, is_force) in [(&load.force, true), (&load.moment, false)] {
            let LoadVector::Any(sought) = vector else {
                continue;
            };
            if any.replace((index, *sought, is_force)).is_some() {
                return Err(ElasticityError::TwoAnyDirections {
                    case: case.name.clone(),
                });
            }
        }
    }
    let Some((index, sought, is_force)) = any else {
        return Ok(acts.first().copied());
    };
    let on = &case.loads[index].on;
    let wrench = |vector: &Vector3<f64>| {
        let (vector, nothing) = (turn * vector, Vector3::zeros());
        if is_force {
            six(&vector, &nothing)
        } else {
            six(&nothing, &vector)
        }
    };
    let tip = |loads: &LoadSet| -> Result<Vector3<f64>, ElasticityError> {
        Ok(solved.respond(loads)?.tip.fixed_rows::<3>(0).into_owned())
    };
    let mut columns = [Vector3::zeros(); 3];
    for (axis, column) in columns.iter_mut().enumerate() {
        let mut alone = LoadSet::default();
        put(&mut alone, on, wrench(&Vector3::ith(axis, 1.0)))?;
        *column = tip(&alone)?;
    }
    let worst = greatest_norm(&Matrix3::from_columns(&columns), &tip(loads)?, sought).vector;
    put(loads, on, wrench(&worst))?;
    if is_force {
        acts[index].1 = turn * worst;
    }
    Ok(acts.first().copied())
}

fn six(force: &Vector3<f64>, moment: &Vector3<f64>) -> Vector6<f64> {
    Vector6::new(force.x, force.y, force.z, moment.x, moment.y, moment.z)
}
