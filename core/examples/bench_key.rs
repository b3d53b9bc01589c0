//! Measures the key: `cargo run --release -p tailplate-core --features bench --example bench_key`.
//! One row a figure: name, value, unit, parted by tabs. The least of many batches, one thread.

use std::hint::black_box;
use std::time::Instant;

use tailplate_core::key::synthetic::{answers, synthetic};
use tailplate_core::key::{Posterior, Tally, next_checks};

fn main() {
    let mut from_nothing = Vec::new();
    for variants in [10_000, 100_000] {
        let (reference, key) = synthetic(variants, 60).expect("the synthetic packs are sound");
        let seen = answers(13);
        let size = variants / 1000;
        let mut posterior = Posterior::default();
        let name = |what: &str| format!("key {size}k variants x 60 features: {what}");
        let mut tally = Tally::new(&key);
        let nothing = least_ms(|| {
            tally = Tally::new(&key);
            for observation in &seen[..12] {
                tally.add(&key, observation).expect("known");
            }
            posterior.fill(&key, &tally);
            black_box(&posterior);
        });
        row(&name("12 observations from nothing, with chances and top list"), nothing);
        from_nothing.push(nothing);
        // Added and taken back by turns: half of the pair is one step.
        let pair = least_ms(|| {
            tally.add(&key, &seen[12]).expect("known");
            posterior.fill(&key, &tally);
            black_box(&posterior);
            tally.take_back(&key, &seen[12].about);
            posterior.fill(&key, &tally);
            black_box(&posterior);
        });
        row(&name("one more observation, with chances and top list"), pair / 2.0);
        row(&name("next checks"), least_ms(|| drop(black_box(next_checks(&key, &reference, &tally, &posterior)))));
    }
    println!("key 100k against 10k variants, from nothing\t{:.2}\ttimes", from_nothing[1] / from_nothing[0]);
}

fn row(name: &str, ms: f64) {
    println!("{name}\t{ms:.4}\tms");
}

/// The least mean of many short batches, so that other work on the machine is seldom in the figure.
fn least_ms(mut work: impl FnMut()) -> f64 {
    let started = Instant::now();
    work();
    let rounds = (0.002 / started.elapsed().as_secs_f64()).clamp(1.0, 50.0) as u32;
    let batch = |_| {
        let started = Instant::now();
        (0..rounds).for_each(|_| work());
        started.elapsed().as_secs_f64() * 1000.0 / f64::from(rounds)
    };
    (0..200).map(batch).fold(f64::MAX, f64::min)
}
