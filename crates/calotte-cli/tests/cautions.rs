//! Every output can be taken alone by someone who has nothing else of it: each says first that
//! local codes and licensed practice come first, and names hazards and what is excluded.

mod common;

use std::fs;
use std::path::{Path, PathBuf};
use std::process::{Command, Stdio};

use calotte_format::safety::{BENCH, FIRST, MESH_HEADER};
use common::calotte;
use serde_json::Value;

const EXAMPLES: &str = concat!(env!("CARGO_MANIFEST_DIR"), "/../../examples");

/// A brief with few combinations, invented.
const BRIEF: &str = r#"title = "Small arm"
people_near = PEOPLE
[region]
shape = "cap"
half_angle_deg = 50
coverage_min = 0.2
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
contact_deflection_mm = 5
[choice]
families = ["FAMILY"]
stages = [2]
drive_layout = ["two-bars"]
arc_deg = { from = 20, to = 22, step = 1 }
arm_arc_deg = { from = 40, to = 50, step = 10 }
[choice.section]
shape = "rectangle"
tangential_mm = [14]
radial_mm = [10]
[joints]
axial_n_per_m = 3e6
radial_n_per_m = 6e6
tilt_nm_per_rad = 800
"#;

/// A text with its line breaks and remark signs as spaces.
fn joined(text: &str) -> String {
    let lines = text
        .lines()
        .map(|line| line.trim_start_matches(['#', ' ']).trim());
    lines.collect::<Vec<_>>().join(" ")
}

/// What a reviewer who holds this text alone must find, and does not.
fn missing(text: &str) -> Vec<&'static str> {
    let text = joined(text);
    let text = text.split_whitespace().collect::<Vec<_>>().join(" ");
    let asked = [
        (FIRST, &[FIRST][..]),
        (
            "the hazard of trapping",
            &["trap and crush", "trap, shear and crush"],
        ),
        (
            "what is excluded",
            &[
                "Not assessed: injury",
                "Not assessed: brakes",
                "Not assessed: injury; brakes",
            ],
        ),
    ];
    asked
        .into_iter()
        .filter(|(_, words)| !words.iter().any(|word| text.contains(word)))
        .map(|(what, _)| what)
        .collect()
}

/// What is wrong with a file; empty where nothing is.
fn faults(path: &Path) -> Vec<String> {
    let name = path
        .file_name()
        .unwrap_or_default()
        .to_string_lossy()
        .to_string();
    let bytes = fs::read(path).expect("a file");
    let ending = path
        .extension()
        .unwrap_or_default()
        .to_string_lossy()
        .to_string();
    let text = String::from_utf8_lossy(&bytes).to_string();
    let mut faults: Vec<String> = match ending.as_str() {
        // 80 bytes have room for the first sentence alone; parts.json and SAFETY.txt lie beside.
        "stl" if bytes.starts_with(MESH_HEADER.as_bytes()) => Vec::new(),
        "stl" => vec![FIRST.to_string()],
        // Hashes of the files beside it and nothing that anybody could build from.
        "json" if name == "manifest.json" => Vec::new(),
        _ => missing(&text).iter().map(ToString::to_string).collect(),
    };
    if ending == "svg" {
        let drawing = roxmltree::Document::parse(&text).expect("a drawing");
        let seen: Vec<&str> = drawing
            .descendants()
            .filter(|node| node.has_tag_name("text"))
            .filter_map(|node| node.text())
            .collect();
        // Printed, a figure has no description: what is seen says it too.
        let seen = seen.join(" ");
        let unseen = missing(&seen);
        faults.extend(unseen.iter().map(|what| format!("{what}, to be seen")));
        if !seen.contains("decided by the responsible person") {
            faults.push("who decides whether a standard applies".to_string());
        }
    }
    if ending == "csv" && !text.starts_with('#') {
        // A reader that knows no remarks finds as many fields in every row.
        let mut table = csv::Reader::from_reader(bytes.as_slice());
        assert_eq!(
            table.headers().expect("a head").iter().next_back(),
            Some("note")
        );
        for (index, row) in table.records().enumerate() {
            let row = row.unwrap_or_else(|error| panic!("{name}: {error}"));
            if index == 0 && !row.iter().next_back().expect("a field").starts_with(FIRST) {
                faults.push("the notice in the first row".to_string());
            }
        }
    }
    faults
}

