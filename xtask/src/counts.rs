//! How many tests ran, read from what the test programs print.

use std::ops::AddAssign;

/// Numbers of tests by outcome.
#[derive(Debug, Default, Clone, Copy, PartialEq, Eq)]
pub struct Counts {
    /// Tests that ran and held.
    pub passed: u64,
    /// Tests that ran and did not hold, or could not be run.
    pub failed: u64,
    /// Tests that were left out.
    pub skipped: u64,
}

impl AddAssign for Counts {
    fn add_assign(&mut self, other: Self) {
        self.passed += other.passed;
        self.failed += other.failed;
        self.skipped += other.skipped;
    }
}

/// Sums the result lines of `cargo test`, one per test program and documentation run:
/// `test result: ok. 12 passed; 0 failed; 1 ignored; 0 measured; 0 filtered out; …`.
pub fn from_cargo_test(output: &str) -> Counts {
    let mut sum = Counts::default();
    for line in without_colours(output).lines() {
        // A test may write to the same line before the result, so look inside it too.
        if let Some((_, numbers)) = line.split_once("test result: ") {
            sum += Counts {
                passed: number_before(numbers, "passed"),
                failed: number_before(numbers, "failed"),
                skipped: number_before(numbers, "ignored"),
            };
        }
    }
    sum
}

/// Reads the last line of pytest: `10 passed, 1 failed, 2 skipped in 3.21s`. An error
/// outside a test counts as a failure; a test that is expected to fail counts as left out,
/// whatever came of it, since it cannot make the run fail. None where
/// pytest ended without such a line.
pub fn from_pytest(output: &str) -> Option<Counts> {
    let output = without_colours(output);
    let line = output.lines().rev().find(|line| is_pytest_summary(line))?;
    Some(Counts {
        passed: number_before(line, "passed"),
        failed: number_before(line, "failed")
            + number_before(line, "error")
            + number_before(line, "errors"),
        skipped: number_before(line, "skipped")
            + number_before(line, "deselected")
            + number_before(line, "xfailed")
            + number_before(line, "xpassed"),
    })
}

/// Reads the summary of vitest: `Tests  3 failed | 98 passed | 1 skipped (102)`.
pub fn from_vitest(output: &str) -> Counts {
    without_colours(output)
        .lines()
        .rev()
        .find_map(|line| line.trim().strip_prefix("Tests "))
        .map_or(Counts::default(), |line| Counts {
            passed: number_before(line, "passed"),
            failed: number_before(line, "failed"),
            skipped: number_before(line, "skipped") + number_before(line, "todo"),
        })
}

/// Sums the closing lines of playwright: `  12 passed (20.1s)`, `  1 failed`, `  1 flaky`,
/// `  2 skipped`, `  3 did not run`. A flaky test held only when tried again and counts as
/// failed.
pub fn from_playwright(output: &str) -> Counts {
    let mut sum = Counts::default();
    for line in without_colours(output).lines() {
        let line = line.trim();
        let mut words = line.splitn(2, ' ');
        let (Some(Ok(number)), Some(what)) = (words.next().map(str::parse::<u64>), words.next())
        else {
            continue;
        };
        match what.split(" (").next().unwrap_or_default() {
            "passed" => sum.passed += number,
            "failed" | "flaky" | "interrupted" => sum.failed += number,
            "skipped" | "did not run" => sum.skipped += number,
            _ => {}
        }
    }
    sum
}

/// What the tests say about how many random designs they tried: the rest of each line
/// from `random cases:` on.
pub fn random_cases(output: &str) -> Vec<String> {
    let output = without_colours(output);
    let mut lines: Vec<String> = output
        .lines()
        .filter_map(|line| line.split_once("random cases:"))
        .map(|(_, rest)| rest.trim().to_owned())
        .collect();
    lines.sort();
    lines.dedup();
    lines
}

/// The line with a time that pytest ends with, `… in 3.21s` or `… in 75.20s (0:01:15)`.
fn is_pytest_summary(line: &str) -> bool {
    let Some((outcome, time)) = line.trim_matches(['=', ' ']).rsplit_once(" in ") else {
        return false;
    };
    let seconds = time
        .split_whitespace()
        .next()
        .and_then(|word| word.strip_suffix('s'));
    seconds.is_some_and(|text| text.parse::<f64>().is_ok())
        && (outcome == "no tests ran" || outcome.starts_with(|c: char| c.is_ascii_digit()))
}

