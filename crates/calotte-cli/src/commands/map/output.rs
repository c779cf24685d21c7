//! A map as figures, table and files.

use std::f64::consts::PI;

use calotte::analysis::map::{Cell, MapQuantity, Variable};
use calotte_format::units::degrees;
use calotte_report::plot::{
    Axis, AxisKind, BestCells, Better, ColourScale, Contours, Figure, FigureStyle, HeatMap,
    HeatPanel, LineChart, LinePanel, NamedLine, Naming, Plot, Series,
};
use serde_json::{Value, json};

use super::Map;
use super::request::AxisValues;
use crate::arguments::MapOptions;
use crate::failure::Failure;
use crate::files::ResultsFolder;
use crate::words;

/// Label, unit and factor from SI of a quantity.
fn shown(quantity: MapQuantity, dimensionless: bool) -> (&'static str, &'static str, f64) {
    let (unit, factor) = if dimensionless {
        ("k R³/(E I)", 1.0)
    } else {
        ("N/mm", 1e-3)
    };
    match quantity {
        MapQuantity::Stiffness("isotropy") => ("Tangential isotropy", "", 1.0),
        MapQuantity::Stiffness("least") => ("Least stiffness", unit, factor),
        MapQuantity::Stiffness("mean") => ("Mean stiffness", unit, factor),
        MapQuantity::Stiffness("geometric-mean") => ("Geometric mean stiffness", unit, factor),
        MapQuantity::Stiffness("trace") => ("Harmonic mean stiffness", unit, factor),
        MapQuantity::Stiffness("polar") => ("Polar stiffness", unit, factor),
        MapQuantity::Stiffness("azimuth") => ("Azimuth stiffness", unit, factor),
        MapQuantity::Stiffness(_) => ("Radial stiffness", unit, factor),
        MapQuantity::Gci => ("GCI", "", 1.0),
        MapQuantity::GciReached => ("GCI, part reached", "", 1.0),
        MapQuantity::LciMin => ("Least LCI", "", 1.0),
        MapQuantity::Coverage => ("Coverage", "", 1.0),
        MapQuantity::Reach => ("Reach", "°", 180.0 / PI),
        MapQuantity::Sag => ("Sag", "mm", 1e3),
        MapQuantity::HoldingTorque => ("Holding torque", "N·m", 1.0),
        MapQuantity::MovingMass => ("Moving mass", "kg", 1.0),
    }
}

/// Axis label and unit of a variable.
fn axis(values: &AxisValues) -> Axis {
    let (label, unit, kind) = match values.variable {
        Variable::Stages => ("Stages", "", AxisKind::Integer),
        Variable::Arc => ("Arc angle", "°", AxisKind::Linear),
        Variable::TotalArc => ("Total arc of a branch", "°", AxisKind::Linear),
        Variable::Bend => ("Bend", "°", AxisKind::Linear),
        Variable::FirstArc => ("First arc", "°", AxisKind::Linear),
        Variable::SecondArc => ("Second arc", "°", AxisKind::Linear),
        Variable::Polar => ("Polar angle", "°", AxisKind::Linear),
        Variable::JointRadius => ("Joint radius", "mm", AxisKind::Linear),
        Variable::TipRadius => ("Tip radius", "mm", AxisKind::Linear),
        Variable::Tangential => ("Section across the bar", "mm", AxisKind::Linear),
        Variable::Radial => ("Section along the radius", "mm", AxisKind::Linear),
        Variable::Diameter => ("Diameter", "mm", AxisKind::Linear),
        Variable::BossDiameter => ("Boss diameter", "mm", AxisKind::Linear),
        Variable::JointAxial => ("Joint stiffness, axial", "N/m", AxisKind::Linear),
        Variable::JointRadial => ("Joint stiffness, radial", "N/m", AxisKind::Linear),
        Variable::JointTilt => ("Joint stiffness, tilt", "N·m/rad", AxisKind::Linear),
    };
    let axis = Axis::new(label, unit);
    if kind == AxisKind::Integer {
        axis.with_kind(kind)
    } else {
        axis
    }
}

