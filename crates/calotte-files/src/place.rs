//! Where results may go: a folder, or a file, of a name of its own that is no link.

use std::ffi::OsString;
use std::io;
use std::path::{Path, PathBuf};

use crate::error::{FileError, Kind};

/// A place to write: the folder around it, as the system knows it, and a name in it.
#[derive(Debug, Clone)]
pub struct Place {
    around: PathBuf,
    name: OsString,
    shown: PathBuf,
    /// Folders that did not exist, from the outermost in.
    made: Vec<PathBuf>,
}

impl Place {
    /// Looks at a path before anything is computed for it. The folders above it are made; a
    /// [`Claim`](crate::Claim) that ends without results removes them again.
    ///
    /// # Errors
    /// [`Kind::NotOrdinary`] for paths without a name of their own (`.`, `..`, `/`), for links,
    /// and for the folder this process runs in, which would be moved from under it;
    /// [`Kind::System`] where the folders above cannot be made.
    pub fn of(path: &Path) -> Result<Self, FileError> {
        let Some(name) = path.file_name() else {
            return Err(FileError::new(
                Kind::NotOrdinary,
                format!("{} has no name of its own", path.display()),
                format!("give a new name in it: {}", path.join("results").display()),
            ));
        };
        if std::fs::symlink_metadata(path).is_ok_and(|found| found.is_symlink()) {
            return Err(FileError::new(
                Kind::NotOrdinary,
                format!("{} is a link", path.display()),
                "give the path that it leads to, or another name",
            ));
        }
        let above = match path.parent() {
            Some(above) if !above.as_os_str().is_empty() => above,
            _ => Path::new("."),
        };
        let writing = |error: io::Error| FileError::writing(path, &error);
        let made = make_all(above).map_err(writing)?;
        let around = above.canonicalize().map_err(writing)?;
        let place = Self {
            name: name.to_owned(),
            shown: path.to_path_buf(),
            around,
            made,
        };
        let here = std::env::current_dir().and_then(|here| here.canonicalize());
        if here.is_ok_and(|here| here.starts_with(place.path())) {
            return Err(FileError::new(
                Kind::NotOrdinary,
                format!("{} holds the folder this command runs in", path.display()),
                "run it from outside, or give another name",
            ));
        }
        Ok(place)
    }

    /// The place itself.
    pub fn path(&self) -> PathBuf {
        self.around.join(&self.name)
    }

    /// The path as the user gave it.
    pub fn shown(&self) -> &Path {
        &self.shown
    }

    /// The folder around it.
    pub fn around(&self) -> &Path {
        &self.around
    }

    /// A hidden name beside it: `.NAME.calotte-WHAT`.
    pub(crate) fn hidden(&self, what: &str) -> OsString {
        let mut hidden = OsString::from(".");
        hidden.push(&self.name);
        hidden.push(".calotte-");
        hidden.push(what);
        hidden
    }

    /// A plain name beside it: `NAME.WHAT`.
    pub(crate) fn beside(&self, what: &str) -> PathBuf {
        let mut name = self.name.clone();
        name.push(".");
        name.push(what);
        self.around.join(name)
    }

    /// Removes the folders that were made for it, where nothing was put into them.
    pub(crate) fn unmake(&self) {
        for folder in self.made.iter().rev() {
            // One that is not empty stays.
            let _ = std::fs::remove_dir(folder);
        }
    }
}

/// Makes a folder and those above it; returns the ones that did not exist.
fn make_all(folder: &Path) -> io::Result<Vec<PathBuf>> {
    let missing: Vec<PathBuf> = folder
        .ancestors()
        .take_while(|above| !above.as_os_str().is_empty() && !above.exists())
        .map(Path::to_path_buf)
        .collect();
    std::fs::create_dir_all(folder)?;
    Ok(missing.into_iter().rev().collect())
}
