//! Step `verify`: the checks that ship in the program hold, and the table of them in the
//! documentation is the one the program prints.

use crate::command::{program, run as run_command, run_captured};
use crate::counts::Counts;
use crate::failure::Failure;
use crate::workspace::Workspace;

/// The table in the documentation.
const TABLE: &str = "docs/validation.md";
/// What writes it anew.
const REFRESH: &str =
    "write it anew with `cargo run --release -- verify --markdown > docs/validation.md`";

/// Runs `calotte verify` and compares its table with the one in the documentation.
pub fn run(workspace: &Workspace) -> Result<Counts, Failure> {
    let calotte = workspace.build_release()?;
    run_command(program(&calotte, &workspace.root).arg("verify"))?;
    let fresh = run_captured(program(&calotte, &workspace.root).args(["verify", "--markdown"]))?;
    if fresh.trim().is_empty() {
        return Err(Failure::check(
            "`calotte verify --markdown` printed nothing",
        ));
    }
    let written = workspace
        .read(TABLE)
        .map_err(|failure| failure.with_hint(REFRESH))?;
    match first_difference(&written, &fresh) {
        None => Ok(Counts::default()),
        Some(difference) => {
            Err(Failure::check(format!("{TABLE} is out of date: {difference}")).with_hint(REFRESH))
        }
    }
}

/// Where two texts part, in words; None where they are equal.
fn first_difference(written: &str, fresh: &str) -> Option<String> {
    if written == fresh {
        return None;
    }
    let mut written_lines = written.lines();
    let mut fresh_lines = fresh.lines();
    let mut number = 0;
    loop {
        number += 1;
        match (written_lines.next(), fresh_lines.next()) {
            (Some(old), Some(new)) if old == new => {}
            (None, None) => return Some("the ends of its lines differ".to_owned()),
            (old, new) => {
                let shown =
                    |line: Option<&str>| line.map_or("nothing".to_owned(), |l| format!("`{l}`"));
                return Some(format!(
                    "line {number}\n  holds      {}\n  should be  {}",
                    shown(old),
                    shown(new)
                ));
            }
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn equal_texts_have_no_difference() {
        assert_eq!(first_difference("a\nb\n", "a\nb\n"), None);
    }

    #[test]
    fn the_first_line_that_differs_is_named() {
        let difference = first_difference("a\nb\nc\n", "a\nx\ny\n").unwrap();
        assert!(difference.starts_with("line 2\n"));
        assert!(difference.contains("`b`") && difference.contains("`x`"));
        assert!(
            first_difference("a\n", "a\nb\n")
                .unwrap()
                .contains("nothing")
        );
        assert!(
            first_difference("a\n", "a")
                .unwrap()
                .contains("ends of its lines")
        );
    }
}
