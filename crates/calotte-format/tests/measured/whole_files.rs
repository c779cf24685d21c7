//! Files that are no text, or too much of it.

use calotte_format::FormatError;
use calotte_format::measurement::{BYTES_MAX, COLUMNS_MAX, ROWS_MAX, read_points};

use crate::{points, scissor, weights};

const RIGHT: &str = "\
swing_deg,opening_deg,x_mm,y_mm,z_mm
0,40,1,2,3
0,50,1,2,3
0,60,1,2,3
0,70,1,2,3
";

fn error_of(bytes: &[u8]) -> FormatError {
    let error = points(bytes, &scissor()).expect_err("a refused file");
    assert_eq!(error.problems.len(), 1);
    let as_weights = weights(bytes, &scissor()).expect_err("a refused file");
    assert_eq!(as_weights.problems.len(), 1);
    error
}

fn check(bytes: &[u8], line: usize, column: usize, words: &[&str]) {
    let error = error_of(bytes);
    let problem = &error.problems[0];
    assert_eq!((problem.line, problem.column), (line, column), "{error}");
    let text = error.to_string();
    for word in words {
        assert!(text.contains(word), "{word}: {text}");
    }
}

#[test]
fn what_is_no_text_says_how_to_make_it_one() {
    let little: Vec<u8> = RIGHT.encode_utf16().flat_map(u16::to_le_bytes).collect();
    let big: Vec<u8> = RIGHT.encode_utf16().flat_map(u16::to_be_bytes).collect();
    for bytes in [
        [&[0xFF, 0xFE], &little[..]].concat(),
        [&[0xFE, 0xFF], &big[..]].concat(),
        little,
        big,
    ] {
        check(&bytes, 1, 1, &["UTF-16", "encoding UTF-8"]);
    }
    check(b"PK\x03\x04\x14\x00", 1, 1, &["workbook", "CSV"]);
    check(b"\xD0\xCF\x11\xE0\xA1\xB1", 1, 1, &["workbook"]);
    check(b"swing_deg\r\nab\x00c", 2, 3, &["0x00", "not text"]);
    check(b"\xEF\xBB\xBFa\xC2\xB5\x1A", 1, 3, &["0x1a"]);
    // µ in a one-byte encoding.
    check(b"a\r\rx_\xB5m", 3, 3, &["0xb5", "UTF-8", "µ"]);
    check(b"", 1, 1, &["no heading"]);
    check(b"\xEF\xBB\xBF", 1, 1, &["no heading"]);
    check(b"\n\n# only a remark\n", 1, 1, &["no heading"]);
    check(b"sep=;\n", 1, 1, &["no heading"]);
}

#[test]
fn too_much_is_refused_before_it_is_read() {
    let mut bytes = RIGHT.as_bytes().to_vec();
    bytes.resize(BYTES_MAX, b'\n');
    assert!(read_points(&bytes, &scissor()).is_ok());
    bytes.push(b'\n');
    check(&bytes, 1, 1, &["50000001 bytes", "50000000"]);

    let rows = format!("{}{}", RIGHT, "1\n".repeat(ROWS_MAX));
    let error = read_points(rows.as_bytes(), &scissor()).expect_err("too many rows");
    assert_eq!(error.problems[0].line, ROWS_MAX + 2);
    assert!(error.to_string().contains("1000000 rows"), "{error}");

    let columns = format!("{}\n", "a,".repeat(COLUMNS_MAX));
    check(columns.as_bytes(), 1, 1, &["more than 1000 columns"]);
    let quoted = format!("\"#\"{}", ",".repeat(1_000_000));
    assert!(points(quoted.as_bytes(), &scissor()).is_err());
}

#[test]
fn a_design_that_cannot_be_built_is_named() {
    let mut design = scissor();
    design.joint_radius = -1.0;
    let error = read_points(RIGHT.as_bytes(), &design).expect_err("no design");
    assert!(error.to_string().contains("joint radius"), "{error}");
}
