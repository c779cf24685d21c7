//! The rows of an analysis: every quantity that can be a row, taken over the region.

use crate::built::Degree;
use crate::quantity::{Missing, Need, Quantity};
use crate::sphere::Direction;
use crate::subject::Model;
use crate::subject::joint_strength::JointStrength;

use super::cells::CellsReport;
use super::requirements::Requirements;
use super::ring::{RingResult, StressedPart};
use super::rows::Row;
use super::values::{At, Placed, Reached, Source, at_direction, source};

/// Torques that differ by less than this share are the same.
const SAME: f64 = 1e-9;

/// What rows are judged from.
pub(super) struct Found<'a> {
    /// Region, limits and loads.
    pub(super) requirements: &'a Requirements,
    /// The design.
    pub(super) model: &'a Model,
    /// What it reaches.
    pub(super) reached: Reached<'a>,
    /// Solved rings over the covered directions.
    pub(super) rings: &'a [RingResult],
}

impl Found<'_> {
    /// One row for each quantity, of each load case where it has one of its own.
    pub(super) fn rows(&self) -> Vec<Row> {
        let mut rows = Vec::new();
        for quantity in Quantity::ROWS {
            if quantity.is_per_load() {
                let loads = 0..self.requirements.loads.len();
                rows.extend(loads.map(|load| self.row(quantity, Some(load))));
            } else {
                let row = self.row(quantity, None);
                if self.is_shown(&row) {
                    rows.push(row);
                }
            }
        }
        rows
    }

    /// Whether a row says anything about this design.
    fn is_shown(&self, row: &Row) -> bool {
        let stages = self.model.kinematics.meridian.loops() > 0 && self.reached.range.is_some();
        if row.quantity.needs(Need::Stages) && !stages && self.reached.cells.is_none() {
            // A limit is never passed over in silence.
            return row.needed.is_some();
        }
        // Bearings that nobody described are no finding, nor are holes that are not there.
        let may_be_absent = [Need::BearingRating, Need::Hole, Need::TwoHoles]
            .into_iter()
            .any(|need| row.quantity.needs(need));
        if row.quantity == Quantity::Land && row.needed.is_none() {
            // Arms are long: a land is worth a row where it is narrow.
            let land = self.model.built.narrowest_land();
            return land.is_some_and(|land| land.degree() != Degree::Enough);
        }
        !may_be_absent || row.needed.is_some() || row.got.is_ok()
    }

    fn row(&self, quantity: Quantity, load: Option<usize>) -> Row {
        let requirements = self.requirements;
        let found = match not_described(self.model, quantity) {
            Some(missing) => Err(missing),
            None => self.value(quantity, load),
        };
        let over_region = found.is_ok().then(|| self.ends(quantity, load)).flatten();
        let (got, at, note) = match found {
            Ok(placed) => (Ok(placed.value), placed.at, placed.note),
            Err(missing) => (Err(missing), None, String::new()),
        };
        Row {
            quantity,
            load: load.map(|load| requirements.loads[load].name.clone()),
            needed: requirements.limit_of(quantity, load),
            judged_at: requirements.limits.judged_at,
            got,
            band: None,
            band_inputs: None,
            worst_end_as_beams: None,
            alone: Vec::new(),
            suffices: Vec::new(),
            over_region,
            worst_at: at,
            note,
        }
    }

    fn value(&self, quantity: Quantity, load: Option<usize>) -> Result<Placed, Missing> {
        match source(quantity) {
            Source::Reached(value) => {
                let mut placed = value(&self.reached).ok_or_else(|| {
                    not_computed(match (self.reached.range, self.reached.cells) {
                        (Some(_), _) | (_, Some(_)) => "no direction of the region is covered",
                        (None, None) => "no working range",
                    })
                })?;
                if quantity == Quantity::Coverage {
                    placed.note = match (self.reached.range, self.reached.cells) {
                        (Some(range), _) => range_words(range),
                        (None, Some(cells)) => cells_words(cells),
                        (None, None) => String::new(),
                    };
                }
                Ok(placed)
            }
            Source::Linkage(value) => Ok(Placed {
                value: value(self.model),
                at: None,
                note: wall_words(self.model, quantity),
            }),
            Source::Compliance(_) | Source::Direction(_) => self
                .worst(quantity, load)
                .ok_or_else(|| not_computed("no covered direction has an elastic answer")),
        }
    }

    /// The worst value over all directions, of equal ones the first.
    fn worst(&self, quantity: Quantity, load: Option<usize>) -> Option<Placed> {
        let worse = |a: f64, b: f64| {
            if quantity.more_is_better() {
                a < b
            } else {
                a > b
            }
        };
        let mut worst: Option<(f64, At<'_>)> = None;
        for ring in self.rings {
            for point in ring.directions() {
                let at = At {
                    model: self.model,
                    ring,
                    point,
                    load,
                };
                if let Some(value) = at_direction(quantity, &at)
                    && worst.as_ref().is_none_or(|(than, _)| worse(value, *than))
                {
                    worst = Some((value, at));
                }
            }
        }
        worst.map(|(value, at)| Placed {
            value,
            at: Some(Direction {
                polar: at.ring.polar,
                azimuth: at.point.azimuth,
            }),
            note: self.note(quantity, &at),
        })
    }

    /// Least and greatest value over all directions; `None` where directions have none.
    fn ends(&self, quantity: Quantity, load: Option<usize>) -> Option<[f64; 2]> {
        if !quantity.is_of_directions() {
            return None;
        }
        let mut ends: Option<[f64; 2]> = None;
        for ring in self.rings {
            for point in ring.directions() {
                let model = self.model;
                let at = At {
                    model,
                    ring,
                    point,
                    load,
                };
                if let Some(value) = at_direction(quantity, &at) {
                    let [low, high] = ends.unwrap_or([value; 2]);
                    ends = Some([low.min(value), high.max(value)]);
                }
            }
        }
        ends
    }

    /// What governs at a direction, in words.
    fn note(&self, quantity: Quantity, at: &At<'_>) -> String {
        let linkage = &self.model.kinematics.linkage;
        match quantity {
            Quantity::HoldingTorque => {
                let [first, second] = at.point.torque;
                let joint = usize::from(first.abs() < second.abs());
                format!("{} drive", linkage.active_names[joint])
            }
            Quantity::LoadHoldingTorque => {
                let case = at.load.and_then(|load| at.point.cases.get(load));
                let load = at.load.map(|load| &self.requirements.loads[load]);
                let (Some(case), Some(load)) = (case, load) else {
                    return String::new();
                };
                let joint = usize::from(case.torque[0] < case.torque[1]);
                let by_weight = at.point.torque[joint].abs();
                let adds = (case.torque[joint] - by_weight).abs() > SAME * by_weight;
                let why = match (adds, load.meets_the_centre()) {
                    (true, _) => "",
                    (false, true) => "; the load adds none, its line meets the centre",
                    (false, false) => "; the load adds none there",
                };
                format!("{} drive{why}", linkage.active_names[joint])
            }
            Quantity::ContactStiffness => {
                "rise of the contact force on a body that moves 1 mm towards the tool, drives held"
                    .to_string()
            }
            Quantity::SafetyFactor => at.point.safety.map_or(String::new(), |safety| {
                let with = safety.load.map_or("weight alone".to_string(), |load| {
                    format!("weight and {}", self.requirements.loads[load].name)
                });
                format!("{}, {with}", part_name(self.model, safety.part))
            }),
            Quantity::BearingStaticSafety => {
                let joint = at.point.bearing_safety.map(|(_, joint)| joint);
                joint.map_or(String::new(), |joint| linkage.joints[joint].name.clone())
            }
            _ => String::new(),
        }
    }
}

