//! Bars and joints that differ, through the binary: what results say of them, what stays to the
//! last digit where entries repeat the rule, and what says "not available yet".

use std::fs;
use std::path::Path;
use std::process::{Command, Output};

use serde_json::Value;

const DESIGN: &str = include_str!("differing/design.toml");

fn calotte(folder: &Path, arguments: &[&str]) -> Output {
    Command::new(env!("CARGO_BIN_EXE_calotte"))
        .current_dir(folder)
        .args(arguments)
        .env("COLUMNS", "80")
        .output()
        .expect("the binary runs")
}

/// A folder with the design, and with any other files.
fn folder(others: &[(&str, &str)]) -> tempfile::TempDir {
    let place = tempfile::tempdir().expect("a temporary folder");
    for (name, text) in [("design.toml", DESIGN)].iter().chain(others) {
        fs::write(place.path().join(name), text).expect("a file");
    }
    place
}

fn text(bytes: &[u8]) -> &str {
    std::str::from_utf8(bytes).expect("UTF-8")
}

/// Words without their line ends.
fn flowing(bytes: &[u8]) -> String {
    let words: Vec<&str> = text(bytes).split_whitespace().collect();
    words.join(" ")
}

fn json(output: &Output) -> Value {
    serde_json::from_slice(&output.stdout)
        .unwrap_or_else(|error| panic!("{error}: {}", text(&output.stderr)))
}

const SECTIONS: &str = "12 × 6 mm (base: 16 × 8 mm; bar-right-2: rod 9 mm)";
const JOINTS: &str = "joints: bearing 624, spacing 8 mm, pin 4 mm, boss 18 mm \
    (base: bearing 626, spacing 12 mm, pin 6 mm, boss 24 mm)";

#[test]
fn analyse_and_compare_say_what_differs() {
    let place = folder(&[]);
    let analysed = calotte(place.path(), &["analyse", "design.toml"]);
    assert_eq!(
        analysed.status.code(),
        Some(0),
        "{}",
        text(&analysed.stderr)
    );
    let compared = calotte(place.path(), &["compare", "design.toml", "design.toml"]);
    for shown in [flowing(&analysed.stdout), flowing(&compared.stdout)] {
        assert!(shown.contains(SECTIONS), "{shown}");
        assert!(shown.contains(JOINTS), "{shown}");
    }
}

#[test]
fn the_document_lists_every_bar_and_joint() {
    let place = folder(&[]);
    let document = json(&calotte(
        place.path(),
        &["analyse", "design.toml", "--json"],
    ));
    let column = |list: &str, key: &str| -> Vec<Value> {
        let entries = document["differing"][list].as_array().expect("a list");
        entries.iter().map(|entry| entry[key].clone()).collect()
    };
    assert_eq!(
        column("bars", "name"),
        [
            "base-left",
            "base-right",
            "bar-left-1",
            "bar-right-1",
            "bar-left-2",
            "bar-right-2"
        ]
    );
    assert_eq!(column("bars", "radial_mm"), [8.0, 8.0, 6.0, 6.0, 6.0, 9.0]);
    assert_eq!(
        column("bars", "tangential_mm"),
        [16.0, 16.0, 12.0, 12.0, 12.0, 9.0]
    );
    assert_eq!(column("joints", "level"), [0, 0, 1, 1, 1, 2, 2, 2]);
    let bearings: Vec<&str> = [["626"; 2].as_slice(), &["624"; 6]].concat();
    assert_eq!(column("joints", "bearing"), bearings.as_slice());
    assert_eq!(column("joints", "spacing_mm")[..3], [12.0, 12.0, 8.0]);
    // Equal bearings share their band: two kinds, one input each way.
    let rows = document["requirements"].as_array().expect("rows");
    let softest = rows
        .iter()
        .find(|row| row["quantity"] == "minimum_translational_stiffness");
    let inputs = softest.expect("its row")["band_inputs"][0].to_string();
    assert!(inputs.contains("joints.bearing.radial_n_per_m"), "{inputs}");
    assert!(
        inputs.contains("joints.level[1].bearing.radial_n_per_m"),
        "{inputs}"
    );
    assert!(!inputs.contains("joints.level[2]"), "{inputs}");
}

