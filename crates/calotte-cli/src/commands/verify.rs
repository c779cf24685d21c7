//! `calotte verify`: every shipped check, re-run.

use calotte_format::safety::Safety;
use calotte_report::safety;

use crate::Verdict;
use crate::arguments::VerifyOptions;
use crate::failure::Failure;
use crate::put;
use crate::terminal;

/// Runs all checks and prints the table; not met if one does not hold.
pub fn run(options: &VerifyOptions) -> Result<Verdict, Failure> {
    let checks = calotte_validation::run_all();
    if options.json {
        let document = calotte_validation::document(&checks, safety::document(Safety::general()));
        terminal::print_data(&(calotte_document::text(&document) + "\n"));
    } else if options.markdown {
        terminal::print_data(&calotte_validation::markdown(&checks));
    } else {
        put!("{}", calotte_validation::text_table(&checks));
        put!("{}", safety::text(Safety::general()));
    }
    if checks.iter().all(|check| check.holds()) {
        Ok(Verdict::Met)
    } else {
        Ok(Verdict::NotMet)
    }
}
