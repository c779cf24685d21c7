//! Broken files through the binary: exit status 2, the place and the way out on
//! stderr, nothing on stdout, no file written.

mod common;

use common::calotte;
use std::fs;
use std::path::{Path, PathBuf};

fn broken_folder() -> PathBuf {
    Path::new(env!("CARGO_MANIFEST_DIR")).join("../calotte-format/tests/broken")
}

/// Everything below a folder, by relative path.
fn listing(folder: &Path) -> Vec<PathBuf> {
    let mut found = Vec::new();
    let mut open = vec![folder.to_path_buf()];
    while let Some(next) = open.pop() {
        for entry in fs::read_dir(&next).expect("a folder") {
            let path = entry.expect("an entry").path();
            if path.is_dir() {
                open.push(path.clone());
            }
            found.push(path);
        }
    }
    found.sort();
    found
}

/// A temporary folder with all files of the broken ones.
fn copied() -> tempfile::TempDir {
    let place = tempfile::tempdir().expect("a temporary folder");
    for entry in fs::read_dir(broken_folder()).expect("the broken files") {
        let path = entry.expect("an entry").path();
        if path.is_file() && path.extension().is_some_and(|e| e == "toml" || e == "csv") {
            fs::copy(&path, place.path().join(path.file_name().expect("a name"))).expect("a copy");
        }
    }
    place
}

#[test]
fn every_broken_file_stops_its_command_with_status_2() {
    let place = copied();
    let before = listing(place.path());
    let names: Vec<String> = before
        .iter()
        .filter(|path| path.extension().is_some_and(|e| e == "toml"))
        .filter_map(|path| Some(path.file_name()?.to_str()?.to_string()))
        .collect();
    assert!(names.len() >= 40, "{} broken files", names.len());
    for name in &names {
        let command = if name.starts_with("brief_") {
            "design"
        } else {
            "analyse"
        };
        let output = calotte(place.path(), &[command, name]);
        let message = String::from_utf8_lossy(&output.stderr);
        assert_eq!(output.status.code(), Some(2), "{name}: {message}");
        assert!(output.stdout.is_empty(), "{name} prints a result");
        assert!(message.starts_with("error: "), "{name}: {message}");
        assert!(message.contains(name.as_str()), "{name}: {message}");
        assert!(message.contains("hint: "), "{name}: {message}");
        assert_eq!(listing(place.path()), before, "{name} wrote something");
    }
}

fn refused(arguments: &[&str], files: &[(&str, &str)], words: &[&str]) {
    let place = tempfile::tempdir().expect("a temporary folder");
    for (name, text) in files {
        fs::write(place.path().join(name), text).expect("a file");
    }
    let before = listing(place.path());
    let output = calotte(place.path(), arguments);
    let message = String::from_utf8_lossy(&output.stderr).to_string();
    assert_eq!(output.status.code(), Some(2), "{arguments:?}: {message}");
    assert!(output.stdout.is_empty(), "{arguments:?} prints a result");
    for word in words {
        assert!(message.contains(word), "{word:?} is not in: {message}");
    }
    assert_eq!(
        listing(place.path()),
        before,
        "{arguments:?} wrote something"
    );
}

const SHORT_REACH: &str = r#"title = "short"
[region]
shape = "cap"
half_angle_deg = 80
[[exclude]]
half_angle_deg = 12
[tool]
tip_radius_mm = 100
[space]
joint_radius_mm = 150
[choice]
families = ["scissor-linkage"]
stages = [1, 2]
arc_deg = { from = 8, to = 10 }
[joints]
rigid = true
"#;

const DESIGN: &str = r#"[linkage]
family = "scissor-linkage"
proximal_arcs_deg = [40]
distal_arcs_deg = [40]
bends_deg = []
joint_radius_mm = 150
[section]
shape = "rectangle"
tangential_mm = 12
radial_mm = 6
[material]
name = "aluminium 6061-T6"
[joints]
rigid = true
[tool]
tip_radius_mm = 100
"#;

#[test]
fn a_reach_no_linkage_has_is_refused_with_its_line() {
    refused(
        &["design", "brief.toml"],
        &[("brief.toml", SHORT_REACH)],
        &[
            "impossible reach",
            "line 14",
            "arc_deg",
            "allowed:",
            "hint:",
        ],
    );
}

#[test]
fn releases_that_free_a_bar_are_refused_and_the_bar_is_named() {
    let loose = format!(
        "{DESIGN}[[joints.releases]]\njoint = \"side-left-1\"\naxial = true\ntilt = true\n[[joints.releases]]\njoint = \"apex-1\"\naxial = true\ntilt = true\n"
    );
    refused(
        &["analyse", "design.toml"],
        &[("design.toml", &loose)],
        &["mobility", "must be 2", "bar-left-1", "hint:"],
    );
}

