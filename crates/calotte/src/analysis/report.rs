//! The whole analysis of one design against its requirements.

use rayon::prelude::*;
use thiserror::Error;

use crate::brief::LoadCase;
use crate::built::Wall;
use crate::design::Design;
use crate::elasticity::virtual_joints::{Comparison, compare};
use crate::elasticity::{ElasticityError, ValidityNote};
use crate::family::parameters::NotAvailable;
use crate::interference::ClearingError;
use crate::kinematics::conditioning::ConditioningSummary;
use crate::kinematics::working_range::{SingularityReport, singularity_report};
use crate::kinematics::{Kinematics, WorkingRange};
use crate::linkage::mobility::{Mobility, MobilityError, checked_mobility};
use crate::quantity::Quantity;
use crate::sphere::{Region, RegionError};
use crate::subject::{Model, Subject};
use crate::surroundings::ShapeError;

use super::around::{Around, SurroundingsReport};
use super::bands::{Questions, add_bands};
use super::between::{Refined, nearest_to_singular, refined};
use super::cells::CellsReport;
use super::judge::Found;
use super::loaded_index::{IndexUnderLoad, indices_under_load};
use super::point::{ConfigurationResult, configuration_result};
use super::precision::{Solved, fewest};
use super::reach::{ClearingReport, clearing_report};
use super::requirements::Requirements;
use super::ring::{Envelope, JointLoad, RingResult, needs_no_samples, pose_at, solve_ring_over};
use super::ring_grid::{Covered, RingPlace};
use super::rows::{Row, Verdict};
use super::typical::WithTypicalSupports;
use super::values::{Reached, Source, around, source};

/// How finely the region is sampled.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct AnalysisOptions {
    /// Polar angles, both ends included, before more are added between them.
    pub rings: usize,
    /// Azimuths on each, about.
    pub around: usize,
    /// Whether the ends of bands are evaluated too.
    pub bands: bool,
    /// Whether they are left out where a limit is missed at nominal values already, so that the
    /// verdict does not depend on them. The options of an analysis then say that they were.
    pub bands_only_if_met: bool,
    /// Whether singularities between samples are excluded by proof.
    pub proof: bool,
}

impl AnalysisOptions {
    /// Whether the ends of bands are evaluated for these rows, judged at nominal values.
    pub(super) fn want_bands(&self, rows: &[Row]) -> bool {
        let missed = |row: &Row| row.met_at_nominal() == Some(false);
        self.bands && !(self.bands_only_if_met && rows.iter().any(missed))
    }
}

