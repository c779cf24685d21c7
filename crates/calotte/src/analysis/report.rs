//! The whole analysis of one design against its requirements.

use rayon::prelude::*;
use thiserror::Error;

use crate::design::Design;
use crate::elasticity::virtual_joints::{Comparison, compare};
use crate::elasticity::{ElasticityError, ValidityNote};
use crate::family::parameters::NotAvailable;
use crate::interference::ClearingError;
use crate::kinematics::conditioning::ConditioningSummary;
use crate::kinematics::working_range::{SingularityReport, singularity_report};
use crate::kinematics::{Kinematics, WorkingRange};
use crate::linkage::mobility::{Mobility, MobilityError, checked_mobility};
use crate::quantity::{Over, Quantity};
use crate::sphere::{Region, RegionError};
use crate::subject::{Model, Subject};
use crate::surroundings::ShapeError;
use crate::uncertain::Corner;

use super::around::{Around, SurroundingsReport};
use super::cells::CellsReport;
use super::judge::Found;
use super::point::{ConfigurationResult, configuration_result};
use super::precision::Solved;
use super::reach::{ClearingReport, clearing_report};
use super::requirements::Requirements;
use super::ring::{JointLoad, RingResult, pose_at, ring_grid, solve_ring};
use super::rows::Row;
use super::values::Reached;

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
    /// The family does not answer it yet.
    #[error(transparent)]
    NotAvailable(#[from] NotAvailable),
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
    /// The one working range; `None` if no configuration has the margins, and for what
    /// turns about no fixed axis.
    pub working_range: Option<WorkingRange>,
    /// The working range by cells, of what turns about no fixed axis; `None` if no
    /// configuration has the margins, and of any other linkage.
    pub cells: Option<CellsReport>,
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
    /// Rings over the covered directions, ascending polar angle; of what turns about no
    /// fixed axis one for each direction, of a single point.
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
    pub cross_check: Option<Comparison>,
    /// One configuration per ring and a few azimuths: the agreed list.
    pub configurations: Vec<ConfigurationResult>,
    /// Required region in the base frame.
    pub region_in_base: Region,
    /// Options used.
    pub options: AnalysisOptions,
}

impl Analysis {
    /// Number of polar angles among what was solved.
    pub fn polar_angles(&self) -> usize {
        let changes = self.rings.windows(2).filter(|w| w[0].polar != w[1].polar);
        self.rings.len().min(1) + changes.count()
    }

    /// Whether every limit is met.
    pub fn met(&self) -> bool {
        self.rows.iter().all(|row| row.met() != Some(false))
    }

    /// The row of a quantity, the first where several load cases have it.
    pub fn row(&self, quantity: Quantity) -> Option<&Row> {
        self.rows.iter().find(|row| row.quantity == quantity)
    }

    /// The value of the ideal linkage for a row; `None` without layers or without one.
    pub fn ideal_value(&self, row: &Row) -> Option<f64> {
        let ideal = self.ideal_rows.iter().find(|ideal| ideal.is_like(row))?;
        ideal.got.clone().ok()
    }

    /// Least translational stiffness of the ideal linkage, N/m; `None` without layers.
    pub fn ideal_least_stiffness(&self) -> Option<f64> {
        self.ideal_value(self.row(Quantity::Stiffness)?)
    }
}

