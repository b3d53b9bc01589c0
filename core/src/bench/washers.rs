//! Which washers from the drawer bring a drag stack to the right height, changing as few as can be.
//!
//! Exact, by dynamic programming over whole micrometres: for each kind of washer and each thickness, the least cost of
//! every height that can be reached with so many washers. The best answers are then read back, best first.

use std::cmp::Reverse;
use std::collections::BinaryHeap;

use serde::Serialize;

use crate::error::{Error, Result};

/// A washer by what it turns with. Where it does not matter, all metal ones are `Keyed`.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Serialize)]
#[serde(rename_all = "lowercase")]
pub enum Washer {
    Friction,
    /// Turns with the sleeve.
    Keyed,
    /// Has ears, turns with the gear.
    Eared,
}

/// So many washers of a kind and thickness.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize)]
pub struct Lot {
    pub kind: Washer,
    pub thickness_um: u32,
    pub count: u32,
}

/// What is asked.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Question {
    /// In the drawer.
    pub stock: Vec<Lot>,
    /// Kinds from the bottom up.
    pub places: Vec<Washer>,
    /// Thickness of what lies at each place now; empty where nothing is in yet.
    pub now_um: Vec<u32>,
    pub least_um: u32,
    pub most_um: u32,
    /// How much a friction washer gives under the clamp, in thousandths of its thickness.
    pub gives_permille: u32,
    /// Answers at most.
    pub limit: usize,
}

/// A stack that fits.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct Stack {
    /// Washers that come out of the drawer.
    pub changes: u32,
    pub height_um: f64,
    /// Different washers used.
    pub different: u32,
    pub lots: Vec<Lot>,
    /// From the bottom up.
    pub places: Vec<Placed>,
}

#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize)]
pub struct Placed {
    pub kind: Washer,
    pub thickness_um: u32,
    /// From the drawer, not from the stack as it is.
    pub new: bool,
}

/// The answer.
#[derive(Debug, Clone, Default, PartialEq, Serialize)]
pub struct Solved {
    /// Fewest changes first, then nearest to the middle of the window, then fewest different washers. All that are as
    /// good as the best are among them, unless they are more than the limit.
    pub stacks: Vec<Stack>,
    /// Sets of washers within the window, whatever their rank.
    pub in_window: u64,
    /// Where none fits: the nearest heights that can be reached, below and above.
    pub below_um: Option<f64>,
    pub above_um: Option<f64>,
}

/// Most places and different washers: beyond, it is no drag.
pub const MOST_PLACES: usize = 24;
pub const MOST_LOTS: usize = 80;

/// Kinds of an alternating stack, from the bottom up. Metal ones are keyed and eared by turns where `first_metal` is given.
///
/// # Errors
/// Counts that can't alternate.
pub fn alternating(
    friction: usize,
    metal: usize,
    friction_below: bool,
    first_metal: Option<Washer>,
) -> Result<Vec<Washer>> {
    if friction.abs_diff(metal) > 1 {
        return Err(Error::invalid(format!(
            "{friction} friction and {metal} metal washers can't alternate: the counts may differ by one at most."
        )));
    }
    if friction + metal == 0 {
        return Err(Error::invalid("A stack needs a washer or more."));
    }
    let mut next_is_friction = if friction == metal { friction_below } else { friction > metal };
    let mut metal_kind = first_metal.unwrap_or(Washer::Keyed);
    let mut places = Vec::new();
    for _ in 0..friction + metal {
        if next_is_friction {
            places.push(Washer::Friction);
        } else {
            places.push(metal_kind);
            metal_kind = match metal_kind {
                Washer::Keyed if first_metal.is_some() => Washer::Eared,
                _ => Washer::Keyed,
            };
        }
        next_is_friction = !next_is_friction;
    }
    Ok(places)
}

/// A thickness of one kind, with how many lie in the stack now and how many may be used.
struct Item {
    lot: Lot,
    units: usize,
    now: u32,
    most: u32,
}

