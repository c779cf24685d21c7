//! Step `licences`: every dependency may be handed out under the licences the project
//! accepts, listed in `licences.txt`.

use std::collections::{BTreeMap, BTreeSet};

use serde_json::Value;
use spdx::{Expression, ParseMode};

use crate::command::{cargo, run_captured};
use crate::counts::Counts;
use crate::failure::Failure;
use crate::npm_licences::{self, NpmPackage};
use crate::workspace::Workspace;

/// The file with the accepted licences.
const LIST: &str = "licences.txt";
/// The package whose program is handed out.
const PROGRAM_PACKAGE: &str = "calotte-cli";

/// How packages write their licence: by the SPDX specification, or with cargo's former slash
/// for `OR`. A name that SPDX does not know is refused.
const AS_WRITTEN: ParseMode = ParseMode {
    allow_slash_as_or_operator: true,
    ..ParseMode::STRICT
};

/// Checks the licence of every dependency of every package of the workspace.
pub fn run(workspace: &Workspace) -> Result<Counts, Failure> {
    let accepted = AcceptedLicences::parse(&workspace.read(LIST)?)
        .map_err(|problem| Failure::check(format!("{LIST}: {problem}")))?;
    let mut command = cargo(&workspace.root);
    command.args(["metadata", "--offline", "--format-version", "1", "--locked"]);
    let metadata: Value = serde_json::from_str(&run_captured(&mut command).map_err(|failure| {
        failure.with_hint("`cargo fetch --locked` brings the crates that are not here yet")
    })?)
    .map_err(|error| Failure::check(format!("cargo metadata is not JSON: {error}")))?;

    let in_program = packages_in_program(&metadata)?;
    let dependencies = dependencies(&metadata);
    if dependencies.is_empty() {
        return Err(Failure::check(
            "cargo metadata lists no dependency, so nothing was checked",
        ));
    }
    let of_page = page_packages(workspace)?;
    let problems: Vec<String> = dependencies
        .iter()
        .filter_map(|package| problem(package, in_program.contains(id(package)), &accepted))
        .chain(of_page.iter().filter_map(|package| {
            let as_cargo = serde_json::json!({
                "name": package.name,
                "version": package.version,
                "license": package.licence,
            });
            problem(&as_cargo, package.in_program, &accepted)
        }))
        .collect();
    if !problems.is_empty() {
        return Err(Failure::check(problems.join("\n  ")).with_hint(format!(
            "take another package, or add the licence to {LIST} if the project can accept it"
        )));
    }
    let shipped = dependencies
        .iter()
        .filter(|package| in_program.contains(id(package)))
        .count();
    println!(
        "{} dependencies, {shipped} of them in the program; {}",
        dependencies.len(),
        tally(&dependencies)
    );
    let drawn = of_page.iter().filter(|package| package.in_program).count();
    println!(
        "{} packages of the page, {drawn} of them in it",
        of_page.len()
    );
    Ok(Counts::default())
}

/// The packages of the page, from its lock file.
fn page_packages(workspace: &Workspace) -> Result<Vec<NpmPackage>, Failure> {
    const LOCK: &str = "crates/calotte-page/web/package-lock.json";
    let lock: Value = serde_json::from_str(&workspace.read(LOCK)?)
        .map_err(|error| Failure::check(format!("{LOCK} is not JSON: {error}")))?;
    npm_licences::packages(&lock).map_err(|problem| Failure::check(format!("{LOCK}: {problem}")))
}

/// Licence identifiers by where a dependency may carry them.
#[derive(Debug, Default)]
struct AcceptedLicences {
    anywhere: BTreeSet<String>,
    outside_program: BTreeSet<String>,
}

