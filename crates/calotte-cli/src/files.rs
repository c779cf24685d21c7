//! Files as commands read and write them: by `calotte-files`, with hints of this command line
//! and what was mended or kept is said on standard error.

use std::path::Path;

use calotte_files::{Claim, Expected, FileError, Kind, Results};

pub use calotte_files::{digits, sha256};

use crate::failure::Failure;
use crate::say;

/// Most bytes of a file that lies beside a brief, points of a region or triangles of a keep-out:
/// two million triangles, the most that are taken, in binary STL.
const BESIDE_MAX: u64 = 84 + 2_000_000 * 50;

impl From<FileError> for Failure {
    fn from(error: FileError) -> Self {
        Failure::new(&error).hint(&error.hint)
    }
}

/// Reads a text file.
pub fn read_text(path: &Path) -> Result<String, Failure> {
    let most = calotte_format::TEXT_MAX as u64;
    let bytes = calotte_files::read(path, most).map_err(|error| match error.kind {
        Kind::NotThere => Failure::new(&error).hint(
            "give the path of an existing file; `calotte new DIR` writes a brief to start from",
        ),
        _ => error.into(),
    })?;
    calotte_format::text_of(&bytes)
        .map(str::to_string)
        .map_err(|error| Failure::format(&error, path))
}

/// Reads a file of measurements.
pub fn read_bytes(path: &Path) -> Result<Vec<u8>, Failure> {
    let most = calotte_format::measurement::BYTES_MAX as u64;
    Ok(calotte_files::read(path, most)?)
}

/// Most bytes of a part of a search: some ten million candidates.
const PART_MAX: u64 = 8 << 30;

/// Reads a part of a search.
pub fn read_part(path: &Path) -> Result<String, Failure> {
    let bytes = calotte_files::read(path, PART_MAX)?;
    String::from_utf8(bytes).map_err(|_| {
        Failure::new(format!("{} is no text", path.display()))
            .hint("search the part again: calotte design BRIEF --part N/M")
    })
}

/// Reads a file that a brief names, with what is wrong in words.
pub fn read_beside(path: &Path) -> Result<Vec<u8>, String> {
    calotte_files::read(path, BESIDE_MAX).map_err(|error| error.to_string())
}

/// Writes a file so that it appears whole or not at all; an existing one is
/// kept unless `force`.
pub fn write_whole(path: &Path, bytes: &[u8], force: bool) -> Result<(), Failure> {
    let expected = if force {
        Expected::Anything
    } else {
        Expected::Nothing
    };
    let told = calotte_files::write(path, bytes, expected).map_err(|error| match error.kind {
        Kind::Exists => Failure::new(&error).hint("give --force to replace it, or another name"),
        _ => error.into(),
    })?;
    tell(&told);
    Ok(())
}

/// A folder of results in the making: appears whole or not at all.
pub struct ResultsFolder(Results);

impl ResultsFolder {
    /// Takes the place for a folder that holds none of the files which the command reads;
    /// refuses one that holds anything calotte did not write or that somebody changed, unless
    /// `force`: then it is kept beside.
    pub fn prepare(target: &Path, force: bool, inputs: &[&Path]) -> Result<Self, Failure> {
        Results::refuse_holding(target, inputs)?;
        let (results, told) = Results::prepare(target, force)?;
        tell(&told);
        Ok(Self(results))
    }

    /// The claim on the place.
    pub fn claim(&self) -> &Claim {
        self.0.claim()
    }

    /// Adds a file by its path within the folder.
    pub fn add(&mut self, name: &str, bytes: impl Into<Vec<u8>>) {
        self.0.add(name, bytes);
    }

    /// Adds files by their paths within the folder.
    pub fn add_all(&mut self, files: Vec<(String, Vec<u8>)>) {
        self.0.add_all(files);
    }

    /// Writes all files beside the target and moves the folder into place.
    pub fn finish(self) -> Result<(), Failure> {
        tell(
            &self
                .0
                .finish(&format!("calotte {}", env!("CARGO_PKG_VERSION")))?,
        );
        Ok(())
    }
}

/// Says what of a former run was mended and what was kept.
fn tell(told: &[String]) {
    for line in told {
        say!("note: {line}");
    }
}