/// Analyses, ring by ring, what turns about one fixed axis.
///
/// # Errors
/// [`AnalysisError`] if the design cannot be built, the region is empty or the
/// mobility is not two. A design that reaches nothing is an answer, not an error.
pub(super) fn by_rings(
    subject: &Subject,
    requirements: &Requirements,
    options: &AnalysisOptions,
) -> Result<Analysis, AnalysisError> {
    let model = subject.model()?;
    let (design, kinematics, region) = (&subject.design, subject.kinematics(), subject.region());
    region.polar_extent()?;
    let range = subject.range()?;
    let elastic_range = subject.elastic_range()?;
    let clearing = design
        .is_built()
        .then(|| clearing_report(subject))
        .transpose()?;
    let summary = subject.summary()?;
    let mobility = range
        .map(|range| mobility_in(kinematics, range))
        .transpose()?
        .flatten();
    let solved = match elastic_range {
        Some(range) => solve_rings(model, range, region, requirements, options)?,
        None => Solved::nothing(),
    };
    let mut notes = model.structure.notes().to_vec();
    notes.extend(solved.note());
    let mut rings = solved.rings;
    let around = Around::new(subject, requirements)?;
    let surroundings = around.as_ref().zip(range).map(|(around, range)| {
        around.keep_clear(model, &mut rings);
        around.report(range, requirements.way_in)
    });
    let mut rows = rows(requirements, summary, range, model, &rings);
    if let Some(surroundings) = &surroundings {
        judge_among(surroundings, &mut rows);
    }
    if options.bands {
        add_bands(subject, requirements, options, &mut rows)?;
    }
    let singularity = range
        .filter(|_| options.proof)
        .map(|range| singularity_report(kinematics, subject.motion.drive_range(), range));
    let configurations = configurations(model, &rings);
    let cross_check = cross_check(design, model, &rings);
    let ideal_rows = if design.is_built() {
        ideal_rows(&subject.beside(design.ideal())?, requirements, options)?
    } else {
        Vec::new()
    };
    Ok(Analysis {
        cells: None,
        clearing,
        ideal_rows,
        surroundings,
        working_range: range.cloned(),
        conditioning: *summary,
        singularity,
        mobility,
        moving_mass: model.holding.moving_mass(),
        rows,
        joint_loads: joint_loads(model, &rings),
        notes,
        geometric_ratio: rings.iter().map(|r| r.geometric_ratio).fold(0.0, f64::max),
        rings,
        cross_check,
        configurations,
        region_in_base: region.clone(),
        options: *options,
    })
}

/// The requirements judged for a linkage without layers.
fn ideal_rows(
    ideal: &Subject,
    requirements: &Requirements,
    options: &AnalysisOptions,
) -> Result<Vec<Row>, AnalysisError> {
    let model = ideal.model()?;
    let range = ideal.range()?;
    let rings = match ideal.elastic_range()? {
        Some(range) => solve_rings(model, range, ideal.region(), requirements, options)?.rings,
        None => Vec::new(),
    };
    let summary = ideal.summary()?;
    Ok(rows(requirements, summary, range, model, &rings))
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
) -> Result<Solved, ElasticityError> {
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
    Solved::of(solved)
}

pub(super) fn joint_loads(model: &Model, rings: &[RingResult]) -> Vec<(String, JointLoad)> {
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

fn cross_check(design: &Design, model: &Model, rings: &[RingResult]) -> Option<Comparison> {
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

/// The rows of a design that reaches a range, solved over its rings.
fn rows(
    requirements: &Requirements,
    summary: &ConditioningSummary,
    range: Option<&WorkingRange>,
    model: &Model,
    rings: &[RingResult],
) -> Vec<Row> {
    let reached = Reached {
        kinematics: &model.kinematics,
        range,
        reach: None,
        cells: None,
        coverage: summary.coverage.fraction,
        summary: range.map(|_| summary),
    };
    let found = Found {
        requirements,
        model,
        reached,
        rings,
    };
    found.rows()
}

/// Coverage among the keep-outs: what is certainly clear counts.
fn judge_among(surroundings: &SurroundingsReport, rows: &mut [Row]) {
    let Some(row) = rows
        .iter_mut()
        .find(|row| row.quantity == Quantity::Coverage)
    else {
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

/// Evaluates the soft and the stiff end of all bands together and notes the spread.
fn add_bands(
    subject: &Subject,
    requirements: &Requirements,
    options: &AnalysisOptions,
    rows: &mut [Row],
) -> Result<(), AnalysisError> {
    let (given, region) = (&subject.given, subject.region());
    let Some(range) = subject.elastic_range()?.filter(|_| given.has_bands()) else {
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
        let at_corner = subject.beside(given.at_corner(corner))?;
        let model = at_corner.model()?;
        let rings = solve_rings(model, range, region, requirements, &coarse)?.rings;
        let summary = ConditioningSummary::of_nothing(region);
        let judged = self::rows(requirements, &summary, Some(range), model, &rings);
        for (row, list) in rows.iter().zip(&mut values) {
            let same = judged.iter().find(|other| other.is_like(row));
            if let Some(Ok(value)) = same.map(|other| &other.got) {
                list.push(*value);
            }
        }
    }
    for (row, list) in rows.iter_mut().zip(values) {
        let elastic = row.quantity.facts().over != Over::WorkingRange;
        let low = list.iter().copied().fold(f64::INFINITY, f64::min);
        let high = list.iter().copied().fold(f64::NEG_INFINITY, f64::max);
        if elastic && low < high {
            row.band = Some([low, high]);
        }
    }
    Ok(())
}
