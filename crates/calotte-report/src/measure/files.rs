//! Which file holds what was drawn and which what was found.

use calotte::measurement::{Cause, Prototype};
use calotte_format::words;

use super::fit_words::said;
use crate::found::{name_with_unit, shown};

/// Where what was drawn and what was found stand, below a heading, on 80 columns.
///
/// # Arguments
/// - `design`: path of the design that was measured.
/// - `out`: path of the folder of results.
pub fn files_words(design: &str, out: &str) -> String {
    let out = out.trim_end_matches('/');
    let mut text = String::new();
    for (head, line) in [
        ("Files", format!("as drawn: {design}; parts are made to it")),
        (
            "",
            format!("as found of this prototype: {out}/design-calibrated.toml; make no part to it"),
        ),
        (
            "",
            format!("every value found, with its error: {out}/fit.json"),
        ),
    ] {
        said(&mut text, head, &line);
    }
    text
}

/// Arcs and bends as drawn and as found, a line each, with what the file is not for.
///
/// # Arguments
/// - `design`: name of the design that was measured, and its SHA-256.
pub fn drawn_and_found(found: &Prototype, design: &str, sha256: &str) -> Vec<String> {
    let mut lines = words::wrapped(
        &format!(
            "AS FOUND on one prototype, not as drawn: make no part to this file. As drawn: {design} (SHA-256 {sha256})."
        ),
        98,
    );
    lines.push("Arcs and bends, drawn and found (± one standard error):".to_string());
    for (parameter, value) in found.fit.parameters.iter().zip(&found.fit.values) {
        let described = &found.model.parameters[parameter.index];
        if !matches!(described.cause, Cause::Bar(_)) {
            continue;
        }
        let error = match parameter.standard_error {
            Some(error) => format!("± {}", shown(described, error)),
            None => "held as drawn".to_string(),
        };
        lines.push(format!(
            "  {}: drawn {}, found {} {error}",
            name_with_unit(described),
            shown(described, described.nominal),
            shown(described, *value)
        ));
    }
    lines
}
