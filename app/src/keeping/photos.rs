//! Photos: scaled, kept as bytes under their hash, named by the record they belong to.

use leptos::prelude::*;
use tailplate_core::record::Record;
use tailplate_core::shop::{Find, PhotoRef, Reel, Stage};
use wasm_bindgen_futures::spawn_local;

use super::{change_now, the_store};
use crate::backdrop;
use crate::photo;
use crate::state::Shared;
use crate::store;

/// A record with photos.
pub trait Pictured: Record + 'static {
    fn photos(&mut self) -> &mut Vec<PhotoRef>;
}

impl Pictured for Find {
    fn photos(&mut self) -> &mut Vec<PhotoRef> {
        &mut self.photos
    }
}

impl Pictured for Reel {
    fn photos(&mut self) -> &mut Vec<PhotoRef> {
        &mut self.photos
    }
}

/// Scales and keeps photos one after another; each is safe before the next is begun.
pub fn add_photos<R: Pictured>(
    shared: Shared,
    id: String,
    files: Vec<web_sys::File>,
    stage: Stage,
    busy: RwSignal<usize>,
) {
    add_photos_then::<R>(shared, id, files, stage, busy, |_| ());
}

/// As [`add_photos`]; each photo's name is told as soon as it is safe.
pub fn add_photos_then<R: Pictured>(
    shared: Shared,
    id: String,
    files: Vec<web_sys::File>,
    stage: Stage,
    busy: RwSignal<usize>,
    then: impl Fn(String) + 'static,
) {
    busy.update(|n| *n += files.len());
    spawn_local(async move {
        for file in files {
            match add_photo::<R>(&id, &file, stage).await {
                Ok(sha256) => {
                    then(sha256);
                    shared.changed.update(|n| *n += 1);
                    shared.say("Photo saved.");
                }
                Err(trouble) => shared.warn(trouble),
            }
            let _ = busy.try_update(|n| *n -= 1);
        }
        super::warn_when_short(shared).await;
    });
}

pub(super) async fn add_photo<R: Pictured>(id: &str, file: &web_sys::File, stage: Stage) -> Result<String, String> {
    let ready = photo::take(file).await?;
    let store = the_store().await?;
    let kept = store.put_photo(&ready.bytes, &ready.thumb, photo::MEDIA_TYPE).await;
    let sha256 = kept.map_err(|e| e.to_string())?;
    let (width_px, height_px) = (ready.width_px, ready.height_px);
    let photo = PhotoRef { sha256: sha256.clone(), width_px, height_px, stage, ..PhotoRef::default() };
    change_now(id, move |record: &mut R| {
        if !record.photos().iter().any(|p| p.sha256 == photo.sha256) {
            record.photos().push(photo);
        }
    })
    .await
    .map(|_| sha256)
}

/// Changes one photo of a record: its words, its spots, its stage.
pub fn change_photo<R: Pictured>(
    shared: Shared,
    id: String,
    sha256: String,
    change: impl FnOnce(&mut PhotoRef) + 'static,
) {
    super::change::<R>(shared, id, move |record| {
        if let Some(photo) = record.photos().iter_mut().find(|photo| photo.sha256 == sha256) {
            change(photo);
        }
    });
}

/// Puts a photo first: it is the record's cover.
pub fn make_cover<R: Pictured>(shared: Shared, id: String, sha256: String) {
    super::change::<R>(shared, id, move |record| {
        let photos = record.photos();
        if let Some(at) = photos.iter().position(|photo| photo.sha256 == sha256) {
            let photo = photos.remove(at);
            photos.insert(0, photo);
        }
    });
}

pub fn remove_photo<R: Pictured>(shared: Shared, id: String, sha256: String) {
    super::change::<R>(shared, id, move |record| record.photos().retain(|p| p.sha256 != sha256));
}

/// The class that shows a small photo which was shown lately.
pub fn thumb_at_hand(sha256: &str) -> Option<String> {
    backdrop::at_hand(sha256)
}

/// The class that shows a small photo.
pub async fn thumb_class(sha256: &str) -> Option<String> {
    let bytes = the_store().await.ok()?.thumb(sha256).await.ok()??;
    backdrop::put(sha256, photo::MEDIA_TYPE, &bytes, "cover")
}

pub async fn photo(sha256: &str) -> Result<Option<store::Photo>, String> {
    the_store().await?.photo(sha256).await.map_err(|e| e.to_string())
}

pub async fn photo_url(sha256: String) -> Option<String> {
    let photo = photo(&sha256).await.ok()??;
    Some(photo::data_url(&photo.media_type, &photo.bytes))
}
