//! The files of a map: figures, captions, tables and the whole as JSON.

use calotte_plot::plot::{Figure, FigureStyle};

use calotte_format::safety::FIRST;

use super::csv::{cells_table, equal_reach_table};
use super::document::document;
use super::figures;
use super::result::Map;
use crate::error::ReportError;
use crate::safety;

/// The files of the folder; figures of a width and letters of a size.
///
/// # Errors
/// [`ReportError`] for a figure that cannot be drawn at that size.
pub fn files(
    map: &Map,
    width_mm: f64,
    font_pt: f64,
) -> Result<Vec<(String, Vec<u8>)>, ReportError> {
    let mut files = Vec::new();
    let mut add = |name: &str, bytes: Vec<u8>| files.push((name.to_string(), bytes));
    let style = FigureStyle {
        width_mm,
        font_pt,
        ..FigureStyle::journal_page()
    };
    let footing = safety::footing(map.safety());
    let mut captions = format!("# Captions\n\n{}\n", footing.described);
    if let Some(differ) = map.sides() {
        captions.push_str(&format!("\n{differ}\n"));
    }
    for quantity in &map.request.task.quantities {
        for (name, figure) in figures::all(map, *quantity, width_mm, font_pt) {
            let drawing = figure.draw_above(&style, &footing).map_err(|error| {
                ReportError::new(format!("{name}.svg cannot be drawn: {error}"))
                    .hint("give a larger --width-mm or a smaller --font-pt")
            })?;
            add(&format!("{name}.svg"), drawing.svg.into_bytes());
            captions.push_str(&caption(&name, &figure, &drawing.notes));
        }
    }
    add("map.md", captions.into_bytes());
    add("map.csv", cells_table(map)?);
    if !map.equal_reach.is_empty() {
        add("equal-reach.csv", equal_reach_table(map)?);
    }
    let text = calotte_document::text(&document(map)) + "\n";
    add("map.json", text.into_bytes());
    Ok(files)
}

/// A caption that can stand below the figure, and the settings behind it.
fn caption(file: &str, figure: &Figure, notes: &[String]) -> String {
    let mut text = format!("\n## {file}.svg\n\n{}", figure.caption);
    for note in notes {
        text.push_str(&format!(" {note}"));
    }
    text.push_str(&format!(" {FIRST}"));
    let settings: Vec<String> = figure
        .settings
        .iter()
        .map(|(name, value)| format!("{name}: {value}"))
        .collect();
    text.push_str(&format!("\n\nSettings: {}.\n", settings.join("; ")));
    text
}
