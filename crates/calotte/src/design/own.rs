//! Where a design differs: bars with a section of their own, levels with joints of their own.
//!
//! `section` and `joints` of a design are the rule. What stands here goes before it: a
//! bar's own section before its level's, a level's before the rule. Bars and joints know
//! their level (`linkage::Body::level`, `linkage::Joint::level`) and are asked by
//! `Body::section` and `Joint::properties`; nothing that computes reads the rule by itself.

use thiserror::Error;

use crate::stock::Section;

use super::JointProperties;

/// Sections and joints that are not those of the rule.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct Own {
    /// Sections, each for what it names; at most one for each.
    pub sections: Vec<OwnSection>,
    /// Joints by level; at most one entry for each level.
    pub joints: Vec<OwnJoints>,
}

/// A section of its own.
#[derive(Debug, Clone, PartialEq)]
pub struct OwnSection {
    /// What has it.
    pub of: SectionOf,
    /// The section.
    pub section: Section,
}

/// What has a section of its own.
#[derive(Debug, Clone, PartialEq, Eq, PartialOrd, Ord)]
pub enum SectionOf {
    /// All bars that start from the joints of a level, 0 at the base.
    Level(usize),
    /// One bar, by the name that results print.
    Bar(String),
}

/// Joints of their own at one level.
///
/// The material of the pins, where they are clamped, seats and measured factors are those of
/// the rule, releases stand there for all joints by name, and joints of a level are described
/// as the rule's: rigid, by three stiffnesses or by bearings.
#[derive(Debug, Clone, PartialEq)]
pub struct OwnJoints {
    /// The level, 0 at the base.
    pub level: usize,
    /// Stiffness, parts, boss and mass; its releases are empty.
    pub joints: JointProperties,
}

/// A part of the rule from which a design may differ.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Differing {
    /// Sections.
    Sections,
    /// Joints.
    Joints,
}

impl Differing {
    /// What differs, in words.
    pub fn words(self) -> &'static str {
        match self {
            Self::Sections => "sections",
            Self::Joints => "joints",
        }
    }
}

/// What is not answered yet for a design whose bars or joints differ.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Error)]
#[error("{what}: not available yet for a design whose {} differ", differing.words())]
pub struct NotYetWhereDiffering {
    /// What was asked.
    pub what: &'static str,
    /// What differs.
    pub differing: Differing,
}

/// A design whose own sections or joints do not belong to it.
#[derive(Debug, Clone, PartialEq, Error)]
pub enum OwnError {
    /// A bar is named that does not exist.
    #[error("no bar is named {name:?}; the bars are {}", known.join(", "))]
    UnknownBar {
        /// Which entry of the sections, from 0.
        entry: usize,
        /// The name given.
        name: String,
        /// The names there are.
        known: Vec<String>,
    },
    /// A level that the linkage does not have.
    #[error("level {level} is given own {}; the levels are {}", differing.words(), levels(.last))]
    UnknownLevel {
        /// What is given for it.
        differing: Differing,
        /// Which entry of the list, from 0.
        entry: usize,
        /// The level given.
        level: usize,
        /// The last level there is.
        last: usize,
    },
    /// The same bar or level is given twice.
    #[error("{of} is given own {} twice", differing.words())]
    Twice {
        /// What is given.
        differing: Differing,
        /// Which entry of the list, from 0: the second.
        entry: usize,
        /// The bar or level in words.
        of: String,
    },
    /// Joints of a level that are described otherwise than the rule's.
    #[error("the joints of level {level} are described otherwise than all others: {why}")]
    OtherKind {
        /// Which entry of the list, from 0.
        entry: usize,
        /// The level.
        level: usize,
        /// What differs that must not.
        why: &'static str,
    },
    /// A boss diameter that none can have.
    #[error("boss diameter of level {level} is {value}, must be zero or a positive number")]
    BossDiameter {
        /// Which entry of the list, from 0.
        entry: usize,
        /// The level.
        level: usize,
        /// The value, m.
        value: f64,
    },
    /// A section has an impossible size.
    #[error(transparent)]
    Section(#[from] crate::stock::SectionError),
}

fn levels(last: &usize) -> String {
    match last {
        0 => "0 alone".to_string(),
        last => format!("0 (the base) to {last}"),
    }
}

impl SectionOf {
    /// In words.
    pub fn words(&self) -> String {
        match self {
            Self::Level(level) => format!("level {level}"),
            Self::Bar(name) => name.clone(),
        }
    }
}

impl Own {
    /// Whether nothing differs.
    pub fn is_empty(&self) -> bool {
        self.sections.is_empty() && self.joints.is_empty()
    }
}
