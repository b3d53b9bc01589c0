//! What a branch can reach at best: let a need be served twice for a fine, money be borrowed for a fine, and needs that must
//! stay served be left out for a fine; then every offer is judged by itself, and whatever the fines, no plan is better than
//! the sum (Lagrange). The fines are set by steps against what was overdone.

use super::solve::{Problem, Turn};

/// Fines for serving a need twice, for each hundredth over the budget, and for each need of a higher urgency left out.
#[derive(Debug, Clone)]
pub(super) struct Fines {
    twice: Vec<f64>,
    money: f64,
    left_out: [f64; 3],
}

impl Fines {
    pub fn new(needs: usize) -> Self {
        Self { twice: vec![0.0; needs], money: 0.0, left_out: [0.0; 3] }
    }

    /// As many times as large, when what was the aim has become something to keep.
    pub fn times(&self, times: f64, aim: usize) -> Self {
        let mut left_out = self.left_out.map(|fine| fine * times);
        if aim > 0 {
            left_out[aim - 1] = times;
        }
        Self { twice: self.twice.iter().map(|fine| fine * times).collect(), money: self.money * times, left_out }
    }
}

/// The problem with one aim: an urgency, 0 for the highest, or 3 for the least cost.
#[derive(Debug, Clone, Default)]
pub(super) struct Relaxed {
    aim: usize,
    /// So many of each higher urgency must stay served.
    pub kept: [i64; 3],
    tiers: Vec<usize>,
}

const MOMENTUM: f64 = 0.7;
/// Rounds without a lower bound, after which steps become shorter.
const STALE_ROUNDS: usize = 8;

impl Relaxed {
    pub fn new(problem: &Problem, aim: usize, kept: [i64; 3]) -> Self {
        Self { aim, kept, tiers: (0..problem.urgency.len()).map(|need| problem.tier(need)).collect() }
    }

    /// Lowers the bound by setting the fines anew; gives the lowest, with what each offer adds to it. Below `enough` plus
    /// one there is nothing to win.
    pub fn tighten(
        &self,
        problem: &Problem,
        turns: &[Turn],
        fines: &mut Fines,
        rounds: usize,
        enough: f64,
    ) -> (f64, Vec<f64>) {
        let budget = problem.budget as f64;
        let scale = budget.max(1.0);
        let base = f64::from(u8::from(self.aim == 3));
        // Money's fine is of the order of a whole aim for the whole budget.
        let dear = if self.aim == 3 { 1.0 } else { 1.0 / scale };
        let above = self.aim.min(3);
        let mut best: Option<(f64, Vec<f64>, Fines)> = None;
        let (mut haste, mut stale) = (1.0, 0);
        let mut ways = Fines::new(self.tiers.len());
        let mut worth = vec![0.0; self.tiers.len()];
        let mut liked: Vec<usize> = Vec::new();
        for _ in 0..rounds.max(1) {
            let worth_of = |tier: usize| match tier {
                tier if tier < above => fines.left_out[tier],
                tier if tier == self.aim => 1.0,
                _ => 0.0,
            };
            for (need, worth) in worth.iter_mut().enumerate() {
                *worth = worth_of(self.tiers[need]) - fines.twice[need];
            }
            let kept: f64 = (0..above).map(|tier| fines.left_out[tier] * self.kept[tier] as f64).sum();
            let mut asked = vec![0.0; self.tiers.len()];
            let (mut bound, mut money) = (fines.money * budget + fines.twice.iter().sum::<f64>() - kept, 0.0);
            let mut gains = vec![0.0; turns.len()];
            for (at, choice) in problem.choices.iter().enumerate() {
                if turns[at] == Turn::Left {
                    continue;
                }
                let price = choice.price.max(0) as f64;
                let mut gain = -(base + fines.money) * price;
                liked.clear();
                for unit in &choice.units {
                    let mut most = (0.0, usize::MAX);
                    for &need in unit {
                        if worth[need] > most.0 {
                            most = (worth[need], need);
                        }
                    }
                    if most.1 != usize::MAX {
                        gain += most.0;
                        liked.push(most.1);
                    }
                }
                gains[at] = gain;
                if turns[at] == Turn::Bought || gain > 0.0 {
                    bound += gain;
                    money += price;
                    liked.iter().for_each(|&need| asked[need] += 1.0);
                }
            }
            if best.as_ref().is_none_or(|(least, ..)| bound < *least) {
                best = Some((bound, gains, fines.clone()));
                stale = 0;
            } else {
                stale += 1;
                if stale >= STALE_ROUNDS {
                    (haste, stale) = (haste * 0.6, 0);
                }
            }
            // Step against what was overdone. A fine at nought that would fall stays, and does not count.
            let slope = |fine: f64, over: f64| if fine <= 0.0 && over < 0.0 { 0.0 } else { over };
            let over_money = slope(fines.money, (money - budget) * dear);
            let mut over_left = [0.0; 3];
            for (tier, over) in over_left.iter_mut().enumerate().take(above) {
                let served: f64 =
                    asked.iter().zip(&self.tiers).filter(|(_, one)| **one == tier).map(|(asked, _)| asked).sum();
                *over = slope(fines.left_out[tier], self.kept[tier] as f64 - served);
            }
            let twice: Vec<f64> =
                fines.twice.iter().zip(&asked).map(|(fine, asked)| slope(*fine, asked - 1.0)).collect();
            let square = |all: &[f64]| all.iter().map(|one| one * one).sum::<f64>();
            let size = square(&twice) + square(&over_left) + over_money * over_money;
            let gap = bound - enough;
            if size < 1e-12 || gap < 1.0 - 1e-6 {
                break;
            }
            let step = haste * gap / size;
            // Some of the last way is gone on with: straight steps would swing from side to side.
            let go = |way: &mut f64, fine: &mut f64, over: f64| {
                *way = MOMENTUM * *way + step * over;
                let to = (*fine + *way).max(0.0);
                *way = to - *fine;
                *fine = to;
            };
            for ((way, fine), over) in ways.twice.iter_mut().zip(&mut fines.twice).zip(&twice) {
                go(way, fine, *over);
            }
            for ((way, fine), over) in ways.left_out.iter_mut().zip(&mut fines.left_out).zip(&over_left) {
                go(way, fine, *over);
            }
            go(&mut ways.money, &mut fines.money, over_money * dear);
        }
        match best {
            Some((bound, gains, least)) => {
                *fines = least;
                (bound, gains)
            }
            None => (f64::MAX, vec![0.0; turns.len()]),
        }
    }
}
