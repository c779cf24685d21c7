//! One cell of a map.

use crate::brief::LoadCase;
use crate::design::{Design, Support};
use crate::elasticity::{ElasticityError, FewDigits};
use crate::kinematics::conditioning::coverage;
use crate::kinematics::workspace::Stand;
use crate::kinematics::{WorkingRange, Workspace};
use crate::quantity::{Need, Over, Quantity, Unit};
use crate::subject::{Model, Subject};
use crate::uncertain::Corner;

use super::by_cells::{ByCells, Poses, free_range};
use super::variable::Variable;
use crate::analysis::AnalysisOptions;
use crate::analysis::around::Around;
use crate::analysis::by_cells;
use crate::analysis::fewest_layers::{layers_of_count, renew_listed_layers};
use crate::analysis::judged::Look;
use crate::analysis::point::StiffnessScalars;
use crate::analysis::requirements::Requirements;
use crate::analysis::ring::{Covered, Envelope, RingPlace, RingResult, pose_at, solve_ring_over};
use crate::analysis::roll::RollRange;
use crate::analysis::values::{At, Reached, Source, at_direction, source, worse};

/// What is computed for every cell.
#[derive(Debug, Clone)]
pub struct MapTask {
    /// Region, margins and loads.
    pub requirements: Requirements,
    /// What is shown.
    pub quantities: Vec<Quantity>,
    /// Polar angle at which elastic quantities are taken, rad; `None` is the
    /// worst over the covered directions.
    pub at_polar: Option<f64>,
    /// Stiffness as k·R³/(E·I): R the joint radius, I for bending in the arc's plane.
    pub dimensionless: bool,
}

/// One quantity of a cell.
#[derive(Debug, Clone, Copy, PartialEq, Default)]
pub struct CellValue {
    /// With rigid joints, for a built design that of the ideal linkage; equal to `real`
    /// for what joints do not change.
    pub rigid: Option<f64>,
    /// With the design's joints.
    pub real: Option<f64>,
}

/// Why a cell lacks a value.
#[derive(Debug, Clone, PartialEq)]
pub enum NoValue {
    /// The design cannot be built; the reason.
    NotBuilt(String),
    /// No direction of the region is reached with the margins.
    NothingReached,
    /// The polar angle asked for is not reached at all.
    PolarNotReached,
    /// The polar angle asked for is reached, but not with the margins.
    PolarOnlyWithoutMargins,
    /// The structure has no answer at a configuration; the reason.
    NotSolved(String),
    /// A value came out as no finite number.
    NotFinite,
}

impl NoValue {
    /// The reason in words.
    pub fn words(&self) -> String {
        match self {
            NoValue::NotBuilt(reason) => format!("cannot be built: {reason}"),
            NoValue::NothingReached => {
                "no direction of the region is reached with the margins".to_string()
            }
            NoValue::PolarNotReached => "the polar angle is not reached".to_string(),
            NoValue::PolarOnlyWithoutMargins => {
                "the polar angle is reached, but not with the margins".to_string()
            }
            NoValue::NotSolved(reason) => format!("no elastic answer: {reason}"),
            NoValue::NotFinite => "the value is no finite number".to_string(),
        }
    }

    /// The reason in a few words, the same for all cells it applies to.
    pub fn kind(&self) -> &'static str {
        match self {
            NoValue::NotBuilt(_) => "cannot be built",
            NoValue::NothingReached => "region not reached",
            NoValue::PolarNotReached => "polar angle not reached",
            NoValue::PolarOnlyWithoutMargins => "polar angle reached, margin too small",
            NoValue::NotSolved(_) => "no elastic answer",
            NoValue::NotFinite => "no finite value",
        }
    }
}

/// One cell.
#[derive(Debug, Clone, PartialEq)]
pub struct Cell {
    /// Greatest polar angle of the working range without margins, rad.
    pub reach: Option<f64>,
    /// Covered share of the region, with the margins of the requirements.
    pub coverage: Option<f64>,
    /// Whether the region is reached as required: the brief's coverage, or without a
    /// brief the region's outer edge. Worst values over a region compare only
    /// between cells that do.
    pub reaches_region: bool,
    /// Values in the order of the task's quantities.
    pub values: Vec<CellValue>,
    /// Why a value is missing; `None` if none is.
    pub reason: Option<NoValue>,
    /// How many digits of the elastic values are sure, where they are not enough.
    pub few_digits: Option<FewDigits>,
}

