//! Running other programs: no stdin, the output shown as it comes, failures in words.

use std::ffi::{OsStr, OsString};
use std::io::{Read, Write};
use std::path::{Path, PathBuf};
use std::process::{Command, ExitStatus, Stdio};
use std::sync::OnceLock;

use crate::failure::Failure;

/// A program, run from the given folder.
pub fn program(name: impl AsRef<OsStr>, folder: &Path) -> Command {
    let mut command = Command::new(name);
    command.current_dir(folder).stdin(Stdio::null());
    if let Some(path) = with_own_node(std::env::var_os("PATH")) {
        command.env("PATH", path);
    }
    // `cargo run` tells this program its own package through these; passed on, they
    // would make build scripts that watch them run again.
    for (key, _) in std::env::vars_os() {
        let key_text = key.to_string_lossy();
        if key_text.starts_with("CARGO_PKG_") || key_text.starts_with("CARGO_MANIFEST_") {
            command.env_remove(&key);
        }
    }
    command
}

/// Where this project keeps a node of its own, once the root is known.
static NODE_FOLDER: OnceLock<PathBuf> = OnceLock::new();

/// Tells every program started from here on to look for node in a folder first.
pub fn look_for_node_in(folder: PathBuf) {
    // Set once at the start; a second call would say the same.
    let _ = NODE_FOLDER.set(folder);
}

/// The search path with the project's own node first, where it has one.
fn with_own_node(path: Option<OsString>) -> Option<OsString> {
    let folder = NODE_FOLDER.get().filter(|folder| folder.is_dir())?;
    let rest = path.unwrap_or_default();
    let all = std::iter::once(folder.clone()).chain(std::env::split_paths(&rest));
    std::env::join_paths(all).ok()
}

/// The cargo that started this program, run from the given folder.
pub fn cargo(folder: &Path) -> Command {
    program(
        std::env::var_os("CARGO").unwrap_or_else(|| "cargo".into()),
        folder,
    )
}

/// Runs a command that must succeed, its output going where ours goes.
pub fn run(command: &mut Command) -> Result<(), Failure> {
    announce(command);
    let status = command
        .status()
        .map_err(|error| not_started(command, &error))?;
    must_succeed(command, status)
}

/// Runs a command that must succeed and returns what it wrote to stdout.
pub fn run_captured(command: &mut Command) -> Result<String, Failure> {
    let output = command
        .stderr(Stdio::inherit())
        .output()
        .map_err(|error| not_started(command, &error))?;
    must_succeed(command, output.status)?;
    String::from_utf8(output.stdout).map_err(|_| {
        Failure::check(format!(
            "`{}` wrote bytes that are not UTF-8",
            shown(command)
        ))
    })
}

/// Runs a command, shows its stdout as it comes, and returns it with the outcome: the
/// output of a failed test run is wanted too, for its counts.
pub fn run_shown(command: &mut Command) -> Result<(String, Result<(), Failure>), Failure> {
    announce(command);
    let mut child = command
        .stdout(Stdio::piped())
        .spawn()
        .map_err(|error| not_started(command, &error))?;
    let mut output = Vec::new();
    if let Some(mut stdout) = child.stdout.take() {
        copy(&mut stdout, &mut output)
            .map_err(|error| Failure::missing(format!("`{}`: {error}", shown(command))))?;
    }
    let status = child.wait().map_err(|error| not_started(command, &error))?;
    Ok((
        String::from_utf8_lossy(&output).into_owned(),
        must_succeed(command, status),
    ))
}

/// Whether a command runs and succeeds; says nothing.
pub fn succeeds(command: &mut Command) -> bool {
    command
        .stdout(Stdio::null())
        .stderr(Stdio::null())
        .status()
        .is_ok_and(|status| status.success())
}

/// A command as one would type it, without the folder of the program.
pub fn shown(command: &Command) -> String {
    let program = Path::new(command.get_program());
    let name = program.file_name().unwrap_or(program.as_os_str());
    let words: Vec<String> = std::iter::once(name)
        .chain(command.get_args())
        .map(quoted)
        .collect();
    words.join(" ")
}

/// A word as a shell would want it: in quotes where it holds more than plain characters.
fn quoted(word: &OsStr) -> String {
    let word = word.to_string_lossy();
    let plain = |c: char| c.is_alphanumeric() || "-_./=:,+@%".contains(c);
    if !word.is_empty() && word.chars().all(plain) {
        return word.into_owned();
    }
    format!("'{}'", word.replace('\'', "'\\''"))
}

fn announce(command: &Command) {
    println!("$ {}", shown(command));
}

/// Copies all of `from` to our stdout and to `kept`, without waiting for whole lines.
fn copy(from: &mut impl Read, kept: &mut Vec<u8>) -> std::io::Result<()> {
    let mut piece = [0_u8; 8192];
    let mut stdout = std::io::stdout().lock();
    loop {
        let length = from.read(&mut piece)?;
        if length == 0 {
            return Ok(());
        }
        kept.extend_from_slice(&piece[..length]);
        stdout.write_all(&piece[..length])?;
        stdout.flush()?;
    }
}

/// Shows what a command that ran beside another wrote to a file, and returns it with the outcome
/// as [`run_shown`] does.
pub fn shown_later(
    command: &Command,
    status: ExitStatus,
    written: &Path,
) -> Result<(String, Result<(), Failure>), Failure> {
    announce(command);
    let output = std::fs::read(written)
        .map_err(|error| Failure::missing(format!("{}: {error}", written.display())))?;
    let output = String::from_utf8_lossy(&output).into_owned();
    print!("{output}");
    Ok((output, must_succeed(command, status)))
}

fn not_started(command: &Command, error: &std::io::Error) -> Failure {
    Failure::missing(format!("`{}` could not be run: {error}", shown(command)))
}

fn must_succeed(command: &Command, status: ExitStatus) -> Result<(), Failure> {
    if status.success() {
        return Ok(());
    }
    Err(Failure::check(format!(
        "`{}` ended with {status}",
        shown(command)
    )))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_command_is_shown_as_one_would_type_it() {
        let mut command = Command::new("some/folder/python");
        command.args(["-c", "import venv, ensurepip", "a=1", ""]);
        assert_eq!(shown(&command), "python -c 'import venv, ensurepip' a=1 ''");
    }

    #[test]
    fn what_a_failed_command_wrote_is_kept() {
        let mut command = cargo(Path::new("."));
        let (output, outcome) = run_shown(command.arg("--version")).unwrap();
        assert!(output.starts_with("cargo ") && outcome.is_ok());
        let mut command = cargo(Path::new("."));
        command.arg("no-such-task").stderr(Stdio::null());
        let (output, outcome) = run_shown(&mut command).unwrap();
        assert!(output.is_empty() && outcome.is_err());
        assert!(run_captured(&mut Command::new("no-such-program")).is_err());
    }
}
