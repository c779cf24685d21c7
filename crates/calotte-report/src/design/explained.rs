//! What the terminal says of a search besides the analysis of its choice.

use super::certificate;
use super::found::Found;

/// Label of what was proved.
pub const CERTIFICATE: &str = "Certificate";

/// Labels with their text, in order.
pub fn explained(found: &Found) -> Vec<(&'static str, String)> {
    let proved = certificate::lines(found).into_iter();
    proved.map(|line| (CERTIFICATE, line)).collect()
}
