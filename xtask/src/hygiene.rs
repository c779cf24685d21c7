//! Step `hygiene`: nothing in the files of the project ties them to one machine or one
//! package host, the README carries its cautions, and source files stay readable.

use crate::counts::Counts;
use crate::failure::Failure;
use crate::workspace::Workspace;

/// Files the project is not complete without.
const REQUIRED_FILES: &[&str] = &[
    "ARCHITECTURE.md",
    "CHANGELOG.md",
    "Cargo.lock",
    "LICENSE-APACHE",
    "LICENSE-MIT",
    "README.md",
];

/// Folders at the root of a file system that belong to one machine. The slash is put
/// before them at run time: written here, this file would fail its own check.
const MACHINE_FOLDERS: &[&str] = &["home", "opt", "root", "tmp", "usr/local", "work"];

/// Package hosts, in two parts for the same reason.
const PACKAGE_HOSTS: &[(&str, &str)] = &[
    ("crates", "io"),
    ("pypi", "org"),
    ("pythonhosted", "org"),
    ("npmjs", "org"),
    ("npmjs", "com"),
    ("yarnpkg", "com"),
    ("unpkg", "com"),
    ("jsdelivr", "net"),
    ("anaconda", "org"),
    ("deb.debian", "org"),
    ("static.rust-lang", "org"),
    ("proxy.golang", "org"),
];

/// What the README must say to people whose work touches other people: that this is an
/// aid, which standards matter, and what a holder must not do.
const CAUTIONS: &[&str] = &[
    "Design aid. Local codes and licensed practice come first.",
    "risk management",
    "not a replacement",
    "ISO 14971",
    "IEC 60601-1",
    "IEC 80601-2-77",
    "IEC 62366-1",
    "V&V 40",
    "ISO 13854",
    "fingers",
    "trap and crush",
    "release without power",
    "contact force",
    "decided by the responsible person",
    "ethical and regulatory approval",
    "Not assessed",
];

/// Source files longer than this get a warning.
const LINES_MAX: usize = 700;

/// Checks every file of the project.
pub fn run(workspace: &Workspace) -> Result<Counts, Failure> {
    let files = workspace.files()?;
    if files.is_empty() {
        return Err(Failure::check("git lists no file, so nothing was checked"));
    }
    let mut problems = missing_files(&files);
    for file in &files {
        let bytes = std::fs::read(workspace.root.join(file))
            .map_err(|error| Failure::check(format!("{file} cannot be read: {error}")))?;
        let text = String::from_utf8_lossy(&bytes);
        problems.extend(place_problems(file, &text));
        if let Some(warning) = length_warning(file, &text) {
            println!("warning: {warning}");
        }
    }
    if files.iter().any(|file| file == "README.md") {
        problems.extend(missing_cautions(&workspace.read("README.md")?));
    }
    if problems.is_empty() {
        println!("{} files", files.len());
        return Ok(Counts::default());
    }
    Err(Failure::check(problems.join("\n  ")))
}

fn missing_files(files: &[String]) -> Vec<String> {
    let missing = REQUIRED_FILES
        .iter()
        .filter(|name| !files.iter().any(|file| file == *name));
    missing.map(|name| format!("{name} is missing")).collect()
}

/// Each line that names a folder of one machine or a package host.
fn place_problems(file: &str, text: &str) -> Vec<String> {
    let mut problems = Vec::new();
    for (index, line) in text.lines().enumerate() {
        if file.ends_with("Cargo.lock") && line == index_line() {
            continue;
        }
        let found = [
            machine_path(line).map(|path| format!("the machine path `{path}`")),
            package_host(line).map(|host| format!("the package host `{host}`")),
            is_other_source(file, line).then(|| "another package source".to_owned()),
        ];
        for found in found.into_iter().flatten() {
            problems.push(format!("{file}, line {}: holds {found}", index + 1));
        }
    }
    problems
}

/// The line by which Cargo.lock names the public index, whatever host it came from.
fn index_line() -> String {
    let (name, domain) = PACKAGE_HOSTS[0];
    format!("source = \"registry+https://github.com/rust-lang/{name}.{domain}-index\"")
}

/// A source that is not the public index: in a lock file a mirror or a git address (the
/// lock file of the page names no addresses at all), in a setting of npm another registry.
fn is_other_source(file: &str, line: &str) -> bool {
    let line = line.trim();
    let cargo = file.ends_with("Cargo.lock") && line.starts_with("source = ");
    let npm = file.ends_with("package-lock.json") && line.starts_with("\"resolved\":");
    let setting = file.ends_with(".npmrc")
        && line
            .split('=')
            .next()
            .is_some_and(|key| key.trim() == "registry" || key.trim().ends_with(":registry"));
    cargo || npm || setting
}

/// The first machine path in a line. A folder of that name further down a path does not
/// count, nor does a word that only begins like one.
fn machine_path(line: &str) -> Option<String> {
    let in_name = |c: char| c.is_alphanumeric() || matches!(c, '_' | '-');
    MACHINE_FOLDERS
        .iter()
        .map(|folder| format!("/{folder}"))
        .find(|path| {
            line.match_indices(path.as_str()).any(|(start, _)| {
                let before = line[..start].chars().next_back();
                let after = line[start + path.len()..].chars().next();
                !before.is_some_and(|c| in_name(c) || matches!(c, '.' | '/' | '~' | '}' | ')'))
                    && !after.is_some_and(in_name)
            })
        })
}

