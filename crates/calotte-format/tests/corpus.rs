//! Replays the inputs that fuzzing has kept: what once reached new code, or
//! once failed, is read at every test run.

use std::fs;
use std::path::{Path, PathBuf};

use calotte_format::{read_brief, read_design, text_of, write_design};

fn inputs(target: &str) -> Vec<(PathBuf, Vec<u8>)> {
    let folder = Path::new(env!("CARGO_MANIFEST_DIR"))
        .join("../../fuzz/corpus")
        .join(target);
    let mut paths: Vec<PathBuf> = fs::read_dir(&folder)
        .unwrap_or_else(|error| panic!("{}: {error}", folder.display()))
        .map(|entry| entry.expect("an entry").path())
        .collect();
    paths.sort();
    assert!(
        paths.len() >= 50,
        "only {} inputs for {target}",
        paths.len()
    );
    paths
        .into_iter()
        .map(|path| {
            let bytes = fs::read(&path).expect("the bytes of an input");
            (path, bytes)
        })
        .collect()
}

#[test]
fn briefs_of_the_corpus_give_a_value_or_problems() {
    for (path, bytes) in inputs("brief") {
        let mut parts = bytes.splitn(2, |byte| *byte == 0);
        let brief = parts.next().unwrap_or_default();
        let points = String::from_utf8_lossy(parts.next().unwrap_or_default()).into_owned();
        let problems = match text_of(brief) {
            Err(error) => error.problems,
            Ok(text) => match read_brief(text, &|_| Ok(points.clone().into_bytes())) {
                Err(error) => error.problems,
                Ok(_) => continue,
            },
        };
        assert!(!problems.is_empty(), "{}", path.display());
    }
}

#[test]
fn designs_of_the_corpus_read_back_equal() {
    let mut read = 0;
    for (path, bytes) in inputs("design") {
        let Ok(text) = text_of(&bytes) else { continue };
        if let Ok(design) = read_design(text) {
            read += 1;
            let written = write_design(&design, "");
            assert_eq!(
                read_design(&written).as_ref(),
                Ok(&design),
                "{}",
                path.display()
            );
        }
    }
    assert!(read > 0, "no input of the corpus is a design");
}
