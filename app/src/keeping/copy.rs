//! Everything as one file: made, handed over, read back.

use std::collections::BTreeSet;
use std::ops::Range;

use js_sys::{Array, Uint8Array};
use leptos::prelude::*;
use tailplate_core::copy::{SavedCopy, Source, Writer};
use wasm_bindgen::{JsCast, JsValue};
use wasm_bindgen_futures::{JsFuture, spawn_local};

use super::{shelf, the_store};
use crate::page::hand_over_file;
use crate::photo;
use crate::state::Shared;
use crate::store::{self, Incoming};

/// How far a long work is, and the wish that it stop.
#[derive(Clone, Copy)]
pub struct Progress {
    /// What is being done, how many of how many; none: nothing.
    pub at: RwSignal<Option<(&'static str, usize, usize)>>,
    pub stop: RwSignal<bool>,
}

impl Progress {
    pub fn new() -> Self {
        Self { at: RwSignal::new(None), stop: RwSignal::new(false) }
    }

    /// Tells how far it is and lets the browser paint; an error once it is to stop.
    async fn step(&self, what: &'static str, n: usize, of: usize) -> Result<(), String> {
        if n.is_multiple_of(25) {
            let _ = self.at.try_set(Some((what, n, of)));
            crate::pace::breathe().await;
        }
        match self.stop.try_get_untracked() {
            Some(true) | None => Err("Stopped. Nothing has changed.".into()),
            _ => Ok(()),
        }
    }
}

pub fn make(shared: Shared, progress: Progress) {
    progress.stop.set(false);
    spawn_local(async move {
        let made = written(progress).await;
        let _ = progress.at.try_set(None);
        match made {
            Ok(parts) => {
                let name = format!("tailplate-{}.zip", store::today());
                match hand_over_file(&parts, &name, "application/zip", "A saved copy of the shop").await {
                    Ok(words) => shared.say(words),
                    Err(trouble) => shared.warn(trouble),
                }
            }
            Err(trouble) => shared.warn(trouble),
        }
    });
}

/// The file in pieces, so that a thousand photos need no room for a thousand at once.
async fn written(progress: Progress) -> Result<Array, String> {
    shelf::ready().await?;
    let store = the_store().await?;
    let ids = shelf::with(|rows| rows.iter().map(|row| row.id.clone()).collect::<Vec<_>>());
    let mut writer = Writer::new(store::now_ms());
    let parts = Array::new();
    let out = |bytes: Vec<u8>| {
        if !bytes.is_empty() {
            // A blob lives with the browser, not in the page's own memory.
            if let Ok(blob) = web_sys::Blob::new_with_u8_array_sequence(&Array::of1(&Uint8Array::from(&bytes[..]))) {
                parts.push(&blob);
            }
        }
    };
    for (n, id) in ids.iter().enumerate() {
        progress.step("Records", n, ids.len()).await?;
        if let Some(raw) = store.raw(id).await.map_err(|e| e.to_string())? {
            writer.record(raw.kind, &raw.id, &raw.bytes, &raw.json).map_err(|e| e.to_string())?;
        }
    }
    out(writer.take());
    let photos = store.photo_names().await.map_err(|e| e.to_string())?;
    for (n, sha256) in photos.iter().enumerate() {
        progress.step("Photos", n, photos.len()).await?;
        // One that is damaged on this device is left out; its record says which it was.
        if let Ok(Some(photo)) = store.photo(sha256).await {
            writer.photo(sha256, &photo.bytes).map_err(|e| e.to_string())?;
            out(writer.take());
        }
    }
    out(writer.finish().map_err(|e| e.to_string())?);
    Ok(parts)
}

/// Takes a saved copy in: joined with what is here, so that twice changes nothing.
pub fn read(shared: Shared, file: web_sys::File, progress: Progress) {
    progress.stop.set(false);
    spawn_local(async move {
        let taken = taken_in(file, progress).await;
        let _ = progress.at.try_set(None);
        match taken {
            Ok((records, photos)) => {
                shared.changed.update(|n| *n += 1);
                shared.say(match (records, photos) {
                    (0, 0) => "Everything in this copy was here already.".to_owned(),
                    (records, photos) => format!(
                        "Taken in: {}, {}.",
                        crate::words::count(
                            records,
                            "record that was new or changed",
                            "records that were new or changed"
                        ),
                        crate::words::count(photos, "photo", "photos")
                    ),
                });
                super::load_packs(shared);
            }
            Err(trouble) => shared.warn(trouble),
        }
    });
}

async fn taken_in(file: web_sys::File, progress: Progress) -> Result<(usize, usize), String> {
    // Everything is checked before anything is taken in.
    let checked = SavedCopy::open(Chosen(file), async |n, of| progress.step("Checked", n, of).await.is_ok());
    let mut copy = checked.await.map_err(|e| e.to_string())?;
    let store = the_store().await?;
    shelf::ready().await?;
    let names = copy.photos.clone();
    let here: BTreeSet<String> = store.photo_names().await.map_err(|e| e.to_string())?.into_iter().collect();
    let half = |_| "Stopped on the way. What was taken in stays; reading the file again brings the rest.".to_owned();
    let mut photos = 0;
    // Photos first: a record never names one that is not here.
    for (n, sha256) in names.iter().enumerate() {
        progress.step("Photos", n, names.len()).await.map_err(half)?;
        if !here.contains(sha256) {
            let bytes = copy.photo(sha256).await.map_err(|e| e.to_string())?;
            let thumb = photo::thumb_of(&bytes).await?;
            store.put_photo(&bytes, &thumb, photo::MEDIA_TYPE).await.map_err(|e| e.to_string())?;
            photos += 1;
        }
    }
    let records = copy.records.clone();
    let mut new = 0;
    for (n, some) in records.chunks(50).enumerate() {
        progress.step("Records", n * 50, records.len()).await.map_err(half)?;
        let mut incoming = Vec::new();
        for (kind, id) in some {
            let bytes = copy.record(*kind, id).await.map_err(|e| e.to_string())?;
            incoming.push(Incoming { kind: *kind, id: id.clone(), bytes });
        }
        let rows = store.take_in(&incoming, false).await.map_err(|e| e.to_string())?;
        new += rows.len();
        shelf::put_all(rows);
    }
    Ok((new, photos))
}

/// A chosen file, read in pieces.
struct Chosen(web_sys::File);

impl Source for Chosen {
    fn byte_count(&self) -> u64 {
        self.0.size() as u64
    }

