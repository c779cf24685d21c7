//! The map on the terminal, 80 columns wide: whole where it fits, else the best of
//! each row; then the designs of equal reach, and which number of stages is best.

use calotte::analysis::map::Variable;
use calotte::quantity::Quantity;
use calotte_format::units::degrees;

use super::names::{self, four};
use super::result::{EqualReach, Map, best, outside};
use crate::safety;
use calotte_format::words;

/// Most columns and rows of a map printed whole.
const WHOLE: (usize, usize) = (8, 12);

/// Most rows printed of a larger map.
const ROWS_MAX: usize = 40;

/// Width of the terminal.
const WIDTH: usize = 80;

/// The whole text.
pub fn text(map: &Map) -> String {
    let mut text = String::new();
    for quantity in &map.request.task.quantities {
        let whole = map.columns() <= WHOLE.0 && map.request.y.values.len() <= WHOLE.1;
        if whole {
            for (title, real) in map.panels(*quantity) {
                text.push_str(&whole_grid(map, *quantity, title, real));
            }
        } else {
            text.push_str(&best_of_rows(map, *quantity));
        }
        text.push_str(&marked(map, *quantity));
        text.push('\n');
    }
    for line in &map.equal_reach {
        text.push_str(&equal_reach(map, line));
        text.push('\n');
    }
    for sentence in conclusions(map) {
        for line in words::wrapped(&sentence, WIDTH - 1) {
            text.push_str(&format!("{line}\n"));
        }
    }
    text.push_str(&safety::text(map.safety()));
    text
}

fn heading(map: &Map, quantity: Quantity) -> String {
    let shown = names::quantity(quantity, map.request.task.dimensionless);
    if shown.unit.is_empty() {
        shown.label.to_string()
    } else {
        format!("{} ({})", shown.label, shown.unit)
    }
}

fn whole_grid(map: &Map, quantity: Quantity, title: &str, real: bool) -> String {
    let (x, y) = (&map.request.x, &map.request.y);
    let with = if title.is_empty() {
        String::new()
    } else {
        format!(", {}", title.to_lowercase())
    };
    let mut text = format!("{}{with}\n", heading(map, quantity));
    let corner = format!("{} \\ {}", y.variable.name(), x.variable.name());
    let label = corner.chars().count().max(8);
    let heads: String = x
        .shown
        .iter()
        .map(|value| format!("{:>7} ", names::number(*value)))
        .collect();
    text.push_str(format!(" {corner:<label$}{heads}").trim_end());
    text.push('\n');
    let all = map.comparable(quantity, real);
    let bests = map.best_of_rows(quantity, real);
    for (row, line) in all.chunks(map.columns()).enumerate() {
        let cells: String = line
            .iter()
            .enumerate()
            .map(|(i, value)| {
                let mark = if bests[row] == Some(i) { '*' } else { ' ' };
                format!("{:>7}{mark}", value.map_or("–".to_string(), four))
            })
            .collect();
        let head = names::number(y.shown[row]);
        text.push_str(&format!(" {head:<label$}{}\n", cells.trim_end()));
    }
    text
}

/// For each row the best x and its value, rigid and these joints side by side.
fn best_of_rows(map: &Map, quantity: Quantity) -> String {
    let (x, y) = (&map.request.x, &map.request.y);
    let panels = map.panels(quantity);
    let mut text = format!(
        "{}: the best {} for each {}\n",
        heading(map, quantity),
        x.variable.name(),
        y.variable.name()
    );
    if panels.len() > 1 {
        let titles: String = panels
            .iter()
            .map(|(title, _)| format!("{:>28}", title.to_lowercase()))
            .collect();
        text.push_str(&format!(" {:<16}{titles}\n", ""));
    }
    let heads: String = panels
        .iter()
        .map(|_| format!("{:>18}{:>10}", x.variable.name(), "value"))
        .collect();
    text.push_str(&format!(" {:<16}{heads}\n", y.variable.name()));
    let values: Vec<Vec<Option<f64>>> = panels
        .iter()
        .map(|(_, real)| map.comparable(quantity, *real))
        .collect();
    let rows = y.shown.len();
    let every = rows.div_ceil(ROWS_MAX);
    for row in (0..rows).step_by(every) {
        let places = row * map.columns()..(row + 1) * map.columns();
        let cells: String = values
            .iter()
            .map(|all| best_cell(&all[places.clone()], quantity, &x.shown))
            .collect();
        text.push_str(&format!(" {:<16}{cells}\n", names::number(y.shown[row])));
    }
    if every > 1 {
        text.push_str(&format!(
            " one row in {every} is printed; all are in map.csv\n"
        ));
    }
    text
}

