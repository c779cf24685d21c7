//! How all limits of a design stand together, in words.

use calotte::analysis::{Analysis, Row, Verdict};
use calotte::design::Design;

use crate::supports::missed_words;

/// What stands for a verdict over a stated uncertainty where there is none to hold over.
fn met_words(design: &Design, analysis: &Analysis) -> &'static str {
    if analysis.rows.iter().any(|row| row.band_met().is_some()) {
        "over the stated uncertainty"
    } else if design.uncertain_inputs().is_empty() {
        "no uncertainty is stated"
    } else {
        "what is stated as uncertain changes no limited value by more than 0.1 %"
    }
}

/// Whether a row is met at nominal values and not over the stated uncertainty.
pub fn only_nominal(row: &Row) -> bool {
    row.met_at_nominal() == Some(true) && row.band_met() == Some(false)
}

/// Rows by their names.
fn named(analysis: &Analysis, of: fn(&Row) -> bool, name: &dyn Fn(&Row) -> String) -> String {
    let rows = analysis.rows.iter().filter(|row| of(row));
    rows.map(name).collect::<Vec<_>>().join("; ")
}

/// For the terminal; `name` is how a row is named.
pub fn printed(design: &Design, analysis: &Analysis, name: &dyn Fn(&Row) -> String) -> String {
    let missed = || named(analysis, |row| row.met_at_nominal() == Some(false), name);
    let doubtful = named(analysis, only_nominal, name);
    let text = match analysis.verdict() {
        Verdict::NothingRequired => "no limits given".to_string(),
        Verdict::Met => match met_words(design, analysis) {
            over if over.starts_with("over") => format!("MET {over}"),
            why => format!("MET; {why}"),
        },
        Verdict::NominalAsAsked => format!(
            "MET AT NOMINAL VALUES ONLY, as the brief asks; not over the stated uncertainty: {doubtful}"
        ),
        Verdict::OutsideValidity => format!(
            "OUTSIDE THE MODEL'S VALIDITY: the stiffness of short bars, which beam theory does not give, decides on: {doubtful}"
        ),
        Verdict::NominalOnly => {
            format!("MET AT NOMINAL VALUES ONLY; not over the stated uncertainty: {doubtful}")
        }
        Verdict::NotMet if doubtful.is_empty() => format!("NOT MET: {}", missed()),
        Verdict::NotMet => format!("NOT MET: {}; at nominal values only: {doubtful}", missed()),
    };
    text + &missed_words(design, analysis, name)
}

/// As a sentence above a page.
pub fn sentence(design: &Design, analysis: &Analysis, name: &dyn Fn(&Row) -> String) -> String {
    let missed = || named(analysis, |row| row.met_at_nominal() == Some(false), name);
    let doubtful = named(analysis, only_nominal, name);
    let text = match analysis.verdict() {
        Verdict::NothingRequired => "No limits are given".to_string(),
        Verdict::Met => match met_words(design, analysis) {
            over if over.starts_with("over") => format!("Every requirement is met {over}"),
            why => format!("Every requirement is met; {why}"),
        },
        Verdict::NominalAsAsked => format!(
            "Every requirement is met as the brief asks, at nominal values; over the stated uncertainty not: {doubtful}"
        ),
        Verdict::OutsideValidity => format!(
            "Outside the model's validity: the stiffness of short bars, which beam theory does not give, decides on: {doubtful}"
        ),
        Verdict::NominalOnly => format!(
            "Not every requirement is met over the stated uncertainty; at nominal values only: {doubtful}"
        ),
        Verdict::NotMet => format!(
            "Not every requirement is met; missed at nominal values already: {}",
            missed()
        ),
    };
    text + &missed_words(design, analysis, name)
}
