//! What load cases do at one configuration, by unit loads, so that any azimuth of a ring
//! follows: a load that turns with the tool is the same all around, one that is fixed in the
//! world is turned back by the azimuth, and one of any direction is sought at its worst.

use std::cell::OnceCell;

use nalgebra::{Rotation3, SMatrix, Vector2, Vector3, Vector6};

use crate::brief::{Load, LoadCase, LoadPlace, LoadVector};
use crate::elasticity::stress::{StressModel, StressModels};
use crate::elasticity::tool_line::{shift_map, turn_map};
use crate::elasticity::{ElasticityError, LoadSet, Response, SolvedStructure};
use crate::kinematics::Pose;
use crate::kinematics::jacobian::body_rates;
use crate::number::worst_direction::{Directions, Sought, greatest_norm, greatest_sum};
use crate::subject::Model;

use super::joint_loads::FreeJoints;

/// What a bound on a stress leaves to rounding and to the polygon of round sections.
const ROUNDING: f64 = 2e-3;
/// Points along every arc at which stress is taken.
pub(super) const STRESS_STATIONS: usize = 5;

/// The stress model of a section, counted through all stations of all arcs.
pub(super) fn at_section(models: &StressModels, section: usize) -> &StressModel {
    models.of_arc(section / STRESS_STATIONS)
}

/// What one load case does at one direction.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct CaseResult {
    /// Norm of the tip's displacement, without own weight, m.
    pub deflection: f64,
    /// Distance by which the tool's line misses the remote centre, without own weight, m.
    pub centre_shift: f64,
    /// Angle by which the tool's line tilts, without own weight, rad.
    pub tilt: f64,
    /// Size of the torque each drive gives against the load and own weight together, N·m.
    pub torque: [f64; 2],
}

/// A configuration that loads are put on.
pub(super) struct Place<'a> {
    model: &'a Model,
    solved: &'a SolvedStructure<'a>,
    pose: &'a Pose,
    /// Angular velocity of every body per unit rate of each active joint.
    rates: Vec<[Vector3<f64>; 2]>,
}

impl<'a> Place<'a> {
    /// # Errors
    /// [`ElasticityError::Singular`] at a type 2 singularity.
    pub(super) fn new(
        model: &'a Model,
        solved: &'a SolvedStructure<'a>,
        pose: &'a Pose,
    ) -> Result<Self, ElasticityError> {
        let rates = body_rates(&model.kinematics.linkage, &pose.configuration)
            .map_err(|_| ElasticityError::Singular)?;
        Ok(Self {
            model,
            solved,
            pose,
            rates,
        })
    }

    /// Adds a force and moment [F; M], base frame, where a load acts.
    fn put(
        &self,
        loads: &mut LoadSet,
        on: &LoadPlace,
        wrench: Vector6<f64>,
    ) -> Result<(), ElasticityError> {
        match on {
            LoadPlace::Tip => loads.on_tool.push((wrench, self.solved.tip())),
            LoadPlace::Grip => {
                let grip = self.pose.frame.radial * self.model.grip_radius;
                loads.on_tool.push((wrench, grip));
            }
            LoadPlace::Bar { name, fraction } => {
                let body = self.model.bar_named(name)?;
                loads.on_bars.push((body, *fraction, wrench));
            }
        }
        Ok(())
    }

    fn respond(&self, loads: &LoadSet) -> Result<UnitResponse, ElasticityError> {
        let tool = self.model.kinematics.linkage.tool.body;
        let mut torque = Vector2::zeros();
        let mut add = |body: usize, wrench: &Vector6<f64>, point: &Vector3<f64>| {
            let force: Vector3<f64> = wrench.fixed_rows::<3>(0).into_owned();
            let moment: Vector3<f64> = wrench.fixed_rows::<3>(3).into_owned();
            for (active, rate) in self.rates[body].iter().enumerate() {
                // Virtual work: what the drive gives balances what the load gives.
                torque[active] -= rate.dot(&(point.cross(&force) + moment));
            }
        };
        for (wrench, point) in &loads.on_tool {
            add(tool, wrench, point);
        }
        for (body, fraction, wrench) in &loads.on_bars {
            add(*body, wrench, &self.solved.point_on_bar(*body, *fraction)?);
        }
        UnitResponse::of(self.model, self.solved, loads, torque)
    }

