//! What reaches a terminal: text that fits 80 columns and reads at 40, and nothing from a file
//! that steers the terminal.

use std::ffi::OsStr;
use std::fs;
use std::os::unix::ffi::OsStrExt;
use std::path::Path;
use std::process::{Command, Output};

use calotte_format::words::steers;

const EXAMPLES: &str = concat!(env!("CARGO_MANIFEST_DIR"), "/../../examples");
/// Sent where a file can hold text: blanks the screen, names the window, turns the direction.
const HOSTILE: &str = "a\u{1b}[2J\u{1b}]0;x\u{7}\u{9b}31m\u{202e}b\u{7f}\u{200b}";

fn run(columns: usize, arguments: &[&str]) -> Output {
    let mut command = calotte();
    command.env("COLUMNS", columns.to_string());
    command.args(arguments).output().expect("the program runs")
}

fn calotte() -> Command {
    Command::new(env!("CARGO_BIN_EXE_calotte"))
}

fn text(bytes: &[u8]) -> String {
    String::from_utf8(bytes.to_vec()).expect("UTF-8")
}

fn without_time(text: &str) -> Vec<&str> {
    let time = |word: &&str| !word.contains(':') || word.parse::<f64>().is_ok();
    text.split_whitespace().filter(time).collect()
}

/// The commands whose reports a person reads, with what they need beside.
fn reports(place: &Path) -> Vec<Vec<String>> {
    let at = |path: &str| place.join(path).to_string_lossy().into_owned();
    let bench = |file: &str| format!("{EXAMPLES}/head-dome/bench/{file}");
    let design = at("head-arm/design.toml");
    let brief = format!("{EXAMPLES}/head-dome/brief.toml");
    let trend = format!("{EXAMPLES}/trend-map/design.toml");
    let words = |text: &[&str]| text.iter().map(ToString::to_string).collect::<Vec<_>>();
    vec![
        words(&["analyse", &design, "--brief", &brief]),
        words(&["analyse", &design, "--direction", "50,0"]),
        words(&["analyse", &bench("design.toml"), "--layers", "--releases"]),
        words(&["compare", &design, &bench("design.toml"), &trend]),
        words(&["compare", &design, &bench("design.toml"), "--brief", &brief]),
        words(&[
            "measure",
            "fit",
            &bench("design.toml"),
            &bench("points.csv"),
            "--weights",
            &bench("weights.csv"),
        ]),
        words(&[
            "measure",
            "plan",
            &bench("design.toml"),
            "--out",
            &at("plan"),
        ]),
        words(&[
            "map",
            &trend,
            "--x",
            "stages=1..2",
            "--show",
            "stiffness,gci",
            "--out",
            &at("map"),
        ]),
        words(&[
            "parts",
            &bench("design.toml"),
            "--mesh",
            "--out",
            &at("parts"),
        ]),
        words(&["verify"]),
        words(&["--help"]),
        words(&["map", "--help"]),
    ]
}

/// A chosen design in a results folder, as the other commands are given it.
fn chosen(place: &Path) {
    let made = calotte()
        .current_dir(place)
        .args([
            "design",
            &format!("{EXAMPLES}/head-dome/brief.toml"),
            "--out",
            "head-arm",
        ])
        .output()
        .expect("the program runs");
    assert!(made.status.success(), "{}", text(&made.stderr));
}

#[test]
fn reports_fit_80_columns_and_keep_every_word_at_40() {
    let place = tempfile::tempdir().expect("a folder");
    chosen(place.path());
    for arguments in reports(place.path()) {
        let arguments: Vec<&str> = arguments.iter().map(String::as_str).collect();
        let [wide, narrow] = [80, 40].map(|columns| {
            for folder in ["plan", "map", "parts"] {
                let _ = fs::remove_dir_all(place.path().join(folder));
            }
            run(columns, &arguments)
        });
        assert_eq!(wide.status.code(), narrow.status.code(), "{arguments:?}");
        for (output, columns) in [(&wide, 80), (&narrow, 40)] {
            for line in text(&output.stdout)
                .lines()
                .chain(text(&output.stderr).lines())
            {
                let words = line.split_whitespace().count();
                assert!(
                    line.chars().count() <= columns || words == 1,
                    "{arguments:?} at {columns}: {line}"
                );
            }
        }
        let [wide, narrow] = [wide, narrow].map(|output| text(&output.stdout));
        if !arguments.contains(&"--help") {
            assert_eq!(without_time(&wide), without_time(&narrow), "{arguments:?}");
        }
    }
}

