//! The connection to IndexedDB: how it is opened, lost and reopened, and what one transaction is.
//!
//! Inside a transaction nothing may be awaited but its own requests, or the browser commits it: whatever is written is
//! encoded first. A write has succeeded when its transaction is complete, not before.

use std::cell::RefCell;
use std::rc::Rc;

use idb::{
    Database, DatabaseEvent, Event as _, Factory, IndexParams, KeyPath, ObjectStoreParams, Request, Transaction,
};
use js_sys::{Array, Function, Promise, Reflect};
use wasm_bindgen::closure::Closure;
use wasm_bindgen::{JsCast, JsValue};
use wasm_bindgen_futures::JsFuture;
use web_sys::{Event, IdbDatabase, IdbTransaction};

use super::StoreError;

pub const NAME: &str = "tailplate";
const VERSION: u32 = 3;

pub const RECORDS: &str = "records";
pub const PHOTOS: &str = "photos";
pub const THUMBS: &str = "thumbs";
pub const MODELS: &str = "models";
pub const META: &str = "meta";
/// One line a record, for lists; many of them in one block.
pub const SHELF: &str = "shelf";
/// What the shop's computer has not acknowledged.
pub const OUTBOX: &str = "outbox";
/// Index of `photos` by the time they were put.
pub const BY_PUT_MS: &str = "put_ms";

type Result<T> = std::result::Result<T, StoreError>;
type Slot = Rc<RefCell<Option<Rc<Open>>>>;

/// An open database with its handlers, which must live as long as it is open.
struct Open {
    raw: IdbDatabase,
    _handlers: Database,
}

/// The one connection of this tab; empty until first used, and again after the browser dropped it.
#[derive(Clone, Default)]
pub struct Connection {
    open: Slot,
}

impl Connection {
    /// Opens the database if need be.
    pub async fn check(&self) -> Result<()> {
        self.database().await.map(|_| ())
    }

    async fn database(&self) -> Result<IdbDatabase> {
        if let Some(open) = self.open.borrow().as_ref() {
            return Ok(open.raw.clone());
        }
        let raw = open().await?;
        let mut database = Database::from(raw.clone());
        // Another tab wants to upgrade: make way, or it would hang.
        let slot = self.open.clone();
        database.on_version_change(move |_| drop_open(&slot));
        let slot = self.open.clone();
        database.on_close(move |_| drop_open(&slot));
        *self.open.borrow_mut() = Some(Rc::new(Open { raw: raw.clone(), _handlers: database }));
        Ok(raw)
    }

    /// Does the work in one transaction; if the connection is lost, once more on a new one.
    ///
    /// The work may run twice, so it has to give the same result when part of it was done already.
    pub async fn run<T>(
        &self,
        stores: &[&str],
        mode: Mode,
        work: impl AsyncFn(&Transaction) -> Result<T>,
    ) -> Result<T> {
        let mut tried = false;
        loop {
            let trouble = match self.start(stores, mode).await {
                Err(trouble) => trouble,
                Ok((raw, complete)) => {
                    let (value, failed) = match work(&Transaction::from(raw.clone())).await {
                        Ok(value) => (Some(value), None),
                        Err(trouble) => (None, Some(trouble)),
                    };
                    match (end(raw, complete, failed).await, value) {
                        (Ok(()), Some(value)) => return Ok(value),
                        (Err(trouble), _) => trouble,
                        (Ok(()), None) => StoreError::Lost,
                    }
                }
            };
            if tried || trouble != StoreError::Lost {
                return Err(trouble);
            }
            tried = true;
            drop_open(&self.open);
        }
    }

    async fn start(&self, stores: &[&str], mode: Mode) -> Result<(IdbTransaction, JsFuture)> {
        let raw = begin(&self.database().await?, stores, mode)?;
        let complete = completion(&raw);
        Ok((raw, complete))
    }
}

/// Waits until the transaction is complete; only then is anything saved.
async fn end(raw: IdbTransaction, complete: JsFuture, failed: Option<StoreError>) -> Result<()> {
    if failed.is_some() {
        // Left alone, a transaction whose work failed half-way would still commit.
        let _ = raw.abort();
    }
    match (failed, complete.await) {
        (None, Ok(_)) => Ok(()),
        (None, Err(why)) => Err(StoreError::from_js(&why)),
        (Some(StoreError::Lost), Err(why)) if !why.is_null() => Err(StoreError::from_js(&why)),
        (Some(told), _) => Err(told),
    }
}

/// Reading, or writing with the change on the disk before it counts as complete.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Mode {
    Read,
    Write,
}

fn drop_open(slot: &Slot) {
    // Taken out first: closing may call back into here.
    let open = slot.borrow_mut().take();
    if let Some(open) = open {
        open.raw.close();
        // The handler that is running right now may belong to it; it must outlive its own call.
        wasm_bindgen_futures::spawn_local(async move { drop(open) });
    }
}

