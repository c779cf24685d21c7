//! What a gauge must see: the elastic model at every weight, with play and friction.

use std::sync::Arc;

use nalgebra::{Vector3, Vector6};

use super::error::WeightError;
use super::parameter::{WeightParameter, applied};
use crate::brief::LoadPlace;
use crate::design::Design;
use crate::elasticity::{ElasticityError, EnergyShares, LoadSet, Structure};
use crate::kinematics::{Margins, Pose};
use crate::measurement::data::{Course, Displacement, WeightRow, Weights};
use crate::statics::STANDARD_GRAVITY;
use crate::subject::{Model, Subject};
use crate::uncertain::Corner;

/// A place and direction of pull at exact readings.
#[derive(Debug, Clone)]
struct Setup {
    pose: usize,
    place: LoadPlace,
    /// World, unit.
    pull: Vector3<f64>,
}

/// One component of one row's displacement.
#[derive(Debug, Clone)]
pub(super) struct Component {
    /// Position in the list of rows.
    pub(super) slot: usize,
    setup: usize,
    /// The gauge's axis, world.
    axis: Vector3<f64>,
    /// m.
    pub(super) measured: f64,
    /// N.
    pub(super) force: f64,
    /// Displacement seen for one metre of play, and of friction loop.
    law: [f64; 2],
}

/// The rows of weights that the design can take, with its elastic model.
#[derive(Debug, Clone)]
pub(super) struct Forward<'d> {
    pub(super) parameters: Vec<WeightParameter>,
    pub(super) rows: Vec<&'d WeightRow>,
    pub(super) components: Vec<Component>,
    /// Numbers of the rows whose readings the design cannot take.
    pub(super) unreachable: Vec<usize>,
    given: Design,
    nominal: Design,
    model: Arc<Model>,
    poses: Vec<Pose>,
    setups: Vec<Setup>,
    setup_of: Vec<usize>,
}

/// How one setup answers one newton along its pull.
#[derive(Debug, Clone, Copy)]
pub(super) struct Answer {
    /// Displacement of the tip, world, m/N.
    pub(super) moved: Vector3<f64>,
    /// Where the energy sits; `None` for a load on a bar.
    pub(super) shares: Option<EnergyShares>,
}

impl<'d> Forward<'d> {
    pub(super) fn new(design: &Design, weights: &'d Weights) -> Result<Self, WeightError> {
        let nominal = design.at_corner(Corner::Nominal);
        let mut forward = Self {
            parameters: WeightParameter::of(&nominal),
            rows: Vec::new(),
            components: Vec::new(),
            unreachable: Vec::new(),
            given: design.clone(),
            model: Arc::clone(Subject::alone(&nominal, Margins::default())?.model()?),
            nominal,
            poses: Vec::new(),
            setups: Vec::new(),
            setup_of: Vec::new(),
        };
        for row in &weights.rows {
            checked(row)?;
            if let LoadPlace::Bar { name, .. } = &row.place {
                forward
                    .model
                    .bar_named(name)
                    .map_err(|source| WeightError::Place {
                        row: row.row,
                        source,
                    })?;
            }
            forward.add(row);
        }
        Ok(forward)
    }

    fn add(&mut self, row: &'d WeightRow) {
        let Some(setup) = self.setup_for(row) else {
            self.unreachable.push(row.row);
            return;
        };
        let slot = self.rows.len();
        let force = row.mass * STANDARD_GRAVITY;
        let loaded = f64::from(u8::from(force > 0.0));
        let law = match row.course {
            Course::Loading => [0.5 * loaded, -0.5 * loaded],
            Course::Unloading => [0.5 * loaded, 0.5],
        };
        let mut see = |axis: Vector3<f64>, measured: f64| {
            self.components.push(Component {
                slot,
                setup,
                axis,
                measured,
                force,
                law: law.map(|share| share * axis.dot(&row.pull)),
            });
        };
        match row.displacement {
            Displacement::Along { axis, value } => see(axis, value),
            Displacement::Vector(vector) => {
                for (k, axis) in [Vector3::x(), Vector3::y(), Vector3::z()]
                    .into_iter()
                    .enumerate()
                {
                    see(axis, vector[k]);
                }
            }
        }
        self.rows.push(row);
        self.setup_of.push(setup);
    }

    /// The setup of a row; `None` where the design has no such configuration.
    fn setup_for(&mut self, row: &WeightRow) -> Option<usize> {
        let same_place = |setup: &Setup| setup.place == row.place && setup.pull == row.pull;
        let pose = match self.poses.iter().position(|p| p.active == row.readings) {
            Some(pose) => pose,
            None => {
                let pose = self.model.kinematics.forward(row.readings).ok()?;
                self.model
                    .structure
                    .solve(&pose.configuration, &pose.frame)
                    .ok()?;
                self.poses.push(pose);
                self.poses.len() - 1
            }
        };
        let known = self
            .setups
            .iter()
            .position(|setup| setup.pose == pose && same_place(setup));
        Some(known.unwrap_or_else(|| {
            self.setups.push(Setup {
                pose,
                place: row.place.clone(),
                pull: row.pull,
            });
            self.setups.len() - 1
        }))
    }

