//! Step `main-job`: the first command a reader of `README.md` would type does what the
//! README says, so that the README cannot go stale; and the program it builds is small and
//! still says where it fails.
//!
//! The command stands in the first ```` ```sh ```` block after the comment
//! `<!-- main job -->`. Its results go to a folder of this check.

use std::path::{Path, PathBuf};

use crate::command::{cargo, program, run as run_command};
use crate::counts::Counts;
use crate::failure::Failure;
use crate::workspace::Workspace;

/// Stands in `README.md` before the block with the main command.
const MARK: &str = "<!-- main job -->";
/// What `calotte design` writes, by the documentation of its results folder.
const RESULTS: &[&str] = &[
    "summary.html",
    "design.toml",
    "results.json",
    "candidates.csv",
];

/// Runs the command and looks for its results.
pub fn run(workspace: &Workspace) -> Result<Counts, Failure> {
    let commands = commands_in_block(&main_job_block(&workspace.read("README.md")?)?)?;
    let folder = empty_folder(workspace)?;
    let results = folder.join("results");
    let calotte = workspace.build_release()?;
    let program_bytes = std::fs::read(&calotte)
        .map_err(|error| Failure::missing(format!("{}: {error}", calotte.display())))?;
    judge_program(&program_bytes)?;
    for words in commands {
        let words = with_out_folder(words, &results);
        let (name, rest) = words
            .split_first()
            .map_or(("", &[][..]), |(a, b)| (a.as_str(), b));
        let mut command = match name {
            "cargo" => cargo(&workspace.root),
            _ => program(&calotte, &workspace.root),
        };
        run_command(command.args(rest))?;
    }
    results_exist(&results)?;
    Ok(Counts::default())
}

/// Greatest size of the program, bytes.
const PROGRAM_MAX: usize = 13_000_000;
/// What a program holds whose panics can be used: places in the sources.
const PLACE: &[u8] = b"crates/calotte/src/";

/// The program as handed out is small, and its panics name file and line.
fn judge_program(program: &[u8]) -> Result<(), Failure> {
    let size = program.len();
    if size > PROGRAM_MAX {
        return Err(Failure::check(format!(
            "the program has {size} bytes, more than {PROGRAM_MAX}"
        ))
        .with_hint("`readelf --sections` tells what takes the room; tables of lines belong in the profile `checked` alone"));
    }
    if !program.windows(PLACE.len()).any(|bytes| bytes == PLACE) {
        return Err(Failure::check(
            "the program holds no place in its sources: its panics would not say where they come from",
        ));
    }
    println!("the program has {size} bytes");
    Ok(())
}

/// The lines of the first ```` ```sh ```` block after the mark.
fn main_job_block(readme: &str) -> Result<Vec<String>, Failure> {
    let after_mark = readme
        .split_once(MARK)
        .map(|(_, after)| after)
        .ok_or_else(|| {
            Failure::check(format!("README.md has no `{MARK}` before its main command"))
        })?;
    let mut lines = after_mark.lines().skip_while(|line| line.trim() != "```sh");
    if lines.next().is_none() {
        return Err(Failure::check(format!(
            "README.md has no ```sh block after `{MARK}`"
        )));
    }
    Ok(lines
        .take_while(|line| line.trim() != "```")
        .map(str::to_owned)
        .collect())
}

/// The words of each command in the block. Comments are left out, a backslash at the
/// end of a line joins it to the next. There is no shell, so nothing may need one.
fn commands_in_block(lines: &[String]) -> Result<Vec<Vec<String>>, Failure> {
    let joined = lines.join("\n").replace("\\\n", " ");
    let mut commands = Vec::new();
    for line in joined.lines().map(str::trim) {
        if line.is_empty() || line.starts_with('#') {
            continue;
        }
        let words: Vec<String> = line.split_whitespace().map(str::to_owned).collect();
        let known = matches!(words.first().map(String::as_str), Some("cargo" | "calotte"));
        if !known || line.contains(['|', '>', '<', '&', ';', '$', '"', '\'', '*', '`']) {
            return Err(Failure::check(format!(
                "README.md: `{line}` in the main block is not a plain cargo or calotte command"
            )));
        }
        commands.push(words);
    }
    if !commands.iter().any(|words| is_design(words)) {
        return Err(Failure::check(
            "README.md: the main block holds no `design` command",
        ));
    }
    Ok(commands)
}

