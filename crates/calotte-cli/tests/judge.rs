//! `calotte judge` through the binary: verdicts equal to those of `analyse`, in the order
//! of the lines, whatever comes in.

mod common;

use std::fs;
use std::io::{BufRead, BufReader, Read, Write};
use std::path::Path;
use std::process::{Child, Command, Output, Stdio};
use std::sync::mpsc::channel;
use std::time::Duration;

use calotte::analysis::{AnalysisOptions, Requirements, analyse};
use calotte_document::judged::JudgedDocument;
use common::folder_with;
use rand::{Rng, SeedableRng};
use rand_chacha::ChaCha8Rng;
use serde_json::{Value, json};

const BRIEF: &str = r#"title = "Scanner over a dome, invented"
[region]
shape = "cap"
half_angle_deg = 55
coverage_min = 0.9
[tool]
mass_kg = 0.4
centre_of_mass_radius_mm = 140
tip_radius_mm = 100
[[load]]
name = "press"
on = "tip"
force_n = { radial = 4 }
[space]
joint_radius_mm = { from = 120, to = 200 }
[limits]
contact_deflection_mm = 1
lci_min = 0.1
transmission_angle_min_deg = 15
"#;

fn spawn(folder: &Path, arguments: &[&str]) -> Child {
    Command::new(env!("CARGO_BIN_EXE_calotte"))
        .current_dir(folder)
        .args(arguments)
        .stdin(Stdio::piped())
        .stdout(Stdio::piped())
        .stderr(Stdio::piped())
        .spawn()
        .expect("the binary runs")
}

/// Runs the program with an input; what it does not read is not missed.
fn calotte(folder: &Path, arguments: &[&str], input: &[u8]) -> Output {
    let mut child = spawn(folder, arguments);
    let mut stdin = child.stdin.take().expect("a pipe");
    let input = input.to_vec();
    let writer = std::thread::spawn(move || drop(stdin.write_all(&input)));
    let output = child.wait_with_output().expect("an end");
    writer.join().expect("written");
    output
}

fn folder() -> tempfile::TempDir {
    folder_with(&[("brief.toml", BRIEF)])
}

fn judge(input: &[u8]) -> Output {
    calotte(folder().path(), &["judge", "brief.toml"], input)
}

/// The answers, each read back by its type too.
fn answers(output: &Output) -> Vec<Value> {
    let text = std::str::from_utf8(&output.stdout).expect("UTF-8");
    text.lines()
        .map(|line| {
            let typed: JudgedDocument = serde_json::from_str(line).expect("the type of a line");
            let value: Value = serde_json::from_str(line).expect("JSON on every line");
            assert_eq!(calotte_document::json(&typed), value);
            value
        })
        .collect()
}

fn stderr(output: &Output) -> String {
    String::from_utf8_lossy(&output.stderr).into_owned()
}

fn arm(arcs: [f64; 2]) -> Value {
    json!({
        "title": "arm, invented",
        "linkage": { "family": "two-arc-arm", "arcs_deg": arcs, "joint_radius_mm": 150 },
        "section": { "shape": "rectangle", "tangential_mm": 14, "radial_mm": 8 },
        "material": { "name": "aluminium 6061-T6" },
        "joints": { "rigid": true },
        "drives": { "layout": "swing-and-opening" },
        "tool": { "tip_radius_mm": 100, "mass_kg": 0.4, "centre_of_mass_radius_mm": 140 },
    })
}

/// A random design; one in eight has a fault that its file would be refused for.
fn random_design(random: &mut ChaCha8Rng) -> Value {
    let mut design = if random.random_bool(0.4) {
        arm([
            random.random_range(25.0..75.0),
            random.random_range(25.0..75.0),
        ])
    } else {
        let stages = random.random_range(1..=3_usize);
        let total = random.random_range(60.0..110.0);
        let arcs: Vec<f64> = (0..stages)
            .map(|_| total / (2 * stages) as f64 * random.random_range(0.85..1.15))
            .collect();
        let mut design = arm([40.0, 40.0]);
        design["title"] = json!("scissor linkage, invented");
        design["linkage"] = json!({
            "family": "scissor-linkage",
            "proximal_arcs_deg": arcs,
            "distal_arcs_deg": arcs,
            "bends_deg": vec![random.random_range(-5.0..25.0); stages - 1],
            "joint_radius_mm": random.random_range(130.0..190.0),
        });
        let layout = ["two-bars", "swing-and-opening"][random.random_range(0..2)];
        design["drives"]["layout"] = json!(layout);
        design
    };
    design["section"]["tangential_mm"] = json!(random.random_range(10.0..20.0));
    if random.random_bool(0.5) {
        let tilt: f64 = random.random_range(200.0..900.0);
        design["joints"] = json!({
            "axial_n_per_m": random.random_range(1e6..5e6),
            "radial_n_per_m": 6e6,
            "tilt_nm_per_rad": if random.random_bool(0.2) {
                json!({ "value": tilt, "from": 0.8 * tilt, "to": 1.3 * tilt })
            } else {
                json!(tilt)
            },
        });
    }
    match random.random_range(0..24) {
        0 => design["section"]["radial_mm"] = json!(-3),
        1 => design["linkage"]["arc_deg"] = json!([30]),
        2 => design["joints"] = json!({ "rigid": "yes" }),
        _ => {}
    }
    design
}