impl Item {
    /// Changes in the upper bits, different washers in the lower: sums compare as pairs do.
    fn cost(&self, used: u32) -> u16 {
        if used == 0 { 0 } else { (used.saturating_sub(self.now) as u16) << 6 | 1 }
    }
}

const NEVER: u16 = u16::MAX;

/// Least cost by washers used (rows) and height (columns), after some of the items.
struct Layer {
    item: Option<usize>,
    rows: usize,
    costs: Vec<u16>,
}

/// The layers of one or two kinds of washer, one after the other.
struct Chain {
    columns: usize,
    items: Vec<Item>,
    layers: Vec<Layer>,
    /// Ways to reach each height.
    ways: Vec<u64>,
}

impl Chain {
    /// `kinds` with how many of each; heights up to `columns` units; the ways to reach each are counted on demand.
    fn build(items: Vec<Item>, kinds: &[(Washer, usize)], columns: usize, count: bool) -> Self {
        let mut base = vec![NEVER; columns];
        base[0] = 0;
        let mut ways = vec![0u64; if count { columns } else { 0 }];
        ways.iter_mut().take(1).for_each(|ways| *ways = 1);
        let mut layers = Vec::new();
        for &(kind, wanted) in kinds {
            let rows = wanted + 1;
            let mut costs = base;
            costs.resize(rows * columns, NEVER);
            layers.push(Layer { item: None, rows, costs });
            if count {
                ways.resize(rows * columns, 0);
            }
            for (at, item) in items.iter().enumerate().filter(|(_, item)| item.lot.kind == kind) {
                let costs = with_item(&layers[layers.len() - 1].costs, item, rows, columns);
                layers.push(Layer { item: Some(at), rows, costs });
                if count {
                    add_ways(&mut ways, item, rows, columns);
                }
            }
            base = layers[layers.len() - 1].costs[wanted * columns..].to_vec();
            if count {
                ways = ways[wanted * columns..].to_vec();
            }
        }
        if kinds.is_empty() {
            layers.push(Layer { item: None, rows: 1, costs: base });
        }
        Self { columns, items, layers, ways }
    }

    /// Cost of each height with all washers used.
    fn done(&self) -> &[u16] {
        let last = &self.layers[self.layers.len() - 1];
        &last.costs[(last.rows - 1) * self.columns..]
    }
}

fn with_item(before: &[u16], item: &Item, rows: usize, columns: usize) -> Vec<u16> {
    let mut after = before.to_vec();
    for row in 1..rows {
        for used in 1..=row.min(item.most as usize) {
            let shift = used * item.units;
            if shift >= columns {
                break;
            }
            let cost = item.cost(used as u32);
            let from = &before[(row - used) * columns..(row - used + 1) * columns - shift];
            let to = &mut after[row * columns + shift..(row + 1) * columns];
            // NEVER stays above every real cost, which is below 4096.
            for (to, from) in to.iter_mut().zip(from) {
                *to = (*to).min(from.saturating_add(cost));
            }
        }
    }
    for cost in &mut after {
        if *cost >= 0x4000 {
            *cost = NEVER;
        }
    }
    after
}

fn add_ways(ways: &mut [u64], item: &Item, rows: usize, columns: usize) {
    // Downwards, so that the rows read are still those before this item.
    for row in (1..rows).rev() {
        for used in 1..=row.min(item.most as usize) {
            let shift = used * item.units;
            if shift >= columns {
                break;
            }
            let (below, at) = ways.split_at_mut(row * columns);
            let from = &below[(row - used) * columns..(row - used + 1) * columns - shift];
            for (to, from) in at[shift..columns].iter_mut().zip(from) {
                *to = to.saturating_add(*from);
            }
        }
    }
}

/// Rank of a stack: changes, distance from the middle, different washers. Smaller is better.
type Rank = (u16, u64, u16);

/// Both chains with what joins them.
struct Work {
    friction: Chain,
    metal: Chain,
    /// Millionths of a millimetre (thousandths of a micrometre) for one unit of each.
    friction_step: u64,
    metal_step: u64,
    least: u64,
    most: u64,
}

