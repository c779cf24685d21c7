//! What each quantity is worth: one function for each, wherever it is asked for.

use crate::kinematics::conditioning::{ConditioningSummary, local_conditioning_index};
use crate::kinematics::working_range::{self, state_transmission};
use crate::kinematics::{Kinematics, WorkingRange};
use crate::number::shown::degrees_to_a_tenth;
use crate::quantity::Quantity;
use crate::sphere::Direction;
use crate::subject::Model;

use super::cells::CellsReport;
use super::point::StiffnessScalars;
use super::ring::{CaseResult, PointResult, RingResult};
use super::roll::RollRange;

/// One direction of a solved ring.
#[derive(Debug, Clone, Copy)]
pub struct At<'a> {
    /// The design.
    pub model: &'a Model,
    /// Its ring.
    pub ring: &'a RingResult,
    /// The direction.
    pub point: &'a PointResult,
    /// The load case asked for, by its index; `None` is the worst of all.
    pub load: Option<usize>,
}

/// A working range with what is known of it.
#[derive(Debug, Clone, Copy)]
pub struct Reached<'a> {
    /// Kinematics.
    pub kinematics: &'a Kinematics,
    /// The range with the margins required; `None` if nothing has them.
    pub range: Option<&'a WorkingRange>,
    /// Least and greatest second mechanism angle at which it covers the region, rad; `None`
    /// where it covers nothing, and where nobody asks.
    pub required: Option<[f64; 2]>,
    /// Greatest polar angle of the range without margins, rad; a map alone looks for it.
    pub reach: Option<f64>,
    /// How far the tool rolls over the covered part of the region; `None` where it covers
    /// nothing, and where nobody asks.
    pub roll: Option<RollRange>,
    /// What cells say, of what turns about no fixed axis.
    pub cells: Option<&'a CellsReport>,
    /// Covered share of the region, 1.
    pub coverage: f64,
    /// Conditioning over the region; `None` where nothing is reached.
    pub summary: Option<&'a ConditioningSummary>,
}

impl Reached<'_> {
    /// Conditioning over the part of the region reached; `None` where nothing of it is, so
    /// that there is no mean and no least value, and no place of one.
    fn covering(&self) -> Option<&ConditioningSummary> {
        self.summary
            .filter(|summary| summary.coverage.covered > 0.0)
    }
}

/// A value with its place and what governs there.
#[derive(Debug, Clone, PartialEq)]
pub struct Placed {
    /// The value, SI.
    pub value: f64,
    /// Where it is, base frame; `None` where a place has no meaning.
    pub at: Option<Direction>,
    /// What governs there, in words; may be empty.
    pub note: String,
}

impl Placed {
    fn plain(value: f64) -> Self {
        Self {
            value,
            at: None,
            note: String::new(),
        }
    }
}