fn package_host(line: &str) -> Option<String> {
    let line = line.to_lowercase();
    PACKAGE_HOSTS
        .iter()
        .map(|(name, domain)| format!("{name}.{domain}"))
        .find(|host| line.contains(host.as_str()))
}

/// The cautions that the README leaves out, wherever its lines break.
fn missing_cautions(readme: &str) -> Vec<String> {
    let words: Vec<&str> = readme.split_whitespace().collect();
    let text = words.join(" ").to_lowercase();
    CAUTIONS
        .iter()
        .filter(|caution| !text.contains(&caution.to_lowercase()))
        .map(|caution| format!("README.md: its cautions do not say \"{caution}\""))
        .collect()
}

/// A source file that is hard to read for its length.
fn length_warning(file: &str, text: &str) -> Option<String> {
    let is_source = [".rs", ".ts", ".svelte", ".css"]
        .iter()
        .any(|ending| file.ends_with(ending));
    let lines = text.lines().count();
    (is_source && file.starts_with("crates/") && lines > LINES_MAX)
        .then(|| format!("{file} has {lines} lines, more than {LINES_MAX}"))
}

#[cfg(test)]
mod tests {
    use super::*;

    /// A path at the root of a file system, built so that this file holds none.
    fn at_root(path: &str) -> String {
        format!("/{path}")
    }

    #[test]
    fn paths_of_a_machine_are_found() {
        for path in [
            "work/main",
            "root/.cargo",
            "home/someone",
            "usr/local/bin",
            "tmp/x",
        ] {
            for line in [at_root(path), format!("let p = \"{}\";", at_root(path))] {
                assert!(machine_path(&line).is_some(), "{line}");
            }
        }
        assert!(machine_path(&format!("in {}.", at_root("root"))).is_some());
    }

    #[test]
    fn words_that_only_look_like_such_paths_are_not() {
        let longer = format!("a {} and {}", at_root("workshop"), at_root("homeward"));
        for line in [
            "virtual/work",
            "#!/usr/bin/env bash",
            &longer,
            "https://example.org/home/page",
            "../work/notes",
            "N·m/rad",
        ] {
            assert_eq!(machine_path(line), None, "{line}");
        }
    }

    #[test]
    fn package_hosts_are_found_but_for_the_line_of_the_index() {
        let index = index_line();
        assert!(place_problems("Cargo.lock", &index).is_empty());
        assert_eq!(place_problems("README.md", &index).len(), 1);
        let both = format!(
            "{} from {}.{}",
            at_root("opt"),
            PACKAGE_HOSTS[1].0,
            PACKAGE_HOSTS[1].1
        );
        assert_eq!(place_problems("a.md", &both).len(), 2);
        let mirror = "source = \"sparse+https://mirror.example/index\"";
        assert_eq!(place_problems("Cargo.lock", mirror).len(), 1);
        let resolved = "  \"resolved\": \"https://mirror.example/a.tgz\",";
        assert_eq!(place_problems("web/package-lock.json", resolved).len(), 1);
        let local = "  \"resolved\": \"file:../other\",";
        assert_eq!(place_problems("web/package-lock.json", local).len(), 1);
        for setting in ["registry = https://mirror.example", "@a:registry=x"] {
            assert_eq!(place_problems("web/.npmrc", setting).len(), 1);
        }
        assert!(place_problems("web/.npmrc", "omit-lockfile-registry-resolved=true").is_empty());
        for (name, domain) in PACKAGE_HOSTS {
            let problems = place_problems("a.md", &format!("x\nsee https://{name}.{domain}/y\n"));
            assert_eq!(problems.len(), 1);
            assert!(problems[0].contains("a.md, line 2"));
        }
    }

    #[test]
    fn every_caution_is_looked_for_across_line_breaks() {
        let all = CAUTIONS.join("\n").replace("Design aid", "A design\naid");
        assert_eq!(missing_cautions(&all), Vec::<String>::new());
        for caution in CAUTIONS {
            let without: Vec<&str> = CAUTIONS.iter().copied().filter(|c| c != caution).collect();
            assert_eq!(missing_cautions(&without.join("\n")).len(), 1, "{caution}");
        }
    }

    #[test]
    fn only_long_sources_of_the_crates_are_warned_about() {
        let long = "x\n".repeat(LINES_MAX + 1);
        assert!(length_warning("crates/a/src/lib.rs", &long).is_some());
        assert!(length_warning("crates/a/src/lib.rs", &long[2..]).is_none());
        assert!(length_warning("crates/a/tests/data.csv", &long).is_none());
    }

    #[test]
    fn files_that_must_be_there_are_named() {
        let files: Vec<String> = REQUIRED_FILES[1..]
            .iter()
            .map(|&name| name.to_owned())
            .collect();
        assert_eq!(
            missing_files(&files),
            vec![format!("{} is missing", REQUIRED_FILES[0])]
        );
    }
}
