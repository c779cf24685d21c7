//! The reading itself, on small trees whose edges are known.

use std::path::Path;

use super::circles::circles;
use super::edges::edges;
use super::family_names;
use super::order;
use super::tree::Tree;

/// Writes files and reads the tree from `lib.rs`.
fn tree(files: &[(&str, &str)]) -> Tree {
    let folder = tempfile::tempdir().unwrap();
    for (name, text) in files {
        let file = folder.path().join(name);
        std::fs::create_dir_all(file.parent().unwrap_or(Path::new(""))).unwrap();
        std::fs::write(file, text).unwrap();
    }
    Tree::read(&folder.path().join("lib.rs")).unwrap()
}

/// Edges between modules as `from > to`, sorted.
fn read(files: &[(&str, &str)]) -> Vec<String> {
    let tree = tree(files);
    let name = |module: usize| tree.modules[module].path.join("::");
    let mut list: Vec<String> = edges(&tree)
        .iter()
        .filter(|edge| edge.from != edge.to)
        .map(|edge| format!("{} > {}", name(edge.from), name(edge.to)))
        .collect();
    list.sort();
    list.dedup();
    list
}

fn circles_of(files: &[(&str, &str)]) -> Vec<String> {
    let tree = tree(files);
    circles(&tree, &edges(&tree))
}

const LIB: (&str, &str) = ("lib.rs", "mod a; mod b;");
const B: (&str, &str) = ("b.rs", "pub struct B; pub fn make() -> B { B }");

#[test]
fn every_way_to_write_a_path_is_seen() {
    for text in [
        "use crate::b::B;",
        "use super::b::{self, B};",
        "use crate::{b as other}; fn f() { other::make(); }",
        "fn f() -> crate::b::B { loop {} }",
        "fn f() { super::b::make(); }",
        "fn f() { use crate::b::make; }",
        "fn f(x: u8) { println!(\"{:?}\", crate::b::make()); }",
        "#[derive(crate::b::B)] struct S;",
        "#[cfg(test)] mod tests { use super::super::b::B; }",
        "#[cfg(test)] mod tests { use super::*; fn f() { crate::b::make(); } }",
        "use crate::b::*; fn f() { make(); }",
        "mod c { pub use crate::b::B; }",
    ] {
        assert_eq!(read(&[LIB, B, ("a.rs", text)]), ["a > b"], "{text}");
    }
}

#[test]
fn what_is_no_path_of_this_crate_is_no_edge() {
    for text in [
        "use other::b::B;",
        "use ::b::B;",
        "fn f() { let b = 1; println!(\"{}\", b + 1); }",
        "/// [`B`](crate::b::B)\nfn f() {}",
        "fn f() -> &'static str { \"crate::b::B\" }",
    ] {
        assert!(read(&[LIB, B, ("a.rs", text)]).is_empty(), "{text}");
    }
}

/// A name shown by a folder is read from where it is defined, not from the folder.
#[test]
fn shown_names_are_looked_through() {
    let files = [
        ("lib.rs", "mod m;"),
        ("m/mod.rs", "mod a; mod b; pub use b::B;"),
        ("m/a.rs", "use super::B;"),
        ("m/b.rs", "pub struct B;"),
    ];
    assert_eq!(read(&files), ["m::a > m::b"]);
}

#[test]
fn two_files_that_read_one_another_are_a_circle() {
    let a = ("a.rs", "pub fn f() { crate::b::make(); }");
    let b = ("b.rs", "pub fn make() {} fn g() { super::a::f(); }");
    let texts = circles_of(&[LIB, a, b]);
    assert_eq!(texts.len(), 1);
    for part in [
        "2 modules of the root",
        "a.rs:1: `a` reads `b`",
        "b.rs:1: `b` reads `a`",
    ] {
        assert!(texts[0].contains(part), "{part} in {}", texts[0]);
    }
    assert!(circles_of(&[LIB, a, B]).is_empty());
}

/// A folder's own text is taken item by item.
#[test]
fn a_child_may_read_what_does_not_need_it() {
    let child = ("m/a.rs", "use super::Shared; pub fn part(_: &Shared) {}");
    let free = "mod a; pub struct Shared; pub fn whole(s: &Shared) { a::part(s); }";
    assert!(circles_of(&[("lib.rs", "mod m;"), ("m/mod.rs", free), child]).is_empty());
    let bound = "mod a; pub struct Shared(a::Inner);";
    let child = (
        "m/a.rs",
        "use super::Shared; pub struct Inner; fn f(_: &Shared) {}",
    );
    let texts = circles_of(&[("lib.rs", "mod m;"), ("m/mod.rs", bound), child]);
    assert!(texts[0].contains("`Shared` of `m` itself"), "{texts:?}");
}

#[test]
fn an_edge_upward_names_its_line_and_both_modules() {
    let tree = tree(&[LIB, B, ("a.rs", "\nuse crate::b::B;")]);
    let table = |rows: &str| {
        order::read(&format!(
            "Inside `crates/calotte`, so:\n\n| module |\n| --- |\n{rows}\n"
        ))
        .unwrap()
    };
    let upward = order::upward(&tree, &edges(&tree), &table("| `a`, `b` |"));
    assert_eq!(upward.len(), 1);
    assert!(
        upward[0].contains("a.rs:2: `a` reads `b` by `crate::b::B`"),
        "{}",
        upward[0]
    );
    assert!(order::upward(&tree, &edges(&tree), &table("| `b` |\n| `a` |")).is_empty());
    assert_eq!(
        order::differences(&tree, &table("| `a` |\n| `c` |")).len(),
        2
    );
    assert!(order::read("no table").is_err());
}

#[test]
fn strings_that_name_a_family_are_found() {
    let named = |text: &str| family_names::in_text(Path::new("a.rs"), text).len();
    for text in [
        "fn f(s: &str) -> bool { s == \"scissor-linkage\" }",
        "fn f() { println!(\"the Two-arc arm {}\", 1); }",
        "#[error(\"a five_bar cannot\")] struct E;",
        "const S: &str = \"spherical five-bar\";",
        "mod m { fn f() { g(\"scissor linkage\"); } }",
    ] {
        assert_eq!(named(text), 1, "{text}");
    }
    for text in [
        "/// A scissor linkage.\nfn f() {}",
        "// \"scissor-linkage\"\nfn scissor_linkage() {}",
        "#[cfg(test)] mod tests { fn f() { g(\"two-arc-arm\"); } }",
        "#[cfg(test)] const S: &str = \"two-arc-arm\";",
        "const S: &str = \"two arcs\";",
    ] {
        assert_eq!(named(text), 0, "{text}");
    }
}
