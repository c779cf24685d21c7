//! What a family of linkages is described by: its name and the angles that fix its bars.

/// The family of the linkage with the angles that fix its bars.
#[derive(Debug, Clone, PartialEq)]
pub enum Family {
    /// Crossing bars between apexes on one great circle.
    ScissorLinkage(ScissorLinkage),
    /// Two arcs in series.
    TwoArcArm(TwoArcArm),
}

impl Family {
    /// The family's name as the files write it.
    pub fn name(&self) -> &'static str {
        match self {
            Family::ScissorLinkage(_) => "scissor-linkage",
            Family::TwoArcArm(_) => "two-arc-arm",
        }
    }
}

/// A scissor linkage of one or more stages, symmetric about its centre line.
#[derive(Debug, Clone, PartialEq)]
pub struct ScissorLinkage {
    /// Arc from the apex to the side joint, per stage, rad, in (0, π).
    pub proximal_arcs: Vec<f64>,
    /// Arc from the side joint to the next apex, per stage, rad, in (0, π).
    pub distal_arcs: Vec<f64>,
    /// Bend of the crossing bars between stages, rad; one fewer than stages.
    /// A positive bend opens the next stage.
    pub bends: Vec<f64>,
    /// Assembly mode of each stage, +1 or −1 (the sign of the second part of
    /// the stage along the centre line).
    pub assembly_modes: Vec<i8>,
}

impl ScissorLinkage {
    /// Equal arcs in every stage, no bends, assembly mode +1.
    pub fn uniform(stages: usize, arc: f64) -> Self {
        Self {
            proximal_arcs: vec![arc; stages],
            distal_arcs: vec![arc; stages],
            bends: vec![0.0; stages.saturating_sub(1)],
            assembly_modes: vec![1; stages],
        }
    }

    /// Number of stages.
    pub fn stages(&self) -> usize {
        self.proximal_arcs.len()
    }
}

/// Two arcs in series: base joint, first arc, elbow, second arc, tool.
#[derive(Debug, Clone, PartialEq)]
pub struct TwoArcArm {
    /// First and second arc, rad, in (0, π).
    pub arcs: [f64; 2],
}

/// Name of a family the search can use.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum FamilyName {
    /// Scissor linkage.
    ScissorLinkage,
    /// Two-arc arm.
    TwoArcArm,
}
