//! A part in the shop: in a box, or still in a donor reel.

use serde::{Deserialize, Serialize};

use super::{Price, check};
use crate::error::{Error, Result};
use crate::fit::Reading;
use crate::record::{Kind, Record, Shape};

/// How worn a part is.
#[derive(Debug, Clone, Copy, Default, PartialEq, Eq, PartialOrd, Ord, Serialize, Deserialize)]
#[serde(rename_all = "kebab-case")]
pub enum Wear {
    #[default]
    NotLooked,
    AsNew,
    Good,
    Worn,
    Spent,
}

impl Wear {
    pub const ALL: [Self; 5] = [Self::NotLooked, Self::AsNew, Self::Good, Self::Worn, Self::Spent];

    pub fn words(self) -> &'static str {
        match self {
            Self::NotLooked => "not looked at",
            Self::AsNew => "as new",
            Self::Good => "good",
            Self::Worn => "worn",
            Self::Spent => "spent",
        }
    }
    /// It may go into a customer's reel.
    pub fn usable(self) -> bool {
        !matches!(self, Self::Worn | Self::Spent)
    }
}

/// A part, or several alike in one place. A donor reel is the set of parts that name it.
#[derive(Debug, Clone, Default, PartialEq, Serialize, Deserialize)]
#[serde(default, deny_unknown_fields)]
pub struct Part {
    pub schema: u32,
    pub id: String,
    pub made_ms: i64,
    pub changed_ms: i64,
    /// Id of its role, or the person's own words.
    pub role: String,
    /// The reel it is from, as `model` or `model@version`; empty where nobody knows.
    #[serde(skip_serializing_if = "String::is_empty")]
    pub model: String,
    /// Every number it has been sold under.
    #[serde(skip_serializing_if = "Vec::is_empty")]
    pub numbers: Vec<String>,
    /// Each reading stays, with its source; those without one were taken on the part itself.
    #[serde(skip_serializing_if = "Vec::is_empty")]
    pub readings: Vec<Reading>,
    pub wear: Wear,
    /// Box, drawer or shelf.
    #[serde(skip_serializing_if = "String::is_empty")]
    pub lies_at: String,
    /// Bag in it.
    #[serde(skip_serializing_if = "String::is_empty")]
    pub bag: String,
    /// How many; none told is one.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub count: Option<u32>,
    /// The donor reel it still sits in.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub donor: Option<String>,
    #[serde(skip_serializing_if = "Option::is_none")]
    pub worth: Option<Price>,
    #[serde(skip_serializing_if = "String::is_empty")]
    pub note: String,
    /// When it was used or taken out of the donor.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub taken_ms: Option<i64>,
    #[serde(skip_serializing_if = "Option::is_none")]
    pub deleted_ms: Option<i64>,
}

impl Part {
    pub fn new(id: &str, made_ms: i64, role: &str) -> Self {
        let (id, role) = (id.to_owned(), role.to_owned());
        Self { schema: Self::SCHEMA, id, made_ms, changed_ms: made_ms, role, ..Self::default() }
    }

    /// Still there, and how many.
    pub fn left(&self) -> u32 {
        if self.taken_ms.is_some() || self.deleted_ms.is_some() { 0 } else { self.count.unwrap_or(1) }
    }

    /// Where to put the hand.
    pub fn place(&self) -> String {
        let mut words = Vec::new();
        if !self.lies_at.is_empty() {
            words.push(self.lies_at.clone());
        }
        if !self.bag.is_empty() {
            words.push(format!("bag {}", self.bag));
        }
        if let Some(donor) = &self.donor {
            words.push(format!("in donor {donor}"));
        }
        if words.is_empty() { "place not noted".into() } else { words.join(", ") }
    }
}

impl Record for Part {
    const KIND: Kind = Kind::Part;
    const SHAPE: Shape = Shape { lists: &["readings"], texts: &["note"], keyed: &[], newest: &["changed_ms"] };
    const SCHEMA: u32 = 1;

    super::common_fields!();

    fn row(&self) -> super::Row {
        super::row::of_part(self)
    }

    fn check(&self) -> Result<()> {
        check::id("part", &self.id)?;
        check::times("part", &[Some(self.made_ms), Some(self.changed_ms), self.taken_ms, self.deleted_ms])?;
        if self.role.trim().is_empty() {
            return Err(Error::invalid("Say which part it is."));
        }
        Ok(())
    }

    fn search_text(&self) -> String {
        let mut words: Vec<&str> = vec![&self.role, &self.model, &self.lies_at, &self.bag, &self.note];
        words.extend(self.numbers.iter().map(String::as_str));
        words.join("\n").to_lowercase()
    }
}
