//! Measured files: what is read, what is refused, and in which words.
//!
//! Each file of `tests/measured` has its expectation in `measured/expected.rs`, and beside
//! it the whole message, compared literally.
//! `CALOTTE_UPDATE_MESSAGES=1 cargo test -p calotte-format --test measured` writes the
//! messages anew.

#[path = "measured/damaged.rs"]
mod damaged;
#[path = "measured/dialects.rs"]
mod dialects;
#[path = "measured/expected.rs"]
mod expected;
#[path = "measured/mutations.rs"]
mod mutations;
#[path = "measured/templates.rs"]
mod templates;
#[path = "measured/whole_files.rs"]
mod whole_files;

use std::fs;
use std::path::{Path, PathBuf};

use calotte::design::{Design, DriveLayout};
use calotte_format::FormatError;
use calotte_format::measurement::{RefusedRow, read_points, read_weights};

/// The folder of damaged files.
fn folder() -> PathBuf {
    Path::new(env!("CARGO_MANIFEST_DIR")).join("tests/measured")
}

fn design_of(file: &str) -> Design {
    let path = Path::new(env!("CARGO_MANIFEST_DIR"))
        .join("tests/valid")
        .join(file);
    let text = fs::read_to_string(path).expect("the design");
    calotte_format::read_design(&text).expect("a right design")
}

/// A scissor linkage of two stages, driven by swing and opening.
fn scissor() -> Design {
    design_of("scissor.toml")
}

/// A two-arc arm.
fn arm() -> Design {
    design_of("arm.toml")
}

/// The scissor linkage with each base bar driven, and no ratios.
fn bars() -> Design {
    let mut design = scissor();
    design.drives.layout = DriveLayout::TwoBars;
    design.drives.ratio = [1.0, 1.0];
    design
}

/// What either reader gives: rows that remain, rows refused, notes.
type Outcome = Result<(usize, Vec<RefusedRow>, Vec<String>), FormatError>;

fn points(bytes: &[u8], design: &Design) -> Outcome {
    let read = read_points(bytes, design)?;
    Ok((read.points.rows.len(), read.refused, read.notes))
}

fn weights(bytes: &[u8], design: &Design) -> Outcome {
    let read = read_weights(bytes, design)?;
    Ok((read.weights.rows.len(), read.refused, read.notes))
}
