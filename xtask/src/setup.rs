//! Step `setup`: what the tests need is on this machine. With `--install` what is missing
//! is fetched; without, each missing piece is named with the command that brings it.
//! When everything is present, nothing here uses the network.

use std::path::PathBuf;
use std::process::Command;

use crate::command::{cargo, program, run as run_command, run_captured, shown, succeeds};
use crate::counts::Counts;
use crate::failure::Failure;
use crate::node;
use crate::workspace::Workspace;

/// Oldest Python that the oracles' packages support, as (major, minor): what numpy and
/// scipy state as `Requires-Python` in the versions of the requirement file.
const PYTHON_MIN: (u32, u32) = (3, 11);
/// Packages of the oracles, installed with what they depend on.
const REQUIREMENTS: &str = "oracles/requirements.txt";
/// Packages of the oracles, installed without what they say they depend on.
const REQUIREMENTS_NO_DEPS: &str = "oracles/requirements-no-deps.txt";
/// The command that brings whatever this step can bring.
const INSTALL: &str = "cargo xtask test --only setup --install";

/// One thing the tests need.
struct Need {
    /// What it is, in words.
    what: &'static str,
    /// The command that brings it, as one would type it.
    command: &'static str,
    /// Why it counts as missing; None when it is there.
    lacks: fn(&Workspace) -> Result<Option<String>, Failure>,
    /// Brings it.
    bring: fn(&Workspace) -> Result<(), Failure>,
}

/// Everything needed, in an order in which later needs may rest on earlier ones.
const NEEDS: &[Need] = &[
    Need {
        what: "git",
        command: "apt-get install git",
        lacks: |workspace| Ok(lacks_program(workspace, "git", &["--version"])),
        bring: |workspace| apt_install(workspace, "git"),
    },
    Need {
        what: "rustfmt",
        command: "rustup component add rustfmt",
        lacks: |workspace| Ok(lacks_cargo(workspace, &["fmt", "--version"])),
        bring: |workspace| rustup_add(workspace, "rustfmt"),
    },
    Need {
        what: "clippy",
        command: "rustup component add clippy",
        lacks: |workspace| Ok(lacks_cargo(workspace, &["clippy", "--version"])),
        bring: |workspace| rustup_add(workspace, "clippy"),
    },
    Need {
        what: "the sources of every crate in Cargo.lock",
        command: "cargo fetch --locked",
        lacks: |workspace| {
            // For every system, not for this one only: the licence list covers them all.
            let words = ["metadata", "--offline", "--locked", "--format-version", "1"];
            Ok(lacks_cargo(workspace, &words))
        },
        bring: |workspace| run_command(cargo(&workspace.root).args(["fetch", "--locked"])),
    },
    Need {
        what: "python3, 3.11 or later",
        command: "apt-get install python3",
        lacks: lacks_python,
        bring: |workspace| apt_install(workspace, "python3"),
    },
    Need {
        what: "the module venv of python3, with pip",
        command: "apt-get install python3-venv",
        lacks: |workspace| {
            Ok(lacks_program(
                workspace,
                "python3",
                &["-c", "import venv, ensurepip"],
            ))
        },
        bring: |workspace| apt_install(workspace, "python3-venv"),
    },
    Need {
        what: "node 20.19 or later, with npm",
        command: "install node from nodejs or your system's packages",
        lacks: node::lacks_node,
        bring: node::bring_node,
    },
    Need {
        what: "the packages of the page, crates/calotte-page/web/node_modules",
        command: "npm ci --ignore-scripts (in crates/calotte-page/web)",
        lacks: node::lacks_packages,
        bring: node::bring_packages,
    },
    Need {
        what: "chromium",
        command: "apt-get install chromium",
        lacks: node::lacks_chromium,
        bring: |workspace| apt_install(workspace, "chromium"),
    },
    Need {
        what: "the Python environment of the oracles, target/oracles-venv",
        command: INSTALL,
        lacks: lacks_oracles_venv,
        bring: make_oracles_venv,
    },
];

/// Looks for everything needed and, with `--install`, brings what is missing.
pub fn run(workspace: &Workspace) -> Result<Counts, Failure> {
    let mut missing = Vec::new();
    for need in NEEDS {
        match (need.lacks)(workspace)? {
            None => println!("found: {}", need.what),
            Some(reason) if workspace.options.install => bring(workspace, need, &reason)?,
            Some(reason) => {
                missing.push(format!("{} ({reason}): `{}`", need.what, need.command));
            }
        }
    }
    if missing.is_empty() {
        return Ok(Counts::default());
    }
    Err(Failure::missing(format!(
        "missing on this machine:\n  {}",
        missing.join("\n  ")
    ))
    .with_hint(format!("`{INSTALL}` brings all of it")))
}

/// The oracles' environment is there and as the requirement files ask.
pub fn require_oracles_venv(workspace: &Workspace) -> Result<(), Failure> {
    match lacks_oracles_venv(workspace)? {
        None => Ok(()),
        Some(reason) => Err(Failure::missing(format!(
            "the Python environment of the oracles: {reason}"
        ))
        .with_hint(format!("`{INSTALL}` makes it"))),
    }
}

/// Brings one thing and looks again whether it is there.
fn bring(workspace: &Workspace, need: &Need, reason: &str) -> Result<(), Failure> {
    println!("missing: {} ({reason})", need.what);
    (need.bring)(workspace).map_err(|failure| {
        Failure::missing(format!("{} cannot be brought: {failure}", need.what))
    })?;
    match (need.lacks)(workspace)? {
        None => Ok(()),
        Some(reason) => Err(Failure::missing(format!(
            "{} is still missing after `{}`: {reason}",
            need.what, need.command
        ))),
    }
}

