//! The licences of the page's npm packages, as its lock file states them.

use std::collections::BTreeSet;

use serde_json::{Map, Value};

/// Dependencies of the page that build it and are not part of it. They stand among the
/// `dependencies` because building the program needs them where nothing is tested.
const BUILD_TOOLS: &[&str] = &["vite", "@sveltejs/vite-plugin-svelte"];

/// One package of the lock file.
#[derive(Debug, PartialEq)]
pub struct NpmPackage {
    /// Name, with `npm` before it.
    pub name: String,
    /// Version.
    pub version: Option<String>,
    /// Licence expression; None where the lock file states none.
    pub licence: Option<String>,
    /// Whether the page is made of it, so that it is handed out in the program.
    pub in_program: bool,
}

/// Every package of a lock file; the error says why it cannot be judged.
pub fn packages(lock: &Value) -> Result<Vec<NpmPackage>, String> {
    let packages = lock["packages"].as_object().ok_or("has no `packages`")?;
    let shipped = shipped(packages)?;
    if shipped.is_empty() {
        return Err("names no package that the page is made of, so nothing was checked".to_owned());
    }
    let text = |package: &Value, key: &str| package[key].as_str().map(str::to_owned);
    let listed = packages.iter().filter(|(at, _)| !at.is_empty());
    Ok(listed
        .map(|(at, package)| NpmPackage {
            name: format!("npm {}", at.rsplit("node_modules/").next().unwrap_or(at)),
            version: text(package, "version"),
            licence: text(package, "license"),
            in_program: shipped.contains(at.as_str()),
        })
        .collect())
}

/// The places of the packages that the page is made of: what its dependencies reach,
/// those that build it left aside.
fn shipped(packages: &Map<String, Value>) -> Result<BTreeSet<&str>, String> {
    let root = packages.get("").ok_or("has no entry for the page itself")?;
    let mut reached = BTreeSet::new();
    let mut waiting: Vec<(&str, &str)> = names(&root["dependencies"])
        .filter(|name| !BUILD_TOOLS.contains(name))
        .map(|name| ("", name))
        .collect();
    while let Some((from, name)) = waiting.pop() {
        let (at, package) =
            resolve(packages, from, name).ok_or_else(|| format!("`{name}` is not in it"))?;
        if reached.insert(at) {
            waiting.extend(names(&package["dependencies"]).map(|name| (at, name)));
        }
    }
    Ok(reached)
}

/// The package that a name means for another one: the nearest `node_modules`, outwards.
fn resolve<'a>(
    packages: &'a Map<String, Value>,
    from: &str,
    name: &str,
) -> Option<(&'a str, &'a Value)> {
    let mut folder = from;
    loop {
        let inside = if folder.is_empty() {
            format!("node_modules/{name}")
        } else {
            format!("{folder}/node_modules/{name}")
        };
        if let Some((at, package)) = packages.get_key_value(&inside) {
            return Some((at, package));
        }
        if folder.is_empty() {
            return None;
        }
        folder = folder
            .rfind("/node_modules/")
            .map_or("", |at| &folder[..at]);
    }
}

fn names(dependencies: &Value) -> impl Iterator<Item = &str> {
    dependencies
        .as_object()
        .into_iter()
        .flatten()
        .map(|(name, _)| name.as_str())
}

#[cfg(test)]
mod tests {
    use serde_json::json;

    use super::*;

    fn lock(more: Value) -> Value {
        let mut packages = json!({
            "": {"dependencies": {"drawn": "1", "vite": "1"}, "devDependencies": {"tested": "1"}},
            "node_modules/drawn": {"version": "1.0.0", "license": "MIT", "dependencies": {"inner": "1"}},
            "node_modules/drawn/node_modules/inner": {"version": "1.0.0", "license": "MIT"},
            "node_modules/inner": {"version": "2.0.0", "license": "MPL-2.0"},
            "node_modules/vite": {"version": "1.0.0", "license": "MIT", "dependencies": {"inner": "2"}},
            "node_modules/tested": {"version": "1.0.0", "license": "MPL-2.0"},
        });
        for (at, package) in more.as_object().unwrap() {
            packages[at] = package.clone();
        }
        json!({ "packages": packages })
    }

    #[test]
    fn what_ships_is_told_from_what_builds_and_tests() {
        let packages = packages(&lock(json!({}))).unwrap();
        let shipped: Vec<(&str, Option<&str>)> = packages
            .iter()
            .filter(|package| package.in_program)
            .map(|package| (package.name.as_str(), package.version.as_deref()))
            .collect();
        assert_eq!(
            shipped,
            [("npm drawn", Some("1.0.0")), ("npm inner", Some("1.0.0"))]
        );
        let others: Vec<(&str, Option<&str>)> = packages
            .iter()
            .filter(|package| !package.in_program)
            .map(|package| (package.name.as_str(), package.licence.as_deref()))
            .collect();
        assert_eq!(
            others,
            [
                ("npm inner", Some("MPL-2.0")),
                ("npm tested", Some("MPL-2.0")),
                ("npm vite", Some("MIT")),
            ]
        );
    }

    #[test]
    fn a_licence_that_is_not_stated_is_none() {
        let bare = json!({"node_modules/drawn": {"version": "1.0.0"}});
        let found = packages(&lock(bare)).unwrap();
        assert!(
            found
                .iter()
                .any(|p| p.name == "npm drawn" && p.in_program && p.licence.is_none())
        );
    }

    #[test]
    fn a_lock_file_that_is_not_whole_is_an_error() {
        assert!(packages(&json!({})).is_err());
        let empty = json!({"packages": {"": {"dependencies": {"vite": "1"}}}});
        assert!(
            packages(&empty)
                .unwrap_err()
                .contains("nothing was checked")
        );
        let open = json!({"packages": {"": {"dependencies": {"gone": "1"}}}});
        assert!(packages(&open).unwrap_err().contains("`gone`"));
    }
}
