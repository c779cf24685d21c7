//! Replays the inputs that fuzzing has kept: what once reached new code, or
//! once failed, is read at every test run.

use std::fs;
use std::path::{Path, PathBuf};

use calotte::design::{Design, DriveLayout};
use calotte_format::measurement::{ROWS_MIN, RefusedRow, read_points, read_weights};
use calotte_format::{FormatError, read_brief, read_design, text_of, write_design};

fn inputs(target: &str) -> Vec<(PathBuf, Vec<u8>)> {
    let folder = Path::new(env!("CARGO_MANIFEST_DIR"))
        .join("../../fuzz/corpus")
        .join(target);
    let mut paths: Vec<PathBuf> = fs::read_dir(&folder)
        .unwrap_or_else(|error| panic!("{}: {error}", folder.display()))
        .map(|entry| entry.expect("an entry").path())
        .collect();
    paths.sort();
    assert!(
        paths.len() >= 50,
        "only {} inputs for {target}",
        paths.len()
    );
    paths
        .into_iter()
        .map(|path| {
            let bytes = fs::read(&path).expect("the bytes of an input");
            (path, bytes)
        })
        .collect()
}

#[test]
fn briefs_of_the_corpus_give_a_value_or_problems() {
    for (path, bytes) in inputs("brief") {
        let mut parts = bytes.splitn(2, |byte| *byte == 0);
        let brief = parts.next().unwrap_or_default();
        let points = String::from_utf8_lossy(parts.next().unwrap_or_default()).into_owned();
        let problems = match text_of(brief) {
            Err(error) => error.problems,
            Ok(text) => match read_brief(text, &|_| Ok(points.clone().into_bytes())) {
                Err(error) => error.problems,
                Ok(_) => continue,
            },
        };
        assert!(!problems.is_empty(), "{}", path.display());
    }
}

#[test]
fn designs_of_the_corpus_read_back_equal() {
    let mut read = 0;
    for (path, bytes) in inputs("design") {
        let Ok(text) = text_of(&bytes) else { continue };
        if let Ok(design) = read_design(text) {
            read += 1;
            let written = write_design(&design, "");
            assert_eq!(
                read_design(&written).as_ref(),
                Ok(&design),
                "{}",
                path.display()
            );
        }
    }
    assert!(read > 0, "no input of the corpus is a design");
}

/// The designs that measured files are read for: their files name different columns.
fn measured_designs() -> Vec<Design> {
    let scissor = read_design(include_str!("valid/scissor.toml")).expect("a right design");
    let mut bars = scissor.clone();
    bars.drives.layout = DriveLayout::TwoBars;
    let arm = read_design(include_str!("valid/arm.toml")).expect("a right design");
    vec![scissor, bars, arm]
}

/// Reads every input of a target for every design: each row is kept or refused with its
/// reason, each refused file has problems with their places; some input must be read.
fn measured_files_are_rows_or_problems(
    target: &str,
    read: impl Fn(&[u8], &Design) -> Result<(usize, Vec<RefusedRow>), FormatError>,
) {
    let (mut whole, mut with_refused) = (0, 0);
    for (path, bytes) in inputs(target) {
        let text = String::from_utf8_lossy(&bytes);
        let lines = text.matches(['\n', '\r']).count() + 1;
        for design in measured_designs() {
            let path = path.display();
            match read(&bytes, &design) {
                Ok((rows, refused)) => {
                    whole += 1;
                    with_refused += usize::from(!refused.is_empty());
                    assert!(rows >= ROWS_MIN && rows + refused.len() < lines, "{path}");
                    for row in refused {
                        assert!((2..=lines).contains(&row.line), "{path}");
                        assert!(!row.reason.contains(char::is_control), "{path}");
                    }
                }
                Err(error) => {
                    assert!(!error.problems.is_empty(), "{path}");
                    for problem in error.problems {
                        assert!((1..=lines).contains(&problem.line), "{path}: {problem:?}");
                        let words = problem.message + &problem.value + &problem.hint;
                        assert!(!words.contains(char::is_control), "{path}: {words:?}");
                    }
                }
            }
        }
    }
    assert!(
        whole > with_refused && with_refused > 0,
        "{whole} of {target} are read"
    );
}

#[test]
fn points_of_the_corpus_are_rows_or_problems() {
    measured_files_are_rows_or_problems("points", |bytes, design| {
        let read = read_points(bytes, design)?;
        Ok((read.points.rows.len(), read.refused))
    });
}

#[test]
fn weights_of_the_corpus_are_rows_or_problems() {
    measured_files_are_rows_or_problems("weights", |bytes, design| {
        let read = read_weights(bytes, design)?;
        Ok((read.weights.rows.len(), read.refused))
    });
}
