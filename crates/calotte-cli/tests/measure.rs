//! `calotte measure` through the binary: a plan is made, filled in as a perfect or a crooked
//! prototype would, and read back; what is wrong with a file is said.

mod common;

use std::fs;
use std::path::Path;

use common::{calotte, json};
use serde_json::Value;

const DESIGN: &str = r#"title = "bench"
[linkage]
family = "scissor-linkage"
proximal_arcs_deg = [44]
distal_arcs_deg = [47]
joint_radius_mm = 150
[section]
shape = "rectangle"
tangential_mm = 12
radial_mm = 8
[material]
name = "aluminium 6061-T6"
[joints]
axial_n_per_m = 3e6
radial_n_per_m = 6e6
tilt_nm_per_rad = 300
[tool]
tip_radius_mm = 120
mass_kg = 0.5
"#;

/// The planned points with what a prototype of another design would have measured: moved by a
/// rotation of a quarter turn about x and 1 m along y.
fn filled_in(folder: &Path) -> String {
    let text = fs::read_to_string(folder.join("bench/points.csv")).expect("the plan");
    let mut out = String::new();
    for line in text.lines() {
        let cells: Vec<&str> = line.split(',').collect();
        let numbers: Vec<f64> = cells
            .iter()
            .take(5)
            .filter_map(|c| c.parse().ok())
            .collect();
        if line.starts_with('#') || numbers.len() < 5 {
            out.push_str(line);
        } else {
            let [x, y, z] = [numbers[2], numbers[3], numbers[4]];
            let moved = [x, -z + 1000.0, y];
            out.push_str(&format!(
                "{},{},{},{},{},{:.4},{:.4},{:.4},{}",
                cells[0],
                cells[1],
                cells[2],
                cells[3],
                cells[4],
                moved[0],
                moved[1],
                moved[2],
                cells[8]
            ));
        }
        out.push('\n');
    }
    out
}

#[test]
fn a_plan_is_made_filled_in_and_fitted() {
    let place = tempfile::tempdir().expect("a folder");
    let folder = place.path();
    fs::write(folder.join("design.toml"), DESIGN).expect("written");
    let plan = json(&calotte(
        folder,
        &["measure", "plan", "design.toml", "--out", "bench", "--json"],
    ));
    assert_eq!(plan["rows"].as_array().expect("rows").len(), 30 + 3 * 4 + 2);
    let least = plan["minimum_singular_value"].as_f64().expect("a number");
    let random = &plan["minimum_singular_value_of_random"]["median"];
    assert!(least > 1.6 * random.as_f64().expect("a number"));
    // Weights stand out of the gauge's noise and far from yield; the sheet warns.
    for one in plan["weights"].as_array().expect("weights") {
        assert!(
            one["signal_to_noise_of_smallest"].as_f64() >= Some(10.0),
            "{one}"
        );
        assert!(one["safety_factor_yield"].as_f64() >= Some(3.0), "{one}");
    }
    let sheet = fs::read_to_string(folder.join("bench/sheet.html")).expect("a sheet");
    assert!(
        sheet.contains("Falling weights injure")
            && sheet.contains("Keep people out of the instrument")
    );
    let weights = fs::read_to_string(folder.join("bench/weights.csv")).expect("weights");
    assert!(
        weights
            .lines()
            .filter(|line| line.contains(",unloading,"))
            .count()
            >= 9
    );
    // A plan that nobody filled in is refused, and says so.
    let empty = calotte(
        folder,
        &["measure", "fit", "design.toml", "bench/points.csv"],
    );
    assert_eq!(empty.status.code(), Some(2));
    // Filled in as the design itself would be measured, to a ten-thousandth of a millimetre.
    fs::write(folder.join("points.csv"), filled_in(folder)).expect("written");
    let output = calotte(
        folder,
        &[
            "measure",
            "fit",
            "design.toml",
            "points.csv",
            "--out",
            "fit",
            "--json",
        ],
    );
    assert_eq!(output.status.code(), Some(0), "{output:?}");
    let found = json(&output);
    assert!(
        found["residual_mm"]["rms"].as_f64() < Some(1e-3),
        "{}",
        found["residual_mm"]
    );
    assert_eq!(found["verdict"]["agrees_within_assumed_tolerances"], true);
    assert_eq!(found["outlier_rows"].as_array().map(Vec::len), Some(0));
    assert_eq!(found["groups"].as_array().map(Vec::len), Some(4));
    let shift = &found["registration"]["translation_mm"];
    for (got, wanted) in shift
        .as_array()
        .expect("three")
        .iter()
        .zip([0.0, 1000.0, 0.0])
    {
        assert!((got.as_f64().expect("a number") - wanted).abs() < 1e-3);
    }
    for file in [
        "fit.json",
        "design-calibrated.toml",
        "corrections.csv",
        "residuals.svg",
        "residuals-dome.svg",
        "identifiability.svg",
    ] {
        assert!(folder.join("fit").join(file).exists(), "{file}");
    }
    // The calibrated design is read back and is the design.
    let again = json(&calotte(
        folder,
        &["analyse", "fit/design-calibrated.toml", "--json"],
    ));
    let before = json(&calotte(folder, &["analyse", "design.toml", "--json"]));
    let reach = |document: &Value| document["reach"]["polar_max_deg"].as_f64().expect("reach");
    assert!((reach(&again) - reach(&before)).abs() < 0.05);
}

