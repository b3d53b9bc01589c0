//! Records of any kind, for what keeps them and need not know what is in them: bytes and JSON in, bytes and JSON out.

use serde_json::Value;

use super::{Kept, Kind, Record};
use crate::error::{Error, Result};
use crate::shop::{Customer, Find, Fitment, House, Job, Need, Part, Reel, Row};

/// A record as it is to be kept.
#[derive(Debug, Clone, PartialEq)]
pub struct Written {
    /// Its document.
    pub bytes: Vec<u8>,
    /// What it says, for reading without the document.
    pub json: String,
    pub row: Row,
}

macro_rules! of_kind {
    ($kind:expr, $function:ident($($argument:expr),*)) => {
        match $kind {
            Kind::Find => $function::<Find>($($argument),*),
            Kind::Customer => $function::<Customer>($($argument),*),
            Kind::Job => $function::<Job>($($argument),*),
            Kind::Reel => $function::<Reel>($($argument),*),
            Kind::Need => $function::<Need>($($argument),*),
            Kind::House => $function::<House>($($argument),*),
            Kind::Part => $function::<Part>($($argument),*),
            Kind::Fitment => $function::<Fitment>($($argument),*),
        }
    };
}

/// Writes an edit of a record that began from `base` (null: a new one) and ended in `mine`, onto what is stored now.
///
/// # Errors
/// The record would make no sense, or what is stored can't be read; then it stays as it is.
pub fn write(
    kind: Kind,
    stored: Option<&[u8]>,
    base: &Value,
    mine: &Value,
    now_ms: i64,
    writer: u64,
) -> Result<Written> {
    of_kind!(kind, write_of(stored, base, mine, now_ms, writer))
}

fn write_of<R: Record>(stored: Option<&[u8]>, base: &Value, mine: &Value, now_ms: i64, writer: u64) -> Result<Written> {
    let read = |value: &Value| -> Result<R> { of_value(value.clone()) };
    let mine = read(mine)?;
    let kept = match stored {
        None => {
            let mut mine = mine;
            mine.set_changed_ms(now_ms.max(mine.changed_ms()));
            Kept::new(mine, writer)?
        }
        Some(bytes) => {
            let mut kept: Kept<R> = Kept::read(bytes, writer)?;
            // Made twice under one id: what stands in both stays, the rest is joined.
            let base = if base.is_null() { kept.record.clone() } else { read(base)? };
            kept.edit(&base, &mine, now_ms)?;
            kept
        }
    };
    written(&kept)
}

/// Takes a document, or an update of it, that was written elsewhere into what is stored; none if it says nothing new.
///
/// # Errors
/// It is damaged or of a newer version, or a part of it is not here yet.
pub fn join(kind: Kind, stored: Option<&[u8]>, update: &[u8], writer: u64) -> Result<Option<Written>> {
    of_kind!(kind, join_of(stored, update, writer))
}

fn join_of<R: Record>(stored: Option<&[u8]>, update: &[u8], writer: u64) -> Result<Option<Written>> {
    let Some(bytes) = stored else { return written(&Kept::<R>::read(update, writer)?).map(Some) };
    let mut kept: Kept<R> = Kept::read(bytes, writer)?;
    let before = kept.bytes();
    kept.join(update)?;
    if kept.bytes() == before { Ok(None) } else { written(&kept).map(Some) }
}

/// The JSON and the row of a document.
///
/// # Errors
/// It is damaged or of a newer version.
pub fn typed_json(kind: Kind, bytes: &[u8]) -> Result<Written> {
    of_kind!(kind, typed_of(bytes))
}

fn typed_of<R: Record>(bytes: &[u8]) -> Result<Written> {
    written(&Kept::<R>::read(bytes, 1)?)
}

fn written<R: Record>(kept: &Kept<R>) -> Result<Written> {
    let json = serde_json::to_string(&kept.record)
        .map_err(|error| Error::invalid(format!("This {} can't be written: {error}.", R::KIND.word())))?;
    Ok(Written { bytes: kept.bytes(), json, row: kept.record.row() })
}

fn of_value<R: Record>(value: Value) -> Result<R> {
    serde_json::from_value(value)
        .map_err(|error| Error::malformed(format!("This {} can't be read: {error}.", R::KIND.word())))
}
