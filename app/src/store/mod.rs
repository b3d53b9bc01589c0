//! What the phone keeps: records as documents, their photos and the person's own models, in IndexedDB.
//!
//! Every writing call returns only when the write is on the disk. Photos are kept as bytes, never as a `Blob`: some
//! engines refuse to store one. A record that can't be read is listed as damaged and never overwritten.

mod db;
mod error;
mod photos;
mod room;
mod shelf;
mod tabs;

use std::cell::RefCell;
use std::collections::BTreeMap;
use std::rc::Rc;

use idb::{KeyRange, Query, Transaction};
use js_sys::{Object, Uint8Array};
use serde_json::Value;
use tailplate_core::record::{self, Kind, Record, Written};
use tailplate_core::shop::row::row_of_json;
use tailplate_core::shop::{Find, Row, RowBlock};
use wasm_bindgen::{JsCast, JsValue};
use web_sys::BroadcastChannel;

use db::{Connection, META, MODELS, Mode, OUTBOX, RECORDS, SHELF, get, set};
pub use error::StoreError;
pub use photos::{Photo, sha256_hex};
pub use room::{ask_to_keep, estimate};
use shelf::{change_blocks, put_block, put_rows};
pub use tabs::Watch;

type Result<T> = std::result::Result<T, StoreError>;

/// The device's storage. Cloning gives another handle to the same connection.
#[derive(Clone)]
pub struct Store {
    connection: Connection,
    /// None in browsers without it: then tabs don't hear of each other, but still lose nothing.
    channel: Option<Rc<BroadcastChannel>>,
    /// This page's name as a writer of documents.
    writer: u64,
}

/// What [`Store::put`] wrote.
#[derive(Debug, Clone, PartialEq)]
pub struct Saved<R> {
    /// The record as it now is; go on editing from this one.
    pub record: R,
    pub row: Row,
    /// Another tab had changed it too, and both edits are in it.
    pub merged: bool,
}

/// A record that came from elsewhere.
#[derive(Debug, Clone, PartialEq)]
pub struct Incoming {
    pub kind: Kind,
    pub id: String,
    /// Its document, or an update of it.
    pub bytes: Vec<u8>,
}

/// A record as it is kept.
#[derive(Debug, Clone, PartialEq)]
pub struct Raw {
    pub kind: Kind,
    pub id: String,
    pub bytes: Vec<u8>,
    pub json: String,
}

/// How many records are read at once: the browser is let in between.
const RECORDS_AT_ONCE: usize = 200;
/// The form of what is kept. 1: finds as JSON only. 3: rows in blocks. Raised too when rows say something else.
const FORM: f64 = 3.0;

impl Store {
    /// Opens the storage, laying it out on the first visit and bringing older records into the form of today.
    ///
    /// # Errors
    /// [`StoreError::Private`] without storage, [`StoreError::Blocked`] if another tab is in the way,
    /// [`StoreError::Newer`] if a newer version was here.
    pub async fn open() -> Result<Self> {
        let store = Self {
            connection: Connection::default(),
            channel: BroadcastChannel::new(db::NAME).ok().map(Rc::new),
            writer: random_number()?,
        };
        store.connection.check().await?;
        store.bring_up().await?;
        Ok(store)
    }

    /// Brings what an older version kept into the form of today. What can't be read stays as it is.
    async fn bring_up(&self) -> Result<()> {
        self.connection
            .run(&[RECORDS, SHELF, OUTBOX, META], Mode::Write, async |transaction| {
                let meta = transaction.object_store(META)?;
                let form = meta.get(JsValue::from("form"))?.await?;
                let form = form.and_then(|row| get(&row, "value").as_f64()).unwrap_or(1.0);
                if form >= FORM {
                    return Ok(());
                }
                let mut blocks: BTreeMap<u32, RowBlock> = BTreeMap::new();
                let mut after: Option<JsValue> = None;
                while let Some(some) = next_of(transaction, RECORDS, &after, RECORDS_AT_ONCE as u32).await? {
                    for stored in &some {
                        let id = text(stored, "id");
                        let kind = match form < 2.0 {
                            true => find_of_json(transaction, stored).await?.then_some(Kind::Find),
                            false => Kind::of(&text(stored, "kind")),
                        };
                        let row = kind.and_then(|kind| row_of_json(kind, &text(stored, "json")).ok());
                        if let Some(row) = row.filter(|row| row.id == id) {
                            blocks.entry(RowBlock::of(&id)).or_default().put(&row);
                        }
                    }
                    after = some.last().map(|last| get(last, "id"));
                }
                for (at, block) in &blocks {
                    put_block(transaction, *at, block).await?;
                }
                let marked = Object::new();
                set(&marked, "key", &"form".into());
                set(&marked, "value", &JsValue::from(FORM));
                meta.put(&marked, None)?.await?;
                Ok(())
            })
            .await
    }