impl AcceptedLicences {
    /// Reads `licences.txt`: headings in brackets, one identifier a line, `#` comments.
    fn parse(text: &str) -> Result<Self, String> {
        let mut accepted = Self::default();
        let mut heading = "";
        for (index, line) in text.lines().enumerate() {
            let line = line.split('#').next().unwrap_or_default().trim();
            let list = match heading {
                "[anywhere]" => Some(&mut accepted.anywhere),
                "[tests and build only]" => Some(&mut accepted.outside_program),
                _ => None,
            };
            match (line, list) {
                ("", _) => {}
                ("[anywhere]" | "[tests and build only]", _) => heading = line,
                (name, Some(list)) => {
                    list.insert(name.to_owned());
                }
                (name, None) => {
                    return Err(format!(
                        "line {}: `{name}` does not stand below [anywhere] or [tests and build only]",
                        index + 1
                    ));
                }
            }
        }
        Ok(accepted)
    }

    fn accepts(&self, licence: &str, in_program: bool) -> bool {
        self.anywhere.contains(licence) || (!in_program && self.outside_program.contains(licence))
    }
}

/// What is wrong with a package's licence, if anything is.
fn problem(package: &Value, in_program: bool, accepted: &AcceptedLicences) -> Option<String> {
    let name = format!("{} {}", text(package, "name"), text(package, "version"));
    let Some(licence) = package["license"].as_str() else {
        return Some(format!("{name} states no licence expression"));
    };
    match Expression::parse_mode(licence, AS_WRITTEN) {
        Err(error) => Some(format!(
            "{name}: licence `{licence}` cannot be read: {}",
            error.reason
        )),
        Ok(expression) => {
            let place = if in_program {
                "in the program"
            } else {
                "in tests or the build"
            };
            // An exception is part of its licence: the list names both together.
            let holds =
                expression.evaluate(|licence| accepted.accepts(&licence.to_string(), in_program));
            (!holds).then(|| format!("{name}: licence `{licence}` is not accepted {place}"))
        }
    }
}

/// The packages that are not the project's own: those with a source.
fn dependencies(metadata: &Value) -> Vec<&Value> {
    array(&metadata["packages"])
        .iter()
        .filter(|package| !package["source"].is_null())
        .collect()
}

/// Identifiers of the packages compiled into the program: what its package reaches by
/// normal dependencies. Those for other systems and procedural macros are counted in,
/// to be on the safe side.
fn packages_in_program(metadata: &Value) -> Result<BTreeSet<&str>, Failure> {
    let start = array(&metadata["packages"])
        .iter()
        .find(|package| package["source"].is_null() && text(package, "name") == PROGRAM_PACKAGE)
        .ok_or_else(|| Failure::check(format!("there is no package {PROGRAM_PACKAGE}")))?;
    let nodes: BTreeMap<&str, &Value> = array(&metadata["resolve"]["nodes"])
        .iter()
        .map(|node| (id(node), node))
        .collect();
    let mut reached = BTreeSet::new();
    let mut waiting = vec![id(start)];
    while let Some(package) = waiting.pop() {
        if reached.insert(package)
            && let Some(node) = nodes.get(package)
        {
            let normal = array(&node["deps"])
                .iter()
                .filter(|dependency| is_normal(dependency));
            waiting.extend(normal.map(|dependency| text(dependency, "pkg")));
        }
    }
    Ok(reached)
}

/// Whether a dependency is needed by the code itself, not only by its tests or build.
fn is_normal(dependency: &Value) -> bool {
    array(&dependency["dep_kinds"])
        .iter()
        .any(|kind| kind["kind"].is_null())
}

/// How often each licence expression occurs, most frequent first.
fn tally(dependencies: &[&Value]) -> String {
    let mut numbers: BTreeMap<&str, usize> = BTreeMap::new();
    for package in dependencies {
        *numbers.entry(text(package, "license")).or_default() += 1;
    }
    let mut numbers: Vec<(&str, usize)> = numbers.into_iter().collect();
    numbers.sort_by_key(|&(licence, number)| (std::cmp::Reverse(number), licence));
    let lines: Vec<String> = numbers
        .iter()
        .map(|(licence, number)| format!("{number} × {licence}"))
        .collect();
    lines.join(", ")
}

fn id(value: &Value) -> &str {
    text(value, "id")
}

fn text<'a>(value: &'a Value, key: &str) -> &'a str {
    value[key].as_str().unwrap_or_default()
}

fn array(value: &Value) -> &[Value] {
    value.as_array().map(Vec::as_slice).unwrap_or_default()
}

