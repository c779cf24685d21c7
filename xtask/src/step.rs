//! The steps of `cargo xtask test`, in order, and the loop that runs them.

use std::time::Instant;

use crate::counts::Counts;
use crate::step_failure::StepFailure;
use crate::workspace::Workspace;
use crate::{hygiene, licences, main_job, oracles, page_steps, rust_steps, setup, verify};

/// One step: a name for `--only`, what it checks, and how.
#[derive(Debug)]
pub struct Step {
    /// Name on the command line.
    pub name: &'static str,
    /// What holds when the step has passed.
    pub summary: &'static str,
    /// Runs the step and returns the numbers of tests it ran.
    run: fn(&Workspace) -> Result<Counts, StepFailure>,
}

/// Every step, cheap ones early.
pub const STEPS: &[Step] = &[
    Step {
        name: "setup",
        summary: "what the tests need is on this machine",
        run: |workspace| Ok(setup::run(workspace)?),
    },
    Step {
        name: "fmt",
        summary: "the Rust code is formatted",
        run: |workspace| Ok(rust_steps::fmt(workspace)?),
    },
    Step {
        name: "clippy",
        summary: "no warning from clippy in any target",
        run: |workspace| Ok(rust_steps::clippy(workspace)?),
    },
    Step {
        name: "tests",
        summary: "unit, property, validation and command line tests, and examples in the documentation",
        run: rust_steps::tests,
    },
    Step {
        name: "page-lint",
        summary: "the page's sources are formatted, well-typed and free of lint",
        run: |workspace| Ok(page_steps::lint(workspace)?),
    },
    Step {
        name: "page-unit",
        summary: "the parts of the page by themselves",
        run: page_steps::unit,
    },
    Step {
        name: "page-browser",
        summary: "the page in a browser against the program, by mouse and by keyboard",
        run: page_steps::browser,
    },
    Step {
        name: "oracles",
        summary: "the program agrees with independent numerical libraries",
        run: oracles::run,
    },
    Step {
        name: "main-job",
        summary: "the first command of README.md runs and writes its results",
        run: |workspace| Ok(main_job::run(workspace)?),
    },
    Step {
        name: "verify",
        summary: "the checks that ship in the program hold, and docs/validation.md shows them",
        run: |workspace| Ok(verify::run(workspace)?),
    },
    Step {
        name: "licences",
        summary: "every dependency has a licence the project accepts",
        run: |workspace| Ok(licences::run(workspace)?),
    },
    Step {
        name: "hygiene",
        summary: "no machine path or package host in the files, cautions in README.md",
        run: |workspace| Ok(hygiene::run(workspace)?),
    },
];

/// Runs the steps asked for, stops at the first failure, prints the numbers of tests in
/// the last line, and returns the exit status.
pub fn run_steps(workspace: &Workspace) -> u8 {
    let begin = Instant::now();
    let mut sum = Counts::default();
    for (index, step) in STEPS.iter().enumerate() {
        if !workspace.options.includes(step.name) {
            continue;
        }
        println!(
            "\n== {} ({} of {}): {}",
            step.name,
            index + 1,
            STEPS.len(),
            step.summary
        );
        let step_begin = Instant::now();
        let outcome = (step.run)(workspace);
        let seconds = step_begin.elapsed().as_secs_f64();
        match outcome {
            Ok(counts) => {
                sum += counts;
                println!("== {} passed in {seconds:.1} s", step.name);
            }
            Err(StepFailure { failure, counts }) => {
                sum += counts;
                println!("== {} FAILED after {seconds:.1} s", step.name);
                eprintln!("\nerror: step `{}` failed\n  {failure}", step.name);
                eprintln!("hint: run it alone with `{}`", rerun(workspace, step));
                print_closing(workspace, sum);
                return failure.exit_status();
            }
        }
    }
    println!(
        "\n== all steps passed in {:.1} s",
        begin.elapsed().as_secs_f64()
    );
    print_closing(workspace, sum);
    0
}

/// The command that runs a step alone, under the options of this run.
fn rerun(workspace: &Workspace, step: &Step) -> String {
    let long = if workspace.options.long {
        " --long"
    } else {
        ""
    };
    format!("cargo xtask test --only {}{long}", step.name)
}

/// The last line of the run: how many tests passed and failed. A run of steps that hold
/// no tests has nothing to say here.
fn print_closing(workspace: &Workspace, sum: Counts) {
    if !["tests", "oracles", "page-unit", "page-browser"]
        .iter()
        .any(|step| workspace.options.includes(step))
    {
        return;
    }
    if sum.skipped > 0 {
        println!("tests left out (ignored or skipped): {}", sum.skipped);
    }
    println!("{} passed, {} failed", sum.passed, sum.failed);
}