#[test]
fn words_of_the_command_line_are_checked() {
    let files = [("design.toml", DESIGN)];
    refused(
        &["analyse", "design.toml", "--joints", "50"],
        &files,
        &["--joints 50", "two numbers", "hint:"],
    );
    refused(
        &["analyse", "design.toml", "--joints", "NaN,3"],
        &files,
        &["two numbers"],
    );
    refused(
        &["analyse", "design.toml", "--direction", "190,0"],
        &files,
        &["190", "0° to 180°", "hint:"],
    );
    refused(
        &["analyse", "nowhere.toml"],
        &[],
        &["nowhere.toml", "hint:"],
    );
    refused(&["anylse", "design.toml"], &files, &["anylse"]);
}

#[test]
fn joints_beyond_closure_are_no_configuration() {
    let short = DESIGN.replace("distal_arcs_deg = [40]", "distal_arcs_deg = [20]");
    refused(
        &["analyse", "design.toml", "--joints", "85,-85"],
        &[("design.toml", &short)],
        &["do not close", "hint:"],
    );
}

#[test]
fn an_unreachable_direction_is_computed_and_names_the_nearest() {
    let place = tempfile::tempdir().expect("a temporary folder");
    fs::write(place.path().join("design.toml"), DESIGN).expect("a file");
    let output = calotte(
        place.path(),
        &["analyse", "design.toml", "--direction", "120,30", "--json"],
    );
    assert_eq!(output.status.code(), Some(1));
    let json: serde_json::Value = serde_json::from_slice(&output.stdout).expect("JSON");
    let nearest = &json["nearest"];
    assert!((nearest["polar"].as_f64().unwrap() - 80.0).abs() < 1e-6);
    assert!((nearest["azimuth"].as_f64().unwrap() - 30.0).abs() < 1e-9);
    assert!((nearest["distance_deg"].as_f64().unwrap() - 40.0).abs() < 1e-6);
    assert_eq!(json["configurations"].as_array().unwrap().len(), 0);
}

#[test]
fn the_agreed_object_is_there() {
    let place = tempfile::tempdir().expect("a temporary folder");
    fs::write(place.path().join("design.toml"), DESIGN).expect("a file");
    let output = calotte(
        place.path(),
        &["analyse", "design.toml", "--joints", "50,-50", "--json"],
    );
    assert_eq!(output.status.code(), Some(0));
    let json: serde_json::Value = serde_json::from_slice(&output.stdout).expect("JSON");
    for (table, keys) in [
        (
            "reach",
            vec!["polar_min_deg", "polar_max_deg", "coverage_fraction"],
        ),
        (
            "conditioning",
            vec!["gci", "gci_reached", "lci_min", "weight", "drive_layout"],
        ),
    ] {
        for key in keys {
            assert!(!json[table][key].is_null(), "{table}.{key}");
        }
    }
    let list = json["configurations"].as_array().unwrap();
    assert_eq!(list.len(), 1);
    let one = &list[0];
    assert_eq!(one["joints_deg"][0].as_f64().unwrap(), 50.0);
    // tan(θ/2) = tan 40° cos 50°.
    let polar = 2.0
        * (40f64.to_radians().tan() * 50f64.to_radians().cos())
            .atan()
            .to_degrees();
    assert!((one["direction_deg"]["polar"].as_f64().unwrap() - polar).abs() < 1e-9);
    assert_eq!(one["compliance"].as_array().unwrap().len(), 6);
    assert!(one["passive_deg"]["side-left-1"].as_f64().unwrap() > 0.0);
    assert!(one["lci"].as_f64().unwrap() > 0.0);
    assert!(one["roll_deg"].as_f64().is_some());
    // No mass of the tool is given, the bars have theirs.
    assert_eq!(one["holding_torque_nm"].as_array().unwrap().len(), 2);
}

#[test]
fn new_keeps_an_existing_brief() {
    let place = tempfile::tempdir().expect("a temporary folder");
    let first = calotte(place.path(), &["new", "job"]);
    assert_eq!(first.status.code(), Some(0));
    let path = place.path().join("job/brief.toml");
    fs::write(&path, "mine").expect("a file");
    let second = calotte(place.path(), &["new", "job"]);
    assert_eq!(second.status.code(), Some(2));
    assert_eq!(fs::read_to_string(&path).expect("the brief"), "mine");
}
