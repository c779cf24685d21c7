//! Columns that a file may have.

use super::number::ColumnUnit;

/// What a column holds.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum Quantity {
    /// An angle.
    Angle,
    /// A length.
    Length,
    /// A mass.
    Mass,
    /// A number without a unit.
    Ratio,
    /// A text.
    Text,
}

impl Quantity {
    /// Units its columns may be in, the usual one first.
    pub(super) fn units(self) -> &'static [ColumnUnit] {
        match self {
            Quantity::Angle => &[ColumnUnit::Degree, ColumnUnit::Radian],
            Quantity::Length => &[
                ColumnUnit::Millimetre,
                ColumnUnit::Micrometre,
                ColumnUnit::Metre,
                ColumnUnit::Centimetre,
                ColumnUnit::Inch,
            ],
            Quantity::Mass => &[ColumnUnit::Kilogram, ColumnUnit::Gram],
            Quantity::Ratio | Quantity::Text => &[ColumnUnit::One],
        }
    }

    /// The unit where nothing else is said.
    pub(super) fn usual_unit(self) -> ColumnUnit {
        self.units().first().copied().unwrap_or(ColumnUnit::One)
    }
}

/// A column that a file may have.
#[derive(Debug, Clone, PartialEq, Eq)]
pub(super) struct Known {
    /// The name without its unit.
    pub(super) stem: String,
    /// What it holds.
    pub(super) quantity: Quantity,
    /// Whether its values are read; those of a template's expectations are not.
    pub(super) used: bool,
}

impl Known {
    /// The name with the usual unit.
    pub(super) fn name(&self) -> String {
        named(&self.stem, self.quantity.usual_unit())
    }
}

/// A stem with a unit.
pub(super) fn named(stem: &str, unit: ColumnUnit) -> String {
    match unit {
        ColumnUnit::One => stem.to_string(),
        unit => format!("{stem}_{}", unit.suffix()),
    }
}

/// A list of known columns being written down.
#[derive(Debug, Default)]
pub(super) struct KnownColumns(pub(super) Vec<Known>);

impl KnownColumns {
    /// Adds columns of one quantity.
    pub(super) fn with(mut self, quantity: Quantity, stems: &[&str]) -> Self {
        self.add(quantity, stems, true);
        self
    }

    /// Adds columns that are accepted and not read.
    pub(super) fn with_unread(mut self, quantity: Quantity, stems: &[&str]) -> Self {
        self.add(quantity, stems, false);
        self
    }

    fn add(&mut self, quantity: Quantity, stems: &[&str], used: bool) {
        self.0.extend(stems.iter().map(|stem| Known {
            stem: (*stem).to_string(),
            quantity,
            used,
        }));
    }
}
