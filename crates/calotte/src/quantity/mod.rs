//! Every number that is asked for, once: what it is called, its unit, whether more is
//! better, what must be described for it, over what it is taken, and where it may be asked.
//!
//! Rows of results, limits of a brief, objectives, quantities of a map, columns of the
//! candidates, colours of the dome and curves along the polar angle are lists of this one table ([`table`]); [`facts`]
//! says what a line of it holds, [`unit`] how its numbers are shown, [`standing`] how a limit
//! stands, [`values`] holds values of several, `checks` which shipped checks stand behind each. What a quantity is worth is one function in `analysis::values`.

mod checks;
pub mod facts;
pub mod standing;
pub mod table;
pub mod unit;
pub mod values;

pub use facts::{
    Better, Bounds, ColourUse, ColumnUse, CurveUse, Facts, Form, LimitUse, MapUse, Need,
    ObjectiveUse, Over, RowUse,
};
pub use standing::{JudgedAt, Missing, Standing};
pub use table::Quantity;
pub use unit::Unit;
pub use values::Values;

use std::collections::BTreeMap;

use table::FACTS;

/// Where a quantity may be asked for.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
enum Use {
    Row,
    Limit,
    Objective,
    Map,
    Column,
    Colour,
}

/// The place of a quantity in the list of a use.
const fn place(facts: &Facts, what: Use) -> Option<u8> {
    match what {
        Use::Row => match &facts.row {
            Some(row) => Some(row.place),
            None => None,
        },
        Use::Limit => match &facts.limit {
            Some(limit) => Some(limit.place),
            None => None,
        },
        Use::Objective => match &facts.objective {
            Some(objective) => Some(objective.place),
            None => None,
        },
        Use::Map => match &facts.map {
            Some(map) => Some(map.place),
            None => None,
        },
        Use::Column => match &facts.column {
            Some(column) => Some(column.place),
            None => None,
        },
        Use::Colour => match &facts.colour {
            Some(colour) => Some(colour.place),
            None => None,
        },
    }
}

/// How many quantities a use has.
const fn count(what: Use) -> usize {
    let (mut found, mut at) = (0, 0);
    while at < FACTS.len() {
        if place(&FACTS[at], what).is_some() {
            found += 1;
        }
        at += 1;
    }
    found
}

/// The quantities of a use in the order of their places, of equal ones in the table's.
const fn listed<const N: usize>(what: Use) -> [Quantity; N] {
    let mut list = [Quantity::ALL[0]; N];
    let (mut filled, mut wanted) = (0, 0u16);
    while wanted <= u8::MAX as u16 {
        let mut at = 0;
        while at < FACTS.len() {
            if let Some(place) = place(&FACTS[at], what)
                && place as u16 == wanted
            {
                list[filled] = Quantity::ALL[at];
                filled += 1;
            }
            at += 1;
        }
        wanted += 1;
    }
    list
}

/// What is limited has a row, or `analyse` and `judge` would pass over the limit.
const _: () = {
    let mut at = 0;
    while at < FACTS.len() {
        let facts = &FACTS[at];
        assert!(
            facts.limit.is_none() || facts.row.is_some(),
            "a quantity has a limit and no row"
        );
        at += 1;
    }
};

impl Quantity {
    /// Rows of results, in the order they are shown.
    pub const ROWS: [Quantity; count(Use::Row)] = listed(Use::Row);
    /// What the table of limits of a brief can limit, in the order it is documented.
    pub const LIMITS: [Quantity; count(Use::Limit)] = listed(Use::Limit);
    /// What a choice can weigh, in the order it is documented.
    pub const OBJECTIVES: [Quantity; count(Use::Objective)] = listed(Use::Objective);
    /// What a map can show, in the order it is documented.
    pub const MAPS: [Quantity; count(Use::Map)] = listed(Use::Map);
    /// Columns of the candidates, in order.
    pub const COLUMNS: [Quantity; count(Use::Column)] = listed(Use::Column);
    /// What the dome can be coloured by, in order.
    pub const COLOURS: [Quantity; count(Use::Colour)] = listed(Use::Colour);

