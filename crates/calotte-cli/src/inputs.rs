//! Input files with what results must say about them.

use std::cell::RefCell;
use std::path::Path;

use calotte::analysis::AnalysisError;
use calotte::brief::Brief;
use calotte::design::Design;
use calotte::family::parameters::Capability;
use calotte::measurement::PhysicalModel;
use calotte::uncertain::Corner;
use calotte_format::Refusal;
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

/// Reads a design whose prototype is to be measured.
///
/// # Errors
/// As [`design_offering`]; for a design whose sensor has no place in the model, the key.
pub fn design_to_measure(path: &Path) -> Result<Input<Design>, Failure> {
    let design = design_offering(path, Capability::Measurement)?;
    match PhysicalModel::new(&design.value.at_corner(Corner::Nominal)) {
        Ok(_) => Ok(design),
        Err(error) => {
            let refused = calotte_format::refused_to_measure(&error, &design.value, &design.text);
            Err(Failure::format(&refused, &design.path))
        }
    }
}

/// Refuses what the family of a design does not answer yet.
pub fn offers(design: &Input<Design>, what: Capability) -> Result<(), Failure> {
    let offered = design.value.family.offers(what);
    offered.map_err(|error| refused(&error.into(), design, None))
}

/// An error of the mechanics with the places of the keys it comes from.
pub fn refused(
    error: &AnalysisError,
    design: &Input<Design>,
    brief: Option<&Input<Brief>>,
) -> Failure {
    let judged_by = brief.map(|brief| (&brief.value, brief.text.as_str()));
    match calotte_format::refused(error, (&design.value, &design.text), judged_by) {
        Refusal::Design(error) => Failure::format(&error, &design.path),
        Refusal::Brief(error) => match brief {
            Some(brief) => Failure::format(&error, &brief.path),
            None => Failure::format(&error, &design.path),
        },
    }
}

/// Refuses to judge a design by a brief that asks what its family does not answer yet.
pub fn offers_what_is_asked(
    design: &Input<Design>,
    brief: Option<&Input<Brief>>,
) -> Result<(), Failure> {
    let Some(brief) = brief.filter(|brief| !brief.value.keep_outs.is_empty()) else {
        return Ok(());
    };
    let offered = design.value.family.offers(Capability::Clearing);
    offered.map_err(|error| refused(&error.into(), design, Some(brief)))
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
        text,
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
        text,
    })
}
