//! A folder of results: appears whole or not at all, and takes nothing with it.

use std::collections::BTreeMap;
use std::fs::OpenOptions;
use std::io::{self, Write};
use std::path::{Path, PathBuf};

use calotte_document::written::Manifest;

use crate::claim::Claim;
use crate::contents::{MANIFEST, foreign};
use crate::error::{FileError, Kind};
use crate::hash::sha256;
use crate::place::Place;
use crate::recover::{Replaceable, Scratch};
use crate::swap::{put, sync_folder};

/// A folder of results in the making.
#[derive(Debug)]
pub struct Results {
    claim: Claim,
    files: BTreeMap<String, Vec<u8>>,
}

impl Results {
    /// Takes a place for results; returns with it what of a former run was mended, in words.
    ///
    /// # Errors
    /// [`Kind::Exists`] where the folder holds anything that calotte did not write or that
    /// somebody changed, unless `force`: then that folder is kept beside in the end;
    /// those of [`Place::of`] and [`Claim::take`].
    pub fn prepare(path: &Path, force: bool) -> Result<(Self, Vec<String>), FileError> {
        let (claim, told) = Claim::take(Place::of(path)?)?;
        let place = claim.place().path();
        let reason = match std::fs::symlink_metadata(&place) {
            Err(error) if error.kind() == io::ErrorKind::NotFound => None,
            Err(error) => return Err(FileError::writing(path, &error)),
            Ok(found) if found.is_dir() => foreign(&place),
            Ok(_) => Some("it is no folder".to_owned()),
        };
        if let Some(reason) = reason.filter(|_| !force) {
            return Err(FileError::new(
                Kind::Exists,
                format!("{} is left as it is: {reason}", path.display()),
                "give --out DIR for another folder, or --force to put the results there and keep this one beside it",
            ));
        }
        let files = BTreeMap::new();
        Ok((Self { claim, files }, told))
    }

    /// Refuses a place whose folder holds a file that the command reads: it would be replaced.
    ///
    /// # Errors
    /// [`Kind::Exists`].
    pub fn refuse_holding(path: &Path, inputs: &[&Path]) -> Result<(), FileError> {
        let Ok(folder) = path.canonicalize() else {
            return Ok(());
        };
        let held = |input: &&&Path| {
            let found = input.canonicalize();
            found.is_ok_and(|input| input.starts_with(&folder))
        };
        match inputs.iter().find(held) {
            None => Ok(()),
            Some(input) => Err(FileError::new(
                Kind::Exists,
                format!(
                    "{} holds {}, which this command reads: its results would replace it",
                    path.display(),
                    input.display()
                ),
                "give --out DIR for another folder",
            )),
        }
    }

    /// The claim on the place, for what else is written beside it.
    pub fn claim(&self) -> &Claim {
        &self.claim
    }

    /// Adds a file by its path within the folder, parts of it set apart by `/`.
    pub fn add(&mut self, name: &str, bytes: impl Into<Vec<u8>>) {
        self.files.insert(name.to_owned(), bytes.into());
    }

    /// Adds files by their paths within the folder.
    pub fn add_all(&mut self, files: Vec<(String, Vec<u8>)>) {
        self.files.extend(files);
    }

    /// Writes all files beside the place, to the disk, and moves the folder there in one step.
    /// Returns what was kept, in words.
    ///
    /// # Errors
    /// [`Kind::System`]; the place then holds what it held, or all of the new.
    pub fn finish(mut self, written_by: &str) -> Result<Vec<String>, FileError> {
        let place = self.claim.place();
        let failed = |error: io::Error| FileError::writing(place.shown(), &error);
        let listed = self.files.iter();
        let manifest = Manifest {
            written_by: written_by.to_owned(),
            sha256: listed
                .map(|(name, bytes)| (name.clone(), sha256(bytes)))
                .collect(),
        };
        let text = calotte_document::text(&manifest) + "\n";
        self.files.insert(MANIFEST.to_owned(), text.into_bytes());
        let scratch = Scratch::new(place).map_err(failed)?;
        let moved = write_tree(&scratch.fresh(), &self.files)
            .and_then(|()| scratch.mark(&Replaceable::Results))
            .and_then(|()| put(&scratch.fresh(), &place.path(), &scratch.aside()))
            .and_then(|()| sync_folder(place.around()));
        let told = scratch.settle(place);
        moved.map_err(failed)?;
        told.map_err(failed)
    }
}

/// Writes files below a new folder and sees to it that they are on the disk.
fn write_tree(root: &Path, files: &BTreeMap<String, Vec<u8>>) -> io::Result<()> {
    std::fs::create_dir(root)?;
    let mut folders = vec![root.to_path_buf()];
    for (name, bytes) in files {
        let path = root.join(name);
        make_below(root, &path, &mut folders)?;
        let mut file = OpenOptions::new()
            .write(true)
            .create_new(true)
            .open(&path)?;
        file.write_all(bytes)?;
        file.sync_all()?;
    }
    // Inner folders first: a name lasts when the folder around it does.
    for folder in folders.iter().rev() {
        sync_folder(folder)?;
    }
    Ok(())
}

/// Makes the folders between the root and a file in it.
fn make_below(root: &Path, file: &Path, folders: &mut Vec<PathBuf>) -> io::Result<()> {
    let above: Vec<&Path> = file
        .ancestors()
        .skip(1)
        .take_while(|above| *above != root)
        .collect();
    for folder in above.into_iter().rev() {
        if !folders.iter().any(|made| made == folder) {
            std::fs::create_dir(folder)?;
            folders.push(folder.to_path_buf());
        }
    }
    Ok(())
}

#[cfg(test)]
#[path = "results_tests.rs"]
mod tests;
