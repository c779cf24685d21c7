//! Figures of a fit: residuals before and after over the polar angle, and the loops of
//! displacement under weights.

use calotte::measurement::{Course, Displacement, RowFound, WeightRow};
use calotte::sphere::Direction;
use calotte_format::found::FoundWeights;
use calotte_format::units::degrees;
use calotte_format::words;
use calotte_report::plot::{
    Axis, AxisKind, Candidate, Figure, FigureStyle, LineChart, LinePanel, Naming, Plot, PointGroup,
    Scatter, Series,
};

use super::fit::Found;
use crate::failure::Failure;

/// Most configurations whose loops are drawn.
const LOOPS_MAX: usize = 6;

/// Names without ending, and SVG text.
pub fn drawn(found: &Found) -> Result<Vec<(String, String)>, Failure> {
    let mut figures = vec![("residuals".to_string(), residuals(found))];
    if let Some(figure) = found.weights.as_ref().and_then(loops) {
        figures.push(("loops".to_string(), figure));
    }
    figures
        .into_iter()
        .map(|(name, figure)| {
            let drawing = figure
                .draw(&FigureStyle::screen())
                .map_err(|error| Failure::new(format!("{name}.svg: {error}")))?;
            Ok((name, drawing.svg))
        })
        .collect()
}

/// Length of every residual over the polar angle, with the design's values and fitted.
fn residuals(found: &Found) -> Figure {
    let prototype = &found.points.prototype;
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
        title: "What the design and the fit miss".to_string(),
        caption: "Distance of every measured point from where the design's values put it, and from where the fitted ones do, over the polar angle of the tool.".to_string(),
        settings: vec![
            ("rows".to_string(), prototype.fit.used.len().to_string()),
            ("noise".to_string(), format!("{} mm a component", words::three(prototype.fit.noise * 1e3))),
        ],
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

/// Displacement against weight, put on and taken off; `None` without gauges along one axis.
fn loops(hung: &FoundWeights) -> Option<Figure> {
    let mut configurations: Vec<[f64; 2]> = Vec::new();
    for row in &hung.read.weights.rows {
        if !configurations.contains(&row.readings) {
            configurations.push(row.readings);
        }
    }
    let panels: Vec<LinePanel> = configurations
        .iter()
        .take(LOOPS_MAX)
        .map(|readings| {
            let of = |course: Course, name: &str| {
                let rows = hung.read.weights.rows.iter();
                let mut points: Vec<(f64, f64)> = rows
                    .filter(|row| row.readings == *readings && row.course == course)
                    .filter_map(|row| Some((row.mass, along(row)? * 1e3)))
                    .collect();
                points.sort_by(|a, b| a.0.total_cmp(&b.0));
                if course == Course::Unloading {
                    // It begins where putting on ended.
                    points.extend(top(hung, readings));
                }
                Series {
                    name: name.to_string(),
                    x: points.iter().map(|p| p.0).collect(),
                    y: points.iter().map(|p| Some(p.1)).collect(),
                    ..Series::default()
                }
            };
            let [a, b] = readings.map(|r| words::number(degrees(r), 1));
            LinePanel {
                title: format!("{a}°, {b}°"),
                series: vec![
                    of(Course::Loading, "put on"),
                    of(Course::Unloading, "taken off"),
                ]
                .into_iter()
                .filter(|series| series.x.len() > 1)
                .collect(),
                ..LinePanel::default()
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
            naming: Naming::Legend,
            aspect: 0.8,
        }),
    })
}

/// The heaviest weight that was put on and what it did, kg and mm.
fn top(hung: &FoundWeights, readings: &[f64; 2]) -> Option<(f64, f64)> {
    hung.read
        .weights
        .rows
        .iter()
        .filter(|row| row.readings == *readings && row.course == Course::Loading)
        .max_by(|a, b| a.mass.total_cmp(&b.mass))
        .and_then(|row| Some((row.mass, along(row)? * 1e3)))
}

fn along(row: &WeightRow) -> Option<f64> {
    match row.displacement {
        Displacement::Along { value, .. } => Some(value),
        Displacement::Vector(moved) => Some(moved.dot(&row.pull)),
    }
}
