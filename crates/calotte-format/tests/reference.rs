//! The reference in the documentation is the one made from the table of keys.

use std::path::Path;

#[test]
fn the_written_reference_is_fresh() {
    let path = Path::new(env!("CARGO_MANIFEST_DIR")).join("../../docs/reference/files.md");
    let written = std::fs::read_to_string(path).expect("docs/reference/files.md");
    assert!(
        written == calotte_format::reference_markdown(),
        "write it anew: cargo run --release -- schema --markdown > docs/reference/files.md"
    );
}
