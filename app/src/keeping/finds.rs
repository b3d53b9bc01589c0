//! Finds: from the reel on the table to the list, and what they teach the key.

use leptos::prelude::*;
use tailplate_core::key::Learned;
use tailplate_core::observe::Observation;
use tailplate_core::record::{Kind, Record};
use tailplate_core::shop::own_model::{self, OwnModel};
use tailplate_core::shop::{Find, FindState, Reel};
use wasm_bindgen_futures::spawn_local;

use super::{add, change_now, new_id, one, own_models, set_deleted, shelf, the_store};
use crate::packs;
use crate::prefs::Draft;
use crate::route::{Route, go};
use crate::state::{Shared, Word, World};
use crate::store::{self, Store};

/// Makes a find of the reel on the table and opens it.
pub fn keep_draft(shared: Shared) {
    spawn_local(async move {
        let draft = shared.draft.get_untracked();
        let made = async {
            let mut find = Find::new(&new_id()?, store::now_ms());
            find.sheet = draft.sheet.clone();
            find.stall = draft.stall.clone();
            find.place = shared.prefs.with_untracked(|p| p.place.clone());
            add(&find).await
        };
        match made.await {
            Ok(find) => {
                let id = find.id;
                shared.change_draft(|draft| draft.find = Some(id.clone()));
                shared.changed.update(|n| *n += 1);
                shared.say("Saved on this phone.");
                go(Route::Find(id));
            }
            Err(trouble) => shared.warn(trouble),
        }
    });
}

/// Writes what was added on the table into the find it belongs to.
pub fn save_sheet_of_find(shared: Shared) {
    let Draft { sheet, find: Some(id), stall, of_reel } = shared.draft.get_untracked() else { return };
    spawn_local(async move {
        if of_reel {
            let kind = shared.kind();
            let change = move |reel: &mut Reel| {
                reel.sheet.join(&sheet);
                reel.kind = kind.unwrap_or_default();
            };
            match change_now(&id, change).await {
                Ok(_) => shared.changed.update(|n| *n += 1),
                Err(trouble) => shared.warn(trouble),
            }
            return;
        }
        let change = move |find: &mut Find| {
            find.sheet.join(&sheet);
            find.stall = stall;
        };
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
        match one::<Find>(id).await {
            Ok(Some(find)) => {
                shared.change_draft(|draft| {
                    *draft = Draft { sheet: find.sheet, stall: find.stall, find: Some(find.id), of_reel: false }
                });
            }
            Ok(None) => shared.warn("This find is gone: it was deleted elsewhere."),
            Err(trouble) => shared.warn(trouble),
        }
    });
}

/// Puts a reel of the shop on the table, to name it.
pub fn take_up_reel(shared: Shared, reel: &Reel) {
    let mut sheet = reel.sheet.clone();
    if sheet.answer("reel_kind").is_none() && !reel.kind.is_empty() {
        sheet.seen.push(Observation::state("reel_kind", &reel.kind));
    }
    shared.change_draft(|draft| *draft = Draft { sheet, stall: None, find: Some(reel.id.clone()), of_reel: true });
    go(Route::Identify);
}

pub fn confirm(shared: Shared, id: String, model: String) {
    spawn_local(async move {
        let change = move |find: &mut Find| find.state = FindState::Confirmed { model, variant: None };
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
        match set_deleted::<Find>(&id, true).await {
            Ok(()) => {
                if shared.draft.with_untracked(|d| d.find.as_ref() == Some(&id)) {
                    shared.change_draft(|draft| *draft = Draft::default());
                }
                shared.changed.update(|n| *n += 1);
                shared.word.set(Some(Word { text: "Deleted.".into(), bad: false, undo: Some(id), table: None }));
            }
            Err(trouble) => shared.warn(trouble),
        }
    });
}

pub fn bring_back(shared: Shared, id: String) {
    spawn_local(async move {
        match set_deleted::<Find>(&id, false).await {
            Ok(()) => {
                shared.changed.update(|n| *n += 1);
                shared.say("It is back.");
                go(Route::Find(id));
            }
            Err(trouble) => shared.warn(trouble),
        }
    });
}

/// Builds the key anew if there is anything of the shop's own to learn.
pub(super) async fn sharpen(shared: Shared, store: &Store) {
    let (learned, own) = (learned(store).await, own_models().await);
    if !own.is_empty() || learned.total() > 0 {
        rebuild(shared, &own, &learned).await;
    }
}

/// Reads the packs again, after a change of which are in use or of what was learned.
pub fn load_packs(shared: Shared) {
    spawn_local(async move {
        let Ok(store) = the_store().await else { return };
        rebuild(shared, &own_models().await, &learned(&store).await).await;
    });
}

async fn rebuild(shared: Shared, own: &[OwnModel], learned: &Learned) {
    let practice = shared.prefs.with_untracked(|p| p.practice);
    FULL.set(None);
    let turn = TURN.get() + 1;
    TURN.set(turn);
    let built = packs::load(practice, packs::Add::FIRST, |reference| own_model::add(reference, own), learned).await;
    match built {
        // Two may be under way: the later one knows what was chosen last, whichever ends first.
        _ if TURN.get() != turn => (),
        Ok(world) => shared.world.set(Some(Ok::<World, String>(world))),
        Err(trouble) => shared.warn(trouble),
    }
}

thread_local! {
    /// How often the key was built anew.
    static TURN: std::cell::Cell<u32> = const { std::cell::Cell::new(0) };
    static FULL: std::cell::Cell<Option<World>> = const { std::cell::Cell::new(None) };
}

/// Every pack, those of the bench too, with a key of their own: for what looks at models and parts together.
pub async fn full_world(shared: Shared) -> Result<World, String> {
    if let Some(ready) = FULL.get() {
        return Ok(ready);
    }
    let store = the_store().await?;
    let (own, learned) = (own_models().await, learned(&store).await);
    let practice = shared.prefs.with_untracked(|p| p.practice);
    let world = packs::load(practice, packs::Add::ALL, |reference| own_model::add(reference, &own), &learned).await?;
    FULL.set(Some(world));
    Ok(world)
}

/// What confirmed finds, and reels of the shop whose model is settled, say of their models.
async fn learned(store: &Store) -> Learned {
    let mut learned = Learned::default();
    let settled = |kind: Kind| {
        shelf::with(|rows| {
            let settled = rows.iter().filter(|row| row.kind == kind && !row.deleted && !row.model.is_empty());
            settled.map(|row| row.id.clone()).collect::<Vec<_>>()
        })
    };
    if shelf::ready().await.is_err() {
        return learned;
    }
    let (finds, reels) = (settled(Kind::Find), settled(Kind::Reel));
    if let Ok((finds, _)) = store.some::<Find>(&finds).await {
        for find in finds.iter().filter(|find| !find.is_deleted()) {
            if let FindState::Confirmed { model, .. } = &find.state {
                learned.add(model, &find.sheet.current());
            }
        }
    }
    if let Ok((reels, _)) = store.some::<Reel>(&reels).await {
        for reel in reels.iter().filter(|reel| !reel.is_deleted()) {
            if let FindState::Confirmed { model, .. } = &reel.which {
                learned.add(model, &reel.sheet.current());
            }
        }
    }
    learned
}
