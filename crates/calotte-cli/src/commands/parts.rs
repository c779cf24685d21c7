//! `calotte parts`: the parts of a built design, and quick meshes of them.

use calotte::built::Built;
use calotte::family;
use calotte::family::parameters::Capability;
use calotte::interference::ClearingError;
use calotte::uncertain::Corner;
use calotte_cad::{MeshOptions, PartFile, PartOptions, part_files};
use calotte_document::parts::{PartToMake, PartsDocument};

use crate::Verdict;
use crate::arguments::PartsOptions;
use crate::failure::Failure;
use crate::files::ResultsFolder;
use crate::inputs;
use crate::terminal;
use crate::{put, put_line, say};
use calotte_format::safety::{MESH_HEADER, MESHES, Safety};
use calotte_format::words;
use calotte_report::safety;
use calotte_report::sides::{Mean, caution};

/// Lists the parts and writes their meshes.
pub fn run(options: &PartsOptions) -> Result<Verdict, Failure> {
    let design = inputs::design_offering(&options.design, Capability::Layers)?;
    let nominal = design.value.at_corner(Corner::Nominal);
    if !nominal.is_built() {
        let error = ClearingError::NoLayers.into();
        return Err(inputs::refused(&error, &design, None));
    }
    let cannot = |error: String| {
        Failure::new(error).hint(format!("check sizes in {}", design.path.display()))
    };
    let linkage = family::build(&nominal).map_err(|error| cannot(error.to_string()))?;
    let built = Built::new(&nominal, &linkage).map_err(|error| cannot(error.to_string()))?;
    // Before the work: a place that cannot be written should not cost it.
    let folder = options
        .out
        .as_ref()
        .filter(|_| options.mesh)
        .map(|out| ResultsFolder::prepare(out, options.force, &[&options.design]))
        .transpose()?;
    let mut mesh = MeshOptions::default();
    if let Some(tolerance) = options.chord_mm {
        mesh.chord_tolerance = tolerance * 1e-3;
    }
    let part_options = PartOptions {
        mesh,
        lie_flat: options.lie_flat,
        header: MESH_HEADER.to_string(),
    };
    let safety = Safety::of(&design.value, true);
    let warnings: Vec<String> = caution(&nominal, Mean::Meshes).into_iter().collect();
    let files = part_files(&built, &part_options).map_err(|error| cannot(error.to_string()))?;
    let written = match folder {
        Some(mut folder) => {
            for file in &files {
                folder.add(&file.name, file.bytes.clone());
            }
            let list = calotte_document::text(&document(&files, &warnings, safety)) + "\n";
            folder.add("parts.json", list);
            folder.add("SAFETY.txt", safety::file(safety, &design.value.title));
            folder.finish()?;
            options.out.as_ref()
        }
        None => None,
    };
    if options.json {
        let document = document(&files, &warnings, safety);
        terminal::print_data(&(calotte_document::text(&document) + "\n"));
        return Ok(Verdict::Met);
    }
    put_line!(
        "{:<24} {:>5} {:>11} {:>21}",
        "part",
        "count",
        "volume, cm³",
        "size, mm"
    );
    for file in &files {
        let size = [file.size.x, file.size.y, file.size.z].map(|s| words::number(s * 1e3, 1));
        put_line!(
            "{:<24} {:>5} {:>11} {:>21}",
            file.name.trim_end_matches(".stl"),
            file.count,
            words::number(file.volume * 1e6, 3),
            size.join(" × ")
        );
    }
    for text in warnings.iter().map(String::as_str).chain([MESHES]) {
        for line in words::wrapped(text, 79) {
            put_line!("{line}");
        }
    }
    put!("{}", safety::text(safety));
    if let Some(out) = written {
        say!("written: {}", out.display());
    }
    Ok(Verdict::Met)
}

fn document(files: &[PartFile], warnings: &[String], safety: Safety) -> PartsDocument {
    let part = |file: &PartFile| PartToMake {
        file: file.name.clone(),
        count: file.count,
        solids: file.solids.clone(),
        volume_mm3: file.volume * 1e9,
        size_mm: (file.size * 1e3).into(),
        triangles: file.triangles,
    };
    PartsDocument {
        parts: files.iter().map(part).collect(),
        warnings: warnings.to_vec(),
        safety: safety::bench_document(safety),
    }
}
