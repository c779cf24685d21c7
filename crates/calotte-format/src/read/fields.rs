//! Values of a checked table, SI and radians, each with its place in the file.

use std::collections::BTreeMap;
use std::ops::Range as Span;

use calotte::Uncertain;
use calotte::brief::Range;
use nalgebra::Vector3;

use crate::keys::Table;

/// A checked value.
#[derive(Debug, Clone)]
pub(crate) enum Value {
    Number(f64),
    Band(Uncertain),
    Range(Range),
    Numbers(Vec<f64>),
    Pairs(Vec<[f64; 2]>),
    Wholes(Vec<i64>),
    Text(String),
    Words(Vec<String>),
    Flag(bool),
    Table(Fields),
    Tables(Vec<Fields>),
}

/// A checked value with its place.
#[derive(Debug, Clone)]
pub(crate) struct Entry {
    /// The value.
    pub(crate) value: Value,
    /// Span of the value.
    pub(crate) span: Span<usize>,
    /// The value as written; empty for a table under a header.
    pub(crate) shown: String,
    /// Spans of the entries of a list.
    pub(crate) items: Vec<Span<usize>>,
    /// Whether the file gives it; else it is the default.
    pub(crate) given: bool,
}

/// A checked table. Keys that the file lacks and that have no default, and
/// keys whose value was refused, are not in it.
#[derive(Debug, Clone)]
pub(crate) struct Fields {
    /// The table's keys.
    pub(crate) spec: &'static Table,
    /// Where the table lies, such as `mount.column`; empty for the whole file.
    pub(crate) path: String,
    /// Span of its header, or of the whole inline table.
    pub(crate) header: Span<usize>,
    /// Keys that the file gives, or was meant to give, and that were refused.
    pub(crate) refused: Vec<&'static str>,
    /// What is in it.
    pub(crate) entries: BTreeMap<&'static str, Entry>,
}

/// An accessor for one kind of value; asking for another kind than the key
/// has is our own mistake.
macro_rules! accessor {
    ($(#[$meta:meta])* $name:ident, $pattern:pat => $result:expr, $type:ty) => {
        $(#[$meta])*
        pub(crate) fn $name(&self, key: &str) -> Option<$type> {
            match self.value(key)? {
                $pattern => Some($result),
                other => {
                    debug_assert!(false, "{}.{key} is {other:?}", self.path);
                    None
                }
            }
        }
    };
}

impl Fields {
    fn value(&self, key: &str) -> Option<&Value> {
        debug_assert!(
            self.spec.key(key).is_some(),
            "no key {key} in {}",
            self.path
        );
        self.entries.get(key).map(|entry| &entry.value)
    }

    /// Whether the file gives the key with a value that is allowed.
    pub(crate) fn given(&self, key: &str) -> bool {
        self.entries.get(key).is_some_and(|entry| entry.given)
    }

    /// Whether the file writes the key, allowed or not.
    pub(crate) fn written(&self, key: &str) -> bool {
        self.given(key) || self.refused.contains(&key)
    }

    accessor!(
        /// A number.
        number, Value::Number(number) => *number, f64
    );
    accessor!(
        /// A number with its band.
        band, Value::Band(band) => *band, Uncertain
    );
    accessor!(
        /// A range.
        range, Value::Range(range) => *range, Range
    );
    accessor!(
        /// A list of numbers, `[lower, upper]`, or the values of sizes.
        numbers, Value::Numbers(numbers) => numbers.as_slice(), &[f64]
    );
    accessor!(
        /// A list of pairs.
        pairs, Value::Pairs(pairs) => pairs.as_slice(), &[[f64; 2]]
    );
    accessor!(
        /// A list of whole numbers.
        wholes, Value::Wholes(wholes) => wholes.as_slice(), &[i64]
    );
    accessor!(
        /// A text or a word.
        text, Value::Text(text) => text.as_str(), &str
    );
    accessor!(
        /// A list of words.
        words, Value::Words(words) => words.as_slice(), &[String]
    );
    accessor!(
        /// True or false.
        flag, Value::Flag(flag) => *flag, bool
    );
    accessor!(
        /// A table.
        table, Value::Table(table) => table, &Fields
    );

    /// A list of tables; empty if there are none.
    pub(crate) fn tables(&self, key: &str) -> &[Fields] {
        match self.value(key) {
            Some(Value::Tables(tables)) => tables,
            _ => &[],
        }
    }

    /// A vector.
    pub(crate) fn vector(&self, key: &str) -> Option<Vector3<f64>> {
        match self.numbers(key)? {
            [x, y, z] => Some(Vector3::new(*x, *y, *z)),
            _ => None,
        }
    }

    /// Two numbers.
    pub(crate) fn two(&self, key: &str) -> Option<[f64; 2]> {
        match self.numbers(key)? {
            [first, second] => Some([*first, *second]),
            _ => None,
        }
    }
}
