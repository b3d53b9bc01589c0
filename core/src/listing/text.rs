//! A seller's text as words, each with its place. Markup is passed over, its places kept.

use crate::marks::fold;

/// One word or number.
#[derive(Debug, Clone, PartialEq)]
pub(super) struct Word {
    /// Bytes of the text it takes.
    pub start: usize,
    pub end: usize,
    /// Upper case, without accents and apostrophes; `2½` is two words, `2` and `1/2`.
    pub text: String,
    /// Numbered from the text's beginning; a comma or a new line ends a clause, a full stop a sentence too.
    pub clause: u32,
    pub sentence: u32,
    /// Its first letter is a capital, or it is a number.
    pub capital: bool,
    /// It has two letters or more, all capitals.
    pub caps: bool,
}

impl Word {
    pub fn is(&self, word: &str) -> bool {
        self.text == word
    }
    pub fn begins_with_figure(&self) -> bool {
        self.text.starts_with(|c: char| c.is_ascii_digit())
    }
    /// Figures and nothing else.
    pub fn figures(&self) -> Option<u64> {
        (self.text.len() <= 12 && self.text.bytes().all(|b| b.is_ascii_digit())).then(|| self.text.parse().ok())?
    }
}

/// Longest run of markup that is passed over.
const TAG_MAX: usize = 4_000;

pub(super) fn words(text: &str) -> Vec<Word> {
    let mut words: Vec<Word> = Vec::new();
    let (mut clause, mut sentence) = (0, 0);
    let mut ahead = Ahead::default();
    let mut at = 0;
    while let Some(c) = text[at..].chars().next() {
        if c == '<'
            && let Some((end, block)) = tag(text, at, &mut ahead)
        {
            clause += u32::from(block);
            sentence += u32::from(block);
            at = end;
        } else if c == '&'
            && let Some(end) = entity(&text[at..])
        {
            at += end;
        } else if c.is_alphanumeric() {
            let mut word =
                Word { start: at, end: at, text: String::new(), clause, sentence, capital: false, caps: false };
            at = take(text, at, &mut word);
            // A character may fold to nothing.
            if !word.text.is_empty() {
                words.push(word);
            }
        } else {
            let after = at + c.len_utf8();
            match c {
                ',' | ';' | '(' | ')' | '[' | ']' | ':' | '•' | '|' | '\n' | '–' | '—' if ends_clause(text, at, c) =>
                {
                    clause += 1;
                    sentence += u32::from(c == ';' || c == '\n' && text[after..].starts_with(['\n', '\r']));
                }
                '.' | '!' | '?' if ends_sentence(text, after, words.last(), c) => {
                    clause += 1;
                    sentence += 1;
                }
                _ => {}
            }
            at = after;
        }
    }
    words
}

/// A dash between figures joins a range.
fn ends_clause(text: &str, at: usize, c: char) -> bool {
    let figure = |c: Option<char>| c.is_some_and(|c| c.is_ascii_digit());
    !(matches!(c, '–' | '—')
        && figure(text[..at].chars().next_back())
        && figure(text[at + c.len_utf8()..].chars().next()))
}

/// A full stop behind an abbreviation (`No. 12`, `poss. early`, `J. Alder`) ends nothing.
fn ends_sentence(text: &str, after: usize, before: Option<&Word>, c: char) -> bool {
    let mut rest = text[after..].chars();
    if c != '.' {
        return true;
    }
    if !rest.next().is_none_or(char::is_whitespace) {
        return false;
    }
    let next = rest.find(|c| !c.is_whitespace());
    let short = before.is_some_and(|word| {
        let letters = word.text.chars().count();
        // `St. George`, `Co. Durham`.
        let title = letters == 2 && word.capital && !word.caps;
        letters == 1 && !word.begins_with_figure() || title || letters <= 4 && next.is_some_and(|c| !c.is_uppercase())
    });
    !short
}

