//! Holding torque under the tool's weight (T14).

use calotte::built::Built;
use calotte::kinematics::Kinematics;
use calotte::statics::holding::{HoldingModel, STANDARD_GRAVITY};
use nalgebra::Vector3;

use crate::check::{Check, Source, Tolerance, file};
use crate::common::{DEGREE, arm};

const TORQUE: Source = Source::derived(
    file::ELEMENTS,
    "m g (axis × r)·g: m g r where they are at right angles",
);

/// Torque at the base joint, N·m, of an arm of two right angles with 0.5 kg at 150 mm a quarter
/// turn off its base axis; gravity lies across the base axis, turned by an angle about it from
/// the direction across the tool.
fn base_torque(turned: f64) -> Option<f64> {
    let mut design = arm(90.0, 90.0);
    design.tool.mass = Some(0.5.into());
    design.tool.centre_of_mass_radius = 0.15;
    // Bars without weight.
    design.material.density = 1e-12.into();
    let kinematics = Kinematics::new(&design).ok()?;
    let pose = kinematics.forward([0.7, 90.0 * DEGREE]).ok()?;
    let built = Built::new(&design, &kinematics.linkage).ok()?;
    let map = HoldingModel::new(&design, &kinematics.linkage, &built)
        .torque_map(&kinematics.linkage, &pose.configuration)
        .ok()?;
    let tool = pose.direction.vector();
    let across = Vector3::z().cross(&tool).normalize();
    let gravity = across * turned.cos() + tool * turned.sin();
    // Gravity along the tool's turning needs the opposite torque to hold.
    Some(-(map * gravity * STANDARD_GRAVITY)[0])
}

pub(crate) fn checks() -> Vec<Check> {
    [
        ("T14-0", "level", 0.0, 0.73549875),
        ("T14-60", "60° off level", 60.0, 0.367749375),
        ("T14-90", "upright", 90.0, 0.0),
    ]
    .into_iter()
    .map(|(id, place, turned, reference)| {
        TORQUE.check(
            id,
            format!("base torque, 0.5 kg at 150 mm: {place}"),
            "N·m",
            [reference, base_torque(turned * DEGREE).unwrap_or(f64::NAN)],
            Tolerance::Absolute(1e-9),
        )
    })
    .collect()
}