/// Computes one cell: a design with changes applied, uncertain numbers at their
/// nominal value.
pub fn cell(base: &Design, changes: &[(Variable, f64)], task: &MapTask) -> Cell {
    let empty = |reason: NoValue| Cell {
        reach: None,
        coverage: None,
        reaches_region: false,
        values: vec![CellValue::default(); task.quantities.len()],
        reason: Some(reason),
        few_digits: None,
    };
    let mut design = base.at_corner(Corner::Nominal);
    if let Err(reason) = change(&mut design, changes, &task.requirements) {
        return empty(NoValue::NotBuilt(reason));
    }
    let at_polar = changes
        .iter()
        .find(|(variable, _)| *variable == Variable::Polar)
        .map_or(task.at_polar, |(_, value)| Some(*value));
    let subject = task.requirements.subject(&design);
    let ready = subject
        .as_ref()
        .map_err(Clone::clone)
        .and_then(|subject| Asked::of(subject, at_polar, task));
    match ready {
        Ok(asked) => {
            let mut found = asked.cell();
            if design.is_built() {
                set_beside_ideal(&asked, &mut found);
            }
            found
        }
        Err(error) => empty(NoValue::NotBuilt(error.to_string())),
    }
}

/// Changes a design by several variables, its layers included, whatever their order.
///
/// # Errors
/// In words, where the design has no such number or cannot be built so.
pub fn change(
    design: &mut Design,
    changes: &[(Variable, f64)],
    requirements: &Requirements,
) -> Result<(), String> {
    Variable::apply_all(design, changes).map_err(|error| error.to_string())?;
    let value_of = |wanted: Variable| {
        let found = changes.iter().find(|(variable, _)| *variable == wanted);
        found.map(|(_, value)| *value)
    };
    let Some(count) = value_of(Variable::Layers) else {
        if value_of(Variable::Stages).is_some() {
            renew_listed_layers(design, requirements);
        }
        return Ok(());
    };
    let count = count.round().max(0.0) as usize;
    let motion = requirements
        .motion(design)
        .map_err(|error| error.to_string())?;
    let option = layers_of_count(design, &motion, count)
        .map_err(|error| error.to_string())?
        .ok_or_else(|| format!("{count} layers leave nothing free in the middle of the range"))?;
    if let Some(layers) = &mut design.layers {
        layers.arrangement = option.arrangement();
    }
    Ok(())
}

/// Puts the ideal linkage's values in the place of those with rigid joints.
fn set_beside_ideal(asked: &Asked, found: &mut Cell) {
    let ideal = asked.subject.beside(asked.subject.design.ideal()).ok();
    let values = ideal.as_ref().and_then(|ideal| {
        let asked = Asked::of(ideal, asked.at_polar, asked.task).ok()?;
        Some(asked.cell().values)
    });
    for (index, value) in found.values.iter_mut().enumerate() {
        value.rigid = values.as_ref().and_then(|values| values[index].real);
    }
}

/// Greatest polar angle of the working range without margins, rad; `None` for what
/// cannot be built or reaches nothing.
pub(super) fn reach(base: &Design, changes: &[(Variable, f64)], task: &MapTask) -> Option<f64> {
    let mut design = base.at_corner(Corner::Nominal);
    change(&mut design, changes, &task.requirements).ok()?;
    let subject = task.requirements.subject(&design).ok()?;
    if let Some(workspace) = Workspace::of(subject.kinematics()) {
        return Some(free_range(&workspace, &subject)?.polar[1]);
    }
    let range = subject.free_range().ok()?;
    range.map(|range| range.polar_max())
}

/// A changed design, with what is asked of it.
struct Asked<'a> {
    subject: &'a Subject,
    model: &'a Model,
    task: &'a MapTask,
    at_polar: Option<f64>,
    /// What turns about no fixed axis is asked by cells.
    cells: Option<ByCells>,
    around: Option<Around<'a>>,
}

/// Values in the order of the task's quantities, why one is missing, and how many digits of the
/// elastic ones are sure.
type Valued = (Vec<CellValue>, Option<NoValue>, Option<FewDigits>);

/// What directions say of one structure: the compliance at the tip alone, or all of it.
#[derive(Clone, Default)]
struct Elastic {
    stiffness: Vec<StiffnessScalars>,
    rings: Vec<RingResult>,
    /// How many digits are sure, where they are not enough.
    few_digits: Option<FewDigits>,
}

