//! Reading worn letters: what was struck, given what can be read.
//!
//! **Struck text** (the marks language of the packs) is upper case, lines joined by one space; `#` is any one digit,
//! `&` any one letter (but a lone `&` between spaces is the word "and"), `*` any run of characters.
//!
//! **A reading** is what a person typed: `?` for one illegible character, `*` for an illegible run, ` / ` or a new line
//! between lines. Case, accents, spaces and punctuation are free on both sides, so `MADEINUSA` is `MADE IN USA`.
//!
//! A reading is taken as a noisy copy of a part of what was struck. Every [`Match`] carries a log-likelihood ratio in
//! nats: `ln P(span of the reading | struck) - ln P(the same span | random lettering)`. Chances and costs are in
//! [`alike`] and [`align`]; they are judgements, not measured on worn reels.
//!
//! Only the first [`READING_MAX`] characters of a reading, and as many of a struck text, are looked at.

mod align;
pub mod alike;
mod index;
mod symbols;

pub use index::MarkIndex;
pub use symbols::fold;

use align::Ends;
use symbols::Symbols;

/// Characters of a reading that are looked at; split longer text into lines and read each.
pub const READING_MAX: usize = 2_000;

/// How a reading fits one struck text.
#[derive(Debug, Clone, PartialEq)]
pub struct Match {
    /// Place of the struck text in the list the index was built from; 0 from [`compare`] and [`holds`].
    pub struck: usize,
    /// Log-likelihood ratio in nats against random lettering.
    pub llr: f64,
    /// First character of the reading that it explains.
    pub start: usize,
    /// One past the last character of the reading that it explains.
    pub end: usize,
    /// Share of the struck characters that can be seen in the span, 0 to 1.
    pub covered: f64,
    /// Legible characters of the reading that the match rests on.
    pub legible: usize,
}

/// The least that counts as a likeness: two characters read right, nearly.
pub(crate) const LEAST_LLR: f64 = 5.0;

/// How well the reading shows the struck text or a part of it; `None` if there is no likeness or too little to read.
pub fn compare(reading: &str, struck: &str) -> Option<Match> {
    compare_symbols(&Symbols::of_reading(reading), &Symbols::of_struck(struck), &mut align::Rows::default())
}

pub(crate) fn compare_symbols(reading: &Symbols, struck: &Symbols, rows: &mut align::Rows) -> Option<Match> {
    let found = align::align(reading, struck, Ends::Free, rows)?;
    // One letter is a likeness only where one letter is all there is on both sides.
    let whole = found.legible == reading.len() && found.covered >= 1.0;
    (found.llr >= LEAST_LLR && found.legible >= 2 || whole).then_some(found)
}

/// Whether the whole template stands somewhere in the reading. Illegible characters and look-alike slips are allowed;
/// `None` where it does not stand there, or where too little is legible to say so. A template that ends in `#` finds
/// longer numbers too.
pub fn holds(reading: &str, template: &str) -> Option<Match> {
    let (reading, template) = (Symbols::of_reading(reading), Symbols::of_struck(template));
    if symbols::cannot_hold(&reading, &template) {
        return None;
    }
    let found = align::align(&reading, &template, Ends::Whole, &mut align::Rows::default())?;
    let literals = template.literals();
    if literals == 0 {
        // A shape such as `&&` says little by itself: all of it must be legible and stand alone.
        let classes = template.len() - template.runs();
        return (classes > 0 && found.legible >= classes && found.llr > 0.0).then_some(found);
    }
    // Of the literal characters three in five must be legible, and those must fit but for a slip or two.
    let attainable = found.legible.min(literals) as f64 * alike::MATCH as f64;
    let enough = found.legible * 5 >= literals * 3 && found.llr >= 0.75 * attainable;
    // The more words, the more chances that one looks like the template.
    let beyond_chance = found.llr >= 3.0 + (reading.words().max(1) as f64).ln();
    (enough && beyond_chance).then_some(found)
}

#[cfg(test)]
mod tests;
