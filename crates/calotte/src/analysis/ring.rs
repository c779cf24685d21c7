//! All directions at one polar angle.
//!
//! Turning the first mechanism angle turns the whole linkage about the base
//! axis, so one factorisation serves the whole ring: the compliance in the
//! local frame is the same all around, and weight enters by its three
//! components, turned back by the azimuth. A support that is not the same all
//! around is solved azimuth by azimuth.

use nalgebra::{Matrix6, Rotation3, Vector3, Vector6};

use crate::brief::{LoadCase, LoadVector};
use crate::elasticity::{CAUSES, ElasticityError, FewDigits, LineMotion, LoadSet, SolvedStructure};
use crate::kinematics::Pose;
use crate::number::worst_direction::greatest_norm;
use crate::sphere::AzimuthSet;
use crate::sphere::direction::{rotation_about, wrap_positive};
use crate::subject::Model;

use super::case_response::{
    CaseResponse, Place, STRESS_STATIONS, UnitResponse, at_section, combine, combine_joints,
    combine_sections, combine_torques, linear, unit_vectors,
};
use super::climb::climb;
use super::extremes::{AllAround, Resultants, TURNS};
use super::joint_loads::{JointForces, bearing_safety, least_safety, pin_safety, widen};
use super::point::StiffnessScalars;

pub use super::case_response::CaseResult;
pub use super::joint_loads::JointLoad;
pub use super::ring_grid::{Covered, RingPlace, ring_grid};
pub use super::safety::{SafetyResult, StressedPart};

/// Values at one direction of a ring.
#[derive(Debug, Clone, PartialEq)]
pub struct PointResult {
    /// Azimuth about the base axis, rad.
    pub azimuth: f64,
    /// Displacement of the tip by own weight, m, local frame.
    pub sag: Vector3<f64>,
    /// Where the tool's line goes by own weight.
    pub sag_line: LineMotion,
    /// By each load case.
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
    /// Greatest load on each joint over the azimuths of its [`Envelope`], weight and any one
    /// load case.
    pub joint_loads: Vec<JointLoad>,
    /// Arcs of azimuth over which extremes were looked for.
    pub arcs: AzimuthSet,
    /// Values at each azimuth asked for.
    pub points: Vec<PointResult>,
    /// Values at the azimuths of the required arcs where one of them is worst; empty where
    /// single azimuths alone are asked for.
    pub extremes: Vec<PointResult>,
    /// Greatest ratio of force over tip radius to the stiffness along the force,
    /// over load cases and weight: above 0.05 the linear model is in doubt.
    pub geometric_ratio: f64,
    /// How many digits of all this are sure, where they are not enough.
    pub few_digits: Option<FewDigits>,
}

impl RingResult {
    /// Every direction looked at: those asked for and those where something is worst.
    pub fn directions(&self) -> impl Iterator<Item = &PointResult> {
        self.points.iter().chain(&self.extremes)
    }

    /// Where it was looked at, for another design that moves alike.
    pub fn place(&self) -> RingPlace {
        RingPlace {
            second: self.second,
            azimuths: self.points.iter().map(|point| point.azimuth).collect(),
            arcs: self.arcs.clone(),
        }
    }

    /// Whether anything was looked at.
    pub fn has_directions(&self) -> bool {
        !self.points.is_empty() || !self.extremes.is_empty()
    }
}

/// Whether the worst azimuths follow from equations alone, so that none need be sampled: the
/// support is the same all around, and no load has any direction.
pub fn needs_no_samples(model: &Model, loads: &[LoadCase]) -> bool {
    model.same_all_around && !loads.iter().any(LoadCase::is_of_any_direction)
}

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
    let place = RingPlace {
        second,
        azimuths: azimuths.to_vec(),
        arcs: AzimuthSet::empty(),
    };
    solve_ring_over(model, &place, loads, Envelope::OfSamples)
}

/// Over which azimuths of a ring the loads on joints are looked at.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Envelope {
    /// Those asked for; no loads are wanted, or no arcs.
    OfSamples,
    /// All of the arcs.
    OfArcs,
}

