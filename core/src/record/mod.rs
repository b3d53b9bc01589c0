//! What the shop keeps, as documents that join: typed record ↔ bytes.
//!
//! Every record is one [`Document`]. What a screen edits is the typed record; [`Kept::change`] writes the difference into the
//! document and gives the update that other copies need.
//!
//! ```
//! use tailplate_core::record::Kept;
//! use tailplate_core::shop::Customer;
//!
//! let mut here = Kept::new(Customer::new("000102030405060708090a0b0c0d0e0f", 1_000), 7)?;
//! let mut there: Kept<Customer> = Kept::read(&here.bytes(), 8)?;
//! let told = here.change(2_000, |customer| customer.name = "Mara Quill".into())?.expect("something changed");
//! there.change(2_000, |customer| customer.phone = "555 0142".into())?;
//! there.join(&told)?;
//! assert_eq!((there.record.name.as_str(), there.record.phone.as_str()), ("Mara Quill", "555 0142"));
//! # Ok::<(), tailplate_core::Error>(())
//! ```

mod any;
mod document;
mod sound;
#[cfg(test)]
mod tests;

use serde::Serialize;
use serde::de::DeserializeOwned;
use serde_json::Value;

pub use any::{Written, join, typed_json, write};
pub use document::{BYTES_MAX, Document, Shape, join_updates};

use crate::error::{Error, Result};
use crate::shop::{Customer, Find, Fitment, House, Job, Need, Part, Reel, Row, SetAside};

/// What a record is about. The word is what stands in stores, saved copies and on the wire.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub enum Kind {
    Find,
    Customer,
    Job,
    Reel,
    Need,
    House,
    Part,
    Fitment,
}

impl Kind {
    pub const ALL: [Self; 8] =
        [Self::Find, Self::Customer, Self::Job, Self::Reel, Self::Need, Self::House, Self::Part, Self::Fitment];

    pub fn word(self) -> &'static str {
        match self {
            Self::Find => "find",
            Self::Customer => "customer",
            Self::Job => "job",
            Self::Reel => "reel",
            Self::Need => "need",
            Self::House => "house",
            Self::Part => "part",
            Self::Fitment => "fitment",
        }
    }

    pub fn of(word: &str) -> Option<Self> {
        Self::ALL.into_iter().find(|kind| kind.word() == word)
    }

    /// How the fields of this kind join.
    pub fn shape(self) -> &'static Shape {
        match self {
            Self::Find => &Find::SHAPE,
            Self::Customer => &Customer::SHAPE,
            Self::Job => &Job::SHAPE,
            Self::Reel => &Reel::SHAPE,
            Self::Need => &Need::SHAPE,
            Self::House => &House::SHAPE,
            Self::Part => &Part::SHAPE,
            Self::Fitment => &Fitment::SHAPE,
        }
    }
}

/// A kind of record.
pub trait Record: Serialize + DeserializeOwned + Clone + PartialEq {
    const KIND: Kind;
    const SHAPE: Shape;
    /// The form that this version writes; an older one is brought up to it by [`Record::raise`].
    const SCHEMA: u32;

    fn id(&self) -> &str;
    fn made_ms(&self) -> i64;
    fn set_changed_ms(&mut self, now_ms: i64);
    fn changed_ms(&self) -> i64;
    fn deleted_ms(&self) -> Option<i64>;
    fn set_deleted_ms(&mut self, deleted_ms: Option<i64>);

    /// Whether its fields make sense: looked at before writing and after reading.
    ///
    /// # Errors
    /// The first that does not, in a sentence.
    fn check(&self) -> Result<()>;

    /// Everything a person might search for, in lower case.
    fn search_text(&self) -> String {
        String::new()
    }

    /// What a list shows of it.
    fn row(&self) -> Row;

    /// Deleted, and not written to since: an edit elsewhere brings it back.
    fn is_deleted(&self) -> bool {
        self.deleted_ms().is_some_and(|ms| ms >= self.changed_ms())
    }

    /// Values of other writers that stand beside those that count, for the person to see.
    fn set_aside(&mut self, _beside: Vec<SetAside>) {}

