//! Owners' words made comparable: stems, and one token for all words that mean the same.

use std::collections::BTreeMap;

/// Longest run of words that stands for one thing.
const RUN: usize = 4;

/// Words that carry nothing at the counter.
const SMALL: &str = " a all also an and are as at be been but by can do for from get got had has have he her his i if in \
    into is it its just me my of on one or our out over quite really she so some than that the their them then there \
    these they thing this those to too two up very was were when where which while who with you your after before now \
    still only much more any about like time something reel reels customer owner client every each made make makes ";

/// Groups of variants, ready for look-ups.
#[derive(Debug, Clone, Default)]
pub(super) struct Variants {
    /// Stems with blanks between, to the number of the group.
    groups: BTreeMap<String, usize>,
}

impl Variants {
    pub fn of(groups: &[Vec<String>]) -> Self {
        let mut known = BTreeMap::new();
        for (number, group) in groups.iter().enumerate() {
            for words in group {
                known.entry(stems(words).join(" ")).or_insert(number);
            }
        }
        Self { groups: known }
    }

    /// The token of a word that has variants.
    pub fn token_of(&self, word: &str) -> Option<String> {
        self.groups.get(&stem(word)).map(|group| format!("={group}"))
    }

    /// Tokens of a text, sorted, each once: groups as `=number`, other words by their stem. Small words and figures are
    /// left out, unless they are part of a run that has variants.
    pub fn tokens(&self, text: &str) -> Vec<String> {
        let words = words(text);
        let stems: Vec<String> = words.iter().map(|word| stem(word)).collect();
        let mut tokens = Vec::new();
        let mut at = 0;
        while at < stems.len() {
            let longest = (1..=RUN.min(stems.len() - at)).rev().find_map(|length| {
                let run = stems[at..at + length].join(" ");
                self.groups.get(&run).map(|group| (length, *group))
            });
            if let Some((length, group)) = longest {
                tokens.push(format!("={group}"));
                at += length;
                continue;
            }
            let figure = words[at].chars().all(|c| c.is_ascii_digit());
            if !figure && !SMALL.contains(&format!(" {} ", words[at])) {
                tokens.push(stems[at].clone());
            }
            at += 1;
        }
        tokens.sort_unstable();
        tokens.dedup();
        tokens
    }
}

/// The words of a text in lower case, in order. Apostrophes join, all else that is no letter or digit parts.
fn words(text: &str) -> Vec<String> {
    let text: String = text.to_lowercase().chars().filter(|c| !matches!(c, '\'' | '’')).collect();
    text.split(|c: char| !c.is_alphanumeric()).filter(|word| !word.is_empty()).map(str::to_owned).collect()
}

fn stems(text: &str) -> Vec<String> {
    words(text).iter().map(|word| stem(word)).collect()
}

/// A word without its commonest endings: good enough to join `rubs`, `rubbed` and `rubbing`.
fn stem(word: &str) -> String {
    let mut stem = word.to_owned();
    for (ending, instead) in [("ies", "y"), ("sses", "ss"), ("ing", ""), ("ed", ""), ("es", "e"), ("s", ""), ("ly", "")]
    {
        let Some(rest) = word.strip_suffix(ending) else { continue };
        let plural_of_ss = ending == "s" && rest.ends_with('s');
        if rest.len() < 3 || !rest.contains(['a', 'e', 'i', 'o', 'u', 'y']) || plural_of_ss {
            continue;
        }
        stem = format!("{rest}{instead}");
        break;
    }
    let bytes = stem.as_bytes();
    let doubled = bytes.len() > 3 && bytes[bytes.len() - 1] == bytes[bytes.len() - 2];
    if doubled && !stem.ends_with(['l', 's', 'e', 'o']) && stem.is_ascii() {
        stem.pop();
    }
    if stem.len() > 3 && stem.ends_with('e') {
        stem.pop();
    }
    if stem.len() > 3 && stem.ends_with('y') {
        stem.pop();
        stem.push('i');
    }
    stem
}

/// An owner's words in pieces: each is one thing told.
pub(super) fn pieces(text: &str) -> Vec<String> {
    let ends = |c: char| matches!(c, '.' | ',' | ';' | ':' | '!' | '?' | '\n' | '(' | ')');
    let mut pieces = Vec::new();
    // The colon of a ratio such as 4:1 ends nothing.
    let chars: Vec<char> = text.chars().collect();
    let digit = |at: Option<usize>| at.and_then(|at| chars.get(at)).is_some_and(char::is_ascii_digit);
    let text: String = (0..chars.len())
        .map(|at| if chars[at] == ':' && digit(at.checked_sub(1)) && digit(Some(at + 1)) { '/' } else { chars[at] })
        .collect();
    for piece in text.split(ends) {
        let padded = format!(" {} ", piece.split_whitespace().collect::<Vec<_>>().join(" "));
        pieces.extend(padded.split(" but ").map(|piece| piece.trim().to_owned()));
    }
    pieces.retain(|piece| piece.chars().any(char::is_alphanumeric));
    pieces
}

/// Whether a piece says that something is in order: it tells of no fault.
pub(super) fn in_order(piece: &str) -> bool {
    let lower = piece.to_lowercase().replace(['\'', '’'], "");
    let words: Vec<&str> = lower.split_whitespace().collect();
    let Some(last) = words.last() else { return true };
    let turned = ["not", "no", "wont", "doesnt", "isnt", "cant", "never", "nothing", "hardly", "barely", "hard"];
    if words.iter().any(|word| turned.contains(word)) {
        return false;
    }
    let said_well = ["works", "work", "fine", "ok", "okay", "good", "well", "perfectly", "freely", "sound", "smoothly"];
    said_well.contains(last)
        || words.len() <= 3 && ["turns", "spins", "winds"].contains(last)
        || lower.contains("works well")
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn forms_of_a_word_share_a_stem() {
        for (a, b) in [
            ("rubs", "rubbing"),
            ("rubbed", "rub"),
            ("slips", "slipping"),
            ("noises", "noise"),
            ("handles", "handle"),
            ("seized", "seize"),
            ("casting", "casts"),
            ("spring", "springs"),
            ("washer", "washers"),
            ("batteries", "battery"),
        ] {
            assert_eq!(stem(a), stem(b), "{a} and {b}");
        }
        assert_ne!(stem("spring"), stem("spr"));
        assert_ne!(stem("ring"), stem("r"));
    }

    #[test]
    fn variants_become_one_token_and_small_words_none() {
        let groups = [vec!["level wind".to_owned(), "line guide".into()], vec!["seized".into(), "frozen".into()]];
        let variants = Variants::of(&groups);
        assert_eq!(variants.tokens("The level-wind is frozen"), variants.tokens("line guide seized"));
        assert_eq!(variants.tokens("it is the"), Vec::<String>::new());
    }

    #[test]
    fn what_is_said_to_work_is_no_fault() {
        assert!(in_order("drag works"));
        assert!(in_order("the click is fine"));
        assert!(!in_order("drag doesn't work"));
        assert!(!in_order("front cover works loose"));
        assert!(!in_order("it turns hard"));
    }

    #[test]
    fn words_fall_into_pieces() {
        assert_eq!(pieces("4:1 binds"), ["4/1 binds"]);
        assert_eq!(
            pieces("Spool rubs; bail won't close, but drag works."),
            ["Spool rubs", "bail won't close", "drag works"]
        );
    }
}
