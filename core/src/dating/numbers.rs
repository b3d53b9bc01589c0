//! Partly legible numbers: how many of those they can stand for lie in a range.

use std::collections::BTreeMap;

/// A number of which some figures may be illegible: `?` for one, `*` for any run of them.
pub struct Pattern {
    signs: Vec<u8>,
    known: BTreeMap<(u32, usize), u64>,
}

/// Longest number that any series has reached, in figures.
const FIGURES_MOST: usize = 9;

impl Pattern {
    /// `None` if it holds anything else, nothing legible, or more figures than any series has.
    pub fn new(text: &str) -> Option<Self> {
        let signs: Vec<u8> = without_zeros(text).bytes().collect();
        let figures = signs.iter().filter(|c| c.is_ascii_digit()).count();
        let good = signs.iter().all(|c| c.is_ascii_digit() || b"?*".contains(c));
        let fixed = signs.iter().filter(|&&c| c != b'*').count();
        (good && figures > 0 && fixed <= FIGURES_MOST && signs.len() <= 2 * FIGURES_MOST)
            .then(|| Self { signs, known: BTreeMap::new() })
    }

    /// The number, if every figure is legible.
    pub fn exact(&self) -> Option<u64> {
        std::str::from_utf8(&self.signs).ok()?.parse().ok()
    }

    /// How many numbers of `first..=last` it can stand for.
    pub fn count(&mut self, first: u64, last: u64) -> u64 {
        if let Some(exact) = self.exact() {
            return u64::from(exact > 0 && (first..=last).contains(&exact));
        }
        if first > last { 0 } else { self.count_to(last) - self.count_to(first.max(1) - 1) }
    }

    /// How many numbers of `1..=last` it can stand for.
    fn count_to(&mut self, last: u64) -> u64 {
        let figures = last.to_string().into_bytes();
        if last == 0 {
            return 0;
        }
        let length = figures.len().min(FIGURES_MOST + 1);
        let start = self.spread(1);
        let mut count = 0;
        for shorter in 1..length {
            count += (b'1'..=b'9').map(|figure| self.free(self.next(start, figure), shorter - 1)).sum::<u64>();
        }
        // Of the same length: lower at some figure, equal before it.
        let mut state = start;
        for (at, &figure) in figures.iter().enumerate() {
            let lowest = if at == 0 { b'1' } else { b'0' };
            count += (lowest..figure).map(|lower| self.free(self.next(state, lower), length - at - 1)).sum::<u64>();
            state = self.next(state, figure);
        }
        count + u64::from(self.ends(state))
    }

    /// Ways to fill `left` more figures from a set of places in the pattern.
    fn free(&mut self, state: u32, left: usize) -> u64 {
        if state == 0 || left == 0 {
            return u64::from(self.ends(state));
        }
        if let Some(&count) = self.known.get(&(state, left)) {
            return count;
        }
        let count = (b'0'..=b'9').map(|figure| self.free(self.next(state, figure), left - 1)).sum();
        self.known.insert((state, left), count);
        count
    }

    fn ends(&self, state: u32) -> bool {
        state >> self.signs.len() & 1 == 1
    }

    /// Places (one bit each) after one more figure.
    fn next(&self, state: u32, figure: u8) -> u32 {
        let mut after = 0;
        for (at, &sign) in self.signs.iter().enumerate().filter(|(at, _)| state >> at & 1 == 1) {
            match sign {
                b'*' => after |= 1 << at,
                b'?' => after |= 2 << at,
                sign if sign == figure => after |= 2 << at,
                _ => {}
            }
        }
        self.spread(after)
    }

    /// A run may be empty: a place before it is also a place behind it.
    fn spread(&self, mut state: u32) -> u32 {
        for (at, &sign) in self.signs.iter().enumerate() {
            if sign == b'*' && state >> at & 1 == 1 {
                state |= 2 << at;
            }
        }
        state
    }
}

/// Zeros before a number only fill its stamp up: 0210 is the two hundred and tenth.
fn without_zeros(text: &str) -> &str {
    let number = text.trim_start_matches('0');
    if number.is_empty() { text } else { number }
}

#[cfg(test)]
mod tests {
    use super::super::tokens::fits;
    use super::*;
    use proptest::prelude::*;

    #[test]
    fn two_illegible_figures_leave_a_hundred_numbers() {
        let mut pattern = Pattern::new("19?4?12").unwrap();
        assert_eq!(pattern.count(1, 99_999_999), 100);
        assert_eq!(pattern.count(1_904_012, 1_904_912), 10);
        assert!(Pattern::new("???").is_none());
        assert_eq!(Pattern::new("0210").unwrap().count(1, 999), 1);
        assert_eq!(Pattern::new("02?0").unwrap().count(1, 999), 10);
        assert!(Pattern::new("12a").is_none());
    }

    proptest! {
        #[test]
        fn counting_agrees_with_trying_each(text in "[0-9?*]{1,5}", first in 0..3_000u64, more in 0..9_000u64) {
            let Some(mut pattern) = Pattern::new(&text) else { return Ok(()) };
            let last = first + more;
            let number = without_zeros(&text).as_bytes();
            let tried = (first.max(1)..=last).filter(|n| fits(number, n.to_string().as_bytes())).count();
            prop_assert_eq!(pattern.count(first, last), tried as u64);
        }
    }
}
