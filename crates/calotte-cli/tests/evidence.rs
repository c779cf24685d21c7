//! What stands behind each requirement, in the results folder: who set it, what it assumes,
//! which shipped checks there are.

mod common;

use std::collections::BTreeSet;
use std::fs;

use common::{calotte, folder_with, json};
use serde_json::Value;

const BRIEF: &str = r#"title = "Arm with sources"
[region]
shape = "cap"
half_angle_deg = 70
coverage_min = 0.9
[[exclude]]
half_angle_deg = 15
why = "not required"
[tool]
mass_kg = 0.4
tip_radius_mm = 100
[space]
joint_radius_mm = 150
[limits]
sag_mm = 200
lci_min = 0.2
moving_mass_kg = 5
[limits.source]
sag_mm = "agreed <with> the workshop, drawing 12"
coverage_min = "study plan, page 4"
[choice]
families = ["two-arc-arm"]
arm_arc_deg = { from = 40, to = 60, step = 10 }
materials = ["PA12 laser-sintered"]
section = { shape = "rectangle", tangential_mm = [12, 14], radial_mm = 10 }
[joints]
axial_n_per_m = 3e6
radial_n_per_m = 6e6
tilt_nm_per_rad = 800
"#;

fn entry<'a>(document: &'a Value, quantity: &str) -> &'a Value {
    let entries = document["evidence"].as_array().expect("evidence");
    entries
        .iter()
        .find(|entry| entry["quantity"] == quantity)
        .unwrap_or_else(|| panic!("{quantity} has no evidence"))
}

fn texts(value: &Value) -> Vec<&str> {
    let list = value.as_array().expect("a list");
    list.iter()
        .map(|text| text.as_str().expect("text"))
        .collect()
}

#[test]
fn every_requirement_has_its_evidence() {
    let place = folder_with(&[("brief.toml", BRIEF)]);
    let output = calotte(place.path(), &["design", "brief.toml"]);
    assert_eq!(output.status.code(), Some(0), "{output:?}");
    let results = place.path().join("results");
    let read = |name: &str| fs::read_to_string(results.join(name)).expect("a file");
    let document: Value = serde_json::from_str(&read("results.json")).expect("JSON");
    let rows = document["requirements"].as_array().expect("rows");
    let entries = document["evidence"].as_array().expect("evidence");
    assert_eq!(rows.len(), entries.len());
    let verified = json(&calotte(place.path(), &["verify", "--json"]));
    let checks = verified["checks"].as_array().expect("checks");
    let known: BTreeSet<&str> = checks
        .iter()
        .filter_map(|check| check["id"].as_str())
        .collect();
    for (row, entry) in rows.iter().zip(entries) {
        assert_eq!(row["quantity"], entry["quantity"]);
        let fields = row.as_object().expect("an object").iter();
        for (name, value) in fields {
            for (prefix, own) in [
                ("required", "required"),
                ("predicted", "predicted"),
                ("band", "range"),
            ] {
                if !["band_met", "band_inputs"].contains(&name.as_str()) && name.starts_with(prefix)
                {
                    assert_eq!(*value, entry[own], "{name}");
                }
            }
        }
        assert!(!texts(&entry["assumptions"]).is_empty(), "{entry}");
        let ids = texts(&entry["checks"]);
        assert!(
            !ids.is_empty() && ids.iter().all(|id| known.contains(id)),
            "{ids:?}"
        );
        assert_eq!(entry["measured"], Value::Null);
    }
    let sag = entry(&document, "sag");
    assert_eq!(sag["set_by"], "agreed <with> the workshop, drawing 12");
    assert_eq!(entry(&document, "coverage")["set_by"], "study plan, page 4");
    assert_eq!(entry(&document, "moving_mass")["set_by"], Value::Null);
    let assumed = texts(&sag["assumptions"]);
    for wanted in [
        "drives taken as rigid",
        "ground taken as rigid",
        "creep multiplies",
    ] {
        assert!(
            assumed.iter().any(|text| text.starts_with(wanted)),
            "{assumed:?}"
        );
    }
    let stiffness = texts(&entry(&document, "minimum_translational_stiffness")["assumptions"]);
    assert!(
        !stiffness
            .iter()
            .any(|text| text.starts_with("creep multiplies"))
    );
    let page = read("summary.html");
    assert!(page.contains("agreed &lt;with&gt; the workshop, drawing 12"));
    assert!(page.contains("brief, no source given"));
    assert!(page.contains("drives taken as rigid"));
}
