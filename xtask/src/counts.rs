//! How many tests ran, read from the reports that the test programs write for programs to
//! read; of `cargo test`, which writes none, from its result lines.

use std::ops::AddAssign;
use std::path::Path;

use roxmltree::Document;
use serde_json::Value;

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

/// What `cargo test` says: the numbers, and how many test programs said theirs.
#[derive(Debug, Default, Clone, Copy, PartialEq, Eq)]
pub struct CargoTest {
    /// Sum over the programs.
    pub counts: Counts,
    /// Programs and runs of documentation that ended with a result.
    pub programs: usize,
}

/// Sums the result lines of `cargo test`, one per test program and documentation run.
///
/// The stable toolchain has no form of it for programs to read: libtest's JSON and JUnit ask
/// for unstable options. So the line is held to its whole form, and the caller compares the
/// number of programs with the one cargo says it built ([`programs_of`]).
pub fn from_cargo_test(output: &str) -> CargoTest {
    let mut sum = CargoTest::default();
    for line in without_colours(output).lines() {
        // A test may write to the same line before the result, so look inside it too.
        let result = line.split_once("test result: ").map(|(_, result)| result);
        if let Some(counts) = result.and_then(cargo_result) {
            sum.counts += counts;
            sum.programs += 1;
        }
    }
    sum
}

/// `ok. 12 passed; 0 failed; 1 ignored; 0 measured; 0 filtered out; finished in 0.52s`.
fn cargo_result(line: &str) -> Option<Counts> {
    let (verdict, numbers) = line.split_once(". ")?;
    let parts: Vec<&str> = numbers.trim_end().split("; ").collect();
    let [passed, failed, ignored, measured, filtered, time] = parts[..] else {
        return None;
    };
    let number = |part: &str, what: &str| part.strip_suffix(what)?.trim_end().parse().ok();
    let counts = Counts {
        passed: number(passed, "passed")?,
        failed: number(failed, "failed")?,
        skipped: number(ignored, "ignored")? + number(filtered, "filtered out")?,
    };
    let of_its_form = number(measured, "measured") == Some(0)
        && time.starts_with("finished in ")
        && verdict == (if counts.failed == 0 { "ok" } else { "FAILED" });
    of_its_form.then_some(counts)
}

/// How many test programs and runs of documentation the messages and the metadata of cargo
/// name: `cargo test --no-run --message-format=json`, `cargo metadata --no-deps`.
pub fn programs_of(messages: &str, metadata: &Value) -> usize {
    let built = messages
        .lines()
        .filter_map(|line| serde_json::from_str::<Value>(line).ok())
        .filter(|message| message["reason"] == "compiler-artifact")
        .filter(|message| message["profile"]["test"] == true && message["executable"].is_string())
        .count();
    let targets = metadata["packages"].as_array().into_iter().flatten();
    let targets = targets.flat_map(|package| package["targets"].as_array().into_iter().flatten());
    built + targets.filter(|target| target["doctest"] == true).count()
}

/// Reads a report that a test program was to write.
///
/// # Errors
/// Why there are no numbers: the report is not there, or not of its form.
pub fn read(
    report: &Path,
    numbers: impl Fn(&str) -> Result<Counts, String>,
) -> Result<Counts, String> {
    let told = |error: String| format!("{}: {error}", report.display());
    let text = std::fs::read_to_string(report).map_err(|error| told(error.to_string()))?;
    numbers(&text).map_err(told)
}

/// Reads the JUnit report of pytest. An error outside a test counts as a failure; a test that
/// is expected to fail counts as left out.
///
/// # Errors
/// What is wrong with the report.
pub fn from_junit(report: &str) -> Result<Counts, String> {
    let document = Document::parse(report).map_err(|error| error.to_string())?;
    let mut sum = Counts::default();
    let mut suites = 0;
    for suite in document
        .descendants()
        .filter(|node| node.has_tag_name("testsuite"))
    {
        suites += 1;
        let number = |name: &str| -> Result<u64, String> {
            let text = suite.attribute(name).ok_or(format!("no `{name}`"))?;
            text.parse().map_err(|_| format!("`{name}` is {text}"))
        };
        let failed = number("failures")? + number("errors")?;
        let skipped = number("skipped")?;
        let passed = number("tests")?.checked_sub(failed + skipped);
        sum += Counts {
            passed: passed.ok_or("more tests failed than ran")?,
            failed,
            skipped,
        };
    }
    if suites == 0 {
        return Err("it holds no `testsuite`".to_owned());
    }
    Ok(sum)
}

/// Reads the JSON report of vitest.
///
/// # Errors
/// What is wrong with the report.
pub fn from_vitest(report: &str) -> Result<Counts, String> {
    let report: Value = serde_json::from_str(report).map_err(|error| error.to_string())?;
    Ok(Counts {
        passed: number_in(&report, "numPassedTests")?,
        failed: number_in(&report, "numFailedTests")?,
        skipped: number_in(&report, "numPendingTests")? + number_in(&report, "numTodoTests")?,
    })
}

