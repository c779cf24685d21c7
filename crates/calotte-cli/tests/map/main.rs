//! `calotte map` and `calotte compare` through the binary.

mod built;
#[path = "../common/mod.rs"]
mod common;
mod compare;
mod figures;
mod refusals;
mod values;

use std::fs;
use std::path::{Path, PathBuf};

use common::{calotte, json};

fn example() -> PathBuf {
    Path::new(env!("CARGO_MANIFEST_DIR")).join("../../examples/trend-map/design.toml")
}

fn place() -> tempfile::TempDir {
    let place = tempfile::tempdir().expect("a temporary folder");
    fs::copy(example(), place.path().join("design.toml")).expect("the example");
    place
}
