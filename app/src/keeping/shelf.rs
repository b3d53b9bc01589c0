//! Every record's row, in memory: lists and search read from here, and nothing else is opened for them.

use std::cell::{OnceCell, RefCell};
use std::collections::BTreeSet;
use std::ops::Range;
use std::sync::Arc;

use leptos::prelude::*;
use tailplate_core::record::Kind;
use tailplate_core::reference::Reference;
use tailplate_core::shop::{Row, Sought, Texts};
use wasm_bindgen_futures::spawn_local;

use super::the_store;
use crate::state::Shared;

thread_local! {
    static SHELF: RefCell<Shelf> = const { RefCell::new(Shelf { rows: Vec::new(), texts: OnceCell::new(), ready: false }) };
}

thread_local! {
    /// Rises whenever a row comes, goes or moves.
    static TURN: ArcRwSignal<u32> = ArcRwSignal::new(0);
}

struct Shelf {
    /// Newest change first.
    rows: Vec<Arc<Row>>,
    /// What a search looks at of each row; made when it is asked for.
    texts: OnceCell<Known>,
    ready: bool,
}

struct Known {
    texts: Texts,
    /// Whose models' names are in the texts.
    reference: &'static Reference,
}

/// Waits until every row is here.
pub async fn ready() -> Result<(), String> {
    if SHELF.with_borrow(|shelf| shelf.ready) {
        return Ok(());
    }
    read().await
}

/// Reads every row from the store.
async fn read() -> Result<(), String> {
    let store = the_store().await?;
    let mut rows = Vec::new();
    store.rows(|some| rows.extend(some.into_iter().map(Arc::new))).await.map_err(|e| e.to_string())?;
    newest_first(&mut rows);
    SHELF.set(Shelf { rows, texts: OnceCell::new(), ready: true });
    moved();
    Ok(())
}

/// Ids of records that can't be read.
pub async fn damaged() -> Result<Vec<String>, String> {
    ready().await?;
    let known: OnceCell<BTreeSet<String>> = OnceCell::new();
    let ids = || with(|rows| rows.iter().map(|row| row.id.clone()).collect());
    let count = with(<[Arc<Row>]>::len);
    let store = the_store().await?;
    store.damaged(count, |id| known.get_or_init(ids).contains(id)).await.map_err(|e| e.to_string())
}

fn moved() {
    SHELF.with_borrow_mut(|shelf| shelf.texts.take());
    TURN.with(|turn| turn.update(|n| *n = n.wrapping_add(1)));
}

/// Where the shelf stands; who asks is called again when it is another. Places on the shelf hold for one turn only.
pub fn turn() -> u32 {
    TURN.with(|turn| turn.get())
}

/// The same, and nobody is called.
pub fn turn_now() -> u32 {
    TURN.with(|turn| turn.get_untracked())
}

fn newest_first(rows: &mut [Arc<Row>]) {
    rows.sort_unstable_by(|a, b| b.changed_ms.cmp(&a.changed_ms).then_with(|| a.id.cmp(&b.id)));
}

/// Looks at the rows, newest change first, those of deleted records among them.
pub fn with<T>(look: impl FnOnce(&[Arc<Row>]) -> T) -> T {
    SHELF.with_borrow(|shelf| look(&shelf.rows))
}

/// The shelf as a search sees it.
pub struct Searched<'a> {
    pub rows: &'a [Arc<Row>],
    texts: &'a OnceCell<Known>,
    reference: &'static Reference,
}

/// Looks for words. `reference`: where the names of models stand, which a search finds too.
pub fn search<T>(reference: &'static Reference, look: impl FnOnce(&Searched) -> T) -> T {
    SHELF.with_borrow_mut(|shelf| {
        if shelf.texts.get().is_some_and(|known| !std::ptr::eq(known.reference, reference)) {
            shelf.texts.take();
        }
        look(&Searched { rows: &shelf.rows, texts: &shelf.texts, reference })
    })
}

impl Searched<'_> {
    /// Whether the row at a place holds every word.
    pub fn holds(&self, sought: &Sought, place: usize) -> bool {
        sought.is_empty() || sought.are_in(self.texts().get(place))
    }

    /// The first of some rows that holds every word.
    pub fn first(&self, sought: &Sought, among: Range<usize>) -> Option<usize> {
        if sought.is_empty() {
            (!among.is_empty()).then_some(among.start)
        } else {
            sought.first_in(self.texts(), among)
        }
    }

    /// The texts are made now, if they are not there.
    pub fn texts(&self) -> &Texts {
        &self
            .texts
            .get_or_init(|| Known {
                texts: Texts::of(self.rows.iter().map(Arc::as_ref), self.reference),
                reference: self.reference,
            })
            .texts
    }
}

/// Ids of the records that belong to one: a job's reels, a customer's jobs.
pub fn of(kind: Kind, owner: &str) -> Vec<String> {
    with(|rows| {
        let mut mine: Vec<&Arc<Row>> =
            rows.iter().filter(|row| row.kind == kind && !row.deleted && row.of == owner).collect();
        mine.sort_unstable_by(|a, b| a.made_ms.cmp(&b.made_ms).then_with(|| a.id.cmp(&b.id)));
        mine.iter().map(|row| row.id.clone()).collect()
    })
}

/// A row was written.
pub fn put(row: Row) {
    SHELF.with_borrow_mut(|shelf| {
        shelf.rows.retain(|other| other.id != row.id);
        let at = shelf.rows.partition_point(|other| other.changed_ms > row.changed_ms);
        shelf.rows.insert(at, Arc::new(row));
    });
    moved();
}

/// Many rows were written.
pub fn put_all(rows: Vec<Row>) {
    SHELF.with_borrow_mut(|shelf| {
        let new: BTreeSet<String> = rows.iter().map(|row| row.id.clone()).collect();
        shelf.rows.retain(|other| !new.contains(&other.id));
        shelf.rows.extend(rows.into_iter().map(Arc::new));
        newest_first(&mut shelf.rows);
    });
    moved();
}

pub fn forget(ids: &[String]) {
    SHELF.with_borrow_mut(|shelf| shelf.rows.retain(|row| !ids.contains(&row.id)));
    moved();
}

/// Another tab has written: its row, or all of them, are read again.
pub fn heard(shared: Shared, id: String) {
    spawn_local(async move {
        let row = match (id.as_str(), the_store().await) {
            ("", _) | (_, Err(_)) => None,
            (id, Ok(store)) => store.row(id).await.ok().flatten(),
        };
        match row {
            Some(row) => put(row),
            None => {
                let _ = read().await;
            }
        }
        shared.changed.update(|n| *n += 1);
    });
}
