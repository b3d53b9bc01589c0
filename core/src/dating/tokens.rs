//! A mark's text as words and numbers.

use crate::marks::fold;

/// A run of letters, figures and `?` or `*`. A comma or point that parts thousands is left out.
#[derive(Debug, Clone, PartialEq)]
pub struct Token {
    /// Upper case, without accents and apostrophes.
    pub text: String,
    /// Characters of the mark it takes: first, and one past the last.
    pub start: usize,
    pub end: usize,
    pub line: usize,
    /// The only character between it and the token before, or a space.
    pub before: char,
}

impl Token {
    /// Figures and signs for illegible ones only.
    pub fn is_number(&self) -> bool {
        self.text.chars().all(is_figure) && self.text.chars().any(|c| c.is_ascii_digit())
    }
    pub fn is_illegible(&self) -> bool {
        self.text.chars().all(|c| c == '?' || c == '*')
    }
    pub fn is_legible(&self) -> bool {
        !self.text.contains(['?', '*'])
    }
    /// A number in which a letter or two may have been read for a figure.
    pub fn as_number(&self) -> Option<String> {
        let figures = self.text.chars().filter(char::is_ascii_digit).count();
        let letters = self.text.chars().filter(|c| !is_figure(*c)).count();
        let begins = self.text.starts_with(|c: char| is_figure(c) || "IL".contains(c));
        if figures == 0 || !begins || letters > 0 && (figures < 3 || letters * 3 > figures) {
            return None;
        }
        self.text
            .chars()
            .map(|c| match c {
                'O' | 'Q' | 'D' => Some('0'),
                'I' | 'L' => Some('1'),
                'S' => Some('5'),
                'B' => Some('8'),
                'Z' => Some('2'),
                c => is_figure(c).then_some(c),
            })
            .collect()
    }
}

pub fn is_figure(c: char) -> bool {
    c.is_ascii_digit() || c == '?' || c == '*'
}

pub fn tokens(mark: &str) -> Vec<Token> {
    let chars: Vec<char> = mark.chars().take(crate::marks::READING_MAX).collect();
    let mut tokens: Vec<Token> = Vec::new();
    let (mut line, mut at) = (0, 0);
    while at < chars.len() {
        let c = chars[at];
        let space = |at: Option<&char>| at.is_none_or(|c| c.is_whitespace());
        if c == '\n' || c == '/' && at > 0 && space(chars.get(at - 1)) && space(chars.get(at + 1)) {
            line += 1;
        }
        if !takes(c) {
            at += 1;
            continue;
        }
        let start = at;
        let mut text = String::new();
        while at < chars.len() {
            let c = chars[at];
            if takes(c) {
                fold(c, |c| text.push(c));
            } else if !(parts_thousands(&chars, at) || is_apostrophe(c) && letters_round(&chars, at)) {
                break;
            }
            at += 1;
        }
        fill_group(&mut text, &chars[start..at]);
        // `D84123`, `RE24272`, `NO1960`: what names the number stands apart from it.
        let head = text.chars().take_while(char::is_ascii_alphabetic).count();
        let figures = text.len() > head && text[head..].chars().all(is_figure);
        let split = if figures && matches!(&text[..head], "D" | "DES" | "RE" | "RD" | "NO" | "PAT") { head } else { 0 };
        let gap = tokens.last().map_or(0, |before: &Token| start - before.end);
        let before = if gap == 1 { chars[start - 1] } else { ' ' };
        if split > 0 {
            let number = text.split_off(split);
            tokens.push(Token { text, start, end: start + split, line, before });
            tokens.push(Token { text: number, start: start + split, end: at, line, before: ' ' });
        } else {
            tokens.push(Token { text, start, end: at, line, before });
        }
    }
    tokens
}

/// In `2,6?9,*` and `2,6?9,4*` the run fills up a group of three.
fn fill_group(text: &mut String, written: &[char]) {
    let groups: Vec<&[char]> = written.split(|&c| c == ',').collect();
    if let [_, .., _, last] = groups.as_slice()
        && last.len() <= 3
        && last.last() == Some(&'*')
        && text.pop() == Some('*')
    {
        text.extend(std::iter::repeat_n('?', 4 - last.len()));
    }
}

fn takes(c: char) -> bool {
    c.is_alphanumeric() || c == '?' || c == '*'
}

fn is_apostrophe(c: char) -> bool {
    matches!(c, '\'' | '’' | '`')
}

fn letters_round(chars: &[char], at: usize) -> bool {
    at > 0 && chars[at - 1].is_alphabetic() && chars.get(at + 1).is_some_and(|c| c.is_alphabetic())
}

/// A comma or point with figures before it and just three behind; a letter may stand for one of these.
fn parts_thousands(chars: &[char], at: usize) -> bool {
    let figure = |at: usize| chars.get(at).copied().is_some_and(is_figure);
    let like_figure = |at: usize| figure(at) || chars.get(at).is_some_and(|c| "OQDILSBZoqdilsbz".contains(*c));
    // `2,6?9,*` and `2,6?9,4*`: the rest of the group is an illegible run.
    let run = (1..4).take_while(|ahead| figure(at + ahead)).any(|ahead| chars[at + ahead] == '*');
    if chars[at] == ',' && at > 0 && figure(at - 1) && run {
        return true;
    }
    matches!(chars[at], ',' | '.')
        && at > 0
        && figure(at - 1)
        && (1..4).all(|ahead| like_figure(at + ahead))
        && (1..4).filter(|ahead| figure(at + ahead)).count() >= 2
        && !chars.get(at + 4).is_some_and(|c| takes(*c))
}

/// Whether a text with `?` and `*` can stand for a word.
pub fn fits(pattern: &[u8], word: &[u8]) -> bool {
    match (pattern.first(), word.first()) {
        (None, None) => true,
        (Some(b'*'), _) => fits(&pattern[1..], word) || !word.is_empty() && fits(pattern, &word[1..]),
        (Some(b'?'), Some(_)) => fits(&pattern[1..], &word[1..]),
        (Some(a), Some(b)) if a == b => fits(&pattern[1..], &word[1..]),
        _ => false,
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn texts(mark: &str) -> Vec<String> {
        tokens(mark).into_iter().map(|token| token.text).collect()
    }

    #[test]
    fn words_numbers_and_dates_come_apart() {
        assert_eq!(texts("PAT. 1,9?4,?12"), ["PAT", "19?4?12"]);
        assert_eq!(texts("PAT. 2,6?9,4* *,123,456"), ["PAT", "26?94??", "*123456"]);
        assert_eq!(texts("Pat'd Feb.23.86"), ["PATD", "FEB", "23", "86"]);
        assert_eq!(texts("OCT ?8,19?6 / D.R.P. 123.456"), ["OCT", "?8", "19?6", "D", "R", "P", "123456"]);
        assert_eq!(texts("No 12345/05, 1,234,567 and 1,234,568"), ["NO", "12345", "05", "1234567", "AND", "1234568"]);
    }

    #[test]
    fn one_letter_read_for_a_figure_is_still_a_number() {
        let number = |text: &str| tokens(text)[0].as_number();
        assert_eq!(number("1,9O4,512"), Some("1904512".into()));
        assert_eq!(number("1495L"), Some("14951".into()));
        assert_eq!(number("SOS"), None);
    }
}
