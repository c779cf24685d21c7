//! Names and values of what a fit tells, in the units of files and options.

use calotte::measurement::weights::{WeightMeasure, WeightParameter};
use calotte::measurement::{Measure, Parameter};

use calotte_format::units::degrees;
use calotte_format::words;

/// Name of a parameter with its unit, as files and options write it.
pub fn name_with_unit(parameter: &Parameter) -> String {
    let unit = match parameter.measure {
        Measure::Angle => "_deg",
        Measure::Length => "_mm",
        Measure::Factor => "",
    };
    format!("{}{unit}", parameter.name)
}

/// A value of a parameter in its unit.
pub fn in_unit(parameter: &Parameter, value: f64) -> f64 {
    match parameter.measure {
        Measure::Angle => degrees(value),
        Measure::Length => value * 1e3,
        Measure::Factor => value,
    }
}

/// A value of a parameter in its unit, as text: the same digits wherever it is printed. A factor
/// is entered in controllers and has a tolerance of a thousandth.
pub fn shown(parameter: &Parameter, value: f64) -> String {
    let digits = match parameter.measure {
        Measure::Angle | Measure::Length => 4,
        Measure::Factor => 5,
    };
    words::number(in_unit(parameter, value), digits)
}

/// Name of an unknown with its unit, as files and options write it.
pub fn weight_name_with_unit(parameter: WeightParameter) -> String {
    let unit = match parameter.measure() {
        WeightMeasure::Factor => "",
        WeightMeasure::TiltCompliance => "_urad_per_nm",
        WeightMeasure::Length => "_mm",
    };
    format!("{}{unit}", parameter.name())
}

/// A value of an unknown in its unit.
pub fn weight_in_unit(parameter: WeightParameter, value: f64) -> f64 {
    match parameter.measure() {
        WeightMeasure::Factor => value,
        WeightMeasure::TiltCompliance => value * 1e6,
        WeightMeasure::Length => value * 1e3,
    }
}
