//! Parts of an invented two-stage scissor linkage as STL files with a list.
//!
//! `cargo run -p calotte-cad --example mock_up -- FOLDER` writes what
//! `calotte parts DESIGN --mesh --out FOLDER` writes, for a design of its own.

#[path = "../../calotte/tests/common/mod.rs"]
#[allow(dead_code)]
mod common;

use std::error::Error;
use std::path::PathBuf;

use calotte::built::Built;
use calotte::design::Arrangement;
use calotte_cad::{PartOptions, part_files};

fn main() -> Result<(), Box<dyn Error>> {
    let folder = PathBuf::from(std::env::args().nth(1).ok_or("name a folder to write to")?);
    std::fs::create_dir_all(&folder)?;
    let design = common::built(
        common::scissor(&[30.0, 28.0], &[31.0, 29.0], &[25.0]),
        Arrangement::Two,
    );
    let linkage = calotte::linkage::build(&design)?;
    let built = Built::new(&design, &linkage)?;
    let options = PartOptions {
        lie_flat: true,
        ..PartOptions::default()
    };
    let mut list = Vec::new();
    for file in part_files(&built, &options)? {
        std::fs::write(folder.join(&file.name), &file.bytes)?;
        println!(
            "{} × {}: {} triangles, {:.1} mm³",
            file.count,
            file.name,
            file.triangles,
            file.volume * 1e9
        );
        list.push(serde_json::json!({
            "file": file.name,
            "volume_mm3": file.volume * 1e9,
            "count": file.count,
            "solids": file.solids,
        }));
    }
    std::fs::write(
        folder.join("parts.json"),
        serde_json::to_string_pretty(&list)?,
    )?;
    Ok(())
}