    /// Brings an older form up to this one.
    fn raise(_record: &mut Value, _from: u32) {}
}

/// A record and its document, open for changes.
pub struct Kept<R: Record> {
    pub record: R,
    document: Document,
}

impl<R: Record> Kept<R> {
    /// A new record. `writer`: see [`Document::new`].
    ///
    /// # Errors
    /// It makes no sense.
    pub fn new(record: R, writer: u64) -> Result<Self> {
        record.check()?;
        let document = Document::new(R::KIND.shape(), writer);
        document.edit(&Value::Null, &as_value(&record)?);
        Ok(Self { record, document })
    }

    /// Opens what [`Kept::bytes`] gave.
    ///
    /// # Errors
    /// It is damaged, or was written by a newer version: then it stays as it is.
    pub fn read(bytes: &[u8], writer: u64) -> Result<Self> {
        let document = Document::read(R::KIND.shape(), bytes, writer)?;
        let record = typed(&document)?;
        Ok(Self { record, document })
    }

    pub fn bytes(&self) -> Vec<u8> {
        self.document.bytes()
    }

    /// Changes the record; gives the update for the other copies, none if nothing changed.
    ///
    /// # Errors
    /// It would make no sense; then nothing has changed.
    pub fn change(&mut self, now_ms: i64, change: impl FnOnce(&mut R)) -> Result<Option<Vec<u8>>> {
        let mut mine = self.record.clone();
        change(&mut mine);
        let base = self.record.clone();
        self.edit(&base, &mine, now_ms)
    }

    /// Writes an edit that began from `base`, perhaps on an older state than this.
    ///
    /// # Errors
    /// As [`Kept::change`].
    pub fn edit(&mut self, base: &R, mine: &R, now_ms: i64) -> Result<Option<Vec<u8>>> {
        if mine == base {
            return Ok(None);
        }
        let mut mine = mine.clone();
        // Later than what is there, even where a clock goes wrong, so that the other side notices.
        let now_ms = now_ms.max(self.record.changed_ms() + 1);
        mine.set_changed_ms(now_ms);
        // A deletion counts from this very edit: a clock that ticks between the word and the write would take it back.
        if mine.deleted_ms() != base.deleted_ms() {
            mine.set_deleted_ms(mine.deleted_ms().map(|ms| ms.max(now_ms)));
        }
        mine.check()?;
        let update = self.document.edit(&as_value(base)?, &as_value(&mine)?);
        self.record = typed(&self.document)?;
        Ok(update)
    }

    /// Takes in what was written elsewhere.
    ///
    /// # Errors
    /// The bytes are no update of such a record.
    pub fn join(&mut self, update: &[u8]) -> Result<()> {
        self.document.join(update)?;
        self.record = typed(&self.document)?;
        Ok(())
    }
}

fn as_value<R: Record>(record: &R) -> Result<Value> {
    serde_json::to_value(record)
        .map_err(|error| Error::invalid(format!("This {} can't be written: {error}.", R::KIND.word())))
}

fn typed<R: Record>(document: &Document) -> Result<R> {
    let (mut value, aside) = document.value();
    let word = R::KIND.word();
    let schema = value["schema"].as_u64().unwrap_or(0);
    match u32::try_from(schema).unwrap_or(u32::MAX) {
        0 => return Err(Error::malformed(format!("A part of this {word} is not here yet."))),
        newer if newer > R::SCHEMA => {
            return Err(Error::unknown(format!(
                "This {word} was written by a newer Tailplate (form {newer}; this one reads up to {}). It is kept untouched; update the app to open it.",
                R::SCHEMA
            )));
        }
        older if older < R::SCHEMA => {
            R::raise(&mut value, older);
            value["schema"] = R::SCHEMA.into();
        }
        _ => {}
    }
    let mut record: R = serde_json::from_value(value)
        .map_err(|error| Error::malformed(format!("This {word} can't be read: {error}.")))?;
    record.set_aside(aside);
    record.check()?;
    Ok(record)
}
