//! What is left of the material beside a hole or void: whether a part can be, and whether its
//! process usually makes it.

use crate::number::shown::millimetres;
use crate::quantity::Quantity;
use crate::stock::{Process, ProcessLimits};

use super::SolidKind;

/// Material left beside a hole or void of a part.
#[derive(Debug, Clone, PartialEq)]
pub struct Wall {
    /// The part, as results print it.
    pub part: String,
    /// What kind of part.
    pub kind: SolidKind,
    /// Where the material is.
    pub place: WallPlace,
    /// Its thickness, m; not above zero where the part cannot be.
    pub thickness: f64,
    /// How the part is made.
    pub process: Process,
}

/// Where material is left.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum WallPlace {
    /// Between a hole and the round about it, diameters in m.
    Around {
        /// The hole.
        hole: f64,
        /// The round.
        round: f64,
        /// What the hole is for.
        bored_for: BoredFor,
    },
    /// Around the void of a hollow bar.
    Void,
    /// Between two holes of one part, diameters in m, along the part's face nearer to the
    /// remote centre, where they come closest.
    Between {
        /// The holes.
        holes: [f64; 2],
    },
}

/// What a hole is for.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum BoredFor {
    /// The bearings of a joint.
    Bearing,
    /// A pin.
    Pin,
    /// A shaft of the base.
    Shaft,
    /// Lightness, or what runs through it.
    Nothing,
}

/// How a wall stands.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub enum Degree {
    /// Nothing is left: the part cannot be.
    Impossible,
    /// Thinner than the process usually makes.
    BelowProcess,
    /// As thick as the process asks, or thicker.
    Enough,
}

impl Wall {
    /// Whether it lies between two holes.
    pub fn is_land(&self) -> bool {
        matches!(self.place, WallPlace::Between { .. })
    }

    /// The quantity it is one of.
    pub fn quantity(&self) -> Quantity {
        if self.is_land() {
            Quantity::Land
        } else {
            Quantity::Wall
        }
    }

    /// The thinnest that its process usually makes, m.
    pub fn usual_minimum(&self) -> f64 {
        let ProcessLimits { wall, land, .. } = self.process.limits();
        if self.is_land() { land } else { wall }
    }

    /// How it stands.
    pub fn degree(&self) -> Degree {
        // A size that a file gives in millimetres is on its limit to the last digit.
        let least = self.usual_minimum() * (1.0 - 1e-9);
        if self.thickness <= 0.0 {
            Degree::Impossible
        } else if self.thickness < least {
            Degree::BelowProcess
        } else {
            Degree::Enough
        }
    }

    /// Where it is, in words.
    pub fn words(&self) -> String {
        match self.place {
            WallPlace::Around { hole, round, .. } => format!(
                "{} between a hole of {} and the round of {}",
                self.part,
                millimetres(&hole),
                millimetres(&round)
            ),
            WallPlace::Void => format!("{} around its void", self.part),
            WallPlace::Between {
                holes: [one, other],
            } => format!(
                "{} between holes of {} and {}",
                self.part,
                millimetres(&one),
                millimetres(&other)
            ),
        }
    }

    /// Keys of the design file that change it.
    pub fn keys(&self) -> &'static str {
        match (self.place, self.kind) {
            (WallPlace::Void, _) => "section.wall_mm or section.inner_diameter_mm",
            (WallPlace::Between { .. }, _) => {
                "linkage (longer arcs), linkage.joint_radius_mm, or a smaller bearing or shaft"
            }
            (_, SolidKind::Pin) => "joints.pin.diameter_mm or joints.pin.bore_mm",
            (_, SolidKind::Shaft) => {
                "layers.hollow_shaft_diameter_mm or layers.hollow_shaft_bore_mm"
            }
            (
                WallPlace::Around {
                    bored_for: BoredFor::Shaft,
                    ..
                },
                _,
            ) => {
                "joints.boss_diameter_mm, layers.shaft_diameter_mm or layers.hollow_shaft_diameter_mm"
            }
            _ => "joints.boss_diameter_mm",
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn around(hole: f64, round: f64, process: Process) -> Wall {
        Wall {
            part: "bar".to_string(),
            kind: SolidKind::Bar,
            place: WallPlace::Around {
                hole,
                round,
                bored_for: BoredFor::Bearing,
            },
            thickness: 0.5 * (round - hole),
            process,
        }
    }

    #[test]
    fn a_wall_is_nothing_thin_or_enough() {
        let milled = |hole, round| around(hole, round, Process::Milled).degree();
        assert_eq!(milled(22e-3, 24e-3), Degree::BelowProcess);
        assert_eq!(milled(21e-3, 24e-3), Degree::Enough);
        assert_eq!(milled(24e-3, 24e-3), Degree::Impossible);
        assert_eq!(milled(25e-3, 24e-3), Degree::Impossible);
        let printed = around(21e-3, 24e-3, Process::FilamentPrinted);
        assert_eq!(printed.degree(), Degree::BelowProcess);
    }
}
