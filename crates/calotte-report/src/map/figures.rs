//! The figures of a map: heat maps, and line charts over the number of stages
//! and along designs of equal reach.

use std::f64::consts::PI;

use calotte::analysis::map::Variable;
use calotte::quantity::{Quantity, Unit};
use calotte_format::units::degrees;
use calotte_plot::plot::{
    Axis, AxisKind, BestCells, Better, ColourScale, Contours, Figure, HeatMap, HeatPanel,
    LineChart, LinePanel, NamedLine, Plot, Series,
};

use super::names;
use super::result::{Map, best};

/// Most lines in a chart over stages.
const SERIES_MAX: usize = 6;

/// Most cells whose values are printed into them.
const PRINTED_MAX: usize = 48;

/// Width a printed value takes, font sizes.
const PRINTED_EM: f64 = 2.6;

/// All figures of a quantity with their file names (without ending).
pub fn all(map: &Map, quantity: Quantity, width_mm: f64, font_pt: f64) -> Vec<(String, Figure)> {
    let name = quantity.word();
    let mut figures = vec![(
        format!("map-{name}"),
        heat(map, quantity, width_mm, font_pt),
    )];
    let request = &map.request;
    let stages = request.x.variable == Variable::Stages && request.x.values.len() > 1;
    if stages && request.y.values.len() <= SERIES_MAX {
        figures.push((format!("lines-{name}"), over_stages(map, quantity)));
    }
    let drawn = map
        .equal_reach
        .iter()
        .any(|line| line.points.iter().filter(|p| p.found.is_some()).count() > 1);
    if drawn {
        figures.push((format!("equal-reach-{name}"), equal_reach(map, quantity)));
    }
    figures
}

