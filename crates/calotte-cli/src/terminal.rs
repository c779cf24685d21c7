//! Results on stdout. A reader that went away (`| head`) ends the printing, not
//! the program.

use std::io::Write;

/// Prints text as it is.
pub fn print(text: &str) {
    let mut out = std::io::stdout().lock();
    // Nobody is left to tell if the reader is gone.
    let _ = out.write_all(text.as_bytes());
    let _ = out.flush();
}

/// Prints a line on standard error, for whoever still reads it.
pub fn print_message(line: &str) {
    let _ = writeln!(std::io::stderr().lock(), "{line}");
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
