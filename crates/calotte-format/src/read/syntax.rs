//! Problems of the text itself: bytes that are no text, and TOML that does not parse.

use toml::Spanned;
use toml::de::{DeTable, Error};

use super::TEXT_MAX;
use super::check::join;
use super::source::{Place, Source};
use crate::problem::{FormatError, Problem};

/// Problems of syntax that are reported at once.
const REPORTED: usize = 12;

/// The text of a file's bytes.
pub(super) fn text_of(bytes: &[u8]) -> Result<&str, FormatError> {
    std::str::from_utf8(bytes).map_err(|error| {
        let offset = error.valid_up_to();
        let before = String::from_utf8_lossy(&bytes[..offset]);
        let place = Source::new(&before).place(before.len());
        one_problem(
            place,
            &format!(
                "byte {offset} (value {:#04x}, counted from 0) is not UTF-8",
                bytes.get(offset).copied().unwrap_or(0)
            ),
            "text in UTF-8",
            "save the file as UTF-8 in the editor; most often one letter with an accent, ° or µ is the cause",
        )
    })
}

/// The tables of a text, or why there are none. Keys given twice do not hide
/// the other problems: they come as a list beside the tables.
pub(super) fn parse(text: &str) -> Result<(Spanned<DeTable<'_>>, Vec<Problem>), FormatError> {
    let source = Source::new(text);
    let start = Place { line: 1, column: 1 };
    if text.len() > TEXT_MAX {
        return Err(one_problem(
            start,
            &format!("the file has {} bytes", text.len()),
            &format!("at most {TEXT_MAX} bytes"),
            "long lists of directions belong in a file of points",
        ));
    }
    let (table, errors) = DeTable::parse_recoverable(text);
    let mut problems: Vec<Problem> = errors
        .iter()
        .map(|error| problem(text, &source, error))
        .collect();
    problems.sort_by_key(|problem| (problem.line, problem.column));
    if errors.iter().all(is_duplicate) {
        return Ok((table, problems));
    }
    Err(FormatError {
        problems: without_echoes(text, problems),
    })
}

/// A missing bracket or quote spoils the lines after it. The first problem
/// stands; of the others those whose line is no TOML by itself.
fn without_echoes(text: &str, problems: Vec<Problem>) -> Vec<Problem> {
    let lines: Vec<&str> = text.lines().collect();
    let mut kept: Vec<Problem> = Vec::new();
    for problem in problems {
        let own = lines
            .get(problem.line - 1)
            .is_some_and(|line| DeTable::parse(line).is_err());
        let same_line = kept.last().is_some_and(|last| last.line == problem.line);
        if kept.is_empty() || (own && !same_line) {
            kept.push(problem);
        }
    }
    kept.truncate(REPORTED);
    kept
}

/// An error of one problem without a key.
pub(super) fn one_problem(place: Place, message: &str, allowed: &str, hint: &str) -> FormatError {
    FormatError {
        problems: vec![Problem {
            line: place.line,
            column: place.column,
            key: String::new(),
            value: String::new(),
            message: message.to_string(),
            allowed: allowed.to_string(),
            hint: hint.to_string(),
        }],
    }
}

fn is_duplicate(error: &Error) -> bool {
    error.message().starts_with("duplicate key")
}

/// The problem a parser's error tells of.
fn problem(text: &str, source: &Source<'_>, error: &Error) -> Problem {
    let span = error.span().unwrap_or(0..0);
    let place = source.place(span.start);
    let written = source.shown(&span);
    let mut problem = Problem {
        line: place.line,
        column: place.column,
        key: String::new(),
        value: String::new(),
        message: format!("not TOML: {}", error.message()),
        allowed: String::new(),
        hint:
            "a line is `key = value`; texts stand in quotes, lists in [ ], tables begin with [name]; look at the line before too"
                .to_string(),
    };
    if is_duplicate(error) {
        problem.message = format!("`{written}` is given twice in the same table");
        problem.hint = "keep one of them; a table's header too stands only once".to_string();
        problem.key = match table_before(text, place.line) {
            Some(table) => join(table, &written),
            None => written,
        };
    } else {
        problem.value = written;
    }
    problem
}

/// The table that the last header before a line begins; `None` for a header
/// itself and for the top of the file.
fn table_before(text: &str, line: usize) -> Option<&str> {
    let lines: Vec<&str> = text.lines().take(line).map(str::trim).collect();
    if lines.last().is_none_or(|line| line.starts_with('[')) {
        return None;
    }
    let header = lines.iter().rev().find(|line| line.starts_with('['))?;
    let (name, _) = header.trim_start_matches('[').split_once(']')?;
    Some(name.trim())
}
