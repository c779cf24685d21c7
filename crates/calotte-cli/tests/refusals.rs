//! What the mechanics refuse in files that read well: status 2, and every key at fault with
//! its file, line and value.

mod common;

use std::fs;
use std::path::Path;

use common::{calotte, folder_with};

/// The measured example: two stages, joints with three stiffnesses, no layers.
fn base() -> String {
    example("head-dome/bench/design.toml")
}

fn example(name: &str) -> String {
    let examples = Path::new(env!("CARGO_MANIFEST_DIR")).join("../../examples");
    fs::read_to_string(examples.join(name)).expect("an example")
}

/// A text with a part replaced that stands there once.
fn with(text: &str, changes: &[(&str, &str)]) -> String {
    changes.iter().fold(text.to_string(), |text, (from, to)| {
        assert_eq!(text.matches(from).count(), 1, "{from}");
        text.replace(from, to)
    })
}

const SCISSORS: &str = "family = \"scissor-linkage\"\nproximal_arcs_deg = [21.5, 21.5]\ndistal_arcs_deg = [21.5, 21.5]\nbends_deg = [0]\n";
const STIFFNESSES: &str = "axial_n_per_m = { value = 3e6, from = 2e6, to = 5e6 }\nradial_n_per_m = 8e6\ntilt_nm_per_rad = { value = 900, from = 700, to = 1200 }\n";
/// Joints so soft along their axes and so stiff across that nothing is left of the former.
const EXTREME: &str = "axial_n_per_m = 1e-6\nradial_n_per_m = 1e9\ntilt_nm_per_rad = 900\n";
const SCISSOR_DRIVES: (&str, &str) = ("layout = \"swing-and-opening\"\n", "");

fn five_bar(arcs: &str) -> String {
    let family = format!("family = \"five-bar\"\n{arcs}\n");
    with(&base(), &[(SCISSORS, &family), SCISSOR_DRIVES])
}

fn arm(arcs: &str) -> String {
    let family = format!("family = \"two-arc-arm\"\n{arcs}\n");
    with(&base(), &[(SCISSORS, &family), SCISSOR_DRIVES])
}

/// Joints so small that an arc of almost nothing holds them.
const TINY: (&str, &str) = ("boss_diameter_mm = 18", "boss_diameter_mm = 1e-5");

fn released(joints: &[&str]) -> String {
    let entries = joints.iter().map(|joint| {
        format!("\n[[joints.releases]]\njoint = \"{joint}\"\naxial = true\ntilt = true\n")
    });
    entries.collect()
}

struct Case {
    design: String,
    /// Brief that judges it.
    brief: Option<String>,
    command: &'static [&'static str],
    says: &'static str,
    /// The lines of the file at fault, as written.
    lines: &'static [&'static str],
}

fn cases() -> Vec<Case> {
    let of = |design: String, command, says, lines| Case {
        design,
        brief: None,
        command,
        says,
        lines,
    };
    let layers = "\n[layers]\narrangement = \"two\"\n";
    let rigid = with(&base(), &[(STIFFNESSES, "rigid = true\n")]);
    let apart = "base_arc_deg = 170\nproximal_arcs_deg = [10, 10]\ndistal_arcs_deg = [10, 10]";
    let whole = "base_arc_deg = 60\nproximal_arcs_deg = [50, 50]\ndistal_arcs_deg = [50, 50]";
    let long = "base_arc_deg = 60\nproximal_arcs_deg = [50, 50]\ndistal_arcs_deg = [170, 50]";
    let flat = "base_arc_deg = 5e-5\nproximal_arcs_deg = [50, 50]\ndistal_arcs_deg = [50, 50]";
    let on_bar = with(
        &example("head-dome/brief.toml"),
        &[(
            "name = \"press\"\non = \"tip\"",
            "name = \"press\"\non = \"bar-left-9\"",
        )],
    );
    vec![
        of(
            five_bar(apart),
            &["analyse"],
            "the two chains meet nowhere",
            &[
                "base_arc_deg = 170",
                "proximal_arcs_deg = [10, 10]",
                "distal_arcs_deg = [10, 10]",
            ],
        ),
        of(
            with(
                &five_bar(long),
                &[("bracket_arc_deg = 0", "bracket_arc_deg = 20")],
            ),
            &["compare"],
            "left distal arc with its bracket: arc angle 190°",
            &["distal_arcs_deg = [170, 50]", "bracket_arc_deg = 20"],
        ),
        of(
            five_bar(flat),
            &["analyse"],
            "base arc",
            &["base_arc_deg = 5e-5"],
        ),
        of(
            with(
                &base(),
                &[
                    TINY,
                    (
                        "proximal_arcs_deg = [21.5, 21.5]",
                        "proximal_arcs_deg = [21.5, 5e-5]",
                    ),
                ],
            ),
            &["analyse"],
            "stage 2, proximal arc",
            &["proximal_arcs_deg = [21.5, 5e-5]"],
        ),
        of(
            with(&arm("arcs_deg = [40, 5e-5]"), &[TINY]),
            &["analyse"],
            "second arc",
            &["arcs_deg = [40, 5e-5]"],
        ),
        of(
            with(&base(), &[(STIFFNESSES, EXTREME)]),
            &["analyse"],
            "the axial stiffness of the joints (1e-6 N/m) is too far below the radial stiffness of the joints (1e9 N/m)",
            &["axial_n_per_m = 1e-6", "radial_n_per_m = 1e9"],
        ),
        of(
            with(&base(), &[(STIFFNESSES, EXTREME)]),
            &["compare"],
            "no digit of the elastic results is sure",
            &["axial_n_per_m = 1e-6", "radial_n_per_m = 1e9"],
        ),
        of(
            base() + &released(&["nobody"]),
            &["analyse"],
            "no joint is named \"nobody\"",
            &["joint = \"nobody\""],
        ),
        of(
            base()
                + &released(&["base-left", "apex-2"])
                + &released(&["side-left-1", "side-right-1"]),
            &["analyse"],
            "the releases leave a motion out of the sphere",
            &[
                "joint = \"base-left\"",
                "joint = \"apex-2\"",
                "joint = \"side-left-1\"",
                "joint = \"side-right-1\"",
            ],
        ),
        of(
            rigid + &released(&["apex-1"]) + layers,
            &["analyse"],
            "apex-1 is rigid and free to tilt",
            &["rigid = true", "joint = \"apex-1\""],
        ),
        of(
            with(&base(), &[("roll_deg = 0", "roll_deg = 20")]),
            &["measure", "plan"],
            "roll of 20°",
            &["roll_deg = 20"],
        ),
        of(
            five_bar(whole),
            &["measure", "plan"],
            "measurement: not available yet",
            &["family = \"five-bar\""],
        ),
        of(
            five_bar(whole),
            &["parts"],
            "layers: not available yet",
            &["family = \"five-bar\""],
        ),
        Case {
            brief: Some(on_bar),
            ..of(
                base(),
                &["analyse"],
                "no bar is named \"bar-left-9\"",
                &["on = \"bar-left-9\""],
            )
        },
        Case {
            brief: Some(example("head-dome/built.toml")),
            ..of(
                five_bar(whole),
                &["compare"],
                "clearing: not available yet",
                &["name = \"phantom\""],
            )
        },
    ]
}

