//! The command `calotte`: files in, results and messages out.
//!
//! Results go to stdout, messages and progress to stderr. Exit status 0:
//! computed and the requirement is met; 1: computed, not met; 2: could not
//! compute (nothing written).

mod arguments;
mod commands;
mod failure;
mod files;
mod inputs;
mod part;
mod terminal;

use std::process::ExitCode;

use arguments::{Arguments, Command};
use failure::Failure;

/// How a computed result stands to its requirement.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Verdict {
    /// Met, or nothing was required.
    Met,
    /// Computed, and not met.
    NotMet,
}

fn main() -> ExitCode {
    let arguments = match Arguments::given() {
        Ok(arguments) => arguments,
        Err(error) => {
            let status = u8::from(error.use_stderr()) * 2;
            if error.use_stderr() {
                // What was typed may steer a terminal, and is quoted.
                terminal::print_message(error.render().to_string().trim_end());
            } else {
                terminal::print(&error.render().to_string());
            }
            return match terminal::whole() {
                Ok(()) => ExitCode::from(status),
                Err(failure) => refused(&failure),
            };
        }
    };
    let outcome = run(&arguments);
    match terminal::whole().and(outcome) {
        Ok(Verdict::Met) => ExitCode::SUCCESS,
        Ok(Verdict::NotMet) => ExitCode::from(1),
        Err(failure) => refused(&failure),
    }
}

fn refused(failure: &Failure) -> ExitCode {
    say!("{failure}");
    ExitCode::from(2)
}

fn run(arguments: &Arguments) -> Result<Verdict, Failure> {
    match &arguments.command {
        Command::New(options) => commands::new::run(options),
        Command::Design(options) => commands::design::run(options),
        Command::Analyse(options) => commands::analyse::run(options),
        Command::Judge(options) => commands::judge::run(options),
        Command::Map(options) => commands::map::run(options),
        Command::Compare(options) => commands::compare::run(options),
        #[cfg(feature = "page")]
        Command::Page(options) => commands::page::run(options),
        Command::Parts(options) => commands::parts::run(options),
        Command::Measure(arguments::MeasureCommand::Plan(options)) => {
            commands::measure::plan::run(options)
        }
        Command::Measure(arguments::MeasureCommand::Fit(options)) => {
            commands::measure::fit::run(options)
        }
        Command::Verify(options) => commands::verify::run(options),
        Command::Schema(options) => commands::schema::run(options),
    }
}