/// What is known of the markup ahead, so that nothing is looked for twice.
#[derive(Default)]
struct Ahead {
    /// The next `>`; none ahead: the text's end.
    close: Option<usize>,
    /// No `</script`, no `</style` ahead.
    never_closed: [bool; 2],
}

/// The place behind a tag, and whether it begins a new paragraph.
fn tag(text: &str, at: usize, ahead: &mut Ahead) -> Option<(usize, bool)> {
    let bytes = text.as_bytes();
    let name = text[at + 1..].trim_start_matches('/');
    if !name.starts_with(|c: char| c.is_ascii_alphabetic() || c == '!') {
        return None;
    }
    if ahead.close.is_none_or(|close| close < at) {
        ahead.close = Some(bytes[at..].iter().position(|b| *b == b'>').map_or(bytes.len(), |close| at + close));
    }
    let end = ahead.close.filter(|close| *close < bytes.len() && close - at < TAG_MAX)? + 1;
    let letters: String =
        name.chars().take_while(char::is_ascii_alphanumeric).take(8).collect::<String>().to_ascii_lowercase();
    if let Some(which) = ["script", "style"].iter().position(|one| *one == letters)
        && bytes[at + 1] != b'/'
    {
        let closing = format!("</{letters}");
        let is_close = |part: &[u8]| part.eq_ignore_ascii_case(closing.as_bytes());
        let close = match ahead.never_closed[which] {
            true => None,
            false => bytes[end..].windows(closing.len()).position(is_close),
        };
        ahead.never_closed[which] |= close.is_none();
        return Some((close.map_or(end, |close| end + close), true));
    }
    let inline = matches!(letters.as_str(), "b" | "i" | "u" | "em" | "strong" | "span" | "font" | "a" | "sup" | "sub");
    Some((end, !inline))
}

/// Bytes of an entity such as `&nbsp;`.
fn entity(text: &str) -> Option<usize> {
    let end = text.bytes().take(12).position(|b| b == b';')?;
    let name = &text.as_bytes()[1..end];
    (!name.is_empty() && name.iter().all(|b| b.is_ascii_alphanumeric() || *b == b'#')).then_some(end + 1)
}

/// Takes the word that begins at a place; gives the place behind it.
fn take(text: &str, from: usize, word: &mut Word) -> usize {
    let first = text[from..].chars().next().unwrap_or(' ');
    word.capital = !first.is_lowercase();
    let mut at = from;
    if first.is_ascii_digit() {
        at = number(text, from, &mut word.text);
        word.end = at;
        // `1/2` and `½` stand alone.
        if word.text.contains('/') {
            return at;
        }
    } else if is_fraction(first) {
        fraction(first, &mut word.text);
        word.end = from + first.len_utf8();
        return word.end;
    }
    let (mut letters, mut capitals) = (0, 0);
    while let Some(c) = text[at..].chars().next() {
        if c.is_alphanumeric() && !is_fraction(c) {
            letters += usize::from(c.is_alphabetic());
            capitals += usize::from(c.is_uppercase());
            fold(c, |c| word.text.push(c));
            at += c.len_utf8();
            word.end = at;
        } else if is_apostrophe(c) && letter_or_s_follows(text, at + c.len_utf8(), &word.text) {
            let rest = &text[at + c.len_utf8()..];
            let mut rest = rest.chars();
            let possessive =
                rest.next().is_some_and(|c| matches!(c, 's' | 'S')) && !rest.next().is_some_and(char::is_alphanumeric);
            at += c.len_utf8();
            if possessive {
                at += 1;
                word.end = at;
                // `1920's` is the decade, `Alder's` is Alder.
                if word.text.bytes().all(|b| b.is_ascii_digit()) {
                    word.text.push('S');
                }
                break;
            }
        } else {
            break;
        }
    }
    word.caps = letters >= 2 && letters == capitals;
    at
}

fn is_apostrophe(c: char) -> bool {
    matches!(c, '\'' | '’' | '`')
}

