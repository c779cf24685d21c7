//! What a fit gives back: the design with its found values, and where the tool really points.

use nalgebra::Vector3;

use super::fit::PointFit;
use super::model::PhysicalModel;
use crate::design::{Design, Family};

/// The design with the values found. A design has one arc for left and right; it takes the
/// mean of the two, and keeps no zeros, scales, backlash or base axes of its own.
pub fn calibrated(design: &Design, model: &PhysicalModel, fit: &PointFit) -> Design {
    let value = |name: &str| model.index_of(name).map(|index| fit.values[index]);
    let mean = |what: &str, sides: [String; 2]| {
        let [a, b] = sides.map(|side| value(&format!("{side}.{what}")));
        Some(0.5 * (a? + b?))
    };
    let bars = |stage: usize| ["left", "right"].map(|side| format!("bar-{side}-{}", stage + 1));
    let mut found = design.clone();
    match &mut found.family {
        Family::ScissorLinkage(scissor) => {
            let base = ["left", "right"].map(|side| format!("base-{side}"));
            if let Some(arc) = mean("first_arc", base) {
                scissor.proximal_arcs[0] = arc;
            }
            for stage in 0..scissor.stages() {
                if let Some(arc) = mean("first_arc", bars(stage)) {
                    scissor.distal_arcs[stage] = arc;
                }
                if stage + 1 < scissor.stages() {
                    if let Some(arc) = mean("second_arc", bars(stage)) {
                        scissor.proximal_arcs[stage + 1] = arc;
                    }
                    if let Some(bend) = mean("bend", bars(stage)) {
                        scissor.bends[stage] = bend;
                    }
                }
            }
        }
        Family::TwoArcArm(arm) => {
            for (arc, name) in arm.arcs.iter_mut().zip(["first-arc", "second-arc"]) {
                *arc = value(&format!("{name}.first_arc")).unwrap_or(*arc);
            }
        }
    }
    found.tool.tip_radius = value("sensor.radius").unwrap_or(found.tool.tip_radius);
    found
}

/// One line of a table of corrections.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Correction {
    /// Readings, rad.
    pub readings: [f64; 2],
    /// Where the design says the tool points, base frame, unit.
    pub designed: Vector3<f64>,
    /// Where it points, base frame, unit.
    pub true_direction: Vector3<f64>,
}

/// Where the tool points by the design and by the fit at given readings; those that either
/// does not reach are left out. The tool's own line is meant, not the sensor beside it.
pub fn corrections(
    model: &PhysicalModel,
    fit: &PointFit,
    readings: impl IntoIterator<Item = [f64; 2]>,
) -> Vec<Correction> {
    let nominal = model.nominal();
    let mut found = fit.values.clone();
    for index in model.sensor_offsets() {
        found[index] = nominal[index];
    }
    readings
        .into_iter()
        .filter_map(|readings| {
            let designed = model.sensor(readings, [0.0; 2], &nominal)?;
            let real = model.sensor(readings, [0.0; 2], &found)?;
            Some(Correction {
                readings,
                designed: designed.try_normalize(0.0)?,
                true_direction: real.try_normalize(0.0)?,
            })
        })
        .collect()
}
