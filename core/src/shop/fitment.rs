//! What the shop itself found out on what fits what.

use serde::{Deserialize, Serialize};

use super::check;
use crate::error::{Error, Result};
use crate::fit::Fact;
use crate::record::{Kind, Record, Shape};

/// A fact of one's own. Times are milliseconds since 1970, UTC.
#[derive(Debug, Clone, Default, PartialEq, Serialize, Deserialize)]
#[serde(default, deny_unknown_fields)]
pub struct Fitment {
    pub schema: u32,
    pub id: String,
    pub made_ms: i64,
    pub changed_ms: i64,
    pub fact: Fact,
    #[serde(skip_serializing_if = "Option::is_none")]
    pub deleted_ms: Option<i64>,
}

impl Fitment {
    pub fn new(id: &str, made_ms: i64, fact: Fact) -> Self {
        Self { schema: Self::SCHEMA, id: id.to_owned(), made_ms, changed_ms: made_ms, fact, deleted_ms: None }
    }
}

impl Record for Fitment {
    const KIND: Kind = Kind::Fitment;
    const SHAPE: Shape = Shape { lists: &[], texts: &["fact/note"], keyed: &[], newest: &["changed_ms"] };
    const SCHEMA: u32 = 1;

    super::common_fields!();

    fn row(&self) -> super::Row {
        super::row::of_fitment(self)
    }

    fn check(&self) -> Result<()> {
        check::id("fitment", &self.id)?;
        check::times("fitment", &[Some(self.made_ms), Some(self.changed_ms), self.deleted_ms])?;
        if self.fact.of.trim().is_empty() || self.fact.into.trim().is_empty() {
            return Err(Error::invalid("Say of which reel the part is, and into which it goes."));
        }
        Ok(())
    }

    fn search_text(&self) -> String {
        let fact = &self.fact;
        let ends = [&fact.of, &fact.into, &fact.note, &fact.who].map(String::as_str).join("\n");
        format!("{ends}\n{}", fact.roles.join("\n")).to_lowercase()
    }
}
