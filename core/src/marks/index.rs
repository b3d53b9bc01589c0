//! Many struck texts at once: which few are worth aligning.
//!
//! Every pair of characters that stand next to each other, or with one between, is a gram over look-alike classes.
//! Rare grams shared with the reading add up; the texts with the most are aligned in full.

use super::align::Rows;
use super::alike::{CLASSES, class};
use super::symbols::{RUN, Symbols, is_literal};
use super::{Match, compare_symbols};
use crate::order;

/// Texts that are aligned in full per reading.
const ALIGNED_MOST: usize = 128;

/// An index over struck texts. Text number `n` is the n-th given to [`MarkIndex::build`].
#[derive(Debug, Clone, Default)]
pub struct MarkIndex {
    struck: Vec<Symbols>,
    /// How many grams each text has.
    grams: Vec<u16>,
    /// Texts by gram, each list rising.
    posted: Vec<Vec<u32>>,
    /// Texts too short for a gram: always aligned.
    short: Vec<u32>,
}

const GRAMS: usize = CLASSES * CLASSES * 2;

fn grams(symbols: &Symbols) -> Vec<usize> {
    let code = &symbols.code;
    let mut grams = Vec::with_capacity(code.len() * 2);
    for at in 1..code.len() {
        for gap in 0..2 {
            if at <= gap || gap == 1 && code[at - 1] == RUN {
                continue;
            }
            let (first, second) = (code[at - 1 - gap], code[at]);
            if is_literal(first) && is_literal(second) {
                let gram = (class(first) * CLASSES + class(second)) * 2 + gap;
                // A few dozen: each is put in its place, without what a sort has to set up.
                if let Err(place) = grams.binary_search(&gram) {
                    grams.insert(place, gram);
                }
            }
        }
    }
    grams
}

impl MarkIndex {
    pub fn build<'a>(struck: impl IntoIterator<Item = &'a str>) -> Self {
        let mut index = Self { posted: vec![Vec::new(); GRAMS], ..Self::default() };
        for (number, text) in struck.into_iter().enumerate() {
            let symbols = Symbols::of_struck(text);
            let grams = grams(&symbols);
            if grams.is_empty() && symbols.len() > 0 {
                index.short.push(number as u32);
            }
            index.grams.push(grams.len() as u16);
            for gram in grams {
                index.posted[gram].push(number as u32);
            }
            index.struck.push(symbols);
        }
        index
    }

    /// The struck texts that the reading shows, or shows a part of, best first, at most `most`.
    pub fn read(&self, reading: &str, most: usize) -> Vec<Match> {
        let reading = Symbols::of_reading(reading);
        let mut rows = Rows::default();
        let mut found: Vec<Match> = self
            .worth_aligning(&reading)
            .into_iter()
            .filter_map(|number| {
                let found = compare_symbols(&reading, &self.struck[number as usize], &mut rows)?;
                Some(Match { struck: number as usize, ..found })
            })
            .collect();
        order::by(&mut found, |a, b| b.llr.total_cmp(&a.llr).then(a.struck.cmp(&b.struck)));
        found.truncate(most);
        found
    }

    fn worth_aligning(&self, reading: &Symbols) -> Vec<u32> {
        let all = self.struck.len() as f32;
        let (mut score, mut hits) = (vec![0f32; self.struck.len()], vec![0_u16; self.struck.len()]);
        for gram in grams(reading) {
            let posted = &self.posted[gram];
            // A gram that half the texts have tells nothing.
            let weight = (all / posted.len().max(1) as f32).ln() + 0.1;
            for &number in posted {
                score[number as usize] += weight;
                hits[number as usize] += 1;
            }
        }
        // Of two that share the same grams the shorter one is the better explained.
        for (score, struck) in score.iter_mut().zip(&self.struck) {
            if *score > 0.0 {
                *score -= 0.01 * struck.len() as f32;
            }
        }
        // A short text that is there as good as whole must not fall behind long ones of which a few letters fit: a model's
        // number beside its maker's name.
        let whole = |number: &u32| 4 * hits[*number as usize] >= 3 * self.grams[*number as usize];
        let (mut whole, mut worth): (Vec<u32>, Vec<u32>) =
            (0..self.struck.len() as u32).filter(|&number| score[number as usize] > 0.0).partition(whole);
        if worth.len() > ALIGNED_MOST {
            worth.select_nth_unstable_by(ALIGNED_MOST, |&a, &b| {
                score[b as usize].total_cmp(&score[a as usize]).then(a.cmp(&b))
            });
            worth.truncate(ALIGNED_MOST);
        }
        worth.append(&mut whole);
        worth.extend(&self.short);
        worth
    }
}
