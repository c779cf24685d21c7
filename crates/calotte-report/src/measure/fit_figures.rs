//! Figures of a fit: residuals before and after over the polar angle and over the dome, what
//! the points tell of each parameter, and the loops of displacement under weights.

use crate::found::{FoundPoints, FoundWeights};
use calotte::design::Design;
use calotte::measurement::weights::Station;
use calotte::measurement::{Course, Displacement, FittedParameter, Prototype, RowFound, WeightRow};
use calotte::sphere::{Direction, LocalFrame};
use calotte_format::safety::Safety;
use calotte_format::units::degrees;
use calotte_format::words;
use calotte_plot::plot::{
    Axis, AxisKind, Candidate, Direction as Place, Figure, FigureStyle, HeldBecause, LineChart,
    LinePanel, Plot, PointGroup, ResidualDome, ResidualPanel, ResidualRow, Scatter, Series,
    ToldParameters, ToldRow, ToldState,
};

use crate::error::ReportError;
use crate::safety;

/// Most configurations whose loops are drawn.
const LOOPS_MAX: usize = 6;
/// Most parameters that are drawn.
const PARAMETERS_MAX: usize = 40;
/// Most parameters named as what a held one looks like.
const LIKE_MAX: usize = 2;

/// Names without ending, and SVG text.
///
/// # Arguments
/// - `design`: the one that was measured.
///
/// # Errors
/// [`ReportError`] for a figure that cannot be drawn.
pub fn fit_figures(
    design: &Design,
    points: &FoundPoints,
    weights: Option<&FoundWeights>,
) -> Result<Vec<(String, String)>, ReportError> {
    let prototype = &points.prototype;
    let footing = safety::footing(Safety::of(design, true));
    let mut figures = vec![
        ("residuals".to_string(), residuals(prototype)),
        ("residuals-dome".to_string(), residual_dome(prototype)),
        ("identifiability".to_string(), told(prototype)),
    ];
    if let Some(figure) = weights.and_then(loops) {
        figures.push(("hysteresis".to_string(), figure));
    }
    figures
        .into_iter()
        .map(|(name, figure)| {
            let drawing = figure
                .draw_above(&FigureStyle::screen(), &footing)
                .map_err(|error| ReportError::new(format!("{name}.svg: {error}")))?;
            Ok((name, drawing.svg))
        })
        .collect()
}

/// Length of every residual over the polar angle, with the design's values and fitted.
fn residuals(prototype: &Prototype) -> Figure {
    let group = |name: &str, residual: fn(&RowFound) -> &nalgebra::Vector3<f64>| PointGroup {
        name: name.to_string(),
        points: prototype
            .rows
            .iter()
            .filter(|row| row.used)
            .map(|row| Candidate {
                x: degrees(Direction::of(&row.direction).polar),
                // Zero has no place on a logarithmic axis.
                y: (residual(row).norm() * 1e3).max(1e-6),
                feasible: true,
            })
            .collect(),
    };
    Figure {
        title: "Residuals of the nominal design and of the fit".to_string(),
        caption: "Distance of every measured point from where the design's values put it, and from where the fitted ones do, over the polar angle of the tool.".to_string(),
        settings: settings(prototype),
        plot: Plot::Scatter(Scatter {
            x: Axis::new("Polar angle", "°"),
            y: Axis::new("Residual", "mm").with_kind(AxisKind::Logarithmic),
            groups: vec![
                group("design", |row| &row.before),
                group("fitted", |row| &row.after),
            ],
            front: false,
            ideal: false,
            ..Scatter::default()
        }),
    }
}

/// Numbers behind every figure of the points.
fn settings(prototype: &Prototype) -> Vec<(String, String)> {
    let noise = words::three(prototype.fit.noise * 1e3);
    vec![
        ("rows".to_string(), prototype.fit.used.len().to_string()),
        ("noise".to_string(), format!("{noise} mm per coordinate")),
    ]
}

