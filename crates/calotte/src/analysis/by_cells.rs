//! The analysis of a linkage that turns about no fixed first axis: over cells of
//! directions instead of rings.
//!
//! Reach, coverage, conditioning and margins are those of `kinematics::workspace`; all of
//! them are sampled. Elastic values are taken at the directions of a grid over what is
//! covered, each solved by itself.

use rayon::prelude::*;

use crate::brief::LoadCase;
use crate::elasticity::ElasticityError;
use crate::elasticity::virtual_joints::{Comparison, compare};
use crate::family::parameters::Capability;
use crate::kinematics::conditioning::ConditioningSummary;
use crate::kinematics::workspace::Stand;
use crate::kinematics::{CellRange, Workspace};
use crate::linkage::mobility::checked_mobility;
use crate::sphere::Direction;
use crate::subject::{Model, Subject};

use super::bands::{Ends, Questions, add_bands};
use super::cells::CellsReport;
use super::judge::Found;
use super::loaded_index::without_answer;
use super::options::{AnalysisError, AnalysisOptions};
use super::point::{ConfigurationResult, configuration_result};
use super::precision::Solved;
use super::report::{Analysis, joint_loads};
use super::requirements::Requirements;
use super::ring::{RingResult, solve_pose};
use super::roll::RollRange;
use super::rows::Row;
use super::typical::WithTypicalSupports;
use super::values::Reached;

/// Analyses a subject by cells.
///
/// # Errors
/// [`AnalysisError`] if the design cannot be solved or its mobility is not two.
pub(super) fn by_cells(
    subject: &Subject,
    workspace: &Workspace,
    requirements: &Requirements,
    options: &AnalysisOptions,
) -> Result<Analysis, AnalysisError> {
    if !requirements.keep_outs().is_empty() {
        subject.design.family.offers(Capability::Clearing)?;
    }
    let model = subject.model()?;
    let region = subject.region();
    region.polar_extent()?;
    let drive_range = subject.motion.drive_range();
    let range = workspace.range(drive_range, &requirements.margins, region);
    let elastic = if requirements.elastic_margins == requirements.margins {
        range.clone()
    } else {
        workspace.range(drive_range, &requirements.elastic_margins, region)
    };
    let stands = match &elastic {
        Some(elastic) => workspace.grid(elastic, region, options.rings, options.around),
        None => Vec::new(),
    };
    let solved = solve(model, &stands, &requirements.loads)?;
    let mut notes = model.structure.notes().to_vec();
    notes.extend(solved.note());
    let solved = solved.rings;
    let cells = range
        .as_ref()
        .map(|range| CellsReport::of(workspace, range, region));
    // Cells that cover nothing of the region have no mean and no least.
    let covers = |cells: &&CellsReport| cells.summary.cells > 0;
    let summary = match cells.as_ref().filter(covers) {
        Some(cells) => cells.summary.conditioning,
        None => ConditioningSummary::of_nothing(region),
    };
    // Two that have nothing special about them, off the borders.
    let inner = [1, 2].map(|third| stands.get(third * stands.len() / 3));
    let mobility = match inner {
        [Some(first), Some(second)] if stands.len() > 2 => Some(checked_mobility(
            &model.kinematics.linkage,
            &first.pose.configuration,
            &second.pose.configuration,
        )?),
        _ => None,
    };
    let tool_roll = RollRange::of_poses(&stands);
    let rows_of = |model: &Model, solved: &[RingResult]| {
        rows(requirements, cells.as_ref(), tool_roll, model, solved)
    };
    let mut rows = rows_of(model, &solved);
    let bands = options.want_bands(&rows);
    if bands && elastic.is_some() {
        note_bands(subject, &stands, requirements, &mut rows)?;
    }
    let typical_supports = if bands && elastic.is_some() {
        WithTypicalSupports::of::<AnalysisError>(subject, &rows, |other| {
            let other = other.model()?;
            let solved = solve(other, &stands, &requirements.loads)?;
            Ok(rows_of(other, &solved.rings))
        })?
    } else {
        None
    };
    Ok(Analysis {
        cells,
        clearing: None,
        ideal_rows: Vec::new(),
        tool_roll,
        typical_supports,
        surroundings: None,
        working_range: None,
        conditioning: summary,
        singularity: None,
        mobility,
        moving_mass: model.holding.moving_mass(),
        rows,
        joint_loads: joint_loads(model, &solved),
        under_load: without_answer(
            &requirements.loads,
            "not available yet for what turns about no fixed axis",
        ),
        notes,
        thin_walls: model.built.thin_walls().into_iter().cloned().collect(),
        geometric_ratio: solved.iter().map(|r| r.geometric_ratio).fold(0.0, f64::max),
        configurations: configurations(model, &stands, options),
        cross_check: cross_check(subject, workspace, elastic.as_ref(), &solved),
        rings: solved,
        boundaries: requirements.boundaries(),
        region_in_base: region.clone(),
        between_rings: None,
        exact_around: false,
        elastic_polar: None,
        options: AnalysisOptions { bands, ..*options },
    })
}

