//! What a folder of results holds: the list of what was written, and what is foreign to it.

use std::collections::BTreeSet;
use std::io;
use std::path::Path;

use calotte_document::written::Manifest;

use crate::hash::sha256_of;
use crate::read::read;

/// Name of the list of a results folder's files with their SHA-256.
pub(crate) const MANIFEST: &str = "manifest.json";
/// Most bytes of the list that are read.
const MANIFEST_MAX: u64 = 16 << 20;

/// Why a folder is not what was written there, in words; `None` if it is, or is empty.
pub(crate) fn foreign(folder: &Path) -> Option<String> {
    match looked_through(folder) {
        Ok(found) => found,
        Err(error) => Some(format!("it cannot be looked through ({error})")),
    }
}

fn looked_through(folder: &Path) -> io::Result<Option<String>> {
    let mut names = std::fs::read_dir(folder)?;
    if names.next().is_none() {
        return Ok(None);
    }
    let manifest = read(&folder.join(MANIFEST), MANIFEST_MAX)
        .ok()
        .and_then(|text| serde_json::from_slice::<Manifest>(&text).ok());
    let Some(manifest) = manifest else {
        return Ok(Some("it holds files that calotte did not write".to_owned()));
    };
    let folders: BTreeSet<&str> = manifest
        .sha256
        .keys()
        .flat_map(|name| name.match_indices('/').map(|(at, _)| &name[..at]))
        .collect();
    let mut waiting = vec![String::new()];
    while let Some(below) = waiting.pop() {
        for entry in std::fs::read_dir(folder.join(&below))? {
            let entry = entry?;
            let name = entry.file_name();
            let shown = match below.as_str() {
                "" => name.to_string_lossy().into_owned(),
                below => format!("{below}/{}", name.to_string_lossy()),
            };
            let not_ours = || Ok(Some(format!("{shown} was not written by calotte")));
            let kind = entry.file_type()?;
            if kind.is_dir() && folders.contains(shown.as_str()) {
                waiting.push(shown);
                continue;
            }
            if shown == MANIFEST && kind.is_file() {
                continue;
            }
            let Some(wanted) = manifest.sha256.get(&shown).filter(|_| kind.is_file()) else {
                return not_ours();
            };
            let same = sha256_of(&entry.path()).is_ok_and(|found| found == *wanted);
            if !same {
                return Ok(Some(format!("{shown} was changed since calotte wrote it")));
            }
        }
    }
    Ok(None)
}
