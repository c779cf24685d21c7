//! All directions at one polar angle.
//!
//! Turning the first mechanism angle turns the whole linkage about the base
//! axis, so one factorisation serves the whole ring: the compliance in the
//! local frame is the same all around, and weight enters by its three
//! components, turned back by the azimuth. A support that is not the same all
//! around is solved azimuth by azimuth.

use nalgebra::{Matrix2x3, Matrix6, Rotation3, Vector3, Vector6};

use crate::brief::{LoadCase, LoadPlace, LoadVector};
use crate::elasticity::{CAUSES, ElasticityError, LoadSet, Response, SolvedStructure, ToolLine};
use crate::kinematics::Pose;
use crate::sphere::direction::rotation_about;
use crate::subject::Model;

use super::joint_loads::{JointForces, bearing_safety, least_safety, pin_safety, widen};
use super::point::StiffnessScalars;

pub use super::joint_loads::JointLoad;
pub use super::ring_grid::ring_grid;
pub use super::safety::{SafetyResult, StressedPart};

/// Values at one direction of a ring.
#[derive(Debug, Clone, PartialEq)]
pub struct PointResult {
    /// Azimuth about the base axis, rad.
    pub azimuth: f64,
    /// Displacement of the tip by own weight, m, local frame.
    pub sag: Vector3<f64>,
    /// Where the tool's line goes by own weight.
    pub sag_line: ToolLine,
    /// By each load case, without own weight.
    pub cases: Vec<CaseResult>,
    /// Torque each drive gives against weight, N·m.
    pub torque: [f64; 2],
    /// Least safety factor against yield, bars and pins, under weight and any one load case.
    pub safety: Option<SafetyResult>,
    /// Least static safety of a bearing under the same, and the joint it is in; `None`
    /// where no rating is known or nothing is loaded.
    pub bearing_safety: Option<(f64, usize)>,
    /// Stiffness at the tip as scalars.
    pub stiffness: StiffnessScalars,
}

/// What one load case does at one direction, without own weight.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct CaseResult {
    /// Norm of the tip's displacement, m.
    pub deflection: f64,
    /// Distance by which the tool's line misses the remote centre, m.
    pub centre_shift: f64,
    /// Angle by which the tool's line tilts, rad.
    pub tilt: f64,
}

impl CaseResult {
    /// Of the motion [u; φ] of the tip, local frame.
    fn of(tip: &Vector6<f64>, tip_radius: f64) -> Self {
        let line = ToolLine::of(tip, tip_radius);
        Self {
            deflection: tip.fixed_rows::<3>(0).norm(),
            centre_shift: line.centre_shift(),
            tilt: line.tilt(),
        }
    }
}

/// All directions at one polar angle.
#[derive(Debug, Clone, PartialEq)]
pub struct RingResult {
    /// Polar angle of the tool direction, rad.
    pub polar: f64,
    /// Second mechanism angle, rad.
    pub second: f64,
    /// Local conditioning index.
    pub lci: f64,
    /// Least transmission angle, rad; `None` without stages.
    pub transmission: Option<f64>,
    /// Compliance at the tip, local frame; with a support that differs around
    /// the axis, that at the first azimuth.
    pub compliance: Matrix6<f64>,
    /// Its scalars.
    pub stiffness: StiffnessScalars,
    /// Shares of strain energy for a force along the softest direction: arcs,
    /// joints, drives, base.
    pub energy_shares: [f64; CAUSES],
    /// Greatest load on each joint over azimuths, weight and any one load case.
    pub joint_loads: Vec<JointLoad>,
    /// Values at each azimuth.
    pub points: Vec<PointResult>,
    /// Greatest ratio of force over tip radius to the stiffness along the force,
    /// over load cases and weight: above 0.05 the linear model is in doubt.
    pub geometric_ratio: f64,
}

/// Points along every arc at which stress is taken.
const STRESS_STATIONS: usize = 5;

