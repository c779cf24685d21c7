//! The packages of the workspace, their compiled roots and their files.

use std::path::{Path, PathBuf};

/// The folder of the workspace.
pub fn root() -> PathBuf {
    let here = Path::new(env!("CARGO_MANIFEST_DIR"));
    here.parent()
        .expect("xtask lies in the workspace")
        .to_path_buf()
}

/// Folders with a `Cargo.toml`.
fn packages() -> Vec<PathBuf> {
    let mut folders = entries(&root().join("crates"));
    folders.extend(["validation", "xtask", "fuzz"].map(|name| root().join(name)));
    folders.retain(|folder| folder.join("Cargo.toml").is_file());
    assert!(folders.len() > 3, "only {folders:?} are packages");
    folders
}

/// Every file that cargo compiles from: libraries, programs, tests, benches, examples.
pub fn roots() -> Vec<PathBuf> {
    let mut roots = Vec::new();
    for package in packages() {
        roots.extend(["src/lib.rs", "src/main.rs", "build.rs"].map(|name| package.join(name)));
        for folder in ["src/bin", "tests", "benches", "examples", "fuzz_targets"] {
            for entry in entries(&package.join(folder)) {
                if entry.is_dir() {
                    roots.push(entry.join("main.rs"));
                } else if entry.extension().is_some_and(|extension| extension == "rs") {
                    roots.push(entry);
                }
            }
        }
    }
    roots.retain(|root| root.is_file());
    roots
}

/// Every Rust file of the packages.
pub fn files() -> Vec<PathBuf> {
    let mut files = Vec::new();
    let mut folders = packages();
    while let Some(folder) = folders.pop() {
        for entry in entries(&folder) {
            let name = entry.file_name().unwrap_or_default();
            if entry.is_dir() && name != "target" && name != "node_modules" {
                folders.push(entry);
            } else if entry.extension().is_some_and(|extension| extension == "rs") {
                files.push(std::fs::canonicalize(entry).expect("a file that was listed"));
            }
        }
    }
    files
}

/// What lies in a folder, in order; nothing where there is none.
pub fn entries(folder: &Path) -> Vec<PathBuf> {
    let Ok(list) = std::fs::read_dir(folder) else {
        return Vec::new();
    };
    let mut entries: Vec<PathBuf> = list.flatten().map(|entry| entry.path()).collect();
    entries.sort();
    entries
}