/// What is compared: all but the long lists, those of safety among them, and what is said
/// about the run.
fn compared(mut object: Value) -> String {
    let map = object.as_object_mut().expect("an object");
    for key in ["line", "run", "rings", "configurations", "safety"] {
        map.remove(key);
    }
    object.to_string()
}

fn file_text(design: &Value) -> String {
    let table: toml::Table = serde_json::from_value(design.clone()).expect("a table");
    toml::to_string(&table).expect("TOML")
}

/// 200 designs: every value as the library gives it for the file, and for some of them as
/// `analyse --json --brief` prints it; the refused ones refused there too.
#[test]
fn two_hundred_designs_are_judged_as_analyse_judges_them() {
    let mut random = ChaCha8Rng::seed_from_u64(12);
    let designs: Vec<Value> = (0..200).map(|_| random_design(&mut random)).collect();
    let input: String = designs.iter().map(|design| format!("{design}\n")).collect();
    let place = folder();
    let output = calotte(place.path(), &["judge", "brief.toml"], input.as_bytes());
    assert_eq!(output.status.code(), Some(2), "{}", stderr(&output));
    let answers = answers(&output);
    assert_eq!(answers.len(), designs.len());
    let brief = calotte_format::read_brief_to_judge(BRIEF, &|name| Err(name.to_string()));
    let requirements = Requirements::from_brief(&brief.expect("a brief"));
    let (mut met, mut not_met, mut refused) = (0, 0, 0);
    for (index, (design, answer)) in designs.iter().zip(answers).enumerate() {
        assert_eq!(answer["line"], index + 1);
        let text = file_text(design);
        let through_analyse = index % 20 == 0 || answer["met"].is_null() && refused < 4;
        let printed = through_analyse.then(|| {
            fs::write(place.path().join("design.toml"), &text).expect("a file");
            let asked = ["analyse", "design.toml", "--brief", "brief.toml", "--json"];
            calotte(place.path(), &asked, b"")
        });
        match calotte_format::read_design(&text) {
            Ok(design) => {
                let options = AnalysisOptions::default();
                let analysis = analyse(&design, &requirements, &options).expect("an analysis");
                let expected = calotte_report::results::analysis_document(&design, &analysis);
                let expected = calotte_document::json(&expected);
                let expected: Value = serde_json::from_str(&expected.to_string()).expect("JSON");
                if let Some(printed) = printed {
                    let own: Value = serde_json::from_slice(&printed.stdout).expect("JSON");
                    assert_eq!(own["run"]["warnings"], answer["run"]["warnings"], "{text}");
                    assert_eq!(own["run"]["options"], answer["run"]["options"], "{text}");
                    assert_eq!(
                        own["safety"]["notice"], answer["safety"]["notice"],
                        "{text}"
                    );
                    assert_eq!(compared(own), compared(answer.clone()), "{text}");
                    let status = if analysis.met() { 0 } else { 1 };
                    assert_eq!(printed.status.code(), Some(status));
                }
                match answer["met"].as_bool().expect("a verdict") {
                    true => met += 1,
                    false => not_met += 1,
                }
                assert_eq!(compared(answer), compared(expected), "{text}");
            }
            Err(error) => {
                refused += 1;
                assert!(answer["met"].is_null(), "{text}");
                let problems = answer["error"]["problems"].as_array().expect("problems");
                assert_eq!(problems.len(), error.problems.len());
                for (told, problem) in problems.iter().zip(&error.problems) {
                    assert_eq!(told["key"], problem.key);
                    assert_eq!(told["message"], problem.message);
                    assert_eq!(told["hint"], problem.hint);
                }
                assert!(printed.is_none_or(|printed| printed.status.code() == Some(2)));
            }
        }
    }
    assert!(
        met > 20 && not_met > 20 && refused > 8,
        "{met} {not_met} {refused}"
    );
}

