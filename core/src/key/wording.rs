//! Words of a reading: which of them point to somebody.

use crate::dating::{number_fits, tokens};
use crate::marks::Match;
use crate::marks::alike::MATCH;
use crate::order;
use crate::reference::Reference;

/// Words that anyone strikes: they point to nobody.
const COMMON_WORDS: [&str; 72] = [
    "AMERICAN",
    "AND",
    "APPLIED",
    "AUSTRALIA",
    "BREVET",
    "BREVETE",
    "BREVETS",
    "BREVETTATO",
    "BRITAIN",
    "BRITISH",
    "BROS",
    "BTE",
    "CANADA",
    "CO",
    "COMPANY",
    "DEPOSE",
    "DES",
    "DESIGN",
    "ENGLAND",
    "ENGLISH",
    "FISHING",
    "FOR",
    "FOREIGN",
    "FRANCE",
    "FULLY",
    "GERMANY",
    "GREAT",
    "IN",
    "INC",
    "INVENTORS",
    "ITALY",
    "JAPAN",
    "LTD",
    "MADE",
    "MAKER",
    "MAKERS",
    "MANUFACTURED",
    "MARK",
    "MARQUE",
    "MFG",
    "MODEL",
    "MODELE",
    "NO",
    "OF",
    "OFF",
    "OFFICE",
    "PAT",
    "PATD",
    "PATENT",
    "PATENTED",
    "PATENTS",
    "PATS",
    "PEND",
    "PENDING",
    "RD",
    "REEL",
    "REELS",
    "REG",
    "REGD",
    "REGISTERED",
    "SOLE",
    "SWEDEN",
    "TACKLE",
    "THE",
    "TRADE",
    "TRADEMARK",
    "US",
    "USA",
    "YARD",
    "YARDS",
    "YD",
    "YDS",
];

/// Nats lost where a number is read that is not the one struck.
const ANOTHER_NUMBER: f64 = 2.0;
/// Nats of a town: others worked there too.
const TOWN: f64 = 1.5;
/// Nats of a long stamp of common words read whole.
const WHOLE_STAMP: f64 = 6.5;

/// Months as patents write them.
const MONTHS: [&str; 23] = [
    "JAN", "FEB", "MAR", "APR", "MAY", "JUN", "JUL", "AUG", "SEP", "SEPT", "OCT", "NOV", "DEC", "JANUARY", "FEBRUARY",
    "MARCH", "APRIL", "JUNE", "JULY", "AUGUST", "OCTOBER", "NOVEMBER", "DECEMBER",
];

/// How far a word points to somebody.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
enum Points {
    /// Anyone strikes it.
    Nobody,
    /// A town, where several worked: it makes them likelier and names none.
    Several,
    One,
}

/// A word of a reading.
#[derive(Debug, Clone)]
pub(super) struct Word {
    /// Upper case, `U.S.A.` as one.
    text: String,
    /// Characters of the reading it takes.
    start: usize,
    end: usize,
    points: Points,
}

/// What a match is worth.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) struct Worth {
    pub nats: f64,
    /// Whether it may stand for a name by itself: letters of one's own, or a patent read whole. A bare number may not.
    pub names: bool,
}

/// Wordings that are not a name: legal notices and countries of the dating pack, and towns of makers.
#[derive(Debug, Clone, Default)]
pub(super) struct Plain {
    phrases: Vec<Vec<String>>,
    towns: Vec<String>,
}

impl Plain {
    pub fn of(reference: &Reference) -> Self {
        let texts = |text: &str| -> Vec<String> { split(&chars(text)).into_iter().map(|word| word.text).collect() };
        let phrases = reference.dating.wordings.iter().flat_map(|clue| &clue.struck);
        let phrases = phrases.filter(|text| !text.contains(['#', '&', '*'])).map(|text| texts(text)).collect();
        let is_maker = |words: &str| reference.maker(&words.to_lowercase().replace(' ', "-")).is_some();
        let cities = reference.makers.iter().flat_map(|maker| &maker.places).map(|place| place.city.as_str());
        let mut towns: Vec<String> = cities
            .flat_map(|city| city.split(','))
            // South Bend and Bronson are makers' names too.
            .filter(|part| !is_maker(part.trim()))
            .flat_map(texts)
            .filter(|word| word.len() >= 3 && !is_maker(word))
            .collect();
        order::unique(&mut towns);
        Plain { phrases, towns }
    }

    /// The words of a reading, each with how far it points to somebody.
    pub fn words(&self, characters: &[char]) -> Vec<Word> {
        let mut words = split(characters);
        for word in &mut words {
            let town = self.towns.iter().any(|town| fits(town, &word.text));
            word.points = if is_common(&word.text) {
                Points::Nobody
            } else if town {
                Points::Several
            } else {
                Points::One
            };
        }
        for phrase in &self.phrases {
            for at in 0..(words.len() + 1).saturating_sub(phrase.len()) {
                let span = &mut words[at..at + phrase.len()];
                if span.iter().zip(phrase).all(|(word, plain)| fits(plain, &word.text)) {
                    span.iter_mut().for_each(|word| word.points = Points::Nobody);
                }
            }
        }
        words
    }
}

