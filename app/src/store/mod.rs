//! What the phone keeps: finds, their photos and the person's own models, in IndexedDB.
//!
//! Every writing call returns only when the write is on the disk. Photos are kept as bytes, never as a `Blob`: some
//! engines refuse to store one. A record that can't be read is listed as damaged and never overwritten.

mod db;
mod error;
mod room;
mod tabs;

use std::rc::Rc;

use idb::{KeyRange, Query, Transaction};
use js_sys::{Object, Uint8Array};
use sha2::{Digest, Sha256};
use tailplate_core::shop::{Find, merge};
use wasm_bindgen::{JsCast, JsValue};
use web_sys::BroadcastChannel;

use db::{BY_PUT_MS, Connection, MODELS, Mode, PHOTOS, RECORDS, THUMBS, get, set};
pub use error::StoreError;
pub use room::{ask_to_keep, estimate};
pub use tabs::Watch;

type Result<T> = std::result::Result<T, StoreError>;

/// The device's storage. Cloning gives another handle to the same connection.
#[derive(Clone)]
pub struct Store {
    connection: Connection,
    /// None in browsers without it: then tabs don't hear of each other, but still lose nothing.
    channel: Option<Rc<BroadcastChannel>>,
}

/// A record that is there but can't be read: damaged, or of a newer version. It stays as it is.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Damaged {
    pub id: String,
    /// A sentence.
    pub why: String,
    /// The stored text, for saving elsewhere.
    pub json: String,
}

/// What [`Store::put_find`] wrote.
#[derive(Debug, Clone, PartialEq)]
pub struct Saved {
    /// The find as it now is; go on editing from this one.
    pub find: Find,
    /// Another tab had changed it too, and both edits are in it.
    pub merged: bool,
}

/// A photo as stored.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Photo {
    pub bytes: Vec<u8>,
    /// Media type, such as `image/jpeg`.
    pub media_type: String,
}

/// What [`Store::purge`] removed.
#[derive(Debug, Clone, Copy, Default, PartialEq, Eq)]
pub struct Purged {
    pub finds: u32,
    pub photos: u32,
}

impl Store {
    /// Opens the storage, laying it out on the first visit.
    ///
    /// # Errors
    /// [`StoreError::Private`] without storage, [`StoreError::Blocked`] if another tab is in the way,
    /// [`StoreError::Newer`] if a newer version was here.
    pub async fn open() -> Result<Self> {
        let store =
            Self { connection: Connection::default(), channel: BroadcastChannel::new(db::NAME).ok().map(Rc::new) };
        store.connection.check().await?;
        Ok(store)
    }

    /// Saves a find. `base`: the find as it was when this edit began, as last read or saved; none for a new one.
    ///
    /// The store sets `changed_ms`. If another tab saved meanwhile, both edits are joined (see
    /// [`tailplate_core::shop::merge`]). Save one edit at a time, and take [`Saved::find`] as the next base.
    ///
    /// # Errors
    /// Any [`StoreError`]; then nothing was written.
    pub async fn put_find(&self, find: &Find, base: Option<&Find>) -> Result<Saved> {
        find.check()?;
        let now = now_ms();
        let blank = Find::new(&find.id, find.made_ms);
        let base = base.unwrap_or(&blank);
        let saved = self
            .connection
            .run(&[RECORDS], Mode::Write, async |transaction| {
                let stored = read_find(transaction, &find.id).await?;
                let mine = Find { changed_ms: now, ..find.clone() };
                let saved = match stored {
                    None => Saved { find: mine, merged: false },
                    Some(theirs) if theirs.changed_ms == base.changed_ms => {
                        Saved { find: Find { changed_ms: now.max(theirs.changed_ms + 1), ..mine }, merged: false }
                    }
                    Some(theirs) => Saved { find: merge(base, &theirs, &mine), merged: true },
                };
                write_find(transaction, &saved.find).await?;
                Ok(saved)
            })
            .await?;
        self.tell(&find.id);
        Ok(saved)
    }

