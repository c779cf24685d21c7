//! Whatever happens to the text of a right file, reading it gives a value or
//! problems, never a panic, and the problems have a place in the text.

use std::fs;
use std::path::{Path, PathBuf};

use calotte_format::{FormatError, read_brief, read_design, text_of, write_design};
use proptest::prelude::*;

/// One change of a text.
#[derive(Debug, Clone)]
enum Change {
    Flip { at: usize, bit: u8 },
    Insert { at: usize, byte: u8 },
    Cut { at: usize, length: usize },
    Truncate { at: usize },
    SwapLines { first: usize, second: usize },
    CopyLine { from: usize, to: usize },
    Number { at: usize, text: &'static str },
}

fn change() -> impl Strategy<Value = Change> {
    const NUMBERS: [&str; 12] = [
        "-1", "0", "1e308", "-1e999", "nan", "inf", "180", "0.1e-300", "\"x\"", "[]", "{}", "true",
    ];
    let at = any::<usize>;
    prop_oneof![
        (at(), 0u8..8).prop_map(|(at, bit)| Change::Flip { at, bit }),
        (at(), any::<u8>()).prop_map(|(at, byte)| Change::Insert { at, byte }),
        (at(), 1usize..12).prop_map(|(at, length)| Change::Cut { at, length }),
        at().prop_map(|at| Change::Truncate { at }),
        (at(), at()).prop_map(|(first, second)| Change::SwapLines { first, second }),
        (at(), at()).prop_map(|(from, to)| Change::CopyLine { from, to }),
        (at(), prop::sample::select(NUMBERS.to_vec()))
            .prop_map(|(at, text)| Change::Number { at, text }),
    ]
}

fn changed(bytes: &[u8], change: &Change) -> Vec<u8> {
    let mut bytes = bytes.to_vec();
    if bytes.is_empty() {
        return bytes;
    }
    let length = bytes.len();
    match *change {
        Change::Flip { at, bit } => bytes[at % length] ^= 1 << bit,
        Change::Insert { at, byte } => bytes.insert(at % length, byte),
        Change::Cut { at, length: cut } => {
            let at = at % length;
            bytes.drain(at..(at + cut).min(length));
        }
        Change::Truncate { at } => bytes.truncate(at % length),
        Change::SwapLines { first, second } => {
            let mut lines: Vec<&[u8]> = bytes.split(|byte| *byte == b'\n').collect();
            let count = lines.len();
            lines.swap(first % count, second % count);
            return lines.join(&b'\n');
        }
        Change::CopyLine { from, to } => {
            let mut lines: Vec<&[u8]> = bytes.split(|byte| *byte == b'\n').collect();
            let count = lines.len();
            lines.insert(to % count, lines[from % count]);
            return lines.join(&b'\n');
        }
        Change::Number { at, text } => return with_another_value(&bytes, at, text),
    }
    bytes
}

/// The value of one line replaced by another.
fn with_another_value(bytes: &[u8], at: usize, value: &str) -> Vec<u8> {
    let text = String::from_utf8_lossy(bytes);
    let mut lines: Vec<String> = text.lines().map(str::to_string).collect();
    let with_value: Vec<usize> = (0..lines.len())
        .filter(|line| lines[*line].contains('='))
        .collect();
    if let Some(line) = with_value.get(at % with_value.len().max(1)) {
        let key = lines[*line].split('=').next().unwrap_or("").to_string();
        lines[*line] = format!("{key}= {value}");
    }
    lines.join("\n").into_bytes()
}

fn right_files() -> Vec<Vec<u8>> {
    let folder: PathBuf = Path::new(env!("CARGO_MANIFEST_DIR")).join("tests/valid");
    let mut paths: Vec<PathBuf> = fs::read_dir(folder)
        .expect("the folder")
        .map(|entry| entry.expect("an entry").path())
        .filter(|path| {
            path.extension()
                .is_some_and(|extension| extension == "toml")
        })
        .collect();
    paths.sort();
    let mut files: Vec<Vec<u8>> = paths
        .iter()
        .map(|path| fs::read(path).expect("bytes"))
        .collect();
    files.push(calotte_format::brief_template().as_bytes().to_vec());
    files
}

fn check(text: &str, error: &FormatError) {
    assert!(!error.problems.is_empty());
    let lines = text.matches('\n').count() + 1;
    for problem in &error.problems {
        assert!((1..=lines).contains(&problem.line), "{problem:?}");
        assert!(
            !problem.message.is_empty() && !problem.hint.is_empty(),
            "{problem:?}"
        );
    }
    assert!(
        error
            .in_file("file.toml")
            .to_string()
            .starts_with("error: ")
    );
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(4000))]

    #[test]
    fn changed_files_never_panic(
        file in 0usize..7,
        changes in prop::collection::vec(change(), 1..5),
    ) {
        let files = right_files();
        let bytes = changes
            .iter()
            .fold(files[file % files.len()].clone(), |bytes, change| changed(&bytes, change));
        let text = match text_of(&bytes) {
            Ok(text) => text,
            Err(error) => {
                prop_assert_eq!(error.problems.len(), 1);
                return Ok(());
            }
        };
        let points = |_: &str| Ok(b"polar_deg,azimuth_deg\n20,0\n".to_vec());
        if let Err(error) = read_brief(text, &points) {
            check(text, &error);
        }
        match read_design(text) {
            Ok(design) => {
                let written = write_design(&design, "");
                prop_assert_eq!(read_design(&written).ok(), Some(design));
            }
            Err(error) => check(text, &error),
        }
    }
}
