//! Lines beside a place that survive a kill: what a long run has done, for the next to go on.

use std::fs::{File, OpenOptions};
use std::io::{self, BufRead, BufReader, Write};
use std::path::{Path, PathBuf};

use crate::claim::Claim;
use crate::error::{FileError, Kind};
use crate::place::Place;
use crate::read::ordinary;
use crate::swap::keep;

/// The last part of a journal's name.
const WORD: &str = "unfinished";
/// Most bytes of a first line.
const HEADER_MAX: u64 = 4096;

/// An open journal.
#[derive(Debug)]
pub struct Journal {
    path: PathBuf,
    file: File,
}

impl Journal {
    /// Opens the journal of a place, `NAME.unfinished`, or one kept under `NAME.unfinished-1`, …,
    /// whose first line is `header`; gives each line after it to `line`, the last one perhaps cut
    /// short. A journal with another header is kept, if it holds a line at all; returns that in
    /// words. `begins` is how the first line of any journal begins.
    ///
    /// # Errors
    /// [`Kind::NotOrdinary`] where a link or something else that is no journal has its name;
    /// [`Kind::System`].
    pub fn open(
        claim: &Claim,
        begins: &str,
        header: &str,
        mut line: impl FnMut(&str),
    ) -> Result<(Self, Option<String>), FileError> {
        let place = claim.place();
        let path = place.beside(WORD);
        let failed = |error: io::Error| FileError::writing(&path, &error);
        let mut told = None;
        if std::fs::symlink_metadata(&path).is_ok() {
            let found = first_line(&path)?;
            if !found.starts_with(begins) {
                return Err(in_the_way(&path));
            }
            if found != header {
                if holds_more(&path)? {
                    let kept = keep(&path, place, WORD).map_err(failed)?;
                    told = Some(format!(
                        "an unfinished run with another brief, or of another calotte, is kept as {}; delete it if it is not wanted",
                        place
                            .shown()
                            .with_file_name(kept.file_name().unwrap_or_default())
                            .display()
                    ));
                } else {
                    std::fs::remove_file(&path).map_err(failed)?;
                }
                if let Some(former) = kept_with(place, header)? {
                    std::fs::rename(former, &path).map_err(failed)?;
                }
            }
        } else if let Some(former) = kept_with(place, header)? {
            std::fs::rename(former, &path).map_err(failed)?;
        }
        let mut options = OpenOptions::new();
        options.append(true);
        #[cfg(unix)]
        {
            use std::os::unix::fs::OpenOptionsExt;
            options.custom_flags(rustix::fs::OFlags::NOFOLLOW.bits().cast_signed());
        }
        let goes_on = std::fs::symlink_metadata(&path).is_ok();
        if goes_on {
            let (file, _) = ordinary(&path)?;
            let mut lines = BufReader::new(file).split(b'\n');
            lines.next();
            for found in lines {
                // A line that a kill cut within a letter is no text; it is cut short anyway.
                line(&String::from_utf8_lossy(&found.map_err(failed)?));
            }
        } else {
            options.create_new(true);
        }
        let mut file = options.open(&path).map_err(failed)?;
        // A new one begins with its header; one that goes on ends a line that a kill may have cut.
        let begin = if goes_on {
            "\n".to_owned()
        } else {
            format!("{header}\n")
        };
        file.write_all(begin.as_bytes()).map_err(failed)?;
        Ok((Self { path, file }, told))
    }

    /// Adds lines, each with its end.
    ///
    /// # Errors
    /// What the system says, a full disk for example.
    pub fn append(&mut self, lines: &str) -> io::Result<()> {
        self.file.write_all(lines.as_bytes())
    }

    /// Removes the journal of a run that is done.
    pub fn remove(self) {
        // One that stays costs the next run a look.
        let _ = std::fs::remove_file(self.path);
    }
}

/// The first line of an ordinary file that is no link.
fn first_line(path: &Path) -> Result<String, FileError> {
    use std::io::Read;
    if std::fs::symlink_metadata(path).is_ok_and(|found| !found.is_file()) {
        return Err(in_the_way(path));
    }
    let (file, _) = ordinary(path)?;
    let mut bytes = Vec::new();
    BufReader::new(file.take(HEADER_MAX))
        .read_until(b'\n', &mut bytes)
        .map_err(|error| FileError::reading(path, &error))?;
    let text = String::from_utf8_lossy(&bytes);
    Ok(text.strip_suffix('\n').unwrap_or(&text).to_owned())
}

/// Whether a journal holds more than its first line.
fn holds_more(path: &Path) -> Result<bool, FileError> {
    Ok(ordinary(path)?.1 > first_line(path)?.len() as u64 + 2)
}

/// A journal that was kept and has this header.
fn kept_with(place: &Place, header: &str) -> Result<Option<PathBuf>, FileError> {
    let prefix = place.beside(&format!("{WORD}-"));
    let prefix = prefix.file_name().unwrap_or_default().as_encoded_bytes();
    let entries = std::fs::read_dir(place.around());
    let entries = entries.map_err(|error| FileError::reading(place.around(), &error))?;
    let mut kept: Vec<PathBuf> = entries
        .flatten()
        .filter(|entry| entry.file_name().as_encoded_bytes().starts_with(prefix))
        .map(|entry| entry.path())
        .collect();
    kept.sort();
    let has_header = |path: &PathBuf| first_line(path).is_ok_and(|found| found == header);
    Ok(kept.into_iter().find(has_header))
}

fn in_the_way(path: &Path) -> FileError {
    FileError::new(
        Kind::NotOrdinary,
        format!(
            "{} is in the way: it is no journal of calotte",
            path.display()
        ),
        "move it away, or give --out DIR for another folder",
    )
}

#[cfg(test)]
#[path = "journal_tests.rs"]
mod tests;
