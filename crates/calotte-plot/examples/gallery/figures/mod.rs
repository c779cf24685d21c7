//! Figures with invented data: formulas chosen to look like a mechanism's behaviour, not
//! results of any mechanism.

mod domes;
mod fits;
mod maps;

use calotte_plot::plot::*;

/// Every figure with its file name.
pub fn all() -> Vec<(&'static str, Figure)> {
    vec![
        ("heat-one", maps::heat_one()),
        ("heat-shared", maps::heat_shared()),
        ("heat-own", maps::heat_own()),
        ("heat-names", maps::heat_names()),
        ("heat-margin", maps::heat_margin()),
        ("line-stages", line_stages()),
        ("line-gap", line_gap()),
        ("line-panels", line_panels()),
        ("line-log", line_log()),
        ("scatter", scatter()),
        ("scatter-many", scatter_many()),
        ("dome", domes::dome()),
        ("dome-tilted", domes::dome_tilted()),
        ("dome-pair", domes::dome_pair()),
        ("residual-dome", fits::residual_dome()),
        ("residual-dome-few", fits::residual_dome_few()),
        ("residual-dome-many", fits::residual_dome_many()),
        ("residual-dome-whole", fits::residual_dome_whole()),
        ("shares", shares()),
        ("shares-rows", shares_rows()),
        ("margins", margins()),
        ("identifiability", fits::told()),
        ("told-many", fits::told_many()),
    ]
}

fn figure(title: &str, caption: &str, settings: &[(&str, &str)], plot: Plot) -> Figure {
    Figure {
        title: title.to_owned(),
        caption: format!("{caption} The data are invented."),
        settings: settings
            .iter()
            .map(|(name, value)| ((*name).to_owned(), (*value).to_owned()))
            .collect(),
        plot,
    }
}

fn steps(from: f64, to: f64, count: usize) -> Vec<f64> {
    (0..count)
        .map(|i| from + (to - from) * i as f64 / (count - 1) as f64)
        .collect()
}

fn grid(x: &[f64], y: &[f64], value: impl Fn(f64, f64) -> Option<f64>) -> Vec<Option<f64>> {
    y.iter()
        .flat_map(|y| x.iter().map(|x| value(*x, *y)).collect::<Vec<_>>())
        .collect()
}

/// Deterministic numbers between 0 and 1.
fn noise(seed: u64) -> impl FnMut() -> f64 {
    let mut state = seed;
    move || {
        state = state
            .wrapping_mul(6_364_136_223_846_793_005)
            .wrapping_add(1_442_695_040_888_963_407);
        (state >> 11) as f64 / (1_u64 << 53) as f64
    }
}

fn stages_axis() -> Axis {
    Axis::new("Stages", "").with_kind(AxisKind::Integer)
}

fn stage_series(name: &str, scale: f64, best_at: f64) -> Series {
    let x = steps(1.0, 8.0, 8);
    let y: Vec<Option<f64>> = x
        .iter()
        .map(|s| Some(scale * (0.18 + 0.021 * (s - best_at) * (s - best_at) + 0.12 / s)))
        .collect();
    let best = (0..8).min_by(|a, b| y[*a].partial_cmp(&y[*b]).expect("finite"));
    Series {
        name: name.to_owned(),
        best_label: best.map_or_else(String::new, |b| format!("{} stages", b + 1)),
        x,
        y,
        best,
    }
}

fn line_stages() -> Figure {
    let real = stage_series("joints as given", 1.0, 2.6);
    let mut wood = stage_series("bushings", 1.35, 1.9);
    wood.y[4] = None;
    figure(
        "Deflection over the number of stages",
        "Contact deflection; ringed: the best number of stages.",
        &[("press", "5 N"), ("total arc", "94°")],
        Plot::LineChart(LineChart {
            x: stages_axis(),
            y: Axis::new("Contact deflection", "mm").from_zero(),
            panels: vec![LinePanel {
                title: String::new(),
                series: vec![stage_series("rigid joints", 0.62, 5.1), real, wood],
            }],
            aspect: 0.68,
        }),
    )
}

fn polar_series(name: &str, scale: f64, phase: f64) -> Series {
    let x = steps(0.0, 90.0, 91);
    let y = x
        .iter()
        .map(|p| {
            let value = scale * (0.3 + 0.6 * (p / 90.0 + phase).powi(2));
            (!(name == "five-bar" && (40.0..52.0).contains(p))).then_some(value)
        })
        .collect();
    Series {
        name: name.to_owned(),
        x,
        y,
        ..Series::default()
    }
}

fn line_gap() -> Figure {
    figure(
        "Holding torque over polar angle",
        "Holding torque against weight; the gap is where the five-bar cannot be reached.",
        &[("tool", "0.4 kg")],
        Plot::LineChart(LineChart {
            x: Axis::new("Polar angle", "°"),
            y: Axis::new("Holding torque", "N·m").from_zero(),
            panels: vec![LinePanel {
                series: vec![
                    polar_series("two-arc arm", 1.0, 0.05),
                    polar_series("scissor linkage", 0.9, 0.05),
                    polar_series("five-bar", 0.7, 0.0),
                    polar_series("spherical crank", 0.55, -0.1),
                ],
                ..LinePanel::default()
            }],
            aspect: 0.6,
        }),
    )
}

fn line_panels() -> Figure {
    let panel = |title: &str, shift: f64| LinePanel {
        title: title.to_owned(),
        series: vec![
            stage_series("PA12", 1.0 + shift, 2.4 - shift),
            stage_series("steel", 0.6 + shift, 4.8 - shift),
            stage_series("CFRP", 0.45 + shift, 5.6 - shift),
        ],
    };
    figure(
        "Deflection over stages, by joint",
        "Contact deflection for three materials.",
        &[("press", "5 N")],
        Plot::LineChart(LineChart {
            x: stages_axis(),
            y: Axis::new("Contact deflection", "mm").from_zero(),
            panels: vec![panel("Rigid joints", 0.0), panel("Joints as given", 0.35)],
            aspect: 0.95,
        }),
    )
}