/// Solves a ring at the azimuths of a place, and where on its arcs something is worst.
///
/// # Errors
/// As [`solve_ring`].
pub fn solve_ring_over(
    model: &Model,
    place: &RingPlace,
    loads: &[LoadCase],
    envelope: Envelope,
) -> Result<RingResult, ElasticityError> {
    let RingPlace {
        second,
        azimuths,
        arcs: required,
    } = place;
    let second = *second;
    let first = required.intervals().first().map(|[from, _]| *from);
    let reference = azimuths.first().copied().or(first).unwrap_or(0.0);
    let basis = Basis::at(model, second, reference, loads)?;
    let mut points = Vec::with_capacity(azimuths.len());
    let mut extremes = Vec::new();
    let mut joint_loads = vec![JointLoad::default(); model.kinematics.linkage.joints.len()];
    if basis.is_alike_all_around(model) {
        // One direction stands for the ring.
        let forces = basis.joint_forces(model, reference);
        let point = basis.point(model, reference, &forces);
        widen(model, &forces, &mut joint_loads);
        let at = |azimuth: f64| PointResult {
            azimuth,
            ..point.clone()
        };
        points.extend(azimuths.iter().map(|azimuth| at(*azimuth)));
        if points.is_empty() && !required.is_empty() {
            extremes.push(at(wrap_positive(reference)));
        }
    } else {
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
        if model.same_all_around && !required.is_empty() {
            let from_here = |angle: f64| angle - reference;
            let arcs = required.merged();
            let arcs: Vec<[f64; 2]> = arcs.iter().map(|arc| arc.map(from_here)).collect();
            let at = TURNS.map(|turn| basis.resultants(model, reference + turn));
            let around = AllAround::new(model, at, &arcs);
            if envelope == Envelope::OfArcs {
                around.widen(&mut joint_loads);
            }
            extremes.extend(around.worst().into_iter().map(|angle| {
                let azimuth = wrap_positive(reference + angle);
                basis.point(model, azimuth, &basis.joint_forces(model, azimuth))
            }));
        }
        if !needs_no_samples(model, loads) && !required.is_empty() {
            let samples: Vec<(f64, Vec<f64>)> = points
                .iter()
                .map(|point| (point.azimuth, badness(point)))
                .collect();
            climb(&samples, &required.merged(), |azimuth| {
                let own;
                let here = if model.same_all_around {
                    &basis
                } else {
                    own = Basis::at(model, second, azimuth, loads)?;
                    &own
                };
                let forces = here.joint_forces(model, azimuth);
                widen(model, &forces, &mut joint_loads);
                let point = here.point(model, azimuth, &forces);
                let values = badness(&point);
                extremes.push(point);
                Ok::<_, ElasticityError>(values)
            })?;
        }
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
        arcs: required.clone(),
        points,
        extremes,
        geometric_ratio,
        few_digits: basis.few_digits,
    })
}