fn letter_or_s_follows(text: &str, at: usize, so_far: &str) -> bool {
    let next = text[at..].chars().next();
    !so_far.is_empty() && next.is_some_and(char::is_alphabetic)
}

fn is_fraction(c: char) -> bool {
    matches!(c, '½' | '¼' | '¾' | '⅛' | '⅜' | '⅝' | '⅞' | '⅓' | '⅔')
}

fn fraction(c: char, into: &mut String) {
    into.push_str(match c {
        '½' => "1/2",
        '¼' => "1/4",
        '¾' => "3/4",
        '⅛' => "1/8",
        '⅜' => "3/8",
        '⅝' => "5/8",
        '⅞' => "7/8",
        '⅓' => "1/3",
        _ => "2/3",
    });
}

/// Figures, with commas that group thousands taken out, a decimal part, or a common fraction.
fn number(text: &str, from: usize, into: &mut String) -> usize {
    let bytes = text.as_bytes();
    let run = |at: usize| bytes[at.min(bytes.len())..].iter().take_while(|b| b.is_ascii_digit()).count();
    let whole = run(from);
    into.push_str(&text[from..from + whole]);
    let mut at = from + whole;
    while bytes.get(at) == Some(&b',') && run(at + 1) == 3 && whole <= 3 {
        into.push_str(&text[at + 1..at + 4]);
        at += 4;
    }
    let grouped = at > from + whole;
    let behind = bytes.get(at).copied();
    if !grouped && matches!(behind, Some(b'.' | b',')) && (1..=2).contains(&run(at + 1)) && whole <= 3 {
        into.push('.');
        let part = run(at + 1);
        into.push_str(&text[at + 1..=at + part]);
        at += 1 + part;
    } else if !grouped && behind == Some(b'/') && whole <= 2 && (1..=2).contains(&run(at + 1)) {
        let part = run(at + 1);
        let below = &text[at + 1..=at + part];
        if matches!(below, "2" | "3" | "4" | "8" | "16" | "32" | "64") {
            into.push('/');
            into.push_str(below);
            at += 1 + part;
        }
    }
    at
}

#[cfg(test)]
mod tests {
    use super::*;

    fn texts(text: &str) -> Vec<String> {
        words(text).into_iter().map(|word| word.text).collect()
    }

    #[test]
    fn words_numbers_and_fractions_come_apart() {
        assert_eq!(texts("Alder's No. 1495½, 2-7/8 in"), ["ALDER", "NO", "1495", "1/2", "2", "7/8", "IN"]);
        assert_eq!(texts("1920's don't 1,904,512 63,5mm"), ["1920S", "DONT", "1904512", "63.5MM"]);
        assert_eq!(texts("c1890 and 3-15"), ["C1890", "AND", "3", "15"]);
    }

    #[test]
    fn markup_is_passed_over_and_places_are_kept() {
        let text = "<p>Old <b>brass</b>&nbsp;reel</p><style>p{color:red}</style>1920s < 1930";
        let words = words(text);
        let seen: Vec<&str> = words.iter().map(|word| &text[word.start..word.end]).collect();
        assert_eq!(seen, ["Old", "brass", "reel", "1920s", "1930"]);
        assert_ne!(words[2].sentence, words[3].sentence);
    }

    #[test]
    fn a_script_is_passed_over_whole_and_one_never_closed_only_as_a_tag() {
        assert_eq!(texts("<script>let a = 1;</script>brass"), ["BRASS"]);
        assert_eq!(texts("<style>brass <script>no</script>1920s <script>old"), ["BRASS", "1920S", "OLD"]);
        assert_eq!(texts("< b < c > 5 <d"), ["B", "C", "5", "D"]);
    }

    #[test]
    fn a_stop_behind_an_abbreviation_ends_no_sentence() {
        let sentences = |text: &str| words(text).last().map(|word| word.sentence);
        assert_eq!(sentences("poss. early, No. 12 by J. Alder"), Some(0));
        assert_eq!(sentences("It runs well. Nice."), Some(1));
    }
}