fn lacks_program(workspace: &Workspace, name: &str, words: &[&str]) -> Option<String> {
    lacks_command(program(name, &workspace.root).args(words))
}

fn lacks_cargo(workspace: &Workspace, words: &[&str]) -> Option<String> {
    lacks_command(cargo(&workspace.root).args(words))
}

fn lacks_command(command: &mut Command) -> Option<String> {
    (!succeeds(command)).then(|| format!("`{}` does not succeed", shown(command)))
}

/// Python is there and new enough.
fn lacks_python(workspace: &Workspace) -> Result<Option<String>, Failure> {
    if let Some(reason) = lacks_program(workspace, "python3", &["--version"]) {
        return Ok(Some(reason));
    }
    let version = run_captured(program("python3", &workspace.root).arg("--version"))?;
    let (major, minor) = PYTHON_MIN;
    Ok(match python_version(&version) {
        Some(found) if found >= PYTHON_MIN => None,
        _ => Some(format!(
            "`python3` is {}, older than {major}.{minor}",
            version.trim()
        )),
    })
}

/// Reads `Python 3.11.2` as (3, 11).
fn python_version(text: &str) -> Option<(u32, u32)> {
    let mut numbers = text.trim().strip_prefix("Python ")?.split('.');
    Some((numbers.next()?.parse().ok()?, numbers.next()?.parse().ok()?))
}

/// Installs a Debian package, as root or through sudo without asking.
fn apt_install(workspace: &Workspace, package: &str) -> Result<(), Failure> {
    let is_root = run_captured(program("id", &workspace.root).arg("-u"))?.trim() == "0";
    let has_sudo = succeeds(program("sudo", &workspace.root).args(["-n", "true"]));
    if !is_root && !has_sudo {
        return Err(Failure::missing(format!(
            "this user is not root and cannot use sudo; have `apt-get install {package}` run by one who can"
        )));
    }
    let apt_get = || {
        if is_root {
            program("apt-get", &workspace.root)
        } else {
            let mut command = program("sudo", &workspace.root);
            command.args(["-n", "apt-get"]);
            command
        }
    };
    run_command(apt_get().args(["update", "-qq"]))?;
    let words = ["install", "--yes", "--no-install-recommends", package];
    run_command(
        apt_get()
            .args(words)
            .env("DEBIAN_FRONTEND", "noninteractive"),
    )
}

fn rustup_add(workspace: &Workspace, component: &str) -> Result<(), Failure> {
    run_command(program("rustup", &workspace.root).args(["component", "add", component]))
}

/// What the environment holds, kept in it: the text of the requirement files it was made
/// from. Written last, so an environment half made is made again.
fn stamp_file(workspace: &Workspace) -> PathBuf {
    workspace.oracles_venv().join("made-from.txt")
}

/// What the stamp must say now.
fn stamp(workspace: &Workspace) -> Result<String, Failure> {
    let with_deps = workspace.read(REQUIREMENTS)?;
    let no_deps = workspace.read(REQUIREMENTS_NO_DEPS)?;
    Ok(format!(
        "# {REQUIREMENTS}\n{with_deps}\n# {REQUIREMENTS_NO_DEPS}\n{no_deps}"
    ))
}

/// The environment is there, made from the requirement files as they are, and its Python
/// still runs (the one it was made with may have been removed since).
fn lacks_oracles_venv(workspace: &Workspace) -> Result<Option<String>, Failure> {
    let wanted = stamp(workspace)?;
    let Ok(found) = std::fs::read_to_string(stamp_file(workspace)) else {
        return Ok(Some("not made yet, or only in part".to_owned()));
    };
    if found != wanted {
        return Ok(Some(
            "the requirement files have changed since it was made".to_owned(),
        ));
    }
    let mut import = program(workspace.oracles_python(), &workspace.root);
    let works = succeeds(import.args(["-c", "import pytest"]));
    Ok((!works).then(|| "its Python cannot import pytest".to_owned()))
}

/// Makes the environment anew.
fn make_oracles_venv(workspace: &Workspace) -> Result<(), Failure> {
    let folder = workspace.oracles_venv();
    if folder.exists() {
        std::fs::remove_dir_all(&folder)
            .map_err(|error| Failure::missing(format!("{}: {error}", folder.display())))?;
    }
    let wanted = stamp(workspace)?;
    run_command(
        program("python3", &workspace.root)
            .args(["-m", "venv"])
            .arg(&folder),
    )?;
    let pip = |words: &[&str]| {
        let mut command = program(workspace.oracles_python(), &workspace.root);
        command
            .args(["-m", "pip", "install", "--quiet", "--no-input"])
            .args(words);
        run_command(command.arg("--disable-pip-version-check"))
    };
    pip(&["-r", REQUIREMENTS])?;
    pip(&["--no-deps", "-r", REQUIREMENTS_NO_DEPS])?;
    std::fs::write(stamp_file(workspace), wanted)
        .map_err(|error| Failure::missing(format!("{}: {error}", stamp_file(workspace).display())))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn python_versions_compare_as_numbers() {
        assert_eq!(python_version("Python 3.11.2\n"), Some((3, 11)));
        assert_eq!(python_version("Python 3.12.0rc1"), Some((3, 12)));
        assert!(python_version("Python 3.9.18").unwrap() < PYTHON_MIN);
        assert!(python_version("Python 3.100.1").unwrap() > PYTHON_MIN);
        assert_eq!(python_version("command not found"), None);
    }

    #[test]
    fn every_need_says_how_to_bring_it() {
        assert!(
            NEEDS
                .iter()
                .all(|need| !need.what.is_empty() && need.command.contains(' '))
        );
    }
}
