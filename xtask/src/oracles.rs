//! Step `oracles`: the program's numbers against independent numerical libraries, by pytest.

use std::fs::File;
use std::path::{Path, PathBuf};
use std::process::Command;

use crate::command::{program, run_shown, shown_later};
use crate::counts;
use crate::counts::Counts;
use crate::failure::Failure;
use crate::rust_steps::{judge_report, print_counts, set_length};
use crate::setup;
use crate::step_failure::StepFailure;
use crate::workspace::Workspace;

/// The report that is read for numbers.
const REPORT: &str = "oracles.xml";
/// Where the oracles write when they run beside another step.
const WRITTEN: &str = "oracles.txt";

/// Begins the oracles beside a step that leaves a core idle, with what they say written to a
/// file; [`run`] waits for them. Without their environment nothing begins, and `run` says so.
pub fn begin(workspace: &Workspace, calotte: &Path) -> Result<(), Failure> {
    if !workspace.options.includes("oracles") || setup::require_oracles_venv(workspace).is_err() {
        return Ok(());
    }
    let (mut command, _) = pytest(workspace, calotte)?;
    let written = workspace.report(WRITTEN)?;
    let file = |error: std::io::Error| Failure::missing(format!("{}: {error}", written.display()));
    let out = File::create(&written).map_err(file)?;
    let both = out.try_clone().map_err(file)?;
    workspace.oracles.begin(command.stdout(out).stderr(both));
    Ok(())
}

/// The tests of `oracles/` against a program, and the report they write.
fn pytest(workspace: &Workspace, calotte: &Path) -> Result<(Command, PathBuf), Failure> {
    let mut command = program(workspace.oracles_python(), &workspace.root);
    let report = workspace.report(REPORT)?;
    command.args(["-m", "pytest", "oracles", "-q", "-ra"]);
    // A test that is expected to fail and holds would pass unseen in the report.
    command
        .args(["-o", "xfail_strict=true", "--junitxml"])
        .arg(&report);
    command
        .env("CALOTTE_BIN", calotte)
        .env("PYTHONUNBUFFERED", "1");
    // One thread each: the sums of the linear algebra then come out the same every time.
    for variable in ["OPENBLAS_NUM_THREADS", "OMP_NUM_THREADS", "MKL_NUM_THREADS"] {
        command.env(variable, "1");
    }
    set_length(&mut command, workspace);
    Ok((command, report))
}

/// Builds the program as it is handed out and runs `oracles/` against it, or waits for the run
/// that was begun.
pub fn run(workspace: &Workspace) -> Result<Counts, StepFailure> {
    let begun = workspace.oracles.wait();
    let (report, output, outcome) = match begun {
        Some(status) => {
            let (report, written) = (workspace.report_of(REPORT), workspace.report_of(WRITTEN));
            let command = program(workspace.oracles_python(), &workspace.root);
            let (output, outcome) = shown_later(&command, status, &written)?;
            (report, output, outcome)
        }
        None => {
            setup::require_oracles_venv(workspace)?;
            let calotte = workspace.build_release()?;
            let (mut command, report) = pytest(workspace, &calotte)?;
            let (output, outcome) = run_shown(&mut command)?;
            (report, output, outcome)
        }
    };
    let counts = counts::read(&report, counts::from_junit);
    print_counts("Oracle", counts.clone().unwrap_or_default(), &output);
    let counts = judge_report(outcome, counts, "pytest")?;
    all_ran(counts)
}

/// The environment is complete after set-up, so an oracle that leaves itself out hides
/// something.
fn all_ran(counts: Counts) -> Result<Counts, StepFailure> {
    if counts.skipped == 0 {
        return Ok(counts);
    }
    let failure = Failure::check(format!("pytest left out {} tests", counts.skipped))
        .with_hint("the reasons are in its output above; an oracle must run or fail");
    Err(StepFailure { failure, counts })
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn an_oracle_that_is_left_out_fails_the_step() {
        let counts = Counts {
            passed: 9,
            failed: 0,
            skipped: 1,
        };
        assert!(all_ran(counts).is_err());
        assert!(
            all_ran(Counts {
                skipped: 0,
                ..counts
            })
            .is_ok()
        );
    }
}