/// A prototype whose base-left bar is half a degree long is told from the design, by name.
#[test]
fn a_long_bar_is_named_and_its_table_of_corrections_follows() {
    let place = tempfile::tempdir().expect("a folder");
    let folder = place.path();
    // The plan of a prototype with other arcs, read against the design.
    fs::write(folder.join("design.toml"), DESIGN.replace("[44]", "[44.5]")).expect("written");
    calotte(
        folder,
        &["measure", "plan", "design.toml", "--out", "bench"],
    );
    fs::write(folder.join("points.csv"), filled_in(folder)).expect("written");
    fs::write(folder.join("design.toml"), DESIGN).expect("written");
    let output = calotte(
        folder,
        &[
            "measure",
            "fit",
            "design.toml",
            "points.csv",
            "--out",
            "fit",
        ],
    );
    assert_eq!(output.status.code(), Some(1), "{output:?}");
    let text = String::from_utf8_lossy(&output.stdout).to_string();
    assert!(
        text.contains("deviates from the design") && text.contains("first_arc_deg"),
        "{text}"
    );
    for line in text.lines() {
        assert!(line.chars().count() <= 80, "{line}");
    }
    // Both base bars of the prototype are long.
    let words: Vec<&str> = text.split_whitespace().collect();
    let said = words.join(" ");
    let (_, certain) = said
        .split_once("at fault for certain, all of these together: base-left (")
        .expect("both bars");
    let numbers = certain.split_once("); what to do: replace base-left, and replace base-right");
    let (certain, _) = numbers.expect("what to do");
    let (left, right) = certain.split_once(") and base-right (").expect("both bars");
    for (bar, values) in [("base-left", left), ("base-right", right)] {
        // With next to no noise the fault is the half degree that was made.
        let by = values.strip_prefix(&format!("{bar}.first_arc_deg +"));
        let by = by.and_then(|by| by.split(' ').next()?.parse::<f64>().ok());
        assert!(by.is_some_and(|by| (by - 0.5).abs() < 5e-3), "{values}");
    }
    let table = fs::read_to_string(folder.join("fit/corrections.csv")).expect("a table");
    assert!(table.lines().count() > 100);
    // Where the table says the tool points, the prototype's own closed form points.
    fs::write(
        folder.join("prototype.toml"),
        DESIGN.replace("[44]", "[44.5]"),
    )
    .expect("written");
    let mut greatest: f64 = 0.0;
    let rows = table.lines().filter(|line| !line.starts_with('#'));
    for line in rows.skip(1).step_by(40) {
        let cells: Vec<f64> = line.split(',').filter_map(|c| c.parse().ok()).collect();
        let joints = format!("{},{}", cells[0], cells[1]);
        let found = json(&calotte(
            folder,
            &["analyse", "prototype.toml", "--joints", &joints, "--json"],
        ));
        let polar = found["configurations"][0]["direction_deg"]["polar"]
            .as_f64()
            .expect("a direction");
        assert!((polar - cells[4]).abs() < 0.01, "{line} {polar}");
        greatest = greatest.max(cells[6].abs());
        // With what the table adds, the prototype points where the design does.
        let joints = format!("{},{}", cells[0] + cells[8], cells[1] + cells[9]);
        let found = json(&calotte(
            folder,
            &["analyse", "prototype.toml", "--joints", &joints, "--json"],
        ));
        let polar = found["configurations"][0]["direction_deg"]["polar"]
            .as_f64()
            .expect("a direction");
        assert!((polar - cells[2]).abs() < 0.01, "{line} {polar}");
    }
    assert!(greatest > 0.1, "{greatest}");
}