    /// Saves a record. `base`: the record as it was when this edit began, as last read or saved; none for a new one.
    ///
    /// The store sets the time of the change. If another tab saved meanwhile, both edits are joined. Save one edit at a
    /// time, and take [`Saved::record`] as the next base.
    ///
    /// # Errors
    /// Any [`StoreError`]; then nothing was written.
    pub async fn put<R: Record>(&self, record: &R, base: Option<&R>) -> Result<Saved<R>> {
        record.check()?;
        let value = |record: &R| serde_json::to_value(record).map_err(|error| StoreError::Other(error.to_string()));
        let (mine, base_value) = (value(record)?, base.map(&value).transpose()?.unwrap_or_default());
        let (written, merged) =
            self.put_any(R::KIND, record.id(), base_value, mine, base.map(Record::changed_ms)).await?;
        let record = serde_json::from_str(&written.json).map_err(|error| StoreError::Other(error.to_string()))?;
        Ok(Saved { record, row: written.row, merged })
    }

    async fn put_any(
        &self,
        kind: Kind,
        id: &str,
        base: Value,
        mine: Value,
        base_ms: Option<i64>,
    ) -> Result<(Written, bool)> {
        let now = now_ms();
        // The work may run twice, if the connection is lost; the second time the document of the first is joined.
        let tried: RefCell<Option<Vec<u8>>> = RefCell::new(None);
        let saved = self
            .connection
            .run(&[RECORDS, SHELF, OUTBOX, META], Mode::Write, async |transaction| {
                let stored = read_raw(transaction, id).await?;
                let theirs_ms = stored.as_ref().map(|raw| raw.changed_ms);
                let bytes = stored.as_ref().map(|raw| raw.bytes.as_slice());
                let again = tried.borrow().clone();
                let written = match again {
                    Some(again) => match record::join(kind, bytes, &again, self.writer)? {
                        Some(written) => written,
                        None => record::typed_json(kind, bytes.unwrap_or(&again))?,
                    },
                    None => record::write(kind, bytes, &base, &mine, now, self.writer)?,
                };
                *tried.borrow_mut() = Some(written.bytes.clone());
                put_written(transaction, kind, id, &written).await?;
                Ok((written, theirs_ms.is_some() && theirs_ms != base_ms))
            })
            .await?;
        self.tell(id);
        Ok(saved)
    }

    /// Takes in records that were written elsewhere, some at a time; gives the rows of those that brought something new.
    ///
    /// # Errors
    /// Any [`StoreError`]; then none of them was taken in.
    pub async fn take_in(&self, incoming: &[Incoming], from_hub: bool) -> Result<Vec<Row>> {
        let rows = self
            .connection
            .run(&[RECORDS, SHELF, OUTBOX, META], Mode::Write, async |transaction| {
                let mut rows = Vec::new();
                for one in incoming {
                    let stored = read_raw(transaction, &one.id).await?;
                    let bytes = stored.as_ref().map(|raw| raw.bytes.as_slice());
                    if let Some(written) = record::join(one.kind, bytes, &one.bytes, self.writer)? {
                        put_record(transaction, one.kind, &one.id, &written).await?;
                        if !from_hub {
                            put_outbox(transaction, one.kind, &one.id).await?;
                        }
                        rows.push(written.row);
                    }
                }
                put_rows(transaction, &rows).await?;
                Ok(rows)
            })
            .await?;
        if !rows.is_empty() {
            self.tell("");
        }
        Ok(rows)
    }

    /// Records of a kind by their ids, those that are there; and the ids of those that can't be read.
    pub async fn some<R: Record>(&self, ids: &[String]) -> Result<(Vec<R>, Vec<String>)> {
        let (mut records, mut damaged) = (Vec::new(), Vec::new());
        // In batches, so that the browser is let in between.
        for ids in ids.chunks(RECORDS_AT_ONCE) {
            let stored = self
                .connection
                .run(&[RECORDS], Mode::Read, async |transaction| {
                    let records = transaction.object_store(RECORDS)?;
                    // All are asked for before the first is waited for: the browser answers them in one go.
                    let asked = ids.iter().map(|id| Ok(records.get(JsValue::from(id.as_str()))?.into_future()));
                    let asked: Vec<_> = asked.collect::<Result<_>>()?;
                    let mut found = Vec::new();
                    for (id, asked) in ids.iter().zip(asked) {
                        if let Some(record) = asked.await? {
                            found.push((id, text(&record, "json")));
                        }
                    }
                    Ok(found)
                })
                .await?;
            for (id, json) in stored {
                match parse::<R>(id, &json) {
                    Ok(record) => records.push(record),
                    Err(_) => damaged.push(id.clone()),
                }
            }
        }
        Ok((records, damaged))
    }

