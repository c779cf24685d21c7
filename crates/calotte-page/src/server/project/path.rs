//! Which paths a request may name.

use std::fmt;
use std::path::{Path, PathBuf};

use axum::http::StatusCode;

use crate::server::answer::ApiError;

/// Most bytes of a path.
const LENGTH_MAX: usize = 200;

/// A path within the folder that follows the rules: relative, with slashes, each part a
/// plain name that is not hidden, ending in `.toml` or `.csv`. That it does not leave the
/// folder by a link is found by [`ProjectPath::existing`] and [`ProjectPath::to_write`].
#[derive(Debug, Clone, PartialEq, Eq)]
pub(crate) struct ProjectPath(String);

impl ProjectPath {
    /// Checks a path as it came.
    pub(crate) fn parse(path: &str) -> Result<Self, ApiError> {
        if path.len() > LENGTH_MAX {
            return Err(not_a_path(
                format!("path of {} bytes", path.len()),
                format!("the path is longer than {LENGTH_MAX} bytes"),
            ));
        }
        // What is no text came through the decoding of the address as U+FFFD.
        let odd = |c: char| matches!(c, '\\' | ':' | '\u{fffd}') || c.is_control();
        if path.contains(odd) {
            return Err(not_a_path(
                format!("path {path}"),
                "a path is text without backslash, colon and control characters",
            ));
        }
        if path.starts_with('/') {
            return Err(leaving(path, "a path starts inside the folder, without /"));
        }
        for part in path.split('/') {
            match part {
                "" => {
                    return Err(not_a_path(
                        format!("path {path}"),
                        "a path has no empty part",
                    ));
                }
                ".." => return Err(leaving(path, "a path has no part `..`")),
                hidden if hidden.starts_with('.') => {
                    return Err(leaving(path, "names that begin with a dot are left alone"));
                }
                _ => {}
            }
        }
        if !path.ends_with(".toml") && !path.ends_with(".csv") {
            return Err(not_a_path(
                format!("path {path}"),
                "the name of a file ends in .toml, or .csv for measurements",
            ));
        }
        Ok(Self(path.to_owned()))
    }

    /// Checks the path of a file that is to be written: measurements are only read.
    pub(crate) fn parse_to_write(path: &str) -> Result<Self, ApiError> {
        let parsed = Self::parse(path)?;
        if parsed.is_table() {
            return Err(not_a_path(
                format!("path {path} to write"),
                "only files that end in .toml are written",
            ));
        }
        Ok(parsed)
    }

    /// Whether the file is one of measurements.
    pub(crate) fn is_table(&self) -> bool {
        self.0.ends_with(".csv")
    }

    /// The path as text.
    pub(crate) fn as_str(&self) -> &str {
        &self.0
    }

    /// The path as text.
    pub(crate) fn into_string(self) -> String {
        self.0
    }

    /// Where the file is, every link followed; it is there and inside the folder.
    pub(crate) fn existing(&self, folder: &Path) -> Result<PathBuf, ApiError> {
        let place = folder
            .join(&self.0)
            .canonicalize()
            .map_err(|error| self.not_found(&error))?;
        if !place.starts_with(folder) {
            return Err(leaving(&self.0, "a link leads out of the folder"));
        }
        // Anything else might keep a reader waiting for ever.
        if !place.is_file() {
            return Err(self.not_a_file());
        }
        Ok(place)
    }

    /// Where the file would be: its folder is there and inside ours, and what stands at
    /// its place, if anything, is a plain file and no link.
    pub(crate) fn to_write(&self, folder: &Path) -> Result<PathBuf, ApiError> {
        let (above, name) = self.0.rsplit_once('/').unwrap_or(("", &self.0));
        let parent = folder.join(above).canonicalize().map_err(|error| {
            ApiError::new(
                StatusCode::NOT_FOUND,
                format!("the folder of {self} is not there: {error}"),
            )
            .hint("save into a folder that exists")
        })?;
        if !parent.starts_with(folder) {
            return Err(leaving(&self.0, "a link leads out of the folder"));
        }
        let place = parent.join(name);
        match place.symlink_metadata() {
            Ok(found) if found.is_symlink() => {
                Err(leaving(&self.0, "a link is not replaced by a file"))
            }
            Ok(found) if !found.is_file() => Err(self.not_a_file()),
            _ => Ok(place),
        }
    }

    fn not_found(&self, error: &std::io::Error) -> ApiError {
        ApiError::new(
            StatusCode::NOT_FOUND,
            format!("{self} cannot be read: {error}"),
        )
        .hint("it may have been moved or removed since the list was made")
    }

    fn not_a_file(&self) -> ApiError {
        ApiError::bad_request(format!("{self} is not a file"))
    }
}

impl fmt::Display for ProjectPath {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str(&self.0)
    }
}

fn not_a_path(reason: String, error: impl Into<String>) -> ApiError {
    ApiError::refused(StatusCode::BAD_REQUEST, reason, error)
}

fn leaving(path: &str, error: &str) -> ApiError {
    ApiError::refused(
        StatusCode::FORBIDDEN,
        format!("path leaves the folder: {path}"),
        error,
    )
    .hint("only files of the folder that calotte was started with are read and written")
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn plain_names_below_the_folder_are_allowed() {
        for path in [
            "a.toml",
            "head-arm/design.toml",
            "ä b/c/d.toml",
            "%2e%2e.toml",
            "bench/points.csv",
        ] {
            assert_eq!(ProjectPath::parse(path).unwrap().as_str(), path);
        }
    }

    #[test]
    fn measurements_are_read_and_never_written() {
        assert!(ProjectPath::parse("bench/points.csv").unwrap().is_table());
        assert!(ProjectPath::parse_to_write("bench/points.csv").is_err());
        let design = ProjectPath::parse_to_write("bench/design.toml").unwrap();
        assert!(!design.is_table());
    }

    #[test]
    fn what_leaves_or_hides_or_confuses_is_refused() {
        for path in [
            "",
            "a.txt",
            ".toml",
            ".csv",
            "../a.csv",
            "a.csv/",
            "a.csv.gz",
            "../a.toml",
            "a/../../b.toml",
            "/etc/a.toml",
            "./a.toml",
            "a//b.toml",
            "a/",
            ".git/config.toml",
            "a\\..\\b.toml",
            "C:a.toml",
            "a.toml\0.toml",
            "a\n.toml",
            "\u{fffd}.toml",
        ] {
            assert!(ProjectPath::parse(path).is_err(), "{path:?}");
        }
        let long = format!("{}.toml", "x".repeat(200));
        assert!(ProjectPath::parse(&long).is_err());
    }
}
