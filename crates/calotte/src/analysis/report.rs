//! The whole analysis of one design against its requirements.

use crate::built::Wall;
use crate::design::Design;
use crate::elasticity::virtual_joints::{Comparison, compare};
use crate::elasticity::{FewDigits, ValidityNote};
use crate::kinematics::conditioning::ConditioningSummary;
use crate::kinematics::working_range::{SingularityReport, singularity_report};
use crate::kinematics::{Kinematics, WorkingRange};
use crate::linkage::mobility::{Mobility, MobilityError, checked_mobility};
use crate::quantity::{JudgedAt, Quantity};
use crate::sphere::Region;
use crate::subject::{Model, Subject};

use super::around::{Around, SurroundingsReport};
use super::bands::Ends;
use super::cells::CellsReport;
use super::judged::{Look, judge_among, note_bands, rows};
use super::loaded_index::{IndexUnderLoad, indices_under_load};
use super::options::{AnalysisError, AnalysisOptions};
use super::point::{ConfigurationResult, configuration_result};
use super::reach::{ClearingReport, clearing_report};
use super::requirements::Requirements;
use super::ring::{Envelope, JointLoad, RingResult, needs_no_samples, pose_at};
use super::ring_grid::Covered;
use super::roll::RollRange;
use super::rows::{Row, Verdict};
use super::typical::WithTypicalSupports;

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
    /// Roll of the tool over the covered directions; `None` where nothing is covered.
    pub tool_roll: Option<RollRange>,
    /// What changes with usual drives and a usual ground; `None` where the design gives its own,
    /// and where bands are not asked for.
    pub typical_supports: Option<WithTypicalSupports>,
    /// What keep-outs leave of it; `None` without any, or without layers.
    pub surroundings: Option<SurroundingsReport>,
    /// Conditioning and coverage in it.
    pub conditioning: ConditioningSummary,
    /// Margins to both types of singularity; `None` without a working range.
    pub singularity: Option<SingularityReport>,
    /// Mobility; `None` without a configuration to take it at.
    pub mobility: Option<Mobility>,
    /// Rings over the covered directions, ascending polar angle, with those added where
    /// something worse lies between; of what turns about no
    /// fixed axis one for each direction, of a single point.
    pub rings: Vec<RingResult>,
    /// Mass of what moves without the tool, kg.
    pub moving_mass: f64,
    /// Requirements, judged.
    pub rows: Vec<Row>,
    /// Greatest load on each joint over the covered directions, weight and any
    /// one load case, in the order of the joints, with their names.
    pub joint_loads: Vec<(String, JointLoad)>,
    /// LCI and GCI under each load case, in their order; empty without a working range.
    pub under_load: Vec<IndexUnderLoad>,
    /// Notes on validity.
    pub notes: Vec<ValidityNote>,
    /// Walls and lands of parts that are thinner than their process usually makes.
    pub thin_walls: Vec<Wall>,
    /// Greatest ratio of geometric to elastic stiffness met.
    pub geometric_ratio: f64,
    /// The virtual joint model beside the reference at the softest ring, rigid
    /// joints in both; `None` where it has no answer there.
    pub cross_check: Option<Comparison>,
    /// One configuration per ring and a few azimuths: the agreed list.
    pub configurations: Vec<ConfigurationResult>,
    /// The limits that bound the working range, SI.
    pub boundaries: Vec<(Quantity, f64)>,
    /// Required region in the base frame.
    pub region_in_base: Region,
    /// Share by which a worst value may be exceeded between the rings, an estimate; `None`
    /// without rings.
    pub between_rings: Option<f64>,
    /// Whether worst azimuths were found and not sampled.
    pub exact_around: bool,
    /// Polar angles of the range in which elastic values are taken, rad, where it is not the
    /// working range.
    pub elastic_polar: Option<[f64; 2]>,
    /// Options used.
    pub options: AnalysisOptions,
}

impl Analysis {
    /// Number of polar angles among what was solved.
    pub fn polar_angles(&self) -> usize {
        let changes = self.rings.windows(2).filter(|w| w[0].polar != w[1].polar);
        self.rings.len().min(1) + changes.count()
    }

    /// How the limits stand together.
    pub fn verdict(&self) -> Verdict {
        Verdict::of(&self.rows)
    }

