//! A search spread over machines: parts joined are what one run finds, byte for byte, and what is
//! of another search, missing or changed is refused.

mod common;

use std::fs;
use std::path::{Path, PathBuf};
use std::process::{Command, Stdio};
use std::time::Duration;

use common::{calotte, folder_with};

/// Invented.
const BRIEF: &str = r#"title = "parts of a search"
[region]
shape = "cap"
half_angle_deg = 60
coverage_min = 0.9
[[exclude]]
half_angle_deg = 12
[tool]
mass_kg = 0.5
centre_of_mass_radius_mm = 150
tip_radius_mm = 100
[space]
joint_radius_mm = { from = 140, to = 170 }
[limits]
sag_mm = 2
[choice]
families = ["scissor-linkage", "two-arc-arm"]
stages = [1, 2]
arc_deg = { from = 12, to = 45 }
arm_arc_deg = { from = 20, to = 80 }
drive_layout = ["two-bars", "swing-and-opening"]
[choice.section]
shape = "rectangle"
tangential_mm = [12, 14]
radial_mm = 6
[joints]
axial_n_per_m = 3e6
radial_n_per_m = 6e6
tilt_nm_per_rad = 500
"#;

/// Parts of the search.
const PARTS: usize = 4;

fn part(folder: &Path, number: usize, out: &str) {
    let part = format!("{number}/{PARTS}");
    let done = calotte(
        folder,
        &["design", "brief.toml", "--part", &part, "--out", out],
    );
    let said = String::from_utf8_lossy(&done.stderr).into_owned();
    // What ran ends with 0, whatever it found: who waits for all parts waits for that.
    assert_eq!(done.status.code(), Some(0), "{said}");
    let told = String::from_utf8_lossy(&done.stdout).into_owned();
    assert!(told.starts_with(&format!("Part {part}: ")), "{told}");
}

/// All files of a folder with what they hold, by their paths within it.
fn files(folder: &Path) -> Vec<(PathBuf, Vec<u8>)> {
    let mut all = Vec::new();
    let mut open = vec![folder.to_path_buf()];
    while let Some(place) = open.pop() {
        for entry in fs::read_dir(place).expect("a folder") {
            let path = entry.expect("an entry").path();
            if path.is_dir() {
                open.push(path);
            } else {
                let bytes = fs::read(&path).expect("a file");
                let within = path.strip_prefix(folder).expect("within").to_path_buf();
                all.push((within, bytes));
            }
        }
    }
    all.sort();
    all
}

#[test]
fn parts_joined_are_what_one_run_finds() {
    let folder = folder_with(&[("brief.toml", BRIEF)]);
    let place = folder.path();
    let whole = calotte(place, &["design", "brief.toml", "--out", "whole"]);
    assert_eq!(whole.status.code(), Some(0));
    // The third one is killed on its way and run again.
    let mut third = Command::new(env!("CARGO_BIN_EXE_calotte"))
        .args(["design", "brief.toml", "--part", "3/4", "--out", "c"])
        .current_dir(place)
        .stderr(Stdio::null())
        .stdout(Stdio::null())
        .spawn()
        .expect("it runs");
    let journal = place.join("c.unfinished");
    let judged = || fs::read_to_string(&journal).map_or(0, |text| text.lines().count());
    while judged() < 10 && third.try_wait().expect("its status").is_none() {
        std::thread::sleep(Duration::from_millis(1));
    }
    third.kill().expect("a signal is sent");
    // A process that ended by itself has a status; a killed one has none.
    assert_eq!(third.wait().expect("it ends").code(), None);
    assert!(judged() >= 10 && !place.join("c").exists());
    for (number, out) in [(4, "d"), (1, "a"), (3, "c"), (2, "b")] {
        part(place, number, out);
    }
    // A part killed early enough leaves no result; run twice it is the same to the last byte.
    part(place, 2, "again");
    assert_eq!(files(&place.join("b")), files(&place.join("again")));
    let shuffled = [
        "design",
        "brief.toml",
        "--out",
        "joined",
        "--join",
        "c",
        "a",
        "d",
        "b",
    ];
    let joined = calotte(place, &shuffled);
    let said = String::from_utf8_lossy(&joined.stderr).into_owned();
    assert_eq!(joined.status.code(), Some(0), "{said}");
    let (whole, joined) = (files(&place.join("whole")), files(&place.join("joined")));
    assert!(whole.len() > 20, "{} files", whole.len());
    let differing: Vec<&PathBuf> = whole
        .iter()
        .zip(&joined)
        .filter(|(a, b)| a != b)
        .map(|(a, _)| &a.0)
        .collect();
    assert!(
        whole.len() == joined.len() && differing.is_empty(),
        "{differing:?} differ"
    );
    refusals(place);
}

/// What is refused, with a word that says why.
fn refusals(place: &Path) {
    let refused = |arguments: &[&str], words: &[&str]| {
        let all: Vec<&str> = ["design", "brief.toml", "--out", "no"]
            .into_iter()
            .chain(arguments.iter().copied())
            .collect();
        let done = calotte(place, &all);
        let said = String::from_utf8_lossy(&done.stderr).into_owned();
        assert_eq!(done.status.code(), Some(2), "{arguments:?}: {said}");
        for word in words {
            assert!(said.contains(word), "{arguments:?}: {said}");
        }
        assert!(!place.join("no").exists());
    };
    refused(&["--join", "a", "b", "d"], &["part 3/4 is missing"]);
    refused(&["--join", "a", "b", "c", "d", "a"], &["both part 1 of 4"]);
    refused(&["--join", "a", "b", "c", "nowhere"], &["nowhere"]);
    refused(
        &["--seed", "2", "--join", "a", "b", "c", "d"],
        &["another search", "seed is 1, 2 is asked for"],
    );
    refused(
        &["--effort", "2", "--join", "a", "b", "c", "d"],
        &["another search", "effort"],
    );
    for name in ["5/4", "0/4", "1", "a/b", "1/0"] {
        refused(&["--part", name], &["N/M"]);
    }
    let file = place.join("b/part.jsonl");
    let text = fs::read_to_string(&file).expect("a part");
    let lines: Vec<&str> = text.lines().collect();
    let cut = lines[..lines.len() - 1].join("\n");
    let joined = ["--join", "a", "b", "c", "d"];
    fs::write(&file, cut).expect("cut short");
    refused(&joined, &["cut short", "b"]);
    let other = [lines[0], "{\"Candidate\": \"no\"}"].join("\n");
    fs::write(&file, other).expect("another line");
    refused(&joined, &["line 2"]);
    fs::write(&file, "").expect("empty");
    refused(&joined, &["line 1"]);
    fs::write(&file, &text).expect("as it was");
    fs::write(
        place.join("brief.toml"),
        BRIEF.replace("sag_mm = 2", "sag_mm = 3"),
    )
    .expect("another brief");
    refused(&joined, &["another search", "brief"]);
}
