//! One check: a value the library computes beside a value from elsewhere.

use std::fmt;

/// Where a reference value comes from, in one word.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Kind {
    /// Printed in a publication, named so that it can be looked up.
    Published,
    /// Derived for this project by a file of the repository that does not use the library.
    Derived,
    /// Recalled from the literature without opening it.
    FromMemory,
    /// What workshops and makers' guides do, without a source.
    CommonPractice,
}

impl Kind {
    /// All of them, in the order of summaries.
    pub const ALL: [Kind; 4] = [
        Kind::Published,
        Kind::Derived,
        Kind::FromMemory,
        Kind::CommonPractice,
    ];

    /// The word that JSON uses.
    pub fn word(self) -> &'static str {
        match self {
            Kind::Published => "published",
            Kind::Derived => "derived",
            Kind::FromMemory => "from-memory",
            Kind::CommonPractice => "common-practice",
        }
    }

    /// The letter in the table of a terminal.
    pub fn letter(self) -> char {
        match self {
            Kind::Published => 'p',
            Kind::Derived => 'd',
            Kind::FromMemory => 'm',
            Kind::CommonPractice => 'c',
        }
    }
}

/// Where a reference value comes from.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Source {
    /// A publication, named so that the value can be looked up.
    Published {
        /// Who wrote it, or the body that issued it.
        author: &'static str,
        /// Its title.
        title: &'static str,
        /// Edition, or journal and volume, with the year.
        edition_or_year: &'static str,
        /// Table or page.
        place: &'static str,
        /// What is known against the value; empty if nothing.
        note: &'static str,
    },
    /// Worked out for this project without the library.
    Derived {
        /// The file of the repository that does it, from the root.
        file: &'static str,
        /// How.
        method: &'static str,
    },
    /// Recalled from the literature without opening it.
    Memory {
        /// What is recalled.
        what: &'static str,
    },
    /// What workshops and makers' guides do, without a source.
    CommonPractice {
        /// What they do.
        what: &'static str,
    },
}

impl Source {
    /// In one word.
    pub fn kind(&self) -> Kind {
        match self {
            Source::Published { .. } => Kind::Published,
            Source::Derived { .. } => Kind::Derived,
            Source::Memory { .. } => Kind::FromMemory,
            Source::CommonPractice { .. } => Kind::CommonPractice,
        }
    }

    /// The file of the repository that derives the value, from the root.
    pub fn file(&self) -> Option<&'static str> {
        match self {
            Source::Derived { file, .. } => Some(file),
            _ => None,
        }
    }
}

impl fmt::Display for Source {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Source::Published {
                author,
                title,
                edition_or_year,
                place,
                note,
            } => {
                write!(f, "{author}, {title}, {edition_or_year}, {place}")?;
                if note.is_empty() {
                    Ok(())
                } else {
                    write!(f, "; {note}")
                }
            }
            Source::Derived { file, method } => write!(f, "derived in {file}: {method}"),
            Source::Memory { what } => write!(f, "from memory: {what}"),
            Source::CommonPractice { what } => write!(f, "common practice, no source: {what}"),
        }
    }
}

/// How tables state the tolerance and the difference of a check.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Stated {
    /// As a share of the reference value.
    Relative,
    /// In the unit of the quantity.
    Absolute,
}

/// A value the library computes, the value it should have, and how near it must come.
#[derive(Debug, Clone, PartialEq)]
pub struct Check {
    /// Short name, unique among all checks.
    pub id: String,
    /// Heading it is printed under.
    pub topic: &'static str,
    /// Where the reference comes from.
    pub source: Source,
    /// What is computed.
    pub quantity: String,
    /// Unit of reference, computed value and tolerance; "1" for pure numbers.
    pub unit: &'static str,
    /// The value from elsewhere.
    pub reference: f64,
    /// The value of the library; not a number where it gave an error.
    pub computed: f64,
    /// Greatest difference that holds, in the unit of the quantity.
    pub tolerance: f64,
    /// How tables state tolerance and difference.
    pub stated: Stated,
}

impl Check {
    /// |computed − reference| in the unit of the quantity.
    pub fn difference(&self) -> f64 {
        (self.computed - self.reference).abs()
    }

    /// Whether the difference is within the tolerance; never for a value that is not a number.
    pub fn holds(&self) -> bool {
        self.difference() <= self.tolerance
    }

    /// What differences and tolerances are divided by where tables state them.
    pub(crate) fn scale(&self) -> f64 {
        match self.stated {
            Stated::Relative => self.reference.abs(),
            Stated::Absolute => 1.0,
        }
    }
}

/// A tolerance as the tables of this crate give it.
#[derive(Debug, Clone, Copy)]
pub(crate) enum Tolerance {
    /// Share of the reference value.
    Relative(f64),
    /// In the unit of the quantity.
    Absolute(f64),
}

impl Source {
    pub(crate) const fn derived(file: &'static str, method: &'static str) -> Self {
        Self::Derived { file, method }
    }

    pub(crate) const fn from_memory(what: &'static str) -> Self {
        Self::Memory { what }
    }

    /// A check from this source. `values` are the reference and the computed value.
    pub(crate) fn check(
        &self,
        id: impl Into<String>,
        quantity: impl Into<String>,
        unit: &'static str,
        values: [f64; 2],
        tolerance: Tolerance,
    ) -> Check {
        let [reference, computed] = values;
        let (tolerance, stated) = match tolerance {
            Tolerance::Relative(share) => (share * reference.abs(), Stated::Relative),
            Tolerance::Absolute(value) => (value, Stated::Absolute),
        };
        Check {
            id: id.into(),
            topic: "",
            source: *self,
            quantity: quantity.into(),
            unit,
            reference,
            computed,
            tolerance,
            stated,
        }
    }
}

/// Files of the repository that derive reference values.
pub(crate) mod file {
    pub(crate) const SPHERE: &str = "oracles/derived_sphere.py";
    pub(crate) const BEAMS: &str = "oracles/derived_beams.py";
    pub(crate) const FRAMES: &str = "oracles/derived_frames.py";
    pub(crate) const ELEMENTS: &str = "oracles/derived_elements.py";
    pub(crate) const MOBILITY: &str = "oracles/derived_mobility.py";
}
