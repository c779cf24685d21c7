//! Real joints and layers through the binary: what ends the range, what a builder may
//! choose, parts and meshes, and a search over bearings and layers.

mod common;

use std::fs;

use calotte_document::parts::PartsDocument;
use common::{calotte, folder_with, json};
use serde_json::Value;

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
envelope_diameter_mm = 30
"#;

const BRIEF: &str = r#"title = "built"
[region]
shape = "cap"
half_angle_deg = 75
coverage_min = 0.5
[tool]
mass_kg = 0.5
tip_radius_mm = 100
[space]
joint_radius_mm = 150
[limits]
lci_min = 0.1
transmission_angle_min_deg = 20
[choice]
full_grid = true
families = ["scissor-linkage"]
stages = [1, 2]
arc_deg = { from = 20, to = 26, step = 3 }
bearings = ["624", "625"]
layers = ["two", "nested"]
[choice.section]
shape = "rectangle"
tangential_mm = 12
radial_mm = 12
[joints.bearing]
name = "624"
[layers]
arrangement = "two"
"#;

fn place() -> tempfile::TempDir {
    folder_with(&[("design.toml", DESIGN), ("brief.toml", BRIEF)])
}

#[test]
fn the_analysis_says_what_is_built_and_what_may_be_chosen() {
    let place = place();
    let output = calotte(
        place.path(),
        &["analyse", "design.toml", "--layers", "--releases", "--json"],
    );
    let found = json(&output);
    assert_eq!(found["clearing"]["layers"], 2);
    // Two layers end where two parts meet, inside what the bars alone would reach.
    let ideal = &found["clearing"]["range_without_parts_deg"];
    let inner = |value: &Value| value["polar_min"].as_f64().expect("a number");
    assert!(found["reach"]["polar_min_deg"].as_f64().expect("a number") > inner(ideal) + 5.0);
    let ends = found["clearing"]["ends"].as_array().expect("two ends");
    assert!(ends.iter().any(|end| end["first"].is_string()));
    let shares = &found["elastic"]["energy_shares_at_worst"];
    assert!(
        found["ideal_minimum_stiffness_n_per_mm"].as_f64() > Some(20.0),
        "{shares}"
    );
    let options = found["arrangements"].as_array().expect("arrangements");
    let layers = |option: &Value| option["layers"].as_u64().expect("a count");
    assert_eq!(layers(&options[0]), 2);
    assert!(options.len() > 1);
    for pair in options.windows(2) {
        assert!(layers(&pair[0]) < layers(&pair[1]));
    }
    let releases = &found["releases"];
    assert_eq!(releases["redundant"], 6);
    let proposal = releases["proposal"].as_u64().expect("a proposal") as usize;
    assert_eq!(releases["options"][proposal]["redundant_left"], 0);
}

/// Where the design does not say what is built nothing can be held against a keep-out, and that
/// is said; it is not met in silence.
#[test]
fn keep_outs_that_nothing_is_held_against_are_named() {
    let bare = DESIGN.replace("[layers]\narrangement = \"two\"\n", "");
    assert!(!bare.contains("[layers]"));
    let post = "[[keep_out]]\nname = \"post\"\nshape = \"sphere\"\nposition_mm = [100, 0, 60]\nradius_mm = 20\n";
    let brief = format!("{BRIEF}{post}");
    let place = folder_with(&[
        ("built.toml", DESIGN),
        ("bare.toml", &bare),
        ("brief.toml", &brief),
        ("free.toml", BRIEF),
    ]);
    let said = |design: &str, brief: &str| {
        let output = calotte(place.path(), &["analyse", design, "--brief", brief]);
        let text = String::from_utf8_lossy(&output.stdout).to_string();
        let words: Vec<&str> = text.split_whitespace().collect();
        assert!(words.len() > 50, "{output:?}");
        words
            .join(" ")
            .contains("1 keep-out of the brief is not judged")
    };
    assert!(said("bare.toml", "brief.toml"));
    assert!(!said("built.toml", "brief.toml"));
    assert!(!said("bare.toml", "free.toml"));
}

/// A post that stands where the bars sweep takes directions; one behind the tool's reach
/// takes none.
#[test]
fn keep_outs_take_from_coverage() {
    let place = place();
    let coverage = |post: &str| {
        let brief = format!("{BRIEF}{post}");
        fs::write(place.path().join("brief.toml"), brief).expect("written");
        let output = calotte(
            place.path(),
            &["analyse", "design.toml", "--brief", "brief.toml", "--json"],
        );
        json(&output)["requirements"]
            .as_array()
            .expect("rows")
            .iter()
            .find(|row| row["quantity"] == "coverage" || row["name"] == "coverage")
            .and_then(|row| row["predicted"].as_f64())
            .expect("coverage")
    };
    let post = |x: f64| {
        format!(
            "[[keep_out]]\nname = \"post\"\nshape = \"cylinder\"\nfrom_mm = [{x}, 0, -300]\nto_mm = [{x}, 0, 80]\nradius_mm = 30\n"
        )
    };
    let (free, far, near) = (coverage(""), coverage(&post(400.0)), coverage(&post(165.0)));
    assert!((free - far).abs() < 0.01, "{free} {far}");
    assert!(near < free - 0.03, "{free} {near}");
}

