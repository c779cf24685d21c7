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

/// What an input is called within a sentence; joints of which kind it is of, its key says.
pub fn name_of(input: Input) -> String {
    let name = match input {
        Input::Bars(constant) => return constant_of("bars", constant),
        Input::Pins(constant) => return constant_of("pins", constant),
        Input::Column(constant) => return constant_of("column", constant),
        Input::ShortBars => "stiffness of short bars over that of beam theory",
        Input::JointAxial(_) => "axial stiffness of a joint",
        Input::JointRadial(_) => "radial stiffness of a joint",
        Input::JointTilt(_) => "tilt stiffness of a joint",
        Input::BearingRadial(_) => "radial stiffness of a bearing",
        Input::BearingAxial(_) => "axial stiffness of a bearing",
        Input::SeatRadial => "radial stiffness of a bearing's seat",
        Input::SeatAxial => "axial stiffness of a bearing's seat",
        Input::MeasuredRadial => "measured factor on radial and axial stiffness",
        Input::MeasuredTilt => "measured factor on tilt stiffness",
        Input::DriveStiffness(joint) => return format!("stiffness of drive {}", joint + 1),
        Input::DriveMass(joint) => return format!("mass of drive {}", joint + 1),
        Input::ToolMass => "mass of the tool",
        Input::SpringsAxial => "axial stiffness of the mount",
        Input::SpringsLateral => "lateral stiffness of the mount",
        Input::SpringsTilt => "tilt stiffness of the mount",
        Input::SpringsTwist => "twist stiffness of the mount",
    };
    name.to_string()
}

fn constant_of(part: &str, constant: Constant) -> String {
    let name = match constant {
        Constant::YoungsModulus => "Young's modulus",
        Constant::ShearModulus => "shear modulus",
        Constant::Density => "density",
        Constant::YieldStrength => "yield strength",
        Constant::Creep => "creep factor",
    };
    format!("{name} of the {part}")
}

/// An input as sentences show it: the number in the returned unit, such as N/µm of a bearing.
pub fn shown(input: Input, si: f64) -> (f64, &'static str) {
    match input {
        Input::JointAxial(_)
        | Input::JointRadial(_)
        | Input::BearingRadial(_)
        | Input::BearingAxial(_)
        | Input::SeatRadial
        | Input::SeatAxial => (si * 1e-6, "N/µm"),
        Input::SpringsAxial | Input::SpringsLateral => (si * 1e-3, "N/mm"),
        _ => {
            let (_, unit) = key_of(input);
            (unit.from_si(si), unit.symbol())
        }
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
