//! What would it bring? A figure, the day it was thought, and what it stands on: prices age.

use serde::{Deserialize, Serialize};

use super::{Price, check};
use crate::error::{Error, Result};

/// What somebody thought a reel would bring.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Valued {
    pub at_ms: i64,
    pub low: Price,
    /// None where it is one figure.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub high: Option<Price>,
    /// What it stands on: a sale, a guide and its year, somebody's word.
    #[serde(default, skip_serializing_if = "String::is_empty")]
    pub words: String,
}

impl Valued {
    /// Reads what a person typed; `high` may be empty.
    ///
    /// # Errors
    /// A sentence: no price, or a range the wrong way round.
    pub fn parse(low: &str, high: &str, currency: &str, words: &str, at_ms: i64) -> Result<Self> {
        let low = Price::parse(low, currency)?;
        let high = if high.trim().is_empty() { None } else { Some(Price::parse(high, currency)?) };
        let valued = Self { at_ms, low, high, words: words.trim().to_owned() };
        valued.check()?;
        Ok(valued)
    }

    /// # Errors
    /// A sentence naming what is wrong.
    pub fn check(&self) -> Result<()> {
        self.low.check()?;
        check::times("value", &[Some(self.at_ms)])?;
        let Some(high) = &self.high else { return Ok(()) };
        high.check()?;
        if high.currency != self.low.currency || high.hundredths() < self.low.hundredths() {
            return Err(Error::invalid(format!(
                "A value goes from the lower figure to the higher, in one currency; “{} to {high}” does not.",
                self.low
            )));
        }
        Ok(())
    }

    /// `60 to 80 EUR`.
    pub fn figure(&self) -> String {
        match &self.high {
            Some(high) if *high != self.low => format!("{} to {high}", self.low.amount),
            _ => self.low.to_string(),
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_value_is_one_figure_or_a_range() {
        let value = |low, high| Valued::parse(low, high, "eur", " a sale ", 1);
        assert_eq!(value("60", "").unwrap().figure(), "60 EUR");
        assert_eq!(value("60", "80,50").unwrap().figure(), "60 to 80.50 EUR");
        assert_eq!(value("60", "60").unwrap().figure(), "60 EUR");
        assert_eq!(value("60", "").unwrap().words, "a sale");
        insta::assert_snapshot!(value("80", "60").unwrap_err(), @"A value goes from the lower figure to the higher, in one currency; “80 EUR to 60 EUR” does not.");
        insta::assert_snapshot!(value("", "60").unwrap_err(), @"“” is not a price. Write figures only, such as 12 or 12.50.");
    }
}