#[test]
fn data_for_programs_are_never_broken_anew() {
    let design = format!("{EXAMPLES}/head-dome/bench/design.toml");
    for arguments in [
        vec!["analyse", design.as_str(), "--json"],
        vec!["schema", "--markdown"],
        vec!["schema", "brief"],
        vec!["verify", "--markdown"],
    ] {
        let [wide, narrow] = [80, 40].map(|columns| run(columns, &arguments));
        assert_eq!(wide.stdout, narrow.stdout, "{arguments:?}");
    }
}

/// Whatever the program says about what it was given, none of it steers the terminal.
fn harmless(command: &mut Command) {
    let output = command.output().expect("the program runs");
    for said in [&output.stdout, &output.stderr] {
        let said = String::from_utf8_lossy(said);
        let steering = said.chars().find(|c| *c != '\n' && steers(*c));
        assert_eq!(steering, None, "{command:?}\n{}", said.escape_debug());
    }
}

#[test]
fn nothing_from_a_file_or_its_name_steers_the_terminal() {
    let place = tempfile::tempdir().expect("a folder");
    let folder = place.path();
    let brief = fs::read_to_string(format!("{EXAMPLES}/head-dome/brief.toml")).expect("the brief");
    let design =
        fs::read_to_string(format!("{EXAMPLES}/head-dome/bench/design.toml")).expect("the design");
    let points =
        fs::read_to_string(format!("{EXAMPLES}/head-dome/bench/points.csv")).expect("the points");
    let escaped: String = HOSTILE
        .chars()
        .map(|c| format!("\\U{:08X}", u32::from(c)))
        .collect();
    let mut files = Vec::new();
    for (of, whole) in [("brief", &brief), ("design", &design)] {
        let lines: Vec<&str> = whole.lines().collect();
        for (number, line) in lines.iter().enumerate() {
            let Some((key, _)) = line.split_once('=') else {
                continue;
            };
            if line.trim_start().starts_with('#') {
                continue;
            }
            let variants = [
                format!("{key}= \"{escaped}\""),
                format!("{key}= \"{HOSTILE}\""),
                format!("\"{escaped}\" = 1\n{line}"),
                format!("{line} # {HOSTILE}"),
                format!("{line}\n{HOSTILE}"),
            ];
            // One variant a line, each in turn: every key and every variant is met.
            let mut changed = lines.clone();
            changed[number] = &variants[number % variants.len()];
            files.push((of, changed.join("\n") + "\n"));
        }
    }
    assert!(files.len() > 40, "{}", files.len());
    for (of, content) in &files {
        let path = folder.join("given.toml");
        fs::write(&path, content).expect("written");
        let mut command = calotte();
        let command = command.current_dir(folder).arg(match *of {
            "brief" => "design",
            _ => "analyse",
        });
        if *of == "brief" {
            // What reads well is searched elsewhere; here it only has to be read.
            harmless(command.args(["given.toml", "--from", "nothing.toml"]));
        } else {
            harmless(command.arg("given.toml"));
        }
    }
    fs::write(folder.join("design.toml"), &design).expect("written");
    let header = points.lines().next().expect("a line");
    for content in [
        points.replacen(header, &format!("{header},{HOSTILE}"), 1),
        format!("# {HOSTILE}\n{points}"),
        format!("{points}{HOSTILE}\n"),
        points.replacen(',', &format!(",\"{HOSTILE}\","), 1),
    ] {
        fs::write(folder.join("points.csv"), content).expect("written");
        harmless(calotte().current_dir(folder).args([
            "measure",
            "fit",
            "design.toml",
            "points.csv",
        ]));
    }
    // Lines for judging, documents of another run, and the names of files themselves.
    fs::write(folder.join("fit.json"), format!("{{\"{HOSTILE}\": 1}}")).expect("written");
    harmless(calotte().current_dir(folder).args([
        "compare",
        "design.toml",
        "--measured",
        "fit.json",
    ]));
    let name = OsStr::from_bytes(b"x\x1b[2J\xff\x9b.toml");
    fs::write(folder.join(name), &design).expect("written");
    harmless(calotte().current_dir(folder).arg("analyse").arg(name));
    harmless(
        calotte()
            .current_dir(folder)
            .arg("analyse")
            .arg(name)
            .arg("--json"),
    );
    harmless(calotte().current_dir(folder).arg("design").arg(name));
    harmless(
        calotte()
            .current_dir(folder)
            .arg("compare")
            .arg(name)
            .arg(name),
    );
    let missing = OsStr::from_bytes(b"y\x1b[2J.toml");
    harmless(calotte().current_dir(folder).arg("analyse").arg(missing));
    harmless(
        calotte()
            .current_dir(folder)
            .arg("new")
            .arg(OsStr::from_bytes(b"z\x1b[2J")),
    );
    harmless(
        calotte()
            .current_dir(folder)
            .arg("map")
            .arg("design.toml")
            .args(["--x", HOSTILE, "--show", HOSTILE]),
    );
    harmless(calotte().arg(HOSTILE));
}
