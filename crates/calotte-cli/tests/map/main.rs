//! `calotte map` and `calotte compare` through the binary.

mod built;
mod compare;
mod figures;
mod refusals;
mod values;

use std::fs;
use std::path::{Path, PathBuf};
use std::process::{Command, Output};

fn example() -> PathBuf {
    Path::new(env!("CARGO_MANIFEST_DIR")).join("../../examples/trend-map/design.toml")
}

fn calotte(folder: &Path, arguments: &[&str]) -> Output {
    Command::new(env!("CARGO_BIN_EXE_calotte"))
        .current_dir(folder)
        .args(arguments)
        .output()
        .expect("the binary runs")
}

fn place() -> tempfile::TempDir {
    let place = tempfile::tempdir().expect("a temporary folder");
    fs::copy(example(), place.path().join("design.toml")).expect("the example");
    place
}

fn json(output: &Output) -> serde_json::Value {
    serde_json::from_slice(&output.stdout)
        .unwrap_or_else(|e| panic!("{e}: {}", String::from_utf8_lossy(&output.stderr)))
}
