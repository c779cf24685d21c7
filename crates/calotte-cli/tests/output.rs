//! Output that cannot be written is no result: status 2 and the reason, in every command. Only a
//! reader that went away is forgiven.

#![cfg(target_os = "linux")]

use std::fs::{self, File, OpenOptions};
use std::path::{Path, PathBuf};
use std::process::{Command, Stdio};

fn example(name: &str) -> PathBuf {
    Path::new(env!("CARGO_MANIFEST_DIR"))
        .join("../../examples/head-dome")
        .join(name)
}

/// Every command, in words; the files are copies of the shipped example.
const COMMANDS: [&str; 23] = [
    "--help",
    "--version",
    "design --help",
    "new fresh",
    "new fresh-json --json",
    "design arm.toml --out r1",
    "design arm.toml --out r2 --json",
    "analyse design.toml",
    "analyse design.toml --json",
    "analyse design.toml --joints 30,60 --json",
    "judge brief.toml",
    "map design.toml --x stages=1..2 --y arc_deg=20,21 --show gci --out m1",
    "map design.toml --x stages=1..2 --y arc_deg=20,21 --show gci --out m2 --json",
    "compare design.toml design.toml",
    "compare design.toml design.toml --json",
    "measure plan design.toml",
    "measure plan design.toml --json",
    "measure fit design.toml points.csv",
    "measure fit design.toml points.csv --json",
    "verify",
    "schema",
    "schema --markdown",
    "schema analysis",
];

/// A search of one combination, invented.
const ARM: &str = r#"title = "One arm"
[region]
shape = "cap"
half_angle_deg = 40
[tool]
tip_radius_mm = 100
[space]
joint_radius_mm = 140
[choice]
families = ["two-arc-arm"]
arm_arc_deg = 50
[joints]
rigid = true
"#;

/// The folder that the commands run in.
fn folder() -> tempfile::TempDir {
    let place = tempfile::tempdir().unwrap();
    let copy = |from: &str, to: &str| {
        fs::copy(example(from), place.path().join(to)).unwrap();
    };
    copy("brief.toml", "brief.toml");
    copy("bench/design.toml", "design.toml");
    copy("bench/points.csv", "points.csv");
    fs::write(place.path().join("arm.toml"), ARM).unwrap();
    copy("designs.jsonl", "designs.jsonl");
    place
}

fn command(folder: &Path, words: &str) -> Command {
    let mut command = Command::new(env!("CARGO_BIN_EXE_calotte"));
    command.current_dir(folder).args(words.split_whitespace());
    // What `judge` reads; nobody else does.
    command.stdin(File::open(folder.join("designs.jsonl")).unwrap());
    command.stderr(Stdio::piped());
    command
}

#[test]
fn a_full_disk_is_told_by_every_command() {
    let place = folder();
    for words in COMMANDS {
        let full = OpenOptions::new().write(true).open("/dev/full").unwrap();
        let output = command(place.path(), words).stdout(full).output().unwrap();
        let said = String::from_utf8_lossy(&output.stderr);
        assert_eq!(output.status.code(), Some(2), "{words}: {said}");
        assert!(
            said.contains("the output could not be written"),
            "{words}: {said}"
        );
        assert!(said.contains("hint: "), "{words}: {said}");
    }
}

#[test]
fn a_reader_that_went_away_is_forgiven() {
    let place = folder();
    for words in ["analyse design.toml --json", "schema", "--help"] {
        let (reader, writer) = std::io::pipe().unwrap();
        drop(reader);
        let output = command(place.path(), words)
            .stdout(writer)
            .output()
            .unwrap();
        let said = String::from_utf8_lossy(&output.stderr);
        assert_ne!(output.status.code(), Some(2), "{words}: {said}");
        assert!(output.status.code().is_some(), "{words} was killed");
        assert!(!said.contains("could not be written"), "{words}: {said}");
    }
}