fn figure(map: &Map, title: String, caption: String, plot: Plot) -> Figure {
    let mut settings = map.request.settings.clone();
    let file = map.design.path.file_name();
    settings.push((
        "design".to_string(),
        file.map(|name| name.to_string_lossy().to_string())
            .unwrap_or_default(),
    ));
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

/// What the figure shows, where it is taken, and what its panels are.
fn opening(map: &Map, quantity: Quantity, over: &str) -> String {
    let mut text = format!("{}, over {over}", names::definition(quantity));
    if quantity.is_of_directions() {
        let request = &map.request;
        if request.varies(Variable::Polar) {
            text.push_str(", at the polar angle given");
        } else if let Some(polar) = request.task.at_polar {
            text.push_str(&format!(
                ", at polar {}",
                calotte_format::words::angle(polar)
            ));
        } else {
            text.push_str(", the worst over the covered directions");
        }
    }
    if map.panels(quantity).len() > 1 {
        text.push_str(if map.is_built() {
            ", of the ideal linkage with rigid joints and all bars on one sphere (first panel) and with bearings and layers (second panel)"
        } else {
            ", with rigid joints (first panel) and with these joints (second panel)"
        });
    }
    text.push('.');
    text
}

fn heat(map: &Map, quantity: Quantity, width_mm: f64, font_pt: f64) -> Figure {
    let (x, y) = (&map.request.x, &map.request.y);
    let (x_axis, x_places) = names::cells_axis(x.variable, &x.shown);
    let (y_axis, y_places) = names::cells_axis(y.variable, &y.shown);
    let titles = map.panels(quantity);
    let scale = colour_scale(map, quantity);
    let named = reach_lines(map);
    let panels: Vec<HeatPanel> = titles
        .iter()
        .map(|(title, real)| HeatPanel {
            title: (*title).to_string(),
            x: x_places.clone(),
            y: y_places.clone(),
            values: map.comparable(quantity, *real),
            lines: named.clone(),
            // Rigid joints are far stiffer: a shared scale would flatten the other panel.
            scale: (titles.len() > 1).then(|| scale.clone()),
        })
        .collect();
    let wide = width_mm >= 120.0;
    let panel_mm = width_mm * 0.85 / titles.len() as f64;
    let cell_em = panel_mm / (x.shown.len() as f64 * font_pt * 25.4 / 72.0);
    let cells = map.cells.len();
    let print_values = cells <= PRINTED_MAX && cell_em >= PRINTED_EM && y.shown.len() <= 16;
    // A ring would cover the value printed in the same cell.
    let best_cells = match (print_values, y.shown.len() <= 12) {
        (true, _) => BestCells::None,
        (false, true) => BestCells::EachRow,
        (false, false) => BestCells::Panel,
    };
    // Between whole numbers, names and few rows there is nothing for a contour to follow.
    let smooth = [(&x_axis, x), (&y_axis, y)].iter().all(|(axis, values)| {
        matches!(axis.kind, AxisKind::Linear | AxisKind::Logarithmic) && values.shown.len() > 3
    });
    let single = titles.len() == 1;
    figure(
        map,
        format!(
            "{} over {} and {}",
            names::quantity(quantity, map.request.task.dimensionless).label,
            names::label(x.variable).to_lowercase(),
            names::label(y.variable).to_lowercase()
        ),
        heat_caption(map, quantity, best_cells),
        Plot::HeatMap(HeatMap {
            x: x_axis,
            y: y_axis,
            scale,
            panels,
            contours: if smooth && !print_values {
                Contours::About(6)
            } else {
                Contours::None
            },
            best: best_cells,
            no_value: marked_words(map, quantity),
            print_values,
            aspect: match (single, y.shown.len()) {
                (true, _) if wide => 0.58,
                (_, ..=6) => 0.7,
                _ => 1.0,
            },
        }),
    )
}

/// Why cells are hatched, with their numbers.
fn marked_words(map: &Map, quantity: Quantity) -> String {
    map.marked(quantity)
        .iter()
        .map(|(why, count)| format!("{why} ({count} of {} cells)", map.cells.len()))
        .collect::<Vec<_>>()
        .join("; ")
}

fn heat_caption(map: &Map, quantity: Quantity, best_cells: BestCells) -> String {
    let (x, y) = (&map.request.x, &map.request.y);
    let over = format!(
        "{} and {}",
        lower(names::label(x.variable)),
        lower(names::label(y.variable))
    );
    let mut text = opening(map, quantity, &over);
    if map.panels(quantity).len() > 1 {
        text.push_str(" Each panel has its own colour scale.");
    }
    if !map.request.lines.is_empty() {
        text.push_str(" Lines: designs of equal reach, without margins.");
    }
    let marked = marked_words(map, quantity);
    if !marked.is_empty() {
        text.push_str(&format!(" Hatched: {marked}."));
    }
    if map
        .cells
        .iter()
        .any(|cell| cell.reach.is_some_and(|reach| reach > PI - 1e-6))
    {
        text.push_str(
            " Where the bars could point beyond 180°, the working range is the one that covers most of the region; it changes in steps.",
        );
    }
    match best_cells {
        BestCells::EachRow => text.push_str(" Ringed: the best of each row."),
        BestCells::Panel => text.push_str(" Ringed: the best cell."),
        _ => {
            for (title, real) in map.panels(quantity) {
                let list: Vec<String> = map
                    .best_of_rows(quantity, real)
                    .iter()
                    .zip(&y.shown)
                    .filter_map(|(best, value)| {
                        Some(format!(
                            "{} at {}",
                            names::value_in_words(x.variable, x.shown[(*best)?]),
                            names::value_in_words(y.variable, *value)
                        ))
                    })
                    .collect();
                let with = if title.is_empty() {
                    String::new()
                } else {
                    format!(" with {}", lower(title))
                };
                if !list.is_empty() {
                    text.push_str(&format!(" Best of each row{with}: {}.", list.join(", ")));
                }
            }
        }
    }
    text
}

fn lower(text: &str) -> String {
    text.to_lowercase()
}

/// Lines of equal reach over the heat map.
fn reach_lines(map: &Map) -> Vec<NamedLine> {
    let reach: Vec<Option<f64>> = map.cells.iter().map(|c| c.reach.map(degrees)).collect();
    map.request
        .lines
        .iter()
        .map(|level| NamedLine {
            label: format!("reach {}°", names::number(degrees(*level))),
            values: reach.clone(),
            level: degrees(*level),
        })
        .collect()
}

fn colour_scale(map: &Map, quantity: Quantity) -> ColourScale {
    let shown = names::quantity(quantity, map.request.task.dimensionless);
    let values = |real| map.comparable(quantity, real);
    let logarithmic = quantity.unit() == Unit::NewtonPerMillimetre
        && (spread(&values(true)) > 20.0 || spread(&values(false)) > 20.0);
    ColourScale {
        better: if quantity.more_is_better() {
            Better::More
        } else {
            Better::Less
        },
        logarithmic,
        ..ColourScale::new(shown.label, shown.unit)
    }
}

/// Greatest over least value; 0 if any is not above zero.
fn spread(values: &[Option<f64>]) -> f64 {
    let least = values
        .iter()
        .flatten()
        .copied()
        .fold(f64::INFINITY, f64::min);
    let greatest = values.iter().flatten().copied().fold(0.0, f64::max);
    if least > 0.0 && least.is_finite() {
        greatest / least
    } else {
        0.0
    }
}

/// The quantity against the number of stages, one line for each row.
fn over_stages(map: &Map, quantity: Quantity) -> Figure {
    let (x, y) = (&map.request.x, &map.request.y);
    let panels = map
        .panels(quantity)
        .into_iter()
        .map(|(title, real)| {
            let all = map.comparable(quantity, real);
            let series = y
                .shown
                .iter()
                .zip(all.chunks(map.columns()))
                .map(|(value, line)| {
                    let name = names::setting_in_words(y.variable, *value);
                    series(capital(&name), &x.shown, line.to_vec(), quantity)
                })
                .collect();
            LinePanel {
                title: title.to_string(),
                series,
            }
        })
        .collect();
    let over = format!(
        "the number of stages for each {}",
        lower(names::label(y.variable))
    );
    chart(map, quantity, Variable::Stages, &over, panels)
}

/// The quantity along the designs of equal reach, one line for each reach.
fn equal_reach(map: &Map, quantity: Quantity) -> Figure {
    let panels = map
        .panels(quantity)
        .into_iter()
        .map(|(title, real)| LinePanel {
            title: title.to_string(),
            series: map
                .equal_reach
                .iter()
                .map(|line| {
                    let x = line.points.iter().map(|p| p.along).collect::<Vec<_>>();
                    let name = format!("Reach {}°", names::number(degrees(line.level)));
                    series(name, &x, line.values(map, quantity, real), quantity)
                })
                .collect(),
        })
        .collect();
    let (along, solved) = map
        .equal_reach
        .first()
        .map_or((Variable::Stages, Variable::Arc), |l| (l.along, l.solved));
    let over = format!(
        "{} at equal reach, {} solved for",
        if along == Variable::Stages {
            "the number of stages".to_string()
        } else {
            lower(names::label(along))
        },
        lower(names::label(solved))
    );
    chart(map, quantity, along, &over, panels)
}

fn series(name: String, x: &[f64], y: Vec<Option<f64>>, quantity: Quantity) -> Series {
    let best = best(&y, quantity);
    Series {
        name,
        x: x.to_vec(),
        best,
        best_label: best.map(|i| names::number(x[i])).unwrap_or_default(),
        y,
    }
}

fn chart(
    map: &Map,
    quantity: Quantity,
    along: Variable,
    over: &str,
    panels: Vec<LinePanel>,
) -> Figure {
    let shown = names::quantity(quantity, map.request.task.dimensionless);
    let all: Vec<Option<f64>> = panels
        .iter()
        .flat_map(|panel| panel.series.iter().flat_map(|s| s.y.iter().copied()))
        .collect();
    let axis = Axis::new(shown.label, shown.unit);
    // Lines that lie decades apart show their turn only over equal factors.
    let y = if spread(&all) > 12.0 {
        axis.with_kind(AxisKind::Logarithmic)
    } else {
        axis.from_zero()
    };
    let x: Vec<f64> = panels
        .iter()
        .flat_map(|panel| panel.series.iter().flat_map(|s| s.x.iter().copied()))
        .collect();
    let mut caption = opening(map, quantity, over);
    caption.push_str(" Ringed: the best of each line.");
    figure(
        map,
        format!("{} over {over}", shown.label),
        caption,
        Plot::LineChart(LineChart {
            x: names::axis(along, &x),
            y,
            panels,
            aspect: 0.85,
        }),
    )
}

fn capital(text: &str) -> String {
    let mut letters = text.chars();
    letters
        .next()
        .map(|first| first.to_uppercase().chain(letters).collect())
        .unwrap_or_default()
}