fn files(folder: &Path) -> Vec<PathBuf> {
    let entries = fs::read_dir(folder).expect("a folder");
    entries
        .flat_map(|entry| {
            let path = entry.expect("an entry").path();
            if path.is_dir() {
                files(&path)
            } else {
                vec![path]
            }
        })
        .collect()
}

/// Every file of a folder says it; the endings that were found.
fn checked(folder: &Path) -> Vec<String> {
    let mut endings = Vec::new();
    for path in files(folder) {
        let faults = faults(&path);
        assert!(faults.is_empty(), "{}: without {faults:?}", path.display());
        endings.push(
            path.extension()
                .unwrap_or_default()
                .to_string_lossy()
                .to_string(),
        );
    }
    endings.sort();
    endings.dedup();
    endings
}

/// Runs a command that computes; what it printed on both.
fn printed(folder: &Path, arguments: &[&str]) -> String {
    let output = calotte(folder, arguments);
    let said = String::from_utf8_lossy(&output.stderr).to_string();
    assert!(
        matches!(output.status.code(), Some(0 | 1)),
        "{arguments:?}: {said}"
    );
    let text = String::from_utf8(output.stdout).expect("text");
    // An object is handed on without what was said beside it.
    if arguments.contains(&"--json") {
        return text;
    }
    text + &said
}

fn says(folder: &Path, arguments: &[&str]) -> String {
    let text = printed(folder, arguments);
    let missing = missing(&text);
    assert!(
        missing.is_empty(),
        "{arguments:?}: without {missing:?}\n{text}"
    );
    text
}

/// The program's own list of commands is walked, so that a new one is held to this too.
#[test]
fn every_help_says_it() {
    fn walk(above: &[String], seen: &mut usize) {
        let mut arguments: Vec<&str> = above.iter().map(String::as_str).collect();
        arguments.push("--help");
        let text = says(Path::new("."), &arguments);
        for line in text.lines() {
            assert!(line.chars().count() <= 100, "{line}");
        }
        *seen += 1;
        let listed = text.lines().skip_while(|line| *line != "Commands:").skip(1);
        for line in listed.take_while(|line| !line.is_empty()) {
            // A name stands behind two blanks; words that go on stand farther in.
            let name = line
                .strip_prefix("  ")
                .filter(|rest| !rest.starts_with(' '));
            let Some(name) = name.and_then(|rest| rest.split_whitespace().next()) else {
                continue;
            };
            if name != "help" {
                walk(&[above, &[name.to_string()]].concat(), seen);
            }
        }
    }
    let mut seen = 0;
    walk(&[], &mut seen);
    // design, analyse, judge, map, compare, parts, measure with plan and fit, new, verify, schema.
    assert!(seen >= 13, "only {seen} helps were found");
}

