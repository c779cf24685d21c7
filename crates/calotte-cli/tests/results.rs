//! The main job through the binary: the results folder, its cautions, its
//! numbers, and that nobody's file is lost.

use std::collections::BTreeMap;
use std::fs;
use std::path::Path;
use std::process::{Command, Output};

use serde_json::Value;

const BRIEF: &str = r#"title = "Arm & <test>"
[region]
shape = "cap"
half_angle_deg = 70
coverage_min = 0.9
[[exclude]]
half_angle_deg = 15
why = "not needed"
[tool]
mass_kg = 0.4
centre_of_mass_radius_mm = 140
tip_radius_mm = 100
[[load]]
name = "press"
on = "tip"
force_n = { radial = 4 }
[space]
joint_radius_mm = 150
[limits]
contact_deflection_mm = 1
sag_mm = 2
lci_min = 0.15
[choice]
families = ["scissor-linkage", "two-arc-arm"]
stages = [1, 2]
arc_deg = { from = 18, to = 26, step = 2 }
arm_arc_deg = { from = 30, to = 60, step = 10 }
[choice.section]
shape = "rectangle"
tangential_mm = [12, 16]
radial_mm = 8
[joints]
axial_n_per_m = { value = 3e6, from = 2e6, to = 4e6 }
radial_n_per_m = 6e6
tilt_nm_per_rad = 800
"#;

fn calotte(folder: &Path, arguments: &[&str]) -> Output {
    Command::new(env!("CARGO_BIN_EXE_calotte"))
        .current_dir(folder)
        .args(arguments)
        .output()
        .expect("the binary runs")
}

fn place() -> tempfile::TempDir {
    let place = tempfile::tempdir().expect("a temporary folder");
    fs::write(place.path().join("brief.toml"), BRIEF).expect("the brief");
    place
}

fn files(folder: &Path) -> BTreeMap<String, Vec<u8>> {
    let mut found = BTreeMap::new();
    for entry in fs::read_dir(folder).expect("a folder") {
        let path = entry.expect("an entry").path();
        let name = path.file_name().unwrap().to_string_lossy().to_string();
        if path.is_dir() {
            for (inner, bytes) in files(&path) {
                found.insert(format!("{name}/{inner}"), bytes);
            }
        } else {
            found.insert(name, fs::read(&path).expect("a file"));
        }
    }
    found
}