fn few_digits_of(rings: &[RingResult]) -> Option<FewDigits> {
    let each = rings.iter().filter_map(|ring| ring.few_digits);
    each.reduce(FewDigits::fewer)
}

fn fewer(one: Option<FewDigits>, other: Option<FewDigits>) -> Option<FewDigits> {
    one.into_iter().chain(other).reduce(FewDigits::fewer)
}

/// Where elastic quantities are taken.
enum Places<'a> {
    /// Over the region, as the analysis looks at it.
    Region(Look<'a>),
    /// Polar angles, as second mechanism angles, with the azimuths on each.
    Rings(Vec<RingPlace>),
    /// Poses, each by itself.
    Poses(Vec<Stand>),
}

impl<'a> Asked<'a> {
    fn of(
        subject: &'a Subject,
        at_polar: Option<f64>,
        task: &'a MapTask,
    ) -> Result<Self, ElasticityError> {
        Ok(Self {
            subject,
            model: subject.model()?,
            task,
            at_polar,
            cells: ByCells::of(subject, &task.requirements),
            around: Around::new(subject, &task.requirements).ok().flatten(),
        })
    }

    /// Working ranges without margins, with those of the requirements, with those of the
    /// elastic part. A range that cannot be told is none.
    fn free(&self) -> Option<&WorkingRange> {
        self.subject.free_range().ok().flatten()
    }

    fn range(&self) -> Option<&WorkingRange> {
        self.subject.range().ok().flatten()
    }

    fn elastic(&self) -> Option<&WorkingRange> {
        self.subject.elastic_range().ok().flatten()
    }

    fn cell(&self) -> Cell {
        let covered = match (&self.cells, self.range()) {
            (Some(cells), _) => cells.coverage(),
            (None, Some(range)) if self.around.is_some() => self.coverage_among(range),
            (None, Some(range)) => {
                coverage(&self.model.kinematics, range, self.subject.region()).fraction
            }
            (None, None) => 0.0,
        };
        let (values, reason, few_digits) = match self.values(covered) {
            Ok(found) => found,
            Err(error) => (
                vec![CellValue::default(); self.task.quantities.len()],
                Some(NoValue::NotSolved(error.to_string())),
                None,
            ),
        };
        Cell {
            reach: self.reach(),
            coverage: Some(covered),
            reaches_region: self.reaches_region(covered),
            values,
            reason,
            few_digits,
        }
    }

    /// The share of the region that keep-outs certainly leave, as the analysis counts it.
    fn coverage_among(&self, range: &WorkingRange) -> f64 {
        let left = self.around.as_ref().map(|around| around.coverage(range).0);
        left.map_or(0.0, |[certain, _]| certain)
    }

    /// Greatest polar angle without margins, rad.
    fn reach(&self) -> Option<f64> {
        match &self.cells {
            Some(cells) => cells.reach(),
            None => self.free().map(WorkingRange::polar_max),
        }
    }

    fn reaches_region(&self, covered: f64) -> bool {
        if let Some(needed) = self.task.requirements.coverage_min {
            return covered >= needed * (1.0 - 1e-9);
        }
        if let Some(cells) = &self.cells {
            return cells.reaches_all();
        }
        let edge = self
            .subject
            .region()
            .polar_extent()
            .map_or(0.0, |[_, edge]| edge);
        self.free()
            .is_some_and(|range| range.polar_max() >= edge - 1e-9)
    }

