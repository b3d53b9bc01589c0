//! Photos on this device: bytes under their SHA-256, each with its thumbnail.

use std::collections::BTreeSet;

use idb::{KeyRange, Query};
use js_sys::{Object, Uint8Array};
use sha2::{Digest, Sha256};
use wasm_bindgen::JsValue;

use super::db::{BY_PUT_MS, META, Mode, PHOTOS, RECORDS, THUMBS, get, set};
use super::{RECORDS_AT_ONCE, Result, Store, StoreError, bytes_in, hex, now_ms, text};

/// A photo as stored.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Photo {
    pub bytes: Vec<u8>,
    /// Media type, such as `image/jpeg`.
    pub media_type: String,
}

/// Photos that no record names are looked for no more often: it takes reading every record.
const PURGE_EVERY_MS: i64 = 7 * 24 * 3_600_000;

impl Store {
    /// SHA-256 of every photo kept here.
    pub async fn photo_names(&self) -> Result<Vec<String>> {
        self.connection
            .run(&[PHOTOS], Mode::Read, async |transaction| {
                let keys = transaction.object_store(PHOTOS)?.get_all_keys(None, None)?.await?;
                Ok(keys.iter().filter_map(JsValue::as_string).collect())
            })
            .await
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
        let photo = Photo { bytes: bytes_in(&stored, "bytes"), media_type: text(&stored, "type") };
        if sha256_hex(&photo.bytes) != sha256 {
            return Err(StoreError::Damaged("This photo is damaged on the device; the find itself is safe.".into()));
        }
        Ok(Some(photo))
    }

    /// The JPEG bytes of a photo's thumbnail.
    pub async fn thumb(&self, sha256: &str) -> Result<Option<Vec<u8>>> {
        Ok(self.stored(THUMBS, sha256).await?.map(|stored| bytes_in(&stored, "bytes")))
    }

    /// Removes photos put before the time given that no record names, once a week. A younger one may belong to a record
    /// just being made; a damaged record keeps its photos too.
    pub async fn purge_photos(&self, before_ms: i64) -> Result<u32> {
        let now = now_ms();
        self.connection
            .run(&[RECORDS, PHOTOS, THUMBS, META], Mode::Write, async |transaction| {
                let (photos, thumbs) = (transaction.object_store(PHOTOS)?, transaction.object_store(THUMBS)?);
                let (records, meta) = (transaction.object_store(RECORDS)?, transaction.object_store(META)?);
                let last = meta.get(JsValue::from("purged"))?.await?;
                let last_ms = last.and_then(|row| get(&row, "value").as_f64()).unwrap_or_default() as i64;
                if (0..PURGE_EVERY_MS).contains(&(now - last_ms)) {
                    return Ok(0);
                }
                let old = Query::from(KeyRange::upper_bound(&JsValue::from(before_ms as f64), Some(true))?);
                let mut unnamed: BTreeSet<String> = BTreeSet::new();
                unnamed.extend(
                    photos
                        .index(BY_PUT_MS)?
                        .get_all_keys(Some(old), None)?
                        .await?
                        .iter()
                        .filter_map(JsValue::as_string),
                );
                let mut after: Option<JsValue> = None;
                while !unnamed.is_empty() {
                    let range = match &after {
                        Some(key) => Some(Query::from(KeyRange::lower_bound(key, Some(true))?)),
                        None => None,
                    };
                    let some = records.get_all(range, Some(RECORDS_AT_ONCE as u32))?.await?;
                    let Some(last) = some.last() else { break };
                    after = Some(get(last, "id"));
                    for record in &some {
                        for name in photo_names_in(&text(record, "json")) {
                            unnamed.remove(name);
                        }
                    }
                }
                for sha256 in &unnamed {
                    photos.delete(JsValue::from(sha256.as_str()))?.await?;
                    thumbs.delete(JsValue::from(sha256.as_str()))?.await?;
                }
                let done = Object::new();
                set(&done, "key", &"purged".into());
                set(&done, "value", &JsValue::from(now as f64));
                meta.put(&done, None)?.await?;
                Ok(unnamed.len() as u32)
            })
            .await
    }
}

/// SHA-256 in lower-case hex, the name of a photo.
pub fn sha256_hex(bytes: &[u8]) -> String {
    hex(&Sha256::digest(bytes))
}

/// Whatever stands in quotes and is as long as a photo's name, also where the record can't be read.
fn photo_names_in(json: &str) -> impl Iterator<Item = &str> {
    json.split('"').filter(|words| words.len() == 64)
}
