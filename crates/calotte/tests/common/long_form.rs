//! How many random designs are tried: few in the short form, all in the long one.

use std::io::Write as _;

/// The number wanted by this run, said so that the test command counts it.
#[allow(
    clippy::disallowed_methods,
    reason = "the test command says by this variable that the long form is wanted"
)]
pub fn cases(short: u64, long: u64) -> u64 {
    let wanted = if std::env::var_os("CALOTTE_LONG").is_some() {
        long
    } else {
        short
    };
    // println! is captured by the test harness; the count must be seen.
    let _ = writeln!(
        std::io::stdout(),
        "random cases: {wanted} (short form {short}, long form {long})"
    );
    wanted
}
