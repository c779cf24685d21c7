//! How much of what can be had the search finds: the hypervolume of the front that is written, on
//! briefs as they stood with a full grid.
//!
//! Each volume is to be at least that of the front which another evolutionary search, made outside
//! this program and given 27,000 analyses for all four, found inside the same brief (derived; a
//! lower bound of what there is). `CALOTTE_LONG=1` asks it of all briefs and of five seeds.

mod common;

use std::fs;
use std::path::Path;

use calotte::evolution::hypervolume;
use common::{calotte, folder_with};

/// A brief, the moving mass at which a volume is nothing, kg, and the volume to be had.
const BRIEFS: [(&str, f64, f64); 4] = [
    ("casting-gauge-built", 1.5, 0.329),
    ("casting-gauge", 1.0, 0.296),
    ("head-dome-built", 1.0, 0.509),
    ("head-dome", 1.0, 0.456),
];

/// Stiffness that counts as 1, N/mm.
const STIFFNESS: f64 = 60.0;
/// GCI at which a volume is nothing; 1 counts as 1.
const GCI: f64 = 0.5;

/// The brief, searched and judged at nominal values, and without what was asked of it later.
fn brief(name: &str) -> String {
    let path = Path::new(env!("CARGO_MANIFEST_DIR"))
        .join("tests/briefs")
        .join(format!("{name}.toml"));
    let mut text = fs::read_to_string(path).expect("a brief");
    let mut replace = |from: &str, to: &str| {
        assert!(text.contains(from), "{name}: {from}");
        text = text.replace(from, to);
    };
    replace("full_grid = true\n", "");
    replace("[limits]\n", "[limits]\njudge = \"nominal\"\n");
    if name == "head-dome" {
        for (from, to) in [("[[load]]  ", "[limits]"), ("[[limits.load]]", "[choice]")] {
            let begin = text.find(from).expect("the hand's");
            let end = begin + text[begin..].find(to).expect("what follows");
            text.replace_range(begin..end, "");
        }
        assert!(!text.contains("\"hand\""));
    }
    text
}

/// The volume of a front as it is written.
fn volume(front: &Path, most: f64) -> f64 {
    let mut rows = csv::Reader::from_path(front).expect("a front");
    let heads = rows.headers().expect("heads").clone();
    let column = |name: &str| {
        heads
            .iter()
            .position(|head| head == name)
            .expect("a column")
    };
    let columns = ["minimum_stiffness_n_per_mm", "gci", "moving_mass_kg"].map(column);
    let points: Vec<[f64; 3]> = rows
        .records()
        .map(|row| {
            let row = row.expect("a row");
            let [stiffness, gci, mass] =
                columns.map(|place| row[place].parse::<f64>().expect("a number"));
            [
                -stiffness / STIFFNESS,
                -(gci - GCI) / (1.0 - GCI),
                (mass - most) / most,
            ]
        })
        .collect();
    let points: Vec<&[f64]> = points.iter().map(|point| &point[..]).collect();
    hypervolume(&points, &[0.0; 3])
}

#[test]
fn fronts_hold_at_least_what_another_search_found() {
    let long = std::env::var_os("CALOTTE_LONG").is_some();
    let (briefs, seeds) = if long { (4, 1..=5) } else { (1, 1..=1) };
    println!("{briefs} of 4 briefs, seeds {seeds:?} of 1 to 5");
    let mut short = Vec::new();
    for (name, most, known) in &BRIEFS[..briefs] {
        let folder = folder_with(&[("brief.toml", &brief(name))]);
        let mut found = Vec::new();
        for seed in seeds.clone() {
            let seed = seed.to_string();
            let done = calotte(
                folder.path(),
                &[
                    "design",
                    "brief.toml",
                    "--seed",
                    &seed,
                    "--out",
                    "r",
                    "--force",
                ],
            );
            assert_eq!(done.status.code(), Some(0), "{name}, seed {seed}: {done:?}");
            found.push(volume(&folder.path().join("r/front.csv"), *most));
        }
        let worst = found.iter().copied().fold(f64::INFINITY, f64::min);
        println!("{name}: {found:.4?}, worst {:.3} of {known}", worst / known);
        if worst < *known {
            short.push(*name);
        }
    }
    assert!(short.is_empty(), "{short:?} hold less");
}
