//! The whole analysis of one design against its requirements.

use rayon::prelude::*;
use thiserror::Error;

use crate::design::Design;
use crate::elasticity::virtual_joints::{Comparison, compare};
use crate::elasticity::{ElasticityError, ValidityNote};
use crate::interference::ClearingError;
use crate::kinematics::conditioning::{ConditioningSummary, conditioning};
use crate::kinematics::working_range::{Margins, SingularityReport, singularity_report};
use crate::kinematics::{Kinematics, WorkingRange};
use crate::linkage::mobility::{Mobility, MobilityError, checked_mobility};
use crate::sphere::{Direction, Region, RegionError};
use crate::surroundings::ShapeError;
use crate::uncertain::Corner;

use super::around::{Around, SurroundingsReport, obstacles};
use super::joint_strength::JointStrength;
use super::point::{ConfigurationResult, configuration_result};
use super::reach::{ClearingReport, clearing_report, reach};
use super::requirements::Requirements;
use super::ring::{JointLoad, Model, RingResult, StressedPart, pose_at, ring_grid, solve_ring};
use super::rows::{Row, RowKind};

/// How finely the region is sampled.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct AnalysisOptions {
    /// Polar angles, both ends included.
    pub rings: usize,
    /// Azimuths on each, about.
    pub around: usize,
    /// Whether the ends of bands are evaluated too.
    pub bands: bool,
    /// Whether singularities between samples are excluded by proof.
    pub proof: bool,
}

impl Default for AnalysisOptions {
    fn default() -> Self {
        Self {
            rings: 25,
            around: 12,
            bands: true,
            proof: true,
        }
    }
}

