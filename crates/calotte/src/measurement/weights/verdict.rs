//! Whether weights say that the prototype is as stiff as its design promised, and what is off.

use super::fit::WeightFit;
use super::parameter::{WeightMeasure, WeightParameter};
use super::station::Standing;
use crate::design::{Design, JointStiffness};
use crate::uncertain::Uncertain;

/// One unknown that is off.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct WeightOff {
    /// Position in [`WeightFit::parameters`].
    pub index: usize,
    /// Distance from the design in standard errors: of the logarithm for a factor.
    pub in_errors: f64,
}

/// Why weights are not believed.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Doubt {
    /// The model misses the readings by far more than the gauge scatters.
    Unexplained,
    /// A stiffness runs to the end of what is looked at.
    AtLimit,
}

/// Weights judged.
#[derive(Debug, Clone, PartialEq)]
pub struct WeightsJudged {
    /// Whether every measured stiffness lies in the band of the design and no unknown is off.
    pub agrees: bool,
    /// Why nothing of these weights is believed.
    pub doubt: Option<Doubt>,
    /// Configurations softer than the design's band.
    pub softer: usize,
    /// Configurations stiffer than it.
    pub stiffer: usize,
    /// Configurations with a measured stiffness and a band.
    pub judged: usize,
    /// Unknowns that are off, those of stiffness first, each list by standard errors.
    pub off: Vec<WeightOff>,
}

impl WeightsJudged {
    /// The unknown of stiffness that the misfit asks for most, beside all others fitted: what
    /// would come back of the squared residuals if it alone stood as designed grows with the
    /// square of its distance in standard errors.
    pub fn stiffness_cause(&self, fit: &WeightFit) -> Option<usize> {
        let first = self.off.first()?;
        fit.parameters[first.index]
            .parameter
            .is_elastic()
            .then_some(first.index)
    }
}

/// Standard errors that are allowed.
const ALLOWED: f64 = 2.0;
/// Deviation of a factor that nobody minds (common practice, no source): weights and gauge
/// are not truer.
const TRIFLE: f64 = 0.02;

/// Judges a fit of weights by the design's bands.
pub fn weights_judged(design: &Design, fit: &WeightFit) -> WeightsJudged {
    let standing = |wanted: Standing| {
        let stations = fit.stations.iter();
        stations.filter(|one| one.standing == Some(wanted)).count()
    };
    let [within, softer, stiffer] =
        [Standing::Within, Standing::Softer, Standing::Stiffer].map(standing);
    let mut off: Vec<WeightOff> = fit
        .parameters
        .iter()
        .enumerate()
        .filter_map(|(index, one)| {
            let error = one.standard_error?;
            let (from, to) = designed(design, one.parameter);
            let beyond = one.value < from - ALLOWED * error || one.value > to + ALLOWED * error;
            // Errors of a factor are those of its logarithm.
            let in_errors = match one.parameter.measure() {
                WeightMeasure::Factor => one.value.ln().abs() * one.value / error,
                _ => one.value.abs() / error,
            };
            beyond.then_some(WeightOff { index, in_errors })
        })
        .collect();
    let is_elastic = |off: &WeightOff| fit.parameters[off.index].parameter.is_elastic();
    off.sort_by(|a, b| {
        let elastic = is_elastic(b).cmp(&is_elastic(a));
        elastic.then(b.in_errors.total_cmp(&a.in_errors))
    });
    let at_limit = fit
        .parameters
        .iter()
        .any(|one| one.at_bound && one.parameter.measure() == WeightMeasure::Factor);
    let doubt = if fit.explained == Some(false) {
        Some(Doubt::Unexplained)
    } else if at_limit {
        Some(Doubt::AtLimit)
    } else {
        None
    };
    WeightsJudged {
        agrees: off.is_empty() && softer + stiffer == 0 && doubt.is_none(),
        doubt,
        softer,
        stiffer,
        judged: within + softer + stiffer,
        off,
    }
}

/// Values that the design allows, of a factor or of the quantity itself.
fn designed(design: &Design, parameter: WeightParameter) -> (f64, f64) {
    let factors = |band: Option<Uncertain>| {
        let band = band.filter(|band| band.value > 0.0 && band.value.is_finite());
        let (low, high) = band.map_or((1.0, 1.0), |band| {
            (band.low / band.value, band.high / band.value)
        });
        (low.min(1.0 - TRIFLE), high.max(1.0 + TRIFLE))
    };
    // One factor for all levels: what any of them allows.
    let of_joints = |number: fn(&JointStiffness) -> Uncertain| {
        let stated = design.each_joints().map(|joints| joints.stiffness.as_ref());
        stated
            .map(|stiffness| factors(stiffness.map(number)))
            .reduce(|a, b| (a.0.min(b.0), a.1.max(b.1)))
            .unwrap_or_else(|| factors(None))
    };
    match parameter {
        WeightParameter::BarModulus => factors(Some(design.material.youngs_modulus)),
        WeightParameter::JointTilt => of_joints(|joint| joint.tilt),
        WeightParameter::JointRadial => of_joints(|joint| joint.radial),
        // One factor for both drives: what either allows.
        WeightParameter::DriveHolding => {
            let drives = design
                .drives
                .each
                .iter()
                .filter_map(|drive| drive.stiffness);
            drives
                .map(|stiffness| factors(Some(stiffness)))
                .reduce(|a, b| (a.0.min(b.0), a.1.max(b.1)))
                .unwrap_or_else(|| factors(None))
        }
        // Its bands belong to several stiffnesses.
        WeightParameter::SupportCompliance => factors(None),
        WeightParameter::BaseTilt | WeightParameter::Play | WeightParameter::Friction => {
            (0.0, parameter.typical())
        }
    }
}
