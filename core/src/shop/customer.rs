//! Who brought it?

use serde::{Deserialize, Serialize};

use super::check;
use crate::error::{Error, Result};
use crate::record::{Kind, Record, Shape};

/// A customer as kept. Times are milliseconds since 1970, UTC.
#[derive(Debug, Clone, Default, PartialEq, Serialize, Deserialize)]
#[serde(default, deny_unknown_fields)]
pub struct Customer {
    pub schema: u32,
    pub id: String,
    pub made_ms: i64,
    pub changed_ms: i64,
    #[serde(skip_serializing_if = "String::is_empty")]
    pub name: String,
    #[serde(skip_serializing_if = "String::is_empty")]
    pub phone: String,
    #[serde(skip_serializing_if = "String::is_empty")]
    pub email: String,
    /// As it stands on a parcel.
    #[serde(skip_serializing_if = "String::is_empty")]
    pub address: String,
    #[serde(skip_serializing_if = "String::is_empty")]
    pub note: String,
    /// Never leaves the shop: not printed, not sent.
    #[serde(skip_serializing_if = "String::is_empty")]
    pub private_note: String,
    #[serde(skip_serializing_if = "Option::is_none")]
    pub deleted_ms: Option<i64>,
}

impl Customer {
    /// `id`: 32 hex digits in lower case, made by the caller from 128 random bits.
    pub fn new(id: &str, made_ms: i64) -> Self {
        Self { schema: Self::SCHEMA, id: id.to_owned(), made_ms, changed_ms: made_ms, ..Self::default() }
    }
}

impl Record for Customer {
    const KIND: Kind = Kind::Customer;
    const SHAPE: Shape = Shape { lists: &[], texts: &["note", "private_note"], keyed: &[], newest: &["changed_ms"] };
    const SCHEMA: u32 = 1;

    super::common_fields!();

    fn row(&self) -> super::Row {
        super::row::of_customer(self)
    }

    fn check(&self) -> Result<()> {
        check::id("customer", &self.id)?;
        check::times("customer", &[Some(self.made_ms), Some(self.changed_ms), self.deleted_ms])?;
        if self.email.contains(char::is_whitespace) {
            return Err(Error::invalid(format!("“{}” is no e-mail address: it has a space in it.", self.email)));
        }
        Ok(())
    }

    fn search_text(&self) -> String {
        [&self.name, &self.phone, &self.email, &self.address, &self.note, &self.private_note]
            .map(String::as_str)
            .join("\n")
            .to_lowercase()
    }
}
