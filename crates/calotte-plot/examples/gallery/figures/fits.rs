//! Figures of a fit with invented residuals and parameters.

use super::{figure, noise};
use calotte_plot::plot::*;

/// Rows over a dome: a systematic miss and noise, mm; the last ones are plainly wrong.
fn residuals(
    count: usize,
    polar_max: f64,
    size: f64,
    sigma: f64,
    wrong: usize,
) -> Vec<ResidualRow> {
    let mut random = noise(11);
    let mut normal = move || (0..12).map(|_| random()).sum::<f64>() - 6.0;
    // Evenly over the dome: equal steps of cos(polar) and the golden angle.
    let cap = 1.0 - polar_max.to_radians().cos();
    (0..count)
        .map(|i| {
            let part = (i as f64 + 0.5) / count as f64;
            let polar_deg = (1.0 - cap * part).acos().to_degrees();
            let azimuth_deg = (i as f64 * 137.507_764) % 360.0;
            let (theta, phi) = (polar_deg.to_radians(), azimuth_deg.to_radians());
            let used = i % 29 != 17 || i / 29 >= wrong;
            let scale = if used { 1.0 } else { 4.0 };
            ResidualRow {
                number: i + 1,
                direction: Direction {
                    polar_deg,
                    azimuth_deg,
                },
                polar_mm: scale * (size * (0.6 * phi.cos() + 0.2) + sigma * normal()),
                azimuth_mm: scale * (size * (theta.sin() - 0.5 * phi.sin()) + sigma * normal()),
                outward_mm: scale * (size * 0.5 * (phi + 0.8).cos() + sigma * normal()),
                used,
            }
        })
        .collect()
}

fn two(count: usize, polar_max: f64, wrong: usize) -> ResidualDome {
    let panel = |title: &str, size, sigma| ResidualPanel {
        title: title.to_owned(),
        rows: residuals(count, polar_max, size, sigma, wrong),
    };
    ResidualDome {
        panels: vec![
            panel("As designed", 0.9, 0.02),
            panel("After the fit", 0.0, 0.02),
        ],
        note: "Seen from outside along the base axis; azimuth 0° to the right.".to_owned(),
        ..ResidualDome::default()
    }
}

fn residual_figure(plot: ResidualDome) -> Figure {
    figure(
        "Residuals over the dome",
        "Measured less predicted: arrows along the dome, colours outward.",
        &[("noise", "0.02 mm per coordinate")],
        Plot::ResidualDome(plot),
    )
}

pub fn residual_dome() -> Figure {
    residual_figure(two(72, 85.0, 2))
}

pub fn residual_dome_few() -> Figure {
    residual_figure(two(8, 60.0, 0))
}

pub fn residual_dome_many() -> Figure {
    residual_figure(two(10_000, 170.0, 5))
}

pub fn residual_dome_whole() -> Figure {
    let mut plot = two(140, 180.0, 3);
    for panel in &mut plot.panels {
        for row in &mut panel.rows {
            row.outward_mm = 0.0;
        }
    }
    residual_figure(plot)
}

fn fitted(name: &str, offset: f64, standard_error: f64) -> ToldRow {
    ToldRow {
        name: name.to_owned(),
        state: ToldState::Fitted {
            offset,
            standard_error,
            with_held: Some(standard_error.hypot(0.1 + standard_error)),
            off: offset.abs() > 1.0 + 2.0 * standard_error,
        },
    }
}

fn held(name: &str, signal: Option<f64>, because: HeldBecause) -> ToldRow {
    ToldRow {
        name: name.to_owned(),
        state: ToldState::Held { signal, because },
    }
}

fn told_figure(rows: Vec<ToldRow>) -> Figure {
    figure(
        "Identifiability of each parameter",
        "Standard errors and offsets from the design in typical workshop errors.",
        &[("rows", "72"), ("noise", "0.02 mm per coordinate")],
        Plot::ToldParameters(ToldParameters { rows }),
    )
}

pub fn told() -> Figure {
    let like = |names: &[&str]| {
        HeldBecause::LooksLike(names.iter().map(|name| (*name).to_owned()).collect())
    };
    told_figure(vec![
        fitted("crank", 4.24, 0.028),
        fitted("zero.first", -0.31, 0.041),
        fitted("zero.second", 1.42, 0.075),
        fitted("coupler", 0.0, 0.12),
        fitted("scale.first", -12.6, 0.19),
        fitted("base.tilt", 0.55, 0.46),
        held("backlash.first", Some(0.62), HeldBecause::Noise),
        held("scale.second", Some(0.21), like(&["coupler"])),
        held("rocker", Some(0.011), like(&["crank", "zero.second"])),
        held(
            "zero.third",
            Some(0.0),
            HeldBecause::Other("never told beside the pose".to_owned()),
        ),
        held("sensor.x", None, HeldBecause::Other("as asked".to_owned())),
    ])
}

pub fn told_many() -> Figure {
    let mut random = noise(5);
    let rows = (0..40)
        .map(|i| {
            let name = format!("parameter {} of a long list", i + 1);
            let size = 10f64.powf(random() * 3.0 - 2.5);
            match i {
                0 => fitted(&name, 1.3, 0.0),
                1..26 => fitted(&name, (random() - 0.5) * 2.6, size),
                _ => {
                    let like = format!("parameter {}", i - 20);
                    held(&name, Some(size), HeldBecause::LooksLike(vec![like]))
                }
            }
        })
        .collect();
    told_figure(rows)
}
