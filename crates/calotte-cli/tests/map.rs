//! `calotte map` and `calotte compare` through the binary.

use std::fs;
use std::path::{Path, PathBuf};
use std::process::{Command, Output};

fn example() -> PathBuf {
    Path::new(env!("CARGO_MANIFEST_DIR")).join("../../examples/trend-map/design.toml")
}

fn calotte(folder: &Path, arguments: &[&str]) -> Output {
    Command::new(env!("CARGO_BIN_EXE_calotte"))
        .current_dir(folder)
        .args(arguments)
        .output()
        .expect("the binary runs")
}

fn place() -> tempfile::TempDir {
    let place = tempfile::tempdir().expect("a temporary folder");
    fs::copy(example(), place.path().join("design.toml")).expect("the example");
    place
}

fn json(output: &Output) -> serde_json::Value {
    serde_json::from_slice(&output.stdout)
        .unwrap_or_else(|e| panic!("{e}: {}", String::from_utf8_lossy(&output.stderr)))
}

/// Least translational stiffness (N/mm) at equal polar angle, total arc 94°, 1 to
/// 6 stages: derived by two independent programs (see docs/validation.md).
const RIGID: [[f64; 6]; 3] = [
    [8.335, 28.58, 37.93, 39.99, 38.21, 34.62],
    [8.676, 14.05, 14.94, 15.22, 15.32, 15.34],
    [7.553, 8.955, 9.143, 9.201, 9.223, 9.230],
];
const REAL: [[f64; 6]; 3] = [
    [4.682, 10.46, 7.900, 4.385, 2.463, 1.482],
    [5.074, 6.870, 6.550, 5.973, 5.312, 4.575],
    [4.396, 4.545, 4.186, 3.834, 3.516, 3.230],
];

#[test]
fn the_turn_comes_out_of_the_map() {
    let place = place();
    let output = calotte(
        place.path(),
        &[
            "map",
            "design.toml",
            "--x",
            "stages=1..6",
            "--y",
            "polar=30,60,80",
            "--set",
            "total_arc_deg=94",
            "--show",
            "stiffness",
            "--json",
        ],
    );
    assert_eq!(output.status.code(), Some(0));
    let document = json(&output);
    let shown = &document["show"][0];
    for (joints, table) in [("rigid_joints", RIGID), ("these_joints", REAL)] {
        for (row, line) in table.iter().enumerate() {
            for (column, wanted) in line.iter().enumerate() {
                let got = shown[joints]["values"][row * 6 + column].as_f64().unwrap();
                assert!(
                    (got / wanted - 1.0).abs() < 1e-3,
                    "{joints} row {row} column {column}: {got} {wanted}"
                );
            }
        }
    }
    // With these joints two stages win everywhere, with rigid ones more do.
    for row in 0..3 {
        assert_eq!(shown["these_joints"]["best"][row]["best_x"], 2.0);
        assert!(
            shown["rigid_joints"]["best"][row]["best_x"]
                .as_f64()
                .unwrap()
                > 3.0
        );
    }
    for file in [
        "map-stiffness.svg",
        "lines-stiffness.svg",
        "map.csv",
        "map.md",
    ] {
        assert!(place.path().join("map").join(file).exists(), "{file}");
    }
}

#[test]
fn lines_of_reach_unreached_cells_and_dimensionless_values() {
    let place = place();
    let arguments = [
        "map",
        "design.toml",
        "--x",
        "stages=1..3",
        "--y",
        "arc_deg=8..20:4",
        "--line",
        "reach=60",
        "--at",
        "polar=40",
        "--json",
    ];
    let plain = json(&calotte(place.path(), &arguments));
    // One stage of 8° reaches 16°, so 40° has no value and a reason.
    assert!(plain["show"][0]["these_joints"]["values"][0].is_null());
    assert!(
        plain["no_value_because"][0]
            .as_str()
            .unwrap()
            .contains("not reached")
    );
    let drawn = fs::read_to_string(place.path().join("map/map-stiffness.svg")).unwrap();
    assert!(drawn.contains("reach 60"));
    let mut with = arguments.to_vec();
    with.push("--dimensionless");
    let dimensionless = json(&calotte(place.path(), &with));
    // R³/(E I) with I = 12·6³/12 mm⁴ in the arc's plane; values in N/mm before.
    let factor = 150f64.powi(3) / (68_900.0 * 12.0 * 216.0 / 12.0);
    let index = 2 + 3 * 3;
    let value = |d: &serde_json::Value| {
        d["show"][0]["these_joints"]["values"][index]
            .as_f64()
            .unwrap()
    };
    assert!((value(&dimensionless) / (value(&plain) * factor) - 1.0).abs() < 1e-12);
}

