//! Maps of a built linkage: each cell is the analysis of the design it stands for, and
//! beside it that of the ideal linkage.

use std::fs;
use std::path::Path;

use serde_json::Value;

use super::{calotte, json};

const DESIGN: &str = r#"title = "built"
[linkage]
family = "scissor-linkage"
proximal_arcs_deg = [24, 24]
distal_arcs_deg = [24, 24]
joint_radius_mm = 160
[section]
shape = "rectangle"
tangential_mm = 16
radial_mm = 12
[material]
name = "aluminium 6061-T6"
[joints.bearing]
name = "624"
[layers]
arrangement = "two"
[tool]
tip_radius_mm = 100
mass_kg = 0.5
"#;

fn map(folder: &Path, arguments: &[&str]) -> Value {
    let mut all = vec!["map", "design.toml", "--json", "--force"];
    all.extend(arguments);
    let output = calotte(folder, &all);
    assert_eq!(output.status.code(), Some(0), "{output:?}");
    json(&output)
}

fn numbers(value: &Value) -> Vec<f64> {
    let list = value.as_array().expect("a list");
    list.iter()
        .map(|v| v.as_f64().unwrap_or(f64::NAN))
        .collect()
}

/// Least stiffness and covered share of a design by `calotte analyse`.
fn analysed(folder: &Path, text: &str) -> [f64; 3] {
    fs::write(folder.join("other.toml"), text).expect("written");
    let found = json(&calotte(folder, &["analyse", "other.toml", "--json"]));
    let stiffness = found["requirements"]
        .as_array()
        .expect("rows")
        .iter()
        .find(|row| row["quantity"] == "minimum_translational_stiffness")
        .and_then(|row| row["predicted_n_per_mm"].as_f64())
        .expect("stiffness");
    let coverage = found["reach"]["coverage_fraction"]
        .as_f64()
        .expect("coverage");
    let mass = found["moving_mass_kg"].as_f64().expect("a mass");
    [stiffness, coverage, mass]
}

#[test]
fn a_map_over_bearings_is_the_analysis_of_each_and_of_the_ideal_linkage() {
    let place = tempfile::tempdir().expect("a folder");
    fs::write(place.path().join("design.toml"), DESIGN).expect("written");
    let document = map(
        place.path(),
        &[
            "--x",
            "bearing_bore_mm=3,4,6",
            "--y",
            "stages=2",
            "--show",
            "stiffness,coverage,moving-mass",
        ],
    );
    let show = document["show"].as_array().expect("quantities");
    for (index, name) in ["623", "624", "626"].iter().enumerate() {
        let design = DESIGN.replace("\"624\"", &format!("\"{name}\""));
        let found = analysed(place.path(), &design);
        for (shown, wanted) in show.iter().zip(found) {
            let got = numbers(&shown["with_bearings_and_layers"]["values"])[index];
            assert!((got / wanted - 1.0).abs() < 1e-6, "{name} {got} {wanted}");
        }
    }
    let ideal = DESIGN
        .replace("[joints.bearing]\nname = \"624\"", "[joints]\nrigid = true")
        .replace("[layers]\narrangement = \"two\"\n", "");
    let found = analysed(place.path(), &ideal);
    for (shown, wanted) in show.iter().zip(found) {
        for got in numbers(&shown["ideal"]["values"]) {
            assert!((got / wanted - 1.0).abs() < 1e-6, "{got} {wanted}");
        }
    }
    // The same bearing of another series, or one the table lacks, is said.
    let output = calotte(
        place.path(),
        &[
            "map",
            "design.toml",
            "--x",
            "bearing_bore_mm=4.5",
            "--y",
            "stages=2",
        ],
    );
    assert_eq!(output.status.code(), Some(2));
    let message = String::from_utf8_lossy(&output.stderr).to_string();
    assert!(
        message.contains("series of 624") && message.contains("3, 4, 5, 6"),
        "{message}"
    );
}

/// More layers never reach less, and two are those of `analyse --layers`; an arrangement
/// that is a list is found anew for other numbers of stages.
#[test]
fn a_map_over_layers_finds_the_arrangement_of_each_number() {
    let place = tempfile::tempdir().expect("a folder");
    fs::write(place.path().join("design.toml"), DESIGN).expect("written");
    let document = map(
        place.path(),
        &[
            "--x",
            "layers=2..6",
            "--y",
            "arc_deg=24",
            "--show",
            "coverage,stiffness",
        ],
    );
    let coverage = numbers(&document["show"][0]["with_bearings_and_layers"]["values"]);
    let stiffness = numbers(&document["show"][1]["with_bearings_and_layers"]["values"]);
    assert_eq!(coverage.len(), 5);
    for pair in coverage.windows(2) {
        assert!(pair[1] > pair[0] - 2e-3, "{coverage:?}");
    }
    assert!(coverage[4] > coverage[0] + 0.02, "{coverage:?}");
    assert!(stiffness[4] < 0.8 * stiffness[0], "{stiffness:?}");
    let listed = json(&calotte(
        place.path(),
        &["analyse", "design.toml", "--layers", "--json"],
    ));
    let options = listed["arrangements"].as_array().expect("arrangements");
    for option in options {
        let count = option["layers"].as_u64().expect("a count") as usize;
        let of_bars = &option["of_bars"];
        let design = DESIGN.replace(
            "arrangement = \"two\"",
            &format!("arrangement = \"given\"\nof_bars = {of_bars}"),
        );
        let found = analysed(place.path(), &design);
        assert!(
            (found[1] - coverage[count - 2]).abs() < 0.02,
            "{count}: {found:?}"
        );
    }
    let of_bars = &options[1]["of_bars"];
    let design = DESIGN.replace(
        "arrangement = \"two\"",
        &format!("arrangement = \"given\"\nof_bars = {of_bars}"),
    );
    fs::write(place.path().join("design.toml"), design).expect("written");
    let document = map(
        place.path(),
        &[
            "--x",
            "stages=1..3",
            "--y",
            "polar=60",
            "--set",
            "total_arc_deg=96",
            "--show",
            "stiffness",
        ],
    );
    for value in numbers(&document["show"][0]["with_bearings_and_layers"]["values"]) {
        assert!(value > 1.0, "{document:#}");
    }
}

#[test]
fn what_is_not_built_has_no_such_variables() {
    let place = tempfile::tempdir().expect("a folder");
    let bare = DESIGN
        .replace("[joints.bearing]\nname = \"624\"", "[joints]\nrigid = true")
        .replace("[layers]\narrangement = \"two\"\n", "");
    fs::write(place.path().join("design.toml"), bare).expect("written");
    for (axis, words) in [
        ("bearing_bore_mm=3,4", "needs joints with bearings"),
        ("bearing_spacing_mm=6,8", "needs joints with bearings"),
        ("layers=2..4", "needs a design with [layers]"),
        ("layer_gap_mm=0.5,1", "needs a design with [layers]"),
        ("layers=2.5", "no whole number"),
        ("layers=1..3", "outside 2"),
    ] {
        let output = calotte(
            place.path(),
            &["map", "design.toml", "--x", axis, "--y", "stages=2"],
        );
        assert_eq!(output.status.code(), Some(2), "{axis}");
        let message = String::from_utf8_lossy(&output.stderr).to_string();
        assert!(message.contains(words), "{axis}: {message}");
    }
}