/// Lines of a text that read so, counted from 1.
fn line_of(text: &str, line: &str) -> usize {
    let at = |(index, written): (usize, &str)| (written.trim() == line).then_some(index + 1);
    let found: Vec<usize> = text.lines().enumerate().filter_map(at).collect();
    assert_eq!(found.len(), 1, "{line}");
    found[0]
}

#[test]
fn what_the_mechanics_refuse_names_file_line_and_value() {
    for case in cases() {
        let brief = case.brief.as_deref();
        let place = folder_with(&[
            ("design.toml", &case.design),
            ("brief.toml", brief.unwrap_or_default()),
        ]);
        let mut words = case.command.to_vec();
        words.push("design.toml");
        if case.command == ["compare"] {
            words.push("design.toml");
        }
        let (file, text) = match brief {
            Some(brief) => {
                words.extend(["--brief", "brief.toml"]);
                ("brief.toml", brief)
            }
            None => ("design.toml", case.design.as_str()),
        };
        let output = calotte(place.path(), &words);
        // Lines end at 80 columns and go on below, indented.
        let message = String::from_utf8_lossy(&output.stderr).replace("\n    ", " ");
        assert_eq!(output.status.code(), Some(2), "{words:?}: {message}");
        assert!(output.stdout.is_empty(), "{words:?}");
        assert!(message.contains(case.says), "{words:?}: {message}");
        // Those keys and no others, in the order of the file.
        let told: Vec<&str> = message
            .lines()
            .filter_map(|line| line.strip_prefix("  in "))
            .collect();
        assert_eq!(told.len(), case.lines.len(), "{words:?}: {message}");
        for (told, written) in told.iter().zip(case.lines) {
            let at = format!("{file}, line {}, column ", line_of(text, written));
            assert!(told.starts_with(&at), "{words:?}: {told} is not {at}");
            assert!(told.ends_with(written), "{words:?}: {told}");
        }
        assert_eq!(message.matches("hint: ").count(), told.len(), "{message}");
    }
}

/// A line of `judge` has no file: the key is named with its tables.
#[test]
fn judge_names_the_key_of_a_design_that_cannot_be_built() {
    use std::io::Write;
    use std::process::{Command, Stdio};
    let apart = "base_arc_deg = 170\nproximal_arcs_deg = [10, 10]\ndistal_arcs_deg = [10, 10]";
    let place = folder_with(&[("brief.toml", &example("port-pivot/brief.toml"))]);
    let mut child = Command::new(env!("CARGO_BIN_EXE_calotte"))
        .current_dir(place.path())
        .args(["judge", "brief.toml"])
        .stdin(Stdio::piped())
        .stdout(Stdio::piped())
        .spawn()
        .expect("the binary runs");
    let mut stdin = child.stdin.take().expect("a pipe");
    for design in [
        five_bar(apart),
        base() + &released(&["base-left", "apex-1", "apex-2"]),
    ] {
        let table: toml::Table = design.parse().expect("TOML");
        writeln!(stdin, "{}", serde_json::to_string(&table).expect("JSON")).expect("written");
    }
    drop(stdin);
    let output = child.wait_with_output().expect("an end");
    let answers: Vec<serde_json::Value> = String::from_utf8_lossy(&output.stdout)
        .lines()
        .map(|line| serde_json::from_str(line).expect("JSON"))
        .collect();
    let keys = |answer: &serde_json::Value| -> Vec<String> {
        let problems = answer["error"]["problems"].as_array().expect("problems");
        let key = |one: &serde_json::Value| one["key"].as_str().expect("a key").to_string();
        problems.iter().map(key).collect()
    };
    let mut arcs = keys(&answers[0]);
    arcs.sort();
    assert_eq!(
        arcs,
        [
            "linkage.base_arc_deg",
            "linkage.distal_arcs_deg",
            "linkage.proximal_arcs_deg"
        ]
    );
    assert_eq!(
        keys(&answers[1]),
        [
            "joints.releases[1].joint",
            "joints.releases[2].joint",
            "joints.releases[3].joint"
        ]
    );
}
