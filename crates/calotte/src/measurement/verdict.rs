//! What a fit says of the prototype: whether it is the design within what workshops leave,
//! which parameters are off, and what one would remake or set anew.

use super::fit::PointFit;
use crate::family::real::{Cause, PhysicalModel};

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

/// Why points cannot be those of a prototype of the design.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Unlike {
    /// The best fit misses them by so much, root mean square, m.
    Misses(f64),
    /// The sensor would sit so far from the centre, m.
    Radius(f64),
}

/// A prototype judged.
#[derive(Debug, Clone, PartialEq)]
pub struct Judged {
    /// Whether every parameter that the points tell lies within a typical error and two
    /// standard errors of the design. The sensor's place is nobody's error.
    pub agrees: bool,
    /// Why the points cannot be of this design at all; then nothing else is judged.
    pub unlike: Option<Unlike>,
    /// Those that do not, worst first.
    pub off: Vec<Off>,
    /// What would take away nearly all of the misfit, if one cause does.
    pub remedy: Option<Remedy>,
    /// The cause that takes away most by itself.
    pub best: Option<Cause>,
    /// Causes that do nearly as well alone: what they leave is less than twice what the best
    /// leaves. The points do not tell which one it is.
    pub rivals: Vec<Cause>,
    /// Share of the misfit above the noise that it takes away.
    pub share: f64,
}

/// Share of the misfit above the noise from which one cause counts as the cause (common
/// practice, no source): where less is explained, several parts are off, and the cause that
/// alone does best need not be among them.
const NEARLY_ALL: f64 = 0.9;

/// How much more another cause must leave than the best not to be its rival (common
/// practice, no source).
const RIVAL: f64 = 2.0;
/// Least of what a cause leaves, as share; below it all leave nothing.
const NOTHING_LEFT: f64 = 2e-3;
/// Share of the sensor's distance from the centre that no prototype of a design is off by
/// all over (common practice, no source).
const OFF_ALL_OVER: f64 = 0.05;
/// Ratio of the sensor's found and designed distance that no mounting explains.
const RADIUS_RATIO: f64 = 2.0;

/// Whether points can be of a prototype of the design at all.
fn unlike(model: &PhysicalModel, fit: &PointFit) -> Option<Unlike> {
    let designed = model.parameters[model.sensor_radius()].nominal;
    let found = fit.values[model.sensor_radius()];
    let ratio = found / designed;
    if !(1.0 / RADIUS_RATIO..=RADIUS_RATIO).contains(&ratio) {
        return Some(Unlike::Radius(found));
    }
    let rms = fit.noise * 3f64.sqrt();
    (rms > OFF_ALL_OVER * designed).then_some(Unlike::Misses(rms))
}

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
    let left = (1.0 - share).max(NOTHING_LEFT);
    let rivals = fit.causes.iter().skip(1);
    let rivals = rivals.filter(|cause| 1.0 - cause.share < RIVAL * left && cause.size > 1.0);
    let unlike = unlike(model, fit);
    Judged {
        agrees: off.is_empty() && unlike.is_none(),
        rivals: rivals.map(|cause| cause.cause.clone()).collect(),
        remedy: remedy.filter(|_| unlike.is_none()),
        unlike,
        off,
        best: first.map(|cause| cause.cause.clone()),
        share,
    }
}