    fn values(&self, covered: f64) -> Result<Valued, ElasticityError> {
        let of_directions = |quantity: &Quantity| quantity.is_of_directions();
        // Nothing reached leaves no mean and no least over the part reached.
        let reached = self.range().filter(|_| covered > 0.0);
        let of_range = |quantity: &Quantity| quantity.facts().over == Over::WorkingRange;
        let wanted = self.task.quantities.iter().any(of_range);
        let by_cells = self.cells.as_ref().map(ByCells::conditioning);
        let summary = match &by_cells {
            Some(conditioning) => conditioning.as_ref(),
            None => reached
                .filter(|_| wanted)
                .and_then(|_| self.subject.summary().ok()),
        };
        let required = self.range().and_then(|range| {
            Covered::new(&self.model.kinematics, range, self.subject.region()).second()
        });
        let reached = Reached {
            kinematics: &self.model.kinematics,
            range: self.range(),
            required,
            roll: self.roll(required),
            reach: self.reach(),
            cells: self.cells.as_ref().and_then(ByCells::report),
            coverage: covered,
            summary,
        };
        let (mut real, mut rigid) = (Elastic::default(), Elastic::default());
        let mut missing = None;
        if self.task.quantities.iter().any(of_directions) {
            match self.places() {
                Ok(places) => (rigid, real) = self.both(&places)?,
                Err(reason) => missing = Some(reason),
            }
        }
        let mut values: Vec<CellValue> = self
            .task
            .quantities
            .iter()
            .map(|quantity| self.value(*quantity, &reached, [&rigid, &real]))
            .collect();
        if missing.is_none() && values.iter().any(|value| value.real.is_none()) {
            missing = Some(NoValue::NothingReached);
        }
        for value in &mut values {
            let finite = CellValue {
                rigid: value.rigid.filter(|v| v.is_finite()),
                real: value.real.filter(|v| v.is_finite()),
            };
            if finite != *value {
                *value = finite;
                missing = missing.or(Some(NoValue::NotFinite));
            }
        }
        let few_digits = fewer(real.few_digits, rigid.few_digits);
        Ok((values, missing, few_digits))
    }

    /// How far the tool rolls over the covered part of the region, if that is asked.
    fn roll(&self, required: Option<[f64; 2]>) -> Option<RollRange> {
        if !self.task.quantities.contains(&Quantity::ToolRollRange) {
            return None;
        }
        let Some(cells) = &self.cells else {
            return RollRange::along(&self.model.kinematics, required?);
        };
        match cells.poses(None, &AnalysisOptions::default()) {
            Poses::Found(stands) => RollRange::of_poses(&stands),
            Poses::OnlyWithoutMargins | Poses::Nowhere => None,
        }
    }

