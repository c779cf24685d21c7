//! What a run of the tests was asked for.

/// How `test` runs.
#[derive(Debug, Default, PartialEq)]
pub struct TestOptions {
    /// Fetch and install what is missing.
    pub install: bool,
    /// Try more random designs.
    pub long: bool,
    /// Names of the steps to run; empty for all of them.
    pub only: Vec<String>,
}

impl TestOptions {
    /// Whether the step of this name is to run. Installing is the work of `setup`, so
    /// that one runs with `--install` even where other steps are named.
    pub fn includes(&self, step: &str) -> bool {
        let named = self.only.iter().any(|name| name == step);
        self.only.is_empty() || named || (self.install && step == "setup")
    }
}
