//! Names, labels and units of what a map varies and shows.

use crate::units::Unit;
use calotte::analysis::map::Variable;
use calotte::quantity::Quantity;

/// How a quantity is written.
#[derive(Debug, Clone, Copy)]
pub struct Shown {
    /// Label in figures and tables.
    pub label: &'static str,
    /// Unit as printed; empty for none.
    pub unit: &'static str,
    /// Unit as it ends a column's name, without the underline; empty for none.
    pub suffix: &'static str,
    /// Factor from SI.
    pub factor: f64,
}

/// How a quantity is written.
pub fn quantity(quantity: Quantity, dimensionless: bool) -> Shown {
    let unit = quantity.unit();
    let label = quantity.label();
    if dimensionless && unit == calotte::quantity::Unit::NewtonPerMillimetre {
        return Shown {
            label,
            unit: "k R³/(E I)",
            suffix: "k_r3_per_ei",
            factor: 1.0,
        };
    }
    Shown {
        label,
        unit: unit.symbol(),
        suffix: unit.suffix(),
        factor: unit.factor(),
    }
}

/// What a quantity is, in words that open a caption.
pub fn definition(quantity: Quantity) -> &'static str {
    let facts = quantity.facts();
    facts.map.map_or(facts.label, |map| map.definition)
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
        Variable::JointRadius
        | Variable::TipRadius
        | Variable::Tangential
        | Variable::Radial
        | Variable::Diameter
        | Variable::BearingBore
        | Variable::PairSpacing => (1e-3, 1e5),
    }
}

/// Label of a variable.
pub fn label(variable: Variable) -> &'static str {
    match variable {
        Variable::Stages => "Stages",
        Variable::Arc => "Arc angle",
        Variable::TotalArc => "Total arc per branch",
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
        Variable::PairSpacing => "Bearing spacing",
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