    fn places(&self) -> Result<Places<'_>, NoValue> {
        let meridian = &self.model.kinematics.meridian;
        let options = AnalysisOptions::default();
        if let Some(cells) = &self.cells {
            return match (cells.poses(self.at_polar, &options), self.at_polar) {
                (Poses::Found(stands), _) => Ok(Places::Poses(stands)),
                (Poses::OnlyWithoutMargins, _) => Err(NoValue::PolarOnlyWithoutMargins),
                (Poses::Nowhere, Some(_)) => Err(NoValue::PolarNotReached),
                (Poses::Nowhere, None) => Err(NoValue::NothingReached),
            };
        }
        let Some(polar) = self.at_polar else {
            let range = self.elastic().ok_or(NoValue::NothingReached)?;
            let look = Look::new(
                self.model,
                range,
                self.subject.region(),
                &self.task.requirements,
                &options,
                self.around.as_ref(),
            );
            return Ok(Places::Region(look.under(
                self.model,
                self.loads(),
                &options,
            )));
        };
        let second = |range: Option<&WorkingRange>| {
            range.and_then(|range| range.second_for_polar(meridian, polar))
        };
        match (self.elastic(), second(self.elastic())) {
            (Some(range), Some(second)) => {
                let free = range.azimuths(meridian, second);
                let needed = free.intersection(&self.subject.region().azimuths_at(polar));
                let azimuths = if needed.is_empty() { free } else { needed };
                Ok(Places::Rings(vec![RingPlace {
                    second,
                    azimuths: azimuths.samples(options.around),
                    arcs: azimuths,
                }]))
            }
            _ if second(self.free()).is_some() => Err(NoValue::PolarOnlyWithoutMargins),
            _ => Err(NoValue::PolarNotReached),
        }
    }

    /// Elastic values with rigid joints and with the design's.
    fn both(&self, places: &Places<'_>) -> Result<(Elastic, Elastic), ElasticityError> {
        let real = self.elastic_values(self.model, places)?;
        // A built design has its ideal linkage beside it, which is another subject.
        let design = &self.subject.design;
        if design.joints.stiffness.is_none() || design.is_built() {
            return Ok((real.clone(), real));
        }
        let mut design = design.clone();
        design.make_joints_rigid();
        let rigid = self.elastic_values(self.subject.beside(design)?.model()?, places)?;
        Ok((rigid, real))
    }

    /// The load cases that must be solved for what is shown.
    fn loads(&self) -> &[LoadCase] {
        // Strength is under weight and any one load case.
        let under_loads = |one: &Quantity| {
            let strength = [Quantity::SafetyFactor, Quantity::BearingStaticSafety];
            one.is_per_load() || strength.contains(one)
        };
        if self.task.quantities.iter().any(under_loads) {
            &self.task.requirements.loads
        } else {
            &[]
        }
    }

    fn elastic_values(
        &self,
        model: &Model,
        places: &Places<'_>,
    ) -> Result<Elastic, ElasticityError> {
        let rings = match places {
            Places::Rings(rings) => rings,
            Places::Region(look) => {
                let refined = look.solve(model, Envelope::OfSamples)?;
                let directions = refined.rings.iter().flat_map(RingResult::directions);
                return Ok(Elastic {
                    stiffness: directions.map(|point| point.stiffness).collect(),
                    few_digits: refined.few_digits,
                    rings: refined.rings,
                });
            }
            Places::Poses(stands) => {
                let rings = by_cells::solve(model, stands, self.loads())?.rings;
                return Ok(Elastic {
                    stiffness: rings.iter().map(|ring| ring.stiffness).collect(),
                    few_digits: few_digits_of(&rings),
                    rings,
                });
            }
        };
        let asked = |wanted: fn(Source) -> bool| {
            let mut quantities = self.task.quantities.iter();
            quantities.any(|quantity| wanted(source(*quantity)))
        };
        let mut found = Elastic::default();
        if asked(|source| matches!(source, Source::Direction(_))) {
            for place in rings {
                let ring = solve_ring_over(model, place, self.loads(), Envelope::OfSamples)?;
                found.rings.push(ring);
            }
            found.few_digits = few_digits_of(&found.rings);
        }
        if asked(|source| matches!(source, Source::Compliance(_))) {
            // A column need not be the same all around; then every azimuth has its own stiffness.
            let one = !matches!(
                self.subject.design.mount.support,
                Some(Support::Column { .. })
            );
            for place in rings {
                let second = &place.second;
                for azimuth in place.azimuths.iter().take(if one { 1 } else { usize::MAX }) {
                    let pose = pose_at(model, *second, *azimuth)?;
                    let solved = model.structure.solve(&pose.configuration, &pose.frame)?;
                    found.few_digits = fewer(found.few_digits, solved.few_digits());
                    found
                        .stiffness
                        .push(StiffnessScalars::of(&solved.tip_compliance()));
                }
            }
        }
        Ok(found)
    }

    fn value(
        &self,
        quantity: Quantity,
        reached: &Reached<'_>,
        [rigid, real]: [&Elastic; 2],
    ) -> CellValue {
        let both = |value: Option<f64>| CellValue {
            rigid: value,
            real: value,
        };
        match source(quantity) {
            Source::Reached(value) => both(value(reached).map(|placed| placed.value)),
            Source::Linkage(value) => both(Some(value(self.model))),
            Source::Compliance(_) | Source::Direction(_) if !quantity.needs(Need::Joints) => {
                both(self.worst(quantity, real))
            }
            Source::Compliance(_) | Source::Direction(_) => CellValue {
                rigid: self.worst(quantity, rigid),
                real: self.worst(quantity, real),
            },
        }
    }

    /// The worst value over all that was solved.
    fn worst(&self, quantity: Quantity, elastic: &Elastic) -> Option<f64> {
        let worse = |a, b| worse(quantity, a, b);
        if let Source::Compliance(value) = source(quantity) {
            let found = elastic.stiffness.iter().map(value).reduce(worse);
            return found.map(|found| found * self.scale(quantity));
        }
        let points = elastic.rings.iter().flat_map(|ring| {
            let points = ring.directions();
            points.map(move |point| (ring, point))
        });
        points
            .filter_map(|(ring, point)| {
                let at = At {
                    model: self.model,
                    ring,
                    point,
                    load: None,
                };
                at_direction(quantity, &at)
            })
            .reduce(worse)
    }

    /// What a stiffness is multiplied by where it is asked for without dimension.
    fn scale(&self, quantity: Quantity) -> f64 {
        if self.task.dimensionless && quantity.unit() == Unit::NewtonPerMillimetre {
            let bending = self.model.structure.bar().bending_in_plane;
            self.subject.design.joint_radius.powi(3) / bending
        } else {
            1.0
        }
    }
}
