//! Measures what fits what, and the plan of what to buy: `cargo run --release -p tailplate-core --example bench_fit`.
//! One row a figure: name, value, unit, parted by tabs. The least and the most of several rounds, one thread.

use std::hint::black_box;
use std::time::Instant;

use tailplate_core::fit::plan::STEPS_MAX;
use tailplate_core::fit::plan::solve::solve;
use tailplate_core::fit::{Fact, Fits};
use tailplate_core::reference::{Evidence, Reference, Says};

#[path = "../../bench/src/offers.rs"]
mod offers;
use offers::{Numbers, offers};

const MODELS: u64 = 20_000;
const ROLES: u64 = 30;
const FACTS: u64 = 200_000;

fn main() {
    let mut numbers = Numbers(7);
    let facts: Vec<Fact> = (0..FACTS)
        .map(|_| Fact {
            roles: vec![format!("role-{}", numbers.below(ROLES))],
            of: format!("model-{}", numbers.below(MODELS)),
            // A fifth goes into few models that everybody has parts for, so that chains are long and wide.
            into: format!("model-{}", if numbers.below(5) == 0 { numbers.below(50) } else { numbers.below(MODELS) }),
            verdict: [Says::Fits, Says::Fits, Says::FitsWithWork, Says::DoesNotFit][numbers.below(4) as usize],
            evidence: [Evidence::Hearsay, Evidence::Catalogue, Evidence::Measured, Evidence::Tried]
                [numbers.below(4) as usize],
            sources: vec!["shop".into()],
            ..Fact::default()
        })
        .collect();
    let reference = Reference::default();
    let started = Instant::now();
    let fits = Fits::new(&reference, &facts);
    println!("fit: facts made ready, once\t{:.1}\tms", started.elapsed().as_secs_f64() * 1000.0);
    let mut pair = Vec::new();
    let mut list = Vec::new();
    for round in 0..200 {
        let (role, of, into) = (
            format!("role-{}", round % ROLES),
            format!("model-{}", numbers.below(MODELS)),
            format!("model-{}", if round % 2 == 0 { numbers.below(50) } else { numbers.below(MODELS) }),
        );
        let started = Instant::now();
        black_box(fits.answer(&role, &of, &into));
        pair.push(started.elapsed().as_secs_f64() * 1000.0);
        let started = Instant::now();
        black_box(fits.all_into(&role, &into, 50));
        list.push(started.elapsed().as_secs_f64() * 1000.0);
    }
    rows("fit: one part of one reel in another", &mut pair);
    rows("fit: everything that fits a reel, 50 best", &mut list);

    for (name, budget, dense) in [
        ("small budget", 20_000, 3),
        ("middle budget", 60_000, 3),
        ("large budget", 120_000, 3),
        ("many sellers each", 30_000, 8),
    ] {
        let (mut times, mut steps, mut proved, mut most) = (Vec::new(), 0, 0, 0);
        for _ in 0..10 {
            let problem = offers(&mut numbers, budget, dense);
            let started = Instant::now();
            let solution = solve(&problem, STEPS_MAX);
            times.push(started.elapsed().as_secs_f64() * 1000.0);
            steps += solution.steps;
            proved += u32::from(solution.proved);
            let mut served = [0; 3];
            let urgencies = solution.served.iter().zip(&problem.urgency).filter(|(place, _)| place.is_some());
            urgencies.for_each(|(_, urgency)| served[3 - usize::from(*urgency)] += 1);
            most += u32::from(served == solution.at_best);
        }
        rows(&format!("buy: 200 offers x 100 needs, {name}"), &mut times);
        println!("buy: {name}: branches in 10 rounds\t{steps}\tcount");
        println!("buy: {name}: proved cheapest of 10\t{proved}\tcount");
        println!("buy: {name}: proved to serve the most, of 10\t{most}\tcount");
    }
}

fn rows(name: &str, times: &mut [f64]) {
    times.sort_by(f64::total_cmp);
    println!("{name}, middle\t{:.3}\tms", times[times.len() / 2]);
    println!("{name}, most\t{:.3}\tms", times[times.len() - 1]);
}
