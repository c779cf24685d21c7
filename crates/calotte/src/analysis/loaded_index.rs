//! Conditioning under load: how well the drives move the tip of a linkage that has given way.
//!
//! Under a load f the tip stands at x(q) + C(q) f, so that it follows the active joints by the
//! total Jacobian J + ∂(C(q) f)/∂q; its tangential part over the tip radius gives LCI and GCI
//! as the rigid Jacobian does. The load either keeps its components in the local frame at the
//! tool or its direction in the world while the linkage moves. Where all configurations give
//! way alike nothing changes: the index feels how the deflection varies.
//!
//! The derivative is that of the solved structure by differences of fourth order over both
//! active joints. The mean over the region is the rigid one, integrated as there, plus that of
//! the difference at twelve polar angles of every piece between corners of the rigid index,
//! where the difference jumps.

use nalgebra::{Matrix2, Vector3, Vector6};
use rayon::prelude::*;

use crate::brief::{LoadCase, LoadFrame, LoadPlace, LoadVector};
use crate::elasticity::virtual_joints::{VirtualJointModel, virtual_joint_compliance};
use crate::elasticity::{ElasticityError, LoadSet};
use crate::kinematics::conditioning::{ConditioningSummary, index_peaks, local_conditioning_index};
use crate::kinematics::{Kinematics, Pose, WorkingRange};
use crate::sphere::quadrature::{pieces, rule_12};
use crate::sphere::{Direction, Region};
use crate::subject::{Model, Subject};

use super::ring::pose_at;

/// LCI and GCI with one load case on the linkage.
#[derive(Debug, Clone, PartialEq)]
pub struct IndexUnderLoad {
    /// Name of the load case.
    pub load: String,
    /// What keeps its direction while the linkage moves, in words.
    pub fixed_in: &'static str,
    /// By the structure of the design, or why there is none.
    pub exact: Result<LoadedIndex, String>,
    /// By virtual joints at the middle of every arc, joints rigid, or why there is none.
    pub virtual_joints: Result<LoadedIndex, String>,
}

/// LCI and GCI over the region.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct LoadedIndex {
    /// Area-weighted mean over the required region, unreached directions counted 0.
    pub gci: f64,
    /// Least LCI over the directions looked at.
    pub lci_min: f64,
    /// Where that is, base frame.
    pub lci_min_at: Direction,
}

/// Step of the differences by an active joint, rad: the fourth power of it over the distance
/// to a singularity stays far below 1e-6, rounding of the structure below 1e-9.
const STEP: f64 = 5e-4;
/// Azimuths on each polar angle, for what differs around the axis.
const AROUND: f64 = 8.0;

/// What is said of loads that turn with the tool: they do the same all around.
const TURNING: &str = "turning with the tool";

/// A force or moment as it changes while the linkage moves.
#[derive(Debug, Clone, Copy)]
enum Moving {
    /// The same components in the local frame at the tool.
    WithTool(Vector3<f64>),
    /// The same components in the base frame.
    InWorld(Vector3<f64>),
}

impl Moving {
    fn of(
        vector: &LoadVector,
        frame: Option<LoadFrame>,
        model: &Model,
        pose: &Pose,
    ) -> Result<Self, String> {
        let turn = pose.frame.rotation();
        Ok(match (vector, frame) {
            (LoadVector::Local(local), None | Some(LoadFrame::Tool)) => Moving::WithTool(*local),
            (LoadVector::Local(local), Some(LoadFrame::World)) => Moving::InWorld(turn * local),
            (LoadVector::World(world), None | Some(LoadFrame::World)) => {
                Moving::InWorld(model.base_from_world * world)
            }
            (LoadVector::World(world), Some(LoadFrame::Tool)) => {
                Moving::WithTool(turn.transpose() * (model.base_from_world * world))
            }
            (LoadVector::Any(_), _) => {
                return Err("the load has any direction; an index needs one".to_string());
            }
        })
    }

