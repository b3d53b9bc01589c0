//! The person's own models, small choices that are remembered, and the page for a helper.

use leptos::prelude::*;
use tailplate_core::fit;
use tailplate_core::observe::Sheet;
use tailplate_core::record::Kind;
use tailplate_core::shop::own_model::{OwnModel, Told};
use tailplate_core::shop::{Find, Fitment, Need};
use wasm_bindgen_futures::spawn_local;

use super::{load_packs, new_id, shelf, the_store};
use crate::prefs;
use crate::state::{Shared, World};

/// Keeps a model of the person's own and lets the key learn it.
pub fn add_own_model(shared: Shared, told: Told, sheet: Sheet, then: impl FnOnce() + 'static) {
    spawn_local(async move {
        let kept = async {
            let own = OwnModel { id: new_id()?, told, sheet };
            let json = serde_json::to_string(&own).map_err(|e| e.to_string())?;
            the_store().await?.put_own_model(&own.id, &json).await.map_err(|e| e.to_string())
        };
        match kept.await {
            Ok(()) => {
                shared.say("Saved: your model is in the key.");
                load_packs(shared);
                then();
            }
            Err(trouble) => shared.warn(trouble),
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
        let removed = async { the_store().await?.delete_own_model(&id).await.map_err(|e| e.to_string()) };
        match removed.await {
            Ok(()) => {
                shared.changed.update(|n| *n += 1);
                load_packs(shared);
            }
            Err(trouble) => shared.warn(trouble),
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

/// Deletes every fact on what fits what that is from this source alone.
pub fn drop_source(shared: Shared, source: String) {
    super::work(shared, async move {
        shelf::ready().await?;
        let ids = shelf::with(|rows| {
            let there = rows.iter().filter(|row| row.kind == Kind::Fitment && !row.deleted);
            there.map(|row| row.id.clone()).collect::<Vec<_>>()
        });
        for one in super::some::<Fitment>(&ids).await?.iter().filter(|one| one.fact.sources == [source.as_str()]) {
            super::set_deleted::<Fitment>(&one.id, true).await?;
        }
        shared.say(format!("Dropped: everything from {source}."));
        Ok(())
    });
}

/// Raises a need in the person's own words: “click spring for …” is the part, and the reel it is for.
pub fn raise_need_in_words(shared: Shared, written: String) {
    super::work(shared, async move {
        let world = super::full_world(shared).await?;
        let (part, model) = fit::words::part_and_reel(world.reference, &written);
        raise_need(shared, None, part, model);
        Ok(())
    });
}

/// Raises a need, from anywhere.
pub fn raise_need(shared: Shared, reel: Option<String>, part: String, model: String) {
    super::work(shared, async move {
        let mut need = Need::new(&new_id()?, crate::store::now_ms(), &part);
        need.urgency = if reel.is_some() { 3 } else { 2 };
        need.reel = reel;
        need.model = model;
        super::add(&need).await?;
        shared.say("The need is raised.");
        Ok(())
    });
}