impl Plain {
    /// Blanks out what anyone strikes; false if there is none of it, or nothing else.
    pub fn blank(&self, characters: &mut [char]) -> bool {
        let words = self.words(characters);
        let common = |word: &&Word| word.points == Points::Nobody;
        let some = words.iter().any(|word| common(&word)) && !words.iter().all(|word| common(&word));
        if some {
            words.iter().filter(common).for_each(|word| characters[word.start..word.end].fill(' '));
        }
        some
    }
}

fn chars(text: &str) -> Vec<char> {
    text.chars().collect()
}

fn split(characters: &[char]) -> Vec<Word> {
    let mut words: Vec<Word> = Vec::new();
    let takes = |c: char| c.is_alphanumeric() || c == '?';
    let mut open = false;
    for (at, c) in characters.iter().enumerate() {
        // A point or an apostrophe parts no word.
        if !takes(*c) {
            open &= matches!(c, '.' | '\'');
            continue;
        }
        if !open {
            words.push(Word { text: String::new(), start: at, end: at, points: Points::One });
        }
        open = true;
        if let Some(word) = words.last_mut() {
            word.text.extend(c.to_uppercase());
            word.end = at + 1;
        }
    }
    words
}

/// Whether a word as read can be this one: a letter that can't be read may be any.
fn fits(word: &str, read: &str) -> bool {
    word.len() == read.len() && word.bytes().zip(read.bytes()).all(|(w, r)| r == b'?' || w == r)
}

fn is_common(word: &str) -> bool {
    word.chars().all(|c| c == '?') || COMMON_WORDS.iter().chain(&MONTHS).any(|common| fits(common, word))
}

fn legible<'a>(words: impl Iterator<Item = &'a Word>) -> usize {
    words.map(|word| word.text.chars().filter(|c| c.is_alphanumeric()).count()).sum()
}

/// How the numbers of a patent as read go with those that are struck.
#[derive(PartialEq)]
enum Numbers {
    Same,
    CanBe,
    Differ,
}

fn compare_numbers(read: &str, struck: &str) -> Numbers {
    let numbers = |text: &str| -> Vec<String> { tokens(text).iter().filter_map(|token| token.as_number()).collect() };
    let struck = numbers(struck);
    if struck.is_empty() {
        return Numbers::CanBe;
    }
    let mut same = Numbers::Same;
    for number in numbers(read) {
        let fits_one = |other: &String| {
            let short = number.len() == 2 && other.len() == 4;
            number_fits(number.as_bytes(), if short { &other.as_bytes()[2..] } else { other.as_bytes() })
        };
        if !struck.iter().any(fits_one) {
            return Numbers::Differ;
        }
        if number.contains(['?', '*']) {
            same = Numbers::CanBe;
        }
    }
    same
}

/// What a match is worth, common words aside. Many reels bear some number, so one that fits is worth less than as many
/// letters would be; a patent must be the very one.
pub(super) fn worth(characters: &[char], words: &[Word], m: &Match, struck: &str) -> Worth {
    // Whole words: a match may end within one.
    let inside = || words.iter().filter(|word| word.start < m.end && m.start < word.end);
    let says = |known: &[&str]| inside().any(|word| known.iter().any(|known| fits(known, &word.text)));
    let start = inside().next().map_or(m.start, |word| word.start);
    let end = inside().next_back().map_or(m.end, |word| word.end);
    let read: String = characters[start.min(end)..end.min(characters.len())].iter().collect();
    // A date, or a number too long for a model's.
    let is_patent = says(&MONTHS) || tokens(&read).iter().any(|token| token.is_number() && token.text.len() >= 6);
    let numbers = compare_numbers(&read, struck);
    // Another number is read than is struck: 20 beside a name is not 202.
    let another = if numbers == Numbers::Differ && !is_patent { ANOTHER_NUMBER } else { 0.0 };
    let is_figures = |word: &Word| word.text.chars().any(|c| c.is_ascii_digit());
    let own =
        || inside().filter(|word| word.points == Points::One && !(numbers == Numbers::Differ && is_figures(word)));
    let town = inside().any(|word| word.points == Points::Several);
    let count = |is: fn(&char) -> bool| own().flat_map(|word| word.text.chars()).filter(is).count();
    let (digits, letters) = (count(char::is_ascii_digit), count(|c| c.is_alphabetic()));
    let share = legible(own()) as f64 / legible(inside()).max(1) as f64;
    // The allowance is for the number as read, so that one with a slip still falls behind one without.
    let perfect = m.legible as f64 * f64::from(MATCH);
    let most = 4.0 + digits as f64 + 1.5 * letters as f64;
    let is_number = digits > 0 && letters <= 1;
    let too_much = if is_number { (perfect * share - most).max(0.0) } else { 0.0 };
    let letters_of_one = own()
        .filter(|word| !(is_number && is_figures(word)))
        .flat_map(|word| word.text.chars())
        .filter(|c| c.is_alphabetic())
        .count();
    let names = letters_of_one >= 2 || is_patent && numbers == Numbers::Same && digits >= 5;
    // A long stamp read whole says something though each of its words is anyone's.
    let least_words = if digits > 0 || town { 5 } else { 6 };
    let whole = m.covered >= 0.95 && m.legible >= 14 && inside().count() >= least_words;
    let least = if whole {
        WHOLE_STAMP
    } else if town {
        TOWN
    } else {
        f64::NEG_INFINITY
    };
    Worth { nats: (m.llr * share - too_much).max(least) - another, names }
}

