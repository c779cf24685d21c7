//! Sizes that no memory holds are refused with their number, before any memory goes.

#![cfg(target_os = "linux")]

use std::fs;
use std::path::Path;
use std::process::Command;

/// Address space that each command may take, KiB: more than any of them needs to refuse.
const MEMORY: &str = "2000000";

const BRIEF: &str = r#"title = "Absurd, invented"
[region]
shape = "cap"
half_angle_deg = 40
[tool]
tip_radius_mm = 100
[space]
joint_radius_mm = RADIUS
[choice]
full_grid = true
families = ["scissor-linkage", "two-arc-arm"]
stages = [1, 2, 3]
arc_deg = ARC
arm_arc_deg = ARM
bend_deg = BEND
[joints]
rigid = true
"#;

fn brief(radius: &str, arc: &str, arm: &str, bend: &str) -> String {
    let text = BRIEF.replace("RADIUS", radius).replace("ARC", arc);
    text.replace("ARM", arm).replace("BEND", bend)
}

/// Status and message of a command within the memory.
fn refused(folder: &Path, words: &str) -> String {
    let limited = format!("ulimit -v {MEMORY}; exec \"$0\" {words}");
    let output = Command::new("sh")
        .args(["-c", &limited, env!("CARGO_BIN_EXE_calotte")])
        .current_dir(folder)
        .output()
        .unwrap();
    let said = String::from_utf8_lossy(&output.stderr).into_owned();
    assert_eq!(output.status.code(), Some(2), "{words}: {said}");
    assert!(output.stdout.is_empty(), "{words}");
    said
}

#[test]
fn a_grid_without_end_is_refused_with_its_number() {
    let place = tempfile::tempdir().unwrap();
    let fine = |step: &str| format!("{{ from = 10, to = 60, step = {step} }}");
    let grids = [
        brief("140", &fine("1e-9"), "50", "0"),
        brief("140", "20", &fine("1e-6"), "0"),
        brief("{ from = 100, to = 200, step = 1e-10 }", "20", "50", "0"),
        brief(
            "{ from = 100, to = 200, step = 1 }",
            &fine("0.01"),
            "50",
            &fine("0.01"),
        ),
    ];
    // The last: stages 1 to 3, the first of them without a bend, and one arm, at 101 radii.
    let all = 101_u64 * (5001 + 2 * 5001 * 5001 + 1);
    let numbers = [
        "line 13, column 11: arc_deg = { from = 10, to = 60, step = 1e-9 }",
        "the range has 50000000 steps",
        "the range has 1000000000000 steps",
        &format!("the grid has {all} combinations, and at most 20000000 are listed"),
    ];
    for (text, number) in grids.iter().zip(numbers) {
        fs::write(place.path().join("brief.toml"), text).unwrap();
        let said = refused(place.path(), "design brief.toml");
        assert!(said.contains(number), "{said}");
        assert!(!place.path().join("results").exists());
    }
}

#[test]
fn other_sizes_without_end_are_refused() {
    let place = tempfile::tempdir().unwrap();
    let example = Path::new(env!("CARGO_MANIFEST_DIR")).join("../../examples/head-dome");
    for (from, to) in [
        ("brief.toml", "brief.toml"),
        ("bench/design.toml", "design.toml"),
    ] {
        fs::copy(example.join(from), place.path().join(to)).unwrap();
    }
    for (words, number) in [
        ("design brief.toml --threads 1000000000", "1000000000"),
        ("design brief.toml --threads 0", "0"),
        ("judge brief.toml --threads 1000000000", "1000000000"),
        (
            "map design.toml --x arc_deg=1..60:1e-12 --y stages=1..2",
            "59000000000000 values",
        ),
        (
            "map design.toml --x stages=1..1000000000 --y arc_deg=20",
            "1000000000",
        ),
        ("measure plan design.toml --count 1000000000", "1000000000"),
        (
            "measure plan design.toml --times 1000000000",
            "3000000029 rows",
        ),
        (
            "measure plan design.toml --repeated 1000000000",
            "1000000000",
        ),
    ] {
        let said = refused(place.path(), words);
        assert!(said.contains(number), "{words}: {said}");
    }
}
