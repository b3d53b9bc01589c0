//! What the screens of the bench share: their packs, cautions, the kind of reel, and a screen that does not go dark.

use std::sync::Arc;

use leptos::prelude::*;
use tailplate_core::bench::{Kept, standing};
use tailplate_core::drawing;
use tailplate_core::paper::reel_name;
use tailplate_core::record::Kind;
use tailplate_core::reference::{BenchCaution, Reference};
use tailplate_core::shop::{Reel, Row};
use tailplate_core::tag::grouped;
use wasm_bindgen::closure::Closure;
use wasm_bindgen::{JsCast, JsValue};
use wasm_bindgen_futures::{JsFuture, spawn_local};

use super::live::Live;
use crate::drawn::Picture;
use crate::keeping::{self, shelf};
use crate::later::later;
use crate::packs;
use crate::route::Route;
use crate::state::shared;

/// Shows something once the packs of the bench are read.
#[component]
pub fn WithPacks<F>(show: F) -> impl IntoView
where
    F: Fn(&'static Reference) -> AnyView + Send + Sync + 'static,
{
    let read = later(|| Box::pin(packs::bench()));
    move || match read.get() {
        None => view! { <p role="status">"Laying out the tools…"</p> }.into_any(),
        Some(Err(trouble)) => view! { <p class="trouble" role="alert">{trouble}</p> }.into_any(),
        Some(Ok(bench)) => show(bench),
    }
}

/// Which reel lies on the bench.
#[component]
pub fn BenchHead(reel: Live<Reel>, title: &'static str) -> impl IntoView {
    let reference = shared().packs().reference;
    let name =
        Memo::new(move |_| reel.record.read().as_ref().map(|reel| reel_name(reference, reel)).unwrap_or_default());
    let tag = reel.part(|reel| grouped(&reel.tag));
    view! { <h1>{title}</h1><p class="of-reel-line"><a href=Route::Reel(reel.id()).href()><span class="code">{tag}</span>" "{name}</a></p> }
}

/// The ways from a reel to the tools.
#[component]
pub fn BenchWays(id: String) -> impl IntoView {
    view! {
        <nav class="bench-ways" aria-label="At the bench">
            <a class="button" href=Route::Faults(id.clone()).href()>"Faults"</a>
            <a class="button" href=Route::Strip(id.clone()).href()>"Strip"</a>
            <a class="button" href=Route::Service(id.clone()).href()>"Service & tests"</a>
            <a class="button" href=Route::Sums(String::new(), id.clone()).href()>"Sums"</a>
            <a class="button" href=Route::Measure(format!("reel/{id}")).href()>"A size"</a>
        </nav>
    }
}

/// Results of sums that were kept with a reel.
#[component]
pub fn KeptSums(reel: Live<Reel>) -> impl IntoView {
    let kept = reel.part(|reel| standing(&reel.sums).into_iter().cloned().collect::<Vec<Kept>>());
    move || {
        let kept = kept.get();
        (!kept.is_empty()).then(|| view! {
            <h2>"Worked out"</h2>
            <ul class="plain-list">{kept.into_iter().map(|one| {
                let (again, label) = (Route::Sums(one.calculator.clone(), reel.id()).href(), format!("Take back: {}", one.title));
                let (title, lines) = (one.title.clone(), one.lines.clone());
                let back = move |_| {
                    let back = Kept { taken_back: true, at_ms: crate::store::now_ms(), ..one.clone() };
                    reel.change(move |reel| reel.sums.push(back));
                };
                view! { <li class="line"><span><b>{title}</b>{lines.into_iter().map(|line| view! { <small>{line}</small> }).collect_view()}</span>
                    <a class="button" href=again>"Again"</a><button aria-label=label on:click=back>"×"</button></li> }
            }).collect_view()}</ul>
        })
    }
}

/// Raises a need for a part of this reel; said once it is raised. `part`: its role, or words; `name`: as it is called.
#[component]
pub fn NeedOne(reel: Live<Reel>, part: String, name: String) -> impl IntoView {
    let shared = shared();
    let part = StoredValue::new(part);
    let raised = later(move || {
        shared.changed.track();
        let (id, part) = (reel.id(), part.get_value());
        Box::pin(async move {
            shelf::ready().await?;
            let mine = |row: &Arc<Row>| {
                row.kind == Kind::Need && !row.deleted && !row.done && row.of == id && row.name == part
            };
            Ok::<bool, String>(shelf::with(|rows| rows.iter().any(mine)))
        })
    });
    let raise = move |_| {
        let model = reel.now().as_ref().map(keeping::guides::model_of).unwrap_or_default();
        keeping::raise_need(shared, Some(reel.id()), part.get_value(), model);
    };
    let label = format!("Raise a need: {name}");
    move || match raised.get() {
        Some(Ok(true)) => {
            view! { <a class="button quiet" href=Route::Parts.href()>"Wanted: what fits?"</a> }.into_any()
        }
        _ => view! { <button class="quiet" aria-label=label.clone() on:click=raise>"Need one"</button> }.into_any(),
    }
}

/// A watch for tests that count seconds; each stop hands over what it read.
#[component]
pub fn Stopwatch(#[prop(into)] stopped: Callback<f64>) -> impl IntoView {
    let now_ms = || window().performance().map_or(0.0, |clock| clock.now());
    let began_ms = RwSignal::new(None::<f64>);
    let shown_s = RwSignal::new(0.0);
    let ticking = set_interval_with_handle(
        move || {
            if let Some(began_ms) = began_ms.get_untracked() {
                shown_s.set((now_ms() - began_ms) / 1000.0);
            }
        },
        std::time::Duration::from_millis(100),
    )
    .ok();
    on_cleanup(move || {
        if let Some(ticking) = ticking {
            ticking.clear();
        }
    });
    let press = move |_| match began_ms.get_untracked() {
        None => began_ms.set(Some(now_ms())),
        Some(began) => {
            let seconds = (now_ms() - began) / 1000.0;
            began_ms.set(None);
            shown_s.set(seconds);
            stopped.run((seconds * 10.0).round() / 10.0);
        }
    };
    view! {
        <button class="wide watch" aria-pressed=move || began_ms.read().is_some().to_string() on:click=press>
            {move || if began_ms.read().is_some() { "Stop" } else { "Start the watch" }}
            <span class="figure">{move || format!("{:.1} s", shown_s.get())}</span></button>
    }
}

/// What to read before a step. Nothing where nothing is due.
#[component]
pub fn Cautions(cautions: Vec<BenchCaution>) -> impl IntoView {
    (!cautions.is_empty()).then(|| view! {
        <div class="mind" role="note"><b>"Mind first"</b><ul>{cautions.into_iter().map(|caution| view! {
            <li><b>{caution.when}": "</b>{caution.text}{caution.defer_to.map(|whom| view! { <small>"Who knows better: "{whom}</small> })}</li>
        }).collect_view()}</ul></div>
    })
}

/// The kind of reel, picked from its drawings.
#[component]
pub fn KindPick(
    #[prop(into)] kind: Signal<String>,
    #[prop(into)] set: Callback<String>,
    #[prop(optional)] begins_open: bool,
) -> impl IntoView {
    let kinds =
        shared().packs().reference.feature("reel_kind").map(|feature| feature.states.clone()).unwrap_or_default();
    let open = RwSignal::new(begins_open);
    let label = {
        let kinds = kinds.clone();
        move || {
            kinds
                .iter()
                .find(|state| state.id == *kind.read())
                .map_or("not said".to_owned(), |state| state.label.clone())
        }
    };
    view! {
        <details prop:open=open on:toggle=move |event| open.set(event_target::<web_sys::Element>(&event).has_attribute("open"))>
            <summary>"Kind of reel"<small>{label}</small></summary>
            {move || open.get().then(|| view! { <div class="kinds">{kinds.clone().into_iter().map(|state| {
                let (id, here) = (state.id.clone(), state.id.clone());
                view! { <button class="choice" aria-pressed=move || (*kind.read() == here).to_string() on:click=move |_| { open.set(false); set.run(id.clone()); }>
                    <Picture svg=drawing::kind_picture(&state.id)/><span>{state.label}</span></button> }
            }).collect_view()}</div> })}
        </details>
    }
}

/// Keeps the screen lit for as long as its owner lives, where the browser can: greasy fingers wake no phone.
pub fn keep_awake() {
    let held = StoredValue::new_local(None::<JsValue>);
    let ask = move || {
        spawn_local(async move {
            let Some(lock) = wake_lock().await else { return };
            // The screen may be gone by now.
            if held.try_update_value(|slot| *slot = Some(lock.clone())).is_none() {
                let_go(&lock);
            }
        });
    };
    ask();
    // A browser lets go of it when the page is hidden.
    let on_seen = Closure::<dyn FnMut()>::new(move || {
        if !document().hidden() {
            ask();
        }
    });
    let _ = document().add_event_listener_with_callback("visibilitychange", on_seen.as_ref().unchecked_ref());
    let listener = StoredValue::new_local(Some(on_seen));
    on_cleanup(move || {
        if let Some(lock) = held.try_update_value(Option::take).flatten() {
            let_go(&lock);
        }
        if let Some(on_seen) = listener.try_update_value(Option::take).flatten() {
            let _ =
                document().remove_event_listener_with_callback("visibilitychange", on_seen.as_ref().unchecked_ref());
        }
    });
}

async fn wake_lock() -> Option<JsValue> {
    let locks = js_sys::Reflect::get(&window().navigator(), &"wakeLock".into()).ok().filter(JsValue::is_object)?;
    let request: js_sys::Function = js_sys::Reflect::get(&locks, &"request".into()).ok()?.dyn_into().ok()?;
    let asked = request.call1(&locks, &"screen".into()).ok()?;
    JsFuture::from(js_sys::Promise::resolve(&asked)).await.ok()
}

fn let_go(lock: &JsValue) {
    let release =
        js_sys::Reflect::get(lock, &"release".into()).ok().and_then(|f| f.dyn_into::<js_sys::Function>().ok());
    if let Some(release) = release {
        let _ = release.call0(lock);
    }
}
