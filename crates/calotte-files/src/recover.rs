//! After a run that was cut off: what lies beside a place is put in order, and told.
//!
//! A scratch folder holds `new` (what is written, or after the exchange what was there before),
//! `old` (what was there before, where two names cannot be exchanged) and, once the new one is
//! whole, `mark`: which one is new, and how to tell that the old one is what was to be replaced.

use std::io::{self, Write};
use std::path::{Path, PathBuf};

use crate::contents::foreign;
use crate::error::FileError;
use crate::hash::sha256_of;
use crate::place::Place;
use crate::swap::{keep, put_new, sync_folder};

/// Names of scratch folders go on with this and something random.
const SCRATCH: &str = "new-";
/// And with this when all in them may go.
const GONE: &str = "gone-";
/// What is written, until it is in place.
const FRESH: &str = "new";
/// What was in the place, if it went aside first.
const ASIDE: &str = "old";
const MARK: &str = "mark";

/// What may be replaced without being kept.
#[derive(Debug, Clone, PartialEq, Eq)]
pub(crate) enum Replaceable {
    /// A folder of results as it was written.
    Results,
    /// A file of this SHA-256.
    Content(String),
    /// Whatever it is.
    Anything,
}

impl Replaceable {
    fn word(&self) -> String {
        match self {
            Self::Results => "results".to_owned(),
            Self::Content(sha256) => format!("sha256 {sha256}"),
            Self::Anything => "anything".to_owned(),
        }
    }

    fn of_word(word: &str) -> Option<Self> {
        match word.split_once(' ') {
            None if word == "results" => Some(Self::Results),
            None if word == "anything" => Some(Self::Anything),
            Some(("sha256", digits)) => Some(Self::Content(digits.to_owned())),
            _ => None,
        }
    }

    /// Why something is not what may be replaced; `None` if it is.
    fn foreign(&self, old: &Path) -> Option<String> {
        let kind = std::fs::symlink_metadata(old)
            .map(|found| found.file_type())
            .ok();
        match self {
            Self::Anything => None,
            Self::Results if kind.is_some_and(|kind| kind.is_dir()) => foreign(old),
            Self::Results => Some("it was no folder".to_owned()),
            Self::Content(wanted) if kind.is_some_and(|kind| kind.is_file()) => {
                match sha256_of(old) {
                    Ok(found) if found == *wanted => None,
                    Ok(_) => Some("another program had changed it".to_owned()),
                    Err(error) => Some(error.to_string()),
                }
            }
            Self::Content(_) => Some("it was no file".to_owned()),
        }
    }
}

/// A scratch folder beside a place.
#[derive(Debug)]
pub(crate) struct Scratch(PathBuf);

impl Scratch {
    /// A new one.
    pub(crate) fn new(place: &Place) -> io::Result<Self> {
        let folder = tempfile::Builder::new()
            .prefix(&place.hidden(SCRATCH))
            .tempdir_in(place.around())?;
        Ok(Self(folder.keep()))
    }

    /// Where the new one is made.
    pub(crate) fn fresh(&self) -> PathBuf {
        self.0.join(FRESH)
    }

    /// Where the old one goes, if it goes first.
    pub(crate) fn aside(&self) -> PathBuf {
        self.0.join(ASIDE)
    }

    /// Says that the new one is whole, and makes all of it last.
    pub(crate) fn mark(&self, replaceable: &Replaceable) -> io::Result<()> {
        let mut file = std::fs::OpenOptions::new()
            .write(true)
            .create_new(true)
            .open(self.0.join(MARK))?;
        let text = format!("{}\n{}\n", identity(&self.fresh())?, replaceable.word());
        file.write_all(text.as_bytes())?;
        file.sync_all()?;
        sync_folder(&self.0)
    }

    /// The mark: the identity of the new one, and what may be replaced.
    fn read_mark(&self) -> Option<(String, Replaceable)> {
        let text = std::fs::read_to_string(self.0.join(MARK)).ok()?;
        let (identity, word) = text.strip_suffix('\n')?.split_once('\n')?;
        Some((identity.to_owned(), Replaceable::of_word(word)?))
    }

    /// Whether this is the new one, by its mark.
    pub(crate) fn is_new(&self, path: &Path) -> bool {
        let mark = self.read_mark();
        let same = |mark: &str| identity(path).is_ok_and(|found| found == mark);
        path != self.aside() && mark.is_some_and(|(mark, _)| same(&mark))
    }