/// Residual vectors over the dome, with the design's values and fitted.
fn residual_dome(prototype: &Prototype) -> Figure {
    let panel = |title: &str, residual: fn(&RowFound) -> &nalgebra::Vector3<f64>| ResidualPanel {
        title: title.to_string(),
        rows: prototype
            .rows
            .iter()
            .map(|row| residual_row(row, residual(row)))
            .collect(),
    };
    Figure {
        title: "Residuals of the nominal design and of the fit, by direction".to_string(),
        caption: "Measured less predicted at every direction of the tool: arrows show the part along the dome, colours the part outward; each panel has its own scales.".to_string(),
        settings: settings(prototype),
        plot: Plot::ResidualDome(ResidualDome {
            panels: vec![
                panel("As designed", |row| &row.before),
                panel("After the fit", |row| &row.after),
            ],
            right_azimuth_deg: 0.0,
            note: "Seen from outside along the base axis; azimuth 0° to the right.".to_string(),
        }),
    }
}

/// A residual, m in the base frame, along growing polar angle, growing azimuth and outward.
fn residual_row(row: &RowFound, residual: &nalgebra::Vector3<f64>) -> ResidualRow {
    let at = Direction::of(&row.direction);
    let along = LocalFrame::at(at).rotation().transpose() * residual * 1e3;
    ResidualRow {
        number: row.row,
        direction: Place {
            polar_deg: degrees(at.polar),
            azimuth_deg: degrees(at.azimuth),
        },
        polar_mm: along.x,
        azimuth_mm: along.y,
        outward_mm: along.z,
        used: row.used,
    }
}

/// How well every parameter is told, how far it is off, which are held and why.
fn told(prototype: &Prototype) -> Figure {
    let mut parameters: Vec<&FittedParameter> = prototype.fit.parameters.iter().collect();
    let typical = |one: &FittedParameter| prototype.model.parameters[one.index].typical;
    // Those told best first, then the held ones from the nearest miss on.
    let rank = |one: &FittedParameter| match one.standard_error.filter(|_| one.identifiable) {
        Some(error) => (false, error / typical(one)),
        None => (true, -one.signal),
    };
    parameters.sort_by(|a, b| {
        let (a, b) = (rank(a), rank(b));
        a.0.cmp(&b.0).then(a.1.total_cmp(&b.1))
    });
    let left_out = parameters.len().saturating_sub(PARAMETERS_MAX);
    let mut caption = "How well the points identify every parameter, its deviation from the design, and which are fixed at nominal and why. One unit is the assumed tolerance of workshops.".to_string();
    if left_out > 0 {
        caption.push_str(&format!(
            " The {left_out} parameters identified worst are in fit.json alone."
        ));
    }
    let rows = parameters
        .into_iter()
        .take(PARAMETERS_MAX)
        .map(|one| {
            let described = &prototype.model.parameters[one.index];
            let state = match one.standard_error.filter(|_| one.identifiable) {
                Some(error) => ToldState::Fitted {
                    offset: (one.value - described.nominal) / described.typical,
                    standard_error: error / described.typical,
                    with_held: None,
                    off: prototype
                        .judged
                        .off
                        .iter()
                        .any(|off| off.index == one.index),
                },
                None => held(prototype, one),
            };
            ToldRow {
                name: described.name.clone(),
                state,
            }
        })
        .collect();
    Figure {
        title: "Identifiability of each parameter".to_string(),
        caption,
        settings: settings(prototype),
        plot: Plot::ToldParameters(ToldParameters { rows }),
    }
}