/// Solves a ring at the given azimuths (base frame, rad).
///
/// # Errors
/// [`ElasticityError`] at a singular configuration or for a load on no bar.
pub fn solve_ring(
    model: &Model,
    second: f64,
    azimuths: &[f64],
    loads: &[LoadCase],
) -> Result<RingResult, ElasticityError> {
    let reference = azimuths.first().copied().unwrap_or(0.0);
    let basis = Basis::at(model, second, reference, loads)?;
    let mut points = Vec::with_capacity(azimuths.len());
    let mut joint_loads = vec![JointLoad::default(); model.kinematics.linkage.joints.len()];
    for azimuth in azimuths {
        let own;
        let here = if model.same_all_around {
            &basis
        } else {
            own = Basis::at(model, second, *azimuth, loads)?;
            &own
        };
        let forces = here.joint_forces(model, *azimuth);
        points.push(here.point(model, *azimuth, &forces));
        widen(model, &forces, &mut joint_loads);
    }
    let geometric_ratio = basis.geometric_ratio(model, loads);
    let state = model.kinematics.meridian.state(second);
    Ok(RingResult {
        polar: state.polar_angle(),
        second,
        lci: crate::kinematics::conditioning::local_conditioning_index(
            &model.kinematics.jacobian_of(&state),
        ),
        transmission: crate::kinematics::working_range::state_transmission(&state)
            .map(|(angle, _)| angle),
        compliance: basis.compliance,
        stiffness: basis.stiffness,
        energy_shares: basis.energy_shares,
        joint_loads,
        points,
        geometric_ratio,
    })
}

/// Solves one pose by itself, for what does not turn as a whole about the base axis.
///
/// # Errors
/// As [`solve_ring`].
pub fn solve_pose(
    model: &Model,
    pose: &Pose,
    transmission: Option<f64>,
    loads: &[LoadCase],
) -> Result<RingResult, ElasticityError> {
    let azimuth = pose.direction.azimuth;
    let basis = Basis::of_pose(model, pose, azimuth, loads)?;
    let mut joint_loads = vec![JointLoad::default(); model.kinematics.linkage.joints.len()];
    let forces = basis.joint_forces(model, azimuth);
    widen(model, &forces, &mut joint_loads);
    let points = vec![basis.point(model, azimuth, &forces)];
    Ok(RingResult {
        polar: pose.direction.polar,
        second: pose.mechanism[1],
        lci: crate::kinematics::conditioning::local_conditioning_index(&pose.jacobian),
        transmission,
        geometric_ratio: basis.geometric_ratio(model, loads),
        compliance: basis.compliance,
        stiffness: basis.stiffness,
        energy_shares: basis.energy_shares,
        joint_loads,
        points,
    })
}

/// Responses to unit loads at one configuration, from which any azimuth follows.
struct Basis {
    azimuth: f64,
    compliance: Matrix6<f64>,
    stiffness: StiffnessScalars,
    energy_shares: [f64; CAUSES],
    /// Per unit acceleration along base x, y, z.
    weight: [UnitResponse; 3],
    /// Per load case: one response in the local frame, or three in the world.
    cases: Vec<CaseResponse>,
    torque: Matrix2x3<f64>,
    frame: crate::sphere::LocalFrame,
}

/// Motion of the tip, section resultants and joint forces by one unit load.
struct UnitResponse {
    tip: Vector6<f64>,
    sections: Vec<Vector6<f64>>,
    joints: Vec<Vector6<f64>>,
}

struct CaseResponse {
    /// The part that turns with the tool.
    local: UnitResponse,
    /// The part fixed in the world.
    world: Option<WorldPart>,
}

/// A load fixed in the world: responses per unit force and moment along base
/// x, y, z, and its force and moment, base frame.
struct WorldPart {
    by_force: [UnitResponse; 3],
    by_moment: [UnitResponse; 3],
    force: Vector3<f64>,
    moment: Vector3<f64>,
}

impl Basis {
    fn at(
        model: &Model,
        second: f64,
        azimuth: f64,
        loads: &[LoadCase],
    ) -> Result<Self, ElasticityError> {
        Self::of_pose(model, &pose_at(model, second, azimuth)?, azimuth, loads)
    }

