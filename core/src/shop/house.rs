//! The shop itself: its name and words as they stand on paper, its money, its tax line.

use serde::{Deserialize, Serialize};

use super::money::Tax;
use super::{Price, check};
use crate::error::{Error, Result};
use crate::record::{Kind, Record, Shape};

/// The one record of its kind: every device of a shop knows it by this id.
pub const HOUSE_ID: &str = "00000000000000000000000000000001";

/// What the shop says of itself. Times are milliseconds since 1970, UTC.
#[derive(Debug, Clone, Default, PartialEq, Serialize, Deserialize)]
#[serde(default, deny_unknown_fields)]
pub struct House {
    pub schema: u32,
    pub id: String,
    pub made_ms: i64,
    pub changed_ms: i64,
    #[serde(skip_serializing_if = "String::is_empty")]
    pub name: String,
    /// Address and how to reach it, a line each.
    #[serde(skip_serializing_if = "String::is_empty")]
    pub address: String,
    /// Three capital letters as in ISO 4217; empty until chosen.
    #[serde(skip_serializing_if = "String::is_empty")]
    pub currency: String,
    #[serde(skip_serializing_if = "Option::is_none")]
    pub tax: Option<Tax>,
    /// For opening a reel and looking, whatever comes of it.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub opening_fee: Option<Price>,
    #[serde(skip_serializing_if = "Option::is_none")]
    pub hourly_rate: Option<Price>,
    /// Under a receipt: what the shop promises, how long it keeps what nobody collects.
    #[serde(skip_serializing_if = "String::is_empty")]
    pub receipt_words: String,
    /// Under a quote.
    #[serde(skip_serializing_if = "String::is_empty")]
    pub quote_words: String,
    /// Under a bill and a report.
    #[serde(skip_serializing_if = "String::is_empty")]
    pub bill_words: String,
    #[serde(skip_serializing_if = "Option::is_none")]
    pub deleted_ms: Option<i64>,
}

impl House {
    pub fn new(made_ms: i64) -> Self {
        Self { schema: Self::SCHEMA, id: HOUSE_ID.into(), made_ms, changed_ms: made_ms, ..Self::default() }
    }
}

impl Record for House {
    const KIND: Kind = Kind::House;
    const SHAPE: Shape = Shape {
        lists: &[],
        texts: &["receipt_words", "quote_words", "bill_words"],
        keyed: &[],
        newest: &["changed_ms"],
    };
    const SCHEMA: u32 = 1;

    super::common_fields!();

    fn check(&self) -> Result<()> {
        check::id("shop", &self.id)?;
        if self.id != HOUSE_ID {
            return Err(Error::invalid("There is one record of the shop itself, and this is another."));
        }
        check::times("shop", &[Some(self.made_ms), Some(self.changed_ms), self.deleted_ms])?;
        for price in self.opening_fee.iter().chain(&self.hourly_rate) {
            price.check()?;
        }
        if self.tax.as_ref().is_some_and(|tax| tax.percent_hundredths > 10_000) {
            return Err(Error::invalid("A tax of more than 100 % is a slip."));
        }
        Ok(())
    }

    fn row(&self) -> super::Row {
        super::Row { name: self.name.clone(), ..super::Row::of(self) }
    }
}