impl Work {
    fn height(&self, friction: usize, metal: usize) -> u64 {
        friction as u64 * self.friction_step + metal as u64 * self.metal_step
    }
    fn rank(&self, cost: u16, height: u64) -> Rank {
        (cost >> 6, (2 * height).abs_diff(self.least + self.most), cost & 63)
    }
    /// Metal heights that bring this friction height into the window.
    fn window(&self, friction: usize) -> std::ops::Range<usize> {
        let low = friction as u64 * self.friction_step;
        if low > self.most {
            return 0..0;
        }
        let from = self.least.saturating_sub(low).div_ceil(self.metal_step) as usize;
        let to = ((self.most - low) / self.metal_step) as usize + 1;
        from.min(self.metal.columns)..to.min(self.metal.columns)
    }
}

/// Solves it.
///
/// # Errors
/// A question that makes no sense, in a sentence.
pub fn solve(question: &Question) -> Result<Solved> {
    check(question)?;
    let work = prepare(question, question.most_um, true);
    let mut solved = Solved { in_window: count_in_window(&work), ..Solved::default() };
    if solved.in_window == 0 {
        let tallest = question.stock.iter().map(|lot| lot.thickness_um).chain(question.now_um.iter().copied()).max();
        let reach = tallest.unwrap_or_default().saturating_mul(question.places.len() as u32);
        (solved.below_um, solved.above_um) = nearest(&prepare(question, reach.max(question.most_um), false));
        return Ok(solved);
    }
    solved.stacks = best(&work, question);
    Ok(solved)
}

fn check(question: &Question) -> Result<()> {
    let said = |sentence: String| Err(Error::invalid(sentence));
    if question.places.is_empty() || question.places.len() > MOST_PLACES {
        return said(format!("A stack has 1 to {MOST_PLACES} washers."));
    }
    if question.stock.len() > MOST_LOTS {
        return said(format!("More than {MOST_LOTS} different washers in stock: list those that fit this gear only."));
    }
    if question.least_um > question.most_um || question.most_um > 100_000 {
        return said("The least height must not be above the most, and a stack is at most 100 mm high.".into());
    }
    if !question.now_um.is_empty() && question.now_um.len() != question.places.len() {
        return said("The stack as it is must have as many washers as the stack wanted.".into());
    }
    let thin = |um: u32| !(10..=20_000).contains(&um);
    if let Some(um) =
        question.stock.iter().map(|lot| lot.thickness_um).chain(question.now_um.iter().copied()).find(|um| thin(*um))
    {
        return said(format!("A washer of {} mm is not to be had: 0.01 to 20 mm.", f64::from(um) / 1000.0));
    }
    if question.gives_permille > 500 {
        return said("A washer that gives more than half of its thickness is worn out.".into());
    }
    Ok(())
}

/// The items of these kinds: equal lots joined, with those in the stack now.
fn items_of(question: &Question, kinds: &[(Washer, usize)]) -> Vec<Item> {
    let mut items: Vec<Item> = Vec::new();
    let mut put = |kind: Washer, thickness_um: u32, count: u32, now: u32| {
        let at = items.iter().position(|item| item.lot.kind == kind && item.lot.thickness_um == thickness_um);
        let at = at.unwrap_or_else(|| {
            items.push(Item { lot: Lot { kind, thickness_um, count: 0 }, units: 0, now: 0, most: 0 });
            items.len() - 1
        });
        items[at].most = items[at].most.saturating_add(count).saturating_add(now);
        items[at].now += now;
    };
    let wanted = |kind: Washer| kinds.iter().any(|(wanted, _)| *wanted == kind);
    for (kind, um) in question.places.iter().zip(&question.now_um).filter(|(kind, _)| wanted(**kind)) {
        put(*kind, *um, 0, 1);
    }
    for lot in question.stock.iter().filter(|lot| wanted(lot.kind)) {
        put(lot.kind, lot.thickness_um, lot.count, 0);
    }
    crate::order::by(&mut items, |a, b| (a.lot.kind, a.lot.thickness_um).cmp(&(b.lot.kind, b.lot.thickness_um)));
    items
}

