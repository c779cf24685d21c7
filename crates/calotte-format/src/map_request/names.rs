//! Names, labels and units of what a map varies and shows.

use std::f64::consts::PI;

use crate::units::Unit;
use calotte::analysis::map::{MapQuantity, Variable};

/// How a quantity is written.
#[derive(Debug, Clone, Copy)]
pub struct Shown {
    /// Label in figures and tables.
    pub label: &'static str,
    /// Unit as printed; empty for none.
    pub unit: &'static str,
    /// Unit as it ends a column's name; empty for none.
    pub suffix: &'static str,
    /// Factor from SI.
    pub factor: f64,
}

/// How a quantity is written.
pub fn quantity(quantity: MapQuantity, dimensionless: bool) -> Shown {
    let label = match quantity {
        MapQuantity::Stiffness("isotropy") => "Tangential isotropy",
        MapQuantity::Stiffness("least") => "Least stiffness",
        MapQuantity::Stiffness("mean") => "Mean stiffness",
        MapQuantity::Stiffness("geometric-mean") => "Geometric mean stiffness",
        MapQuantity::Stiffness("trace") => "Harmonic mean stiffness",
        MapQuantity::Stiffness("polar") => "Polar stiffness",
        MapQuantity::Stiffness("azimuth") => "Azimuth stiffness",
        MapQuantity::Stiffness(_) => "Radial stiffness",
        MapQuantity::Gci => "GCI",
        MapQuantity::GciReached => "GCI of the part reached",
        MapQuantity::LciMin => "Least LCI",
        MapQuantity::Coverage => "Coverage",
        MapQuantity::Reach => "Reach",
        MapQuantity::Sag => "Sag",
        MapQuantity::HoldingTorque => "Holding torque",
        MapQuantity::MovingMass => "Moving mass",
    };
    let (unit, suffix, factor) = match quantity {
        MapQuantity::Stiffness("isotropy")
        | MapQuantity::Gci
        | MapQuantity::GciReached
        | MapQuantity::LciMin
        | MapQuantity::Coverage => ("", "", 1.0),
        MapQuantity::Stiffness(_) if dimensionless => ("k R³/(E I)", "_k_r3_per_ei", 1.0),
        MapQuantity::Stiffness(_) => ("N/mm", "_n_per_mm", 1e-3),
        MapQuantity::Reach => ("°", "_deg", 180.0 / PI),
        MapQuantity::Sag => ("mm", "_mm", 1e3),
        MapQuantity::HoldingTorque => ("N·m", "_nm", 1.0),
        MapQuantity::MovingMass => ("kg", "_kg", 1.0),
    };
    Shown {
        label,
        unit,
        suffix,
        factor,
    }
}

/// What a quantity is, in words that open a caption.
pub fn definition(quantity: MapQuantity) -> &'static str {
    match quantity {
        MapQuantity::Stiffness("least") => {
            "Least translational stiffness at the tool tip, 1/λmax of the force–displacement block"
        }
        MapQuantity::Stiffness("mean") => "Mean of the three principal stiffnesses at the tool tip",
        MapQuantity::Stiffness("geometric-mean") => {
            "Geometric mean of the three principal stiffnesses at the tool tip"
        }
        MapQuantity::Stiffness("trace") => {
            "Harmonic mean of the principal stiffnesses at the tool tip, 3/trace of the compliance"
        }
        MapQuantity::Stiffness("polar") => {
            "Stiffness at the tool tip along the polar direction, 1/C with all else free"
        }
        MapQuantity::Stiffness("azimuth") => {
            "Stiffness at the tool tip along azimuth, 1/C with all else free"
        }
        MapQuantity::Stiffness("isotropy") => {
            "Stiffness isotropy at the tool tip, λmin/λmax of the tangential compliance"
        }
        MapQuantity::Stiffness(_) => "Radial stiffness at the tool tip, 1/C with all else free",
        MapQuantity::Gci => {
            "Global conditioning index, area-weighted mean of the LCI over the required region, unreached directions counted 0"
        }
        MapQuantity::GciReached => {
            "Global conditioning index, area-weighted mean of the LCI over the part of the region that is reached"
        }
        MapQuantity::LciMin => "Least local conditioning index over the part of the region reached",
        MapQuantity::Coverage => "Covered share of the required region",
        MapQuantity::Reach => "Greatest polar angle of the working range, without margins",
        MapQuantity::Sag => "Displacement of the tool tip by own weight",
        MapQuantity::HoldingTorque => "Greatest torque of a drive against weight",
        MapQuantity::MovingMass => "Mass of what moves, without the tool",
    }
}

