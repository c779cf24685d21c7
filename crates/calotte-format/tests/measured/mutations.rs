//! Whatever the bytes, either reader gives values or problems with their places, never a
//! panic, and every data row is either kept or named.

use proptest::prelude::*;

use crate::{Outcome, points, scissor, weights};

const POINTS: &str = "\
# invented
swing_deg,opening_deg,x_mm,y_mm,z_mm,qw,qx,qy,qz,group,remark
0,40,61.204,-3.117,120.551,1,0,0,0,a,\"x, y\"
0,60,74.91,-2.806,112.338,1,0,0,0,b,
0,60,74.92,-2.807,112.339,1,0,0,0,b,
45,40,45.48,40.915,120.602,0,1,0,0,c, # seen
45,60,54.955,50.887,112.401,,,,,d,
45,80,62.703,59.201,102.934,1,0,0,0,e,
";

const WEIGHTS: &str = "\
swing_deg;opening_deg;mass_g;course;place;pull_x;pull_y;pull_z;displacement_um;gauge_x;gauge_y;gauge_z
0;60;0;loading;tip;0;0;-1;0;0;0;-1
0;60;500;loading;grip;0;0;-1;121,5;0;0;-1
0;60;1000;loading;bar-left-1@0,5;0;0;-1;243,1;0;0;-1
0;60;1000;unloading;tip;0;0;-1;246;0;0;-1
0;60;500;unloading;tip;0;0;-1;126;0;0;-1
0;60;0;unloading;tip;0;0;-1;4;0;0;-1
";

/// One change of a text.
#[derive(Debug, Clone)]
enum Change {
    Flip { at: usize, bit: u8 },
    Insert { at: usize, text: &'static str },
    Cut { at: usize, length: usize },
    Truncate { at: usize },
    SwapLines { first: usize, second: usize },
    CopyLine { from: usize, to: usize },
    Cell { at: usize, text: &'static str },
}

fn change() -> impl Strategy<Value = Change> {
    const TEXTS: [&str; 30] = [
        "",
        "-1",
        "1e308",
        "-1e999",
        "nan",
        "inf",
        "\"",
        "\"\"",
        "#",
        " # ",
        "@",
        "@9",
        "1,5",
        "1.5",
        "1 000",
        "\u{2212}3",
        "x_mm",
        "left_deg",
        "µ",
        "\u{feff}",
        "\u{a0}",
        "\r",
        "\n",
        ";",
        "\t",
        ",",
        "#N/A",
        "sep=;",
        "é\u{301}",
        "1e99999999999999999999",
    ];
    let at = any::<usize>;
    let text = || prop::sample::select(TEXTS.to_vec());
    prop_oneof![
        (at(), 0u8..8).prop_map(|(at, bit)| Change::Flip { at, bit }),
        (at(), text()).prop_map(|(at, text)| Change::Insert { at, text }),
        (at(), 1usize..12).prop_map(|(at, length)| Change::Cut { at, length }),
        at().prop_map(|at| Change::Truncate { at }),
        (at(), at()).prop_map(|(first, second)| Change::SwapLines { first, second }),
        (at(), at()).prop_map(|(from, to)| Change::CopyLine { from, to }),
        (at(), text()).prop_map(|(at, text)| Change::Cell { at, text }),
    ]
}

fn changed(bytes: Vec<u8>, change: &Change) -> Vec<u8> {
    let mut bytes = bytes;
    if bytes.is_empty() {
        return bytes;
    }
    let length = bytes.len();
    match *change {
        Change::Flip { at, bit } => bytes[at % length] ^= 1 << bit,
        Change::Insert { at, text } => {
            let at = at % length;
            bytes.splice(at..at, text.bytes());
        }
        Change::Cut { at, length: cut } => {
            let at = at % length;
            bytes.drain(at..(at + cut).min(length));
        }
        Change::Truncate { at } => bytes.truncate(at % length),
        Change::SwapLines { first, second } => {
            let mut lines: Vec<&[u8]> = bytes.split(|byte| *byte == b'\n').collect();
            let count = lines.len();
            lines.swap(first % count, second % count);
            return lines.join(&b'\n');
        }
        Change::CopyLine { from, to } => {
            let mut lines: Vec<&[u8]> = bytes.split(|byte| *byte == b'\n').collect();
            let count = lines.len();
            lines.insert(to % count, lines[from % count]);
            return lines.join(&b'\n');
        }
        Change::Cell { at, text } => {
            let ends: Vec<usize> = (0..length)
                .filter(|index| matches!(bytes[*index], b',' | b';' | b'\n'))
                .collect();
            if ends.len() >= 2 {
                let which = at % (ends.len() - 1);
                bytes.splice(ends[which] + 1..ends[which + 1], text.bytes());
            }
        }
    }
    bytes
}

fn check(bytes: &[u8], outcome: Outcome) -> Result<(), TestCaseError> {
    let text = String::from_utf8_lossy(bytes);
    let lines = text.matches(['\n', '\r']).count() + 1;
    match outcome {
        Ok((rows, refused, notes)) => {
            prop_assert!(rows >= 4 && refused.len() <= rows);
            prop_assert!(rows + refused.len() < lines);
            for pair in refused.windows(2) {
                prop_assert!(pair[0].row < pair[1].row && pair[0].line < pair[1].line);
            }
            for row in &refused {
                prop_assert!(!row.reason.is_empty());
                prop_assert!((1..=rows + refused.len()).contains(&row.row));
                prop_assert!((2..=lines).contains(&row.line));
            }
            let counted = notes.iter().any(|note| note.contains("rows refused"));
            prop_assert_eq!(counted, !refused.is_empty());
        }
        Err(error) => {
            prop_assert!(!error.problems.is_empty());
            for problem in &error.problems {
                prop_assert!((1..=lines).contains(&problem.line), "{:?}", problem);
                prop_assert!(problem.column >= 1);
                prop_assert!(!problem.message.is_empty() && !problem.hint.is_empty());
                for part in [
                    &problem.message,
                    &problem.allowed,
                    &problem.hint,
                    &problem.value,
                ] {
                    prop_assert!(!part.contains(char::is_control), "{:?}", problem);
                }
            }
            prop_assert!(error.in_file("file.csv").to_string().starts_with("error: "));
        }
    }
    Ok(())
}

/// Lines that hold data in a file without quotes over its lines: the readers must account
/// for each.
fn data_rows(text: &str) -> usize {
    text.lines()
        .filter(|line| !line.trim().is_empty() && !line.starts_with('#'))
        .count()
        - 1
}

#[test]
fn the_right_files_are_right() {
    for outcome in [
        points(POINTS.as_bytes(), &scissor()),
        weights(WEIGHTS.as_bytes(), &scissor()),
    ] {
        let (rows, refused, _) = outcome.unwrap_or_else(|error| panic!("{error}"));
        assert_eq!((rows, refused.len()), (6, 0));
    }
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(4000))]

