//! Steps `page-lint`, `page-unit` and `page-browser`: the page's sources, its parts by
//! themselves, and the whole of it in a browser against the real program.

use std::ffi::OsString;
use std::process::Command;

use crate::command::{program, run as run_command, run_shown};
use crate::counts::{self, Counts};
use crate::failure::Failure;
use crate::node;
use crate::oracles;
use crate::rust_steps::{judge_report, print_counts, set_length};
use crate::step_failure::StepFailure;
use crate::workspace::Workspace;

/// The page's sources are formatted, well-typed and free of lint.
pub fn lint(workspace: &Workspace) -> Result<Counts, Failure> {
    require_packages(workspace)?;
    run_command(node_script(workspace, "prettier").args(["--check", "."]))
        .map_err(|failure| failure.with_hint("`npm run format` in crates/calotte-page/web"))?;
    run_command(node_script(workspace, "eslint").arg("."))?;
    run_command(node_script(workspace, "svelte-check").args([
        "--fail-on-warnings",
        "--tsconfig",
        "./tsconfig.json",
    ]))?;
    Ok(Counts::default())
}

/// The page's parts by themselves.
pub fn unit(workspace: &Workspace) -> Result<Counts, StepFailure> {
    require_packages(workspace)?;
    let mut command = node_script(workspace, "vitest");
    let report = workspace.report("page-unit.json")?;
    command.args(["run", "--config", "vitest.config.ts"]);
    command.args(["--reporter", "default", "--reporter", "json"]);
    let mut output_file = OsString::from("--outputFile.json=");
    output_file.push(&report);
    command.arg(output_file);
    let (output, outcome) = run_shown(&mut command)?;
    let counts = counts::read(&report, counts::from_vitest);
    print_counts("Page unit", counts.clone().unwrap_or_default(), &output);
    all_ran(judge_report(outcome, counts, "vitest")?, "vitest")
}

/// The whole page in chromium against the program as it is handed out.
pub fn browser(workspace: &Workspace) -> Result<Counts, StepFailure> {
    require_packages(workspace)?;
    let chromium = node::chromium(workspace).ok_or_else(|| {
        Failure::missing("chromium is not on this machine").with_hint(format!(
            "`cargo xtask test --only setup --install` brings it, or let {} name one",
            node::CHROMIUM_VARIABLE
        ))
    })?;
    let calotte = workspace.build_release()?;
    // A browser waits more than it computes.
    oracles::begin(workspace, &calotte)?;
    let mut command = node_script(workspace, "playwright");
    let report = workspace.report("page-browser.json")?;
    command.args(["test", "--reporter", "list,json"]);
    command
        .env("PLAYWRIGHT_JSON_OUTPUT_FILE", &report)
        .env("CALOTTE_BIN", calotte)
        .env(node::CHROMIUM_VARIABLE, chromium)
        .env("CALOTTE_EXAMPLES", workspace.root.join("examples"));
    set_length(&mut command, workspace);
    let (output, outcome) = run_shown(&mut command)?;
    let counts = counts::read(&report, counts::from_playwright);
    print_counts("Browser", counts.clone().unwrap_or_default(), &output);
    all_ran(judge_report(outcome, counts, "playwright")?, "playwright")
}

/// A tool of the page's packages, run from the page's folder.
fn node_script(workspace: &Workspace, name: &str) -> Command {
    let folder = node::web(workspace);
    let tool = folder.join("node_modules").join(".bin").join(name);
    let mut command = program(tool, &folder);
    command.env("NO_COLOR", "1").env("CI", "true");
    command
}

fn require_packages(workspace: &Workspace) -> Result<(), Failure> {
    match node::lacks_packages(workspace)? {
        None => Ok(()),
        Some(reason) => Err(
            Failure::missing(format!("the packages of the page: {reason}"))
                .with_hint("`cargo xtask test --only setup --install` installs them"),
        ),
    }
}

/// A test that leaves itself out hides something.
fn all_ran(counts: Counts, program: &str) -> Result<Counts, StepFailure> {
    if counts.skipped == 0 {
        return Ok(counts);
    }
    let failure = Failure::check(format!("{program} left out {} tests", counts.skipped));
    Err(StepFailure { failure, counts })
}