    fn of_pose(
        model: &Model,
        pose: &Pose,
        azimuth: f64,
        loads: &[LoadCase],
    ) -> Result<Self, ElasticityError> {
        let solved = model.structure.solve(&pose.configuration, &pose.frame)?;
        let compliance = solved.tip_compliance();
        let stiffness = StiffnessScalars::of(&compliance);
        let softest = Vector6::from_fn(|k, _| if k < 3 { stiffness.softest[k] } else { 0.0 });
        let shares = solved
            .respond(&solved.tip_load(&softest))?
            .energy_shares()
            .map_or([0.0; CAUSES], |s| {
                [s.arcs, s.joints, s.pins, s.drives, s.base]
            });
        let tool_point = pose.frame.radial * model.tool_mass_radius;
        let weight = unit_vectors(|axis| {
            let force = axis * model.tool_mass;
            respond(
                model,
                &solved,
                &LoadSet {
                    on_tool: vec![(linear(&force), tool_point)],
                    bar_acceleration: axis,
                    ..LoadSet::default()
                },
            )
        })?;
        let cases = loads
            .iter()
            .map(|case| case_response(model, &solved, pose, case))
            .collect::<Result<_, _>>()?;
        let torque = model
            .holding
            .torque_map(&model.kinematics.linkage, &pose.configuration)
            .map_err(|_| ElasticityError::Singular)?;
        Ok(Self {
            azimuth,
            compliance,
            stiffness,
            energy_shares: shares,
            weight,
            cases,
            torque,
            frame: pose.frame,
        })
    }

    fn point(&self, model: &Model, azimuth: f64, forces: &[JointForces]) -> PointResult {
        // Turning the linkage forward is turning the world back.
        let back = rotation_about(&Vector3::z(), self.azimuth - azimuth);
        let gravity = back * model.gravity_in_base;
        let tip_radius = model.structure.tip_radius();
        let sag = combine(&self.weight, &gravity);
        let cases = self
            .cases
            .iter()
            .map(|case| CaseResult::of(&case.tip(&back), tip_radius))
            .collect();
        let torque = self.torque * gravity;
        PointResult {
            azimuth,
            sag: sag.fixed_rows::<3>(0).into_owned(),
            sag_line: ToolLine::of(&sag, tip_radius),
            cases,
            torque: [torque[0], torque[1]],
            safety: least_safety(
                self.bar_safety(model, &gravity, &back),
                pin_safety(model, forces),
            ),
            bearing_safety: bearing_safety(model, forces),
            stiffness: self.stiffness,
        }
    }

    /// Every joint's force by weight alone and by weight with each load case.
    fn joint_forces(&self, model: &Model, azimuth: f64) -> Vec<JointForces> {
        let back = rotation_about(&Vector3::z(), self.azimuth - azimuth);
        let by_weight = combine_joints(&self.weight, &(back * model.gravity_in_base));
        let with_cases = self.cases.iter().enumerate().map(|(index, case)| {
            let mut forces = case.joints(&back);
            for (sum, own) in forces.iter_mut().zip(&by_weight) {
                *sum += own;
            }
            JointForces {
                load: Some(index),
                of_joint: forces,
            }
        });
        let mut all: Vec<JointForces> = with_cases.collect();
        all.insert(
            0,
            JointForces {
                load: None,
                of_joint: by_weight,
            },
        );
        all
    }

    /// Least safety of a bar over weight alone and weight with each load case.
    fn bar_safety(
        &self,
        model: &Model,
        gravity: &Vector3<f64>,
        back: &Rotation3<f64>,
    ) -> Option<SafetyResult> {
        let stress_model = model.stress.as_ref()?;
        let by_weight = combine_sections(&self.weight, gravity);
        let mut worst: Option<SafetyResult> = None;
        let mut consider = |sections: &[Vector6<f64>], load: Option<usize>| {
            for (index, resultants) in sections.iter().enumerate() {
                let stress = stress_model.equivalent_stress(resultants);
                if stress > 0.0 && worst.is_none_or(|w| stress > w.stress) {
                    worst = Some(SafetyResult {
                        factor: model.yield_strength / stress,
                        stress,
                        part: StressedPart::Arc(index / STRESS_STATIONS),
                        load,
                    });
                }
            }
        };
        consider(&by_weight, None);
        for (index, case) in self.cases.iter().enumerate() {
            let mut sections = case.sections(back);
            for (sum, own) in sections.iter_mut().zip(&by_weight) {
                *sum += own;
            }
            consider(&sections, Some(index));
        }
        worst
    }

