//! Input files with what results must say about them.

use std::cell::RefCell;
use std::path::Path;

use calotte::brief::Brief;
use calotte::design::Design;
use calotte::family::parameters::Capability;
use calotte_report::input::Input;
use sha2::{Digest, Sha256};

use crate::failure::Failure;
use crate::files::{digits, read_beside, read_text, sha256};

/// Reads a design of a family that answers this.
///
/// # Errors
/// As [`design`]; for a family that does not answer it yet, which.
pub fn design_offering(path: &Path, what: Capability) -> Result<Input<Design>, Failure> {
    let design = design(path)?;
    offers(&design, what)?;
    Ok(design)
}

/// Refuses what the family of a design does not answer yet.
pub fn offers(design: &Input<Design>, what: Capability) -> Result<(), Failure> {
    design.value.family.offers(what).map_err(|error| {
        Failure::new(format!("{error}\n  in {}", design.path.display()))
            .hint("calotte analyse, map, compare and judge answer for every family")
    })
}

/// Refuses to judge a design by a brief that asks what its family does not answer yet.
pub fn offers_what_is_asked(
    design: &Input<Design>,
    brief: Option<&Input<Brief>>,
) -> Result<(), Failure> {
    let Some(brief) = brief.filter(|brief| !brief.value.keep_outs.is_empty()) else {
        return Ok(());
    };
    let family = &design.value.family;
    family.offers(Capability::Clearing).map_err(|error| {
        let (design, brief) = (design.path.display(), brief.path.display());
        Failure::new(format!("{error}\n  in {design}, judged by {brief}"))
            .hint("leave the keep-outs out of the brief: reach, stiffness and holding are answered")
    })
}

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
    let hash = RefCell::new(Sha256::new_with_prefix(text.as_bytes()));
    let load = |name: &str| {
        let content = read_beside(&folder.join(name))?;
        hash.borrow_mut().update(&content);
        Ok(content)
    };
    let value = read(&text, &load).map_err(|error| Failure::format(&error, path))?;
    Ok(Input {
        value,
        path: path.to_path_buf(),
        sha256: digits(&hash.into_inner().finalize()),
    })
}
