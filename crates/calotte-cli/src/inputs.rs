//! Input files with what results must say about them.

use std::path::{Path, PathBuf};

use calotte::brief::Brief;
use calotte::design::Design;
use serde_json::{Value, json};

use crate::failure::Failure;
use crate::files::{read_text, sha256};

/// A value read from a file, with the file's name and hash.
pub struct Input<T> {
    /// What the file says.
    pub value: T,
    /// Where it lies, as given.
    pub path: PathBuf,
    /// SHA-256 of its bytes.
    pub sha256: String,
}

/// Reads a design.
pub fn design(path: &Path) -> Result<Input<Design>, Failure> {
    let text = read_text(path)?;
    let value =
        calotte_format::read_design(&text).map_err(|error| Failure::format(&error, path))?;
    Ok(Input {
        value,
        path: path.to_path_buf(),
        sha256: sha256(text.as_bytes()),
    })
}

/// Reads a brief for a search.
pub fn brief(path: &Path) -> Result<Input<Brief>, Failure> {
    read_brief(path, calotte_format::read_brief)
}

/// Reads a brief to judge a design by.
pub fn brief_to_judge(path: &Path) -> Result<Input<Brief>, Failure> {
    read_brief(path, calotte_format::read_brief_to_judge)
}

fn read_brief(
    path: &Path,
    read: impl Fn(&str, calotte_format::LoadFile) -> Result<Brief, calotte_format::FormatError>,
) -> Result<Input<Brief>, Failure> {
    let text = read_text(path)?;
    let folder = path.parent().unwrap_or(Path::new("")).to_path_buf();
    // Files of points and triangles lie beside the brief; what they hold belongs to the hash.
    let extra = std::cell::RefCell::new(Vec::new());
    let load = |name: &str| {
        let content = std::fs::read(folder.join(name)).map_err(|error| error.to_string())?;
        extra.borrow_mut().extend_from_slice(&content);
        Ok(content)
    };
    let value = read(&text, &load).map_err(|error| Failure::format(&error, path))?;
    let hashed = [text.as_bytes(), extra.borrow().as_slice()].concat();
    Ok(Input {
        value,
        path: path.to_path_buf(),
        sha256: sha256(&hashed),
    })
}

/// What every result says about its making.
pub fn provenance(inputs: &[(&str, &Path, &str)], options: Value, warnings: &[String]) -> Value {
    let listed: Vec<Value> = inputs
        .iter()
        .map(|(kind, path, hash)| {
            let name = path.file_name().map(|n| n.to_string_lossy().to_string());
            json!({ "kind": kind, "file": name, "sha256": hash })
        })
        .collect();
    json!({
        "program": "calotte",
        "version": env!("CARGO_PKG_VERSION"),
        "inputs": listed,
        "seed": null,
        "seed_reason": "no random numbers are used",
        "options": options,
        "warnings": warnings,
    })
}
