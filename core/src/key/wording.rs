//! Words of a reading: which of them point to somebody.

use crate::marks::Match;
use crate::marks::alike::MATCH;

/// Words that anyone strikes: they point to nobody.
const COMMON_WORDS: [&str; 42] = [
    "AND",
    "APPLIED",
    "AUSTRALIA",
    "BRITAIN",
    "BROS",
    "CANADA",
    "CO",
    "COMPANY",
    "DES",
    "ENGLAND",
    "FOR",
    "FRANCE",
    "GERMANY",
    "GREAT",
    "IN",
    "INC",
    "ITALY",
    "JAPAN",
    "LTD",
    "MADE",
    "MAKERS",
    "MANUFACTURED",
    "MARK",
    "MFG",
    "MODEL",
    "NO",
    "OF",
    "PAT",
    "PATD",
    "PATENT",
    "PATENTED",
    "PATENTS",
    "PEND",
    "PENDING",
    "REEL",
    "REG",
    "SWEDEN",
    "THE",
    "TRADE",
    "TRADEMARK",
    "US",
    "USA",
];

fn words(characters: &[char]) -> Vec<String> {
    let text: String = characters
        .iter()
        .filter(|c| !matches!(c, '.' | '\''))
        .collect::<String>()
        .to_uppercase();
    text.split(|c: char| !c.is_alphanumeric() && c != '?')
        .filter(|w| !w.is_empty())
        .map(str::to_owned)
        .collect()
}

fn is_common(word: &str) -> bool {
    // A letter that can't be read may be any.
    let fits =
        |common: &str| common.len() == word.len() && common.chars().zip(word.chars()).all(|(c, w)| w == '?' || w == c);
    word.chars().all(|c| c == '?') || COMMON_WORDS.iter().any(|common| fits(common))
}

fn legible<'a>(words: impl Iterator<Item = &'a String>) -> usize {
    words
        .map(|word| word.chars().filter(|c| c.is_alphanumeric()).count())
        .sum()
}

/// Nats of a match, common words aside. Many reels bear some number, so one that fits is worth less than as many
/// letters would be.
pub(super) fn worth(characters: &[char], m: &Match) -> f64 {
    // Whole words: a match may end within one.
    let joined = |c: &char| c.is_alphanumeric() || *c == '?';
    let mut end = m.end.min(characters.len());
    let mut start = m.start.min(end);
    start -= characters[..start].iter().rev().take_while(|c| joined(c)).count();
    end += characters[end..].iter().take_while(|c| joined(c)).count();
    let words = words(&characters[start..end]);
    let own: Vec<&String> = words.iter().filter(|word| !is_common(word)).collect();
    let count = |is: fn(&char) -> bool| own.iter().flat_map(|w| w.chars()).filter(is).count();
    let (digits, letters) = (count(char::is_ascii_digit), count(|c| c.is_alphabetic()));
    let share = legible(own.iter().copied()) as f64 / legible(words.iter()).max(1) as f64;
    // The allowance is for the number as read, so that one with a slip still falls behind one without.
    let perfect = m.legible as f64 * f64::from(MATCH);
    let most = 4.0 + digits as f64 + 1.5 * letters as f64;
    let is_number = digits > 0 && letters <= 1;
    m.llr * share
        - if is_number {
            (perfect * share - most).max(0.0)
        } else {
            0.0
        }
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

/// Legible letters of words that none of the matches explains, common words aside.
pub(super) fn left_over<'a>(characters: &[char], found: impl Iterator<Item = &'a Match>) -> usize {
    let mut left = characters.to_vec();
    for m in found {
        let end = m.end.min(left.len());
        left[m.start.min(end)..end].fill(' ');
    }
    legible(words(&left).iter().filter(|word| !is_common(word)))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn common_words_point_to_nobody_and_joined_numbers_are_one() {
        let characters = |text: &str| text.chars().collect::<Vec<char>>();
        let all = |text: &str| Match {
            struck: 0,
            llr: 20.0,
            start: 0,
            end: text.len(),
            covered: 1.0,
            legible: 9,
        };
        assert_eq!(worth(&characters("Made in U.S.A."), &all("Made in U.S.A.")), 0.0);
        assert!(worth(&characters("1494"), &all("1494")) < 9.0);
        assert_eq!(worth(&characters("PLOVER"), &all("PLOVER")), 20.0);
        assert!(!stands_alone(&characters("3-25"), 2, 4));
        assert!(stands_alone(&characters("NO. 25"), 4, 6));
    }
}
