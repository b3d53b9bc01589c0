//! What the screens ask of the store. Saves run outside of screens, so that leaving one never drops a write; nothing is
//! called saved before it is on the disk.

pub mod copy;
pub mod counter;
pub mod demo;
mod finds;
pub mod guides;
pub mod inventory;
mod own;
mod photos;
mod room;
pub mod shared;
pub mod shelf;
pub mod sync;
pub mod tags;

use std::cell::RefCell;
use std::future::Future;
use std::time::Duration;

use leptos::prelude::*;
use tailplate_core::record::Record;
use wasm_bindgen_futures::spawn_local;

pub use finds::*;
pub use own::*;
pub use photos::*;
pub use room::*;

use crate::state::Shared;
use crate::store::{self, Store, StoreError, Watch};

const MONTH_MS: i64 = 30 * 24 * 3_600_000;
const PURGE_AFTER: Duration = Duration::from_secs(30);

thread_local! {
    static STORE: RefCell<Option<Result<Store, String>>> = const { RefCell::new(None) };
    /// Kept so that the other tabs are heard.
    static WATCH: RefCell<Option<Watch>> = const { RefCell::new(None) };
}

/// The store, opened once. Screens ask before it is there: then it is opened on their way.
pub async fn the_store() -> Result<Store, String> {
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
                WATCH.set(store.on_change(move |id| shelf::heard(shared, id)));
                if let Err(trouble) = shelf::ready().await {
                    shared.warn(trouble);
                }
                shared.changed.update(|n| *n += 1);
                // What was deleted a month ago, and photos that no record names, make room.
                let old = store::now_ms() - MONTH_MS;
                let gone = shelf::with(|rows| {
                    let old = rows.iter().filter(|row| row.deleted && row.changed_ms < old);
                    old.map(|row| row.id.clone()).collect::<Vec<_>>()
                });
                if !gone.is_empty() && store.forget(&gone).await.is_ok() {
                    shelf::forget(&gone);
                }
                sharpen(shared, &store).await;
                sync::begin(shared);
                // It looks through every record: not while somebody waits for the first screen.
                let purge = move || spawn_local(async move { drop(store.purge_photos(old).await) });
                set_timeout(purge, PURGE_AFTER);
            }
        }
    });
}

/// One record, by its id.
pub async fn one<R: Record>(id: String) -> Result<Option<R>, String> {
    the_store().await?.one(&id).await.map_err(|e| e.to_string())
}

/// Those of the records that are there and can be read.
pub async fn some<R: Record>(ids: &[String]) -> Result<Vec<R>, String> {
    let (records, _) = the_store().await?.some(ids).await.map_err(|e| e.to_string())?;
    Ok(records)
}

/// Keeps a new record; it is on the disk when this returns.
pub async fn add<R: Record>(record: &R) -> Result<R, String> {
    let saved = the_store().await?.put(record, None).await.map_err(|e| e.to_string())?;
    shelf::put(saved.row);
    Ok(saved.record)
}

/// Changes a record and waits for the disk; true: another tab's edit made meanwhile is in it too.
pub async fn change_now<R: Record>(id: &str, change: impl FnOnce(&mut R)) -> Result<bool, String> {
    let store = the_store().await?;
    let base = store.one::<R>(id).await.map_err(|e| e.to_string())?;
    let base = base.ok_or_else(|| format!("This {} is gone: it was deleted elsewhere.", R::KIND.word()))?;
    let mut mine = base.clone();
    change(&mut mine);
    if mine == base {
        return Ok(false);
    }
    let saved = store.put(&mine, Some(&base)).await.map_err(|e| e.to_string())?;
    shelf::put(saved.row);
    Ok(saved.merged)
}

/// Changes one record; another tab's edit made meanwhile is joined, not overwritten.
pub fn change<R: Record + 'static>(shared: Shared, id: String, change: impl FnOnce(&mut R) + 'static) {
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

/// Puts a record aside as deleted, or brings it back.
async fn set_deleted<R: Record>(id: &str, deleted: bool) -> Result<(), String> {
    change_now::<R>(id, |record| {
        let now = store::now_ms().max(record.changed_ms() + 1);
        record.set_deleted_ms(deleted.then_some(now));
    })
    .await
    .map(|_| ())
}

/// Does something with the store outside of the screen that asked; trouble is told at the foot.
pub fn work(shared: Shared, doing: impl Future<Output = Result<(), String>> + 'static) {
    spawn_local(async move {
        if let Err(trouble) = doing.await {
            shared.warn(trouble);
        }
        shared.changed.update(|n| *n += 1);
    });
}

pub fn new_id() -> Result<String, String> {
    store::new_id().map_err(|error: StoreError| error.to_string())
}
