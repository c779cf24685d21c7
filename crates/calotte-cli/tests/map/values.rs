//! The numbers of a map.

use std::fs;

use super::{calotte, json, place};

/// Least translational stiffness (N/mm) at equal polar angle, total arc 94°, 1 to
/// 6 stages, with rigid joints: derived by two independent programs (see
/// docs/validation.md).
const RIGID: [[f64; 6]; 3] = [
    [8.335, 28.58, 37.93, 39.99, 38.21, 34.62],
    [8.676, 14.05, 14.94, 15.22, 15.32, 15.34],
    [7.553, 8.955, 9.143, 9.201, 9.223, 9.230],
];
/// The same with joints of 3e6 N/m axial, 6e6 N/m radial and 300 N·m/rad.
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
    // The reason is counted in the legend: 8° and 12° of one stage, 8° of two.
    assert!(
        drawn.contains("polar angle not reached (4 of 12 cells)"),
        "{drawn}"
    );
    let mut with = arguments.to_vec();
    with.extend(["--dimensionless", "--out", "other"]);
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

/// GCI of the theory's check table (cap of 90°, two bars driven), by two independent
/// programs: 1 stage of 48°, 2 of 24°, 3 of 15.5°.
#[test]
fn conditioning_of_the_check_table() {
    let place = place();
    let document = json(&calotte(
        place.path(),
        &[
            "map",
            "design.toml",
            "--x",
            "stages=1..3",
            "--y",
            "arc_deg=15.5,24,48",
            "--show",
            "gci",
            "--json",
        ],
    ));
    let values = &document["show"][0]["these_joints"]["values"];
    for (index, wanted) in [(2, 0.60661), (3 + 1, 0.60364), (6, 0.56100)] {
        let got = values[index].as_f64().unwrap();
        assert!((got - wanted).abs() < 5e-6, "{index}: {got} {wanted}");
    }
    // One column, since joints do not change it.
    let table = fs::read_to_string(place.path().join("map/map.csv")).unwrap();
    let head = table.lines().next().unwrap();
    assert!(
        head.contains(",gci,") && !head.contains("gci_rigid"),
        "{head}"
    );
}

/// Derived: equal arcs of m stages reach 2 m β, so a reach of 94° asks for 47°/m; and a
/// map of one cell must say what the analysis of that design says.
#[test]
fn designs_of_equal_reach() {
    let place = place();
    let output = calotte(
        place.path(),
        &[
            "map",
            "design.toml",
            "--x",
            "stages=1..4",
            "--y",
            "arc_deg=8..32:3",
            "--show",
            "stiffness,gci",
            "--line",
            "reach=94",
            "--json",
        ],
    );
    let document = json(&output);
    let line = &document["equal_reach"][0];
    assert_eq!(line["solved_for"], "arc_deg");
    // One stage would need 47°, which lies outside the map.
    assert!(line["points"][0]["arc_deg"].is_null());
    let why = line["points"][0]["no_value_because"].as_str().unwrap();
    assert!(why.contains("8 to 32"), "{why}");
    for stages in 2..=4 {
        let point = &line["points"][stages - 1];
        let arc = point["arc_deg"].as_f64().unwrap();
        assert!((arc - 47.0 / stages as f64).abs() < 1e-6, "{stages}: {arc}");
    }
    assert_eq!(
        line["best_by_column"]["stiffness_these_joints_n_per_mm"],
        2.0
    );
    let analysed = json(&calotte(
        place.path(),
        &["analyse", "design.toml", "--json"],
    ));
    let row = analysed["requirements"]
        .as_array()
        .unwrap()
        .iter()
        .find(|row| row["quantity"] == "minimum_translational_stiffness")
        .unwrap();
    let wanted = row["predicted_n_per_mm"].as_f64().unwrap();
    let got = line["points"][1]["stiffness_these_joints_n_per_mm"]
        .as_f64()
        .unwrap();
    assert!((got / wanted - 1.0).abs() < 1e-6, "{got} {wanted}");
    for file in ["equal-reach.csv", "equal-reach-stiffness.svg"] {
        assert!(place.path().join("map").join(file).exists(), "{file}");
    }
}

#[test]
fn an_arm_over_its_arcs() {
    let place = place();
    fs::write(
        place.path().join("arm.toml"),
        r#"linkage = { family = "two-arc-arm", arcs_deg = [55, 45], joint_radius_mm = 150 }
section = { shape = "rod", diameter_mm = 8 }
material = { name = "aluminium 6061-T6" }
joints = { rigid = true }
tool = { tip_radius_mm = 150, mass_kg = 0.5, centre_of_mass_radius_mm = 160 }
"#,
    )
    .unwrap();
    let output = calotte(
        place.path(),
        &[
            "map",
            "arm.toml",
            "--x",
            "first_arc_deg=30..60:10",
            "--y",
            "second_arc_deg=30..60:10",
            "--show",
            "coverage,sag,stiffness-azimuth,holding-torque",
            "--set",
            "diameter_mm=10",
            "--json",
        ],
    );
    let document = json(&output);
    assert_eq!(output.status.code(), Some(0), "{document}");
    // An arm reaches from the difference to the sum of its arcs (derived): 30° and
    // 30° cover the cap of 60° of the cap of 90°, 1 − cos 60° of its area.
    let coverage = document["show"][0]["these_joints"]["values"][0]
        .as_f64()
        .unwrap();
    assert!((coverage - 0.5).abs() < 1e-9, "{coverage}");
    // Joints are rigid, so both columns are the same.
    let sag = &document["show"][1];
    assert_eq!(sag["rigid_joints"]["values"], sag["these_joints"]["values"]);
    let refused = calotte(
        place.path(),
        &[
            "map",
            "arm.toml",
            "--x",
            "tilt_nm_per_rad=1,2",
            "--y",
            "arc_deg=30..31",
        ],
    );
    assert_eq!(refused.status.code(), Some(2));
    assert!(String::from_utf8_lossy(&refused.stderr).contains("rigid"));
}

/// A map in which no cell has a value is written, and is no answer.
#[test]
fn a_map_without_any_answer_exits_1_with_the_reason() {
    let place = place();
    let map = |polar: &str| {
        let mut arguments = vec![
            "map",
            "design.toml",
            "--x",
            "stages=1,2",
            "--y",
            "arc_deg=8,9",
        ];
        arguments.extend(["--out", "m", "--force", "--at", polar]);
        calotte(place.path(), &arguments)
    };
    let output = map("polar=80");
    assert_eq!(output.status.code(), Some(1));
    let said = String::from_utf8_lossy(&output.stderr);
    let reason = "error: the map has no answer: 4 of 4 cells: the polar angle is not reached";
    assert!(said.contains(reason), "{said}");
    assert!(place.path().join("m/map.csv").exists());
    // Two stages of 9° reach it, one does not: that is an answer.
    let output = map("polar=30");
    assert_eq!(output.status.code(), Some(0), "{output:?}");
}
