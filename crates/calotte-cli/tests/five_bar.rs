//! The spherical five-bar through the binary: what `analyse`, `map`, `compare` and `judge`
//! answer by cells, each against another of them, and what says "not available yet".

use std::fs;
use std::io::Write;
use std::path::Path;
use std::process::{Command, Output, Stdio};

use calotte_document::analysis::{AnalysisDocument, Reach, Singularity};
use serde_json::Value;

const DESIGN: &str = include_str!("five_bar/design.toml");
const BRIEF: &str = include_str!("five_bar/brief.toml");

fn calotte(folder: &Path, arguments: &[&str]) -> Output {
    Command::new(env!("CARGO_BIN_EXE_calotte"))
        .current_dir(folder)
        .args(arguments)
        .env("COLUMNS", "80")
        .output()
        .expect("the binary runs")
}

/// A folder with the design and the brief, and with any other files.
fn folder(others: &[(&str, &str)]) -> tempfile::TempDir {
    let place = tempfile::tempdir().expect("a temporary folder");
    let files = [("design.toml", DESIGN), ("brief.toml", BRIEF)];
    for (name, text) in files.iter().chain(others) {
        fs::write(place.path().join(name), text).expect("a file");
    }
    place
}

fn text(bytes: &[u8]) -> &str {
    std::str::from_utf8(bytes).expect("UTF-8")
}

fn json(output: &Output) -> Value {
    serde_json::from_slice(&output.stdout)
        .unwrap_or_else(|error| panic!("{error}: {}", text(&output.stderr)))
}

fn number(value: &Value) -> f64 {
    value.as_f64().unwrap_or_else(|| panic!("{value}"))
}

fn replaced(what: &str, by: &str) -> String {
    assert!(DESIGN.contains(what), "{what}");
    DESIGN.replace(what, by)
}

/// The requirement of a name.
fn row<'a>(analysis: &'a Value, quantity: &str) -> &'a Value {
    let rows = analysis["requirements"].as_array().expect("rows");
    rows.iter()
        .find(|row| row["quantity"] == quantity)
        .unwrap_or_else(|| panic!("no row {quantity}"))
}

const ANALYSED: [&str; 5] = ["analyse", "design.toml", "--brief", "brief.toml", "--json"];

#[test]
fn an_analysis_has_every_row_and_says_that_it_is_sampled() {
    let place = folder(&[]);
    let words = calotte(place.path(), &ANALYSED[..4]);
    assert_eq!(words.status.code(), Some(0), "{}", text(&words.stderr));
    let shown = text(&words.stdout);
    let flowing: Vec<&str> = shown.split_whitespace().collect();
    let flowing = flowing.join(" ");
    for part in [
        "spherical five-bar, base axes 50° apart, proximal arcs 55° and 50°",
        "elbows out",
        "left and right",
        "sampled ±0.00",
        "nothing proved",
        "all values over the region are sampled",
    ] {
        assert!(flowing.contains(part), "{part:?} is not in\n{shown}");
    }
    assert!(!shown.contains("stage"), "{shown}");
    assert!(shown.lines().all(|line| line.chars().count() <= 80));

    let output = calotte(place.path(), &ANALYSED);
    let value = json(&output);
    let typed: AnalysisDocument = serde_json::from_slice(&output.stdout).expect("its type");
    assert_eq!(calotte_document::json(&typed), value);
    assert!(matches!(typed.analysis.reach, Reach::Sampled(_)));
    assert!(matches!(
        typed.analysis.singularity,
        Singularity::Sampled(_)
    ));
    for quantity in [
        "coverage",
        "contact_deflection",
        "sag",
        "holding_torque",
        "safety_factor_yield",
        "lci_min",
        "gci",
        "transmission_angle",
        "moving_mass",
        "minimum_translational_stiffness",
    ] {
        let row = row(&value, quantity);
        assert!(row.get("reason").is_none(), "{row}");
    }
    assert_eq!(value["mobility"]["by_rank"], 2);
    assert_eq!(value["mobility"]["by_counting"], 2);
    // Every direction solved lies in the region, keeps the margins and is no better than
    // the worst.
    let least = number(&row(&value, "minimum_translational_stiffness")["predicted_n_per_mm"]);
    let axis = [0.0, 0.6, 0.8];
    let rings = value["rings"].as_array().expect("directions");
    assert!(rings.len() > 100);
    for ring in rings {
        let [polar, azimuth] =
            ["polar_deg", "azimuth_deg"].map(|key| number(&ring[key]).to_radians());
        let direction = [
            polar.sin() * azimuth.cos(),
            polar.sin() * azimuth.sin(),
            polar.cos(),
        ];
        let cosine: f64 = axis.iter().zip(direction).map(|(a, b)| a * b).sum();
        assert!(cosine >= 40.0_f64.to_radians().cos() - 1e-9);
        assert!(number(&ring["lci"]) >= 0.15);
        assert!(number(&ring["transmission_angle_deg"]) >= 20.0);
        assert!(number(&ring["stiffness"]["minimum_n_per_m"]) / 1e3 >= least * (1.0 - 1e-12));
    }
}