    /// Responses to unit forces or moments along three directions, where a load acts.
    fn units(
        &self,
        on: &LoadPlace,
        wrench: impl Fn(&Vector3<f64>) -> Vector6<f64>,
    ) -> Result<[UnitResponse; 3], ElasticityError> {
        unit_vectors(|axis| {
            let mut loads = LoadSet::default();
            self.put(&mut loads, on, wrench(&axis))?;
            self.respond(&loads)
        })
    }
}

/// Motion of the tip, section resultants, joint forces and drive torques by one load.
pub(super) struct UnitResponse {
    tip: Vector6<f64>,
    sections: Vec<Vector6<f64>>,
    joints: Vec<Vector6<f64>>,
    /// Torque each drive gives against it, N·m.
    torque: Vector2<f64>,
}

impl UnitResponse {
    pub(super) fn of(
        model: &Model,
        solved: &SolvedStructure<'_>,
        loads: &LoadSet,
        torque: Vector2<f64>,
    ) -> Result<Self, ElasticityError> {
        let response = solved.respond(loads)?;
        Ok(Self {
            tip: response.tip,
            sections: if model.stress.is_some() {
                section_resultants(model, &response)
            } else {
                Vec::new()
            },
            joints: response.joint_forces,
            torque,
        })
    }
}

/// Makes a force or a moment a six-vector [F; M].
type SixOf = fn(&Vector3<f64>) -> Vector6<f64>;

/// A load case by its parts.
pub(super) struct CaseResponse {
    /// What turns with the tool.
    local: UnitResponse,
    /// What is fixed in the world, load by load.
    world: Vec<WorldPart>,
    /// What has any direction.
    free: Option<FreePart>,
}

/// A load fixed in the world: responses per unit force and moment along base
/// x, y, z, and its force and moment, base frame.
struct WorldPart {
    by_force: [UnitResponse; 3],
    by_moment: [UnitResponse; 3],
    force: Vector3<f64>,
    moment: Vector3<f64>,
}

/// A force or moment of any direction: responses per unit along polar, azimuth, radial.
pub(super) struct FreePart {
    by_unit: [UnitResponse; 3],
    /// Its size, and the directions it may have.
    pub(super) sought: Sought,
    /// The most it adds to the equivalent stress of each section, Pa.
    stress: Vec<f64>,
    /// Deflection, centre shift and tilt where nothing else depends on the azimuth.
    all_around: OnceCell<[f64; 3]>,
}

impl CaseResponse {
    /// # Errors
    /// [`ElasticityError::UnknownBar`] for a load on no bar,
    /// [`ElasticityError::TwoAnyDirections`] for two vectors of any direction.
    pub(super) fn of(at: &Place<'_>, case: &LoadCase) -> Result<Self, ElasticityError> {
        let turn = at.pose.frame.rotation();
        let mut turning = LoadSet::default();
        let (mut world, mut free) = (Vec::new(), None);
        for load in &case.loads {
            let Load {
                on, force, moment, ..
            } = load;
            let mut local = Vector6::zeros();
            let (mut force_in_base, mut moment_in_base) = (Vector3::zeros(), Vector3::zeros());
            match force {
                LoadVector::Local(force) => local += linear(&(turn * force)),
                LoadVector::World(force) => force_in_base = at.model.base_from_world * force,
                LoadVector::Any(_) => {}
            }
            match moment {
                LoadVector::Local(moment) => local += angular(&(turn * moment)),
                LoadVector::World(moment) => moment_in_base = at.model.base_from_world * moment,
                LoadVector::Any(_) => {}
            }
            at.put(&mut turning, on, local)?;
            if force_in_base.norm() + moment_in_base.norm() > 0.0 {
                world.push(WorldPart {
                    by_force: at.units(on, linear)?,
                    by_moment: at.units(on, angular)?,
                    force: force_in_base,
                    moment: moment_in_base,
                });
            }
            for (vector, six) in [(force, linear as SixOf), (moment, angular)] {
                let LoadVector::Any(sought) = vector else {
                    continue;
                };
                let by_unit = at.units(on, |axis| six(&(turn * axis)))?;
                let part = FreePart::new(at.model, by_unit, *sought);
                if free.replace(part).is_some() {
                    return Err(ElasticityError::TwoAnyDirections {
                        case: case.name.clone(),
                    });
                }
            }
        }
        Ok(Self {
            local: at.respond(&turning)?,
            world,
            free,
        })
    }

