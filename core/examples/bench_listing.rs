//! Measures reading and judging a seller's text: `cargo run --release -p tailplate-core --example bench_listing`.
//! One row a figure: name, value, unit, parted by tabs. One thread.

use std::hint::black_box;
use std::time::Instant;

use tailplate_core::key::{Key, Learned};
use tailplate_core::listing::{Reader, judge};
use tailplate_core::observe::Sheet;
use tailplate_core::reference::Reference;

const PACKS: [(&str, &str); 5] = [
    ("questions", include_str!("../../public/reference/questions.json")),
    ("makers", include_str!("../../public/reference/makers.json")),
    ("models", include_str!("../../public/reference/models.json")),
    ("dating", include_str!("../../public/reference/dating.json")),
    ("selling", include_str!("../../public/reference/selling.json")),
];

fn main() {
    let reference = Reference::load(PACKS).expect("sound packs");
    let began = Instant::now();
    let reader = Reader::of(&reference);
    println!("listing: words made ready, once\t{:.2}\tms", began.elapsed().as_secs_f64() * 1e3);
    let key = Key::build(&reference, &Learned::default());
    let short = "Casting reel from the 1930s, German silver, 2 1/8 in diameter, stamped PAT. 1,904,512, no level wind, works well, rare.";
    // Every sentence another, so that nothing is listed once only.
    let long: String = (0..4_000)
        .map(|n| {
            format!(
                "Reel {n} of {}, about {} mm, weighs {} g 🎣; made in {}. ",
                1700 + n % 300,
                n % 390 + 1,
                n,
                1800 + n % 220
            )
        })
        .collect();
    let nonsense: String =
        (0..200_000u32).map(|n| char::from(b' ' + (n.wrapping_mul(2_654_435_761) >> 25) as u8 % 95)).collect();
    let markup = "<script>x<style>&amp;<b>\u{202e}🎣שלום 1920s</b".repeat(200_000 / 48);
    for (name, text) in [
        ("short", short),
        ("200 KB of claims", long.as_str()),
        ("200 KB of nonsense", nonsense.as_str()),
        ("200 KB of markup never closed", markup.as_str()),
    ] {
        let mut times = (0..11)
            .map(|_| {
                let began = Instant::now();
                let claims = reader.read(text);
                let reading = began.elapsed();
                black_box(judge(&claims, &Sheet::default(), &reference, &key, 2026));
                (began.elapsed().as_secs_f64() * 1e3, reading.as_secs_f64() * 1e3)
            })
            .collect::<Vec<_>>();
        times.sort_by(|a, b| a.0.total_cmp(&b.0));
        println!("listing, {name} ({} bytes): read and judged\t{:.2}\tms", text.len(), times[5].0);
        println!("listing, {name}: of these, read\t{:.2}\tms", times[5].1);
    }
}
