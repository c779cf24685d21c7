//! Steps `fmt`, `clippy` and `tests`: what cargo itself checks.

use std::process::Command;

use crate::command::{cargo, run, run_captured, run_shown};
use crate::counts::{self, Counts};
use crate::failure::Failure;
use crate::step_failure::StepFailure;
use crate::workspace::Workspace;

/// The code is formatted as rustfmt would.
pub fn fmt(workspace: &Workspace) -> Result<Counts, Failure> {
    run(cargo(&workspace.root).args(["fmt", "--all", "--check"]))
        .map_err(|failure| failure.with_hint("`cargo fmt --all` formats everything"))?;
    Ok(Counts::default())
}

/// Clippy and the compiler have nothing to say about any target.
pub fn clippy(workspace: &Workspace) -> Result<Counts, Failure> {
    let mut command = cargo(&workspace.root);
    command.args([
        "clippy",
        "--workspace",
        "--all-targets",
        "--profile",
        "checked",
    ]);
    run(command.args(["--", "-D", "warnings"]))?;
    Ok(Counts::default())
}

/// The steps that run the program as it is handed out.
const RELEASE_STEPS: [&str; 4] = ["oracles", "page-browser", "main-job", "verify"];

/// Every Rust test, the examples in the documentation included.
pub fn tests(workspace: &Workspace) -> Result<Counts, StepFailure> {
    let programs = programs(workspace)?;
    if RELEASE_STEPS
        .iter()
        .any(|step| workspace.options.includes(step))
    {
        workspace.begin_release();
    }
    let mut command = cargo(&workspace.root);
    // One failing program must not hide the results of the others.
    command.args([
        "test",
        "--workspace",
        "--profile",
        "checked",
        "--no-fail-fast",
    ]);
    set_length(&mut command, workspace);
    let (output, outcome) = run_shown(&mut command)?;
    let said = counts::from_cargo_test(&output);
    print_counts("Rust", said.counts, &output);
    let counts = judge(outcome, said.counts, "cargo test")?;
    every_program_said(said.programs, programs, counts)
}

/// Builds the tests: how many programs and runs of documentation there are, by what cargo says in JSON.
fn programs(workspace: &Workspace) -> Result<usize, Failure> {
    let mut build = cargo(&workspace.root);
    build.args(["test", "--workspace", "--profile", "checked", "--no-run"]);
    let messages = run_captured(build.args(["--message-format", "json"]))?;
    let mut metadata = cargo(&workspace.root);
    metadata.args([
        "metadata",
        "--no-deps",
        "--offline",
        "--format-version",
        "1",
    ]);
    let metadata = serde_json::from_str(&run_captured(&mut metadata)?)
        .map_err(|error| Failure::check(format!("cargo metadata is not JSON: {error}")))?;
    Ok(counts::programs_of(&messages, &metadata))
}

/// A program whose result line was not found has tests that were not counted.
fn every_program_said(said: usize, there: usize, counts: Counts) -> Result<Counts, StepFailure> {
    if said == there {
        return Ok(counts);
    }
    let failure = Failure::check(format!(
        "{said} result lines were found in what cargo test wrote, and cargo names {there} test programs and runs of documentation"
    ));
    Err(StepFailure { failure, counts })
}

/// Tells the tests whether to try more random designs.
pub fn set_length(command: &mut Command, workspace: &Workspace) {
    if workspace.options.long {
        command.env("CALOTTE_LONG", "1");
    }
}

/// Prints the numbers of tests and, once more, what the tests said about random designs.
pub fn print_counts(kind: &str, counts: Counts, output: &str) {
    println!(
        "{kind} tests: {} passed, {} failed, {} left out",
        counts.passed, counts.failed, counts.skipped
    );
    for line in counts::random_cases(output) {
        println!("  random cases: {line}");
    }
}

/// Joins the outcome of a test program with its numbers: a run without a test has
/// checked nothing and fails.
pub fn judge(
    outcome: Result<(), Failure>,
    counts: Counts,
    program: &str,
) -> Result<Counts, StepFailure> {
    let failure = match outcome {
        Err(failure) => failure,
        Ok(()) if counts.failed > 0 => Failure::check(format!(
            "{program} ended well but reported {} failures",
            counts.failed
        )),
        Ok(()) if counts.passed == 0 => {
            Failure::check(format!("{program} ran no test, so nothing was checked"))
        }
        Ok(()) => return Ok(counts),
    };
    Err(StepFailure { failure, counts })
}

/// As [`judge`], for numbers that stand in a report: one that cannot be read fails, but first
/// says why the program did.
pub fn judge_report(
    outcome: Result<(), Failure>,
    counts: Result<Counts, String>,
    program: &str,
) -> Result<Counts, StepFailure> {
    match (outcome, counts) {
        (outcome, Ok(counts)) => judge(outcome, counts, program),
        (Err(failure), Err(_)) => Err(failure.into()),
        (Ok(()), Err(problem)) => {
            Err(Failure::check(format!("the report of {program} cannot be read: {problem}")).into())
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_run_without_a_test_fails() {
        let failure = judge(Ok(()), Counts::default(), "cargo test")
            .unwrap_err()
            .failure;
        assert!(failure.to_string().contains("ran no test"));
    }

    #[test]
    fn a_program_that_is_not_counted_fails() {
        let counts = Counts::default();
        assert!(every_program_said(7, 7, counts).is_ok());
        assert!(every_program_said(6, 7, counts).is_err());
        assert!(every_program_said(8, 7, counts).is_err());
    }

    #[test]
    fn the_numbers_of_a_failed_run_are_kept() {
        let counts = Counts {
            passed: 4,
            failed: 1,
            skipped: 0,
        };
        let failed = judge(Err(Failure::check("x")), counts, "cargo test").unwrap_err();
        assert_eq!(failed.counts, counts);
        assert!(judge(Ok(()), counts, "cargo test").is_err());
        assert!(
            judge(
                Ok(()),
                Counts {
                    failed: 0,
                    ..counts
                },
                "cargo test"
            )
            .is_ok()
        );
    }
}
