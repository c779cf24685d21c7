//! What can be wrong with the data or the style of a figure.

/// Why a figure cannot be drawn.
#[derive(Debug, Clone, PartialEq, thiserror::Error)]
pub enum PlotError {
    /// A list does not have the length that its partners ask for.
    #[error("{what}: {found} values where {expected} are required")]
    Length {
        /// What the list is, with the panel or series it belongs to.
        what: String,
        /// Length needed.
        expected: usize,
        /// Length given.
        found: usize,
    },
    /// Grid coordinates must grow.
    #[error(
        "{what}: value {index} is {value}, not above the one before it ({previous}); give the grid in growing order without repeats"
    )]
    NotAscending {
        /// Which coordinates.
        what: String,
        /// Index of the offending value, from 0.
        index: usize,
        /// The value before it.
        previous: f64,
        /// The offending value.
        value: f64,
    },
    /// Coordinates must be finite; only values to be shown may be missing.
    #[error(
        "{what}: value {index} is {value}; coordinates must be finite numbers (a missing result is `None` in the values)"
    )]
    NotFinite {
        /// Which coordinates.
        what: String,
        /// Index of the offending value, from 0.
        index: usize,
        /// The offending value.
        value: f64,
    },
    /// A number so large that differences of such numbers overflow.
    #[error("{what}: {value:e} is too large for a figure, which takes numbers up to 1e100 in size")]
    TooLarge {
        /// Which numbers.
        what: String,
        /// The offending value.
        value: f64,
    },
    /// A logarithmic axis or colour scale met zero or less.
    #[error(
        "{what}: {value} has no place on a logarithmic scale; use a linear one or leave it out"
    )]
    NotPositive {
        /// Which axis or scale.
        what: String,
        /// The offending value.
        value: f64,
    },
    /// A range with its ends swapped or equal.
    #[error(
        "{what}: range from {from} to {to} is empty; the first number must be clearly the smaller one"
    )]
    EmptyRange {
        /// Which axis or scale.
        what: String,
        /// First number given.
        from: f64,
        /// Second number given.
        to: f64,
    },
    /// A number of the style or of the layout is outside what can be drawn.
    #[error("{what} = {value} is outside {from} to {to}")]
    OutOfRange {
        /// Which setting.
        what: String,
        /// The value given.
        value: f64,
        /// Least value allowed.
        from: f64,
        /// Greatest value allowed.
        to: f64,
    },
    /// The figure is too narrow for its letters.
    #[error(
        "a figure {width_mm} mm wide has no room for letters of {font_pt} pt; widen it to {needed_mm:.0} mm or take smaller letters"
    )]
    TooNarrow {
        /// Width asked for, mm.
        width_mm: f64,
        /// Font size asked for, pt.
        font_pt: f64,
        /// Least width for that font size, mm.
        needed_mm: f64,
    },
    /// The number of panels, rows or parts is more than a figure can show.
    #[error("{what}: {found} given, a figure shows at most {allowed}")]
    TooMany {
        /// What there is too much of.
        what: String,
        /// Number given.
        found: usize,
        /// Greatest number shown.
        allowed: usize,
    },
    /// Marching squares refused a grid; our own mistake, reported rather than hidden.
    #[error("contour lines of `{what}` failed: {reason}")]
    Contour {
        /// Which grid.
        what: String,
        /// The library's words.
        reason: String,
    },
}
