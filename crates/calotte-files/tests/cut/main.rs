//! Cut short between every two changes of files: by a kill, by a change that fails, by a disk
//! that stays full. The old version or the new one is there, whole, and the next run works.
//!
//! `shim.c` stands before the C library; it is built by the compiler that links Rust programs.

#![cfg(target_os = "linux")]

use std::fs;
use std::path::{Path, PathBuf};
use std::process::{Command, Output};
use std::sync::OnceLock;

/// No space left on device; input/output error; permission denied; operation not supported.
const ERRORS: [i32; 4] = [28, 5, 13, 95];

/// The library that cuts short.
fn shim() -> &'static Path {
    static SHIM: OnceLock<PathBuf> = OnceLock::new();
    SHIM.get_or_init(|| {
        let library = Path::new(env!("CARGO_TARGET_TMPDIR")).join("cut-short.so");
        let source = Path::new(env!("CARGO_MANIFEST_DIR")).join("tests/cut/shim.c");
        let mut compiler = Command::new(std::env::var_os("CC").unwrap_or_else(|| "cc".into()));
        compiler.args(["-shared", "-fPIC", "-O1", "-o"]);
        let built = compiler.arg(&library).arg(source).arg("-ldl").status();
        assert!(built.unwrap().success(), "the shim was not built");
        library
    })
}

/// The example `steps`, which cargo builds with the tests.
fn steps() -> PathBuf {
    let test = std::env::current_exe().unwrap();
    let folder = test.parent().and_then(Path::parent).unwrap();
    folder.join("examples/steps")
}

/// A run that is cut at a change in a way; `None` for one that is not.
fn run(what: &str, place: &Path, text: &str, cut: Option<(usize, &str)>) -> Output {
    let mut command = Command::new(steps());
    command.args([what, place.to_str().unwrap(), text]);
    if let Some((at, how)) = cut {
        command.env("LD_PRELOAD", shim());
        command.env("CUT_AT", at.to_string()).env("CUT_HOW", how);
        command.env("CUT_LEFT", place.with_file_name("changes"));
    }
    command.output().unwrap()
}

/// How many changes an uncut run makes, from a folder prepared alike.
fn changes(what: &str, prepare: impl Fn(&Path)) -> usize {
    let around = tempfile::tempdir().unwrap();
    let place = around.path().join("place");
    prepare(&place);
    let output = run(what, &place, "new", Some((usize::MAX >> 1, "kill")));
    assert!(output.status.success(), "{output:?}");
    let number = fs::read_to_string(around.path().join("changes")).unwrap();
    number.parse().unwrap()
}

/// Every way to be cut short at every change; `look` judges what is left, before and after the
/// next run.
fn everywhere(what: &str, prepare: impl Fn(&Path), look: impl Fn(&Path, &str)) {
    let number = changes(what, &prepare);
    assert!(number > 5, "{number} changes");
    let mut ways = vec!["kill".to_owned()];
    for error in ERRORS {
        ways.extend([format!("once={error}"), format!("from={error}")]);
    }
    let (mut runs, mut failed) = (0, 0);
    for how in &ways {
        for at in 1..=number {
            let around = tempfile::tempdir().unwrap();
            let place = around.path().join("place");
            prepare(&place);
            let output = run(what, &place, "new", Some((at, how)));
            let case = format!("{what}, {how} at {at} of {number}: {output:?}");
            assert!(how == "kill" || output.status.code().is_some(), "{case}");
            assert!(how != "kill" || output.status.code().is_none(), "{case}");
            runs += 1;
            failed += usize::from(!output.status.success());
            look(&place, &case);
            let next = run(what, &place, "next", None);
            assert!(next.status.success(), "{case}\nthen {next:?}");
            look(&place, &format!("{case}\nthen {next:?}"));
        }
    }
    println!("{what}: {number} changes, {runs} runs cut short, {failed} of them said so");
    assert!(failed * 2 > runs, "{failed} of {runs}");
}

fn prepare_results(place: &Path) {
    assert!(run("results", place, "old", None).status.success());
}

/// A folder of results that is whole: both files from one run.
fn whole(place: &Path, case: &str) {
    let read = |name: &str| fs::read_to_string(place.join(name)).expect(case);
    assert_eq!(read("a.txt"), read("plots/b.svg"), "{case}");
    assert!(
        ["old", "new", "next"].contains(&read("a.txt").as_str()),
        "{case}"
    );
    read("manifest.json");
}

#[test]
fn a_results_folder_is_old_or_new() {
    everywhere("results", prepare_results, whole);
}

#[test]
fn what_is_foreign_is_never_lost() {
    let prepare = |place: &Path| {
        prepare_results(place);
        fs::write(place.join("thesis.tex"), "years of work").unwrap();
    };
    let look = |place: &Path, case: &str| {
        whole(place, case);
        // In the folder, or in one beside it, hidden until the next run.
        let mut waiting = vec![place.parent().unwrap().to_path_buf()];
        let mut found = 0;
        while let Some(folder) = waiting.pop() {
            for entry in fs::read_dir(folder).unwrap() {
                let path = entry.unwrap().path();
                if path.is_dir() {
                    waiting.push(path);
                } else if path.ends_with("thesis.tex") {
                    assert_eq!(
                        fs::read_to_string(&path).unwrap(),
                        "years of work",
                        "{case}"
                    );
                    found += 1;
                }
            }
        }
        assert_eq!(found, 1, "{case}");
        if case.contains("\nthen") {
            let plain = [place.to_path_buf(), place.with_file_name("place.kept-1")];
            assert!(
                plain
                    .iter()
                    .any(|folder| folder.join("thesis.tex").exists()),
                "{case}"
            );
        }
    };
    everywhere("force", prepare, look);
}

#[test]
fn a_file_is_old_or_new() {
    let prepare = |place: &Path| fs::write(place, "old").unwrap();
    let look = |place: &Path, case: &str| {
        let text = fs::read_to_string(place).expect(case);
        assert!(["old", "new", "next"].contains(&text.as_str()), "{case}");
    };
    everywhere("file", prepare, look);
}

#[test]
fn what_a_journal_held_it_holds() {
    let prepare = |place: &Path| {
        assert!(run("journal", place, "old", None).status.success());
    };
    let look = |place: &Path, case: &str| {
        let text = fs::read_to_string(place.with_file_name("place.unfinished")).expect(case);
        let lines: Vec<&str> = text.lines().collect();
        assert_eq!(
            lines[..4],
            ["header of a test", "old 0", "old 1", "old 2"],
            "{case}"
        );
    };
    let number = changes("journal", prepare);
    assert!(number > 4);
    for at in 1..=number {
        for how in ["kill", "once=28", "from=28"] {
            let around = tempfile::tempdir().unwrap();
            let place = around.path().join("place");
            prepare(&place);
            let output = run("journal", &place, "new", Some((at, how)));
            look(&place, &format!("{how} at {at}: {output:?}"));
            let next = run("journal", &place, "next", None);
            assert!(next.status.success(), "{next:?}");
            look(&place, &format!("{how} at {at}, then {next:?}"));
        }
    }
}
