//! One process at a time on a place.
//!
//! A lock of the system on a hidden file beside the place. A process that is killed lets go of
//! it, so nothing has to be removed by hand.

use std::fs::{File, OpenOptions, TryLockError};
use std::io;
use std::path::{Path, PathBuf};

use crate::error::{FileError, Kind};
use crate::place::Place;
use crate::recover::recover;

/// The right to write at a place, held as long as this value lives.
#[derive(Debug)]
pub struct Claim {
    place: Place,
    path: PathBuf,
    /// Locked; closing it lets go.
    _file: File,
}

impl Claim {
    /// Takes the place and mends what a run that was cut off left there; returns what was
    /// mended, in words.
    ///
    /// # Errors
    /// [`Kind::Busy`] where another process holds it, [`Kind::NotOrdinary`] where something else
    /// has the name of the lock, [`Kind::System`].
    pub fn take(place: Place) -> Result<(Self, Vec<String>), FileError> {
        let path = place.around().join(place.hidden("lock"));
        let file = lock(&place, &path)?;
        let claim = Self {
            path,
            _file: file,
            place,
        };
        let told = recover(claim.place())?;
        Ok((claim, told))
    }

    /// The place.
    pub fn place(&self) -> &Place {
        &self.place
    }
}

impl Drop for Claim {
    fn drop(&mut self) {
        // While it is still locked: whoever waits for this file finds that it is gone.
        let _ = std::fs::remove_file(&self.path);
        self.place.unmake();
    }
}

fn lock(place: &Place, path: &Path) -> Result<File, FileError> {
    let writing = |error: io::Error| FileError::writing(place.shown(), &error);
    loop {
        let mut options = OpenOptions::new();
        options.read(true).write(true).create(true);
        #[cfg(unix)]
        {
            use std::os::unix::fs::OpenOptionsExt;
            let flags = rustix::fs::OFlags::NOFOLLOW | rustix::fs::OFlags::NONBLOCK;
            options.custom_flags(flags.bits().cast_signed()).mode(0o600);
        }
        let foreign = || {
            FileError::new(
                Kind::NotOrdinary,
                format!(
                    "{} is in the way: it is no file of calotte's",
                    path.display()
                ),
                "move it away, or give another name",
            )
        };
        if std::fs::symlink_metadata(path).is_ok_and(|found| !found.is_file()) {
            return Err(foreign());
        }
        let file = options.open(path).map_err(writing)?;
        match file.try_lock() {
            Ok(()) => {}
            Err(TryLockError::WouldBlock) => {
                return Err(FileError::new(
                    Kind::Busy,
                    format!("another run of calotte writes {}", place.shown().display()),
                    "wait for it, or give another name",
                ));
            }
            Err(TryLockError::Error(error)) => return Err(writing(error)),
        }
        let held = file.metadata().map_err(writing)?;
        if held.len() > 0 {
            return Err(foreign());
        }
        // The one who held it before removes the file at its end: then this lock is of no use.
        if is_still(path, &held) {
            return Ok(file);
        }
    }
}

#[cfg(unix)]
fn is_still(path: &Path, held: &std::fs::Metadata) -> bool {
    use std::os::unix::fs::MetadataExt;
    std::fs::symlink_metadata(path)
        .is_ok_and(|found| (found.dev(), found.ino()) == (held.dev(), held.ino()))
}

#[cfg(not(unix))]
fn is_still(path: &Path, _held: &std::fs::Metadata) -> bool {
    // A file that is open cannot be removed there.
    path.exists()
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_place_is_held_by_one_and_let_go() {
        let around = tempfile::tempdir().unwrap();
        let place = || Place::of(&around.path().join("made/results")).unwrap();
        let (first, _) = Claim::take(place()).unwrap();
        assert_eq!(Claim::take(place()).unwrap_err().kind, Kind::Busy);
        drop(first);
        // The folder made for it is gone with it.
        assert_eq!(std::fs::read_dir(around.path()).unwrap().count(), 0);
        Claim::take(place()).unwrap();
    }

    #[cfg(unix)]
    #[test]
    fn a_link_in_the_lock_s_place_is_not_followed() {
        let around = tempfile::tempdir().unwrap();
        let mine = around.path().join("mine");
        std::fs::write(&mine, "").unwrap();
        let place = Place::of(&around.path().join("results")).unwrap();
        std::os::unix::fs::symlink(&mine, around.path().join(".results.calotte-lock")).unwrap();
        assert_eq!(Claim::take(place).unwrap_err().kind, Kind::NotOrdinary);
        assert!(mine.exists());
    }
}
