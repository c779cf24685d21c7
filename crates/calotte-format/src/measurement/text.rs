//! From bytes to text: what is no text is refused with how to make it one.

use super::BYTES_MAX;
use super::lines::lines;
use super::problems::{alone, problem};
use crate::problem::FormatError;

const TEXT: &str = "text in UTF-8: a heading, then a line for each measurement";
const EXPORT: &str = "save the table as text with separated values (CSV) in UTF-8";

/// The text of a measured file, without a byte-order mark.
pub(super) fn text_of(bytes: &[u8]) -> Result<&str, FormatError> {
    if bytes.len() > BYTES_MAX {
        return Err(alone(problem(
            (1, 1),
            "",
            format!("the file has {} bytes", bytes.len()),
            format!("at most {BYTES_MAX} bytes"),
            "measure fewer points, or keep only the columns and rows that are required",
        )));
    }
    if bytes.starts_with(b"PK\x03\x04") || bytes.starts_with(&[0xD0, 0xCF, 0x11, 0xE0]) {
        return Err(alone(problem(
            (1, 1),
            "",
            "this is a packed file such as a workbook, not text",
            TEXT,
            EXPORT,
        )));
    }
    if is_utf_16(bytes) {
        return Err(alone(problem(
            (1, 1),
            "",
            "the text is in UTF-16",
            TEXT,
            "save the file again with the encoding UTF-8 (in a text editor: save as, encoding)",
        )));
    }
    let bytes = bytes.strip_prefix(b"\xEF\xBB\xBF").unwrap_or(bytes);
    if let Some(at) = bytes.iter().position(|byte| is_control(*byte)) {
        return Err(alone(problem(
            place(&bytes[..at]),
            "",
            format!(
                "a control character (byte {:#04x}): this is not text",
                bytes[at]
            ),
            TEXT,
            EXPORT,
        )));
    }
    std::str::from_utf8(bytes).map_err(|error| {
        let at = error.valid_up_to();
        let byte = bytes.get(at).copied().unwrap_or(0);
        alone(problem(
            place(&bytes[..at]),
            "",
            format!("byte {byte:#04x} is not UTF-8"),
            TEXT,
            "save the file as UTF-8 in the editor; most often one letter with an accent, ° or µ is the cause",
        ))
    })
}

/// Line and column after these bytes.
fn place(before: &[u8]) -> (usize, usize) {
    let before = String::from_utf8_lossy(before);
    let last = lines(&before).last();
    last.map_or((1, 1), |(line, text)| (line, text.chars().count() + 1))
}

/// A mark of UTF-16, or every second one of the first bytes zero.
fn is_utf_16(bytes: &[u8]) -> bool {
    if bytes.starts_with(&[0xFF, 0xFE]) || bytes.starts_with(&[0xFE, 0xFF]) {
        return true;
    }
    let first = &bytes[..bytes.len().min(64)];
    let zeros = |odd: usize| {
        first
            .chunks_exact(2)
            .all(|pair| pair[odd] == 0 && pair[1 - odd] != 0)
    };
    first.len() >= 4 && (zeros(0) || zeros(1))
}

/// A byte of no text: below the blank, other than tab and line breaks, or delete.
fn is_control(byte: u8) -> bool {
    (byte < 0x20 && !matches!(byte, b'\t' | b'\n' | b'\r')) || byte == 0x7F
}