    /// One record; none if there is no such id.
    ///
    /// # Errors
    /// [`StoreError::Damaged`] if it is there but can't be read.
    pub async fn one<R: Record>(&self, id: &str) -> Result<Option<R>> {
        let stored = self.stored(RECORDS, id).await?;
        stored.map(|record| parse(id, &text(&record, "json"))).transpose()
    }

    /// Ids of records that can't be read: those without one of the `rows` known to be there.
    pub async fn damaged(&self, rows: usize, has_row: impl Fn(&str) -> bool) -> Result<Vec<String>> {
        self.connection
            .run(&[RECORDS], Mode::Read, async |transaction| {
                let records = transaction.object_store(RECORDS)?;
                // A row is never written without its record.
                if records.count(None)?.await? as usize == rows {
                    return Ok(Vec::new());
                }
                let keys = records.get_all_keys(None, None)?.await?;
                Ok(keys.iter().filter_map(JsValue::as_string).filter(|id| !has_row(id)).collect())
            })
            .await
    }

    /// A record as it is kept, for a copy.
    pub async fn raw(&self, id: &str) -> Result<Option<Raw>> {
        self.connection
            .run(&[RECORDS], Mode::Read, async |transaction| {
                let stored = transaction.object_store(RECORDS)?.get(JsValue::from(id))?.await?;
                Ok(stored.and_then(|stored| {
                    let kind = Kind::of(&text(&stored, "kind"))?;
                    Some(Raw { kind, id: id.into(), bytes: bytes_in(&stored, "doc"), json: text(&stored, "json") })
                }))
            })
            .await
    }

    /// What was written here and not yet acknowledged by the shop's computer: kind, id and the
    /// turn of its last change, earliest first. Turns are never given twice.
    pub async fn outbox(&self) -> Result<Vec<(Kind, String, f64)>> {
        self.connection
            .run(&[OUTBOX], Mode::Read, async |transaction| {
                let all = transaction.object_store(OUTBOX)?.get_all(None, None)?.await?;
                let entry =
                    |row: &JsValue| Some((Kind::of(&text(row, "kind"))?, text(row, "id"), get(row, "turn").as_f64()?));
                let mut all: Vec<_> = all.iter().filter_map(entry).collect();
                tailplate_core::order::by(&mut all, |a: &(Kind, String, f64), b| a.2.total_cmp(&b.2));
                Ok(all)
            })
            .await
    }

    /// The shop's computer has what was written in these turns; what was changed again since has a later one.
    pub async fn forget_turns(&self, first: u64, last: u64) -> Result<()> {
        self.connection
            .run(&[OUTBOX], Mode::Write, async |transaction| {
                let outbox = transaction.object_store(OUTBOX)?;
                for row in outbox.get_all(None, None)?.await? {
                    let turn = get(&row, "turn").as_f64().unwrap_or_default() as u64;
                    if (first..=last).contains(&turn) {
                        outbox.delete(get(&row, "id"))?.await?;
                    }
                }
                Ok(())
            })
            .await
    }

    /// Everything is to be sent again: the shop's computer was set back to an older state, or is another one.
    pub async fn send_all_again(&self) -> Result<()> {
        self.connection
            .run(&[SHELF, OUTBOX, META], Mode::Write, async |transaction| {
                for block in transaction.object_store(SHELF)?.get_all(None, None)?.await? {
                    for row in RowBlock::read(bytes_in(&block, "rows")).rows() {
                        put_outbox(transaction, row.kind, &row.id).await?;
                    }
                }
                Ok(())
            })
            .await
    }

    /// A value of this device's own, such as how many tags it has given out.
    pub async fn meta(&self, key: &str) -> Result<Option<String>> {
        Ok(self.stored(META, key).await?.map(|row| text(&row, "value")))
    }

