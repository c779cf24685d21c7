//! What `measure fit` says to do next, done: every command that it prints is given to a shell as it
//! stands; and the files that it names hold what it says.

mod common;

use std::fs;
use std::path::Path;
use std::process::{Command, Output};

use common::calotte;

const HEAD_DOME: &str = concat!(env!("CARGO_MANIFEST_DIR"), "/../../examples/head-dome");

/// The shipped brief with less to choose from, so that it is searched fast.
fn brief() -> String {
    let text = fs::read_to_string(format!("{HEAD_DOME}/brief.toml")).expect("the brief");
    let mut lines: Vec<String> = Vec::new();
    for line in text.lines() {
        let key = line.split('=').next().unwrap_or_default().trim();
        lines.push(match key {
            "stages" => "stages = [2]".to_string(),
            "arc_deg" => "arc_deg = { from = 21, to = 22, step = 0.5 }".to_string(),
            "bend_deg" => "bend_deg = 0".to_string(),
            "joint_radius_mm" => "joint_radius_mm = 140".to_string(),
            "materials" => "materials = [\"aluminium 6061-T6\"]".to_string(),
            _ => line.to_string(),
        });
    }
    lines.join("\n")
}

/// A folder with a campaign and a brief, with a space in every name.
fn campaign(name: &str) -> tempfile::TempDir {
    let place = tempfile::tempdir().expect("a folder");
    let copied = |from: &str, to: &str| {
        let from = format!("{HEAD_DOME}/{name}/{from}");
        if Path::new(&from).exists() {
            fs::copy(from, place.path().join(to)).expect("copied");
        }
    };
    copied("design.toml", "head arm.toml");
    copied("points.csv", "the points.csv");
    copied("weights.csv", "the weights.csv");
    fs::write(place.path().join("a brief.toml"), brief()).expect("written");
    place
}

fn fit(folder: &Path, more: &[&str]) -> String {
    let words = [
        "measure",
        "fit",
        "head arm.toml",
        "the points.csv",
        "--out",
        "the fit",
    ];
    let output = calotte(folder, &[&words, more].concat());
    assert_eq!(output.status.code(), Some(1), "{output:?}");
    String::from_utf8(output.stdout).expect("text")
}

/// The commands below `Next`, each as a shell gets it.
fn commands(text: &str) -> Vec<String> {
    let (_, next) = text.split_once("\nNext ").expect("what to do next");
    let mut commands: Vec<String> = Vec::new();
    let mut goes_on = false;
    for line in next.lines() {
        if goes_on {
            let command = commands.last_mut().expect("a command");
            command.push('\n');
            command.push_str(line);
        } else if line.starts_with("  calotte ") {
            commands.push(line.to_string());
        } else {
            continue;
        }
        goes_on = line.ends_with('\\');
    }
    commands
}

/// Runs a command by a shell that finds the program.
fn by_shell(folder: &Path, command: &str) -> Output {
    let program = Path::new(env!("CARGO_BIN_EXE_calotte"));
    let folder_of = program.parent().expect("a folder").display().to_string();
    let path = std::env::var("PATH").unwrap_or_default();
    Command::new("sh")
        .args(["-c", command])
        .current_dir(folder)
        .env("PATH", format!("{folder_of}:{path}"))
        .output()
        .expect("a shell")
}

/// 0 and 1 are answers; 2 is a command that does not run.
fn runs(folder: &Path, command: &str) {
    let output = by_shell(folder, command);
    assert!(
        matches!(output.status.code(), Some(0 | 1)),
        "{command}\n{output:?}"
    );
}

