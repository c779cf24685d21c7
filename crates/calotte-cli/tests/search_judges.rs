//! What `calotte design` shows as meeting every limit does so for `calotte analyse` too.

use std::fs;
use std::path::Path;
use std::process::{Command, Output};

use serde_json::Value;

const BRIEF: &str = r#"title = "judged alike, invented"
[region]
shape = "cap"
half_angle_deg = 60
coverage_min = 0.9
[[exclude]]
half_angle_deg = 12
[tool]
mass_kg = { value = 0.5, from = 0.4, to = 0.7 }
centre_of_mass_radius_mm = 150
tip_radius_mm = 100
[space]
joint_radius_mm = { from = 140, to = 170, step = 30 }
[limits]
sag_mm = 0.8
[choice]
full_grid = true
families = ["scissor-linkage"]
stages = [1, 2]
arc_deg = { from = 20, to = 45, step = 1 }
drive_layout = ["two-bars", "swing-and-opening"]
[choice.section]
shape = "rectangle"
tangential_mm = [12, 14]
radial_mm = 6
[joints]
axial_n_per_m = 3e6
radial_n_per_m = 6e6
tilt_nm_per_rad = { value = 500, from = 350, to = 700 }
"#;

fn calotte(folder: &Path, arguments: &[&str]) -> Output {
    Command::new(env!("CARGO_BIN_EXE_calotte"))
        .current_dir(folder)
        .args(arguments)
        .output()
        .expect("the binary runs")
}

/// Searches a brief; its results, and the records of its candidates by the names of columns.
fn searched(folder: &Path, brief: &str) -> (Value, Vec<Vec<(String, String)>>) {
    fs::write(folder.join("brief.toml"), brief).expect("the brief");
    let output = calotte(
        folder,
        &["design", "brief.toml", "--out", "r", "--json", "--force"],
    );
    let said = String::from_utf8_lossy(&output.stderr);
    assert_eq!(output.status.code(), Some(0), "{said}");
    let results = serde_json::from_slice(&output.stdout).expect("results");
    let mut reader = csv::Reader::from_path(folder.join("r/candidates.csv")).expect("candidates");
    let heads: Vec<String> = reader
        .headers()
        .expect("heads")
        .iter()
        .map(str::to_string)
        .collect();
    let records = reader.records().map(|record| {
        let record = record.expect("a record");
        let fields = record.iter().map(str::to_string);
        heads.iter().cloned().zip(fields).collect()
    });
    (results, records.collect())
}

fn field<'a>(record: &'a [(String, String)], name: &str) -> &'a str {
    let found = record.iter().find(|(head, _)| head == name);
    &found.expect("a column").1
}

#[test]
fn what_is_chosen_is_met_by_analyse_and_columns_say_what_was_done() {
    let folder = tempfile::tempdir().expect("a folder");
    let folder = folder.path();
    let nominal = BRIEF.replace("sag_mm = 0.8", "sag_mm = 0.8\njudge = \"nominal\"");
    let mut feasible_counts = Vec::new();
    for (brief, whole, corner) in [
        (BRIEF, "over the stated uncertainty, whole analysis", true),
        (&nominal, "nominal values, whole analysis", false),
    ] {
        let (results, records) = searched(folder, brief);
        let choice = &results["choice"];
        let of = |name: &str, value: &str| {
            let with = records.iter().filter(|record| field(record, name) == value);
            with.collect::<Vec<_>>()
        };
        let front = of("not_dominated", "true");
        assert!(!front.is_empty());
        for record in &front {
            assert_eq!(
                (field(record, "feasible"), field(record, "judged")),
                ("true", whole)
            );
        }
        for record in &records {
            // As a person would write it.
            let arc = field(record, "arc_deg");
            assert!(arc.len() == 2, "{arc}");
        }
        let feasible = of("feasible", "true");
        assert_eq!(choice["feasible"], feasible.len());
        let analysed = feasible.iter().filter(|one| field(one, "judged") == whole);
        assert_eq!(choice["feasible_by_analysis"], analysed.count());
        let at_corner = of(
            "judged",
            "nominal values and a corner of the stated uncertainty, search",
        );
        assert_eq!(!at_corner.is_empty(), corner);
        let refused = at_corner
            .iter()
            .filter(|one| field(one, "feasible") == "false");
        for record in refused {
            let why = field(record, "why_not");
            assert!(
                why.ends_with("at a corner of the stated uncertainty"),
                "{why}"
            );
        }
        let rejected = choice["rejected"][0].as_str().expect("the other class");
        assert!(
            rejected.starts_with("equal arcs and bends only: "),
            "{rejected}"
        );
        // The file that was written, asked by itself.
        let output = calotte(
            folder,
            &[
                "analyse",
                "r/design.toml",
                "--brief",
                "brief.toml",
                "--json",
            ],
        );
        assert_eq!(output.status.code(), Some(0), "{output:?}");
        feasible_counts.push(choice["feasible"].as_u64());
    }
    // Less is asked of the second.
    assert!(
        feasible_counts[0] < feasible_counts[1],
        "{feasible_counts:?}"
    );
}
