//! One cell of a map: a design with some of its numbers changed, and what
//! becomes of its reach, conditioning and stiffness with rigid joints and with
//! its own.

use thiserror::Error;

use crate::design::{Design, Family};
use crate::elasticity::Section;
use crate::kinematics::Margins;
use crate::kinematics::conditioning::conditioning;
use crate::kinematics::working_range::working_range;
use crate::uncertain::Uncertain;

use super::point::StiffnessScalars;
use super::requirements::{Requirements, base_from_world};
use super::ring::{Model, RingResult, ring_grid, solve_ring};

/// A number of a design that a map can vary; angles rad, lengths m, SI.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub enum Variable {
    /// Number of stages; all take the first stage's arcs and bend.
    Stages,
    /// Every arc.
    Arc,
    /// Sum of all arcs of one branch, shared equally.
    TotalArc,
    /// Every bend between stages.
    Bend,
    /// First arc of a two-arc arm.
    FirstArc,
    /// Second arc of a two-arc arm.
    SecondArc,
    /// Radius of the bars.
    JointRadius,
    /// Radius of the tool tip.
    TipRadius,
    /// Section across the bar.
    Tangential,
    /// Section along the sphere's radius.
    Radial,
    /// Diameter of a rod, outer diameter of a tube.
    Diameter,
    /// Boss diameter.
    BossDiameter,
    /// Joint stiffness along its axis.
    JointAxial,
    /// Joint stiffness across its axis.
    JointRadial,
    /// Joint tilt stiffness.
    JointTilt,
    /// Polar angle of the tool at which elastic quantities are taken.
    Polar,
}

