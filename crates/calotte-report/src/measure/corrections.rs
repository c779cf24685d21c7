//! The table of corrections that a fit leaves.

use std::f64::consts::PI;

use calotte::analysis::requirements::DEFAULT_TRANSMISSION_ANGLE;
use calotte::design::Design;
use calotte::kinematics::Margins;
use calotte::measurement::{Correction, correction_errors, corrections, readings_over};
use calotte::sphere::Direction;
use calotte::sphere::direction::wrap_signed;
use calotte::subject::Subject;
use calotte::uncertain::Corner;
use calotte_format::measurement::template_reading;
use calotte_format::safety::Safety;
use calotte_format::units::{degrees, radians};
use calotte_format::words;

use crate::error::ReportError;
use crate::found::FoundPoints;
use crate::prototype::STEPS_DEG;
use crate::text::line;

/// Margins of the readings listed where no brief says others: near a singular configuration a
/// small error of the fit is a large one of the correction.
pub const DEFAULT_MARGINS: Margins = Margins {
    lci_min: 0.0,
    transmission_angle_min: DEFAULT_TRANSMISSION_ANGLE,
};

/// What a controller adds to readings over the working range so that the tool points as
/// designed.
///
/// # Arguments
/// - `margins`: of the readings listed; [`DEFAULT_MARGINS`] without a brief.
///
/// # Errors
/// [`ReportError`] for a design without kinematics.
pub fn corrections_table(
    design: &Design,
    points: &FoundPoints,
    margins: Margins,
) -> Result<Vec<u8>, ReportError> {
    let prototype = &points.prototype;
    let (subject, readings) = readings(design, margins)?;
    let asked = readings.len();
    let rows: Vec<(Correction, [f64; 2])> =
        corrections(&prototype.model, &prototype.fit.values, readings)
            .into_iter()
            .flatten()
            .filter(|row| is_in_drive_range(&subject, row))
            .filter_map(|row| {
                Some((
                    row,
                    correction_errors(&prototype.model, &prototype.fit, &row)?,
                ))
            })
            .collect();
    let joints = prototype.model.active_names;
    let mut text = remarks(design, points, joints, margins);
    if rows.len() < asked {
        line!(
            text,
            "# Left out: {} readings of {asked} whose corrected reading the fitted model or the drives do not reach.",
            asked - rows.len()
        );
    }
    let [a, b] = joints;
    line!(
        text,
        "{a}_deg,{b}_deg,designed_polar_deg,designed_azimuth_deg,fitted_polar_deg,fitted_azimuth_deg,fitted_minus_designed_polar_deg,fitted_minus_designed_azimuth_deg,add_to_{a}_deg,add_to_{b}_deg,standard_error_of_add_to_{a}_deg,standard_error_of_add_to_{b}_deg"
    );
    for (row, errors) in rows {
        let at = row.directions;
        let [designed, fitted] = [at.designed, at.fitted].map(|d| Direction::of(&d));
        let readings = at.readings.map(|v| format!("{:.3}", degrees(v)));
        let values = [
            designed.polar,
            designed.azimuth,
            fitted.polar,
            fitted.azimuth,
            fitted.polar - designed.polar,
            wrap_signed(fitted.azimuth - designed.azimuth),
            row.added[0],
            row.added[1],
            errors[0],
            errors[1],
        ]
        .map(|v| format!("{:.6}", degrees(v)));
        line!(text, "{},{}", readings.join(","), values.join(","));
    }
    Ok(text.into_bytes())
}