    /// All finds, newest change first, those put aside as deleted (`deleted_ms`) among them; and what can't be read.
    pub async fn finds(&self) -> Result<(Vec<Find>, Vec<Damaged>)> {
        let records = self
            .connection
            .run(&[RECORDS], Mode::Read, async |transaction| {
                Ok(transaction.object_store(RECORDS)?.get_all(None, None)?.await?)
            })
            .await?;
        let (mut finds, mut damaged) = (Vec::new(), Vec::new());
        for record in records {
            let (id, json) = (text(&record, "id"), text(&record, "json"));
            match parse_find(&id, &json) {
                Ok(find) => finds.push(find),
                Err(why) => damaged.push(Damaged { id, why: why.to_string(), json }),
            }
        }
        tailplate_core::order::by(&mut finds, |a, b| b.changed_ms.cmp(&a.changed_ms));
        Ok((finds, damaged))
    }

    /// One find; none if there is no such id.
    ///
    /// # Errors
    /// [`StoreError::Damaged`] if it is there but can't be read.
    pub async fn find(&self, id: &str) -> Result<Option<Find>> {
        self.connection.run(&[RECORDS], Mode::Read, async |transaction| read_find(transaction, id).await).await
    }

    /// Puts a find aside as deleted; [`Store::restore_find`] brings it back. Gives the find as it now is.
    pub async fn delete_find(&self, id: &str) -> Result<Option<Find>> {
        self.set_deleted(id, Some(now_ms())).await
    }

    /// Takes back a deletion.
    pub async fn restore_find(&self, id: &str) -> Result<Option<Find>> {
        self.set_deleted(id, None).await
    }

    async fn set_deleted(&self, id: &str, deleted_ms: Option<i64>) -> Result<Option<Find>> {
        let now = now_ms();
        let changed = self
            .connection
            .run(&[RECORDS], Mode::Write, async |transaction| {
                let Some(find) = read_find(transaction, id).await? else {
                    return Ok(None);
                };
                let find = Find { deleted_ms, changed_ms: now.max(find.changed_ms + 1), ..find };
                write_find(transaction, &find).await?;
                Ok(Some(find))
            })
            .await?;
        self.tell(id);
        Ok(changed)
    }

    /// Removes for good the finds deleted before the time given, and photos put before it that no record names.
    ///
    /// A photo younger than that may belong to a find that is just being made. A damaged record keeps its photos too.
    pub async fn purge(&self, before_ms: i64) -> Result<Purged> {
        let purged = self
            .connection
            .run(&[RECORDS, PHOTOS, THUMBS], Mode::Write, async |transaction| {
                let mut purged = Purged::default();
                let records = transaction.object_store(RECORDS)?;
                let mut kept = String::new();
                for record in records.get_all(None, None)?.await? {
                    let (id, json) = (text(&record, "id"), text(&record, "json"));
                    match parse_find(&id, &json) {
                        Ok(find) if find.deleted_ms.is_some_and(|ms| ms < before_ms) => {
                            records.delete(JsValue::from(id))?.await?;
                            purged.finds += 1;
                        }
                        _ => kept.push_str(&json),
                    }
                }
                let (photos, thumbs) = (transaction.object_store(PHOTOS)?, transaction.object_store(THUMBS)?);
                let old = Query::from(KeyRange::upper_bound(&JsValue::from(before_ms as f64), Some(true))?);
                for key in photos.index(BY_PUT_MS)?.get_all_keys(Some(old), None)?.await? {
                    if !key.as_string().is_some_and(|sha256| kept.contains(&sha256)) {
                        photos.delete(key.clone())?.await?;
                        thumbs.delete(key)?.await?;
                        purged.photos += 1;
                    }
                }
                Ok(purged)
            })
            .await?;
        if purged != Purged::default() {
            self.tell("");
        }
        Ok(purged)
    }

