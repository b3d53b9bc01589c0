//! The cheapest set of offers that serves the most urgent needs within a budget: exact, by branch and bound.
//!
//! One need of a higher urgency counts more than all of lower ones together; of plans that serve alike, the cheapest is best.
//! So the search has four aims, one after another: as many of the most urgent needs as can be; with that many, as many of the
//! next; then of the last; then the least money. Each aim is a small whole number, which a bound soon meets.
//! What a set of offers serves is a matching of needs to parts. [`bound`](super::bound) says what a branch can reach at best;
//! an offer whose turn would lower that below the best plan found is settled without a branch.

use std::cmp::Reverse;

use super::bound::{Fines, Relaxed};
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

impl Problem {
    /// 0 for the most urgent needs, 2 for the least.
    pub(super) fn tier(&self, need: usize) -> usize {
        3 - usize::from(self.urgency[need]).clamp(1, 3)
    }
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

/// Fines are set anew so often at the start of an aim, and at each branch.
const ROOT_ROUNDS: usize = 800;
const BRANCH_ROUNDS: usize = 15;
/// Each so many branches, a plan is filled up with whatever the money still buys.
const FILL_EACH: u64 = 16;
/// A plan is bettered by single exchanges at most so often at the start of an aim.
const EXCHANGES_MAX: usize = 4;
/// How many times the fines of the aim before are tried to begin with.
const STARTS: [f64; 7] = [0.5, 1.0, 2.0, 4.0, 8.0, 16.0, 32.0];
const START_ROUNDS: usize = 100;
/// Aims: one for each urgency, then the cost.
const COST: usize = 3;

/// Solves in one go, for tests and measuring: after `steps_max` branches the best plan so far is given.
pub fn solve(problem: &Problem, steps_max: u64) -> Solution {
    let mut search = Search::new(problem.clone(), steps_max);
    while !search.work(u64::MAX) {}
    search.solution()
}

/// How it stands with an offer on a branch.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum Turn {
    Free,
    Bought,
    Left,
}

struct Branch {
    turns: Vec<Turn>,
    fines: Fines,
    bound: f64,
}

/// A search that can be paused, told of and stopped.
pub struct Search {
    problem: Problem,
    /// What a need counts: one of a higher urgency more than all of lower ones.
    weights: Vec<i64>,
    order: Vec<usize>,
    places: Places,
    owner: Vec<usize>,
    first_unit: Vec<usize>,
    best: Vec<bool>,
    best_worth: i64,
    best_cost: i64,
    relaxed: Relaxed,
    /// As they were set at the start of the aim.
    first_fines: Fines,
    open: Vec<Branch>,
    steps: u64,
    steps_max: u64,
    /// What no plan can exceed, for each aim that is over.
    at_best: Vec<i64>,
    /// What branches given up unfinished could have reached at best.
    given_up: f64,
}

impl Search {
    pub fn new(problem: Problem, steps_max: u64) -> Self {
        let count = |urgency: u8| problem.urgency.iter().filter(|one| **one == urgency).count() as i64;
        let second = count(1) + 1;
        let third = second * (count(2) + 1);
        let needs = problem.urgency.len();
        let weights: Vec<i64> = (0..needs).map(|need| [third, second, 1][problem.tier(need)]).collect();
        let mut order: Vec<usize> = (0..needs).collect();
        order.sort_by_key(|&need| Reverse(weights[need]));
        let mut places: Places = vec![Vec::new(); needs];
        let (mut owner, mut first_unit) = (Vec::new(), Vec::new());
        for (at, choice) in problem.choices.iter().enumerate() {
            first_unit.push(owner.len());
            for unit in &choice.units {
                unit.iter().for_each(|&need| places[need].push(owner.len()));
                owner.push(at);
            }
        }
        let mut search = Self {
            weights,
            order,
            places,
            owner,
            first_unit,
            best: problem.choices.iter().map(|choice| choice.price <= 0).collect(),
            best_worth: 0,
            best_cost: 0,
            relaxed: Relaxed::default(),
            first_fines: Fines::new(needs),
            open: Vec::new(),
            steps: 0,
            steps_max,
            at_best: Vec::new(),
            given_up: f64::MIN,
            problem,
        };
        search.best_worth = search.worth(&search.best);
        search.begin_aim();
        search
    }

    pub fn problem(&self) -> &Problem {
        &self.problem
    }

    fn aim(&self) -> usize {
        self.at_best.len()
    }

    /// Looks into at most so many branches; true when there is nothing left to do.
    pub fn work(&mut self, steps: u64) -> bool {
        let stop = self.steps.saturating_add(steps);
        while self.aim() <= COST {
            let kept = self.counts(&self.best);
            if (0..self.aim().min(COST)).any(|tier| kept[tier] != self.relaxed.kept[tier]) {
                // More of the more urgent needs turned out to be served than an aim cut off had found.
                self.begin_aim();
            }
            let Some(mut branch) = self.open.pop() else {
                self.end_aim();
                continue;
            };
            if !self.may_beat(branch.bound) {
                continue;
            }
            // Each aim may use a quarter, and what those before have left.
            if self.steps >= (self.steps_max / 4).saturating_mul(self.aim() as u64 + 1).min(self.steps_max) {
                self.given_up = self.open.iter().map(|one| one.bound).fold(branch.bound, f64::max);
                self.end_aim();
                continue;
            }
            if self.steps >= stop {
                self.open.push(branch);
                return false;
            }
            self.steps += 1;
            self.branch(&mut branch);
        }
        true
    }