/// What the region says of its worst place is what that direction says by itself.
#[test]
fn the_worst_place_asked_by_itself_says_the_same() {
    let place = folder(&[]);
    let analysis = json(&calotte(place.path(), &ANALYSED));
    let stiffness = row(&analysis, "minimum_translational_stiffness");
    let at = &stiffness["worst_at_deg"];
    let direction = format!("{},{}", at["polar"], at["azimuth"]);
    let alone = calotte(
        place.path(),
        &[
            "analyse",
            "design.toml",
            "--brief",
            "brief.toml",
            "--direction",
            &direction,
            "--json",
        ],
    );
    assert_eq!(alone.status.code(), Some(0), "{}", text(&alone.stderr));
    let alone = json(&alone);
    let configuration = &alone["configurations"][0];
    let got = number(&stiffness["predicted_n_per_mm"]);
    let there = number(&configuration["stiffness"]["minimum_n_per_m"]) / 1e3;
    assert!((there / got - 1.0).abs() < 1e-9, "{there} {got}");
    // Its joint angles bring the tool back there; with both drives' ratios.
    let joints = &configuration["joints_deg"];
    let joints = format!("{},{}", joints[0], joints[1]);
    let back = json(&calotte(
        place.path(),
        &[
            "analyse",
            "design.toml",
            "--brief",
            "brief.toml",
            "--joints",
            &joints,
            "--json",
        ],
    ));
    let back = &back["configurations"][0];
    for key in ["polar", "azimuth"] {
        let apart = number(&back["direction_deg"][key]) - number(&at[key]);
        assert!(apart.abs() < 1e-9, "{key}: {apart}");
    }
    let lci = |configuration: &Value| number(&configuration["lci"]);
    assert!((lci(back) - lci(configuration)).abs() < 1e-9);
    // The virtual joint model has an answer too, and its assembly is the reference's.
    let assembly = number(&configuration["cross_check"]["assembly_difference"]);
    assert!(assembly < 1e-8, "{assembly}");
}

#[test]
fn a_direction_out_of_reach_names_the_nearest_with_finite_numbers() {
    let place = folder(&[]);
    let output = calotte(
        place.path(),
        &["analyse", "design.toml", "--direction", "40,90", "--json"],
    );
    assert_eq!(output.status.code(), Some(1));
    let value = json(&output);
    assert_eq!(value["reachable"], false);
    let apart = number(&value["nearest"]["distance_deg"]);
    assert!(apart > 5.0 && apart < 30.0, "{apart}");
    // Off the singularity that ends the range there: its own numbers are finite.
    let joints = &value["nearest"]["joints_deg"];
    let joints = format!("{},{}", joints[0], joints[1]);
    let nearest = json(&calotte(
        place.path(),
        &["analyse", "design.toml", "--joints", &joints, "--json"],
    ));
    let configuration = &nearest["configurations"][0];
    assert!(number(&configuration["transmission_angle_deg"]) > 0.05);
    assert!(number(&configuration["stiffness"]["minimum_n_per_m"]) > 0.0);
    for torque in configuration["holding_torque_nm"].as_array().expect("two") {
        assert!(number(torque).abs() < 1e4, "{torque}");
    }
}

