//! The main job where arcs may differ: what the results folder holds of the front, and what is
//! refused.

use std::fs;
use std::path::Path;
use std::process::{Command, Output};

fn calotte(folder: &Path, arguments: &[&str]) -> Output {
    Command::new(env!("CARGO_BIN_EXE_calotte"))
        .args(arguments)
        .current_dir(folder)
        .output()
        .expect("the program runs")
}

fn text(bytes: &[u8]) -> String {
    String::from_utf8_lossy(bytes).into_owned()
}

/// Invented.
const BRIEF: &str = r#"title = "own arcs"
[region]
shape = "cap"
half_angle_deg = 70
coverage_min = 0.95
[[exclude]]
axis = [0, 0, 1]
half_angle_deg = 15
[space]
joint_radius_mm = { from = 150, to = 160 }
[tool]
mass_kg = 0.5
tip_radius_mm = 110
[[load]]
name = "press"
on = "tip"
force_n = { radial = 5 }
[limits]
contact_deflection_mm = 0.6
lci_min = 0.2
transmission_angle_min_deg = 20
[choice]
families = ["scissor-linkage"]
full_grid = false
stages = [1, 2]
arc_deg = { from = 10, to = 60 }
bend_deg = { from = 0, to = 40 }
[choice.section]
shape = "rectangle"
tangential_mm = [12, 16]
radial_mm = [8, 12]
[joints.bearing]
name = "624"
"#;

fn folder() -> tempfile::TempDir {
    let folder = tempfile::tempdir().expect("a folder");
    fs::write(folder.path().join("brief.toml"), BRIEF).expect("a brief");
    folder
}

