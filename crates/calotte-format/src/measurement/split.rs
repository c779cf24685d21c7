//! One line to its values. Quotes are those of RFC 4180, but must close in their line, so
//! that one forgotten quote spoils one row and not the rest of the file.

use std::borrow::Cow;

use super::no_value::begins_with_no_value;

/// A value as written.
#[derive(Debug, Clone, PartialEq, Eq)]
pub(super) struct Cell<'a> {
    /// The text, without blanks around it and without its quotes.
    pub(super) text: Cow<'a, str>,
    /// Whether it stood in quotes.
    pub(super) quoted: bool,
    /// Byte offset in the line.
    pub(super) at: usize,
}

/// The values of a line.
#[derive(Debug, Clone, PartialEq, Eq)]
pub(super) struct Split<'a> {
    /// The values; more than asked for are not looked at beyond one.
    pub(super) cells: Vec<Cell<'a>>,
    /// Whether a remark follows the values.
    pub(super) remark: bool,
}

/// Quotes that cannot be read, each with its byte offset in the line.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum SplitFault {
    /// Opened and not closed in the line.
    OpenQuote(usize),
    /// Something stands between a closing quote and the next separator.
    AfterQuote(usize),
}

impl SplitFault {
    /// Byte offset in the line, what is wrong, and what to try.
    pub(super) fn words(self) -> (usize, &'static str, &'static str) {
        match self {
            SplitFault::OpenQuote(at) => (
                at,
                "a quote is opened and not closed in its line",
                "close the quote; a value may not run over several lines",
            ),
            SplitFault::AfterQuote(at) => (
                at,
                "a closing quote is not followed by a separator",
                "put the whole value in quotes, and write a quote within it twice",
            ),
        }
    }
}

/// Splits a line; stops after one value more than `most`.
pub(super) fn split(line: &str, separator: char, most: usize) -> Result<Split<'_>, SplitFault> {
    let mut cells = Vec::new();
    let mut at = 0;
    loop {
        let begin = after_blanks(line, at, separator);
        let (cell, end) = if line[begin..].starts_with('"') {
            quoted(line, begin, separator)?
        } else {
            let end = at + plain_end(&line[at..], separator);
            let text = line[at..end].trim();
            let cell = Cell {
                text: Cow::Borrowed(text),
                quoted: false,
                at: begin.min(end),
            };
            (cell, end)
        };
        cells.push(cell);
        let rest = &line[end..];
        if !rest.starts_with(separator) {
            let remark = !rest.trim().is_empty();
            return Ok(Split { cells, remark });
        }
        if cells.len() > most {
            return Ok(Split {
                cells,
                remark: false,
            });
        }
        at = end + separator.len_utf8();
    }
}

/// Where the blanks from `at` on end.
fn after_blanks(line: &str, at: usize, separator: char) -> usize {
    let rest = &line[at..];
    let blank = |character: char| character.is_whitespace() && character != separator;
    at + rest
        .find(|character| !blank(character))
        .unwrap_or(rest.len())
}

/// Where a value without quotes ends: at a separator, or at a remark after a blank.
fn plain_end(rest: &str, separator: char) -> usize {
    let mut before = None;
    for (at, character) in rest.char_indices() {
        let after_blank = before.is_some_and(char::is_whitespace);
        if character == separator
            || (character == '#' && after_blank && !begins_with_no_value(&rest[at..]))
        {
            return at;
        }
        before = Some(character);
    }
    rest.len()
}

/// A value in quotes that begins at `begin`, and where it ends.
fn quoted(line: &str, begin: usize, separator: char) -> Result<(Cell<'_>, usize), SplitFault> {
    let mut text = String::new();
    let mut from = begin + 1;
    loop {
        let Some(length) = line[from..].find('"') else {
            return Err(SplitFault::OpenQuote(begin));
        };
        text.push_str(&line[from..from + length]);
        from += length + 1;
        if !line[from..].starts_with('"') {
            break;
        }
        text.push('"');
        from += 1;
    }
    let end = after_blanks(line, from, separator);
    let rest = &line[end..];
    let remark = end > from && rest.starts_with('#');
    if !(rest.is_empty() || rest.starts_with(separator) || remark) {
        return Err(SplitFault::AfterQuote(end));
    }
    let cell = Cell {
        text: Cow::Owned(text.trim().to_string()),
        quoted: true,
        at: begin,
    };
    Ok((cell, end))
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;

    fn texts(line: &str, separator: char) -> Vec<String> {
        let split = split(line, separator, usize::MAX).unwrap();
        split
            .cells
            .iter()
            .map(|cell| cell.text.to_string())
            .collect()
    }

    #[test]
    fn values_quotes_and_remarks() {
        assert_eq!(texts("1, 2 ,3", ','), ["1", "2", "3"]);
        assert_eq!(texts("1;\"a;b\";", ';'), ["1", "a;b", ""]);
        assert_eq!(texts("\"say \"\"x\"\"\",2", ','), ["say \"x\"", "2"]);
        assert_eq!(texts("1\t\t 2", '\t'), ["1", "", "2"]);
        assert_eq!(texts("1,2 # seen, twice", ','), ["1", "2"]);
        assert_eq!(texts("1,#3", ','), ["1", "#3"]);
        assert_eq!(texts("1, #N/A,3", ','), ["1", "#N/A", "3"]);
        assert_eq!(texts("\u{a0}1\u{a0},2", ','), ["1", "2"]);
        assert!(split("1 # x", ',', 9).unwrap().remark);
        assert!(!split("1,2", ',', 9).unwrap().remark);
    }

    #[test]
    fn quotes_that_do_not_close_are_placed() {
        assert_eq!(split("1,\"a,2", ',', 9), Err(SplitFault::OpenQuote(2)));
        assert_eq!(split("\"a\"b,2", ',', 9), Err(SplitFault::AfterQuote(3)));
        assert_eq!(split("\"a\"#b,2", ',', 9), Err(SplitFault::AfterQuote(3)));
    }

    #[test]
    fn one_value_more_than_asked_for_is_enough() {
        assert_eq!(split(&",".repeat(1000), ',', 5).unwrap().cells.len(), 6);
        assert_eq!(split("1,2,3", ',', 3).unwrap().cells.len(), 3);
    }

    proptest! {
        /// What the library `csv` writes and reads, trimmed, is what is found here.
        #[test]
        fn agrees_with_the_library(
            cells in prop::collection::vec("[ -\"$-~µ°]{0,6}", 1..6),
            separator in prop::sample::select(vec![',', ';', '\t']),
        ) {
            let mut writer = csv::WriterBuilder::new()
                .delimiter(separator as u8)
                .quote_style(csv::QuoteStyle::Always)
                .from_writer(Vec::new());
            writer.write_record(&cells).unwrap();
            let line = String::from_utf8(writer.into_inner().unwrap()).unwrap();
            let wanted: Vec<String> = cells.iter().map(|cell| cell.trim().to_string()).collect();
            prop_assert_eq!(texts(line.trim_end_matches('\n'), separator), wanted);
        }

        /// Values without quotes and remarks are those the library reads.
        #[test]
        fn agrees_with_the_library_without_quotes(line in "[ !$-~]{1,30}") {
            let mut reader = csv::ReaderBuilder::new()
                .has_headers(false)
                .trim(csv::Trim::All)
                .from_reader(line.as_bytes());
            let wanted: Vec<String> = match reader.records().next() {
                Some(record) => record.unwrap().iter().map(str::to_string).collect(),
                None => vec![String::new()],
            };
            prop_assert_eq!(texts(&line, ','), wanted);
        }
    }
}
