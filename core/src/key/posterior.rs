//! From sums to chances.

use super::build::Key;
use super::tally::Tally;

/// Chances of every hypothesis; they sum to 1. Keep it and fill it anew: it holds its room.
#[derive(Debug, Clone, Default)]
pub struct Posterior {
    /// Of each variant and of a reel like it, times `scale`.
    weights: Vec<[f32; 2]>,
    scale: f64,
    /// Of an unknown reel of each kind.
    pub(super) kinds: Vec<f64>,
    /// Of a reel by each maker that is none of the packs' models.
    pub(super) makers: Vec<f64>,
    /// The likeliest models, best first.
    pub top: Vec<(u32, f64)>,
    /// All that is none of the packs' models.
    pub not_in_key: f64,
}

/// Models kept in `top`.
pub const TOP: usize = 24;
const LANES: usize = 8;

impl Posterior {
    pub fn fill(&mut self, key: &Key, tally: &Tally) {
        let maker_nats = key.maker_nats(tally);
        let kind_nats: Vec<f64> =
            key.kind_prior.iter().zip(&tally.at_large).map(|(prior, nats)| prior + f64::from(*nats)).collect();
        self.weights.clear();
        self.weights.extend_from_slice(&tally.nats);
        let weights = self.weights.as_flattened_mut();
        if let Some(marks) = tally.marks.nats() {
            weights.iter_mut().zip(marks.as_flattened()).for_each(|(weight, marks)| *weight += marks);
        }
        let most = lanes_max(weights);
        let most = kind_nats.iter().chain(&maker_nats).fold(f64::from(most), |m, n| m.max(*n));
        let known = exp_sum(weights, most as f32);
        self.kinds = kind_nats.iter().map(|nats| (nats - most).exp()).collect();
        self.makers = maker_nats.iter().map(|nats| (nats - most).exp()).collect();
        self.scale = 1.0 / (known + self.kinds.iter().sum::<f64>() + self.makers.iter().sum::<f64>());
        self.kinds.iter_mut().chain(&mut self.makers).for_each(|p| *p *= self.scale);
        self.find_top(key);
    }

    fn find_top(&mut self, key: &Key) {
        let mut top: Vec<(u32, f32)> = Vec::with_capacity(TOP + 1);
        let mut in_key = 0.0;
        let mut least = 0.0;
        for (model, span) in key.spans.windows(2).enumerate() {
            let mass: f32 = self.weights[span[0] as usize..span[1] as usize].iter().map(|w| w[0]).sum();
            in_key += f64::from(mass);
            if mass > least {
                let at = top.partition_point(|(_, other)| *other >= mass);
                top.insert(at, (model as u32, mass));
                if top.len() > TOP {
                    top.pop();
                    least = top[TOP - 1].1;
                }
            }
        }
        self.not_in_key = (1.0 - in_key * self.scale).max(0.0);
        self.top.clear();
        self.top.extend(top.iter().map(|(model, mass)| (*model, f64::from(*mass) * self.scale)));
    }

    /// Chance of one variant, by its row.
    pub(super) fn variant(&self, row: usize) -> f64 {
        f64::from(self.weights[row][0]) * self.scale
    }
    /// Chance of a reel like any variant of the model that is not in the packs.
    pub(super) fn like(&self, key: &Key, model: usize) -> f64 {
        let rows = key.spans[model] as usize..key.spans[model + 1] as usize;
        self.weights[rows].iter().map(|weight| f64::from(weight[1])).sum::<f64>() * self.scale
    }
    pub(super) fn model(&self, key: &Key, model: usize) -> f64 {
        (key.spans[model]..key.spans[model + 1]).map(|row| self.variant(row as usize)).sum()
    }
    pub(super) fn raw(&self) -> (&[[f32; 2]], f64) {
        (&self.weights, self.scale)
    }
}

fn lanes_max(values: &[f32]) -> f32 {
    let mut most = [f32::MIN; LANES];
    let (chunks, rest) = values.as_chunks::<LANES>();
    for chunk in chunks {
        for (most, value) in most.iter_mut().zip(chunk) {
            *most = if *value > *most { *value } else { *most };
        }
    }
    most.iter().chain(rest).fold(f32::MIN, |m, v| m.max(*v))
}

/// Replaces each value by `exp(value - most)` and returns their sum.
fn exp_sum(values: &mut [f32], most: f32) -> f64 {
    let mut total = 0.0;
    // A block at a time, so that single precision never sums too many.
    for block in values.chunks_mut(1024) {
        for value in block.iter_mut() {
            *value = exp_below(*value - most);
        }
        let mut sums = [0.0_f32; LANES];
        let (chunks, rest) = block.as_chunks::<LANES>();
        for chunk in chunks {
            sums.iter_mut().zip(chunk).for_each(|(sum, value)| *sum += value);
        }
        total += f64::from(sums.iter().chain(rest).sum::<f32>());
    }
    total
}

/// `exp(x)` for `x ≤ 0`, good to 3 parts in a million; without branches, so that a compiler takes many at once.
#[inline(always)]
fn exp_below(x: f32) -> f32 {
    // Adding and taking this number rounds to a whole one and leaves it in the low bits.
    const ROUND: f32 = 12_582_912.0;
    let x = if x > -80.0 { x } else { -80.0 };
    let powers = x * std::f32::consts::LOG2_E;
    let whole = powers + ROUND;
    let part = powers - (whole - ROUND);
    let curve = 1.0
        + part
            * (std::f32::consts::LN_2
                + part * (0.240_226_5 + part * (0.055_504_1 + part * (0.009_618_1 + part * 0.001_333_4))));
    let exponent = whole.to_bits().wrapping_add(127) << 23;
    curve * f32::from_bits(exponent)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_fast_exponential_is_close() {
        for step in 0..8000 {
            let x = -(step as f32) * 0.01;
            let (fast, true_value) = (exp_below(x), f64::from(x).exp());
            assert!((f64::from(fast) / true_value - 1.0).abs() < 5e-6, "{x}: {fast} {true_value}");
        }
    }
}
