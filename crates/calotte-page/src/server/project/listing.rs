//! Which files the folder holds.

use std::path::Path;
use std::time::SystemTime;

use calotte_format::TEXT_MAX;

use super::read_bounded;
use super::shapes::{Kind, Listed, Listing};
use crate::server::hash::sha256;

/// Folders below ours that are looked into.
const DEPTH_MAX: usize = 3;
/// Files listed.
const FILES_MAX: usize = 500;
/// Names looked at, files or not: a home folder must not keep the page waiting.
const NAMES_MAX: usize = 20_000;
/// Folders that hold what programs made for themselves.
const LEFT_OUT: [&str; 2] = ["target", "node_modules"];

/// A file as the folder shows it, before it is opened.
#[derive(Debug, Clone, PartialEq, Eq)]
pub(super) struct Found {
    pub path: String,
    pub size: u64,
    pub modified: Option<SystemTime>,
}

/// Every TOML file of the folder with its hash and kind.
pub(super) fn list(folder: &Path) -> Listing {
    let (found, more) = find(folder);
    let files = found.iter().map(|file| describe(folder, file)).collect();
    Listing { files, more }
}

/// Opens a file that was found.
pub(super) fn describe(folder: &Path, file: &Found) -> Listed {
    let bytes = match file.size {
        size if size > TEXT_MAX as u64 => None,
        // It may have gone or grown since it was found.
        _ => read_bounded(&folder.join(&file.path)).ok().flatten(),
    };
    Listed {
        path: file.path.clone(),
        size: file.size,
        sha256: bytes.as_deref().map(sha256),
        kind: bytes.as_deref().map_or(Kind::Other, kind),
    }
}

/// Every TOML file of the folder, sorted by path, and whether some were left out. Hidden
/// names, links and what is no plain file are passed over; a folder that cannot be read
/// counts as empty.
pub(super) fn find(folder: &Path) -> (Vec<Found>, bool) {
    let mut files = Vec::new();
    let mut names = 0;
    let mut waiting = vec![(String::new(), 0)];
    // Breadth first, so that what is cut short lies deepest.
    let mut next = 0;
    while let Some((below, depth)) = waiting.get(next).cloned() {
        next += 1;
        let Ok(entries) = std::fs::read_dir(folder.join(&below)) else {
            continue;
        };
        for entry in entries.flatten() {
            names += 1;
            if names > NAMES_MAX {
                files.sort_by(|a: &Found, b| a.path.cmp(&b.path));
                return (files, true);
            }
            let name = entry.file_name();
            let Some(name) = name.to_str().filter(|name| !name.starts_with('.')) else {
                continue;
            };
            let Ok(data) = entry.metadata() else {
                continue;
            };
            let path = match below.as_str() {
                "" => name.to_owned(),
                below => format!("{below}/{name}"),
            };
            if data.is_dir() && depth < DEPTH_MAX && !LEFT_OUT.contains(&name) {
                waiting.push((path, depth + 1));
            } else if data.is_file() && name.ends_with(".toml") {
                files.push(Found {
                    path,
                    size: data.len(),
                    modified: data.modified().ok(),
                });
            }
        }
    }
    files.sort_by(|a, b| a.path.cmp(&b.path));
    let more = files.len() > FILES_MAX;
    files.truncate(FILES_MAX);
    (files, more)
}

/// What a file is. One with mistakes in it is told by the lines that open its tables, so
/// that a person can open and mend it.
fn kind(bytes: &[u8]) -> Kind {
    let text = String::from_utf8_lossy(bytes);
    let by_table = text.parse::<toml::Table>().ok();
    let has = |name: &str| match &by_table {
        Some(table) => table.get(name).is_some_and(toml::Value::is_table),
        None => text.lines().any(|line| {
            let line = line.split('#').next().unwrap_or_default();
            let inner = line
                .trim()
                .strip_prefix('[')
                .and_then(|l| l.strip_suffix(']'));
            inner.is_some_and(|inner| inner.trim() == name)
        }),
    };
    if has("linkage") {
        Kind::Design
    } else if has("region") {
        Kind::Brief
    } else {
        Kind::Other
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn files_are_found_to_a_depth_and_told_by_their_tables() {
        let place = tempfile::tempdir().unwrap();
        let write = |path: &str, text: &str| {
            let path = place.path().join(path);
            std::fs::create_dir_all(path.parent().unwrap()).unwrap();
            std::fs::write(path, text).unwrap();
        };
        write("brief.toml", "title = \"a\"\n[region]\nshape = \"cap\"\n");
        write("a/b/c/design.toml", "[linkage]\n");
        write("a/b/c/d/too-deep.toml", "[linkage]\n");
        write("broken.toml", "[linkage] # here\nfamily = = 1\n");
        write("other.toml", "region = 3\n");
        write("notes.txt", "[linkage]\n");
        write(".hidden/x.toml", "");
        write("target/x.toml", "");
        write("node_modules/x.toml", "");
        write("long.toml", &"#".repeat(TEXT_MAX + 1));
        let listing = list(place.path());
        let seen: Vec<(&str, Kind, bool)> = listing
            .files
            .iter()
            .map(|file| (file.path.as_str(), file.kind, file.sha256.is_some()))
            .collect();
        assert_eq!(
            seen,
            [
                ("a/b/c/design.toml", Kind::Design, true),
                ("brief.toml", Kind::Brief, true),
                ("broken.toml", Kind::Design, true),
                ("long.toml", Kind::Other, false),
                ("other.toml", Kind::Other, true),
            ]
        );
        assert!(!listing.more);
    }

    #[test]
    fn a_long_list_is_cut_and_says_so() {
        let place = tempfile::tempdir().unwrap();
        for number in 0..=FILES_MAX {
            std::fs::write(place.path().join(format!("{number}.toml")), "").unwrap();
        }
        let (files, more) = find(place.path());
        assert!(more && files.len() == FILES_MAX);
    }

    #[cfg(unix)]
    #[test]
    fn links_are_not_followed() {
        let place = tempfile::tempdir().unwrap();
        let outside = tempfile::tempdir().unwrap();
        std::fs::write(outside.path().join("secret.toml"), "").unwrap();
        std::os::unix::fs::symlink(outside.path(), place.path().join("way-out")).unwrap();
        std::os::unix::fs::symlink(
            outside.path().join("secret.toml"),
            place.path().join("link.toml"),
        )
        .unwrap();
        // A link to itself must not keep the search going round.
        std::os::unix::fs::symlink(place.path(), place.path().join("round")).unwrap();
        assert_eq!(find(place.path()).0, []);
    }
}
