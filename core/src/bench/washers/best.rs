//! The best stacks, read back from the layers, best first.

use std::cmp::Reverse;
use std::collections::BinaryHeap;

use super::layers::{NEVER, Rank, Work, reached};
use super::{Lot, Placed, Question, Stack, Washer};

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
pub(super) fn best(work: &Work, question: &Question) -> Vec<Stack> {
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