#[test]
fn parts_are_listed_and_written_whole() {
    let place = place();
    let run = || {
        calotte(
            place.path(),
            &["parts", "design.toml", "--mesh", "--out", "parts", "--json"],
        )
    };
    let list = json(&run());
    let document: PartsDocument = serde_json::from_value(list.clone()).expect("its type");
    assert_eq!(calotte_document::json(&document), list);
    let kept = fs::read_to_string(place.path().join("parts/parts.json")).expect("the list");
    assert_eq!(calotte_document::text(&document) + "\n", kept);
    let list = list["parts"].as_array().expect("a list");
    // Six bars, one kind of pin and spacer, two shafts.
    assert_eq!(list.len(), 10);
    let solids: usize = list
        .iter()
        .map(|part| part["count"].as_u64().expect("a count") as usize)
        .sum();
    assert_eq!(solids, 6 + 6 + 6 + 2);
    for part in list {
        let file = place
            .path()
            .join("parts")
            .join(part["file"].as_str().expect("a name"));
        let bytes = fs::read(file).expect("the mesh");
        let triangles = part["triangles"].as_u64().expect("a count") as usize;
        assert_eq!(bytes.len(), 84 + 50 * triangles);
    }
    assert!(run().status.success(), "what calotte wrote is replaced");
    fs::write(place.path().join("parts/parts.json"), "mine").expect("written");
    assert_eq!(
        run().status.code(),
        Some(2),
        "what somebody changed is kept"
    );
    fs::write(
        place.path().join("design.toml"),
        DESIGN.replace("[layers]\narrangement = \"two\"\n", ""),
    )
    .expect("written");
    let refused = calotte(place.path(), &["parts", "design.toml"]);
    assert_eq!(refused.status.code(), Some(2));
    assert!(
        String::from_utf8_lossy(&refused.stderr)
            .contains("in design.toml, line 1, column 1: layers")
    );
}

#[test]
fn the_search_chooses_among_bearings_and_layers() {
    let place = place();
    let output = calotte(place.path(), &["design", "brief.toml", "--json"]);
    let found = json(&output);
    let table = fs::read_to_string(place.path().join("results/candidates.csv")).expect("the table");
    // One stage of 3 arcs and two of 3 arcs, 2 bearings, 2 arrangements.
    assert_eq!(table.lines().count(), 1 + 6 * 4);
    for word in ["624", "625", "two", "nested"] {
        assert!(table.contains(&format!(",{word},")), "{word}");
    }
    let design = fs::read_to_string(place.path().join("results/design.toml")).expect("the design");
    assert!(design.contains("[joints.bearing]") && design.contains("[layers]"));
    let chosen = design.contains("name = \"624\"");
    let smaller = if chosen { "623" } else { "624" };
    let stages = &found["stages_at_equal_reach"];
    assert_eq!(stages["one_size_down"], smaller);
    let softer = &stages["minimum_stiffness"][0];
    assert!(softer["one_size_down_n_per_mm"].as_f64() < softer["these_joints_n_per_mm"].as_f64());
}

/// The fewest layers are found for each combination, written into the design as a list, and
/// leave no less of the region than two do.
#[test]
fn the_search_finds_the_fewest_layers_that_do() {
    let place = place();
    let best_coverage = |arrangement: &str| {
        let brief = BRIEF
            .replace("layers = [\"two\", \"nested\"]\n", "")
            .replace("stages = [1, 2]", "stages = [2]")
            .replace("half_angle_deg = 75", "half_angle_deg = 80")
            .replace(
                "arrangement = \"two\"",
                &format!("arrangement = \"{arrangement}\""),
            );
        fs::write(place.path().join("brief.toml"), brief).expect("written");
        let output = calotte(place.path(), &["design", "brief.toml", "--json", "--force"]);
        let found = json(&output);
        let table =
            fs::read_to_string(place.path().join("results/candidates.csv")).expect("the table");
        assert_eq!(table.lines().count(), 1 + 3 * 2);
        assert!(table.contains(&format!(",{arrangement},")), "{arrangement}");
        assert!(found["clearing"]["layers"].as_u64() >= Some(2));
        found["reach"]["coverage_fraction"]
            .as_f64()
            .expect("coverage")
    };
    let two = best_coverage("two");
    let fewest = best_coverage("fewest");
    assert!(fewest >= two - 1e-9, "{fewest} {two}");
    let design = fs::read_to_string(place.path().join("results/design.toml")).expect("the design");
    assert!(design.contains("of_bars = ["), "{design}");
}

/// A lamp above the base stops the straight way in along the base axis; from the side it is
/// free.
#[test]
fn the_way_in_is_straight_and_names_what_it_meets() {
    let place = place();
    let way_in = |extra: &str, lamp_at: f64| {
        let brief = BRIEF.replace(
            "joint_radius_mm = 150",
            &format!("joint_radius_mm = 150\n{extra}"),
        );
        let lamp = format!(
            "[[keep_out]]\nname = \"lamp\"\nshape = \"box\"\nposition_mm = [0, 0, {lamp_at}]\nsize_mm = [200, 200, 20]\n"
        );
        fs::write(place.path().join("brief.toml"), format!("{brief}{lamp}")).expect("written");
        let output = calotte(
            place.path(),
            &["analyse", "design.toml", "--brief", "brief.toml", "--json"],
        );
        json(&output)["surroundings"]["stowed"]["insertion"].clone()
    };
    let (near, far) = (way_in("", 400.0), way_in("", 500.0));
    for way in [&near, &far] {
        assert_eq!(way["free"], false, "{way}");
        assert_eq!(way["meets"]["keep_out"], "lamp");
        assert!(way["free_instead"].is_array());
    }
    // A lamp that hangs 100 mm higher stops it 100 mm earlier.
    let left = |way: &Value| way["meets"]["remaining_mm"].as_f64().expect("a length");
    assert!(
        (left(&far) - left(&near) - 100.0).abs() < 0.1,
        "{near} {far}"
    );
    let side = way_in("insertion_direction = [1, 0, 0]", 400.0);
    assert_eq!(side["free"], true, "{side}");
    assert!(side["meets"].is_null() && side["free_instead"].is_null());
}
