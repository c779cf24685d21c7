//! What to measure next where points do not tell which of two explanations it is.

use super::faults::Explanation;
use super::fit::PointFit;
use crate::family::real::{Cause, PhysicalModel};

/// The configuration in which two explanations differ most.
#[derive(Debug, Clone, PartialEq)]
pub struct TellApart {
    /// The parts of either; none if all is within tolerance.
    pub between: [Vec<Cause>; 2],
    /// Readings of the active joints, rad.
    pub readings: [f64; 2],
    /// How far apart the two put the sensor there, m.
    pub distance: f64,
    /// How often it would have to be measured for a likelihood ratio of 400; `None` if more
    /// than [`READINGS_MAX`] times: then no point of the linkage tells, only the parts by
    /// themselves.
    pub times: Option<usize>,
}

/// Twice the logarithm of the likelihood ratio at which one is believed.
const BELIEVED: f64 = 12.0;
/// Most further readings that are worth it.
const READINGS_MAX: f64 = 30.0;

/// Where the two most probable of the listed explanations differ most; `None` with fewer than
/// two of them.
///
/// # Arguments
/// - `listed`: how many explanations with parts are in question.
/// - `within`: whether it is in question too that all is within tolerance.
/// - `readings`: that may be measured, rad.
pub fn tell_apart(
    model: &PhysicalModel,
    fit: &PointFit,
    listed: usize,
    within: bool,
    readings: &[[f64; 2]],
) -> Option<TellApart> {
    let mut faulty = 0;
    let in_question: Vec<&Explanation> = fit
        .explanations
        .iter()
        .filter(|one| {
            if one.parts.is_empty() {
                return within;
            }
            faulty += 1;
            faulty <= listed
        })
        .collect();
    let (Some(one), Some(other)) = (in_question.first(), in_question.get(1)) else {
        return None;
    };
    let sides = [[1.0, 1.0], [1.0, -1.0], [-1.0, 1.0], [-1.0, -1.0]];
    let place = |of: &Explanation, readings: [f64; 2], side: [f64; 2]| {
        let at = model.sensor(readings, side, &of.values)?;
        Some(of.pose.of(&at))
    };
    let apart = |readings: [f64; 2]| {
        // The side that the readings come from is not asked for: the least of all counts.
        let all = sides.map(|side| {
            let between = place(one, readings, side)? - place(other, readings, side)?;
            Some(between.norm())
        });
        all.into_iter().flatten().reduce(f64::min)
    };
    let (readings, distance) = readings
        .iter()
        .filter_map(|readings| Some((*readings, apart(*readings)?)))
        .max_by(|a, b| a.1.total_cmp(&b.1))?;
    let times = (BELIEVED * (fit.noise / distance).powi(2)).ceil().max(1.0);
    Some(TellApart {
        between: [one.parts.clone(), other.parts.clone()],
        readings,
        distance,
        times: (times <= READINGS_MAX).then_some(times as usize),
    })
}
