//! Numbers by seed: SplitMix64 (Steele, Lea and Flood 2014), the same on every machine.

pub struct Rng(u64);

impl Rng {
    pub fn new(seed: u64, number: u64) -> Self {
        let mut rng = Self(seed.wrapping_mul(0x9e37_79b9_7f4a_7c15) ^ number.wrapping_mul(0xd1b5_4a32_d192_ed03));
        rng.word();
        rng
    }

    fn word(&mut self) -> u64 {
        self.0 = self.0.wrapping_add(0x9e37_79b9_7f4a_7c15);
        let z = (self.0 ^ (self.0 >> 30)).wrapping_mul(0xbf58_476d_1ce4_e5b9);
        let z = (z ^ (z >> 27)).wrapping_mul(0x94d0_49bb_1331_11eb);
        z ^ (z >> 31)
    }

    /// 0 to below 1.
    pub fn unit(&mut self) -> f64 {
        (self.word() >> 11) as f64 / (1_u64 << 53) as f64
    }

    pub fn range(&mut self, low: f64, high: f64) -> f64 {
        low + (high - low) * self.unit()
    }

    pub fn chance(&mut self, share: f64) -> bool {
        self.unit() < share
    }

    pub fn below(&mut self, count: usize) -> usize {
        ((self.unit() * count as f64) as usize).min(count - 1)
    }

    /// About normal, mean 0, spread 1: the sum of twelve.
    pub fn bell(&mut self) -> f64 {
        (0..12).map(|_| self.unit()).sum::<f64>() - 6.0
    }
}
