//! What either reader of measured files must hold to, whatever the bytes.

use std::sync::LazyLock;

use calotte_format::measurement::{ROWS_MIN, RefusedRow};
use calotte_format::{FormatError, read_design};

const SCISSOR: &str = include_str!("../../../crates/calotte-format/tests/valid/scissor.toml");
const ARM: &str = include_str!("../../../crates/calotte-format/tests/valid/arm.toml");

/// A scissor linkage driven by swing and opening, the same with two bars driven, and an arm:
/// their files name different columns.
pub static DESIGNS: LazyLock<Vec<calotte::design::Design>> = LazyLock::new(|| {
    let bars = SCISSOR.replace("swing-and-opening", "two-bars");
    [SCISSOR, &bars, ARM]
        .iter()
        .map(|text| read_design(text).expect("a right design"))
        .collect()
});

/// Every row is kept or refused with its place and reason; a refused file has problems with
/// theirs, in words that can be printed.
pub fn check(bytes: &[u8], outcome: Result<(usize, &[RefusedRow], &[String]), &FormatError>) {
    let lines = String::from_utf8_lossy(bytes).matches(['\n', '\r']).count() + 1;
    match outcome {
        Ok((rows, refused, notes)) => {
            assert!(rows >= ROWS_MIN && refused.len() <= rows && rows + refused.len() < lines);
            for pair in refused.windows(2) {
                assert!(pair[0].row < pair[1].row && pair[0].line < pair[1].line);
            }
            for row in refused {
                assert!((1..=rows + refused.len()).contains(&row.row));
                assert!((2..=lines).contains(&row.line));
                assert!(printable(&row.reason) && !row.reason.is_empty());
            }
            assert!(notes.iter().all(|note| printable(note) && !note.is_empty()));
        }
        Err(error) => {
            assert!(!error.problems.is_empty());
            for problem in &error.problems {
                assert!((1..=lines).contains(&problem.line) && problem.column >= 1);
                assert!(!problem.message.is_empty() && !problem.hint.is_empty());
                let words = [
                    &problem.message,
                    &problem.allowed,
                    &problem.hint,
                    &problem.value,
                ];
                assert!(
                    words.into_iter().all(|words| printable(words)),
                    "{problem:?}"
                );
            }
            assert!(error.in_file("file.csv").to_string().starts_with("error: "));
        }
    }
}

fn printable(words: &str) -> bool {
    !words.contains(char::is_control)
}
