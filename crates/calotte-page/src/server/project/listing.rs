//! Which files the folder holds.

use std::io::Read;
use std::path::Path;
use std::time::SystemTime;

use calotte_files::sha256;
use calotte_format::TEXT_MAX;

use super::TABLE_MAX;
use super::shapes::{Kind, Listed, Listing};

/// Folders below ours that are looked into.
const DEPTH_MAX: usize = 3;
/// Files listed.
const FILES_MAX: usize = 500;
/// Names looked at, files or not: a home folder must not keep the page waiting.
const NAMES_MAX: usize = 20_000;
/// Bytes of a table in which its heading must begin and end.
const HEADING_MAX: usize = 8 << 10;
/// Folders that hold what programs made for themselves.
const LEFT_OUT: [&str; 2] = ["target", "node_modules"];

/// A file as the folder shows it, before it is opened.
#[derive(Debug, Clone, PartialEq, Eq)]
pub(super) struct Found {
    pub path: String,
    pub size: u64,
    pub modified: Option<SystemTime>,
}

impl Found {
    /// Whether it is a table rather than a TOML file.
    fn is_table(&self) -> bool {
        self.path.ends_with(".csv")
    }
}

/// Every TOML file and table of the folder with its hash and kind.
pub(super) fn list(folder: &Path) -> Listing {
    let (found, more) = find(folder);
    let files = found.iter().map(|file| describe(folder, file)).collect();
    Listing {
        folder: sha256(folder.as_os_str().as_encoded_bytes()),
        files,
        more,
    }
}

/// Whether a file holds a design.
pub(super) fn is_design(bytes: &[u8]) -> bool {
    kind(bytes) == Kind::Design
}

/// Measurements in the same folder as a path within ours, sorted.
pub(super) fn measured_beside(folder: &Path, path: &str) -> Vec<String> {
    let above = path.rsplit_once('/').map_or("", |(above, _)| above);
    let Ok(entries) = std::fs::read_dir(folder.join(above)) else {
        return Vec::new();
    };
    let mut found: Vec<String> = entries
        .take(NAMES_MAX)
        .flatten()
        .filter(|entry| entry.metadata().is_ok_and(|data| data.is_file()))
        .filter_map(|entry| entry.file_name().into_string().ok())
        .filter(|name| name.ends_with(".csv") && !name.starts_with('.'))
        .filter(|name| {
            let text = heading_of(&folder.join(above).join(name));
            text.is_some_and(|text| kind_of_table(&text) != Kind::Other)
        })
        .map(|name| match above {
            "" => name,
            above => format!("{above}/{name}"),
        })
        .collect();
    found.sort();
    found
}

/// Opens a file that was found.
pub(super) fn describe(folder: &Path, file: &Found) -> Listed {
    let place = folder.join(&file.path);
    let of_table = file
        .is_table()
        .then(|| heading_of(&place).map_or(Kind::Other, |text| kind_of_table(&text)));
    let most = if of_table.is_some() {
        TABLE_MAX
    } else {
        TEXT_MAX
    };
    let bytes = match (file.size, of_table) {
        // Results hold many tables: only measurements are read to their end.
        (_, Some(Kind::Other)) => None,
        (size, _) if size > most as u64 => None,
        // It may have gone or grown since it was found.
        _ => calotte_files::read(&place, most as u64).ok(),
    };
    Listed {
        path: file.path.clone(),
        size: file.size,
        sha256: bytes.as_deref().map(sha256),
        kind: of_table
            .or_else(|| bytes.as_deref().map(kind))
            .unwrap_or(Kind::Other),
    }
}

/// The beginning of a table; `None` if it cannot be read.
fn heading_of(place: &Path) -> Option<String> {
    let mut bytes = Vec::new();
    let (file, _) = calotte_files::ordinary(place).ok()?;
    file.take(HEADING_MAX as u64).read_to_end(&mut bytes).ok()?;
    Some(String::from_utf8_lossy(&bytes).into_owned())
}

/// What a table holds, by the names in its heading: a rough look that offers files to a
/// person; what they say is read by the one reader of measured files.
fn kind_of_table(text: &str) -> Kind {
    let heading = text
        .trim_start_matches('\u{feff}')
        .lines()
        .map(str::trim)
        .find(|line| !line.is_empty() && !line.starts_with('#'))
        .unwrap_or_default()
        .to_lowercase();
    let names: Vec<&str> = heading
        .split([',', ';', '\t'])
        .map(|name| name.trim().trim_matches('"'))
        .collect();
    let has = |stem: &str| {
        names.iter().any(|name| {
            name.strip_prefix(stem)
                .is_some_and(|rest| rest.is_empty() || rest.starts_with('_'))
        })
    };
    if has("mass") {
        Kind::Weights
    } else if names.len() > 3 && ["x", "y", "z"].into_iter().all(has) {
        Kind::Points
    } else {
        Kind::Other
    }
}

/// Every TOML file and table of the folder, sorted by path, and whether some were left out:
/// tables before TOML files. Hidden names, links and what is no plain file are passed over;
/// a folder that cannot be read counts as empty.
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
                return (shortened(files).0, true);
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
            } else if data.is_file() && (name.ends_with(".toml") || name.ends_with(".csv")) {
                files.push(Found {
                    path,
                    size: data.len(),
                    modified: data.modified().ok(),
                });
            }
        }
    }
    shortened(files)
}

/// At most [`FILES_MAX`] files by path, tables left out first, and whether some were.
fn shortened(mut files: Vec<Found>) -> (Vec<Found>, bool) {
    let more = files.len() > FILES_MAX;
    files.sort_by(|a, b| (a.is_table(), &a.path).cmp(&(b.is_table(), &b.path)));
    files.truncate(FILES_MAX);
    files.sort_by(|a, b| a.path.cmp(&b.path));
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
        write(
            "a/points.csv",
            "# measured\nleft_deg;right_deg;X_mm;Y_mm;Z_mm\n1;2;3;4;5\n",
        );
        write("a/weights.csv", "\u{feff}\"left_deg\",\"mass_kg\"\n1,2\n");
        write("candidates.csv", "stages,x_mm_min,maximum\n1,2,3\n");
        write("long.csv", &format!("a,x,y,z\n{}", "#".repeat(TABLE_MAX)));
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
                ("a/points.csv", Kind::Points, true),
                ("a/weights.csv", Kind::Weights, true),
                ("brief.toml", Kind::Brief, true),
                ("broken.toml", Kind::Design, true),
                ("candidates.csv", Kind::Other, false),
                ("long.csv", Kind::Points, false),
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

    #[test]
    fn tables_push_no_design_off_the_list() {
        let place = tempfile::tempdir().unwrap();
        for number in 0..FILES_MAX {
            std::fs::write(place.path().join(format!("{number}.csv")), "").unwrap();
        }
        std::fs::write(place.path().join("z.toml"), "").unwrap();
        let (files, more) = find(place.path());
        assert!(more && files.len() == FILES_MAX);
        assert_eq!(files[FILES_MAX - 1].path, "z.toml");
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
