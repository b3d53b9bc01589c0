//! The cheapest set of offers that serves the most urgent needs within a budget: exact, by branch and bound.
//!
//! One need of a higher urgency counts more than all of lower ones together; of plans that serve alike, the cheapest is best.
//! What a set of offers serves is a matching of needs to parts. The bound: let a need be served twice for a fine, and money
//! be borrowed for a fine; then every offer is judged by itself, and whatever the fines, no plan is better than the sum
//! (Lagrange). The fines are set by steps against what was overdone. An offer whose turn would lower the bound below the best
//! plan found is settled without a branch.

use std::cmp::Reverse;

use super::matching::{Places, best_matching};

/// What can be bought: its price and its parts, each with the needs it would serve.
#[derive(Debug, Clone, Default, PartialEq)]
pub struct Choice {
    pub price: i64,
    pub units: Vec<Vec<usize>>,
}

#[derive(Debug, Clone, Default, PartialEq)]
pub struct Problem {
    pub budget: i64,
    pub choices: Vec<Choice>,
    /// Urgency of each need, 1 to 3.
    pub urgency: Vec<u8>,
}

/// How far the search is.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Progress {
    pub steps: u64,
    /// Needs served by the best plan so far.
    pub served: usize,
}

#[derive(Debug, Clone, Default, PartialEq)]
pub struct Solution {
    /// Which choices, in order.
    pub chosen: Vec<usize>,
    /// For each need, the choice and the part of it.
    pub served: Vec<Option<(usize, usize)>>,
    pub cost: i64,
    /// Nothing better exists.
    pub proved: bool,
    /// Needs of urgency 3, 2 and 1 that the best conceivable plan might serve; as served, where proved.
    pub at_best: [i64; 3],
    /// A plan that serves that many costs this at least.
    pub cost_at_least: i64,
    pub steps: u64,
}

/// Fines are set anew so often at the start, and at each branch.
const ROOT_ROUNDS: usize = 300;
const BRANCH_ROUNDS: usize = 12;
/// Each so many branches, a plan is filled up with whatever the money still buys.
const FILL_EACH: u64 = 16;
/// The search tells how far it is each so many steps.
const TELL_EACH: u64 = 64;

/// Solves. After `steps_max` branches the best plan so far is given, with what could at best be reached; `go_on` may stop
/// it earlier.
pub fn solve(problem: &Problem, steps_max: u64, go_on: &mut dyn FnMut(Progress) -> bool) -> Solution {
    let mut search = Search::new(problem);
    search.run(steps_max, go_on);
    search.solution()
}

/// How it stands with an offer on a branch.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
enum Turn {
    Free,
    Bought,
    Left,
}

/// Fines for serving a need twice, and for each hundredth over the budget.
#[derive(Debug, Clone)]
struct Fines {
    twice: Vec<f64>,
    money: f64,
}

struct Branch {
    turns: Vec<Turn>,
    fines: Fines,
    bound: f64,
}

struct Search<'a> {
    problem: &'a Problem,
    /// What a need counts, in units of one need of the lowest urgency.
    weights: Vec<i64>,
    /// One such unit outweighs the whole budget.
    unit_worth: i64,
    /// What each need counts in hundredths.
    full_worth: Vec<f64>,
    order: Vec<usize>,
    places: Places,
    owner: Vec<usize>,
    first_unit: Vec<usize>,
    best: Vec<bool>,
    best_value: i64,
    open: Vec<Branch>,
    steps: u64,
    /// What branches given up unfinished could have reached at best.
    given_up: f64,
}

