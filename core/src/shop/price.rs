//! What does it cost? An exact decimal beside its currency; never a binary fraction.

use serde::{Deserialize, Serialize};

use crate::error::{Error, Result};

/// Most digits before the decimal point: nobody asks a thousand million for a reel, but a slip of the finger does.
const WHOLE_DIGITS_MAX: usize = 9;

/// A price as it was asked.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Price {
    /// Exact decimal with a point, no grouping, none or two decimals: `12` or `12.50`.
    pub amount: String,
    /// Three capital letters as in ISO 4217, such as `EUR`.
    pub currency: String,
}

impl Price {
    /// Reads what a person typed: `12.50` and `12,50` are the same, `1,250.00` and `1.250,00` too.
    ///
    /// # Errors
    /// A sentence where the figure is none, or could be read two ways (`1,250`), or the currency is no three letters.
    pub fn parse(typed: &str, currency: &str) -> Result<Self> {
        let currency = currency.trim().to_ascii_uppercase();
        if currency.len() != 3 || !currency.bytes().all(|b| b.is_ascii_uppercase()) {
            return Err(Error::invalid(format!(
                "“{currency}” is no currency; write its three letters, such as EUR or USD."
            )));
        }
        Ok(Self { amount: exact_amount(typed)?, currency })
    }

    /// The amount in hundredths.
    pub fn hundredths(&self) -> i64 {
        let (whole, decimals) = self.amount.split_once('.').unwrap_or((&self.amount, "00"));
        let figure = |digits: &str| digits.parse::<i64>().unwrap_or(0);
        figure(whole) * 100 + figure(decimals)
    }

    /// A price of so many hundredths; below nothing is nothing.
    pub fn of_hundredths(hundredths: i64, currency: &str) -> Self {
        let hundredths = hundredths.max(0);
        let amount = format!("{}.{:02}", hundredths / 100, hundredths % 100);
        Self { amount, currency: currency.to_owned() }
    }

    /// Whether it is written as [`Price::parse`] writes it.
    ///
    /// # Errors
    /// A sentence naming what is wrong.
    pub fn check(&self) -> Result<()> {
        let told = Self::parse(&self.amount, &self.currency)?;
        if told == *self {
            return Ok(());
        }
        Err(Error::invalid(format!("The price “{} {}” is not in its exact form.", self.amount, self.currency)))
    }
}

impl std::fmt::Display for Price {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        write!(f, "{} {}", self.amount, self.currency)
    }
}

fn exact_amount(typed: &str) -> Result<String> {
    let text = typed.trim();
    let no_price = || Error::invalid(format!("“{text}” is not a price. Write figures only, such as 12 or 12.50."));
    if text.is_empty() || !text.bytes().all(|b| b.is_ascii_digit() || b == b'.' || b == b',') {
        return Err(no_price());
    }
    let (whole, decimals) = split_decimals(text)?;
    let whole = ungroup(whole).ok_or_else(no_price)?;
    let whole = whole.trim_start_matches('0');
    let whole = if whole.is_empty() { "0" } else { whole };
    if whole.len() > WHOLE_DIGITS_MAX {
        return Err(Error::invalid(format!("“{text}” is more than a reel can cost. Check the figure.")));
    }
    Ok(match decimals.len() {
        0 => whole.to_owned(),
        1 => format!("{whole}.{decimals}0"),
        _ => format!("{whole}.{decimals}"),
    })
}

/// The last point or comma parts off the decimals, if one or two digits follow it.
fn split_decimals(text: &str) -> Result<(&str, &str)> {
    let Some(at) = text.rfind(['.', ',']) else {
        return Ok((text, ""));
    };
    let (whole, decimals) = (&text[..at], &text[at + 1..]);
    match decimals.len() {
        1 | 2 => Ok((whole, decimals)),
        3 if whole.contains(['.', ',']) => Ok((text, "")),
        3 => Err(Error::invalid(format!(
            "“{text}” can be read two ways. Write {whole}{decimals} for the whole amount, or two decimals at most."
        ))),
        _ => Err(Error::invalid(format!("“{text}” is not a price. Write two decimals at most, such as 12.50."))),
    }
}

/// Digits without their grouping marks; none if the groups are not of three or mix two marks.
fn ungroup(whole: &str) -> Option<String> {
    let Some(mark) = whole.chars().find(|c| !c.is_ascii_digit()) else {
        return (!whole.is_empty()).then(|| whole.to_owned());
    };
    let mut groups = whole.split(mark);
    let first = groups.next()?;
    let grouped = groups.all(|g| g.len() == 3 && g.bytes().all(|b| b.is_ascii_digit()));
    let starts_well = (1..=3).contains(&first.len()) && first.bytes().all(|b| b.is_ascii_digit());
    (grouped && starts_well).then(|| whole.replace(mark, ""))
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;

    #[track_caller]
    fn check(typed: &str, told: &str) {
        let got = match Price::parse(typed, "eur") {
            Ok(price) => price.amount,
            Err(error) => error.to_string(),
        };
        assert_eq!(got, told, "typed {typed:?}");
    }

    #[test]
    fn points_and_commas_are_read_as_people_write_them() {
        check("12.50", "12.50");
        check("12,50", "12.50");
        check(" 12,5 ", "12.50");
        check("012", "12");
        check("0", "0");
        check("1,250.00", "1250.00");
        check("1.250,00", "1250.00");
        check("1,250,000", "1250000");
    }

    #[test]
    fn what_is_no_price_is_said_in_a_sentence() {
        check("", "“” is not a price. Write figures only, such as 12 or 12.50.");
        check("-5", "“-5” is not a price. Write figures only, such as 12 or 12.50.");
        check("€12", "“€12” is not a price. Write figures only, such as 12 or 12.50.");
        check("1,250", "“1,250” can be read two ways. Write 1250 for the whole amount, or two decimals at most.");
        check("1.2.3", "“1.2.3” is not a price. Write figures only, such as 12 or 12.50.");
        check(".5", "“.5” is not a price. Write figures only, such as 12 or 12.50.");
        check("12.3456", "“12.3456” is not a price. Write two decimals at most, such as 12.50.");
        check("1234567890", "“1234567890” is more than a reel can cost. Check the figure.");
        assert!(Price::parse("1", "EURO").is_err());
    }

    proptest! {
        #[test]
        fn a_price_read_again_is_the_same(whole in 0u32..999_999_999, cents in 0u32..100) {
            let point = Price::parse(&format!("{whole}.{cents:02}"), "USD").unwrap();
            let comma = Price::parse(&format!("{whole},{cents:02}"), "USD").unwrap();
            prop_assert_eq!(&point, &comma);
            prop_assert_eq!(&point.amount, &format!("{whole}.{cents:02}"));
            prop_assert!(point.check().is_ok());
        }

        #[test]
        fn nothing_typed_makes_it_stumble(typed in "[0-9.,a -]{0,14}") {
            if let Ok(price) = Price::parse(&typed, "EUR") {
                prop_assert!(price.check().is_ok());
            }
        }
    }
}