    /// Changes a value of this device's own in one go.
    pub async fn change_meta(
        &self,
        key: &str,
        change: impl Fn(Option<String>) -> Option<String>,
    ) -> Result<Option<String>> {
        self.connection
            .run(&[META], Mode::Write, async |transaction| {
                let meta = transaction.object_store(META)?;
                let before = meta.get(JsValue::from(key))?.await?.map(|row| text(&row, "value"));
                let after = change(before);
                match &after {
                    Some(value) => {
                        let row = Object::new();
                        set(&row, "key", &key.into());
                        set(&row, "value", &value.as_str().into());
                        meta.put(&row, None)?.await?;
                    }
                    None => meta.delete(JsValue::from(key))?.await?,
                }
                Ok(after)
            })
            .await
    }

    /// Removes records for good, outbox and all: for the demo shop, which is no one's work.
    pub async fn forget(&self, ids: &[String]) -> Result<()> {
        self.connection
            .run(&[RECORDS, SHELF, OUTBOX, META], Mode::Write, async |transaction| {
                for id in ids {
                    for store in [RECORDS, OUTBOX] {
                        transaction.object_store(store)?.delete(JsValue::from(id.as_str()))?.await?;
                    }
                }
                change_blocks(transaction, ids.iter().map(|id| (id.as_str(), id)), |block, id| block.remove(id))
                    .await?;
                Ok(())
            })
            .await?;
        self.tell("");
        Ok(())
    }

    async fn stored(&self, store: &str, key: &str) -> Result<Option<JsValue>> {
        self.connection
            .run(&[store], Mode::Read, async |transaction| {
                Ok(transaction.object_store(store)?.get(JsValue::from(key))?.await?)
            })
            .await
    }

    /// Keeps a model of the person's own under its id.
    pub async fn put_own_model(&self, id: &str, json: &str) -> Result<()> {
        let record = Object::new();
        set(&record, "id", &id.into());
        set(&record, "json", &json.into());
        self.connection
            .run(&[MODELS], Mode::Write, async |transaction| {
                transaction.object_store(MODELS)?.put(&record, None)?.await?;
                Ok(())
            })
            .await?;
        self.tell(id);
        Ok(())
    }

    /// The JSON of each of the person's own models, by id.
    pub async fn own_models(&self) -> Result<Vec<String>> {
        let records = self
            .connection
            .run(&[MODELS], Mode::Read, async |transaction| {
                Ok(transaction.object_store(MODELS)?.get_all(None, None)?.await?)
            })
            .await?;
        Ok(records.iter().map(|record| text(record, "json")).collect())
    }

    /// Removes one of the person's own models.
    pub async fn delete_own_model(&self, id: &str) -> Result<()> {
        self.connection
            .run(&[MODELS], Mode::Write, async |transaction| {
                transaction.object_store(MODELS)?.delete(JsValue::from(id))?.await?;
                Ok(())
            })
            .await?;
        self.tell(id);
        Ok(())
    }

    /// Calls back with the id of what another tab has written (empty: look at everything again), until dropped.
    pub fn on_change(&self, callback: impl FnMut(String) + 'static) -> Option<Watch> {
        tabs::watch(self.channel.as_deref()?, callback)
    }

    fn tell(&self, id: &str) {
        if let Some(channel) = &self.channel {
            let _ = channel.post_message(&id.into());
        }
    }
}

/// 128 random bits in hex, for a new record.
///
/// # Errors
/// A sentence if the browser has no source of randomness.
pub fn new_id() -> Result<String> {
    random().map(|bits| hex(&bits))
}

/// A random number below 2⁵³.
///
/// # Errors
/// As [`new_id`].
pub fn random_number() -> Result<u64> {
    let bits = random()?;
    Ok(bits.iter().take(8).fold(0_u64, |number, byte| number << 8 | u64::from(*byte)) >> 11)
}

fn random() -> Result<[u8; 16]> {
    let mut bits = [0u8; 16];
    let random = db::get(&js_sys::global(), "crypto").dyn_into::<web_sys::Crypto>().ok();
    match random.map(|crypto| crypto.get_random_values_with_u8_array(&mut bits)) {
        Some(Ok(_)) => Ok(bits),
        _ => Err(StoreError::Other("This browser gives no random numbers, so nothing new can be named.".into())),
    }
}

/// Now, in milliseconds since 1970.
pub fn now_ms() -> i64 {
    js_sys::Date::now() as i64
}

/// The day it is here, `2026-03-14`.
pub fn today() -> String {
    let now = js_sys::Date::new_0();
    format!("{:04}-{:02}-{:02}", now.get_full_year(), now.get_month() + 1, now.get_date())
}

