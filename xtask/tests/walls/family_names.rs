//! Names of families in strings.
//!
//! A name of a family outside `family`, the keys and the words is a match on the family
//! that the compiler does not see. Strings of unit tests, examples and checks may name
//! what they are about.

use std::path::Path;

use calotte::brief::FamilyName;

use super::tree::at;
use super::{packages, strings};

/// The names, their words joined by one blank.
fn names() -> [String; FamilyName::ALL.len()] {
    FamilyName::ALL.map(|family| family.name().replace('-', " "))
}

/// Folders and files that may name families, from the root of the workspace.
const MAY_NAME: [&str; 3] = [
    "crates/calotte/src/family/",
    "crates/calotte-format/src/keys/",
    "crates/calotte-format/src/words.rs",
];

/// Every string of the program's sources that names a family, as text.
pub fn found() -> Vec<String> {
    let root = std::fs::canonicalize(packages::root()).expect("the workspace is there");
    let mut texts = Vec::new();
    for file in packages::files() {
        let name = file.strip_prefix(&root).expect("a file of the workspace");
        let program =
            name.starts_with("crates") && name.components().any(|part| part.as_os_str() == "src");
        let for_tests = file.file_stem().is_some_and(|stem| stem == "tests");
        let may = MAY_NAME.iter().any(|place| name.starts_with(place));
        if program && !for_tests && !may {
            let text = std::fs::read_to_string(&file).expect("a file that was listed");
            texts.extend(in_text(name, &text));
        }
    }
    texts
}

/// The strings of one file that name a family.
pub fn in_text(file: &Path, text: &str) -> Vec<String> {
    let names = names();
    strings::of(file, text, false)
        .into_iter()
        .filter_map(|(line, string)| {
            let plain = string.to_lowercase().replace(['-', '_'], " ");
            let name = names.iter().find(|name| plain.contains(*name))?;
            Some(format!(
                "{}: {string:?} names a family, {name}\n  What to do: ask the family (`family.name()`, \
                 or a question it answers), or say it in the words.",
                at(file, line)
            ))
        })
        .collect()
}
