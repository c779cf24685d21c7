//! Moving what is new into the place of what is old.
//!
//! Where the system can exchange two names in one step there is no moment at which the place is
//! empty. Elsewhere the old goes aside first, and [`recover`](crate::recover) puts one of the two
//! back after a kill in between.

use std::io;
use std::path::{Path, PathBuf};

use crate::place::Place;

/// Puts `fresh` at `place`. What was there lies at `fresh` afterwards, or at `aside` where the
/// two could not be exchanged.
pub(crate) fn put(fresh: &Path, place: &Path, aside: &Path) -> io::Result<()> {
    #[cfg(unix)]
    {
        use rustix::fs::{CWD, RenameFlags, renameat_with};
        use rustix::io::Errno;
        // Another program may take or free the place between the two: then once more.
        for _ in 0..100 {
            match renameat_with(CWD, fresh, CWD, place, RenameFlags::NOREPLACE) {
                Ok(()) => return Ok(()),
                Err(Errno::EXIST) => {}
                Err(error) if cannot(error) => return in_two_steps(fresh, place, aside),
                Err(error) => return Err(error.into()),
            }
            match renameat_with(CWD, fresh, CWD, place, RenameFlags::EXCHANGE) {
                Ok(()) => return Ok(()),
                Err(Errno::NOENT) if std::fs::symlink_metadata(fresh).is_ok() => {}
                Err(error) if cannot(error) => return in_two_steps(fresh, place, aside),
                Err(error) => return Err(error.into()),
            }
        }
        Err(io::Error::other("its name is taken and freed all the time"))
    }
    #[cfg(not(unix))]
    in_two_steps(fresh, place, aside)
}

/// Whether the system, or this disk, does not know such a rename.
#[cfg(unix)]
fn cannot(error: rustix::io::Errno) -> bool {
    use rustix::io::Errno;
    [Errno::INVAL, Errno::NOSYS, Errno::NOTSUP, Errno::OPNOTSUPP].contains(&error)
}

/// As [`put`], where two names cannot be exchanged.
pub(crate) fn in_two_steps(fresh: &Path, place: &Path, aside: &Path) -> io::Result<()> {
    if std::fs::symlink_metadata(place).is_ok() {
        std::fs::rename(place, aside)?;
    }
    put_new(fresh, place).inspect_err(|_| {
        // If this fails too, the next run puts it back.
        let _ = put_new(aside, place);
    })
}

/// Moves something to the first free name of `kept-1`, `kept-2`, … beside a place, and returns
/// that name; so for any other word than `kept`.
pub(crate) fn keep(what: &Path, place: &Place, word: &str) -> io::Result<PathBuf> {
    for number in 1..10_000 {
        let kept = place.beside(&format!("{word}-{number}"));
        if std::fs::symlink_metadata(&kept).is_ok() {
            continue;
        }
        match put_new(what, &kept) {
            Ok(()) => return Ok(kept),
            Err(error) if error.kind() == io::ErrorKind::AlreadyExists => {}
            Err(error) => return Err(error),
        }
    }
    Err(io::Error::other("all names to keep it under are taken"))
}

/// Moves something to a name that must be free.
pub(crate) fn put_new(what: &Path, free: &Path) -> io::Result<()> {
    #[cfg(unix)]
    {
        use rustix::fs::{CWD, RenameFlags, renameat_with};
        match renameat_with(CWD, what, CWD, free, RenameFlags::NOREPLACE) {
            Ok(()) => return Ok(()),
            Err(error) if cannot(error) => {}
            Err(error) => return Err(error.into()),
        }
    }
    if std::fs::symlink_metadata(free).is_ok() {
        return Err(io::ErrorKind::AlreadyExists.into());
    }
    std::fs::rename(what, free)
}

/// Makes the names in a folder last through a loss of power, where the system can do so.
pub(crate) fn sync_folder(folder: &Path) -> io::Result<()> {
    #[cfg(unix)]
    return std::fs::File::open(folder)?.sync_all();
    #[cfg(not(unix))]
    {
        let _ = folder;
        Ok(())
    }
}
