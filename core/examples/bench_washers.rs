//! Measures the washer solver: `cargo run --release -p tailplate-core --features bench --example bench_washers`.
//! One row a figure: name, value, unit, parted by tabs. The least of many rounds, one thread.

use std::hint::black_box;
use std::time::Instant;

use tailplate_core::bench::washers::solve;
use tailplate_core::bench::washers::synthetic::{Sort, question};

fn main() {
    for sort in Sort::ALL {
        let question = question(sort);
        let solved = solve(&question).expect("the question is sound");
        let once = || {
            let started = Instant::now();
            let _ = black_box(solve(black_box(&question)));
            started.elapsed().as_secs_f64() * 1000.0
        };
        let least = (0..50).map(|_| once()).fold(f64::MAX, f64::min);
        println!("{} ({} listed of {})\t{least:.3}\tms", sort.words(), solved.stacks.len(), solved.in_window);
    }
}