/// Solves poses each by itself; a singular one on the border of the range has no answer and
/// is left out.
///
/// # Errors
/// [`ElasticityError`] for a load on no bar.
pub(super) fn solve(
    model: &Model,
    stands: &[Stand],
    loads: &[LoadCase],
) -> Result<Solved, ElasticityError> {
    let solved: Vec<_> = stands
        .par_iter()
        .map(|stand| solve_pose(model, &stand.pose, stand.transmission, loads))
        .collect();
    Solved::of(solved)
}

fn rows(
    requirements: &Requirements,
    cells: Option<&CellsReport>,
    roll: Option<RollRange>,
    model: &Model,
    solved: &[RingResult],
) -> Vec<Row> {
    let found = Found {
        requirements,
        model,
        reached: Reached {
            kinematics: &model.kinematics,
            range: None,
            required: None,
            reach: None,
            roll,
            cells,
            coverage: cells.map_or(0.0, |c| c.summary.conditioning.coverage.fraction),
            summary: cells
                .filter(|c| c.summary.cells > 0)
                .map(|c| &c.summary.conditioning),
        },
        rings: solved,
    };
    found.rows()
}

/// The virtual joint model in the softest pose.
fn cross_check(
    subject: &Subject,
    workspace: &Workspace,
    elastic: Option<&CellRange>,
    solved: &[RingResult],
) -> Option<Comparison> {
    let softest = solved
        .iter()
        .min_by(|a, b| a.stiffness.least.total_cmp(&b.stiffness.least))?;
    let direction = Direction {
        polar: softest.polar,
        azimuth: softest.points.first()?.azimuth,
    };
    let pose = workspace.within(elastic?, direction)?.pose;
    let linkage = &subject.kinematics().linkage;
    compare(&subject.design, linkage, &pose.configuration, &pose.frame).ok()
}

/// One configuration a polar angle and a few azimuths: the agreed list.
fn configurations(
    model: &Model,
    stands: &[Stand],
    options: &AnalysisOptions,
) -> Vec<ConfigurationResult> {
    let step = options.around.div_ceil(4).max(1);
    stands
        .iter()
        .step_by(step)
        .map(|stand| configuration_result(model, &stand.pose))
        .collect()
}

/// Notes the bands of the rows, over the very poses of the nominal values.
fn note_bands(
    subject: &Subject,
    stands: &[Stand],
    requirements: &Requirements,
    rows: &mut [Row],
) -> Result<(), AnalysisError> {
    let loads = &requirements.loads;
    let one = |model: &Model, stand: &Stand| {
        solve_pose(model, &stand.pose, stand.transmission, loads).ok()
    };
    let questions = Questions {
        everywhere: &|model| stands.par_iter().map(|stand| one(model, stand)).collect(),
        at: &|model, place| one(model, stands.get(place)?),
        rows: &|other| {
            let model = other.model()?;
            let solved = solve(model, stands, loads)?.rings;
            Ok(self::rows(requirements, None, None, model, &solved))
        },
    };
    add_bands(subject, &questions, loads, rows, Ends::Both)
}
