//! What a result says about what it was made of.

use std::path::{Path, PathBuf};

use serde_json::{Value, json};

/// A value read from a file, with the file's name and hash.
pub struct Input<T> {
    /// What the file says.
    pub value: T,
    /// Where it lies, as given.
    pub path: PathBuf,
    /// SHA-256 of its bytes.
    pub sha256: String,
}

/// The name of a file without its folder; empty for a path that names none.
pub fn file_name(path: &Path) -> String {
    path.file_name()
        .unwrap_or_default()
        .to_string_lossy()
        .to_string()
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
