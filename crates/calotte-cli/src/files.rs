//! Files: read whole, written whole or not at all.

use std::collections::BTreeMap;
use std::fs;
use std::io::Write;
use std::path::{Path, PathBuf};

use calotte_document::written::Manifest;
use sha2::{Digest, Sha256};

use crate::failure::Failure;

/// Reads a text file.
pub fn read_text(path: &Path) -> Result<String, Failure> {
    let bytes = fs::read(path).map_err(|error| {
        Failure::new(format!("cannot read {}: {error}", path.display())).hint(
            "give the path of an existing file; `calotte new DIR` writes a brief to start from",
        )
    })?;
    calotte_format::text_of(&bytes)
        .map(str::to_string)
        .map_err(|error| Failure::format(&error, path))
}

/// Reads a file of measurements.
pub fn read_bytes(path: &Path) -> Result<Vec<u8>, Failure> {
    fs::read(path).map_err(|error| {
        Failure::new(format!("cannot read {}: {error}", path.display()))
            .hint("give the path of an existing file of measurements")
    })
}

/// SHA-256 of bytes as hexadecimal digits.
pub fn sha256(bytes: &[u8]) -> String {
    Sha256::digest(bytes)
        .iter()
        .map(|byte| format!("{byte:02x}"))
        .collect()
}

/// Writes a file so that it appears whole or not at all; an existing one is
/// kept unless `force`.
pub fn write_whole(path: &Path, bytes: &[u8], force: bool) -> Result<(), Failure> {
    if path.exists() && !force {
        return Err(
            Failure::new(format!("{} exists and is left as it is", path.display()))
                .hint("give --force to replace it, or another name"),
        );
    }
    let folder = match path.parent() {
        Some(parent) if !parent.as_os_str().is_empty() => parent.to_path_buf(),
        _ => PathBuf::from("."),
    };
    let failed = |error: std::io::Error| {
        Failure::new(format!("cannot write {}: {error}", path.display()))
            .hint("check that the folder exists and may be written")
    };
    let mut temporary = tempfile::NamedTempFile::new_in(&folder).map_err(failed)?;
    temporary.write_all(bytes).map_err(failed)?;
    temporary.as_file().sync_all().map_err(failed)?;
    temporary.persist(path).map_err(|e| failed(e.error))?;
    Ok(())
}

/// Name of the list of a results folder's files with their SHA-256.
const MANIFEST: &str = "manifest.json";

/// A folder of results in the making: appears whole or not at all.
pub struct ResultsFolder {
    target: PathBuf,
    files: BTreeMap<String, Vec<u8>>,
}

impl ResultsFolder {
    /// Prepares a folder; refuses one that holds anything calotte did not write
    /// or that somebody changed, unless `force`.
    pub fn prepare(target: &Path, force: bool) -> Result<Self, Failure> {
        if target.exists() && !force {
            let reason = if target.is_dir() {
                changed_since_written(target)
            } else {
                Some("it is a file".to_string())
            };
            if let Some(reason) = reason {
                return Err(Failure::new(format!(
                    "{} is left as it is: {reason}",
                    target.display()
                ))
                .hint("give --out DIR for another folder, or --force to replace it"));
            }
        }
        Ok(Self {
            target: target.to_path_buf(),
            files: BTreeMap::new(),
        })
    }

    /// Refuses a folder that holds files which the command reads: they would be replaced,
    /// with `--force` too.
    pub fn refuse_holding(target: &Path, inputs: &[&Path]) -> Result<(), Failure> {
        let Ok(folder) = target.canonicalize() else {
            return Ok(());
        };
        for input in inputs {
            if input
                .canonicalize()
                .is_ok_and(|input| input.starts_with(&folder))
            {
                return Err(Failure::new(format!(
                    "{} holds {}, which this command reads: its results would replace it",
                    target.display(),
                    input.display()
                ))
                .hint("give --out DIR for another folder"));
            }
        }
        Ok(())
    }

    /// Adds a file by its path within the folder.
    pub fn add(&mut self, name: &str, bytes: impl Into<Vec<u8>>) {
        self.files.insert(name.to_string(), bytes.into());
    }

    /// Adds files by their paths within the folder.
    pub fn add_all(&mut self, files: Vec<(String, Vec<u8>)>) {
        self.files.extend(files);
    }