#[test]
fn map_and_analysis_agree_and_polar_angles_are_answered() {
    let place = folder(&[]);
    let analysis = json(&calotte(place.path(), &ANALYSED));
    let show = "stiffness,sag,holding-torque,gci,gci-reached,lci-min,coverage,moving-mass";
    let output = calotte(
        place.path(),
        &[
            "map",
            "design.toml",
            "--x",
            "joint_radius_mm=140,150",
            "--y",
            "tangential_mm=14",
            "--brief",
            "brief.toml",
            "--show",
            show,
            "--json",
            "--out",
            "map",
        ],
    );
    assert_eq!(output.status.code(), Some(0), "{}", text(&output.stderr));
    assert!(text(&output.stderr).contains("sampled in cells"));
    let map = json(&output);
    let same = |shown: f64, value: f64, what: &str| {
        assert!(
            (shown / value - 1.0).abs() < 1e-9,
            "{what}: {shown} {value}"
        );
    };
    // The second cell has the design's own numbers.
    let real = |quantity: &str| {
        let shown = map["show"].as_array().expect("quantities");
        let found = shown.iter().find(|shown| shown["quantity"] == quantity);
        number(&found.unwrap_or_else(|| panic!("{quantity}"))["these_joints"]["values"][1])
    };
    let got = |quantity: &str, key: &str| number(&row(&analysis, quantity)[key]);
    for (shown, quantity, key) in [
        (
            "stiffness",
            "minimum_translational_stiffness",
            "predicted_n_per_mm",
        ),
        ("sag", "sag", "predicted_mm"),
        ("holding-torque", "holding_torque", "predicted_nm"),
        ("gci", "gci", "predicted"),
        ("lci-min", "lci_min", "predicted"),
        ("coverage", "coverage", "predicted"),
        ("moving-mass", "moving_mass", "predicted_kg"),
    ] {
        same(real(shown), got(quantity, key), shown);
    }
    let reached = number(&analysis["conditioning"]["gci_reached"]);
    same(real("gci-reached"), reached, "gci-reached");

    // A stiffness at one polar angle is that of the directions there.
    let output = calotte(
        place.path(),
        &[
            "map",
            "design.toml",
            "--x",
            "polar=30,170",
            "--y",
            "arc_deg=55",
            "--show",
            "stiffness",
            "--brief",
            "brief.toml",
            "--json",
            "--out",
            "polar",
        ],
    );
    assert_eq!(output.status.code(), Some(0), "{}", text(&output.stderr));
    let map = json(&output);
    let values = &map["show"][0]["these_joints"]["values"];
    assert!(number(&values[0]) > 0.0);
    assert!(values[1].is_null());
    let reasons = &map["no_value_because"];
    assert!(reasons[0].is_null());
    assert_eq!(reasons[1], "the polar angle is not reached");
}

