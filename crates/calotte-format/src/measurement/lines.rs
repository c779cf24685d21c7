//! Lines of a text and which of them hold data.

use super::COLUMNS_MAX;
use super::no_value::begins_with_no_value;
use super::split::split;

/// What a line is.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum Kind {
    /// Blanks only.
    Empty,
    /// A remark from its beginning.
    Remark,
    /// Separators only, as spreadsheets write empty lines.
    Separators,
    /// Heading or data.
    Values,
}

/// The kind of a line whose separator is known.
pub(super) fn kind(line: &str, separator: char) -> Kind {
    let trimmed = line.trim();
    if trimmed.is_empty() {
        return if line.contains(separator) {
            Kind::Separators
        } else {
            Kind::Empty
        };
    }
    if is_remark(trimmed) {
        return Kind::Remark;
    }
    if trimmed
        .chars()
        .all(|character| character == separator || character.is_whitespace())
    {
        return Kind::Separators;
    }
    // A remark that a spreadsheet has put in quotes and filled up with separators.
    if trimmed.starts_with("\"#")
        && let Ok(split) = split(line, separator, COLUMNS_MAX)
        && let Some((first, others)) = split.cells.split_first()
        && is_remark(&first.text)
        && others.iter().all(|cell| cell.text.is_empty())
    {
        return Kind::Remark;
    }
    Kind::Values
}

/// Whether a text begins with `#` and with no spreadsheet's word.
pub(super) fn is_remark(trimmed: &str) -> bool {
    trimmed.starts_with('#') && !begins_with_no_value(trimmed)
}

/// The lines of a text with their numbers from 1; LF, CR LF and CR end a line.
pub(super) fn lines(text: &str) -> impl Iterator<Item = (usize, &str)> {
    let mut rest = Some(text);
    let mut number = 0;
    std::iter::from_fn(move || {
        let text = rest?;
        number += 1;
        let Some(end) = text.find(['\n', '\r']) else {
            rest = None;
            return Some((number, text));
        };
        let after = &text[end..];
        let length = if after.starts_with("\r\n") { 2 } else { 1 };
        rest = Some(&after[length..]);
        Some((number, &text[..end]))
    })
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn every_way_to_end_a_line_counts_once() {
        let found: Vec<(usize, &str)> = lines("a\r\nb\rc\n\nd").collect();
        assert_eq!(found, [(1, "a"), (2, "b"), (3, "c"), (4, ""), (5, "d")]);
        assert_eq!(lines("").collect::<Vec<_>>(), [(1, "")]);
    }

    #[test]
    fn remarks_of_spreadsheets_are_remarks_and_their_words_are_not() {
        for (line, expected) in [
            ("# a, b", Kind::Remark),
            ("  # a", Kind::Remark),
            ("\"# a, b\",,,", Kind::Remark),
            ("\"# a\",1,,", Kind::Values),
            ("#N/A,1,2", Kind::Values),
            (",,,", Kind::Separators),
            (" , ,", Kind::Separators),
            (" ", Kind::Empty),
            ("1,2", Kind::Values),
        ] {
            assert_eq!(kind(line, ','), expected, "{line}");
        }
        assert_eq!(kind("\t\t", '\t'), Kind::Separators);
        assert_eq!(kind("\t\t", ','), Kind::Empty);
    }
}
