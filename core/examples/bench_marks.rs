//! Measures reading worn lettering: `cargo run --release -p tailplate-core --example bench_marks`.
//! One row a figure: name, value, unit, parted by tabs. One thread.

use std::hint::black_box;
use std::time::Instant;

use tailplate_core::marks::MarkIndex;

const MARKS: usize = 20_000;
const READINGS: usize = 400;
const SYLLABLES: [&str; 24] = [
    "BRA", "COR", "DEN", "EL", "FAR", "GOS", "HAL", "IN", "JUT", "KEL", "LOM", "MAR", "NES", "OX", "PEN", "QUI", "ROD",
    "SAL", "TOR", "UM", "VEX", "WIL", "YAR", "ZED",
];

/// A reproducible stream of numbers.
struct Stream(u64);

impl Stream {
    fn next(&mut self, below: usize) -> usize {
        self.0 = self.0.wrapping_mul(6_364_136_223_846_793_005).wrapping_add(1_442_695_040_888_963_407);
        ((self.0 >> 33) as usize) % below
    }

    /// Invented lettering: one to three words, a town or a legal notice at times, often a number.
    fn mark(&mut self) -> String {
        let word =
            |stream: &mut Self| -> String { (0..2 + stream.next(2)).map(|_| SYLLABLES[stream.next(24)]).collect() };
        let mut text: Vec<String> = (0..1 + self.next(3)).map(|_| word(self)).collect();
        if self.next(3) == 0 {
            text.push(["MADE IN USA", "PAT. PENDING", "REEL CO.", "MAKERS"][self.next(4)].into());
        }
        if self.next(3) > 0 {
            text.push(format!("NO. {}", 10 + self.next(3000)));
        }
        text.join(" ")
    }

    /// The mark as worn metal shows it: one character in seven illegible, one in twenty another.
    fn worn(&mut self, mark: &str) -> String {
        let letter = |c: char, stream: &mut Self| match stream.next(140) {
            0..20 if c.is_alphanumeric() => '?',
            20..27 if c.is_alphanumeric() => char::from(b'A' + stream.next(26) as u8),
            _ => c,
        };
        mark.chars().map(|c| letter(c, self)).collect()
    }
}

fn main() {
    let mut stream = Stream(11);
    let marks: Vec<String> = (0..MARKS).map(|_| stream.mark()).collect();
    let began = Instant::now();
    let index = MarkIndex::build(marks.iter().map(String::as_str));
    row("build", began.elapsed().as_secs_f64() * 1e3);
    let mut times = Vec::with_capacity(READINGS);
    for _ in 0..READINGS {
        let at = stream.next(MARKS);
        let reading = stream.worn(&marks[at]);
        let began = Instant::now();
        black_box(index.read(&reading, 10));
        times.push(began.elapsed().as_secs_f64() * 1e3);
    }
    times.sort_by(f64::total_cmp);
    row("one reading, median", times[READINGS / 2]);
    row("one reading, 95 in 100 within", times[READINGS * 95 / 100]);
    row("one reading, longest", times[READINGS - 1]);
}

fn row(name: &str, ms: f64) {
    println!("marks, {MARKS} struck: {name}\t{ms:.4}\tms");
}
