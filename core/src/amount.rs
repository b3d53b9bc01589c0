//! Amounts as people write them: `2 1/2`, `2½`, `63,5`, `1,250`.

use crate::error::{Error, Result};

const FRACTIONS: [(char, f64); 9] = [
    ('½', 0.5),
    ('¼', 0.25),
    ('¾', 0.75),
    ('⅛', 0.125),
    ('⅜', 0.375),
    ('⅝', 0.625),
    ('⅞', 0.875),
    ('⅓', 1.0 / 3.0),
    ('⅔', 2.0 / 3.0),
];

/// Reads a positive amount. A comma before one or two last digits is a decimal comma; before three, it groups thousands.
///
/// # Errors
/// A sentence that shows what can be written.
pub fn parse_amount(text: &str) -> Result<f64> {
    let trouble = || Error::invalid(format!("“{}” is no size: write it like 63.5, 2 1/2 or 2½.", text.trim()));
    let mut total = 0.0;
    let mut any = false;
    for word in text.trim().replace('-', " ").split_whitespace() {
        let (whole, tail) = match word.char_indices().last() {
            Some((at, last)) => match FRACTIONS.iter().find(|(sign, _)| *sign == last) {
                Some((_, value)) => (&word[..at], *value),
                None => (word, 0.0),
            },
            None => (word, 0.0),
        };
        total += tail;
        any = true;
        if whole.is_empty() {
            continue;
        }
        total += match whole.split_once('/') {
            Some((top, bottom)) => {
                let (top, bottom) = (plain(top).ok_or_else(trouble)?, plain(bottom).ok_or_else(trouble)?);
                if bottom == 0.0 {
                    return Err(trouble());
                }
                top / bottom
            }
            None => plain(whole).ok_or_else(trouble)?,
        };
    }
    if any && total > 0.0 && total.is_finite() { Ok(total) } else { Err(trouble()) }
}

fn plain(text: &str) -> Option<f64> {
    let digits = match text.rsplit_once(',') {
        Some((_, tail)) if tail.len() == 3 && !text.contains('.') => text.replace(',', ""),
        Some(_) if text.contains('.') => text.replace(',', ""),
        _ => text.replace(',', "."),
    };
    if digits.is_empty() || !digits.bytes().all(|b| b.is_ascii_digit() || b == b'.') {
        return None;
    }
    digits.parse().ok()
}

#[cfg(test)]
mod tests {
    use super::parse_amount;

    #[test]
    fn amounts_as_people_write_them() {
        for (text, value) in [
            ("63.5", 63.5),
            (" 63,5 ", 63.5),
            ("2 1/2", 2.5),
            ("2-1/2", 2.5),
            ("2½", 2.5),
            ("¾", 0.75),
            ("1,250", 1250.0),
            ("1,250.5", 1250.5),
            ("3/8", 0.375),
        ] {
            assert!((parse_amount(text).unwrap() - value).abs() < 1e-12, "{text}");
        }
    }

    #[test]
    fn what_is_no_amount_is_said() {
        for text in ["", "about two", "1/0", "-", "0", "1..2", "1e9", "inf"] {
            let error = parse_amount(text).unwrap_err().to_string();
            assert!(error.contains("write it like"), "{text}: {error}");
        }
    }
}