    /// Writes all files beside the target and moves the folder into place.
    pub fn finish(mut self) -> Result<(), Failure> {
        let files = self.files.iter();
        let manifest = Manifest {
            written_by: format!("calotte {}", env!("CARGO_PKG_VERSION")),
            sha256: files
                .map(|(name, bytes)| (name.clone(), sha256(bytes)))
                .collect(),
        };
        let text = calotte_document::text(&manifest) + "\n";
        self.files.insert(MANIFEST.to_string(), text.into_bytes());
        let parent = match self.target.parent() {
            Some(parent) if !parent.as_os_str().is_empty() => parent.to_path_buf(),
            _ => PathBuf::from("."),
        };
        let failed = |error: std::io::Error| {
            Failure::new(format!("cannot write {}: {error}", self.target.display()))
                .hint("check that the folder above it exists and may be written")
        };
        fs::create_dir_all(&parent).map_err(failed)?;
        let temporary = tempfile::Builder::new()
            .prefix(".calotte-")
            .tempdir_in(&parent)
            .map_err(failed)?;
        let fresh = temporary.path().join("new");
        for (name, bytes) in &self.files {
            let path = fresh.join(name);
            if let Some(folder) = path.parent() {
                fs::create_dir_all(folder).map_err(failed)?;
            }
            fs::write(&path, bytes).map_err(failed)?;
        }
        if self.target.exists() {
            // The old folder goes aside first, so that it comes back if the move fails.
            let old = temporary.path().join("old");
            fs::rename(&self.target, &old).map_err(failed)?;
            if let Err(error) = fs::rename(&fresh, &self.target) {
                let _ = fs::rename(&old, &self.target);
                return Err(failed(error));
            }
        } else {
            fs::rename(&fresh, &self.target).map_err(failed)?;
        }
        Ok(())
    }
}

/// Why a folder is not what calotte wrote, or `None` if it is.
fn changed_since_written(folder: &Path) -> Option<String> {
    let mut found = BTreeMap::new();
    if let Err(error) = collect(folder, folder, &mut found) {
        return Some(format!("it cannot be read ({error})"));
    }
    if found.is_empty() {
        return None;
    }
    let foreign = || Some("it holds files that calotte did not write".to_string());
    if found.remove(MANIFEST).is_none() {
        return foreign();
    }
    let manifest: Option<Manifest> = fs::read(folder.join(MANIFEST))
        .ok()
        .and_then(|text| serde_json::from_slice(&text).ok());
    let Some(manifest) = manifest else {
        return foreign();
    };
    for (name, hash) in &found {
        match manifest.sha256.get(name) {
            None => return Some(format!("{name} was not written by calotte")),
            Some(wanted) if wanted != hash => {
                return Some(format!("{name} was changed since calotte wrote it"));
            }
            Some(_) => {}
        }
    }
    None
}

fn collect(
    root: &Path,
    folder: &Path,
    found: &mut BTreeMap<String, String>,
) -> std::io::Result<()> {
    for entry in fs::read_dir(folder)? {
        let path = entry?.path();
        if path.is_dir() {
            collect(root, &path, found)?;
        } else {
            let name = path
                .strip_prefix(root)
                .unwrap_or(&path)
                .to_string_lossy()
                .replace('\\', "/");
            found.insert(name, sha256(&fs::read(&path)?));
        }
    }
    Ok(())
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_changed_folder_is_kept() {
        let place = tempfile::tempdir().unwrap();
        let target = place.path().join("results");
        let write = |force: bool| {
            let mut folder = ResultsFolder::prepare(&target, force)?;
            folder.add("a.txt", "one");
            folder.add("plots/b.svg", "two");
            folder.finish()
        };
        write(false).unwrap();
        write(false).unwrap();
        fs::write(target.join("plots/b.svg"), "mine").unwrap();
        let kept = write(false).unwrap_err();
        assert!(
            kept.to_string().contains("plots/b.svg was changed"),
            "{kept}"
        );
        write(true).unwrap();
        fs::write(target.join("notes.txt"), "mine").unwrap();
        assert!(write(false).is_err());
        assert_eq!(
            fs::read_to_string(target.join("notes.txt")).unwrap(),
            "mine"
        );
    }

    #[test]
    fn a_folder_without_manifest_is_kept() {
        let place = tempfile::tempdir().unwrap();
        let target = place.path().join("results");
        fs::create_dir(&target).unwrap();
        fs::write(target.join("thesis.tex"), "years of work").unwrap();
        assert!(ResultsFolder::prepare(&target, false).is_err());
    }

    #[test]
    fn an_existing_file_is_kept() {
        let place = tempfile::tempdir().unwrap();
        let path = place.path().join("brief.toml");
        write_whole(&path, b"one", false).unwrap();
        assert!(write_whole(&path, b"two", false).is_err());
        write_whole(&path, b"two", true).unwrap();
        assert_eq!(fs::read(&path).unwrap(), b"two");
    }
}
