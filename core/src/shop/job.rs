//! One visit of a customer: their words, their reels, what it costs, and whether it is done.

use serde::{Deserialize, Serialize};

use super::{Price, Reel, SetAside, Stand, check, money};
use crate::error::{Error, Result};
use crate::record::{Kind, Record, Shape};

/// A job as kept. Its reels name it, not it them, so that a reel added elsewhere is never lost. Times are milliseconds
/// since 1970, UTC.
#[derive(Debug, Clone, Default, PartialEq, Serialize, Deserialize)]
#[serde(default, deny_unknown_fields)]
pub struct Job {
    pub schema: u32,
    pub id: String,
    pub made_ms: i64,
    pub changed_ms: i64,
    #[serde(skip_serializing_if = "Option::is_none")]
    pub customer: Option<String>,
    /// What the customer said, as they said it.
    #[serde(skip_serializing_if = "String::is_empty")]
    pub words: String,
    /// Day it was promised for, `2026-03-14`; empty for none.
    #[serde(skip_serializing_if = "String::is_empty")]
    pub promised: String,
    /// For opening it and looking, whatever comes of it.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub opening_fee: Option<Price>,
    /// More than this only after asking.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub ceiling: Option<Price>,
    /// What the quote offers, and the bill asks.
    #[serde(skip_serializing_if = "Vec::is_empty")]
    pub lines: Vec<Line>,
    #[serde(skip_serializing_if = "Vec::is_empty")]
    pub paid: Vec<Paid>,
    /// What was put in the parcel, ticked at hand-back: ids of reels and names of old parts.
    #[serde(skip_serializing_if = "Vec::is_empty")]
    pub packed: Vec<Packed>,
    #[serde(skip_serializing_if = "Option::is_none")]
    pub closed_ms: Option<i64>,
    #[serde(skip_serializing_if = "String::is_empty")]
    pub note: String,
    /// Never leaves the shop: not printed, not sent.
    #[serde(skip_serializing_if = "String::is_empty")]
    pub private_note: String,
    #[serde(skip_serializing_if = "Vec::is_empty")]
    pub set_aside: Vec<SetAside>,
    #[serde(skip_serializing_if = "Option::is_none")]
    pub deleted_ms: Option<i64>,
}

/// One line of quote and bill.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Line {
    pub id: String,
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub reel: Option<String>,
    pub what: String,
    pub sort: LineSort,
    pub price: Price,
    pub answer: Answer,
}

#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
pub enum LineSort {
    Opening,
    Labour,
    Part,
    Shipping,
    Other,
}

impl LineSort {
    pub const ALL: [Self; 5] = [Self::Opening, Self::Labour, Self::Part, Self::Shipping, Self::Other];
    pub fn words(self) -> &'static str {
        match self {
            Self::Opening => "Opening fee",
            Self::Labour => "Labour",
            Self::Part => "Part",
            Self::Shipping => "Shipping",
            Self::Other => "Other",
        }
    }
}

/// What the customer says to a line.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
pub enum Answer {
    Open,
    Accepted,
    Declined,
}

/// Money that changed hands.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Paid {
    pub at_ms: i64,
    pub price: Price,
    pub what: PaidFor,
    /// Cash, card, transfer, as the shop says it.
    #[serde(default, skip_serializing_if = "String::is_empty")]
    pub how: String,
}

#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
pub enum PaidFor {
    Deposit,
    Payment,
    Refund,
}

/// Something ticked at packing.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Packed {
    pub what: String,
    pub at_ms: i64,
}

impl Job {
    pub fn new(id: &str, made_ms: i64) -> Self {
        Self { schema: Self::SCHEMA, id: id.to_owned(), made_ms, changed_ms: made_ms, ..Self::default() }
    }

    /// Closes it.
    ///
    /// # Errors
    /// A sentence that says what is still open: a reel not accounted for, an old part not packed, money not settled.
    pub fn close(&mut self, reels: &[Reel], tax: Option<&money::Tax>, at_ms: i64) -> Result<()> {
        let open = self.open_ends(reels, tax);
        if !open.is_empty() {
            return Err(Error::invalid(format!("The job can't be closed yet. {}", open.join(" "))));
        }
        self.closed_ms = Some(at_ms);
        Ok(())
    }

    /// What keeps the job from being closed, each in a sentence.
    pub fn open_ends(&self, reels: &[Reel], tax: Option<&money::Tax>) -> Vec<String> {
        let mut open = Vec::new();
        let called = |reel: &Reel| match (reel.name.as_str(), reel.tag.as_str()) {
            ("", "") => "A reel without tag".to_owned(),
            ("", tag) => format!("The reel {tag}"),
            (name, "") => name.to_owned(),
            (name, tag) => format!("{name} ({tag})"),
        };
        let packed = |what: &str| self.packed.iter().any(|one| one.what == what);
        for reel in reels {
            let stand = reel.stand().0;
            if !stand.accounted_for() {
                open.push(format!("{} is not accounted for: {}.", called(reel), stand.words().to_lowercase()));
            } else if stand == Stand::Returned {
                for part in reel.old_parts.iter().filter(|part| part.goes_back && !packed(&old_part(reel, &part.part)))
                {
                    open.push(format!(
                        "The old {} of {} is to go back and is not ticked as packed.",
                        part.part,
                        called(reel)
                    ));
                }
            }
        }
        if let Ok(sums) = money::sums(self, tax)
            && sums.due_hundredths > 0
        {
            open.push(format!("{} is not paid.", Price::of_hundredths(sums.due_hundredths, &sums.currency)));
        }
        open
    }
}

/// How an old part stands in [`Job::packed`].
pub fn old_part(reel: &Reel, part: &str) -> String {
    format!("{}/{part}", reel.id)
}

impl Record for Job {
    const KIND: Kind = Kind::Job;
    const SHAPE: Shape = Shape {
        lists: &["paid"],
        texts: &["words", "note", "private_note"],
        keyed: &[("lines", "id"), ("packed", "what")],
        newest: &["changed_ms"],
    };
    const SCHEMA: u32 = 1;

    super::common_fields!();

    fn row(&self) -> super::Row {
        super::row::of_job(self)
    }

    fn check(&self) -> Result<()> {
        check::id("job", &self.id)?;
        check::times("job", &[Some(self.made_ms), Some(self.changed_ms), self.closed_ms, self.deleted_ms])?;
        for price in self
            .opening_fee
            .iter()
            .chain(&self.ceiling)
            .chain(self.lines.iter().map(|line| &line.price))
            .chain(self.paid.iter().map(|paid| &paid.price))
        {
            price.check()?;
        }
        Ok(())
    }

    fn search_text(&self) -> String {
        let mut words: Vec<&str> = vec![&self.words, &self.promised, &self.note, &self.private_note];
        words.extend(self.lines.iter().map(|line| line.what.as_str()));
        words.join("\n").to_lowercase()
    }

    fn set_aside(&mut self, beside: Vec<SetAside>) {
        for one in beside {
            if !self.set_aside.contains(&one) {
                self.set_aside.push(one);
            }
        }
    }
}
