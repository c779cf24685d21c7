//! What `calotte design` says to be proved, against designs drawn at random inside the stated
//! box and judged by `calotte judge`, which knows nothing of proofs.

mod common;

use std::fs;
use std::path::Path;
use std::process::Command;

use common::{calotte, folder_with};
use rand::{Rng, SeedableRng};
use rand_chacha::ChaCha8Rng;
use serde_json::{Value, json};

/// An invented need; limits and choice are put in.
fn brief(limits: &str, choice: &str) -> String {
    format!(
        r#"title = "Invented"
[region]
shape = "band"
polar_from_deg = 12
polar_to_deg = 62
coverage_min = 0.97
[tool]
tip_radius_mm = 100
[space]
joint_radius_mm = 150
[limits]
transmission_angle_min_deg = 20
{limits}
[choice]
full_grid = true
arc_deg = {{ from = 15, to = 55, step = 20 }}
arm_arc_deg = {{ from = 25, to = 85, step = 30 }}
materials = ["aluminium 6061-T6"]
{choice}
[choice.section]
shape = "rectangle"
tangential_mm = [14]
radial_mm = [10]
[joints]
axial_n_per_m = 3e6
radial_n_per_m = 6e6
tilt_nm_per_rad = 800
"#
    )
}

/// What a search printed on the terminal, and its document.
fn designed(brief: &str) -> (String, Value, tempfile::TempDir) {
    let folder = folder_with(&[("brief.toml", brief)]);
    let output = calotte(folder.path(), &["design", "brief.toml"]);
    assert!(output.status.code() < Some(2), "{output:?}");
    let printed = String::from_utf8(output.stdout).expect("text");
    let printed: Vec<&str> = printed.split_whitespace().collect();
    let document = fs::read_to_string(folder.path().join("results/results.json"));
    let document = serde_json::from_str(&document.expect("a file")).expect("JSON");
    (printed.join(" "), document, folder)
}

fn linkage(certificate: &Value, arcs: [f64; 2], mode: i64) -> Value {
    let layout = certificate["drive_layout"].as_str();
    let linkage = match certificate["stages"].as_u64() {
        Some(1) => json!({"family": certificate["family"], "proximal_arcs_deg": [arcs[0]],
            "distal_arcs_deg": [arcs[1]], "assembly_modes": [mode], "joint_radius_mm": 150}),
        _ => json!({"family": certificate["family"], "arcs_deg": arcs, "joint_radius_mm": 150}),
    };
    let mut design = json!({"linkage": linkage, "tool": {"tip_radius_mm": 100},
        "section": {"shape": "rectangle", "tangential_mm": 14, "radial_mm": 10},
        "material": {"name": "aluminium 6061-T6"},
        "joints": {"axial_n_per_m": 3e6, "radial_n_per_m": 6e6, "tilt_nm_per_rad": 800}});
    if let Some(layout) = layout {
        design["drives"] = json!({"layout": layout});
    }
    design
}

fn ends(value: &Value) -> [f64; 2] {
    [0, 1].map(|end| value[end].as_f64().expect("a number"))
}

/// Arcs inside the box: half of them anywhere, half around a place.
fn drawn(certificate: &Value, about: Option<&Value>, count: usize) -> Vec<([f64; 2], i64)> {
    let mut random = ChaCha8Rng::seed_from_u64(7);
    let boxes = ["near_arc_deg", "far_arc_deg"].map(|key| ends(&certificate[key]));
    let place =
        about.map(|found| ["near_arc_deg", "far_arc_deg"].map(|key| found[key].as_f64().unwrap()));
    let designs = (0..count).map(|number| {
        let arcs = [0, 1].map(|side| {
            let [from, to] = boxes[side];
            match place {
                Some(place) if number % 2 == 0 => {
                    let step: f64 = random.random_range(-4.0..4.0);
                    (place[side] + step * step.abs() / 4.0).clamp(from, to)
                }
                _ => random.random_range(from..to),
            }
        });
        (arcs, if random.random_bool(0.5) { 1 } else { -1 })
    });
    designs.collect()
}

/// Each design judged against a brief: coverage, minimum LCI and GCI.
fn judged(folder: &Path, brief: &str, designs: &[Value]) -> Vec<[f64; 3]> {
    let lines: String = designs.iter().map(|one| format!("{one}\n")).collect();
    fs::write(folder.join("designs.jsonl"), lines).expect("a file");
    fs::write(folder.join("plain.toml"), brief).expect("a file");
    let designs_file = fs::File::open(folder.join("designs.jsonl")).expect("the file");
    let output = Command::new(env!("CARGO_BIN_EXE_calotte"))
        .current_dir(folder)
        .args(["judge", "plain.toml"])
        .stdin(designs_file)
        .output()
        .expect("the binary runs");
    let text = String::from_utf8(output.stdout.clone()).expect("text");
    let all: Vec<[f64; 3]> = text
        .lines()
        .map(|line| {
            let verdict: Value = serde_json::from_str(line).expect("JSON");
            assert!(verdict["error"].is_null(), "{verdict}");
            let rows = verdict["requirements"].as_array().expect("rows");
            let value = |quantity: &str| {
                let mut rows = rows.iter();
                let row = rows.find(|row| row["quantity"] == quantity);
                // What reaches nothing has no index.
                row.and_then(|row| row["predicted"].as_f64()).unwrap_or(0.0)
            };
            ["coverage", "lci-min", "gci"].map(value)
        })
        .collect();
    assert_eq!(all.len(), designs.len(), "{output:?}");
    all
}