impl<'a> Search<'a> {
    fn new(problem: &'a Problem) -> Self {
        let count = |urgency: u8| problem.urgency.iter().filter(|one| **one == urgency).count() as i64;
        let second = count(1) + 1;
        let third = second * (count(2) + 1);
        let weights: Vec<i64> =
            problem.urgency.iter().map(|u| [1, second, third][usize::from(*u).clamp(1, 3) - 1]).collect();
        let mut order: Vec<usize> = (0..weights.len()).collect();
        order.sort_by_key(|&need| Reverse(weights[need]));
        let mut places: Places = vec![Vec::new(); weights.len()];
        let (mut owner, mut first_unit) = (Vec::new(), Vec::new());
        for (at, choice) in problem.choices.iter().enumerate() {
            first_unit.push(owner.len());
            for unit in &choice.units {
                unit.iter().for_each(|&need| places[need].push(owner.len()));
                owner.push(at);
            }
        }
        let mut search = Self {
            problem,
            weights,
            unit_worth: problem.budget.max(0) + 1,
            full_worth: Vec::new(),
            order,
            places,
            owner,
            first_unit,
            best: vec![false; problem.choices.len()],
            best_value: 0,
            open: Vec::new(),
            steps: 0,
            given_up: f64::MIN,
        };
        search.full_worth = search.weights.iter().map(|weight| (weight * search.unit_worth) as f64).collect();
        // What costs nothing is taken; what is of no use or too dear is not.
        let turns = problem.choices.iter().map(|choice| match choice.price {
            _ if choice.units.iter().all(Vec::is_empty) => Turn::Left,
            price if price > problem.budget => Turn::Left,
            price if price <= 0 => Turn::Bought,
            _ => Turn::Free,
        });
        let mut root = Branch {
            turns: turns.collect(),
            fines: Fines { twice: vec![0.0; search.weights.len()], money: 0.0 },
            bound: f64::MAX,
        };
        search.offer_plan(&root.turns, None);
        root.bound = search.tighten(&root.turns, &mut root.fines, ROOT_ROUNDS).0;
        search.open.push(root);
        search
    }

    fn run(&mut self, steps_max: u64, go_on: &mut dyn FnMut(Progress) -> bool) {
        while let Some(mut branch) = self.open.pop() {
            if !self.may_beat(branch.bound) {
                continue;
            }
            let tell = self.steps.is_multiple_of(TELL_EACH);
            let stopped =
                tell && !go_on(Progress { steps: self.steps, served: self.served().iter().flatten().count() });
            if self.steps >= steps_max || stopped {
                self.given_up = self.open.iter().map(|one| one.bound).fold(branch.bound, f64::max);
                return;
            }
            self.steps += 1;
            self.branch(&mut branch);
        }
    }

    /// Looks into a branch: settles what can be settled, and parts the rest in two.
    fn branch(&mut self, branch: &mut Branch) {
        let mut gains = loop {
            if self.spent(&branch.turns) > self.problem.budget {
                return;
            }
            let (bound, gains) = self.tighten(&branch.turns, &mut branch.fines, BRANCH_ROUNDS);
            branch.bound = branch.bound.min(bound);
            self.offer_plan(&branch.turns, Some(&gains));
            if !self.may_beat(branch.bound) {
                return;
            }
            let mut settled = false;
            let left = self.problem.budget - self.spent(&branch.turns);
            for (at, gain) in gains.iter().enumerate() {
                if branch.turns[at] != Turn::Free {
                    continue;
                }
                let turn = if self.problem.choices[at].price > left {
                    Turn::Left
                } else if *gain > 0.0 && !self.may_beat(bound - gain) {
                    Turn::Bought
                } else if *gain <= 0.0 && !self.may_beat(bound + gain) {
                    Turn::Left
                } else {
                    continue;
                };
                branch.turns[at] = turn;
                settled = true;
            }
            if !settled {
                break gains;
            }
        };
        // The one that the bound is least sure of is decided next, and first as the bound would have it.
        let free = (0..gains.len()).filter(|&at| branch.turns[at] == Turn::Free);
        let Some(at) = free.min_by(|&a, &b| gains[a].abs().total_cmp(&gains[b].abs())) else { return };
        let bought_first = gains.swap_remove(at) > 0.0;
        for turn in if bought_first { [Turn::Left, Turn::Bought] } else { [Turn::Bought, Turn::Left] } {
            let mut turns = branch.turns.clone();
            turns[at] = turn;
            self.open.push(Branch { turns, fines: branch.fines.clone(), bound: branch.bound });
        }
    }

    /// Values are whole numbers, so only one more is better.
    fn may_beat(&self, bound: f64) -> bool {
        bound >= self.best_value as f64 + 1.0 - 1e-3
    }

    fn spent(&self, turns: &[Turn]) -> i64 {
        let bought = turns.iter().zip(&self.problem.choices).filter(|(turn, _)| **turn == Turn::Bought);
        bought.map(|(_, choice)| choice.price).sum()
    }

