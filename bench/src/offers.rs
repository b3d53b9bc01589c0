//! Offers and needs that are the same on each run, measured natively by `core/examples/bench_fit.rs` and here in a browser.

use tailplate_core::fit::plan::solve::{Choice, Problem};

pub struct Numbers(pub u64);

impl Numbers {
    pub fn below(&mut self, most: u64) -> u64 {
        self.0 = self.0.wrapping_mul(6_364_136_223_846_793_005).wrapping_add(1_442_695_040_888_963_407);
        (self.0 >> 33) % most
    }
}

/// 200 reels at 8 to 60, each with several parts that serve one or a few of 100 needs.
pub fn offers(numbers: &mut Numbers, budget: i64, dense: u64) -> Problem {
    let choices = (0..200)
        .map(|_| Choice {
            price: 800 + numbers.below(5200) as i64,
            units: (0..1 + numbers.below(dense))
                .map(|_| (0..1 + numbers.below(3)).map(|_| numbers.below(100) as usize).collect())
                .collect(),
        })
        .collect();
    Problem { budget, choices, urgency: (0..100).map(|_| 1 + numbers.below(3) as u8).collect() }
}