#[test]
fn wrong_words_are_named_and_nothing_is_written() {
    for (arguments, words) in [
        (
            vec!["--x", "stags=1..3", "--y", "arc_deg=8..9"],
            vec!["stags", "stages", "allowed"],
        ),
        (
            vec!["--x", "stages=3..1", "--y", "arc_deg=8..9"],
            vec!["backwards", "stages=1..3"],
        ),
        (
            vec!["--x", "stages=1..3", "--y", "arc_deg=8..9:0"],
            vec!["step"],
        ),
        (
            vec!["--x", "stages=1..3", "--y", "stages=1..2"],
            vec!["both stages"],
        ),
        (
            vec!["--x", "stages=0..3", "--y", "arc_deg=8..9"],
            vec!["outside 1 to"],
        ),
        (
            vec!["--x", "stages=1..3", "--y", "arc_deg=8..200"],
            vec!["outside"],
        ),
        (
            vec!["--x", "stages=1..3", "--y", "arc_deg=8..NaN"],
            vec!["outside"],
        ),
        (
            vec!["--x", "stages=1..3", "--y", "first_arc_deg=8..9"],
            vec!["scissor-linkage"],
        ),
        (
            vec!["--x", "stages=1..3", "--y", "diameter_mm=8..9"],
            vec!["section"],
        ),
        (
            vec![
                "--x",
                "stages=1..3",
                "--y",
                "arc_deg=8..9",
                "--show",
                "stifness",
            ],
            vec!["stifness", "stiffness"],
        ),
        (
            vec![
                "--x",
                "stages=1..3",
                "--y",
                "arc_deg=8..9",
                "--line",
                "gci=1",
            ],
            vec!["--line"],
        ),
        (
            vec![
                "--x",
                "stages=1..3",
                "--y",
                "arc_deg=8..9",
                "--at",
                "stages=2",
            ],
            vec!["only polar"],
        ),
        (
            vec![
                "--x",
                "stages=1..3",
                "--y",
                "arc_deg=8..9",
                "--width-mm",
                "10",
            ],
            vec!["map-stiffness.svg"],
        ),
    ] {
        let place = place();
        let mut all = vec!["map", "design.toml"];
        all.extend(&arguments);
        let output = calotte(place.path(), &all);
        let message = String::from_utf8_lossy(&output.stderr);
        assert_eq!(output.status.code(), Some(2), "{arguments:?}: {message}");
        for word in words {
            assert!(message.contains(word), "{word:?} is not in: {message}");
        }
        assert!(message.contains("hint:"), "{message}");
        assert!(!place.path().join("map").exists(), "{arguments:?} wrote");
    }
}

#[test]
fn a_folder_with_other_files_is_kept() {
    let place = place();
    fs::create_dir(place.path().join("map")).unwrap();
    fs::write(place.path().join("map/mine.txt"), "mine").unwrap();
    let output = calotte(
        place.path(),
        &[
            "map",
            "design.toml",
            "--x",
            "stages=1..2",
            "--y",
            "arc_deg=20,22",
        ],
    );
    assert_eq!(output.status.code(), Some(2));
    assert_eq!(
        fs::read_to_string(place.path().join("map/mine.txt")).unwrap(),
        "mine"
    );
}

#[test]
fn compare_puts_designs_side_by_side() {
    let place = place();
    let text = fs::read_to_string(place.path().join("design.toml")).unwrap();
    fs::write(
        place.path().join("thick.toml"),
        text.replace("radial_mm = 6", "radial_mm = 9"),
    )
    .unwrap();
    let output = calotte(place.path(), &["compare", "design.toml", "thick.toml"]);
    assert_eq!(output.status.code(), Some(0));
    let table = String::from_utf8_lossy(&output.stdout);
    assert!(
        table.lines().all(|line| line.chars().count() <= 80),
        "{table}"
    );
    let stiffness = table
        .lines()
        .find(|line| line.starts_with("Least stiffness"))
        .unwrap();
    // The thicker section is the stiffer one.
    assert!(stiffness.trim_end().ends_with('*'), "{stiffness}");
    let document = json(&calotte(
        place.path(),
        &["compare", "design.toml", "thick.toml", "--json"],
    ));
    assert_eq!(document["designs"].as_array().unwrap().len(), 2);
    let one = calotte(place.path(), &["compare", "design.toml"]);
    assert_eq!(one.status.code(), Some(2));
}