/// Entries that repeat the rule change nothing but the table that lists them.
#[test]
fn entries_that_repeat_the_rule_change_no_number() {
    let start = DESIGN.find("[[section.level]]").expect("sections");
    let end = DESIGN.find("[material]").expect("material");
    let plain = format!("{}{}", &DESIGN[..start], &DESIGN[end..]);
    let start = plain.find("[[joints.level]]").expect("joints");
    let end = plain.find("[layers]").expect("layers");
    let plain = format!("{}{}", &plain[..start], &plain[end..]);
    let repeated = plain
        .replace(
            "[material]",
            "[[section.level]]\nlevel = 1\nshape = \"rectangle\"\ntangential_mm = 12\nradial_mm = 6\n\
             [[section.bar]]\nname = \"base-left\"\nshape = \"rectangle\"\ntangential_mm = 12\nradial_mm = 6\n\
             [material]",
        )
        .replace(
            "[layers]",
            "[[joints.level]]\nlevel = 2\n[joints.level.bearing]\nname = \"624\"\nspacing_mm = 8\n[layers]",
        );
    let place = folder(&[("plain.toml", &plain), ("repeated.toml", &repeated)]);
    let of = |name: &str| {
        let mut document = json(&calotte(place.path(), &["analyse", name, "--json"]));
        let object = document.as_object_mut().expect("an object");
        let differing = object.remove("differing");
        object.remove("run");
        (document, differing)
    };
    let (plain, none) = of("plain.toml");
    let (repeated, listed) = of("repeated.toml");
    assert!(none.is_none() && listed.is_some());
    assert_eq!(plain, repeated);
}

#[test]
fn parts_are_written_for_each_kind() {
    let place = folder(&[]);
    let made = calotte(
        place.path(),
        &["parts", "design.toml", "--mesh", "--out", "parts"],
    );
    assert_eq!(made.status.code(), Some(0), "{}", text(&made.stderr));
    let list = fs::read_to_string(place.path().join("parts/parts.json")).expect("a list");
    let list: Value = serde_json::from_str(&list).expect("JSON");
    let parts = list["parts"].as_array().expect("parts");
    let count = |solid: &str| {
        let found = parts.iter().find(|part| {
            let solids = part["solids"].as_array().expect("solids");
            solids.iter().any(|one| one == solid)
        });
        found.map(|part| part["count"].clone())
    };
    // Pins of the two stages are one part; the rod bar stands alone.
    assert_eq!(count("apex-1 pin"), Some(Value::from(6)));
    assert_eq!(count("bar-right-2"), Some(Value::from(1)));
}

#[test]
fn what_cannot_take_it_says_so() {
    let place = folder(&[]);
    let varied = ["--y", "joint_radius_mm=200..210:10", "--show", "stiffness"];
    let map = |what: &str| {
        let arguments = [&["map", "design.toml", "--x", what][..], &varied].concat();
        calotte(place.path(), &arguments)
    };
    for (what, which) in [
        (
            "radial_mm=6..8:2",
            "radial_mm: not available yet for a design whose sections differ",
        ),
        (
            "bearing_spacing_mm=8..10:2",
            "bearing_spacing_mm: not available yet for a design whose joints differ",
        ),
        (
            "stages=1..2",
            "stages: not available yet for a design whose sections differ",
        ),
    ] {
        let refused = map(what);
        assert_eq!(refused.status.code(), Some(2), "{what}");
        assert!(
            flowing(&refused.stderr).contains(which),
            "{}",
            text(&refused.stderr)
        );
    }
    assert_eq!(map("layer_gap_mm=0.5..1:0.5").status.code(), Some(0));
    let layers = calotte(place.path(), &["analyse", "design.toml", "--layers"]);
    assert_eq!(layers.status.code(), Some(2));
    let said = flowing(&layers.stderr);
    assert!(
        said.contains(
            "the arrangement of layers: not available yet for a design whose sections differ"
        ),
        "{said}"
    );
    assert!(said.contains("arrangement = \"given\""), "{said}");
}
