//! Under which key of a design file an uncertain number stands, and in which unit.

use calotte::design::{Constant, Input};

use crate::units::Unit;

/// Key of an input, from the top of the file, and its unit.
pub fn key_of(input: Input) -> (String, Unit) {
    let stiffness = Unit::NewtonPerMetre;
    let turning = Unit::NewtonMetrePerRadian;
    let (key, unit) = match input {
        Input::Bars(constant) => return of_material("material", constant),
        Input::Pins(constant) => return of_material("joints.pin.material", constant),
        Input::Column(constant) => return of_material("mount.column.material", constant),
        Input::ShortBars => ("linkage.short_bar_stiffness_factor", Unit::One),
        Input::JointAxial(kind) => return of_joints(kind, "axial_n_per_m", stiffness),
        Input::JointRadial(kind) => return of_joints(kind, "radial_n_per_m", stiffness),
        Input::JointTilt(kind) => return of_joints(kind, "tilt_nm_per_rad", turning),
        Input::BearingRadial(kind) => return of_joints(kind, "bearing.radial_n_per_m", stiffness),
        Input::BearingAxial(kind) => return of_joints(kind, "bearing.axial_n_per_m", stiffness),
        Input::SeatRadial => ("joints.seat.radial_n_per_m", stiffness),
        Input::SeatAxial => ("joints.seat.axial_n_per_m", stiffness),
        Input::MeasuredRadial => ("joints.measured.radial_factor", Unit::One),
        Input::MeasuredTilt => ("joints.measured.tilt_factor", Unit::One),
        Input::DriveStiffness(joint) => return of_drive(joint, "stiffness_nm_per_rad", turning),
        Input::DriveMass(joint) => return of_drive(joint, "mass_kg", Unit::Kilogram),
        Input::ToolMass => ("tool.mass_kg", Unit::Kilogram),
        Input::SpringsAxial => ("mount.springs.axial_n_per_m", stiffness),
        Input::SpringsLateral => ("mount.springs.lateral_n_per_m", stiffness),
        Input::SpringsTilt => ("mount.springs.tilt_nm_per_rad", turning),
        Input::SpringsTwist => ("mount.springs.twist_nm_per_rad", turning),
    };
    (key.to_string(), unit)
}

/// Of the first joints of a kind: those of the rule, or an entry of `[[joints.level]]`, 1 the
/// first of them.
fn of_joints(kind: u8, key: &str, unit: Unit) -> (String, Unit) {
    match kind {
        0 => (format!("joints.{key}"), unit),
        entry => (format!("joints.level[{entry}].{key}"), unit),
    }
}

/// Of the drive of an active joint, 1 the first of them; a design that calotte writes has them
/// in this order.
fn of_drive(joint: u8, key: &str, unit: Unit) -> (String, Unit) {
    (format!("drive[{}].{key}", joint + 1), unit)
}

fn of_material(table: &str, constant: Constant) -> (String, Unit) {
    let (key, unit) = match constant {
        Constant::YoungsModulus => ("youngs_modulus_gpa", Unit::Gigapascal),
        Constant::ShearModulus => ("shear_modulus_gpa", Unit::Gigapascal),
        Constant::Density => ("density_kg_m3", Unit::KilogramPerCubicMetre),
        Constant::YieldStrength => ("yield_mpa", Unit::Megapascal),
        Constant::Creep => ("creep_factor", Unit::One),
    };
    (format!("{table}.{key}"), unit)
}

/// The value of an input as its file writes it.
pub fn written(input: Input, si: f64) -> f64 {
    let (_, unit) = key_of(input);
    unit.write(si).parse().unwrap_or(f64::NAN)
}