#[test]
fn the_front_is_written_and_means_what_it_says() {
    let folder = folder();
    let place = folder.path();
    let done = calotte(place, &["design", "brief.toml", "--out", "results"]);
    assert_eq!(done.status.code(), Some(0), "{}", text(&done.stderr));
    let summary = text(&done.stdout);
    assert!(!summary.contains("equal arcs"), "{summary}");
    let mut rows = csv::Reader::from_path(place.join("results/front.csv")).expect("a front");
    let heads = rows.headers().expect("heads").clone();
    let column = |name: &str| {
        let place = heads.iter().position(|head| head == name);
        place.unwrap_or_else(|| panic!("no {name} among {heads:?}"))
    };
    let rows: Vec<csv::StringRecord> = rows.records().map(|row| row.expect("a row")).collect();
    assert!(rows.len() > 20, "{} members", rows.len());
    let number = |row: &csv::StringRecord, name: &str| -> f64 {
        row[column(name)]
            .parse()
            .unwrap_or_else(|_| panic!("{name} of {row:?}"))
    };
    // No member beats another.
    let scores: Vec<[f64; 3]> = rows
        .iter()
        .map(|row| {
            [
                -number(row, "minimum_stiffness_n_per_mm"),
                -number(row, "gci"),
                number(row, "moving_mass_kg"),
            ]
        })
        .collect();
    for a in &scores {
        let beats = |b: &[f64; 3]| a.iter().zip(b).all(|(x, y)| x <= y) && a != b;
        assert!(!scores.iter().any(beats));
    }
    // Spacing and unequal arcs are truly searched.
    let different = |name: &str| {
        let mut all: Vec<&str> = rows.iter().map(|row| &row[column(name)]).collect();
        all.sort_unstable();
        all.dedup();
        all.len()
    };
    assert!(different("bearing_spacing_mm") > 3);
    let unequal = |row: &&csv::StringRecord| {
        row[column("proximal_arcs_deg")] != row[column("distal_arcs_deg")]
    };
    assert!(rows.iter().filter(unequal).count() > rows.len() / 2);
    // Each file is the design of its row: an analysis of it alone gives the row's values and
    // meets the brief.
    for row in rows.iter().step_by(9) {
        let file = format!("results/{}", &row[column("file")]);
        let done = calotte(
            place,
            &["analyse", &file, "--brief", "brief.toml", "--json"],
        );
        assert_eq!(
            done.status.code(),
            Some(0),
            "{file}: {}",
            text(&done.stderr)
        );
        let found: serde_json::Value = serde_json::from_slice(&done.stdout).expect("JSON");
        let rows = found["requirements"].as_array().expect("requirements");
        // The unit is in the key.
        let predicted = |quantity: &str| {
            let row = rows.iter().find(|row| row["quantity"] == quantity);
            let row = row.and_then(|row| row.as_object());
            let row = row.unwrap_or_else(|| panic!("{quantity}"));
            let mut keys = row.iter();
            let key = keys.find(|(key, _)| key.starts_with("predicted"));
            key.and_then(|(_, value)| value.as_f64()).expect("a value")
        };
        for (name, quantity) in [
            (
                "minimum_stiffness_n_per_mm",
                "minimum_translational_stiffness",
            ),
            ("gci", "gci"),
            ("moving_mass_kg", "moving_mass"),
            ("coverage", "coverage"),
        ] {
            let (listed, own) = (number(row, name), predicted(quantity));
            assert!(
                (listed - own).abs() <= 1e-6 * own.abs() + 1e-6,
                "{file} {name}: {listed} {own}"
            );
        }
    }
    // The same again, whatever the threads; another seed finds others.
    for (out, more) in [("again", ["--threads", "1"]), ("other", ["--seed", "2"])] {
        let mut arguments = vec!["design", "brief.toml", "--out", out];
        arguments.extend(more);
        assert_eq!(calotte(place, &arguments).status.code(), Some(0));
    }
    let front = |out: &str| fs::read(place.join(out).join("front.csv")).expect("a front");
    assert!(
        front("results") == front("again"),
        "threads change the front"
    );
    assert!(
        front("results") != front("other"),
        "the seed changes nothing"
    );
    // What was searched, and from which seed, stands with the result.
    for (out, seed) in [("results", 1), ("other", 2)] {
        let read = |name: &str| {
            let text = fs::read_to_string(place.join(out).join(name));
            text.unwrap_or_else(|_| panic!("{out}/{name}"))
        };
        let results: serde_json::Value = serde_json::from_str(&read("results.json")).expect("JSON");
        let run = &results["run"];
        assert_eq!(run["seed"], seed);
        assert_eq!(run["options"]["search"], "islands, evolving");
        assert_eq!(run["options"]["looked_at"], 100);
        let page = read("summary.html");
        assert!(page.contains(&format!("{seed}: the search draws")), "{out}");
        for wrong in ["full grid", "no random numbers are used"] {
            assert!(!page.contains(wrong), "{out}: {wrong}");
        }
    }
}

#[test]
fn a_full_grid_takes_no_seed() {
    let folder = folder();
    let equal = BRIEF.replace("full_grid = false", "full_grid = true");
    fs::write(folder.path().join("brief.toml"), equal).expect("a brief");
    for option in ["--seed", "--effort"] {
        let done = calotte(folder.path(), &["design", "brief.toml", option, "2"]);
        assert_eq!(done.status.code(), Some(2));
        let said = text(&done.stderr);
        assert!(
            said.contains(option) && said.contains("`full_grid`"),
            "{said}"
        );
        assert!(!folder.path().join("results").exists());
    }
    let narrow = BRIEF
        .replace("full_grid = false", "full_grid = true")
        .replace("{ from = 10, to = 60 }", "40")
        .replace("{ from = 0, to = 40 }", "0")
        .replace("stages = [1, 2]", "stages = [1]");
    fs::write(folder.path().join("narrow.toml"), narrow).expect("a brief");
    let done = calotte(folder.path(), &["design", "narrow.toml", "--json"]);
    let results: serde_json::Value = serde_json::from_slice(&done.stdout).expect("JSON");
    let run = &results["run"];
    assert!(run["seed"].is_null() && run["options"]["looked_at"].is_null());
    assert_eq!(run["options"]["search"], "full grid");
    let page = fs::read_to_string(folder.path().join("results/summary.html")).expect("a page");
    assert!(page.contains("none: no random numbers are used") && page.contains("full grid"));
    let done = calotte(folder.path(), &["design", "brief.toml", "--effort", "0"]);
    assert_eq!(done.status.code(), Some(2));
}
