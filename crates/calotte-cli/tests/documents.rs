//! What the program prints for other programs is what the types of its documents say: every
//! key has its place in a type, and no number is missing.

mod common;

use std::fs;
use std::path::Path;

use calotte_document::analysis::AnalysisDocument;
use calotte_document::comparison::ComparisonDocument;
use calotte_document::design::DesignDocument;
use calotte_document::map::MapDocument;
use calotte_document::measured::FitDocument;
use calotte_document::planned::PlanDocument;
use common::calotte;
use serde::Serialize;
use serde::de::DeserializeOwned;
use serde_json::Value;

const EXAMPLES: &str = concat!(env!("CARGO_MANIFEST_DIR"), "/../../examples");

/// A brief with few combinations, invented.
const BRIEF: &str = r#"title = "Small arm"
[region]
shape = "cap"
half_angle_deg = 60
coverage_min = 0.5
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
[choice]
families = ["scissor-linkage"]
stages = [2]
drive_layout = ["swing-and-opening"]
arc_deg = { from = 20, to = 22, step = 1 }
[choice.section]
shape = "rectangle"
tangential_mm = [14]
radial_mm = [10]
[joints]
axial_n_per_m = { value = 3e6, from = 2e6, to = 4e6 }
radial_n_per_m = 6e6
tilt_nm_per_rad = 800
"#;

fn printed(folder: &Path, arguments: &[&str]) -> Value {
    let output = calotte(folder, arguments);
    let text = String::from_utf8(output.stdout).expect("text");
    let said = String::from_utf8_lossy(&output.stderr).to_string();
    serde_json::from_str(&text).unwrap_or_else(|error| panic!("{arguments:?}: {error}\n{said}"))
}

/// Reads a document by its type and writes it again. Null for a number, a key that is missing
/// and a key that the type has not all make a difference.
fn same_after_reading<T: Serialize + DeserializeOwned>(value: &Value, what: &str) {
    let read: T =
        serde_json::from_value(value.clone()).unwrap_or_else(|error| panic!("{what}: {error}"));
    let again = calotte_document::json(&read);
    for (key, value) in value.as_object().expect("an object") {
        assert_eq!(again.get(key), Some(value), "{what}: {key}");
    }
    assert_eq!(&again, value, "{what}");
}

#[test]
fn every_document_is_of_its_type() {
    let examples = Path::new(EXAMPLES);
    let bench = "head-dome/bench/design.toml";
    for (what, arguments) in [
        ("region", &["--brief", "head-dome/brief.toml"][..]),
        ("joints", &["--joints", "30,60"]),
        ("out of reach", &["--direction", "150,20"]),
        ("releases", &["--releases"]),
    ] {
        let arguments = [&["analyse", bench, "--json"], arguments].concat();
        same_after_reading::<AnalysisDocument>(&printed(examples, &arguments), what);
    }
    let fit = [
        "measure",
        "fit",
        bench,
        "head-dome/bench/points.csv",
        "--weights",
        "head-dome/bench/weights.csv",
        "--json",
    ];
    same_after_reading::<FitDocument>(&printed(examples, &fit), "fit");
    let plan = ["measure", "plan", bench, "--count", "10", "--json"];
    same_after_reading::<PlanDocument>(&printed(examples, &plan), "plan");
    let compare = ["compare", bench, "trend-map/design.toml", "--json"];
    same_after_reading::<ComparisonDocument>(&printed(examples, &compare), "comparison");
}

#[test]
fn maps_and_results_are_of_their_type() {
    let place = tempfile::tempdir().unwrap();
    let copy = |name: &str| {
        let from = Path::new(EXAMPLES).join(name);
        let to = place.path().join(Path::new(name).file_name().unwrap());
        fs::copy(from, to).unwrap();
    };
    copy("trend-map/design.toml");
    fs::write(place.path().join("brief.toml"), BRIEF).unwrap();
    let map = [
        "map",
        "design.toml",
        "--x",
        "stages=1..2",
        "--y",
        "arc_deg=18..24:3",
        "--show",
        "stiffness,gci",
        "--line",
        "reach=94",
        "--json",
        "--out",
        "map",
    ];
    same_after_reading::<MapDocument>(&printed(place.path(), &map), "map");
    let design = ["design", "brief.toml", "--out", "results", "--json"];
    let results = printed(place.path(), &design);
    same_after_reading::<DesignDocument>(&results, "results");
    // One value goes to the terminal and to the folder.
    let kept = fs::read_to_string(place.path().join("results/results.json")).unwrap();
    assert_eq!(serde_json::from_str::<Value>(&kept).unwrap(), results);
}

#[test]
fn every_document_has_a_schema() {
    for (kind, key) in [
        ("analysis", "requirements"),
        ("results", "choice"),
        ("map", "show"),
        ("comparison", "designs"),
        ("fit", "verdict"),
        ("plan", "rows"),
        ("checks", "checks"),
    ] {
        let schema = printed(Path::new(EXAMPLES), &["schema", kind]);
        let of = &schema["properties"][key];
        assert!(of.is_object(), "{kind}: {schema}");
        assert!(of["description"].is_string(), "{kind}.{key} says nothing");
        let required = schema["required"].as_array().unwrap();
        assert!(required.iter().any(|name| name == key), "{kind}.{key}");
    }
    let parts = printed(Path::new(EXAMPLES), &["schema", "parts"]);
    assert_eq!(parts["properties"]["parts"]["type"], "array");
    let part = &parts["$defs"]["PartToMake"];
    let size = &part["properties"]["size_mm"];
    assert!(size["description"].is_string(), "{parts}");
    assert_eq!(part["required"].as_array().map(Vec::len), Some(6));
}