    /// Force over tip radius against the stiffness along the force.
    fn geometric_ratio(&self, model: &Model, loads: &[LoadCase]) -> f64 {
        let radius = model.structure.tip_radius();
        let block = self.compliance.fixed_view::<3, 3>(0, 0).into_owned();
        let ratio = |force: &Vector3<f64>| {
            let size = force.norm();
            if size == 0.0 {
                return 0.0;
            }
            let direction = force / size;
            size / radius * direction.dot(&(block * direction))
        };
        let local = |world: &Vector3<f64>| self.frame.rotation().transpose() * world;
        let mut greatest = ratio(&local(&(model.gravity_in_base * model.tool_mass)));
        for case in loads {
            let force = match case.force {
                LoadVector::Local(force) => force,
                LoadVector::World(force) => local(&(model.base_from_world * force)),
            };
            greatest = greatest.max(ratio(&force));
        }
        greatest
    }
}

impl CaseResponse {
    fn tip(&self, back: &Rotation3<f64>) -> Vector6<f64> {
        let mut tip = self.local.tip;
        if let Some(world) = &self.world {
            tip += combine(&world.by_force, &(back * world.force))
                + combine(&world.by_moment, &(back * world.moment));
        }
        tip
    }

    fn joints(&self, back: &Rotation3<f64>) -> Vec<Vector6<f64>> {
        let mut forces = self.local.joints.clone();
        if let Some(world) = &self.world {
            let by_force = combine_joints(&world.by_force, &(back * world.force));
            let by_moment = combine_joints(&world.by_moment, &(back * world.moment));
            for (sum, (f, m)) in forces.iter_mut().zip(by_force.iter().zip(&by_moment)) {
                *sum += f + m;
            }
        }
        forces
    }

    fn sections(&self, back: &Rotation3<f64>) -> Vec<Vector6<f64>> {
        let mut sections = self.local.sections.clone();
        if let Some(world) = &self.world {
            let by_force = combine_sections(&world.by_force, &(back * world.force));
            let by_moment = combine_sections(&world.by_moment, &(back * world.moment));
            for (sum, (f, m)) in sections.iter_mut().zip(by_force.iter().zip(&by_moment)) {
                *sum += f + m;
            }
        }
        sections
    }
}

fn combine(units: &[UnitResponse; 3], vector: &Vector3<f64>) -> Vector6<f64> {
    units[0].tip * vector.x + units[1].tip * vector.y + units[2].tip * vector.z
}

fn combine_sections(units: &[UnitResponse; 3], vector: &Vector3<f64>) -> Vec<Vector6<f64>> {
    weighted(units.each_ref().map(|unit| &unit.sections[..]), vector)
}

fn combine_joints(units: &[UnitResponse; 3], vector: &Vector3<f64>) -> Vec<Vector6<f64>> {
    weighted(units.each_ref().map(|unit| &unit.joints[..]), vector)
}

fn weighted(parts: [&[Vector6<f64>]; 3], vector: &Vector3<f64>) -> Vec<Vector6<f64>> {
    (0..parts[0].len())
        .map(|i| parts[0][i] * vector.x + parts[1][i] * vector.y + parts[2][i] * vector.z)
        .collect()
}

fn linear(force: &Vector3<f64>) -> Vector6<f64> {
    Vector6::new(force.x, force.y, force.z, 0.0, 0.0, 0.0)
}

fn angular(moment: &Vector3<f64>) -> Vector6<f64> {
    Vector6::new(0.0, 0.0, 0.0, moment.x, moment.y, moment.z)
}

