//! What a map refuses, and that it then writes nothing.

use std::fs;

use super::{calotte, place};

#[test]
fn wrong_words_are_named_and_nothing_is_written() {
    for (arguments, words) in [
        (
            vec!["--x", "stags=1..3", "--y", "arc_deg=8..9"],
            vec!["stags", "stages", "allowed"],
        ),
        (
            vec!["--x", "stages=3..1", "--y", "arc_deg=8..9"],
            vec!["backwards", "stages=1..3"],
        ),
        (
            vec!["--x", "stages=1..3", "--y", "arc_deg=8..9:0"],
            vec!["step is not a number above zero"],
        ),
        (
            vec!["--x", "stages=1..3", "--y", "arc_deg="],
            vec!["arc_deg", "not a number", "8..40"],
        ),
        (
            vec!["--x", "stages=1..3:0.5", "--y", "arc_deg=8..9"],
            vec!["whole steps"],
        ),
        (
            vec!["--x", "stages=1..3", "--y", "arc_deg=8..9:1e-9"],
            vec!["larger step"],
        ),
        (
            vec!["--x", "stages=1..3", "--y", "arc=8..9"],
            vec!["unknown variable `arc`", "write arc_deg"],
        ),
        (
            vec![
                "--x",
                "stages=1..3",
                "--y",
                "arc_deg=8..9",
                "--set",
                "total_arc_deg=94",
            ],
            vec!["--y arc_deg and --set total_arc_deg set the same arcs"],
        ),
        (
            vec![
                "--x",
                "stages=1..3",
                "--y",
                "arc_deg=8..9",
                "--set",
                "stages=2",
            ],
            vec!["--x and --set are both stages"],
        ),
        (
            vec![
                "--x",
                "stages=1..3",
                "--y",
                "arc_deg=8..9",
                "--set",
                "bend_deg=1,2",
            ],
            vec!["one value is expected"],
        ),
        (
            vec![
                "--x",
                "bend_deg=0..9",
                "--y",
                "arc_deg=8..9",
                "--set",
                "stages=1",
            ],
            vec!["two stages or more", "this design has: stages"],
        ),
        (
            vec![
                "--x",
                "stages=1..3",
                "--y",
                "polar=30,60",
                "--at",
                "polar=50",
            ],
            vec!["a second time"],
        ),
        (
            vec!["--x", "stages=1..3", "--y", "arc_deg=8..9", "--show", "sag"],
            vec!["no mass", "mass_kg"],
        ),
        (
            vec!["--x", "stages=1..3", "--y", "stages=1..2"],
            vec!["both stages"],
        ),
        (
            vec!["--x", "stages=0..3", "--y", "arc_deg=8..9"],
            vec!["outside 1 to"],
        ),
        (
            vec!["--x", "stages=1..3", "--y", "arc_deg=8..200"],
            vec!["outside"],
        ),
        (
            vec!["--x", "stages=1..3", "--y", "arc_deg=8..NaN"],
            vec!["outside"],
        ),
        (
            vec!["--x", "stages=1..3", "--y", "first_arc_deg=8..9"],
            vec!["scissor-linkage"],
        ),
        (
            vec!["--x", "stages=1..3", "--y", "diameter_mm=8..9"],
            vec!["section"],
        ),
        (
            vec![
                "--x",
                "stages=1..3",
                "--y",
                "arc_deg=8..9",
                "--show",
                "stifness",
            ],
            vec!["stifness", "stiffness"],
        ),
        (
            vec![
                "--x",
                "stages=1..3",
                "--y",
                "arc_deg=8..9",
                "--line",
                "gci=1",
            ],
            vec!["--line"],
        ),
        (
            vec![
                "--x",
                "stages=1..3",
                "--y",
                "arc_deg=8..9",
                "--at",
                "stages=2",
            ],
            vec!["only polar"],
        ),
        (
            vec![
                "--x",
                "stages=1..3",
                "--y",
                "arc_deg=8..9",
                "--width-mm",
                "10",
            ],
            vec!["map-stiffness.svg"],
        ),
    ] {
        let place = place();
        let mut all = vec!["map", "design.toml"];
        all.extend(&arguments);
        let output = calotte(place.path(), &all);
        let message = String::from_utf8_lossy(&output.stderr);
        assert_eq!(output.status.code(), Some(2), "{arguments:?}: {message}");
        for word in words {
            assert!(message.contains(word), "{word:?} is not in: {message}");
        }
        assert!(message.contains("hint:"), "{message}");
        assert!(!place.path().join("map").exists(), "{arguments:?} wrote");
    }
}

#[test]
fn a_folder_with_other_files_is_kept() {
    let place = place();
    fs::create_dir(place.path().join("map")).unwrap();
    fs::write(place.path().join("map/mine.txt"), "mine").unwrap();
    let output = calotte(
        place.path(),
        &[
            "map",
            "design.toml",
            "--x",
            "stages=1..2",
            "--y",
            "arc_deg=20,22",
        ],
    );
    assert_eq!(output.status.code(), Some(2));
    assert_eq!(
        fs::read_to_string(place.path().join("map/mine.txt")).unwrap(),
        "mine"
    );
}
