//! `calotte parts`: the parts of a built design, and quick meshes of them.

use calotte::built::Built;
use calotte::family;
use calotte::family::parameters::Capability;
use calotte::uncertain::Corner;
use calotte_cad::{MeshOptions, PartFile, PartOptions, part_files};
use calotte_document::parts::{PartToMake, PartsDocument};

use crate::Verdict;
use crate::arguments::PartsOptions;
use crate::failure::Failure;
use crate::files::ResultsFolder;
use crate::inputs;
use crate::{put_line, say};
use calotte_format::words;

/// What stands above every list.
const CAUTION: &str = "Meshes are for mock-ups: they say nothing of fits, tolerances and strength of what is printed.";

/// Lists the parts and writes their meshes.
pub fn run(options: &PartsOptions) -> Result<Verdict, Failure> {
    let design = inputs::design_offering(&options.design, Capability::Layers)?;
    let nominal = design.value.at_corner(Corner::Nominal);
    if !nominal.is_built() {
        return Err(Failure::new(format!(
            "{} has no [layers]: its bars pass through one another",
            design.path.display()
        ))
        .hint(
            "add [layers] with arrangement = \"two\", and [joints.bearing] for bosses and pins",
        ));
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
    };
    let files = part_files(&built, &part_options).map_err(|error| cannot(error.to_string()))?;
    let written = match folder {
        Some(mut folder) => {
            for file in &files {
                folder.add(&file.name, file.bytes.clone());
            }
            let list = calotte_document::text(&document(&files)) + "\n";
            folder.add("parts.json", list);
            folder.finish()?;
            options.out.as_ref()
        }
        None => None,
    };
    if options.json {
        put_line!("{}", calotte_document::text(&document(&files)));
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
    put_line!("{CAUTION}");
    if let Some(out) = written {
        say!("written: {}", out.display());
    }
    Ok(Verdict::Met)
}

fn document(files: &[PartFile]) -> PartsDocument {
    let part = |file: &PartFile| PartToMake {
        file: file.name.clone(),
        count: file.count,
        solids: file.solids.clone(),
        volume_mm3: file.volume * 1e9,
        size_mm: (file.size * 1e3).into(),
        triangles: file.triangles,
    };
    PartsDocument(files.iter().map(part).collect())
}
