//! What a map shows.

/// What a map can show.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum MapQuantity {
    /// A stiffness scalar by its name in [`super::super::point::StiffnessScalars::by_name`], N/m (isotropy 1).
    Stiffness(&'static str),
    /// Area-weighted GCI over the required region.
    Gci,
    /// Area-weighted GCI over the part reached.
    GciReached,
    /// Least LCI over the part reached.
    LciMin,
    /// Covered share of the region.
    Coverage,
    /// Greatest polar angle of the working range, rad.
    Reach,
    /// Greatest sag, m.
    Sag,
    /// Greatest holding torque, N·m.
    HoldingTorque,
    /// Mass of what moves without the tool, kg.
    MovingMass,
}

impl MapQuantity {
    /// All of them with the names the command line writes.
    pub const ALL: [(MapQuantity, &'static str); 16] = [
        (MapQuantity::Stiffness("least"), "stiffness"),
        (MapQuantity::Stiffness("mean"), "stiffness-mean"),
        (
            MapQuantity::Stiffness("geometric-mean"),
            "stiffness-geometric-mean",
        ),
        (MapQuantity::Stiffness("trace"), "stiffness-trace"),
        (MapQuantity::Stiffness("polar"), "stiffness-polar"),
        (MapQuantity::Stiffness("azimuth"), "stiffness-azimuth"),
        (MapQuantity::Stiffness("radial"), "stiffness-radial"),
        (MapQuantity::Stiffness("isotropy"), "isotropy"),
        (MapQuantity::Gci, "gci"),
        (MapQuantity::GciReached, "gci-reached"),
        (MapQuantity::LciMin, "lci-min"),
        (MapQuantity::Coverage, "coverage"),
        (MapQuantity::Reach, "reach"),
        (MapQuantity::Sag, "sag"),
        (MapQuantity::HoldingTorque, "holding-torque"),
        (MapQuantity::MovingMass, "moving-mass"),
    ];

    /// The name the command line writes.
    pub fn name(self) -> &'static str {
        Self::ALL
            .iter()
            .find(|(quantity, _)| *quantity == self)
            .map_or("", |(_, name)| name)
    }

    /// Whether joints change it, so that it is given twice.
    pub fn depends_on_joints(self) -> bool {
        matches!(self, MapQuantity::Stiffness(_) | MapQuantity::Sag)
    }

    /// Whether it is taken over the directions covered with the elastic margins, or
    /// at one polar angle.
    pub fn is_elastic(self) -> bool {
        self.depends_on_joints() || self == MapQuantity::HoldingTorque
    }

    /// Whether it is the worst over the part of the region that is reached, so that
    /// designs compare only where they reach the same directions.
    pub fn compares_only_at_equal_reach(self) -> bool {
        self.is_elastic() || matches!(self, MapQuantity::GciReached | MapQuantity::LciMin)
    }

    /// Whether more is better.
    pub fn more_is_better(self) -> bool {
        !matches!(
            self,
            MapQuantity::Sag | MapQuantity::HoldingTorque | MapQuantity::MovingMass
        )
    }
}