    /// What it does where the linkage is turned forward by the inverse of `back`.
    pub(super) fn result(
        &self,
        back: &Rotation3<f64>,
        tip_radius: f64,
        by_weight: &Vector2<f64>,
    ) -> CaseResult {
        let tip = self.tip(back);
        let torque = self.torque(back) + by_weight;
        let Some(free) = &self.free else {
            let (shift, turn) = (shift_map(tip_radius), turn_map());
            return CaseResult {
                deflection: tip.fixed_rows::<3>(0).norm(),
                centre_shift: (shift * tip).norm(),
                tilt: (turn * tip).norm(),
                torque: [torque[0].abs(), torque[1].abs()],
            };
        };
        let sought = free.sought;
        let moved = || free.moved(&tip, tip_radius);
        // What nothing in the world adds to is the same all around.
        let [deflection, centre_shift, tilt] = if self.world.is_empty() {
            *free.all_around.get_or_init(moved)
        } else {
            moved()
        };
        CaseResult {
            deflection,
            centre_shift,
            tilt,
            torque: [0, 1].map(|drive| {
                let row = Vector3::from_fn(|k, _| free.by_unit[k].torque[drive]);
                greatest_sum(&row, torque[drive], sought)
            }),
        }
    }

    /// Whether anything of it keeps its direction in the world.
    pub(super) fn is_of_world(&self) -> bool {
        !self.world.is_empty()
    }

    /// Motion of the tip by all but what has any direction.
    pub(super) fn tip(&self, back: &Rotation3<f64>) -> Vector6<f64> {
        let mut tip = self.local.tip;
        for world in &self.world {
            tip += combine(&world.by_force, &(back * world.force))
                + combine(&world.by_moment, &(back * world.moment));
        }
        tip
    }

    /// Torques of the drives against all but what has any direction, without own weight.
    pub(super) fn torque(&self, back: &Rotation3<f64>) -> Vector2<f64> {
        let mut torque = self.local.torque;
        for world in &self.world {
            torque += combine_torques(&world.by_force, &(back * world.force))
                + combine_torques(&world.by_moment, &(back * world.moment));
        }
        torque
    }

    /// Joint forces by all but what has any direction.
    pub(super) fn joints(&self, back: &Rotation3<f64>) -> Vec<Vector6<f64>> {
        let mut forces = self.local.joints.clone();
        for world in &self.world {
            let by_force = combine_joints(&world.by_force, &(back * world.force));
            let by_moment = combine_joints(&world.by_moment, &(back * world.moment));
            for (sum, (f, m)) in forces.iter_mut().zip(by_force.iter().zip(&by_moment)) {
                *sum += f + m;
            }
        }
        forces
    }

    /// Section resultants by all but what has any direction.
    pub(super) fn sections(&self, back: &Rotation3<f64>) -> Vec<Vector6<f64>> {
        let mut sections = self.local.sections.clone();
        for world in &self.world {
            let by_force = combine_sections(&world.by_force, &(back * world.force));
            let by_moment = combine_sections(&world.by_moment, &(back * world.moment));
            for (sum, (f, m)) in sections.iter_mut().zip(by_force.iter().zip(&by_moment)) {
                *sum += f + m;
            }
        }
        sections
    }

    /// The part of any direction, if there is one.
    pub(super) fn free_part(&self) -> Option<&FreePart> {
        self.free.as_ref()
    }

    /// Joint forces by the part of any direction.
    pub(super) fn free_joints(&self) -> Option<FreeJoints> {
        let free = self.free.as_ref()?;
        let count = free.by_unit[0].joints.len();
        let map = |joint: usize| columns(&free.by_unit.each_ref().map(|unit| unit.joints[joint]));
        Some(FreeJoints {
            of_joint: (0..count).map(map).collect(),
            sought: free.sought,
        })
    }
}

impl FreePart {
    fn new(model: &Model, by_unit: [UnitResponse; 3], sought: Sought) -> Self {
        // An equivalent stress is a norm of the resultants: parts add up to the sum at most.
        let parts = match sought.directions {
            Directions::Tangential => &by_unit[..2],
            Directions::All | Directions::Inward => &by_unit[..],
        };
        let most = |stress: &StressModel, section: usize| {
            let squares = parts
                .iter()
                .map(|unit| stress.equivalent_stress(&unit.sections[section]).powi(2));
            sought.size * squares.sum::<f64>().sqrt()
        };
        let count = by_unit[0].sections.len();
        let stress = model.stress.as_ref().map_or(Vec::new(), |stress| {
            (0..count)
                .map(|section| most(at_section(stress, section), section))
                .collect()
        });
        Self {
            stress,
            all_around: OnceCell::new(),
            by_unit,
            sought,
        }
    }