fn both_titles(map: &Map, quantity: MapQuantity) -> Vec<(&'static str, bool)> {
    if quantity.depends_on_joints() && map.cells.iter().any(|cell| differs(map, cell, quantity)) {
        vec![("Rigid joints", false), ("Joints as given", true)]
    } else {
        vec![("", true)]
    }
}

fn differs(map: &Map, cell: &Cell, quantity: MapQuantity) -> bool {
    let value = cell.values[position(map, quantity)];
    value.rigid != value.real
}

fn position(map: &Map, quantity: MapQuantity) -> usize {
    map.request
        .task
        .quantities
        .iter()
        .position(|q| *q == quantity)
        .unwrap_or_default()
}

/// Values of a quantity over all cells, in its unit.
fn values(map: &Map, quantity: MapQuantity, real: bool) -> Vec<Option<f64>> {
    let (_, _, factor) = shown(quantity, map.request.task.dimensionless);
    let index = position(map, quantity);
    map.cells
        .iter()
        .map(|cell| {
            let value = cell.values[index];
            let value = if real { value.real } else { value.rigid };
            value.map(|v| v * factor)
        })
        .collect()
}

/// Fills the folder: CSV, caption text, one or two figures per quantity.
pub fn fill(folder: &mut ResultsFolder, map: &Map, options: &MapOptions) -> Result<(), Failure> {
    let style = FigureStyle {
        width_mm: options.width_mm,
        font_pt: options.font_pt,
        ..FigureStyle::journal_page()
    };
    let mut captions = String::from("# Captions\n");
    for quantity in map.request.task.quantities.clone() {
        let name = quantity.name();
        let mut figures = vec![(format!("map-{name}"), heat(map, quantity))];
        if map.request.x.variable == Variable::Stages && map.request.y.values.len() <= 6 {
            figures.push((format!("lines-{name}"), lines(map, quantity)));
        }
        for (file, figure) in figures {
            let drawing = figure.draw(&style).map_err(|error| {
                Failure::new(format!("{file}.svg cannot be drawn: {error}"))
                    .hint("give a larger --width-mm or a smaller --font-pt")
            })?;
            folder.add(&format!("{file}.svg"), drawing.svg);
            captions.push_str(&caption(&file, &figure, &drawing.notes));
        }
    }
    folder.add("map.md", captions);
    folder.add("map.csv", csv(map)?);
    folder.add("map.json", format!("{:#}\n", document(map)));
    Ok(())
}

fn caption(file: &str, figure: &Figure, notes: &[String]) -> String {
    let settings: Vec<String> = figure
        .settings
        .iter()
        .map(|(name, value)| format!("{name}: {value}"))
        .collect();
    let mut text = format!(
        "\n## {file}.svg\n\n{}. {} {}.\n",
        figure.title,
        figure.caption,
        settings.join("; ")
    );
    for note in notes {
        text.push_str(&format!("Note: {note}\n"));
    }
    text
}

fn figure(map: &Map, title: String, caption: String, plot: Plot) -> Figure {
    let mut settings = map.request.settings.clone();
    settings.push(("design".to_string(), map.design_name.clone()));
    settings.push((
        "made by".to_string(),
        format!("calotte {}", env!("CARGO_PKG_VERSION")),
    ));
    Figure {
        title,
        caption,
        settings,
        plot,
    }
}

