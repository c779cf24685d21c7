//! A digest of source files: the same for the same files wherever the tree lies.

use std::fs;
use std::io::{self, Error};
use std::path::{Path, PathBuf};

use sha2::{Digest, Sha256};

/// SHA-256 as hexadecimal digits over files and folders below `root`, by name and content, and
/// over words.
///
/// Names are taken below `root` with slashes, in order, so that neither the place of the tree
/// nor the order in which a folder lists its files matters.
///
/// # Errors
/// A file that cannot be read, or a name that is no UTF-8.
pub fn digest(root: &Path, parts: &[&str], words: &[String]) -> io::Result<String> {
    let mut files = Vec::new();
    for part in parts {
        collect(&root.join(part), part, &mut files)?;
    }
    files.sort();
    let mut hash = Sha256::new();
    let mut add = |bytes: &[u8]| {
        // With its length before it, no piece can be taken for a part of another.
        hash.update((bytes.len() as u64).to_le_bytes());
        hash.update(bytes);
    };
    for (name, path) in files {
        add(name.as_bytes());
        add(&fs::read(&path).map_err(|error| told(&path, &error))?);
    }
    for word in words {
        add(word.as_bytes());
    }
    Ok(hash
        .finalize()
        .iter()
        .map(|byte| format!("{byte:02x}"))
        .collect())
}

fn collect(path: &Path, name: &str, files: &mut Vec<(String, PathBuf)>) -> io::Result<()> {
    if path.is_file() {
        files.push((name.to_string(), path.to_path_buf()));
        return Ok(());
    }
    for entry in fs::read_dir(path).map_err(|error| told(path, &error))? {
        let entry = entry?;
        let inner = entry.file_name();
        let inner = inner
            .to_str()
            .ok_or_else(|| Error::other(format!("{inner:?} is not UTF-8")))?;
        collect(&entry.path(), &format!("{name}/{inner}"), files)?;
    }
    Ok(())
}

fn told(path: &Path, error: &Error) -> Error {
    Error::other(format!("{}: {error}", path.display()))
}