    pub fn progress(&self) -> Progress {
        Progress { steps: self.steps, served: self.matched(&self.best).iter().flatten().count() }
    }

    fn begin_aim(&mut self) {
        let aim = self.aim();
        self.open.clear();
        self.given_up = f64::MIN;
        self.relaxed = Relaxed::new(&self.problem, aim, self.counts(&self.best));
        // What costs nothing is taken; what is of no use or too dear is not.
        let turns = self.problem.choices.iter().map(|choice| match choice.price {
            price if price <= 0 => Turn::Bought,
            price if price > self.problem.budget => Turn::Left,
            _ if choice.units.iter().all(Vec::is_empty) => Turn::Left,
            _ => Turn::Free,
        });
        let mut root = Branch { turns: turns.collect(), fines: self.first_fines.clone(), bound: f64::MAX };
        // The fines of the aim before, made larger, are near those that keep what it reached.
        let unit = if aim == COST { (self.best_cost as f64 / self.order.len().max(1) as f64).max(1.0) } else { 1.0 };
        let mut starts: Vec<(f64, Fines)> = vec![(f64::MAX, Fines::new(self.weights.len()))];
        starts.extend(STARTS.map(|times| (f64::MAX, self.first_fines.times(times * unit, aim))));
        for (bound, fines) in &mut starts {
            root.fines = fines.clone();
            let (here, gains) = self.tighten(&mut root, START_ROUNDS);
            self.offer_plan(&root.turns, &gains, true);
            (*bound, *fines) = (here, root.fines.clone());
        }
        if let Some((_, fines)) = starts.into_iter().min_by(|a, b| a.0.total_cmp(&b.0)) {
            root.fines = fines;
        }
        let (bound, gains) = self.tighten(&mut root, ROOT_ROUNDS);
        root.bound = bound;
        self.first_fines = root.fines.clone();
        self.offer_plan(&root.turns, &gains, true);
        for _ in 0..EXCHANGES_MAX {
            if !self.may_beat(root.bound) || !self.exchange(&root.turns) {
                break;
            }
        }
        self.open.push(root);
    }

    fn end_aim(&mut self) {
        let reached = self.reached();
        let conceivable = if self.given_up > f64::MIN { whole(self.given_up) } else { reached };
        self.at_best.push(conceivable.max(reached));
        if self.aim() <= COST {
            self.begin_aim();
        }
    }

    /// What the best plan reaches of the aim.
    fn reached(&self) -> i64 {
        match self.aim() {
            COST => -self.best_cost,
            tier => self.counts(&self.best)[tier],
        }
    }

    /// Only one more is better.
    fn may_beat(&self, bound: f64) -> bool {
        whole(bound) > self.reached()
    }

    fn tighten(&self, branch: &mut Branch, rounds: usize) -> (f64, Vec<f64>) {
        self.relaxed.tighten(&self.problem, &branch.turns, &mut branch.fines, rounds, self.reached() as f64)
    }