    fn at(self, pose: &Pose) -> Vector3<f64> {
        match self {
            Moving::WithTool(local) => pose.frame.rotation() * local,
            Moving::InWorld(base) => base,
        }
    }
}

/// The loads of a case, base frame, as they change while the linkage moves.
struct Acting<'a> {
    parts: Vec<(&'a LoadPlace, Moving, Moving)>,
}

impl<'a> Acting<'a> {
    fn of(case: &'a LoadCase, model: &Model, pose: &Pose) -> Result<Self, String> {
        let parts = case.loads.iter().map(|load| {
            let force = Moving::of(&load.force, load.frame, model, pose)?;
            let moment = Moving::of(&load.moment, load.frame, model, pose)?;
            Ok((&load.on, force, moment))
        });
        Ok(Self {
            parts: parts.collect::<Result<_, String>>()?,
        })
    }

    fn loads(
        &self,
        model: &Model,
        pose: &Pose,
        tip: Vector3<f64>,
    ) -> Result<LoadSet, ElasticityError> {
        let mut loads = LoadSet::default();
        for (on, force, moment) in &self.parts {
            let (force, moment) = (force.at(pose), moment.at(pose));
            let wrench = Vector6::new(force.x, force.y, force.z, moment.x, moment.y, moment.z);
            match on {
                LoadPlace::Tip => loads.on_tool.push((wrench, tip)),
                LoadPlace::Grip => {
                    loads
                        .on_tool
                        .push((wrench, pose.frame.radial * model.grip_radius));
                }
                LoadPlace::Bar { name, fraction } => {
                    loads
                        .on_bars
                        .push((model.bar_named(name)?, *fraction, wrench));
                }
            }
        }
        Ok(loads)
    }
}

/// Total Jacobian at a pose: from active joint rates to the tangential velocity of the tip
/// over its radius, rows (polar, azimuth) of the local frame, 1/s per rad/s.
///
/// # Arguments
/// - `displacement`: of the tip at a pose, base frame, m.
///
/// # Errors
/// What `displacement` says; [`ElasticityError::Singular`] where the linkage does not close
/// beside the pose.
pub fn total_jacobian(
    kinematics: &Kinematics,
    pose: &Pose,
    tip_radius: f64,
    displacement: impl Fn(&Pose) -> Result<Vector3<f64>, ElasticityError>,
) -> Result<Matrix2<f64>, ElasticityError> {
    let mut total = pose.jacobian;
    for drive in 0..2 {
        let beside = |steps: f64| {
            let mut active = pose.active;
            active[drive] += steps * STEP;
            let pose = kinematics
                .forward(active)
                .map_err(|_| ElasticityError::Singular)?;
            displacement(&pose)
        };
        let near = beside(1.0)? - beside(-1.0)?;
        let far = beside(2.0)? - beside(-2.0)?;
        let rate = (near * 8.0 - far) / (12.0 * STEP * tip_radius);
        total[(0, drive)] += rate.dot(&pose.frame.polar);
        total[(1, drive)] += rate.dot(&pose.frame.azimuth);
    }
    Ok(total)
}

/// LCI at a pose with a load case on the structure.
///
/// # Errors
/// In words: a load of any direction, or what [`total_jacobian`] says.
pub fn lci_under_load(model: &Model, pose: &Pose, case: &LoadCase) -> Result<f64, String> {
    let acting = Acting::of(case, model, pose)?;
    let tip_radius = model.structure.tip_radius();
    let displacement = |pose: &Pose| {
        let solved = model.structure.solve(&pose.configuration, &pose.frame)?;
        let tip = solved
            .respond(&acting.loads(model, pose, solved.tip())?)?
            .tip;
        Ok(pose.frame.rotation() * tip.fixed_rows::<3>(0))
    };
    let total = total_jacobian(&model.kinematics, pose, tip_radius, displacement);
    Ok(local_conditioning_index(
        &total.map_err(|error| error.to_string())?,
    ))
}

