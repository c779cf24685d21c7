//! Values of several quantities together.

use super::table::Quantity;

/// Values of quantities, SI; of the others nothing is known.
#[derive(Debug, Clone, Copy, PartialEq, Default)]
pub struct Values {
    numbers: [f64; Quantity::ALL.len()],
    /// One bit for each quantity that has a value.
    known: u64,
}

impl Values {
    /// The value of a quantity, SI; `None` where it is not known.
    pub fn get(&self, quantity: Quantity) -> Option<f64> {
        let known = self.known & (1 << quantity as u64) != 0;
        known.then(|| self.numbers[quantity as usize])
    }

    /// Sets the value of a quantity, SI.
    pub fn set(&mut self, quantity: Quantity, value: f64) {
        self.numbers[quantity as usize] = value;
        self.known |= 1 << quantity as u64;
    }

    /// What is known, in the order of the table.
    pub fn iter(&self) -> impl Iterator<Item = (Quantity, f64)> + '_ {
        let all = Quantity::ALL.into_iter();
        all.filter_map(|quantity| Some((quantity, self.get(quantity)?)))
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn only_what_was_set_is_known() {
        let mut values = Values::default();
        assert_eq!(values.get(Quantity::Sag), None);
        values.set(Quantity::Sag, 0.0);
        values.set(Quantity::Joints, 5.0);
        assert_eq!(values.get(Quantity::Sag), Some(0.0));
        let known: Vec<_> = values.iter().collect();
        assert_eq!(known, [(Quantity::Sag, 0.0), (Quantity::Joints, 5.0)]);
    }
}
