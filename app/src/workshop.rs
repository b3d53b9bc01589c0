//! The rooms behind the first one: everything but naming the reel on the table.
//!
//! The build cuts the program here: what can be reached only through [`fetch`] becomes a file of its own, read after the
//! first screen answers. The two parts are one program and share memory; only these functions may be called across.

use leptos::prelude::*;
use leptos::wasm_split::{SplitLoaderError, wasm_split};
use wasm_bindgen_futures::spawn_local;

use crate::keeping;
use crate::route::Route;
use crate::screens::{
    bench, compare, copy, fault, find, finds, hand_back, job, jobs, model, more, own_model, paper, places, quote, reel,
    scan, search, service, settings, shop, stall, strip,
};
use crate::state::Shared;
use crate::update;
use crate::widgets::ask::AskDialog;

/// What the first part asks of the second.
#[derive(Clone, Copy)]
pub struct Workshop {
    pub screen: fn(Route) -> AnyView,
    /// The dialog of the question before the person.
    pub ask: fn() -> AnyView,
    /// What can be looked into below the checks, for a kind of reel.
    pub more: fn(String) -> AnyView,
    /// Opens the store, whose records sharpen the key, and looks after newer versions.
    pub start: fn(Shared),
    pub keep_draft: fn(Shared),
    pub save_sheet_of_find: fn(Shared),
    pub bring_back: fn(Shared, String),
    pub use_update: fn(),
}

#[wasm_split(workshop, wasm_split_path = leptos::wasm_split, fallible)]
fn fetch() -> Result<Workshop, SplitLoaderError> {
    Ok(Workshop {
        screen,
        ask: || view! { <AskDialog/> }.into_any(),
        more: |kind| view! { <more::More kind/> }.into_any(),
        start: |shared| {
            keeping::open(shared);
            update::watch(shared);
        },
        keep_draft: keeping::keep_draft,
        save_sheet_of_find: keeping::save_sheet_of_find,
        bring_back: keeping::bring_back,
        use_update: update::use_it,
    })
}

/// Does something with the second part, as soon as it is there.
pub fn enter(shared: Shared, act: impl FnOnce(Workshop) + 'static) {
    if let Some(workshop) = shared.workshop.get_untracked() {
        return act(workshop);
    }
    spawn_local(async move {
        match fetch().await {
            Ok(workshop) => {
                if shared.workshop.with_untracked(Option::is_none) {
                    shared.workshop.set(Some(workshop));
                }
                act(workshop);
            }
            Err(_) => shared.warn(
                "A part of Tailplate could not be read. Open it once with a connection; from then on it works without one.",
            ),
        }
    });
}

fn screen(route: Route) -> AnyView {
    match route {
        Route::Identify => ().into_any(),
        Route::Finds => view! { <finds::Finds/> }.into_any(),
        Route::Find(id) => view! { <find::FindScreen id/> }.into_any(),
        Route::Stall => view! { <stall::Stall/> }.into_any(),
        Route::Settings => view! { <settings::Settings/> }.into_any(),
        Route::Model(id) => view! { <model::ModelScreen id/> }.into_any(),
        Route::Compare(ids) => view! { <compare::Compare ids/> }.into_any(),
        Route::OwnModel => view! { <own_model::OwnModel/> }.into_any(),
        Route::Jobs => view! { <jobs::Jobs/> }.into_any(),
        Route::Job(id) => view! { <job::JobScreen id/> }.into_any(),
        Route::Quote(id) => view! { <quote::QuoteScreen id/> }.into_any(),
        Route::HandBack(id) => view! { <hand_back::HandBack id/> }.into_any(),
        Route::Reel(id) => view! { <reel::ReelScreen id/> }.into_any(),
        Route::Paper(sheet, id) => view! { <paper::Paper sheet id/> }.into_any(),
        Route::Bench => view! { <bench::Bench/> }.into_any(),
        Route::Faults(id) => view! { <fault::FaultScreen id/> }.into_any(),
        Route::Strip(id) => view! { <strip::StripScreen id/> }.into_any(),
        Route::Service(id) => view! { <service::ServiceScreen id/> }.into_any(),
        Route::Scan => view! { <scan::Scan/> }.into_any(),
        Route::Search => view! { <search::Search/> }.into_any(),
        Route::Copy => view! { <copy::CopyScreen/> }.into_any(),
        Route::Shop => view! { <shop::Shop/> }.into_any(),
        Route::More => view! { <places::Places/> }.into_any(),
    }
}