/// What a quantity is taken from, with the function that gives it.
#[derive(Debug, Clone, Copy)]
pub enum Source {
    /// The compliance at the tip alone, whatever acts.
    Compliance(fn(&StiffnessScalars) -> f64),
    /// A direction with its loads; `None` where it has no value there.
    Direction(fn(&At<'_>) -> Option<f64>),
    /// The working range; `None` without one.
    Reached(fn(&Reached<'_>) -> Option<Placed>),
    /// The linkage as a whole.
    Linkage(fn(&Model) -> f64),
}

/// What a quantity is taken from.
pub fn source(quantity: Quantity) -> Source {
    match quantity {
        Quantity::Coverage => Source::Reached(|reached| Some(Placed::plain(reached.coverage))),
        Quantity::Gci => Source::Reached(|reached| {
            let gci = reached.summary.map_or(0.0, |summary| summary.gci);
            Some(Placed {
                note: "area weight, unreached counts 0".to_string(),
                ..Placed::plain(gci)
            })
        }),
        Quantity::GciReached => {
            Source::Reached(|reached| Some(Placed::plain(reached.covering()?.gci_reached)))
        }
        Quantity::LciMin => Source::Reached(|reached| {
            let summary = reached.covering()?;
            Some(Placed {
                at: Some(match reached.cells {
                    Some(cells) => cells.summary.lci_min_at,
                    None => on_meridian(summary.lci_min_polar),
                }),
                ..Placed::plain(summary.lci_min)
            })
        }),
        Quantity::Reach => Source::Reached(|reached| Some(Placed::plain(reached.reach?))),
        Quantity::TransmissionAngle => Source::Reached(least_transmission),
        Quantity::ToolRollRange => Source::Reached(|reached| {
            let roll = reached.roll?;
            // As the summary says it.
            let [low, high] = roll.roll.map(|end| degrees_to_a_tenth(&end));
            Some(Placed {
                note: format!("{low} to {high}").replace('-', "−"),
                ..Placed::plain(roll.range())
            })
        }),
        Quantity::Joints => Source::Reached(|reached| {
            Some(Placed::plain(reached.kinematics.linkage.joints.len() as f64))
        }),
        Quantity::Stiffness => Source::Compliance(|scalars| scalars.least),
        Quantity::StiffnessMean => Source::Compliance(|scalars| scalars.mean),
        Quantity::StiffnessGeometricMean => Source::Compliance(|scalars| scalars.geometric_mean),
        Quantity::StiffnessTrace => Source::Compliance(|scalars| scalars.trace),
        Quantity::StiffnessPolar => Source::Compliance(|scalars| scalars.polar),
        Quantity::StiffnessAzimuth => Source::Compliance(|scalars| scalars.azimuth),
        Quantity::StiffnessRadial => Source::Compliance(|scalars| scalars.radial),
        // Along the tool, all else free: what slides on the body follows it radially alone.
        Quantity::ContactStiffness => Source::Compliance(|scalars| scalars.radial),
        Quantity::Isotropy => Source::Compliance(|scalars| scalars.isotropy),
        Quantity::ContactDeflection => Source::Direction(|at| by_case(at, |case| case.deflection)),
        Quantity::CentreShift => Source::Direction(|at| by_case(at, |case| case.centre_shift)),
        Quantity::ToolTilt => Source::Direction(|at| by_case(at, |case| case.tilt)),
        Quantity::Sag => Source::Direction(|at| Some(at.point.sag.norm())),
        Quantity::SagCentreShift => Source::Direction(|at| Some(at.point.sag_line.centre_shift())),
        Quantity::SagToolTilt => Source::Direction(|at| Some(at.point.sag_line.tilt())),
        Quantity::HoldingTorque => Source::Direction(|at| {
            let [first, second] = at.point.torque;
            Some(first.abs().max(second.abs()))
        }),
        Quantity::LoadHoldingTorque => {
            Source::Direction(|at| by_case(at, |case| case.torque[0].max(case.torque[1])))
        }
        Quantity::SafetyFactor => Source::Direction(|at| Some(at.point.safety?.factor)),
        Quantity::BearingStaticSafety => Source::Direction(|at| Some(at.point.bearing_safety?.0)),
        Quantity::MovingMass => Source::Linkage(|model| model.holding.moving_mass()),
        // Without a hole `judge` has no value of these.
        Quantity::Wall => Source::Linkage(|model| {
            let wall = model.built.thinnest_wall();
            wall.map_or(f64::INFINITY, |wall| wall.thickness)
        }),
        Quantity::Land => Source::Linkage(|model| {
            let land = model.built.narrowest_land();
            land.map_or(f64::INFINITY, |land| land.thickness)
        }),
    }
}

/// A value of the load case asked for, or the greatest of all.
fn by_case(at: &At<'_>, value: fn(&CaseResult) -> f64) -> Option<f64> {
    let cases = &at.point.cases;
    match at.load {
        Some(load) => cases.get(load).map(value),
        None => cases.iter().map(value).reduce(f64::max),
    }
}

/// The value of a quantity at one direction, SI; `None` where directions have none of it.
pub fn at_direction(quantity: Quantity, at: &At<'_>) -> Option<f64> {
    match source(quantity) {
        Source::Compliance(value) => Some(value(&at.point.stiffness)),
        Source::Direction(value) => value(at),
        Source::Reached(_) => at_angle(quantity)?(&at.model.kinematics, at.ring.second),
        Source::Linkage(_) => None,
    }
}

/// Of a quantity of the working range that every second mechanism angle (rad) has for
/// itself, the function that gives it, SI. It needs no structure.
pub fn at_angle(quantity: Quantity) -> Option<fn(&Kinematics, f64) -> Option<f64>> {
    match quantity {
        Quantity::LciMin => Some(|kinematics, second| {
            let state = kinematics.meridian.state(second);
            Some(local_conditioning_index(&kinematics.jacobian_of(&state)))
        }),
        Quantity::TransmissionAngle => Some(|kinematics, second| {
            let state = kinematics.meridian.state(second);
            Some(state_transmission(&state)?.0)
        }),
        // Known but for whole turns, see `shown_at_angle`.
        Quantity::ToolRollRange => Some(|kinematics, second| {
            let pose = kinematics.forward_from_mechanism([0.0, second]).ok()?;
            Some(pose.roll)
        }),
        _ => None,
    }
}

/// The value that [`at_angle`] gives as it is shown beside others: rolls without a jump by a
/// turn over the covered part of the region, where the tool rolls over `roll`.
pub fn shown_at_angle(quantity: Quantity, value: f64, roll: Option<&RollRange>) -> f64 {
    match (quantity, roll) {
        (Quantity::ToolRollRange, Some(roll)) => roll.carried_on(value),
        _ => value,
    }
}

/// The value of a quantity at the polar angle of a ring, the worst around the axis, SI;
/// of the compliance that of the ring.
pub fn around(
    quantity: Quantity,
    model: &Model,
    ring: &RingResult,
    load: Option<usize>,
) -> Option<f64> {
    if let Source::Compliance(value) = source(quantity) {
        return Some(value(&ring.stiffness));
    }
    let at = |point| At {
        model,
        ring,
        point,
        load,
    };
    let values = ring
        .directions()
        .map(|point| at_direction(quantity, &at(point)));
    values.flatten().reduce(|a, b| worse(quantity, a, b))
}

/// The worse of two values of a quantity.
pub fn worse(quantity: Quantity, a: f64, b: f64) -> f64 {
    if quantity.more_is_better() {
        a.min(b)
    } else {
        a.max(b)
    }
}

/// A place that stands for all azimuths.
fn on_meridian(polar: f64) -> Direction {
    Direction {
        polar,
        azimuth: 0.0,
    }
}

fn least_transmission(reached: &Reached<'_>) -> Option<Placed> {
    if let Some(cells) = reached.cells {
        let (angle, at) = cells.summary.transmission?;
        return Some(Placed {
            value: angle,
            at: Some(at),
            note: "between the distal arcs, sampled".to_string(),
        });
    }
    let second = reached.required.unwrap_or(reached.range?.second);
    let meridian = &reached.kinematics.meridian;
    let (angle, stage, polar) = working_range::least_transmission(meridian, second)?;
    Some(Placed {
        value: angle,
        at: Some(on_meridian(polar)),
        note: format!("stage {stage}"),
    })
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::quantity::Over;

    /// The table's word for it decides bands and maps, the source what is computed.
    #[test]
    fn what_the_table_calls_of_directions_is_taken_from_directions() {
        for quantity in Quantity::ALL {
            let of_directions = match source(quantity) {
                Source::Compliance(_) | Source::Direction(_) => true,
                Source::Reached(_) | Source::Linkage(_) => false,
            };
            let over = quantity.facts().over;
            assert_eq!(of_directions, over == Over::Directions, "{quantity:?}");
        }
    }

    #[test]
    fn colours_and_curves_have_values_by_direction() {
        for quantity in Quantity::ALL {
            let facts = quantity.facts();
            if facts.colour.is_some() || !facts.curves.is_empty() {
                let has = match source(quantity) {
                    Source::Compliance(_) | Source::Direction(_) => true,
                    Source::Reached(_) => at_angle(quantity).is_some(),
                    Source::Linkage(_) => false,
                };
                assert!(has, "{quantity:?} has none");
            }
        }
    }
}
