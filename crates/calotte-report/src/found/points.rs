//! What points say, for programs.

use calotte::measurement::{
    Combination, FittedParameter, OrientationAgreement, OrientationError, Orientations,
    PhysicalModel, PointFit, Prototype, Registration, ResidualStatistics, RowFound, SphereFit,
    Witness, Zone,
};
use calotte::sphere::{Direction, LocalFrame};
use calotte_document::fitted::{
    CorrelationDocument, FoundParameter, NotSeparable, RefusedRowShape, ResidualNumbers,
};
use calotte_document::measured::{
    AfterFit, FitDocument, HoldOutShape, LocalResidual, MeasureNext, MeasuredRow, NamedValue,
    NeverIdentifiable, OffParameter, OrientationAngles, OrientationReason, OrientationShape,
    OrientationsFound, PointsCause, PointsCombination, PointsExplanation, PointsVerdict,
    RegistrationDocument, RepeatedGroup, ResidualZone, SphereDocument,
};
use calotte_document::weighed::WeightsDocument;
use calotte_format::measurement::RefusedRow;
use calotte_format::safety::Safety;
use calotte_format::units::degrees;
use nalgebra::{DMatrix, UnitQuaternion, Vector3};
use rayon::prelude::*;

use super::FoundPoints;
use super::controller::controller_words;
use super::lack::lack_document;
use super::units::{in_unit, name_with_unit};
use super::verdict::{next_words, open_words, verdict_words};
use super::words::{
    cause_words, combination_words, hint_words, outcome_words, part_words, remedy_words,
};
use crate::results::direction_document;
use crate::safety;

/// What points say, with what weights say beside it: `measure fit --json` without its run.
pub(super) fn points_document(
    found: &FoundPoints,
    weights: Option<WeightsDocument>,
    safety: Safety,
) -> FitDocument {
    let Prototype {
        model,
        fit,
        sphere,
        before,
        after,
        rows,
        zones,
        groups,
        ..
    } = &found.prototype;
    FitDocument {
        sphere: sphere_document(sphere),
        registration: registration(&fit.pose_before),
        residual_mm: residual(before),
        parameters: fit.parameters.iter().map(|p| parameter(model, p)).collect(),
        after: AfterFit {
            residual_mm: residual(after),
            registration: registration(&fit.pose),
            noise_mm: fit.noise * 1e3,
        },
        verdict: verdict(&found.prototype),
        outlier_rows: fit.outliers.clone(),
        unreachable_rows: fit.unreachable.clone(),
        refused_rows: refused(&found.read.refused),
        rows_used: fit.used.len(),
        rows: rows
            .par_iter()
            .map(|row| measured_row(model, row))
            .collect(),
        hold_out: fit.hold_out.as_ref().map(|found| HoldOutShape {
            parts: found.parts,
            rms_before_mm: found.before * 1e3,
            rms_after_mm: found.after * 1e3,
            learned: found.after < found.before,
        }),
        singular_values_over_noise: fit.singular_values.to_vec(),
        correlation: CorrelationDocument {
            names: fit
                .fitted
                .iter()
                .map(|index| name_with_unit(&model.parameters[*index]))
                .collect(),
            matrix: matrix(&fit.correlation),
        },
        never_identifiable: NeverIdentifiable {
            name: name_with_unit(&model.parameters[model.unobservable_zero()]),
            reason: "it and the tracker's rotation about the base axis are one parameter"
                .to_string(),
        },
        causes: causes(model, fit),
        lack_of_fit: Some(lack_document(model, fit)),
        combinations: fit
            .combinations
            .iter()
            .map(|one| combination(model, one))
            .collect(),
        zones: zones.iter().map(zone).collect(),
        groups: groups
            .iter()
            .map(|(name, repeated)| RepeatedGroup {
                group: name.clone(),
                count: repeated.count,
                pose_accuracy_mm: repeated.accuracy * 1e3,
                pose_repeatability_mm: repeated.repeatability * 1e3,
            })
            .collect(),
        orientation: orientation(&found.prototype.orientations),
        notes: found.read.notes.clone(),
        weights,
        run: None,
        safety: safety::bench_document(safety),
    }
}

