//! What weights said, for programs.

use calotte::measurement::weights::{FittedWeight, Seen, Standing, Station};
use calotte::measurement::{Course, Displacement, WeightFit, WeightRow};
use calotte_document::common::EnergyShares;
use calotte_document::fitted::{CorrelationDocument, FoundParameter, NotSeparable};
use calotte_document::weighed::{
    AfterWeights, GaugeReading, GaugeResidual, LoadCourse, LoadedConfiguration, OffWeight,
    SeenValue, StiffnessStanding, WeightsCause, WeightsDocument, WeightsVerdict,
};
use calotte_format::units::degrees;

use super::FoundWeights;
use super::place::place_words;
use super::points::{matrix, refused, residual};
use super::stiffness::{weights_scope_words, weights_verdict_words};
use super::units::{weight_in_unit, weight_name_with_unit};
use super::words::weight_cause_words;

/// Everything found, for the key `weights` of the fit's results.
pub fn weights_document(found: &FoundWeights) -> WeightsDocument {
    let fit = &found.fit;
    let judged = &found.judged;
    WeightsDocument {
        parameters: fit
            .parameters
            .iter()
            .map(|one| parameter(fit, one))
            .collect(),
        noise_mm: fit.noise * 1e3,
        scatter_mm: fit.scatter.map(|scatter| scatter * 1e3),
        explained: fit.explained,
        verdict: WeightsVerdict {
            agrees_within_bands: judged.agrees,
            believed: judged.doubt.is_none(),
            below: judged.softer,
            above: judged.stiffer,
            judged: judged.judged,
            off: judged
                .off
                .iter()
                .map(|off| OffWeight {
                    name: weight_name_with_unit(fit.parameters[off.index].parameter),
                    in_standard_errors: off.in_errors,
                })
                .collect(),
            cause_of_stiffness: judged
                .stiffness_cause(fit)
                .map(|index| weight_cause_words(fit.parameters[index].parameter).to_string()),
            scope: weights_scope_words(fit),
            words: weights_verdict_words(fit, judged),
        },
        residual_mm: residual(&fit.before),
        after: AfterWeights {
            residual_mm: residual(&fit.after),
        },
        rows: fit
            .residuals
            .iter()
            .map(|(row, miss)| GaugeResidual {
                row: *row,
                residual_mm: (miss * 1e3).into(),
            })
            .collect(),
        readings: found.read.weights.rows.iter().map(reading).collect(),
        rows_used: fit.used,
        outlier_rows: fit.outliers.clone(),
        unreachable_rows: fit.unreachable.clone(),
        across_rows: fit.across.clone(),
        refused_rows: refused(&found.read.refused),
        unloaded_again: fit.unloaded_again,
        correlation: CorrelationDocument {
            names: fit
                .fitted
                .iter()
                .map(|index| weight_name_with_unit(fit.parameters[*index].parameter))
                .collect(),
            matrix: matrix(&fit.correlation),
        },
        causes: fit
            .causes
            .iter()
            .map(|cause| WeightsCause {
                name: weight_name_with_unit(cause.parameter),
                cause: weight_cause_words(cause.parameter).to_string(),
                explains: cause.share,
                value: weight_in_unit(cause.parameter, cause.value),
            })
            .collect(),
        configurations: fit
            .stations
            .iter()
            .map(|one| configuration(found.joints, one))
            .collect(),
        notes: found.read.notes.clone(),
    }
}

fn parameter(fit: &WeightFit, one: &FittedWeight) -> FoundParameter {
    let shown = |value: f64| weight_in_unit(one.parameter, value);
    FoundParameter {
        name: weight_name_with_unit(one.parameter),
        value: shown(one.value),
        nominal: shown(one.nominal),
        standard_error: one.standard_error.map(shown),
        standard_error_by_noise: one.by_noise.map(shown),
        assumed_tolerance: None,
        minimum_fault_seen: None,
        identifiable: one.told.fitted,
        at_bound: Some(one.at_bound),
        signal_to_noise: one.told.signal,
        held_because_not_separable_from: one
            .told
            .looks_like
            .iter()
            .map(|(index, share)| NotSeparable {
                name: weight_name_with_unit(fit.parameters[*index].parameter),
                for_one: None,
                assumed_tolerances_for_one: Some(*share),
            })
            .collect(),
    }
}

/// One reading of the gauge; displacement is along the gauge, or along the pull where all
/// three components were read.
fn reading(row: &WeightRow) -> GaugeReading {
    let (displacement, gauge) = match row.displacement {
        Displacement::Along { axis, value } => (value, Some(axis)),
        Displacement::Vector(moved) => (moved.dot(&row.pull), None),
    };
    GaugeReading {
        row: row.row,
        mass_kg: row.mass,
        displacement_mm: displacement * 1e3,
        gauge: gauge.map(Into::into),
        course: match row.course {
            Course::Loading => LoadCourse::Loading,
            Course::Unloading => LoadCourse::Unloading,
        },
    }
}

fn configuration(joints: [&str; 2], one: &Station) -> LoadedConfiguration {
    let stiffness = |value: Option<f64>| value.map(|value| value * 1e-3);
    let seen = |seen: Option<Seen>, unit: f64| {
        seen.map(|seen| SeenValue {
            value: seen.value * unit,
            standard_error: seen.standard_error * unit,
        })
    };
    LoadedConfiguration {
        place: place_words(&one.place),
        pull: one.pull.into(),
        gauge: one.gauge.map(Into::into),
        rows: one.rows.clone(),
        measured_stiffness_n_per_mm: seen(one.measured, 1e-3),
        nominal_stiffness_n_per_mm: stiffness(one.nominal),
        soft_stiffness_n_per_mm: stiffness(one.band.map(|band| band[0])),
        stiff_stiffness_n_per_mm: stiffness(one.band.map(|band| band[1])),
        fitted_stiffness_n_per_mm: stiffness(one.fitted),
        standing: one.standing.map(|standing| match standing {
            Standing::Within => StiffnessStanding::Within,
            Standing::Softer => StiffnessStanding::Below,
            Standing::Stiffer => StiffnessStanding::Above,
        }),
        compliance_shares: one.shares.map(|shares| EnergyShares {
            arcs: shares.arcs,
            joints: shares.joints,
            pins: shares.pins,
            drives: shares.drives,
            base: shares.base,
        }),
        play_mm: seen(one.play, 1e3),
        friction_hysteresis_mm: seen(one.friction, 1e3),
        readings: joints
            .iter()
            .zip(one.readings)
            .map(|(name, reading)| (format!("{name}_deg"), degrees(reading)))
            .collect(),
    }
}
