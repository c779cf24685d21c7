//! What was written and what is served: `manifest.json`, `calotte new --json` and
//! `calotte page --json`.

use std::collections::BTreeMap;

use schemars::JsonSchema;
use serde::{Deserialize, Serialize};

use crate::safety::Safety;

/// The files of a folder as they were written, by which a changed one is recognised.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize, JsonSchema)]
pub struct Manifest {
    /// The program with its version.
    pub written_by: String,
    /// SHA-256 of each file by its path within the folder, hexadecimal.
    pub sha256: BTreeMap<String, String>,
}

/// A brief to start from.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize, JsonSchema)]
pub struct NewDocument {
    /// Where it was written.
    pub written: String,
    /// What to know before anything is built, fitted or used.
    pub safety: Safety,
}

/// A page that is served.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize, JsonSchema)]
pub struct PageDocument {
    /// What to open, with the token of this run.
    pub address: String,
    /// The folder whose files it reads and writes.
    pub folder: String,
    /// What to know before anything is built, fitted or used.
    pub safety: Safety,
}
