//! SHA-256 as text, by which page and program tell whether a file changed.

use std::fmt::Write;

use sha2::{Digest, Sha256};

/// SHA-256 of bytes as hexadecimal digits.
pub(crate) fn sha256(bytes: &[u8]) -> String {
    let mut text = String::with_capacity(64);
    for byte in Sha256::digest(bytes) {
        // Writing to a String cannot fail.
        let _ = write!(text, "{byte:02x}");
    }
    text
}

#[cfg(test)]
mod tests {
    /// FIPS 180-2, appendix B.1: the message "abc".
    #[test]
    fn the_published_example_comes_out() {
        assert_eq!(
            super::sha256(b"abc"),
            "ba7816bf8f01cfea414140de5dae2223b00361a396177a9cb410ff61f20015ad"
        );
    }
}
