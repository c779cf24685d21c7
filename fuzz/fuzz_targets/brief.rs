//! Any bytes as a brief: a value or problems, never a panic. What follows the
//! first zero byte is the file of points that the brief may name.
#![no_main]

use calotte_format::{read_brief, read_brief_to_judge, text_of};
use libfuzzer_sys::fuzz_target;

fuzz_target!(|bytes: &[u8]| {
    let mut parts = bytes.splitn(2, |byte| *byte == 0);
    let brief = parts.next().unwrap_or_default();
    let points = parts.next().unwrap_or_default();
    let load = |_: &str| {
        if points.is_empty() {
            Err("there is no such file".to_string())
        } else {
            Ok(points.to_vec())
        }
    };
    match text_of(brief) {
        Err(error) => assert_eq!(error.problems.len(), 1),
        Ok(text) => {
            if let Err(error) = read_brief(text, &load) {
                assert!(!error.in_file("brief.toml").to_string().is_empty());
            } else {
                // What serves a search serves a judgement too.
                assert!(read_brief_to_judge(text, &load).is_ok());
            }
        }
    }
});
