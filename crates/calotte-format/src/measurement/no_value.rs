//! A spreadsheet's words for no value.

/// Words by which a spreadsheet marks a value it could not work out. They begin with `#`
/// and are missing values, not remarks.
const NO_VALUE: [&str; 7] = [
    "#N/A", "#VALUE!", "#DIV/0!", "#REF!", "#NAME?", "#NUM!", "#NULL!",
];

/// Whether a text begins with a spreadsheet's word for no value.
pub(super) fn begins_with_no_value(text: &str) -> bool {
    NO_VALUE.iter().any(|word| text.starts_with(word))
}

/// Whether a value is a spreadsheet's word for no value.
pub(super) fn is_no_value(text: &str) -> bool {
    NO_VALUE.contains(&text)
}
