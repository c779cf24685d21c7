//! What another design shows to the same pull: the tool pointing the same way in the world.

use nalgebra::Vector3;

use super::error::WeightError;
use super::forward::Forward;
use crate::brief::LoadPlace;
use crate::design::Design;
use crate::kinematics::{Margins, inverse};
use crate::linkage::LinkageError;
use crate::measurement::data::{Course, Displacement, WeightRow, Weights};
use crate::sphere::Direction;
use crate::subject::Motion;
use crate::uncertain::Corner;

/// One pull on a tool that points one way.
#[derive(Debug, Clone, PartialEq)]
pub struct Pull {
    /// Readings of the active joints, rad.
    pub readings: [f64; 2],
    /// What is pulled on.
    pub place: LoadPlace,
    /// Direction of the pull, world, unit.
    pub pull: Vector3<f64>,
    /// Axis along which the tip's displacement is seen, world, unit; `None` is the pull's.
    pub gauge: Option<Vector3<f64>>,
}

/// Stiffness against a pull: force along it over displacement along the gauge.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct PulledStiffness {
    /// Nominal, N/m.
    pub nominal: f64,
    /// At the soft and at the stiff end of the design's bands, N/m.
    pub band: [f64; 2],
}

/// Readings at which a design points its tool where another one points it, in the world;
/// `None` where it cannot, assembled as it works.
///
/// # Arguments
/// - `within`: a second mechanism angle at which it works, rad.
///
/// # Errors
/// [`LinkageError`] for a design that cannot be built.
pub fn same_direction(
    design: &Design,
    other: &Design,
    readings: [f64; 2],
    within: f64,
) -> Result<Option<[f64; 2]>, LinkageError> {
    let [design, other] = [design, other].map(|design| design.at_corner(Corner::Nominal));
    let from = Motion::alone(&other, Margins::default())?;
    let Ok(pose) = from.kinematics.forward(readings) else {
        return Ok(None);
    };
    let pointed = from.kinematics.linkage.tool_direction(&pose.configuration);
    let direction =
        design.mount.base_from_world() * other.mount.base_from_world().transpose() * pointed;
    let to = Motion::alone(&design, Margins::default())?;
    let found = to
        .all_ranges()
        .iter()
        .filter(|range| (range.second[0]..=range.second[1]).contains(&within))
        .find_map(|range| inverse(&to.kinematics, range, Direction::of(&direction)).ok());
    Ok(found.map(|pose| pose.active))
}

/// The stiffness of a design against a pull; `None` where it has no such configuration or
/// its gauge would not see it give way.
///
/// # Errors
/// [`WeightError`] for a pull on a bar that the design has not, or a singular configuration.
pub fn pulled_stiffness(
    design: &Design,
    pull: &Pull,
) -> Result<Option<PulledStiffness>, WeightError> {
    let axis = pull.gauge.unwrap_or(pull.pull);
    let weights = Weights {
        rows: vec![WeightRow {
            row: 1,
            readings: pull.readings,
            mass: 1.0,
            pull: pull.pull,
            place: pull.place.clone(),
            displacement: Displacement::Along { axis, value: 0.0 },
            course: Course::Loading,
        }],
    };
    let forward = Forward::new(design, &weights)?;
    if forward.rows.is_empty() {
        return Ok(None);
    }
    let stiffness = |answers: &[super::forward::Answer]| {
        let along = axis.dot(&forward.of_row(answers, 0).moved);
        (along > 0.0).then(|| 1.0 / along)
    };
    let nominal = stiffness(&forward.answers_at(Corner::Nominal)?);
    let [soft, stiff] = [
        stiffness(&forward.answers_at(Corner::Soft)?),
        stiffness(&forward.answers_at(Corner::Stiff)?),
    ];
    Ok(nominal
        .zip(soft.zip(stiff))
        .map(|(nominal, (soft, stiff))| PulledStiffness {
            nominal,
            band: [soft, stiff],
        }))
}
