//! What is compared: one line for each quantity.

use crate::found::FitRead;
use calotte::analysis::Row;
use calotte::quantity::{Form, Quantity};
use calotte_format::words;

use super::column::{Column, covers_alike};
use super::line::Line;
use super::measured_lines::measured_lines;
use crate::input::Input;

pub(super) fn lines(columns: &[Column], fit: Option<&Input<FitRead>>) -> Vec<Line> {
    let mut lines = shape_lines(columns);
    let mut asked: Vec<&Row> = Vec::new();
    for row in columns.iter().flat_map(|c| &c.analysis.rows) {
        if !asked.iter().any(|other| other.is_like(row)) {
            asked.push(row);
        }
    }
    asked.sort_by_key(|row| order(row.quantity));
    for like in asked {
        let placed = matches!(
            like.quantity,
            Quantity::Stiffness | Quantity::ContactDeflection | Quantity::LciMin
        );
        lines.push(judged(columns, like));
        if placed {
            lines.push(Line::plain("  at polar", columns, |column| {
                row_of(column, like)
                    .filter(|row| row.got.is_ok())
                    .and_then(|row| row.worst_at)
                    .map_or("–".to_string(), |place| words::angle(place.polar))
            }));
        }
        if like.quantity == Quantity::Gci {
            lines.push(Line::greatest(
                "GCI, part reached",
                columns,
                |c| Some(c.analysis.conditioning.gci_reached),
                |v| words::number(v, 3),
                "–",
            ));
        }
    }
    lines.extend(singularity_lines(columns));
    if let Some(fit) = fit {
        lines.extend(measured_lines(columns, fit));
        for line in &mut lines {
            line.scores = vec![None; columns.len()];
        }
        return lines;
    }
    let alike = covers_alike(columns);
    for line in lines.iter_mut().filter(|line| line.over_covered) {
        for (score, alike) in line.scores.iter_mut().zip(&alike) {
            *score = score.filter(|_| *alike);
        }
    }
    lines
}

/// The order of the lines, which is that of the columns of candidates: reach, index,
/// stiffness, weight.
fn order(quantity: Quantity) -> usize {
    let column = quantity.facts().column;
    column.map_or(usize::MAX, |column| usize::from(column.place))
}

/// What the designs are, and what they reach.
fn shape_lines(columns: &[Column]) -> Vec<Line> {
    let family = |column: &Column| column.design.value.family.clone();
    vec![
        Line::plain("Family", columns, |c| {
            family(c).family_name().short_words().to_string()
        }),
        Line::plain("Stages", columns, |c| {
            family(c)
                .stages()
                .map_or("–".to_string(), |n| n.to_string())
        }),
        Line::plain("Arcs per branch", columns, |c| {
            family(c).branch_arcs().len().to_string()
        }),
        Line::plain("Sum of its arcs", columns, |c| {
            words::angle(family(c).total_arc())
        }),
        Line::plain("Joint radius, mm", columns, |c| {
            words::three(c.design.value.joint_radius * 1e3)
        }),
        Line::plain("Joints", columns, |c| {
            match c.design.value.joints.stiffness {
                Some(_) => "elastic",
                None => "rigid",
            }
            .to_string()
        }),
        Line::plain("Drive layout", columns, |c| {
            // The long names do not fit a column.
            match words::drive_layout(&c.design.value).as_str() {
                "swing-and-opening" => "swing-open",
                "base and elbow" => "base, elbow",
                other => other,
            }
            .to_string()
        }),
        Line::plain("Reach, polar", columns, |c| {
            match (&c.analysis.working_range, &c.analysis.cells) {
                (Some(range), _) if range.turned_beyond().is_some() => {
                    let [from, to] = range.turned_beyond().unwrap_or_default();
                    format!(
                        "{}–{} round",
                        words::angle(from).trim_end_matches('°'),
                        words::angle(to)
                    )
                }
                (Some(range), _) => format!(
                    "{}–{}",
                    words::angle(range.polar_min()).trim_end_matches('°'),
                    words::angle(range.polar_max())
                ),
                (None, Some(cells)) => format!(
                    "{}–{}",
                    words::angle(cells.polar[0]).trim_end_matches('°'),
                    words::angle(cells.polar[1])
                ),
                (None, None) => "none".to_string(),
            }
        }),
    ]
}

fn row_of<'a>(column: &'a Column, like: &Row) -> Option<&'a Row> {
    column.analysis.rows.iter().find(|row| row.is_like(like))
}

/// A requirement over the designs, its unit beside its name.
fn judged(columns: &[Column], like: &Row) -> Line {
    let quantity = like.quantity;
    let unit = match quantity.facts().form {
        Form::Measure => format!(", {}", quantity.unit().symbol()),
        _ => String::new(),
    };
    let needed = columns
        .iter()
        .find_map(|column| row_of(column, like)?.needed)
        .map(|needed| {
            let sign = if like.at_least() { "≥" } else { "≤" };
            format!("{sign} {}", words::without_unit(quantity, needed))
        });
    let text = |column: &Column| match row_of(column, like) {
        Some(row) => {
            let mark = match (row.met_at_nominal(), row.band_met()) {
                (Some(false), _) => "✗ ",
                (Some(true), Some(false)) => "! ",
                _ => "",
            };
            // The unit stands in the line's name.
            let [_, value] = words::limit_and_value(row);
            let value = value.map_or("–".to_string(), |value| match quantity.facts().form {
                Form::Measure => value.split(' ').next().unwrap_or_default().to_string(),
                _ => value,
            });
            format!("{mark}{value}")
        }
        None => "–".to_string(),
    };
    Line {
        name: format!("{}{unit}", words::row_name(like)),
        needed: needed.unwrap_or_default(),
        texts: columns.iter().map(text).collect(),
        scores: columns
            .iter()
            .map(|column| {
                let value = row_of(column, like)?.got.clone().ok()?;
                Some(if like.at_least() { value } else { -value })
            })
            .collect(),
        over_covered: quantity.facts().at_equal_reach,
    }
}

/// How far the working ranges keep from singularities.
fn singularity_lines(columns: &[Column]) -> Vec<Line> {
    let singularity = |column: &Column| column.analysis.singularity.clone();
    let mut lines = vec![
        Line::greatest(
            "Type 1 margin, tool",
            columns,
            |c| singularity(c).map(|s| s.required.type_one_distance),
            words::angle,
            "–",
        ),
        Line::greatest(
            "Type 2 margin, second angle",
            columns,
            |c| singularity(c).and_then(|s| s.required.type_two_distance),
            words::angle,
            "none near",
        ),
    ];
    // Without rings there is no second angle that either margin could be one of; the least
    // transmission angle is a line of its own.
    for line in &mut lines {
        for (text, column) in line.texts.iter_mut().zip(columns) {
            if column.analysis.cells.is_some() {
                *text = "–".to_string();
            }
        }
    }
    lines
}
