//! What the main job found: the one value that its words, figures and pages are made of.

use calotte::analysis::Analysis;
use calotte::analysis::stage_curve::StagePoint;
use calotte::brief::Brief;
use calotte::certificate::Certificate;
use calotte::design::Design;
use calotte::measurement::PointingError;
use calotte::search::{Choice, Effort, IslandFound, Outcome, Precheck};
use calotte::subject::Subject;

use crate::input::Input;
use crate::prototype::Prototype;

/// A search that is no full grid.
pub struct Searched {
    /// How much was looked at, and where its random numbers began.
    pub effort: Effort,
    /// How it went, by what was searched by itself.
    pub islands: Vec<IslandFound>,
}

/// Everything the main job found.
pub struct Found {
    /// The brief and what is said about it.
    pub brief: Input<Brief>,
    /// What no search can mend.
    pub precheck: Precheck,
    /// Every candidate, judged.
    pub outcomes: Vec<Outcome>,
    /// How a search went that is no full grid.
    pub searched: Option<Searched>,
    /// What was proved of linkages of two arcs.
    pub certificates: Vec<Certificate>,
    /// The choice.
    pub choice: Choice,
    /// The chosen design.
    pub design: Design,
    /// The same, made ready.
    pub subject: Subject,
    /// Its analysis.
    pub analysis: Analysis,
    /// Least stiffness against the number of stages.
    pub curve: Vec<StagePoint>,
    /// What the precheck found, in words.
    pub warnings: Vec<String>,
    /// The prototype that this one follows, and its pointing error.
    pub next: Option<(Prototype, Option<PointingError>)>,
}

impl Found {
    /// What random numbers were used for.
    pub fn seed_words(&self) -> String {
        match self.searched {
            Some(_) => {
                "the search draws candidates by it; analysis and proofs use no random numbers"
            }
            None => "no random numbers are used",
        }
        .to_string()
    }
}
