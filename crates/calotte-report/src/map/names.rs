//! Axes of a map's figures; names, labels and units come from the request's words.

use calotte::analysis::map::Variable;
use calotte_plot::plot::{Axis, AxisKind};

pub use calotte_format::map_request::names::*;

/// A variable's axis over its values as shown.
pub fn axis(variable: Variable, values: &[f64]) -> Axis {
    let axis = Axis::new(label(variable), unit(variable).symbol());
    let (first, last) = (
        values.first().copied().unwrap_or(0.0),
        values.last().copied().unwrap_or(0.0),
    );
    match variable {
        Variable::Stages | Variable::Layers => axis.with_kind(AxisKind::Integer),
        // Joint stiffnesses are tried over decades.
        Variable::JointAxial | Variable::JointRadial | Variable::JointTilt
            if first > 0.0 && last >= 20.0 * first =>
        {
            axis.with_kind(AxisKind::Logarithmic)
        }
        _ => axis,
    }
}

/// Most values whose uneven steps are shown as names.
const NAMES_MAX: usize = 12;

/// A variable's axis for cells, with the cells' places on it: a few values at uneven
/// steps stand side by side under their own numbers.
pub fn cells_axis(variable: Variable, values: &[f64]) -> (Axis, Vec<f64>) {
    let axis = axis(variable, values);
    let steps: Vec<f64> = values.windows(2).map(|pair| pair[1] - pair[0]).collect();
    let even = steps
        .iter()
        .all(|step| (step - steps[0]).abs() < 1e-6 * steps[0].abs());
    let listed = values.len() == 1 || !even;
    if !listed
        || values.len() > NAMES_MAX
        || matches!(variable, Variable::Stages | Variable::Layers) && even
    {
        return (axis, values.to_vec());
    }
    let names = values.iter().map(|value| number(*value)).collect();
    let places = (0..values.len()).map(|place| place as f64).collect();
    (axis.with_kind(AxisKind::Names(names)), places)
}
