//! The shop's computer: pairing, how far in step, which devices are in.

use leptos::prelude::*;

use crate::keeping;
use crate::keeping::sync::{self, Code, Listed, Step};
use crate::later::later;
use crate::route::{Route, go};
use crate::state::shared;
use crate::words::count;

pub fn in_words(step: &Step) -> String {
    match step {
        Step::Alone => "Not paired with a shop’s computer: everything stays on this device.".into(),
        Step::Waiting(0, why) => why.clone(),
        Step::Waiting(n, why) => format!("{} not sent yet. {why}", count(*n, "record is", "records are")),
        Step::Sending(0) => "Asking for what is new…".into(),
        Step::Sending(n) => format!("Sending: {} to go…", count(*n, "record", "records")),
        Step::Photos(n) => format!("Photos: {n} to go…"),
        Step::UpToDate(ms) => {
            let time: String = js_sys::Date::new(&(*ms as f64).into()).to_locale_time_string("default").into();
            format!("Everything is on both sides, since {time}.")
        }
        Step::Refused(why) => why.clone(),
    }
}

/// `code`: from the address that a scanned square opened; empty to type it.
#[component]
pub fn Hub(code: String) -> impl IntoView {
    let turn = RwSignal::new(0_u32);
    let paired = later(move || {
        turn.track();
        Box::pin(sync::paired())
    });
    view! {
        <section class="paper">
            <h1>"The shop’s computer"</h1>
            <p class="note" role="status">{move || in_words(&sync::step().get())}</p>
            {move || paired.get().map(|pass| match pass {
                Some(_) => view! { <Paired turn/> }.into_any(),
                None => view! { <Pairing code=code.clone() turn/> }.into_any(),
            })}
            <p class="how">"No network between them? Hand everything over by file: "<a href=Route::Copy.href()>"Saved copy"</a></p>
        </section>
    }
}

#[component]
fn Pairing(code: String, turn: RwSignal<u32>) -> impl IntoView {
    let shared = shared();
    let (code, name) = (RwSignal::new(code), RwSignal::new(String::new()));
    let pair = move |event: web_sys::SubmitEvent| {
        event.prevent_default();
        leptos::task::spawn_local(async move {
            let called = name.get_untracked();
            let called = if called.trim().is_empty() { "A device".to_owned() } else { called };
            match sync::pair(code.get_untracked(), called).await {
                Ok(()) => {
                    shared.say("Paired. Everything on this device is sent now.");
                    turn.update(|n| *n += 1);
                    go(Route::Hub(String::new()));
                }
                Err(why) => shared.warn(why),
            }
        });
    };
    view! {
        <p>"On the shop’s computer run "<kbd>"tailplate serve"</kbd>": it shows a square and a code that lets one device in, for ten minutes. Open the address it shows on this device."</p>
        <form on:submit=pair>
            <label>"Code"<input class="code" autocapitalize="characters" autocomplete="off" prop:value=code on:input=move |event| code.set(event_target_value(&event))/></label>
            <label>"What to call this device"<input autocomplete="off" placeholder="Mara’s phone" on:input=move |event| name.set(event_target_value(&event))/></label>
            <button class="main wide" type="submit">"Pair"</button>
        </form>
    }
}

#[component]
fn Paired(turn: RwSignal<u32>) -> impl IntoView {
    let shared = shared();
    let devices = later(move || {
        turn.track();
        Box::pin(sync::devices())
    });
    let code = RwSignal::new(None::<Code>);
    let new_code = move |_| {
        leptos::task::spawn_local(async move {
            match sync::new_code().await {
                Ok(new) => code.set(Some(new)),
                Err(why) => shared.warn(why),
            }
        });
    };
    let out = move |id: String| {
        keeping::work(shared, async move {
            sync::shut_out(&id).await?;
            turn.update(|n| *n += 1);
            Ok(())
        });
    };
    let leave = move |_| {
        keeping::work(shared, async move {
            sync::part().await?;
            turn.update(|n| *n += 1);
            Ok(())
        });
    };
    let line = move |this: &str, device: Listed| {
        let mine = device.id == this;
        let id = device.id.clone();
        view! { <li class="line"><span>{device.name.clone()}{mine.then_some(", this one")}{(device.revoked_ms > 0).then_some(", shut out")}</span>
        {(!mine && device.revoked_ms == 0).then(|| view! { <button class="danger" on:click=move |_| out(id.clone())>"Shut out"</button> })}</li> }
    };
    view! {
        <button class="wide" on:click=move |_| sync::soon()>"Sync now"</button>
        <h2>"Devices"</h2>
        {move || devices.get().map(|told| match told {
            Err(why) => view! { <p class="how">{why}</p> }.into_any(),
            Ok((this, devices)) => view! { <ul class="plain-list">{devices.into_iter().map(|device| line(&this, device)).collect_view()}</ul> }.into_any(),
        })}
        <button class="wide" on:click=new_code>"Let another device in"</button>
        {move || code.get().map(|code| view! {
            <div class="pairing"><div class="pairing-square" inner_html=code.svg></div><p class="code big-code">{code.code}</p><p class="how">{code.url}</p></div>
        })}
        <button class="danger wide" on:click=leave>"Part from this shop’s computer"</button>
        <p class="how">"What is on this device stays on it."</p>
    }
}
