//! Why a line has no verdict, and the answer that says so.

use crate::terminal;
use calotte_document::judged::{JudgedDocument, KeyProblem, LineError, Refusal};
use calotte_format::safety::Safety;
use calotte_format::{FormatError, Problem};
use calotte_report::safety;

/// Why a line has no verdict.
pub(super) struct Refused {
    message: String,
    hint: String,
    problems: Vec<Problem>,
}

impl Refused {
    pub(super) fn new(message: &str, hint: &str) -> Self {
        Self {
            message: message.to_string(),
            hint: hint.to_string(),
            problems: Vec::new(),
        }
    }

    /// The answer to the line.
    pub(super) fn answer(&self, line: usize) -> String {
        let answer = JudgedDocument::Refusal(Refusal {
            line,
            met: (),
            error: LineError {
                message: self.message.clone(),
                hint: self.hint.clone(),
                problems: self.problems.iter().map(key_problem).collect(),
            },
            safety: safety::notice_document(Safety::general()),
        });
        terminal::escaped(&calotte_document::json(&answer).to_string())
    }
}

impl From<FormatError> for Refused {
    fn from(error: FormatError) -> Self {
        let first = error.problems.first();
        let message = first.map_or(String::new(), |problem| {
            if problem.key.is_empty() {
                problem.message.clone()
            } else {
                format!("{}: {}", problem.key, problem.message)
            }
        });
        Self {
            message,
            hint: first.map_or(String::new(), |problem| problem.hint.clone()),
            problems: error.problems,
        }
    }
}

fn key_problem(problem: &Problem) -> KeyProblem {
    KeyProblem {
        key: problem.key.clone(),
        value: problem.value.clone(),
        message: problem.message.clone(),
        allowed: problem.allowed.clone(),
        hint: problem.hint.clone(),
    }
}
