//! The digest of the sources that a search's numbers come from: it follows their content and
//! their names, and nothing else.

use std::fs;
use std::path::Path;

#[path = "../build/sources.rs"]
mod sources;

fn digest(root: &Path) -> String {
    let words = ["compiler".to_string()];
    sources::digest(root, &["src", "lock"], &words).expect("a digest")
}

fn tree(files: &[(&str, &str)]) -> tempfile::TempDir {
    let place = tempfile::tempdir().expect("a temporary folder");
    for (name, text) in files {
        let path = place.path().join(name);
        fs::create_dir_all(path.parent().expect("a folder")).expect("a folder");
        fs::write(path, text).expect("a file");
    }
    place
}

const FILES: [(&str, &str); 4] = [
    ("src/a.rs", "1"),
    ("src/inner/b.rs", "2"),
    ("src/inner/c.rs", "3"),
    ("lock", "4"),
];

#[test]
fn the_same_sources_elsewhere_have_the_same_digest() {
    let mut turned = FILES;
    turned.reverse();
    let (here, there) = (tree(&FILES), tree(&turned));
    assert_eq!(digest(here.path()), digest(there.path()));
    fs::write(there.path().join("beside"), "5").expect("a file");
    assert_eq!(digest(here.path()), digest(there.path()));
}

#[test]
fn any_other_source_has_another_digest() {
    let here = tree(&FILES);
    let own = digest(here.path());
    let mut others = vec![own.clone()];
    for index in 0..FILES.len() {
        let mut changed = FILES;
        changed[index].1 = "9";
        others.push(digest(tree(&changed).path()));
    }
    let moved = [FILES[0], FILES[1], ("src/c.rs", "3"), FILES[3]];
    others.push(digest(tree(&moved).path()));
    let added = [&FILES[..], &[("src/d.rs", "")]].concat();
    others.push(digest(tree(&added).path()));
    others.push(sources::digest(here.path(), &["src", "lock"], &[]).expect("a digest"));
    let count = others.len();
    others.sort();
    others.dedup();
    assert_eq!(others.len(), count);
}

#[test]
fn a_source_that_is_not_there_is_named() {
    let error = sources::digest(Path::new("/nowhere"), &["src"], &[]).unwrap_err();
    assert!(error.to_string().contains("nowhere/src"), "{error}");
}