/// The number just before a word, 0 where there is none: `"3 passed; 1 failed"`, `"failed"` gives 1.
fn number_before(text: &str, word: &str) -> u64 {
    let mut previous = "";
    for part in text.split(|c: char| c.is_whitespace() || c == ',' || c == ';') {
        if part == word
            && let Ok(number) = previous.parse()
        {
            return number;
        }
        if !part.is_empty() {
            previous = part;
        }
    }
    0
}

/// The text without the escape sequences that colour it.
fn without_colours(text: &str) -> String {
    let mut plain = String::with_capacity(text.len());
    let mut rest = text;
    while let Some(start) = rest.find("\u{1b}[") {
        plain.push_str(&rest[..start]);
        let sequence = &rest[start + 2..];
        let end = sequence.find(|c: char| c.is_ascii_alphabetic());
        rest = end.map_or("", |end| &sequence[end + 1..]);
    }
    plain.push_str(rest);
    plain
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn cargo_test_results_are_summed_over_programs() {
        let output = "running 2 tests\n..\n\
            test result: ok. 2 passed; 0 failed; 0 ignored; 0 measured; 0 filtered out; finished in 0.00s\n\
            test result: FAILED. 11 passed; 3 failed; 1 ignored; 0 measured; 0 filtered out; finished in 1.20s\n\
            left over test result: ok. 4 passed; 0 failed; 2 ignored; 0 measured; 0 filtered out\n";
        assert_eq!(
            from_cargo_test(output),
            Counts {
                passed: 17,
                failed: 3,
                skipped: 3
            }
        );
    }

    #[test]
    fn colours_do_not_hide_the_numbers() {
        let output = "test result: \u{1b}[32mok\u{1b}[0m. 5 passed; 0 failed; 0 ignored";
        assert_eq!(from_cargo_test(output).passed, 5);
        let output = "\u{1b}[32m\u{1b}[1m7 passed\u{1b}[0m\u{1b}[32m in 0.02s\u{1b}[0m";
        assert_eq!(
            from_pytest(output),
            Some(Counts {
                passed: 7,
                ..Counts::default()
            })
        );
    }

    #[test]
    fn text_without_a_result_counts_nothing() {
        assert_eq!(
            from_cargo_test("error: could not compile"),
            Counts::default()
        );
        assert_eq!(from_pytest("No module named pytest"), None);
        assert_eq!(from_pytest("random cases: 4 passed in review"), None);
    }

    #[test]
    fn pytest_summaries_in_their_usual_forms() {
        let counts = |line: &str| from_pytest(line).expect("a summary line");
        assert_eq!(
            counts("12 passed in 0.52s"),
            Counts {
                passed: 12,
                failed: 0,
                skipped: 0
            }
        );
        assert_eq!(
            counts("..F\n1 failed, 12 passed, 2 skipped, 3 warnings in 75.20s (0:01:15)\n"),
            Counts {
                passed: 12,
                failed: 1,
                skipped: 2
            }
        );
        assert_eq!(counts("2 errors in 0.10s").failed, 2);
        assert_eq!(
            counts("1 passed, 1 error in 0.10s"),
            Counts {
                passed: 1,
                failed: 1,
                skipped: 0
            }
        );
        assert_eq!(
            counts("==== 3 passed, 1 deselected, 1 xfailed in 1.00s ====").skipped,
            2
        );
        assert_eq!(counts("no tests ran in 0.01s"), Counts::default());
    }

    #[test]
    fn summaries_of_the_page_tests_are_read() {
        let output = " Test Files  11 passed (11)\n      Tests  1 failed | 98 passed (99)\n";
        assert_eq!(
            from_vitest(output),
            Counts {
                passed: 98,
                failed: 1,
                skipped: 0
            }
        );
        assert_eq!(from_vitest("error"), Counts::default());
        let output = "  ok 1 a › 3 passed things (1.0s)\n  1 failed\n    a.spec.ts\n  2 did not run\n  12 passed (20.1s)\n";
        assert_eq!(
            from_playwright(output),
            Counts {
                passed: 12,
                failed: 1,
                skipped: 2
            }
        );
    }

    #[test]
    fn random_case_lines_are_found_wherever_they_start() {
        let output = "test a ... random cases: loop closure, 200 (long 5000)\n ok\nrandom cases: statics, 50\n";
        assert_eq!(
            random_cases(output),
            vec![
                "loop closure, 200 (long 5000)".to_owned(),
                "statics, 50".to_owned()
            ]
        );
    }
}