/// Unit of a variable on the command line.
pub fn unit(variable: Variable) -> Unit {
    match variable {
        Variable::Stages | Variable::Layers => Unit::One,
        Variable::Arc
        | Variable::TotalArc
        | Variable::Bend
        | Variable::FirstArc
        | Variable::SecondArc
        | Variable::Polar => Unit::Degree,
        Variable::JointRadius
        | Variable::TipRadius
        | Variable::Tangential
        | Variable::Radial
        | Variable::Diameter
        | Variable::BossDiameter
        | Variable::BearingBore
        | Variable::PairSpacing
        | Variable::LayerGap => Unit::Millimetre,
        Variable::JointAxial | Variable::JointRadial => Unit::NewtonPerMetre,
        Variable::JointTilt => Unit::NewtonMetrePerRadian,
    }
}

/// Least and greatest value a variable takes, as the command line writes it.
pub fn allowed(variable: Variable) -> (f64, f64) {
    match variable {
        Variable::Stages => (1.0, calotte::kinematics::STAGES_MAX as f64),
        Variable::Arc | Variable::FirstArc | Variable::SecondArc => (0.1, 179.9),
        Variable::TotalArc => (0.2, 5000.0),
        Variable::Bend => (-179.0, 179.0),
        Variable::Polar => (0.0, 180.0),
        Variable::BossDiameter | Variable::LayerGap => (0.0, 1e4),
        Variable::Layers => (2.0, 2.0 * calotte::kinematics::STAGES_MAX as f64 + 2.0),
        Variable::JointAxial | Variable::JointRadial | Variable::JointTilt => (1e-6, 1e15),
        _ => (1e-3, 1e5),
    }
}

/// Label of a variable.
pub fn label(variable: Variable) -> &'static str {
    match variable {
        Variable::Stages => "Stages",
        Variable::Arc => "Arc angle",
        Variable::TotalArc => "Total arc of a branch",
        Variable::Bend => "Bend",
        Variable::FirstArc => "First arc",
        Variable::SecondArc => "Second arc",
        Variable::Polar => "Polar angle",
        Variable::JointRadius => "Joint radius",
        Variable::TipRadius => "Tip radius",
        Variable::Tangential => "Section across the bar",
        Variable::Radial => "Section along the radius",
        Variable::Diameter => "Section diameter",
        Variable::BossDiameter => "Boss diameter",
        Variable::JointAxial => "Joint stiffness, axial",
        Variable::JointRadial => "Joint stiffness, radial",
        Variable::JointTilt => "Joint stiffness, tilt",
        Variable::BearingBore => "Bearing bore",
        Variable::PairSpacing => "Bearing pair spacing",
        Variable::LayerGap => "Gap between layers",
        Variable::Layers => "Layers",
    }
}

/// A value of a variable with its unit: `23.5°`, `150 mm`, `2 stages`.
pub fn value_in_words(variable: Variable, shown: f64) -> String {
    let number = number(shown);
    match variable {
        Variable::Stages if shown == 1.0 => "1 stage".to_string(),
        Variable::Stages => format!("{number} stages"),
        Variable::Layers => format!("{number} layers"),
        _ => unit(variable).with(&number),
    }
}

/// A variable and its value: `arc angle 23.5°`, `2 stages`.
pub fn setting_in_words(variable: Variable, shown: f64) -> String {
    match variable {
        Variable::Stages | Variable::Layers => value_in_words(variable, shown),
        _ => format!(
            "{} {}",
            label(variable).to_lowercase(),
            value_in_words(variable, shown)
        ),
    }
}

/// A number without needless digits; large ones with a power of ten.
pub fn number(value: f64) -> String {
    if value != 0.0 && (value.abs() >= 1e6 || value.abs() < 1e-4) {
        return format!("{value:e}").replace('-', "\u{2212}");
    }
    let text = crate::words::number(value, 4);
    if text.contains('.') {
        text.trim_end_matches('0').trim_end_matches('.').to_string()
    } else {
        text
    }
}

/// Four significant digits in at most seven columns.
pub fn four(value: f64) -> String {
    let size = value.abs();
    let digits = if size >= 1e6 {
        return format!("{value:.1e}").replace('-', "\u{2212}");
    } else if size >= 1000.0 || size == 0.0 {
        0
    } else if size >= 100.0 {
        1
    } else if size >= 10.0 {
        2
    } else {
        3
    };
    crate::words::number(value, digits)
}
