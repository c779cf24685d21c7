//! The keys of every file: one table that the reader checks against, and from
//! which the JSON Schema and the reference are made.
//!
//! A key is written down once, with its kind, unit, allowed numbers, default,
//! meaning and an example ([`brief`], [`design`], [`shared`], [`support`]); [`words`] lists
//! the words a key can take.

pub mod brief;
mod choice;
pub(crate) mod describe;
pub mod design;
pub mod joints;
mod own;
pub mod parts;
pub mod shared;
pub mod support;
pub mod words;

use crate::units::Unit;

/// A table of a file with its keys.
#[derive(Debug)]
pub struct Table {
    /// What the table says, for the reference.
    pub meaning: &'static str,
    /// Its keys, in the order they are documented.
    pub keys: &'static [Key],
}

impl Table {
    /// The key of this name.
    pub fn key(&self, name: &str) -> Option<&'static Key> {
        self.keys.iter().find(|key| key.name == name)
    }
}

/// One key.
#[derive(Debug, Clone, Copy)]
pub struct Key {
    /// The key as the file writes it, with its unit.
    pub name: &'static str,
    /// What its value is.
    pub kind: Kind,
    /// Whether it must be given, and what holds if it is not.
    pub need: Need,
    /// Where the key belongs to some words of another key of its table only.
    pub when: Option<When>,
    /// One line on what it means.
    pub meaning: &'static str,
    /// A value that is allowed, in TOML.
    pub example: &'static str,
    /// What to try when the value is refused; empty to repeat the meaning.
    pub advice: &'static str,
}

/// Condition on another key of the same table.
#[derive(Debug, Clone, Copy)]
pub struct When {
    /// The other key, a [`Kind::Word`].
    pub key: &'static str,
    /// The words it must be one of.
    pub words: &'static [&'static str],
}