/// Lays out both chains for heights up to so much.
fn prepare(question: &Question, up_to_um: u32, count_ways: bool) -> Work {
    let count = |kind: Washer| question.places.iter().filter(|place| **place == kind).count();
    let kinds = |kinds: &[Washer]| -> Vec<(Washer, usize)> {
        kinds.iter().map(|kind| (*kind, count(*kind))).filter(|(_, count)| *count > 0).collect()
    };
    let chain = |kinds: Vec<(Washer, usize)>, step: u64| {
        let mut items = items_of(question, &kinds);
        let unit = items.iter().fold(0, |unit, item| common_part(unit, item.lot.thickness_um)).max(1);
        items.iter_mut().for_each(|item| item.units = (item.lot.thickness_um / unit) as usize);
        let columns = u64::from(up_to_um) * 1000 / (step * u64::from(unit)) + 1;
        // No taller than the tallest stack there is.
        let tallest = |kind: Washer, count: usize| {
            items.iter().filter(|item| item.lot.kind == kind).map(|item| item.units).max().unwrap_or(0) * count
        };
        let reach: usize = kinds.iter().map(|(kind, count)| tallest(*kind, *count)).sum();
        (Chain::build(items, &kinds, (columns as usize).min(reach + 1), count_ways), step * u64::from(unit))
    };
    let (friction, friction_step) = chain(kinds(&[Washer::Friction]), 1000 - u64::from(question.gives_permille));
    let (metal, metal_step) = chain(kinds(&[Washer::Keyed, Washer::Eared]), 1000);
    let (least, most) = (u64::from(question.least_um) * 1000, u64::from(question.most_um) * 1000);
    Work { friction, metal, friction_step, metal_step, least, most }
}

/// Greatest common divisor.
fn common_part(a: u32, b: u32) -> u32 {
    if b == 0 { a } else { common_part(b, a % b) }
}

fn count_in_window(work: &Work) -> u64 {
    let mut up_to = vec![0u64];
    for ways in &work.metal.ways {
        up_to.push(up_to[up_to.len() - 1].saturating_add(*ways));
    }
    let mut total = 0u64;
    for (friction, ways) in work.friction.ways.iter().enumerate().filter(|(_, ways)| **ways > 0) {
        let window = work.window(friction);
        if window.start < window.end {
            total = total.saturating_add(ways.saturating_mul(up_to[window.end] - up_to[window.start]));
        }
    }
    total
}

/// The nearest heights outside of the window, in micrometres.
fn nearest(work: &Work) -> (Option<f64>, Option<f64>) {
    let metals: Vec<usize> = reached(work.metal.done()).collect();
    let (mut below, mut above): (Option<u64>, Option<u64>) = (None, None);
    for friction in reached(work.friction.done()) {
        let after = metals.partition_point(|metal| work.height(friction, *metal) < work.least);
        if let Some(metal) = after.checked_sub(1).map(|at| metals[at]) {
            below = below.max(Some(work.height(friction, metal)));
        }
        if let Some(metal) = metals.get(after) {
            let height = work.height(friction, *metal);
            above = Some(above.map_or(height, |above| above.min(height)));
        }
    }
    let um = |height: u64| height as f64 / 1000.0;
    (below.map(um), above.map(um))
}

fn reached(costs: &[u16]) -> impl Iterator<Item = usize> {
    costs.iter().enumerate().filter(|(_, cost)| **cost != NEVER).map(|(at, _)| at)
}

/// A point on the way back through the layers, from the last washer chosen to none.
struct Step {
    parent: usize,
    /// Item and how many of it, chosen on the way here; which chain they belong to.
    chosen: Option<(bool, usize, u32)>,
    /// In the metal chain (else friction), at this layer, with so many washers and such a height still to explain.
    in_metal: bool,
    layer: usize,
    row: usize,
    height: usize,
    friction: usize,
    /// Cost of what was chosen.
    spent: u16,
    distance: u64,
}

