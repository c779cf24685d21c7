//! Designs side by side.

use std::fs;

use super::{calotte, json, place};

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
        .find(|line| line.starts_with("Minimum stiffness"))
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

#[test]
fn compare_names_what_each_design_misses() {
    let place = place();
    let text = fs::read_to_string(place.path().join("design.toml")).unwrap();
    for (name, arcs) in [("short.toml", "10, 10"), ("long.toml", "25, 25")] {
        fs::write(place.path().join(name), text.replace("23.5, 23.5", arcs)).unwrap();
    }
    fs::write(
        place.path().join("brief.toml"),
        r#"[region]
shape = "cap"
axis = [0, 0, 1]
half_angle_deg = 80
coverage_min = 0.9

[tool]
tip_radius_mm = 150

[joints]
axial_n_per_m = 3e6
radial_n_per_m = 6e6
tilt_nm_per_rad = 300

[limits]
moving_mass_kg = 1
transmission_angle_min_deg = 20
"#,
    )
    .unwrap();
    let names = ["design.toml", "short.toml", "long.toml", "design.toml"];
    let mut arguments = vec!["compare"];
    arguments.extend(names);
    arguments.extend(["--brief", "brief.toml"]);
    let output = calotte(place.path(), &arguments);
    let table = String::from_utf8_lossy(&output.stdout).to_string();
    assert_eq!(output.status.code(), Some(1), "{table}");
    assert!(
        table.lines().all(|line| line.chars().count() <= 80),
        "{table}"
    );
    assert!(table.contains("A  MET"), "{table}");
    assert!(table.contains("B  NOT MET: coverage"), "{table}");
    // The short design is the stiffest where it reaches, and is not called the best.
    let stiffness = table
        .lines()
        .find(|l| l.starts_with("Minimum stiffness"))
        .unwrap();
    let cells: Vec<&str> = stiffness.split_whitespace().skip(3).collect();
    let number = |cell: &str| cell.trim_end_matches('*').parse::<f64>().unwrap();
    assert!(number(cells[1]) > 2.0 * number(cells[0]), "{stiffness}");
    assert!(!cells[1].ends_with('*'), "{stiffness}");
    arguments.push("--json");
    let document = json(&calotte(place.path(), &arguments));
    assert_eq!(document["designs"][1]["file"], "short.toml");
    assert_eq!(document["designs"][1]["met"], false);
}