#[test]
fn the_main_job_says_it_in_every_file_and_by_family() {
    for (family, people, clause) in [
        ("scissor-linkage", "true", "A scissor closes on fingers"),
        ("two-arc-arm", "true", "Bars and joints can trap and crush"),
        ("two-arc-arm", "false", "fitters and those at the bench"),
    ] {
        let place = tempfile::tempdir().expect("a folder");
        let folder = place.path();
        let brief = BRIEF.replace("FAMILY", family).replace("PEOPLE", people);
        fs::write(folder.join("brief.toml"), brief).expect("written");
        let text = says(folder, &["design", "brief.toml"]);
        assert!(joined(&text).contains(clause), "{text}");
        assert_eq!(
            joined(&text).contains("scissor closes"),
            family == "scissor-linkage",
            "{text}"
        );
        let endings = checked(&folder.join("results"));
        assert_eq!(endings, ["csv", "html", "json", "svg", "toml"]);
        for name in [
            "results.json",
            "summary.html",
            "candidates.csv",
            "plots/margins.svg",
        ] {
            let text = fs::read_to_string(folder.join("results").join(name)).expect("a file");
            assert!(text.contains(clause), "{name}: {clause}");
            let scissor = family == "scissor-linkage";
            assert_eq!(text.contains("scissor closes"), scissor, "{name}");
        }
        says(folder, &["design", "brief.toml", "--json", "--force"]);
        let analyse = ["analyse", "results/design.toml", "--brief", "brief.toml"];
        for options in [
            &[][..],
            &["--json"],
            &["--direction", "30,0"],
            &["--joints", "170,20"],
        ] {
            let arguments = [&analyse[..], options].concat();
            if calotte(folder, &arguments).status.code() != Some(2) {
                assert!(joined(&says(folder, &arguments)).contains(clause));
            }
        }
    }
}

#[test]
fn maps_comparisons_and_parts_say_it_in_every_file() {
    let place = tempfile::tempdir().expect("a folder");
    let folder = place.path();
    let examples = Path::new(EXAMPLES);
    for (from, to) in [
        ("trend-map/design.toml", "a.toml"),
        ("head-dome/bench/design.toml", "b.toml"),
    ] {
        fs::copy(examples.join(from), folder.join(to)).expect("copied");
    }
    let map = [
        "map",
        "a.toml",
        "--x",
        "stages=1..2",
        "--y",
        "arc_deg=18..24:3",
        "--line",
        "reach=94",
        "--out",
        "map",
    ];
    says(folder, &map);
    says(folder, &[&map[..], &["--json"]].concat());
    assert_eq!(checked(&folder.join("map")), ["csv", "json", "md", "svg"]);
    // Each caption may be taken without the others.
    let captions = fs::read_to_string(folder.join("map/map.md")).expect("captions");
    assert_eq!(
        captions.matches(FIRST).count(),
        1 + captions.matches("\n## ").count()
    );
    for options in [&[][..], &["--json"]] {
        says(
            folder,
            &[&["compare", "a.toml", "b.toml"][..], options].concat(),
        );
    }
    fs::write(folder.join("built.toml"), BUILT).expect("written");
    let parts = [
        "parts",
        "built.toml",
        "--mesh",
        "--out",
        "parts",
        "--chord-mm",
        "1",
    ];
    says(folder, &parts);
    says(folder, &[&parts[..], &["--json"]].concat());
    assert_eq!(checked(&folder.join("parts")), ["json", "stl", "txt"]);
    let text = joined(&fs::read_to_string(folder.join("parts/SAFETY.txt")).expect("a text"));
    for sentence in BENCH {
        assert!(text.contains(sentence), "{sentence}");
    }
}

#[test]
fn the_bench_is_told_what_to_do_in_every_file() {
    let place = tempfile::tempdir().expect("a folder");
    let folder = place.path();
    for name in ["design.toml", "points.csv", "weights.csv"] {
        let from = Path::new(EXAMPLES).join("head-dome/bench").join(name);
        fs::copy(from, folder.join(name)).expect("copied");
    }
    let plan = [
        "measure",
        "plan",
        "design.toml",
        "--count",
        "10",
        "--out",
        "plan",
    ];
    let fit = [
        "measure",
        "fit",
        "design.toml",
        "points.csv",
        "--weights",
        "weights.csv",
        "--out",
        "fit",
    ];
    let texts = [
        says(folder, &plan),
        says(folder, &[&plan[..], &["--json"]].concat()),
    ];
    for text in &texts {
        for sentence in BENCH {
            assert!(joined(text).contains(sentence), "{sentence}\n{text}");
        }
    }
    says(folder, &fit);
    says(folder, &[&fit[..], &["--json"]].concat());
    assert_eq!(checked(&folder.join("plan")), ["csv", "html", "json"]);
    assert_eq!(checked(&folder.join("fit")), ["csv", "json", "svg", "toml"]);
    for name in ["plan/points.csv", "plan/weights.csv", "plan/sheet.html"] {
        let text = fs::read_to_string(folder.join(name)).expect("a file");
        for sentence in BENCH {
            assert!(text.contains(sentence), "{name}: {sentence}");
        }
    }
    // Remarks are no rows: what was planned is read back.
    let read = calotte(
        folder,
        &["measure", "fit", "design.toml", "plan/points.csv"],
    );
    let said = String::from_utf8_lossy(&read.stderr).to_string();
    assert!(!said.contains("Design aid"), "{said}");
}

