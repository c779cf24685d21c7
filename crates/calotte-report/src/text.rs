//! Text in the making, line by line.

/// Adds a formatted line to a text.
macro_rules! line {
    ($text:expr) => {
        $text.push('\n')
    };
    ($text:expr, $($part:tt)*) => {
        $text.push_str(&(format!($($part)*) + "\n"))
    };
}
pub(crate) use line;