fn heat(map: &Map, quantity: MapQuantity) -> Figure {
    let (label, unit, _) = shown(quantity, map.request.task.dimensionless);
    let (x, y) = (map.request.x.shown(), map.request.y.shown());
    let reach: Vec<Option<f64>> = map.cells.iter().map(|c| c.reach.map(degrees)).collect();
    let named: Vec<NamedLine> = map
        .request
        .lines
        .iter()
        .map(|level| NamedLine {
            label: format!("reach {}°", trimmed(degrees(*level))),
            values: reach.clone(),
            level: degrees(*level),
        })
        .collect();
    let better = if quantity.more_is_better() {
        Better::More
    } else {
        Better::Less
    };
    let scale = ColourScale {
        better,
        logarithmic: matches!(quantity, MapQuantity::Stiffness(_)) && spans_decades(map, quantity),
        ..ColourScale::new(label, unit)
    };
    let titles = both_titles(map, quantity);
    let panels: Vec<HeatPanel> = titles
        .iter()
        .map(|(title, real)| HeatPanel {
            title: (*title).to_string(),
            x: x.clone(),
            y: y.clone(),
            values: values(map, quantity, *real),
            lines: named.clone(),
            // Rigid joints are far stiffer: a shared scale would flatten the real panel.
            scale: (titles.len() > 1).then(|| scale.clone()),
        })
        .collect();
    let missing = map.cells.iter().filter(|c| c.reason.is_some()).count();
    let (best, ringed) = if y.len() <= 12 {
        (BestCells::EachRow, "the best of each row")
    } else {
        (BestCells::Panel, "the best of all")
    };
    let many = x.len() > 2 && y.len() > 2;
    figure(
        map,
        format!(
            "{label} over {} and {}",
            axis(&map.request.x).label.to_lowercase(),
            axis(&map.request.y).label.to_lowercase()
        ),
        format!(
            "{} cells, {missing} of them without a value. Ringed: {ringed}.",
            map.cells.len()
        ),
        Plot::HeatMap(HeatMap {
            x: axis(&map.request.x),
            y: axis(&map.request.y),
            scale,
            panels,
            contours: if many {
                Contours::About(6)
            } else {
                Contours::None
            },
            best,
            no_value: "not reached with the margins".to_string(),
            print_values: x.len() * y.len() <= 60,
            aspect: 1.0,
        }),
    )
}

/// Whether values are all above zero and spread over more than a factor of 20.
fn spans_decades(map: &Map, quantity: MapQuantity) -> bool {
    let all: Vec<f64> = [true, false]
        .iter()
        .flat_map(|real| values(map, quantity, *real))
        .flatten()
        .collect();
    let least = all.iter().copied().fold(f64::INFINITY, f64::min);
    let greatest = all.iter().copied().fold(0.0, f64::max);
    least > 0.0 && greatest > 20.0 * least
}

fn lines(map: &Map, quantity: MapQuantity) -> Figure {
    let (label, unit, _) = shown(quantity, map.request.task.dimensionless);
    let (x, y) = (map.request.x.shown(), map.request.y.shown());
    let y_axis = axis(&map.request.y);
    let panels = both_titles(map, quantity)
        .into_iter()
        .map(|(title, real)| {
            let all = values(map, quantity, real);
            LinePanel {
                title: title.to_string(),
                series: y
                    .iter()
                    .enumerate()
                    .map(|(row, value)| {
                        let line = all[row * x.len()..(row + 1) * x.len()].to_vec();
                        let best = best_of(&line, quantity);
                        Series {
                            name: format!("{} {value}{}", y_axis.label, spaced(&y_axis.unit)),
                            x: x.clone(),
                            best,
                            best_label: best.map(|i| trimmed(x[i])).unwrap_or_default(),
                            y: line,
                            ..Series::default()
                        }
                    })
                    .collect(),
                ..LinePanel::default()
            }
        })
        .collect();
    figure(
        map,
        format!("{label} over {}", axis(&map.request.x).label.to_lowercase()),
        "Ringed: the best of each line.".to_string(),
        Plot::LineChart(LineChart {
            x: axis(&map.request.x),
            y: Axis::new(label, unit).from_zero(),
            panels,
            naming: Naming::Legend,
            aspect: 0.85,
        }),
    )
}

