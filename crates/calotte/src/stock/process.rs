//! How parts are made, and how thin a wall each way leaves safely.
//!
//! The numbers are what workshops usually keep; none has a source. They are not limits of the
//! machine: a workshop that makes thinner walls says so in `[limits]`.

/// A way to make a bar with its bosses.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum Process {
    /// Milled from solid.
    Milled,
    /// Turned from solid.
    Turned,
    /// Printed from molten filament, layer by layer.
    FilamentPrinted,
    /// Sintered from powder by laser.
    LaserSintered,
    /// Cut from sheet by laser or water jet.
    SheetCut,
    /// Laid up from fibre layers in resin.
    Laminated,
}

/// The thinnest that a process usually makes.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct ProcessLimits {
    /// Material around a hole or a void, m.
    pub wall: f64,
    /// Material between two holes of one part, m.
    pub land: f64,
    /// Where the numbers come from.
    pub source: &'static str,
}

impl Process {
    /// All of them, in the order they are documented.
    pub const ALL: [Process; 6] = [
        Process::Milled,
        Process::Turned,
        Process::FilamentPrinted,
        Process::LaserSintered,
        Process::SheetCut,
        Process::Laminated,
    ];

    /// The word that files write.
    pub const fn word(self) -> &'static str {
        match self {
            Process::Milled => "milled",
            Process::Turned => "turned",
            Process::FilamentPrinted => "filament-printed",
            Process::LaserSintered => "laser-sintered",
            Process::SheetCut => "sheet-cut",
            Process::Laminated => "laminated",
        }
    }

    /// What it is, in one line.
    pub const fn meaning(self) -> &'static str {
        match self {
            Process::Milled => "milled from solid",
            Process::Turned => "turned from solid",
            Process::FilamentPrinted => "printed from molten filament",
            Process::LaserSintered => "sintered from powder by laser",
            Process::SheetCut => "cut from sheet by laser or water jet",
            Process::Laminated => "laid up from fibre layers in resin",
        }
    }

    /// The process of a word.
    pub fn of_word(word: &str) -> Option<Self> {
        Self::ALL.into_iter().find(|process| process.word() == word)
    }

    /// The thinnest wall and land it usually makes.
    pub const fn limits(self) -> ProcessLimits {
        let [wall, land] = match self {
            Process::Milled => [1.5e-3, 1.5e-3],
            Process::Turned => [1.2e-3, 1.2e-3],
            // Five lines of a nozzle of 0.4 mm.
            Process::FilamentPrinted => [2.0e-3, 2.0e-3],
            Process::LaserSintered => [1.5e-3, 1.5e-3],
            Process::SheetCut => [2.0e-3, 2.0e-3],
            Process::Laminated => [2.5e-3, 3.0e-3],
        };
        ProcessLimits {
            wall,
            land,
            source: "common practice, no source",
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn every_process_has_a_word_of_its_own_and_limits_above_nothing() {
        for process in Process::ALL {
            assert_eq!(Process::of_word(process.word()), Some(process));
            let limits = process.limits();
            assert!(limits.wall > 0.0 && limits.land > 0.0 && !limits.source.is_empty());
        }
        assert_eq!(Process::of_word("cast"), None);
    }
}
