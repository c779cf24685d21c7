//! One file, written whole or not at all, and only over what the caller knew.

use std::fs::OpenOptions;
use std::io::{self, Write};
use std::path::Path;
use std::time::Duration;

use crate::claim::Claim;
use crate::error::{FileError, Kind};
use crate::hash::sha256_of;
use crate::place::Place;
use crate::recover::{Replaceable, Scratch};
use crate::swap::{keep, put, put_new, sync_folder};

/// What the caller believes to lie at a path.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Expected<'a> {
    /// Nothing: a new file.
    Nothing,
    /// A file of this SHA-256.
    Content(&'a str),
    /// Anything, or nothing.
    Anything,
}

/// How long another writer of the same file is waited for, in steps of [`PAUSE`].
const TRIES: usize = 100;
/// A moment: between two tries, and for a program that has the old file open to end its writing.
const PAUSE: Duration = Duration::from_millis(20);

/// Writes a file. Readers see the old one or the new one, never a part; another program's change
/// in the same moment is found, put back, and told. Returns what of a former run was mended.
///
/// Where the system cannot exchange two names in one step, such a change is kept beside instead.
///
/// # Errors
/// [`Kind::Exists`] if something is there and [`Expected::Nothing`] was; [`Kind::Changed`] if it
/// is not what was expected; [`Kind::NotOrdinary`] for links, folders and the like;
/// [`Kind::Busy`] if another process of ours goes on writing it; [`Kind::System`].
pub fn write(path: &Path, bytes: &[u8], expected: Expected) -> Result<Vec<String>, FileError> {
    let (claim, mut told) = claim(path)?;
    let place = claim.place();
    let failed = |error: io::Error| FileError::writing(path, &error);
    let present = present(path, &place.path())?;
    judge(path, &place.path(), expected, present.is_some())?;
    if present.as_ref().is_some_and(std::fs::Permissions::readonly) {
        return Err(failed(io::Error::other("it is write-protected")));
    }
    let replaceable = match expected {
        Expected::Content(sha256) => Replaceable::Content(sha256.to_owned()),
        Expected::Nothing | Expected::Anything => Replaceable::Anything,
    };
    let scratch = Scratch::new(place).map_err(failed)?;
    let moved = write_new(&scratch.fresh(), bytes, present.clone())
        .and_then(|()| scratch.mark(&replaceable))
        .and_then(|()| match expected {
            Expected::Nothing => put_new(&scratch.fresh(), &place.path()),
            _ => put(&scratch.fresh(), &place.path(), &scratch.aside()),
        });
    let moved = moved.and_then(|()| sync_folder(place.around()));
    if moved.is_ok() && matches!(expected, Expected::Content(_)) {
        // At once, and again when a program that had the old file open has ended its writing.
        for pause in [Duration::ZERO, PAUSE] {
            std::thread::sleep(pause);
            if let Some(error) = put_back(path, place, &scratch)? {
                scratch.settle(place).map_err(failed)?;
                return Err(error);
            }
        }
    }
    let settled = scratch.settle(place);
    match moved {
        Err(error) if error.kind() == io::ErrorKind::AlreadyExists => Err(exists(path)),
        Err(error) => Err(failed(error)),
        Ok(()) => {
            told.extend(settled.map_err(failed)?);
            Ok(told)
        }
    }
}

/// The claim on a file, waited for a while.
fn claim(path: &Path) -> Result<(Claim, Vec<String>), FileError> {
    for _ in 1..TRIES {
        match Claim::take(Place::of(path)?) {
            Err(error) if error.kind == Kind::Busy => std::thread::sleep(PAUSE),
            taken => return taken,
        }
    }
    Claim::take(Place::of(path)?)
}

/// The permissions of the file that is there, if one is.
fn present(shown: &Path, path: &Path) -> Result<Option<std::fs::Permissions>, FileError> {
    match std::fs::symlink_metadata(path) {
        Err(error) if error.kind() == io::ErrorKind::NotFound => Ok(None),
        Err(error) => Err(FileError::writing(shown, &error)),
        Ok(found) if found.is_file() => Ok(Some(found.permissions())),
        Ok(_) => Err(FileError::new(
            Kind::NotOrdinary,
            format!(
                "{} is no ordinary file and is left as it is",
                shown.display()
            ),
            "give another name",
        )),
    }
}

fn judge(shown: &Path, path: &Path, expected: Expected, there: bool) -> Result<(), FileError> {
    match expected {
        Expected::Nothing if there => Err(exists(shown)),
        Expected::Content(_) if !there => Err(changed(shown, "removed")),
        Expected::Content(wanted) if sha256_of(path)? != wanted => Err(changed(shown, "changed")),
        _ => Ok(()),
    }
}

fn exists(shown: &Path) -> FileError {
    FileError::new(
        Kind::Exists,
        format!("{} exists and is left as it is", shown.display()),
        "choose another name, or replace it on purpose",
    )
}

fn changed(shown: &Path, how: &str) -> FileError {
    FileError::new(
        Kind::Changed,
        format!(
            "{} was {how} by another program and is left as it is",
            shown.display()
        ),
        "look at what it says now before replacing it, or save under another name",
    )
}

/// Puts what was replaced back if it was not what the caller knew, and says so. What lies at the
/// place meanwhile is ours, or newer than both: then that stays, and what was replaced is kept.
fn put_back(
    shown: &Path,
    place: &Place,
    scratch: &Scratch,
) -> Result<Option<FileError>, FileError> {
    let failed = |error: io::Error| FileError::writing(shown, &error);
    let Some((mut left, _)) = scratch.foreign_old() else {
        return Ok(None);
    };
    let mut error = changed(shown, "changed");
    if scratch.is_new(&place.path()) {
        let out = scratch.fresh().with_extension("out");
        put(&left, &place.path(), &out).map_err(failed)?;
        sync_folder(place.around()).map_err(failed)?;
        if std::fs::symlink_metadata(&left).is_err() {
            left = out;
        }
    }
    if std::fs::symlink_metadata(&left).is_ok() && !scratch.is_new(&left) {
        let kept = keep(&left, place, "kept").map_err(failed)?;
        error.message = format!("{}; {} is a version between", error.message, kept.display());
    }
    Ok(Some(error))
}

/// Writes a new file with the permissions of the one it follows, to the disk.
fn write_new(
    path: &Path,
    bytes: &[u8],
    permissions: Option<std::fs::Permissions>,
) -> io::Result<()> {
    let mut file = OpenOptions::new().write(true).create_new(true).open(path)?;
    file.write_all(bytes)?;
    if let Some(permissions) = permissions {
        file.set_permissions(permissions)?;
    }
    file.sync_all()
}

#[cfg(test)]
#[path = "write_tests.rs"]
mod tests;
