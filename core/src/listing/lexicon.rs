//! All words and phrases that mean something in a listing, found in one pass.

use std::collections::BTreeMap;

use super::text::{Word, words};

/// What a run of words stands for; the number is a place in its list of the packs.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum Entry {
    Phrase(usize),
    Material(usize),
    Part(usize),
    Count(usize),
    Size(usize),
    Era(usize),
    /// A maker's name. `true`: one plain-looking word, which must be written with a capital.
    Maker(usize, bool),
    /// A town of a maker.
    Town(usize),
    /// A brand: place in [`super::names::Names::brands`].
    Brand(usize, bool),
    /// A model's name; `true`: too plain to tell the model without its maker.
    ModelName(usize, bool),
    ModelNumber(usize),
    Small(Small),
}

/// Small words that change what stands beside them.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum Small {
    Doubt,
    Sure,
    LikeAfter,
    LikeBefore,
    NotTheReel,
    Denial,
    MarkCue,
    SerialCue,
    NumberCue,
    Firm,
    About,
    Early,
    Mid,
    Late,
    Before,
    After,
    Cue,
    AfterCue,
    NotOfReel,
    Old,
    Over,
}

/// A run of words found.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) struct Hit {
    /// First word, and one past the last.
    pub at: usize,
    pub end: usize,
    pub entry: Entry,
}

#[derive(Debug, Default)]
pub(super) struct Lexicon {
    /// By first word: the words behind it, and what the whole stands for.
    by_first: BTreeMap<String, Vec<(Vec<String>, Entry)>>,
}

impl Lexicon {
    pub fn add(&mut self, phrase: &str, entry: Entry) {
        let mut all = words(phrase).into_iter().map(|word| word.text);
        if let Some(first) = all.next() {
            self.by_first.entry(first).or_default().push((all.collect(), entry));
        }
    }

    pub fn add_all(&mut self, phrases: &[String], entry: Entry) {
        phrases.iter().for_each(|phrase| self.add(phrase, entry));
    }

    /// Everything found, by first word; at one word the longest first.
    pub fn find(&self, text: &str, words: &[Word]) -> Vec<Hit> {
        let mut hits = Vec::new();
        for at in 0..words.len() {
            let Some(entries) = self.by_first.get(&words[at].text) else { continue };
            let before = hits.len();
            for (rest, entry) in entries {
                let end = at + 1 + rest.len();
                if end <= words.len()
                    && rest.iter().zip(&words[at + 1..end]).all(|(a, b)| *a == b.text)
                    && joined(text, &words[at..end])
                {
                    hits.push(Hit { at, end, entry: *entry });
                }
            }
            hits[before..].sort_unstable_by_key(|hit| std::cmp::Reverse(hit.end));
        }
        hits
    }
}

/// Whether words stand together: in one sentence, with little between them.
fn joined(text: &str, run: &[Word]) -> bool {
    run.windows(2).all(|pair| {
        let gap = &text[pair[0].end..pair[1].start];
        pair[0].sentence == pair[1].sentence && gap.chars().count() <= 3 && !gap.contains('\n')
            || gap.trim_matches([' ', '\r']) == "\n" && pair[0].sentence == pair[1].sentence
    })
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_longest_run_comes_first_and_sentences_are_not_crossed() {
        let mut lexicon = Lexicon::default();
        lexicon.add("hard rubber", Entry::Material(1));
        lexicon.add("hard", Entry::Phrase(0));
        let text = "Hard-rubber, too hard. Rubber";
        let found = lexicon.find(text, &words(text));
        let entries: Vec<Entry> = found.iter().map(|hit| hit.entry).collect();
        assert_eq!(entries, [Entry::Material(1), Entry::Phrase(0), Entry::Phrase(0)]);
    }
}
