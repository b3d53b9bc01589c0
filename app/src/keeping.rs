//! What the screens ask of the store. Saves run outside of screens, so that leaving one never drops a write; nothing is
//! called saved before it is on the disk.

use std::cell::RefCell;

use leptos::prelude::*;
use tailplate_core::key::Learned;
use tailplate_core::observe::Sheet;
use tailplate_core::shop::own_model::{self, OwnModel, Told};
use tailplate_core::shop::{Find, FindState, PhotoRef};
use wasm_bindgen_futures::spawn_local;

use crate::packs;
use crate::photo;
use crate::prefs::{self, Draft};
use crate::route::{Route, go};
use crate::state::{Shared, Word, World};
use crate::store::{self, Store, StoreError, Watch};

const MONTH_MS: i64 = 30 * 24 * 3_600_000;

thread_local! {
    static STORE: RefCell<Option<Result<Store, String>>> = const { RefCell::new(None) };
    /// Kept so that the other tabs are heard.
    static WATCH: RefCell<Option<Watch>> = const { RefCell::new(None) };
}

/// The store, opened once. Screens ask before it is there: then it is opened on their way.
async fn the_store() -> Result<Store, String> {
    if let Some(ready) = STORE.with_borrow(Clone::clone) {
        return ready;
    }
    let opened = Store::open().await.map_err(|error| error.to_string());
    // A trouble may pass (another tab closes): only success is remembered.
    if opened.is_ok() {
        STORE.set(Some(opened.clone()));
    }
    opened
}

/// Opens the store; what it holds (own models, confirmed finds) sharpens the key.
pub fn open(shared: Shared) {
    spawn_local(async move {
        match the_store().await {
            Err(trouble) => shared.warn(trouble),
            Ok(store) => {
                // What was deleted a month ago, and photos that no find names, make room.
                let _ = store.purge(store::now_ms() - MONTH_MS).await;
                WATCH.set(store.on_change(move |_| shared.changed.update(|n| *n += 1)));
                let learned = learned(&store).await;
                let own = store.own_models().await.unwrap_or_default();
                if !own.is_empty() || learned.total() > 0 {
                    rebuild(shared, &own, &learned).await;
                }
            }
        }
    });
}

/// Reads the packs again, after a change of which are in use or of what was learned.
pub fn load_packs(shared: Shared) {
    spawn_local(async move {
        let Ok(store) = the_store().await else { return };
        let (learned, own) = (learned(&store).await, store.own_models().await.unwrap_or_default());
        rebuild(shared, &own, &learned).await;
    });
}

async fn rebuild(shared: Shared, own: &[String], learned: &Learned) {
    let own: Vec<OwnModel> = own.iter().filter_map(|json| serde_json::from_str(json).ok()).collect();
    let practice = shared.prefs.with_untracked(|p| p.practice);
    match packs::load(practice, |reference| own_model::add(reference, &own), learned, |_| ()).await {
        Ok(world) => shared.world.set(Some(Ok(world))),
        Err(trouble) => shared.warn(trouble),
    }
}

async fn learned(store: &Store) -> Learned {
    let mut learned = Learned::default();
    if let Ok((finds, _)) = store.finds().await {
        for find in finds.iter().filter(|f| f.deleted_ms.is_none()) {
            if let FindState::Confirmed { model, .. } = &find.state {
                learned.add(model, &find.sheet.current());
            }
        }
    }
    learned
}

/// Every find, newest first, and the ids of records that can't be read.
pub async fn all_finds() -> Result<(Vec<Find>, Vec<String>), String> {
    let (finds, damaged) = the_store().await?.finds().await.map_err(|e| e.to_string())?;
    Ok((finds, damaged.into_iter().map(|d| d.id).collect()))
}

pub async fn one_find(id: String) -> Result<Option<Find>, String> {
    the_store().await?.find(&id).await.map_err(|e| e.to_string())
}

/// Makes a find of the reel on the table and opens it.
pub fn keep_draft(shared: Shared) {
    spawn_local(async move {
        let draft = shared.draft.get_untracked();
        let made = async {
            let mut find = Find::new(&store::new_id()?, store::now_ms());
            find.sheet = draft.sheet.clone();
            find.stall = draft.stall.clone();
            find.place = shared.prefs.with_untracked(|p| p.place.clone());
            the_store().await.map_err(StoreError::Other)?.put_find(&find, None).await
        };
        match made.await {
            Ok(saved) => {
                let id = saved.find.id.clone();
                shared.change_draft(|draft| draft.find = Some(id.clone()));
                shared.changed.update(|n| *n += 1);
                shared.say("Saved on this phone.");
                go(Route::Find(id));
            }
            Err(error) => shared.warn(error.to_string()),
        }
    });
}

/// Changes one find; another tab's edit made meanwhile is joined, not overwritten.
pub fn change_find(shared: Shared, id: String, change: Box<dyn FnOnce(&mut Find)>) {
    spawn_local(async move {
        match change_now(&id, change).await {
            Ok(merged) => {
                shared.say(if merged { "Saved, together with what another tab had written." } else { "Saved." });
                shared.changed.update(|n| *n += 1);
            }
            Err(trouble) => shared.warn(trouble),
        }
    });
}