#[test]
fn what_cannot_be_fitted_is_said() {
    let place = tempfile::tempdir().expect("a folder");
    let folder = place.path();
    fs::write(folder.join("design.toml"), DESIGN).expect("written");
    let rows = |count: i32| {
        let mut text = "left_deg,right_deg,x_mm,y_mm,z_mm\n".to_string();
        for i in 0..count {
            text.push_str(&format!("{},{},{i},{},3\n", 40 + i, -40 - i, i * i));
        }
        text
    };
    fs::write(folder.join("few.csv"), rows(5)).expect("written");
    fs::write(
        folder.join("nowhere.csv"),
        "left_deg,right_deg,x_mm,y_mm,z_mm\n".to_string() + &"40,-40,1,2,3\n".repeat(12),
    )
    .expect("written");
    fs::write(folder.join("twelve.csv"), rows(12)).expect("written");
    for (arguments, words) in [
        (vec!["few.csv"], "too few to fit"),
        (vec!["nowhere.csv"], "one line"),
        (vec!["missing.csv"], "cannot read"),
        (
            vec!["twelve.csv", "--hold", "bar-left-9.bend_deg"],
            "no parameter is called bar-left-9.bend",
        ),
        (vec!["design.toml"], "error"),
    ] {
        let mut all = vec!["measure", "fit", "design.toml"];
        all.extend(&arguments);
        all.extend(["--out", "fit"]);
        let output = calotte(folder, &all);
        assert_eq!(output.status.code(), Some(2), "{arguments:?}");
        let message = String::from_utf8_lossy(&output.stderr).to_string();
        assert!(message.contains(words), "{arguments:?}: {message}");
        assert!(!folder.join("fit").exists(), "nothing is written");
    }
    for (arguments, words) in [
        (["--count", "4"], "too few"),
        (["--noise-mm", "0"], "a noise of 0"),
    ] {
        let mut all = vec!["measure", "plan", "design.toml"];
        all.extend(arguments);
        let output = calotte(folder, &all);
        assert_eq!(output.status.code(), Some(2));
        assert!(String::from_utf8_lossy(&output.stderr).contains(words));
    }
}

/// Equal seeds give the same plan, others another; what brief and design differ in is said.
#[test]
fn a_plan_has_a_seed_and_a_brief() {
    let place = tempfile::tempdir().expect("a folder");
    let folder = place.path();
    fs::write(folder.join("design.toml"), DESIGN).expect("written");
    let brief = r#"title = "bench"
[region]
shape = "cap"
half_angle_deg = 60
coverage_min = 0.1
[tool]
mass_kg = 0.7
tip_radius_mm = 120
[space]
joint_radius_mm = 150
[limits]
transmission_angle_min_deg = 30
[choice]
families = ["scissor-linkage"]
"#;
    fs::write(folder.join("brief.toml"), brief).expect("written");
    let plan = |more: &[&str]| {
        let words = ["measure", "plan", "design.toml", "--json"];
        let output = calotte(folder, &[&words, more].concat());
        assert_eq!(output.status.code(), Some(0), "{output:?}");
        (
            json(&output),
            String::from_utf8_lossy(&output.stderr).to_string(),
        )
    };
    let (first, said) = plan(&[]);
    assert!(said.is_empty(), "{said}");
    assert_eq!(plan(&["--seed", "0"]).0, first);
    let (other, _) = plan(&["--seed", "5"]);
    assert_ne!(other["rows"], first["rows"]);
    assert_eq!(other["order"]["seed"], 5);
    assert_eq!(first["order"]["drift_separable"], true);
    let (kept, said) = plan(&["--brief", "brief.toml"]);
    assert!(
        said.contains("warning: tool mass: the design has 0.5"),
        "{said}"
    );
    let polar = |plan: &Value| plan["polar_deg"][1].as_f64().expect("a number");
    assert!(polar(&first) > 70.0 && polar(&kept) < 60.01);
    assert_eq!(kept["narrow_range"]["by_brief"], true);
    let missing = calotte(
        folder,
        &["measure", "plan", "design.toml", "--brief", "none.toml"],
    );
    assert_eq!(missing.status.code(), Some(2));
}

/// A parameter that the points identify and that was held on request is not called otherwise.
#[test]
fn what_is_held_on_request_is_not_called_unidentifiable() {
    let example = Path::new(env!("CARGO_MANIFEST_DIR")).join("../../examples/head-dome/bench");
    let fit = |more: &[&str]| {
        let words = ["measure", "fit", "design.toml", "points.csv"];
        let output = calotte(&example, &[&words, more].concat());
        String::from_utf8(output.stdout).expect("text")
    };
    let free = fit(&[]);
    let line = |text: &str| -> String {
        let (_, rest) = text.split_once("\nFixed ").expect("the line");
        let rest: Vec<&str> = rest.lines().collect();
        let end = rest.iter().skip(1).position(|line| !line.starts_with(' '));
        let words: Vec<&str> = rest[..=end.unwrap_or(0)]
            .iter()
            .flat_map(|line| line.split_whitespace())
            .collect();
        words.join(" ")
    };
    assert!(!line(&free).contains("swing.backlash_deg"), "{free}");
    assert!(free.contains("\n  swing.backlash_deg"), "{free}");
    let held = line(&fit(&["--hold", "swing.backlash_deg"]));
    assert!(held.starts_with("at nominal: "), "{held}");
    assert!(held.contains("swing.backlash_deg"), "{held}");
}