fn unit_vectors<E>(
    mut make: impl FnMut(Vector3<f64>) -> Result<UnitResponse, E>,
) -> Result<[UnitResponse; 3], E> {
    Ok([
        make(Vector3::x())?,
        make(Vector3::y())?,
        make(Vector3::z())?,
    ])
}

fn respond(
    model: &Model,
    solved: &SolvedStructure<'_>,
    loads: &LoadSet,
) -> Result<UnitResponse, ElasticityError> {
    let response = solved.respond(loads)?;
    Ok(UnitResponse {
        tip: response.tip,
        sections: if model.stress.is_some() {
            section_resultants(model, &response)
        } else {
            Vec::new()
        },
        joints: response.joint_forces,
    })
}

/// Section resultants at equally spaced stations of every arc's flexible part.
fn section_resultants(model: &Model, response: &Response) -> Vec<Vector6<f64>> {
    let mut sections = Vec::with_capacity(response.arc_end_forces.len() * STRESS_STATIONS);
    for (index, end_force) in response.arc_end_forces.iter().enumerate() {
        let element = model.structure.arc_element(index);
        for station in 0..STRESS_STATIONS {
            let along = station as f64 / (STRESS_STATIONS - 1) as f64;
            let at = element.zones[0] + element.free_angle() * along;
            let mut resultants =
                element.section_forces(at, end_force, &response.arc_accelerations[index]);
            for (_, load) in response.arc_loads.iter().filter(|(arc, _)| *arc == index) {
                resultants += load.section_forces(element.radius, at);
            }
            sections.push(resultants);
        }
    }
    sections
}

fn case_response(
    model: &Model,
    solved: &SolvedStructure<'_>,
    pose: &Pose,
    case: &LoadCase,
) -> Result<CaseResponse, ElasticityError> {
    let place = |wrench: Vector6<f64>| -> Result<LoadSet, ElasticityError> {
        let mut loads = LoadSet::default();
        match &case.on {
            LoadPlace::Tip => loads.on_tool.push((wrench, solved.tip())),
            LoadPlace::Grip => loads
                .on_tool
                .push((wrench, pose.frame.radial * model.grip_radius)),
            LoadPlace::Bar { name, fraction } => {
                let body = model.bar_named(name)?;
                loads.on_bars.push((body, *fraction, wrench));
            }
        }
        Ok(loads)
    };
    let turn = pose.frame.rotation();
    let mut local = Vector6::zeros();
    let mut world = None;
    let (mut force_in_base, mut moment_in_base) = (Vector3::zeros(), Vector3::zeros());
    match case.force {
        LoadVector::Local(force) => local += linear(&(turn * force)),
        LoadVector::World(force) => force_in_base = model.base_from_world * force,
    }
    match case.moment {
        LoadVector::Local(moment) => local += angular(&(turn * moment)),
        LoadVector::World(moment) => moment_in_base = model.base_from_world * moment,
    }
    if force_in_base.norm() + moment_in_base.norm() > 0.0 {
        world = Some(WorldPart {
            by_force: unit_vectors(|axis| respond(model, solved, &place(linear(&axis))?))?,
            by_moment: unit_vectors(|axis| respond(model, solved, &place(angular(&axis))?))?,
            force: force_in_base,
            moment: moment_in_base,
        });
    }
    Ok(CaseResponse {
        local: respond(model, solved, &place(local)?)?,
        world,
    })
}

/// The pose with the tool at an azimuth, for a second mechanism angle.
///
/// # Errors
/// [`ElasticityError::Singular`] where the bars do not close.
pub fn pose_at(model: &Model, second: f64, azimuth: f64) -> Result<Pose, ElasticityError> {
    let state = model.kinematics.meridian.state(second);
    let direction = crate::sphere::Direction {
        polar: state.polar_angle(),
        azimuth,
    };
    let first = model.kinematics.first_angle_for(direction, second);
    model
        .kinematics
        .forward_from_mechanism([first, second])
        .map_err(|_| ElasticityError::Singular)
}