    async fn bytes(&mut self, range: Range<u64>) -> tailplate_core::Result<Vec<u8>> {
        let unread = |_| tailplate_core::Error::invalid("This file can't be read any more. Choose it again.");
        let piece = self.0.slice_with_f64_and_f64(range.start as f64, range.end as f64).map_err(unread)?;
        bytes_of(&piece).await.map_err(unread)
    }
}

async fn bytes_of(blob: &web_sys::Blob) -> Result<Vec<u8>, JsValue> {
    Ok(Uint8Array::new(&JsFuture::from(blob.array_buffer()).await?).to_vec())
}

/// The words of a chosen file.
pub async fn text_of(file: &web_sys::File) -> Result<String, String> {
    let bytes = bytes_of(file).await;
    let bytes = bytes.map_err(|_| format!("{} could not be read. Choose it again.", file.name()))?;
    Ok(String::from_utf8_lossy(&bytes).into_owned())
}

/// The file chosen in an input.
pub fn chosen(event: &web_sys::Event) -> Vec<web_sys::File> {
    let Some(input) = event.target().and_then(|target| target.dyn_into::<web_sys::HtmlInputElement>().ok()) else {
        return Vec::new();
    };
    let files = input.files().map(|list| (0..list.length()).filter_map(|i| list.get(i)).collect()).unwrap_or_default();
    input.set_value("");
    files
}