async fn change_now(id: &str, change: Box<dyn FnOnce(&mut Find)>) -> Result<bool, String> {
    let store = the_store().await?;
    let base =
        store.find(id).await.map_err(|e| e.to_string())?.ok_or("This find is gone: it was deleted elsewhere.")?;
    let mut find = base.clone();
    change(&mut find);
    if find == base {
        return Ok(false);
    }
    store.put_find(&find, Some(&base)).await.map(|saved| saved.merged).map_err(|e| e.to_string())
}

/// Writes what was added on the table into the find it belongs to.
pub fn save_sheet_of_find(shared: Shared) {
    let Draft { sheet, find: Some(id), stall } = shared.draft.get_untracked() else { return };
    spawn_local(async move {
        let change = Box::new(move |find: &mut Find| {
            find.sheet.join(&sheet);
            find.stall = stall;
        });
        match change_now(&id, change).await {
            Ok(_) => shared.changed.update(|n| *n += 1),
            Err(trouble) => shared.warn(trouble),
        }
    });
}

/// Puts a find on the table, to go on naming it.
pub fn take_up(shared: Shared, id: String) {
    if shared.draft.with_untracked(|d| d.find.as_ref() == Some(&id)) {
        return;
    }
    spawn_local(async move {
        match one_find(id).await {
            Ok(Some(find)) => {
                shared
                    .change_draft(|draft| *draft = Draft { sheet: find.sheet, stall: find.stall, find: Some(find.id) });
            }
            Ok(None) => shared.warn("This find is gone: it was deleted elsewhere."),
            Err(trouble) => shared.warn(trouble),
        }
    });
}

pub fn confirm(shared: Shared, id: String, model: String) {
    spawn_local(async move {
        let change = Box::new(move |find: &mut Find| find.state = FindState::Confirmed { model, variant: None });
        match change_now(&id, change).await {
            Ok(_) => {
                shared.changed.update(|n| *n += 1);
                shared.say("Saved: confirmed. The key counts it from now on.");
                load_packs(shared);
            }
            Err(trouble) => shared.warn(trouble),
        }
    });
}

pub fn delete(shared: Shared, id: String) {
    spawn_local(async move {
        let deleted = async { the_store().await.map_err(StoreError::Other)?.delete_find(&id).await };
        match deleted.await {
            Ok(_) => {
                if shared.draft.with_untracked(|d| d.find.as_ref() == Some(&id)) {
                    shared.change_draft(|draft| *draft = Draft::default());
                }
                shared.changed.update(|n| *n += 1);
                shared.word.set(Some(Word { text: "Deleted.".into(), bad: false, undo: Some(id), table: None }));
            }
            Err(error) => shared.warn(error.to_string()),
        }
    });
}

pub fn bring_back(shared: Shared, id: String) {
    spawn_local(async move {
        let restored = async { the_store().await.map_err(StoreError::Other)?.restore_find(&id).await };
        match restored.await {
            Ok(_) => {
                shared.changed.update(|n| *n += 1);
                shared.say("It is back.");
                go(Route::Find(id));
            }
            Err(error) => shared.warn(error.to_string()),
        }
    });
}

/// Scales and keeps photos one after another; each is safe before the next is begun.
pub fn add_photos(shared: Shared, id: String, files: Vec<web_sys::File>, busy: RwSignal<usize>) {
    busy.update(|n| *n += files.len());
    spawn_local(async move {
        for file in files {
            let kept = async {
                let ready = photo::take(&file).await?;
                let store = the_store().await?;
                let sha256 =
                    store.put_photo(&ready.bytes, &ready.thumb, photo::MEDIA_TYPE).await.map_err(|e| e.to_string())?;
                let photo =
                    PhotoRef { sha256, width_px: ready.width_px, height_px: ready.height_px, ..PhotoRef::default() };
                change_now(
                    &id,
                    Box::new(move |find| {
                        if !find.photos.iter().any(|p| p.sha256 == photo.sha256) {
                            find.photos.push(photo);
                        }
                    }),
                )
                .await
            };
            match kept.await {
                Ok(_) => {
                    shared.changed.update(|n| *n += 1);
                    shared.say("Photo saved.");
                }
                Err(trouble) => shared.warn(trouble),
            }
            let _ = busy.try_update(|n| *n -= 1);
        }
    });
}

pub fn remove_photo(shared: Shared, id: String, sha256: String) {
    change_find(shared, id, Box::new(move |find| find.photos.retain(|p| p.sha256 != sha256)));
}

pub async fn thumb_url(sha256: String) -> Option<String> {
    let bytes = the_store().await.ok()?.thumb(&sha256).await.ok()??;
    Some(data_url("image/jpeg", &bytes))
}

pub async fn photo(sha256: &str) -> Result<Option<store::Photo>, String> {
    the_store().await?.photo(sha256).await.map_err(|e| e.to_string())
}