/// A change that a design cannot take.
#[derive(Debug, Clone, PartialEq, Error)]
pub enum MapError {
    /// The family has no such number.
    #[error("{variable} is no number of a {family}")]
    NotOfFamily {
        /// The variable's name.
        variable: &'static str,
        /// The family's name.
        family: &'static str,
    },
    /// The section has no such size.
    #[error("{0} is no size of this section's shape")]
    NotOfSection(&'static str),
    /// Joint stiffness of rigid joints.
    #[error("{0} needs joints with three stiffnesses; this design's are rigid")]
    RigidJoints(&'static str),
}

impl Variable {
    /// All of them with the names and units the command line writes.
    pub const ALL: [(Variable, &'static str); 16] = [
        (Variable::Stages, "stages"),
        (Variable::Arc, "arc_deg"),
        (Variable::TotalArc, "total_arc_deg"),
        (Variable::Bend, "bend_deg"),
        (Variable::FirstArc, "first_arc_deg"),
        (Variable::SecondArc, "second_arc_deg"),
        (Variable::JointRadius, "joint_radius_mm"),
        (Variable::TipRadius, "tip_radius_mm"),
        (Variable::Tangential, "tangential_mm"),
        (Variable::Radial, "radial_mm"),
        (Variable::Diameter, "diameter_mm"),
        (Variable::BossDiameter, "boss_diameter_mm"),
        (Variable::JointAxial, "axial_n_per_m"),
        (Variable::JointRadial, "radial_n_per_m"),
        (Variable::JointTilt, "tilt_nm_per_rad"),
        (Variable::Polar, "polar"),
    ];

    /// The name the command line writes.
    pub fn name(self) -> &'static str {
        Self::ALL
            .iter()
            .find(|(variable, _)| *variable == self)
            .map_or("", |(_, name)| name)
    }

    /// Changes a design.
    ///
    /// # Errors
    /// [`MapError`] where the design has no such number.
    pub fn apply(self, design: &mut Design, value: f64) -> Result<(), MapError> {
        let name = self.name();
        let family = design.family.name();
        let foreign = || MapError::NotOfFamily {
            variable: name,
            family,
        };
        match self {
            Variable::Polar => {}
            Variable::JointRadius => design.joint_radius = value,
            Variable::TipRadius => design.tool.tip_radius = value,
            Variable::BossDiameter => design.joints.boss_diameter = value,
            Variable::JointAxial | Variable::JointRadial | Variable::JointTilt => {
                let stiffness = design
                    .joints
                    .stiffness
                    .as_mut()
                    .ok_or(MapError::RigidJoints(name))?;
                let slot = match self {
                    Variable::JointAxial => &mut stiffness.axial,
                    Variable::JointRadial => &mut stiffness.radial,
                    _ => &mut stiffness.tilt,
                };
                *slot = Uncertain::exact(value);
            }
            Variable::Tangential | Variable::Radial | Variable::Diameter => {
                self.apply_to_section(&mut design.section, value)?;
            }
            Variable::Stages | Variable::Arc | Variable::TotalArc | Variable::Bend => {
                let Family::ScissorLinkage(scissor) = &mut design.family else {
                    return Err(foreign());
                };
                match self {
                    Variable::Stages => {
                        let stages = value.round().max(0.0) as usize;
                        let bend = scissor.bends.first().copied().unwrap_or(0.0);
                        scissor.proximal_arcs = vec![scissor.proximal_arcs[0]; stages];
                        scissor.distal_arcs = vec![scissor.distal_arcs[0]; stages];
                        scissor.assembly_modes = vec![scissor.assembly_modes[0]; stages];
                        scissor.bends = vec![bend; stages.saturating_sub(1)];
                    }
                    Variable::Bend => scissor.bends.fill(value),
                    _ => {
                        let arcs = 2.0 * scissor.stages() as f64;
                        let each = if self == Variable::TotalArc {
                            value / arcs
                        } else {
                            value
                        };
                        scissor.proximal_arcs.fill(each);
                        scissor.distal_arcs.fill(each);
                    }
                }
            }
            Variable::FirstArc | Variable::SecondArc => {
                let Family::TwoArcArm(arm) = &mut design.family else {
                    return Err(foreign());
                };
                arm.arcs[usize::from(self == Variable::SecondArc)] = value;
            }
        }
        Ok(())
    }

    fn apply_to_section(self, section: &mut Section, value: f64) -> Result<(), MapError> {
        let slot = match (self, section) {
            (
                Variable::Tangential,
                Section::Rectangle { tangential, .. } | Section::RectangleTube { tangential, .. },
            ) => tangential,
            (
                Variable::Radial,
                Section::Rectangle { radial, .. } | Section::RectangleTube { radial, .. },
            ) => radial,
            (Variable::Diameter, Section::Rod { diameter }) => diameter,
            (Variable::Diameter, Section::Tube { outer_diameter, .. }) => outer_diameter,
            _ => return Err(MapError::NotOfSection(self.name())),
        };
        *slot = value;
        Ok(())
    }
}

/// What a map can show.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum MapQuantity {
    /// A stiffness scalar by its name in [`StiffnessScalars::by_name`], N/m (isotropy 1).
    Stiffness(&'static str),
    /// Area-weighted GCI over the required region.
    Gci,
    /// Area-weighted GCI over the part reached.
    GciReached,
    /// Least LCI over the part reached.
    LciMin,
    /// Covered share of the region.
    Coverage,
    /// Greatest polar angle of the working range, rad.
    Reach,
    /// Greatest sag, m.
    Sag,
    /// Greatest holding torque, N·m.
    HoldingTorque,
    /// Mass of what moves without the tool, kg.
    MovingMass,
}

impl MapQuantity {
    /// All of them with the names the command line writes.
    pub const ALL: [(MapQuantity, &'static str); 16] = [
        (MapQuantity::Stiffness("least"), "stiffness"),
        (MapQuantity::Stiffness("mean"), "stiffness-mean"),
        (
            MapQuantity::Stiffness("geometric-mean"),
            "stiffness-geometric-mean",
        ),
        (MapQuantity::Stiffness("trace"), "stiffness-trace"),
        (MapQuantity::Stiffness("polar"), "stiffness-polar"),
        (MapQuantity::Stiffness("azimuth"), "stiffness-azimuth"),
        (MapQuantity::Stiffness("radial"), "stiffness-radial"),
        (MapQuantity::Stiffness("isotropy"), "isotropy"),
        (MapQuantity::Gci, "gci"),
        (MapQuantity::GciReached, "gci-reached"),
        (MapQuantity::LciMin, "lci-min"),
        (MapQuantity::Coverage, "coverage"),
        (MapQuantity::Reach, "reach"),
        (MapQuantity::Sag, "sag"),
        (MapQuantity::HoldingTorque, "holding-torque"),
        (MapQuantity::MovingMass, "moving-mass"),
    ];

    /// The name the command line writes.
    pub fn name(self) -> &'static str {
        Self::ALL
            .iter()
            .find(|(quantity, _)| *quantity == self)
            .map_or("", |(_, name)| name)
    }

    /// Whether joints change it, so that it is given twice.
    pub fn depends_on_joints(self) -> bool {
        matches!(self, MapQuantity::Stiffness(_) | MapQuantity::Sag)
    }

    /// Whether more is better.
    pub fn more_is_better(self) -> bool {
        !matches!(
            self,
            MapQuantity::Sag | MapQuantity::HoldingTorque | MapQuantity::MovingMass
        )
    }
}

/// What is computed for every cell.
#[derive(Debug, Clone, PartialEq)]
pub struct MapTask {
    /// Region, margins and loads.
    pub requirements: Requirements,
    /// What is shown.
    pub quantities: Vec<MapQuantity>,
    /// Polar angle at which elastic quantities are taken, rad; `None` is the
    /// worst over the covered directions.
    pub at_polar: Option<f64>,
    /// Stiffness as k·R³/(E·I), I for bending in the arc's plane.
    pub dimensionless: bool,
}

/// One quantity of a cell.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct CellValue {
    /// With rigid joints; equal to `real` for what joints do not change.
    pub rigid: Option<f64>,
    /// With the design's joints.
    pub real: Option<f64>,
}

/// One cell.
#[derive(Debug, Clone, PartialEq)]
pub struct Cell {
    /// Greatest polar angle without margins, rad.
    pub reach: Option<f64>,
    /// Values in the order of the task's quantities.
    pub values: Vec<CellValue>,
    /// Why there is no value.
    pub reason: Option<String>,
}

/// Rings over the region for elastic quantities of a map.
const MAP_RINGS: usize = 9;

/// Computes one cell: a design with changes applied in a fixed order.
pub fn cell(base: &Design, changes: &[(Variable, f64)], task: &MapTask) -> Cell {
    let mut changes = changes.to_vec();
    changes.sort_by_key(|(variable, _)| *variable);
    let mut design = base.clone();
    let mut at_polar = task.at_polar;
    for (variable, value) in &changes {
        if *variable == Variable::Polar {
            at_polar = Some(*value);
        }
        if let Err(error) = variable.apply(&mut design, *value) {
            return empty(task, error.to_string());
        }
    }
    match computed(&design, at_polar, task) {
        Ok(cell) => cell,
        Err(reason) => empty(task, reason),
    }
}

fn empty(task: &MapTask, reason: String) -> Cell {
    Cell {
        reach: None,
        values: vec![
            CellValue {
                rigid: None,
                real: None
            };
            task.quantities.len()
        ],
        reason: Some(reason),
    }
}

fn computed(design: &Design, at_polar: Option<f64>, task: &MapTask) -> Result<Cell, String> {
    let model = Model::new(design).map_err(|error| error.to_string())?;
    let region = task.requirements.region.rotated(&base_from_world(design));
    let kinematics = &model.kinematics;
    let range_with =
        |margins: Margins| working_range(kinematics, &design.drives.range, &margins, &region);
    let reach = range_with(Margins::default()).map(|r| r.polar_max());
    let range = range_with(task.requirements.margins);
    let elastic_range = range_with(task.requirements.elastic_margins);
    let summary = range
        .as_ref()
        .map(|range| conditioning(kinematics, range, &region));
    let needs_elastic = task
        .quantities
        .iter()
        .any(|q| q.depends_on_joints() || *q == MapQuantity::HoldingTorque);
    let rings = |model: &Model| -> Result<Vec<RingResult>, String> {
        let Some(range) = elastic_range.as_ref().filter(|_| needs_elastic) else {
            return Ok(Vec::new());
        };
        let grid = match at_polar {
            None => ring_grid(&model.kinematics, range, &region, MAP_RINGS, 8),
            Some(polar) => range
                .second_for_polar(&model.kinematics.meridian, polar)
                .map(|second| vec![(second, vec![0.0])])
                .unwrap_or_default(),
        };
        grid.iter()
            .map(|(second, azimuths)| {
                solve_ring(model, *second, azimuths, &[]).map_err(|error| error.to_string())
            })
            .collect()
    };
    let real_rings = rings(&model)?;
    let rigid_rings = if design.joints.stiffness.is_some() && needs_elastic {
        let mut rigid = design.clone();
        rigid.joints.stiffness = None;
        rings(&Model::new(&rigid).map_err(|error| error.to_string())?)?
    } else {
        real_rings.clone()
    };
    let reason = if needs_elastic && real_rings.is_empty() {
        Some(match at_polar {
            Some(_) => "the polar angle is not reached with the margins".to_string(),
            None => "no direction of the region is reached with the margins".to_string(),
        })
    } else {
        None
    };
    let values = task
        .quantities
        .iter()
        .map(|quantity| {
            let both = |value: Option<f64>| CellValue {
                rigid: value,
                real: value,
            };
            match quantity {
                MapQuantity::Gci => both(summary.map(|s| s.gci)),
                MapQuantity::GciReached => both(summary.map(|s| s.gci_reached)),
                MapQuantity::LciMin => both(summary.map(|s| s.lci_min)),
                MapQuantity::Coverage => both(summary.map(|s| s.coverage.fraction)),
                MapQuantity::Reach => both(reach),
                MapQuantity::MovingMass => both(Some(model.holding.moving_mass())),
                MapQuantity::HoldingTorque => both(worst_torque(&real_rings)),
                MapQuantity::Sag => CellValue {
                    rigid: worst_sag(&rigid_rings),
                    real: worst_sag(&real_rings),
                },
                MapQuantity::Stiffness(name) => {
                    let scale = if task.dimensionless && *name != "isotropy" {
                        design.joint_radius.powi(3) / model.structure.bar().bending_in_plane
                    } else {
                        1.0
                    };
                    CellValue {
                        rigid: least(&rigid_rings, name).map(|k| k * scale),
                        real: least(&real_rings, name).map(|k| k * scale),
                    }
                }
            }
        })
        .collect();
    Ok(Cell {
        reach,
        values,
        reason,
    })
}

fn least(rings: &[RingResult], name: &str) -> Option<f64> {
    rings
        .iter()
        .filter_map(|ring| StiffnessScalars::by_name(&ring.stiffness, name))
        .reduce(f64::min)
}

fn worst_sag(rings: &[RingResult]) -> Option<f64> {
    rings
        .iter()
        .flat_map(|ring| ring.points.iter().map(|p| p.sag.norm()))
        .reduce(f64::max)
}

fn worst_torque(rings: &[RingResult]) -> Option<f64> {
    rings
        .iter()
        .flat_map(|ring| ring.points.iter().flat_map(|p| p.torque))
        .map(f64::abs)
        .reduce(f64::max)
}
