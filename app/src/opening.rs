//! The order of things at start: the packs, the first screen's answer, then the rooms behind it.

use leptos::prelude::*;
use tailplate_core::key::Learned;
use wasm_bindgen_futures::spawn_local;

use crate::pace::{breathe, next_frame};
use crate::packs;
use crate::state::Shared;
use crate::workshop;

/// Reads the packs, and the rest of the program when the first screen answers.
pub fn open(shared: Shared) {
    spawn_local(async move {
        let (practice, empty) = (shared.prefs.with_untracked(|p| p.practice), Learned::default());
        let features = packs::load_features(practice, packs::Add::FIRST, |_| (), &empty);
        let features = match features.await {
            Ok(features) => features,
            Err(trouble) => return shared.world.set(Some(Err(trouble))),
        };
        // A reel that is already begun may bear lettering; one that is not can wait for it.
        let begun = shared.kind().is_some();
        if !begun {
            shared.world.set(Some(Ok(features.so_far())));
            // From the next frame on the first screen answers: what the cold start is measured by.
            next_frame().await;
            mark_usable();
            breathe().await;
        }
        shared.world.set(Some(Ok(features.with_lettering().await)));
        next_frame().await;
        if begun {
            mark_usable();
        }
        workshop::enter(shared, move |workshop| (workshop.start)(shared));
    });
}

fn mark_usable() {
    if let Some(performance) = window().performance() {
        let _ = performance.mark("usable");
    }
}
