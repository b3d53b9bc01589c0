use super::layers::Rank;
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
            (Just(stock), Just(places), proptest::option::weighted(0.75, now)).prop_map(move |(stock, places, now)| {
                Question {
                    stock,
                    places,
                    now_um: now.unwrap_or_default().into_iter().map(|um| um * grain).collect(),
                    least_um: (middle + low * grain).saturating_sub(15 * grain),
                    most_um: (middle + low * grain).saturating_sub(15 * grain) + wide * grain / 2,
                    gives_permille: gives,
                    limit: 8,
                }
            })
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
                let placed = stack.places.iter().filter(|p| (p.kind, p.thickness_um) == (lot.kind, lot.thickness_um));
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