/// Why there is no analysis.
#[derive(Debug, Clone, PartialEq, Error)]
pub enum AnalysisError {
    /// The design cannot be built or solved at all.
    #[error(transparent)]
    Elasticity(#[from] ElasticityError),
    /// The region is empty.
    #[error(transparent)]
    Region(#[from] RegionError),
    /// Clearances cannot be told.
    #[error(transparent)]
    Clearing(#[from] ClearingError),
    /// A keep-out has no usable shape.
    #[error(transparent)]
    KeepOut(#[from] ShapeError),
    /// The linkage has not two freedoms.
    #[error(transparent)]
    Mobility(#[from] MobilityError),
}

/// One design, analysed.
#[derive(Debug, Clone)]
pub struct Analysis {
    /// The one working range; `None` if no configuration has the margins.
    pub working_range: Option<WorkingRange>,
    /// What layers, bosses and pins leave of the motion; `None` without layers.
    pub clearing: Option<ClearingReport>,
    /// The requirements judged for the ideal linkage: rigid joints, all bars on one sphere,
    /// nothing in the way; empty without layers.
    pub ideal_rows: Vec<Row>,
    /// What keep-outs leave of it; `None` without any, or without layers.
    pub surroundings: Option<SurroundingsReport>,
    /// Conditioning and coverage in it.
    pub conditioning: ConditioningSummary,
    /// Margins to both types of singularity; `None` without a working range.
    pub singularity: Option<SingularityReport>,
    /// Mobility; `None` without a configuration to take it at.
    pub mobility: Option<Mobility>,
    /// Working range with the margins of the elastic part.
    pub elastic_range: Option<WorkingRange>,
    /// Rings over the covered directions, ascending polar angle.
    pub rings: Vec<RingResult>,
    /// Mass of what moves without the tool, kg.
    pub moving_mass: f64,
    /// Requirements, judged.
    pub rows: Vec<Row>,
    /// Greatest load on each joint over the covered directions, weight and any
    /// one load case, in the order of the joints, with their names.
    pub joint_loads: Vec<(String, JointLoad)>,
    /// Notes on validity.
    pub notes: Vec<ValidityNote>,
    /// Greatest ratio of geometric to elastic stiffness met.
    pub geometric_ratio: f64,
    /// The virtual joint model beside the reference at the softest ring, rigid
    /// joints in both; `None` where it has no answer there.
    pub second_opinion: Option<Comparison>,
    /// One configuration per ring and a few azimuths: the agreed list.
    pub configurations: Vec<ConfigurationResult>,
    /// Required region in the base frame.
    pub region_in_base: Region,
    /// Options used.
    pub options: AnalysisOptions,
}

impl Analysis {
    /// Whether every limit is met.
    pub fn met(&self) -> bool {
        self.rows.iter().all(|row| row.met() != Some(false))
    }

    /// The row of a kind, the first where several have it.
    pub fn row(&self, matches: impl Fn(&RowKind) -> bool) -> Option<&Row> {
        self.rows.iter().find(|row| matches(&row.kind))
    }

    /// The value of the ideal linkage for a row; `None` without layers or without one.
    pub fn ideal_value(&self, kind: &RowKind) -> Option<f64> {
        let row = self.ideal_rows.iter().find(|row| row.kind == *kind)?;
        row.got.clone().ok()
    }

    /// Least translational stiffness over the covered directions, N/m.
    pub fn least_stiffness(&self) -> Option<f64> {
        self.row(|kind| *kind == RowKind::Stiffness)
            .and_then(|row| row.got.clone().ok())
    }
}

/// Analyses a design against its requirements.
///
/// # Errors
/// [`AnalysisError`] if the design cannot be built, the region is empty or the
/// mobility is not two. A design that reaches nothing is an answer, not an error.
pub fn analyse(
    design: &Design,
    requirements: &Requirements,
    options: &AnalysisOptions,
) -> Result<Analysis, AnalysisError> {
    let nominal = design.at_corner(Corner::Nominal);
    let model = Model::new(&nominal)?;
    let region = requirements.region.rotated(&design.mount.base_from_world());
    region.polar_extent()?;
    let kinematics = &model.kinematics;
    let drive_range = &design.drives.range;
    let reached = |margins: &Margins| reach(&nominal, kinematics, &model.built, margins, &region);
    let range = reached(&requirements.margins)?;
    let elastic_range = if requirements.elastic_margins == requirements.margins {
        range.clone()
    } else {
        reached(&requirements.elastic_margins)?
    };
    let clearing = design
        .is_built()
        .then(|| {
            clearing_report(
                &nominal,
                kinematics,
                &model.built,
                &requirements.margins,
                &region,
                range.as_ref(),
            )
        })
        .transpose()?;
    let summary = range
        .as_ref()
        .map(|range| conditioning(kinematics, range, &region))
        .unwrap_or_else(|| nothing_reached(&region));
    let mobility = range
        .as_ref()
        .map(|range| mobility_in(kinematics, range))
        .transpose()?
        .flatten();
    let mut rings = match &elastic_range {
        Some(range) => solve_rings(&model, range, &region, requirements, options)?,
        None => Vec::new(),
    };
    let obstacles = obstacles(&requirements.keep_outs)?;
    let around = (design.is_built() && !obstacles.is_empty()).then(|| {
        Around::new(
            &nominal,
            kinematics,
            &model.built,
            &requirements.keep_outs,
            &obstacles,
            requirements.allowance,
        )
    });
    let surroundings = around.as_ref().zip(range.as_ref()).map(|(around, range)| {
        around.keep_clear(&model, &mut rings);
        around.report(&nominal, kinematics, range, &region, requirements.way_in)
    });
    let mut rows = judge(requirements, &summary, range.as_ref(), &model, &rings);
    if let Some(surroundings) = &surroundings {
        judge_among(surroundings, &mut rows);
    }
    if options.bands {
        add_bands(
            design,
            requirements,
            &elastic_range,
            &region,
            options,
            &mut rows,
        )?;
    }
    let singularity = range
        .as_ref()
        .filter(|_| options.proof)
        .map(|range| singularity_report(kinematics, drive_range, range));
    let configurations = configurations(&model, &rings);
    let second_opinion = second_opinion(&nominal, &model, &rings);
    let ideal_rows = if design.is_built() {
        ideal_rows(&nominal.ideal(), requirements, &region, options)?
    } else {
        Vec::new()
    };
    Ok(Analysis {
        clearing,
        ideal_rows,
        surroundings,
        working_range: range,
        conditioning: summary,
        singularity,
        mobility,
        elastic_range,
        moving_mass: model.holding.moving_mass(),
        rows,
        joint_loads: joint_loads(&model, &rings),
        notes: model.structure.notes().to_vec(),
        geometric_ratio: rings.iter().map(|r| r.geometric_ratio).fold(0.0, f64::max),
        rings,
        second_opinion,
        configurations,
        region_in_base: region,
        options: *options,
    })
}

/// The requirements judged for a linkage without layers.
fn ideal_rows(
    ideal: &Design,
    requirements: &Requirements,
    region: &Region,
    options: &AnalysisOptions,
) -> Result<Vec<Row>, AnalysisError> {
    let model = Model::new(ideal)?;
    let reached =
        |margins: &Margins| reach(ideal, &model.kinematics, &model.built, margins, region);
    let range = reached(&requirements.margins)?;
    let rings = match reached(&requirements.elastic_margins)? {
        Some(range) => solve_rings(&model, &range, region, requirements, options)?,
        None => Vec::new(),
    };
    let summary = range
        .as_ref()
        .map(|range| conditioning(&model.kinematics, range, region))
        .unwrap_or_else(|| nothing_reached(region));
    Ok(judge(
        requirements,
        &summary,
        range.as_ref(),
        &model,
        &rings,
    ))
}

fn nothing_reached(region: &Region) -> ConditioningSummary {
    ConditioningSummary {
        gci: 0.0,
        gci_reached: 0.0,
        gci_joint_weight: 0.0,
        lci_min: 0.0,
        lci_min_polar: 0.0,
        coverage: crate::kinematics::Coverage {
            fraction: 0.0,
            required: region.area(),
            covered: 0.0,
        },
    }
}

/// Mobility at two configurations of the range that have nothing special about them.
fn mobility_in(
    kinematics: &Kinematics,
    range: &WorkingRange,
) -> Result<Option<Mobility>, MobilityError> {
    let at = |share: f64, first: f64| {
        let second = range.second[0] + (range.second[1] - range.second[0]) * share;
        kinematics.forward_from_mechanism([first, second]).ok()
    };
    match (at(0.411_3, 0.317), at(0.583_7, -1.271)) {
        (Some(a), Some(b)) => {
            checked_mobility(&kinematics.linkage, &a.configuration, &b.configuration).map(Some)
        }
        _ => Ok(None),
    }
}

fn solve_rings(
    model: &Model,
    range: &WorkingRange,
    region: &Region,
    requirements: &Requirements,
    options: &AnalysisOptions,
) -> Result<Vec<RingResult>, ElasticityError> {
    let grid = ring_grid(
        &model.kinematics,
        range,
        region,
        options.rings,
        options.around,
    );
    let solved: Vec<Result<RingResult, ElasticityError>> = grid
        .par_iter()
        .map(|(second, azimuths)| solve_ring(model, *second, azimuths, &requirements.loads))
        .collect();
    let mut rings = Vec::with_capacity(solved.len());
    for ring in solved {
        match ring {
            Ok(ring) => rings.push(ring),
            // An end of the range may itself be singular: that ring has no elastic answer.
            Err(ElasticityError::Singular) => {}
            Err(other) => return Err(other),
        }
    }
    Ok(rings)
}

fn joint_loads(model: &Model, rings: &[RingResult]) -> Vec<(String, JointLoad)> {
    model
        .kinematics
        .linkage
        .joints
        .iter()
        .enumerate()
        .map(|(index, joint)| {
            let load = rings
                .iter()
                .map(|ring| ring.joint_loads[index])
                .fold(JointLoad::default(), JointLoad::envelope);
            (joint.name.clone(), load)
        })
        .collect()
}

fn second_opinion(design: &Design, model: &Model, rings: &[RingResult]) -> Option<Comparison> {
    let ring = rings
        .iter()
        .min_by(|a, b| a.stiffness.least.total_cmp(&b.stiffness.least))?;
    let azimuth = ring.points.first()?.azimuth;
    let pose = pose_at(model, ring.second, azimuth).ok()?;
    // The virtual joint model knows neither pins nor layers.
    let ideal = design.is_built().then(|| design.ideal());
    compare(
        ideal.as_ref().unwrap_or(design),
        &model.kinematics.linkage,
        &pose.configuration,
        &pose.frame,
    )
    .ok()
}

fn configurations(model: &Model, rings: &[RingResult]) -> Vec<ConfigurationResult> {
    rings
        .iter()
        .flat_map(|ring| {
            let step = ring.points.len().div_ceil(4).max(1);
            ring.points
                .iter()
                .step_by(step)
                .map(|point| (ring.second, point.azimuth))
        })
        .filter_map(|(second, azimuth)| pose_at(model, second, azimuth).ok())
        .map(|pose| configuration_result(model, &pose))
        .collect()
}

/// The greatest of a value over all points, with its place and note.
fn worst(
    rings: &[RingResult],
    value: impl Fn(&RingResult, usize) -> Option<(f64, String)>,
) -> Option<(f64, Direction, String)> {
    let mut worst: Option<(f64, Direction, String)> = None;
    for ring in rings {
        for (index, point) in ring.points.iter().enumerate() {
            if let Some((v, note)) = value(ring, index)
                && worst.as_ref().is_none_or(|(w, _, _)| v > *w)
            {
                let direction = Direction {
                    polar: ring.polar,
                    azimuth: point.azimuth,
                };
                worst = Some((v, direction, note));
            }
        }
    }
    worst
}

fn judge(
    requirements: &Requirements,
    summary: &ConditioningSummary,
    range: Option<&WorkingRange>,
    model: &Model,
    rings: &[RingResult],
) -> Vec<Row> {
    let limits = &requirements.limits;
    let mut rows = Vec::new();
    let limit_words = range.map(range_words).unwrap_or_default();
    rows.push(Row {
        kind: RowKind::Coverage,
        needed: requirements.coverage_min,
        got: Ok(summary.coverage.fraction),
        band: None,
        worst_at: None,
        note: limit_words,
    });
    for (index, case) in requirements.loads.iter().enumerate() {
        let found = worst(rings, |ring, point| {
            Some((ring.points[point].contact[index], String::new()))
        });
        rows.push(row_from(
            RowKind::ContactDeflection(case.name.clone()),
            limits.contact_deflection,
            found,
        ));
    }
    rows.extend(weight_rows(requirements, model, rings));
    rows.extend(bearing_row(requirements, model, rings));
    rows.push(Row {
        kind: RowKind::LciMin,
        needed: limits.lci_min,
        got: if range.is_some() {
            Ok(summary.lci_min)
        } else {
            Err("no working range".to_string())
        },
        band: None,
        worst_at: Some(Direction {
            polar: summary.lci_min_polar,
            azimuth: 0.0,
        }),
        note: String::new(),
    });
    rows.push(Row {
        kind: RowKind::Gci,
        needed: limits.gci_min,
        got: Ok(summary.gci),
        band: None,
        worst_at: None,
        note: "area weight, unreached counts 0".to_string(),
    });
    if let (Some(range), true) = (range, model.kinematics.meridian.stages() > 0) {
        rows.push(transmission_row(
            model,
            range,
            limits.transmission_angle_min,
        ));
    }
    rows.push(Row {
        kind: RowKind::MovingMass,
        needed: limits.moving_mass,
        got: Ok(model.holding.moving_mass()),
        band: None,
        worst_at: None,
        note: String::new(),
    });
    let softest = worst(rings, |ring, point| {
        Some((-ring.points[point].least_stiffness, String::new()))
    })
    .map(|(v, d, n)| (-v, d, n));
    rows.push(row_from(RowKind::Stiffness, None, softest));
    rows
}

/// Coverage among the keep-outs: what is certainly clear counts.
fn judge_among(surroundings: &SurroundingsReport, rows: &mut [Row]) {
    let Some(row) = rows.iter_mut().find(|row| row.kind == RowKind::Coverage) else {
        return;
    };
    row.got = Ok(surroundings.remaining[0]);
    let most = surroundings
        .taken
        .iter()
        .filter(|(_, share)| *share > 0.0)
        .max_by(|a, b| a.1.total_cmp(&b.1));
    if let Some((name, _)) = most {
        row.note = format!("{name} takes most; {}", row.note);
    }
}

fn row_from(kind: RowKind, needed: Option<f64>, found: Option<(f64, Direction, String)>) -> Row {
    let (got, worst_at, note) = match found {
        Some((value, direction, note)) => (Ok(value), Some(direction), note),
        None => (
            Err("no covered direction has an elastic answer".to_string()),
            None,
            String::new(),
        ),
    };
    Row {
        kind,
        needed,
        got,
        band: None,
        worst_at,
        note,
    }
}

/// Sag, holding torque and safety.
fn weight_rows(requirements: &Requirements, model: &Model, rings: &[RingResult]) -> Vec<Row> {
    let limits = &requirements.limits;
    let mut rows = Vec::new();
    let massive = model.holding.tool_mass() > 0.0;
    if massive {
        let sag = worst(rings, |ring, point| {
            Some((ring.points[point].sag.norm(), String::new()))
        });
        rows.push(row_from(RowKind::Sag, limits.sag, sag));
    } else {
        rows.push(Row {
            kind: RowKind::Sag,
            needed: limits.sag,
            got: Err("no tool mass is given".to_string()),
            band: None,
            worst_at: None,
            note: String::new(),
        });
    }
    let names = model.kinematics.linkage.active_names;
    let torque = worst(rings, |ring, point| {
        let [first, second] = ring.points[point].torque;
        let (value, name) = if first.abs() >= second.abs() {
            (first.abs(), names[0])
        } else {
            (second.abs(), names[1])
        };
        Some((value, format!("joint {name}")))
    });
    rows.push(row_from(
        RowKind::HoldingTorque,
        limits.holding_torque,
        torque,
    ));
    if model.stress.is_some() {
        let safety = worst(rings, |ring, point| {
            ring.points[point].safety.map(|s| {
                let with = s.load.map_or("weight alone".to_string(), |l| {
                    format!("weight and {}", requirements.loads[l].name)
                });
                (-s.factor, format!("{}, {with}", part_name(model, s.part)))
            })
        })
        .map(|(v, d, n)| (-v, d, n));
        rows.push(row_from(
            RowKind::Safety,
            limits.safety_factor_yield,
            safety,
        ));
    } else {
        rows.push(Row {
            kind: RowKind::Safety,
            needed: limits.safety_factor_yield,
            got: Err("a custom section's fibres are not known".to_string()),
            band: None,
            worst_at: None,
            note: String::new(),
        });
    }
    rows
}

fn part_name(model: &Model, part: StressedPart) -> String {
    match part {
        StressedPart::Arc(arc) => model.structure.arc_body_name(arc).to_string(),
        StressedPart::Pin(joint) => {
            format!("pin of {}", model.kinematics.linkage.joints[joint].name)
        }
    }
}

/// Least static safety of the bearings; `None` where no rating is known and no limit asks.
fn bearing_row(requirements: &Requirements, model: &Model, rings: &[RingResult]) -> Option<Row> {
    let needed = requirements.limits.bearing_static_safety;
    let found = worst(rings, |ring, point| {
        let (safety, joint) = ring.points[point].bearing_safety?;
        let name = &model.kinematics.linkage.joints[joint].name;
        Some((-safety, name.clone()))
    })
    .map(|(v, d, n)| (-v, d, n));
    let known = model
        .joint_strength
        .as_ref()
        .is_some_and(JointStrength::knows_rating);
    let mut row = match (found, needed) {
        (None, None) => return None,
        (found, needed) => row_from(RowKind::BearingSafety, needed, found),
    };
    if !known {
        row.got = Err("no static rating of the bearings is given".to_string());
    }
    Some(row)
}

fn transmission_row(model: &Model, range: &WorkingRange, needed: Option<f64>) -> Row {
    let count = 200;
    let least = (0..=count)
        .filter_map(|i| {
            let x = range.second[0]
                + (range.second[1] - range.second[0]) * f64::from(i) / f64::from(count);
            let state = model.kinematics.meridian.state(x);
            crate::kinematics::working_range::state_transmission(&state)
                .map(|(angle, stage)| (angle, stage, state.polar_angle()))
        })
        .min_by(|a, b| a.0.total_cmp(&b.0));
    Row {
        kind: RowKind::TransmissionAngle,
        needed,
        got: least.map(|l| l.0).ok_or_else(|| "no stages".to_string()),
        band: None,
        worst_at: least.map(|l| Direction {
            polar: l.2,
            azimuth: 0.0,
        }),
        note: least.map(|l| format!("stage {}", l.1)).unwrap_or_default(),
    }
}

/// What ends the reach at its inner and outer edge.
fn range_words(range: &WorkingRange) -> String {
    let inner = range.inner_end();
    format!(
        "inner edge: {}; outer edge: {}",
        range.limits[inner].words(),
        range.limits[1 - inner].words()
    )
}

/// Evaluates the soft and the stiff end of all bands together and notes the spread.
fn add_bands(
    design: &Design,
    requirements: &Requirements,
    range: &Option<WorkingRange>,
    region: &Region,
    options: &AnalysisOptions,
    rows: &mut [Row],
) -> Result<(), AnalysisError> {
    let Some(range) = range.as_ref().filter(|_| design.has_bands()) else {
        return Ok(());
    };
    let coarse = AnalysisOptions {
        rings: options.rings.min(13),
        ..*options
    };
    let mut values: Vec<Vec<f64>> = rows
        .iter()
        .map(|row| row.got.clone().ok().into_iter().collect())
        .collect();
    for corner in [Corner::Soft, Corner::Stiff] {
        let model = Model::new(&design.at_corner(corner))?;
        let rings = solve_rings(&model, range, region, requirements, &coarse)?;
        let summary = nothing_reached(region);
        let judged = judge(requirements, &summary, Some(range), &model, &rings);
        for (row, list) in rows.iter().zip(&mut values) {
            let same = judged.iter().find(|other| other.kind == row.kind);
            if let Some(Ok(value)) = same.map(|other| &other.got) {
                list.push(*value);
            }
        }
    }
    for (row, list) in rows.iter_mut().zip(values) {
        let elastic = !matches!(
            row.kind,
            RowKind::Coverage | RowKind::LciMin | RowKind::Gci | RowKind::TransmissionAngle
        );
        let low = list.iter().copied().fold(f64::INFINITY, f64::min);
        let high = list.iter().copied().fold(f64::NEG_INFINITY, f64::max);
        if elastic && low < high {
            row.band = Some([low, high]);
        }
    }
    Ok(())
}
