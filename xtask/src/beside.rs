//! A program that runs beside a step: what keeps one core busy begins while another step leaves
//! one idle.

use std::process::{Child, Command, ExitStatus, Stdio};
use std::sync::{Mutex, MutexGuard, PoisonError};

/// The program, where one was begun.
#[derive(Debug, Default)]
pub struct Beside(Mutex<Option<Child>>);

impl Beside {
    /// Begins a program. It is a head start and no more: whoever needs its outcome runs it where
    /// it could not be begun, which says what was wrong.
    pub fn begin(&self, command: &mut Command) {
        *self.child() = command.stdin(Stdio::null()).spawn().ok();
    }

    /// Waits until it has ended; `None` if none was begun.
    pub fn wait(&self) -> Option<ExitStatus> {
        let mut child = self.child().take()?;
        child.wait().ok()
    }

    /// Ends a program that nobody waits for any more.
    pub fn stop(&self) {
        if let Some(mut child) = self.child().take() {
            // It may have ended by itself.
            let _ = child.kill();
            let _ = child.wait();
        }
    }

    fn child(&self) -> MutexGuard<'_, Option<Child>> {
        self.0.lock().unwrap_or_else(PoisonError::into_inner)
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::command::cargo;
    use std::path::Path;

    #[test]
    fn a_program_is_waited_for_once_and_can_be_stopped() {
        let beside = Beside::default();
        assert!(beside.wait().is_none());
        let mut version = cargo(Path::new("."));
        version.arg("--version").stdout(Stdio::null());
        beside.begin(&mut version);
        assert!(beside.wait().is_some_and(|status| status.success()));
        assert!(beside.wait().is_none());
        beside.begin(&mut version);
        beside.stop();
        assert!(beside.wait().is_none());
        beside.begin(&mut Command::new("no-such-program"));
        assert!(beside.wait().is_none());
    }
}
