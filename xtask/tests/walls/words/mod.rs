//! Do all strings that a person reads keep to the list of words, docs/words.md?
//!
//! Held are: strings of the crates that speak, unit tests left out; documentation that
//! becomes help of the command line and descriptions of results; texts and attributes of
//! the page; README and everything below docs but records of benchmarks, which are not
//! written again; the remarks of the examples.

mod list;
#[cfg(test)]
mod tests;
mod web;

use std::path::{Path, PathBuf};

use list::Ban;

use super::tree::at;
use super::{packages, strings};

/// Crates whose documentation a person reads: help and descriptions are made from it.
const DOCUMENTED: [&str; 2] = ["crates/calotte-cli/src", "crates/calotte-document/src"];

/// Every wording that the list replaces, as text.
pub fn found() -> Vec<String> {
    let root = std::fs::canonicalize(packages::root()).expect("the workspace is there");
    let bans = list::read(&read(&root.join("docs/words.md"))).expect("docs/words.md is a list");
    let mut texts = Vec::new();
    let mut held = |file: &Path, strings: Vec<(usize, String)>| {
        let name = file.strip_prefix(&root).expect("a file of the workspace");
        texts.extend(against(&bans, name, &strings));
        strings.len()
    };
    let mut counts = [0; 4];
    for file in packages::files() {
        let name = file.strip_prefix(&root).expect("a file of the workspace");
        let speaks = (name.starts_with("crates") || name.starts_with("validation"))
            && name.components().any(|part| part.as_os_str() == "src");
        let stem = file
            .file_stem()
            .and_then(|stem| stem.to_str())
            .unwrap_or("");
        if speaks && stem != "tests" && !stem.ends_with("_tests") {
            let documented = DOCUMENTED.iter().any(|folder| name.starts_with(folder));
            counts[0] += held(&file, strings::of(name, &read(&file), documented));
        }
    }
    for file in below(&root.join("crates/calotte-page/web/src"), &["svelte", "ts"]) {
        let text = read(&file);
        let name = file.to_string_lossy();
        if name.ends_with(".svelte") {
            counts[1] += held(&file, web::of_component(&text));
        } else if !name.ends_with(".test.ts") {
            counts[1] += held(&file, web::of_script(&text));
        }
    }
    let mut documents = below(&root.join("docs"), &["md"]);
    documents.extend(below(&root.join("examples"), &["md"]));
    documents.push(root.join("README.md"));
    documents.retain(|file| {
        !file.starts_with(root.join("docs/benchmarks")) && !file.ends_with("docs/words.md")
    });
    for file in documents {
        counts[2] += held(&file, paragraphs(&read(&file)));
    }
    for file in below(&root.join("examples"), &["toml", "csv"]) {
        counts[3] += held(&file, remarks(&read(&file)));
    }
    assert!(
        counts
            .iter()
            .zip([3000, 1000, 500, 10])
            .all(|(count, least)| *count > least),
        "only {counts:?} strings of crates, page, documents and examples were found"
    );
    texts
}

/// The wordings of one file's strings that the list replaces.
fn against(bans: &[Ban], file: &Path, strings: &[(usize, String)]) -> Vec<String> {
    let mut texts = Vec::new();
    for (line, string) in strings {
        let words = list::words(string);
        for ban in bans {
            if let Some(phrase) = ban.found(&words) {
                texts.push(format!(
                    "{}: {:?} has \"{phrase}\"\n  What to do: write {} (docs/words.md).",
                    at(file, *line),
                    string.trim(),
                    ban.term
                ));
            }
        }
    }
    texts
}

/// The paragraphs of a text with their first lines; rows of tables and lines of code alone.
fn paragraphs(text: &str) -> Vec<(usize, String)> {
    let mut found: Vec<(usize, String)> = Vec::new();
    let mut open = false;
    for (index, line) in text.lines().enumerate() {
        let alone = line.trim().is_empty() || line.starts_with('|') || line.starts_with('#');
        match found.last_mut() {
            Some((_, last)) if open && !alone => {
                last.push(' ');
                last.push_str(line);
            }
            _ => found.push((index + 1, line.to_owned())),
        }
        open = !alone;
    }
    found.retain(|(_, text)| !text.trim().is_empty());
    found
}

/// The remarks behind `#`, neighbouring ones as one.
fn remarks(text: &str) -> Vec<(usize, String)> {
    let mut found: Vec<(usize, String)> = Vec::new();
    let mut open = false;
    for (index, line) in text.lines().enumerate() {
        let remark = line.split_once('#').map(|(_, remark)| remark);
        match (remark, found.last_mut()) {
            (Some(remark), Some((_, last))) if open && line.starts_with('#') => {
                last.push_str(remark)
            }
            (Some(remark), _) => found.push((index + 1, remark.to_owned())),
            (None, _) => {}
        }
        open = remark.is_some();
    }
    found
}

/// Files below a folder with one of the extensions.
fn below(folder: &Path, extensions: &[&str]) -> Vec<PathBuf> {
    let mut files = Vec::new();
    for entry in packages::entries(folder) {
        if entry.is_dir() {
            files.extend(below(&entry, extensions));
        } else if entry
            .extension()
            .is_some_and(|of| extensions.iter().any(|one| of == *one))
        {
            files.push(entry);
        }
    }
    files
}

fn read(file: &Path) -> String {
    std::fs::read_to_string(file).unwrap_or_else(|error| panic!("{}: {error}", file.display()))
}