    /// Answers of all setups with the unknowns at these coordinates.
    pub(super) fn answers(&self, coordinates: &[f64]) -> Result<Vec<Answer>, ElasticityError> {
        self.answers_of(&applied(&self.nominal, &self.parameters, coordinates))
    }

    /// Answers with all numbers of the design at one end of their bands.
    pub(super) fn answers_at(&self, corner: Corner) -> Result<Vec<Answer>, ElasticityError> {
        self.answers_of(&self.given.at_corner(corner))
    }

    /// The answer that belongs to a row.
    pub(super) fn of_row(&self, answers: &[Answer], slot: usize) -> Answer {
        answers[self.setup_of[slot]]
    }

    fn answers_of(&self, design: &Design) -> Result<Vec<Answer>, ElasticityError> {
        let model = &self.model;
        let structure = Structure::of_built(design, &model.kinematics.linkage, &model.built)?;
        let solved = self
            .poses
            .iter()
            .map(|pose| structure.solve(&pose.configuration, &pose.frame))
            .collect::<Result<Vec<_>, _>>()?;
        let tool = &design.tool;
        self.setups
            .iter()
            .map(|setup| {
                let (pose, solved) = (&self.poses[setup.pose], &solved[setup.pose]);
                let pull = model.base_from_world * setup.pull;
                let wrench = Vector6::new(pull.x, pull.y, pull.z, 0.0, 0.0, 0.0);
                let mut loads = LoadSet::default();
                match &setup.place {
                    LoadPlace::Tip => loads.on_tool.push((wrench, solved.tip())),
                    LoadPlace::Grip => {
                        let radius = tool.grip_radius.unwrap_or(tool.tip_radius);
                        loads.on_tool.push((wrench, pose.frame.radial * radius));
                    }
                    LoadPlace::Bar { name, fraction } => {
                        let body = model.bar_named(name)?;
                        loads.on_bars.push((body, *fraction, wrench));
                    }
                }
                let response = solved.respond(&loads)?;
                let tip = response.tip.fixed_rows::<3>(0).into_owned();
                Ok(Answer {
                    moved: model.base_from_world.transpose() * (pose.frame.rotation() * tip),
                    shares: response.energy_shares(),
                })
            })
            .collect()
    }

    /// What every component must be, m.
    pub(super) fn predicted(&self, answers: &[Answer], coordinates: &[f64]) -> Vec<f64> {
        let at = |parameter| self.coordinate(coordinates, parameter);
        let (play, friction) = (at(WeightParameter::Play), at(WeightParameter::Friction));
        self.components
            .iter()
            .map(|seen| {
                seen.force * seen.axis.dot(&answers[seen.setup].moved)
                    + play * seen.law[0]
                    + friction * seen.law[1]
            })
            .collect()
    }

    fn coordinate(&self, coordinates: &[f64], parameter: WeightParameter) -> f64 {
        self.parameters
            .iter()
            .zip(coordinates)
            .find(|(own, _)| **own == parameter)
            .map_or(0.0, |(_, coordinate)| *coordinate)
    }

    /// Derivatives of every component by one coordinate, for an error of typical size, m.
    pub(super) fn derivative(
        &self,
        coordinates: &[f64],
        index: usize,
    ) -> Result<Vec<f64>, ElasticityError> {
        let parameter = self.parameters[index];
        let typical = parameter.typical();
        if !parameter.is_elastic() {
            let which = usize::from(parameter == WeightParameter::Friction);
            return Ok(self
                .components
                .iter()
                .map(|seen| seen.law[which] * typical)
                .collect());
        }
        // The answer is linear in a base's compliance, where a long step costs nothing.
        let step = match parameter {
            WeightParameter::BaseTilt => 0.5 * typical,
            _ => STEP,
        };
        let moved = |by: f64| {
            let mut there = coordinates.to_vec();
            there[index] += by;
            self.answers(&there)
        };
        let (ahead, behind) = (moved(step)?, moved(-step)?);
        Ok(self
            .components
            .iter()
            .map(|seen| {
                let change = ahead[seen.setup].moved - behind[seen.setup].moved;
                seen.force * seen.axis.dot(&change) * (typical / (2.0 * step))
            })
            .collect())
    }
}

/// Step of differences in a logarithm: error and rounding both about 1e-8.
const STEP: f64 = 1e-4;

fn checked(row: &WeightRow) -> Result<(), WeightError> {
    let finite = |vector: &Vector3<f64>| vector.iter().all(|c| c.is_finite());
    let unit = |vector: &Vector3<f64>| (vector.norm() - 1.0).abs() < 1e-6;
    let what = if !(row.mass.is_finite() && row.mass >= 0.0) {
        "the mass is no finite number of kilograms from 0 up"
    } else if !row.readings.iter().all(|reading| reading.is_finite()) {
        "a reading is no finite number"
    } else if !unit(&row.pull) {
        "the direction of the pull is no unit vector"
    } else {
        match &row.displacement {
            Displacement::Along { axis, .. } if !unit(axis) => "the gauge's axis is no unit vector",
            Displacement::Along { value, .. } if value.is_finite() => return Ok(()),
            Displacement::Vector(vector) if finite(vector) => return Ok(()),
            _ => "the displacement is no finite number",
        }
    };
    Err(WeightError::NotUsable { row: row.row, what })
}
