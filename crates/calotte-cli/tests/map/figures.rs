//! The files of a map, and what they mark.

use std::fs;
use std::process::Command;

use super::{calotte, json, place};

#[test]
fn cells_short_of_the_region_are_marked_and_never_best() {
    let place = place();
    let arguments = [
        "map",
        "design.toml",
        "--x",
        "stages=1..3",
        "--y",
        "arc_deg=10,16,24",
    ];
    let output = calotte(place.path(), &arguments);
    let text = String::from_utf8_lossy(&output.stdout).to_string();
    // Reached is 2 m β: only 2 and 3 stages of 24° and 3 of 16° come to 90°.
    assert!(
        text.contains("region's edge not reached (6 of 9 cells)"),
        "{text}"
    );
    let mut with = arguments.to_vec();
    with.extend(["--json", "--force"]);
    let document = json(&calotte(place.path(), &with));
    let reaches: Vec<bool> = document["reaches_region"]
        .as_array()
        .unwrap()
        .iter()
        .map(|v| v.as_bool().unwrap())
        .collect();
    assert_eq!(
        reaches,
        [false, false, false, false, false, true, false, true, true]
    );
    let best = &document["show"][0]["these_joints"]["best"];
    assert!(best[0]["best_x"].is_null());
    assert_eq!(best[1]["best_x"], 3.0);
    assert_eq!(best[2]["best_x"], 2.0);
}

#[test]
fn files_at_journal_width_with_captions_and_text() {
    let place = place();
    let output = calotte(
        place.path(),
        &[
            "map",
            "design.toml",
            "--x",
            "stages=1..4",
            "--y",
            "polar=30,60",
            "--set",
            "total_arc_deg=94",
            "--width-mm",
            "85",
            "--font-pt",
            "8",
        ],
    );
    assert_eq!(output.status.code(), Some(0));
    let text = String::from_utf8_lossy(&output.stdout);
    assert!(
        text.lines().all(|line| line.chars().count() <= 80),
        "{text}"
    );
    let sentence: String = text.split_whitespace().collect::<Vec<_>>().join(" ");
    assert!(
        sentence.contains("(polar 30, 60): rigid joints 4 for all; these joints 2 for all."),
        "{text}"
    );
    for file in ["map-stiffness.svg", "lines-stiffness.svg"] {
        let drawn = fs::read_to_string(place.path().join("map").join(file)).unwrap();
        let figure = roxmltree::Document::parse(&drawn).unwrap();
        assert_eq!(figure.root_element().attribute("width"), Some("85mm"));
        // Text stays text, and the description carries every setting.
        assert!(figure.descendants().any(|n| n.has_tag_name("text")));
        let description = figure
            .descendants()
            .find(|n| n.has_tag_name("desc"))
            .and_then(|n| n.text())
            .unwrap();
        for word in [
            "total arc per branch",
            "94°",
            "3e6 N/m axial",
            "transmission angle",
        ] {
            assert!(description.contains(word), "{word:?}: {description}");
        }
    }
    let captions = fs::read_to_string(place.path().join("map/map.md")).unwrap();
    assert!(
        captions.contains("Settings: linkage: scissor linkage"),
        "{captions}"
    );
    assert!(
        captions.contains("Best of each row with these joints: 2 stages at 30°"),
        "{captions}"
    );
}

#[test]
fn threads_do_not_change_a_byte() {
    let place = place();
    let mut folders = Vec::new();
    for threads in ["1", "4"] {
        let output = Command::new(env!("CARGO_BIN_EXE_calotte"))
            .current_dir(place.path())
            .env("RAYON_NUM_THREADS", threads)
            .args([
                "map",
                "design.toml",
                "--x",
                "stages=1..5",
                "--y",
                "arc_deg=8..24:2",
            ])
            .args([
                "--show",
                "stiffness,gci,reach",
                "--line",
                "reach=80,94",
                "--out",
                threads,
            ])
            .output()
            .unwrap();
        assert_eq!(output.status.code(), Some(0));
        let mut files: Vec<(String, Vec<u8>)> = fs::read_dir(place.path().join(threads))
            .unwrap()
            .map(|entry| {
                let entry = entry.unwrap();
                let name = entry.file_name().to_string_lossy().to_string();
                (name, fs::read(entry.path()).unwrap())
            })
            .collect();
        files.sort();
        folders.push(files);
    }
    assert_eq!(folders[0].len(), 11);
    assert_eq!(folders[0], folders[1]);
}
