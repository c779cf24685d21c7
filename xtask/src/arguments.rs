//! The words after `cargo xtask`.

use crate::options::TestOptions;
use crate::step::STEPS;

/// What was asked for.
#[derive(Debug, PartialEq)]
pub enum Request {
    /// Print the help text.
    Help,
    /// Print the names of the steps.
    List,
    /// Run tests.
    Test(TestOptions),
}

/// Reads the words after `cargo xtask`; the error says what is wrong and what is allowed.
pub fn parse(words: &[String]) -> Result<Request, String> {
    let mut words = words.iter().map(String::as_str);
    match words.next() {
        Some("test") => {}
        None | Some("help" | "--help" | "-h") => return Ok(Request::Help),
        Some(other) => return Err(format!("unknown task `{other}`; the only task is `test`")),
    }
    let mut options = TestOptions::default();
    while let Some(word) = words.next() {
        match word {
            "--help" | "-h" => return Ok(Request::Help),
            "--list" => return Ok(Request::List),
            "--install" => options.install = true,
            "--long" => options.long = true,
            "--only" => options.only.push(step_name(words.next())?),
            other => match other.strip_prefix("--only=") {
                Some(name) => options.only.push(step_name(Some(name))?),
                None => {
                    return Err(format!(
                        "unknown argument `{other}`; allowed are --install, --long, --only STEP, --list, --help"
                    ));
                }
            },
        }
    }
    Ok(Request::Test(options))
}

/// Checks that a step of this name exists.
fn step_name(word: Option<&str>) -> Result<String, String> {
    let names: Vec<&str> = STEPS.iter().map(|step| step.name).collect();
    match word {
        Some(name) if names.contains(&name) => Ok(name.to_owned()),
        Some(name) => Err(format!(
            "there is no step `{name}`; the steps are {}",
            names.join(", ")
        )),
        None => Err(format!(
            "--only needs the name of a step: {}",
            names.join(", ")
        )),
    }
}

/// The help text.
pub fn help() -> String {
    let mut text = String::from(
        "Runs every test of the project, in order, and stops at the first step that fails.

Usage: cargo xtask test [--install] [--long] [--only STEP]... [--list]

  --install    fetch and install what the tests need (crates, Python packages, and as
               root or with sudo Debian packages); without it the missing pieces are named
  --long       try more random designs, in the Rust tests and in the oracles
  --only STEP  run this step alone; may be given several times
  --list       print the steps and end
  --help       print this text and end

Exit status: 0 everything passed; 1 a check failed; 2 a check could not run.

Example: cargo xtask test --install
         cargo xtask test --only oracles

Steps:
",
    );
    for step in STEPS {
        text.push_str(&format!("  {:<10} {}\n", step.name, step.summary));
    }
    text
}

#[cfg(test)]
mod tests {
    use super::*;

    fn parse_text(text: &str) -> Result<Request, String> {
        let words: Vec<String> = text.split_whitespace().map(str::to_owned).collect();
        parse(&words)
    }

    #[test]
    fn flags_and_steps_are_read_in_any_order() {
        let request = parse_text("test --long --only fmt --install --only=oracles").unwrap();
        let expected = TestOptions {
            install: true,
            long: true,
            only: vec!["fmt".to_owned(), "oracles".to_owned()],
        };
        assert_eq!(request, Request::Test(expected));
    }

    #[test]
    fn no_step_named_means_every_step() {
        let all = TestOptions::default();
        assert!(STEPS.iter().all(|step| all.includes(step.name)));
        let one = TestOptions {
            only: vec!["fmt".to_owned()],
            ..all
        };
        assert!(one.includes("fmt") && !one.includes("clippy") && !one.includes("setup"));
        let installing = TestOptions {
            install: true,
            ..one
        };
        assert!(installing.includes("setup") && !installing.includes("clippy"));
    }

    #[test]
    fn unknown_words_are_refused_with_what_is_allowed() {
        assert!(parse_text("test --fast").unwrap_err().contains("--install"));
        assert!(
            parse_text("test --only everything")
                .unwrap_err()
                .contains("oracles")
        );
        assert!(
            parse_text("test --only")
                .unwrap_err()
                .contains("needs the name")
        );
        assert!(parse_text("deploy").unwrap_err().contains("`deploy`"));
    }

    #[test]
    fn help_and_list_end_early() {
        assert_eq!(parse_text(""), Ok(Request::Help));
        assert_eq!(parse_text("test --help"), Ok(Request::Help));
        assert_eq!(parse_text("test --list"), Ok(Request::List));
        assert!(STEPS.iter().all(|step| help().contains(step.name)));
    }
}