/// Whether a command runs `calotte design`.
fn is_design(words: &[String]) -> bool {
    words.iter().any(|word| word == "design")
}

/// A `design` command with its results sent to our folder, whatever folder it names.
fn with_out_folder(words: Vec<String>, folder: &Path) -> Vec<String> {
    if !is_design(&words) {
        return words;
    }
    let mut kept = Vec::new();
    let mut words = words.into_iter();
    while let Some(word) = words.next() {
        match word.as_str() {
            "--out" => drop(words.next()),
            "--force" => {}
            _ if word.starts_with("--out=") => {}
            _ => kept.push(word),
        }
    }
    kept.extend(["--force", "--out"].map(str::to_owned));
    kept.push(folder.to_string_lossy().into_owned());
    kept
}

/// A folder of our own without anything in it.
fn empty_folder(workspace: &Workspace) -> Result<PathBuf, Failure> {
    let folder = workspace.target.join("xtask").join("main-job");
    let emptied = match std::fs::remove_dir_all(&folder) {
        Err(error) if error.kind() != std::io::ErrorKind::NotFound => Err(error),
        _ => std::fs::create_dir_all(&folder),
    };
    emptied.map_err(|error| Failure::missing(format!("{}: {error}", folder.display())))?;
    Ok(folder)
}

/// Every promised file is there and holds something.
fn results_exist(folder: &Path) -> Result<(), Failure> {
    let lacking: Vec<&str> = RESULTS
        .iter()
        .copied()
        .filter(|name| !std::fs::metadata(folder.join(name)).is_ok_and(|file| file.len() > 0))
        .collect();
    if lacking.is_empty() {
        println!("results: {}", RESULTS.join(", "));
        return Ok(());
    }
    Err(Failure::check(format!(
        "the main command of README.md ended well but left missing or empty: {}",
        lacking.join(", ")
    )))
}

#[cfg(test)]
mod tests {
    use super::*;

    const README: &str = "# calotte\n\n```sh\nother\n```\n\n<!-- main job -->\nText.\n\n```sh\n\
        # the main job\ncargo run --release -- design \\\n  examples/a/brief.toml --out results\n```\nmore\n";

    fn words(text: &str) -> Vec<String> {
        text.split_whitespace().map(str::to_owned).collect()
    }

    #[test]
    fn the_marked_block_is_found_and_read() {
        let commands = commands_in_block(&main_job_block(README).unwrap()).unwrap();
        let expected = words("cargo run --release -- design examples/a/brief.toml --out results");
        assert_eq!(commands, vec![expected]);
    }

    #[test]
    fn a_missing_mark_or_block_is_an_error() {
        let error = main_job_block("```sh\ncargo run\n```\n")
            .unwrap_err()
            .to_string();
        assert!(error.contains(MARK));
        let error = main_job_block("<!-- main job -->\nno block\n")
            .unwrap_err()
            .to_string();
        assert!(error.contains("no ```sh block"));
    }

    #[test]
    fn what_needs_a_shell_or_lacks_the_job_is_refused() {
        let read = |line: &str| commands_in_block(&[line.to_owned()]).map_err(|e| e.to_string());
        assert!(
            read("cargo run -- design a.toml > log")
                .unwrap_err()
                .contains("plain")
        );
        assert!(read("rm -r results").unwrap_err().contains("plain"));
        assert!(
            read("cargo build --release")
                .unwrap_err()
                .contains("no `design`")
        );
        assert!(read("calotte design a.toml").is_ok());
    }

    #[test]
    fn a_large_program_or_one_without_places_is_refused() {
        let program = b"..crates/calotte/src/design.rs..".to_vec();
        assert!(judge_program(&program).is_ok());
        let mut large = program.clone();
        large.resize(PROGRAM_MAX + 1, 0);
        let said = |program: &[u8]| judge_program(program).unwrap_err().to_string();
        assert!(said(&large).contains("13000000"));
        assert!(said(b"..design.rs..").contains("no place in its sources"));
    }

    #[test]
    fn results_go_to_the_folder_of_the_check() {
        let command = words("calotte design a.toml --out=x --force --seed 7 --out y");
        let expected = words("calotte design a.toml --seed 7 --force --out here");
        assert_eq!(with_out_folder(command, Path::new("here")), expected);
        let other = words("cargo build --release");
        assert_eq!(with_out_folder(other.clone(), Path::new("here")), other);
    }
}
