//! Problems of measured files and how values are shown in them.

use crate::problem::{FormatError, Problem};
use crate::words::steers;

/// Characters of a value shown in a message.
const SHOWN: usize = 48;

/// A problem of a place without a key.
pub(super) fn problem(
    (line, column): (usize, usize),
    value: &str,
    message: impl Into<String>,
    allowed: impl Into<String>,
    hint: impl Into<String>,
) -> Problem {
    Problem {
        line,
        column,
        key: String::new(),
        value: short(value),
        message: message.into(),
        allowed: allowed.into(),
        hint: hint.into(),
    }
}

/// A problem as the only one of a file.
pub(super) fn alone(problem: Problem) -> FormatError {
    FormatError {
        problems: vec![problem],
    }
}

/// A text on one line, without control characters, shortened.
pub(super) fn short(text: &str) -> String {
    let mut shown: String = text
        .trim()
        .chars()
        .take(SHOWN)
        .map(|character| match character {
            steering if steers(steering) => ' ',
            other => other,
        })
        .collect();
    if text.trim().chars().nth(SHOWN).is_some() {
        shown.push('…');
    }
    shown
}

/// Names in quotes, as a list: `a`, `b` and `c`.
pub(super) fn listed<S: AsRef<str>>(names: &[S]) -> String {
    let quoted: Vec<String> = names
        .iter()
        .map(|name| format!("`{}`", name.as_ref()))
        .collect();
    match quoted.split_last() {
        None => String::new(),
        Some((last, [])) => last.clone(),
        Some((last, before)) => format!("{} and {last}", before.join(", ")),
    }
}

/// Numbers of rows, the first ten of them: 3, 5, 8 and 12 more.
pub(super) fn numbers(rows: &[usize]) -> String {
    const LISTED: usize = 10;
    let listed: Vec<String> = rows.iter().take(LISTED).map(usize::to_string).collect();
    let listed = listed.join(", ");
    match rows.len().saturating_sub(LISTED) {
        0 => listed,
        more => format!("{listed} and {more} more"),
    }
}

/// The name nearest to a word, if any is near.
pub(super) fn nearest<'n>(word: &str, names: &'n [String]) -> Option<&'n String> {
    const SIMILAR: f64 = 0.6;
    names
        .iter()
        .map(|name| (strsim::normalized_damerau_levenshtein(word, name), name))
        .filter(|(score, _)| *score >= SIMILAR)
        .max_by(|(first, _), (second, _)| first.total_cmp(second))
        .map(|(_, name)| name)
}
