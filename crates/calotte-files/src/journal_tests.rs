use std::fs;
use std::path::Path;

use super::*;

const BEGINS: &str = "{\"calotte\":";

fn header(question: &str) -> String {
    format!("{BEGINS}\"{question}\"}}")
}

fn claim(around: &Path) -> Claim {
    Claim::take(Place::of(&around.join("results")).unwrap())
        .unwrap()
        .0
}

/// Opens the journal for a question, and the lines it holds.
fn open(around: &Path, question: &str) -> (Journal, Vec<String>, Option<String>) {
    let mut lines = Vec::new();
    let keep = |line: &str| lines.push(line.to_owned());
    let (journal, told) = Journal::open(&claim(around), BEGINS, &header(question), keep).unwrap();
    lines.retain(|line| !line.is_empty());
    (journal, lines, told)
}

#[test]
fn lines_are_found_again_for_the_same_question() {
    let around = tempfile::tempdir().unwrap();
    let (mut journal, lines, _) = open(around.path(), "a");
    assert!(lines.is_empty());
    journal.append("1\n2\n3 cut").unwrap();
    let (mut journal, lines, _) = open(around.path(), "a");
    assert_eq!(lines, ["1", "2", "3 cut"]);
    journal.append("3\n").unwrap();
    let (journal, lines, _) = open(around.path(), "a");
    assert_eq!(lines, ["1", "2", "3 cut", "3"]);
    journal.remove();
    assert_eq!(fs::read_dir(around.path()).unwrap().count(), 0);
}

#[test]
fn the_journal_of_another_question_is_kept_and_found_again() {
    let around = tempfile::tempdir().unwrap();
    let (mut journal, ..) = open(around.path(), "a");
    journal.append("1\n").unwrap();
    let (mut journal, lines, told) = open(around.path(), "b");
    assert!(lines.is_empty() && told.unwrap().contains("results.unfinished-1"));
    journal.append("2\n").unwrap();
    let (_, lines, _) = open(around.path(), "a");
    assert_eq!(lines, ["1"]);
    let (journal, lines, _) = open(around.path(), "b");
    assert_eq!(lines, ["2"]);
    // Done with one, the other stays.
    journal.remove();
    let (_, lines, _) = open(around.path(), "a");
    assert_eq!(lines, ["1"]);
    // One that holds nothing is not kept.
    let empty = tempfile::tempdir().unwrap();
    open(empty.path(), "a");
    assert!(open(empty.path(), "b").2.is_none());
}

#[cfg(unix)]
#[test]
fn what_is_no_journal_is_left() {
    let around = tempfile::tempdir().unwrap();
    let path = around.path().join("results.unfinished");
    let refused = || {
        let claim = claim(around.path());
        Journal::open(&claim, BEGINS, &header("a"), |_| ())
            .unwrap_err()
            .kind
    };
    fs::write(&path, "my notes\n").unwrap();
    assert_eq!(refused(), Kind::NotOrdinary);
    assert_eq!(fs::read_to_string(&path).unwrap(), "my notes\n");
    fs::remove_file(&path).unwrap();
    let aim = around.path().join("aim");
    for there in [true, false] {
        if there {
            fs::write(&aim, header("a")).unwrap();
        } else {
            fs::remove_file(&aim).unwrap();
        }
        std::os::unix::fs::symlink(&aim, &path).unwrap();
        assert_eq!(refused(), Kind::NotOrdinary);
        fs::remove_file(&path).unwrap();
    }
    assert!(!aim.exists());
}
