//! What `bench_key`, `bench_fit` and `bench_washers` of `core/examples` measure natively, for a browser to measure: each
//! function is one piece of work, and the page holds the clock. Called in a wrong order they do nothing.

mod offers;

use offers::{Numbers, offers};
use std::cell::RefCell;
use std::hint::black_box;
use tailplate_core::bench::washers::{self, synthetic::Sort};
use tailplate_core::fit::plan::STEPS_MAX;
use tailplate_core::fit::plan::solve::solve;
use tailplate_core::key::synthetic::{answers, synthetic};
use tailplate_core::key::{Key, Posterior, Tally, next_checks};
use tailplate_core::observe::Observation;
use tailplate_core::reference::Reference;

struct Bench {
    reference: Reference,
    key: Key,
    seen: Vec<Observation>,
    tally: Tally,
    posterior: Posterior,
}

thread_local! {
    static BENCH: RefCell<Option<Bench>> = const { RefCell::new(None) };
}

/// Makes a key of this many variants with 60 features; 1 if that worked.
#[unsafe(no_mangle)]
pub extern "C" fn prepare(variants: u32) -> u32 {
    let Ok((reference, key)) = synthetic(variants as usize, 60) else {
        return 0;
    };
    let (seen, tally, posterior) = (answers(13), Tally::new(&key), Posterior::default());
    BENCH.set(Some(Bench { reference, key, seen, tally, posterior }));
    1
}

/// Twelve observations from nothing, with chances and top list.
#[unsafe(no_mangle)]
pub extern "C" fn from_nothing() {
    work(|bench| {
        bench.tally = Tally::new(&bench.key);
        for observation in &bench.seen[..12] {
            let _ = bench.tally.add(&bench.key, observation);
        }
        bench.posterior.fill(&bench.key, &bench.tally);
    });
}

/// One more observation and its taking back, each with chances and top list: two steps.
#[unsafe(no_mangle)]
pub extern "C" fn one_more_and_back() {
    work(|bench| {
        let _ = bench.tally.add(&bench.key, &bench.seen[12]);
        bench.posterior.fill(&bench.key, &bench.tally);
        bench.tally.take_back(&bench.key, &bench.seen[12].about);
        bench.posterior.fill(&bench.key, &bench.tally);
    });
}

/// The next checks, after [`from_nothing`].
#[unsafe(no_mangle)]
pub extern "C" fn checks() {
    work(|bench| drop(black_box(next_checks(&bench.key, &bench.reference, &bench.tally, &bench.posterior))));
}

/// Plans what to buy of 200 offers for 100 needs with this budget, in hundredths, and up to so many parts an offer; 2 if the
/// plan is proved the best, 1 if it is proved to serve the most of the urgent needs.
#[unsafe(no_mangle)]
pub extern "C" fn plan(budget: u32, dense: u32) -> u32 {
    let problem = offers(&mut Numbers(7), i64::from(budget), u64::from(dense));
    let solution = black_box(solve(&problem, STEPS_MAX));
    let urgent =
        solution.served.iter().zip(&problem.urgency).filter(|(place, urgency)| place.is_some() && **urgency == 3);
    if solution.proved { 2 } else { u32::from(urgent.count() as i64 == solution.at_best[0]) }
}

fn work(piece: impl FnOnce(&mut Bench)) {
    BENCH.with_borrow_mut(|bench| {
        if let Some(bench) = bench {
            piece(bench);
            black_box(&bench.posterior);
        }
    });
}

/// Solves a washer stack of full size; the number is the place in [`Sort::ALL`]. Gives back how many stacks were listed.
#[unsafe(no_mangle)]
pub extern "C" fn washers(sort: u32) -> u32 {
    let Some(sort) = Sort::ALL.get(sort as usize) else { return 0 };
    let question = washers::synthetic::question(*sort);
    washers::solve(black_box(&question)).map_or(0, |solved| black_box(solved.stacks.len()) as u32)
}