fn spaced(unit: &str) -> String {
    if unit.is_empty() || unit == "°" {
        unit.to_string()
    } else {
        format!(" {unit}")
    }
}

/// Index of the best value.
fn best_of(line: &[Option<f64>], quantity: MapQuantity) -> Option<usize> {
    let sign = if quantity.more_is_better() { 1.0 } else { -1.0 };
    line.iter()
        .enumerate()
        .filter_map(|(i, v)| v.map(|v| (i, sign * v)))
        .max_by(|a, b| a.1.total_cmp(&b.1).then(b.0.cmp(&a.0)))
        .map(|(i, _)| i)
}

/// The table for the terminal: whole where it fits, else the best of each row.
pub fn table(map: &Map) -> String {
    let mut text = String::new();
    for quantity in &map.request.task.quantities {
        let (label, unit, _) = shown(*quantity, map.request.task.dimensionless);
        for (title, real) in both_titles(map, *quantity) {
            let of = if title.is_empty() {
                String::new()
            } else {
                format!(", {}", title.to_lowercase())
            };
            let unit = if unit.is_empty() {
                String::new()
            } else {
                format!(" ({unit})")
            };
            text.push_str(&format!("{label}{unit}{of}\n"));
            text.push_str(&grid_text(map, *quantity, real));
        }
    }
    let missing = map.cells.iter().filter(|c| c.reason.is_some()).count();
    if missing > 0 {
        text.push_str(&format!(
            "–: no value ({missing} of {} cells; the reasons stand in map.csv)\n",
            map.cells.len()
        ));
    }
    text
}

fn grid_text(map: &Map, quantity: MapQuantity, real: bool) -> String {
    let (x, y) = (map.request.x.shown(), map.request.y.shown());
    let (x_name, y_name) = (map.request.x.variable.name(), map.request.y.variable.name());
    let all = values(map, quantity, real);
    let fits = x.len() <= 8 && y.len() <= 40;
    let corner = format!("{y_name} \\ {x_name}");
    let mut text = String::new();
    if fits {
        let heads: String = x.iter().map(|v| format!("{v:>7}")).collect();
        text.push_str(&format!(" {corner:<22}{heads}\n"));
    } else {
        text.push_str(&format!(" {y_name:<22}   best {x_name}   value\n"));
    }
    for (row, value) in y.iter().enumerate() {
        let line = &all[row * x.len()..(row + 1) * x.len()];
        let best = best_of(line, quantity);
        let head = trimmed(*value);
        if fits {
            let cells: String = line
                .iter()
                .enumerate()
                .map(|(i, v)| {
                    let mark = if Some(i) == best { "*" } else { " " };
                    let number = v.map_or("–".to_string(), four);
                    format!("{number:>6}{mark}")
                })
                .collect();
            text.push_str(&format!(" {head:<22}{cells}\n"));
        } else {
            let found = best
                .and_then(|i| line[i].map(|v| format!("{:>8}   {}", trimmed(x[i]), four(v))))
                .unwrap_or_else(|| "       –".to_string());
            text.push_str(&format!(" {head:<22}   {found}\n"));
        }
    }
    if fits {
        text.push_str(" *: the best of the row\n");
    }
    text
}

/// A number without needless digits.
fn trimmed(value: f64) -> String {
    let text = words::number(value, 4);
    if text.contains('.') {
        text.trim_end_matches('0').trim_end_matches('.').to_string()
    } else {
        text
    }
}

/// Four significant digits.
fn four(value: f64) -> String {
    let size = value.abs();
    let digits = if size >= 1000.0 || size == 0.0 {
        0
    } else if size >= 100.0 {
        1
    } else if size >= 10.0 {
        2
    } else {
        3
    };
    words::number(value, digits)
}