    /// Whether what was asked is met.
    pub fn met(&self) -> bool {
        self.verdict().is_met()
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
    let elastic_range = subject.elastic_range()?;
    let clearing = design
        .is_built()
        .then(|| clearing_report(subject))
        .transpose()?;
    let around = Around::new(subject, requirements)?;
    let Looked {
        range,
        mobility,
        summary,
        look,
        rings,
        between_rings,
        few_digits,
        mut rows,
    } = looked(
        subject,
        requirements,
        options,
        around.as_ref(),
        Envelope::OfArcs,
    )?;
    let mut notes = model.structure.notes().to_vec();
    notes.extend(few_digits.map(ValidityNote::FewDigits));
    let keep_outs = requirements.keep_outs().len();
    if keep_outs > 0 && !design.is_built() {
        notes.push(ValidityNote::KeepOutsNotJudged(keep_outs));
    }
    let surroundings = around
        .as_ref()
        .zip(range)
        .map(|(around, range)| around.report(range, requirements.way_in));
    if let Some(surroundings) = &surroundings {
        judge_among(surroundings.remaining, &surroundings.taken, &mut rows);
    }
    let bands = options.want_bands(&rows);
    if let Some(look) = look.as_ref().filter(|_| bands) {
        note_bands(subject, look, requirements, &rings, &mut rows, Ends::Both)?;
    }
    let typical_supports = match look.as_ref().filter(|_| bands) {
        None => None,
        Some(look) => WithTypicalSupports::of::<AnalysisError>(subject, &rows, |other| {
            let other = other.model()?;
            let rings = look.solve(other, Envelope::OfArcs)?.rings;
            Ok(self::rows(
                requirements,
                summary,
                range,
                region,
                other,
                &rings,
            ))
        })?,
    };
    let tool_roll = range.and_then(|range| RollRange::over(kinematics, range, region));
    let singularity = range.filter(|_| options.proof).map(|range| {
        let required = Covered::new(kinematics, range, region).second();
        singularity_report(
            kinematics,
            subject.motion.drive_range(),
            range,
            required.unwrap_or(range.second),
        )
    });
    let under_load = range.map_or(Vec::new(), |range| {
        indices_under_load(subject, model, range, summary, &requirements.loads)
    });
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
        tool_roll,
        typical_supports,
        surroundings,
        working_range: range.cloned(),
        conditioning: *summary,
        singularity,
        mobility,
        moving_mass: model.holding.moving_mass(),
        rows,
        joint_loads: joint_loads(model, &rings),
        under_load,
        notes,
        thin_walls: model.built.thin_walls().into_iter().cloned().collect(),
        geometric_ratio: rings.iter().map(|r| r.geometric_ratio).fold(0.0, f64::max),
        rings,
        cross_check,
        configurations,
        boundaries: requirements.boundaries(),
        region_in_base: region.clone(),
        between_rings,
        exact_around: needs_no_samples(model, &requirements.loads) && !region.is_points(),
        elastic_polar: elastic_range
            .filter(|elastic| Some(*elastic) != range)
            .map(|elastic| [elastic.polar_min(), elastic.polar_max()]),
        options: AnalysisOptions { bands, ..*options },
    })
}

/// A design looked at over its nominal values.
struct Looked<'a> {
    range: Option<&'a WorkingRange>,
    mobility: Option<Mobility>,
    summary: &'a ConditioningSummary,
    /// `None` where nothing is covered.
    look: Option<Look<'a>>,
    rings: Vec<RingResult>,
    between_rings: Option<f64>,
    few_digits: Option<FewDigits>,
    rows: Vec<Row>,
}

fn looked<'a>(
    subject: &'a Subject,
    requirements: &'a Requirements,
    options: &AnalysisOptions,
    around: Option<&'a Around<'a>>,
    envelope: Envelope,
) -> Result<Looked<'a>, AnalysisError> {
    let model = subject.model()?;
    let (kinematics, region) = (subject.kinematics(), subject.region());
    region.polar_extent()?;
    let range = subject.range()?;
    let summary = subject.summary()?;
    let mobility = range
        .map(|range| mobility_in(kinematics, range))
        .transpose()?
        .flatten();
    let look = subject
        .elastic_range()?
        .map(|range| Look::new(model, range, region, requirements, options, around));
    let solved = look
        .as_ref()
        .map(|look| look.solve(model, envelope))
        .transpose()?;
    let between_rings = solved.as_ref().map(|solved| solved.left);
    let few_digits = solved.as_ref().and_then(|solved| solved.few_digits);
    let rings = solved.map_or(Vec::new(), |solved| solved.rings);
    let rows = rows(requirements, summary, range, region, model, &rings);
    Ok(Looked {
        range,
        mobility,
        summary,
        look,
        rings,
        between_rings,
        few_digits,
        rows,
    })
}

/// The rows that carry a limit, each with the number that the whole analysis judges it by; no
/// other row, and no band of one that is missed at nominal values or judged by them.
pub(super) fn rows_by_rings(
    subject: &Subject,
    requirements: &Requirements,
    options: &AnalysisOptions,
) -> Result<Vec<Row>, AnalysisError> {
    let around = Around::new(subject, requirements)?;
    let keep_outs = around.as_ref();
    let envelope = Envelope::OfSamples;
    let mut looked = looked(subject, requirements, options, keep_outs, envelope)?;
    let rows = &mut looked.rows;
    if let Some((around, range)) = keep_outs.zip(looked.range) {
        let (remaining, taken) = around.coverage(range);
        judge_among(remaining, &taken, rows);
    }
    let (limited, others): (Vec<Row>, Vec<Row>) =
        rows.drain(..).partition(|row| row.needed.is_some());
    rows.extend(limited);
    let options = AnalysisOptions {
        bands_only_if_met: true,
        ..*options
    };
    let by_band = requirements.limits.judged_at == JudgedAt::WorstEnd && options.want_bands(rows);
    if let Some(look) = looked.look.as_ref().filter(|_| by_band) {
        let rings = &looked.rings;
        note_bands(subject, look, requirements, rings, rows, Ends::Worst)?;
    }
    looked.rows.extend(others);
    Ok(looked.rows)
}

/// The requirements judged for a linkage without layers.
fn ideal_rows(
    ideal: &Subject,
    requirements: &Requirements,
    options: &AnalysisOptions,
) -> Result<Vec<Row>, AnalysisError> {
    let model = ideal.model()?;
    let range = ideal.range()?;
    let solved = ideal
        .elastic_range()?
        .map(|range| {
            Look::new(model, range, ideal.region(), requirements, options, None)
                .solve(model, Envelope::OfSamples)
        })
        .transpose()?;
    let rings = solved.map_or(Vec::new(), |solved| solved.rings);
    let summary = ideal.summary()?;
    let mut judged = rows(requirements, summary, range, ideal.region(), model, &rings);
    // The ideal linkage has no holes.
    judged.retain(|row| !matches!(row.quantity, Quantity::Wall | Quantity::Land));
    Ok(judged)
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
    let azimuth = ring.directions().next()?.azimuth;
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
