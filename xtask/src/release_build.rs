//! The release build, begun while the tests run: its last crates keep one core busy, the tests
//! another.

use std::process::{Child, Command, Stdio};
use std::sync::Mutex;

/// A build that goes on beside a step.
#[derive(Debug, Default)]
pub struct ReleaseBuild(Mutex<Option<Child>>);

impl ReleaseBuild {
    /// Begins the build, silently. It is a head start and no more: whoever needs the program
    /// builds it as before, which says what was wrong where this one failed.
    pub fn begin(&self, command: &mut Command) {
        let silent = command.stdout(Stdio::null()).stderr(Stdio::null());
        *self.child() = silent.spawn().ok();
    }

    /// Waits until a build that was begun has ended.
    pub fn wait(&self) {
        if let Some(mut child) = self.child().take() {
            // Its outcome is that of the build that follows.
            let _ = child.wait();
        }
    }

    /// Ends a build that nobody waits for any more.
    pub fn stop(&self) {
        if let Some(mut child) = self.child().take() {
            let _ = child.kill();
            let _ = child.wait();
        }
    }

    fn child(&self) -> std::sync::MutexGuard<'_, Option<Child>> {
        self.0
            .lock()
            .unwrap_or_else(|poisoned| poisoned.into_inner())
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::command::cargo;
    use std::path::Path;

    #[test]
    fn a_build_is_waited_for_once_and_can_be_stopped() {
        let build = ReleaseBuild::default();
        build.wait();
        build.begin(cargo(Path::new(".")).arg("--version"));
        assert!(build.child().is_some());
        build.wait();
        assert!(build.child().is_none());
        build.begin(cargo(Path::new(".")).arg("--version"));
        build.stop();
        assert!(build.child().is_none());
        build.begin(&mut Command::new("no-such-program"));
        build.wait();
    }
}
