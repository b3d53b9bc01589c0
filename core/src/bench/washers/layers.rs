//! For each kind of washer and each thickness: the least cost of every height that can be reached with so many washers.

use super::{Lot, Question, Washer};

/// A thickness of one kind, with how many lie in the stack now and how many may be used.
pub(super) struct Item {
    pub lot: Lot,
    pub units: usize,
    pub now: u32,
    pub most: u32,
}

impl Item {
    /// Changes in the upper bits, different washers in the lower: sums compare as pairs do.
    pub(super) fn cost(&self, used: u32) -> u16 {
        if used == 0 { 0 } else { (used.saturating_sub(self.now) as u16) << 6 | 1 }
    }
}

pub(super) const NEVER: u16 = u16::MAX;

/// Least cost by washers used (rows) and height (columns), after some of the items.
pub(super) struct Layer {
    pub item: Option<usize>,
    pub rows: usize,
    pub costs: Vec<u16>,
}

/// The layers of one or two kinds of washer, one after the other.
pub(super) struct Chain {
    pub columns: usize,
    pub items: Vec<Item>,
    pub layers: Vec<Layer>,
    /// Ways to reach each height.
    pub ways: Vec<u64>,
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
    pub(super) fn done(&self) -> &[u16] {
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
pub(super) type Rank = (u16, u64, u16);

/// Both chains with what joins them.
pub(super) struct Work {
    pub friction: Chain,
    pub metal: Chain,
    /// Millionths of a millimetre (thousandths of a micrometre) for one unit of each.
    pub friction_step: u64,
    pub metal_step: u64,
    pub least: u64,
    pub most: u64,
}

impl Work {
    pub(super) fn height(&self, friction: usize, metal: usize) -> u64 {
        friction as u64 * self.friction_step + metal as u64 * self.metal_step
    }
    pub(super) fn rank(&self, cost: u16, height: u64) -> Rank {
        (cost >> 6, (2 * height).abs_diff(self.least + self.most), cost & 63)
    }
    /// Metal heights that bring this friction height into the window.
    pub(super) fn window(&self, friction: usize) -> std::ops::Range<usize> {
        let low = friction as u64 * self.friction_step;
        if low > self.most {
            return 0..0;
        }
        let from = self.least.saturating_sub(low).div_ceil(self.metal_step) as usize;
        let to = ((self.most - low) / self.metal_step) as usize + 1;
        from.min(self.metal.columns)..to.min(self.metal.columns)
    }
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
pub(super) fn prepare(question: &Question, up_to_um: u32, count_ways: bool) -> Work {
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

pub(super) fn count_in_window(work: &Work) -> u64 {
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
pub(super) fn nearest(work: &Work) -> (Option<f64>, Option<f64>) {
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

pub(super) fn reached(costs: &[u16]) -> impl Iterator<Item = usize> {
    costs.iter().enumerate().filter(|(_, cost)| **cost != NEVER).map(|(at, _)| at)
}