/// The same by virtual joints, which know loads on the tool alone.
fn lci_by_virtual_joints(
    subject: &Subject,
    model: &Model,
    pose: &Pose,
    case: &LoadCase,
) -> Result<f64, String> {
    let acting = Acting::of(case, model, pose)?;
    if acting
        .parts
        .iter()
        .any(|(on, ..)| matches!(on, LoadPlace::Bar { .. }))
    {
        return Err("a load on a bar is not represented by virtual joints".to_string());
    }
    let design = if subject.design.is_built() {
        subject.design.ideal()
    } else {
        subject.design.clone()
    };
    let tip_radius = model.structure.tip_radius();
    let displacement = |pose: &Pose| {
        let compliance = virtual_joint_compliance(
            &design,
            &model.kinematics.linkage,
            &pose.configuration,
            &pose.frame,
            VirtualJointModel::MidArcSprings,
        )
        .map_err(|_| ElasticityError::Singular)?;
        let tip = pose.frame.radial * tip_radius;
        let mut wrench = Vector6::zeros();
        for (on_tool, point) in acting.loads(model, pose, tip)?.on_tool {
            let force: Vector3<f64> = on_tool.fixed_rows::<3>(0).into_owned();
            let moment = on_tool.fixed_rows::<3>(3) + (point - tip).cross(&force);
            let to_local = pose.frame.rotation().transpose();
            let (force, moment) = (to_local * force, to_local * moment);
            wrench += Vector6::new(force.x, force.y, force.z, moment.x, moment.y, moment.z);
        }
        let moved = compliance * wrench;
        Ok(pose.frame.rotation() * moved.fixed_rows::<3>(0))
    };
    let total = total_jacobian(&model.kinematics, pose, tip_radius, displacement);
    Ok(local_conditioning_index(
        &total.map_err(|error| error.to_string())?,
    ))
}

/// A direction that is looked at, with its share of the region's area.
struct Looked {
    pose: Pose,
    share: f64,
}

/// LCI and GCI under every load case over the covered part of a region.
pub(super) fn indices_under_load(
    subject: &Subject,
    model: &Model,
    range: &WorkingRange,
    summary: &ConditioningSummary,
    loads: &[LoadCase],
) -> Vec<IndexUnderLoad> {
    let region = subject.region();
    loads
        .iter()
        .map(|case| {
            let same = model.same_all_around && fixed_in(case) == TURNING;
            let looked = looked_at(model, range, region, if same { 1.0 } else { AROUND });
            let over = |lci: &(dyn Fn(&Pose) -> Result<f64, String> + Sync)| {
                over_region(&looked, summary, lci)
            };
            IndexUnderLoad {
                load: case.name.clone(),
                fixed_in: fixed_in(case),
                exact: over(&|pose| lci_under_load(model, pose, case)),
                virtual_joints: over(&|pose| lci_by_virtual_joints(subject, model, pose, case)),
            }
        })
        .collect()
}

/// What is said of every load case where nothing answers.
pub(super) fn without_answer(loads: &[LoadCase], why: &str) -> Vec<IndexUnderLoad> {
    let entry = |case: &LoadCase| IndexUnderLoad {
        load: case.name.clone(),
        fixed_in: fixed_in(case),
        exact: Err(why.to_string()),
        virtual_joints: Err(why.to_string()),
    };
    loads.iter().map(entry).collect()
}

/// What keeps its direction while the linkage moves.
fn fixed_in(case: &LoadCase) -> &'static str {
    let vectors = case.loads.iter().flat_map(|load| {
        let given = [&load.force, &load.moment].into_iter();
        given.filter_map(move |vector| match (vector, load.frame) {
            (LoadVector::Local(v) | LoadVector::World(v), _) if *v == Vector3::zeros() => None,
            (_, Some(frame)) => Some(frame),
            (LoadVector::World(_), None) => Some(LoadFrame::World),
            (LoadVector::Local(_) | LoadVector::Any(_), None) => Some(LoadFrame::Tool),
        })
    });
    let frames: Vec<LoadFrame> = vectors.collect();
    let all = |frame: LoadFrame| frames.iter().all(|other| *other == frame);
    match (all(LoadFrame::Tool), all(LoadFrame::World)) {
        (true, _) => TURNING,
        (false, true) => "fixed in the world",
        (false, false) => "each as it is given",
    }
}