impl Default for AnalysisOptions {
    fn default() -> Self {
        Self {
            rings: 25,
            around: 12,
            bands: true,
            bands_only_if_met: false,
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
    let around = Around::new(subject, requirements)?;
    let look = elastic_range.map(|range| {
        let keep_outs = around.as_ref();
        Look::new(model, range, region, requirements, options, keep_outs)
    });
    let solved = look
        .as_ref()
        .map(|look| look.solve(model, Envelope::OfArcs))
        .transpose()?;
    let between_rings = solved.as_ref().map(|solved| solved.left);
    let mut notes = model.structure.notes().to_vec();
    let few_digits = solved.as_ref().and_then(|solved| solved.few_digits);
    notes.extend(few_digits.map(ValidityNote::FewDigits));
    let rings = solved.map_or(Vec::new(), |solved| solved.rings);
    let surroundings = around
        .as_ref()
        .zip(range)
        .map(|(around, range)| around.report(range, requirements.way_in));
    let mut rows = rows(requirements, summary, range, region, model, &rings);
    if let Some(surroundings) = &surroundings {
        judge_among(surroundings, &mut rows);
    }
    let bands = options.want_bands(&rows);
    if let Some(look) = look.as_ref().filter(|_| bands) {
        note_bands(subject, look, requirements, &rings, &mut rows)?;
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

/// Where a design is looked at, for it and for others that move alike.
struct Look<'a> {
    covered: Covered<'a>,
    grid: Vec<RingPlace>,
    seeds: Vec<f64>,
    /// Azimuths on rings between those of the grid: only what is the same all around has its
    /// worst azimuths found.
    samples: usize,
    keep_outs: Option<&'a Around<'a>>,
    loads: &'a [LoadCase],
}

impl<'a> Look<'a> {
    fn new(
        model: &'a Model,
        range: &'a WorkingRange,
        region: &'a Region,
        requirements: &'a Requirements,
        options: &AnalysisOptions,
        keep_outs: Option<&'a Around<'a>>,
    ) -> Self {
        let covered = Covered::new(&model.kinematics, range, region);
        let mut grid = covered.grid(options.rings, options.around);
        if let Some(keep_outs) = keep_outs {
            grid.par_iter_mut()
                .for_each(|place| keep_outs.keep_clear(model, place));
        }
        grid.retain(RingPlace::has_directions);
        let mut seeds: Vec<f64> = covered
            .second()
            .map(|second| nearest_to_singular(&model.kinematics, second))
            .unwrap_or_default();
        // The required arcs change their form here.
        let breaks = region.polar_breaks();
        seeds.extend(
            breaks
                .iter()
                .flat_map(|polar| [polar - BESIDE, polar + BESIDE]),
        );
        let inside = |polar: &f64| {
            covered
                .polar()
                .is_some_and(|[lo, hi]| lo < *polar && *polar < hi)
        };
        seeds.retain(inside);
        Self {
            covered,
            grid,
            seeds,
            samples: if needs_no_samples(model, &requirements.loads) {
                0
            } else {
                options.around
            },
            keep_outs,
            loads: &requirements.loads,
        }
    }

    fn ring(
        &self,
        model: &Model,
        place: &RingPlace,
        envelope: Envelope,
    ) -> Result<RingResult, ElasticityError> {
        solve_ring_over(model, place, self.loads, envelope)
    }

    /// Solves the rings of the grid, and between them those that may be worse.
    fn solve(&self, model: &Model, envelope: Envelope) -> Result<Refined, ElasticityError> {
        let solved: Vec<_> = self
            .grid
            .par_iter()
            .map(|place| self.ring(model, place, envelope))
            .collect();
        let solved = Solved::of(solved)?;
        let (few_digits, grid) = (solved.few_digits, solved.rings);
        if self.covered.polar().is_none() {
            return Ok(Refined {
                rings: grid,
                left: 0.0,
                few_digits,
            });
        }
        let at = |polar: f64| {
            let mut place = self.covered.at(polar, self.samples)?;
            if let Some(keep_outs) = self.keep_outs {
                keep_outs.keep_clear(model, &mut place);
            }
            let ring = place
                .has_directions()
                .then(|| self.ring(model, &place, envelope));
            ring?.ok()
        };
        let mut refined = refined(grid, &at, &self.seeds, &|ring| {
            badness(model, ring, self.loads.len())
        });
        refined.few_digits = fewest(few_digits, &refined.rings);
        Ok(refined)
    }
}

/// How far from a break of the region its rings lie, rad.
const BESIDE: f64 = 1e-7;

/// How bad a ring is by every row of directions: the value, or one over it where more is better.
fn badness(model: &Model, ring: &RingResult, loads: usize) -> Vec<f64> {
    let rows = Quantity::ROWS.into_iter().filter(|quantity| {
        matches!(
            source(*quantity),
            Source::Compliance(_) | Source::Direction(_)
        )
    });
    rows.flat_map(|quantity| {
        let cases = if quantity.is_per_load() {
            (0..loads).map(Some).collect()
        } else {
            vec![None]
        };
        cases.into_iter().map(move |load| {
            let value = around(quantity, model, ring, load);
            value.map_or(0.0, |value| {
                if quantity.more_is_better() {
                    1.0 / value
                } else {
                    value
                }
            })
        })
    })
    .collect()
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

/// The rows of a design that reaches a range, solved over its rings.
fn rows(
    requirements: &Requirements,
    summary: &ConditioningSummary,
    range: Option<&WorkingRange>,
    region: &Region,
    model: &Model,
    rings: &[RingResult],
) -> Vec<Row> {
    let required = range.and_then(|range| Covered::new(&model.kinematics, range, region).second());
    let reached = Reached {
        kinematics: &model.kinematics,
        range,
        required,
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

/// Notes the bands of the rows, over the rings of the nominal values.
fn note_bands(
    subject: &Subject,
    look: &Look<'_>,
    requirements: &Requirements,
    rings: &[RingResult],
    rows: &mut [Row],
) -> Result<(), AnalysisError> {
    let by_equations = look.samples == 0;
    let places: Vec<RingPlace> = rings
        .iter()
        .map(|ring| {
            let mut place = ring.place();
            if by_equations && !place.arcs.is_empty() {
                place.azimuths.clear();
            }
            place
        })
        .collect();
    let questions = Questions {
        everywhere: &|model| {
            let places = places.par_iter();
            places
                .map(|place| look.ring(model, place, Envelope::OfSamples).ok())
                .collect()
        },
        at: &|model, place| {
            look.ring(model, places.get(place)?, Envelope::OfSamples)
                .ok()
        },
        rows: &|other| {
            let model = other.model()?;
            let rings = look.solve(model, Envelope::OfSamples)?.rings;
            let summary = ConditioningSummary::of_nothing(subject.region());
            Ok(self::rows(
                requirements,
                &summary,
                None,
                subject.region(),
                model,
                &rings,
            ))
        },
    };
    add_bands(subject, &questions, &requirements.loads, rows)
}