/// One measured row: base frame, residuals as measured less predicted in the local frame of
/// the direction (along growing polar angle, along growing azimuth, outward) and in x, y, z.
fn measured_row(model: &PhysicalModel, row: &RowFound) -> MeasuredRow {
    let direction = Direction::of(&row.direction);
    let frame = LocalFrame::at(direction).rotation();
    let local = |residual: &Vector3<f64>| {
        let along = frame.transpose() * residual * 1e3;
        LocalResidual {
            polar: along.x,
            azimuth: along.y,
            radial: along.z,
        }
    };
    MeasuredRow {
        row: row.row,
        direction_deg: direction_document(direction),
        measured_mm: (row.measured * 1e3).into(),
        before_mm: local(&row.before),
        after_mm: local(&row.after),
        before_base_mm: (row.before * 1e3).into(),
        after_base_mm: (row.after * 1e3).into(),
        used: row.used,
        readings: model
            .active_names
            .iter()
            .zip(row.readings)
            .map(|(name, reading)| (format!("{name}_deg"), degrees(reading)))
            .collect(),
    }
}

/// Rows that were not used.
pub(super) fn refused(rows: &[RefusedRow]) -> Vec<RefusedRowShape> {
    rows.iter()
        .map(|row| RefusedRowShape {
            row: row.row,
            line: row.line,
            reason: row.reason.clone(),
        })
        .collect()
}

/// A matrix row by row.
pub(super) fn matrix(of: &DMatrix<f64>) -> Vec<Vec<f64>> {
    of.row_iter()
        .map(|row| row.iter().copied().collect())
        .collect()
}

fn sphere_document(fit: &SphereFit) -> SphereDocument {
    SphereDocument {
        centre_mm: (fit.centre * 1e3).into(),
        radius_mm: fit.radius * 1e3,
        rms_mm: fit.rms() * 1e3,
    }
}

fn registration(found: &Registration) -> RegistrationDocument {
    let row = |i: usize| [0, 1, 2].map(|j| found.rotation[(i, j)]);
    RegistrationDocument {
        rotation: [row(0), row(1), row(2)],
        translation_mm: (found.translation * 1e3).into(),
    }
}

/// Statistics of lengths, mm.
pub(super) fn residual(statistics: &ResidualStatistics) -> ResidualNumbers {
    numbers(statistics, |value| value * 1e3)
}

fn numbers(statistics: &ResidualStatistics, shown: impl Fn(f64) -> f64) -> ResidualNumbers {
    ResidualNumbers {
        count: statistics.count,
        mean: shown(statistics.mean),
        rms: shown(statistics.rms),
        p95: shown(statistics.p95),
        max: shown(statistics.max),
    }
}

fn parameter(model: &PhysicalModel, fitted: &FittedParameter) -> FoundParameter {
    let described = &model.parameters[fitted.index];
    let shown = |value: f64| in_unit(described, value);
    FoundParameter {
        name: name_with_unit(described),
        value: shown(fitted.value),
        nominal: shown(described.nominal),
        standard_error: fitted.standard_error.map(shown),
        standard_error_by_noise: fitted.by_noise.map(shown),
        assumed_tolerance: Some(shown(described.typical)),
        minimum_fault_seen: fitted.seen.map(shown),
        identifiable: fitted.identifiable,
        at_bound: None,
        signal_to_noise: fitted.signal,
        held_because_not_separable_from: fitted
            .looks_like
            .iter()
            .map(|(index, share)| {
                let other = &model.parameters[*index];
                // In natural units: so much of the other for one of this.
                let ratio = share * in_unit(other, other.typical) / shown(described.typical);
                NotSeparable {
                    name: name_with_unit(other),
                    for_one: Some(ratio),
                    assumed_tolerances_for_one: None,
                }
            })
            .collect(),
    }
}

fn causes(model: &PhysicalModel, fit: &PointFit) -> Vec<PointsCause> {
    fit.causes
        .iter()
        .map(|found| PointsCause {
            cause: cause_words(&found.cause),
            probability: found.probability,
            explains: found.share,
            values: found
                .values
                .iter()
                .map(|(index, value)| {
                    let described = &model.parameters[*index];
                    NamedValue {
                        name: name_with_unit(described),
                        value: in_unit(described, *value),
                    }
                })
                .collect(),
            in_assumed_tolerances: found.size,
        })
        .collect()
}