#[test]
#[cfg(unix)]
fn every_command_runs_as_printed() {
    // A bar in question: nothing is chosen yet, further rows are fitted.
    let place = campaign("bench");
    let folder = place.path();
    let text = fit(
        folder,
        &["--weights", "the weights.csv", "--brief", "a brief.toml"],
    );
    let all = commands(&text);
    assert_eq!(all.len(), 1, "{text}");
    assert!(
        all[0].contains("measure fit") && all[0].contains("--weights"),
        "{}",
        all[0]
    );
    let before = fs::read_to_string(folder.join("the fit/fit.json")).expect("a fit");
    runs(folder, &all[0]);
    // Without further rows the same is found.
    let after = fs::read_to_string(folder.join("the fit/fit.json")).expect("a fit");
    assert_eq!(before, after);
    for line in text.lines() {
        assert!(line.chars().count() <= 80, "{line}");
    }

    // A bar for certain, others in question.
    let place = campaign("bench-two-faults");
    let folder = place.path();
    let without = fit(folder, &[]);
    assert!(without.contains("--brief"), "{without}");
    let text = fit(folder, &["--brief", "a brief.toml", "--force"]);
    let all = commands(&text);
    assert_eq!(all.len(), 2, "{text}");
    for command in &all {
        runs(folder, command);
    }
    assert!(all[1].contains("--keep ground"), "{}", all[1]);
    assert!(folder.join("next/design.toml").exists());
    // A second time neither folder is in the way.
    let text = fit(folder, &["--brief", "a brief.toml", "--force"]);
    let all = commands(&text);
    assert!(all[1].contains("--out next-2"), "{text}");
}

/// Bars that the verdict finds sound are kept, whichever those are: all that may be asked for runs.
#[test]
#[cfg(unix)]
fn whatever_is_sound_can_be_kept() {
    let place = campaign("bench-two-faults");
    let folder = place.path();
    fit(folder, &[]);
    for kept in [
        "ground,bars:1,bars:2",
        "ground,bars:2",
        "base,bars:2",
        "base,bars:1",
        "base",
    ] {
        let command = format!(
            "calotte design 'a brief.toml' --from 'head arm.toml' --keep {kept} --use 'the fit/fit.json' --out next --force"
        );
        runs(folder, &command);
    }
}

/// The calibrated design says what was drawn; the verdict says which file is which.
#[test]
fn what_was_drawn_and_what_was_found_are_told_apart() {
    let place = campaign("bench-two-faults");
    let folder = place.path();
    let text = fit(folder, &[]);
    let joined: Vec<&str> = text.split_whitespace().collect();
    let joined = joined.join(" ");
    for words in [
        "as drawn: head arm.toml; parts are made to it",
        "as found of this prototype: the fit/design-calibrated.toml; make no part to it",
        "every value found, with its error: the fit/fit.json",
    ] {
        assert!(joined.contains(words), "{words}: {text}");
    }
    let calibrated = fs::read_to_string(folder.join("the fit/design-calibrated.toml"));
    let calibrated = calibrated.expect("a design");
    let document = fs::read_to_string(folder.join("the fit/fit.json")).expect("a fit");
    let document: serde_json::Value = serde_json::from_str(&document).expect("JSON");
    let found: toml::Table = calibrated.parse().expect("TOML");
    let bars = found["linkage"]["bar"].as_array().expect("bars");
    let mut seen = 0;
    for one in document["parameters"].as_array().expect("parameters") {
        let name = one["name"].as_str().expect("a name");
        let number = |key: &str| one[key].as_f64().expect("a number");
        let Some((bar, key)) = name.split_once('.') else {
            continue;
        };
        let Some(own) = bars.iter().find(|own| own["name"].as_str() == Some(bar)) else {
            continue;
        };
        // What the file is for the program, and what its remark says of the drawing.
        let value = own[key].as_float().expect("a number");
        assert!((value - number("value")).abs() < 1e-9, "{name}");
        let line = format!("#   {name}: drawn {:.4}, found ", number("nominal"));
        assert!(calibrated.contains(&line), "{line}\n{calibrated}");
        seen += 1;
    }
    assert_eq!(seen, 10);
    assert!(calibrated.contains("AS FOUND on one prototype, not as drawn: make no part to this file. As drawn: head arm.toml"));
    let drawn = document["run"]["inputs"][0]["sha256"]
        .as_str()
        .expect("a digest");
    assert!(calibrated.replace("\n# ", " ").contains(drawn));
    // The sheet says the same before anything is measured.
    let output = calotte(
        folder,
        &["measure", "plan", "head arm.toml", "--out", "plan"],
    );
    assert_eq!(output.status.code(), Some(0), "{output:?}");
    let sheet = fs::read_to_string(folder.join("plan/sheet.html")).expect("a sheet");
    for words in [
        "which file is which",
        "Parts are made, and made again, to it",
        "No part is made to these",
        "Left is the side of growing azimuth",
    ] {
        assert!(sheet.contains(words), "{words}");
    }
}