#[test]
fn every_line_of_judge_says_it() {
    let examples = Path::new(EXAMPLES);
    let lines = fs::read_to_string(examples.join("head-dome/designs.jsonl")).expect("designs");
    let place = tempfile::tempdir().expect("a folder");
    let lines = format!(
        "{}\n{{\"linkage\": 1}}\n",
        lines.lines().next().expect("a design")
    );
    fs::write(place.path().join("designs.jsonl"), lines).expect("written");
    let output = Command::new(env!("CARGO_BIN_EXE_calotte"))
        .args(["judge", "head-dome/brief.toml"])
        .current_dir(examples)
        .stdin(Stdio::from(
            fs::File::open(place.path().join("designs.jsonl")).expect("designs"),
        ))
        .output()
        .expect("the binary runs");
    let text = String::from_utf8(output.stdout).expect("text");
    assert_eq!(text.lines().count(), 2, "{text}");
    for line in text.lines() {
        let answer: Value = serde_json::from_str(line).expect("JSON");
        let notice = answer["safety"]["notice"].as_str().expect("a notice");
        assert!(missing(notice).is_empty(), "{notice}");
        // Thousands follow one another.
        assert!(answer["safety"]["hazards"].is_null() && notice.len() < 1000);
    }
}

#[test]
fn what_starts_a_job_and_what_describes_one_say_it() {
    let place = tempfile::tempdir().expect("a folder");
    says(place.path(), &["new", "arm"]);
    let brief = fs::read_to_string(place.path().join("arm/brief.toml")).expect("a brief");
    assert!(brief.contains(FIRST) && brief.contains("safety_factor_yield = 2      # invented"));
    says(place.path(), &["new", "arm", "--force", "--json"]);
    says(place.path(), &["verify"]);
    says(place.path(), &["verify", "--json"]);
    for arguments in [
        &["verify", "--markdown"][..],
        &["schema"],
        &["schema", "--markdown"],
        &["schema", "design"],
        &["schema", "parts"],
    ] {
        assert!(
            printed(place.path(), arguments).contains(FIRST),
            "{arguments:?}"
        );
    }
}

/// The examples' numbers are nobody's limits.
#[test]
fn examples_say_that_their_safety_factors_are_invented() {
    let mut found = 0;
    for path in files(Path::new(EXAMPLES)) {
        // What a search wrote beside its brief holds the brief once more.
        let written = path.iter().any(|folder| folder == "results");
        if written || path.extension().is_none_or(|ending| ending != "toml") {
            continue;
        }
        for line in fs::read_to_string(&path).expect("a file").lines() {
            if line.starts_with("safety_factor_yield") {
                found += 1;
                assert!(line.contains("# invented"), "{}: {line}", path.display());
            }
        }
    }
    assert_eq!(found, 5);
}

/// The check itself must be able to fail.
#[test]
fn a_text_without_one_of_them_is_found_out() {
    let whole = format!("# {FIRST} Bars and joints can trap\n# and crush. Not assessed: injury.");
    assert!(missing(&whole).is_empty());
    assert_eq!(missing(&whole.replace("Local codes", "Codes")), [FIRST]);
    assert_eq!(missing(&whole.replace("trap", "close")).len(), 1);
    assert_eq!(
        missing(&whole.replace("injury", "all")),
        ["what is excluded"]
    );
}

/// A built scissor, invented.
const BUILT: &str = r#"title = "built"
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