const ALL: &str = r#"families = ["scissor-linkage", "two-arc-arm"]
stages = [1, 2]
drive_layout = ["two-bars", "swing-and-opening"]
"#;

/// The number after some words.
fn number_after(text: &str, words: &str) -> f64 {
    let rest = text
        .split_once(words)
        .unwrap_or_else(|| panic!("{words}: {text}"))
        .1;
    let number: String = rest
        .chars()
        .take_while(|c| c.is_ascii_digit() || *c == '.')
        .collect();
    number.trim_end_matches('.').parse().expect("a number")
}

#[test]
fn no_design_in_the_box_passes_the_printed_bounds() {
    let asked = brief("lci_min = 0.15", ALL);
    let (printed, document, folder) = designed(&asked);
    let proved = document["certificates"]["proved"]
        .as_array()
        .expect("a list");
    assert_eq!(proved.len(), 3, "{proved:?}");
    // Without the limit on LCI, what has less of it counts too.
    let plain = brief("", ALL);
    for certificate in proved {
        assert_eq!(certificate["verdict"], "possible");
        let [lci, gci] = ["minimum_lci", "gci"].map(|key| &certificate[key]);
        let [lci_most, gci_most] = [lci, gci].map(|bound| bound["upper"].as_f64().unwrap());
        let mut covering = 0;
        // With a limit on LCI a linkage covers less; the bound on LCI needs none.
        for (bound, with, of_gci) in [(lci, &plain, false), (gci, &asked, true)] {
            let found = &bound["found"];
            let places = drawn(certificate, Some(found), 100);
            let mut designs: Vec<Value> = places
                .iter()
                .map(|(arcs, mode)| linkage(certificate, *arcs, *mode))
                .collect();
            // The best found is what it is said to be.
            let own = ["near_arc_deg", "far_arc_deg"].map(|key| found[key].as_f64().unwrap());
            let mode = found["assembly_modes"][0].as_i64().unwrap_or(1);
            designs.push(linkage(certificate, own, mode));
            let values = judged(folder.path(), with, &designs);
            for (value, design) in values.iter().zip(&designs) {
                let [coverage, lci, gci] = *value;
                if coverage < 0.97 {
                    continue;
                }
                covering += 1;
                assert!(lci <= lci_most, "{lci} > {lci_most}: {design}");
                if of_gci {
                    assert!(gci <= gci_most, "{gci} > {gci_most}: {design}");
                }
            }
            let best = values.last().unwrap();
            let said = found["value"].as_f64().unwrap();
            assert!(best[0] >= 0.97 - 1e-9, "{best:?}");
            if of_gci {
                assert!((best[2] - said).abs() < 1e-6, "{best:?} {said}");
            }
        }
        assert!(covering > 40, "{covering} of 202 cover what is asked");
        // What is printed is no less than the bound, and what was found no more than it is.
        let class = match (
            certificate["stages"].as_u64(),
            certificate["drive_layout"].as_str(),
        ) {
            (Some(1), Some(layout)) => {
                format!("scissor linkage, 1 stage, {}", layout.replace('-', " "))
            }
            _ => "two-arc arm, arcs".to_string(),
        };
        let row = printed.split_once("Certificate").expect("the row").1;
        let line = row
            .split_once(&class)
            .unwrap_or_else(|| panic!("{class}: {row}"))
            .1;
        for (name, upper) in [("minimum LCI ≤ ", lci_most), ("GCI ≤ ", gci_most)] {
            let shown = number_after(line, name);
            assert!(shown >= upper && shown - upper < 1.01e-4, "{shown} {upper}");
        }
    }
    assert!(
        printed.contains("scissor linkage, 2 stages: searched, nothing proved"),
        "{printed}"
    );
    assert_eq!(
        document["certificates"]["searched_only"],
        json!(["scissor linkage, 2 stages"])
    );
}

#[test]
fn what_is_said_to_be_impossible_no_design_in_the_box_does() {
    let choice = r#"families = ["scissor-linkage"]
stages = [1]
drive_layout = ["two-bars"]
"#;
    let (_, document, _folder) = designed(&brief("lci_min = 0.15", choice));
    let best = &document["certificates"]["proved"][0]["minimum_lci"];
    let limit = best["upper"].as_f64().unwrap() + 1e-3;
    let asked = brief(&format!("lci_min = {limit}"), choice);
    let (printed, document, folder) = designed(&asked);
    let certificate = &document["certificates"]["proved"][0];
    assert_eq!(certificate["verdict"], "impossible");
    assert_eq!(certificate["impossible_for"], "lci-min");
    assert!(certificate["gci"].is_null());
    assert!(printed.contains("none has coverage of at least 0.97 with a transmission angle of at least 20° and minimum LCI of at least"), "{printed}");
    let designs: Vec<Value> = drawn(certificate, Some(&best["found"]), 200)
        .into_iter()
        .map(|(arcs, mode)| linkage(certificate, arcs, mode))
        .collect();
    let values = judged(folder.path(), &asked, &designs);
    assert!(values.iter().all(|value| value[0] < 0.97), "{values:?}");
    // They cover some of the region with that LCI, so the question was a real one.
    assert!(values.iter().filter(|value| value[0] > 0.5).count() > 20);
}
