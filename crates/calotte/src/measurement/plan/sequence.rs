//! Numbers that look random, the same every time for one seed.

/// A sequence of such numbers (xorshift64*, Vigna 2016; the seed is spread by splitmix64).
#[derive(Debug, Clone)]
pub(super) struct Sequence(u64);

impl Sequence {
    pub(super) fn new(seed: u64) -> Self {
        let mut bits = seed.wrapping_add(0x9E37_79B9_7F4A_7C15);
        bits = (bits ^ (bits >> 30)).wrapping_mul(0xBF58_476D_1CE4_E5B9);
        bits = (bits ^ (bits >> 27)).wrapping_mul(0x94D0_49BB_1331_11EB);
        bits ^= bits >> 31;
        // Nothing but zero stays where it is.
        Self(bits.max(1))
    }

    /// In [0, 1).
    pub(super) fn next(&mut self) -> f64 {
        self.0 ^= self.0 >> 12;
        self.0 ^= self.0 << 25;
        self.0 ^= self.0 >> 27;
        let bits = self.0.wrapping_mul(0x2545_F491_4F6C_DD1D) >> 11;
        bits as f64 / (1u64 << 53) as f64
    }

    /// Below `count`; 0 for none.
    pub(super) fn below(&mut self, count: usize) -> usize {
        ((self.next() * count as f64) as usize).min(count.saturating_sub(1))
    }

    /// Of a normal distribution of mean 0 and standard deviation 1 (Box and Muller 1958).
    pub(super) fn normal(&mut self) -> f64 {
        let (radius, turn) = (1.0 - self.next(), self.next());
        (-2.0 * radius.ln()).sqrt() * (std::f64::consts::TAU * turn).cos()
    }

    /// Another order.
    pub(super) fn shuffle<T>(&mut self, list: &mut [T]) {
        for last in (1..list.len()).rev() {
            let other = self.below(last + 1);
            list.swap(last, other);
        }
    }
}
