//! Stiffnesses so far apart that digits are lost are said by every command that shows what
//! was lost of, with the key; where none is left, none is shown.

mod common;

use std::fs;
use std::io::Write;
use std::path::Path;
use std::process::{Command, Output, Stdio};

use common::{calotte, folder_with};

fn example(name: &str) -> String {
    let examples = Path::new(env!("CARGO_MANIFEST_DIR")).join("../../examples");
    fs::read_to_string(examples.join(name)).expect("an example")
}

/// The measured example with other joints.
fn design(axial: &str, radial: &str, tilt: &str) -> String {
    let lines = example("head-dome/bench/design.toml");
    let changed = lines.lines().map(|line| match line.split(" = ").next() {
        Some("axial_n_per_m") => format!("axial_n_per_m = {axial}\n"),
        Some("radial_n_per_m") => format!("radial_n_per_m = {radial}\n"),
        Some("tilt_nm_per_rad") => format!("tilt_nm_per_rad = {tilt}\n"),
        _ => format!("{line}\n"),
    });
    changed.collect()
}

/// Tilt stiffness that leaves some digits.
fn few() -> String {
    design("3e6", "8e6", "1e-4")
}

/// Axial stiffness of which nothing is left.
fn none() -> String {
    design("1e-6", "1e9", "900")
}

/// One line of words, however they were broken.
fn said(bytes: &[u8]) -> String {
    let text = String::from_utf8_lossy(bytes);
    text.split_whitespace().collect::<Vec<_>>().join(" ")
}

const FEW: &str = "digits of the elastic results are sure: joints.tilt_nm_per_rad = 1e-4 is too far below the stiffness of the bars";
const NONE: &str = "no digit of the elastic results is sure: the axial stiffness of the joints (1e-6 N/m) is too far below the ";

fn run(text: &str, words: &[&str]) -> Output {
    let place = folder_with(&[
        ("design.toml", text),
        ("other.toml", &example("head-dome/bench/design.toml")),
    ]);
    calotte(place.path(), words)
}

#[test]
fn few_digits_are_said_with_the_key() {
    let commands: [&[&str]; 5] = [
        &["analyse", "design.toml"],
        &["analyse", "design.toml", "--json"],
        &["analyse", "design.toml", "--direction", "50,20"],
        &["analyse", "design.toml", "--direction", "50,20", "--json"],
        &["compare", "other.toml", "design.toml"],
    ];
    for words in commands {
        let output = run(&few(), words);
        assert_eq!(output.status.code(), Some(0), "{words:?}");
        let text = said(&output.stdout);
        assert!(text.contains(FEW), "{words:?}: {text}");
        let before = text.split(FEW).next().map_or("", str::trim_end);
        let count: u32 = before[before.len() - 1..].parse().expect("a count");
        assert!((1..6).contains(&count), "{words:?}: {count}");
        let ordinary = run(&design("3e6", "8e6", "900"), words);
        let text = said(&ordinary.stdout);
        assert!(
            !text.contains("of the elastic results"),
            "{words:?}: {text}"
        );
    }
}

#[test]
fn a_map_says_how_many_digits_its_cells_have_and_why_one_has_none() {
    let words = |show: &'static str| -> Vec<&'static str> {
        vec![
            "map",
            "design.toml",
            "--x",
            "stages=1..2",
            "--y",
            "arc_deg=10..14:2",
            "--show",
            show,
            "--out",
            "map",
        ]
    };
    let output = run(&few(), &words("stiffness"));
    let text = said(&output.stderr);
    assert!(text.contains("in 6 of 6 cells only"), "{text}");
    assert!(text.contains("joints.tilt_nm_per_rad = 1e-4"), "{text}");
    let output = run(&none(), &words("stiffness,sag"));
    let text = said(&output.stderr);
    assert_eq!(text.matches(NONE).count(), 1, "{text}");
    let output = run(&design("3e6", "8e6", "900"), &words("stiffness,sag"));
    let text = said(&output.stderr);
    assert!(!text.contains("of the elastic results"), "{text}");
}

#[test]
fn a_search_by_joints_that_leave_nothing_names_the_key_of_the_brief() {
    let brief = example("port-pivot/brief.toml");
    let brief: String = brief
        .lines()
        .map(|line| match line.split(" = ").next() {
            Some("axial_n_per_m") => "axial_n_per_m = 1e-6\n".to_string(),
            Some("radial_n_per_m") => "radial_n_per_m = 1e9\n".to_string(),
            // Few combinations: they all end alike.
            Some("arm_arc_deg") => "arm_arc_deg = { from = 36, to = 40, step = 2 }\n".to_string(),
            _ => format!("{line}\n"),
        })
        .collect();
    let place = folder_with(&[("brief.toml", &brief)]);
    let output = calotte(place.path(), &["design", "brief.toml", "--out", "results"]);
    let text = said(&output.stderr);
    assert_eq!(output.status.code(), Some(2), "{text}");
    let line = 1 + brief
        .lines()
        .position(|line| line == "axial_n_per_m = 1e-6")
        .expect("the line");
    let at = format!("in brief.toml, line {line}, column");
    assert!(
        text.contains(&at) && text.contains("axial_n_per_m = 1e-6"),
        "{text}"
    );
    assert!(!place.path().join("results/design.toml").exists());
}

#[test]
fn judge_says_both() {
    let place = folder_with(&[("brief.toml", &example("head-dome/brief.toml"))]);
    let mut child = Command::new(env!("CARGO_BIN_EXE_calotte"))
        .current_dir(place.path())
        .args(["judge", "brief.toml"])
        .stdin(Stdio::piped())
        .stdout(Stdio::piped())
        .stderr(Stdio::piped())
        .spawn()
        .expect("the binary runs");
    let mut stdin = child.stdin.take().expect("a pipe");
    for text in [few(), none()] {
        let table: toml::Table = text.parse().expect("a table");
        writeln!(stdin, "{}", serde_json::to_string(&table).expect("JSON")).expect("sent");
    }
    drop(stdin);
    let output = child.wait_with_output().expect("an end");
    let text = String::from_utf8_lossy(&output.stdout).to_string();
    let lines: Vec<&str> = text.lines().collect();
    assert_eq!(lines.len(), 2, "{text}");
    assert!(lines[0].contains(FEW), "{}", lines[0]);
    assert!(lines[1].contains(NONE), "{}", lines[1]);
    assert!(lines[1].contains("joints.axial_n_per_m"), "{}", lines[1]);
}
