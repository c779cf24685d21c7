//! What a fit says of the prototype: whether it is the design within what workshops leave,
//! which parameters are off, and what one would remake or set anew.

use super::fit::PointFit;
use super::model::{Cause, PhysicalModel};

/// One parameter that is further off than workshops leave.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Off {
    /// Position in the model's list.
    pub index: usize,
    /// Found less the design's value, SI.
    pub by: f64,
    /// The same in typical errors.
    pub in_typical: f64,
}

/// What to do about the cause that explains most.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum Remedy {
    /// Make this bar anew.
    RemakeBar(String),
    /// Set this zero anew in the drive.
    SetZero(String),
    /// Enter this scale in the drive.
    SetScale(String),
    /// Take the backlash out of this drive.
    TakeOutBacklash(String),
    /// Bring the base axes into one line through the centre.
    AlignBase,
    /// Mount the sensor anew, or take its place from the fit: the linkage is not at fault.
    MountSensor,
}

/// A prototype judged.
#[derive(Debug, Clone, PartialEq)]
pub struct Judged {
    /// Whether every parameter that the points tell lies within a typical error and two
    /// standard errors of the design. The sensor's place is nobody's error.
    pub agrees: bool,
    /// Those that do not, worst first.
    pub off: Vec<Off>,
    /// What would take away nearly all of the misfit, if one cause does.
    pub remedy: Option<Remedy>,
    /// The cause that takes away most by itself.
    pub best: Option<Cause>,
    /// Share of the misfit above the noise that it takes away.
    pub share: f64,
}

/// Share of the misfit above the noise from which one cause counts as the cause (common
/// practice, no source): where less is explained, several parts are off, and the cause that
/// alone does best need not be among them.
const NEARLY_ALL: f64 = 0.9;

/// Judges a fit.
pub fn judged(model: &PhysicalModel, fit: &PointFit) -> Judged {
    let mut off: Vec<Off> = fit
        .parameters
        .iter()
        .filter_map(|found| {
            let parameter = &model.parameters[found.index];
            let error = found.standard_error?;
            let by = found.value - parameter.nominal;
            let beyond = by.abs() > parameter.typical + 2.0 * error;
            (beyond && parameter.cause != Cause::Sensor).then_some(Off {
                index: found.index,
                by,
                in_typical: by.abs() / parameter.typical,
            })
        })
        .collect();
    off.sort_by(|a, b| b.in_typical.total_cmp(&a.in_typical));
    let first = fit.causes.first();
    let share = first.map_or(0.0, |cause| cause.share);
    let remedy = first
        .filter(|cause| cause.share >= NEARLY_ALL && cause.size > 1.0)
        .map(|cause| match &cause.cause {
            Cause::Bar(name) => Remedy::RemakeBar(name.clone()),
            Cause::Zero(name) => Remedy::SetZero((*name).to_string()),
            Cause::Scale(name) => Remedy::SetScale((*name).to_string()),
            Cause::Backlash(name) => Remedy::TakeOutBacklash((*name).to_string()),
            Cause::BaseAxes => Remedy::AlignBase,
            Cause::Sensor => Remedy::MountSensor,
        });
    Judged {
        agrees: off.is_empty(),
        off,
        remedy,
        best: first.map(|cause| cause.cause.clone()),
        share,
    }
}
