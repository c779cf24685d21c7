//! One check: a value the library computes beside a value from elsewhere.

/// Where a reference value comes from.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Kind {
    /// Read in a publication that the source names.
    Published,
    /// Derived for this project by another method or program, which the source names.
    Derived,
    /// Recalled from the literature without opening it.
    FromMemory,
}

impl Kind {
    /// The word that tables and JSON use.
    pub fn word(self) -> &'static str {
        match self {
            Kind::Published => "published",
            Kind::Derived => "derived",
            Kind::FromMemory => "from-memory",
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
    pub kind: Kind,
    /// The publication; or "derived: " and the method; or "from memory: " and what.
    pub source: String,
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

/// What several checks share.
pub(crate) struct Source {
    pub(crate) kind: Kind,
    pub(crate) text: &'static str,
}

impl Source {
    pub(crate) const fn published(text: &'static str) -> Self {
        let kind = Kind::Published;
        Self { kind, text }
    }

    pub(crate) const fn derived(text: &'static str) -> Self {
        let kind = Kind::Derived;
        Self { kind, text }
    }

    pub(crate) const fn from_memory(text: &'static str) -> Self {
        let kind = Kind::FromMemory;
        Self { kind, text }
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
        let prefix = match self.kind {
            Kind::Published => "",
            Kind::Derived => "derived: ",
            Kind::FromMemory => "from memory: ",
        };
        let (tolerance, stated) = match tolerance {
            Tolerance::Relative(share) => (share * reference.abs(), Stated::Relative),
            Tolerance::Absolute(value) => (value, Stated::Absolute),
        };
        Check {
            id: id.into(),
            topic: "",
            kind: self.kind,
            source: format!("{prefix}{}", self.text),
            quantity: quantity.into(),
            unit,
            reference,
            computed,
            tolerance,
            stated,
        }
    }
}
