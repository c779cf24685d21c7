//! What goes to and fro about files, as JSON.

use serde::{Deserialize, Serialize};

/// `GET /api/files`: the TOML files of the folder, and tables of measurements.
#[derive(Debug, Serialize)]
#[cfg_attr(test, derive(ts_rs::TS))]
pub(crate) struct Listing {
    /// SHA-256 of the folder's path: the browser keeps work apart by it.
    pub folder: String,
    /// Sorted by path.
    pub files: Vec<Listed>,
    /// Whether there are more files, or more names than were looked at.
    pub more: bool,
}

/// One file of the folder.
#[derive(Debug, Clone, Serialize)]
#[cfg_attr(test, derive(ts_rs::TS))]
pub(crate) struct Listed {
    /// Path within the folder, with slashes.
    pub path: String,
    /// Bytes.
    pub size: u64,
    /// SHA-256 of its bytes; null for a file longer than one of its kind may be, one that
    /// cannot be read, and a table that holds no measurements.
    pub sha256: Option<String>,
    /// What it is.
    pub kind: Kind,
}

/// What a file is, by the tables it holds or the columns of its heading.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize)]
#[cfg_attr(test, derive(ts_rs::TS))]
#[serde(rename_all = "lowercase")]
pub(crate) enum Kind {
    /// Has a table `[region]`.
    Brief,
    /// Has a table `[linkage]`.
    Design,
    /// A table (CSV) with columns x, y, z.
    Points,
    /// A table (CSV) with a column of masses.
    Weights,
    /// None of these.
    Other,
}

/// `GET /api/file?path=`: one file, whole.
#[derive(Debug, Serialize)]
#[cfg_attr(test, derive(ts_rs::TS))]
pub(crate) struct FileText {
    /// Path within the folder, with slashes.
    pub path: String,
    /// What it says.
    pub text: String,
    /// SHA-256 of its bytes.
    pub sha256: String,
}

/// The body of `POST /api/file/save`.
#[derive(Debug, Deserialize)]
#[cfg_attr(test, derive(ts_rs::TS))]
#[serde(deny_unknown_fields)]
pub(crate) struct Save {
    /// Path within the folder, with slashes.
    pub path: String,
    /// What the file is to say.
    pub text: String,
    /// SHA-256 of the file as the page knows it, which alone is replaced; without it nothing
    /// is known to be there, and only a new file is made.
    #[serde(default)]
    #[cfg_attr(test, ts(optional))]
    pub expect_sha256: Option<String>,
    /// Files of measurements that the page holds for the design at this path, beside those
    /// that lie in its folder.
    #[serde(default)]
    #[cfg_attr(test, ts(optional, as = "Option<Vec<String>>"))]
    pub measured: Vec<String>,
    /// Whether a design that measurements belong to may be replaced; false where it is not
    /// given.
    #[serde(default)]
    #[cfg_attr(test, ts(optional, as = "Option<bool>"))]
    pub replace_measured: bool,
}

/// `POST /api/file/save`: the file as it is now.
#[derive(Debug, Serialize)]
#[cfg_attr(test, derive(ts_rs::TS))]
pub(crate) struct Saved {
    /// Path within the folder, with slashes.
    pub path: String,
    /// SHA-256 of its bytes.
    pub sha256: String,
    /// What a save cut short before had left and was mended, as sentences.
    pub notes: Vec<String>,
}

/// Event `hello` of `GET /api/watch`: the first, on each connection.
#[derive(Debug, Serialize)]
pub(crate) struct Hello {
    /// Always `calotte`.
    pub program: &'static str,
    /// Version of the program.
    pub version: &'static str,
    /// Every file as it is now.
    pub files: Vec<Changed>,
}

/// Event `changed` of `GET /api/watch`: a file that is new, says something else, or is gone.
#[derive(Debug, Clone, PartialEq, Eq, Serialize)]
#[cfg_attr(test, derive(ts_rs::TS))]
pub(crate) struct Changed {
    /// Path within the folder, with slashes.
    pub path: String,
    /// SHA-256 of its bytes; null if it is gone, or too long to be read.
    pub sha256: Option<String>,
}
