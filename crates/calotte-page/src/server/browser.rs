//! Opens an address in the browser of whoever started the program.

use std::process::{Command, Stdio};

use super::log::Log;

/// Starts the browser and does not wait for it. That it cannot be started is worth a
/// line, no more: the address is on the terminal.
pub(crate) fn open(address: &str, log: &Log) {
    let mut command = command(address);
    command
        .stdin(Stdio::null())
        .stdout(Stdio::null())
        .stderr(Stdio::null());
    #[cfg(unix)]
    {
        use std::os::unix::process::CommandExt;
        // Ctrl-C on the terminal ends this program, not the browser.
        command.process_group(0);
    }
    let log = log.clone();
    let name = command.get_program().to_string_lossy().into_owned();
    std::thread::spawn(move || {
        let reason = match command.status() {
            Ok(status) if status.success() => return,
            Ok(status) => status.to_string(),
            Err(error) => error.to_string(),
        };
        log.line(&format!(
            "no browser was opened (`{name}`: {reason}); open the address yourself"
        ));
    });
}

#[cfg(target_os = "macos")]
fn command(address: &str) -> Command {
    let mut command = Command::new("open");
    command.arg(address);
    command
}

#[cfg(windows)]
fn command(address: &str) -> Command {
    let mut command = Command::new("cmd");
    command.args(["/C", "start", "", address]);
    command
}

#[cfg(not(any(target_os = "macos", windows)))]
fn command(address: &str) -> Command {
    let mut command = Command::new("xdg-open");
    command.arg(address);
    command
}
