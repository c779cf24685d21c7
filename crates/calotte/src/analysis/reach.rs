//! What layers, bosses and pins leave of the range of motion, and what comes nearest in it.

use crate::built::Built;
use crate::interference::{ClearingError, PairDistance, RangeEnd};
use crate::kinematics::working_range::Limit;
use crate::kinematics::{Kinematics, WorkingRange};
use crate::subject::Subject;

/// What layers and bosses leave of the range of motion.
#[derive(Debug, Clone, PartialEq)]
pub struct ClearingReport {
    /// The working range if no parts were in each other's way; `None` if there is none
    /// even then.
    pub ideal: Option<WorkingRange>,
    /// What ends the working range at the lower and upper end of the second mechanism
    /// angle, if a pair of parts does.
    pub ends: [Option<NamedPair>; 2],
    /// Least distance of every pair over the working range, nearest first.
    pub least: Vec<NamedPair>,
    /// Distance that is kept, m.
    pub clearance: f64,
    /// Number of layers.
    pub layers: usize,
}

/// Two parts and their distance.
#[derive(Debug, Clone, PartialEq)]
pub struct NamedPair {
    /// Names of the two solids.
    pub names: [String; 2],
    /// Distance, m; negative where they pass through one another.
    pub distance: f64,
    /// Second mechanism angle there, rad; `None` for layers whose radial distance no
    /// angle changes.
    pub second: Option<f64>,
    /// Polar angle of the tool there, rad.
    pub polar: Option<f64>,
}

impl NamedPair {
    fn of(built: &Built, kinematics: &Kinematics, pair: &PairDistance) -> Self {
        let polar = |second: f64| kinematics.meridian.state(second).polar_angle();
        Self {
            names: pair.solids.map(|index| built.solids[index].name.clone()),
            distance: pair.distance,
            second: pair.second,
            polar: pair.second.map(polar),
        }
    }
}

/// What limits a working range among the parts, and what comes nearest in it.
///
/// # Errors
/// [`ClearingError`] without layers, or for sizes that are no finite numbers.
pub fn clearing_report(subject: &Subject) -> Result<ClearingReport, ClearingError> {
    let (kinematics, built) = (subject.kinematics(), &subject.built);
    let clearing = subject.clearing()?;
    let mut report = ClearingReport {
        ends: [None, None],
        least: Vec::new(),
        clearance: clearing.clearance(),
        layers: built.layer_count,
        ideal: subject.motion.range().cloned(),
    };
    let Some(range) = subject.range()? else {
        return Ok(report);
    };
    let middle = 0.5 * (range.second[0] + range.second[1]);
    let all = subject.motion.all_ranges();
    let whole = all
        .iter()
        .find(|whole| whole.second[0] <= middle && middle <= whole.second[1])
        .unwrap_or(range);
    let free = clearing.free_range(whole.second, middle)?;
    for (end, found) in free.ends.iter().enumerate() {
        if let (RangeEnd::Contact(contact), Limit::Clearing) = (found, range.limits[end]) {
            let pair = PairDistance {
                solids: contact.solids,
                distance: contact.distance,
                second: Some(contact.second),
            };
            report.ends[end] = Some(NamedPair::of(built, kinematics, &pair));
        }
    }
    let mut least = clearing.least_distances(range.second)?;
    least.sort_by(|a, b| {
        a.distance
            .total_cmp(&b.distance)
            .then(a.solids.cmp(&b.solids))
    });
    report.least = least
        .iter()
        .map(|pair| NamedPair::of(built, kinematics, pair))
        .collect();
    Ok(report)
}