/// Ranges only where the verdict depends on them change no verdict and no nominal value, and an
/// answer says whether they are there.
#[test]
fn ranges_left_out_where_a_limit_is_missed_anyway_change_no_verdict() {
    let mut random = ChaCha8Rng::seed_from_u64(31);
    let input: String = (0..60)
        .map(|_| format!("{}\n", random_design(&mut random)))
        .collect();
    let place = folder();
    let [all, some] = ["all", "met"].map(|ranges| {
        let asked = ["judge", "brief.toml", "--ranges", ranges];
        answers(&calotte(place.path(), &asked, input.as_bytes()))
    });
    let (mut same, mut without) = (0, 0);
    for (all, mut some) in all.into_iter().zip(some) {
        if all == some {
            same += 1;
            continue;
        }
        without += 1;
        assert_eq!(some["verdict"], "not met");
        assert_eq!(all["verdict"], "not met");
        assert_eq!(some["run"]["options"]["bands"], false);
        some["run"]["options"]["bands"] = json!(true);
        let rows = |answer: &Value| answer["requirements"].as_array().expect("rows").clone();
        let (full, few) = (rows(&all), rows(&some));
        assert!(few.iter().any(|row| row["met"] == false));
        assert_eq!(full.len(), few.len());
        for (full, few) in full.iter().zip(&few) {
            assert!(few["band"].is_null());
            for key in ["quantity", "load", "predicted", "required", "worst_at_deg"] {
                assert_eq!(full[key], few[key]);
            }
        }
    }
    assert!(same > 10 && without > 10, "{same} {without}");
}

/// The same bytes for any number of threads, long lists included.
#[test]
fn answers_do_not_depend_on_the_number_of_threads() {
    let mut random = ChaCha8Rng::seed_from_u64(3);
    let input: String = (0..24)
        .map(|_| format!("{}\n", random_design(&mut random)))
        .collect();
    let place = folder();
    let [one, four] = ["1", "4"].map(|threads| {
        let asked = ["judge", "brief.toml", "--threads", threads, "--lists"];
        calotte(place.path(), &asked, input.as_bytes()).stdout
    });
    assert!(one.len() > 10_000);
    assert!(one == four);
}

/// Exit status 0 if all are met, 1 if one is not, 2 if one has no verdict or none came.
#[test]
fn the_exit_status_tells_the_worst() {
    let met = arm([50.0, 50.0]);
    // Short arcs reach too little of the region.
    let not_met = arm([12.0, 14.0]);
    let lines = |designs: &[&Value]| -> Vec<u8> {
        let text: String = designs.iter().map(|design| format!("{design}\n")).collect();
        text.into_bytes()
    };
    assert_eq!(judge(&lines(&[&met, &met])).status.code(), Some(0));
    let output = judge(&lines(&[&met, &not_met]));
    assert_eq!(output.status.code(), Some(1));
    assert!(stderr(&output).is_empty());
    let output = judge(&lines(&[&met, &json!({}), &not_met]));
    assert_eq!(output.status.code(), Some(2));
    assert!(stderr(&output).contains("1 of 3 designs could not be judged"));
    let output = judge(b"\n  \n");
    assert_eq!(output.status.code(), Some(2));
    assert!(stderr(&output).contains("hint: "));
}

/// What is no design gets an error with its line and a way out, and the others go on.
#[test]
fn bad_lines_are_answered_and_the_others_go_on() {
    let good = arm([50.0, 50.0]).to_string();
    let nan = good.replace("\"rigid\":true", "\"boss_diameter_mm\":NaN");
    let unknown = good.replace("\"arcs_deg\"", "\"arc_deg\"");
    let huge = format!("{{\"title\": \"{}\"}}", "x".repeat(3 << 20));
    let mut input = Vec::new();
    for line in [
        good.as_bytes(),
        b"{\"linkage\": ",
        b"",
        nan.as_bytes(),
        unknown.as_bytes(),
        huge.as_bytes(),
        b"\xff\xfe{}",
        b"[1, 2]",
        b"   \t ",
        // Without a break at its end.
        good.as_bytes(),
    ] {
        input.extend_from_slice(line);
        input.push(b'\n');
    }
    input.pop();
    let output = judge(&input);
    assert_eq!(output.status.code(), Some(2), "{}", stderr(&output));
    let answers = answers(&output);
    let numbers: Vec<u64> = answers
        .iter()
        .map(|answer| answer["line"].as_u64().expect("a number"))
        .collect();
    assert_eq!(numbers, [1, 2, 4, 5, 6, 7, 8, 10]);
    assert_eq!(answers[0]["met"], true);
    assert_eq!(compared(answers[7].clone()), compared(answers[0].clone()));
    for (answer, words) in answers[1..7].iter().zip([
        "not JSON",
        "not JSON",
        "linkage.arc_deg",
        "at most 1048576",
        "not UTF-8",
        "an object of keys",
    ]) {
        assert!(answer["met"].is_null());
        let message = answer["error"]["message"].as_str().expect("a message");
        assert!(message.contains(words), "{message}");
        assert!(!answer["error"]["hint"].as_str().expect("a hint").is_empty());
    }
    assert!(
        answers[3].to_string().contains("`arcs_deg`"),
        "{}",
        answers[3]
    );
}

