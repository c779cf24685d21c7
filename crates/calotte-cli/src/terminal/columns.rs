//! How wide is the terminal, and how does text of 80 columns read on a narrower one?
//!
//! Reports are set for [`FULL`] columns. On a narrower terminal the lines of a paragraph are
//! joined and broken anew, and a row of a table goes on below, indented: every word is kept, in
//! its order, whole.

use std::io::{self, IsTerminal};

use terminal_size::{Width, terminal_size_of};
use unicode_width::UnicodeWidthStr;

/// The columns that reports are set for.
const FULL: usize = 80;
/// No terminal is taken as narrower than this.
const NARROWEST: usize = 20;
/// A broken line goes on this far in.
const HANGING: usize = 4;
/// Text that begins so far in stands beside a label or a column, not below a heading.
const BESIDE: usize = 8;

/// Columns of the terminal that shows stdout; without a terminal the variable COLUMNS, and
/// without both none: then nothing is broken anew.
pub fn of_stdout() -> Option<usize> {
    columns(
        io::stdout()
            .is_terminal()
            .then(|| terminal_size_of(io::stdout())),
    )
}

/// Columns of the terminal that shows standard error, as [`of_stdout`].
pub fn of_stderr() -> Option<usize> {
    columns(
        io::stderr()
            .is_terminal()
            .then(|| terminal_size_of(io::stderr())),
    )
}

fn columns(terminal: Option<Option<(Width, terminal_size::Height)>>) -> Option<usize> {
    let width = match terminal.flatten() {
        Some((Width(width), _)) => Some(usize::from(width)),
        None => std::env::var("COLUMNS")
            .ok()
            .and_then(|text| text.parse().ok()),
    };
    width.filter(|width| *width > 0)
}

/// The text for a terminal of `width` columns; as it is where it fits anyway.
pub fn fitted(text: &str, width: Option<usize>) -> String {
    let Some(width) = width else {
        return text.to_string();
    };
    let joins = width < FULL;
    let width = width.max(NARROWEST);
    let lines: Vec<&str> = text.split('\n').collect();
    let mut out = Vec::new();
    let mut at = 0;
    while at < lines.len() {
        let mut paragraph = lines[at].to_string();
        let mut last = lines[at];
        at += 1;
        while joins && at < lines.len() && goes_on(last, lines[at]) {
            paragraph.truncate(paragraph.trim_end().len());
            paragraph.push(' ');
            paragraph.push_str(lines[at].trim());
            last = lines[at];
            at += 1;
        }
        broken(&paragraph, width, &mut out);
    }
    out.join("\n")
}

/// Whether a line is the next one of the paragraph that `before` belongs to: `before` is full,
/// so that the first word would not have fitted, and the text begins at the same column.
fn goes_on(before: &str, line: &str) -> bool {
    let Some(word) = line.split_whitespace().next() else {
        return false;
    };
    let full = before.trim_end().width() + 1 + word.width() >= FULL - 2;
    let indent = line.len() - line.trim_start().len();
    let aligned = match before.as_bytes().get(indent) {
        Some(first) => *first != b' ' && (indent == 0 || before.as_bytes()[indent - 1] == b' '),
        None => false,
    };
    let row = before.trim_start().contains("  ") && indent < BESIDE;
    full && aligned && !row
}

/// Breaks one line at spaces; what goes on below is further in than where the line begins.
fn broken(line: &str, width: usize, out: &mut Vec<String>) {
    if line.width() <= width {
        out.push(line.to_string());
        return;
    }
    let text = line.trim_start();
    let indent = (line.len() - text.len()).min(HANGING);
    let mut current = " ".repeat(indent);
    let mut begun = false;
    for cell in text
        .split("  ")
        .map(str::trim)
        .filter(|cell| !cell.is_empty())
    {
        let mut gap = if begun { "  " } else { "" };
        for word in cell.split(' ').filter(|word| !word.is_empty()) {
            if begun && current.width() + gap.len() + word.width() > width {
                out.push(std::mem::take(&mut current));
                current = " ".repeat(indent + HANGING);
                gap = "";
            }
            current.push_str(gap);
            current.push_str(word);
            begun = true;
            gap = " ";
        }
    }
    out.push(current);
}

#[cfg(test)]
mod tests {
    use super::*;

    fn words(text: &str) -> Vec<&str> {
        text.split_whitespace().collect()
    }

    #[test]
    fn a_wide_terminal_and_none_change_nothing() {
        let text = "a  b\n   c\n";
        assert_eq!(fitted(text, None), text);
        assert_eq!(fitted(text, Some(80)), text);
        assert_eq!(fitted(text, Some(200)), text);
    }

    #[test]
    fn a_paragraph_is_joined_and_broken_anew() {
        let text = "\
Selected          scissor linkage, 2 stages (4 arcs per branch), arcs 21.5°,
                  radius 140 mm, section 16 × 8 mm, aluminium 6061-T6, driven by
                  swing and opening, base axis vertical
";
        let narrow = "\
Selected  scissor linkage, 2 stages (4
    arcs per branch), arcs 21.5°, radius
    140 mm, section 16 × 8 mm, aluminium
    6061-T6, driven by swing and
    opening, base axis vertical
";
        assert_eq!(fitted(text, Some(40)), narrow);
    }

    #[test]
    fn rows_of_a_table_stay_rows() {
        let text = " Coverage                 ≥ 0.980      0.981 –\n Sag by own weight         ≤ 2.00   0.324 mm 0.254 to 0.407 polar 80°\n";
        let narrow = " Coverage  ≥ 0.980  0.981 –\n Sag by own weight  ≤ 2.00  0.324 mm\n     0.254 to 0.407 polar 80°\n";
        assert_eq!(fitted(text, Some(40)), narrow);
    }

    #[test]
    fn every_word_is_kept_in_order_and_fits() {
        let text = "\
Label      one two three four five six seven eight nine ten eleven twelve thirteen
           fourteen a_word_that_is_longer_than_any_terminal_of_forty_columns_is sixteen

A                 B                C
   wide characters: 関節 関節 関節 関節 関節 関節 関節 関節 関節 関節
";
        for width in [1, 20, 39, 40, 41, 60, 79] {
            let fitted = fitted(text, Some(width));
            assert_eq!(words(&fitted), words(text), "{width}");
            for line in fitted.lines() {
                let fits = line.width() <= width.max(NARROWEST);
                assert!(fits || words(line).len() == 1, "{width}: {line}");
            }
        }
    }
}