/// The best stacks, best first: the way back is walked in order of rank, and the layers tell the cost of each rest
/// exactly, so that no walk ends in vain.
fn best(work: &Work, question: &Question) -> Vec<Stack> {
    let mut steps: Vec<Step> = Vec::new();
    let mut heap: BinaryHeap<Reverse<(Rank, Reverse<u16>, usize)>> = BinaryHeap::new();
    for (friction, metal) in best_pairs(work, question.limit) {
        let height = work.height(friction, metal);
        let cost = work.friction.done()[friction] + work.metal.done()[metal];
        let rank = work.rank(cost, height);
        let layer = work.metal.layers.len() - 1;
        let row = work.metal.layers[layer].rows - 1;
        heap.push(Reverse((rank, Reverse(0), steps.len())));
        steps.push(Step {
            parent: usize::MAX,
            chosen: None,
            in_metal: true,
            layer,
            row,
            height: metal,
            friction,
            spent: 0,
            distance: rank.1,
        });
    }
    let mut found = Vec::new();
    while let Some(Reverse((_, Reverse(depth), at))) = heap.pop() {
        let Step { in_metal, layer, row, height, friction, spent, distance, .. } = steps[at];
        let mut push = |step: Step, rest: u16| {
            let cost = step.spent + rest;
            heap.push(Reverse(((cost >> 6, step.distance, cost & 63), Reverse(depth + 1), steps.len())));
            steps.push(step);
        };
        let chain = if in_metal { &work.metal } else { &work.friction };
        let next = |layer: usize, row: usize, height: usize, chosen, spent| Step {
            parent: at,
            chosen,
            in_metal,
            layer,
            row,
            height,
            friction,
            spent,
            distance,
        };
        let beside = if in_metal { work.friction.done()[friction] } else { 0 };
        match chain.layers[layer].item {
            None if layer > 0 => {
                // The kind before this one is done to its last row.
                let row = chain.layers[layer - 1].rows - 1;
                let rest = chain.layers[layer - 1].costs[row * chain.columns + height];
                push(next(layer - 1, row, height, None, spent), rest + beside);
            }
            None if in_metal => {
                let layer = work.friction.layers.len() - 1;
                let row = work.friction.layers[layer].rows - 1;
                push(Step { in_metal: false, ..next(layer, row, friction, None, spent) }, beside);
            }
            None => {
                found.push(stack_of(work, question, &steps, at));
                if found.len() >= question.limit {
                    break;
                }
            }
            Some(item_at) => {
                let item = &chain.items[item_at];
                for used in 0..=item.most.min(row as u32) {
                    let Some(below) = height.checked_sub(used as usize * item.units) else { break };
                    let row = row - used as usize;
                    let rest = chain.layers[layer - 1].costs[row * chain.columns + below];
                    if rest != NEVER {
                        let chosen = (used > 0).then_some((in_metal, item_at, used));
                        push(next(layer - 1, row, below, chosen, spent + item.cost(used)), rest + beside);
                    }
                }
            }
        }
    }
    found
}

/// Heights of both kinds that hold the best stacks: each holds one at least, so `limit` of them are enough.
fn best_pairs(work: &Work, limit: usize) -> Vec<(usize, usize)> {
    let mut kept: BinaryHeap<(Rank, usize, usize)> = BinaryHeap::new();
    let metals = work.metal.done();
    for friction in reached(work.friction.done()) {
        let cost = work.friction.done()[friction];
        for metal in work.window(friction).filter(|metal| metals[*metal] != NEVER) {
            let rank = work.rank(cost + metals[metal], work.height(friction, metal));
            if kept.len() < limit {
                kept.push((rank, friction, metal));
            } else if kept.peek().is_some_and(|(worst, ..)| rank < *worst) {
                kept.pop();
                kept.push((rank, friction, metal));
            }
        }
    }
    kept.into_sorted_vec().into_iter().map(|(_, friction, metal)| (friction, metal)).collect()
}

