//! Every damaged file has its expectation, its place and its stored message.

use std::fmt::Write as _;
use std::fs;

use crate::expected::{EXPECTED, Expected};
use crate::{Outcome, arm, bars, folder, points, scissor, weights};

fn outcome(name: &str) -> Outcome {
    let bytes = fs::read(folder().join(format!("{name}.csv"))).expect(name);
    let design = match name.split('_').next() {
        Some("arm") => arm(),
        Some("bars") => bars(),
        _ => scissor(),
    };
    if name.starts_with("weights") {
        weights(&bytes, &design)
    } else {
        points(&bytes, &design)
    }
}

/// Everything a reader of the file is told.
fn message(name: &str) -> String {
    match outcome(name) {
        Err(error) => format!("{}\n", error.in_file(&format!("{name}.csv"))),
        Ok((rows, refused, notes)) => {
            let mut text = format!("{rows} rows read\n");
            for row in refused {
                let _ = writeln!(text, "row {}, line {}: {}", row.row, row.line, row.reason);
            }
            for note in notes {
                let _ = writeln!(text, "note: {note}");
            }
            text
        }
    }
}

#[test]
fn every_damaged_file_has_an_expectation() {
    let mut files: Vec<String> = fs::read_dir(folder())
        .expect("the folder")
        .map(|entry| entry.expect("an entry").path())
        .filter(|path| path.extension().is_some_and(|extension| extension == "csv"))
        .filter_map(|path| Some(path.file_stem()?.to_str()?.to_string()))
        .collect();
    files.sort();
    let mut expected: Vec<&str> = EXPECTED.iter().map(|(name, _)| *name).collect();
    expected.sort_unstable();
    assert_eq!(files, expected);
    assert!(files.len() >= 30);
}

#[test]
fn files_are_refused_where_and_as_they_should_be() {
    for (name, expected) in EXPECTED {
        let Expected::File(expected) = expected else {
            continue;
        };
        let problems = outcome(name).expect_err(name).problems;
        let found: Vec<(usize, usize)> = problems
            .iter()
            .map(|problem| (problem.line, problem.column))
            .collect();
        let wanted: Vec<(usize, usize)> = expected
            .iter()
            .map(|(line, column, _)| (*line, *column))
            .collect();
        assert_eq!(found, wanted, "{name}: {problems:#?}");
        for (problem, (_, _, words)) in problems.iter().zip(*expected) {
            assert!(!problem.hint.is_empty(), "{name}: {problem:?}");
            let all = format!("{}\n{}\n{}", problem.message, problem.allowed, problem.hint);
            for word in *words {
                assert!(all.contains(word), "{name}: {word:?} is not in {all}");
            }
        }
    }
}

#[test]
fn rows_are_refused_with_their_reasons() {
    for (name, expected) in EXPECTED {
        let Expected::Rows {
            remain,
            refused,
            notes,
        } = expected
        else {
            continue;
        };
        let (rows, found, found_notes) = outcome(name).expect(name);
        assert_eq!(rows, *remain, "{name}");
        let places: Vec<(usize, usize)> = found.iter().map(|row| (row.row, row.line)).collect();
        let wanted: Vec<(usize, usize)> =
            refused.iter().map(|(row, line, _)| (*row, *line)).collect();
        assert_eq!(places, wanted, "{name}: {found:#?}");
        for (row, (_, _, words)) in found.iter().zip(*refused) {
            for word in *words {
                assert!(row.reason.contains(word), "{name}: {word:?}: {row:?}");
            }
        }
        for word in *notes {
            assert!(
                found_notes.iter().any(|note| note.contains(word)),
                "{name}: {word:?} is not in {found_notes:?}"
            );
        }
        let counted = found_notes.iter().any(|note| note.contains("rows refused"));
        assert_eq!(counted, !refused.is_empty(), "{name}");
    }
}

#[test]
fn messages_are_the_stored_ones() {
    let update = std::env::var_os("CALOTTE_UPDATE_MESSAGES").is_some();
    let mut differing = Vec::new();
    for (name, _) in EXPECTED {
        let message = message(name);
        let path = folder().join(format!("{name}.txt"));
        if update {
            fs::write(&path, message).expect("the message is written");
        } else if fs::read_to_string(&path).ok().as_deref() != Some(message.as_str()) {
            differing.push(format!("{name}:\n{message}"));
        }
    }
    assert!(differing.is_empty(), "{}", differing.join("\n"));
}