pub async fn photo_url(sha256: String) -> Option<String> {
    let photo = photo(&sha256).await.ok()??;
    Some(data_url(&photo.media_type, &photo.bytes))
}

fn data_url(media_type: &str, bytes: &[u8]) -> String {
    format!("data:{media_type};base64,{}", base64(bytes))
}

/// Standard base64, for a `data:` address: shorter than the browser's own way, which wants text.
pub fn base64(bytes: &[u8]) -> String {
    const DIGITS: &[u8; 64] = b"ABCDEFGHIJKLMNOPQRSTUVWXYZabcdefghijklmnopqrstuvwxyz0123456789+/";
    let mut text = String::with_capacity(bytes.len().div_ceil(3) * 4);
    for three in bytes.chunks(3) {
        let bits = three.iter().fold(0_u32, |bits, b| bits << 8 | u32::from(*b)) << (8 * (3 - three.len()));
        for at in 0..4 {
            text.push(if at <= three.len() { DIGITS[(bits >> (18 - 6 * at) & 63) as usize] as char } else { '=' });
        }
    }
    text
}

/// Keeps a model of the person's own and lets the key learn it.
pub fn add_own_model(shared: Shared, told: Told, sheet: Sheet, then: impl FnOnce() + 'static) {
    spawn_local(async move {
        let kept = async {
            let own = OwnModel { id: store::new_id()?, told, sheet };
            let json = serde_json::to_string(&own).map_err(|e| StoreError::Other(e.to_string()))?;
            the_store().await.map_err(StoreError::Other)?.put_own_model(&own.id, &json).await
        };
        match kept.await {
            Ok(()) => {
                shared.say("Saved: your model is in the key.");
                load_packs(shared);
                then();
            }
            Err(error) => shared.warn(error.to_string()),
        }
    });
}

/// The models the person added.
pub async fn own_models() -> Vec<OwnModel> {
    let Ok(store) = the_store().await else { return Vec::new() };
    let kept = store.own_models().await.unwrap_or_default();
    kept.iter().filter_map(|json| serde_json::from_str(json).ok()).collect()
}

pub fn remove_own_model(shared: Shared, id: String) {
    spawn_local(async move {
        let removed = async { the_store().await.map_err(StoreError::Other)?.delete_own_model(&id).await };
        match removed.await {
            Ok(()) => {
                shared.changed.update(|n| *n += 1);
                load_packs(shared);
            }
            Err(error) => shared.warn(error.to_string()),
        }
    });
}

pub fn remember_place(shared: Shared, place: &str) {
    shared.prefs.update(|p| p.place = place.to_owned());
    shared.prefs.with_untracked(prefs::save);
}

pub fn remember_currency(shared: Shared, currency: &str) {
    shared.prefs.update(|p| p.currency = currency.to_owned());
    shared.prefs.with_untracked(prefs::save);
}

/// One file that opens in any browser, for a helper's opinion; shared where the browser can, saved otherwise.
pub fn send_page(shared: Shared, world: World, find: Find) {
    spawn_local(async move {
        match crate::page::make(world, &find).await {
            Ok(html) => match crate::page::hand_over(&html, "reel.html").await {
                Ok(words) => shared.say(words),
                Err(trouble) => shared.warn(trouble),
            },
            Err(trouble) => shared.warn(trouble),
        }
    });
}

pub async fn storage_in_words() -> Vec<String> {
    let mut lines = Vec::new();
    match all_finds().await {
        Ok((finds, damaged)) => {
            let kept = finds.iter().filter(|f| f.deleted_ms.is_none()).count();
            let photos: usize = finds.iter().filter(|f| f.deleted_ms.is_none()).map(|f| f.photos.len()).sum();
            lines.push(format!(
                "{} and {} on this phone.",
                crate::words::count(kept, "find", "finds"),
                crate::words::count(photos, "photo", "photos")
            ));
            if !damaged.is_empty() {
                lines.push(format!(
                    "{} can’t be read and left untouched.",
                    crate::words::count(damaged.len(), "record", "records")
                ));
            }
        }
        Err(trouble) => lines.push(trouble),
    }
    let room = store::estimate().await;
    if let (Some(used), Some(quota)) = (room.used_bytes, room.quota_bytes) {
        let share = used / quota.max(1.0);
        lines.push(format!("{:.1} MB used of {:.0} MB that the browser allows.", used / 1e6, quota / 1e6));
        if share > 0.8 {
            lines.push("Room is running out: delete finds you no longer need before the next market.".into());
        }
    }
    lines.push(match room.persisted {
        Some(true) => "The browser has promised not to clear it by itself.".into(),
        Some(false) => "The browser may clear it when the phone runs out of room.".into(),
        None => "This browser does not say whether it clears storage by itself.".to_owned(),
    });
    lines
}

pub fn ask_to_stay(shared: Shared) {
    spawn_local(async move {
        match store::ask_to_keep().await {
            Some(true) => shared.say("Promised: it is kept until you clear it."),
            _ => shared.say("The browser did not promise it. Put Tailplate on the home screen: that helps."),
        }
        shared.changed.update(|n| *n += 1);
    });
}
