//! The main job through the binary: the results folder, its cautions, its
//! numbers, and that nobody's file is lost.

mod common;

use std::collections::BTreeMap;
use std::fs;
use std::path::Path;

use common::{calotte, folder_with};
use serde_json::Value;

const BRIEF: &str = r#"title = "Arm & <test>"
[region]
shape = "cap"
half_angle_deg = 70
coverage_min = 0.9
[[exclude]]
half_angle_deg = 15
why = "not required"
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
lci_min = 0.2
transmission_angle_min_deg = 20
[choice]
full_grid = true
families = ["scissor-linkage", "two-arc-arm"]
stages = [1, 2]
drive_layout = ["swing-and-opening"]
arc_deg = { from = 18, to = 26, step = 1 }
arm_arc_deg = { from = 30, to = 60, step = 10 }
[choice.section]
shape = "rectangle"
tangential_mm = [12, 14, 16]
radial_mm = [8, 10]
[joints]
axial_n_per_m = { value = 3e6, from = 2e6, to = 4e6 }
radial_n_per_m = 6e6
tilt_nm_per_rad = 800
"#;

/// What the caption of every figure names.
const SETTINGS: [&str; 6] = [
    "chosen design: ",
    "drive layout: ",
    "region: cap of 70° half-angle",
    "without 15° about axis (0, 0, 1)",
    "press (on tip, 4.00 N radial)",
    "grid: ",
];

/// The text below a node, spaces that keep a unit with its number as plain ones.
fn text_of(node: roxmltree::Node<'_, '_>) -> String {
    node.descendants()
        .filter(roxmltree::Node::is_text)
        .filter_map(|n| n.text())
        .collect::<String>()
        .replace('\u{a0}', " ")
}

fn parsed(page: &str) -> roxmltree::Document<'_> {
    let options = roxmltree::ParsingOptions {
        allow_dtd: true,
        ..roxmltree::ParsingOptions::default()
    };
    roxmltree::Document::parse_with_options(page, options).expect("the page is well-formed")
}

/// The column "Got" of a row of the first table.
fn got(page: &str, name: &str) -> String {
    let document = parsed(page);
    let row = document
        .descendants()
        .filter(|node| node.has_tag_name("tr"))
        .map(|row| row.children().filter(|n| n.is_element()).map(text_of))
        .map(Iterator::collect::<Vec<_>>)
        .find(|cells| cells.first().is_some_and(|first| first == name));
    row.unwrap_or_else(|| panic!("no row {name:?}"))[2].clone()
}

fn cautions_stand_in_a_box_above_the_numbers(page: &str) {
    let document = parsed(page);
    let in_order = || document.descendants().enumerate();
    let (place, first_box) = in_order()
        .find(|(_, node)| node.attribute("class") == Some("cautions"))
        .expect("a box of cautions");
    let (table, _) = in_order()
        .find(|(_, node)| node.has_tag_name("table"))
        .expect("a table");
    assert!(place < table, "the cautions stand below a table");
    let text = text_of(first_box);
    for words in [
        "Design aid. Local codes and licensed practice come first.",
        "risk management",
        "do not replace",
        "fingers",
        "without power",
        "limit the contact force",
        "free the person",
        "ISO 14971",
        "IEC 60601-1",
        "IEC 80601-2-77",
        "IEC 62366-1",
        "V&V 40",
        "ISO 13854",
    ] {
        assert!(text.contains(words), "{words:?} is not in the box");
    }
}

fn place() -> tempfile::TempDir {
    folder_with(&[("brief.toml", BRIEF)])
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
    for words in [
        "Design aid. Local codes and licensed practice come first.",
        "fingers",
        "prevent falling",
        "release without power",
    ] {
        let joined = summary.split_whitespace().collect::<Vec<_>>().join(" ");
        assert!(joined.contains(words), "{words:?} is not in {summary}");
    }
    let folder = place.path().join("results");
    let written = files(&folder);
    for name in [
        "brief.toml",
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
        "plots/front-1-3.svg",
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
            for setting in SETTINGS {
                assert!(text.contains(setting), "{setting:?} is not in {name}");
            }
        }
    }
    let page = String::from_utf8(written["summary.html"].clone()).expect("UTF-8");
    cautions_stand_in_a_box_above_the_numbers(&page);
    assert!(page.contains("Arm &amp; &lt;test&gt;"));
    assert!(!page.contains("<script"));
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
    let coverage = row("coverage")["predicted"].as_f64().unwrap();
    let deflection = row("contact_deflection")["predicted_mm"].as_f64().unwrap();
    let stiffness = row("minimum_translational_stiffness")["predicted_n_per_mm"]
        .as_f64()
        .unwrap();
    assert_eq!(got(&page, "Coverage"), format!("{coverage:.3}"));
    assert_eq!(
        got(&page, "Deflection, press"),
        format!("{deflection:.3} mm")
    );
    assert_eq!(
        got(&page, "Minimum stiffness"),
        format!("{stiffness:.1} N/mm")
    );
    // The command on the page for the softest direction gives that stiffness.
    let command = page
        .lines()
        .find_map(|line| line.split_once("analyse design.toml --joints "))
        .map(|(_, rest)| rest.split_whitespace().next().expect("angles"))
        .expect("a command with joint angles");
    let there = calotte(&folder, &["analyse", "design.toml", "--joints", command]);
    assert_eq!(there.status.code(), Some(0));
    let there = String::from_utf8_lossy(&there.stdout).to_string();
    assert!(
        there.contains(&format!("minimum {stiffness:.1} N/mm")),
        "{there}"
    );
    // Derived: margin of an upper limit as a share of it, here 1 mm.
    let margins = String::from_utf8(written["plots/margins.svg"].clone()).expect("UTF-8");
    let percent = format!(">{:.0} %<", 100.0 * (1.0 - deflection));
    assert!(margins.contains(&percent), "{percent} is not in {margins}");
    // One end of the reach is named the inner one, everywhere the same.
    let ends = row("coverage")["note"].as_str().unwrap().to_string();
    let (inner, outer) = ends
        .strip_prefix("inner edge: ")
        .and_then(|rest| rest.split_once("; outer edge: "))
        .unwrap_or_else(|| panic!("{ends}"));
    assert_ne!(
        inner, outer,
        "ends that are alike cannot show a wrong order"
    );
    assert_eq!(page.matches(&ends).count(), 2, "{ends}");
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
        text.contains("NOT MET") && text.contains("Closest achievable requirement"),
        "{text}"
    );
    // What is shown was judged whole: an unjudged combination never looks nearest.
    let json = fs::read(place.path().join("results/results.json")).expect("the results");
    let json: Value = serde_json::from_slice(&json).expect("JSON");
    for row in json["requirements"].as_array().unwrap() {
        if row["quantity"] == "contact_deflection" {
            assert!(row["predicted_mm"].as_f64().unwrap() > 0.001);
        }
    }
    let page = fs::read_to_string(place.path().join("results/summary.html")).expect("the page");
    for words in [
        "Not every requirement is met",
        "Closest achievable requirement",
        "so there is no front",
    ] {
        assert!(page.contains(words), "{words:?} is not on the page");
    }
}
