//! A design may state arcs and bends of single bars. Every command that takes a design and
//! computes with the mean of left and right says so and names the greatest difference; of a
//! design whose sides are equal none does. What `measure fit` writes is such a design, and
//! measuring goes on from it.

mod common;

use std::fs;
use std::io::Write;
use std::path::Path;
use std::process::{Command, Stdio};

use common::{calotte, folder_with, json};
use serde_json::Value;

const EXAMPLE: &str = concat!(env!("CARGO_MANIFEST_DIR"), "/../../examples/head-dome");

/// Numbers invented.
const BUILT: &str = r#"title = "built"
[linkage]
family = "scissor-linkage"
proximal_arcs_deg = [40]
distal_arcs_deg = [40]
joint_radius_mm = 150
BARS
[section]
shape = "tube"
outer_diameter_mm = 8
inner_diameter_mm = 6
[material]
name = "aluminium 6061-T6"
[layers]
arrangement = "two"
[joints]
boss_diameter_mm = 22
[joints.bearing]
name = "624"
load_radial_n = 10
load_axial_n = 5
spacing_mm = 10
[tool]
tip_radius_mm = 120
mass_kg = 0.2
"#;

const BRIEF: &str = r#"title = "small"
tool = { mass_kg = 0.2, tip_radius_mm = 120 }
[region]
shape = "cap"
half_angle_deg = 40
coverage_min = 0.1
"#;

/// One bar is 0.4° longer than its counterpart; another pair differs by less.
const DIFFERENT: &str = r#"[[linkage.bar]]
name = "bar-left-1"
first_arc_deg = 40.4
[[linkage.bar]]
name = "base-right"
first_arc_deg = 40.1
"#;

/// Both sides stated, and equal.
const EQUAL: &str = r#"[[linkage.bar]]
name = "bar-left-1"
first_arc_deg = 40
[[linkage.bar]]
name = "bar-right-1"
first_arc_deg = 40
"#;

/// Without its first letter, which a sentence writes large.
const SAID: &str = "eft and right differ by up to 0.400° (first arc of bar-left-1 40.400°, of bar-right-1 40.000°)";

/// What every output of one command says, by name.
type Outputs = Vec<(String, String)>;

/// A text with its line breaks and HTML as spaces.
fn joined(text: &str) -> String {
    text.split_whitespace().collect::<Vec<_>>().join(" ")
}

/// Runs every command that takes a design, on one, text and JSON; and what it writes for people.
fn all_outputs(folder: &Path, design: &str) -> Outputs {
    let mut all = Outputs::new();
    let mut ask = |name: &str, arguments: &[&str]| {
        for json in [false, true] {
            let mut arguments = arguments.to_vec();
            if json {
                arguments.push("--json");
            }
            let output = calotte(folder, &arguments);
            assert_ne!(output.status.code(), Some(2), "{name}: {output:?}");
            let (text, told) = (
                String::from_utf8_lossy(&output.stdout),
                String::from_utf8_lossy(&output.stderr),
            );
            // For programs it stands in the document itself.
            let (kind, text) = if json {
                ("JSON", text.to_string())
            } else {
                ("text", format!("{text}\n{told}"))
            };
            all.push((format!("{name}, {kind}"), joined(&text)));
        }
    };
    ask("analyse", &["analyse", design]);
    ask(
        "analyse a direction",
        &["analyse", design, "--direction", "20,10"],
    );
    ask(
        "analyse out of range",
        &["analyse", design, "--direction", "170,0"],
    );
    ask("analyse joints", &["analyse", design, "--joints", "30,-30"]);
    ask("compare", &["compare", design, design]);
    ask("parts", &["parts", design]);
    let out = |name: &str| format!("{design}-{name}");
    let map = out("map");
    let axes = [
        "--x",
        "layer_gap_mm=12,14",
        "--y",
        "joint_radius_mm=150,160",
    ];
    let mut mapped = vec!["map", design, "--out", &map];
    mapped.extend(axes);
    ask("map", &mapped);
    let plan = out("plan");
    let planned = ["measure", "plan", design, "--count", "12", "--out", &plan];
    ask("measure plan", &planned);
    let points = filled_in(&folder.join(&plan));
    let points_file = out("points.csv");
    fs::write(folder.join(&points_file), points).expect("written");
    ask("measure fit", &["measure", "fit", design, &points_file]);
    for (name, file) in [
        ("captions of a map", format!("{map}/map.md")),
        ("map.json", format!("{map}/map.json")),
        ("measuring sheet", format!("{plan}/sheet.html")),
    ] {
        let text = fs::read_to_string(folder.join(file)).expect("a file");
        all.push((name.to_string(), joined(&text)));
    }
    all.push(("judge".to_string(), judged(folder, design)));
    all
}

/// The answer of `judge` to a design, as a JSON line.
fn judged(folder: &Path, design: &str) -> String {
    let text = fs::read_to_string(folder.join(design)).expect("a design");
    let table: toml::Table = toml::from_str(&text).expect("TOML");
    let line = serde_json::to_string(&table).expect("JSON");
    let mut child = Command::new(env!("CARGO_BIN_EXE_calotte"))
        .current_dir(folder)
        .args(["judge", "brief.toml"])
        .stdin(Stdio::piped())
        .stdout(Stdio::piped())
        .stderr(Stdio::inherit())
        .spawn()
        .expect("the binary runs");
    let mut input = child.stdin.take().expect("standard input");
    writeln!(input, "{line}").expect("written");
    drop(input);
    let output = child.wait_with_output().expect("it ends");
    String::from_utf8_lossy(&output.stdout).to_string()
}