/// Whether the span is a word or words of its own: 25 is not found in 3-25.
pub(super) fn stands_alone(characters: &[char], start: usize, end: usize) -> bool {
    let at = |at: Option<usize>| at.and_then(|at| characters.get(at));
    let letter = |near: Option<usize>| at(near).is_some_and(|c| c.is_alphanumeric());
    let joined = |near: Option<usize>, beyond: Option<usize>| {
        letter(near) || at(near).is_some_and(|c| matches!(c, '-' | '/' | '.')) && letter(beyond)
    };
    !joined(start.checked_sub(1), start.checked_sub(2)) && !joined(Some(end), Some(end + 1))
}

/// Whether the struck number goes on with a letter (`20-L`) where the reading's number plainly ends (`20`).
pub(super) fn lacks_suffix(characters: &[char], struck: &str) -> bool {
    struck.split(' ').any(|word| {
        let figures = word.chars().take_while(char::is_ascii_digit).count();
        let suffix = word[figures..].trim_start_matches('-');
        if figures < 2 || suffix.is_empty() || suffix.len() > 2 || !suffix.chars().all(|c| c.is_ascii_alphabetic()) {
            return false;
        }
        let number: Vec<char> = word.chars().take(figures).collect();
        characters.windows(figures).enumerate().any(|(at, span)| {
            let next = characters[at + figures..].iter().find(|c| !matches!(c, '-' | ' '));
            let goes_on = next.is_some_and(|c| matches!(c, '?' | '*') || suffix.starts_with(c.to_ascii_uppercase()));
            span == number && stands_alone(characters, at, at + figures) && !goes_on
        })
    })
}

/// Where numbers stand that may be a model's: three or four figures, all legible, in no date.
pub(super) fn numbers(plain: &Plain, text: &str) -> Vec<usize> {
    let words = plain.words(&chars(text));
    if words.iter().any(|word| MONTHS.contains(&word.text.as_str())) {
        return Vec::new();
    }
    let is = |word: &&Word| (3..=4).contains(&word.text.len()) && word.text.bytes().all(|c| c.is_ascii_digit());
    words.iter().filter(is).map(|word| word.start).collect()
}

/// Legible letters of words that none of the matches explains, common words aside.
pub(super) fn left_over<'a>(words: &[Word], found: impl Iterator<Item = &'a Match>) -> usize {
    let found: Vec<&Match> = found.collect();
    let explained = |at: usize| found.iter().any(|m| m.start <= at && at < m.end);
    // A serial number may stand on any.
    let serial = |word: &&Word| word.text.len() >= 5 && word.text.chars().all(|c| c.is_ascii_digit());
    let left = words.iter().filter(|word| word.points != Points::Nobody && !explained(word.start) && !serial(word));
    legible(left)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn common_words_point_to_nobody_and_joined_numbers_are_one() {
        let worth_of = |text: &str, struck: &str| {
            let m = Match { struck: 0, llr: 20.0, start: 0, end: text.len(), covered: 1.0, legible: 9 };
            worth(&chars(text), &Plain::default().words(&chars(text)), &m, struck)
        };
        let characters = chars;
        assert_eq!(worth_of("Made in U.S.A.", "MADE IN U.S.A."), Worth { nats: 0.0, names: false });
        let number = worth_of("1494", "1494");
        assert!(number.nats < 9.0 && !number.names, "{number:?}");
        assert_eq!(worth_of("PLOVER", "PLOVER"), Worth { nats: 20.0, names: true });
        assert!(worth_of("PAT. MAY 7, 1901", "PAT. MAY 7, 1901").names);
        assert!(!worth_of("PAT. MAY 7, 19?1", "PAT. MAY 7, 1901").names);
        assert_eq!(worth_of("PAT. MAY 8, 1901", "PAT. MAY 7, 1901"), Worth { nats: 0.0, names: false });
        assert!(!stands_alone(&characters("3-25"), 2, 4));
        assert!(stands_alone(&characters("NO. 25"), 4, 6));
    }
}