/// The best x of a row with its value.
fn best_cell(row: &[Option<f64>], quantity: Quantity, x: &[f64]) -> String {
    let (place, value) = match best(row, quantity) {
        Some(i) => (names::number(x[i]), row[i]),
        // Several values, all the same.
        None => ("any".to_string(), row.iter().flatten().copied().next()),
    };
    match value {
        Some(value) => format!("{place:>18}{:>10}", four(value)),
        None => format!("{:>18}{:>10}", "–", "–"),
    }
}

/// Why cells have no number here.
fn marked(map: &Map, quantity: Quantity) -> String {
    map.marked(quantity)
        .iter()
        .map(|(why, count)| format!(" –: {why} ({count} of {} cells)\n", map.cells.len()))
        .collect()
}

fn equal_reach(map: &Map, line: &EqualReach) -> String {
    let mut text = format!("Designs of reach {}°\n", names::number(degrees(line.level)));
    // What fits beside the two variables.
    let mut columns: Vec<(Quantity, bool, String, String)> = Vec::new();
    for quantity in &map.request.task.quantities {
        let shown = names::quantity(*quantity, map.request.task.dimensionless);
        for (title, real) in map.panels(*quantity) {
            let unit = match (title.is_empty(), shown.unit.is_empty()) {
                (true, _) => shown.unit.to_string(),
                (false, true) => title.to_lowercase(),
                (false, false) => format!("{}, {}", title.to_lowercase(), shown.unit),
            };
            columns.push((*quantity, real, shown.label.to_string(), unit));
        }
    }
    let kept = columns.len().min(2);
    let width = 25;
    let (shown_columns, rest) = columns.split_at(kept);
    for part in [0, 1] {
        let heads: String = shown_columns
            .iter()
            .map(|(_, _, label, unit)| format!("{:>width$}", if part == 0 { label } else { unit }))
            .collect();
        let names = if part == 1 {
            format!("{:<14}{:>14}", line.along.name(), line.solved.name())
        } else {
            format!("{:<28}", "")
        };
        text.push_str(format!(" {names}{heads}").trim_end());
        text.push('\n');
    }
    let values: Vec<Vec<Option<f64>>> = shown_columns
        .iter()
        .map(|(quantity, real, ..)| line.values(map, *quantity, *real))
        .collect();
    for (index, point) in line.points.iter().enumerate() {
        let Some((solved, _)) = &point.found else {
            text.push_str(&format!(
                " {:<14}{:>14}   {}\n",
                names::number(point.along),
                "–",
                outside(map, line)
            ));
            continue;
        };
        let cells: String = values
            .iter()
            .zip(shown_columns)
            .map(|(list, (quantity, ..))| {
                let mark = if best(list, *quantity) == Some(index) {
                    '*'
                } else {
                    ' '
                };
                let number = list[index].map_or("–".to_string(), four);
                format!("{:>width$}", format!("{number}{mark}"))
            })
            .collect();
        let row = format!(
            " {:<14}{:>14}{cells}",
            names::number(point.along),
            words::number(*solved, 2)
        );
        text.push_str(row.trim_end());
        text.push('\n');
    }
    if !rest.is_empty() {
        text.push_str(" more quantities: equal-reach.csv\n");
    }
    text
}

