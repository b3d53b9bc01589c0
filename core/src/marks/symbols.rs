//! Text as the symbols that are compared: letters and digits, with what separates them only remembered.

use super::READING_MAX;

/// A character as compared: 0–9 digits, 10–35 letters, then the four special ones, then any other script.
pub type Symbol = u16;
pub const ONE: Symbol = 36;
pub const RUN: Symbol = 37;
pub const DIGIT: Symbol = 38;
pub const LETTER: Symbol = 39;
const OTHER: Symbol = 64;

pub fn is_digit(symbol: Symbol) -> bool {
    symbol < 10 || symbol == DIGIT
}
pub fn is_letter(symbol: Symbol) -> bool {
    (10..36).contains(&symbol) || symbol == LETTER || symbol >= OTHER
}
/// A letter or digit, not a sign that stands for some.
pub fn is_literal(symbol: Symbol) -> bool {
    !(36..OTHER).contains(&symbol)
}

#[derive(Debug, Clone, Default, PartialEq)]
pub struct Symbols {
    pub code: Vec<Symbol>,
    /// Place of each in the text, in characters.
    pub at: Vec<u32>,
    /// True where nothing but a comma inside a number stands between this one and the one before.
    pub joined: Vec<bool>,
}

impl Symbols {
    pub fn of_reading(text: &str) -> Self {
        Self::of(text, false)
    }
    pub fn of_struck(text: &str) -> Self {
        Self::of(text, true)
    }

    fn of(text: &str, struck: bool) -> Self {
        let mut symbols = Symbols::default();
        let chars: Vec<char> = text.chars().take(READING_MAX).collect();
        let mut joined = false;
        let mut at = 0;
        while at < chars.len() {
            let skip = and_word(&chars, at);
            if skip > 0 {
                joined = false;
                at += skip;
                continue;
            }
            let before = symbols.code.len();
            let special = match chars[at] {
                '?' if !struck => Some(ONE),
                '*' => Some(RUN),
                '#' if struck => Some(DIGIT),
                '&' if struck => Some(LETTER),
                _ => None,
            };
            match special {
                Some(code) => symbols.push(code, at, &mut joined),
                None => fold(chars[at], |c| {
                    if let Some(code) = code_of(c) {
                        symbols.push(code, at, &mut joined);
                    }
                }),
            }
            if symbols.code.len() == before {
                let digit = |at: Option<&char>| {
                    at.is_some_and(|c| c.is_ascii_digit() || "?*".contains(*c) || struck && *c == '#')
                };
                let inside_number = chars[at] == ',' && at > 0 && digit(chars.get(at - 1)) && digit(chars.get(at + 1));
                joined &= inside_number || is_combining(chars[at]);
            }
            at += 1;
        }
        symbols
    }

    fn push(&mut self, code: Symbol, at: usize, joined: &mut bool) {
        // Two runs on end are one.
        if code == RUN && self.code.last() == Some(&RUN) {
            return;
        }
        self.code.push(code);
        self.at.push(at as u32);
        self.joined.push(*joined);
        *joined = true;
    }

    pub fn len(&self) -> usize {
        self.code.len()
    }
    pub fn literals(&self) -> usize {
        self.code.iter().filter(|&&c| is_literal(c)).count()
    }
    pub fn runs(&self) -> usize {
        self.code.iter().filter(|&&c| c == RUN).count()
    }
    pub fn words(&self) -> usize {
        self.joined.iter().filter(|&&joined| !joined).count()
    }
}

/// Length of a stand-alone `&`, `+` or `AND` at this place: the word is left out on both sides.
fn and_word(chars: &[char], at: usize) -> usize {
    let gap = |at: Option<&char>| at.is_none_or(|c| c.is_whitespace());
    if at == 0 || !gap(chars.get(at - 1)) || at + 1 >= chars.len() {
        return 0;
    }
    let length = match chars[at] {
        '&' | '+' => 1,
        'a' | 'A' if matches!(chars.get(at + 1), Some('n' | 'N')) && matches!(chars.get(at + 2), Some('d' | 'D')) => 3,
        _ => return 0,
    };
    if gap(chars.get(at + length)) { length } else { 0 }
}

fn code_of(c: char) -> Option<Symbol> {
    match c {
        '0'..='9' => Some(c as Symbol - '0' as Symbol),
        'A'..='Z' => Some(c as Symbol - 'A' as Symbol + 10),
        c if c.is_alphanumeric() => Some(OTHER + (c as u32 % 60_000) as Symbol),
        _ => None,
    }
}

fn is_combining(c: char) -> bool {
    ('\u{300}'..='\u{36f}').contains(&c)
}

/// Upper case without accents; a ligature gives its letters, a fraction its figures.
pub fn fold(c: char, mut each: impl FnMut(char)) {
    for c in c.to_uppercase() {
        let plain = match c {
            'À'..='Å' | 'Ā' | 'Ă' | 'Ą' => "A",
            'Æ' => "AE",
            'Ç' | 'Ć' | 'Ĉ' | 'Ċ' | 'Č' => "C",
            'Ð' | 'Ď' | 'Đ' => "D",
            'È'..='Ë' | 'Ē' | 'Ĕ' | 'Ė' | 'Ę' | 'Ě' => "E",
            'Ĝ' | 'Ğ' | 'Ġ' | 'Ģ' => "G",
            'Ì'..='Ï' | 'Ī' | 'Į' | 'İ' => "I",
            'Ł' | 'Ľ' | 'Ĺ' => "L",
            'Ñ' | 'Ń' | 'Ň' => "N",
            'Ò'..='Ö' | 'Ø' | 'Ō' | 'Ő' => "O",
            'Œ' => "OE",
            'Ŕ' | 'Ř' => "R",
            'Ś' | 'Ş' | 'Š' | 'Ș' => "S",
            'ẞ' => "SS",
            'Ţ' | 'Ť' | 'Ț' => "T",
            'Ù'..='Ü' | 'Ū' | 'Ů' | 'Ű' => "U",
            'Ý' | 'Ÿ' => "Y",
            'Ź' | 'Ż' | 'Ž' => "Z",
            'º' | '°' => "",
            '½' => "1/2",
            '¼' => "1/4",
            '¾' => "3/4",
            other => {
                each(other);
                continue;
            }
        };
        plain.chars().for_each(&mut each);
    }
}

/// A quick look, before any alignment: more kinds of characters are missing than slips and illegible ones allow.
pub fn cannot_hold(reading: &Symbols, template: &Symbols) -> bool {
    let kinds = |symbols: &Symbols| {
        let literals = symbols.code.iter().filter(|&&code| is_literal(code));
        literals.fold(0u32, |kinds, &code| kinds | 1 << super::alike::class(code))
    };
    let unread = reading.code.iter().filter(|&&code| code == ONE).count();
    let missing = (kinds(template) & !kinds(reading)).count_ones() as usize;
    reading.runs() == 0 && missing > 1 + unread + template.literals() / 6
}