fn over_region(
    looked: &[Looked],
    summary: &ConditioningSummary,
    lci: &(dyn Fn(&Pose) -> Result<f64, String> + Sync),
) -> Result<LoadedIndex, String> {
    let values: Vec<Result<f64, String>> =
        looked.par_iter().map(|looked| lci(&looked.pose)).collect();
    let mut found: Option<LoadedIndex> = None;
    let mut gci = summary.gci;
    for (looked, value) in looked.iter().zip(values) {
        let value = match value {
            Ok(value) => value,
            // An end of the range may itself be singular, and weighs nothing.
            Err(_) if looked.share == 0.0 => continue,
            Err(reason) => return Err(reason),
        };
        gci += looked.share * (value - local_conditioning_index(&looked.pose.jacobian));
        if found.is_none_or(|found| value < found.lci_min) {
            found = Some(LoadedIndex {
                gci: 0.0,
                lci_min: value,
                lci_min_at: looked.pose.direction,
            });
        }
    }
    let found = found.ok_or("no direction of the region is covered")?;
    Ok(LoadedIndex { gci, ..found })
}

/// Twelve polar angles of every piece of the covered part with the weights of their rule, and
/// both its ends with none; azimuths in the middle of equal parts, `around` of them on a whole
/// circle. Single directions have equal shares.
fn looked_at(model: &Model, range: &WorkingRange, region: &Region, around: f64) -> Vec<Looked> {
    let kinematics = &model.kinematics;
    let pose = |polar: f64, azimuth: f64| {
        let second = range.second_for_polar(&kinematics.meridian, polar)?;
        pose_at(model, second, azimuth).ok()
    };
    let required = region.area();
    if region.is_points() {
        let points = region.points();
        let looked = points.iter().filter_map(|point| {
            let direction = Direction::of(point);
            let second = range.second_for_polar(&kinematics.meridian, direction.polar)?;
            let free = range.azimuths(&kinematics.meridian, second);
            let share = 1.0 / required;
            let pose = pose(direction.polar, direction.azimuth)?;
            free.contains(direction.azimuth)
                .then_some(Looked { pose, share })
        });
        return looked.collect();
    }
    let Ok([low, high]) = region.polar_extent() else {
        return Vec::new();
    };
    let (low, high) = (low.max(range.polar_min()), high.min(range.polar_max()));
    if low > high {
        return Vec::new();
    }
    let corners = index_peaks(kinematics, range);
    let mut breaks = region.polar_breaks();
    breaks.extend(
        corners
            .iter()
            .map(|x| kinematics.meridian.state(*x).polar_angle()),
    );
    let inside = pieces(low, high, &breaks)
        .into_iter()
        .flat_map(|[from, to]| {
            let (middle, half) = (0.5 * (from + to), 0.5 * (to - from));
            rule_12()
                .iter()
                .map(move |(node, weight)| (middle + half * node, half * weight))
        });
    let edge = 1e-9 * (high - low);
    let ends = [(low + edge, 0.0), (high - edge, 0.0)];
    let mut looked = Vec::new();
    for (polar, weight) in inside.chain(ends) {
        let Some(second) = range.second_for_polar(&kinematics.meridian, polar) else {
            continue;
        };
        let covered = region
            .azimuths_at(polar)
            .intersection(&range.azimuths(&kinematics.meridian, second));
        let width = covered.measure();
        for [from, to] in covered.intervals() {
            let count = ((to - from) / width * around).ceil().max(1.0);
            for k in 0..count as usize {
                let azimuth = from + (to - from) * (k as f64 + 0.5) / count;
                if let Some(pose) = pose(polar, azimuth) {
                    let share = weight * polar.sin() * (to - from) / count / required;
                    looked.push(Looked { pose, share });
                }
            }
        }
    }
    looked
}
