//! The walls of the house: dependencies run one way.
//!
//! A parser reads every Rust file of the workspace. Inside `calotte` no module reads one
//! that ARCHITECTURE.md's table lists after it; in every crate no sibling modules read one
//! another in a circle, unit tests included. Strings that a person reads keep to the
//! words of docs/words.md.

mod circles;
mod edges;
mod examples;
mod family_names;
mod names;
mod order;
mod packages;
mod strings;
mod tree;
mod words;

use tree::Tree;

fn fail(texts: &[String]) {
    assert!(texts.is_empty(), "\n{}\n", texts.join("\n"));
}

/// No path of `calotte` leads to a module that the table lists after its own.
#[test]
fn calotte_reads_downward_only() {
    let architecture = std::fs::read_to_string(packages::root().join("ARCHITECTURE.md")).unwrap();
    let order = order::read(&architecture).unwrap();
    let tree = Tree::read(&packages::root().join("crates/calotte/src/lib.rs")).unwrap();
    let mut texts = order::differences(&tree, &order);
    texts.extend(order::upward(&tree, &edges::edges(&tree), &order));
    fail(&texts);
}

/// No sibling modules read one another in a circle, in any crate, test or program.
#[test]
fn no_siblings_read_one_another() {
    let mut texts = Vec::new();
    for root in packages::roots() {
        let tree = Tree::read(&root).unwrap();
        let mut found = circles::circles(&tree, &edges::edges(&tree));
        // At the root of calotte the table decides, which may list a part of a module apart.
        if root.ends_with("crates/calotte/src/lib.rs") {
            found.retain(|text| !text.contains(" modules of the root "));
        }
        texts.extend(found);
    }
    texts.sort();
    texts.dedup();
    fail(&texts);
}

/// No string of the program names a family outside its folder, the keys and the words.
#[test]
fn families_are_named_in_their_place() {
    fail(&family_names::found());
}

/// Nothing that a person reads holds a wording that docs/words.md replaces.
#[test]
fn words_are_those_of_the_list() {
    fail(&words::found());
}

/// The tests above see every Rust file there is.
#[test]
fn every_file_is_read() {
    let mut read: Vec<_> = packages::roots()
        .iter()
        .flat_map(|root| Tree::read(root).unwrap().modules)
        .map(|module| std::fs::canonicalize(module.file).unwrap())
        .collect();
    read.sort();
    let left: Vec<String> = packages::files()
        .into_iter()
        .filter(|file| read.binary_search(file).is_err())
        .map(|file| format!("{}: no root leads to this file", file.display()))
        .collect();
    fail(&left);
}
