//! Input files with what results must say about them.

use std::path::Path;

use calotte::brief::Brief;
use calotte::design::Design;
use calotte_report::input::Input;

use crate::failure::Failure;
use crate::files::{read_text, sha256};

/// Reads a design.
pub fn design(path: &Path) -> Result<Input<Design>, Failure> {
    let text = read_text(path)?;
    let value =
        calotte_format::read_design(&text).map_err(|error| Failure::format(&error, path))?;
    Ok(Input {
        value,
        path: path.to_path_buf(),
        sha256: sha256(text.as_bytes()),
    })
}

/// Reads a brief for a search.
pub fn brief(path: &Path) -> Result<Input<Brief>, Failure> {
    read_brief(path, calotte_format::read_brief)
}

/// Reads a brief to judge a design by.
pub fn brief_to_judge(path: &Path) -> Result<Input<Brief>, Failure> {
    read_brief(path, calotte_format::read_brief_to_judge)
}

fn read_brief(
    path: &Path,
    read: impl Fn(&str, calotte_format::LoadFile) -> Result<Brief, calotte_format::FormatError>,
) -> Result<Input<Brief>, Failure> {
    let text = read_text(path)?;
    let folder = path.parent().unwrap_or(Path::new("")).to_path_buf();
    // Files of points and triangles lie beside the brief; what they hold belongs to the hash.
    let extra = std::cell::RefCell::new(Vec::new());
    let load = |name: &str| {
        let content = std::fs::read(folder.join(name)).map_err(|error| error.to_string())?;
        extra.borrow_mut().extend_from_slice(&content);
        Ok(content)
    };
    let value = read(&text, &load).map_err(|error| Failure::format(&error, path))?;
    let hashed = [text.as_bytes(), extra.borrow().as_slice()].concat();
    Ok(Input {
        value,
        path: path.to_path_buf(),
        sha256: sha256(&hashed),
    })
}