/// What the table holds and how it is used, for whoever has nothing else of it. A comma would
/// be a separator to whoever opens the file as a table.
fn remarks(design: &Design, points: &FoundPoints, [a, b]: [&str; 2], margins: Margins) -> String {
    let of = match design.title.as_str() {
        "" => String::new(),
        title => format!(" of {title}"),
    };
    let model = &points.prototype.model;
    let zero = &model.parameters[model.unobservable_zero()];
    let mut sentences = vec![
        format!(
            "Corrections{of}: what a controller adds to the joint readings so that the tool points where the design points."
        ),
        Safety::of(design, true).notice(),
    ];
    if points.prototype.judged.unlike.is_some() {
        sentences
            .push("DO NOT USE: the fitted model does not explain the measured points.".to_string());
    }
    sentences.extend([
        format!("Use: take the readings {a}_deg and {b}_deg that the design gives for a direction; set {a}_deg + add_to_{a}_deg and {b}_deg + add_to_{b}_deg instead. The fitted model then points to the designed direction. Interpolate linearly between rows; do not go beyond them."),
        "Sign and unit: all values are degrees; a positive value to add turns the joint in the sense in which its reading grows. Polar angles are from the base axis; azimuths are about it from the base reference: base frame of the design.".to_string(),
        "designed: where the design points at the readings as they stand; fitted: where the fitted model points at the same readings; fitted_minus_designed: the error that the values to add take away.".to_string(),
        "Made for the controller as it was when the points were measured: once a scale or a zero is entered there this table no longer holds; measure and fit again.".to_string(),
        format!("standard_error_of_add_to: one standard error of the value to add. It holds the noise of the points and all that they do not separate or that was held; each held parameter off by its tolerance; so too how far the sensor may sit beside the line of the tool. It does not hold {}; which turns all directions alike about the base axis and which no points identify; nor backlash.", zero.name),
        "Fitted values come from the fit and not from a measurement of each direction. The tool's own line is meant and not the sensor beside it; readings are taken from neither side of the backlash.".to_string(),
        kept(margins),
    ]);
    let mut text = String::new();
    for sentence in sentences {
        for part in words::wrapped(&sentence.replace(',', ";"), 98) {
            line!(text, "# {part}");
        }
    }
    text
}

/// Where the list ends.
fn kept(margins: Margins) -> String {
    let mut kept = vec![format!(
        "a transmission angle of at least {}",
        words::angle(margins.transmission_angle_min)
    )];
    if margins.lci_min > 0.0 {
        kept.push(format!(
            "an LCI of at least {}",
            words::three(margins.lci_min)
        ));
    }
    format!(
        "All readings listed keep {}: near a singular configuration a small error of the fit is a large one of the correction.",
        kept.join(" and ")
    )
}

/// Readings over the working range with its margins, as the file states them.
fn readings(design: &Design, margins: Margins) -> Result<(Subject, Vec<[f64; 2]>), ReportError> {
    let cannot = |error: &dyn std::fmt::Display| ReportError::new(error.to_string());
    let nominal = design.at_corner(Corner::Nominal);
    let subject = Subject::alone(&nominal, margins).map_err(|error| cannot(&error))?;
    let range = subject.range().map_err(|error| cannot(&error))?;
    let within = range.map_or([0.0; 2], |range| range.second);
    let readings = readings_over(design, within, margins, STEPS_DEG.map(radians))
        .map_err(|error| cannot(&error))?;
    let stated = readings
        .into_iter()
        .map(|reading| reading.map(template_reading))
        .collect();
    Ok((subject, stated))
}

/// Whether the drives reach the corrected reading.
fn is_in_drive_range(subject: &Subject, row: &Correction) -> bool {
    let [a, b] = row.directions.readings;
    let kinematics = subject.kinematics();
    let corrected = [a + row.added[0], b + row.added[1]];
    let mechanism = kinematics.mechanism_from_active(corrected);
    let range = subject.motion.drive_range();
    let within = |range: Option<[f64; 2]>, angle: f64| {
        let turned = |angle: f64, [from, to]: [f64; 2]| (from..=to).contains(&angle);
        range.is_none_or(|range| {
            [-2.0 * PI, 0.0, 2.0 * PI]
                .iter()
                .any(|turn| turned(angle + turn, range))
        })
    };
    within(range.first, mechanism[0]) && within(range.second, mechanism[1])
}