    /// Keeps a photo and its thumbnail; gives its SHA-256 in hex. Putting the same photo again changes nothing.
    pub async fn put_photo(&self, bytes: &[u8], thumb: &[u8], media_type: &str) -> Result<String> {
        let sha256 = sha256_hex(bytes);
        let photo = Object::new();
        set(&photo, "sha256", &sha256.as_str().into());
        set(&photo, "bytes", &Uint8Array::from(bytes));
        set(&photo, "type", &media_type.into());
        set(&photo, BY_PUT_MS, &JsValue::from(now_ms() as f64));
        let small = Object::new();
        set(&small, "sha256", &sha256.as_str().into());
        set(&small, "bytes", &Uint8Array::from(thumb));
        self.connection
            .run(&[PHOTOS, THUMBS], Mode::Write, async |transaction| {
                transaction.object_store(PHOTOS)?.put(&photo, None)?.await?;
                transaction.object_store(THUMBS)?.put(&small, None)?.await?;
                Ok(())
            })
            .await?;
        Ok(sha256)
    }

    /// A photo by its SHA-256; none if it isn't here.
    ///
    /// # Errors
    /// [`StoreError::Damaged`] if its bytes are no longer those that were put.
    pub async fn photo(&self, sha256: &str) -> Result<Option<Photo>> {
        let Some(stored) = self.stored(PHOTOS, sha256).await? else {
            return Ok(None);
        };
        let photo = Photo { bytes: bytes(&stored), media_type: text(&stored, "type") };
        if sha256_hex(&photo.bytes) != sha256 {
            return Err(StoreError::Damaged("This photo is damaged on the device; the find itself is safe.".into()));
        }
        Ok(Some(photo))
    }

    /// The JPEG bytes of a photo's thumbnail.
    pub async fn thumb(&self, sha256: &str) -> Result<Option<Vec<u8>>> {
        Ok(self.stored(THUMBS, sha256).await?.map(|stored| bytes(&stored)))
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

/// 128 random bits in hex, for a new find.
///
/// # Errors
/// A sentence if the browser has no source of randomness.
pub fn new_id() -> Result<String> {
    let mut bits = [0u8; 16];
    let random = db::get(&js_sys::global(), "crypto").dyn_into::<web_sys::Crypto>().ok();
    match random.map(|crypto| crypto.get_random_values_with_u8_array(&mut bits)) {
        Some(Ok(_)) => Ok(hex(&bits)),
        _ => Err(StoreError::Other("This browser gives no random numbers, so a new find can't be named.".into())),
    }
}

/// Now, in milliseconds since 1970.
pub fn now_ms() -> i64 {
    js_sys::Date::now() as i64
}

/// SHA-256 in lower-case hex, the name of a photo.
pub fn sha256_hex(bytes: &[u8]) -> String {
    hex(&Sha256::digest(bytes))
}

fn hex(bytes: &[u8]) -> String {
    const DIGITS: &[u8; 16] = b"0123456789abcdef";
    bytes.iter().flat_map(|b| [DIGITS[(b >> 4) as usize] as char, DIGITS[(b & 15) as usize] as char]).collect()
}

async fn read_find(transaction: &Transaction, id: &str) -> Result<Option<Find>> {
    let stored = transaction.object_store(RECORDS)?.get(JsValue::from(id))?.await?;
    stored.map(|record| parse_find(id, &text(&record, "json"))).transpose()
}

async fn write_find(transaction: &Transaction, find: &Find) -> Result<()> {
    let json = find.to_json()?;
    let record = Object::new();
    set(&record, "id", &find.id.as_str().into());
    set(&record, "json", &json.into());
    set(&record, "changed_ms", &JsValue::from(find.changed_ms as f64));
    set(&record, "state", &find.state.word().into());
    transaction.object_store(RECORDS)?.put(&record, None)?.await?;
    Ok(())
}

fn parse_find(id: &str, json: &str) -> Result<Find> {
    let find = Find::from_json(json).map_err(|why| StoreError::Damaged(why.to_string()))?;
    if find.id != id {
        return Err(StoreError::Damaged(format!("The find kept as {id} calls itself {}.", find.id)));
    }
    Ok(find)
}

fn text(record: &JsValue, field: &str) -> String {
    get(record, field).as_string().unwrap_or_default()
}

fn bytes(record: &JsValue) -> Vec<u8> {
    get(record, "bytes").dyn_into::<Uint8Array>().map(|array| array.to_vec()).unwrap_or_default()
}
