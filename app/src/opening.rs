//! The order of things at start: the packs, the first screen's answer, then the rooms behind it.

use leptos::prelude::*;
use tailplate_core::key::Learned;
use tailplate_core::observe::Observation;
use wasm_bindgen_futures::spawn_local;

use crate::packs;
use crate::state::Shared;
use crate::workshop;

/// Reads the packs, and the rest of the program when the first screen answers.
pub fn open(shared: Shared) {
    spawn_local(async move {
        let (practice, empty) = (shared.prefs.with_untracked(|p| p.practice), Learned::default());
        let world = packs::load(
            practice,
            packs::Add::FIRST,
            |_| (),
            &empty,
            |kinds| {
                if shared.kinds.with_untracked(Vec::is_empty) {
                    // A kind tapped on the page before the program was there.
                    let early =
                        js_sys::Reflect::get(&window(), &"tailplateKind".into()).ok().and_then(|kind| kind.as_string());
                    if let Some(kind) =
                        early.filter(|kind| shared.kind().is_none() && kinds.iter().any(|k| k.id == *kind))
                    {
                        shared.see(Observation::state("reel_kind", &kind));
                    }
                    shared.kinds.set(kinds.to_vec());
                }
            },
        );
        shared.world.set(Some(world.await));
        // From the next frame on the first screen answers: what the cold start is measured by.
        request_animation_frame(move || {
            if let Some(performance) = window().performance() {
                let _ = performance.mark("usable");
            }
            workshop::enter(shared, move |workshop| (workshop.start)(shared));
        });
    });
}
