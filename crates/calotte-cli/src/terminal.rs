//! Results on stdout. A reader that went away (`| head`) ends the printing, not the program; a
//! result that could not be written for any other reason is no result.

use std::io::{self, ErrorKind, Write};
use std::sync::Mutex;

use crate::failure::Failure;

/// Why the output could not be written, once it could not.
static FAILED: Mutex<Option<io::Error>> = Mutex::new(None);

/// Prints text as it is.
pub fn print(text: &str) {
    let mut out = io::stdout().lock();
    let written = out.write_all(text.as_bytes()).and_then(|()| out.flush());
    record(written);
}

/// Keeps the first reason why the output is not whole, but for a reader that went away.
pub fn record(written: io::Result<()>) {
    let Err(error) = written else { return };
    if error.kind() != ErrorKind::BrokenPipe
        && let Ok(mut failed) = FAILED.lock()
    {
        failed.get_or_insert(error);
    }
}

/// Whether all output was written.
pub fn whole() -> Result<(), Failure> {
    match FAILED.lock().ok().and_then(|mut failed| failed.take()) {
        None => Ok(()),
        Some(error) => Err(
            Failure::new(format!("the output could not be written: {error}"))
                .hint("is the disk full? what was printed is not whole; --out DIR writes files"),
        ),
    }
}

/// Prints a line on standard error, for whoever still reads it.
pub fn print_message(line: &str) {
    let _ = writeln!(io::stderr().lock(), "{line}");
}

/// Prints a formatted line on standard error.
#[macro_export]
macro_rules! say {
    ($($part:tt)*) => { $crate::terminal::print_message(&format!($($part)*)) };
}

/// Prints formatted text to stdout.
#[macro_export]
macro_rules! put {
    ($($part:tt)*) => { $crate::terminal::print(&format!($($part)*)) };
}

/// Prints a formatted line to stdout.
#[macro_export]
macro_rules! put_line {
    () => { $crate::terminal::print("\n") };
    ($($part:tt)*) => { $crate::terminal::print(&(format!($($part)*) + "\n")) };
}