#[test]
fn compare_and_judge_say_what_analyse_says() {
    let place = folder(&[]);
    let analysis = json(&calotte(place.path(), &ANALYSED));
    fs::write(place.path().join("in.toml"), replaced("\"out\"", "\"in\"")).expect("a file");
    let arguments = ["compare", "design.toml", "in.toml", "--brief", "brief.toml"];
    let output = calotte(place.path(), &arguments);
    assert_eq!(output.status.code(), Some(1), "{}", text(&output.stderr));
    let shown = text(&output.stdout);
    assert!(shown.contains("five-bar"), "{shown}");
    assert!(!shown.contains("none near"), "{shown}");
    let output = calotte(place.path(), &[&arguments[..], &["--json"]].concat());
    let compared = json(&output);
    let column = &compared["designs"][0];
    for key in [
        "reach",
        "conditioning",
        "singularity",
        "requirements",
        "joint_loads_max",
    ] {
        assert_eq!(column[key], analysis[key], "{key}");
    }
    // Elbows in cover nothing there: no number stands for what is not.
    let other = &compared["designs"][1];
    assert_eq!(number(&row(other, "coverage")["predicted"]), 0.0);
    assert!(row(other, "lci_min")["predicted"].is_null());
    assert!(row(other, "lci_min")["reason"].is_string());

    let mut child = Command::new(env!("CARGO_BIN_EXE_calotte"))
        .current_dir(place.path())
        .args(["judge", "brief.toml"])
        .stdin(Stdio::piped())
        .stdout(Stdio::piped())
        .spawn()
        .expect("the binary runs");
    let table: toml::Table = DESIGN.parse().expect("TOML");
    let line = serde_json::to_string(&table).expect("JSON");
    let mut stdin = child.stdin.take().expect("a pipe");
    writeln!(stdin, "{line}").expect("written");
    drop(stdin);
    let judged = json(&child.wait_with_output().expect("an end"));
    for key in [
        "met",
        "reach",
        "conditioning",
        "singularity",
        "requirements",
    ] {
        assert_eq!(judged[key], analysis[key], "{key}");
    }
}

/// The brief with something to keep clear of.
fn keeping_clear() -> String {
    let (before, after) = BRIEF.split_once("[joints]").expect("joints");
    let (_, objectives) = after.split_once("[objectives]").expect("objectives");
    format!(
        "{before}[joints.bearing]\nname = \"688\"\n\n[layers]\narrangement = \"two\"\n\n\
         [[keep_out]]\nname = \"phantom\"\nshape = \"sphere\"\nradius_mm = 60\n\n\
         [objectives]{objectives}"
    )
}

/// Status 2, nothing on standard output, and on standard error the family, what it lacks
/// and what can be done instead.
fn assert_refused(place: &Path, arguments: &[&str], what: &str, instead: &str) {
    let output = calotte(place, arguments);
    // Lines end at 80 columns and go on below, indented.
    let errors = text(&output.stderr).replace("\n    ", " ");
    assert_eq!(output.status.code(), Some(2), "{arguments:?}: {errors}");
    assert!(output.stdout.is_empty(), "{arguments:?}");
    let told = format!("{what}: not available yet for the spherical five-bar");
    assert!(errors.contains(&told), "{arguments:?}: {errors}");
    let (_, hint) = errors
        .split_once("hint: ")
        .unwrap_or_else(|| panic!("{errors}"));
    assert!(hint.contains(instead), "{arguments:?}: {errors}");
}

#[test]
fn what_is_lacking_is_refused_with_the_family_and_a_way_out() {
    let layered = format!("{DESIGN}\n[layers]\narrangement = \"two\"\n");
    let follower = replaced("carried_by = \"left\"", "carried_by = \"bisector\"");
    let keeping_clear = keeping_clear();
    let others = [
        ("layered.toml", layered.as_str()),
        ("follower.toml", &follower),
        ("clear.toml", &keeping_clear),
        (
            "points.csv",
            "left_deg,right_deg,x_mm,y_mm,z_mm\n0,0,0,0,0\n",
        ),
        ("fit.json", "{}"),
    ];
    let place = folder(&others);
    let before = fs::read_dir(place.path()).expect("a folder").count();
    let refused = |arguments: &[&str], what: &str, instead: &str| {
        assert_refused(place.path(), arguments, what, instead);
    };
    let every = "analyse, map, compare and judge";
    refused(&["analyse", "design.toml", "--layers"], "layers", every);
    refused(
        &["analyse", "design.toml", "--releases"],
        "the comparison of releases",
        every,
    );
    refused(
        &["parts", "design.toml", "--mesh", "--out", "parts"],
        "layers",
        every,
    );
    refused(
        &["measure", "plan", "design.toml", "--out", "plan"],
        "measurement",
        every,
    );
    refused(
        &["measure", "fit", "design.toml", "points.csv"],
        "measurement",
        every,
    );
    refused(
        &[
            "design",
            "brief.toml",
            "--from",
            "design.toml",
            "--keep",
            "ground",
            "--out",
            "next",
        ],
        "search",
        every,
    );
    refused(
        &[
            "compare",
            "design.toml",
            "design.toml",
            "--measured",
            "fit.json",
        ],
        "measurement",
        every,
    );
    let clear = ["--brief", "clear.toml"];
    refused(
        &[&["analyse", "design.toml"], &clear[..]].concat(),
        "clearing",
        "keep-outs",
    );
    refused(
        &[&["compare", "design.toml", "design.toml"], &clear[..]].concat(),
        "clearing",
        "keep-outs",
    );
    let map = [
        "map",
        "design.toml",
        "--x",
        "arc_deg=50",
        "--y",
        "polar=30",
        "--show",
        "gci",
    ];
    refused(
        &[&map[..], &clear[..], &["--out", "map"]].concat(),
        "clearing",
        "keep-outs",
    );
    refused(&["analyse", "layered.toml"], "layers", "leave [layers] out");
    refused(
        &["analyse", "follower.toml"],
        "a tool carried by the bisector",
        "left",
    );
    assert_eq!(
        fs::read_dir(place.path()).expect("a folder").count(),
        before
    );
}

