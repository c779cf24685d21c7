//! `calotte map`: a figure and a table over two variables, rigid and real
//! joints side by side.

use std::path::{Path, PathBuf};

use calotte::analysis::map::{Cell, cell};
use calotte::design::Design;
use indicatif::{ProgressBar, ProgressDrawTarget, ProgressStyle};
use rayon::prelude::*;

use crate::Verdict;
use crate::arguments::MapOptions;
use crate::failure::Failure;
use crate::files::ResultsFolder;
use crate::inputs;
use crate::terminal;
use crate::{put, say};
use calotte_format::map_request::{MapWords, Request};
use calotte_report::map::{self as report, Map};

/// Runs the command; a map requires nothing, so that it is met where any cell has a value.
pub fn run(options: &MapOptions) -> Result<Verdict, Failure> {
    let design = inputs::design(&options.design)?;
    let brief = options
        .brief
        .as_deref()
        .map(inputs::brief_to_judge)
        .transpose()?;
    inputs::offers_what_is_asked(&design, brief.as_ref())?;
    let request = Request::read(
        &words_of(options),
        &design.value,
        brief.as_ref().map(|b| &b.value),
    )?;
    let target = options.out.clone().unwrap_or_else(|| {
        options
            .design
            .parent()
            .map_or_else(|| PathBuf::from("map"), |folder| folder.join("map"))
    });
    let read = [Some(&options.design), options.brief.as_ref()];
    let read: Vec<&Path> = read.into_iter().flatten().map(PathBuf::as_path).collect();
    let mut folder = ResultsFolder::prepare(&target, options.force, &read)?;
    let cells = cells(&design.value, &request);
    let equal_reach = report::equal_reach(&design.value, &request, &cells);
    let map = Map {
        request,
        cells,
        equal_reach,
        design,
        brief,
    };
    for warning in map.warnings() {
        say!("warning: {warning}");
    }
    folder.add_all(report::files(&map, options.width_mm, options.font_pt)?);
    folder.finish()?;
    if options.json {
        terminal::print_data(&(calotte_document::text(&report::document(&map)) + "\n"));
    } else {
        put!("{}", report::text(&map));
        put!("Figures, tables and captions: {}\n", target.display());
    }
    if let Some(reason) = map.without_answer() {
        say!("error: the map has no answer: {reason}");
        return Ok(Verdict::NotMet);
    }
    Ok(Verdict::Met)
}

fn words_of(options: &MapOptions) -> MapWords {
    MapWords {
        design_name: options.design.display().to_string(),
        x: options.x.clone(),
        y: options.y.clone(),
        show: options.show.clone(),
        line: options.line.clone(),
        set: options.set.clone(),
        at: options.at.clone(),
        dimensionless: options.dimensionless,
    }
}

/// All cells, one row of x after the other, in an order that no thread changes.
fn cells(design: &Design, request: &Request) -> Vec<Cell> {
    let (columns, rows) = (request.x.values.len(), request.y.values.len());
    let grid = request.grid(design);
    let bar = progress_bar(columns * rows);
    let cells = (0..columns * rows)
        .into_par_iter()
        .map(|index| {
            let found = cell(design, &grid.changes(index), &request.task);
            bar.inc(1);
            found
        })
        .collect();
    bar.finish_and_clear();
    cells
}

fn progress_bar(cells: usize) -> ProgressBar {
    let bar = ProgressBar::with_draw_target(Some(cells as u64), ProgressDrawTarget::stderr());
    if let Ok(style) =
        ProgressStyle::with_template("map {bar:30} {pos} of {len} cells, about {eta} left")
    {
        bar.set_style(style);
    }
    bar
}