    /// Lowers the bound by setting the fines anew; gives the lowest, with what each offer would add to it.
    fn tighten(&self, turns: &[Turn], fines: &mut Fines, rounds: usize) -> (f64, Vec<f64>) {
        let budget = self.problem.budget as f64;
        let mut best: Option<(f64, Vec<f64>, Fines)> = None;
        let (mut haste, mut stale) = (1.0, 0);
        let mut liked: Vec<usize> = Vec::new();
        for _ in 0..rounds {
            let mut asked = vec![0.0; self.weights.len()];
            let (mut bound, mut money) = (fines.money * budget + fines.twice.iter().sum::<f64>(), 0.0);
            let mut gains = vec![0.0; turns.len()];
            for (at, choice) in self.problem.choices.iter().enumerate() {
                if turns[at] == Turn::Left {
                    continue;
                }
                let price = choice.price as f64;
                let mut gain = -(1.0 + fines.money) * price;
                liked.clear();
                for unit in &choice.units {
                    let mut most = (0.0, usize::MAX);
                    for &need in unit {
                        let worth = self.full_worth[need] - fines.twice[need];
                        if worth > most.0 {
                            most = (worth, need);
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
                if stale >= 5 {
                    (haste, stale) = (haste * 0.5, 0);
                }
            }
            // Step against what was overdone; money is counted in shares of the budget.
            let scale = budget.max(1.0);
            let over_money = (money - budget) / scale;
            let size = asked.iter().map(|asked| (asked - 1.0) * (asked - 1.0)).sum::<f64>() + over_money * over_money;
            let gap = bound - self.best_value as f64;
            if size < 1e-12 || gap < 1e-3 {
                break;
            }
            let step = haste * gap / size;
            for (fine, asked) in fines.twice.iter_mut().zip(&asked) {
                *fine = (*fine + step * (asked - 1.0)).max(0.0);
            }
            fines.money = (fines.money + step * over_money / scale).max(0.0);
        }
        match best {
            Some((bound, gains, least)) => {
                *fines = least;
                (bound, gains)
            }
            None => (f64::MAX, vec![0.0; turns.len()]),
        }
    }

    /// Makes a plan of a branch: what is bought already, then what the bound likes best for its money, as far as it goes.
    fn offer_plan(&mut self, turns: &[Turn], gains: Option<&[f64]>) {
        let mut bought: Vec<bool> = turns.iter().map(|turn| *turn == Turn::Bought).collect();
        let mut left = self.problem.budget - self.spent(turns);
        if left < 0 {
            return;
        }
        let mut matched = self.matched(&bought);
        if let Some(gains) = gains {
            // Now and then also what the bound does not like: money may be left.
            let all = self.steps.is_multiple_of(FILL_EACH);
            let price = |at: usize| self.problem.choices[at].price.max(1) as f64;
            let mut free: Vec<usize> = (0..turns.len()).filter(|&at| turns[at] == Turn::Free).collect();
            free.retain(|&at| all || gains[at] > 0.0);
            free.sort_by(|&a, &b| (gains[b] / price(b)).total_cmp(&(gains[a] / price(a))));
            for at in free {
                if self.problem.choices[at].price <= left && self.grow(&mut matched, at) {
                    bought[at] = true;
                    left -= self.problem.choices[at].price;
                }
            }
        }
        // Only a plan that serves as much as the best can be better.
        if self.worth_of(&matched) * self.unit_worth <= self.best_value {
            return;
        }
        self.drop_needless(&mut bought);
        let value = self.value(&bought);
        if value > self.best_value {
            (self.best_value, self.best) = (value, bought);
        }
    }

    /// Adds an offer's parts to a matching, each by the heaviest need it can make room for; false if none serves one more.
    fn grow(&self, matched: &mut [Option<usize>], choice: usize) -> bool {
        let mut grown = false;
        for (number, needs) in self.problem.choices[choice].units.iter().enumerate() {
            // From the new part back: a need that likes it gives up its own part, which another need may take, and so on.
            let mut came_from: Vec<Option<usize>> = vec![None; self.weights.len()];
            let first = self.first_unit[choice] + number;
            let mut heaviest: Option<usize> = None;
            let mut look: Vec<usize> = Vec::new();
            let mut reach =
                |needs: &[usize], unit: usize, look: &mut Vec<usize>, came_from: &mut Vec<Option<usize>>| {
                    for &need in needs.iter().filter(|need| self.weights.len() > **need) {
                        if came_from[need].is_none() {
                            came_from[need] = Some(unit);
                            match matched[need] {
                                Some(_) => look.push(need),
                                None if heaviest.is_none_or(|best| self.weights[need] > self.weights[best]) => {
                                    heaviest = Some(need);
                                }
                                None => {}
                            }
                        }
                    }
                };
            reach(needs, first, &mut look, &mut came_from);
            while let Some(need) = look.pop() {
                if let Some(unit) = matched[need] {
                    let owner = self.owner[unit];
                    let others = &self.problem.choices[owner].units[unit - self.first_unit[owner]];
                    reach(others, unit, &mut look, &mut came_from);
                }
            }
            let Some(mut need) = heaviest else { continue };
            grown = true;
            // Hand the parts on, from the unserved need to the new part.
            while let Some(unit) = came_from[need] {
                let before = matched.iter().position(|one| *one == Some(unit));
                matched[need] = Some(unit);
                match before {
                    Some(other) if unit != first => need = other,
                    _ => break,
                }
            }
        }
        grown
    }

    /// Gives back what serves nothing that the rest does not, the dearest first.
    fn drop_needless(&self, bought: &mut [bool]) {
        let mut dearest: Vec<usize> = (0..bought.len()).filter(|&at| bought[at]).collect();
        dearest.sort_by_key(|&at| Reverse(self.problem.choices[at].price));
        let all = self.worth(bought);
        for at in dearest.into_iter().filter(|&at| self.problem.choices[at].price > 0) {
            bought[at] = false;
            if self.worth(bought) < all {
                bought[at] = true;
            }
        }
    }

    fn matched(&self, bought: &[bool]) -> Vec<Option<usize>> {
        best_matching(&self.order, &self.places, self.owner.len(), &|unit| bought[self.owner[unit]])
    }

    /// What a set serves, without its price.
    fn worth(&self, bought: &[bool]) -> i64 {
        self.worth_of(&self.matched(bought))
    }

    fn worth_of(&self, matched: &[Option<usize>]) -> i64 {
        matched.iter().zip(&self.weights).filter(|(unit, _)| unit.is_some()).map(|(_, weight)| weight).sum()
    }

    fn value(&self, bought: &[bool]) -> i64 {
        let cost: i64 =
            bought.iter().zip(&self.problem.choices).filter(|(b, _)| **b).map(|(_, c)| c.price.max(0)).sum();
        self.worth(bought) * self.unit_worth - cost
    }

    fn served(&self) -> Vec<Option<(usize, usize)>> {
        let place = |unit: usize| (self.owner[unit], unit - self.first_unit[self.owner[unit]]);
        self.matched(&self.best).into_iter().map(|unit| unit.map(place)).collect()
    }

    fn solution(self) -> Solution {
        let served = self.served();
        let proved = !self.may_beat(self.given_up);
        // A plan's worth is a whole number of units less its price, which is below one unit.
        let units =
            if proved { self.worth(&self.best) } else { (self.given_up / self.unit_worth as f64 + 1e-9).ceil() as i64 };
        let (second, third) = (
            self.problem.urgency.iter().filter(|u| **u == 1).count() as i64 + 1,
            self.problem.urgency.iter().filter(|u| **u == 2).count() as i64 + 1,
        );
        let at_best = [units / (second * third), units / second % third, units % second];
        let used = |at: usize| served.iter().flatten().any(|(choice, _)| *choice == at);
        // What costs nothing and serves nothing stays where it is.
        let chosen: Vec<usize> = (0..self.best.len()).filter(|&at| self.best[at] && used(at)).collect();
        let cost = chosen.iter().map(|&at| self.problem.choices[at].price).sum();
        let least = (units as f64 * self.unit_worth as f64 - self.given_up).floor() as i64;
        let cost_at_least = if proved { cost } else { least.clamp(0, self.problem.budget) };
        Solution { chosen, served, cost, proved, at_best, cost_at_least, steps: self.steps }
    }
}
