//! What is no ordinary file, at every place where a command reads one: refused at once, with
//! status 2 and what it is, nothing written.

#![cfg(unix)]

use std::fs;
use std::os::unix::fs::symlink;
use std::os::unix::net::UnixListener;
use std::path::{Path, PathBuf};
use std::process::{Command, Stdio};
use std::time::{Duration, Instant};

/// One that hangs is ended after this; what does not hang takes some milliseconds.
const PATIENCE: Duration = Duration::from_secs(60);

const KEEP_OUT: &str =
    "\n[[keep_out]]\nname = \"head\"\nshape = \"stl\"\nunit = \"mm\"\nfile = \"FILE\"\n";

fn examples() -> PathBuf {
    Path::new(env!("CARGO_MANIFEST_DIR")).join("../../examples/head-dome")
}

/// Every place of the command line that takes a file: the words, with FILE for the one in
/// question. The good files are copies of the shipped example.
const PLACES: [&[&str]; 18] = [
    &["design", "FILE"],
    &["design", "brief.toml", "--from", "FILE", "--keep", "base"],
    &[
        "design",
        "brief.toml",
        "--from",
        "design.toml",
        "--keep",
        "base",
        "--use",
        "FILE",
    ],
    &["analyse", "FILE"],
    &["analyse", "design.toml", "--brief", "FILE"],
    &["judge", "FILE"],
    &["map", "FILE", "--x", "stages=1..2", "--y", "arc_deg=20,21"],
    &[
        "map",
        "design.toml",
        "--x",
        "stages=1..2",
        "--y",
        "arc_deg=20,21",
        "--brief",
        "FILE",
    ],
    &["compare", "FILE", "design.toml"],
    &["compare", "design.toml", "FILE"],
    &["compare", "design.toml", "design.toml", "--brief", "FILE"],
    &["compare", "design.toml", "--measured", "FILE"],
    &["parts", "FILE"],
    &["measure", "plan", "FILE"],
    &["measure", "fit", "FILE", "points.csv"],
    &["measure", "fit", "design.toml", "FILE"],
    &[
        "measure",
        "fit",
        "design.toml",
        "points.csv",
        "--weights",
        "FILE",
    ],
    // A file that a brief names.
    &["design", "mesh.toml"],
];

/// What can lie at a path and is no file to read, each made in a folder.
fn special(folder: &Path) -> Vec<(&'static str, PathBuf)> {
    let at = |name: &str| folder.join(name);
    let pipe = at("pipe");
    assert!(
        Command::new("mkfifo")
            .arg(&pipe)
            .status()
            .unwrap()
            .success()
    );
    symlink(&pipe, at("link-to-pipe")).unwrap();
    symlink("nowhere", at("link-to-nothing")).unwrap();
    symlink("link-to-itself", at("link-to-itself")).unwrap();
    fs::create_dir(at("folder")).unwrap();
    fs::File::create(at("sparse"))
        .unwrap()
        .set_len(1 << 40)
        .unwrap();
    // Just what a table may have, all of it zero bytes.
    let most = calotte_format::measurement::BYTES_MAX as u64;
    fs::File::create(at("zeros"))
        .unwrap()
        .set_len(most)
        .unwrap();
    let mut found: Vec<(&str, PathBuf)> = [
        "pipe",
        "link-to-pipe",
        "link-to-nothing",
        "link-to-itself",
        "folder",
        "sparse",
        "zeros",
        "nothing",
        "socket",
    ]
    .map(|name| (name, at(name)))
    .to_vec();
    found.extend([
        ("zero", PathBuf::from("/dev/zero")),
        ("null", PathBuf::from("/dev/null")),
    ]);
    if cfg!(target_os = "linux") {
        found.extend([
            ("environ", PathBuf::from("/proc/self/environ")),
            ("memory", PathBuf::from("/proc/self/mem")),
        ]);
    }
    found
}

/// Runs a command; `None` if it had to be ended.
fn calotte(folder: &Path, words: &[String]) -> Option<(Option<i32>, String)> {
    let said = folder.join("said");
    let mut child = Command::new(env!("CARGO_BIN_EXE_calotte"))
        .current_dir(folder)
        .args(words)
        .stdin(Stdio::null())
        .stdout(Stdio::null())
        .stderr(fs::File::create(&said).unwrap())
        .spawn()
        .unwrap();
    let begin = Instant::now();
    loop {
        if let Some(status) = child.try_wait().unwrap() {
            return Some((status.code(), fs::read_to_string(&said).unwrap()));
        }
        if begin.elapsed() > PATIENCE {
            child.kill().unwrap();
            child.wait().unwrap();
            return None;
        }
        std::thread::sleep(Duration::from_millis(2));
    }
}

#[test]
fn what_is_no_file_is_refused_at_once_at_every_place() {
    let place = tempfile::tempdir().unwrap();
    let folder = place.path();
    let copy = |from: &str, to: &str| {
        fs::copy(examples().join(from), folder.join(to)).unwrap();
    };
    copy("brief.toml", "brief.toml");
    copy("bench/design.toml", "design.toml");
    copy("bench/points.csv", "points.csv");
    let _socket = UnixListener::bind(folder.join("socket")).unwrap();
    let special = special(folder);
    let brief = fs::read_to_string(examples().join("built.toml")).unwrap();
    let before = fs::read_dir(folder).unwrap().count();
    let mut cases = 0;
    for words in PLACES {
        for (kind, path) in &special {
            let mesh = brief.clone() + &KEEP_OUT.replace("FILE", path.to_str().unwrap());
            fs::write(folder.join("mesh.toml"), mesh).unwrap();
            let words: Vec<String> = words
                .iter()
                .map(|word| word.replace("FILE", path.to_str().unwrap()))
                .collect();
            let case = format!("{kind}: {}", words.join(" "));
            let (status, said) = calotte(folder, &words).expect(&case);
            assert_eq!(status, Some(2), "{case}: {said}");
            assert!(
                said.starts_with("error: ") && said.contains("hint: "),
                "{case}: {said}"
            );
            let names_it = said.contains(path.to_str().unwrap());
            assert!(names_it, "{case}: {said}");
            cases += 1;
        }
    }
    println!("{cases} cases");
    assert!(cases >= 160);
    // The message and the brief with a mesh are ours.
    assert_eq!(fs::read_dir(folder).unwrap().count(), before + 2);
}