#[cfg(test)]
mod tests {
    use serde_json::json;

    use super::*;

    fn accepted() -> AcceptedLicences {
        AcceptedLicences::parse("# c\n[anywhere]\nMIT # yes\n\n[tests and build only]\nMPL-2.0\n")
            .unwrap()
    }

    #[test]
    fn the_list_is_read_by_heading() {
        let accepted = accepted();
        assert!(accepted.accepts("MIT", true) && accepted.accepts("MIT", false));
        assert!(!accepted.accepts("MPL-2.0", true) && accepted.accepts("MPL-2.0", false));
        assert!(
            AcceptedLicences::parse("MIT")
                .unwrap_err()
                .contains("line 1")
        );
    }

    #[test]
    fn a_package_is_judged_by_its_expression_and_place() {
        let package = |licence: Value| json!({"name": "a", "version": "1.0.0", "license": licence});
        let judged =
            |licence: Value, in_program| problem(&package(licence), in_program, &accepted());
        assert_eq!(judged(json!("MIT OR GPL-3.0-only"), true), None);
        assert_eq!(judged(json!("MPL-2.0"), false), None);
        assert!(
            judged(json!("MPL-2.0"), true)
                .unwrap()
                .contains("not accepted in the program")
        );
        assert!(
            judged(json!("MIT AND GPL-3.0-only"), false)
                .unwrap()
                .contains("a 1.0.0")
        );
        assert!(
            judged(json!("see file"), false)
                .unwrap()
                .contains("cannot be read")
        );
        assert!(
            judged(Value::Null, false)
                .unwrap()
                .contains("states no licence")
        );
    }

    /// The forms that cargo and npm packages carry: old and new, with choices and exceptions.
    #[test]
    fn expressions_are_judged_as_packages_write_them() {
        let accepts = |licence: &str, list: &str| {
            let package = json!({"name": "a", "version": "1.0.0", "license": licence});
            let accepted = AcceptedLicences::parse(&format!("[anywhere]\n{list}\n")).unwrap();
            problem(&package, true, &accepted).is_none()
        };
        for text in [
            "MIT OR Apache-2.0",
            "MIT/Apache-2.0",
            "MIT / Apache-2.0",
            "(MIT OR CC0-1.0)",
            "GPL-3.0-only OR MIT",
            "MIT OR Apache-2.0 AND GPL-3.0-only",
            "Apache-2.0 WITH LLVM-exception OR MIT",
        ] {
            assert!(accepts(text, "MIT"), "{text}");
            assert!(!accepts(text, "ISC"), "{text}");
        }
        let both = "(MIT OR Apache-2.0) AND Unicode-3.0";
        assert!(accepts(both, "MIT\nUnicode-3.0"));
        assert!(!accepts(both, "MIT\nApache-2.0") && !accepts(both, "Unicode-3.0"));
        let exception = "Apache-2.0 WITH LLVM-exception";
        assert!(accepts(exception, exception) && !accepts(exception, "Apache-2.0"));
        for text in ["", "MIT OR", "(MIT", "MIT)", "MIT Apache-2.0", "Mine-1.0"] {
            assert!(!accepts(text, "MIT\nApache-2.0\nMine-1.0"), "{text}");
        }
    }

    #[test]
    fn the_program_holds_what_normal_dependencies_reach() {
        let dependency = |to: &str, kind: Value| json!({"pkg": to, "dep_kinds": [{"kind": kind}]});
        let metadata = json!({
            "packages": [{"name": PROGRAM_PACKAGE, "id": "program", "source": null}],
            "resolve": {"nodes": [
                {"id": "program", "deps": [dependency("a", Value::Null), dependency("t", json!("dev"))]},
                {"id": "a", "deps": [dependency("b", Value::Null), dependency("c", json!("build"))]},
                {"id": "b", "deps": [dependency("a", Value::Null)]},
                {"id": "t", "deps": [dependency("u", Value::Null)]},
            ]},
        });
        let reached = packages_in_program(&metadata).unwrap();
        assert_eq!(
            reached.into_iter().collect::<Vec<_>>(),
            ["a", "b", "program"]
        );
    }
}