/// Begins a transaction by hand: `idb` can't ask for strict durability, and a phone may die in the next second.
fn begin(database: &IdbDatabase, stores: &[&str], mode: Mode) -> Result<IdbTransaction> {
    let names: Array = stores.iter().map(|name| JsValue::from_str(name)).collect();
    let options = js_sys::Object::new();
    let word = match mode {
        Mode::Read => "readonly",
        Mode::Write => {
            set(&options, "durability", &"strict".into());
            "readwrite"
        }
    };
    let begin: Function = get(database, "transaction").unchecked_into();
    match begin.call3(database, &names, &word.into(), &options) {
        Ok(transaction) => Ok(transaction.unchecked_into()),
        Err(why) => Err(StoreError::from_js(&why)),
    }
}

fn completion(transaction: &IdbTransaction) -> JsFuture {
    let promise = Promise::new(&mut |resolve, reject| {
        let complete = Closure::once_into_js(move |_: Event| {
            let _ = resolve.call0(&JsValue::NULL);
        });
        let aborted = Closure::once_into_js(move |event: Event| {
            let transaction = event.target().and_then(|target| target.dyn_into::<IdbTransaction>().ok());
            let why = transaction.and_then(|t| t.error()).map_or(JsValue::NULL, JsValue::from);
            let _ = reject.call1(&JsValue::NULL, &why);
        });
        transaction.set_oncomplete(Some(complete.unchecked_ref()));
        transaction.set_onabort(Some(aborted.unchecked_ref()));
    });
    JsFuture::from(promise)
}

/// Opens the database, or says at once that another tab is in the way.
async fn open() -> Result<IdbDatabase> {
    let mut request = Factory::new()?.open(NAME, Some(VERSION))?;
    let failed = Rc::new(RefCell::new(None));
    let upgrade_failed = failed.clone();
    request.on_upgrade_needed(move |event| {
        let made = event
            .database()
            .map_err(StoreError::from)
            .and_then(|database| lay_out(&database, event.old_version().unwrap_or_default()));
        *upgrade_failed.borrow_mut() = made.err();
    });
    let promise = Promise::new(&mut |resolve, reject| {
        let blocked = Rc::new(RefCell::new(false));
        let was_blocked = blocked.clone();
        request.on_success(move |event| {
            let database = event.target().and_then(|request| request.result()).unwrap_or(JsValue::NULL);
            if *was_blocked.borrow() {
                // Nobody waits for it any more; left open it would block others in turn.
                database.unchecked_into::<IdbDatabase>().close();
            } else {
                let _ = resolve.call1(&JsValue::NULL, &database);
            }
        });
        let reject_blocked = reject.clone();
        request.on_error(move |event| {
            let why = event.target().and_then(|request| request.error()).ok().flatten();
            let _ = reject.call1(&JsValue::NULL, &why.map_or(JsValue::NULL, JsValue::from));
        });
        request.on_blocked(move |_| {
            *blocked.borrow_mut() = true;
            let _ = reject_blocked.call1(&JsValue::NULL, &"blocked".into());
        });
    });
    let opened = JsFuture::from(promise).await;
    request.forget_callbacks();
    if let Some(error) = failed.borrow_mut().take() {
        return Err(error);
    }
    match opened {
        Ok(database) => Ok(database.unchecked_into()),
        Err(why) if why.is_string() => Err(StoreError::Blocked),
        Err(why) => Err(StoreError::from_js(&why)),
    }
}

/// The stores, each version's own on top of those before.
fn lay_out(database: &Database, from: u32) -> Result<()> {
    let keyed = |key: &str| {
        let mut params = ObjectStoreParams::new();
        params.key_path(Some(KeyPath::new_single(key)));
        params
    };
    if from < 1 {
        database.create_object_store(RECORDS, keyed("id"))?;
        let photos = database.create_object_store(PHOTOS, keyed("sha256"))?;
        photos.create_index(BY_PUT_MS, KeyPath::new_single(BY_PUT_MS), None::<IndexParams>)?;
        database.create_object_store(THUMBS, keyed("sha256"))?;
        database.create_object_store(MODELS, keyed("id"))?;
        database.create_object_store(META, keyed("key"))?;
    }
    if from < 2 {
        database.create_object_store(OUTBOX, keyed("id"))?;
    }
    if from < 3 {
        database.create_object_store(SHELF, keyed("at"))?;
        // Rows of the second version, one by one.
        if from == 2 {
            database.delete_object_store("rows")?;
        }
    }
    Ok(())
}

/// Sets a field of a fresh plain object, which can't fail.
pub fn set(object: &js_sys::Object, field: &str, value: &JsValue) {
    let _ = Reflect::set(object, &field.into(), value);
}

/// A field of a stored object; undefined where there is none.
pub fn get(object: &JsValue, field: &str) -> JsValue {
    Reflect::get(object, &field.into()).unwrap_or(JsValue::UNDEFINED)
}