/// What orientations say; `None` where none was measured.
fn orientation(found: &Result<Orientations, OrientationError>) -> Option<OrientationShape> {
    let agreement = |of: &OrientationAgreement| {
        let quaternion = UnitQuaternion::from_rotation_matrix(&of.sensor);
        OrientationAngles {
            angle_deg: numbers(&of.angle, degrees),
            roll_deg: numbers(&of.roll, degrees),
            direction_deg: numbers(&of.direction, degrees),
            sensor_on_tool_wxyz: [quaternion.w, quaternion.i, quaternion.j, quaternion.k],
        }
    };
    match found {
        Ok(found) => Some(OrientationShape::Found(Box::new(OrientationsFound {
            rows: found.rows.len(),
            off_rows: found.off.clone(),
            before: agreement(&found.before),
            after: agreement(&found.after),
            sensor_standard_error_deg: degrees(found.sensor_standard_error),
            fit_made_them_agree: match found.witness {
                Witness::Better => "better",
                Witness::Same => "neither better nor worse",
                Witness::Worse => "worse",
            }
            .to_string(),
        }))),
        Err(OrientationError::TooFew(0)) => None,
        Err(error) => Some(OrientationShape::Reason(OrientationReason {
            reason: error.to_string(),
        })),
    }
}

fn zone(zone: &Zone) -> ResidualZone {
    ResidualZone {
        polar_from_deg: degrees(zone.polar[0]),
        polar_to_deg: degrees(zone.polar[1]),
        before_mm: residual(&zone.before),
        after_mm: residual(&zone.after),
    }
}

fn combination(model: &PhysicalModel, one: &Combination) -> PointsCombination {
    let terms = one.terms.iter().map(|(index, times)| {
        let described = &model.parameters[*index];
        let first = &model.parameters[one.terms[0].0];
        NamedValue {
            name: name_with_unit(described),
            // In natural units.
            value: times * in_unit(first, 1.0) / in_unit(described, 1.0),
        }
    });
    let first = &model.parameters[one.terms[0].0];
    PointsCombination {
        terms: terms.collect(),
        by: in_unit(first, one.by),
        standard_error: in_unit(first, one.standard_error),
        words: combination_words(model, one),
    }
}

fn off_parameter(model: &PhysicalModel, index: usize, by: f64, error: Option<f64>) -> OffParameter {
    let described = &model.parameters[index];
    OffParameter {
        name: name_with_unit(described),
        by: in_unit(described, by),
        standard_error: error.map(|error| in_unit(described, error)),
        in_assumed_tolerances: by.abs() / described.typical,
    }
}

fn verdict(of: &Prototype) -> PointsVerdict {
    let Prototype {
        model, fit, judged, ..
    } = of;
    let faulty = fit.explanations.iter().filter(|one| !one.parts.is_empty());
    let explanations = faulty.take(judged.listed).map(|one| PointsExplanation {
        parts: one.parts.iter().map(part_words).collect(),
        probability: one.probability,
        off: one
            .off
            .iter()
            .map(|(index, by)| off_parameter(model, *index, *by, None))
            .collect(),
    });
    let remedies: Vec<String> = judged.remedies.iter().map(remedy_words).collect();
    let mut rivals: Vec<String> = Vec::new();
    for part in judged.alternatives.iter().flat_map(|(parts, _)| parts) {
        let name = part_words(part);
        if !rivals.contains(&name) {
            rivals.push(name);
        }
    }
    PointsVerdict {
        outcome: outcome_words(judged.outcome).to_string(),
        agrees_within_assumed_tolerances: judged.agrees,
        within_tolerance_probability: judged.within,
        explanations: explanations.collect(),
        perhaps: of
            .hints
            .iter()
            .map(|hint| hint_words(model, hint))
            .collect(),
        measure_next: of.next.as_ref().map(|next| MeasureNext {
            joints_deg: next.readings.map(degrees),
            distance_mm: next.distance * 1e3,
            times: next.times,
            separates: next
                .between
                .iter()
                .map(|parts| parts.iter().map(part_words).collect())
                .collect(),
            words: next_words(model, fit, judged, next),
        }),
        not_judged: judged
            .unseen
            .iter()
            .map(|index| name_with_unit(&model.parameters[*index]))
            .collect(),
        off: judged
            .off
            .iter()
            .map(|off| off_parameter(model, off.index, off.by, off.standard_error))
            .collect(),
        open: open_words(model, judged),
        controller: controller_words(model, fit, judged),
        remedy: (!remedies.is_empty()).then(|| remedies.join("; ")),
        remedy_explains: fit.causes.first().map_or(0.0, |one| one.share),
        of_this_design: judged.unlike.is_none(),
        rivals,
        words: verdict_words(model, fit, judged),
    }
}
