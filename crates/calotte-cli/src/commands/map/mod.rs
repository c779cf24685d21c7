//! `calotte map`: a figure and a table over two variables, rigid and real
//! joints side by side. Parts: `request` (the words of the command line),
//! `output` (figures, table, files).

mod output;
mod request;

use std::path::PathBuf;

use calotte::analysis::map::{Cell, cell};
use rayon::prelude::*;

use crate::Verdict;
use crate::arguments::MapOptions;
use crate::failure::Failure;
use crate::files::ResultsFolder;
use crate::inputs;
use crate::put;
use request::Request;

/// All cells, one row of x after the other.
pub struct Map {
    /// What was asked.
    pub request: Request,
    /// The cells.
    pub cells: Vec<Cell>,
    /// Name and hash of the design.
    pub design_name: String,
    /// SHA-256 of the design file.
    pub design_sha256: String,
}

/// Runs the command.
pub fn run(options: &MapOptions) -> Result<Verdict, Failure> {
    let design = inputs::design(&options.design)?;
    let brief = options
        .brief
        .as_deref()
        .map(inputs::brief_to_judge)
        .transpose()?;
    let request = Request::read(options, &design.value, brief.as_ref().map(|b| &b.value))?;
    let target = options.out.clone().unwrap_or_else(|| {
        options
            .design
            .parent()
            .map_or_else(|| PathBuf::from("map"), |folder| folder.join("map"))
    });
    let mut folder = ResultsFolder::prepare(&target, options.force)?;
    let (columns, rows) = (request.x.values.len(), request.y.values.len());
    eprintln!("map: {columns} × {rows} cells");
    let cells: Vec<Cell> = (0..columns * rows)
        .into_par_iter()
        .map(|index| {
            let mut changes = request.set.clone();
            changes.push((request.x.variable, request.x.values[index % columns]));
            changes.push((request.y.variable, request.y.values[index / columns]));
            cell(&design.value, &changes, &request.task)
        })
        .collect();
    let map = Map {
        request,
        cells,
        design_name: design
            .path
            .file_name()
            .map(|name| name.to_string_lossy().to_string())
            .unwrap_or_default(),
        design_sha256: design.sha256.clone(),
    };
    output::fill(&mut folder, &map, options)?;
    folder.finish()?;
    if options.json {
        put!("{:#}\n", output::document(&map));
    } else {
        put!("{}", output::table(&map));
        put!("written to {}\n", target.display());
    }
    Ok(Verdict::Met)
}