fn not_computed(why: &str) -> Missing {
    Missing::NotComputed(why.to_string())
}

/// What is missing from a design for a quantity; `None` if nothing is.
pub(crate) fn not_described(model: &Model, quantity: Quantity) -> Option<Missing> {
    if quantity.needs(Need::Stages) && model.kinematics.linkage.loops() == 0 {
        let why = "no closed loop, so no type 2 singularity";
        return Some(Missing::NotThere(why.to_string()));
    }
    let built = &model.built;
    let no_hole = match quantity {
        Quantity::Wall => built.thinnest_wall().is_none(),
        Quantity::Land => built.narrowest_land().is_none(),
        _ => false,
    };
    if no_hole {
        let why = "no bar has holes or a void to leave a wall beside";
        return Some(Missing::NotThere(why.to_string()));
    }
    let missing = |need: &Need| match need {
        Need::ToolMass => (model.holding.tool_mass() <= 0.0).then_some("no tool mass is given"),
        Need::Fibres => {
            let unknown = model.stress.is_none();
            unknown.then_some("a custom section's fibres are not known")
        }
        Need::BearingRating => {
            let strength = model.joint_strength.as_ref();
            let known = strength.is_some_and(JointStrength::knows_rating);
            (!known).then_some("no static rating of the bearings is given")
        }
        Need::Joints
        | Need::Load
        | Need::AnyLoad
        | Need::Weight
        | Need::Stages
        | Need::Hole
        | Need::TwoHoles => None,
    };
    let reason = quantity.facts().needs.iter().find_map(missing)?;
    Some(Missing::NotDescribed(reason.to_string()))
}

/// Where the thinnest wall or narrowest land is, and how its part is made.
fn wall_words(model: &Model, quantity: Quantity) -> String {
    let wall = match quantity {
        Quantity::Wall => model.built.thinnest_wall(),
        Quantity::Land => model.built.narrowest_land(),
        _ => None,
    };
    wall.map_or(String::new(), |wall| {
        format!("{}, {}", wall.words(), wall.process.word())
    })
}

fn part_name(model: &Model, part: StressedPart) -> String {
    match part {
        StressedPart::Arc(arc) => model.structure.arc_body_name(arc).to_string(),
        StressedPart::Pin(joint) => {
            format!("pin of {}", model.kinematics.linkage.joints[joint].name)
        }
    }
}

/// How the coverage was found.
fn cells_words(cells: &CellsReport) -> String {
    format!("sampled in cells, ±{:.4}", cells.summary.coverage_error)
}

/// What ends the reach at its inner and outer edge.
fn range_words(range: &crate::kinematics::WorkingRange) -> String {
    let inner = range.inner_end();
    format!(
        "inner edge: {}; outer edge: {}",
        range.limits[inner].words(),
        range.limits[1 - inner].words()
    )
}