/// Which number of stages is best, where the comparison is fair.
fn conclusions(map: &Map) -> Vec<String> {
    let mut sentences = Vec::new();
    let groups = map.stage_groups();
    if let Some((_, _, places)) = &groups
        && places.iter().all(|group| map.have_one_reach(group))
    {
        for quantity in &map.request.task.quantities {
            sentences.extend(best_stages(map, *quantity));
        }
    }
    for line in &map.equal_reach {
        if line.along == Variable::Stages {
            for quantity in &map.request.task.quantities {
                sentences.extend(best_stages_on_line(map, line, *quantity));
            }
        }
    }
    if groups.is_some() && sentences.is_empty() {
        sentences.push(
            "The reach changes with the number of stages: for a fair comparison give --line reach=DEG, or --set total_arc_deg=DEG with another variable."
                .to_string(),
        );
    }
    sentences
}

/// The best number of stages for each value of the other variable, where it is varied.
fn best_stages(map: &Map, quantity: Quantity) -> Option<String> {
    let (stages, other, groups) = map.stage_groups()?;
    let parts: Vec<String> = map
        .panels(quantity)
        .iter()
        .filter_map(|(title, real)| {
            let all = map.comparable(quantity, *real);
            let bests: Vec<Option<f64>> = groups
                .iter()
                .map(|group| {
                    let values: Vec<Option<f64>> = group.iter().map(|i| all[*i]).collect();
                    best(&values, quantity).map(|i| stages.shown[i])
                })
                .collect();
            Some(with_title(title, &list_of_bests(&bests)?))
        })
        .collect();
    let values = if other.shown.len() == 1 || other.shown.len() > LISTED_MAX {
        String::new()
    } else {
        let list: Vec<String> = other.shown.iter().map(|v| names::number(*v)).collect();
        format!(" ({} {})", other.variable.name(), list.join(", "))
    };
    (!parts.is_empty()).then(|| {
        format!(
            "Best number of stages at equal reach by {}{values}: {}.",
            label(quantity),
            parts.join("; ")
        )
    })
}

/// Most values listed one by one in a sentence.
const LISTED_MAX: usize = 8;

fn list_of_bests(bests: &[Option<f64>]) -> Option<String> {
    let known: Vec<f64> = bests.iter().flatten().copied().collect();
    let least = known.iter().copied().reduce(f64::min)?;
    let greatest = known.iter().copied().reduce(f64::max)?;
    Some(if least == greatest && known.len() == bests.len() {
        let everywhere = if bests.len() > 1 { " for all" } else { "" };
        format!("{}{everywhere}", names::number(least))
    } else if bests.len() <= LISTED_MAX {
        bests
            .iter()
            .map(|b| b.map_or("–".to_string(), names::number))
            .collect::<Vec<_>>()
            .join(", ")
    } else {
        format!("{} to {}", names::number(least), names::number(greatest))
    })
}

fn best_stages_on_line(map: &Map, line: &EqualReach, quantity: Quantity) -> Option<String> {
    let parts: Vec<String> = map
        .panels(quantity)
        .iter()
        .filter_map(|(title, real)| {
            let at = best(&line.values(map, quantity, *real), quantity)?;
            Some(with_title(title, &names::number(line.points[at].along)))
        })
        .collect();
    (!parts.is_empty()).then(|| {
        format!(
            "Best number of stages at reach {}° by {}, of {}: {}.",
            names::number(degrees(line.level)),
            label(quantity),
            tried(line),
            parts.join("; ")
        )
    })
}

/// The values along a line that have a design of its reach.
fn tried(line: &EqualReach) -> String {
    let found: Vec<f64> = line
        .points
        .iter()
        .filter(|point| point.found.is_some())
        .map(|point| point.along)
        .collect();
    match (found.first(), found.last()) {
        (Some(first), Some(last)) if found.len() > 2 => {
            format!("{} to {}", names::number(*first), names::number(*last))
        }
        _ => found
            .iter()
            .map(|value| names::number(*value))
            .collect::<Vec<_>>()
            .join(" and "),
    }
}

fn label(quantity: Quantity) -> String {
    words::within(quantity.label())
}

fn with_title(title: &str, text: &str) -> String {
    if title.is_empty() {
        text.to_string()
    } else {
        format!("{} {text}", title.to_lowercase())
    }
}
