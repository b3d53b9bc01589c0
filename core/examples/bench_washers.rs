//! Measures the washer solver: `cargo run --release -p tailplate-core --example bench_washers`.
//! One row a figure: name, value, unit, parted by tabs. The least of many rounds, one thread.

use std::hint::black_box;
use std::time::Instant;

use tailplate_core::bench::washers::{Lot, Question, Washer, alternating, solve};

fn main() {
    // Forty thicknesses that share no step but the micrometre, and forty on a step of 0.05 mm; twelve places.
    let uneven = |at: u32| 217 + 41 * at + at * at % 7;
    row("40 uneven thicknesses, 12 places, window 0.1 mm", &question(uneven, 7000, 100, None));
    row("the same, fewest changes from a worn stack", &question(uneven, 7000, 100, Some(1)));
    row("the same, window 2 mm", &question(uneven, 7000, 2000, None));
    row("40 thicknesses by 0.05 mm, 12 places, window 0.1 mm", &question(|at| 200 + 50 * (at / 2), 7000, 100, None));
    row("40 uneven thicknesses, 12 places, none fits", &question(uneven, 60_000, 100, None));
}

/// Twenty friction washers, and ten each of keyed and eared, six of each.
fn question(thickness_um: impl Fn(u32) -> u32, least_um: u32, window_um: u32, worn: Option<u32>) -> Question {
    let lot = |at: u32| {
        let kind = [Washer::Friction, Washer::Keyed, Washer::Friction, Washer::Eared][at as usize % 4];
        Lot { kind, thickness_um: thickness_um(at), count: 6 }
    };
    let places = alternating(6, 6, true, Some(Washer::Keyed)).expect("they alternate");
    let now_um = worn.map(|_| (0..12).map(|at| 450 + 13 * at).collect()).unwrap_or_default();
    let stock = (0..40).map(lot).collect();
    Question { stock, places, now_um, least_um, most_um: least_um + window_um, gives_permille: 50, limit: 12 }
}

fn row(name: &str, question: &Question) {
    let solved = solve(question).expect("the question is sound");
    let once = || {
        let started = Instant::now();
        let _ = black_box(solve(black_box(question)));
        started.elapsed().as_secs_f64() * 1000.0
    };
    let least = (0..50).map(|_| once()).fold(f64::MAX, f64::min);
    println!("{name} ({} listed of {})\t{least:.3}\tms", solved.stacks.len(), solved.in_window);
}