    /// Deflection, centre shift and tilt at their worst beside a motion of the tip.
    fn moved(&self, tip: &Vector6<f64>, tip_radius: f64) -> [f64; 3] {
        let map = columns(&self.by_unit.each_ref().map(|unit| unit.tip));
        let (shift, turn) = (shift_map(tip_radius), turn_map());
        let moved = map.fixed_rows::<3>(0).into_owned();
        let start = tip.fixed_rows::<3>(0).into_owned();
        [
            greatest_norm(&moved, &start, self.sought).value,
            greatest_norm(&(shift * map), &(shift * tip), self.sought).value,
            greatest_norm(&(turn * map), &(turn * tip), self.sought).value,
        ]
    }

    /// Greatest equivalent stress over all sections with its section, beside these resultants
    /// of all else; the section that can have most comes first.
    pub(super) fn greatest_stress(
        &self,
        models: &StressModels,
        fixed: &[Vector6<f64>],
        above: f64,
    ) -> Option<(f64, usize)> {
        let mut most: Vec<(f64, usize)> = fixed
            .iter()
            .enumerate()
            .map(|(index, fixed)| {
                let own = at_section(models, index).equivalent_stress(fixed);
                (own + self.stress[index], index)
            })
            .filter(|(bound, _)| bound * (1.0 + ROUNDING) > above)
            .collect();
        most.sort_by(|a, b| b.0.total_cmp(&a.0));
        let mut greatest = None;
        let mut than = above;
        for (bound, index) in most {
            if bound * (1.0 + ROUNDING) <= than {
                break;
            }
            let map = self.section_map(index);
            let model = at_section(models, index);
            let stress = model.greatest_stress(&map, &fixed[index], self.sought, than);
            if stress > than {
                (than, greatest) = (stress, Some((stress, index)));
            }
        }
        greatest
    }

    /// Resultants of a section per unit along polar, azimuth, radial.
    fn section_map(&self, index: usize) -> SMatrix<f64, 6, 3> {
        columns(&self.by_unit.each_ref().map(|unit| unit.sections[index]))
    }
}

fn columns(parts: &[Vector6<f64>; 3]) -> SMatrix<f64, 6, 3> {
    SMatrix::from_columns(parts)
}

pub(super) fn combine(units: &[UnitResponse; 3], vector: &Vector3<f64>) -> Vector6<f64> {
    units[0].tip * vector.x + units[1].tip * vector.y + units[2].tip * vector.z
}

pub(super) fn combine_torques(units: &[UnitResponse; 3], vector: &Vector3<f64>) -> Vector2<f64> {
    units[0].torque * vector.x + units[1].torque * vector.y + units[2].torque * vector.z
}

pub(super) fn combine_sections(
    units: &[UnitResponse; 3],
    vector: &Vector3<f64>,
) -> Vec<Vector6<f64>> {
    weighted(units.each_ref().map(|unit| &unit.sections[..]), vector)
}

pub(super) fn combine_joints(
    units: &[UnitResponse; 3],
    vector: &Vector3<f64>,
) -> Vec<Vector6<f64>> {
    weighted(units.each_ref().map(|unit| &unit.joints[..]), vector)
}

fn weighted(parts: [&[Vector6<f64>]; 3], vector: &Vector3<f64>) -> Vec<Vector6<f64>> {
    (0..parts[0].len())
        .map(|i| parts[0][i] * vector.x + parts[1][i] * vector.y + parts[2][i] * vector.z)
        .collect()
}

pub(super) fn linear(force: &Vector3<f64>) -> Vector6<f64> {
    Vector6::new(force.x, force.y, force.z, 0.0, 0.0, 0.0)
}

fn angular(moment: &Vector3<f64>) -> Vector6<f64> {
    Vector6::new(0.0, 0.0, 0.0, moment.x, moment.y, moment.z)
}

pub(super) fn unit_vectors<E>(
    mut make: impl FnMut(Vector3<f64>) -> Result<UnitResponse, E>,
) -> Result<[UnitResponse; 3], E> {
    Ok([
        make(Vector3::x())?,
        make(Vector3::y())?,
        make(Vector3::z())?,
    ])
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