#[test]
fn the_results_folder_is_whole_and_its_numbers_agree() {
    let place = place();
    let output = calotte(place.path(), &["design", "brief.toml"]);
    let summary = String::from_utf8_lossy(&output.stdout).to_string();
    assert_eq!(output.status.code(), Some(0), "{summary}");
    for line in summary.lines() {
        assert!(line.chars().count() <= 80, "wider than 80 columns: {line}");
    }
    for words in ["Design aid", "fingers", "must not fall", "free the person"] {
        let joined = summary.split_whitespace().collect::<Vec<_>>().join(" ");
        assert!(joined.contains(words), "{words:?} is not in {summary}");
    }
    let folder = place.path().join("results");
    let written = files(&folder);
    for name in [
        "design.toml",
        "results.json",
        "candidates.csv",
        "summary.html",
        "manifest.json",
        "plots/lci-over-dome.svg",
        "plots/stiffness-over-dome.svg",
        "plots/contact-deflection-over-dome.svg",
        "plots/sag-over-dome.svg",
        "plots/front.svg",
        "plots/stages.svg",
        "plots/margins.svg",
        "plots/shares.svg",
    ] {
        assert!(written.contains_key(name), "{name} is missing");
    }
    for (name, bytes) in &written {
        if name.ends_with(".svg") {
            let text = String::from_utf8(bytes.clone()).expect("UTF-8");
            roxmltree::Document::parse(&text).unwrap_or_else(|e| panic!("{name}: {e}"));
            assert!(!text.contains("NaN"), "{name} holds NaN");
        }
    }
    let page = String::from_utf8(written["summary.html"].clone()).expect("UTF-8");
    for words in [
        "design aid",
        "risk management",
        "licensed",
        "not a replacement",
        "fingers",
        "without power",
        "force limit",
        "ISO 14971",
        "IEC 60601-1",
        "IEC 80601-2-77",
        "IEC 62366-1",
        "V&amp;V 40",
        "ISO 13854",
        "Arm &amp; &lt;test&gt;",
    ] {
        assert!(page.contains(words), "{words:?} is not on the page");
    }
    let json: Value = serde_json::from_slice(&written["results.json"]).expect("JSON");
    assert_eq!(json["met"], true);
    let row = |quantity: &str| {
        json["requirements"]
            .as_array()
            .unwrap()
            .iter()
            .find(|row| row["quantity"] == quantity)
            .unwrap_or_else(|| panic!("{quantity}"))
            .clone()
    };
    let coverage = row("coverage")["got"].as_f64().unwrap();
    let deflection = row("contact_deflection")["got_mm"].as_f64().unwrap();
    let stiffness = row("least_translational_stiffness")["got_n_per_mm"]
        .as_f64()
        .unwrap();
    for text in [
        format!("{coverage:.3}"),
        format!("{deflection:.3} mm"),
        format!("{stiffness:.1} N/mm"),
    ] {
        assert!(page.contains(&text), "{text} is not on the page");
    }
    // The chosen design, analysed by itself, gives the same numbers.
    let alone = calotte(
        place.path(),
        &[
            "analyse",
            "results/design.toml",
            "--brief",
            "brief.toml",
            "--json",
        ],
    );
    assert_eq!(alone.status.code(), Some(0));
    let alone: Value = serde_json::from_slice(&alone.stdout).expect("JSON");
    assert_eq!(alone["requirements"], json["requirements"]);
    assert_eq!(alone["conditioning"], json["conditioning"]);
    // Every grid point stands in the list.
    let list = String::from_utf8(written["candidates.csv"].clone()).expect("UTF-8");
    assert_eq!(
        list.lines().count() as u64,
        1 + json["choice"]["combinations"].as_u64().unwrap()
    );
}

#[test]
fn the_same_brief_gives_the_same_bytes_for_any_number_of_threads() {
    let place = place();
    let run = |out: &str, threads: &str| {
        let output = calotte(
            place.path(),
            &["design", "brief.toml", "--out", out, "--threads", threads],
        );
        assert_eq!(output.status.code(), Some(0));
        files(&place.path().join(out))
    };
    let first = run("a", "1");
    let second = run("b", "2");
    assert_eq!(
        first.keys().collect::<Vec<_>>(),
        second.keys().collect::<Vec<_>>()
    );
    for (name, bytes) in &first {
        assert!(second[name] == *bytes, "{name} differs");
    }
}

#[test]
fn a_second_run_replaces_its_own_folder_and_keeps_a_foreign_file() {
    let place = place();
    for _ in 0..2 {
        let output = calotte(place.path(), &["design", "brief.toml"]);
        assert_eq!(output.status.code(), Some(0));
    }
    let note = place.path().join("results/notes.txt");
    fs::write(&note, "mine").expect("a note");
    let before = files(&place.path().join("results"));
    let output = calotte(place.path(), &["design", "brief.toml"]);
    let message = String::from_utf8_lossy(&output.stderr);
    assert_eq!(output.status.code(), Some(2), "{message}");
    assert!(
        message.contains("notes.txt") && message.contains("--force"),
        "{message}"
    );
    assert!(before == files(&place.path().join("results")));
}

#[test]
fn a_need_that_cannot_be_met_is_computed_and_says_by_how_much() {
    let place = place();
    let hard = BRIEF.replace("contact_deflection_mm = 1", "contact_deflection_mm = 0.001");
    fs::write(place.path().join("brief.toml"), hard).expect("the brief");
    let output = calotte(place.path(), &["design", "brief.toml"]);
    let text = String::from_utf8_lossy(&output.stdout);
    assert_eq!(output.status.code(), Some(1), "{text}");
    assert!(
        text.contains("NOT MET") && text.contains("Nearest need"),
        "{text}"
    );
    assert!(place.path().join("results/summary.html").exists());
}