/// A plan filled in with what it expects, by the names of its columns.
fn filled_in(plan: &Path) -> String {
    let text = fs::read_to_string(plan.join("points.csv")).expect("the plan");
    let mut names: Vec<String> = Vec::new();
    let mut out = String::new();
    for line in text.lines() {
        let mut cells: Vec<String> = line.split(',').map(str::to_string).collect();
        if names.is_empty() && cells.iter().any(|cell| cell == "x_mm") {
            names.clone_from(&cells);
        } else if cells.len() >= names.len() && !names.is_empty() {
            let place = |name: &str| names.iter().position(|own| own == name).expect("a column");
            for axis in ["x_mm", "y_mm", "z_mm"] {
                cells[place(axis)] = cells[place(&format!("expected_{axis}"))].clone();
            }
        }
        out.push_str(&cells.join(","));
        out.push('\n');
    }
    out
}

#[test]
fn every_command_that_takes_the_mean_says_so() {
    let place = folder_with(&[
        ("different.toml", &BUILT.replace("BARS", DIFFERENT)),
        ("equal.toml", &BUILT.replace("BARS", EQUAL)),
        ("brief.toml", BRIEF),
    ]);
    let different = all_outputs(place.path(), "different.toml");
    assert_eq!(different.len(), 2 * 9 + 4);
    for (name, text) in &different {
        assert!(text.contains(SAID), "{name} does not say it: {text}");
    }
    for (name, text) in &all_outputs(place.path(), "equal.toml") {
        assert!(!text.contains("eft and right differ"), "{name}: {text}");
    }
}

/// The number of the residuals of a fit.
fn rms(document: &Value) -> f64 {
    document["residual_mm"]["rms"].as_f64().expect("a number")
}

/// What a fit found is the design that the next fit begins with: it finds the same points as
/// near as before, and every bar where it was. The next prototype keeps the bars as they are,
/// its search and its summary say what they take.
#[test]
fn measuring_and_the_next_prototype_go_on_from_each_bar_as_found() {
    let place = tempfile::tempdir().expect("a folder");
    let folder = place.path();
    let bench = format!("{EXAMPLE}/bench");
    let points = format!("{bench}/points.csv");
    let fit = |design: &str, out: &str| {
        let arguments = ["measure", "fit", design, &points, "--out", out, "--json"];
        json(&calotte(folder, &arguments))
    };
    let first = fit(&format!("{bench}/design.toml"), "first");
    let second = fit("first/design-calibrated.toml", "second");
    assert!(
        rms(&second) <= 1.001 * rms(&first),
        "{} {}",
        rms(&first),
        rms(&second)
    );
    let of_design = second["residual_of_nominal_design_mm"].clone();
    assert!(of_design.is_object() || of_design.is_null());
    let mut bars = 0;
    let list = |document: &Value| document["parameters"].as_array().expect("a list").clone();
    for (found, again) in list(&first).iter().zip(list(&second)) {
        assert_eq!(found["name"], again["name"]);
        if found["name"].as_str().expect("a name").starts_with("ba") {
            let value = |of: &Value, key: &str| of[key].as_f64().expect("a number");
            let (was, nominal) = (value(found, "value"), value(&again, "nominal"));
            assert!((was - nominal).abs() < 1e-12 * 60.0, "{found} {again}");
            bars += 1;
        }
    }
    assert_eq!(bars, 10);
    let text = fs::read_to_string(folder.join("first/design-calibrated.toml")).expect("a design");
    assert!(text.contains("[[linkage.bar]]"), "{text}");

    let brief = format!("{EXAMPLE}/brief.toml");
    let kept = [
        "design",
        &brief,
        "--from",
        "first/design-calibrated.toml",
        "--keep",
        "base,bars:1-2",
        "--out",
        "next",
        "--json",
    ];
    let next = calotte(folder, &kept);
    let told = String::from_utf8_lossy(&next.stderr).to_string();
    assert!(
        told.contains("prototype: left and right differ by up to")
            && told.contains("states each kept bar as it is"),
        "{told}"
    );
    let document = json(&next).to_string();
    assert!(document.contains("all is computed with the mean of the two"));
    assert!(document.contains("search and analysis take the mean of the two"));
    let page = fs::read_to_string(folder.join("next/summary.html")).expect("a summary");
    assert!(page.contains("all is computed with the mean of the two"));
    assert!(page.contains("search and analysis take the mean of the two"));
    let next = fs::read_to_string(folder.join("next/design.toml")).expect("a design");
    let own = |text: &str| {
        let (_, bars) = text.split_once("\n[[linkage.bar]]").expect("bars");
        bars.split("\n[section]")
            .next()
            .unwrap_or_default()
            .to_string()
    };
    assert_eq!(own(&next), own(&text));
}