/// An answer comes before the next design is sent.
#[test]
fn a_program_may_wait_for_each_answer() {
    let place = folder();
    let mut child = spawn(place.path(), &["judge", "brief.toml"]);
    let mut stdin = child.stdin.take().expect("a pipe");
    let stdout = BufReader::new(child.stdout.take().expect("a pipe"));
    let (sent, lines) = channel();
    std::thread::spawn(move || {
        for line in stdout.lines() {
            if sent.send(line.expect("a line")).is_err() {
                return;
            }
        }
    });
    for (number, first) in [(1, 48.0), (2, 52.0), (3, 12.0)] {
        writeln!(stdin, "{}", arm([first, 50.0])).expect("sent");
        let line = lines
            .recv_timeout(Duration::from_secs(120))
            .expect("an answer in time");
        let answer: Value = serde_json::from_str(&line).expect("JSON");
        assert_eq!(answer["line"], number);
    }
    drop(stdin);
    assert!(lines.recv_timeout(Duration::from_secs(120)).is_err());
    assert_eq!(child.wait().expect("an end").code(), Some(1));
}

/// Who stops reading ends the program, though more is sent to it.
#[test]
fn a_closed_output_ends_with_status_2() {
    let place = folder();
    let mut child = spawn(place.path(), &["judge", "brief.toml"]);
    let mut stdin = child.stdin.take().expect("a pipe");
    let mut stdout = BufReader::new(child.stdout.take().expect("a pipe"));
    let line = format!("{}\n", arm([50.0, 50.0]));
    stdin.write_all(line.as_bytes()).expect("sent");
    let mut first = String::new();
    stdout.read_line(&mut first).expect("an answer");
    assert!(first.starts_with('{'));
    drop(stdout);
    let writer = std::thread::spawn(move || {
        // Until the program no longer takes any.
        while stdin.write_all(line.as_bytes()).is_ok() {}
    });
    let status = child.wait().expect("an end");
    writer.join().expect("ended too");
    let mut told = String::new();
    child
        .stderr
        .take()
        .expect("a pipe")
        .read_to_string(&mut told)
        .expect("UTF-8");
    assert_eq!(status.code(), Some(2), "{told}");
    assert!(
        told.contains("standard output is closed") && told.contains("hint: "),
        "{told}"
    );
}

/// 5,000 lines, every one answered in its place, though some take no time at all and
/// others an analysis.
#[test]
fn five_thousand_designs_are_answered_in_order() {
    let designs: Vec<String> = (0..50_u32)
        .map(|index| {
            let mut design = arm([40.0 + 0.3 * f64::from(index), 50.0]);
            // All but two of fifty have an arc too many.
            if index % 25 > 0 {
                design["linkage"]["arcs_deg"] = json!([40, 50, f64::from(index)]);
            }
            format!("{design}\n")
        })
        .collect();
    let input: String = (0..5000)
        .map(|index| designs[index % 50].as_str())
        .collect();
    let output = judge(input.as_bytes());
    assert_eq!(output.status.code(), Some(2));
    assert!(
        stderr(&output).contains("4800 of 5000"),
        "{}",
        stderr(&output)
    );
    let mut answers = answers(&output);
    assert_eq!(answers.len(), 5000);
    for (index, answer) in answers.iter_mut().enumerate() {
        assert_eq!(answer["line"], index + 1);
        answer["line"] = Value::Null;
    }
    // The same design has the same answer wherever it stands.
    for index in 50..5000 {
        assert_eq!(answers[index], answers[index % 50], "{index}");
    }
    for index in 1..50 {
        assert_ne!(answers[index], answers[index - 1], "{index}");
    }
}

/// The example of `calotte judge --help` works.
#[test]
fn the_example_of_the_help_works() {
    let root = Path::new(env!("CARGO_MANIFEST_DIR")).join("../..");
    let help = calotte(&root, &["judge", "--help"], b"");
    let help = String::from_utf8_lossy(&help.stdout).into_owned();
    let example = help
        .lines()
        .find_map(|line| line.trim().strip_prefix("calotte judge "))
        .expect("an example");
    let (brief, designs) = example
        .split_once(" < ")
        .expect("designs by standard input");
    let input = fs::read(root.join(designs.trim())).expect("the designs of the example");
    let output = calotte(&root, &["judge", brief], &input);
    assert_eq!(output.status.code(), Some(1), "{}", stderr(&output));
    let verdicts: Vec<Value> = answers(&output)
        .into_iter()
        .map(|a| a["met"].clone())
        .collect();
    assert!(
        verdicts.contains(&json!(true)) && verdicts.contains(&json!(false)),
        "{verdicts:?}"
    );
}
