//! The program, run in a folder of its own.
#![allow(dead_code)]

use std::fs;
use std::path::Path;
use std::process::{Command, Output};

use serde_json::Value;

/// Runs the program in a folder to its end.
pub fn calotte(folder: &Path, arguments: &[&str]) -> Output {
    Command::new(env!("CARGO_BIN_EXE_calotte"))
        .current_dir(folder)
        .args(arguments)
        .output()
        .expect("the binary runs")
}

/// What it printed as JSON.
pub fn json(output: &Output) -> Value {
    serde_json::from_slice(&output.stdout)
        .unwrap_or_else(|error| panic!("{error}: {}", String::from_utf8_lossy(&output.stderr)))
}

/// A temporary folder with these files.
pub fn folder_with(files: &[(&str, &str)]) -> tempfile::TempDir {
    let place = tempfile::tempdir().expect("a temporary folder");
    for (name, text) in files {
        fs::write(place.path().join(name), text).expect("a file");
    }
    place
}