fn csv(map: &Map) -> Result<Vec<u8>, Failure> {
    let failed = |error: csv::Error| Failure::new(format!("map.csv: {error}"));
    let mut writer = csv::Writer::from_writer(Vec::new());
    let mut head = vec![
        map.request.x.variable.name().to_string(),
        map.request.y.variable.name().to_string(),
        "reach_deg".to_string(),
    ];
    for quantity in &map.request.task.quantities {
        for joints in ["rigid_joints", "these_joints"] {
            head.push(column(map, *quantity, joints));
        }
    }
    head.push("no_value_because".to_string());
    writer.write_record(&head).map_err(failed)?;
    let (x, y) = (map.request.x.shown(), map.request.y.shown());
    for (index, cell) in map.cells.iter().enumerate() {
        let text = |value: Option<f64>| value.map(|v| v.to_string()).unwrap_or_default();
        let mut record = vec![
            x[index % x.len()].to_string(),
            y[index / x.len()].to_string(),
            text(cell.reach.map(degrees)),
        ];
        for (position, quantity) in map.request.task.quantities.iter().enumerate() {
            let (_, _, factor) = shown(*quantity, map.request.task.dimensionless);
            let value = cell.values[position];
            record.push(text(value.rigid.map(|v| v * factor)));
            record.push(text(value.real.map(|v| v * factor)));
        }
        record.push(cell.reason.clone().unwrap_or_default());
        writer.write_record(&record).map_err(failed)?;
    }
    writer
        .into_inner()
        .map_err(|error| Failure::new(format!("map.csv: {error}")))
}

/// Name of a column with its unit.
fn column(map: &Map, quantity: MapQuantity, joints: &str) -> String {
    let (_, unit, _) = shown(quantity, map.request.task.dimensionless);
    let name = quantity.name().replace('-', "_");
    let unit = match unit {
        "N/mm" => "_n_per_mm",
        "mm" => "_mm",
        "°" => "_deg",
        "N·m" => "_nm",
        "kg" => "_kg",
        "" => "",
        _ => "_k_r3_over_ei",
    };
    format!("{name}_{joints}{unit}")
}

/// The map as one JSON object.
pub fn document(map: &Map) -> Value {
    let (x, y) = (map.request.x.shown(), map.request.y.shown());
    let shows: Vec<Value> = map
        .request
        .task
        .quantities
        .iter()
        .map(|quantity| {
            let best = |real: bool| -> Vec<Value> {
                let all = values(map, *quantity, real);
                y.iter()
                    .enumerate()
                    .map(|(row, value)| {
                        let line = &all[row * x.len()..(row + 1) * x.len()];
                        let found = best_of(line, *quantity);
                        json!({ "y": value, "best_x": found.map(|i| x[i]) })
                    })
                    .collect()
            };
            json!({
                "quantity": quantity.name(),
                "rigid_joints": { "column": column(map, *quantity, "rigid_joints"), "values": values(map, *quantity, false), "best": best(false) },
                "these_joints": { "column": column(map, *quantity, "these_joints"), "values": values(map, *quantity, true), "best": best(true) },
            })
        })
        .collect();
    json!({
        "x": { "variable": map.request.x.variable.name(), "values": x },
        "y": { "variable": map.request.y.variable.name(), "values": y },
        "order": "one row of x after the other",
        "reach_deg": map.cells.iter().map(|c| c.reach.map(degrees)).collect::<Vec<_>>(),
        "no_value_because": map.cells.iter().map(|c| c.reason.clone()).collect::<Vec<_>>(),
        "show": shows,
        "settings": map.request.settings.iter().map(|(k, v)| json!([k, v])).collect::<Vec<_>>(),
        "run": {
            "program": "calotte",
            "version": env!("CARGO_PKG_VERSION"),
            "inputs": [{ "kind": "design", "file": map.design_name, "sha256": map.design_sha256 }],
            "seed": null,
            "seed_reason": "no random numbers are used",
        },
    })
}