    #[test]
    fn changed_files_never_panic(
        of_weights in any::<bool>(),
        changes in prop::collection::vec(change(), 1..6),
    ) {
        let right = if of_weights { WEIGHTS } else { POINTS };
        let bytes = changes.iter().fold(right.as_bytes().to_vec(), changed);
        let design = scissor();
        check(&bytes, points(&bytes, &design))?;
        check(&bytes, weights(&bytes, &design))?;
    }

    #[test]
    fn bytes_never_panic(bytes in prop::collection::vec(any::<u8>(), 0..200)) {
        let design = scissor();
        check(&bytes, points(&bytes, &design))?;
        check(&bytes, weights(&bytes, &design))?;
    }

    #[test]
    fn texts_under_a_right_heading_never_panic(text in "[ -~\\n\\r\\tµ°\u{2212}]{0,200}") {
        let design = scissor();
        let bytes = format!("{}{text}", POINTS);
        check(bytes.as_bytes(), points(bytes.as_bytes(), &design))?;
        let bytes = format!("{}{text}", WEIGHTS);
        check(bytes.as_bytes(), weights(bytes.as_bytes(), &design))?;
    }

    /// One value changed: the other rows are untouched and all rows are accounted for.
    #[test]
    fn no_row_is_lost(row in 2usize..8, cell in 0usize..5, text in "[a-z0-9.+-]{0,6}") {
        let mut lines: Vec<String> = POINTS.lines().map(str::to_string).collect();
        let mut cells: Vec<&str> = lines[row].split(',').collect();
        cells[cell] = &text;
        lines[row] = cells.join(",");
        let changed = lines.join("\n");
        if let Ok((rows, refused, _)) = points(changed.as_bytes(), &scissor()) {
            prop_assert_eq!(rows + refused.len(), data_rows(&changed));
            prop_assert!(refused.len() <= 1);
            prop_assert!(refused.iter().all(|refused| refused.row == row - 1));
        } else {
            prop_assert!(false, "one bad value must not spoil the file: {}", changed);
        }
    }
}