/// Why a parameter is held.
fn held(prototype: &Prototype, one: &FittedParameter) -> ToldState {
    let signal = one.signal;
    let name = |index: usize| prototype.model.parameters[index].name.clone();
    let other = |words: &str| HeldBecause::Other(words.to_string());
    let (signal, because) = if one.index == prototype.model.unobservable_zero() {
        (
            Some(0.0),
            other("not separable from the tracker's rotation"),
        )
    } else if signal == 0.0 {
        // The fit does not look at those it is told to hold.
        (None, other("as asked, or without effect"))
    } else if one.looks_like.is_empty() {
        (Some(signal), HeldBecause::Noise)
    } else {
        let like = one.looks_like.iter().take(LIKE_MAX);
        let mut names: Vec<String> = like.map(|(index, _)| name(*index)).collect();
        let more = one.looks_like.len() - names.len();
        if more > 0 {
            names.push(format!("{more} more"));
        }
        (Some(signal), HeldBecause::LooksLike(names))
    };
    ToldState::Held { signal, because }
}

/// Displacement against weight, put on and taken off; `None` without gauges along one axis.
fn loops(hung: &FoundWeights) -> Option<Figure> {
    // Pulls of one configuration in different directions are loops of their own.
    let configurations = &hung.fit.stations;
    let panels: Vec<LinePanel> = configurations
        .iter()
        .take(LOOPS_MAX)
        .map(|station| {
            let of = |course: Course, name: &str| {
                let mut points: Vec<(f64, f64)> = rows_of(hung, station)
                    .filter(|row| row.course == course)
                    .filter_map(|row| Some((row.mass, along(row)? * 1e3)))
                    .collect();
                points.sort_by(|a, b| a.0.total_cmp(&b.0));
                if course == Course::Unloading {
                    // It begins where putting on ended.
                    points.extend(top(hung, station));
                }
                Series {
                    name: name.to_string(),
                    x: points.iter().map(|p| p.0).collect(),
                    y: points.iter().map(|p| Some(p.1)).collect(),
                    ..Series::default()
                }
            };
            let [a, b] = station.readings.map(|r| words::number(degrees(r), 1));
            let pull = if station.pull.z < STRAIGHT_DOWN {
                "down"
            } else {
                "pulley"
            };
            LinePanel {
                title: format!("{a}°, {b}°, {pull}"),
                series: vec![
                    of(Course::Loading, "put on"),
                    of(Course::Unloading, "taken off"),
                ]
                .into_iter()
                .filter(|series| series.x.len() > 1)
                .collect(),
            }
        })
        .filter(|panel| !panel.series.is_empty())
        .collect();
    (!panels.is_empty()).then(|| Figure {
        title: "Displacement under weights".to_string(),
        caption: format!(
            "What the gauge saw as weights were put on and taken off at readings of {} and {}{}; the gap between the two is friction, the step at the first weight play.",
            hung.joints[0],
            hung.joints[1],
            if configurations.len() > LOOPS_MAX {
                format!(", the first {LOOPS_MAX} of {} configurations", configurations.len())
            } else {
                String::new()
            }
        ),
        settings: vec![("rows".to_string(), hung.read.weights.rows.len().to_string())],
        plot: Plot::LineChart(LineChart {
            x: Axis::new("Weight", "kg"),
            y: Axis::new("Displacement", "mm"),
            panels,
            aspect: 0.8,
        }),
    })
}

/// Vertical part of a pull below which the weight hangs freely.
const STRAIGHT_DOWN: f64 = -0.999;

/// Rows of one configuration, place and pull, in the order of the file.
fn rows_of<'f>(
    hung: &'f FoundWeights,
    station: &'f Station,
) -> impl Iterator<Item = &'f WeightRow> {
    let rows = hung.read.weights.rows.iter();
    rows.filter(|row| station.rows.contains(&row.row))
}

/// The heaviest weight that was put on and what it did, kg and mm.
fn top(hung: &FoundWeights, station: &Station) -> Option<(f64, f64)> {
    rows_of(hung, station)
        .filter(|row| row.course == Course::Loading)
        .max_by(|a, b| a.mass.total_cmp(&b.mass))
        .and_then(|row| Some((row.mass, along(row)? * 1e3)))
}

fn along(row: &WeightRow) -> Option<f64> {
    match row.displacement {
        Displacement::Along { value, .. } => Some(value),
        Displacement::Vector(moved) => Some(moved.dot(&row.pull)),
    }
}