/// Reads the JSON report of playwright. A flaky test held only when tried again and counts as
/// failed; one that did not run counts as left out.
///
/// # Errors
/// What is wrong with the report.
pub fn from_playwright(report: &str) -> Result<Counts, String> {
    let report: Value = serde_json::from_str(report).map_err(|error| error.to_string())?;
    let stats = &report["stats"];
    Ok(Counts {
        passed: number_in(stats, "expected")?,
        failed: number_in(stats, "unexpected")? + number_in(stats, "flaky")?,
        skipped: number_in(stats, "skipped")?,
    })
}

fn number_in(report: &Value, name: &str) -> Result<u64, String> {
    report[name]
        .as_u64()
        .ok_or_else(|| format!("`{name}` is {}", report[name]))
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
    use serde_json::json;

    use super::*;

    const OK: &str = "test result: ok. 2 passed; 0 failed; 0 ignored; 0 measured; 0 filtered out; finished in 0.00s\n";

    #[test]
    fn cargo_test_results_are_summed_over_programs() {
        let output = format!(
            "running 2 tests\n..\n{OK}\
            test result: FAILED. 11 passed; 3 failed; 1 ignored; 0 measured; 0 filtered out; finished in 1.20s\n\
            left over test result: \u{1b}[32mok\u{1b}[0m. 4 passed; 0 failed; 2 ignored; 0 measured; 1 filtered out; finished in 0.1s\n"
        );
        let expected = CargoTest {
            counts: Counts {
                passed: 17,
                failed: 3,
                skipped: 4,
            },
            programs: 3,
        };
        assert_eq!(from_cargo_test(&output), expected);
    }

    #[test]
    fn what_only_looks_like_a_result_counts_nothing() {
        for line in [
            "error: could not compile",
            "test result: ok. 2 passed; 0 failed; 0 ignored",
            "test result: ok. 2 passed; 1 failed; 0 ignored; 0 measured; 0 filtered out; finished in 0.1s",
            "test result: fine. 2 passed; 0 failed; 0 ignored; 0 measured; 0 filtered out; finished in 0.1s",
            "test result: ok. two passed; 0 failed; 0 ignored; 0 measured; 0 filtered out; finished in 0.1s",
        ] {
            assert_eq!(from_cargo_test(line), CargoTest::default(), "{line}");
        }
    }

    #[test]
    fn programs_are_those_cargo_names() {
        let artifact = |test: bool, executable: Value| {
            json!({
                "reason": "compiler-artifact",
                "profile": {"test": test},
                "executable": executable,
            })
        };
        let messages = [
            artifact(true, json!("a-1")),
            artifact(true, json!("b-2")),
            artifact(true, Value::Null),
            artifact(false, json!("program")),
            json!({"reason": "build-finished", "success": true}),
        ];
        let messages: Vec<String> = messages.iter().map(Value::to_string).collect();
        let targets = json!([{"doctest": true}, {"doctest": false}]);
        let metadata = json!({"packages": [{"targets": targets}, {"targets": []}]});
        assert_eq!(programs_of(&messages.join("\n"), &metadata), 3);
    }

    #[test]
    fn junit_reports_are_summed_over_suites() {
        let report = r#"<?xml version="1.0"?><testsuites>
            <testsuite errors="1" failures="2" skipped="2" tests="9"><testcase/></testsuite>
            <testsuite errors="0" failures="0" skipped="0" tests="3"/></testsuites>"#;
        let expected = Counts {
            passed: 7,
            failed: 3,
            skipped: 2,
        };
        assert_eq!(from_junit(report), Ok(expected));
        for broken in [
            "",
            "<testsuites/>",
            "<testsuite tests='1'/>",
            "<testsuite errors='0' failures='2' skipped='0' tests='1'/>",
            "<testsuite errors='0' failures='0' skipped='0' tests='many'/>",
        ] {
            assert!(from_junit(broken).is_err(), "{broken}");
        }
    }

    #[test]
    fn reports_of_the_page_tests_are_read() {
        let report = r#"{"numPassedTests": 98, "numFailedTests": 1, "numPendingTests": 2, "numTodoTests": 3}"#;
        let expected = Counts {
            passed: 98,
            failed: 1,
            skipped: 5,
        };
        assert_eq!(from_vitest(report), Ok(expected));
        assert!(from_vitest("{}").is_err() && from_vitest("").is_err());
        let report = r#"{"stats": {"expected": 12, "unexpected": 1, "flaky": 1, "skipped": 2}}"#;
        let expected = Counts {
            passed: 12,
            failed: 2,
            skipped: 2,
        };
        assert_eq!(from_playwright(report), Ok(expected));
        assert!(from_playwright(r#"{"stats": {"expected": 12}}"#).is_err());
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
