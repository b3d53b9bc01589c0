//! The rooms behind the first one: everything but naming the reel on the table.
//!
//! The build cuts the program here: what can be reached only through [`fetch`] becomes a file of its own, read after the
//! first screen answers. The two parts are one program and share memory; only these functions may be called across.

use leptos::prelude::*;
use leptos::wasm_split::{SplitLoaderError, wasm_split};
use std::future::Future;

use tailplate_core::shop::Price;
use wasm_bindgen_futures::spawn_local;

use crate::keeping;
use crate::route::Route;
use crate::screens::{
    bench, buy, compare, copy, customer, fault, find, finds, hand_back, hub, job, jobs, listing, measure, model, more,
    own_model, paper, parts, places, quote, reel, scan, search, service, settings, shop, stall, strip, sums,
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
            add_styles();
            keeping::open(shared);
            update::watch(shared);
        },
        keep_draft: keeping::keep_draft,
        save_sheet_of_find: keeping::save_sheet_of_find,
        bring_back: keeping::bring_back,
        use_update: update::use_it,
    })
}

/// The styles of the rooms behind the first.
fn add_styles() {
    let first = document().query_selector("link[rel=stylesheet]").ok().flatten();
    if let (Some(first), Ok(later)) = (first, document().create_element("link"))
        && let Some(address) = first.get_attribute("href")
    {
        let _ = later.set_attribute("rel", "stylesheet");
        let _ = later.set_attribute("href", &address.replace("styles.css", "later.css"));
        let _ = first.after_with_node_1(&later);
    }
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
        Route::Search => view! { <search::Search/> }.into_any(),
        Route::More => view! { <places::Places/> }.into_any(),
        route @ (Route::Bench | Route::Faults(_) | Route::Strip(_) | Route::Service(_)) => in_part(fetch_work, route),
        route @ (Route::Sums(..) | Route::Listing | Route::Parts | Route::Buy | Route::Measure(_)) => {
            in_part(fetch_bench, route)
        }
        route @ (Route::Copy | Route::Scan | Route::Hub(_)) => in_part(fetch_desk, route),
        route => in_part(fetch_counter, route),
    }
}

type Screens = fn(Route) -> AnyView;

/// A screen of a part that is read when it is first entered.
fn in_part<F: Future<Output = Result<Screens, SplitLoaderError>> + 'static>(fetch: fn() -> F, route: Route) -> AnyView {
    let screens = RwSignal::new(None::<Option<Screens>>);
    spawn_local(async move {
        let _ = screens.try_set(Some(fetch().await.ok()));
    });
    view! {
        {move || match screens.get() {
            None => view! { <p class="waiting" role="status">"…"</p> }.into_any(),
            Some(Some(screens)) => screens(route.clone()),
            Some(None) => view! { <section class="paper"><p class="trouble" role="alert">
                "This part of Tailplate could not be read. Open it once with a connection; from then on it works without one."</p></section> }.into_any(),
        }}
    }
    .into_any()
}

/// Jobs, reels, what they cost, paper.
#[wasm_split(counter, wasm_split_path = leptos::wasm_split, fallible)]
fn fetch_counter() -> Result<Screens, SplitLoaderError> {
    Ok(|route| match route {
        Route::Jobs => view! { <jobs::Jobs/> }.into_any(),
        Route::Job(id) => view! { <job::JobScreen id/> }.into_any(),
        Route::Quote(id) => view! { <quote::QuoteScreen id/> }.into_any(),
        Route::HandBack(id) => view! { <hand_back::HandBack id/> }.into_any(),
        Route::Reel(id) => view! { <reel::ReelScreen id/> }.into_any(),
        Route::Customer(id) => view! { <customer::CustomerScreen id/> }.into_any(),
        Route::Paper(sheet, id) => view! { <paper::Paper sheet id/> }.into_any(),
        Route::Shop => view! { <shop::Shop/> }.into_any(),
        _ => ().into_any(),
    })
}

type DonorView = fn(String, Option<Price>) -> AnyView;

/// What a reel of a model would do for the shop.
#[wasm_split(donor, wasm_split_path = leptos::wasm_split, fallible)]
fn fetch_donor() -> Result<DonorView, SplitLoaderError> {
    Ok(|model, asking| view! { <parts::Donor model asking/> }.into_any())
}

/// [`parts::Donor`], read when it is first wanted.
#[component]
pub fn DonorOf(model: String, asking: Option<Price>) -> impl IntoView {
    let donor = RwSignal::new(None::<DonorView>);
    spawn_local(async move {
        if let Ok(there) = fetch_donor().await {
            let _ = donor.try_set(Some(there));
        }
    });
    move || donor.get().map(|donor| donor(model.clone(), asking.clone()))
}

/// Sums, sizes, listings, parts, what to buy.
#[wasm_split(bench, wasm_split_path = leptos::wasm_split, fallible)]
fn fetch_bench() -> Result<Screens, SplitLoaderError> {
    Ok(|route| match route {
        Route::Sums(id, reel) => view! { <sums::Sums id reel/> }.into_any(),
        Route::Listing => view! { <listing::Listing/> }.into_any(),
        Route::Parts => view! { <parts::Parts/> }.into_any(),
        Route::Buy => view! { <buy::Buy/> }.into_any(),
        Route::Measure(of) => view! { <measure::Measure of/> }.into_any(),
        _ => ().into_any(),
    })
}

/// Faults, strip-down, service and tests.
#[wasm_split(work, wasm_split_path = leptos::wasm_split, fallible)]
fn fetch_work() -> Result<Screens, SplitLoaderError> {
    Ok(|route| match route {
        Route::Bench => view! { <bench::Bench/> }.into_any(),
        Route::Faults(id) => view! { <fault::FaultScreen id/> }.into_any(),
        Route::Strip(id) => view! { <strip::StripScreen id/> }.into_any(),
        Route::Service(id) => view! { <service::ServiceScreen id/> }.into_any(),
        _ => ().into_any(),
    })
}

/// What leaves and enters the device: copies, tags, the shop's computer.
#[wasm_split(desk, wasm_split_path = leptos::wasm_split, fallible)]
fn fetch_desk() -> Result<Screens, SplitLoaderError> {
    Ok(|route| match route {
        Route::Copy => view! { <copy::CopyScreen/> }.into_any(),
        Route::Scan => view! { <scan::Scan/> }.into_any(),
        Route::Hub(code) => view! { <hub::Hub code/> }.into_any(),
        _ => ().into_any(),
    })
}
