//! From the text of a file to values, with every problem at once.
//!
//! Two passes: [`check`] walks the text beside the table of keys and leaves
//! checked values ([`fields`]); [`brief`] and [`design`] build from these and
//! check what concerns several keys together.

mod band;
mod bars;
mod blame;
mod brief;
mod check;
mod choice;
mod design;
mod drives;
mod fields;
mod json;
mod keep_out;
mod limits;
mod loads;
mod material;
mod nested;
mod number;
mod own;
mod parts;
mod region;
mod section;
mod shared;
mod source;
mod suggest;
mod syntax;
#[cfg(test)]
mod table_tests;
mod value;

pub(crate) use bars::key_of;
pub use blame::{
    Refusal, refused, refused_to_keep, refused_to_measure, refused_to_solve, stiffness_words,
};
pub(crate) use material::implied_source;

use calotte::brief::Brief;
use calotte::design::Design;

use crate::problem::FormatError;

/// Gives the bytes of a file that a brief names, or why they cannot be had.
pub type LoadFile<'a> = &'a dyn Fn(&str) -> Result<Vec<u8>, String>;

/// Largest text that is read, bytes. A brief or design is a few kilobytes.
pub const TEXT_MAX: usize = 1 << 20;

/// Reads a brief that a search is to use.
///
/// # Arguments
/// - `text`: the text of the file.
/// - `load_file`: gives the bytes of a file beside the brief that it names, such as points
///   of a region or triangles of a keep-out, or why they cannot be had.
///
/// # Errors
/// [`FormatError`] with every problem found.
pub fn read_brief(text: &str, load_file: LoadFile) -> Result<Brief, FormatError> {
    brief::read(text, load_file, brief::Use::Search)
}

/// Reads a brief against which a finished design is judged: the same, but
/// `[joints]` may be missing where stiffness is asked for, since the design
/// has its own.
///
/// # Errors
/// [`FormatError`] with every problem found.
pub fn read_brief_to_judge(text: &str, load_file: LoadFile) -> Result<Brief, FormatError> {
    brief::read(text, load_file, brief::Use::Judge)
}

/// Reads a design.
///
/// # Errors
/// [`FormatError`] with every problem found.
pub fn read_design(text: &str) -> Result<Design, FormatError> {
    design::read(text)
}

/// Reads a design from the text of a JSON object: the keys of a design file, in the same
/// units. A key that is null counts as left out.
///
/// # Errors
/// [`FormatError`] with every problem found, as [`read_design`] words it. Line and column
/// are places of the text where it is no JSON, and mean nothing for a problem with a key.
pub fn read_design_json(text: &str) -> Result<Design, FormatError> {
    json::read_design(text)
}

/// The text of a file's bytes, which must be UTF-8.
///
/// # Errors
/// [`FormatError`] with the first byte that is not.
pub fn text_of(bytes: &[u8]) -> Result<&str, FormatError> {
    syntax::text_of(bytes)
}