    /// Curves along the polar angle by their figures, in order; of one figure in the order
    /// of the table.
    pub fn figures() -> Vec<Vec<(Quantity, CurveUse)>> {
        let mut figures: BTreeMap<u8, Vec<(Quantity, CurveUse)>> = BTreeMap::new();
        for quantity in Self::ALL {
            for curve in quantity.facts().curves {
                figures
                    .entry(curve.place)
                    .or_default()
                    .push((quantity, *curve));
            }
        }
        figures.into_values().collect()
    }

    /// What the table says.
    pub const fn facts(self) -> &'static Facts {
        &FACTS[self as usize]
    }

    /// The quantity of a word.
    pub fn of_word(word: &str) -> Option<Self> {
        Self::ALL
            .into_iter()
            .find(|quantity| quantity.word() == word)
    }

    /// Whether its limit is a margin of the working range, so that it holds wherever there
    /// is one.
    pub const fn is_margin(self) -> bool {
        self.facts().margin
    }

    /// The word that files and the command line write, such as `holding-torque`.
    pub const fn word(self) -> &'static str {
        self.facts().word
    }

    /// The name in results, without its unit, such as `holding_torque`.
    pub fn name(self) -> String {
        let facts = self.facts();
        facts
            .name
            .map_or_else(|| facts.word.replace('-', "_"), str::to_string)
    }

    /// Label in figures and lists, such as `Holding torque`.
    pub const fn label(self) -> &'static str {
        self.facts().label
    }

    /// Unit in which it is shown.
    pub const fn unit(self) -> Unit {
        self.facts().unit
    }

    /// Whether more is better.
    pub const fn more_is_better(self) -> bool {
        matches!(self.facts().better, Better::More)
    }

    /// Whether this must be described for it.
    pub fn needs(self, need: Need) -> bool {
        self.facts().needs.contains(&need)
    }

    /// Whether it is the worst over directions, or at one of them.
    pub const fn is_of_directions(self) -> bool {
        matches!(self.facts().over, Over::Directions)
    }

    /// Whether every load case has its own.
    pub fn is_per_load(self) -> bool {
        self.needs(Need::Load)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn words_and_names_are_told_apart() {
        for (index, one) in Quantity::ALL.iter().enumerate() {
            assert_eq!(*one as usize, index);
            for other in &Quantity::ALL[..index] {
                assert_ne!(one.word(), other.word());
                assert_ne!(one.name(), other.name());
            }
        }
    }

    #[test]
    fn a_key_and_a_column_end_with_the_unit() {
        for quantity in Quantity::ALL {
            let suffix = quantity.unit().suffix();
            if let Some(limit) = &quantity.facts().limit {
                assert!(limit.key.ends_with(suffix), "{}", limit.key);
            }
            assert_eq!(suffix.is_empty(), quantity.unit() == Unit::One);
        }
    }

    #[test]
    fn curves_of_a_figure_share_scale_and_unit() {
        let figures = Quantity::figures();
        let curves = Quantity::ALL.map(|quantity| quantity.facts().curves.len());
        assert_eq!(figures.concat().len(), curves.iter().sum::<usize>());
        for figure in figures {
            let (first, head) = figure[0];
            for (index, (quantity, curve)) in figure.iter().enumerate() {
                assert_eq!(quantity.unit(), first.unit(), "{}", curve.choice);
                assert_eq!((curve.choice, curve.label), (head.choice, head.label));
                let before = &figure[..index];
                assert!(before.iter().all(|(_, other)| other.name != curve.name));
            }
        }
    }

    #[test]
    fn every_list_is_in_the_order_of_its_places() {
        let rows = Quantity::ROWS.map(|quantity| place(quantity.facts(), Use::Row));
        assert!(rows.is_sorted());
        assert!(rows.iter().all(Option::is_some));
        assert_eq!(Quantity::ROWS[0], Quantity::Coverage);
        assert_eq!(Quantity::OBJECTIVES[0], Quantity::Stiffness);
    }
}
