//! Which rows hold the words that are looked for?

use std::cmp::Reverse;
use std::collections::BTreeMap;
use std::ops::Range;

use memchr::memmem::Finder;

use super::Row;
use crate::reference::Reference;

/// Words of one search.
const WORDS_MAX: usize = 32;
/// After each text; no word holds it, so none is found across two texts.
const END: char = '\n';

/// Words that are looked for, made ready once for all rows.
///
/// ```
/// use tailplate_core::shop::Sought;
/// let sought = Sought::new("Quill  mara");
/// assert!(sought.are_in("mara quill 555 0142"));
/// assert!(!sought.are_in("mara vane"));
/// ```
pub struct Sought(Vec<Finder<'static>>);

impl Sought {
    /// `words`: between spaces, as typed; no more than 32 of them count.
    pub fn new(words: &str) -> Self {
        Self::after(words, "")
    }

    /// The same for rows that another search found: what is in its words already is not looked for again.
    ///
    /// ```
    /// use tailplate_core::shop::Sought;
    /// let sought = Sought::after("mara qui", "mara qu");
    /// assert!(sought.are_in("quill"));
    /// assert!(!sought.are_in("mara quayle"));
    /// ```
    pub fn after(words: &str, found: &str) -> Self {
        let (words, found) = (words.to_lowercase(), found.to_lowercase());
        let known = |word: &&str| found.split_whitespace().take(WORDS_MAX).any(|found| found.contains(*word));
        let mut words: Vec<&str> = words.split_whitespace().take(WORDS_MAX).filter(|word| !known(word)).collect();
        // The longest says no most often.
        words.sort_by_key(|word| Reverse(word.len()));
        Self(words.into_iter().map(|word| Finder::new(word).into_owned()).collect())
    }

    /// No word at all: every text holds that.
    pub fn is_empty(&self) -> bool {
        self.0.is_empty()
    }

    /// Whether every word is in a text. `text`: in lower case.
    pub fn are_in(&self, text: &str) -> bool {
        self.0.iter().all(|word| word.find(text.as_bytes()).is_some())
    }

    /// The first of some texts that holds every word.
    pub fn first_in(&self, texts: &Texts, among: Range<usize>) -> Option<usize> {
        let Some(longest) = self.0.first() else { return (!among.is_empty()).then_some(among.start) };
        let (mut from, end) = (texts.start(among.start), texts.start(among.end));
        while from < end {
            let at = from + longest.find(&texts.all.as_bytes()[from..end])?;
            let place = texts.ends.partition_point(|end| *end <= at);
            if self.are_in(texts.get(place)) {
                return Some(place);
            }
            from = texts.ends[place];
        }
        None
    }
}

/// The texts of many rows in one piece: looked through several times as fast as one by one.
///
/// ```
/// use tailplate_core::shop::{Sought, Texts};
/// let mut texts = Texts::default();
/// texts.push(&["mara quill", "555 0142"]);
/// texts.push(&["mara vane"]);
/// assert_eq!(Sought::new("vane").first_in(&texts, 0..2), Some(1));
/// assert_eq!(Sought::new("mara").first_in(&texts, 1..2), Some(1));
/// assert_eq!(texts.get(1), "mara vane\n");
/// ```
#[derive(Debug, Default)]
pub struct Texts {
    all: String,
    /// Where in it each text ends.
    ends: Vec<usize>,
}

impl Texts {
    /// What a search looks at of each row: its own words, and what its model is called.
    pub fn of<'a>(rows: impl Iterator<Item = &'a Row> + Clone, reference: &Reference) -> Self {
        let (bytes, count) = rows.clone().fold((0, 0), |(bytes, count), row| (bytes + row.text.len() + 1, count + 1));
        let mut texts = Self { all: String::with_capacity(bytes), ends: Vec::with_capacity(count) };
        let mut names = BTreeMap::new();
        let name = |id| reference.model(id).map(|model| model.name.to_lowercase()).unwrap_or_default();
        for row in rows {
            match row.model.as_str() {
                "" => texts.push(&[&row.text]),
                id => texts.push(&[&row.text, names.entry(id).or_insert_with(|| name(id))]),
            }
        }
        texts
    }

    /// One more text, of these parts, in lower case. No word is found across two of them.
    pub fn push(&mut self, parts: &[&str]) {
        for part in parts {
            self.all.push_str(part);
            self.all.push(END);
        }
        self.ends.push(self.all.len());
    }

    pub fn get(&self, place: usize) -> &str {
        &self.all[self.start(place)..self.start(place + 1)]
    }

    /// Where a text begins; after the last, where it ends.
    fn start(&self, place: usize) -> usize {
        let before = self.ends.len().min(place);
        before.checked_sub(1).map_or(0, |before| self.ends[before])
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;

    proptest! {
        /// Looking among what fewer letters left, for what they did not say, finds what looking through all of it finds.
        #[test]
        fn a_search_that_goes_on_finds_the_same(texts in prop::collection::vec("[ab ]{0,9}", 0..12), words in "[abA ]{0,7}", letters in 0_usize..8) {
            let (few, all) = (&words[..letters.min(words.len())], Sought::new(&words));
            let (before, after) = (Sought::new(few), Sought::after(&words, few));
            for text in texts {
                prop_assert_eq!(before.are_in(&text) && after.are_in(&text), all.are_in(&text), "{:?} after {:?} in {:?}", &words, few, &text);
            }
        }
    }

    proptest! {
        /// Texts in one piece hold what each of them holds.
        #[test]
        fn in_one_piece_the_same_is_found(texts in prop::collection::vec(("[abé ]{0,5}", "[abé]{0,3}"), 0..9), words in "[abéÉ ]{0,5}", start in 0_usize..10, end in 0_usize..10) {
            let mut piece = Texts::default();
            for (text, more) in &texts {
                piece.push(&[text, more]);
            }
            let sought = Sought::new(&words);
            let among = start..end.min(texts.len());
            let holds = |place: &usize| sought.are_in(&format!("{}\n{}", texts[*place].0, texts[*place].1));
            prop_assert_eq!(sought.first_in(&piece, among.clone()), among.clone().find(holds), "{:?} in {:?} of {:?}", &words, among, &texts);
        }
    }
}