fn line_log() -> Figure {
    let x: Vec<f64> = (0..25).map(|i| 10f64.powf(f64::from(i) / 6.0)).collect();
    let y = x.iter().map(|f| Some(3.2 / f.powf(0.8) + 0.002)).collect();
    figure(
        "Error over the number of elements",
        "Error of an invented beam.",
        &[],
        Plot::LineChart(LineChart {
            x: Axis::new("Elements", "").with_kind(AxisKind::Logarithmic),
            y: Axis::new("Relative error", "").with_kind(AxisKind::Logarithmic),
            panels: vec![LinePanel {
                series: vec![Series {
                    name: "error".to_owned(),
                    x,
                    y,
                    ..Series::default()
                }],
                ..LinePanel::default()
            }],
            aspect: 0.6,
        }),
    )
}

fn cloud(seed: u64, count: usize, shift: f64) -> Vec<Candidate> {
    let mut next = noise(seed);
    (0..count)
        .map(|_| {
            let (u, v) = (next(), next());
            let x = 120.0 + 420.0 * u;
            let y = shift + 55.0 / (x - 60.0) + 0.9 * v * v + 0.05 * next();
            Candidate {
                x,
                y,
                feasible: next() > 0.45 && y < 1.25,
            }
        })
        .collect()
}

fn scatter_of(count: usize) -> Plot {
    Plot::Scatter(Scatter {
        x: Axis::new("Moving mass", "g"),
        y: Axis::new("Contact deflection", "mm").from_zero(),
        groups: vec![
            PointGroup {
                name: "scissor linkage".to_owned(),
                points: cloud(1, count / 2, 0.02),
            },
            PointGroup {
                name: "two-arc arm".to_owned(),
                points: cloud(2, count / 4, 0.18),
            },
            PointGroup {
                name: "five-bar".to_owned(),
                points: cloud(3, count - count / 2 - count / 4, 0.3),
            },
        ],
        front: true,
        ideal: true,
        named: vec![
            NamedPoint {
                label: "choice".to_owned(),
                x: 236.0,
                y: 0.36,
                chosen: true,
            },
            NamedPoint {
                label: "lightest feasible".to_owned(),
                x: 128.0,
                y: 0.92,
                chosen: false,
            },
        ],
        aspect: 0.72,
        ..Scatter::default()
    })
}

fn scatter() -> Figure {
    figure(
        "Mass against deflection",
        "Candidates of three families.",
        &[("candidates", "900"), ("seed", "7")],
        scatter_of(900),
    )
}

fn scatter_many() -> Figure {
    figure(
        "Mass against deflection, all candidates",
        "Candidates of three families.",
        &[("candidates", "50 000"), ("seed", "7")],
        scatter_of(50_000),
    )
}

fn share_parts() -> Vec<String> {
    ["arcs", "pins", "bearings", "slide", "base"]
        .iter()
        .map(|n| (*n).to_owned())
        .collect()
}

fn share_row(name: &str, values: [f64; 5]) -> StackedRow {
    StackedRow {
        name: name.to_owned(),
        values: values.iter().map(|v| Some(*v)).collect(),
    }
}

fn shares() -> Figure {
    figure(
        "Compliance by cause",
        "Strain energy of each kind of part.",
        &[("press", "5 N")],
        Plot::StackedBars(StackedBars {
            label: "Shares of the strain energy".to_owned(),
            parts: share_parts(),
            rows: vec![share_row("", [38.0, 9.0, 35.0, 7.0, 11.0])],
        }),
    )
}

fn shares_rows() -> Figure {
    figure(
        "Compliance by cause, four variants",
        "Strain energy of each kind of part.",
        &[("press", "5 N")],
        Plot::StackedBars(StackedBars {
            label: "Shares of the strain energy".to_owned(),
            parts: share_parts(),
            rows: vec![
                share_row("1 stage", [66.0, 3.0, 19.0, 4.0, 8.0]),
                share_row("2 stages", [38.0, 9.0, 35.0, 7.0, 11.0]),
                share_row("3 stages", [22.0, 14.0, 48.0, 8.0, 8.0]),
                share_row("4 stages", [14.0, 18.0, 57.0, 6.0, 5.0]),
            ],
        }),
    )
}

fn margins() -> Figure {
    let row = |name: &str, needed: &str, found: &str, margin, band| MarginRow {
        name: name.to_owned(),
        needed: needed.to_owned(),
        found: found.to_owned(),
        margin_percent: margin,
        band_percent: band,
        ..MarginRow::default()
    };
    figure(
        "Margins to the requirements",
        "Margins of an invented design.",
        &[("seed", "7")],
        Plot::MarginBars(MarginBars {
            rows: vec![
                row("Coverage", "≥ 0.98", "0.991", Some(1.1), None),
                row(
                    "Contact deflection",
                    "≤ 0.50 mm",
                    "0.41 mm",
                    Some(18.0),
                    Some([-4.0, 34.0]),
                ),
                row("LCI", "≥ 0.20", "0.24", Some(20.0), None),
                row(
                    "Sag",
                    "≤ 1.0 mm",
                    "1.28 mm",
                    Some(-28.0),
                    Some([-41.0, -12.0]),
                ),
                row("Holding torque", "≤ 2.0 N·m", "0.31 N·m", Some(340.0), None),
                row("Hole about the base axis", "≤ 12°", "", None, None),
            ],
        }),
    )
}