/// Whether a key must be given.
#[derive(Debug, Clone, Copy)]
pub enum Need {
    /// It must be given.
    Required,
    /// Without it, what this text says.
    Optional(&'static str),
    /// Without it, this value, in TOML.
    Default(&'static str),
}

/// A number with its unit and the numbers allowed.
#[derive(Debug, Clone, Copy)]
pub struct Quantity {
    /// Unit in the file.
    pub unit: Unit,
    /// Lower bound, in the file's unit.
    pub low: f64,
    /// Upper bound, in the file's unit.
    pub high: f64,
    /// Whether the lower bound itself is allowed.
    pub low_allowed: bool,
    /// Whether the upper bound itself is allowed.
    pub high_allowed: bool,
    /// Whether zero is refused.
    pub not_zero: bool,
}

impl Quantity {
    /// From one bound to the other, both allowed.
    pub const fn from_to(unit: Unit, low: f64, high: f64) -> Self {
        Self {
            unit,
            low,
            high,
            low_allowed: true,
            high_allowed: true,
            not_zero: false,
        }
    }

    /// Above a bound, up to another that is allowed.
    pub const fn above(unit: Unit, low: f64, high: f64) -> Self {
        Self {
            low_allowed: false,
            ..Self::from_to(unit, low, high)
        }
    }

    /// Between two bounds, neither allowed.
    pub const fn between(unit: Unit, low: f64, high: f64) -> Self {
        Self {
            low_allowed: false,
            high_allowed: false,
            ..Self::from_to(unit, low, high)
        }
    }

    /// The same without zero.
    pub const fn without_zero(self) -> Self {
        Self {
            not_zero: true,
            ..self
        }
    }

    /// Whether a number in the file's unit is allowed.
    pub fn allows(&self, number: f64) -> bool {
        let above = number > self.low || (self.low_allowed && number == self.low);
        let below = number < self.high || (self.high_allowed && number == self.high);
        above && below && !(self.not_zero && number == 0.0)
    }
}

/// How many entries a list takes.
#[derive(Debug, Clone, Copy)]
pub struct Count {
    /// At least.
    pub least: usize,
    /// At most.
    pub most: usize,
    /// What one entry is called in messages, such as `stage`.
    pub item: &'static str,
}

/// What a key's value is.
#[derive(Debug, Clone, Copy)]
pub enum Kind {
    /// One number.
    Number(Quantity),
    /// One number, or `{ value, from, to }`.
    Band(Quantity),
    /// One number, or `{ from, to, step }` with this step unless given.
    Range {
        /// The numbers.
        quantity: Quantity,
        /// Step in the file's unit unless given.
        step: f64,
    },
    /// One number, a list, or `{ from, to, step }`: the values themselves.
    Sizes {
        /// The numbers.
        quantity: Quantity,
        /// Step in the file's unit unless given.
        step: f64,
    },
    /// A list of numbers.
    Numbers {
        /// The numbers.
        quantity: Quantity,
        /// How many.
        count: Count,
    },
    /// `[lower, upper]`, the first below the second.
    Limits(Quantity),
    /// A list of pairs of numbers.
    Pairs {
        /// The first of a pair.
        first: Quantity,
        /// The second of a pair.
        second: Quantity,
        /// How many pairs.
        count: Count,
        /// What the two are called.
        names: [&'static str; 2],
    },
    /// A list of whole numbers from one to another.
    Wholes {
        /// The lowest allowed.
        low: i64,
        /// The highest allowed.
        high: i64,
        /// How many.
        count: Count,
        /// Whether zero is refused.
        not_zero: bool,
        /// Whether no number may come twice.
        distinct: bool,
    },
    /// `[x, y, z]`.
    Vector(Quantity),
    /// `[x, y, z]` of any length but zero.
    Direction,
    /// One word of a list.
    Word(words::Vocabulary),
    /// A list of words, none twice.
    Words {
        /// The words.
        vocabulary: words::Vocabulary,
        /// How many at least.
        least: usize,
    },
    /// Any text.
    Text,
    /// A list of texts, none twice.
    Texts(Count),
    /// `true` or `false`.
    Flag,
    /// A table.
    Table(&'static Table),
    /// Any number of tables, `[[name]]`.
    Tables(&'static Table),
    /// A key that is agreed and refused until the program can follow it.
    NotYet,
}

impl Kind {
    /// Unit of the numbers of this kind, as it ends the key.
    pub fn unit(&self) -> Unit {
        match self {
            Kind::Number(quantity)
            | Kind::Band(quantity)
            | Kind::Range { quantity, .. }
            | Kind::Sizes { quantity, .. }
            | Kind::Numbers { quantity, .. }
            | Kind::Limits(quantity)
            | Kind::Vector(quantity)
            | Kind::Pairs {
                first: quantity, ..
            } => quantity.unit,
            _ => Unit::One,
        }
    }
}

/// The keys of two tables, one after the other.
pub(super) const fn joined<const N: usize, const M: usize, const ALL: usize>(
    first: [Key; N],
    second: [Key; M],
) -> [Key; ALL] {
    assert!(N + M == ALL);
    let mut all = [first[0]; ALL];
    let mut index = 0;
    while index < ALL {
        all[index] = if index < N {
            first[index]
        } else {
            second[index - N]
        };
        index += 1;
    }
    all
}

impl Key {
    /// A key that must be given.
    pub const fn required(
        name: &'static str,
        kind: Kind,
        example: &'static str,
        meaning: &'static str,
    ) -> Self {
        Self {
            name,
            kind,
            need: Need::Required,
            when: None,
            meaning,
            example,
            advice: "",
        }
    }

    /// A key without which something stated holds.
    pub const fn optional(
        name: &'static str,
        kind: Kind,
        absent: &'static str,
        example: &'static str,
        meaning: &'static str,
    ) -> Self {
        Self {
            need: Need::Optional(absent),
            ..Self::required(name, kind, example, meaning)
        }
    }

    /// A key with a default, which is its example too.
    pub const fn default(
        name: &'static str,
        kind: Kind,
        default: &'static str,
        meaning: &'static str,
    ) -> Self {
        Self {
            need: Need::Default(default),
            ..Self::required(name, kind, default, meaning)
        }
    }

    /// A key refused until the program can follow it, and what to do meanwhile.
    pub const fn not_yet(
        name: &'static str,
        meaning: &'static str,
        meanwhile: &'static str,
    ) -> Self {
        Self {
            need: Need::Optional("nothing"),
            advice: meanwhile,
            ..Self::required(name, Kind::NotYet, "", meaning)
        }
    }

    /// The key belongs to these words of another key of its table only.
    pub const fn when(self, key: &'static str, words: &'static [&'static str]) -> Self {
        Self {
            when: Some(When { key, words }),
            ..self
        }
    }

    /// What to try when the value is refused.
    pub const fn advice(self, advice: &'static str) -> Self {
        Self { advice, ..self }
    }

    /// The key without its unit: `joint_radius` of `joint_radius_mm`.
    pub fn base(&self) -> &'static str {
        let suffix = self.kind.unit().suffix();
        self.name
            .strip_suffix(suffix)
            .and_then(|rest| rest.strip_suffix('_'))
            .filter(|_| !suffix.is_empty())
            .unwrap_or(self.name)
    }

    /// The key in words: `joint radius` of `joint_radius_mm`.
    pub fn label(&self) -> String {
        let words = self.base().replace('_', " ").replace("youngs", "Young's");
        match self.kind.unit() {
            Unit::NewtonPerMetre | Unit::NewtonMetrePerRadian | Unit::NewtonSquareMetre => {
                format!("{words} stiffness")
            }
            _ => words,
        }
    }
}
