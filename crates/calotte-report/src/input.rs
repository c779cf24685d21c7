//! What a result says about what it was made of.

use std::path::{Path, PathBuf};

use calotte_document::run::{InputFile, Run};

/// A value read from a file, with the file's name and hash.
pub struct Input<T> {
    /// What the file says.
    pub value: T,
    /// Where it lies, as given.
    pub path: PathBuf,
    /// Its text, in which an error of the mechanics finds the keys it comes from.
    pub text: String,
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
pub fn provenance<Options>(
    inputs: &[(&str, &Path, &str)],
    options: Options,
    warnings: &[String],
) -> Run<Options> {
    let inputs = inputs
        .iter()
        .map(|(kind, path, hash)| InputFile {
            kind: (*kind).to_string(),
            file: path.file_name().map(|n| n.to_string_lossy().to_string()),
            sha256: (*hash).to_string(),
        })
        .collect();
    Run {
        program: "calotte".to_string(),
        version: env!("CARGO_PKG_VERSION").to_string(),
        inputs,
        seed: None,
        seed_reason: "no random numbers are used".to_string(),
        options,
        warnings: warnings.to_vec(),
    }
}
