//! Broken files: what is reported, where, and in which words.
//!
//! Each file of `tests/broken` has its expectation below (line, key and words
//! that must appear), and beside it the whole message, compared literally.
//! `CALOTTE_UPDATE_MESSAGES=1 cargo test -p calotte-format --test broken`
//! writes the messages anew.

use std::fs;
use std::path::{Path, PathBuf};

use calotte_format::{FormatError, Problem, read_brief, read_design};

#[path = "broken/expected.rs"]
mod expected;

use expected::EXPECTED;

fn folder() -> PathBuf {
    Path::new(env!("CARGO_MANIFEST_DIR")).join("tests/broken")
}

fn error_of(name: &str) -> FormatError {
    let path = folder().join(format!("{name}.toml"));
    let text = fs::read_to_string(&path).unwrap_or_else(|error| panic!("{name}: {error}"));
    let load =
        |file: &str| fs::read(folder().join(file)).map_err(|_| format!("there is no file {file}"));
    let error = if name.starts_with("brief_") {
        read_brief(&text, &load).err()
    } else {
        read_design(&text).err()
    };
    error.unwrap_or_else(|| panic!("{name} is not refused"))
}

#[test]
fn every_broken_file_has_an_expectation() {
    let mut files: Vec<String> = fs::read_dir(folder())
        .expect("the folder of broken files")
        .map(|entry| entry.expect("an entry").path())
        .filter(|path| {
            path.extension()
                .is_some_and(|extension| extension == "toml")
        })
        .filter_map(|path| Some(path.file_stem()?.to_str()?.to_string()))
        .collect();
    files.sort();
    let mut expected: Vec<&str> = EXPECTED.iter().map(|(name, _)| *name).collect();
    expected.sort_unstable();
    assert_eq!(files, expected);
    assert!(files.len() >= 45);
}

#[test]
fn problems_are_where_and_what_they_should_be() {
    for (name, expected) in EXPECTED {
        let problems = error_of(name).problems;
        let found: Vec<(usize, &str)> = problems
            .iter()
            .map(|problem| (problem.line, problem.key.as_str()))
            .collect();
        let wanted: Vec<(usize, &str)> = expected
            .iter()
            .map(|(line, key, _)| (*line, *key))
            .collect();
        assert_eq!(found, wanted, "{name}");
        for (problem, (_, _, words)) in problems.iter().zip(*expected) {
            for word in *words {
                assert!(
                    says(problem, word),
                    "{name}: {word:?} is not in {problem:#?}"
                );
            }
        }
    }
}

fn says(problem: &Problem, word: &str) -> bool {
    [
        &problem.message,
        &problem.allowed,
        &problem.hint,
        &problem.value,
    ]
    .into_iter()
    .any(|text| text.contains(word))
}

#[test]
fn every_problem_says_what_to_try() {
    for (name, _) in EXPECTED {
        for problem in error_of(name).problems {
            assert!(!problem.hint.is_empty(), "{name}: {problem:?}");
            assert!(
                problem.line > 0 && problem.column > 0,
                "{name}: {problem:?}"
            );
        }
    }
}

#[test]
fn messages_are_the_stored_ones() {
    let update = std::env::var_os("CALOTTE_UPDATE_MESSAGES").is_some();
    let mut differing = Vec::new();
    for (name, _) in EXPECTED {
        let file = format!("{name}.toml");
        let message = format!("{}\n", error_of(name).in_file(&file));
        let path = folder().join(format!("{name}.txt"));
        if update {
            fs::write(&path, message).expect("the message is written");
        } else if fs::read_to_string(&path).ok().as_deref() != Some(message.as_str()) {
            differing.push(format!("{name}:\n{message}"));
        }
    }
    assert!(differing.is_empty(), "{}", differing.join("\n"));
}
