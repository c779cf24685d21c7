//! Whole commands cut short at changes of files: by a kill, by a change that fails, by a disk
//! that stays full. Old results or new ones are there, whole; what is foreign is kept; the next
//! run works.
//!
//! `CALOTTE_LONG=1` cuts at every change; otherwise some are drawn.

#![cfg(target_os = "linux")]

use std::fs;
use std::path::{Path, PathBuf};
use std::process::{Command, Output};

use calotte_files::sha256;
use rand::SeedableRng;
use rand::seq::SliceRandom;
use rand_chacha::ChaCha8Rng;
use serde_json::Value;

/// A search of four combinations, invented.
const BRIEF: &str = r#"title = "Four arms"
[region]
shape = "cap"
half_angle_deg = 40
[tool]
tip_radius_mm = 100
[space]
joint_radius_mm = 140
[choice]
families = ["two-arc-arm"]
arm_arc_deg = { from = 45, to = 50, step = 5 }
[joints]
rigid = true
"#;

/// Commands that write a folder, with what changes between two runs of them: the title of what
/// they read, which stands in the results.
const COMMANDS: [(&str, &str); 4] = [
    ("brief.toml", "design brief.toml --out out"),
    (
        "design.toml",
        "map design.toml --x stages=1..2 --y arc_deg=20,21 --show gci --out out",
    ),
    (
        "design.toml",
        "measure plan design.toml --count 8 --out out",
    ),
    (
        "design.toml",
        "measure fit design.toml points.csv --out out",
    ),
];

/// Ways to be cut short: killed, no space for one change or for all that follow, no permission.
const WAYS: [&str; 4] = ["kill", "once=28", "from=28", "once=13"];
/// Cuts of each command where time matters.
const CUTS: usize = 8;

/// The library that cuts short, built by the compiler that links Rust programs.
fn shim() -> PathBuf {
    let library = Path::new(env!("CARGO_TARGET_TMPDIR")).join("cut-commands.so");
    let source = Path::new(env!("CARGO_MANIFEST_DIR")).join("../calotte-files/tests/cut/shim.c");
    let mut compiler = Command::new(std::env::var_os("CC").unwrap_or_else(|| "cc".into()));
    compiler.args(["-shared", "-fPIC", "-O1", "-o"]);
    let built = compiler.arg(&library).arg(source).arg("-ldl").status();
    assert!(built.unwrap().success(), "the shim was not built");
    library
}

struct Bench {
    place: tempfile::TempDir,
    shim: PathBuf,
}

impl Bench {
    fn new(shim: &Path) -> Self {
        let place = tempfile::tempdir().unwrap();
        let example = Path::new(env!("CARGO_MANIFEST_DIR")).join("../../examples/head-dome/bench");
        for name in ["design.toml", "points.csv"] {
            fs::copy(example.join(name), place.path().join(name)).unwrap();
        }
        fs::write(place.path().join("brief.toml"), BRIEF).unwrap();
        let shim = shim.to_path_buf();
        Self { place, shim }
    }

    fn path(&self, name: &str) -> PathBuf {
        self.place.path().join(name)
    }

    /// Runs a command on an input of a title, cut at a change or whole.
    fn run(&self, [input, words]: [&str; 2], title: &str, cut: Option<(usize, &str)>) -> Output {
        let text = fs::read_to_string(self.path(input)).unwrap();
        let rest = text.lines().filter(|line| !line.starts_with("title = "));
        let rest = rest.collect::<Vec<_>>().join("\n");
        fs::write(self.path(input), format!("title = \"{title}\"\n{rest}\n")).unwrap();
        let mut command = Command::new(env!("CARGO_BIN_EXE_calotte"));
        command.current_dir(self.place.path());
        command.args(words.split_whitespace());
        if let Some((at, how)) = cut {
            command.env("LD_PRELOAD", &self.shim);
            command.env("CUT_AT", at.to_string()).env("CUT_HOW", how);
            command.env("CUT_LEFT", self.path("changes"));
        }
        command.output().unwrap()
    }

    /// All files of the folder are those of one run, by the digests in its manifest.
    fn is_whole(&self, case: &str) -> String {
        let manifest = fs::read_to_string(self.path("out/manifest.json")).expect(case);
        let manifest: Value = serde_json::from_str(&manifest).expect(case);
        let listed = manifest["sha256"].as_object().expect(case);
        assert!(listed.len() > 1, "{case}");
        for (name, digest) in listed {
            let bytes = fs::read(self.path("out").join(name)).expect(case);
            assert_eq!(digest, &sha256(&bytes), "{name}, {case}");
        }
        manifest.to_string()
    }

    /// Nothing of ours is left beside the folder, hidden or not.
    fn is_tidy(&self, case: &str) {
        for entry in fs::read_dir(self.place.path()).unwrap() {
            let name = entry.unwrap().file_name().into_string().unwrap();
            assert!(!name.contains("calotte-"), "{name} is left, {case}");
        }
    }
}

#[test]
fn a_command_cut_short_leaves_old_or_new() {
    let shim = shim();
    let long = std::env::var_os("CALOTTE_LONG").is_some();
    let mut random = ChaCha8Rng::seed_from_u64(20_261_130);
    let (mut runs, mut all) = (0, 0);
    for (input, words) in COMMANDS {
        let command = [input, words];
        let bench = Bench::new(&shim);
        let counted = bench.run(command, "Old", Some((usize::MAX >> 1, "kill")));
        assert!(
            counted.status.code().is_some_and(|code| code < 2),
            "{counted:?}"
        );
        let changes = fs::read_to_string(bench.path("changes")).unwrap();
        let changes: usize = changes.parse().unwrap();
        let mut cuts: Vec<(usize, &str)> = (1..=changes)
            .flat_map(|at| WAYS.map(|how| (at, how)))
            .collect();
        all += cuts.len();
        cuts.shuffle(&mut random);
        cuts.truncate(if long { usize::MAX } else { CUTS });
        let old = bench.is_whole(words);
        for (at, how) in cuts {
            let output = bench.run(command, "New", Some((at, how)));
            let said = String::from_utf8_lossy(&output.stderr);
            let case = format!("{words}: {how} at {at} of {changes}: {said}");
            match output.status.code() {
                None => assert_eq!(how, "kill", "{case}"),
                Some(code) => {
                    assert!(how != "kill" && code <= 2, "{case}");
                    assert!(code < 2 || said.contains("error: "), "{case}");
                    assert!(!said.contains("panicked"), "{case}");
                }
            }
            bench.is_whole(&case);
            let next = bench.run(command, "Old", None);
            assert!(
                next.status.code().is_some_and(|code| code < 2),
                "{case}\nthen {next:?}"
            );
            assert_eq!(bench.is_whole(&case), old, "{case}");
            bench.is_tidy(&case);
            runs += 1;
        }
    }
    println!("random cases: {runs} (all {all})");
}
