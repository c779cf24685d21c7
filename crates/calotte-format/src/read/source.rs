//! The text of a file: places in it and what is written there.

use std::ops::Range;

use crate::words::steers;

/// Characters of a value shown in a message.
const SHOWN: usize = 72;

/// A text with the starts of its lines.
#[derive(Debug)]
pub(crate) struct Source<'t> {
    text: &'t str,
    line_starts: Vec<usize>,
}

/// A place in a text, counted from 1.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub(crate) struct Place {
    /// Line.
    pub(crate) line: usize,
    /// Column in characters.
    pub(crate) column: usize,
}

impl<'t> Source<'t> {
    /// The text with the starts of its lines.
    pub(crate) fn new(text: &'t str) -> Self {
        let after_breaks = text.match_indices('\n').map(|(at, _)| at + 1);
        Self {
            text,
            line_starts: std::iter::once(0).chain(after_breaks).collect(),
        }
    }

    /// The place of a byte offset.
    pub(crate) fn place(&self, offset: usize) -> Place {
        let offset = self.boundary(offset);
        let line = self.line_starts.partition_point(|start| *start <= offset);
        let start = self.line_starts[line.max(1) - 1];
        Place {
            line: line.max(1),
            column: self.text[start..offset].chars().count() + 1,
        }
    }

    /// What is written in a span, on one line and shortened.
    pub(crate) fn shown(&self, span: &Range<usize>) -> String {
        let start = self.boundary(span.start);
        let end = self.boundary(span.end).max(start);
        short(&self.text[start..end])
    }

    /// The nearest character boundary at or before an offset.
    fn boundary(&self, offset: usize) -> usize {
        let mut offset = offset.min(self.text.len());
        while !self.text.is_char_boundary(offset) {
            offset -= 1;
        }
        offset
    }
}

/// A text on one line, without control characters, shortened.
pub(crate) fn short(text: &str) -> String {
    let mut shown = String::new();
    let mut count = 0;
    let mut after_space = false;
    for character in text.trim().chars() {
        let space = character.is_whitespace() || steers(character);
        if space && after_space {
            continue;
        }
        after_space = space;
        if count == SHOWN {
            shown.push('…');
            break;
        }
        shown.push(if space { ' ' } else { character });
        count += 1;
    }
    shown
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn places_count_lines_and_characters() {
        let source = Source::new("a = 1\nü = \"é\"\n");
        assert_eq!(source.place(0), Place { line: 1, column: 1 });
        assert_eq!(source.place(6), Place { line: 2, column: 1 });
        assert_eq!(source.place(11), Place { line: 2, column: 5 });
        assert_eq!(source.place(9999), Place { line: 3, column: 1 });
        assert_eq!(Source::new("").place(5), Place { line: 1, column: 1 });
    }

    #[test]
    fn shown_values_stay_on_one_line() {
        let source = Source::new("[1,\n  2,\n\t3]");
        assert_eq!(source.shown(&(0..12)), "[1, 2, 3]");
        let long = "x".repeat(200);
        assert_eq!(
            Source::new(&long).shown(&(0..200)).chars().count(),
            SHOWN + 1
        );
    }
}