fn stack_of(work: &Work, question: &Question, steps: &[Step], end: usize) -> Stack {
    let (mut lots, mut at) = (Vec::new(), end);
    let Step { spent, friction, .. } = steps[end];
    let mut metal = 0;
    while at != usize::MAX {
        if let Some((in_metal, item, count)) = steps[at].chosen {
            let chain = if in_metal { &work.metal } else { &work.friction };
            lots.push(Lot { count, ..chain.items[item].lot });
        }
        metal = if steps[at].in_metal { steps[at].height } else { metal };
        at = steps[at].parent;
    }
    crate::order::by(&mut lots, |a, b| (a.kind, a.thickness_um).cmp(&(b.kind, b.thickness_um)));
    Stack {
        changes: u32::from(spent >> 6),
        height_um: work.height(friction, metal) as f64 / 1000.0,
        different: u32::from(spent & 63),
        places: place(question, &lots),
        lots,
    }
}

/// Where each washer goes: what can stay stays, and the rest fills up, thickest at the bottom.
fn place(question: &Question, lots: &[Lot]) -> Vec<Placed> {
    let mut left = lots.to_vec();
    let mut take = |kind: Washer, um: Option<u32>| {
        let fits = |lot: &&mut Lot| lot.count > 0 && lot.kind == kind && um.is_none_or(|um| um == lot.thickness_um);
        let lot = left.iter_mut().rev().find(fits)?;
        lot.count -= 1;
        Some(lot.thickness_um)
    };
    let stay: Vec<Option<u32>> = question
        .places
        .iter()
        .enumerate()
        .map(|(at, kind)| question.now_um.get(at).and_then(|um| take(*kind, Some(*um))))
        .collect();
    let mut moved: Vec<(Washer, u32)> = question
        .places
        .iter()
        .zip(&question.now_um)
        .zip(&stay)
        .filter(|(_, stay)| stay.is_none())
        .map(|((kind, um), _)| (*kind, *um))
        .collect();
    let fill = |(at, kind): (usize, &Washer)| {
        if let Some(thickness_um) = stay[at] {
            return Some(Placed { kind: *kind, thickness_um, new: false });
        }
        let thickness_um = take(*kind, None)?;
        // A washer that only changes its place within the stack is none from the drawer.
        let own = moved.iter().position(|it| *it == (*kind, thickness_um));
        let new = own.map(|own| moved.swap_remove(own)).is_none();
        Some(Placed { kind: *kind, thickness_um, new })
    };
    question.places.iter().enumerate().filter_map(fill).collect()
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;
    use proptest::test_runner::{Config, RngAlgorithm, TestRng, TestRunner};

    /// Every set of washers, by trying each count of each lot.
    fn exhaustive(question: &Question) -> Vec<(Rank, Vec<Lot>)> {
        let mut lots: Vec<(Lot, u32)> = Vec::new();
        let kinds = &question.places;
        let now = question
            .places
            .iter()
            .zip(&question.now_um)
            .map(|(kind, um)| (Lot { kind: *kind, thickness_um: *um, count: 1 }, 1));
        for (lot, now) in question.stock.iter().map(|lot| (*lot, 0)).chain(now) {
            match lots.iter_mut().find(|(own, _)| (own.kind, own.thickness_um) == (lot.kind, lot.thickness_um)) {
                Some((own, own_now)) => {
                    own.count += lot.count;
                    *own_now += now;
                }
                None => lots.push((lot, now)),
            }
        }
        lots.retain(|(lot, _)| kinds.contains(&lot.kind));
        let mut all = Vec::new();
        try_counts(question, &lots, &mut Vec::new(), &mut all);
        all.sort();
        all
    }

    fn try_counts(question: &Question, lots: &[(Lot, u32)], chosen: &mut Vec<u32>, all: &mut Vec<(Rank, Vec<Lot>)>) {
        if chosen.len() < lots.len() {
            for count in 0..=lots[chosen.len()].0.count.min(question.places.len() as u32) {
                chosen.push(count);
                try_counts(question, lots, chosen, all);
                chosen.pop();
            }
            return;
        }
        for kind in [Washer::Friction, Washer::Keyed, Washer::Eared] {
            let wanted = question.places.iter().filter(|place| **place == kind).count() as u32;
            let used: u32 =
                lots.iter().zip(&*chosen).filter(|((lot, _), _)| lot.kind == kind).map(|(_, count)| count).sum();
            if used != wanted {
                return;
            }
        }
        let mut height = 0u64;
        let (mut changes, mut different) = (0, 0);
        let mut used = Vec::new();
        for ((lot, now), count) in lots.iter().zip(&*chosen).filter(|(_, count)| **count > 0) {
            let part = if lot.kind == Washer::Friction { 1000 - u64::from(question.gives_permille) } else { 1000 };
            height += u64::from(*count) * u64::from(lot.thickness_um) * part;
            changes += count.saturating_sub(*now) as u16;
            different += 1;
            used.push(Lot { count: *count, ..*lot });
        }
        let (least, most) = (u64::from(question.least_um) * 1000, u64::from(question.most_um) * 1000);
        if (least..=most).contains(&height) {
            used.sort_by_key(|lot| (lot.kind, lot.thickness_um));
            all.push(((changes, (2 * height).abs_diff(least + most), different), used));
        }
    }

    impl PartialOrd for Lot {
        fn partial_cmp(&self, other: &Self) -> Option<std::cmp::Ordering> {
            Some(self.cmp(other))
        }
    }
    impl Ord for Lot {
        fn cmp(&self, other: &Self) -> std::cmp::Ordering {
            (self.kind, self.thickness_um, self.count).cmp(&(other.kind, other.thickness_um, other.count))
        }
    }

    fn small_question() -> impl Strategy<Value = Question> {
        let kind = || prop_oneof![3 => Just(Washer::Friction), 2 => Just(Washer::Keyed), 1 => Just(Washer::Eared)];
        let lot = || (kind(), 3u32..16, 1u32..4);
        let grain = prop_oneof![Just(100u32), Just(50), Just(37)];
        (
            proptest::collection::vec(lot(), 2..8),
            1usize..4,
            0usize..4,
            any::<bool>(),
            any::<bool>(),
            grain,
            0u32..30,
            0u32..24,
            prop_oneof![Just(0u32), Just(50), Just(125)],
        )
            .prop_flat_map(|(lots, friction, metal, below, ears, grain, low, wide, gives)| {
                let metal = metal.clamp(friction - 1, friction + 1);
                let places = alternating(friction, metal, below, ears.then_some(Washer::Eared)).unwrap();
                let mut stock: Vec<Lot> =
                    lots.into_iter().map(|(kind, um, count)| Lot { kind, thickness_um: um * grain, count }).collect();
                stock.sort_by_key(|lot| (lot.kind, lot.thickness_um));
                stock.dedup_by_key(|lot| (lot.kind, lot.thickness_um));
                let now = proptest::collection::vec(3u32..16, places.len());
                let middle = places.len() as u32 * 9 * grain;
                (Just(stock), Just(places), proptest::option::weighted(0.75, now)).prop_map(
                    move |(stock, places, now)| Question {
                        stock,
                        places,
                        now_um: now.unwrap_or_default().into_iter().map(|um| um * grain).collect(),
                        least_um: (middle + low * grain).saturating_sub(15 * grain),
                        most_um: (middle + low * grain).saturating_sub(15 * grain) + wide * grain / 2,
                        gives_permille: gives,
                        limit: 8,
                    },
                )
            })
    }

    #[test]
    fn it_finds_what_trying_all_finds() {
        let config = Config { cases: 2000, failure_persistence: None, ..Config::default() };
        // The same questions every time, since the last line counts them.
        let mut runner = TestRunner::new_with_rng(config, TestRng::deterministic_rng(RngAlgorithm::ChaCha));
        let solvable = std::cell::Cell::new(0);
        let checked = runner.run(&small_question(), |question| {
            let all = exhaustive(&question);
            let solved = solve(&question).unwrap();
            prop_assert_eq!(solved.in_window, all.len() as u64);
            let ranks = |stack: &Stack| {
                let height = (stack.height_um * 1000.0).round() as u64;
                let middle = (u64::from(question.least_um) + u64::from(question.most_um)) * 1000;
                (stack.changes as u16, (2 * height).abs_diff(middle), stack.different as u16)
            };
            let ours: Vec<Rank> = solved.stacks.iter().map(ranks).collect();
            let theirs: Vec<Rank> = all.iter().take(question.limit).map(|(rank, _)| *rank).collect();
            prop_assert_eq!(ours, theirs);
            let mut seen = Vec::new();
            for stack in &solved.stacks {
                prop_assert!(all.iter().any(|(rank, lots)| *rank == ranks(stack) && *lots == stack.lots));
                prop_assert!(!seen.contains(&&stack.lots), "the same stack twice");
                seen.push(&stack.lots);
                let kinds: Vec<Washer> = stack.places.iter().map(|place| place.kind).collect();
                prop_assert_eq!(&kinds, &question.places);
                for lot in &stack.lots {
                    let placed =
                        stack.places.iter().filter(|p| (p.kind, p.thickness_um) == (lot.kind, lot.thickness_um));
                    prop_assert_eq!(placed.count(), lot.count as usize);
                }
                prop_assert_eq!(stack.places.iter().filter(|place| place.new).count(), stack.changes as usize);
            }
            solvable.set(solvable.get() + usize::from(!all.is_empty()));
            Ok(())
        });
        checked.unwrap();
        // Both halves of the matter were met.
        assert!((500..1800).contains(&solvable.get()), "{}", solvable.get());
    }

    #[test]
    fn where_none_fits_the_nearest_heights_are_told() {
        let lot = |kind, thickness_um, count| Lot { kind, thickness_um, count };
        let question = Question {
            stock: vec![lot(Washer::Friction, 800, 3), lot(Washer::Friction, 1000, 1), lot(Washer::Keyed, 500, 2)],
            places: alternating(2, 1, true, None).unwrap(),
            now_um: Vec::new(),
            least_um: 2150,
            most_um: 2250,
            gives_permille: 0,
            limit: 5,
        };
        let solved = solve(&question).unwrap();
        assert_eq!((solved.in_window, solved.below_um, solved.above_um), (0, Some(2100.0), Some(2300.0)));
        let scarce = Question { stock: vec![lot(Washer::Friction, 800, 3)], ..question };
        assert_eq!(solve(&scarce).unwrap(), Solved::default());
    }

    #[test]
    fn one_change_that_fits_goes_before_two_that_fit_better() {
        let lot = |kind, thickness_um, count| Lot { kind, thickness_um, count };
        let question = Question {
            stock: vec![lot(Washer::Friction, 900, 4), lot(Washer::Friction, 1040, 4)],
            places: alternating(3, 2, true, Some(Washer::Keyed)).unwrap(),
            now_um: vec![800, 500, 800, 500, 800],
            least_um: 3500,
            most_um: 3700,
            gives_permille: 0,
            limit: 1,
        };
        let stack = &solve(&question).unwrap().stacks[0];
        assert_eq!((stack.changes, stack.height_um), (1, 3640.0));
        let kinds: Vec<_> = stack.places.iter().map(|place| (place.kind, place.thickness_um, place.new)).collect();
        use Washer::{Eared, Friction, Keyed};
        assert_eq!(
            kinds,
            [
                (Friction, 800, false),
                (Keyed, 500, false),
                (Friction, 800, false),
                (Eared, 500, false),
                (Friction, 1040, true)
            ]
        );
    }

    #[test]
    fn counts_that_cannot_alternate_are_told() {
        insta::assert_snapshot!(alternating(4, 1, true, None).unwrap_err(), @"4 friction and 1 metal washers can't alternate: the counts may differ by one at most.");
    }
}