    /// What was replaced and must not be, with the reason.
    pub(crate) fn foreign_old(&self) -> Option<(PathBuf, String)> {
        let (_, replaceable) = self.read_mark()?;
        // At the name of the new one lies the old one if they were exchanged.
        [self.aside(), self.fresh()]
            .into_iter()
            .filter(|old| there(old) && !self.is_new(old))
            .find_map(|old| Some((old.clone(), replaceable.foreign(&old)?)))
    }

    /// Ends the work at whatever step it stopped: the place holds the new one or the old one,
    /// whole; an old one that was not to be replaced is kept beside it. Tells both; what is left
    /// is removed.
    pub(crate) fn settle(self, place: &Place) -> io::Result<Vec<String>> {
        let shown = place.shown().display();
        let mut told = Vec::new();
        if !there(&place.path()) && there(&self.aside()) {
            // Between the two steps of a move: the new one is whole if it is marked.
            let whole = self.read_mark().is_some() && there(&self.fresh());
            let (from, which) = match whole {
                true => (self.fresh(), "new"),
                false => (self.aside(), "former"),
            };
            put_new(&from, &place.path())?;
            sync_folder(place.around())?;
            told.push(format!(
                "{shown}: a former run was cut off in its last step; the {which} one was put in place"
            ));
        }
        if let Some((old, reason)) = self.foreign_old() {
            let kept = keep(&old, place, "kept")?;
            sync_folder(place.around())?;
            let kept = place
                .shown()
                .with_file_name(kept.file_name().unwrap_or_default());
            told.push(format!(
                "{} is what was at {shown}: {reason}",
                kept.display()
            ));
        }
        self.remove(place)?;
        Ok(told)
    }

    /// Removes it. Renamed first: one that is half removed must not be taken for more.
    pub(crate) fn remove(self, place: &Place) -> io::Result<()> {
        let name = self.0.file_name().unwrap_or_default().to_string_lossy();
        let random = name.rsplit('-').next().unwrap_or_default();
        let gone = place
            .around()
            .join(place.hidden(&format!("{GONE}{random}")));
        put_new(&self.0, &gone)?;
        std::fs::remove_dir_all(gone)
    }
}

fn there(path: &Path) -> bool {
    std::fs::symlink_metadata(path).is_ok()
}

/// What stays the same of a file or folder when it is moved.
#[cfg(unix)]
fn identity(path: &Path) -> io::Result<String> {
    use std::os::unix::fs::MetadataExt;
    let found = std::fs::symlink_metadata(path)?;
    Ok(format!("{} {}", found.dev(), found.ino()))
}

/// Elsewhere two names are never exchanged, so that no identity is asked for.
#[cfg(not(unix))]
fn identity(_path: &Path) -> io::Result<String> {
    Ok("whole".to_owned())
}

/// Puts in order what former runs left beside a place that nobody else holds.
pub(crate) fn recover(place: &Place) -> Result<Vec<String>, FileError> {
    let failed = |error: io::Error| FileError::writing(place.shown(), &error);
    for gone in beginning_with(place, GONE).map_err(failed)? {
        std::fs::remove_dir_all(gone).map_err(failed)?;
    }
    let mut told = Vec::new();
    for scratch in beginning_with(place, SCRATCH).map_err(failed)? {
        let mended = Scratch(scratch).settle(place).map_err(failed)?;
        if mended.is_empty() {
            told.push(format!(
                "{}: a former run was cut off; what it left unfinished was removed",
                place.shown().display()
            ));
        }
        told.extend(mended);
    }
    Ok(told)
}

/// The hidden folders of a place whose names go on with a word.
fn beginning_with(place: &Place, word: &str) -> io::Result<Vec<PathBuf>> {
    let prefix = place.hidden(word);
    let mut found = Vec::new();
    for entry in std::fs::read_dir(place.around())? {
        let entry = entry?;
        let name = entry.file_name();
        if name
            .as_encoded_bytes()
            .starts_with(prefix.as_encoded_bytes())
            && entry.file_type()?.is_dir()
        {
            found.push(entry.path());
        }
    }
    found.sort();
    Ok(found)
}