    /// Looks into a branch: settles what can be settled, and parts the rest in two.
    fn branch(&mut self, branch: &mut Branch) {
        let mut gains = loop {
            let left = self.problem.budget - self.spent(&branch.turns);
            if left < 0 {
                return;
            }
            let (bound, gains) = self.tighten(branch, BRANCH_ROUNDS);
            branch.bound = branch.bound.min(bound);
            self.offer_plan(&branch.turns, &gains, self.steps.is_multiple_of(FILL_EACH));
            if !self.may_beat(branch.bound) {
                return;
            }
            let mut settled = false;
            for (at, gain) in gains.iter().enumerate() {
                if branch.turns[at] != Turn::Free {
                    continue;
                }
                branch.turns[at] = if self.problem.choices[at].price > left {
                    Turn::Left
                } else if *gain > 0.0 && !self.may_beat(bound - gain) {
                    Turn::Bought
                } else if *gain <= 0.0 && !self.may_beat(bound + gain) {
                    Turn::Left
                } else {
                    continue;
                };
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

    fn spent(&self, turns: &[Turn]) -> i64 {
        let bought = turns.iter().zip(&self.problem.choices).filter(|(turn, _)| **turn == Turn::Bought);
        bought.map(|(_, choice)| choice.price.max(0)).sum()
    }

    /// Makes a plan of a branch: what is bought already, then what the bound likes best for its money, as far as it goes;
    /// with `all` also what the bound does not like.
    fn offer_plan(&mut self, turns: &[Turn], gains: &[f64], all: bool) {
        let mut bought: Vec<bool> = turns.iter().map(|turn| *turn == Turn::Bought).collect();
        let mut left = self.problem.budget - self.spent(turns);
        if left < 0 {
            return;
        }
        let mut matched = self.matched(&bought);
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
        self.take_if_better(bought, self.worth_of(&matched));
    }

    /// Keeps a set that serves so much, without what it does not need, if it is the best so far.
    fn take_if_better(&mut self, mut bought: Vec<bool>, worth: i64) -> bool {
        if worth < self.best_worth {
            return false;
        }
        self.drop_needless(&mut bought, worth);
        let cost = self.cost(&bought);
        let better = (worth, -cost) > (self.best_worth, -self.best_cost);
        if better {
            (self.best, self.best_worth, self.best_cost) = (bought, worth, cost);
        }
        better
    }

    /// Betters the best plan by giving one thing back and spending its money anew; true if that helped.
    fn exchange(&mut self, turns: &[Turn]) -> bool {
        let bought: Vec<usize> =
            (0..turns.len()).filter(|&at| self.best[at] && self.problem.choices[at].price > 0).collect();
        let mut helped = false;
        for back in bought.into_iter().map(Some).chain([None]) {
            let mut set = self.best.clone();
            if let Some(back) = back {
                set[back] = false;
            }
            let mut left = self.problem.budget - self.cost(&set);
            let mut matched = self.matched(&set);
            loop {
                let mut most: Option<(i64, i64, usize, Vec<Option<usize>>)> = None;
                let here = self.worth_of(&matched);
                for at in (0..turns.len()).filter(|&at| turns[at] == Turn::Free && !set[at] && Some(at) != back) {
                    let price = self.problem.choices[at].price;
                    let mut grown = matched.clone();
                    if price > left || !self.grow(&mut grown, at) {
                        continue;
                    }
                    let gain = self.worth_of(&grown) - here;
                    if most.as_ref().is_none_or(|(best, cheap, ..)| (gain, -price) > (*best, *cheap)) {
                        most = Some((gain, -price, at, grown));
                    }
                }
                let Some((_, cheap, at, grown)) = most else { break };
                set[at] = true;
                left += cheap;
                matched = grown;
            }
            helped |= self.take_if_better(set, self.worth_of(&matched));
        }
        helped
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
                    for &need in needs {
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
    fn drop_needless(&self, bought: &mut [bool], worth: i64) {
        let mut dearest: Vec<usize> =
            (0..bought.len()).filter(|&at| bought[at] && self.problem.choices[at].price > 0).collect();
        dearest.sort_by_key(|&at| Reverse(self.problem.choices[at].price));
        for at in dearest {
            bought[at] = false;
            if self.worth(bought) < worth {
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

    fn cost(&self, bought: &[bool]) -> i64 {
        bought.iter().zip(&self.problem.choices).filter(|(b, _)| **b).map(|(_, c)| c.price.max(0)).sum()
    }

    /// Needs of each urgency that a set serves, the most urgent first.
    fn counts(&self, bought: &[bool]) -> [i64; 3] {
        counts(&self.problem, &self.matched(bought))
    }

    /// The best plan so far, with what could at best be reached.
    pub fn solution(&self) -> Solution {
        let place = |unit: usize| (self.owner[unit], unit - self.first_unit[self.owner[unit]]);
        let matched = self.matched(&self.best);
        let reached = counts(&self.problem, &matched);
        let served: Vec<_> = matched.into_iter().map(|unit| unit.map(place)).collect();
        let used = |at: usize| served.iter().flatten().any(|(choice, _)| *choice == at);
        // What costs nothing and serves nothing stays where it is.
        let chosen: Vec<usize> = (0..self.best.len()).filter(|&at| self.best[at] && used(at)).collect();
        let cost = chosen.iter().map(|&at| self.problem.choices[at].price).sum();
        // A search stopped within an aim knows what its open branches could reach, and nothing of the aims behind it.
        let mut at_best = [0; 3];
        let mut settled = true;
        for tier in 0..3 {
            let all = (0..self.weights.len()).filter(|need| self.problem.tier(*need) == tier).count() as i64;
            at_best[tier] = match self.at_best.get(tier) {
                _ if !settled => all,
                Some(most) => *most,
                None if tier == self.aim() => self.open_bound().max(reached[tier]),
                None => all,
            };
            settled &= at_best[tier] == reached[tier];
        }
        let least = match self.at_best.get(COST) {
            Some(least) => -least,
            None if self.aim() == COST => -self.open_bound(),
            None => 0,
        };
        let cost_at_least = if settled { least.clamp(0, cost) } else { 0 };
        let proved = settled && self.aim() > COST && cost_at_least == cost;
        Solution { chosen, served, cost, proved, at_best, cost_at_least, steps: self.steps }
    }

    fn open_bound(&self) -> i64 {
        whole(self.open.iter().map(|branch| branch.bound).fold(self.reached() as f64, f64::max))
    }
}

fn counts(problem: &Problem, matched: &[Option<usize>]) -> [i64; 3] {
    let mut counts = [0; 3];
    let served = matched.iter().enumerate().filter(|(_, unit)| unit.is_some());
    served.for_each(|(need, _)| counts[problem.tier(need)] += 1);
    counts
}

/// The whole number that a bound allows: a hair below one is rounding.
fn whole(bound: f64) -> i64 {
    (bound + 1e-6).floor() as i64
}