fn hex(bytes: &[u8]) -> String {
    const DIGITS: &[u8; 16] = b"0123456789abcdef";
    bytes.iter().flat_map(|b| [DIGITS[(b >> 4) as usize] as char, DIGITS[(b & 15) as usize] as char]).collect()
}

/// A stored record's document.
struct Stored {
    bytes: Vec<u8>,
    changed_ms: i64,
}

async fn read_raw(transaction: &Transaction, id: &str) -> Result<Option<Stored>> {
    let stored = transaction.object_store(RECORDS)?.get(JsValue::from(id))?.await?;
    let Some(stored) = stored else { return Ok(None) };
    let bytes = bytes_in(&stored, "doc");
    if bytes.is_empty() {
        return Err(StoreError::Damaged(format!("The record {id} can't be read. It is left as it is.")));
    }
    let changed_ms = get(&stored, "changed_ms").as_f64().unwrap_or_default() as i64;
    Ok(Some(Stored { bytes, changed_ms }))
}

/// Record, its row and outbox go together or not at all.
async fn put_written(transaction: &Transaction, kind: Kind, id: &str, written: &Written) -> Result<()> {
    put_record(transaction, kind, id, written).await?;
    put_rows(transaction, std::slice::from_ref(&written.row)).await?;
    put_outbox(transaction, kind, id).await
}

async fn put_record(transaction: &Transaction, kind: Kind, id: &str, written: &Written) -> Result<()> {
    let record = Object::new();
    set(&record, "id", &id.into());
    set(&record, "kind", &kind.word().into());
    set(&record, "doc", &Uint8Array::from(written.bytes.as_slice()));
    set(&record, "json", &written.json.as_str().into());
    set(&record, "changed_ms", &JsValue::from(written.row.changed_ms as f64));
    transaction.object_store(RECORDS)?.put(&record, None)?.await?;
    Ok(())
}

/// The next of what a store keeps, behind a key; none when it is at its end.
async fn next_of(
    transaction: &Transaction,
    store: &str,
    after: &Option<JsValue>,
    at_once: u32,
) -> Result<Option<Vec<JsValue>>> {
    let range = match after {
        Some(key) => Some(Query::from(KeyRange::lower_bound(key, Some(true))?)),
        None => None,
    };
    let some = transaction.object_store(store)?.get_all(range, Some(at_once))?.await?;
    Ok((!some.is_empty()).then_some(some))
}

/// A find of the first version, kept as JSON only, becomes a document; false: it can't be read.
async fn find_of_json(transaction: &Transaction, stored: &JsValue) -> Result<bool> {
    let Ok(find) = Find::from_json(&text(stored, "json")) else { return Ok(false) };
    let value = serde_json::to_value(&find).unwrap_or_default();
    // One name for all devices: the same find, brought up twice, is the same document.
    let Ok(written) = record::write(Kind::Find, None, &Value::Null, &value, find.changed_ms, 1) else {
        return Ok(false);
    };
    put_record(transaction, Kind::Find, &text(stored, "id"), &written).await?;
    put_outbox(transaction, Kind::Find, &text(stored, "id")).await?;
    Ok(true)
}

async fn put_outbox(transaction: &Transaction, kind: Kind, id: &str) -> Result<()> {
    let outbox = transaction.object_store(OUTBOX)?;
    let meta = transaction.object_store(META)?;
    let last = meta.get(JsValue::from("turn"))?.await?;
    let turn = last.and_then(|row| get(&row, "value").as_f64()).unwrap_or_default() + 1.0;
    let next = Object::new();
    set(&next, "key", &"turn".into());
    set(&next, "value", &JsValue::from(turn));
    meta.put(&next, None)?.await?;
    let row = Object::new();
    set(&row, "id", &id.into());
    set(&row, "kind", &kind.word().into());
    set(&row, "turn", &JsValue::from(turn));
    outbox.put(&row, None)?.await?;
    Ok(())
}

fn parse<R: Record>(id: &str, json: &str) -> Result<R> {
    let record: R = serde_json::from_str(json)
        .map_err(|why| StoreError::Damaged(format!("This {} can't be read: {why}.", R::KIND.word())))?;
    record.check()?;
    if record.id() != id {
        return Err(StoreError::Damaged(format!("What is kept as {id} calls itself {}.", record.id())));
    }
    Ok(record)
}

fn text(record: &JsValue, field: &str) -> String {
    get(record, field).as_string().unwrap_or_default()
}

fn bytes_in(record: &JsValue, field: &str) -> Vec<u8> {
    get(record, field).dyn_into::<Uint8Array>().map(|array| array.to_vec()).unwrap_or_default()
}
