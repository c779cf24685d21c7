//! `cargo xtask test`: sets up what the tests need, runs every test of the project and
//! prints how many passed. One command, the same on a laptop and on a server.

mod arguments;
mod beside;
mod command;
mod counts;
mod failure;
mod hygiene;
mod licences;
mod main_job;
mod node;
mod npm_licences;
mod options;
mod oracles;
mod page_steps;
mod rust_steps;
mod setup;
mod step;
mod step_failure;
mod verify;
mod workspace;

use std::process::ExitCode;

use arguments::Request;
use failure::Failure;
use options::TestOptions;
use step::{STEPS, run_steps};
use workspace::Workspace;

fn main() -> ExitCode {
    let words: Vec<String> = std::env::args().skip(1).collect();
    match arguments::parse(&words) {
        Ok(Request::Help) => {
            print!("{}", arguments::help());
            ExitCode::SUCCESS
        }
        Ok(Request::List) => {
            print_steps();
            ExitCode::SUCCESS
        }
        Ok(Request::Test(options)) => test(options),
        Err(message) => {
            eprintln!("error: {message}\nhint: `cargo xtask test --help` lists what can be given");
            ExitCode::from(Failure::COULD_NOT_RUN)
        }
    }
}

/// Runs the steps asked for and turns their outcome into the exit status.
fn test(options: TestOptions) -> ExitCode {
    let workspace = match Workspace::find(options) {
        Ok(workspace) => workspace,
        Err(failure) => {
            eprintln!("error: {failure}");
            return ExitCode::from(failure.exit_status());
        }
    };
    let status = run_steps(&workspace);
    workspace.release.stop();
    workspace.oracles.stop();
    ExitCode::from(status)
}

/// One line per step: its name, for `--only`, and what it checks.
fn print_steps() {
    for step in STEPS {
        println!("{:<13} {}", step.name, step.summary);
    }
}
