//! Results on stdout. A reader that went away (`| head`) ends the printing, not the program; a
//! result that could not be written for any other reason is no result.
//!
//! What a person reads is fitted to a narrow terminal, and characters that would steer the
//! terminal are shown by their number; data for programs are printed as they are.

mod columns;

use std::io::{self, ErrorKind, Write};
use std::sync::Mutex;

use calotte_format::words;

use crate::failure::Failure;

/// Why the output could not be written, once it could not.
static FAILED: Mutex<Option<io::Error>> = Mutex::new(None);

/// Prints text that a person reads.
pub fn print(text: &str) {
    write(&columns::fitted(&words::seen(text), columns::of_stdout()));
}

/// Prints data for programs as they are, JSON or Markdown, steering characters escaped.
pub fn print_data(text: &str) {
    write(&escaped(text));
}

/// JSON with every character that would steer a terminal as `\u` and four digits: the same JSON,
/// and a name from a file cannot blank the screen of who reads it.
pub fn escaped(json: &str) -> String {
    let mut shown = String::with_capacity(json.len());
    for character in json.chars() {
        if character != '\n' && words::steers(character) {
            // All such characters lie below U+10000: one unit of UTF-16.
            shown.push_str(&format!("\\u{:04x}", u32::from(character)));
        } else {
            shown.push(character);
        }
    }
    shown
}

fn write(text: &str) {
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
    let line = columns::fitted(&words::seen(line), columns::of_stderr());
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
