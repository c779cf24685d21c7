//! What is computed with the mean of left and right, where the two differ, in words.

use calotte::design::Design;
use calotte::family::parameters::SideDifference;
use calotte_format::units::degrees;
use calotte_format::words;

/// What takes the mean, and what does not.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Mean {
    /// Everything computed of a design in closed form.
    Everything,
    /// What is planned and fitted beside the points, which take each bar as it is.
    BesidePoints,
    /// Meshes of parts.
    Meshes,
    /// The next design, some of whose parts are those measured.
    Next,
}

/// Where left and right differ most, and what that means.
pub fn words_of(difference: &SideDifference, mean: Mean) -> String {
    let [left, right] = difference.values.map(degrees);
    let said = format!(
        "left and right differ by up to {}° ({} of {} {}°, of {} {}°)",
        words::three(degrees(difference.size())),
        difference.angle.words(),
        difference.bars[0],
        words::number(left, 3),
        difference.bars[1],
        words::number(right, 3)
    );
    let meaning = match mean {
        Mean::Everything => {
            "all is computed with the mean of the two; the tool of the real linkage points elsewhere, and its range may end earlier; `calotte measure` takes each bar as it is"
        }
        Mean::BesidePoints => {
            "points take each bar as it is; weights, sag and the ends of the range take the mean of the two"
        }
        Mean::Meshes => {
            "the meshes have the mean of the two, so that a bar made from one has not what is stated of its side"
        }
        Mean::Next => {
            "search and analysis take the mean of the two; the next design.toml states each kept bar as it is, and measuring the next prototype starts from that"
        }
    };
    format!("{said}: {meaning}")
}

/// The same of a design; `None` where left and right are equal.
pub fn caution(design: &Design, mean: Mean) -> Option<String> {
    let differences = design.family.side_differences();
    differences.first().map(|most| words_of(most, mean))
}
