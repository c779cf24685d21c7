//! SHA-256 as text, by which it is told whether a file changed.

use std::fmt::Write;
use std::io::{self, Read};
use std::path::Path;

use sha2::{Digest, Sha256};

use crate::error::FileError;
use crate::read::ordinary;

/// SHA-256 of bytes as hexadecimal digits.
pub fn sha256(bytes: &[u8]) -> String {
    digits(&Sha256::digest(bytes))
}

/// SHA-256 of an ordinary file of any length, of which a piece at a time is held.
pub(crate) fn sha256_of(path: &Path) -> Result<String, FileError> {
    let (file, length) = ordinary(path)?;
    // One that grows without end is cut where it ended at first, and then differs.
    let mut rest = file.take(length + 1);
    let mut hash = Sha256::new();
    let mut piece = [0; 1 << 16];
    loop {
        match rest.read(&mut piece) {
            Ok(0) => return Ok(digits(&hash.finalize())),
            Ok(read) => hash.update(&piece[..read]),
            Err(error) if error.kind() == io::ErrorKind::Interrupted => {}
            Err(error) => return Err(FileError::reading(path, &error)),
        }
    }
}

/// Bytes of a digest as hexadecimal digits.
pub fn digits(digest: &[u8]) -> String {
    let mut text = String::with_capacity(2 * digest.len());
    for byte in digest {
        // Writing to a String cannot fail.
        let _ = write!(text, "{byte:02x}");
    }
    text
}

#[cfg(test)]
mod tests {
    use super::*;

    /// FIPS 180-2, appendix B.1 and B.3: the messages "abc" and a million times "a".
    #[test]
    fn the_published_examples_come_out() {
        let abc = "ba7816bf8f01cfea414140de5dae2223b00361a396177a9cb410ff61f20015ad";
        assert_eq!(sha256(b"abc"), abc);
        let place = tempfile::tempdir().unwrap();
        let path = place.path().join("million");
        std::fs::write(&path, vec![b'a'; 1_000_000]).unwrap();
        let million = "cdc76e5c9914fb9281a1c7e284d73e67f1809a48a497200e046d39ccc7112cd0";
        assert_eq!(sha256_of(&path).unwrap(), million);
    }
}
