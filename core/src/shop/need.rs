//! What is wanted for a reel: a part, and how badly.

use serde::{Deserialize, Serialize};

use super::{Price, check};
use crate::error::{Error, Result};
use crate::fit::Reading;
use crate::record::{Kind, Record, Shape};

/// A part that is wanted. Times are milliseconds since 1970, UTC.
#[derive(Debug, Clone, Default, PartialEq, Serialize, Deserialize)]
#[serde(default, deny_unknown_fields)]
pub struct Need {
    pub schema: u32,
    pub id: String,
    pub made_ms: i64,
    pub changed_ms: i64,
    /// The reel it is for.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub reel: Option<String>,
    /// Id of a part's role, or the person's own words.
    pub part: String,
    /// Model and variant as they stand in the packs; empty where nobody knows.
    #[serde(skip_serializing_if = "String::is_empty")]
    pub model: String,
    #[serde(skip_serializing_if = "String::is_empty")]
    pub measures: String,
    /// The same as figures, each reading kept: what a substitute is compared with.
    #[serde(skip_serializing_if = "Vec::is_empty")]
    pub readings: Vec<Reading>,
    /// What having it is worth to the shop, such as the work it lets go on.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub worth: Option<Price>,
    /// 1 one day, 2 wanted, 3 a customer waits for it.
    pub urgency: u8,
    #[serde(skip_serializing_if = "String::is_empty")]
    pub note: String,
    /// When it was found or given up.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub settled_ms: Option<i64>,
    #[serde(skip_serializing_if = "Option::is_none")]
    pub deleted_ms: Option<i64>,
}

impl Need {
    pub fn new(id: &str, made_ms: i64, part: &str) -> Self {
        let (id, part) = (id.to_owned(), part.to_owned());
        Self { schema: Self::SCHEMA, id, made_ms, changed_ms: made_ms, part, urgency: 2, ..Self::default() }
    }
}

impl Record for Need {
    const KIND: Kind = Kind::Need;
    const SHAPE: Shape = Shape { lists: &["readings"], texts: &["note"], keyed: &[], newest: &["changed_ms"] };
    const SCHEMA: u32 = 1;

    super::common_fields!();

    fn row(&self) -> super::Row {
        super::row::of_need(self)
    }

    fn check(&self) -> Result<()> {
        check::id("need", &self.id)?;
        check::times("need", &[Some(self.made_ms), Some(self.changed_ms), self.settled_ms, self.deleted_ms])?;
        if self.part.trim().is_empty() {
            return Err(Error::invalid("Say which part is wanted."));
        }
        if !(1..=3).contains(&self.urgency) {
            return Err(Error::invalid(format!("A need is urgent from 1 to 3, not {}.", self.urgency)));
        }
        Ok(())
    }

    fn search_text(&self) -> String {
        [&self.part, &self.model, &self.measures, &self.note].map(String::as_str).join("\n").to_lowercase()
    }
}