/// How bad a direction is by every quantity, greater is worse.
fn badness(point: &PointResult) -> Vec<f64> {
    let StiffnessScalars { least, .. } = point.stiffness;
    let mut values = vec![1.0 / least, point.sag.norm()];
    values.extend([point.sag_line.centre_shift(), point.sag_line.tilt()]);
    for case in &point.cases {
        values.extend([case.deflection, case.centre_shift, case.tilt]);
        values.extend(case.torque);
    }
    values.extend(point.torque.map(f64::abs));
    values.push(point.safety.map_or(0.0, |safety| 1.0 / safety.factor));
    values.push(point.bearing_safety.map_or(0.0, |(safety, _)| 1.0 / safety));
    values
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
        few_digits: basis.few_digits,
        compliance: basis.compliance,
        stiffness: basis.stiffness,
        energy_shares: basis.energy_shares,
        joint_loads,
        arcs: AzimuthSet::empty(),
        points,
        extremes: Vec::new(),
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
    /// Displacement of the tip under weight that has stayed for long, likewise; `None` where
    /// nothing creeps.
    sustained: Option<[UnitResponse; 3]>,
    /// Per load case.
    cases: Vec<CaseResponse>,
    frame: crate::sphere::LocalFrame,
    few_digits: Option<FewDigits>,
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
        let torque = model
            .holding
            .torque_map(&model.kinematics.linkage, &pose.configuration)
            .map_err(|_| ElasticityError::Singular)?;
        let by_weight = |solved: &SolvedStructure<'_>| {
            unit_vectors(|axis| {
                let force = axis * model.tool_mass;
                let loads = LoadSet {
                    on_tool: vec![(linear(&force), tool_point)],
                    bar_acceleration: axis,
                    ..LoadSet::default()
                };
                let torque = torque * axis;
                UnitResponse::of(model, solved, &loads, torque)
            })
        };
        let weight = by_weight(&solved)?;
        let sustained = match &model.sustained {
            Some(structure) => {
                let solved = structure.solve(&pose.configuration, &pose.frame)?;
                Some(by_weight(&solved)?)
            }
            None => None,
        };
        let cases = if loads.is_empty() {
            Vec::new()
        } else {
            let at = Place::new(model, &solved, pose)?;
            let cases = loads.iter().map(|case| CaseResponse::of(&at, case));
            cases.collect::<Result<_, _>>()?
        };
        Ok(Self {
            azimuth,
            compliance,
            stiffness,
            energy_shares: shares,
            weight,
            sustained,
            cases,
            frame: pose.frame,
            few_digits: solved.few_digits(),
        })
    }

    /// Whether every azimuth of the ring has the same values: gravity lies along the base axis,
    /// and nothing acts in a fixed direction of the world.
    fn is_alike_all_around(&self, model: &Model) -> bool {
        let gravity = model.gravity_in_base;
        model.same_all_around
            && gravity.x == 0.0
            && gravity.y == 0.0
            && self.cases.iter().all(|case| !case.is_of_world())
    }

    fn point(&self, model: &Model, azimuth: f64, forces: &[JointForces]) -> PointResult {
        // Turning the linkage forward is turning the world back.
        let back = rotation_about(&Vector3::z(), self.azimuth - azimuth);
        let gravity = back * model.gravity_in_base;
        let tip_radius = model.structure.tip_radius();
        let sag = combine(self.sustained.as_ref().unwrap_or(&self.weight), &gravity);
        let torque = combine_torques(&self.weight, &gravity);
        let cases = self
            .cases
            .iter()
            .map(|case| case.result(&back, tip_radius, &torque))
            .collect();
        PointResult {
            azimuth,
            sag: sag.fixed_rows::<3>(0).into_owned(),
            sag_line: LineMotion::of(&sag, tip_radius),
            cases,
            torque: torque.into(),
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
                free: case.free_joints(),
            }
        });
        let mut all: Vec<JointForces> = with_cases.collect();
        all.insert(
            0,
            JointForces {
                load: None,
                of_joint: by_weight,
                free: None,
            },
        );
        all
    }

    /// What turns with the azimuth, of all loads but those of any direction.
    fn resultants(&self, model: &Model, azimuth: f64) -> Resultants {
        let back = rotation_about(&Vector3::z(), self.azimuth - azimuth);
        let gravity = back * model.gravity_in_base;
        let by_weight = combine_torques(&self.weight, &gravity);
        let mut found = Resultants {
            tips: vec![combine(&self.weight, &gravity)],
            torques: vec![by_weight],
            sections: vec![combine_sections(&self.weight, &gravity)],
            joints: Vec::new(),
        };
        for case in self.cases.iter().filter(|case| case.free_part().is_none()) {
            found.tips.push(case.tip(&back));
            found.torques.push(case.torque(&back) + by_weight);
            let mut sections = case.sections(&back);
            for (sum, own) in sections.iter_mut().zip(&found.sections[0]) {
                *sum += own;
            }
            found.sections.push(sections);
        }
        let joints = self.joint_forces(model, azimuth).into_iter();
        found.joints = joints
            .filter(|forces| forces.free.is_none())
            .map(|forces| forces.of_joint)
            .collect();
        found
    }

    /// Least safety of a bar over weight alone and weight with each load case.
    fn bar_safety(
        &self,
        model: &Model,
        gravity: &Vector3<f64>,
        back: &Rotation3<f64>,
    ) -> Option<SafetyResult> {
        let stress_models = model.stress.as_ref()?;
        let by_weight = combine_sections(&self.weight, gravity);
        let mut worst: Option<SafetyResult> = None;
        let result = |stress: f64, index: usize, load: Option<usize>| SafetyResult {
            factor: model.yield_strength / stress,
            stress,
            part: StressedPart::Arc(index / STRESS_STATIONS),
            load,
        };
        let mut consider = |sections: &[Vector6<f64>], load: Option<usize>| {
            let above = |worst: &Option<SafetyResult>| worst.map_or(0.0, |worst| worst.stress);
            if let Some(free) = load.and_then(|load| self.cases[load].free_part()) {
                let found = free.greatest_stress(stress_models, sections, above(&worst));
                worst = found
                    .map(|(stress, index)| result(stress, index, load))
                    .or(worst);
                return;
            }
            for (index, resultants) in sections.iter().enumerate() {
                let stress = at_section(stress_models, index).equivalent_stress(resultants);
                if stress > above(&worst) {
                    worst = Some(result(stress, index, load));
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
        for load in loads.iter().flat_map(|case| &case.loads) {
            let of_load = match load.force {
                LoadVector::Local(force) => ratio(&force),
                LoadVector::World(force) => ratio(&local(&(model.base_from_world * force))),
                LoadVector::Any(sought) => {
                    let softest = greatest_norm(&block, &Vector3::zeros(), sought);
                    ratio(&(softest.vector.normalize() * sought.size))
                }
            };
            greatest = greatest.max(of_load);
        }
        greatest
    }
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
