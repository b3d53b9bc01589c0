//! How likely each cause is where more than one thing may be wrong at once.
//!
//! Several complaints seldom have one cause. Every single cause, and every two together, are weighed by what was seen:
//! what is there is explained by whichever of two explains it better; what is not there, or is as it should be, speaks
//! against either. A cause's chance is that of all the explanations it is part of.

use super::judge::Evidence;
use super::key::{FaultKey, SOMETHING_ELSE};

/// How often a reel that has one fault is told of for a second one as well: a judgement.
const TWO_AT_ONCE: f64 = 0.2;

/// What the explanations come to.
pub(super) struct Chances {
    /// That the cause is there, alone or with another. These may sum to more than 1.
    pub there: Vec<f64>,
    /// The same with an explanation of two shared between them: with `something_else` these sum to 1.
    pub shares: Vec<f64>,
    /// That nothing of the pack explains any of it.
    pub something_else: f64,
}

/// Weighs every explanation.
pub(super) fn chances(key: &FaultKey, evidence: &[Evidence]) -> Chances {
    let count = key.causes.len();
    // The last place is something that is in no pack: worth nothing either way.
    let nats = |one: &Evidence, at: usize| one.nats.get(at).copied().unwrap_or(0.0);
    let prior = |at: usize| key.prior.get(at).copied().unwrap_or(SOMETHING_ELSE).ln();
    let both = |a: usize, b: usize| {
        let together = |one: &Evidence| match one.either_speaks {
            true => nats(one, a).max(nats(one, b)),
            false => nats(one, a).min(nats(one, b)),
        };
        prior(a) + prior(b) + (2.0 * TWO_AT_ONCE).ln() + evidence.iter().map(together).sum::<f64>()
    };
    let alone =
        |at: usize| prior(at) + (1.0 - TWO_AT_ONCE).ln() + evidence.iter().map(|one| nats(one, at)).sum::<f64>();
    let mut explanations: Vec<(usize, usize, f64)> = (0..=count).map(|at| (at, at, alone(at))).collect();
    for a in 0..count {
        explanations.extend((a + 1..=count).map(|b| (a, b, both(a, b))));
    }
    let most = explanations.iter().map(|(.., weight)| *weight).fold(f64::NEG_INFINITY, f64::max);
    let mut chances = Chances { there: vec![0.0; count], shares: vec![0.0; count], something_else: 0.0 };
    let mut total = 0.0;
    for (a, b, weight) in explanations {
        let weight = (weight - most).exp();
        total += weight;
        let known: &[usize] = if a == b || b == count { &[a] } else { &[a, b] };
        match a == count {
            true => chances.something_else += weight,
            false => known.iter().for_each(|at| {
                chances.there[*at] += weight;
                chances.shares[*at] += weight / known.len() as f64;
            }),
        }
    }
    let all = chances.there.iter_mut().chain(&mut chances.shares);
    all.chain(std::iter::once(&mut chances.something_else)).for_each(|chance| *chance /= total);
    chances
}
