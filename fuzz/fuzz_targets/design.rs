//! Any bytes as a design: problems, or a design that is written and read back
//! equal; never a panic.
#![no_main]

use calotte_format::{read_design, text_of, write_design};
use libfuzzer_sys::fuzz_target;

fuzz_target!(|bytes: &[u8]| {
    let Ok(text) = text_of(bytes) else {
        return;
    };
    match read_design(text) {
        Ok(design) => {
            let written = write_design(&design, "");
            assert_eq!(read_design(&written).as_ref(), Ok(&design), "{written}");
        }
        Err(error) => assert!(!error.in_file("design.toml").to_string().is_empty()),
    }
});
