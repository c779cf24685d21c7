//! Safety against yield, and the part that governs it.

/// The governing stress at a direction.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct SafetyResult {
    /// Yield strength over equivalent stress.
    pub factor: f64,
    /// Equivalent stress, Pa.
    pub stress: f64,
    /// The part that has it.
    pub part: StressedPart,
    /// Index of the load case that acts with the weight; `None` is weight alone.
    pub load: Option<usize>,
}

/// A part that carries stress.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum StressedPart {
    /// An arc, by its index in the structure.
    Arc(usize),
    /// The pin or shaft of a joint, by the joint's index.
    Pin(usize),
}