/// A brief that asks a search for five-bars is refused at the word.
#[test]
fn a_search_for_five_bars_is_refused_where_it_is_asked_for() {
    let asking = BRIEF.replace(
        "[objectives]",
        "[choice]\nfamilies = [\"five-bar\"]\n\n[objectives]",
    );
    let place = folder(&[("asking.toml", &asking)]);
    let output = calotte(place.path(), &["design", "asking.toml", "--out", "found"]);
    let errors = text(&output.stderr);
    assert_eq!(output.status.code(), Some(2), "{errors}");
    for part in [
        "families",
        "five-bar",
        "not available yet",
        "scissor-linkage",
    ] {
        assert!(errors.contains(part), "{part}: {errors}");
    }
    assert!(!place.path().join("found").exists());
}

/// Keep-outs of a brief that judges lines are refused line by line.
#[test]
fn a_judge_with_keep_outs_refuses_the_line() {
    let clear = keeping_clear();
    let place = folder(&[("clear.toml", &clear)]);
    let mut child = Command::new(env!("CARGO_BIN_EXE_calotte"))
        .current_dir(place.path())
        .args(["judge", "clear.toml"])
        .stdin(Stdio::piped())
        .stdout(Stdio::piped())
        .spawn()
        .expect("the binary runs");
    let table: toml::Table = DESIGN.parse().expect("TOML");
    let mut stdin = child.stdin.take().expect("a pipe");
    writeln!(stdin, "{}", serde_json::to_string(&table).expect("JSON")).expect("written");
    drop(stdin);
    let output = child.wait_with_output().expect("an end");
    let answer = text(&output.stdout);
    assert!(
        answer.contains("clearing: not available yet for the spherical five-bar"),
        "{answer}"
    );
    assert!(answer.contains("keep-outs"), "{answer}");
}

/// Chains that cannot meet are an error, not an empty answer.
#[test]
fn chains_that_meet_nowhere_are_an_error() {
    let apart = replaced("[62, 58]", "[12, 10]").replace("base_arc_deg = 50", "base_arc_deg = 150");
    let place = folder(&[("apart.toml", &apart)]);
    for command in [
        &["analyse", "apart.toml"][..],
        &["analyse", "apart.toml", "--direction", "30,0"],
        &["compare", "apart.toml", "design.toml"],
    ] {
        let output = calotte(place.path(), command);
        let errors = text(&output.stderr);
        assert_eq!(output.status.code(), Some(2), "{command:?}: {errors}");
        assert!(output.stdout.is_empty());
        assert!(errors.contains("the two chains meet nowhere"), "{errors}");
        assert!(errors.contains("hint: "), "{errors}");
    }
}
