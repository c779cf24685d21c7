//! Heat maps.

use super::{figure, grid, stages_axis, steps};
use calotte_plot::plot::*;

fn deflection(stages: f64, arc: f64, joint: f64) -> Option<f64> {
    let total = 2.0 * stages * arc;
    (total > 60.0).then(|| {
        let slack = (total - 60.0) / 100.0;
        0.08 + 0.0009 * (arc - 12.0) * (arc - 12.0) / (1.0 + slack)
            + joint * 0.045 * stages * stages.sqrt()
            + 0.22 / (1.0 + 3.0 * slack)
    })
}

fn reach(stages: f64, arc: f64) -> Option<f64> {
    Some(1.55 * stages * arc.powf(0.92))
}

fn stage_panel(title: &str, joint: f64) -> HeatPanel {
    let x = steps(1.0, 8.0, 8);
    let y = steps(8.0, 40.0, 33);
    HeatPanel {
        title: title.to_owned(),
        values: grid(&x, &y, |s, a| deflection(s, a, joint)),
        lines: vec![
            NamedLine {
                label: "reach 94°".to_owned(),
                values: grid(&x, &y, reach),
                level: 94.0,
            },
            NamedLine {
                label: "mass 1.2 kg".to_owned(),
                values: grid(&x, &y, |s, a| Some(0.2 + 0.009 * s * a + 0.06 * s)),
                level: 1.2,
            },
        ],
        x,
        y,
        scale: None,
    }
}

fn arc_axis() -> Axis {
    Axis::new("Arc angle", "°")
}

pub fn heat_shared() -> Figure {
    figure(
        "Contact deflection over stages and arc angle",
        "Contact deflection with rigid and with real joints; ringed: best number of stages for each \
         arc angle.",
        &[("press", "5 N"), ("radius", "160 mm"), ("at", "polar 60°")],
        Plot::HeatMap(HeatMap {
            x: stages_axis(),
            y: arc_axis(),
            scale: ColourScale::new("Contact deflection", "mm"),
            panels: vec![
                stage_panel("Rigid joints", 0.0),
                stage_panel("Joints as given", 1.0),
            ],
            contours: Contours::About(6),
            best: BestCells::EachRow,
            no_value: "region not reached".to_owned(),
            print_values: false,
            aspect: 1.05,
        }),
    )
}

pub fn heat_one() -> Figure {
    let x = steps(0.0, 90.0, 46);
    let y = steps(20.0, 110.0, 37);
    let values = grid(&x, &y, |polar, bend| {
        let gap = bend - 0.35 * polar - 12.0;
        (gap > 0.0 && polar + bend < 188.0)
            .then(|| (0.2 + 0.75 * (polar * 0.031).sin().abs() * (bend / 110.0).sqrt()).min(0.97))
    });
    let reachable = grid(&x, &y, |polar, bend| Some(polar * 0.6 + bend));
    figure(
        "Conditioning over polar angle and bend",
        "Local conditioning index of a two-arc arm.",
        &[
            ("drive layout", "two bars"),
            ("characteristic length", "1 m"),
        ],
        Plot::HeatMap(HeatMap {
            x: Axis::new("Polar angle", "°"),
            y: Axis::new("Bend", "°"),
            scale: ColourScale {
                better: Better::More,
                map: ColourMap::Cividis,
                ..ColourScale::new("Local conditioning index (LCI)", "")
            },
            panels: vec![HeatPanel {
                title: String::new(),
                lines: vec![NamedLine {
                    label: "bars touch".to_owned(),
                    values: reachable,
                    level: 118.0,
                }],
                x,
                y,
                values,
                scale: None,
            }],
            contours: Contours::About(7),
            best: BestCells::Panel,
            no_value: "cannot be assembled".to_owned(),
            print_values: false,
            aspect: 0.72,
        }),
    )
}

pub fn heat_own() -> Figure {
    let mut left = stage_panel("Contact deflection", 1.0);
    left.lines.truncate(1);
    left.scale = Some(ColourScale::new("Deflection", "mm"));
    let mut right = left.clone();
    right.title = "Conditioning".to_owned();
    right.values = grid(&right.x, &right.y, |s, a| {
        (2.0 * s * a > 60.0).then(|| 0.9 * (-((s - 4.0) / 5.0).powi(2)).exp() * (a / 60.0).sqrt())
    });
    right.scale = Some(ColourScale {
        better: Better::More,
        ..ColourScale::new("GCI", "")
    });
    figure(
        "Deflection and conditioning over stages and arc angle",
        "Two quantities over the same variables, each with a scale of its own.",
        &[("press", "5 N")],
        Plot::HeatMap(HeatMap {
            x: stages_axis(),
            y: arc_axis(),
            panels: vec![left, right],
            contours: Contours::About(5),
            best: BestCells::Panel,
            no_value: "region not reached".to_owned(),
            aspect: 1.0,
            ..HeatMap::default()
        }),
    )
}

pub fn heat_names() -> Figure {
    let names = ["tube 8×1", "tube 10×1", "bar 6×10", "bar 8×12"];
    let x = steps(0.0, 3.0, 4);
    let y = steps(1.0, 5.0, 5);
    let values = grid(&x, &y, |section, stages| {
        (section + stages > 1.5).then(|| 1.9 / (1.0 + section) * (0.35 + 0.2 * stages))
    });
    figure(
        "Sag over section and stages",
        "Sag by weight.",
        &[("material", "PA12, invented values")],
        Plot::HeatMap(HeatMap {
            x: Axis::new("Section", "mm").with_kind(AxisKind::Names(
                names.iter().map(|n| (*n).to_owned()).collect(),
            )),
            y: stages_axis(),
            scale: ColourScale::new("Sag", "mm"),
            panels: vec![HeatPanel {
                x,
                y,
                values,
                ..HeatPanel::default()
            }],
            no_value: "not reached".to_owned(),
            best: BestCells::None,
            print_values: true,
            aspect: 0.6,
            ..HeatMap::default()
        }),
    )
}

pub fn heat_margin() -> Figure {
    let x = steps(0.5, 8.0, 31);
    let y = steps(20.0, 80.0, 25);
    let values = grid(&x, &y, |force, radius| {
        Some(60.0 - 9.0 * force - 0.012 * (radius - 45.0).powi(2) + 0.2 * radius)
    });
    figure(
        "Margin over press and joint radius",
        "Margin of contact deflection; zero is the limit.",
        &[("limit", "0.50 mm")],
        Plot::HeatMap(HeatMap {
            x: Axis::new("Press", "N"),
            y: Axis::new("Joint radius", "mm"),
            scale: ColourScale {
                map: ColourMap::Diverging,
                better: Better::More,
                ..ColourScale::new("Margin", "%")
            },
            panels: vec![HeatPanel {
                x,
                y,
                values,
                ..HeatPanel::default()
            }],
            contours: Contours::About(8),
            aspect: 0.65,
            ..HeatMap::default()
        }),
    )
}
